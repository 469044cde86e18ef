//! How the pickup comes to lie in its place, and whether it fits there.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::facing::{EdgeIs, EndsAre, facing};
use crate::gaps::{Hung, Reach, Under};
use crate::record::gaps::{Strings, possible};
use crate::record::guitar::{Guitar, Hand, Place};
use crate::record::mounting::{Lie, Mounting};
use crate::record::pickup::{CoilName, Pickup};
use crate::record::quantity::{InInches, Length, LengthUnit, Millimetres};
use crate::record::rig::{Faces, Mode, Rig};
use crate::strings::{StringsView, strings_when_installed};

/// Which way round the pickup goes in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallWay {
    /// Whether its ends can be told apart.
    pub marked: bool,
    /// The coil that lies nearest the bridge when installed, for coils side by side.
    pub coil_at_bridge: Option<CoilName>,
    /// The coil that lay nearest the bridge in the rig.
    pub coil_at_bridge_in_rig: Option<CoilName>,
    /// Which end goes to the bass strings, in a sentence.
    pub bass_end: String,
    /// Which edge goes to the bridge, in a sentence.
    pub bridge_edge: String,
    /// What the rig changed against the installed state, in sentences: coil order, sign of the signal.
    pub rig_changed: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub rig_changed_in_inches: Vec<Option<InInches>>,
}

/// Whether the pickup fits its place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct Clearance {
    /// Whether it fits as far as was measured; nothing when too little was.
    pub fits: Option<bool>,
    /// Opening and depth against the pickup's size, in sentences.
    pub size: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub size_in_inches: Vec<Option<InInches>>,
    /// Where to start with the heights: bass and treble side, from pole to string.
    pub gaps: [Length; 2],
    /// Where these are from, in a sentence.
    pub gaps_from: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub gaps_from_in_inches: Option<InInches>,
    /// The strings over the poles at this place.
    pub strings: StringsView,
}

/// An opening leaves this much free round a pickup that goes in with ease, in millimetres (common practice).
const ROOM: f64 = 1.0;
/// Lead, solder, spring and height travel need at least this much below a pickup, in millimetres (common practice).
const BELOW: f64 = 2.0;
/// With this much free below they have room, in millimetres (common practice).
const BELOW_WITH_EASE: f64 = 3.0;
/// An installed pickup comes this much nearer than its starting range at most, in millimetres (common practice).
const NEARER_THAN_USUAL: f64 = 0.5;

