//! Where each lead is soldered: for one mode that is fixed, or for a switch whose every position gives a mode.

mod by_selector;
mod drawn;
mod laid;
pub(super) mod partitions;
mod search;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use self::laid::Laid;
use self::partitions::{Coils, GROUND, HOT, LEADS, Partitions};
use self::search::{Target, WaySearch};
use super::ModeWiring;
use crate::drawing::Drawn;
use crate::record::contacts::ModeSwitch;
use crate::record::controls::SelectorPosition;
use crate::record::leads::{Contact, LeadName, MOST_TO_SOLDER};
use crate::record::pickup::Pickup;
use crate::record::rig::Mode;
use crate::record::wiring::{BySelector, Plan};
use crate::record::words::{capital, listed};

/// Where the leads go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct WiringPlan {
    /// How far it goes.
    pub kind: WiringKind,
    /// The same in a sentence or two.
    pub sentence: String,
    /// Every point that something is soldered to, hot first, then ground.
    pub points: Vec<SolderPoint>,
    /// Wires between two points, by their places in the list: from hot and ground to lugs, and jumpers between lugs.
    pub jumpers: Vec<[u8; 2]>,
    /// What each position of the switch gives, in the order of its positions; one without a name for a fixed mode.
    pub positions: Vec<PositionWired>,
    /// Modes that are wanted and that it can't give.
    pub not_given: Vec<Mode>,
    /// Where each lead goes and what is joined, a sentence a joint, in the order to solder.
    pub steps: Vec<String>,
    /// Things to say about it, in sentences.
    pub notes: Vec<String>,
    /// How many joints there are to solder.
    pub joints: u8,
    /// What the selector does, where its positions are those of the wiring.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub selector: Option<BySelector>,
    /// The same as a drawing.
    pub drawn: Drawn,
}

/// How far a wiring goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum WiringKind {
    /// Every mode that is wanted.
    Wired,
    /// Some of the modes that are wanted; the switch can't give all.
    Partly,
    /// None: the switch, or the leads, can't give any of them.
    CantBe,
    /// The leads are not known yet.
    LeadsUnknown,
}

/// What a point is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub enum SolderPointKind {
    /// Where the pickup's signal goes: the volume pot or the selector.
    Hot {},
    /// Ground.
    Ground {},
    /// A lug of the mode switch, counted from 1.
    Lug {
        /// Its number.
        number: u8,
    },
    /// Leads joined to each other, and insulated.
    Join {},
    /// A lead that is joined to nothing: its end is insulated.
    Insulated {},
    /// Of two pickups in a row: the selector's lug of the other one, or the ground lead of the other one.
    Beside {
        /// The place of the other one.
        place: String,
    },
}

/// One point and what is soldered to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct SolderPoint {
    /// What it is.
    pub kind: SolderPointKind,
    /// In words: `the hot`, `ground`, `lug 2`, `the joint of rust and slate`.
    pub name: String,
    /// What is on it.
    pub leads: Vec<Contact>,
}

/// What a position of the switch gives.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct PositionWired {
    /// The position's name; empty for a fixed mode.
    pub name: String,
    /// The mode it gives; nothing for one of its own that is none of those wanted.
    pub mode: Option<Mode>,
    /// Sets of points that its contacts join, by their places in the list of points.
    pub joined: Vec<Vec<u8>>,
    /// In a sentence.
    pub sentence: String,
}

/// Finds where each lead goes, so that each position of the plan's switch gives one of the plan's modes.
///
/// `modes` is what the rig's modes do with the same leads, by [`super::mode_wirings`]. The order of the plan's modes is kept
/// where it can be; the fewest wires win. Where the plan leaves it to the selector, see [`wire_in`].
#[must_use]
pub fn wire(pickup: &Pickup, modes: &[ModeWiring], plan: &Plan) -> WiringPlan {
    wire_in(pickup, modes, plan, ("", &[]))
}

