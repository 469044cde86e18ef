//! Which lead goes into which terminal of a rig, what each mode then does, and the same as a statement for the install.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::SHIELD;
use crate::lately::Lately;
use crate::meter::circuit::{Circuit, Look, VALUES};
use crate::meter::{Joined, listed};
use crate::network::Seen;
use crate::pickup::{CoilEnd, CoilName, Construction, End, Pickup, Polarity, ShieldKind};
use crate::rig::{Mode, Rig};

/// A hookup for the rig at hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct HookupMap {
    /// Every terminal in order, with the leads that go into it.
    pub places: Vec<Place>,
    /// Leads that stay off the block, each to be insulated.
    pub left_off: Vec<String>,
    /// What each mode does with this hookup.
    pub modes: Vec<ModeHookup>,
    /// Which rule leads when strings and hum can't both be served, in words.
    pub rule: String,
    /// Where things stand, in a sentence.
    pub sentence: String,
    /// For the later install: the same hookup without the rig, a line a mode.
    pub install: Vec<String>,
}

/// One terminal and what goes into it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
// A guitar has places too, and the pages know both.
#[ts(export_to = "contract.ts", rename = "HookupPlace")]
pub struct Place {
    /// Its place on the block, counted from 0.
    pub terminal: u8,
    /// Its name on the block.
    pub name: String,
    /// The leads in it; [`SHIELD`] for the shield.
    pub leads: Vec<String>,
    /// What that is, in words: `coil A minus, and the shield`.
    pub what: String,
}

/// What a mode does with a hookup.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ModeHookup {
    /// The mode.
    pub mode: Mode,
    /// The coils that are heard.
    pub hears: Vec<CoilName>,
    /// How the coils meet for strings.
    pub strings: Phase,
    /// Whether hum is cancelled; nothing when a magnet's pole is not known.
    pub cancels_hum: Option<bool>,
    /// In words.
    pub sentence: String,
}

/// How the coils of a mode meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Phase {
    /// No coil is heard.
    Silent,
    /// One coil alone.
    OneCoil,
    /// They add, or the lower coil of a stack takes its little away, as it must to cancel hum.
    InPhase,
    /// They work against each other: thin and weak.
    OutOfPhase,
}

/// The hookup in which this pickup's coils add for strings in as many modes as the rig allows.
///
/// The pickup's record must say which lead is which end; in a stack the lower coil goes in the other way round, so that it
/// cancels hum.
#[must_use]
pub fn hookup(pickup: &Pickup, rig: &Rig) -> HookupMap {
    // Most looks at an audition are at the same pickup on the same rig as the one before.
    static LATELY: Lately<(Pickup, Rig), HookupMap> = Lately::new();
    LATELY.remembered(|(other, on)| other == pickup && on == rig).unwrap_or_else(|| {
        let found = worked_out(pickup, rig);
        LATELY.remember((pickup.clone(), rig.clone()), &found);
        found
    })
}

fn worked_out(pickup: &Pickup, rig: &Rig) -> HookupMap {
    let best = candidates(pickup)
        .into_iter()
        .map(|candidate| candidate.joined(pickup, rig))
        .map(|joined| (score(pickup, rig, &joined), joined))
        // The first of equals is the plainest.
        .reduce(|best, next| if next.0 > best.0 + 1e-9 { next } else { best })
        .map_or_else(Vec::new, |(_, joined)| joined);
    described(pickup, rig, &best)
}

/// What each mode does with leads that are in these terminals already, and what that means for the install.
#[must_use]
pub fn as_hooked_up(pickup: &Pickup, rig: &Rig, joined: &[Joined]) -> HookupMap {
    static LATELY: Lately<(Pickup, Rig, Vec<Joined>), HookupMap> = Lately::new();
    LATELY.remembered(|(other, on, at)| other == pickup && on == rig && at == joined).unwrap_or_else(|| {
        let found = described(pickup, rig, joined);
        LATELY.remember((pickup.clone(), rig.clone(), joined.to_vec()), &found);
        found
    })
}

