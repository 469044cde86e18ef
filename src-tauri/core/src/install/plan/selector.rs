//! A pickup whose mode the selector chooses, and two pickups in a row in one of its positions.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{PlanForm, Wrong, read_mode, unclear, wrong};
use crate::record::contacts::ModeSwitch;
use crate::record::controls::SelectorPosition;
use crate::record::rig::Mode;
use crate::record::wiring::{BySelector, InRow, Plan, positions};
use crate::record::words::{self, listed};

/// The most positions that are wired so.
const MOST: usize = 6;

/// A position and its mode, as chosen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct PositionForm {
    /// The selector's position.
    pub position: String,
    /// The mode in it.
    pub mode: Mode,
}

/// What the guitar's selector can be given to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct SelectorOffered {
    /// Its positions in which the new pickup is heard.
    pub positions: Vec<String>,
    /// Poles that it may have free, in words.
    pub poles: Vec<String>,
    /// Ways to put the new pickup and another in a row.
    pub rows: Vec<RowOffered>,
    /// Why there is no row to choose, in a sentence.
    pub no_row: Option<String>,
}

/// Two pickups that may stand in a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct RowOffered {
    /// Which on which, and in which position.
    pub row: InRow,
    /// In words.
    pub words: String,
    /// Whether its position is one more than the guitar's record has.
    pub further: bool,
    /// Poles for it, in words.
    pub poles: Vec<String>,
}

/// The selector of a guitar, as a plan is read against it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SelectorHere {
    /// Its positions; none where there is no selector.
    pub positions: Vec<SelectorPosition>,
    /// The new pickup's place.
    pub place: String,
    /// The places that hold a pickup once it is in.
    pub holding: Vec<String>,
    /// Whether each place has a volume of its own.
    pub each_place: bool,
}

impl SelectorHere {
    fn hears(&self, position: &SelectorPosition) -> bool {
        position.places.contains(&self.place)
    }

    /// The places of a position that hold a pickup.
    fn sounding<'a>(&'a self, position: &'a SelectorPosition) -> Vec<&'a String> {
        position.places.iter().filter(|place| self.holding.contains(place)).collect()
    }

    fn poles(&self, further: Option<&String>) -> Vec<ModeSwitch> {
        let mut names: Vec<String> = self.positions.iter().map(|position| position.name.clone()).collect();
        names.extend(further.cloned());
        if names.len() > MOST { Vec::new() } else { ModeSwitch::poles(&names) }
    }

    /// What there is to choose from; nothing for a guitar without a selector.
    #[must_use]
    pub fn offered(&self) -> Option<SelectorOffered> {
        let names = |poles: Vec<ModeSwitch>| -> Vec<String> { poles.into_iter().map(|pole| pole.name).collect() };
        let poles = names(self.poles(None));
        let heard: Vec<String> =
            self.positions.iter().filter(|one| self.hears(one)).map(|position| position.name.clone()).collect();
        if heard.is_empty() || poles.is_empty() {
            return None;
        }
        let mut rows = Vec::new();
        for other in self.holding.iter().filter(|other| **other != self.place && !self.each_place) {
            let both = self.positions.iter().filter(|position| {
                let places = self.sounding(position);
                places.len() == 2 && places.contains(&&self.place) && places.contains(&other)
            });
            let there: Vec<Option<String>> = both.map(|position| Some(position.name.clone())).chain([None]).collect();
            for at in there {
                for (upper, lower) in [(&self.place, other), (other, &self.place)] {
                    let position = at.clone().unwrap_or_else(|| format!("{upper} on {lower}"));
                    let words = match &at {
                        Some(name) => format!("{name}: {upper} stands on {lower}"),
                        None => format!("one more position: {upper} stands on {lower}"),
                    };
                    let poles = names(self.poles(Some(&position).filter(|_| at.is_none())));
                    let taken = at.is_none() && self.positions.iter().any(|other| other.name == position);
                    if !poles.is_empty() && !taken {
                        let row = InRow { position, upper: upper.clone(), lower: lower.clone() };
                        rows.push(RowOffered { row, words, further: at.is_none(), poles });
                    }
                }
            }
        }
        let no_row = rows.is_empty().then(|| self.no_row());
        Some(SelectorOffered { positions: heard, poles, rows, no_row })
    }

    fn no_row(&self) -> String {
        if self.each_place {
            "With a volume for each place, two pickups in a row are not laid here: one volume would stand across a half of them."
        } else {
            "There is no second pickup that could stand in a row with this one."
        }
        .to_owned()
    }
}

/// A plan as a form.
pub(super) fn of(plan: &Plan, pole: &ModeSwitch, by: &BySelector) -> PlanForm {
    let modes =
        positions(plan).into_iter().filter_map(|(position, mode)| Some(PositionForm { position: position?, mode }));
    PlanForm::Selector { pole: pole.name.clone(), modes: modes.collect(), row: by.row.clone(), turned: plan.turned }
}