/// The same in a guitar: the place of the pickup, and the positions of its selector, of which a plan may make more.
#[must_use]
pub fn wire_in(
    pickup: &Pickup,
    modes: &[ModeWiring],
    plan: &Plan,
    (place, positions): (&str, &[SelectorPosition]),
) -> WiringPlan {
    let known = pickup.leads.iter().filter(|lead| !lead.ends.is_empty()).count();
    if known == 0 || known < pickup.leads.len() {
        return none(
            plan,
            WiringKind::LeadsUnknown,
            "Which lead is which is not known yet. Find out the leads first; the hookup follows from them.",
        );
    }
    if pickup.leads.len() > MOST_TO_SOLDER {
        let sentence =
            format!("This pickup has more leads than an install is worked out for here: {MOST_TO_SOLDER} at most.");
        return none(plan, WiringKind::CantBe, &sentence);
    }
    if let Some(Err(unclear)) = plan.switch.clone().map(ModeSwitch::checked) {
        return none(plan, WiringKind::CantBe, &unclear.sentence);
    }
    let Some(ways) = by_selector::ways(pickup, plan) else {
        let sentence =
            format!("In a row, a pickup with more than {} leads is not worked out here.", MOST_TO_SOLDER - 1);
        return none(plan, WiringKind::CantBe, &sentence);
    };
    let bench = ToWire::new(pickup, modes, plan, ways, (place, positions));
    match (&plan.switch, &plan.selector) {
        (None, _) => bench.fixed(),
        (Some(pole), Some(by)) => bench.by_selector(by, pole),
        (Some(switch), None) => bench.switched(switch),
    }
}

fn none(plan: &Plan, kind: WiringKind, sentence: &str) -> WiringPlan {
    WiringPlan {
        kind,
        sentence: sentence.to_owned(),
        points: Vec::new(),
        jumpers: Vec::new(),
        positions: Vec::new(),
        not_given: plan.modes.clone(),
        steps: Vec::new(),
        notes: Vec::new(),
        joints: 0,
        selector: None,
        drawn: Drawn::new("The hookup", sentence, 1.0),
    }
}

/// The modes that are wanted and that this pickup has, as ways to join its leads.
struct ToWire<'a> {
    pickup: &'a Pickup,
    plan: &'a Plan,
    /// Where it goes, and the positions of the selector there.
    place: &'a str,
    positions: &'a [SelectorPosition],
    /// Of two pickups in a row, the thing beside the leads.
    beside: Option<usize>,
    coils: Coils,
    ways: Partitions,
    wanted: Vec<(Mode, u16)>,
    /// For each position of the switch, the place of the mode that is asked for there; nothing where that can't be had.
    asked: Vec<Option<usize>>,
    /// Leads that shield, frame or cover are joined to: they belong at ground.
    bound: Vec<usize>,
    /// Modes in which nothing is heard, or that the rig does not have.
    without: Vec<Mode>,
}

impl<'a> ToWire<'a> {
    fn new(
        pickup: &'a Pickup,
        modes: &[ModeWiring],
        plan: &'a Plan,
        ways: Partitions,
        (place, positions): (&'a str, &'a [SelectorPosition]),
    ) -> Self {
        let coils = Coils::new(pickup);
        let bound: Vec<usize> = pickup
            .joined_to_leads()
            .into_iter()
            .filter_map(|(_, lead)| pickup.leads.iter().position(|other| other.name == *lead))
            .map(|lead| LEADS + lead)
            .collect();
        let (mut wanted, mut without): (Vec<(Mode, u16)>, Vec<Mode>) = (Vec::new(), Vec::new());
        for mode in &plan.modes {
            let way = modes.iter().find(|wiring| &wiring.mode == mode).map(|w| ways.of(&sets(pickup, w, plan.turned)));
            match way {
                Some(way) if coils.solve(ways.groups(way)).is_some_and(|does| !does.silent()) => {
                    if !wanted.iter().any(|(other, _)| other == mode) {
                        wanted.push((mode.clone(), grounded(&coils, &ways, way, &bound)));
                    }
                }
                Some(_) | None if without.contains(mode) => {}
                Some(_) | None => without.push(mode.clone()),
            }
        }
        let asked = plan.modes.iter().map(|mode| wanted.iter().position(|(other, _)| other == mode)).collect();
        let beside = by_selector::beside(pickup, plan);
        Self { pickup, plan, place, positions, beside, coils, ways, wanted, asked, bound, without }
    }