fn described(pickup: &Pickup, rig: &Rig, joined: &[Joined]) -> HookupMap {
    let circuit = Circuit::new(pickup, joined, rig);
    let modes: Vec<ModeHookup> =
        (0..circuit.positions.len()).map(|position| one_mode(pickup, &circuit, position)).collect();
    let in_terminal = |terminal: usize| -> Vec<String> {
        joined
            .iter()
            .filter(|here| usize::from(here.terminal) == terminal)
            .flat_map(|here| here.leads.clone())
            .collect()
    };
    let places = (0_u8..)
        .zip(&circuit.terminals)
        .map(|(terminal, name)| {
            let leads = in_terminal(usize::from(terminal));
            let what = listed(&leads.iter().map(|lead| lead_in_words(pickup, lead)).collect::<Vec<_>>());
            Place { terminal, name: name.clone(), what, leads }
        })
        .collect();
    let placed = |name: &str| joined.iter().any(|here| here.leads.iter().any(|lead| lead == name));
    let left_off: Vec<String> =
        pickup.leads.iter().map(|lead| lead.name.clone()).filter(|name| !placed(name)).collect();
    HookupMap {
        places,
        sentence: sentence(pickup, &circuit, &modes, &left_off),
        install: install(rig, joined, &modes, &left_off),
        left_off,
        modes,
        rule: rule(pickup),
    }
}

/// One way to place the leads.
struct Candidate {
    /// Whether all coils are turned round, which no ear can tell.
    turned: bool,
    /// For each lead, whether it goes to the terminal of its second end rather than of its first.
    second: u8,
}

fn candidates(pickup: &Pickup) -> Vec<Candidate> {
    let shared: u8 =
        (0_u8..8).zip(&pickup.leads).filter(|(_, lead)| lead.ends.len() > 1).fold(0, |mask, (at, _)| mask | 1 << at);
    let mut candidates = Vec::new();
    for turned in [false, true] {
        // Every subset of the leads that could go to either of two terminals.
        let mut second = 0_u8;
        loop {
            candidates.push(Candidate { turned, second });
            second = second.wrapping_sub(shared) & shared;
            if second == 0 {
                break;
            }
        }
    }
    candidates
}

impl Candidate {
    fn joined(&self, pickup: &Pickup, rig: &Rig) -> Vec<Joined> {
        let mut joined: Vec<Joined> = Vec::new();
        let mut put = |terminal: usize, lead: String| {
            let Ok(terminal) = u8::try_from(terminal) else { return };
            match joined.iter_mut().find(|here| here.terminal == terminal) {
                Some(here) => here.leads.push(lead),
                None => joined.push(Joined { terminal, leads: vec![lead] }),
            }
        };
        for (at, lead) in pickup.leads.iter().enumerate() {
            let second = at < 8 && self.second & (1 << at) != 0;
            let end = if second { lead.ends.get(1) } else { lead.ends.first() };
            if let Some(terminal) = end.map(|end| self.terminal(pickup, *end)).filter(|t| *t < rig.terminals.len()) {
                put(terminal, lead.name.clone());
            }
        }
        // A shield that is joined to a lead inside needs no terminal of its own.
        if pickup.shield.kind != ShieldKind::None
            && pickup.shield.joined_to.is_none()
            && let Some(position) = rig.positions.first()
        {
            put(usize::from(position.output[0]), SHIELD.to_owned());
        }
        joined.sort_by_key(|here| here.terminal);
        joined
    }

    /// The terminal for a coil end: minus before plus, coil after coil, the lower coil of a stack the other way round.
    fn terminal(&self, pickup: &Pickup, end: CoilEnd) -> usize {
        let coil = match end.coil {
            CoilName::A => 0,
            CoilName::B => 1,
            CoilName::C => 2,
        };
        let plus = (end.end == End::Plus) != (self.turned != turned_in_stack(pickup, end.coil));
        coil * 2 + usize::from(plus)
    }
}

fn turned_in_stack(pickup: &Pickup, coil: CoilName) -> bool {
    pickup.construction == Construction::Stacked && coil == CoilName::B
}

fn score(pickup: &Pickup, rig: &Rig, joined: &[Joined]) -> f64 {
    let circuit = Circuit::new(pickup, joined, rig);
    let mut score = 0.0;
    for position in 0..circuit.positions.len() {
        let mode = one_mode(pickup, &circuit, position);
        score += match mode.strings {
            Phase::Silent => -1.0,
            Phase::OutOfPhase => -3.0,
            Phase::OneCoil | Phase::InPhase => mode.hears.len() as f64,
        };
    }
    // A shield that is joined to a lead is best at ground.
    let at_ground = pickup.shield.joined_to.as_ref().is_some_and(|lead| {
        rig.positions.first().is_some_and(|position| {
            joined.iter().any(|here| here.terminal == position.output[0] && here.leads.contains(lead))
        })
    });
    score + if at_ground { 0.5 } else { 0.0 }
}

