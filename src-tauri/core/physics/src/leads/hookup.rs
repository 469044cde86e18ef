//! Which lead goes into which terminal of a rig, what each mode then does, and the same as a statement for the install.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

mod arrange;
mod said;

use super::sound::{CANCELLED, Phase, Sound, sound};
use crate::meter::circuit::{RigCircuit, RigLook, VALUES};
use crate::meter::expect::known_of;
use crate::meter::{ImpliedCoil, Joined};
use crate::network::Seen;
use crate::recent::Recent;
use crate::record::leads::{Contact, LeadName};
use crate::record::pickup::{CoilName, Pickup};
use crate::record::rig::{Mode, Rig};
use crate::record::words::listed;

/// A hookup for the rig at hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct HookupMap {
    /// Every terminal in order, with the leads that go into it.
    pub places: Vec<HookupPlace>,
    /// Leads that stay off the block, each to be insulated.
    pub left_off: Vec<LeadName>,
    /// What each mode does with this hookup.
    pub modes: Vec<ModeHookup>,
    /// Which rule leads when strings and hum can't both be served, in words.
    pub rule: String,
    /// Where things stand, in a sentence.
    pub sentence: String,
    /// Whether coils work against each other, hum adds where it could cancel, or the whole pickup is turned round against its
    /// record: the sentence then says so, and what mends it.
    pub amiss: bool,
    /// Where a lead that shield, frame or cover is joined to comes out, in sentences; empty where there is none.
    pub ground: Vec<String>,
    /// For the later install: the same hookup without the rig, a line a mode.
    pub install: Vec<String>,
}

impl HookupMap {
    /// The leads in the terminals, as the meter's computing takes them.
    #[must_use]
    pub fn joined(&self) -> Vec<Joined> {
        self.places.iter().map(|place| Joined { terminal: place.terminal, leads: place.leads.clone() }).collect()
    }
}

/// One terminal and what goes into it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct HookupPlace {
    /// Its place on the block, counted from 0.
    pub terminal: u8,
    /// Its name on the block.
    pub name: String,
    /// What is in it.
    pub leads: Vec<Contact>,
    /// What that is, in words: `coil A minus, and the shield`.
    pub what: String,
}

/// What a mode does with a hookup.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct ModeHookup {
    /// The mode.
    pub mode: Mode,
    /// The coils that are heard.
    pub hears: Vec<CoilName>,
    /// How the coils meet for strings.
    pub strings: Phase,
    /// Whether hum is cancelled, to a quarter or less; nothing when a magnet's pole is not known.
    pub cancels_hum: Option<bool>,
    /// The share of the hum of its coils that is left at most, from 0 to 1; nothing when that is not known.
    pub hum_left: Option<f64>,
    /// Whether each lead that shield, frame or cover is joined to comes out at the sleeve; nothing where there is none.
    pub grounded: Option<bool>,
    /// In words.
    pub sentence: String,
}

/// The hookup in which this pickup's coils add for strings in as many modes as the rig allows, and in which a lead that the
/// shield, the frame or the cover is joined to comes out at the output's sleeve wherever that takes no sound away.
///
/// The pickup's record must say which lead is which end; in a stack the lower coil goes in the other way round, so that it
/// cancels hum.
#[must_use]
pub fn hookup(pickup: &Pickup, rig: &Rig) -> HookupMap {
    // Most looks at an audition are at the same pickup on the same rig as the one before.
    static LATELY: Recent<(Pickup, Rig), HookupMap> = Recent::new();
    LATELY.remembered(|(other, on)| other == pickup && on == rig).unwrap_or_else(|| {
        let found = described(pickup, rig, &arrange::best(pickup, rig), &[]);
        LATELY.remember((pickup.clone(), rig.clone()), &found);
        found
    })
}

/// What each mode does with leads that are in these terminals already, and what that means for the install. `measured` are
/// its coils as they were measured; what is stated counts where there is none.
#[must_use]
pub fn as_hooked_up(pickup: &Pickup, rig: &Rig, joined: &[Joined], measured: &[ImpliedCoil]) -> HookupMap {
    type Grounds = (Pickup, Rig, Vec<Joined>, Vec<ImpliedCoil>);
    static LATELY: Recent<Grounds, HookupMap> = Recent::new();
    let same = |(other, on, at, read): &Grounds| other == pickup && on == rig && at == joined && read == measured;
    LATELY.remembered(same).unwrap_or_else(|| {
        let found = described(pickup, rig, joined, measured);
        LATELY.remember((pickup.clone(), rig.clone(), joined.to_vec(), measured.to_vec()), &found);
        found
    })
}

/// Modes in which coils work against each other although they need not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Against {
    /// The modes.
    pub modes: Vec<Mode>,
    /// What mends it, in a sentence.
    pub mend: String,
}

