//! The verdict, the suspects and the next measurement, in plain words.

use super::act::{InstallMistake, cause, is_of_readings, look, made};
use super::probe::AtTheGuitar;
use super::work::{Explained, Worked, candidates};
use super::{InstallCause, JackTaken, ProofLine, ProofNext};
use crate::fault::{Outcome, Suspect, how_sure, shows, tells_most};
use crate::meter::DiagnosisKind;
use crate::meter::agree::digits;
use crate::network::Seen;
use crate::record::claim::Meter;
use crate::record::quantity::Reading;
use crate::record::wiring::JackProbe;
use crate::record::words::listed;
use crate::wiring::JackCase;
use crate::wiring::circuit::InstallCircuit;
use crate::wiring::jack::in_words;

/// The most causes alike that are named.
const MOST_ALIKE: usize = 6;
/// With this share of all that is followed, a reading may have been taken otherwise than written (a place to start).
const MAYBE_READ_OTHERWISE: f64 = 0.1;
/// The most causes that are followed when a measurement is weighed.
const MOST_FOLLOWED: usize = 40;

/// What a reading may be beside what an explanation tells, as a share of it and in ohms beside that, before it is none.
const BESIDE: (f64, f64) = (0.1, 5.0);

/// The likeliest explanations in words; where no cause explains the readings, none that leaves one of them beside what was read.
pub(super) fn suspects<const N: usize>(
    worked: &Worked<N>,
    meter: &Meter,
    kind: DiagnosisKind,
) -> Vec<Suspect<InstallCause>> {
    let wanted = |one: &Explained<N>| kind != DiagnosisKind::Unexplained || meets(worked, one, meter);
    worked.ranking.shown(wanted).map(|explanation| suspect(worked, explanation)).collect()
}

/// Whether what an explanation tells of each reading is near what was read.
fn meets<const N: usize>(worked: &Worked<N>, explanation: &Explained<N>, meter: &Meter) -> bool {
    let values = worked.values(explanation);
    explanation.forms.iter().zip(&worked.taken).all(|(seen, taken)| match (seen, taken.reading) {
        // These were held against each other before anything was fitted.
        (Seen::Open | Seen::Short, _) | (_, Reading::OverLimit) => true,
        (_, Reading::Ohms(read)) => {
            let (share, ohms) = BESIDE;
            (seen.ohms(&values) - read.0).abs() <= share * read.0 + ohms + meter.claim(read).0
        }
    })
}

fn causes_of<const N: usize>(worked: &Worked<N>, member: usize) -> Vec<InstallCause> {
    let act = worked.singles.get(member).map_or(InstallMistake::Nothing, |single| single.act);
    cause(worked.circuit, &worked.taken, act).into_iter().collect()
}

