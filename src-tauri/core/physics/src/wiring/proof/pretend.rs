//! Installs with a known mistake, for tests, tables and teaching: what a meter would read.

use super::act::{InstallMistake, Single, Stands, cause, look, made, singles};
use super::probe::AtTheGuitar;
use super::work::candidates;
use super::{InstallCause, JackTaken};
use crate::network::Seen;
use crate::record::quantity::{Ohms, Reading};
use crate::record::wiring::JackProbe;
use crate::wiring::circuit::{InstallCircuit, Value};
use crate::wiring::{JackCase, jack};

/// The resistances of a pretended install.
#[derive(Debug, Clone, PartialEq)]
pub struct InstallGiven {
    /// Each coil of the new pickup, as warm as it is, in ohms.
    pub coils: Vec<Ohms>,
    /// Each pickup that stays, in the order of the install's list, in ohms.
    pub staying: Vec<Ohms>,
    /// Each volume pot, in ohms: the shared one, or that of the new pickup's place and then of those that stay.
    pub volumes: Vec<Ohms>,
    /// Each tone pot in the same order, in ohms.
    pub tones: Vec<Ohms>,
    /// The part of a volume's track above its wiper, from 0 to 1, where it is not at an end.
    pub above: f64,
    /// What a poor joint has of its own, in ohms.
    pub joint: Ohms,
    /// What is plugged into the guitar, in ohms.
    pub plugged: Ohms,
}

fn every_reading(circuit: &InstallCircuit) -> Vec<JackTaken> {
    let probe = |set| JackTaken { probe: JackProbe::Jack { set }, reading: Reading::OverLimit };
    jack::sets(circuit).into_iter().map(probe).collect()
}

/// Every single thing, any reading of which may have been taken otherwise than written.
fn all_singles(circuit: &InstallCircuit, taken: &[JackTaken]) -> Vec<Single> {
    singles(circuit, taken, &vec![Stands { off: true, again: false }; taken.len()])
}

/// Every single cause on this install, with a reading of every position.
#[must_use]
pub fn install_causes(install: &JackCase) -> Vec<InstallCause> {
    let circuit = InstallCircuit::new(install);
    let taken = every_reading(&circuit);
    all_singles(&circuit, &taken).into_iter().filter_map(|single| cause(&circuit, &taken, single.act)).collect()
}

/// Every probe there is on this install.
#[must_use]
pub fn install_probes(install: &JackCase) -> Vec<JackProbe> {
    candidates(&InstallCircuit::new(install), &[])
}

/// What an exact meter without a limit would show with this cause, by the network solver: nothing when it is open, or when
/// there is no such probe or cause.
#[must_use]
pub fn install_would_read(
    install: &JackCase,
    wrong: Option<&InstallCause>,
    given: &InstallGiven,
    probe: &JackProbe,
) -> Option<Ohms> {
    let circuit = InstallCircuit::new(install);
    let taken = every_reading(&circuit);
    let act = match wrong {
        None => InstallMistake::Nothing,
        Some(_) => all_singles(&circuit, &taken)
            .into_iter()
            .map(|single| single.act)
            .find(|act| cause(&circuit, &taken, *act).as_ref() == wrong)?,
    };
    let values = values(&circuit, given);
    let reading = taken.iter().position(|taken| &taken.probe == probe).unwrap_or(taken.len());
    let meant = probe.look(&circuit)?;
    let look = look(act, u8::try_from(reading).ok()?, meant);
    circuit.solved(&made(&circuit, act), &look, &values).map(Ohms)
}

/// What each probe sees with no cause and with every single one, its values numbered as [`install_values`] lists them;
/// nothing for a bridge.
#[must_use]
pub fn install_outcomes(install: &JackCase, probes: &[JackProbe]) -> Vec<(Option<InstallCause>, Vec<Option<Seen>>)> {
    let circuit = InstallCircuit::new(install);
    let taken = every_reading(&circuit);
    all_singles(&circuit, &taken)
        .into_iter()
        .map(|single| {
            let made = made(&circuit, single.act);
            let seen = probes.iter().map(|probe| {
                let reading = taken.iter().position(|taken| &taken.probe == probe).unwrap_or(taken.len());
                let look = look(single.act, u8::try_from(reading).ok()?, probe.look(&circuit)?);
                circuit.seen(&made, &look)
            });
            (cause(&circuit, &taken, single.act), seen.collect())
        })
        .collect()
}

/// The resistances of a pretended install in the order in which [`install_outcomes`] numbers them, in ohms.
#[must_use]
pub fn install_values(install: &JackCase, given: &InstallGiven) -> Vec<f64> {
    values(&InstallCircuit::new(install), given)
}

fn values(circuit: &InstallCircuit, given: &InstallGiven) -> Vec<f64> {
    let track = |pot: usize| given.volumes.get(pot).map_or(f64::INFINITY, |ohms| ohms.0);
    let mut coils = given.coils.iter();
    circuit
        .values
        .iter()
        .map(|value| match value {
            Value::Coil(_) => coils.next().map_or(f64::INFINITY, |ohms| ohms.0),
            Value::Stays(place) => given.staying.get(place - 1).map_or(f64::INFINITY, |ohms| ohms.0),
            Value::Track(pot) => track(*pot),
            Value::Tone(pot) => given.tones.get(*pot).map_or(f64::INFINITY, |ohms| ohms.0),
            Value::Above => track(0) * given.above,
            Value::Below => track(0) * (1.0 - given.above),
            Value::Joint => given.joint.0,
            Value::Plugged => given.plugged.0,
        })
        .collect()
}
