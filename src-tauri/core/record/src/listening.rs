//! The words for a sound: eight qualities, each on a scale of five steps with its words, and what is more or less of each.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Qualities of a sound, each on a scale from 1 to 5.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
pub enum Quality {
    /// Dull to bright.
    Treble,
    /// Thin to full.
    Bass,
    /// Blurred to clear.
    Clarity,
    /// Soft to sharp.
    Attack,
    /// Weak to strong.
    Output,
    /// Silent to loud.
    Hum,
    /// Uneven to even.
    Balance,
    /// Short to long.
    Sustain,
}

impl Quality {
    /// All qualities, in the order they are asked.
    pub const ALL: [Self; 8] =
        [Self::Treble, Self::Bass, Self::Clarity, Self::Attack, Self::Output, Self::Hum, Self::Balance, Self::Sustain];

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Treble => "Treble",
            Self::Bass => "Bass",
            Self::Clarity => "Clarity",
            Self::Attack => "Attack",
            Self::Output => "Output",
            Self::Hum => "Hum",
            Self::Balance => "String balance",
            Self::Sustain => "Sustain",
        }
    }

    /// The words for 1 to 5.
    #[must_use]
    pub fn anchors(self) -> [&'static str; 5] {
        match self {
            Self::Treble => ["dull", "soft", "middling", "clear", "bright"],
            Self::Bass => ["thin", "lean", "middling", "round", "full"],
            Self::Clarity => ["blurred", "cloudy", "middling", "clear", "every note apart"],
            Self::Attack => ["soft", "gentle", "middling", "quick", "sharp"],
            Self::Output => ["weak", "low", "middling", "strong", "very strong"],
            Self::Hum => ["silent", "faint", "there", "in the way", "loud"],
            Self::Balance => ["uneven", "two strings stand out", "one string stands out", "nearly even", "even"],
            Self::Sustain => ["short", "shortish", "middling", "long", "very long"],
        }
    }

    /// As it compares: with less of it, and with more.
    #[must_use]
    pub fn compared(self) -> [&'static str; 2] {
        match self {
            Self::Treble => ["duller", "brighter"],
            Self::Bass => ["thinner", "fuller"],
            Self::Clarity => ["more blurred", "clearer"],
            Self::Attack => ["softer in attack", "sharper in attack"],
            Self::Output => ["weaker", "stronger"],
            Self::Hum => ["less hum", "more hum"],
            Self::Balance => ["less even from string to string", "more even from string to string"],
            Self::Sustain => ["shorter sustain", "longer sustain"],
        }
    }

    /// What the one does beside the other: with less of it, and with more. "Rang longer than" goes between two names.
    #[must_use]
    pub fn beside(self) -> [&'static str; 2] {
        match self {
            Self::Treble => ["was duller than", "was brighter than"],
            Self::Bass => ["was thinner than", "was fuller than"],
            Self::Clarity => ["was more blurred than", "was clearer than"],
            Self::Attack => ["was softer in attack than", "was sharper in attack than"],
            Self::Output => ["was weaker than", "was stronger than"],
            Self::Hum => ["hummed less than", "hummed more than"],
            Self::Balance => ["was less even from string to string than", "was more even from string to string than"],
            Self::Sustain => ["rang shorter than", "rang longer than"],
        }
    }

    /// The word for a value from 1 to 5; nothing beyond.
    #[must_use]
    pub fn word(self, value: u8) -> Option<&'static str> {
        self.anchors().get(usize::from(value.checked_sub(1)?)).copied()
    }
}

/// A quality beside that of the pickup which is fitted at the place now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
pub enum Than {
    /// Less of it.
    Less,
    /// About the same.
    Same,
    /// More of it.
    More,
}

impl Than {
    /// All three, from less to more.
    pub const ALL: [Self; 3] = [Self::Less, Self::Same, Self::More];

    /// "brighter", "duller" or "the same in treble".
    #[must_use]
    pub fn in_words(self, quality: Quality) -> String {
        let [less, more] = quality.compared();
        match self {
            Self::Less => less.to_owned(),
            Self::Same => format!("the same in {}", quality.name().to_lowercase()),
            Self::More => more.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn one_beside_the_other_makes_a_sentence() {
        let said = Quality::ALL.map(Quality::beside).concat();
        assert_eq!(
            said,
            [
                "was duller than",
                "was brighter than",
                "was thinner than",
                "was fuller than",
                "was more blurred than",
                "was clearer than",
                "was softer in attack than",
                "was sharper in attack than",
                "was weaker than",
                "was stronger than",
                "hummed less than",
                "hummed more than",
                "was less even from string to string than",
                "was more even from string to string than",
                "rang shorter than",
                "rang longer than",
            ]
        );
    }

    #[test]
    fn every_step_of_every_quality_has_a_word_of_its_own() {
        for quality in Quality::ALL {
            let words: BTreeSet<_> = (1..=5).filter_map(|value| quality.word(value)).collect();
            assert_eq!(words.len(), 5, "{quality:?}");
            assert_eq!((quality.word(0), quality.word(6)), (None, None));
            let said: BTreeSet<_> = Than::ALL.map(|than| than.in_words(quality)).into();
            assert_eq!(said.len(), 3, "{quality:?}");
        }
    }
}
