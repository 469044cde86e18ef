//! What a lie comes to, in words a guitarist understands, and the turn that mends it.

mod sentences;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use self::sentences::{cannot, heard_alone, sentences};
use super::drawn;
use super::heard::{CoilAt, HeardAlone, places};
use crate::drawing::Drawn;
use crate::lies::{Axis, InSpace, Turned};
use crate::record::guitar::{Guitar, Hand};
use crate::record::mounting::{Lie, Mounting, Way};
use crate::record::pickup::{CoilEnd, CoilName, Pickup, Poles, Stagger};
use crate::record::quantity::Millimetres;
use crate::record::rig::{Faces, Rig};
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::words::small;
use crate::sides::way_of;

/// What the poles face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum PolesFace {
    /// The strings.
    Strings,
    /// Away from the strings: the pickup's back is to them.
    Away,
    /// Along or across the strings: it stands on an edge or on an end.
    Sideways,
}

/// Over which strings the bass end is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum EndsAre {
    /// The bass end is over the bass strings.
    Right,
    /// The bass end is over the treble strings.
    Reversed,
    /// The long axis does not lie across the strings.
    Astray,
    /// The ends are not marked.
    Unmarked,
}

/// Which edge faces the bridge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum EdgeIs {
    /// The one that will face it when installed.
    AsInstalled,
    /// The other one: the edges have changed places.
    Swapped,
    /// Neither.
    Astray,
    /// It can't be said while the ends are not marked.
    Unmarked,
}

/// The sign of the signal beside that of the installed pickup.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum Signal {
    /// The same.
    AsInstalled,
    /// Turned over.
    TurnedOver,
    /// It can't be said: the poles face along or across the strings.
    CantSay,
}

/// Whether poles of different heights meet the strings they are made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum StaggerIs {
    /// They do.
    Right,
    /// Bass poles are at treble strings.
    Reversed,
    /// There are more poles than strings, or fewer: heights can't fit.
    OtherCount,
    /// The poles don't face the strings.
    Astray,
    /// All poles are at one height, or there is a blade: nothing to reverse.
    NoMatter,
    /// Nobody has written down whether they differ, or which end is which.
    NotKnown,
}

/// What brings it into the right lie.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "mend", rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum Mend {
    /// It lies right.
    None {},
    /// These turns, one after the other; one or two.
    Turns {
        /// The turns.
        turns: Vec<Turned>,
        /// How it lies afterwards.
        lie: Lie,
        /// In words.
        words: String,
    },
}

/// What a lie comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/facing.ts")]
pub struct Facing {
    /// The lie.
    pub lie: Lie,
    /// What the poles face.
    pub poles: PolesFace,
    /// Over which strings the bass end is.
    pub ends: EndsAre,
    /// Which edge faces the bridge.
    pub edge: EdgeIs,
    /// The coil that is nearest the bridge in the rig, for coils side by side.
    pub coil_at_bridge: Option<CoilName>,
    /// The coil that is nearest the strings in the rig, for stacked coils.
    pub coil_at_strings: Option<CoilName>,
    /// Where the coils are along the strings.
    pub coils: Vec<CoilAt>,
    /// The sign of the signal.
    pub signal: Signal,
    /// Whether staggered poles are right.
    pub stagger: StaggerIs,
    /// What modes with one coil alone are heard through.
    pub alone: Vec<HeardAlone>,
    /// What mends it.
    pub mend: Mend,
    /// What stays different from the installed state whichever way it lies in this rig, in sentences.
    pub cannot: Vec<String>,
    /// All of it in sentences: poles, ends, edge, stagger, signal.
    pub sentences: Vec<String>,
}

/// A turn that a page offers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/facing.ts")]
pub struct TurnOffered {
    /// The turn.
    pub turn: Turned,
    /// Its name on a button.
    pub name: String,
    /// How the pickup lies afterwards.
    pub lie: Lie,
}

/// A lie as a page shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/facing.ts")]
pub struct FacingView {
    /// What it comes to.
    pub facing: Facing,
    /// The answer to be confirmed, as it is written down.
    pub mounting: Mounting,
    /// Right, wrong or unsure, with the reason.
    pub verdict: Verdict,
    /// The nine turns, half turns first.
    pub turns: Vec<TurnOffered>,
    /// Seen from above, the neck at the top.
    pub plan: Drawn,
    /// Cut across the strings, seen from the bridge.
    pub section: Drawn,
}

/// Whether the two ends of a pickup differ for the strings; nothing when nobody has looked.
fn ends_differ(pickup: Option<&Pickup>) -> Option<bool> {
    let pickup = pickup?;
    match (&pickup.stagger, pickup.poles) {
        (Stagger::Staggered { heights }, _) => {
            let mirrored = heights.iter().zip(heights.iter().rev()).all(|(one, other)| (one.0 - other.0).abs() < 1e-9);
            Some(heights.is_empty() || !mirrored)
        }
        (Stagger::Flat, _) | (Stagger::Unknown, Poles::Blade) => Some(false),
        (Stagger::Unknown, Poles::Rods | Poles::Screws | Poles::Hidden) => None,
    }
}

