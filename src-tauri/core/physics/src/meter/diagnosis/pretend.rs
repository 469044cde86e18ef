//! Benches with a known cause, for tests, tables and teaching: what a meter would read.

use super::act::{Acts, RigMistake};
use super::cause::Cause;
use super::probe::{AtTheRig, Taken};
use crate::meter::Joined;
use crate::meter::circuit::{BODY, CONTACT, LOAD, RigCircuit, VALUES};
use crate::network::Seen;
use crate::record::meter::Probe;
use crate::record::pickup::Pickup;
use crate::record::quantity::{Ohms, Reading};
use crate::record::rig::Rig;

/// The resistances of a pretended bench.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// Each coil, as warm as it is, in ohms.
    pub coils: Vec<Ohms>,
    /// A body across the probes, in ohms.
    pub body: Ohms,
    /// What is still connected to the output, in ohms.
    pub load: Ohms,
    /// A bad contact of a clamp, in ohms.
    pub contact: Ohms,
}

/// Every single cause on this bench, with a reading of each mode.
#[must_use]
pub fn causes(pickup: &Pickup, joined: &[Joined], rig: &Rig) -> Vec<Cause> {
    let bench = Pretended::new(pickup, joined, rig);
    bench.acts.singles.iter().filter_map(|single| bench.cause(single.act, [RigMistake::Nothing; 2])).collect()
}

/// Every pair of causes that is looked at on this bench.
#[must_use]
pub fn pairs_of_causes(pickup: &Pickup, joined: &[Joined], rig: &Rig) -> Vec<[Cause; 2]> {
    let bench = Pretended::new(pickup, joined, rig);
    bench
        .acts
        .hypotheses(&bench.circuit)
        .into_iter()
        .filter_map(|hypothesis| {
            let [one, other] = hypothesis.acts;
            Some([bench.cause(one, hypothesis.acts)?, bench.cause(other, hypothesis.acts)?])
        })
        .collect()
}

/// What an exact meter without a limit would show with these causes, by the network solver: nothing when it is open, or when
/// the bench has no such probe or cause.
#[must_use]
pub fn would_read(
    pickup: &Pickup,
    joined: &[Joined],
    rig: &Rig,
    wrong: &[Cause],
    given: &Given,
    probe: &Probe,
) -> Option<Ohms> {
    let bench = Pretended::new(pickup, joined, rig);
    let mut acts = [RigMistake::Nothing; 2];
    let singles = || bench.acts.singles.iter().map(|single| single.act);
    // The order of the leads first: it may tell what the others are called.
    let order = singles().find(|act| {
        matches!(act, RigMistake::Exchange(_))
            && bench.cause(*act, [*act; 2]).is_some_and(|cause| wrong.contains(&cause))
    });
    let beside = [order.unwrap_or(RigMistake::Nothing), RigMistake::Nothing];
    for (slot, cause) in acts.iter_mut().zip(wrong) {
        *slot = singles().find(|act| bench.cause(*act, beside).as_ref() == Some(cause))?;
    }
    let mut values = [f64::INFINITY; VALUES];
    for (value, ohms) in values.iter_mut().zip(&given.coils).take(bench.circuit.coils.len()) {
        *value = ohms.0;
    }
    values[usize::from(BODY)] = given.body.0;
    values[usize::from(LOAD)] = given.load.0;
    values[usize::from(CONTACT)] = given.contact.0;
    let reading = bench.taken.iter().position(|taken| &taken.probe == probe).unwrap_or(bench.taken.len());
    let meant = probe.look(&bench.circuit)?;
    let (look, adjusted) = bench.acts.look(&bench.circuit, acts, u8::try_from(reading).ok()?, probe, meant);
    let wiring = bench.acts.wiring(&bench.circuit, acts);
    let ohms = bench.circuit.solved(&wiring, &look, &values)?;
    if adjusted.range_low && ohms > 0.0 { None } else { Some(Ohms(ohms * 10_f64.powi(i32::from(adjusted.power)))) }
}

/// What a look at the output sees with some causes at work.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct SeenWith {
    /// The coils by place, then a body as number 3, a load as number 4, and a bad contact as number 5.
    pub seen: Seen,
    /// The power of ten by which the reading is off.
    pub power: i8,
    /// Whether the meter's range is too low for it.
    pub range_low: bool,
}

/// What every mode's output sees, for no cause, every single one and every pair.
#[must_use]
pub fn every_outcome(pickup: &Pickup, joined: &[Joined], rig: &Rig) -> Vec<(Vec<Cause>, Vec<SeenWith>)> {
    let bench = Pretended::new(pickup, joined, rig);
    let outcome = |acts: [RigMistake; 2]| {
        let wiring = bench.acts.wiring(&bench.circuit, acts);
        let modes = (0_u8..).zip(&bench.taken).filter_map(|(reading, taken)| {
            let meant = taken.probe.look(&bench.circuit)?;
            let (look, adjusted) = bench.acts.look(&bench.circuit, acts, reading, &taken.probe, meant);
            let seen = bench.circuit.seen(&wiring, &look)?;
            Some(SeenWith { seen, power: adjusted.power, range_low: adjusted.range_low })
        });
        modes.collect()
    };
    bench
        .acts
        .hypotheses(&bench.circuit)
        .into_iter()
        .map(|hypothesis| {
            let causes = hypothesis.acts.into_iter().filter_map(|act| bench.cause(act, hypothesis.acts)).collect();
            (causes, outcome(hypothesis.acts))
        })
        .collect()
}

struct Pretended {
    circuit: RigCircuit,
    taken: Vec<Taken>,
    acts: Acts,
}

impl Pretended {
    fn new(pickup: &Pickup, joined: &[Joined], rig: &Rig) -> Self {
        let circuit = RigCircuit::new(pickup, joined, rig);
        let taken: Vec<Taken> = circuit
            .positions
            .iter()
            .map(|position| Taken::at_output(position.mode.clone(), Reading::OverLimit))
            .collect();
        let stated = pickup.coils.iter().any(|coil| coil.stated.is_some());
        let acts = Acts::new(&circuit, &taken, stated, true);
        Self { circuit, taken, acts }
    }

    fn cause(&self, act: RigMistake, beside: [RigMistake; 2]) -> Option<Cause> {
        self.acts.cause(&self.circuit, &self.taken, act, beside)
    }
}
