//! What was typed otherwise than it was read, perhaps: asked about before a fault of the install is looked for.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::Install;
use crate::physics::meter::{COIL, DiagnosisKind, POT, digits, slip};
use crate::physics::wiring::{JackCase, JackReading, JackTaken, Proof, prove};
use crate::record::controls::VolumeLayout;
use crate::record::quantity::{Ohms, read_ohms};
use crate::record::wiring::{JackProbe, JackSet};

/// A question about something that was typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallSlip {
    /// The question.
    pub sentence: String,
    /// How everything stood for the reading; nothing when it is about what is stated in a record.
    pub at: Option<JackSet>,
    /// As it was typed.
    pub typed: String,
    /// What may have been meant: `6.66k` or `OL`; empty for what is stated.
    pub instead: String,
    /// Whose record states it; nothing for a reading.
    pub record: Option<StatedIn>,
}

/// Whose record states something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum StatedIn {
    /// The new pickup's.
    Pickup,
    /// The guitar's.
    Guitar,
}

/// Whether a proof says that something is off.
fn off(proof: &Proof) -> bool {
    match proof.kind {
        DiagnosisKind::Found | DiagnosisKind::CantTellApart | DiagnosisKind::Unexplained => true,
        DiagnosisKind::NothingYet | DiagnosisKind::NotEnough | DiagnosisKind::AllWell => false,
    }
}

/// The first slip that would explain readings that are off: of a reading, then of a record. What was typed alike twice is
/// believed.
pub(super) fn slip_at(
    install: &Install,
    case: &JackCase,
    expected: &[JackReading],
    proof: &Proof,
    taken: &[JackTaken],
) -> Option<InstallSlip> {
    if !off(proof) {
        return None;
    }
    let of_readings = install.readings.iter().filter(|read| !read.said.twice).find_map(|read| {
        let said = &read.said;
        let expected = expected.iter().find(|one| one.set == said.set)?;
        let plausible = expected.low.zip(expected.high).map_or(COIL, |(low, high)| (low.0, high.0));
        let asked = slip(&said.taken.typed, plausible, case.meter.most_counts())?;
        let meant = read_ohms(&asked.instead).ok()?;
        let mut instead = taken.to_vec();
        let at_jack = JackProbe::Jack { set: said.set.clone() };
        instead.iter_mut().filter(|one| one.probe == at_jack).for_each(|one| one.reading = meant);
        // A slip that leaves the readings at odds explains nothing.
        (!off(&prove(case, &instead))).then(|| InstallSlip {
            sentence: format!("With the {}: {}", said.set.in_words(), asked.sentence),
            at: Some(said.set.clone()),
            typed: said.taken.typed.clone(),
            instead: asked.instead,
            record: None,
        })
    });
    of_readings.or_else(|| stated(case, taken))
}

/// By how much a stated value that can't be is to be multiplied, so that it can.
fn factor(stated: Option<Ohms>, can_be: (f64, f64)) -> Option<f64> {
    let fits = |ohms: f64| (can_be.0..=can_be.1).contains(&ohms);
    let stated = stated.filter(|stated| !fits(stated.0))?;
    [1e3, 1e-3].into_iter().find(|factor| fits(stated.0 * factor))
}

/// What a record states three powers of ten away from what can be, where the readings are those of the other value.
fn stated(case: &JackCase, taken: &[JackTaken]) -> Option<InstallSlip> {
    let asked = |what: &str, stated: Ohms, factor: f64, record: StatedIn| InstallSlip {
        sentence: format!(
            "{} is written down for {what}, and the readings are those of about {}. Look at the letter in the record.",
            stated.shown(),
            digits(stated.0 * factor, 2)
        ),
        at: None,
        typed: stated.shown(),
        instead: String::new(),
        record: Some(record),
    };
    let explains = |case: &JackCase| !off(&prove(case, taken));
    if let Some((coil, stated, by)) =
        case.pickup.coils.iter().find_map(|coil| Some((coil.name, coil.stated?, factor(coil.stated, COIL)?)))
    {
        let mut pickup = case.pickup.clone();
        for coil in &mut pickup.coils {
            coil.stated = coil.stated.map(|ohms| Ohms(ohms.0 * factor(Some(ohms), COIL).unwrap_or(1.0)));
        }
        if explains(&JackCase { pickup: &pickup, ..*case }) {
            return Some(asked(&format!("coil {}", coil.letter()), stated, by, StatedIn::Pickup));
        }
    }
    for (at, staying) in case.staying.iter().enumerate() {
        let Some((reads, by)) = staying.reads.zip(factor(staying.reads, COIL)) else { continue };
        let mut all = case.staying.to_vec();
        all[at].reads = Some(Ohms(reads.0 * by));
        if explains(&JackCase { staying: &all, ..*case }) {
            return Some(asked(&format!("the {} pickup", staying.place), reads, by, StatedIn::Guitar));
        }
    }
    if let Some((volume, by)) = case.path.volume.zip(factor(case.path.volume, POT)) {
        let mut path = case.path.clone();
        path.volume = Some(Ohms(volume.0 * by));
        if explains(&JackCase { path: &path, ..*case }) {
            return Some(asked("the volume pot", volume, by, StatedIn::Guitar));
        }
    }
    if let VolumeLayout::EachPlace { pots, .. } = &case.path.layout {
        for (at, pot) in pots.iter().enumerate() {
            let Some((volume, by)) = pot.volume.zip(factor(pot.volume, POT)) else { continue };
            let mut path = case.path.clone();
            if let VolumeLayout::EachPlace { pots, .. } = &mut path.layout {
                pots[at].volume = Some(Ohms(volume.0 * by));
            }
            if explains(&JackCase { path: &path, ..*case }) {
                return Some(asked(&format!("the {} volume pot", pot.place), volume, by, StatedIn::Guitar));
            }
        }
    }
    None
}