fn poles_face(lie: Lie, right: Lie) -> PolesFace {
    if lie.poles == right.poles {
        PolesFace::Strings
    } else if lie.poles == right.poles.opposite() {
        PolesFace::Away
    } else {
        PolesFace::Sideways
    }
}

fn ends_are(lie: Lie, marked: bool) -> EndsAre {
    let across = matches!(lie.bass_end, Way::Bass | Way::Treble);
    match lie.bass_end {
        _ if !across => EndsAre::Astray,
        _ if !marked => EndsAre::Unmarked,
        Way::Bass => EndsAre::Right,
        _ => EndsAre::Reversed,
    }
}

fn edge_is(lie: Lie, marked: bool) -> EdgeIs {
    let bridge_edge = lie.rotation().and_then(|rotation| way_of(&rotation.matrix().column(0).into_owned()));
    match bridge_edge {
        Some(Way::Bridge | Way::Neck) if !marked => EdgeIs::Unmarked,
        Some(Way::Bridge) => EdgeIs::AsInstalled,
        Some(Way::Neck) => EdgeIs::Swapped,
        _ => EdgeIs::Astray,
    }
}

/// What this lie comes to. `marked` says whether one can tell the ends apart; without it the bass end of `lie` is a
/// guess. `leads` says at which terminal each coil end is, as far as it is known.
#[must_use]
pub fn facing(
    lie: Lie,
    marked: bool,
    pickup: Option<&Pickup>,
    guitar: Option<&Guitar>,
    rig: Option<&Rig>,
    leads: &[(CoilEnd, u8)],
) -> Facing {
    let faces = rig.map_or(Faces::Down, |rig| rig.faces);
    let right = Lie::right(faces);
    let (poles, ends, edge) = (poles_face(lie, right), ends_are(lie, marked), edge_is(lie, marked));
    // A string that comes nearer strengthens the field through the coil along the magnet, whichever way that points. So
    // the sign hangs on the side of the strings on which the pickup is, and not on how it was turned.
    let signal = match (poles, faces) {
        (PolesFace::Sideways, _) => Signal::CantSay,
        (_, Faces::Down) => Signal::TurnedOver,
        (_, Faces::Up) => Signal::AsInstalled,
    };
    let other_count = pickup
        .and_then(|pickup| pickup.pole_count)
        .zip(guitar.map(Guitar::courses))
        .is_some_and(|(poles, courses)| usize::from(poles) != courses);
    let stagger = match (ends_differ(pickup), poles, ends) {
        (Some(false), ..) => StaggerIs::NoMatter,
        (_, PolesFace::Away | PolesFace::Sideways, _) | (_, _, EndsAre::Astray) => StaggerIs::Astray,
        (None, ..) | (_, _, EndsAre::Unmarked) => StaggerIs::NotKnown,
        (Some(true), _, EndsAre::Right) if other_count => StaggerIs::OtherCount,
        (Some(true), _, EndsAre::Right) => StaggerIs::Right,
        (Some(true), _, EndsAre::Reversed) => StaggerIs::Reversed,
    };
    let strung = guitar.map_or(Hand::Right, Guitar::strung_for);
    let beside = pickup.is_some_and(Pickup::has_coils_side_by_side);
    let stacked = pickup.is_some_and(|pickup| pickup.coils.len() > 1 && !beside);
    let coils = pickup.map(|pickup| places(pickup, lie, strung)).unwrap_or_default();
    let coil_at_bridge = match edge {
        EdgeIs::AsInstalled | EdgeIs::Swapped if beside => {
            coils.iter().max_by(|one, other| one.in_rig.0.total_cmp(&other.in_rig.0)).map(|at| at.coil)
        }
        _ => None,
    };
    let coil_at_strings = match poles {
        PolesFace::Strings if stacked => pickup.and_then(|pickup| pickup.coils.first()).map(|coil| coil.name),
        PolesFace::Away if stacked => pickup.and_then(|pickup| pickup.coils.last()).map(|coil| coil.name),
        _ => None,
    };
    let alone = match (pickup, rig) {
        (Some(pickup), Some(rig)) if pickup.coils.len() > 1 => heard_alone(pickup, rig, leads, &coils, edge, stacked),
        _ => Vec::new(),
    };
    let mut said = Facing {
        lie,
        poles,
        ends,
        edge,
        coil_at_bridge,
        coil_at_strings,
        coils,
        signal,
        stagger,
        alone,
        mend: mend(lie, marked, right),
        cannot: cannot(faces, beside),
        sentences: Vec::new(),
    };
    said.sentences = sentences(&said, pickup);
    said
}