/// Which way round a pickup goes into a guitar, and what the rig had changed. `mounting` is how it lay in the audition;
/// `taken_down` says that it is out of the rig; what the rig changed is told of the modes that are `planned`.
#[must_use]
pub fn way_round(
    pickup: &Pickup,
    guitar: &Guitar,
    rig: &Rig,
    mounting: Option<&Mounting>,
    taken_down: bool,
    planned: &[Mode],
) -> InstallWay {
    let mark = pickup.bass_end_mark.trim();
    let marked = !mark.is_empty();
    let lie = mounting.map_or_else(|| Lie::right(rig.faces), Mounting::lies);
    let in_rig = facing(lie, marked, Some(pickup), Some(guitar), Some(rig), &[]);
    // Installed it lies as in a rig that holds it poles up.
    let above = Rig { faces: Faces::Up, ..rig.clone() };
    let installed = facing(Lie::INSTALLED, true, Some(pickup), Some(guitar), Some(&above), &[]);
    let hand = match guitar.strung_for() {
        Hand::Right => "",
        Hand::Left => {
            " This guitar is strung for the left hand: its bass strings are on the other side than in most pictures."
        }
    };
    let bass_end = match (marked, in_rig.ends) {
        (true, EndsAre::Reversed) => format!(
            "The end with the mark ({mark}) goes to the bass strings. In the audition it lay over the treble strings, so turn it \
             round against that.{hand}"
        ),
        (true, _) => format!("The end with the mark ({mark}) goes to the bass strings.{hand}"),
        (false, _) if taken_down => format!(
            "Its record names no mark at the bass end. If you marked the end that lay over the bass strings, that end goes to the \
             bass strings. If not, a photo of the audition may show how it lay; else put it in either way and hear both.{hand}"
        ),
        (false, _) => format!(
            "Its ends are not marked. Mark the end that lay over the bass strings in the audition before you take it out of the \
             rig; that end goes to the bass strings.{hand}"
        ),
    };
    let bridge_edge = match (installed.coil_at_bridge, in_rig.coil_at_bridge) {
        (Some(here), Some(there)) if here != there => format!(
            "Coil {} goes to the bridge side. In the rig coil {} was nearer the bridge, because {}.",
            here.letter(),
            there.letter(),
            match (rig.faces, in_rig.ends) {
                (Faces::Down, EndsAre::Right) => "the pickup hung face down",
                (Faces::Down | Faces::Up, _) => "it lay the other way round there",
            }
        ),
        (Some(here), _) => {
            format!(
                "Coil {} goes to the bridge side. With its bass end at the bass strings and the poles up it comes so by itself.",
                here.letter()
            )
        }
        (None, _) => "With its bass end at the bass strings and the poles up, nothing else is left to turn.".to_owned(),
    };
    // What is where it will be was not changed.
    let changed = in_rig.alone.iter().filter(|alone| alone.apart.value.0 > 0.0 && planned.contains(&alone.mode));
    let (mut rig_changed, mut rig_changed_in_inches): (Vec<String>, Vec<Option<InInches>>) =
        changed.map(|alone| (alone.sentence.clone(), alone.sentence_in_inches.clone())).unzip();
    if rig.faces == Faces::Down {
        // Where it is known which coil is at the bridge, the edge says so.
        let said = installed.coil_at_bridge.is_some() && in_rig.coil_at_bridge.is_some();
        if !said && rig_changed.is_empty() && pickup.has_coils_side_by_side() && in_rig.edge == EdgeIs::Swapped {
            rig_changed.push("In the rig its two coils lay in each other's place along the strings.".to_owned());
        }
        rig_changed.push(
            "In the rig the strings swung below the poles, so the signal had the other sign. Installed it \
             has the sign that a tap with steel on its poles shows."
                .to_owned(),
        );
    }
    // What the face of the rig does tells no length.
    rig_changed_in_inches.resize(rig_changed.len(), None);
    InstallWay {
        marked,
        coil_at_bridge: installed.coil_at_bridge,
        coil_at_bridge_in_rig: in_rig.coil_at_bridge,
        bass_end,
        bridge_edge,
        rig_changed,
        rig_changed_in_inches,
    }
}

/// Whether a pickup fits a place, where its heights start, and how the strings lie over its poles there. `heard` are the
/// gaps of the audition.
#[must_use]
pub fn clearance(pickup: &Pickup, guitar: &Guitar, place: &Place, heard: Option<Hung>) -> Clearance {
    let (size, size_in_inches) = InInches::told_each(|unit| sizes(pickup, place, unit).1);
    let (gaps, _) = heights(pickup, guitar, place, heard, LengthUnit::Millimetre);
    let (gaps_from, gaps_from_in_inches) = InInches::told(|unit| heights(pickup, guitar, place, heard, unit).1);
    Clearance {
        fits: sizes(pickup, place, LengthUnit::Millimetre).0,
        size,
        size_in_inches,
        gaps: gaps.map(Length::from),
        gaps_from,
        gaps_from_in_inches,
        strings: strings_when_installed(guitar, pickup, place.sides()),
    }
}