    fn fixed(&self) -> WiringPlan {
        let Some((mode, way)) = self.wanted.first() else {
            return none(
                self.plan,
                WiringKind::CantBe,
                "None of the modes can be heard with these leads. Choose one that the rig has proven.",
            );
        };
        let mut laid = Laid::new(self, *way, &[]);
        laid.positions =
            vec![(String::new(), Some(mode.clone()), Vec::new(), *way, self.coils.solve(self.ways.groups(*way)))];
        let mut not_given = self.without.clone();
        not_given.extend(self.wanted.iter().skip(1).map(|(mode, _)| mode.clone()));
        let kind = if not_given.is_empty() { WiringKind::Wired } else { WiringKind::Partly };
        let sentence = if not_given.is_empty() {
            format!("Soldered in {}, without a switch.", mode.0)
        } else {
            format!("Soldered in {}. Without a switch there is no other mode.", mode.0)
        };
        laid.plan(kind, sentence, not_given, self)
    }

    fn switched(&self, switch: &ModeSwitch) -> WiringPlan {
        let targets: Vec<Target> = self.wanted.iter().map(|(_, way)| Target::of(*way)).collect();
        // A lead that belongs at ground is there in every position that its mode allows, if the switch can do that too.
        let mut search = WaySearch::new(&self.ways, &self.coils, &targets, switch, &self.bound);
        let mut unbound =
            (!self.bound.is_empty()).then(|| WaySearch::new(&self.ways, &self.coils, &targets, switch, &[]));
        let all: Vec<usize> = (0..targets.len()).collect();
        let found = subsets(&all).into_iter().find_map(|subset| {
            let orders = orders(&subset, switch.positions.len(), &self.asked);
            let mut found = orders.iter().find_map(|order| search.find(order));
            if let (None, Some(unbound)) = (&found, &mut unbound) {
                found = orders.iter().find_map(|order| unbound.find(order));
            }
            found
        });
        let Some(found) = found else {
            let sentence = if self.wanted.is_empty() {
                "None of the modes can be heard with these leads. Choose modes that the rig has proven.".to_owned()
            } else {
                format!("No way was found to get {} from this switch.", listed(&self.named(&all)))
            };
            return none(self.plan, WiringKind::CantBe, &sentence);
        };
        let given: Vec<usize> = all.iter().copied().filter(|mode| found.modes.contains(&Some(*mode))).collect();
        let mut not_given = self.without.clone();
        not_given.extend(all.iter().filter(|mode| !given.contains(mode)).map(|mode| self.wanted[*mode].0.clone()));
        let mut laid = Laid::new(self, found.always, &found.lugs);
        laid.positions = switch
            .positions
            .iter()
            .zip(&found.modes)
            .zip(&found.joined)
            .map(|((position, mode), way)| {
                let mode = mode.and_then(|mode| self.wanted.get(mode)).map(|(mode, _)| mode.clone());
                (position.name.clone(), mode, position.joined.clone(), *way, search.does(*way).cloned())
            })
            .collect();
        let names = listed(&self.named(&given));
        let (kind, sentence) = if not_given.is_empty() {
            (WiringKind::Wired, format!("{} gives {names}.", capital(&switch.name)))
        } else {
            let left: Vec<String> = not_given.iter().map(|mode| mode.0.clone()).collect();
            (WiringKind::Partly, format!("{} can give {names}, but not {} too.", capital(&switch.name), listed(&left)))
        };
        let mut plan = laid.plan(kind, sentence, not_given, self);
        plan.notes.extend(self.moved(switch, &found.modes));
        plan
    }

    /// Positions that give another mode than was asked for there, in a sentence; nothing where there is none.
    fn moved(&self, switch: &ModeSwitch, given: &[Option<usize>]) -> Option<String> {
        let mode = |mode: &Option<usize>| mode.and_then(|mode| self.wanted.get(mode)).map(|(mode, _)| mode);
        let moved: Vec<String> = switch
            .positions
            .iter()
            .zip(&self.plan.modes)
            .zip(given)
            .filter(|((_, asked), given)| mode(given) != Some(asked))
            .map(|((position, asked), given)| match mode(given) {
                Some(given) => format!("{} gives {} and not {}", position.name, given.0, asked.0),
                None => format!("{} gives none of your modes and not {}", position.name, asked.0),
            })
            .collect();
        (!moved.is_empty()).then(|| {
            format!(
                "Not all of it comes out where you asked for it: {}. This switch can't do it otherwise.",
                listed(&moved)
            )
        })
    }