fn one_mode(pickup: &Pickup, circuit: &Circuit, position: usize) -> ModeHookup {
    let mode = circuit.positions[position].mode.clone();
    let mut values = [1000.0; VALUES];
    for (value, name) in values.iter_mut().zip(&circuit.coils) {
        let stated = pickup.coils.iter().find(|coil| coil.name == *name).and_then(|coil| coil.stated);
        *value = stated.map(|ohms| ohms.0).filter(|ohms| ohms.is_finite() && *ohms > 1.0).unwrap_or(1000.0);
    }
    let seen = circuit.seen(&circuit.meant, &Look::output(position)).unwrap_or(Seen::Open);
    let shares = circuit.shares(&circuit.meant, position, &values).unwrap_or_default();
    let heard: Vec<(CoilName, f64)> =
        circuit.coils.iter().copied().zip(shares).filter(|(_, share)| share.abs() > 1e-6).collect();
    let towards = |(coil, share): &(CoilName, f64)| (*share > 0.0) != turned_in_stack(pickup, *coil);
    let strings = match heard.as_slice() {
        [] => Phase::Silent,
        [_] => Phase::OneCoil,
        [first, rest @ ..] if rest.iter().all(|coil| towards(coil) == towards(first)) => Phase::InPhase,
        _ => Phase::OutOfPhase,
    };
    let hum: Option<f64> = heard
        .iter()
        .map(|(coil, share)| {
            // The sense of a winding is the sign of its swing times that of its magnet; a stack has one magnet.
            match magnet(pickup, *coil) {
                Some(Polarity::North) => Some(*share),
                Some(Polarity::South) => Some(-share),
                None if pickup.construction == Construction::Stacked => Some(*share),
                None => None,
            }
        })
        .sum();
    let all: f64 = heard.iter().map(|(_, share)| share.abs()).sum();
    // Coils of somewhat different size still count as cancelling: a quarter of the hum is left at most.
    let cancels_hum = match strings {
        Phase::Silent => None,
        Phase::OneCoil => Some(false),
        Phase::InPhase | Phase::OutOfPhase => hum.map(|hum| hum.abs() <= 0.25 * all),
    };
    let hears: Vec<CoilName> = heard.iter().map(|(coil, _)| *coil).collect();
    let sentence = mode_sentence(pickup, circuit, &mode, &seen, strings, cancels_hum);
    ModeHookup { mode, hears, strings, cancels_hum, sentence }
}

fn magnet(pickup: &Pickup, coil: CoilName) -> Option<Polarity> {
    pickup.coils.iter().find(|c| c.name == coil).and_then(|c| c.magnet_up)
}

fn mode_sentence(
    pickup: &Pickup,
    circuit: &Circuit,
    mode: &Mode,
    seen: &Seen,
    strings: Phase,
    cancels_hum: Option<bool>,
) -> String {
    let what = circuit.in_words(seen);
    let met = match strings {
        Phase::Silent => return format!("{}: no sound from this pickup on this rig.", mode.0),
        Phase::OneCoil => "one coil alone",
        Phase::InPhase if pickup.construction == Construction::Stacked => "hooked up against hum",
        Phase::InPhase => "in phase",
        Phase::OutOfPhase => "out of phase, thin and weak",
    };
    let hum = match cancels_hum {
        Some(true) => ", hum cancelled",
        Some(false) => ", hum not cancelled",
        None => ", hum not known without a compass",
    };
    format!("{}: {what}, {met}{hum}.", mode.0)
}

fn rule(pickup: &Pickup) -> String {
    let text = match (pickup.coils.len(), pickup.construction) {
        (0 | 1, _) => "One coil alone does not cancel hum.",
        (_, Construction::Stacked) => {
            "Hum leads: a stack shares its magnets, so the lower coil goes in the other way round. It cancels hum and takes a little \
             of the string's sound with it."
        }
        _ => {
            "Strings lead: all coils are hooked up to swing the same way. Where their magnets are opposite, hum is cancelled too."
        }
    };
    text.to_owned()
}