/// Whether a pickup fits its opening as far as both were measured, and what is said of each of their sizes.
fn sizes(pickup: &Pickup, place: &Place, unit: LengthUnit) -> (Option<bool>, Vec<String>) {
    let mm = |length: Millimetres| length.shown(unit);
    let mut size = Vec::new();
    let mut fits = Some(true);
    for (what, needs, has, least, add) in [
        ("across the strings", pickup.length, place.opening_length, 0.0, ROOM),
        ("along the strings", pickup.width, place.opening_width, 0.0, ROOM),
        ("in depth", pickup.depth, place.depth, BELOW, BELOW_WITH_EASE),
    ] {
        match (needs, has) {
            (Some(needs), Some(has)) => {
                let left = has.0 - needs.0;
                if left < 0.0 {
                    fits = Some(false);
                    size.push(format!(
                        "Too large {what}: it measures {}, the opening {}. It does not go in as it is.",
                        mm(needs),
                        mm(has)
                    ));
                } else if left < least - 1e-9 {
                    fits = Some(false);
                    size.push(format!(
                        "Too little room {what}: {} in an opening of {} leaves {}, and lead, solder, spring and height travel \
                         need {} (common practice).",
                        mm(needs),
                        mm(has),
                        mm(Millimetres(left)),
                        match unit {
                            LengthUnit::Millimetre => "2 to 3 mm".to_owned(),
                            LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => {
                                format!("{} to {}", mm(Millimetres(BELOW)), mm(Millimetres(BELOW_WITH_EASE)))
                            }
                        }
                    ));
                } else if left < add - 1e-9 {
                    size.push(format!(
                        "Tight {what}: {} in an opening of {}. Try it without force, with its lead in place.",
                        mm(needs),
                        mm(has)
                    ));
                } else {
                    size.push(format!("Fits {what}: {} in an opening of {}.", mm(needs), mm(has)));
                }
            }
            (None, _) => {
                fits = fits.filter(|fits| !fits);
                size.push(format!("Not known {what}: measure the pickup."));
            }
            (_, None) => {
                fits = fits.filter(|fits| !fits);
                size.push(format!("Not known {what}: measure the opening."));
            }
        }
    }
    (fits, size)
}

