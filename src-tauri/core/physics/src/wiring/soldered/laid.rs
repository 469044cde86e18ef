//! A wiring that was found, as points, wires and sentences.

use super::by_selector::named;
use super::partitions::{Does, GROUND, HOT, LEADS};
use super::{PositionWired, SolderPoint, SolderPointKind, ToWire, WiringKind, WiringPlan, drawn};
use crate::leads::lead_in_words;
use crate::record::leads::Contact;
use crate::record::pickup::{Pickup, ShieldKind};
use crate::record::rig::Mode;
use crate::record::words::{capital, listed};

/// Hot and ground come first among the points, then the lugs of a switch.
const HOT_POINT: usize = 0;
const GROUND_POINT: usize = 1;
const FIRST_LUG: usize = 2;

/// A position: its name, mode, the lugs it joins, and the way that things are joined in it.
type Position = (String, Option<Mode>, Vec<Vec<u8>>, u16, Option<Does>);

pub(super) struct Laid {
    points: Vec<SolderPoint>,
    jumpers: Vec<[u8; 2]>,
    pub positions: Vec<Position>,
}

impl Laid {
    /// `always` is what is joined whatever the switch does, `lugs` the thing on each lug.
    pub fn new(bench: &ToWire, always: u16, lugs: &[Option<u8>]) -> Self {
        let (pickup, ways) = (bench.pickup, &bench.ways);
        let row = bench.plan.selector.as_ref().and_then(|by| by.row.as_ref());
        let point = |kind: SolderPointKind, name: String| SolderPoint { kind, name, leads: Vec::new() };
        let mut points = vec![
            point(SolderPointKind::Hot {}, "the hot".to_owned()),
            point(SolderPointKind::Ground {}, "ground".to_owned()),
        ];
        for number in (1_u8..).take(lugs.len()) {
            points.push(point(SolderPointKind::Lug { number }, format!("lug {number}")));
        }
        let mut jumpers = Vec::new();
        let groups = ways.groups(always);
        for group in 0..ways.how_many(always) {
            let member = |thing: usize| groups.get(thing).is_some_and(|of| usize::from(*of) == group);
            let mut leads: Vec<Contact> = pickup
                .leads
                .iter()
                .enumerate()
                .filter(|(lead, _)| member(LEADS + lead))
                .map(|(_, lead)| Contact::from(&lead.name))
                .collect();
            let on: Vec<usize> = lugs
                .iter()
                .enumerate()
                .filter(|(_, thing)| thing.is_some_and(|thing| member(usize::from(thing))))
                .map(|(lug, _)| FIRST_LUG + lug)
                .collect();
            let beside = row.filter(|_| bench.beside.is_some_and(member));
            let home = if let Some(row) = beside {
                let new_is_upper = bench.new_is_upper(row);
                let place = if new_is_upper { &row.lower } else { &row.upper };
                points.push(point(SolderPointKind::Beside { place: place.clone() }, named(row, new_is_upper)));
                points.len() - 1
            } else if member(HOT) {
                HOT_POINT
            } else if member(GROUND) {
                GROUND_POINT
            } else if let Some(first) = on.first() {
                *first
            } else {
                match leads.as_slice() {
                    [] => continue,
                    [_] => points.push(point(SolderPointKind::Insulated {}, "nothing".to_owned())),
                    [..] => {
                        let all: Vec<String> = leads.iter().map(Contact::to_string).collect();
                        points.push(point(SolderPointKind::Join {}, format!("the joint of {}", listed(&all))));
                    }
                }
                points.len() - 1
            };
            points[home].leads.append(&mut leads);
            let mut from = home;
            for lug in on.into_iter().filter(|lug| *lug != home) {
                jumpers.extend(u8::try_from(from).ok().zip(u8::try_from(lug).ok()).map(|(a, b)| [a, b]));
                // Lugs are chained; hot and ground send one wire to the first of them.
                from = lug;
            }
        }
        // A shield that is joined to a lead inside comes out with that lead.
        if pickup.shield.kind != ShieldKind::None && pickup.shield.joined_to.is_none() {
            points[GROUND_POINT].leads.push(Contact::Shield);
        }
        Self { points, jumpers, positions: Vec::new() }
    }

