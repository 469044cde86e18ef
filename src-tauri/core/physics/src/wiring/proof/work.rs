//! Causes weighed against the readings.

use std::collections::HashMap;

use super::act::{InstallMistake, Single, Stands, look, made, singles};
use super::evidence::{Belief, POOREST, Row, fit};
use super::probe::AtTheGuitar;
use super::{GOOD_JOINT, JackTaken};
use crate::fault::Fitted;
use crate::fault::{Explanation, Ranking};
use crate::meter::SHORT_BELOW;
use crate::network::Seen;
use crate::record::quantity::{Ohms, Reading};
use crate::record::wiring::{JackProbe, JackSet};
use crate::wiring::JackCase;
use crate::wiring::circuit::{GROUND_POINT, HOT_POINT, InstallCircuit, JackLook, Knobs, Value};
use crate::wiring::known::PickupKnown;

/// More readings than this are not looked at.
const MOST_READINGS: usize = 40;
/// Nothing in the list, against nothing wrong (from memory: two things wrong at once are rare).
const UNLISTED_ODDS: f64 = 1e-4;
/// A winding of which nothing is known: around 7 kΩ, within a factor of three (from memory).
const UNKNOWN_COIL: f64 = 7000.0;
const UNKNOWN_SPREAD: f64 = 0.6;
/// Coils that are other than measured, and a pot that is other than stated: 500 kΩ within a factor of two.
const OTHER_COIL_SPREAD: f64 = 0.35;
const OTHER_POT: f64 = 500e3;
const OTHER_POT_SPREAD: f64 = 0.6;
/// A volume that is not at its stop leaves some of its track above the wiper: 20 kΩ within a factor of ten or so.
const ABOVE: f64 = 20e3;
const ABOVE_SPREAD: f64 = 1.3;
const BELOW_SPREAD: f64 = 0.6;
/// An amplifier's input: a megohm or less, most often.
const PLUGGED: f64 = 500e3;
const PLUGGED_SPREAD: f64 = 0.7;
/// No amplifier and no interface has less at its input, in ohms (common practice: 10 kΩ at a line's).
const LEAST_INPUT: f64 = 5e3;
/// A wiper at its end has up to this, and metal that is probed elsewhere in the wiring up to that (from memory), in ohms.
const WIPER_END: f64 = 20.0;
const METAL: f64 = 5.0;

/// Causes that predict the same of every reading so far.
pub(super) type Explained<const N: usize> = Explanation<Seen, Fitted<N>>;

/// All that was worked out of the readings.
pub(super) struct Worked<'a, const N: usize> {
    pub circuit: &'a InstallCircuit,
    /// What is known of each value beforehand.
    pub known: &'a [Option<PickupKnown>],
    pub taken: Vec<JackTaken>,
    pub singles: Vec<Single>,
    pub ranking: Ranking<Seen, Fitted<N>>,
}

/// The readings that count: the last of each place and position.
pub(super) fn counted(taken: &[JackTaken]) -> Vec<JackTaken> {
    let mut counted: Vec<JackTaken> = Vec::new();
    for taken in taken {
        if let Some(earlier) = counted.iter_mut().find(|earlier| earlier.probe == taken.probe) {
            earlier.reading = taken.reading;
        } else if counted.len() < MOST_READINGS {
            counted.push(taken.clone());
        }
    }
    counted
}