/// Those of these modes in which coils work against each other with leads that are in these terminals; nothing where none do, or
/// where it is the rig's mode that joins them so.
#[must_use]
pub fn against(pickup: &Pickup, rig: &Rig, joined: &[Joined], wanted: &[Mode]) -> Option<Against> {
    let circuit = RigCircuit::new(pickup, joined, rig);
    let modes: Vec<ModeHookup> =
        (0..circuit.positions.len()).map(|position| one_mode(pickup, &circuit, position, None)).collect();
    said::On { pickup, rig, joined, circuit: &circuit, modes: &modes, left_off: &[] }.against(wanted)
}

fn described(pickup: &Pickup, rig: &Rig, joined: &[Joined], measured: &[ImpliedCoil]) -> HookupMap {
    let circuit = RigCircuit::new(pickup, joined, rig);
    let ohms = known_ohms(pickup, measured);
    let modes: Vec<ModeHookup> =
        (0..circuit.positions.len()).map(|position| one_mode(pickup, &circuit, position, ohms.as_deref())).collect();
    let in_terminal = |terminal: usize| -> Vec<Contact> {
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
            HookupPlace { terminal, name: name.clone(), what, leads }
        })
        .collect();
    let placed = |name: &LeadName| joined.iter().any(|here| here.leads.iter().any(|lead| lead.is(name)));
    let left_off: Vec<LeadName> =
        pickup.leads.iter().map(|lead| lead.name.clone()).filter(|name| !placed(name)).collect();
    let on = said::On { pickup, rig, joined, circuit: &circuit, modes: &modes, left_off: &left_off };
    let turned = on.turned();
    HookupMap {
        places,
        amiss: turned.is_some() || on.amiss(),
        sentence: [Some(on.sentence()), turned].into_iter().flatten().collect::<Vec<_>>().join(" "),
        ground: on.ground(),
        install: on.install(),
        rule: said::rule(pickup, ohms.is_some()),
        left_off,
        modes,
    }
}

/// The resistance of every coil, measured or else stated, in ohms; nothing where one is not known.
pub(crate) fn known_ohms(pickup: &Pickup, measured: &[ImpliedCoil]) -> Option<Vec<f64>> {
    pickup.coils.iter().map(|coil| known_of(pickup, coil.name, measured).map(|known| known.ohms)).collect()
}

/// What a pickup puts out in a position of a rig's switch.
fn conditions(pickup: &Pickup, circuit: &RigCircuit, position: usize, ohms: Option<&[f64]>) -> Sound {
    let mut values = [1000.0; VALUES];
    for (value, ohms) in values.iter_mut().zip(ohms.unwrap_or_default()) {
        *value = *ohms;
    }
    let shares = circuit.shares(&circuit.meant, position, &values).unwrap_or_default();
    sound(pickup, &shares, ohms)
}

fn one_mode(pickup: &Pickup, circuit: &RigCircuit, position: usize, ohms: Option<&[f64]>) -> ModeHookup {
    let mode = circuit.positions[position].mode.clone();
    let seen = circuit.seen(&circuit.meant, &RigLook::output(position)).unwrap_or(Seen::Open);
    let sound = conditions(pickup, circuit, position, ohms);
    let hum_left = sound.hum.left();
    let bound = pickup.joined_to_leads();
    let at_sleeve =
        |lead: &LeadName| circuit.comes_out(&circuit.meant, lead, position).is_some_and(|[ground, _]| ground);
    ModeHookup {
        sentence: said::mode(
            pickup,
            &mode,
            &circuit.in_words(&seen),
            &sound,
            circuit.shorts_a_part(&circuit.meant, position),
        ),
        mode,
        strings: sound.strings,
        cancels_hum: hum_left.map(|left| left <= CANCELLED),
        hum_left,
        grounded: (!bound.is_empty()).then(|| bound.iter().all(|(_, lead)| at_sleeve(lead))),
        hears: sound.hears,
    }
}

/// `moss (coil A minus)`, `moss (minus)` where there is one coil.
pub(crate) fn lead_in_words(pickup: &Pickup, lead: &Contact) -> String {
    let ends: Vec<String> =
        pickup.lead(lead).into_iter().flat_map(|lead| &lead.ends).map(|end| pickup.end_in_words(*end)).collect();
    match (lead, ends.is_empty()) {
        (Contact::Shield, _) => "the shield".to_owned(),
        (Contact::Lead(_) | Contact::Frame, true) => lead.to_string(),
        (Contact::Lead(_) | Contact::Frame, false) => format!("{lead} ({})", listed(&ends)),
    }
}

#[cfg(test)]
mod tests;