    pub fn plan(self, kind: WiringKind, sentence: String, not_given: Vec<Mode>, bench: &ToWire) -> WiringPlan {
        let steps = self.steps(bench.pickup, bench.plan.selector.is_some());
        let notes = self.notes(bench);
        let positions: Vec<PositionWired> = self
            .positions
            .iter()
            .map(|(name, mode, joined, _, does)| PositionWired {
                name: name.clone(),
                mode: mode.clone(),
                joined: joined
                    .iter()
                    .map(|set| set.iter().filter_map(|lug| lug.checked_sub(1)?.checked_add(FIRST_LUG as u8)).collect())
                    .collect(),
                sentence: in_words(name, mode.as_ref(), does.as_ref(), bench.pickup),
            })
            .collect();
        let used = (0..self.points.len()).filter(|point| self.is_used(*point)).count();
        let drawn = drawn::hookup(&self.points, &self.jumpers, &sentence, &steps);
        WiringPlan {
            kind,
            sentence,
            joints: u8::try_from(used).unwrap_or(u8::MAX),
            points: self.points,
            jumpers: self.jumpers,
            positions,
            selector: None,
            not_given,
            steps,
            notes,
            drawn,
        }
    }

    fn is_used(&self, point: usize) -> bool {
        let soldered = !matches!(self.points[point].kind, SolderPointKind::Insulated {});
        soldered
            && (!self.points[point].leads.is_empty()
                || self.jumpers.iter().flatten().any(|other| usize::from(*other) == point))
    }

    /// Joints of their own first, then the lugs, then ground and hot, so that the hot is soldered last.
    fn steps(&self, pickup: &Pickup, by_selector: bool) -> Vec<String> {
        let said =
            |leads: &[Contact]| listed(&leads.iter().map(|lead| lead_in_words(pickup, lead)).collect::<Vec<_>>());
        let mut steps = Vec::new();
        for point in &self.points {
            match point.kind {
                SolderPointKind::Join {} => {
                    steps.push(format!("Join {} and insulate the joint with heat-shrink.", said(&point.leads)))
                }
                SolderPointKind::Insulated {} => {
                    steps.push(format!(
                        "Fold {} back on itself and insulate its end with heat-shrink. Do not cut it.",
                        said(&point.leads)
                    ));
                }
                SolderPointKind::Hot {}
                | SolderPointKind::Ground {}
                | SolderPointKind::Lug { .. }
                | SolderPointKind::Beside { .. } => {}
            }
        }
        for point in &self.points {
            if matches!(point.kind, SolderPointKind::Lug { .. }) && !point.leads.is_empty() {
                steps.push(format!("Solder {} to {}.", said(&point.leads), point.name));
            }
        }
        for [from, to] in &self.jumpers {
            let name = |point: &u8| self.points.get(usize::from(*point)).map(|point| point.name.clone());
            if let (Some(from), Some(to)) = (name(from), name(to)) {
                steps.push(if from.ends_with("lead") {
                    format!("Solder {from} to {to}, and no longer to ground.")
                } else {
                    format!("Solder a short wire from {from} to {to}.")
                });
            }
        }
        let hot = if by_selector {
            "the hot: the selector's own lug or its output"
        } else {
            "the hot: the volume pot or the selector's lug"
        };
        for (point, place) in [(GROUND_POINT, "ground: the back of a pot"), (HOT_POINT, hot)] {
            if let Some(point) = self.points.get(point).filter(|point| !point.leads.is_empty()) {
                steps.push(format!("Solder {} to {place}.", said(&point.leads)));
            }
        }
        steps
    }

