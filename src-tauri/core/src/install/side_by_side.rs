//! Sheets of several candidates side by side: what differs between them first.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::page::InstallView;
use crate::comparison::{Cell, Row, Section};
use crate::record::install::InstallId;
use crate::record::quantity::{InInches, LengthUnit};

/// Fit sheets side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct SheetsView {
    /// The sheets, in the order they were named.
    pub auditions: Vec<SheetBeside>,
    /// Everything beside each other, step by step; in a section, what differs comes first.
    pub sections: Vec<Section>,
    /// How many rows differ.
    pub differ: usize,
    /// How many do not.
    pub same: usize,
}

/// A sheet beside others.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct SheetBeside {
    /// Which.
    pub id: InstallId,
    /// What tells it from the others: "Lantern stack, bridge".
    pub name: String,
}

/// What a sheet says under a heading, line by line: what it is, and what is said of it.
type Told = Vec<(String, String)>;

/// All that a sheet says, under the names of its steps.
fn told(view: &InstallView, unit: LengthUnit) -> Vec<(&'static str, Told)> {
    let line = |name: &str, words: String| (name.to_owned(), words);
    let next = view.next.map_or_else(|| "over".to_owned(), |next| format!("next: {}", next.name()));
    vec![
        (
            "Plan",
            vec![
                line("How it stands", next),
                line("Wiring", view.plan.words.clone()),
                line("Left open by the audition", view.unproven.join(" ")),
            ],
        ),
        (
            "Which way round",
            vec![line("How it lies", InInches::together(&view.way_round, &view.way_round_in_inches, unit))],
        ),
        (
            "Phase and hum",
            view.phase
                .pairs
                .iter()
                .map(|pair| {
                    let words = [pair.phase.word.clone(), pair.hum.word.to_lowercase()];
                    line(&pair.title, words.into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(", "))
                })
                .chain([line("In a word", view.phase.sentence.clone())])
                .collect(),
        ),
        (
            "Hookup",
            vec![
                line(
                    "Joints",
                    view.hookup
                        .joints
                        .iter()
                        .map(|one| format!("{} to {}", one.what, one.at))
                        .collect::<Vec<_>>()
                        .join("; "),
                ),
                line("How many joints", view.hookup.joints.len().to_string()),
                line("Insulated", view.hookup.insulated.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")),
            ],
        ),
        (
            "Will it fit",
            view.room
                .iter()
                .map(|one| {
                    let sentence = InInches::in_unit(&one.verdict.sentence, one.in_inches.as_ref(), unit);
                    line(&one.name, format!("{}. {sentence}", one.verdict.word))
                })
                .collect(),
        ),
        ("At the jack", view.jack.lines.iter().map(|one| line(&one.words, one.shown.clone())).collect()),
        ("Parts and tools", vec![line("Parts", view.parts.parts.join("; "))]),
    ]
}

/// Puts sheets side by side. What one sheet does not speak of is a dash in it.
#[must_use]
pub fn side_by_side(views: &[InstallView], unit: LengthUnit) -> SheetsView {
    let all: Vec<_> = views.iter().map(|view| told(view, unit)).collect();
    let titles = all.first().map(|first| first.iter().map(|(title, _)| *title).collect::<Vec<_>>()).unwrap_or_default();
    let mut sections = Vec::new();
    for (at, title) in titles.into_iter().enumerate() {
        let parts: Vec<&Told> = all.iter().map(|one| &one[at].1).collect();
        let mut names: Vec<&String> = Vec::new();
        for (name, _) in parts.iter().flat_map(|part| part.iter()) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let mut rows: Vec<Row> = names
            .into_iter()
            .map(|name| {
                let of = |part: &&Told| {
                    part.iter().find(|(other, _)| other == name).map(|(_, words)| words.clone()).unwrap_or_default()
                };
                let words: Vec<String> = parts.iter().map(of).collect();
                let differs = words.iter().any(|one| *one != words[0]);
                let cell = |words: String| Cell {
                    words: if words.is_empty() { "–".to_owned() } else { words },
                    beside: String::new(),
                };
                Row { name: name.clone(), cells: words.into_iter().map(cell).collect(), differs }
            })
            .filter(|row| row.differs || row.cells.iter().any(|cell| cell.words != "–"))
            .collect();
        rows.sort_by_key(|row| !row.differs);
        sections.push(Section { mode: None, title: title.to_owned(), only: None, rows });
    }
    let count =
        |differs| sections.iter().flat_map(|part: &Section| &part.rows).filter(|row| row.differs == differs).count();
    SheetsView {
        auditions: views
            .iter()
            .enumerate()
            .map(|(at, view)| SheetBeside { id: view.id, name: name(at, views) })
            .collect(),
        differ: count(true),
        same: count(false),
        sections,
    }
}

/// A name that no other of the sheets has.
fn name(at: usize, views: &[InstallView]) -> String {
    let title = &views[at].title;
    let alike = views.iter().filter(|other| other.title == *title).count();
    if alike > 1 { format!("{title}, sheet {}", at + 1) } else { title.clone() }
}
