//! The verdict, the suspects and what a measurement separates, in plain words.

use super::forms::Forms;
use super::next::NextMeasurement;
use super::slips::SlipAt;
use super::{Case, Cause, DiagnosisKind, Worked};
use crate::fault::Fitted;
use crate::fault::{Explanation, Suspect, how_sure};
use crate::meter::Agreement;
use crate::meter::agree::digits;
use crate::meter::circuit::{RigCircuit, VALUES};
use crate::meter::evidence::Adjusted;
use crate::network::Seen;
use crate::record::claim::{Meter, MeterRange};
use crate::record::meter::Probe;
use crate::record::words::listed;

/// The most causes alike that are named.
const MOST_ALIKE: usize = 5;
/// No cause is called more than likely from one reading, or while a slip of the pen explains as much.
const LIKELY_AT_MOST: f64 = 0.89;
/// From this share on a cause is called very likely.
const VERY_LIKELY: f64 = 0.93;
/// A range that reaches as far as this shows every pickup, in ohms (common practice).
const RANGE_FOR_A_PICKUP: f64 = 19_000.0;
/// So likely must one more measurement settle it for that to be said, and to be hoped.
const TELLS: f64 = 0.95;
const MAY_TELL: f64 = 0.4;

type Explained = Explanation<(u16, Adjusted), Fitted<VALUES>>;

/// The likeliest explanations in words. One that is the first with something added is left out. `open` says that something
/// else has to be asked first, or that there is too little to be sure of anything.
pub(super) fn suspects(worked: &Worked, forms: &Forms, case: &Case, open: bool) -> Vec<Suspect<Cause>> {
    let first = worked.ranking.first().unwrap_or(0);
    let adds_to_first = |explanation: &Explained| {
        let member = explanation.members.first().copied().unwrap_or(0);
        first != 0 && member != first && worked.includes(member, first)
    };
    let shown = worked.ranking.shown(|explanation| !adds_to_first(explanation));
    shown.map(|explanation| suspect(worked, forms, explanation, case, open)).collect()
}

fn suspect(worked: &Worked, forms: &Forms, explanation: &Explained, case: &Case, open: bool) -> Suspect<Cause> {
    let first = explanation.members.first().copied().unwrap_or(0);
    let causes = causes_of(worked, first);
    let alike: Vec<Vec<Cause>> = worked
        .ranking
        .alike(explanation)
        .filter(|member| !worked.includes(*member, first))
        .take(MOST_ALIKE)
        .map(|member| causes_of(worked, member))
        .collect();
    Suspect {
        sentence: named(&causes, true),
        why: why(worked, forms, explanation),
        what_to_do: if causes.is_empty() {
            vec!["Nothing to mend. Go on.".to_owned()]
        } else {
            causes.iter().map(|cause| what_to_do(cause, case.meter)).collect()
        },
        share: explanation.share,
        how_sure: called(worked.at_work(first).min(if open { LIKELY_AT_MOST } else { 1.0 })).to_owned(),
        alike: alike.iter().map(|causes| named(causes, false)).collect(),
        alike_causes: alike,
        causes,
    }
}

/// What to do about a cause, with the ranges that this meter has.
fn what_to_do(cause: &Cause, meter: &Meter) -> String {
    let high_enough = |range: &&MeterRange| range.top.0 >= RANGE_FOR_A_PICKUP;
    match (cause, meter.ranges.iter().find(high_enough)) {
        (Cause::RangeTooLow { .. }, Some(range)) => {
            let lower: Vec<String> =
                meter.ranges.iter().filter(|range| !high_enough(range)).map(|range| range.top.shown()).collect();
            let lower = if lower.is_empty() {
                String::new()
            } else {
                format!(" On its ranges up to {} a pickup can read OL.", listed(&lower))
            };
            format!("Turn the meter to {} or more, and measure again.{lower}", range.top.shown())
        }
        _ => cause.what_to_do(),
    }
}

pub(super) fn causes_of(worked: &Worked, hypothesis: usize) -> Vec<Cause> {
    let taken: Vec<_> = worked.taken.iter().map(|(taken, _)| taken.clone()).collect();
    let acts =
        worked.hypotheses.get(hypothesis).map_or([super::act::RigMistake::Nothing; 2], |hypothesis| hypothesis.acts);
    acts.into_iter().filter_map(|act| worked.acts.cause(worked.circuit, &taken, act, acts)).collect()
}