fn sentence(pickup: &Pickup, circuit: &Circuit, modes: &[ModeHookup], left_off: &[String]) -> String {
    if pickup.leads.is_empty() || pickup.leads.iter().all(|lead| lead.ends.is_empty()) {
        return "Which lead is which is not known yet. Find out the leads first.".to_owned();
    }
    let named = |phase: Phase| -> Vec<String> {
        modes.iter().filter(|mode| mode.strings == phase).map(|mode| mode.mode.0.clone()).collect()
    };
    let mut sentence = "This is the hookup.".to_owned();
    let unknown: Vec<String> =
        pickup.leads.iter().filter(|lead| lead.ends.is_empty()).map(|lead| lead.name.clone()).collect();
    if !unknown.is_empty() {
        sentence = format!("This is the hookup as far as it is known; not of {}.", listed(&unknown));
    } else if !left_off.is_empty() {
        sentence.push_str(&format!(
            " {} {} off the block: it has {} terminals. Fold it back and insulate its end; do not cut it.",
            listed(left_off),
            if left_off.len() == 1 { "stays" } else { "stay" },
            circuit.terminals.len()
        ));
    }
    let silent = named(Phase::Silent);
    if !silent.is_empty() {
        sentence.push_str(&format!(" No sound in {}.", listed(&silent)));
    }
    let out = named(Phase::OutOfPhase);
    if !out.is_empty() {
        sentence.push_str(&format!(" Out of phase in {}: this pickup is joined so inside.", listed(&out)));
    }
    sentence
}

/// `moss (coil A minus)`.
pub(crate) fn lead_in_words(pickup: &Pickup, lead: &str) -> String {
    let ends: Vec<String> = pickup
        .leads
        .iter()
        .filter(|other| other.name == lead)
        .flat_map(|lead| lead.ends.iter().map(|end| end.in_words()))
        .collect();
    match (lead == SHIELD, ends.is_empty()) {
        (true, _) => "the shield".to_owned(),
        (false, true) => lead.to_owned(),
        (false, false) => format!("{lead} ({})", listed(&ends)),
    }
}

/// Per mode: what goes to ground, what to hot, what is joined and insulated, what stays free.
fn install(rig: &Rig, joined: &[Joined], modes: &[ModeHookup], left_off: &[String]) -> Vec<String> {
    rig.positions
        .iter()
        .zip(modes)
        .map(|(position, mode)| {
            if mode.strings == Phase::Silent {
                return format!("{}: not possible with this pickup.", mode.mode.0);
            }
            let mut groups: Vec<Vec<u8>> =
                (0..rig.terminals.len()).filter_map(|t| u8::try_from(t).ok()).map(|t| vec![t]).collect();
            for bond in &position.bonds {
                let (mut together, apart): (Vec<_>, Vec<_>) =
                    groups.into_iter().partition(|group| group.iter().any(|terminal| bond.contains(terminal)));
                let one: Vec<u8> = together.drain(..).flatten().collect();
                groups = apart;
                groups.push(one);
            }
            groups.sort();
            let leads = |group: &[u8]| -> Vec<String> {
                joined
                    .iter()
                    .filter(|here| group.contains(&here.terminal))
                    .flat_map(|here| here.leads.clone())
                    .collect()
            };
            let [ground, tip] = position.output;
            let mut parts = Vec::new();
            for (terminal, where_to) in [(ground, "ground"), (tip, "the switch or the hot")] {
                for group in groups.iter().filter(|group| group.contains(&terminal)) {
                    parts.push(format!("{} to {where_to}", listed(&leads(group))));
                }
            }
            for group in groups.iter().filter(|group| !group.contains(&ground) && !group.contains(&tip)) {
                match leads(group).as_slice() {
                    [] => {}
                    [one] => parts.push(format!("{one} folded back and insulated")),
                    many => parts.push(format!("{} joined to each other and insulated", listed(many))),
                }
            }
            if !left_off.is_empty() {
                parts.push(format!("{} folded back and insulated", listed(left_off)));
            }
            format!("{}: {}.", mode.mode.0, parts.join("; "))
        })
        .collect()
}

#[cfg(test)]
mod tests;
