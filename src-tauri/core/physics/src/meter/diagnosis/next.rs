//! The one next measurement: that whose outcome is expected to tell most about the cause.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::forms::{Forms, Joined};
use super::probe::{AtTheRig, Taken};
use super::slips::SlipAt;
use super::{Case, Worked};
use crate::fault::{Outcome, SURE, settles, shows, tells_most};
use crate::meter::circuit::{RigCircuit, RigLook};
use crate::network::Seen;
use crate::record::meter::{Care, Probe};

/// The most causes that are followed when a measurement is weighed.
const MOST_FOLLOWED: usize = 60;

/// The next measurement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct NextMeasurement {
    /// Where to put the probes.
    pub probe: Probe,
    /// What to do, in a sentence.
    pub sentence: String,
    /// What it separates, in words; empty for a mode that was not measured yet.
    pub why: String,
    /// How much it is expected to tell, in bits.
    pub bits: f64,
    /// How likely it leaves one cause nearly alone, 0 to 1.
    pub settles: f64,
}

/// A mode that is to be proven and was not measured yet. One in which the pickup is silent is left out.
pub(super) fn unmeasured(case: &Case, circuit: &RigCircuit) -> Option<NextMeasurement> {
    let measured = |mode| {
        case.taken.iter().any(|taken| matches!(&taken.probe, Probe::Output { mode: other, .. } if other == mode))
    };
    circuit.positions.iter().enumerate().find_map(|(place, position)| {
        let wanted =
            if case.modes.is_empty() { !circuit.is_no_mode_of_it(place) } else { case.modes.contains(&position.mode) };
        let seen = circuit.seen(&circuit.meant, &RigLook::output(place));
        let silent = matches!(seen, Some(Seen::Open | Seen::Short) | None);
        (wanted && !silent && !measured(&position.mode)).then(|| {
            let probe = Probe::Output { mode: position.mode.clone(), care: Care::AsUsual };
            NextMeasurement { sentence: probe.sentence(circuit), probe, why: String::new(), bits: 0.0, settles: 0.0 }
        })
    })
}

/// The reading that a slip is suspected in, once more with a look at the display.
pub(super) fn looked_at(slip: &SlipAt, circuit: &RigCircuit) -> Option<NextMeasurement> {
    let Some(Probe::Output { mode, .. }) = &slip.probe else { return None };
    let probe = Probe::Output { mode: mode.clone(), care: Care::SwitchAndRange };
    Some(NextMeasurement { sentence: probe.sentence(circuit), probe, why: String::new(), bits: 0.0, settles: 0.0 })
}

/// Every measurement that could be taken next.
#[must_use]
pub fn candidate_probes(case: &Case) -> Vec<Probe> {
    candidates(&RigCircuit::new(case.pickup, case.joined, case.rig), case.taken)
}

fn candidates(circuit: &RigCircuit, taken: &[Taken]) -> Vec<Probe> {
    let mut probes = Vec::new();
    for (place, position) in circuit.positions.iter().enumerate() {
        for care in [Care::AsUsual, Care::HandsOff, Care::Unplugged, Care::SwitchAndRange] {
            let again = taken.iter().any(|t| matches!(&t.probe, Probe::Output { mode, .. } if *mode == position.mode));
            // A mode is measured once as usual, and only then with care.
            if again != (care == Care::AsUsual) && (again || !circuit.is_no_mode_of_it(place)) {
                probes.push(Probe::Output { mode: position.mode.clone(), care });
            }
        }
    }
    let terminals = circuit.terminals.len() as u8;
    for position in &circuit.positions {
        for a in 0..terminals {
            for b in a + 1..terminals {
                probes.push(Probe::Terminals { mode: position.mode.clone(), between: [a, b] });
            }
        }
    }
    // On bare wires, with the switch where it joins least.
    if let Some(position) = circuit.positions.iter().min_by_key(|position| position.joins()) {
        for (place, wire) in circuit.wires.iter().enumerate() {
            for terminal in 0..terminals {
                probes.push(Probe::LeadAt { mode: position.mode.clone(), lead: wire.name.clone(), terminal });
            }
            for other in circuit.wires.iter().skip(place + 1) {
                let between = [wire.name.clone(), other.name.clone()];
                probes.push(Probe::Leads { mode: position.mode.clone(), between });
            }
        }
    }
    probes.retain(|probe| !taken.iter().any(|taken| &taken.probe == probe));
    probes
}

/// The measurement that tells most for the trouble it takes; nothing when none separates the causes.
pub(super) fn best(case: &Case, worked: &Worked, forms: &mut Forms) -> Option<NextMeasurement> {
    let followed = worked.ranking.followed(MOST_FOLLOWED, MOST_FOLLOWED);
    let acts = |place: usize| worked.hypotheses[place].acts;
    let taken: Vec<Taken> = worked.taken.iter().map(|(taken, _)| taken.clone()).collect();
    let mut wirings: Vec<_> = followed
        .iter()
        .map(|followed| (worked.acts.wiring(worked.circuit, acts(followed.cause)), Joined::new(worked.circuit)))
        .collect();
    let reading = u8::try_from(taken.len()).unwrap_or(u8::MAX - 1);
    let outcomes = |probe: &Probe, outcomes: &mut Vec<(Outcome, f64)>| {
        let Some(meant) = probe.look(worked.circuit) else { return false };
        for (followed, (wiring, joined)) in followed.iter().zip(&mut wirings) {
            let (look, adjusted) = worked.acts.look(worked.circuit, acts(followed.cause), reading, probe, meant);
            let form = forms.of(wiring, joined, &look);
            let seen = forms.get(form);
            let outcome = shows(seen, || {
                let (log, spread) = followed.fitted.predicts(seen, case.meter)?;
                Some((log + f64::from(adjusted.power) * std::f64::consts::LN_10, spread))
            });
            outcomes.push((outcome, followed.share));
        }
        true
    };
    let best = tells_most(candidates(worked.circuit, &taken), outcomes, trouble)?;
    let of = |place: usize| followed[place].cause;
    let settles = settles(&best.outcomes, SURE, |place, other| place == other || worked.includes(of(place), of(other)));
    Some(NextMeasurement {
        sentence: best.probe.sentence(worked.circuit),
        why: super::words::separates(worked, &followed.iter().map(|followed| followed.cause).collect::<Vec<_>>()),
        probe: best.probe,
        bits: best.bits,
        settles,
    })
}

/// How much trouble a measurement is, against one at the output.
fn trouble(probe: &Probe) -> f64 {
    match probe {
        Probe::Output { .. } => 1.0,
        Probe::Terminals { .. } => 1.05,
        Probe::LeadAt { .. } => 1.1,
        Probe::Leads { .. } => 1.15,
    }
}
