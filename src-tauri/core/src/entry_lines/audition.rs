//! Entries about what is chosen, set up and measured in an audition, in words.

use crate::entry_lines::reason::why;
use crate::record::audition::{Choice, HookedUp};
use crate::record::body::AuditionBody;
use crate::record::gaps::GapsMeasured;
use crate::record::leads::Contact;
use crate::record::quantity::{LengthUnit, Millimetres};
use crate::record::seat::FinishAnswer;

/// An entry of an audition in words.
pub(super) fn in_words(body: &AuditionBody) -> String {
    match body {
        AuditionBody::Chosen { choice } => chosen(choice),
        AuditionBody::Mounted { mounting } => {
            format!("Pickup {}", mounting.in_words())
        }
        AuditionBody::HookedUp { hooked } => hooked_up(hooked),
        AuditionBody::ReadingTaken { mode, reading, room, .. } => {
            let room = room.map(|room| format!(" at {}", room.shown())).unwrap_or_default();
            format!("Reading in {}: {}{room}", mode.0, reading.shown())
        }
        AuditionBody::Probed { probe, reading, .. } => {
            format!("Measured {}: {}", probe.in_words(), reading.shown())
        }
        AuditionBody::Mended { what } if what.is_empty() => "Something on the rig mended".to_owned(),
        AuditionBody::Mended { what } => format!("Mended: {what}"),
        AuditionBody::FinishAsked { answer } => finish(answer),
        AuditionBody::Seated { seating } => {
            let steady = if seating.steady { "stayed put when nudged" } else { "not steady" };
            format!("Rig seated on {}, {steady}", seating.feet.in_words())
        }
        AuditionBody::GapsMeasured { gaps } => measured(gaps),
        AuditionBody::GapsAimed { aim: None } => "Aim of the gaps: the middle of the starting range".to_owned(),
        AuditionBody::GapsAimed { aim: Some(aim) } => {
            let from = if aim.from.is_some() { ", as in an earlier audition" } else { "" };
            format!("Aim of the gaps: bass {}, treble {}{from}", mm(aim.bass), mm(aim.treble))
        }
        AuditionBody::LevelRead { level } => {
            format!("Level read: {} at a gap of {}", level.level.shown(), mm(level.gap))
        }
        AuditionBody::Tuned { notes } if notes.is_empty() => "Tuned as the guitar's record says".to_owned(),
        AuditionBody::Tuned { notes } => {
            let notes: Vec<String> = notes.iter().map(|note| note.shown()).collect();
            format!("Tuned to {}", notes.join(" "))
        }
        AuditionBody::FinalPlaceChosen { place } => {
            format!("Final place: {}, {}", place.place, along(place.from_saddle, place.from_saddle_treble))
        }
        AuditionBody::StepSkipped { step, why: because } => format!("{} left out{}", step.name(), why(because)),
        AuditionBody::StepTakenUp { step } => format!("{} taken up after all", step.name()),
        AuditionBody::EndedEarly { why: because } => format!("Ended early{}", why(because)),
    }
}

/// What is tried, where, and what for.
fn chosen(choice: &Choice) -> String {
    let modes: Vec<_> = choice.modes.iter().map(|mode| mode.0.as_str()).collect();
    let question =
        if choice.question.is_empty() { String::new() } else { format!(" To find out: {}", choice.question) };
    format!(
        "Chosen: place {}, {}; {}.{question}",
        choice.place,
        along(choice.from_saddle, choice.from_saddle_treble),
        modes.join(", ")
    )
}

/// A terminal and its leads.
fn hooked_up(hooked: &HookedUp) -> String {
    let terminal = u16::from(hooked.terminal) + 1;
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
fn finish(answer: &FinishAnswer) -> String {
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
    format!("Finish: {}", parts.join(", "))
}

/// Gaps as they were measured.
fn measured(gaps: &GapsMeasured) -> String {
    let fret = gaps.pressed_at.map_or_else(|| "strings open".to_owned(), |fret| format!("pressed at fret {fret}"));
    let kept = if gaps.kept { "kept" } else { "to be changed" };
    let between: Vec<String> = gaps.between.iter().map(|gap| gap.map_or_else(|| "?".to_owned(), mm)).collect();
    let between = if between.is_empty() { String::new() } else { format!(", strings between {}", between.join(", ")) };
    format!("Gaps: bass {}, treble {}{between}, {fret}, {kept}", mm(gaps.bass), mm(gaps.treble))
}

fn mm(length: Millimetres) -> String {
    length.shown(LengthUnit::Millimetre)
}

/// How far from the saddle, at both sides where they differ.
fn along(bass: Millimetres, treble: Option<Millimetres>) -> String {
    match treble {
        Some(treble) => format!("{} from the saddle, {} at the treble side", mm(bass), mm(treble)),
        None => format!("{} from the saddle", mm(bass)),
    }
}