/// `Moss is not clamped, and coil B is broken inside.`
fn named(causes: &[Cause], as_sentence: bool) -> String {
    let words: Vec<String> = causes.iter().map(Cause::in_words).collect();
    let text =
        if words.is_empty() { "nothing is wrong that these readings show".to_owned() } else { words.join(", and ") };
    if !as_sentence {
        return text;
    }
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

/// How sure a cause is called, so that the word is earned on pretended benches: a pair of causes that is not in the list can
/// take a cause's share up to here.
fn called(share: f64) -> &'static str {
    how_sure(if share < VERY_LIKELY { share.min(LIKELY_AT_MOST) } else { share })
}

/// What the explanation predicts for each reading, beside what was read.
fn why(worked: &Worked, forms: &Forms, explanation: &Explained) -> String {
    let values = explanation.fitted.logs.map(f64::exp);
    let parts: Vec<String> = explanation
        .forms
        .iter()
        .zip(&worked.taken)
        .map(|((form, adjusted), (taken, _))| {
            let seen = forms.get(*form);
            let ohms = seen.ohms(&values);
            let says = match seen {
                Seen::Open => "OL".to_owned(),
                Seen::Short => "next to nothing".to_owned(),
                _ if adjusted.range_low => "OL".to_owned(),
                _ => format!("about {}", digits(ohms * 10_f64.powi(i32::from(adjusted.power)), 2)),
            };
            let through = match seen {
                Seen::Open | Seen::Short => String::new(),
                _ => format!(" through {}", worked.circuit.in_words(seen)),
            };
            format!("{} reads {says}{through}, and read {}", place(worked.circuit, &taken.probe), taken.reading.shown())
        })
        .collect();
    crate::record::words::then(&parts)
}

fn place(circuit: &RigCircuit, probe: &Probe) -> String {
    let name = |place: &u8| circuit.terminals.get(usize::from(*place)).cloned().unwrap_or_default();
    match probe {
        Probe::Output { mode, .. } => mode.0.clone(),
        Probe::Terminals { mode, between: [a, b] } => format!("terminal {} to {} in {}", name(a), name(b), mode.0),
        Probe::Leads { between: [a, b], .. } => format!("{} to {}", a.in_words(), b.in_words()),
        Probe::LeadAt { lead, terminal, .. } => format!("{} to terminal {}", lead.in_words(), name(terminal)),
    }
}

/// What a measurement is for: the likeliest causes that are still open.
pub(super) fn separates(worked: &Worked, followed: &[usize]) -> String {
    let causes: Vec<String> =
        followed.iter().take(3).map(|hypothesis| named(&causes_of(worked, *hypothesis), false)).collect();
    match causes.as_slice() {
        [] | [_] => String::new(),
        _ => format!("It helps to tell apart: {}.", causes.join("; or ")),
    }
}

/// The verdict in words.
pub(super) fn verdict(
    kind: DiagnosisKind,
    agreement: &Agreement,
    ranked: &[Suspect<Cause>],
    next: Option<&NextMeasurement>,
    slip: Option<&SlipAt>,
) -> String {
    if let Some(slip) = slip {
        return slip.sentence.clone();
    }
    let first = ranked.first();
    match kind {
        DiagnosisKind::NothingYet => "No reading yet.".to_owned(),
        DiagnosisKind::NotEnough => "Well so far, but not enough to be sure.".to_owned(),
        DiagnosisKind::AllWell => format!("{} Every mode reads as it should.", agreement.sentence),
        DiagnosisKind::Found => first.map_or_else(String::new, |first| {
            format!("{} That is {}.", first.sentence, first.how_sure)
        }),
        DiagnosisKind::CantTellApart => {
            let mut open: Vec<String> = ranked
                .iter()
                .flat_map(|suspect| std::iter::once(named(&suspect.causes, false)).chain(suspect.alike.iter().cloned()))
                .collect();
            open.truncate(3);
            let open = listed(&open.into_iter().map(|cause| format!("“{cause}”")).collect::<Vec<_>>());
            let next = match next {
                Some(next) if next.settles >= TELLS => "One more measurement tells.".to_owned(),
                Some(next) if next.settles >= MAY_TELL => "One more measurement may tell.".to_owned(),
                Some(_) => "It takes more than one measurement to tell.".to_owned(),
                None => {
                    let act = first.and_then(|first| first.what_to_do.first()).cloned().unwrap_or_default();
                    format!("No further reading tells them apart. {act}")
                }
            };
            format!("Something is wrong. These readings don't tell apart {open}. {next}")
        }
        DiagnosisKind::Unexplained => {
            "None of the usual causes explains these readings together, not even two at once. Take everything out of the rig's \
             output, clamp each lead anew, and measure every mode again."
                .to_owned()
        }
    }
}
