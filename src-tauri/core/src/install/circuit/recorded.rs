//! What the guitar's record and the audition say of a circuit, and what is taken for what nobody has said.

use super::{CABLE, CAPACITOR, INPUT, POT};
use crate::install::kit::InstallKit;
use crate::record::controls::VolumeLayout;
use crate::record::facts::{BenchFact, Question};
use crate::record::parts::CircuitParts;
use crate::record::quantity::{Farads, Ohms};

/// The parts as the guitar's record and the audition have them, and what had to be taken for what nobody has said.
pub(super) fn recorded_parts(kit: &InstallKit) -> (CircuitParts, Vec<String>) {
    let controls = kit.guitar.as_ref().map(|guitar| guitar.controls.clone()).unwrap_or_default();
    let (volume, tone, capacitor) = match &controls.layout {
        VolumeLayout::Shared {} => (Some(controls.volume), controls.tone, controls.capacitor),
        VolumeLayout::NoVolume {} => (None, controls.tone, controls.capacitor),
        VolumeLayout::EachPlace { pots, .. } => {
            let here = pots.iter().find(|pots| pots.place == kit.on.place);
            (
                Some(here.and_then(|pots| pots.volume)),
                here.and_then(|pots| pots.tone),
                here.and_then(|pots| pots.capacitor),
            )
        }
    };
    let mut taken = Vec::new();
    if volume == Some(None) {
        taken.push("a volume of 500 kΩ");
    }
    if tone.is_some() && capacitor.is_none() {
        taken.push("a tone capacitor of 22 nF");
    }
    let cable = cable_told(kit);
    if cable.is_none() {
        taken.push("a cable of 500 pF");
    }
    let input = input_told(kit);
    if input.is_none() {
        taken.push("an input of 1 MΩ");
    }
    let notes =
        (!taken.is_empty()).then(|| format!("Not written down, so a usual one is taken: {}.", taken.join(", ")));
    let parts = CircuitParts {
        volume: volume.map(|pot| pot.unwrap_or(POT)),
        tone,
        capacitor: tone.map(|_| capacitor.unwrap_or(CAPACITOR)),
        ..CircuitParts::straight(cable.unwrap_or(CABLE), input.unwrap_or(INPUT))
    };
    (parts, notes.into_iter().collect())
}

fn told(kit: &InstallKit, question: Question) -> Option<BenchFact> {
    kit.audition.told.get(&question).map(|saved| saved.said)
}

/// The cable of the audition: as its capacitance was told, else by its length.
pub(super) fn cable_told(kit: &InstallKit) -> Option<Farads> {
    let by_length = || match told(kit, Question::Cable)? {
        BenchFact::Cable(cable) => Some(cable.picofarads()),
        _ => None,
    };
    let picofarads = match told(kit, Question::CablePicofarads) {
        Some(BenchFact::CablePicofarads(size)) => Some(f64::from(size)),
        _ => by_length(),
    };
    picofarads.map(|picofarads| Farads(picofarads * 1e-12))
}

/// What lay across the rig's output.
pub(super) fn resistor_told(kit: &InstallKit) -> Option<Ohms> {
    match told(kit, Question::LoadResistor)? {
        BenchFact::LoadResistor(is) => is.ohms(),
        _ => None,
    }
}

/// The input that the audition was heard through.
pub(super) fn input_told(kit: &InstallKit) -> Option<Ohms> {
    match told(kit, Question::Input)? {
        BenchFact::Input(input) => Some(input.ohms()),
        _ => None,
    }
}
