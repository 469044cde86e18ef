//! The proof of an install: whether the readings are those of a good one, and what is wrong when they are not.

mod act;
mod bounds;
mod cause;
mod evidence;
mod pretend;
mod probe;
mod words;
mod work;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::wiring::JackProbe;
pub use cause::InstallCause;
pub use pretend::{InstallGiven, install_causes, install_outcomes, install_probes, install_values, install_would_read};
pub use probe::JackTaken;

use self::act::Stands;
use self::probe::AtTheGuitar;
use self::work::{Worked, counted, work_out};
use super::JackCase;
use super::circuit::InstallCircuit;
use super::jack::{NEXT_TO_NOTHING, expect, expected, sets};
use super::known::{PickupKnown, known};
use crate::fault::{STILL_WELL, SURE, Suspect};
use crate::meter::DiagnosisKind;
use crate::record::quantity::Ohms;
use crate::record::wiring::{JackSet, Volumes};

/// Metal that is well soldered reads less than this, in ohms; the meter's own leads have up to half an ohm (from memory).
pub(crate) const GOOD_JOINT: f64 = 2.0;

/// What resistance can't show on an installed pickup, to be said with every verdict.
pub const PROOF_CANNOT_SHOW: &str = "At the jack resistance can't show hot and ground exchanged, a pot case or strings without \
                                     ground, a shorted turn or a weak magnet. The tap test, a probe on pot case and bridge, and \
                                     a listen do.";

/// What the readings of an install come to. Its parts are named as those of the rig's diagnosis are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct Proof {
    /// The verdict.
    pub kind: DiagnosisKind,
    /// The verdict in words.
    pub sentence: String,
    /// Each reading beside what was expected, in the order taken.
    pub readings: Vec<ProofLine>,
    /// The likeliest causes, the likeliest first.
    pub ranked: Vec<Suspect<InstallCause>>,
    /// The one measurement that tells most; or, while all is well, the next position to measure.
    pub next: Option<ProofNext>,
    /// Positions that are still to be measured.
    pub left: Vec<JackSet>,
    /// What resistance can't show.
    pub cannot_show: String,
    /// Down to what a poor joint would have shown in the readings, in a sentence; empty where something is off.
    pub joints: String,
    /// What may be measured beside the positions at any time: across joints, pot cases, the bridge.
    pub beside: Vec<ProofNext>,
}

/// One reading beside what was expected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct ProofLine {
    /// Where it was taken.
    pub probe: JackProbe,
    /// The same in words.
    pub words: String,
    /// What was read.
    pub read: String,
    /// What was expected.
    pub expected: String,
    /// Whether it lies within the band; nothing where there is none.
    pub agrees: Option<bool>,
}

/// The next measurement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct ProofNext {
    /// Where to put the probes.
    pub probe: JackProbe,
    /// What to do, in a sentence.
    pub sentence: String,
    /// What it separates, in words; empty for a position that was not measured yet.
    pub why: String,
    /// How much it is expected to tell, in bits.
    pub bits: f64,
    /// The least and the most that is read there in a good install, in ohms, where that is known.
    pub plausible: Option<[Ohms; 2]>,
}

/// Ranks what may be wrong with an install, and names the one next measurement.
///
/// Of readings with the same probe and everything standing alike, the last counts. A reading outside its band is never put
/// down to nothing being wrong.
#[must_use]
pub fn prove(install: &JackCase, taken: &[JackTaken]) -> Proof {
    prove_without(install, taken, &[])
}

/// The same where somebody can't measure everything: what lies on the metal of `cant` is not asked for next.
#[must_use]
pub fn prove_without(install: &JackCase, taken: &[JackTaken], cant: &[JackProbe]) -> Proof {
    let circuit = InstallCircuit::new(install);
    // As many values as the guitar needs: matrices grow with their square.
    match circuit.values.len() {
        0..=5 => prove_with::<5>(install, &circuit, taken, cant),
        6..=8 => prove_with::<8>(install, &circuit, taken, cant),
        9..=12 => prove_with::<12>(install, &circuit, taken, cant),
        _ => prove_with::<20>(install, &circuit, taken, cant),
    }
}

/// Where a probe is put, in words; nothing when this guitar has no such position, point or lead.
#[must_use]
pub fn probe_in_words(install: &JackCase, probe: &JackProbe) -> Option<String> {
    let circuit = InstallCircuit::new(install);
    probe.look(&circuit).map(|_| probe.in_words(&circuit))
}

