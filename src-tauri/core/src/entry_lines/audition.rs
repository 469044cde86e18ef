//! Entries about what is chosen, set up and measured in an audition, in words.

use crate::entry_lines::reason::why;
use crate::record::audition::{Choice, HookedUp};
use crate::record::body::AuditionBody;
use crate::record::gaps::GapsMeasured;
use crate::record::leads::Contact;
use crate::record::meter::terminal_name;
use crate::record::quantity::{LengthUnit, Millimetres};
use crate::record::seat::FinishAnswer;

/// An entry of an audition in words, with the names of its rig's terminals.
pub(super) fn in_words(body: &AuditionBody, unit: LengthUnit, terminals: &[String]) -> String {
    let shown = |length: Millimetres| length.shown(unit);
    match body {
        AuditionBody::Chosen { choice } => chosen(choice, unit),
        AuditionBody::Mounted { mounting } => {
            format!("Pickup {}", mounting.in_words())
        }
        AuditionBody::HookedUp { hooked } => hooked_up(hooked, terminals),
        AuditionBody::ReadingTaken { mode, reading, room, .. } => {
            let room = room.map(|room| format!(" at {}", room.shown())).unwrap_or_default();
            format!("Reading in {}: {}{room}", mode.0, reading.shown())
        }
        AuditionBody::Probed { probe, reading, .. } => {
            format!("Measured {}: {}", probe.in_words_with(terminals), reading.shown())
        }
        AuditionBody::Mended { what } if what.is_empty() => "Something on the rig mended".to_owned(),
        AuditionBody::Mended { what } => format!("Mended: {what}"),
        AuditionBody::FinishAsked { answer } => format!("Finish: {}", finish_in_words(answer)),
        AuditionBody::Seated { seating } => {
            let steady = if seating.steady { "stayed put when nudged" } else { "not steady" };
            format!("Rig seated on {}, {steady}", seating.feet.in_words())
        }
        AuditionBody::GapsMeasured { gaps } => measured(gaps, unit),
        AuditionBody::GapsAimed { aim: None } => "Aim of the gaps: the middle of the starting range".to_owned(),
        AuditionBody::GapsAimed { aim: Some(aim) } => {
            let from = if aim.from.is_some() { ", as in an earlier audition" } else { "" };
            format!("Aim of the gaps: bass {}, treble {}{from}", shown(aim.bass), shown(aim.treble))
        }
        AuditionBody::LevelRead { level } => {
            format!("Level read: {} at a gap of {}", level.level.shown(), shown(level.gap))
        }
        AuditionBody::Tuned { notes } if notes.is_empty() => "Tuned as the guitar's record says".to_owned(),
        AuditionBody::Tuned { notes } => {
            let notes: Vec<String> = notes.iter().map(|note| note.shown()).collect();
            format!("Tuned to {}", notes.join(" "))
        }
        AuditionBody::FinalPlaceChosen { place } => {
            format!("Final place: {}, {}", place.place, along(place.from_saddle, place.from_saddle_treble, unit))
        }
        AuditionBody::StepSkipped { step, why: because } => format!("{} left out{}", step.name(), why(because)),
        AuditionBody::StepTakenUp { step } => format!("{} taken up after all", step.name()),
        AuditionBody::EndedEarly { why: because } => format!("Ended early{}", why(because)),
    }
}

/// What is tried, where, and what for.
fn chosen(choice: &Choice, unit: LengthUnit) -> String {
    let modes: Vec<_> = choice.modes.iter().map(|mode| mode.0.as_str()).collect();
    let question =
        if choice.question.is_empty() { String::new() } else { format!(" To find out: {}", choice.question) };
    format!(
        "Chosen: place {}, {}; {}.{question}",
        choice.place,
        along(choice.from_saddle, choice.from_saddle_treble, unit),
        modes.join(", ")
    )
}

/// A terminal, as its rig names it, and its leads.
fn hooked_up(hooked: &HookedUp, terminals: &[String]) -> String {
    let terminal = terminal_name(terminals, hooked.terminal);
    if hooked.leads.is_empty() {
        format!("Terminal {terminal}: left empty")
    } else {
        let tug = if hooked.tugged { "held when tugged" } else { "not tugged yet" };
        format!(
            "Terminal {terminal}: {}, {tug}",
            hooked.leads.iter().map(Contact::as_str).collect::<Vec<_>>().join(" and ")
        )
    }
}

/// What was answered about a finish.
pub(crate) fn finish_in_words(answer: &FinishAnswer) -> String {
    let mut parts = vec![answer.kind.in_words().to_owned()];
    parts.extend(answer.feet.map(|feet| feet.in_words().to_owned()));
    parts.push(answer.barrier.in_words());
    parts.extend(answer.held_by.map(|held| held.in_words().to_owned()));
    if answer.tried {
        parts.push("tried where it does not show".to_owned());
    }
    if answer.wiped {
        parts.push("grit wiped off".to_owned());
    }
    if !answer.before.is_empty() {
        parts.push(format!("before: {}", answer.before));
    }
    parts.join(", ")
}

/// Gaps as they were measured.
fn measured(gaps: &GapsMeasured, unit: LengthUnit) -> String {
    let shown = |length: Millimetres| length.shown(unit);
    let fret = gaps.pressed_at.map_or_else(|| "strings open".to_owned(), |fret| format!("pressed at fret {fret}"));
    let kept = if gaps.kept { "kept" } else { "to be changed" };
    let between: Vec<String> = gaps.between.iter().map(|gap| gap.map_or_else(|| "?".to_owned(), shown)).collect();
    let between = if between.is_empty() { String::new() } else { format!(", strings between {}", between.join(", ")) };
    format!("Gaps: bass {}, treble {}{between}, {fret}, {kept}", shown(gaps.bass), shown(gaps.treble))
}

/// How far from the saddle, at both sides where they differ.
fn along(bass: Millimetres, treble: Option<Millimetres>, unit: LengthUnit) -> String {
    match treble {
        Some(treble) => format!("{} from the saddle, {} at the treble side", bass.shown(unit), treble.shown(unit)),
        None => format!("{} from the saddle", bass.shown(unit)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::meter::Probe;
    use crate::record::quantity::Reading;
    use crate::record::rig::Mode;

    #[test]
    fn a_terminal_is_called_by_the_name_on_its_rig() {
        let terminals = ["A ground side", "A hot side"].map(str::to_owned);
        let said = |body: &AuditionBody, terminals: &[String]| in_words(body, LengthUnit::Millimetre, terminals);
        let hooked = |terminal| AuditionBody::HookedUp {
            hooked: HookedUp { terminal, leads: vec!["grey".into()], tugged: true },
        };
        assert_eq!(said(&hooked(1), &terminals), "Terminal A hot side: grey, held when tugged");
        assert_eq!(said(&hooked(2), &terminals), "Terminal 3: grey, held when tugged");
        assert_eq!(said(&hooked(1), &[]), "Terminal 2: grey, held when tugged");
        let probe = Probe::Terminals { mode: Mode::new("single"), between: [0, 1] };
        let probed = AuditionBody::Probed { probe, reading: Reading::OverLimit, typed: "OL".to_owned(), sure: false };
        assert!(
            said(&probed, &terminals).starts_with("Measured between terminals A ground side and A hot side, in single")
        );
    }
}
