//! The verdict, the suspects and the next measurement, in plain words.

use super::act::{Act, cause, look, made};
use super::probe::AtTheGuitar;
use super::work::{Class, Worked, candidates};
use super::{InstallCause, JackTaken, ProofNext, ProofSuspect};
use crate::meter::DiagnosisKind;
use crate::meter::agree::digits;
use crate::meter::diagnosis::how_sure;
use crate::meter::outcome::{Outcome, bits};
use crate::network::Seen;
use crate::record::wiring::JackProbe;
use crate::record::words::listed;
use crate::wiring::Install;
use crate::wiring::circuit::Circuit;
use crate::wiring::jack::in_words;

/// The most suspects that are shown, and the least share of one.
const MOST_SHOWN: usize = 4;
const LEAST_SHOWN: f64 = 0.01;
/// Causes alike are named down to this part of the commonest of them.
const ALIKE: f64 = 0.04;
const MOST_ALIKE: usize = 6;
/// Causes that are followed when a measurement is weighed.
const MOST_FOLLOWED: usize = 40;
/// Those that are followed make up this share at least, where there are not too many.
const ENOUGH: f64 = 0.995;
/// A measurement that is expected to tell less than this is not worth it, in bits.
const WORTH: f64 = 0.03;

/// The likeliest explanations in words.
pub(super) fn suspects<const N: usize>(worked: &Worked<N>) -> Vec<ProofSuspect> {
    worked
        .classes
        .iter()
        .take(MOST_SHOWN)
        .enumerate()
        .filter(|(place, class)| *place == 0 || class.share >= LEAST_SHOWN)
        .map(|(_, class)| suspect(worked, class))
        .collect()
}

fn causes_of<const N: usize>(worked: &Worked<N>, member: usize) -> Vec<InstallCause> {
    let act = worked.singles.get(member).map_or(Act::Nothing, |single| single.act);
    cause(worked.circuit, &worked.taken, act).into_iter().collect()
}

fn suspect<const N: usize>(worked: &Worked<N>, class: &Class<N>) -> ProofSuspect {
    let first = class.members.first().copied().unwrap_or(0);
    let odds = |member: usize| worked.singles[member].odds;
    let causes = causes_of(worked, first);
    let alike: Vec<Vec<InstallCause>> = class
        .members
        .iter()
        .skip(1)
        .filter(|member| odds(**member) >= ALIKE * odds(first))
        .take(MOST_ALIKE)
        .map(|member| causes_of(worked, *member))
        .collect();
    ProofSuspect {
        sentence: as_sentence(&named(&causes)),
        why: why(worked, class),
        what_to_do: if causes.is_empty() {
            vec!["Nothing that these readings show needs mending.".to_owned()]
        } else {
            causes.iter().map(InstallCause::what_to_do).collect()
        },
        share: class.share,
        how_sure: how_sure(worked.share_of(class, first)).to_owned(),
        alike: alike.iter().map(|causes| named(causes)).collect(),
        alike_causes: alike,
        causes,
    }
}

fn named(causes: &[InstallCause]) -> String {
    match causes {
        [] => "nothing is wrong that these readings show".to_owned(),
        causes => listed(&causes.iter().map(InstallCause::in_words).collect::<Vec<_>>()),
    }
}

fn as_sentence(text: &str) -> String {
    format!("{}.", crate::record::words::capital(text))
}

/// What the explanation predicts for each reading, beside what was read.
fn why<const N: usize>(worked: &Worked<N>, class: &Class<N>) -> String {
    let values = class.fitted.logs.map(f64::exp);
    let parts: Vec<String> = class
        .forms
        .iter()
        .zip(&worked.taken)
        .map(|(seen, taken)| {
            let says = match seen {
                Seen::Open => "reads OL".to_owned(),
                Seen::Short => "reads next to nothing".to_owned(),
                _ => {
                    format!("reads about {} through {}", digits(seen.ohms(&values), 2), in_words(worked.circuit, seen))
                }
            };
            format!("{} {says}, and read {}", taken.probe.in_words(worked.circuit), taken.reading.shown())
        })
        .collect();
    crate::record::words::then(&parts)
}

