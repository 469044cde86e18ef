//! What of a plan can be had with the leads of this pickup, before anything is written down.

use super::kit::InstallKit;
use crate::physics::wiring;
use crate::physics::wiring::{ModeWiring, WiringKind};
use crate::record::contacts::ModeSwitch;
use crate::record::leads::MOST_TO_SOLDER;
use crate::record::pickup::Pickup;
use crate::record::rig::Mode;
use crate::record::wiring::{Plan, positions};
use crate::record::words::capital;

/// What of a plan can be had.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Gives {
    /// All of it, or nobody can tell yet.
    All,
    /// Less than it asks for, as far as it can be worked out; somebody may want that all the same. In a sentence.
    Less(String),
    /// No sound at all, in a sentence.
    Nothing(String),
}

impl InstallKit {
    /// How the modes of the rig join the leads; nothing while pickup or rig are not known.
    fn wirings(&self) -> Option<(&Pickup, Vec<ModeWiring>)> {
        let (pickup, rig) = (self.pickup.as_ref()?, self.heard.rig.as_ref()?);
        Some((pickup, wiring::mode_wirings(pickup, rig, &self.joined)))
    }

    /// Why a mode gives no sound with these leads, in a sentence; nothing where it does, or where that is not known.
    pub(super) fn silent(&self, mode: &Mode) -> Option<String> {
        let (pickup, wirings) = self.wirings()?;
        let silent = |mode: &Mode| {
            let alone = Plan { modes: vec![mode.clone()], switch: None, turned: false, selector: None };
            pickup.leads.len() <= MOST_TO_SOLDER && wiring::wire(pickup, &wirings, &alone).kind == WiringKind::CantBe
        };
        if !silent(mode) {
            return None;
        }
        let heard: Vec<String> =
            self.modes().iter().filter(|other| !silent(other)).map(|other| other.0.clone()).collect();
        let why = match pickup.coils.len() {
            1 => "this pickup has one coil, and it does not lie between hot and ground then",
            _ => "with these leads no coil lies between hot and ground then",
        };
        let instead = match heard.as_slice() {
            [] => " Look at the leads of this pickup first.".to_owned(),
            [one] => format!(" Take {one}."),
            more => format!(" Take {}.", more.join(" or ")),
        };
        Some(format!("{} gives no sound: {why}.{instead}", capital(&mode.0)))
    }

    /// The first of the poles that a selector may have free with which a plan can be had, in words.
    fn other_pole(&self, plan: &Plan, can_be: impl Fn(&Plan) -> bool) -> Option<String> {
        let (switch, _) = plan.switch.as_ref().zip(plan.selector.as_ref())?;
        let names: Vec<String> = switch.positions.iter().map(|position| position.name.clone()).collect();
        let poles = ModeSwitch::poles(&names).into_iter().filter(|pole| pole != switch);
        let mut with = poles.map(|pole| Plan { switch: Some(pole), ..plan.clone() });
        with.find(|plan| can_be(plan)).and_then(|plan| Some(plan.switch?.name))
    }

    /// What of this plan can be had.
    #[must_use]
    pub fn gives(&self, plan: &Plan) -> Gives {
        let Some((pickup, wirings)) = self.wirings() else { return Gives::All };
        let otherwise = || self.laid_otherwise(plan).map_or(Gives::All, Gives::Less);
        let silent: Vec<String> = positions(plan).iter().filter_map(|(_, mode)| self.silent(mode)).collect();
        let path = self.path_of(plan);
        let wiring = wiring::wire_in(pickup, &wirings, plan, (&self.on.place, &path.positions));
        match (wiring.kind, silent.first()) {
            (WiringKind::Wired | WiringKind::LeadsUnknown, _) => otherwise(),
            (_, Some(first)) if silent.len() == positions(plan).len() => Gives::Nothing(first.clone()),
            // A position that is silent may be meant: it mutes the pickup.
            (_, Some(first)) => Gives::Less(first.clone()),
            (WiringKind::Partly | WiringKind::CantBe, None) => {
                let other = self.other_pole(plan, |plan| {
                    wiring::wire_in(pickup, &wirings, plan, (&self.on.place, &path.positions)).kind == WiringKind::Wired
                });
                Gives::Less(match other {
                    Some(pole) => format!("{} With {pole}, it can be had.", wiring.sentence),
                    None => wiring.sentence,
                })
            }
        }
    }
}
