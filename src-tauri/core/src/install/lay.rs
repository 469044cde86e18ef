//! How the pickup comes to lie in its place, and whether it fits there.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::Mounting;
use crate::facing::{EndsAre, Lie, facing};
use crate::gaps::{Reach, Under, possible};
use crate::guitar::{Guitar, Hand, Place};
use crate::pickup::{CoilName, Pickup};
use crate::quantity::{Length, LengthUnit, Millimetres};
use crate::rig::{Faces, Rig};
use crate::strings::{OUTER_LIMIT, StringsView, strings_over_poles};

/// Which way round the pickup goes in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
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
}

/// Whether the pickup fits its place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct FitAt {
    /// Whether it fits as far as was measured; nothing when too little was.
    pub fits: Option<bool>,
    /// Opening and depth against the pickup's size, in sentences.
    pub size: Vec<String>,
    /// Where to start with the heights: bass and treble side, from pole to string.
    pub gaps: [Length; 2],
    /// Where these are from, in a sentence.
    pub gaps_from: String,
    /// The strings over the poles at this place.
    pub strings: StringsView,
}

/// A pickup needs this much more room than it measures, in millimetres (common practice).
const ROOM: f64 = 0.5;

/// Which way round a pickup goes into a guitar, and what the rig had changed. `mounting` is how it lay in the audition.
#[must_use]
pub fn way_round(pickup: &Pickup, guitar: &Guitar, rig: &Rig, mounting: Option<&Mounting>) -> InstallWay {
    let mark = pickup.bass_end_mark.trim();
    let marked = !mark.is_empty();
    let lie = mounting.map_or_else(|| Lie::right(rig.faces), Mounting::lies);
    let in_rig = facing(lie, marked, Some(pickup), Some(rig), &[]);
    // Installed it lies as in a rig that holds it poles up.
    let above = Rig { faces: Faces::Up, ..rig.clone() };
    let installed = facing(Lie::INSTALLED, true, Some(pickup), Some(&above), &[]);
    let hand = match guitar.hand {
        Hand::Right => "",
        Hand::Left => " On this left-handed guitar the bass strings are on the other side than in most pictures.",
    };
    let bass_end = match (marked, in_rig.ends) {
        (true, EndsAre::Reversed) => format!(
            "The end with the mark ({mark}) goes to the bass strings. In the audition it lay over the treble strings, so turn it \
             round against that.{hand}"
        ),
        (true, _) => format!("The end with the mark ({mark}) goes to the bass strings.{hand}"),
        (false, _) => format!(
            "Its ends are not marked. Mark the end that lay over the bass strings in the audition before you take it out of the \
             rig; that end goes to the bass strings.{hand}"
        ),
    };
    let bridge_edge = match (installed.coil_at_bridge, in_rig.coil_at_bridge) {
        (Some(here), Some(there)) if here != there => format!(
            "Coil {} goes to the bridge. In the rig coil {} was nearer the bridge, because the pickup hung face down.",
            here.letter(),
            there.letter()
        ),
        (Some(here), _) => {
            format!(
                "Coil {} goes to the bridge; with the bass end right and the poles up it comes so by itself.",
                here.letter()
            )
        }
        (None, _) => "With the bass end right and the poles up, the right edge faces the bridge by itself.".to_owned(),
    };
    let mut rig_changed: Vec<String> = in_rig.alone.iter().map(|alone| alone.sentence.clone()).collect();
    if rig.faces == Faces::Down {
        if rig_changed.is_empty() && pickup.has_coils_side_by_side() {
            rig_changed.push("In the rig its two coils lay in each other's place along the strings.".to_owned());
        }
        rig_changed.push(
            "In the rig the strings swung below the poles, so the signal had the other sign. Installed it \
             has the sign that a tap with steel on its poles shows."
                .to_owned(),
        );
    }
    InstallWay {
        marked,
        coil_at_bridge: installed.coil_at_bridge,
        coil_at_bridge_in_rig: in_rig.coil_at_bridge,
        bass_end,
        bridge_edge,
        rig_changed,
    }
}

