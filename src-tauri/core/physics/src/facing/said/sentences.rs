//! What a lie comes to, in sentences.

use super::{EdgeIs, EndsAre, Facing, PolesFace, Signal, StaggerIs};
use crate::coils::coil_distance;
use crate::facing::heard::{CoilAt, HeardAlone, coils_in};
use crate::lies::InSpace;
use crate::record::mounting::{Lie, Way};
use crate::record::pickup::{CoilEnd, CoilName, Pickup, Stagger};
use crate::record::quantity::{InInches, Length, LengthUnit, Millimetres};
use crate::record::rig::{Faces, Rig};
use crate::record::words::capital;
use crate::sides::way_of;

/// What no lie in this rig can bring back, found by trying all 24.
pub(super) fn cannot(faces: Faces, beside: bool) -> Vec<String> {
    let poles = Lie::right(faces).poles;
    let edge_too = Lie::all().any(|lie| {
        lie.poles == poles
            && lie.bass_end == Way::Bass
            && lie
                .rotation()
                .is_some_and(|rotation| way_of(&rotation.matrix().column(0).into_owned()) == Some(Way::Bridge))
    });
    let mut cannot = Vec::new();
    if !edge_too {
        cannot.push(if beside {
            "No turn can mend all: face down, with its bass end at the bass strings, its two coils change places along the strings."
                .to_owned()
        } else {
            "No turn can mend all: face down, with its bass end at the bass strings, its two edges change places along the strings."
                .to_owned()
        });
    }
    if faces == Faces::Down {
        cannot.push(
            "The strings swing below the poles instead of above them, so the signal's sign is turned over, however it \
             lies. Alone you can't hear it; beside another pickup you can."
                .to_owned(),
        );
    }
    cannot
}

/// That the distance of the coils is taken for granted, and where to write one's own; nothing where the record says it.
fn taken_for(pickup: &Pickup, unit: LengthUnit) -> String {
    let (distance, is_known) = coil_distance(pickup);
    if is_known {
        return String::new();
    }
    format!(
        " That takes the coils to be {} apart, as is common: nobody has measured it. Write your own into the pickup's record.",
        distance.shown(unit)
    )
}

pub(super) fn heard_alone(
    pickup: &Pickup,
    rig: &Rig,
    leads: &[(CoilEnd, u8)],
    coils: &[CoilAt],
    edge: EdgeIs,
    stacked: bool,
) -> Vec<HeardAlone> {
    rig.positions
        .iter()
        .filter_map(|position| {
            let [coil] = coils_in(position, pickup, leads)[..] else { return None };
            let at = coils.iter().find(|at| at.coil == coil)?;
            let apart = Millimetres((at.in_rig.0 - at.installed.0).abs());
            let side = |offset: f64| if offset > 0.0 { "nearer the bridge" } else { "nearer the neck" };
            let (mode, letter) = (&position.mode.0, coil.letter());
            let (sentence, sentence_in_inches) = InInches::told(|unit| {
                let shown = |length: f64| Millimetres(length.abs()).shown(unit);
                let sentence = if stacked {
                    // In the rig the upper coil may hang below: it is told by the poles' face.
                    let first = pickup.coils.first().is_some_and(|first| first.name == coil);
                    let which = if first { "the one at the face" } else { "the one at the back" };
                    format!("{mode} is coil {letter} alone, {which}, at the same place along the strings.")
                } else {
                    match edge {
                        EdgeIs::AsInstalled => format!("{mode} is coil {letter} alone, where it will be when installed."),
                        EdgeIs::Swapped => format!(
                            "{mode} is coil {letter} alone, {} {} than the pole line. Installed it is {} {}: what you hear is \
                             {} away from where it will be.{}",
                            shown(at.in_rig.0),
                            side(at.in_rig.0),
                            shown(at.installed.0),
                            side(at.installed.0),
                            shown(apart.0),
                            taken_for(pickup, unit)
                        ),
                        EdgeIs::Unmarked => format!(
                            "{mode} is coil {letter} alone. Without a mark it can't be said whether it is where it will be when installed."
                        ),
                        EdgeIs::Astray => format!("{mode} is coil {letter} alone, but it does not lie along the strings as it should."),
                    }
                };
                capital(&sentence)
            });
            let mode = position.mode.clone();
            Some(HeardAlone { mode, coil, apart: Length::from(apart), sentence, sentence_in_inches })
        })
        .collect()
}

