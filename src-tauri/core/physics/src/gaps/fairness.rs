//! Whether gaps of two auditions make a fair comparison.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::FAIR;
use super::over::Over;
use crate::record::gaps::Strings;
use crate::record::quantity::{InInches, Millimetres};
use crate::record::words::capital;

/// Two auditions' gaps beside each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct Fairness {
    /// Whether they are the same within the fair limit.
    pub fair: bool,
    /// What it comes to, in a sentence.
    pub sentence: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub sentence_in_inches: Option<InInches>,
}

/// Gaps as they were measured, and what tells how far the open strings were.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hung {
    /// At the bass and at the treble side.
    pub gaps: [Millimetres; 2],
    /// How the strings were when they were measured.
    pub strings: Strings,
    /// Where and how the pickup was held.
    pub over: Over,
}

impl Hung {
    /// The gaps to the open strings.
    #[must_use]
    pub fn open(&self) -> [Millimetres; 2] {
        self.over.open(self.gaps, self.strings)
    }

    /// Whether the gaps of two can be held against each other: both were measured the same way, or the height of the
    /// strings is known where one has to be counted over.
    #[must_use]
    pub fn comparable(&self, other: &Self) -> bool {
        let alike =
            self.strings == other.strings && (self.strings == Strings::Open {} || self.over.faces == other.over.faces);
        let known = |one: &Self| one.over.measured || one.strings == Strings::Open {};
        alike || (known(self) && known(other))
    }
}

/// Whether two pairs of gaps make a fair comparison, by the distance the open strings have.
#[must_use]
pub fn fairness(one: &Hung, other: &Hung) -> Fairness {
    if !one.comparable(other) {
        return Fairness {
            fair: false,
            sentence: format!(
                "The strings were {} here and {} there, so the numbers can't be held against each other. Measure both alike, or \
                 measure how high the strings stand at the last fret.",
                one.strings.in_words(),
                other.strings.in_words()
            ),
            sentence_in_inches: None,
        };
    }
    let (open, other_open) = (one.open(), other.open());
    let over: Vec<(&str, f64)> = ["bass", "treble"]
        .into_iter()
        .zip([0, 1].map(|side: usize| open[side].0 - other_open[side].0))
        .filter(|(_, apart)| apart.abs() > FAIR.0 + 1e-9)
        .collect();
    // Where one was counted over, the reader wants to know what was compared.
    let counted = if one.strings == other.strings { "" } else { " Counted from the open strings." };
    let (sentence, sentence_in_inches) = InInches::told(|unit| {
        let limit = FAIR.shown(unit);
        if over.is_empty() {
            return format!("The same gaps within {limit}: a fair comparison.{counted}");
        }
        let sides = over.iter().map(|(side, apart)| {
            let way = if *apart > 0.0 { "farther" } else { "nearer" };
            format!("{} {way} at the {side} side", Millimetres(apart.abs()).shown(unit))
        });
        let sides = capital(&sides.collect::<Vec<_>>().join(", "));
        format!("{sides} than the other: more than {limit} apart, so not a fair comparison yet.{counted}")
    });
    Fairness { fair: over.is_empty(), sentence, sentence_in_inches }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::rig::Faces;

    #[test]
    fn fair_comparisons() {
        let over = |measured: bool| Over {
            faces: Faces::Down,
            place: [162.0; 2],
            scale: [648.0; 2],
            last_fret: 24,
            height: [2.0, 1.6],
            measured,
            bass: false,
        };
        let open = Strings::Open {};
        let pressed = Strings::Pressed { at: 24 };
        let hung =
            |gaps: [f64; 2], strings, measured| Hung { gaps: gaps.map(Millimetres), strings, over: over(measured) };
        for (one, other, fair, part) in [
            (hung([2.6, 2.0], pressed, false), hung([2.6, 2.0], pressed, false), true, "within 0.2 mm"),
            (hung([2.6, 2.0], open, false), hung([2.4, 1.8], open, false), true, "a fair comparison"),
            (hung([2.6, 2.0], open, false), hung([2.3, 2.0], open, false), false, "0.3 mm farther at the bass side"),
            (
                hung([2.0, 1.6], open, false),
                hung([2.6, 2.0], open, false),
                false,
                "0.6 mm nearer at the bass side, 0.4 mm nearer at the treble side",
            ),
            (hung([2.6, 2.0], pressed, false), hung([2.6, 2.0], open, false), false, "Measure both alike"),
            // Over the 24th fret the string comes down by its height: pressed 4.6 and 3.6 are open 2.6 and 2.
            (hung([4.6, 3.6], pressed, true), hung([2.6, 2.0], open, true), true, "Counted from the open strings"),
            (hung([2.6, 2.0], pressed, true), hung([2.6, 2.0], open, true), false, "2 mm nearer at the bass side"),
        ] {
            let said = fairness(&one, &other);
            assert_eq!(said.fair, fair, "{one:?} {other:?}");
            assert!(said.sentence.to_lowercase().contains(&part.to_lowercase()), "{}", said.sentence);
        }
        let told = fairness(&hung([2.6, 2.0], open, false), &hung([2.1, 2.0], open, false)).sentence_in_inches;
        let told = told.expect("it tells lengths");
        assert!(told.decimal_inch.starts_with("0.020 in farther at the bass side"), "{}", told.decimal_inch);
        assert!(told.decimal_inch.contains("more than 0.008 in apart"), "{}", told.decimal_inch);
        assert!(told.sixtyfourth.starts_with("≈ 1/64 in farther at the bass side"), "{}", told.sixtyfourth);
        let apart = fairness(&hung([2.6, 2.0], pressed, false), &hung([2.6, 2.0], open, false));
        assert_eq!(apart.sentence_in_inches, None, "it tells no length: {}", apart.sentence);
        let up = Hung { over: over(true).facing(Faces::Up), ..hung([2.0, 2.0], pressed, true) };
        let down = hung([4.0, 3.6], open, true);
        assert!(fairness(&up, &down).fair, "below the strings 2 mm pressed are 4 and 3.6 open");
    }
}
