//! A drawing as data: which thing lies where, to scale, for a page to put on its sheet.
//!
//! A sheet is 360 units wide. Numbers are rounded to a tenth of a unit, so that the same things give the same drawing.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::quantity::InInches;

/// How wide a sheet is, in its own units.
pub const SHEET: f64 = 360.0;

/// One drawing.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/drawing.ts")]
pub struct Drawn {
    /// Its title.
    pub title: String,
    /// All that it shows, in sentences.
    pub desc: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub desc_in_inches: Option<InInches>,
    /// Its height; its width is 360.
    pub height: f64,
    /// What is on it, from the back to the front.
    pub marks: Vec<Mark>,
}

/// What a mark stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/drawing.ts")]
pub enum Of {
    /// The guitar's face.
    Wood,
    /// A string.
    String,
    /// The case of a pickup.
    Case,
    /// A pole, a blade, a stud.
    Steel,
    /// Something behind what is seen.
    Hidden,
    /// The bass end of a pickup, or what is in hand.
    Act,
    /// A range to be in.
    Band,
    /// A line that helps to read.
    Thin,
    /// A centre line.
    Axis,
    /// What the rig's place hears.
    Rig,
    /// What the final place hears.
    Final,
    /// A word.
    Plain,
    /// A word that counts.
    Strong,
    /// A word that explains.
    Soft,
    /// A word on the case.
    OnCase,
}

/// On which side of its point a word stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/drawing.ts")]
pub enum Stands {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// One mark on a sheet, in its units; x to the right, y downwards.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "mark", rename_all = "snake_case")]
#[ts(export_to = "contract/drawing.ts")]
pub enum Mark {
    /// A straight line.
    Line {
        /// What it stands for.
        of: Of,
        /// Where it begins.
        from: [f64; 2],
        /// Where it ends.
        to: [f64; 2],
        /// How wide it is.
        width: f64,
    },
    /// A box.
    Box {
        /// What it stands for.
        of: Of,
        /// Its upper left corner.
        at: [f64; 2],
        /// Its width and height.
        size: [f64; 2],
        /// The radius of its corners.
        round: f64,
    },
    /// A circle.
    Round {
        /// What it stands for.
        of: Of,
        /// Its middle.
        at: [f64; 2],
        /// Its radius.
        radius: f64,
    },
    /// A line through many points.
    Curve {
        /// What it stands for.
        of: Of,
        /// The points, in order.
        points: Vec<[f64; 2]>,
        /// How wide it is.
        width: f64,
    },
    /// What lies within many points.
    Area {
        /// What it stands for.
        of: Of,
        /// The points, in order, the last joined to the first.
        points: Vec<[f64; 2]>,
    },
    /// A word or two.
    Word {
        /// How it is written.
        of: Of,
        /// The point it stands at, on the line it is written on.
        at: [f64; 2],
        /// The side on which it stands.
        stands: Stands,
        /// The text.
        text: String,
    },
}

/// How far letters stand above the line they are written on and hang below it, in parts of their size.
const TALL: f64 = 0.75;
const DEEP: f64 = 0.25;

/// How wide a word is, about, and how large its letters are: as the pages write them.
fn size_of(of: Of, text: &str) -> [f64; 2] {
    let (size, letter) = match of {
        Of::Soft => (12.5, 0.55),
        Of::Strong | Of::OnCase => (14.0, 0.62),
        _ => (14.0, 0.57),
    };
    [text.chars().count() as f64 * letter * size, size]
}

fn tenth(value: f64) -> f64 {
    // Adding zero turns a negative zero into a plain one.
    if value.is_finite() { (value * 10.0).round() / 10.0 + 0.0 } else { 0.0 }
}

fn tenths(point: [f64; 2]) -> [f64; 2] {
    point.map(tenth)
}

impl Drawn {
    /// An empty sheet.
    pub fn new(title: impl Into<String>, desc: impl Into<String>, height: f64) -> Self {
        let (title, desc) = (title.into(), desc.into());
        Self { title, desc, desc_in_inches: None, height: tenth(height), marks: Vec::new() }
    }