/// Whether a pickup fits a place, where its heights start, and how the strings lie over its poles there. `gaps` are those
/// of the audition, bass and treble side.
#[must_use]
pub fn fit_at(pickup: &Pickup, guitar: &Guitar, place: &Place, gaps: Option<[Millimetres; 2]>) -> FitAt {
    let mm = |length: Millimetres| length.shown(LengthUnit::Millimetre);
    let mut size = Vec::new();
    let mut fits = Some(true);
    for (what, needs, has, add) in [
        ("across the strings", pickup.length, place.opening_length, ROOM),
        ("along the strings", pickup.width, place.opening_width, ROOM),
        ("in depth", pickup.depth, place.depth, 0.0),
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
                } else if left < add {
                    size.push(format!(
                        "Tight {what}: {} in an opening of {}. Try it without force.",
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
    let under = Under::at(pickup.construction, place.from_saddle, guitar.scale);
    let sound = gaps.filter(|gaps| gaps.iter().all(|gap| possible(*gap).is_ok()));
    let gaps_from = match sound {
        Some(gaps) => {
            let reach = match under.reach(gaps) {
                Reach::Pulls => {
                    " That is near for this place: listen whether the wound strings warble, and go lower if they do."
                }
                Reach::TooFar => " That is far for this place: raise it until it is heard well.",
                Reach::Fine => "",
            };
            format!("As in the audition; a place to start, and then by ear.{reach}")
        }
        None => "The middle of the usual range for this kind of pickup at this place (common practice); then by ear."
            .to_owned(),
    };
    FitAt {
        fits,
        size,
        gaps: sound.unwrap_or_else(|| under.middle()).map(Length::from),
        gaps_from,
        strings: strings_over_poles(guitar, pickup, place.from_saddle, Millimetres(0.0), OUTER_LIMIT),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facing::bench;
    use crate::pickup::Construction;

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
            depth: Some(Millimetres(20.0)),
            ..guitar.places[0].clone()
        };
        for (pickup, fits, part) in [
            (sized(69.0, 38.0, 19.0), Some(true), "Fits across"),
            (sized(69.8, 38.0, 19.0), Some(true), "Tight across"),
            (sized(71.0, 38.0, 19.0), Some(false), "Too large across"),
            (sized(69.0, 38.0, 21.0), Some(false), "Too large in depth"),
            (Pickup { depth: None, ..sized(69.0, 38.0, 19.0) }, None, "Not known in depth: measure the pickup"),
            (Pickup { depth: None, ..sized(71.0, 38.0, 19.0) }, Some(false), "Too large across"),
        ] {
            let found = fit_at(&pickup, &guitar, &place, None);
            assert_eq!(found.fits, fits, "{:?}", found.size);
            assert!(found.size.iter().any(|line| line.contains(part)), "{part}: {:?}", found.size);
        }
    }

    #[test]
    fn heights_start_where_they_were_heard() {
        let (guitar, pickup) = (bench::guitar(), sized(69.0, 38.0, 19.0));
        let place = guitar.places[0].clone();
        let heard = fit_at(&pickup, &guitar, &place, Some([Millimetres(2.4), Millimetres(1.9)]));
        assert_eq!(heard.gaps.clone().map(|gap| gap.value.0), [2.4, 1.9]);
        assert!(heard.gaps_from.contains("As in the audition"));
        let none = fit_at(&pickup, &guitar, &place, Some([Millimetres(0.0), Millimetres(1.9)]));
        assert!(none.gaps_from.contains("common practice") && none.gaps[0].value.0 > 1.0);
    }

    #[test]
    fn the_roll_changes_coils_and_sign() {
        let rig = Rig::four_terminal("rig");
        let pickup = bench::pickup(Construction::SideBySide);
        let way = way_round(&pickup, &bench::guitar(), &rig, None);
        assert_eq!((way.coil_at_bridge, way.coil_at_bridge_in_rig), (Some(CoilName::B), Some(CoilName::A)));
        assert!(way.bass_end.contains("notch"), "{}", way.bass_end);
        assert!(way.rig_changed.iter().any(|line| line.contains("other sign")), "{:?}", way.rig_changed);
        let up = Rig { faces: Faces::Up, ..rig };
        let way = way_round(&pickup, &bench::guitar(), &up, None);
        assert_eq!(way.coil_at_bridge_in_rig, Some(CoilName::B));
        let plain = Pickup { bass_end_mark: String::new(), ..pickup };
        assert!(way_round(&plain, &bench::guitar(), &up, None).bass_end.contains("not marked"));
    }
}
