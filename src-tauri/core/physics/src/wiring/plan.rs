//! What is to be installed: the modes that the rig proved, the plan, the pickups that stay.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{SignalPath, WiringPlan};
use crate::meter::{ImpliedCoil, Joined};
use crate::record::claim::Meter;
use crate::record::leads::{LeadName, Swing};
use crate::record::pickup::{Pickup, Polarity};
use crate::record::quantity::{Celsius, Ohms};
use crate::record::rig::{Mode, Rig};

/// What a mode joins, by the names of the leads: the same as on the rig where it was heard.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct ModeWiring {
    /// The mode.
    pub mode: Mode,
    /// Leads at ground; the shield is not among them.
    pub ground: Vec<LeadName>,
    /// Leads at the hot.
    pub hot: Vec<LeadName>,
    /// Sets of leads joined to each other and to nothing else.
    pub joined: Vec<Vec<LeadName>>,
    /// Leads that are joined to nothing.
    pub free: Vec<LeadName>,
}

/// A pickup that stays in the guitar, as far as it is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct Staying {
    /// The place it is in, by its name in the guitar's record.
    pub place: String,
    /// What it is called, or words about it.
    pub label: String,
    /// Its record, if it is one of the records.
    #[serde(default)]
    pub pickup: Option<Pickup>,
    /// Its coils as they were measured, at 20 °C.
    #[serde(default)]
    pub measured: Vec<ImpliedCoil>,
    /// How its leads are soldered, if that is known; the mode in it does not matter.
    #[serde(default)]
    pub wired: Option<ModeWiring>,
    /// Whether its coils were tapped at their leads, so that their sense is more than what a record says.
    #[serde(default)]
    pub tapped: bool,
    /// What it reads between its hot and ground with nothing else on them, at 20 °C, in ohms.
    #[serde(default)]
    pub reads: Option<Ohms>,
    /// The least and the most that this may be, where it was solved back from the jack, in ohms.
    #[serde(default)]
    pub reads_between: Option<[Ohms; 2]>,
    /// The first swing when steel is pulled off it, plus probe on its hot.
    #[serde(default)]
    pub tap: Option<Swing>,
    /// The magnetic pole that faces the strings, for a pickup with one coil.
    #[serde(default)]
    pub magnet_up: Option<Polarity>,
    /// Whether it cancels hum by itself, if that is known.
    #[serde(default)]
    pub cancels_hum: Option<bool>,
}

impl Staying {
    /// The pole which the record says faces the strings; nothing where it does not tell, or there is more than one coil.
    #[must_use]
    pub fn recorded_pole(&self) -> Option<Polarity> {
        match self.pickup.as_ref()?.coils.as_slice() {
            [one] => one.magnet_up,
            _ => None,
        }
    }

    /// The pole which faces the strings, by compass or by its record; nothing where that is not known, or where both do.
    #[must_use]
    pub fn pole_up(&self) -> Option<Polarity> {
        self.magnet_up.or_else(|| self.recorded_pole())
    }
}

/// All that the readings at the jack hang on.
#[derive(Debug, Clone, Copy)]
pub struct JackCase<'a> {
    /// The new pickup, with its leads proven.
    pub pickup: &'a Pickup,
    /// Its coils as they were measured, at 20 °C; what is stated counts where there is none.
    pub measured: &'a [ImpliedCoil],
    /// The place it goes to, by its name.
    pub place: &'a str,
    /// Whether its coils were tapped, so that its sense is more than what a record says.
    pub tapped: bool,
    /// Where its leads go.
    pub wiring: &'a WiringPlan,
    /// Volume, tone and selector.
    pub path: &'a SignalPath,
    /// The pickups that stay; not the one that comes out.
    pub staying: &'a [Staying],
    /// The meter.
    pub meter: &'a Meter,
    /// The room's temperature, if it was measured.
    pub room: Option<Celsius>,
}

/// What each position of a rig's switch does with leads that are in its terminals.
#[must_use]
pub fn mode_wirings(pickup: &Pickup, rig: &Rig, joined: &[Joined]) -> Vec<ModeWiring> {
    rig.positions
        .iter()
        .map(|position| {
            // Terminals that are bonded form one group, named by the lowest.
            let mut group: Vec<u8> = (0..=u8::MAX).collect();
            for bond in &position.bonds {
                let named: Vec<u8> = bond.iter().map(|terminal| group[usize::from(*terminal)]).collect();
                let Some(least) = named.iter().copied().min() else { continue };
                for name in &mut group {
                    if named.contains(name) {
                        *name = least;
                    }
                }
            }
            let [ground, hot] = position.output.map(|terminal| group[usize::from(terminal)]);
            let mut by_group: Vec<(u8, Vec<LeadName>)> = Vec::new();
            let mut free: Vec<LeadName> = Vec::new();
            for lead in &pickup.leads {
                let terminal = joined
                    .iter()
                    .find(|here| here.leads.iter().any(|other| other.is(&lead.name)))
                    .map(|here| here.terminal);
                match terminal.map(|terminal| group[usize::from(terminal)]) {
                    None => free.push(lead.name.clone()),
                    Some(of) => match by_group.iter_mut().find(|(other, _)| *other == of) {
                        Some((_, leads)) => leads.push(lead.name.clone()),
                        None => by_group.push((of, vec![lead.name.clone()])),
                    },
                }
            }
            let mut wiring = ModeWiring {
                mode: position.mode.clone(),
                ground: Vec::new(),
                hot: Vec::new(),
                joined: Vec::new(),
                free,
            };
            for (of, leads) in by_group {
                if of == ground {
                    wiring.ground = leads;
                } else if of == hot {
                    wiring.hot = leads;
                } else if leads.len() > 1 {
                    wiring.joined.push(leads);
                } else {
                    wiring.free.extend(leads);
                }
            }
            wiring
        })
        .collect()
}