/// Reads a plan that leaves the mode to the selector.
pub(super) fn read(
    (pole, modes, row): (&str, Vec<PositionForm>, Option<InRow>),
    turned: bool,
    here: &SelectorHere,
) -> Result<Plan, Wrong> {
    if here.positions.is_empty() {
        let sentence = "This guitar's record has no pickup selector. Write it into the record first.";
        return Err(wrong("pole", sentence));
    }
    let mut all = here.positions.clone();
    if let Some(row) = &row {
        let both = [&row.upper, &row.lower];
        if here.each_place {
            return Err(wrong("row", here.no_row()));
        }
        let known =
            row.upper != row.lower && both.contains(&&here.place) && both.iter().all(|at| here.holding.contains(at));
        if !known {
            return Err(wrong("row", "Name the new pickup's place and that of another pickup of this guitar."));
        }
        let name = words::label(&row.position, "the position").map_err(|u| unclear("row", u))?;
        match all.iter().find(|position| position.name == name) {
            Some(position) => {
                let places = here.sounding(position);
                if places.len() != 2 || !both.iter().all(|place| places.contains(place)) {
                    let named = listed(&[row.upper.clone(), row.lower.clone()]);
                    return Err(wrong("row", format!("{name} does not put out {named} alone.")));
                }
            }
            None => all.push(SelectorPosition { name, places: vec![row.upper.clone(), row.lower.clone()] }),
        }
    }
    if all.len() > MOST {
        return Err(wrong("pole", format!("A selector with more than {MOST} positions is not wired so here.")));
    }
    let names: Vec<String> = all.iter().map(|position| position.name.clone()).collect();
    let pole = ModeSwitch::poles(&names)
        .into_iter()
        .find(|one| one.name == pole)
        .ok_or_else(|| wrong("pole", "Say which pole of the selector is free."))?;
    let heard: Vec<String> = all.iter().filter(|one| here.hears(one)).map(|position| position.name.clone()).collect();
    let said = |name: &String| modes.iter().find(|one| one.position == *name).map(|one| one.mode.clone());
    let Some(missing) = heard.iter().find(|name| said(name).is_none()) else {
        // Where it is not heard it does not matter.
        let first = heard.first().and_then(&said);
        let first = first.ok_or_else(|| wrong("modes", "No position of the selector puts this pickup out."))?;
        let modes = names
            .iter()
            .map(|name| read_mode(said(name).unwrap_or_else(|| first.clone()), "modes"))
            .collect::<Result<_, _>>()?;
        return Ok(Plan { modes, switch: Some(pole), turned, selector: Some(BySelector { heard, row }) });
    };
    Err(wrong("modes", format!("Say which mode {missing} gives.")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::wiring::plan_in_words;

    fn here() -> SelectorHere {
        let position = |name: &str, places: &[&str]| SelectorPosition {
            name: name.to_owned(),
            places: places.iter().map(|place| (*place).to_owned()).collect(),
        };
        SelectorHere {
            positions: vec![
                position("up", &["neck"]),
                position("middle", &["neck", "bridge"]),
                position("down", &["bridge"]),
            ],
            place: "bridge".to_owned(),
            holding: vec!["neck".to_owned(), "bridge".to_owned()],
            each_place: false,
        }
    }

    fn form(pole: &str, modes: &[(&str, &str)], row: Option<[&str; 3]>) -> PlanForm {
        PlanForm::Selector {
            pole: pole.to_owned(),
            modes: modes
                .iter()
                .map(|(position, mode)| PositionForm { position: (*position).to_owned(), mode: Mode::new(*mode) })
                .collect(),
            row: row.map(|[position, upper, lower]| InRow {
                position: position.to_owned(),
                upper: upper.to_owned(),
                lower: lower.to_owned(),
            }),
            turned: false,
        }
    }

    const POLE: &str = "one pole, a lug for each position";
    const SPLIT: [(&str, &str); 2] = [("middle", "single"), ("down", "series")];

    #[test]
    fn what_is_read_is_given_back_to_be_changed() {
        let more = [SPLIT[0], SPLIT[1], ("fourth", "series")];
        for form in [
            form(POLE, &SPLIT, None),
            form(POLE, &SPLIT, Some(["middle", "neck", "bridge"])),
            form(POLE, &more, Some(["fourth", "bridge", "neck"])),
        ] {
            let plan = form.clone().read(&here()).expect("clear");
            assert_eq!(PlanForm::of(&plan), form, "{}", plan_in_words(&plan));
        }
        let plan = form(POLE, &SPLIT, Some(["middle", "neck", "bridge"])).read(&here()).expect("clear");
        assert_eq!(
            plan_in_words(&plan),
            "By the selector (one pole, a lug for each position): middle gives single, down gives series. In middle, the neck pickup \
             stands on the bridge one, both in a row."
        );
    }

    #[test]
    fn what_can_not_be_names_its_field() {
        let each = SelectorHere { each_place: true, ..here() };
        for (form, here, field) in [
            (form("no such", &SPLIT, None), here(), "pole"),
            (form(POLE, &SPLIT[..1], None), here(), "modes"),
            (form(POLE, &SPLIT, Some(["up", "neck", "bridge"])), here(), "row"),
            (form(POLE, &SPLIT, Some(["middle", "neck", "neck"])), here(), "row"),
            (form(POLE, &SPLIT, Some(["middle", "attic", "bridge"])), here(), "row"),
            (form(POLE, &SPLIT, Some(["middle", "neck", "bridge"])), each, "row"),
            (form(POLE, &SPLIT, None), SelectorHere::default(), "pole"),
        ] {
            let refused = form.clone().read(&here).expect_err("not clear");
            assert_eq!(refused.0, field, "{form:?}: {refused:?}");
        }
    }

    #[test]
    fn what_is_offered_can_be_read() {
        let offered = here().offered().expect("a selector");
        assert_eq!(offered.positions, ["middle", "down"]);
        assert_eq!(offered.rows.len(), 4);
        for one in &offered.rows {
            let InRow { position, upper, lower } = &one.row;
            let mut modes = SPLIT.to_vec();
            if one.further {
                modes.push((position.as_str(), "series"));
            }
            for pole in &one.poles {
                let read = form(pole, &modes, Some([position, upper, lower])).read(&here());
                assert!(read.is_ok(), "{one:?}: {read:?}");
            }
        }
        assert_eq!(SelectorHere::default().offered(), None);
    }
}
