//! The joints of an installed pickup, and what hangs on the case of a pot.

use super::{HOT_POINT, InstallCircuit, NOWHERE};

/// A joint between two things that are soldered together, or a short wire with its two joints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(in crate::wiring) enum Joint {
    /// A lead or the shield of the new pickup, on its point.
    Lead(u8),
    /// A wire of the plan's list between two points.
    Jumper(u8),
    /// From the new pickup's hot to its pot or the selector.
    Hot,
    /// From the new pickup's ground to the guitar's.
    Earth,
    /// From the volume or selector to the jack's tip.
    Tip,
    /// From the guitar's ground to the jack's sleeve.
    Sleeve,
    /// The grounded lug of a volume pot.
    Lug(u8),
    /// The hot of a pickup that stays, by its place.
    Stays(u8),
    /// The ground of a pickup that stays, by its place.
    StaysEarth(u8),
    /// The ground wire of a pot's case.
    Case(u8),
    /// The wire from the bridge to ground.
    Strings,
    /// The selector's contact from a place's lug to its output.
    Selector(u8),
    /// The mode switch's contact between two points.
    Switch(u8, u8),
}

impl Joint {
    /// Whether it is a contact that opens and closes, which no iron mends.
    pub fn is_contact(self) -> bool {
        matches!(self, Self::Selector(_) | Self::Switch(..))
    }
}

/// What hangs on the cases of pots that have no wire to ground themselves: a bit a pot, a bit a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub(in crate::wiring) struct Carried {
    /// Pots whose cases are joined with each other and not with ground.
    pub cases: u8,
    /// Places whose pickups have their ground on one of these cases; the new one is the first.
    pub places: u8,
    /// Pots whose grounded lug is on one of these cases.
    pub lugs: u8,
}

impl Carried {
    /// The pot that stands for all of them.
    pub fn first(self) -> u8 {
        self.cases.trailing_zeros() as u8
    }
}