    /// Adds a line.
    pub fn line(&mut self, of: Of, from: [f64; 2], to: [f64; 2], width: f64) {
        self.marks.push(Mark::Line { of, from: tenths(from), to: tenths(to), width: tenth(width) });
    }

    /// Adds a box between two opposite corners.
    pub fn between(&mut self, of: Of, one: [f64; 2], other: [f64; 2], round: f64) {
        let (left, right) = (one[0].min(other[0]), one[0].max(other[0]));
        let (top, bottom) = (one[1].min(other[1]), one[1].max(other[1]));
        let (at, size) = (tenths([left, top]), tenths([right - left, bottom - top]));
        self.marks.push(Mark::Box { of, at, size, round });
    }

    /// Adds a circle.
    pub fn round(&mut self, of: Of, at: [f64; 2], radius: f64) {
        self.marks.push(Mark::Round { of, at: tenths(at), radius: tenth(radius) });
    }

    /// Adds a line through points.
    pub fn curve(&mut self, of: Of, points: impl IntoIterator<Item = [f64; 2]>, width: f64) {
        let points: Vec<[f64; 2]> = points.into_iter().map(tenths).collect();
        if points.len() > 1 {
            self.marks.push(Mark::Curve { of, points, width: tenth(width) });
        }
    }

    /// Adds what lies within points.
    pub fn area(&mut self, of: Of, points: impl IntoIterator<Item = [f64; 2]>) {
        let points: Vec<[f64; 2]> = points.into_iter().map(tenths).collect();
        if points.len() > 2 {
            self.marks.push(Mark::Area { of, points });
        }
    }

    /// Adds a word; one that would run out of the sheet is moved into it.
    pub fn word(&mut self, of: Of, [x, y]: [f64; 2], stands: Stands, text: impl Into<String>) {
        let text = text.into();
        let [wide, high] = size_of(of, &text);
        let [before, behind] = match stands {
            Stands::Start => [0.0, wide],
            Stands::Middle => [wide / 2.0, wide / 2.0],
            Stands::End => [wide, 0.0],
        };
        let at = [x.min(SHEET - behind).max(before), y.min(self.height - high * DEEP).max(high * TALL)];
        self.marks.push(Mark::Word { of, at: tenths(at), stands, text });
    }
}

#[cfg(test)]
impl Drawn {
    /// What each word covers, about: from the upper left to the lower right.
    pub(crate) fn words(&self) -> Vec<(Of, String, [[f64; 2]; 2])> {
        let words = self.marks.iter().filter_map(|mark| match mark {
            Mark::Word { of, at: [x, y], stands, text } => {
                let [wide, high] = size_of(*of, text);
                let left = match stands {
                    Stands::Start => *x,
                    Stands::Middle => x - wide / 2.0,
                    Stands::End => x - wide,
                };
                Some((*of, text.clone(), [[left, y - high * TALL], [left + wide, y + high * DEEP]]))
            }
            _ => None,
        });
        words.collect()
    }

    /// That every word stands on the sheet.
    pub(crate) fn assert_words_within(&self, what: &str) {
        for (_, text, [[left, top], [right, bottom]]) in self.words() {
            let within = left >= -0.1 && top >= -0.1 && right <= SHEET + 0.1 && bottom <= self.height + 0.1;
            assert!(within, "{what}: {text} from {left}, {top} to {right}, {bottom} of {}", self.height);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_beside_the_sheet_is_moved_into_it() {
        for stands in [Stands::Start, Stands::Middle, Stands::End] {
            for at in [[-40.0, -9.0], [0.0, 0.0], [180.0, 60.0], [SHEET, 120.0], [SHEET + 90.0, 400.0]] {
                let mut drawn = Drawn::new("A sheet", "", 120.0);
                drawn.word(Of::Strong, at, stands, "treble");
                drawn.assert_words_within(&format!("{stands:?} {at:?}"));
            }
        }
    }
}