/// Weighs every cause. `stands` says how each reading of this guitar stands; with one outside its band, which `off` says, it is
/// not put down to nothing being wrong.
pub(super) fn work_out<'a, const N: usize>(
    install: &JackCase,
    circuit: &'a InstallCircuit,
    known: &'a [Option<PickupKnown>],
    taken: &[JackTaken],
    stands: &[Stands],
    off: bool,
) -> Worked<'a, N> {
    let (taken, meant): (Vec<JackTaken>, Vec<JackLook>) =
        counted(taken).into_iter().filter_map(|taken| taken.probe.look(circuit).map(|look| (taken, look))).unzip();
    let singles = singles(circuit, &taken, stands);
    let mut places: HashMap<(Vec<Seen>, Option<InstallMistake>), usize> = HashMap::new();
    let mut groups: Vec<(Vec<Seen>, Option<InstallMistake>, Vec<usize>)> = Vec::new();
    if !taken.is_empty() {
        for (place, single) in singles.iter().enumerate() {
            let Some(forms) = forms(circuit, single.act, &taken, &meant) else { continue };
            let other =
                matches!(single.act, InstallMistake::NotMeasured | InstallMistake::OtherPot(_)).then_some(single.act);
            match places.get(&(forms.clone(), other)) {
                Some(group) => groups[*group].2.push(place),
                None => {
                    places.insert((forms.clone(), other), groups.len());
                    groups.push((forms, other, vec![place]));
                }
            }
        }
    }
    let as_known = belief::<N>(circuit, known, None);
    let mut explained = Vec::new();
    for (forms, other, mut members) in groups {
        if off && members.contains(&0) {
            continue;
        }
        let rows: Vec<Row> = forms
            .iter()
            .zip(&taken)
            .zip(&meant)
            .map(|((seen, taken), look)| Row { seen, reading: taken.reading, metal: metal(&taken.probe, look) })
            .collect();
        let fitted = match other {
            None => fit(&rows, &as_known, install.meter),
            Some(act) => fit(&rows, &belief::<N>(circuit, known, Some(act)), install.meter),
        };
        let Some(fitted) = fitted.filter(|fitted| is_an_input(circuit, &forms, fitted)) else { continue };
        members.sort_by(|a, b| singles[*b].odds.total_cmp(&singles[*a].odds));
        let odds: f64 = members.iter().map(|member| singles[*member].odds).sum();
        let likelihood = fitted.log_evidence;
        explained.push((Explanation::new(forms, members, odds, fitted), likelihood));
    }
    let odds = singles.iter().map(|single| single.odds).collect();
    let ranking = Ranking::of(explained, odds, UNLISTED_ODDS, taken.iter().map(|taken| taken.reading));
    Worked { circuit, known, taken, singles, ranking }
}

impl<const N: usize> Worked<'_, N> {
    /// The resistances that an explanation tells of, in ohms. What is known stays within what it can be, but for what its cause
    /// makes other: a fit goes beyond that to meet a reading which this cause does not explain.
    pub fn values(&self, explanation: &Explained<N>) -> [f64; N] {
        let mut values = explanation.fitted.logs.map(f64::exp);
        for (at, value) in values.iter_mut().enumerate() {
            let known = self.known.get(at).copied().flatten().filter(|_| !self.is_other(explanation, at));
            if let Some(known) = known {
                *value = value.max(known.low).min(known.high);
            }
        }
        values
    }

    /// Whether this explanation makes a value another than is known of it.
    pub fn is_other(&self, explanation: &Explained<N>, at: usize) -> bool {
        let act = explanation.members.first().and_then(|first| self.singles.get(*first)).map(|single| single.act);
        match (act, self.circuit.values.get(at)) {
            (Some(InstallMistake::NotMeasured), Some(Value::Coil(_))) => true,
            (Some(InstallMistake::OtherPot(pot)), Some(Value::Track(of))) => usize::from(pot) == *of,
            (_, _) => false,
        }
    }
}

/// Whether what is plugged in, where a form has it, can be an amplifier's input.
fn is_an_input<const N: usize>(circuit: &InstallCircuit, forms: &[Seen], fitted: &Fitted<N>) -> bool {
    let Some(at) = circuit.value(Value::Plugged) else { return true };
    let input = fitted.logs.get(usize::from(at)).map_or(f64::INFINITY, |log| log.exp());
    input >= LEAST_INPUT || !forms.iter().any(|seen| seen.has(at))
}

/// What plain metal reads at most where this probe lies, in ohms.
fn metal(probe: &JackProbe, look: &JackLook) -> f64 {
    match look.knobs {
        _ if probe.is_on_a_joint() => GOOD_JOINT,
        Knobs::Zero | Knobs::ZeroOf(_) => WIPER_END,
        Knobs::Full | Knobs::Half => METAL,
    }
}

/// What every reading sees with this cause; nothing as soon as one can't be.
fn forms(circuit: &InstallCircuit, act: InstallMistake, taken: &[JackTaken], meant: &[JackLook]) -> Option<Vec<Seen>> {
    let made = made(circuit, act);
    let joint = circuit.value(Value::Joint);
    let mut forms = Vec::with_capacity(taken.len());
    for ((reading, taken), meant) in (0_u8..).zip(taken).zip(meant) {
        let seen = circuit.seen(&made, &look(act, reading, *meant))?;
        if !can_be(&seen, taken.reading, joint) {
            return None;
        }
        forms.push(seen);
    }
    Some(forms)
}

