//! A switch for the modes, described by which of its lugs each position joins.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::words::Unclear;

/// The most lugs and positions of a switch.
pub const MOST_LUGS: u8 = 24;
const MOST_POSITIONS: usize = 6;

/// A switch by its contacts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct ModeSwitch {
    /// What it is: "DPDT on-on", "push-pull pot", or words.
    pub name: String,
    /// How many lugs it has; they are counted from 1.
    pub lugs: u8,
    /// Its positions.
    pub positions: Vec<ContactPosition>,
}

/// One position of a switch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct ContactPosition {
    /// Its name: "up", "pulled", "2".
    pub name: String,
    /// Sets of lugs that it joins, counted from 1.
    pub joined: Vec<Vec<u8>>,
}

impl ModeSwitch {
    /// The generic types of the trade. Lugs 1 to 3 are the first column of a two-pole switch, 4 to 6 the second; 2 and 5 are
    /// in the middle. A rotary switch has each pole's common lug first, then its throws.
    #[must_use]
    pub fn ready_made() -> Vec<Self> {
        let position = |name: &str, joined: &[[u8; 2]]| ContactPosition {
            name: name.to_owned(),
            joined: joined.iter().map(|pair| pair.to_vec()).collect(),
        };
        let two_pole = |name: &str, positions: Vec<ContactPosition>| Self { name: name.to_owned(), lugs: 6, positions };
        let (near, far) = ([[1, 2], [4, 5]], [[2, 3], [5, 6]]);
        vec![
            two_pole("DPDT on-on", vec![position("one", &near), position("two", &far)]),
            two_pole(
                "DPDT on-on-on",
                vec![position("one", &near), position("middle", &[[2, 3], [4, 5]]), position("two", &far)],
            ),
            two_pole("DPDT on-off-on", vec![position("one", &near), position("middle", &[]), position("two", &far)]),
            two_pole("push-pull pot, DPDT", vec![position("pushed", &near), position("pulled", &far)]),
            Self {
                name: "rotary, 4 poles, 3 positions".to_owned(),
                lugs: 16,
                positions: (1..=3)
                    .map(|throw| ContactPosition {
                        name: throw.to_string(),
                        joined: (0..4).map(|pole| vec![4 * pole + 1, 4 * pole + 1 + throw]).collect(),
                    })
                    .collect(),
            },
        ]
    }

    /// What a pickup selector with these positions commonly has free: one pole, two or four, with a lug for each position, and for five
    /// positions the lever's, whose neighbours meet between. The common lug comes first. (Common practice.)
    #[must_use]
    pub fn poles(positions: &[String]) -> Vec<Self> {
        let with = |name: &str, lugs: usize, joined: &dyn Fn(usize) -> Vec<Vec<usize>>| {
            let lug = |lug: usize| u8::try_from(lug).unwrap_or(u8::MAX);
            let named = positions.iter().enumerate().map(|(at, name)| ContactPosition {
                name: name.clone(),
                joined: joined(at).into_iter().map(|set| set.into_iter().map(lug).collect()).collect(),
            });
            Self { name: name.to_owned(), lugs: lug(lugs), positions: named.collect() }
        };
        let throws = positions.len() + 1;
        let mut poles = Vec::new();
        if positions.len() == 5 {
            let meets = [vec![1, 2], vec![1, 2, 3], vec![1, 3], vec![1, 3, 4], vec![1, 4]];
            poles.push(with("lever pole, a common lug and three more", 4, &|at| vec![meets[at % 5].clone()]));
        }
        poles.push(with("one pole, a lug for each position", throws, &|at| vec![vec![1, at + 2]]));
        for (name, count) in [("two poles, a lug for each position", 2), ("four poles, a lug for each position", 4)] {
            if count * throws <= usize::from(MOST_LUGS) {
                poles.push(with(name, count * throws, &|at| {
                    (0..count).map(|pole| vec![pole * throws + 1, pole * throws + at + 2]).collect()
                }));
            }
        }
        poles
    }

    /// This switch, if what was typed for it can be.
    ///
    /// # Errors
    /// [`Unclear`] when it has fewer than 2 or more than 24 lugs, no position or more than 6, a joined lug it does not have,
    /// or two positions with one name.
    pub fn checked(self) -> Result<Self, Unclear> {
        if !(2..=MOST_LUGS).contains(&self.lugs) {
            return Err(Unclear::new(format!("A switch has 2 to {MOST_LUGS} lugs. Count them on its underside.")));
        }
        if self.positions.is_empty() || self.positions.len() > MOST_POSITIONS {
            return Err(Unclear::new(format!("Give the switch between one and {MOST_POSITIONS} positions.")));
        }
        for (place, position) in self.positions.iter().enumerate() {
            if position.name.trim().is_empty() {
                return Err(Unclear::new("Give each position of the switch a name, as “up” or “2”."));
            }
            if self.positions.iter().skip(place + 1).any(|other| other.name == position.name) {
                return Err(Unclear::new(format!("Two positions of the switch are called “{}”.", position.name)));
            }
            if let Some(lug) = position.joined.iter().flatten().find(|lug| !(1..=self.lugs).contains(*lug)) {
                return Err(Unclear::new(format!("The switch has no lug {lug}: it has lugs 1 to {}.", self.lugs)));
            }
        }
        Ok(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ready_made_switches_can_be() {
        for switch in ModeSwitch::ready_made() {
            assert_eq!(switch.clone().checked(), Ok(switch));
        }
    }

    #[test]
    fn poles_of_a_selector_can_be() {
        for count in 2..=6 {
            let names: Vec<String> = (1..=count).map(|name| name.to_string()).collect();
            for pole in ModeSwitch::poles(&names) {
                assert_eq!(pole.clone().checked(), Ok(pole));
            }
        }
    }

    #[test]
    fn a_switch_that_can_not_be_is_refused() {
        let with = |change: fn(&mut ModeSwitch)| {
            let mut switch = ModeSwitch::ready_made().swap_remove(0);
            change(&mut switch);
            switch.checked()
        };
        for (what, refused) in [
            ("no lugs", with(|s| s.lugs = 0)),
            ("too many lugs", with(|s| s.lugs = 25)),
            ("no position", with(|s| s.positions.clear())),
            ("a lug it has not", with(|s| s.positions[0].joined[0][0] = 7)),
            ("lug zero", with(|s| s.positions[0].joined[0][0] = 0)),
            ("one name twice", with(|s| s.positions[1].name = "one".to_owned())),
            ("no name", with(|s| s.positions[1].name = " ".to_owned())),
        ] {
            assert!(refused.is_err(), "{what}");
        }
    }
}
