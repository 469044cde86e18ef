//! Slips of the pen among the readings and in the record: asked about before any fault is looked for.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::probe::Taken;
use super::{Case, latest};
use crate::meter::slip::{COIL, slip};
use crate::meter::{Agreement, AgreementKind, Shown, agree_as_written, expected_beside, expected_from};
use crate::record::meter::{Care, Probe};
use crate::record::pickup::Pickup;
use crate::record::quantity::{Ohms, Reading, read_ohms};

/// A question about something that was typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct SlipAt {
    /// The question.
    pub sentence: String,
    /// Where the reading was taken; nothing when it is about what is stated for the coils.
    pub probe: Option<Probe>,
    /// As it was typed.
    pub typed: String,
    /// What may have been meant: `6.66k` or `OL`; empty for what is stated.
    pub instead: String,
}

/// The first slip that would explain readings that don't agree. What was measured again with switch and range looked at is not
/// asked about.
pub(super) fn slip_at(case: &Case, agreement: &Agreement) -> Option<SlipAt> {
    if agreement.kind != AgreementKind::DoesNotAgree {
        return None;
    }
    let readings = latest(case);
    let of_readings =
        readings.iter().filter(|taken| is_open(taken)).find_map(|taken| in_a_reading(case, &readings, taken));
    of_readings.or_else(|| stated(case, &readings))
}

fn is_open(taken: &Taken) -> bool {
    !taken.typed.is_empty() && !matches!(taken.probe, Probe::Output { care: Care::SwitchAndRange, .. })
}

fn shown(readings: &[Taken]) -> Vec<Shown> {
    readings.iter().filter_map(Taken::shown).collect()
}

fn agreed(case: &Case, pickup: &Pickup, readings: &[Taken]) -> Agreement {
    agree_as_written(&shown(readings), pickup, case.rig, case.joined, case.meter, case.room)
}

fn in_a_reading(case: &Case, readings: &[Taken], taken: &Taken) -> Option<SlipAt> {
    let Probe::Output { mode, .. } = &taken.probe else { return None };
    let others: Vec<Taken> = readings.iter().filter(|other| other.probe != taken.probe).cloned().collect();
    let known = agreed(case, case.pickup, &others).implied;
    let expected = expected_beside(case.pickup, case.joined, case.rig, case.meter, case.room, case.measured, &known);
    let expected = expected.into_iter().find(|expectation| &expectation.mode == mode)?;
    if expected.silent.is_some() {
        return None;
    }
    let plausible = expected.low.zip(expected.high).map_or(COIL, |(low, high)| (low.0, high.0));
    let asked = slip(&taken.typed, plausible, case.meter.most_counts())?;
    // A slip that leaves the readings at odds explains nothing.
    let meant = read_ohms(&asked.instead).ok()?;
    let mut instead = readings.to_vec();
    for other in instead.iter_mut().filter(|other| other.probe == taken.probe) {
        (other.reading, other.typed) = (meant, asked.instead.clone());
    }
    let explains =
        meant == Reading::OverLimit || agreed(case, case.pickup, &instead).kind != AgreementKind::DoesNotAgree;
    explains.then(|| SlipAt {
        sentence: format!("In {}: {}", mode.0, asked.sentence),
        probe: Some(taken.probe.clone()),
        typed: taken.typed.clone(),
        instead: asked.instead,
    })
}

/// What is stated for the coils, three powers of ten away from what they read.
fn stated(case: &Case, readings: &[Taken]) -> Option<SlipAt> {
    let first = case.pickup.coils.iter().find_map(|coil| Some((coil.name, coil.stated?)))?;
    let expected = expected_from(case.pickup, case.joined, case.rig, case.meter, case.room, &[]);
    let far = shown(readings).into_iter().any(|shown| {
        let nominal = expected.iter().find(|one| one.mode == shown.mode).and_then(|one| one.nominal);
        let ratio = nominal.zip(shown.reading.ohms()).map(|(nominal, read)| (read.0 / nominal.0).ln().abs());
        // Three powers of ten, with room for windings and unequal coils.
        ratio.is_some_and(|ratio| (100_f64.ln()..10_000_f64.ln()).contains(&ratio))
    });
    if !far {
        return None;
    }
    [1e3, 1e-3].into_iter().find_map(|factor| {
        let mut pickup = case.pickup.clone();
        for stated in pickup.coils.iter_mut().filter_map(|coil| coil.stated.as_mut()) {
            *stated = Ohms(stated.0 * factor);
        }
        let found = agreed(case, &pickup, readings);
        let explains = found.kind != AgreementKind::DoesNotAgree;
        explains.then(|| SlipAt {
            sentence: format!(
                "The pickup's record says {} for coil {}, and the readings are those of about {}. Look at the letter in the record.",
                first.1.shown(),
                first.0.letter(),
                Ohms(first.1.0 * factor).shown()
            ),
            probe: None,
            typed: first.1.shown(),
            instead: String::new(),
        })
    })
}

impl Taken {
    /// As what a mode showed at the output; nothing for a reading elsewhere.
    pub(super) fn shown(&self) -> Option<Shown> {
        let Probe::Output { mode, .. } = &self.probe else { return None };
        Some(Shown { mode: mode.clone(), reading: self.reading, last_digit: self.last_digit() })
    }
}