    /// How to find the lugs on the switch in hand, which tells neither their numbers nor which position is which.
    fn which_lug(&self, by_selector: bool) -> Option<String> {
        let switched = self.positions.iter().filter(|(name, ..)| !name.is_empty());
        let positions = switched.map(|(name, _, joined, ..)| {
            let sets: Vec<String> = joined
                .iter()
                .filter(|set| set.len() > 1)
                .map(|set| listed(&set.iter().map(u8::to_string).collect::<Vec<_>>()))
                .collect();
            let together = if sets.is_empty() { "nothing".to_owned() } else { sets.join(", ") };
            format!("in {name} {together}")
        });
        let positions: Vec<String> = positions.collect();
        let switch = if by_selector { "selector, on a pole that nothing else uses," } else { "switch" };
        (!positions.is_empty()).then(|| {
            format!(
                "Lugs are counted downwards in the drawing, one column after the other. Before you solder, find them on your \
                 {switch} with the meter. These have no resistance between them: {}.",
                positions.join("; ")
            )
        })
    }

    fn notes(&self, bench: &ToWire) -> Vec<String> {
        let mut notes = Vec::new();
        notes.extend(self.which_lug(bench.plan.selector.is_some()));
        let silent: Vec<String> = bench.without.iter().map(|mode| mode.0.clone()).collect();
        if !silent.is_empty() {
            notes.push(format!("Not to be had with these leads: {}.", listed(&silent)));
        }
        if bench.plan.turned {
            notes.push("Hot and ground of this pickup are exchanged against the rig, as the plan says.".to_owned());
        }
        for (what, lead) in bench.pickup.joined_to_leads() {
            let Some(thing) = bench.pickup.leads.iter().position(|other| other.name == *lead).map(|at| LEADS + at)
            else {
                continue;
            };
            let at = |thing: usize| {
                let there = self.positions.iter().filter(move |(.., way, _)| {
                    let groups = bench.ways.groups(*way);
                    groups.get(thing) == groups.get(HOT)
                });
                there.count()
            };
            let live: Vec<String> = self
                .positions
                .iter()
                .filter(|(.., way, _)| {
                    let groups = bench.ways.groups(*way);
                    groups.get(thing) != groups.get(GROUND)
                })
                .map(|(name, mode, ..)| mode.as_ref().map_or_else(|| name.clone(), |mode| mode.0.clone()))
                .collect();
            if live.is_empty() {
                notes.push(format!("{} is joined to {lead} inside, so {lead} is at ground.", capital(what)));
            } else {
                // Turned round, what is at the hot comes to ground.
                let mend = if at(thing) == live.len() {
                    "Swap hot and ground in “Plan”: then it is at ground."
                } else {
                    "Part it from that lead and ground it by a wire of its own, or leave that mode out."
                };
                notes.push(format!(
                    "{} is joined to {lead} inside, and {lead} is not at ground in {}. It is live then: it hums, and crackles when it \
                     is touched. {mend}",
                    capital(what),
                    listed(&live)
                ));
            }
        }
        let hanging = |(_, _, _, _, does): &&Position| does.as_ref().is_some_and(|does| does.hanging > 0);
        if self.positions.iter().any(|position| hanging(&position)) {
            notes.push(
                "A coil that is not heard hangs on the hot by one end in one position; it may catch some hum."
                    .to_owned(),
            );
        }
        notes
    }
}

/// What a position does, in a sentence.
fn in_words(name: &str, mode: Option<&Mode>, does: Option<&Does>, pickup: &Pickup) -> String {
    let hears: Vec<String> = does
        .iter()
        .flat_map(|does| pickup.coils.iter().zip(&does.shares))
        .filter(|(_, share)| share.abs() > 1e-9)
        .map(|(coil, _)| format!("coil {}", coil.name.letter()))
        .collect();
    let what = match (mode, hears.is_empty()) {
        (Some(mode), _) => format!("{}, through {}", mode.0, listed(&hears)),
        (None, true) => "no sound from this pickup".to_owned(),
        (None, false) => format!("{} in a way that is none of your modes", listed(&hears)),
    };
    if name.is_empty() { format!("{}.", capital(&what)) } else { format!("{}: {what}.", capital(name)) }
}