impl InstallCircuit {
    /// Every joint that is soldered, and every contact that closes in a position.
    pub fn joints(&self) -> impl Iterator<Item = Joint> + '_ {
        self.all_joints.iter().copied().filter(|joint| match joint {
            Joint::Lead(wire) => !self.is_insulated(self.planned.on[usize::from(*wire)]),
            _ => true,
        })
    }

    /// Every joint, and the insulated end of each lead that is not used.
    pub(super) fn listed_joints(&self) -> Vec<Joint> {
        let wires = (0_u8..).zip(self.planned.on.iter().take(self.wires.len()));
        let mut joints: Vec<Joint> =
            wires.filter(|(_, on)| **on != NOWHERE).map(|(wire, _)| Joint::Lead(wire)).collect();
        joints.extend((0..self.jumpers.len() as u8).map(Joint::Jumper));
        joints.extend([Joint::Hot, Joint::Earth, Joint::Tip, Joint::Sleeve]);
        joints.extend((0..self.pots()).map(Joint::Lug));
        joints.extend((1..self.places.len() as u8).map(Joint::Stays));
        joints.extend((0..self.pots()).map(Joint::Case));
        joints.push(Joint::Strings);
        let lifted = |place: &u8| self.row.is_some_and(|row| row.lifts(*place));
        joints.extend((1..self.places.len() as u8).filter(|place| !lifted(place)).map(Joint::StaysEarth));
        // Without a selector every place is wired straight through.
        let selects = |place: &u8| {
            (0_u8..)
                .zip(&self.selector)
                .any(|(at, (name, _))| !name.is_empty() && self.contacts(at).any(|other| other == *place))
        };
        joints.extend((0..self.places.len() as u8).filter(selects).map(Joint::Selector));
        for &(a, b) in self.switch.iter().flat_map(|(_, pairs)| pairs) {
            let contact = Joint::Switch(a, b);
            if self.is_used(a) && self.is_used(b) && !joints.contains(&contact) {
                joints.push(contact);
            }
        }
        joints
    }

    /// Whether a joint conducts with the selector and the mode switch there: what is soldered always, a contact when it closes.
    pub fn closes(&self, joint: Joint, selector: &str, switch: &str) -> bool {
        match joint {
            Joint::Selector(place) => {
                self.selector_position(selector).is_some_and(|at| self.contacts(at).any(|other| other == place))
            }
            Joint::Switch(a, b) if self.by_selector => {
                self.switch.iter().any(|(name, pairs)| name == selector && pairs.contains(&(a, b)))
            }
            Joint::Switch(a, b) => self.switch.iter().any(|(name, pairs)| name == switch && pairs.contains(&(a, b))),
            _ => true,
        }
    }

    /// What a joint joins, in words: the wire that goes in, and the metal that it sits on.
    pub fn joins(&self, joint: Joint) -> Option<[String; 2]> {
        let at = |point: u8| self.points.get(usize::from(point)).cloned();
        let place = |place: u8| self.places.get(usize::from(place)).cloned();
        let lead = |wire: u8| self.wires.get(usize::from(wire)).map(|wire| wire.name.in_words());
        let out = if self.is_shared() { "the middle lug of the volume pot" } else { "the selector's output" };
        Some(match joint {
            Joint::Lead(wire) => [lead(wire)?, at(*self.planned.on.get(usize::from(wire))?)?],
            Joint::Jumper(jumper) => {
                let [from, to] = *self.jumpers.get(usize::from(jumper))?;
                [at(from)?, at(to)?]
            }
            Joint::Hot => [at(HOT_POINT)?, format!("the {} place's pot or selector lug", place(0)?)],
            Joint::Earth => ["the new pickup's ground".to_owned(), "the guitar's ground".to_owned()],
            Joint::Tip => [out.to_owned(), "the jack's tip".to_owned()],
            Joint::Sleeve => ["the guitar's ground".to_owned(), "the jack's sleeve".to_owned()],
            Joint::Lug(pot) => [format!("the grounded lug of {}", self.pot_words(pot)), "ground".to_owned()],
            Joint::Stays(at) => [format!("the {} pickup's hot", place(at)?), format!("the {} lug", place(at)?)],
            Joint::Case(pot) => [format!("the case of {}", self.pot_words(pot)), "ground".to_owned()],
            Joint::Strings => ["the bridge".to_owned(), "ground".to_owned()],
            Joint::StaysEarth(at) => [format!("the {} pickup's ground", place(at)?), "the guitar's ground".to_owned()],
            Joint::Selector(of) => {
                [format!("the {} lug of the selector", place(of)?), "the selector's output".to_owned()]
            }
            Joint::Switch(from, to) => {
                let switch = if self.by_selector { "selector" } else { "mode switch" };
                [at(from)?, format!("{} of the {switch}", at(to)?)]
            }
        })
    }

    /// `the volume pot`, `the neck volume pot`.
    pub fn pot_words(&self, pot: u8) -> String {
        match self.pot_name(pot) {
            name if name.is_empty() => "the volume pot".to_owned(),
            name => format!("the {name} volume pot"),
        }
    }

    /// The ways in which the case of a pot may carry ground without being grounded.
    pub fn carriers(&self) -> Vec<Carried> {
        let (pots, places) = (self.pots(), self.places.len() as u8);
        let all = |count: u8| if count >= 8 { u8::MAX } else { (1 << count) - 1 };
        let mut ways: Vec<Carried> = Vec::new();
        // What has its ground at the selector has it on no case.
        let lifted = self.row.map_or(0, |row| if row.lifts(row.upper) { 1 << row.upper } else { 0 });
        let mut add = |cases: u8, places: u8, lugs: u8| {
            let way = Carried { cases, places: places & !lifted, lugs };
            if (way.places | way.lugs) != 0 && !ways.contains(&way) {
                ways.push(way);
            }
        };
        for pot in 0..pots {
            // Each pickup's ground on its own pot, with or without the pot's own; on a shared one, that of the new pickup.
            let own = if self.is_shared() { 1 } else { 1 << pot };
            add(1 << pot, own, 0);
            add(1 << pot, own, 1 << pot);
            if self.is_shared() {
                add(1, all(places), 0);
                add(1, all(places), 1);
                for stays in 1..places {
                    add(1, 1 << stays, 0);
                }
            }
        }
        if pots > 1 {
            add(all(pots), all(places), 0);
            add(all(pots), all(places), all(pots));
        }
        ways
    }

    /// What hangs on such a case, in words.
    pub fn carried_in_words(&self, carried: Carried) -> String {
        let places = self.places.len() as u8;
        let bits = |mask: u8| (0..places).filter(move |place| mask & (1 << place) != 0);
        let mut what: Vec<String> = if bits(carried.places).count() == usize::from(places) && places > 1 {
            vec!["every pickup".to_owned()]
        } else {
            bits(carried.places)
                .map(|place| match place {
                    0 => "the new pickup".to_owned(),
                    place => format!("the {} pickup", self.places[usize::from(place)]),
                })
                .collect()
        };
        if carried.lugs != 0 {
            what.push(if carried.lugs.count_ones() == 1 { "the pot itself" } else { "the pots themselves" }.to_owned());
        }
        crate::record::words::listed(&what)
    }
}