/// Whether open, short and neither are read as what they are.
fn can_be(seen: &Seen, reading: Reading, joint: Option<u8>) -> bool {
    match (seen, reading) {
        // Past its last range a meter shows over limit.
        (Seen::Open | Seen::One(_) | Seen::Series(_) | Seen::Parallel(_), Reading::OverLimit) => true,
        (Seen::Open, Reading::Ohms(_)) | (Seen::Short, Reading::OverLimit) => false,
        (Seen::Short, Reading::Ohms(Ohms(ohms))) => ohms < SHORT_BELOW,
        (seen, Reading::Ohms(Ohms(ohms))) if joint.is_some_and(|joint| seen.has(joint)) => ohms > 0.0,
        (_, Reading::Ohms(Ohms(ohms))) => ohms >= SHORT_BELOW,
    }
}

/// What is believed of every resistance before a reading, for a cause that makes one of them other than known.
fn belief<const N: usize>(
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    other: Option<InstallMistake>,
) -> Belief<N> {
    let (mut mean, mut deviation) = ([0.0; N], [0.0; N]);
    for at in 0..N {
        let (likely, spread) = match (circuit.values.get(at), known.get(at).copied().flatten()) {
            (Some(Value::Coil(_)), Some(known)) if other == Some(InstallMistake::NotMeasured) => {
                (known.likely, OTHER_COIL_SPREAD)
            }
            (Some(Value::Track(pot)), _) if other == Some(InstallMistake::OtherPot(*pot as u8)) => {
                (OTHER_POT, OTHER_POT_SPREAD)
            }
            (_, Some(known)) => {
                // A band that is as likely everywhere has a third of its half width squared as variance.
                let half = (known.high / known.low).ln() / 2.0;
                (known.likely, (half / 3_f64.sqrt()).max(0.002))
            }
            (Some(Value::Above), None) => (ABOVE, ABOVE_SPREAD),
            (Some(Value::Below), None) => {
                let track = known.iter().zip(&circuit.values).find_map(|(known, value)| match value {
                    Value::Track(_) => *known,
                    _ => None,
                });
                (0.7 * track.map_or(OTHER_POT, |track| track.likely), BELOW_SPREAD)
            }
            // The middle of its range, as a logarithm.
            (Some(Value::Joint), None) => (POOREST.sqrt(), 1.0),
            (Some(Value::Plugged), None) => (PLUGGED, PLUGGED_SPREAD),
            (_, None) => (UNKNOWN_COIL, UNKNOWN_SPREAD),
        };
        mean[at] = likely.max(f64::MIN_POSITIVE).ln();
        deviation[at] = spread;
    }
    let joint = circuit.value(Value::Joint).map_or(N - 1, usize::from);
    Belief { mean, deviation, alike: circuit.coils.len(), joint }
}

/// Every measurement that could be taken next. A reading at the jack may be taken again.
pub(super) fn candidates(circuit: &InstallCircuit, taken: &[JackTaken]) -> Vec<JackProbe> {
    use crate::record::wiring::Volumes;
    let sets = crate::wiring::jack::sets(circuit);
    let mut probes: Vec<JackProbe> = sets.iter().map(|set| JackProbe::Jack { set: set.clone() }).collect();
    let heard = sets.iter().find(|set| circuit.hears_new(&set.selector));
    let Some(base) = heard.or_else(|| sets.first()) else { return probes };
    if circuit.pots() > 0 {
        let half = JackSet { volumes: Volumes::Half {}, ..base.clone() };
        probes.push(JackProbe::Jack { set: half });
    }
    let used: Vec<u8> = (0..circuit.points.len() as u8).filter(|point| circuit.is_used(*point)).collect();
    for point in &used {
        probes.push(JackProbe::PointToSleeve { set: base.clone(), point: *point });
    }
    probes.push(JackProbe::PointToTip { set: base.clone(), point: HOT_POINT });
    // From each lead to hot and ground, which tells where it is.
    for (wire, on) in circuit.wires.iter().zip(&circuit.planned.on) {
        for point in used.iter().filter(|point| *point != on && (**point == HOT_POINT || **point == GROUND_POINT)) {
            probes.push(JackProbe::LeadToPoint { set: base.clone(), lead: wire.name.clone(), point: *point });
        }
    }
    probes.extend(circuit.joints().filter_map(|joint| JackProbe::across(joint, circuit, base)));
    // Only a reading at the jack can have been taken otherwise than written, so only that is worth taking again.
    probes.retain(|probe| matches!(probe, JackProbe::Jack { .. }) || !taken.iter().any(|taken| &taken.probe == probe));
    probes
}