    fn named(&self, modes: &[usize]) -> Vec<String> {
        modes.iter().filter_map(|mode| self.wanted.get(*mode)).map(|(mode, _)| mode.0.clone()).collect()
    }
}

/// A way that does the same with the leads at ground that belong there, where they can be.
fn grounded(coils: &Coils, ways: &Partitions, way: u16, bound: &[usize]) -> u16 {
    bound.iter().fold(way, |way, lead| {
        let at_ground = ways.merge(way, GROUND, *lead);
        match (coils.solve(ways.groups(way)), coils.solve(ways.groups(at_ground))) {
            (Some(before), Some(after)) if before.same(&after) => at_ground,
            _ => way,
        }
    })
}

/// The sets of things that a mode joins.
fn sets(pickup: &Pickup, wiring: &ModeWiring, turned: bool) -> Vec<Vec<usize>> {
    let thing = |name: &LeadName| pickup.leads.iter().position(|lead| &lead.name == name).map(|lead| LEADS + lead);
    let with = |first: usize, leads: &[LeadName]| -> Vec<usize> {
        std::iter::once(first).chain(leads.iter().filter_map(thing)).collect()
    };
    let (ground, hot) = if turned { (HOT, GROUND) } else { (GROUND, HOT) };
    let mut sets = vec![with(ground, &wiring.ground), with(hot, &wiring.hot)];
    sets.extend(wiring.joined.iter().map(|leads| leads.iter().filter_map(thing).collect::<Vec<usize>>()));
    sets
}

/// All of them, then all but one, and so on down to one; the first are kept longest.
fn subsets(all: &[usize]) -> Vec<Vec<usize>> {
    let mut subsets: Vec<Vec<usize>> = (1_u32..1 << all.len().min(8))
        .map(|mask| all.iter().copied().enumerate().filter(|(at, _)| mask & (1 << at) != 0).map(|(_, of)| of).collect())
        .collect();
    subsets.sort_by_key(|subset: &Vec<usize>| (std::cmp::Reverse(subset.len()), subset.clone()));
    subsets
}

/// Which mode in which position: each at least once, as many as can be where they were asked for. Positions for which nothing
/// was asked, or what can't be had, repeat a mode, or else may be anything.
fn orders(modes: &[usize], positions: usize, asked: &[Option<usize>]) -> Vec<Vec<Option<usize>>> {
    if modes.is_empty() || modes.len() > positions {
        return Vec::new();
    }
    let choices = modes.len() + usize::from(modes.len() < positions);
    let mut orders: Vec<Vec<Option<usize>>> = Vec::new();
    let count = u32::try_from(positions).ok().and_then(|positions| choices.checked_pow(positions)).unwrap_or(0);
    for mut number in 0..count.min(50_000) {
        let mut order = vec![None; positions];
        for place in order.iter_mut().rev() {
            *place = modes.get(number % choices).copied();
            number /= choices;
        }
        if modes.iter().all(|mode| order.contains(&Some(*mode))) {
            orders.push(order);
        }
    }
    let moved = |order: &[Option<usize>]| {
        let there = asked.iter().zip(order).filter(|(asked, _)| asked.is_some_and(|mode| modes.contains(&mode)));
        there.filter(|(asked, given)| asked != given).count()
    };
    let out_of_order = |order: &[Option<usize>]| {
        let modes: Vec<usize> = order.iter().copied().flatten().collect();
        modes.windows(2).filter(|pair| pair[0] > pair[1]).count()
    };
    orders.sort_by_key(|order| (moved(order), order.iter().filter(|mode| mode.is_none()).count(), out_of_order(order)));
    orders.truncate(64);
    orders
}

#[cfg(test)]
mod tests;
