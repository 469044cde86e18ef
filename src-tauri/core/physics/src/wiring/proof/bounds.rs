//! Down to how many ohms a poor joint would have shown in readings that agree.
//!
//! With every other resistance at the least it may have, a reading only rises with what a joint has of its own. So what a
//! joint must have to lift one reading past what was read, whatever the rest is, is found by halving.

use super::act::{InstallMistake, made};
use super::evidence::POOREST;
use super::probe::AtTheGuitar;
use super::{GOOD_JOINT, JackTaken};
use crate::meter::agree::digits;
use crate::record::quantity::Ohms;
use crate::record::words::listed;
use crate::wiring::JackCase;
use crate::wiring::circuit::{InstallCircuit, Joint, Value};
use crate::wiring::known::PickupKnown;

/// The most that a joint may have of its own so that these readings would be read all the same, in ohms; nothing where they
/// would show none at all.
fn most(
    install: &JackCase,
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    taken: &[JackTaken],
    joint: Joint,
) -> Option<f64> {
    let place = circuit.value(Value::Joint).map(usize::from)?;
    // Nothing is known of some: they may be next to nothing.
    let mut values: Vec<f64> = known.iter().map(|known| known.as_ref().map_or(1e-3, |known| known.low)).collect();
    let made = made(circuit, InstallMistake::Poor(joint));
    let mut most = POOREST;
    for taken in taken {
        let (Some(look), Some(Ohms(read))) = (taken.probe.look(circuit), taken.reading.ohms()) else { continue };
        let seen = circuit.seen(&made, &look);
        if seen.as_ref().is_some_and(|seen| !seen.has(place as u8)) {
            continue;
        }
        let mut fits = |own: f64| {
            values[place] = own;
            let ohms = match &seen {
                Some(seen) => seen.ohms(&values),
                None => circuit.solved(&made, &look, &values).unwrap_or(f64::INFINITY),
            };
            ohms - install.meter.claim(Ohms(ohms)).0 <= read
        };
        if fits(most) {
            continue;
        }
        let (mut low, mut high) = (0.0, most);
        while high - low > 0.05 + 0.002 * high {
            let middle = if low > 0.1 { (low * high).sqrt() } else { 0.5 * high };
            if fits(middle) { low = middle } else { high = middle }
        }
        most = high;
    }
    (most < POOREST).then_some(most)
}

/// Down to what poor joints would have shown, in sentences; empty before a reading was taken.
pub(super) fn in_words(
    install: &JackCase,
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    taken: &[JackTaken],
) -> String {
    if taken.is_empty() {
        return String::new();
    }
    let mut shown = 0.0_f64;
    let mut hidden: Vec<String> = Vec::new();
    for joint in circuit.joints() {
        match most(install, circuit, known, taken, joint) {
            Some(most) => shown = shown.max(most),
            None => hidden.extend(named(circuit, joint).filter(|name| !hidden.contains(name))),
        }
    }
    let mut sentences = Vec::new();
    if shown > GOOD_JOINT {
        sentences.push(format!(
            "A poor joint on the way of the signal would have shown from {} up; only a reading across each joint tells of less.",
            digits(shown, 2)
        ));
    } else if shown > 0.0 {
        sentences.push(format!("A poor joint would have shown from {} up.", digits(shown, 1)));
    }
    if !hidden.is_empty() {
        sentences.push(format!("Not shown at all, so measure across it: {}.", listed(&hidden)));
    }
    sentences.join(" ")
}

fn named(circuit: &InstallCircuit, joint: Joint) -> Option<String> {
    match joint {
        Joint::Lug(_) => return Some("the grounded lug of each pot".to_owned()),
        Joint::Case(_) => return Some("the case of each pot".to_owned()),
        Joint::Strings => return Some("the bridge".to_owned()),
        Joint::Switch(..) => {
            let switch = if circuit.by_selector { "selector's pole for the modes" } else { "mode switch" };
            return Some(format!("each contact of the {switch}"));
        }
        Joint::Lead(_)
        | Joint::Jumper(_)
        | Joint::Hot
        | Joint::Earth
        | Joint::Tip
        | Joint::Sleeve
        | Joint::Stays(_)
        | Joint::StaysEarth(_)
        | Joint::Selector(_) => {}
    }
    let [from, to] = circuit.joins(joint)?;
    Some(format!("{from} to {to}"))
}