fn prove_with<const N: usize>(
    install: &JackCase,
    circuit: &InstallCircuit,
    taken: &[JackTaken],
    cant: &[JackProbe],
) -> Proof {
    let known = known(install, circuit);
    let counted = counted(taken);
    let readings: Vec<ProofLine> = counted.iter().filter_map(|taken| line(install, circuit, &known, taken)).collect();
    let left = left(circuit, &counted);
    let off = readings.iter().any(|line| line.agrees == Some(false));
    let stands: Vec<Stands> = readings
        .iter()
        .map(|line| Stands {
            off: line.agrees != Some(true),
            again: taken.iter().filter(|taken| taken.probe == line.probe).count() > 1,
        })
        .collect();
    let worked = work_out::<N>(install, circuit, &known, &counted, &stands, off);
    let kind = kind(&worked, off, &readings, &left);
    let ranked = words::suspects(&worked, install.meter, kind);
    let again = if kind == DiagnosisKind::Unexplained { off_once(&readings, &stands, cant) } else { Vec::new() };
    // Where all others agree, one that was read or written wrongly explains everything.
    let others_agree = again.len() < readings.len()
        && readings.iter().all(|line| line.agrees == Some(true) || again.iter().any(|one| one.probe == line.probe));
    let joints = if off { String::new() } else { bounds::in_words(install, circuit, &known, &worked.taken) };
    let asked = |probe: JackProbe, why: String, bits: f64| ProofNext {
        sentence: match &probe {
            // It may have been taken with a switch elsewhere.
            JackProbe::Jack { .. } if worked.taken.iter().any(|taken| taken.probe == probe) => {
                format!("Once more, each switch set until it clicks. {}", probe.sentence(circuit))
            }
            _ => probe.sentence(circuit),
        },
        plausible: plausible(install, circuit, &known, &probe),
        why,
        probe,
        bits,
    };
    let next = match kind {
        DiagnosisKind::NothingYet | DiagnosisKind::NotEnough => {
            left.first().map(|set| asked(JackProbe::Jack { set: set.clone() }, String::new(), 0.0))
        }
        DiagnosisKind::CantTellApart => {
            words::best(install, &worked, cant).map(|(probe, why, bits)| asked(probe, why, bits))
        }
        DiagnosisKind::Unexplained => match again.first() {
            Some(line) => Some(asked(line.probe.clone(), words::why_again(again.len() == 1 && others_agree), 0.0)),
            None => {
                // What agrees, or reads the same once more, is not asked for again.
                let read = worked.taken.iter().map(|taken| taken.probe.clone());
                let spared: Vec<JackProbe> = cant.iter().cloned().chain(read).collect();
                words::best(install, &worked, &spared).map(|(probe, why, bits)| asked(probe, why, bits))
            }
        },
        DiagnosisKind::AllWell | DiagnosisKind::Found => None,
    };
    Proof {
        kind,
        sentence: words::verdict(kind, &ranked, next.as_ref(), (left.len(), again.as_slice()), &joints),
        beside: words::beside(circuit, &worked.taken)
            .map(|probe| {
                let words = probe.in_words(circuit);
                asked(probe, words, 0.0)
            })
            .collect(),
        joints,
        readings,
        ranked,
        next,
        left,
        cannot_show: PROOF_CANNOT_SHOW.to_owned(),
    }
}

/// The readings at the jack that are off and were taken but once: one of them may have been read or written wrongly.
fn off_once<'a>(readings: &'a [ProofLine], stands: &[Stands], cant: &[JackProbe]) -> Vec<&'a ProofLine> {
    readings
        .iter()
        .zip(stands)
        .filter(|(line, stands)| line.agrees == Some(false) && !stands.again)
        .map(|(line, _)| line)
        .filter(|line| matches!(line.probe, JackProbe::Jack { .. }))
        .filter(|line| !cant.iter().any(|cant| cant.same_place(&line.probe)))
        .collect()
}

/// What can be read at a probe of a good install, so that a slip of the pen is asked about; nothing where that is not known.
fn plausible(
    install: &JackCase,
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    probe: &JackProbe,
) -> Option<[Ohms; 2]> {
    if probe.is_on_a_joint() {
        return Some([Ohms(0.0), Ohms(GOOD_JOINT)]);
    }
    let [_, low, high] = expected(install, circuit, known, &probe.look(circuit)?)?;
    Some([Ohms(low), Ohms(high)])
}

/// One reading beside what was expected there; nothing for a probe that this guitar does not have.
fn line(
    install: &JackCase,
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    taken: &JackTaken,
) -> Option<ProofLine> {
    let look = taken.probe.look(circuit)?;
    let short = if taken.probe.is_on_a_joint() { GOOD_JOINT } else { NEXT_TO_NOTHING };
    let (expected, agrees) = expect(install, circuit, known, &look, taken.reading, short);
    Some(ProofLine {
        probe: taken.probe.clone(),
        words: taken.probe.in_words(circuit),
        read: taken.reading.shown(),
        expected,
        agrees,
    })
}

/// Positions that are still to be measured: each once with the volume at full, and one with it at zero.
fn left(circuit: &InstallCircuit, taken: &[JackTaken]) -> Vec<JackSet> {
    let measured =
        |set: &JackSet| taken.iter().any(|t| matches!(&t.probe, JackProbe::Jack { set: other } if other == set));
    let all = sets(circuit);
    let full = all.iter().filter(|set| set.volumes == Volumes::Full {});
    let mut left: Vec<JackSet> = full.filter(|set| !measured(set)).cloned().collect();
    let at_zero = |set: &&JackSet| set.volumes == Volumes::Zero {} && circuit.hears_new(&set.selector);
    if !all.iter().filter(at_zero).any(measured) {
        left.extend(all.iter().find(at_zero).cloned());
    }
    left
}

fn kind<const N: usize>(worked: &Worked<N>, off: bool, readings: &[ProofLine], left: &[JackSet]) -> DiagnosisKind {
    if worked.taken.is_empty() {
        return DiagnosisKind::NothingYet;
    }
    let ranking = &worked.ranking;
    if !off && ranking.share_with(0) >= STILL_WELL {
        let told = readings.iter().all(|line| line.agrees.is_some());
        return if left.is_empty() && told { DiagnosisKind::AllWell } else { DiagnosisKind::NotEnough };
    }
    let Some(first) = ranking.explanations.first().filter(|first| first.share > ranking.unlisted) else {
        return DiagnosisKind::Unexplained;
    };
    let surest = first.members.first().map_or(0.0, |member| ranking.share_of(first, *member));
    if surest >= SURE { DiagnosisKind::Found } else { DiagnosisKind::CantTellApart }
}

#[cfg(test)]
mod tests;
