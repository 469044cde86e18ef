//! What the jack is to read in each position, what was read there, and what that comes to.

use super::fold::Install;
use super::page::{JackLine, ProofReading};
use super::sheet::Sheet;
use super::slips::{InstallSlip, slip_at};
use crate::audition::{ProbedLine, Unexplained};
use crate::physics::meter::{DiagnosisKind, SHORT_BELOW};
use crate::physics::wiring;
use crate::physics::wiring::{JackCase, JackReading, JackTaken, Proof};
use crate::record::controls::{TrackWiring, VolumeLayout};
use crate::record::install::InstallTask;
use crate::record::quantity::Reading;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::wiring::{JackProbe, Volumes};
use crate::record::words::listed;

/// What stays open where nobody can tell how the volumes are wired, and how to find out.
const VOLUMES_NOT_KNOWN: &str = "How the volumes are wired is not known, so nothing is expected with one turned down. To find out, put \
                                 both pickups on and turn one volume to zero: where all goes silent it is the usual way, where \
                                 only one does it is independent. Then write it into the guitar's record.";

/// What readings tell that were taken before every joint is made.
const NOT_SOLDERED: &str =
    "That is the wiring as it is now: not every joint is ticked as soldered. Once all are, measure again.";

/// Readings to expect, what was read, and what that comes to.
pub(super) fn jack(install: &Install, case: &JackCase, planned: bool, sheet: &mut Sheet) {
    let expected = wiring::jack_readings(case);
    let taken: Vec<JackTaken> = install.evidence.iter().map(|saved| saved.said.clone()).collect();
    let proof = wiring::prove_without(case, &taken, &install.cant);
    // Each position once with the volume at full, and one at zero; others where somebody measured them.
    let wanted = |one: &&JackReading| {
        let read = install.readings.iter().any(|read| read.said.set == one.set);
        one.set.volumes == Volumes::Full {} || read || proof.left.contains(&one.set)
    };
    let lines = expected.iter().filter(wanted).map(|one| JackLine {
        at: one.set.clone(),
        words: one.words.clone(),
        shown: with_band(one),
        why: one.sentence.clone(),
    });
    sheet.jack.lines = lines.collect();
    if matches!(case.path.layout, VolumeLayout::EachPlace { track: TrackWiring::NotKnown, .. }) {
        sheet.jack.notes.push(VOLUMES_NOT_KNOWN.to_owned());
    }
    // What is the same of each band is said once.
    let mut holds: Vec<String> = Vec::new();
    for part in expected.iter().filter(wanted).flat_map(|one| &one.holds) {
        if !holds.contains(part) {
            holds.push(part.clone());
        }
    }
    if !holds.is_empty() {
        // The meter's claim comes last.
        let meter = holds.iter().position(|part| part.starts_with("the meter")).map(|at| holds.remove(at));
        holds.extend(meter);
        sheet.jack.notes.push(format!("Each band holds {}.", listed(&holds)));
    }
    if !planned {
        return;
    }
    sheet.readings = expected.iter().filter(wanted).map(|one| proof_reading(install, &proof, one)).collect();
    let in_table =
        |probe: &JackProbe| matches!(probe, JackProbe::Jack { set } if expected.iter().any(|one| one.set == *set));
    sheet.probed = install
        .evidence
        .iter()
        .filter(|saved| !in_table(&saved.said.probe))
        .filter_map(|saved| {
            let words = wiring::probe_in_words(case, &saved.said.probe)?;
            Some(ProbedLine { entry: saved.entry, words, reading: saved.said.reading.shown() })
        })
        .collect();
    sheet.beside = proof.beside.clone();
    sheet.unexplained = unexplained(&proof, &taken);
    if !taken.is_empty() {
        let slip = slip_at(install, case, &expected, &proof, &taken);
        judge(install, proof, slip, sheet);
    }
}

fn with_band(one: &JackReading) -> String {
    if one.band.is_empty() { one.shown.clone() } else { format!("{} ({})", one.shown, one.band) }
}

