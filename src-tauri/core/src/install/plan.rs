//! How a new pickup is to be wired, as typed and as kept.

mod selector;

pub use selector::{PositionForm, RowOffered, SelectorHere, SelectorOffered};

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::contacts::{ContactPosition, ModeSwitch};
use crate::record::rig::Mode;
use crate::record::wiring::{InRow, Plan};
use crate::record::words;
use crate::record::words::Unclear;

/// How the new pickup is wired, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub enum PlanForm {
    /// One mode for good, without a switch.
    Fixed {
        /// The mode.
        mode: Mode,
        /// Whether hot and ground of the pickup change places, to bring it in phase with one that stays.
        turned: bool,
    },
    /// A ready-made switch.
    Ready {
        /// Which, by the name the trade has for it.
        switch: String,
        /// The mode each position is to give, in their order.
        modes: Vec<Mode>,
        /// Whether hot and ground of the pickup change places.
        turned: bool,
    },
    /// A switch of one's own.
    Own {
        /// What it is called.
        name: String,
        /// How many lugs it has, as typed.
        lugs: String,
        /// Its positions.
        positions: Vec<OwnPositionForm>,
        /// Whether hot and ground of the pickup change places.
        turned: bool,
    },
    /// The guitar's own pickup selector, by a pole of it that is free.
    Selector {
        /// Which pole, by its words.
        pole: String,
        /// The mode in each position in which the pickup is heard.
        modes: Vec<PositionForm>,
        /// Two pickups in a row in one position; nothing where none stands on another.
        row: Option<InRow>,
        /// Whether hot and ground of the pickup change places.
        turned: bool,
    },
}

/// One position of a switch of one's own, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct OwnPositionForm {
    /// What it is called.
    pub name: String,
    /// Lugs that meet, like `1-2, 4-5`; empty where none do.
    pub joined: String,
    /// The mode it is to give.
    pub mode: Mode,
}

/// A field and why it was not taken.
type Wrong = (String, String);

/// The ready-made switch with this name.
fn ready_made(name: &str) -> Option<ModeSwitch> {
    ModeSwitch::ready_made().into_iter().find(|switch| switch.name == name)
}

impl PlanForm {
    /// A plan as a form, to be changed.
    #[must_use]
    pub fn of(plan: &Plan) -> Self {
        let turned = plan.turned;
        let Some(switch) = &plan.switch else {
            let mode = plan.modes.first().cloned().unwrap_or_else(|| Mode("series".to_owned()));
            return Self::Fixed { mode, turned };
        };
        if let Some(by) = &plan.selector {
            return selector::of(plan, switch, by);
        }
        if ready_made(&switch.name).as_ref() == Some(switch) {
            return Self::Ready { switch: switch.name.clone(), modes: plan.modes.clone(), turned };
        }
        let positions = switch.positions.iter().zip(&plan.modes).map(|(one, mode)| OwnPositionForm {
            name: one.name.clone(),
            joined: one.joined.iter().map(|meet| dashed(meet)).collect::<Vec<_>>().join(", "),
            mode: mode.clone(),
        });
        Self::Own { name: switch.name.clone(), lugs: switch.lugs.to_string(), positions: positions.collect(), turned }
    }

    /// Reads what was typed, for a guitar with this selector.
    ///
    /// # Errors
    /// The field at fault, as a path into the form, and a sentence.
    pub fn read(self, here: &SelectorHere) -> Result<Plan, (String, String)> {
        Ok(match self {
            Self::Fixed { mode, turned } => {
                Plan { modes: vec![read_mode(mode, "mode")?], switch: None, turned, selector: None }
            }
            Self::Ready { switch, modes, turned } => {
                let switch = ready_made(&switch)
                    .ok_or_else(|| wrong("switch", "There is no ready-made switch of this name."))?;
                let count = switch.positions.len();
                if modes.len() != count {
                    return Err(wrong("modes", format!("This switch has {count} positions. Say what each one gives.")));
                }
                let modes = modes.into_iter().map(|mode| read_mode(mode, "modes")).collect::<Result<_, _>>()?;
                Plan { modes, switch: Some(switch), turned, selector: None }
            }
            Self::Selector { pole, modes, row, turned } => selector::read((&pole, modes, row), turned, here)?,
            Self::Own { name, lugs, positions, turned } => {
                let lugs = lugs.trim().parse::<u8>().ok().filter(|lugs| (2..=24).contains(lugs));
                let lugs =
                    lugs.ok_or_else(|| wrong("lugs", "Write how many lugs it has as a whole number from 2 to 24."))?;
                if !(2..=6).contains(&positions.len()) {
                    return Err(wrong("positions", "A switch has two to six positions here."));
                }
                let (mut contacts, mut modes): (Vec<ContactPosition>, Vec<Mode>) = (Vec::new(), Vec::new());
                for (index, form) in positions.into_iter().enumerate() {
                    let field = |name: &str| format!("positions.{index}.{name}");
                    let name = words::label(&form.name, "the position").map_err(|u| unclear(&field("name"), u))?;
                    if contacts.iter().any(|other| other.name.eq_ignore_ascii_case(&name)) {
                        return Err(wrong(&field("name"), "Two positions can't share a name."));
                    }
                    let joined =
                        read_joined(&form.joined, lugs).map_err(|sentence| wrong(&field("joined"), sentence))?;
                    contacts.push(ContactPosition { name, joined });
                    modes.push(read_mode(form.mode, &field("mode"))?);
                }
                let name = words::label(&name, "the switch").map_err(|u| unclear("name", u))?;
                let switch =
                    ModeSwitch { name, lugs, positions: contacts }.checked().map_err(|u| unclear("positions", u))?;
                Plan { modes, switch: Some(switch), turned, selector: None }
            }
        })
    }
}