fn suspect<const N: usize>(worked: &Worked<N>, explanation: &Explained<N>) -> Suspect<InstallCause> {
    let ranking = &worked.ranking;
    let first = explanation.members.first().copied().unwrap_or(0);
    let causes = causes_of(worked, first);
    let alike: Vec<Vec<InstallCause>> =
        ranking.alike(explanation).take(MOST_ALIKE).map(|member| causes_of(worked, member)).collect();
    Suspect {
        sentence: as_sentence(&named(&causes)),
        why: why(worked, explanation),
        what_to_do: if causes.is_empty() {
            vec!["Nothing that these readings show needs mending.".to_owned()]
        } else {
            causes.iter().map(InstallCause::what_to_do).collect()
        },
        share: explanation.share,
        how_sure: how_sure(ranking.share_of(explanation, first)).to_owned(),
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
fn why<const N: usize>(worked: &Worked<N>, explanation: &Explained<N>) -> String {
    let values = worked.values(explanation);
    let parts: Vec<String> = explanation
        .forms
        .iter()
        .zip(&worked.taken)
        .map(|(seen, taken)| {
            let says = match seen {
                Seen::Open => "reads OL".to_owned(),
                Seen::Short => "reads next to nothing".to_owned(),
                _ => format!(
                    "reads about {} through {}{}",
                    digits(seen.ohms(&values), 2),
                    in_words(worked.circuit, seen),
                    with_other(worked, explanation, seen, &values)
                ),
            };
            format!("{} {says}, and read {}", taken.probe.in_words(worked.circuit), taken.reading.shown())
        })
        .collect();
    crate::record::words::then(&parts)
}

/// What this explanation takes the values to be that it makes other, where they are seen; empty where there are none.
fn with_other<const N: usize>(
    worked: &Worked<N>,
    explanation: &Explained<N>,
    seen: &Seen,
    values: &[f64; N],
) -> String {
    let other: Vec<String> = (0_u8..)
        .zip(values)
        .filter(|(at, _)| seen.has(*at) && worked.is_other(explanation, usize::from(*at)))
        .map(|(at, ohms)| format!("{} at {}", in_words(worked.circuit, &Seen::One(at)), digits(*ohms, 2)))
        .collect();
    if other.is_empty() { String::new() } else { format!(", with {}", listed(&other)) }
}

/// The measurement that tells most for the trouble it takes, why, and how much in bits; nothing when none separates the causes.
/// What can't be measured is left out.
pub(super) fn best<const N: usize>(
    install: &JackCase,
    worked: &Worked<N>,
    cant: &[JackProbe],
) -> Option<(JackProbe, String, f64)> {
    let followed = worked.ranking.followed(MOST_FOLLOWED, usize::MAX);
    let act = |cause: usize| worked.singles[cause].act;
    let wirings: Vec<_> = followed.iter().map(|followed| made(worked.circuit, act(followed.cause))).collect();
    let outcomes = |probe: &JackProbe, outcomes: &mut Vec<(Outcome, f64)>| {
        let Some(meant) = probe.look(worked.circuit) else { return false };
        for (followed, made) in followed.iter().zip(&wirings) {
            // The next reading is taken as it is meant, so only what holds for all readings acts on it.
            let seen = worked.circuit.seen(made, &look(act(followed.cause), u8::MAX, meant)).unwrap_or(Seen::Open);
            let outcome = shows(&seen, || followed.fitted.predicts(&seen, install.meter));
            outcomes.push((outcome, followed.share));
        }
        true
    };
    let mut all = candidates(worked.circuit, &worked.taken);
    all.retain(|probe| !cant.iter().any(|cant| cant.same_place(probe)));
    // Where a reading may have been taken otherwise than written, it is taken once more before anybody opens the guitar.
    let of_readings: f64 = followed.iter().filter(|one| is_of_readings(act(one.cause))).map(|one| one.share).sum();
    let again = |probe: &JackProbe| {
        matches!(probe, JackProbe::Jack { .. }) && worked.taken.iter().any(|taken| &taken.probe == probe)
    };
    let once_more = if of_readings >= MAYBE_READ_OTHERWISE {
        let readings: Vec<JackProbe> = all.iter().filter(|probe| again(probe)).cloned().collect();
        tells_most(readings, outcomes, JackProbe::trouble)
    } else {
        None
    };
    let best = match once_more {
        Some(best) => best,
        None => tells_most(all, outcomes, JackProbe::trouble)?,
    };
    let open: Vec<String> = followed.iter().take(3).map(|followed| named(&causes_of(worked, followed.cause))).collect();
    let why = match open.as_slice() {
        [] | [_] => String::new(),
        _ => format!("It helps to tell apart: {}.", open.join("; or ")),
    };
    Some((best.probe, why, best.bits))
}

/// What may be measured beside the positions: grounds first, then each joint.
pub(super) fn beside(circuit: &InstallCircuit, taken: &[JackTaken]) -> impl Iterator<Item = JackProbe> {
    let (grounds, joints): (Vec<JackProbe>, Vec<JackProbe>) = candidates(circuit, taken)
        .into_iter()
        .filter(JackProbe::is_on_a_joint)
        .partition(|probe| !matches!(probe, JackProbe::AcrossJoint { .. }));
    grounds.into_iter().rev().chain(joints)
}

/// The verdict in words, with how many positions are left, and the readings to be taken again first where nothing explains them.
pub(super) fn verdict(
    kind: DiagnosisKind,
    ranked: &[Suspect<InstallCause>],
    next: Option<&ProofNext>,
    (left, again): (usize, &[&ProofLine]),
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
        DiagnosisKind::Unexplained => unexplained(again),
    }
}

/// The verdict where nothing in the list explains the readings.
fn unexplained(again: &[&ProofLine]) -> String {
    let words: Vec<&str> = again.iter().map(|line| line.words.as_str()).collect();
    let first = match words.as_slice() {
        [] => {
            return "No single usual mistake explains all readings. Look over every joint by the hookup list, and measure every \
                    position again."
                .to_owned();
        }
        [one] => format!("Take this one again first: {one}. If it reads the same"),
        several => format!("Take these again first: {}. If they read the same", several.join("; ")),
    };
    format!("No single usual mistake explains all readings. {first}, look over every joint by the hookup list.")
}

/// Why a reading that is off is taken again first.
pub(super) fn why_again(alone: bool) -> String {
    if alone { "It alone does not read as it should." } else { "It does not read as it should." }.to_owned()
}