/// The fewest turns that bring a lie to the right one. Without marks, either end may be over the bass strings.
fn mend(lie: Lie, marked: bool, right: Lie) -> Mend {
    let is_right = |lie: Lie| lie == right || (!marked && lie == Lie { bass_end: right.bass_end.opposite(), ..right });
    if is_right(lie) {
        return Mend::None {};
    }
    let one = Turned::all().map(|turn| vec![turn]);
    let two = Turned::all().flat_map(|first| Turned::all().map(move |second| vec![first, second]));
    for turns in one.chain(two) {
        let there = turns.iter().try_fold(lie, |lie, turn| lie.turned(*turn));
        if let Some(there) = there.filter(|there| is_right(*there)) {
            let mut at = lie;
            let words: Vec<String> = turns
                .iter()
                .enumerate()
                .map(|(index, turn)| {
                    at = at.turned(*turn).unwrap_or(at);
                    let words = turn.in_words(at);
                    if index == 0 { words } else { small(&words) }
                })
                .collect();
            let to = match there.poles {
                Way::Down => "poles face down",
                _ => "poles face up",
            };
            let end = if marked { " and its bass end lies over the bass strings" } else { "" };
            let words = format!("{}. Then its {to}{end}.", words.join(". Then "));
            return Mend::Turns { turns, lie: there, words };
        }
    }
    // Any of the 24 is at most two turns from any other; an impossible lie has no turns at all.
    Mend::None {}
}

impl Facing {
    /// Right, wrong or unsure, with the reason and what mends it.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let turn = match &self.mend {
            Mend::None {} => String::new(),
            Mend::Turns { words, .. } => format!(" {words}"),
        };
        let verdict = |kind, word, sentence: &str| Verdict::new(kind, word, format!("{sentence}{turn}"));
        match (self.poles, self.ends) {
            (PolesFace::Away, EndsAre::Reversed) => verdict(
                VerdictKind::Bad,
                "Turn it",
                "Its back is to the strings, and its bass end lies over the treble strings.",
            ),
            (PolesFace::Away, _) => verdict(VerdictKind::Bad, "Turn it", "Its back is to the strings."),
            (PolesFace::Sideways, _) | (_, EndsAre::Astray) => {
                verdict(VerdictKind::Bad, "Turn it", "It does not lie across the strings with its poles to them.")
            }
            (PolesFace::Strings, EndsAre::Reversed) => match self.stagger {
                StaggerIs::NoMatter => verdict(
                    VerdictKind::Unsure,
                    "Ends changed over",
                    "Its bass end lies over the treble strings. Its ends are alike for the strings, so it may stay like this if you \
                     install it the same way.",
                ),
                _ => verdict(VerdictKind::Bad, "Turn it", "Its bass end lies over the treble strings."),
            },
            (PolesFace::Strings, EndsAre::Unmarked) => verdict(
                VerdictKind::Unsure,
                "Unmarked",
                "Its ends are not marked, so it can't be said which is over the bass strings. Mark one with a pencil on tape.",
            ),
            (PolesFace::Strings, EndsAre::Right) => {
                verdict(VerdictKind::Good, "Right way round", "Its bass end lies over the bass strings.")
            }
        }
    }
}

/// A lie as a page shows it. `gaps` are the gaps at bass and treble side to draw, in millimetres.
#[must_use]
pub fn look(
    lie: Lie,
    marked: bool,
    pickup: Option<&Pickup>,
    guitar: Option<&Guitar>,
    rig: Option<&Rig>,
    leads: &[(CoilEnd, u8)],
    gaps: [Millimetres; 2],
) -> FacingView {
    let facing = facing(lie, marked, pickup, guitar, rig, leads);
    let turns = Turned::all()
        .filter_map(|turn| {
            let there = lie.turned(turn)?;
            let name = match (turn.about, turn.quarters) {
                (Axis::Roll, 2) => "Roll it over".to_owned(),
                (Axis::EndOverEnd, 2) => "Turn end over end".to_owned(),
                (Axis::Flat, 2) => "Turn flat".to_owned(),
                (Axis::Roll, _) => format!("Roll a quarter: poles {}", there.poles.in_words()),
                (Axis::EndOverEnd, _) => format!("A quarter end over end: bass end {}", there.bass_end.in_words()),
                (Axis::Flat, _) => format!("A quarter flat: bass end {}", there.bass_end.in_words()),
            };
            Some(TurnOffered { turn, name, lie: there })
        })
        .collect();
    FacingView {
        verdict: facing.verdict(),
        mounting: Mounting::of(lie, marked),
        plan: drawn::plan(&facing, marked, pickup, guitar, rig),
        section: drawn::section(&facing, marked, pickup, guitar, rig, gaps),
        turns,
        facing,
    }
}