fn dashed(meet: &[u8]) -> String {
    meet.iter().map(u8::to_string).collect::<Vec<_>>().join("-")
}

fn wrong(field: &str, sentence: impl Into<String>) -> Wrong {
    (field.to_owned(), sentence.into())
}

fn unclear(field: &str, unclear: Unclear) -> Wrong {
    wrong(field, unclear.sentence)
}

fn read_mode(mode: Mode, field: &str) -> Result<Mode, Wrong> {
    words::label(&mode.0, "the mode").map(|mode| Mode(mode.to_lowercase())).map_err(|u| unclear(field, u))
}

/// Reads pairs of lugs like `1-2, 4-5`; more than two that meet may stand in one: `1-2-3`.
fn read_joined(typed: &str, lugs: u8) -> Result<Vec<Vec<u8>>, String> {
    let mut joined = Vec::new();
    for group in typed.split([',', ';']).map(str::trim).filter(|group| !group.is_empty()) {
        let mut meet = Vec::new();
        for number in group.split(['-', '+', '=']) {
            let read = number.trim().parse::<u8>().ok().filter(|lug| (1..=lugs).contains(lug));
            let Some(lug) = read else {
                return Err(format!("“{group}” is not clear. Write lugs from 1 to {lugs} that meet, like 1-2, 4-5."));
            };
            if meet.contains(&lug) {
                return Err(format!("“{group}” names lug {lug} twice."));
            }
            meet.push(lug);
        }
        if meet.len() < 2 {
            return Err(format!("“{group}” names one lug. It takes two to meet, like 1-2."));
        }
        joined.push(meet);
    }
    Ok(joined)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::wiring::plan_in_words;

    #[test]
    fn lugs_that_meet_as_people_write_them() {
        type Read = Result<&'static [&'static [u8]], ()>;
        let cases: [(&str, Read); 11] = [
            ("", Ok(&[])),
            ("1-2", Ok(&[&[1, 2]])),
            ("1-2, 4-5", Ok(&[&[1, 2], &[4, 5]])),
            (" 1 - 2 ;4+5 ", Ok(&[&[1, 2], &[4, 5]])),
            ("1-2-3", Ok(&[&[1, 2, 3]])),
            ("7-1", Err(())),
            ("0-1", Err(())),
            ("1", Err(())),
            ("1-1", Err(())),
            ("one-two", Err(())),
            ("1-2,,", Ok(&[&[1, 2]])),
        ];
        for (typed, expected) in cases {
            let read = read_joined(typed, 6);
            let expected = expected.map(|groups| groups.iter().map(|meet| meet.to_vec()).collect::<Vec<_>>());
            assert_eq!(read.clone().map_err(|_| ()), expected, "{typed}: {read:?}");
        }
    }

    #[test]
    fn what_is_read_is_given_back_to_be_changed() {
        let position = |name: &str, joined: &str, mode: &str| OwnPositionForm {
            name: name.to_owned(),
            joined: joined.to_owned(),
            mode: Mode(mode.to_owned()),
        };
        let form = PlanForm::Own {
            name: "Slide switch".to_owned(),
            lugs: "6".to_owned(),
            positions: vec![position("left", "1-2, 4-5", "series"), position("right", "2-3, 5-6", "parallel")],
            turned: false,
        };
        let plan = form.clone().read(&SelectorHere::default()).expect("clear");
        assert_eq!(PlanForm::of(&plan), form);
        assert_eq!(plan_in_words(&plan), "Slide switch: left gives series, right gives parallel.");
        for switch in ModeSwitch::ready_made() {
            let modes = switch.positions.iter().map(|_| Mode("series".to_owned())).collect();
            let form = PlanForm::Ready { switch: switch.name, modes, turned: true };
            assert_eq!(PlanForm::of(&form.clone().read(&SelectorHere::default()).expect("clear")), form);
        }
    }

    #[test]
    fn what_is_not_clear_names_its_field() {
        let own = |lugs: &str, names: [&str; 2], joined: &str| PlanForm::Own {
            name: "Slide switch".to_owned(),
            lugs: lugs.to_owned(),
            positions: names
                .map(|name| OwnPositionForm {
                    name: name.to_owned(),
                    joined: joined.to_owned(),
                    mode: Mode("series".to_owned()),
                })
                .to_vec(),
            turned: false,
        };
        let ready = |switch: &str| PlanForm::Ready { switch: switch.to_owned(), modes: Vec::new(), turned: false };
        let cases = [
            (PlanForm::Fixed { mode: Mode("  ".to_owned()), turned: false }, "mode"),
            (ready("no such switch"), "switch"),
            (ready("DPDT on-on"), "modes"),
            (own("six", ["a", "b"], ""), "lugs"),
            (own("1", ["a", "b"], ""), "lugs"),
            (own("6", ["a", ""], ""), "positions.1.name"),
            (own("6", ["a", "A"], ""), "positions.1.name"),
            (own("6", ["a", "b"], "1-9"), "positions.0.joined"),
        ];
        for (form, field) in cases {
            let refused = form.clone().read(&SelectorHere::default()).expect_err("not clear");
            assert_eq!(refused.0, field, "{form:?}: {refused:?}");
        }
    }
}
