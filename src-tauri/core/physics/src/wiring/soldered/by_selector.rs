//! A pickup that the selector wires: a free pole of it changes the mode by its positions, and may put two pickups in a row.
//!
//! In a row, the ground end of one pickup lies on the hot of the other in one position. Its hot stays at the selector's output for
//! good, so where it is not to be heard, its ground end is joined to nothing.

use super::laid::Laid;
use super::partitions::{GROUND, LEADS, MOST, Partitions};
use super::search::{Beside, Target, WaySearch};
use super::{ToWire, WiringKind, WiringPlan, none};
use crate::record::contacts::ModeSwitch;
use crate::record::pickup::Pickup;
use crate::record::wiring::{BySelector, InRow, Plan};
use crate::record::words::listed;

/// The thing beside a pickup's leads: of a row, the hot of the other pickup or its ground end.
pub(super) fn beside(pickup: &Pickup, plan: &Plan) -> Option<usize> {
    plan.selector.as_ref()?.row.as_ref().map(|_| LEADS + pickup.leads.len())
}

/// All ways to join a plan's things; nothing when they are too many.
pub(super) fn ways(pickup: &Pickup, plan: &Plan) -> Option<Partitions> {
    let count = LEADS + pickup.leads.len() + usize::from(beside(pickup, plan).is_some());
    (count <= MOST).then(|| Partitions::new(count))
}

/// What stands beside the new pickup's leads, in words: `the neck lug of the selector`, `the neck pickup's ground lead`.
pub(super) fn named(row: &InRow, new_is_upper: bool) -> String {
    if new_is_upper {
        format!("the {} lug of the selector", row.lower)
    } else {
        format!("the {} pickup's ground lead", row.upper)
    }
}

impl ToWire<'_> {
    /// Whether the new pickup stands on the other one.
    pub(super) fn new_is_upper(&self, row: &InRow) -> bool {
        self.place == row.upper
    }

    pub(super) fn by_selector(&self, by: &BySelector, pole: &ModeSwitch) -> WiringPlan {
        let Some(targets) = self.targets(by, pole) else {
            return none(
                self.plan,
                WiringKind::CantBe,
                "None of the modes can be heard with these leads. Choose modes that the rig has proven.",
            );
        };
        let order: Vec<Option<usize>> = (0..targets.len()).map(Some).collect();
        let mut found = WaySearch::new(&self.ways, &self.coils, &targets, pole, &self.bound).find(&order);
        if found.is_none() && !self.bound.is_empty() {
            found = WaySearch::new(&self.ways, &self.coils, &targets, pole, &[]).find(&order);
        }
        let Some(found) = found else {
            let sentence = format!(
                "No way was found to get this from {} of the selector. Try another pole, or fewer positions that change.",
                pole.name
            );
            return none(self.plan, WiringKind::CantBe, &sentence);
        };
        let mut laid = Laid::new(self, found.always, &found.lugs);
        laid.positions = pole
            .positions
            .iter()
            .zip(&self.plan.modes)
            .zip(&found.joined)
            .map(|((position, mode), way)| {
                let heard = by.heard.contains(&position.name);
                // Whatever it does elsewhere, the selector does not put it out there.
                let does = heard.then(|| self.coils.solve(self.ways.groups(self.grounded_beside(by, *way))));
                (position.name.clone(), heard.then(|| mode.clone()), position.joined.clone(), *way, does.flatten())
            })
            .collect();
        let mut modes: Vec<String> = Vec::new();
        for (_, mode, ..) in &laid.positions {
            modes.extend(mode.as_ref().map(|mode| mode.0.clone()).filter(|mode| !modes.contains(mode)));
        }
        let row = by.row.as_ref().map_or_else(String::new, |row| {
            format!(" In {} the {} pickup stands on the {} one, in a row.", row.position, row.upper, row.lower)
        });
        let sentence = format!("The selector gives {}.{row}", listed(&modes));
        let mut plan = laid.plan(WiringKind::Wired, sentence, Vec::new(), self);
        plan.selector = Some(by.clone());
        if let Some(row) = &by.row {
            plan.notes.extend(self.row_notes(row));
        }
        plan
    }

    /// What each position asks for; nothing where a mode can't be heard.
    fn targets(&self, by: &BySelector, pole: &ModeSwitch) -> Option<Vec<Target>> {
        let positions = pole.positions.iter().zip(&self.plan.modes);
        positions
            .map(|(position, mode)| {
                let heard = by.heard.contains(&position.name);
                let way = if heard {
                    let (_, way) = self.wanted.iter().find(|(other, _)| other == mode)?;
                    Some(*way)
                } else {
                    None
                };
                let Some((row, thing)) = by.row.as_ref().zip(self.beside) else {
                    return Some(Target { way, beside: None, silent: false });
                };
                let in_row = row.position == position.name;
                let upper = self.new_is_upper(row);
                let beside = match (in_row, upper) {
                    (true, true) => Beside::Under,
                    (true, false) => Beside::AtHot,
                    (false, true) => Beside::Alone,
                    (false, false) if self.hears(&position.name, &row.upper) => Beside::AtGround,
                    (false, false) => Beside::Alone,
                };
                Some(Target { way, beside: Some((thing, beside)), silent: upper && !heard })
            })
            .collect()
    }

    /// Whether a position of the selector puts out a place.
    fn hears(&self, position: &str, place: &str) -> bool {
        self.positions.iter().any(|other| other.name == position && other.places.iter().any(|other| other == place))
    }

    /// A way with the hot that the new pickup stands on taken for ground: what it puts out against that.
    fn grounded_beside(&self, by: &BySelector, way: u16) -> u16 {
        match (&by.row, self.beside) {
            (Some(row), Some(thing)) if self.new_is_upper(row) => self.ways.merge(way, GROUND, thing),
            _ => way,
        }
    }

    /// What else a row asks for at the selector and at the other pickup.
    fn row_notes(&self, row: &InRow) -> Vec<String> {
        let (upper, lower) = (&row.upper, &row.lower);
        let out: Vec<String> = self
            .positions
            .iter()
            .filter(|position| position.name != row.position && position.places.contains(lower))
            .map(|position| position.name.clone())
            .collect();
        let only = if out.is_empty() { "in no position".to_owned() } else { format!("in {} only", listed(&out)) };
        let mut notes = vec![format!(
            "The hot of the {upper} pickup goes straight to the selector's output. The selector's other pole joins the {lower} lug to the \
             output {only}, and not in {}.",
            row.position
        )];
        if !self.new_is_upper(row) {
            notes.push(format!(
                "Take the ground lead of the {upper} pickup off ground. Its cover, base and shield stay at ground by a wire of their own; \
                 where they hang on that lead inside, they would hum in {}: part them, or let the new pickup stand on it instead.",
                row.position
            ));
        }
        notes.push(format!("Where {upper} is not heard it hangs on the output by one end, and may catch some hum."));
        notes
    }
}
