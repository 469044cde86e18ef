//! Gaps between a pickup and the strings: where to start, how near is too near, and the turns of the studs that change
//! them.

mod evening;
mod fairness;
mod levels;
mod moves;
mod over;
mod under;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use evening::evened;
pub use fairness::{Fairness, Hung, fairness};
pub use levels::{LevelLaw, LevelsView, NoLaw, levels_view, over_open_strings};
pub use moves::{Moves, StudMove, moves};
pub use over::{Over, USUAL_LAST_FRET};
pub use under::{Pull, StartingGaps, Under};

use crate::record::quantity::{InInches, Length, Millimetres};

/// Gaps that differ by no more than this are the same
/// for a fair comparison (common practice).
pub const FAIR: Millimetres = Millimetres(0.2);

/// How a gap compares with its starting range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/gaps.ts")]
pub enum GapIs {
    /// Nearer than the range.
    Near,
    /// Within it.
    Within,
    /// Farther than the range.
    Far,
}

/// How far a gap is from where anything can be judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/gaps.ts")]
pub enum Reach {
    /// So near that a string can hit a pole.
    Hits,
    /// So near that the magnets are likely to pull the strings.
    Pulls,
    /// Where a pickup can be judged.
    Fine,
    /// So far that nothing can be judged.
    TooFar,
}

/// How a gap compares with a range.
#[must_use]
pub fn beside(gap: Millimetres, low: Millimetres, high: Millimetres) -> GapIs {
    // A gap is read to a tenth of a millimetre at best.
    if gap.0 < low.0 - 0.05 {
        GapIs::Near
    } else if gap.0 > high.0 + 0.05 {
        GapIs::Far
    } else {
        GapIs::Within
    }
}

/// The gap of one string between the outer ones, or of one pair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct StringGap {
    /// Its note; both notes of a pair.
    pub note: String,
    /// Its gap.
    pub gap: Length,
    /// "0.4 mm nearer than a straight line from the bass to the treble gap".
    pub words: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub in_inches: Option<InInches>,
}

/// Gaps of the strings between the outer ones, beside a straight line from the bass to the treble gap. `inner` has what each
/// is called, and how far it lies from the outer bass string to the outer treble string, from 0 to 1. Nothing for a string
/// that was not measured.
#[must_use]
pub fn between(
    inner: &[(String, f64)],
    bass: Millimetres,
    treble: Millimetres,
    gaps: &[Option<Millimetres>],
) -> Vec<StringGap> {
    inner
        .iter()
        .zip(gaps)
        .filter_map(|((note, part), gap)| {
            let gap = (*gap)?;
            let on_line = bass.0 + (treble.0 - bass.0) * part;
            let apart = gap.0 - on_line;
            let (words, in_inches) = InInches::told(|unit| {
                if apart.abs() < 0.05 {
                    return "on a straight line from the bass to the treble gap".to_owned();
                }
                let way = if apart > 0.0 { "farther" } else { "nearer" };
                let much = Millimetres(apart.abs()).shown(unit);
                format!("{much} {way} than a straight line from the bass to the treble gap")
            });
            Some(StringGap { note: note.clone(), gap: gap.into(), words, in_inches })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::gaps::possible;

    #[test]
    fn gaps_that_nobody_can_mean() {
        assert!(possible(Millimetres(0.0)).is_err() && possible(Millimetres(-1.0)).is_err());
        assert!(possible(Millimetres(25.0)).is_err() && possible(Millimetres(2.4)).is_ok());
    }

    #[test]
    fn strings_between_the_outer_ones() {
        let inner = [("A2", 0.2), ("D3", 0.4), ("G3", 0.6), ("B3", 0.8)].map(|(note, part)| (note.to_owned(), part));
        let gaps = [Some(Millimetres(2.5)), None, Some(Millimetres(1.9)), Some(Millimetres(2.32))];
        let said = between(&inner, Millimetres(2.7), Millimetres(2.2), &gaps);
        assert_eq!(said.iter().map(|s| s.note.as_str()).collect::<Vec<_>>(), ["A2", "G3", "B3"]);
        assert!(said[0].words.starts_with("0.1 mm nearer"), "{}", said[0].words);
        assert!(said[1].words.starts_with("0.5 mm nearer"), "{}", said[1].words);
        let told = said[1].in_inches.as_ref().map(|told| told.decimal_inch.as_str());
        assert_eq!(told, Some("0.020 in nearer than a straight line from the bass to the treble gap"));
        assert!(said[2].words.starts_with("on a straight line"), "{}", said[2].words);
    }
}