/// Whether a cause was found, or the readings are off without one.
fn is_wrong(kind: DiagnosisKind) -> bool {
    matches!(kind, DiagnosisKind::Found | DiagnosisKind::CantTellApart | DiagnosisKind::Unexplained)
}

/// A position of the table: what to expect there, what was read, and whether that agrees.
fn proof_reading(install: &Install, proof: &Proof, one: &JackReading) -> ProofReading {
    let at_jack = JackProbe::Jack { set: one.set.clone() };
    let agrees = proof.readings.iter().find(|line| line.probe == at_jack).and_then(|line| line.agrees);
    let read = install.readings.iter().find(|read| read.said.set == one.set);
    let verdict = read.map(|_| match agrees {
        Some(true) => Verdict::new(VerdictKind::Good, "As expected", ""),
        Some(false) => Verdict::new(VerdictKind::Bad, "Not as expected", ""),
        None if is_wrong(proof.kind) => Verdict::new(VerdictKind::Unsure, "Weighed together with the others", ""),
        None => Verdict::new(VerdictKind::Unsure, "Nothing to hold it against by itself", ""),
    });
    ProofReading {
        at: one.set.clone(),
        words: one.words.clone(),
        expected: with_band(one),
        plausible: one.low.zip(one.high).map(|(low, high)| [low, high]),
        reading: read.map(|read| read.said.taken.reading.shown()),
        entry: read.map(|read| read.entry),
        verdict,
    }
}

/// Whether the jack reads shorted or open where it should not.
fn unexplained(proof: &Proof, taken: &[JackTaken]) -> Unexplained {
    let off = |test: fn(Reading) -> bool| {
        proof.readings.iter().filter(|line| line.agrees == Some(false)).any(|line| {
            let last = taken.iter().rev().find(|taken| taken.probe == line.probe);
            matches!(line.probe, JackProbe::Jack { .. }) && last.is_some_and(|taken| test(taken.reading))
        })
    };
    Unexplained {
        short: off(|reading| reading.ohms().is_some_and(|ohms| ohms.0 < SHORT_BELOW)),
        open: off(|reading| reading == Reading::OverLimit),
    }
}

/// What the readings come to: the verdict by the proof alone, the rest with a slip of the pen in mind.
fn judge(install: &Install, proof: Proof, slip: Option<InstallSlip>, sheet: &mut Sheet) {
    let soldered = install.acts.contains_key(&InstallTask::Joined);
    let (kind, word) = match proof.kind {
        DiagnosisKind::NothingYet => return,
        DiagnosisKind::NotEnough => (VerdictKind::Unsure, "Well so far"),
        DiagnosisKind::AllWell if soldered => (VerdictKind::Good, "As it should be"),
        DiagnosisKind::AllWell => (VerdictKind::Good, "Well as it is now"),
        DiagnosisKind::Found => (VerdictKind::Bad, "Something is wrong"),
        DiagnosisKind::CantTellApart | DiagnosisKind::Unexplained => (VerdictKind::Bad, "Not as it should be"),
    };
    let proof = match &slip {
        Some(slip) => not_sure_yet(proof, slip),
        None => proof,
    };
    sheet.slip = slip;
    let sentence = if soldered || is_wrong(proof.kind) {
        proof.sentence.clone()
    } else {
        format!("{} {NOT_SOLDERED}", proof.sentence)
    };
    sheet.proof = Some(Verdict::new(kind, word, sentence));
    sheet.diagnosis = is_wrong(proof.kind).then_some(proof);
}

/// While a slip of the pen explains the readings as well, no cause is sure, and no other measurement is asked for.
fn not_sure_yet(mut proof: Proof, slip: &InstallSlip) -> Proof {
    proof.kind = DiagnosisKind::CantTellApart;
    proof.sentence = format!("Was it typed as it was read? {}", slip.sentence);
    proof.next = None;
    for suspect in &mut proof.ranked {
        if matches!(suspect.how_sure.as_str(), "almost sure" | "very likely") {
            "likely".clone_into(&mut suspect.how_sure);
        }
    }
    proof
}