pub(super) fn sentences(said: &Facing, pickup: Option<&Pickup>) -> Vec<String> {
    let lie = said.lie;
    let mut all = vec![match said.poles {
        PolesFace::Strings => "Its poles face the strings.".to_owned(),
        PolesFace::Away => "Its back is to the strings: the poles face away from them.".to_owned(),
        PolesFace::Sideways => format!("Its poles point {}, not at the strings.", lie.poles.in_words()),
    }];
    all.push(match said.ends {
        EndsAre::Right => "Its bass end lies over the bass strings.".to_owned(),
        EndsAre::Reversed => "Its bass end lies over the treble strings.".to_owned(),
        EndsAre::Astray => format!("Its bass end points {}: it does not lie across the strings.", lie.bass_end.in_words()),
        EndsAre::Unmarked => {
            "Its ends are not marked, so it can't be said which is over the bass strings. Mark one with a pencil on tape."
                .to_owned()
        }
    });
    let coil = said.coil_at_bridge.map(CoilName::letter);
    match (said.edge, coil) {
        (EdgeIs::AsInstalled, Some(coil)) => all.push(format!(
            "The edge that faces the bridge is the one that will face it when installed. Coil {coil} is nearest the bridge."
        )),
        (EdgeIs::AsInstalled, None) => {
            all.push("The edge that faces the bridge is the one that will face it when installed.".to_owned());
        }
        (EdgeIs::Swapped, Some(coil)) => all.push(format!(
            "Its edges have changed places: the one that will face the bridge faces the neck now. Coil {coil} is nearest the \
             bridge instead."
        )),
        (EdgeIs::Swapped, None) => all.push(
            "Its edges have changed places: the one that will face the bridge when installed faces the neck now.".to_owned(),
        ),
        (EdgeIs::Astray | EdgeIs::Unmarked, _) => {}
    }
    if let Some(coil) = said.coil_at_strings {
        all.push(format!("Coil {} is nearest the strings.", coil.letter()));
    }
    let no_heights = pickup.is_some_and(|p| matches!(&p.stagger, Stagger::Staggered { heights } if heights.is_empty()));
    all.push(match said.stagger {
        StaggerIs::Right if no_heights => {
            "Its poles stand at different heights, as yet not measured, and each meets the string it is made for.".to_owned()
        }
        StaggerIs::Right => "Its poles stand at different heights, and each meets the string it is made for.".to_owned(),
        StaggerIs::Reversed => {
            "Its poles stand at different heights, and bass poles are over treble strings: the balance between strings is wrong."
                .to_owned()
        }
        StaggerIs::OtherCount => {
            "Its poles stand at different heights, made for another number of strings: the strings balance differently."
                .to_owned()
        }
        StaggerIs::Astray => "As long as its poles don't face the strings, their heights say nothing.".to_owned(),
        StaggerIs::NoMatter => "Its two ends are alike for the strings, so nothing is lost if they change places.".to_owned(),
        StaggerIs::NotKnown if said.ends == EndsAre::Unmarked => {
            "Which pole meets which string can't be said until one end is marked.".to_owned()
        }
        StaggerIs::NotKnown => {
            "Not recorded yet: whether its poles stand at different heights. Look at them from the side.".to_owned()
        }
    });
    all.push(match said.signal {
        Signal::AsInstalled => "The signal's sign is the same as installed.".to_owned(),
        Signal::TurnedOver => "The signal's sign is turned over against the installed pickup.".to_owned(),
        Signal::CantSay => "Lying like this, nothing can be said about the signal's sign.".to_owned(),
    });
    all
}
