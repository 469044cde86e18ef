//! Slips of the pen among the readings and in the record: asked about before any fault is looked for.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::probe::Taken;
use super::{Case, latest};
use crate::meter::circuit::{RigCircuit, RigLook};
use crate::meter::slip::{COIL, USUAL_COIL, is_doubtful, slip};
use crate::meter::{
    Agreement, AgreementKind, COPPER_PER_DEGREE, ROOM_WITHIN, SHORT_BELOW, Shown, WINDING, agree_as_written, copper,
    expected_beside,
};
use crate::network::Seen;
use crate::record::meter::{Care, Probe};
use crate::record::pickup::{Coil, CoilName, Pickup};
use crate::record::quantity::{Ohms, Reading, read_ohms};

/// Two stated figures are the same within this share: one of them for each coil.
const ALIKE: f64 = 0.005;

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
    if let Some(doubted) = doubtful_record(case, &readings).or_else(|| of_both(case, &readings)) {
        return Some(doubted);
    }
    let of_readings =
        readings.iter().filter(|taken| is_open(taken)).find_map(|taken| in_a_reading(case, &readings, taken));
    of_readings.or_else(|| stated(case, agreement, &readings)).or_else(|| in_every_reading(case, &readings))
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
    // A record that can hardly be is no reason to doubt a reading that can.
    let usual = taken.reading.ohms().is_some_and(is_usual);
    if expected.silent.is_some() || (usual && case.pickup.coils.iter().any(is_doubted)) {
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

fn is_doubted(coil: &Coil) -> bool {
    coil.stated.is_some_and(is_doubtful)
}

fn in_the_record(case: &Case, coil: CoilName, stated: Ohms, read: Ohms, look: &str) -> SlipAt {
    let of = if case.pickup.coils.len() > 1 { format!(" for coil {}", coil.letter()) } else { String::new() };
    SlipAt {
        sentence: format!(
            "The pickup's record says {}{of}, and the readings are those of about {}. Look at the {look} in the record.",
            stated.shown(),
            read.shown()
        ),
        probe: None,
        typed: stated.shown(),
        instead: String::new(),
    }
}

/// What no coil commonly has, where the readings are those of a usual one with the point or the letter elsewhere.
fn doubtful_record(case: &Case, readings: &[Taken]) -> Option<SlipAt> {
    let first = case.pickup.coils.iter().find(|coil| is_doubted(coil))?;
    let stated = first.stated?;
    [0.1, 10.0, 0.01, 100.0, 1e-3, 1e3].into_iter().find_map(|factor: f64| {
        let mut pickup = case.pickup.clone();
        for coil in pickup.coils.iter_mut().filter(|coil| is_doubted(coil)) {
            coil.stated = coil.stated.map(|ohms| Ohms(ohms.0 * factor));
        }
        let explains = pickup.coils.iter().all(|coil| coil.stated.is_none_or(is_usual))
            && agreed(case, &pickup, readings).kind != AgreementKind::DoesNotAgree;
        let look = if factor.log10().abs() > 2.5 { "letter" } else { "point" };
        explains.then(|| in_the_record(case, first.name, stated, Ohms(stated.0 * factor), look))
    })
}

/// One figure for one of two coils, or the same for each, where both in series read as much: sellers state a pickup as a whole.
/// Also the half of each, where what was stated for one was taken for the whole.
fn of_both(case: &Case, readings: &[Taken]) -> Option<SlipAt> {
    let [a, b] = case.pickup.coils.as_slice() else { return None };
    let (coil, stated) = match (a.stated, b.stated) {
        (Some(stated), None) => (a, stated),
        (None, Some(stated)) => (b, stated),
        (Some(stated), Some(other)) if (stated.0 / other.0 - 1.0).abs() < ALIKE => {
            return of_each(case, readings, stated);
        }
        (Some(_), Some(_)) | (None, None) => return None,
    };
    let mut whole = false;
    for shown in shown(readings) {
        let Some(ohms) = shown.reading.ohms() else { continue };
        let as_stated = reads_as_stated(case, ohms, stated);
        if as_stated && in_series(case, &shown) {
            whole = true;
        } else if as_stated || ohms.0 < SHORT_BELOW {
            // One coil reads as much as is stated for one, or something is shorted: the record may be right.
            return None;
        }
    }
    if !whole {
        return None;
    }
    // Coils that are not alike have not the half each.
    let half = Ohms(stated.0 / 2.0);
    let mut halved = case.pickup.clone();
    halved.coils.iter_mut().for_each(|coil| coil.stated = Some(half));
    let numbers: Vec<Taken> = readings.iter().filter(|taken| taken.reading.ohms().is_some()).cloned().collect();
    let then = if agreed(case, &halved, &numbers).kind == AgreementKind::DoesNotAgree {
        "Then that is of both together.".to_owned()
    } else {
        format!("Then each has about {}.", half.shown())
    };
    Some(SlipAt {
        sentence: format!(
            "The pickup's record says {} for coil {} alone, and both coils in series read as much. {then} Put the record right first.",
            stated.shown(),
            coil.name.letter(),
        ),
        probe: None,
        typed: stated.shown(),
        instead: String::new(),
    })
}

/// The same figure for each of two coils, where each of them reads half of it or twice as much. Both in series have to be among
/// the readings: what a switch in another position shows of coils as stated is no more than that.
fn of_each(case: &Case, readings: &[Taken], stated: Ohms) -> Option<SlipAt> {
    let shown = shown(readings);
    if shown.len() < 2 || !shown.iter().any(|shown| in_series(case, shown)) {
        return None;
    }
    let each = [0.5, 2.0].into_iter().map(|factor| Ohms(stated.0 * factor)).find(|each| {
        let mut pickup = case.pickup.clone();
        pickup.coils.iter_mut().for_each(|coil| coil.stated = Some(*each));
        is_usual(*each) && agreed(case, &pickup, readings).kind != AgreementKind::DoesNotAgree
    })?;
    let (stated, about) = (stated.shown(), each.shown());
    Some(SlipAt {
        sentence: format!(
            "The pickup's record says {stated} for each coil, and each reads about {about}. Put the record right first."
        ),
        probe: None,
        typed: stated,
        instead: String::new(),
    })
}

/// Whether this is about what is stated: as far off as winding, the room's warmth and the meter may make it.
fn reads_as_stated(case: &Case, read: Ohms, stated: Ohms) -> bool {
    let room = if case.room.is_some() { 0.0 } else { COPPER_PER_DEGREE * ROOM_WITHIN };
    let warm = stated.0 * case.room.map_or(1.0, copper);
    let claim = case.meter.claim(read).0;
    (warm * (1.0 - WINDING) * (1.0 - room) - claim..=warm * (1.0 + WINDING) * (1.0 + room) + claim).contains(&read.0)
}

/// Whether coils are one after the other in the mode of a reading.
fn in_series(case: &Case, shown: &Shown) -> bool {
    let circuit = RigCircuit::new(case.pickup, case.joined, case.rig);
    let at = circuit.position(&shown.mode).map(RigLook::output);
    matches!(at.and_then(|look| circuit.seen(&circuit.meant, &look)), Some(Seen::Series(_)))
}

fn is_usual(ohms: Ohms) -> bool {
    (USUAL_COIL.0..=USUAL_COIL.1).contains(&ohms.0)
}

/// What is stated for the coils or for one of them, powers of ten away from what they read. A letter may be wrong beside one
/// reading; a point is doubted in the record where more than one reading is off, and never for a coil that can hardly be.
fn stated(case: &Case, agreement: &Agreement, readings: &[Taken]) -> Option<SlipAt> {
    let all: Vec<CoilName> =
        case.pickup.coils.iter().filter(|coil| coil.stated.is_some()).map(|coil| coil.name).collect();
    let off = agreement.per_mode.iter().filter(|one| one.kind == AgreementKind::DoesNotAgree).count();
    let letter = [1e3, 1e-3].map(|factor| (factor, COIL, "letter"));
    let point = [10.0, 0.1, 100.0, 0.01].map(|factor| (factor, USUAL_COIL, "point"));
    let one_by_one = all.iter().filter(|_| all.len() > 1).map(|name| vec![*name]);
    let of: Vec<Vec<CoilName>> = std::iter::once(all.clone()).chain(one_by_one).collect();
    letter.into_iter().chain(point.into_iter().filter(|_| off > 1)).find_map(|(factor, can_be, look)| {
        of.iter().find_map(|of| {
            let first = case.pickup.coils.iter().find(|coil| of.contains(&coil.name))?;
            let stated = first.stated?;
            let mut pickup = case.pickup.clone();
            for coil in pickup.coils.iter_mut().filter(|coil| of.contains(&coil.name)) {
                coil.stated = coil.stated.map(|ohms| Ohms(ohms.0 * factor));
            }
            let fits = |coil: &Coil| coil.stated.is_none_or(|ohms| (can_be.0..=can_be.1).contains(&ohms.0));
            let changed = pickup.coils.iter().filter(|coil| of.contains(&coil.name)).all(fits);
            let explains = changed && agreed(case, &pickup, readings).kind != AgreementKind::DoesNotAgree;
            explains.then(|| in_the_record(case, first.name, stated, Ohms(stated.0 * factor), look))
        })
    })
}

/// The same slip in more than one reading: an M for a k all along. The first of them is asked about.
fn in_every_reading(case: &Case, readings: &[Taken]) -> Option<SlipAt> {
    let expected = expected_beside(case.pickup, case.joined, case.rig, case.meter, case.room, case.measured, &[]);
    let mut instead = readings.to_vec();
    let mut first = None;
    let doubted = case.pickup.coils.iter().any(is_doubted);
    for (taken, meant) in readings.iter().zip(&mut instead).filter(|(taken, _)| is_open(taken)) {
        if doubted && taken.reading.ohms().is_some_and(is_usual) {
            continue;
        }
        let Probe::Output { mode, .. } = &taken.probe else { continue };
        let Some(expected) = expected.iter().find(|one| &one.mode == mode && one.silent.is_none()) else { continue };
        let Some((low, high)) = expected.low.zip(expected.high) else { continue };
        let Some(asked) = slip(&taken.typed, (low.0, high.0), case.meter.most_counts()) else { continue };
        let Ok(reading) = read_ohms(&asked.instead) else { continue };
        (meant.reading, meant.typed) = (reading, asked.instead.clone());
        first = first.or_else(|| {
            Some(SlipAt {
                sentence: format!("In {}: {}", mode.0, asked.sentence),
                probe: Some(taken.probe.clone()),
                typed: taken.typed.clone(),
                instead: asked.instead,
            })
        });
    }
    first.filter(|_| agreed(case, case.pickup, &instead).kind != AgreementKind::DoesNotAgree)
}

impl Taken {
    /// As what a mode showed at the output; nothing for a reading elsewhere.
    pub(super) fn shown(&self) -> Option<Shown> {
        let Probe::Output { mode, .. } = &self.probe else { return None };
        Some(Shown { mode: mode.clone(), reading: self.reading, last_digit: self.last_digit() })
    }
}