/// Where the heights of an installed pickup start, with the strings pressed at the last fret, and where that is from. It is
/// put as far from the open strings as it was in the audition, because that is how far they are when they sound.
fn heights(
    pickup: &Pickup,
    guitar: &Guitar,
    place: &Place,
    heard: Option<Hung>,
    unit: LengthUnit,
) -> ([Millimetres; 2], String) {
    let mm = |length: Millimetres| length.shown(unit);
    let under = Under::at(pickup, Some(guitar), place.sides(), Faces::Up);
    let pressed = under.over.usual();
    let Some(heard) = heard.filter(|heard| heard.gaps.iter().all(|gap| possible(*gap).is_ok())) else {
        let from = "The middle of the usual range for such magnets at this place (common practice); then by ear.";
        return (under.middle(pressed), from.to_owned());
    };
    let open = heard.open();
    let alike = under.over.turned(open, Strings::Open {}, pressed);
    let mut from = Vec::new();
    // What no installed pickup can have: its strings would lie on the poles at the last fret.
    let least = under.nearest(pressed).map(|gap| gap.0 - NEARER_THAN_USUAL);
    let gaps = [0, 1].map(|side| Millimetres(alike[side].0.max(least[side])));
    if gaps == alike {
        from.push(format!(
            "That is as far from the open strings as in the audition ({} and {}); then by ear.",
            mm(open[0]),
            mm(open[1])
        ));
    } else {
        from.push(format!(
            "In the audition it was {} and {} from the open strings. An installed pickup can't come so near, because pressing \
             brings the strings down to it: start here, and expect it quieter than it was.",
            mm(open[0]),
            mm(open[1])
        ));
    }
    match under.reach(gaps, &[], pressed) {
        Reach::Hits | Reach::Pulls => from.push(
            "That is near for this place: listen whether the wound strings warble, and go lower if they do.".to_owned(),
        ),
        Reach::TooFar => from.push("That is far for this place: raise it until it is heard well.".to_owned()),
        Reach::Fine => {}
    }
    if heard.over.faces == Faces::Down {
        let [bass, treble] = [0, 1].map(|side| {
            let there = under.over.comes_down(side, under.over.last_fret);
            there + heard.over.comes_down(side, heard.over.last_fret)
        });
        from.push(format!(
            "Played at the last fret the strings come up to {} nearer to it than they were in the audition: expect it louder \
             up there.",
            Millimetres(bass.max(treble)).about(unit)
        ));
    }
    let rests_on_height = heard.strings != Strings::Open {} || pressed != Strings::Open {};
    if rests_on_height && !(heard.over.measured && under.over.measured) {
        from.push(
            "Not recorded yet how high the strings stand at the last fret, so a usual height stands in (common \
             practice). Measure it, and write it into the guitar's record."
                .to_owned(),
        );
    }
    (gaps, from.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gaps::Over;
    use crate::record::pickup::Construction;
    use solderlast_samples::invented as bench;

    fn sized(length: f64, width: f64, depth: f64) -> Pickup {
        Pickup {
            length: Some(Millimetres(length)),
            width: Some(Millimetres(width)),
            depth: Some(Millimetres(depth)),
            ..bench::pickup(Construction::SideBySide)
        }
    }

    #[test]
    fn openings() {
        let guitar = bench::guitar();
        let place = Place {
            opening_length: Some(Millimetres(70.0)),
            opening_width: Some(Millimetres(39.0)),
            depth: Some(Millimetres(22.0)),
            ..guitar.places[0].clone()
        };
        for (pickup, fits, part) in [
            (sized(69.0, 38.0, 19.0), Some(true), "Fits across"),
            (sized(69.8, 38.0, 19.0), Some(true), "Tight across"),
            (sized(71.0, 38.0, 19.0), Some(false), "Too large across"),
            (sized(69.0, 38.0, 23.0), Some(false), "Too large in depth"),
            (sized(69.0, 38.0, 22.0), Some(false), "Too little room in depth"),
            (sized(69.0, 38.0, 20.5), Some(false), "leaves 1.5 mm"),
            (sized(69.0, 38.0, 20.0), Some(true), "Tight in depth"),
            (sized(69.0, 38.0, 19.0), Some(true), "Fits in depth"),
            (sized(70.0, 38.0, 19.0), Some(true), "Tight across"),
            (Pickup { depth: None, ..sized(69.0, 38.0, 19.0) }, None, "Not known in depth: measure the pickup"),
            (Pickup { depth: None, ..sized(71.0, 38.0, 19.0) }, Some(false), "Too large across"),
        ] {
            let found = clearance(&pickup, &guitar, &place, None);
            assert_eq!(found.fits, fits, "{:?}", found.size);
            assert!(found.size.iter().any(|line| line.contains(part)), "{part}: {:?}", found.size);
        }
    }

    #[test]
    fn a_depth_is_told_in_inches_too() {
        let guitar = bench::guitar();
        let place = Place { depth: Some(Millimetres(22.0)), ..guitar.places[0].clone() };
        let found = clearance(&sized(69.0, 38.0, 20.5), &guitar, &place, None);
        let told: Vec<&str> = found.size_in_inches.iter().flatten().map(|told| told.decimal_inch.as_str()).collect();
        let wanted = "0.807 in in an opening of 0.866 in leaves 0.059 in, and lead, solder, spring and height travel need \
                      0.079 in to 0.118 in";
        assert!(told.iter().any(|line| line.contains(wanted)), "{told:?}");
        assert!(!told.iter().any(|line| line.contains(" mm")), "{told:?}");
    }

    fn low_strings() -> Guitar {
        Guitar {
            last_fret: Some(22),
            height_bass: Some(Millimetres(2.0)),
            height_treble: Some(Millimetres(1.6)),
            ..bench::guitar()
        }
    }

    fn heard(guitar: &Guitar, gaps: [f64; 2], strings: Strings, faces: Faces) -> Hung {
        let over = Over::of(Some(guitar), guitar.places[0].sides(), faces);
        Hung { gaps: gaps.map(Millimetres), strings, over }
    }

    #[test]
    fn heights_start_where_the_open_strings_were_heard() {
        let (guitar, pickup) = (low_strings(), sized(69.0, 38.0, 19.0));
        let place = guitar.places[0].clone();
        // The 22nd fret stands 181.86 mm from the saddle and this place 162 mm: pressed there, the strings come down by
        // 1.78 and 1.43 mm.
        let open = Strings::Open {};
        let found = clearance(&pickup, &guitar, &place, Some(heard(&guitar, [4.4, 3.6], open, Faces::Down)));
        let shown = |found: &Clearance| found.gaps.clone().map(|gap| (gap.value.0 * 100.0).round() / 100.0);
        assert_eq!(shown(&found), [2.62, 2.17]);
        assert!(found.gaps_from.contains("open strings as in the audition (4.4 mm and 3.6 mm)"), "{}", found.gaps_from);
        assert!(found.gaps_from.contains("3.6 mm nearer to it"), "{}", found.gaps_from);
        // Under a rig that faces up it is the number itself.
        let pressed = Strings::Pressed { at: 22 };
        let same = clearance(&pickup, &guitar, &place, Some(heard(&guitar, [2.6, 2.1], pressed, Faces::Up)));
        assert_eq!(shown(&same), [2.6, 2.1]);
        // A rig can come nearer to the open strings than an installed pickup can.
        let near = clearance(&pickup, &guitar, &place, Some(heard(&guitar, [2.4, 2.0], open, Faces::Down)));
        assert!(near.gaps_from.contains("can't come so near") && near.gaps[0].value.0 > 1.4, "{near:?}");
        let none = clearance(&pickup, &guitar, &place, Some(heard(&guitar, [0.0, 1.9], open, Faces::Down)));
        assert!(none.gaps_from.contains("common practice") && none.gaps[0].value.0 > 1.0);
        // Without the height of the strings it says so.
        let plain = bench::guitar();
        let guess = clearance(&pickup, &plain, &place, Some(heard(&plain, [4.4, 3.6], open, Faces::Down)));
        assert!(guess.gaps_from.contains("usual height stands in"), "{}", guess.gaps_from);
    }

    #[test]
    fn the_roll_changes_coils_and_sign() {
        let rig = Rig::four_terminal("rig");
        let pickup = bench::pickup(Construction::SideBySide);
        let way = way_round(&pickup, &bench::guitar(), &rig, None, false, &[Mode::new("series")]);
        assert_eq!((way.coil_at_bridge, way.coil_at_bridge_in_rig), (Some(CoilName::B), Some(CoilName::A)));
        assert!(way.bass_end.contains("notch"), "{}", way.bass_end);
        assert!(way.rig_changed.iter().any(|line| line.contains("other sign")), "{:?}", way.rig_changed);
        // That its coils changed places is said of the edge, and not once more.
        assert!(way.bridge_edge.contains("hung face down"), "{}", way.bridge_edge);
        assert!(way.rig_changed.iter().all(|line| !line.contains("each other's place")), "{:?}", way.rig_changed);
        // Of one coil alone it tells where that is planned.
        let of = |mode: &str| way_round(&pickup, &bench::guitar(), &rig, None, false, &[Mode::new(mode)]).rig_changed;
        let alone = |mode: &str| of(mode).iter().any(|line| line.contains("coil A alone"));
        assert!(alone("single") && !alone("series"), "{:?} {:?}", of("single"), of("series"));
        let up = Rig { faces: Faces::Up, ..rig.clone() };
        let way = way_round(&pickup, &bench::guitar(), &up, None, true, &[]);
        assert_eq!(way.coil_at_bridge_in_rig, Some(CoilName::B));
        let plain = Pickup { bass_end_mark: String::new(), ..pickup };
        // It is marked while it is in the rig; out of it nobody can any more.
        let bass_end = |taken_down| way_round(&plain, &bench::guitar(), &up, None, taken_down, &[]).bass_end;
        assert!(bass_end(false).contains("Mark the end"), "{}", bass_end(false));
        assert!(!bass_end(true).contains("before you take it out"), "{}", bass_end(true));
        assert!(bass_end(true).contains("If you marked the end"), "{}", bass_end(true));
    }
}