/// The measurement that tells most for the trouble it takes; nothing when none separates the causes.
pub(super) fn best<const N: usize>(install: &Install, worked: &Worked<N>) -> Option<ProofNext> {
    let mut followed: Vec<(usize, &Class<N>, f64)> = worked
        .classes
        .iter()
        .flat_map(|class| class.members.iter().map(move |member| (*member, class, worked.share_of(class, *member))))
        .collect();
    followed.sort_by(|a, b| b.2.total_cmp(&a.2));
    let all: f64 = followed.iter().map(|(.., share)| share).sum();
    let mut sum = 0.0;
    let enough = followed.iter().position(|(.., share)| {
        sum += share;
        sum >= ENOUGH * all
    });
    followed.truncate(enough.map_or(MOST_FOLLOWED, |last| (last + 1).min(MOST_FOLLOWED)));
    let wirings: Vec<_> =
        followed.iter().map(|(member, ..)| made(worked.circuit, worked.singles[*member].act)).collect();
    let mut best: Option<(JackProbe, f64, f64)> = None;
    let mut outcomes: Vec<(Outcome, f64)> = Vec::with_capacity(followed.len());
    for probe in candidates(worked.circuit, &worked.taken) {
        let Some(meant) = probe.look(worked.circuit) else { continue };
        outcomes.clear();
        for ((member, class, share), made) in followed.iter().zip(&wirings) {
            // The next reading is taken as it is meant, so only what holds for all readings acts on it.
            let seen = worked.circuit.seen(made, &look(worked.singles[*member].act, u8::MAX, meant));
            let outcome = match seen.unwrap_or(Seen::Open) {
                Seen::Open => Outcome::Open,
                Seen::Short => Outcome::Short,
                seen => class
                    .fitted
                    .predicts(&seen, install.meter)
                    .map_or(Outcome::Open, |(log, spread)| Outcome::Number(log, spread)),
            };
            outcomes.push((outcome, *share));
        }
        let bits = bits(&mut outcomes);
        let score = bits / probe.trouble();
        if bits >= WORTH && best.as_ref().is_none_or(|(.., most)| score > most + 1e-9) {
            best = Some((probe, bits, score));
        }
    }
    let (probe, bits, _) = best?;
    let open: Vec<String> = followed.iter().take(3).map(|(member, ..)| named(&causes_of(worked, *member))).collect();
    let why = match open.as_slice() {
        [] | [_] => String::new(),
        _ => format!("It helps to tell apart: {}.", open.join("; or ")),
    };
    Some(ProofNext { sentence: probe.sentence(worked.circuit), why, probe, bits })
}

/// What may be measured beside the positions: grounds first, then each joint.
pub(super) fn beside(circuit: &Circuit, taken: &[JackTaken]) -> Vec<ProofNext> {
    let (grounds, joints): (Vec<JackProbe>, Vec<JackProbe>) = candidates(circuit, taken)
        .into_iter()
        .filter(JackProbe::is_on_a_joint)
        .partition(|probe| !matches!(probe, JackProbe::AcrossJoint { .. }));
    let next = |probe: JackProbe| ProofNext {
        sentence: probe.sentence(circuit),
        why: probe.in_words(circuit),
        probe,
        bits: 0.0,
    };
    grounds.into_iter().rev().chain(joints).map(next).collect()
}

/// The verdict in words.
pub(super) fn verdict(
    kind: DiagnosisKind,
    ranked: &[ProofSuspect],
    next: Option<&ProofNext>,
    left: usize,
    joints: &str,
) -> String {
    let first = ranked.first();
    match kind {
        DiagnosisKind::NothingYet => "No reading yet.".to_owned(),
        DiagnosisKind::NotEnough => match left {
            0 => "Well so far, but not every pickup is known, so it can't be sure.".to_owned(),
            1 => "Well so far. One position is left to measure.".to_owned(),
            left => format!("Well so far. {left} positions are left to measure."),
        },
        DiagnosisKind::AllWell if joints.is_empty() => "Every position reads as it should.".to_owned(),
        DiagnosisKind::AllWell => format!("Every position reads as it should. {joints}"),
        DiagnosisKind::Found => {
            first.map_or_else(String::new, |first| format!("{} That is {}.", first.sentence, first.how_sure))
        }
        DiagnosisKind::CantTellApart => {
            let mut open: Vec<String> = ranked
                .iter()
                .flat_map(|suspect| std::iter::once(named(&suspect.causes)).chain(suspect.alike.iter().cloned()))
                .collect();
            open.truncate(3);
            let open = listed(&open.into_iter().map(|cause| format!("“{cause}”")).collect::<Vec<_>>());
            let next = match next {
                Some(_) => "One more measurement tells more.",
                None => "No further reading separates them: look, tug, and mend one after the other.",
            };
            format!("Something is wrong. These readings don't tell apart {open}. {next}")
        }
        DiagnosisKind::Unexplained => {
            "None of the usual mistakes explains these readings. Look over every joint by the hookup list, and measure every \
             position again."
                .to_owned()
        }
    }
}
