//! Cautions: what can hurt a person or a guitar at a moment of the work, what it can do, and how to avoid it.
//!
//! The catalogue is data ([`catalogue::CATALOGUE`]); [`at`] picks what applies. A caution is acknowledged once an
//! audition, and asked again only when its cause (the facts it depends on) has changed.

pub mod catalogue;
mod condition;
mod situation;
#[cfg(test)]
mod tests;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use condition::{Condition, Fact};
pub use situation::{Moment, Situation, TimeOnFinish};

/// The sentence that stands over every list of cautions.
pub const WHO_DECIDES: &str =
    "This app gives advice. Local rules and licensed people decide. If you are unsure, stop and ask a technician.";

/// The word a caution begins with, after ISO 3864-2 and ANSI Z535.4 and .6, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum SignalWord {
    /// If it is not avoided, it will kill or maim.
    Danger,
    /// If it is not avoided, it could kill or maim.
    Warning,
    /// If it is not avoided, it could hurt a little.
    Caution,
    /// Nobody is hurt; a thing may be.
    Notice,
}

/// How badly a person is hurt when things go wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Injury {
    /// Death, or harm that lasts.
    Serious,
    /// Harm that heals by itself.
    Minor,
    /// None; only a thing is damaged.
    None,
}

/// How surely somebody is hurt when a hazard is not avoided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chance {
    /// It will happen.
    Will,
    /// It could happen.
    Could,
}

impl SignalWord {
    /// All words, worst first.
    pub const ALL: [Self; 4] = [Self::Danger, Self::Warning, Self::Caution, Self::Notice];

    /// The word the standard asks for (definitions of ANSI Z535.4 and Z535.6).
    #[must_use]
    pub fn by_standard(injury: Injury, chance: Chance) -> Self {
        match (injury, chance) {
            (Injury::Serious, Chance::Will) => Self::Danger,
            (Injury::Serious, Chance::Could) => Self::Warning,
            (Injury::Minor, _) => Self::Caution,
            (Injury::None, _) => Self::Notice,
        }
    }

    /// As it is printed.
    #[must_use]
    pub fn shown(self) -> &'static str {
        match self {
            Self::Danger => "DANGER",
            Self::Warning => "WARNING",
            Self::Caution => "CAUTION",
            Self::Notice => "NOTICE",
        }
    }

    /// What the word means, in the order of the standard.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Danger => "If you do not avoid it, it will kill or badly hurt someone.",
            Self::Warning => "If you do not avoid it, it could kill or badly hurt someone.",
            Self::Caution => "If you do not avoid it, it could hurt someone a little.",
            Self::Notice => "Nobody gets hurt, but a thing could be damaged.",
        }
    }

    /// The colour of its panel, after ANSI Z535.4.
    #[must_use]
    pub fn colour(self) -> PanelColour {
        match self {
            Self::Danger => PanelColour::Red,
            Self::Warning => PanelColour::Orange,
            Self::Caution => PanelColour::Yellow,
            Self::Notice => PanelColour::Blue,
        }
    }

    /// Whether the alert triangle with its exclamation mark stands beside it: never with notice (ANSI Z535.6).
    #[must_use]
    pub fn has_triangle(self) -> bool {
        self != Self::Notice
    }
}

/// Colours of signal word panels; a word and a shape always stand beside them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum PanelColour {
    /// Danger.
    Red,
    /// Warning.
    Orange,
    /// Caution.
    Yellow,
    /// Notice.
    Blue,
}

/// Where a caution comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// A published document.
    Published(&'static str),
    /// Common practice of the trade, without a published source.
    CommonPractice,
}

impl Source {
    /// In words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Published(what) => what,
            Self::CommonPractice => "common practice",
        }
    }
}

/// What a caution does when what is known does not decide its condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhenUnknown {
    /// It is shown.
    Shown,
    /// It waits until somebody tells.
    Quiet,
}

/// One caution of the catalogue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Caution {
    /// Its name for good: entries refer to it.
    pub id: &'static str,
    /// Its signal word.
    pub word: SignalWord,
    /// The hazard, in a few words.
    pub hazard: &'static str,
    /// What it can do.
    pub harm: &'static str,
    /// How to avoid it.
    pub avoid: &'static str,
    /// When it applies.
    pub when: Condition,
    /// What it does when that is not known.
    pub unknown: WhenUnknown,
    /// The moments at which it is shown.
    pub moments: &'static [Moment],
    /// Whether it waits for a person to say that they have read it.
    pub must_acknowledge: bool,
    /// Where it comes from.
    pub source: Source,
    /// Who knows better.
    pub defer_to: &'static str,
}

/// A caution as a page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct CautionView {
    /// Its name for good.
    pub id: String,
    /// Its signal word.
    pub word: SignalWord,
    /// The signal word as it is printed.
    pub word_shown: String,
    /// What the signal word means.
    pub word_means: String,
    /// The colour of its panel.
    pub colour: PanelColour,
    /// Whether the alert triangle stands beside it.
    pub triangle: bool,
    /// The hazard, in a few words.
    pub hazard: String,
    /// What it can do.
    pub harm: String,
    /// How to avoid it.
    pub avoid: String,
    /// The whole of it as it is read aloud, the signal word first.
    pub spoken: String,
    /// Where it comes from.
    pub source: String,
    /// Who knows better.
    pub defer_to: String,
    /// The names of the moments at which it is shown.
    pub shown_at: Vec<String>,
    /// Whether it waits for a person to say that they have read it.
    pub must_acknowledge: bool,
    /// Whether somebody has read it for this very cause.
    pub acknowledged: bool,
    /// The cause, to be written beside an acknowledgement.
    pub cause: String,
}

impl Caution {
    /// Whether it is shown in this situation.
    #[must_use]
    pub fn applies(&self, situation: &Situation) -> bool {
        situation.moment.is_none_or(|moment| self.moments.contains(&moment))
            && match self.when.holds(situation) {
                Some(answer) => answer,
                None => self.unknown == WhenUnknown::Shown,
            }
    }

    /// The facts it depends on as they are now; an acknowledgement holds for as long as this stays the same.
    #[must_use]
    pub fn cause(&self, situation: &Situation) -> String {
        self.when.cause(situation)
    }

    /// As a page shows it; `read_for` is the cause for which it was acknowledged last, if it was.
    #[must_use]
    pub fn view(&self, situation: &Situation, read_for: Option<&str>) -> CautionView {
        let cause = self.cause(situation);
        CautionView {
            id: self.id.to_owned(),
            word: self.word,
            word_shown: self.word.shown().to_owned(),
            word_means: self.word.meaning().to_owned(),
            colour: self.word.colour(),
            triangle: self.word.has_triangle(),
            hazard: self.hazard.to_owned(),
            harm: self.harm.to_owned(),
            avoid: self.avoid.to_owned(),
            spoken: format!("{}. {} {} {}", self.word.shown(), self.hazard, self.harm, self.avoid),
            source: self.source.in_words().to_owned(),
            defer_to: self.defer_to.to_owned(),
            shown_at: self.moments.iter().map(|moment| moment.name().to_owned()).collect(),
            must_acknowledge: self.must_acknowledge,
            acknowledged: read_for.is_some_and(|read| is_same_cause(read, &cause)),
            cause,
        }
    }
}

/// Whether two causes are one: that nobody has told a fact, and that it was told to be not so, is the same to a caution.
fn is_same_cause(one: &str, other: &str) -> bool {
    let plain = |cause: &str| cause.replace("=false", "=?");
    one == other || plain(one) == plain(other)
}

/// The caution with this id.
#[must_use]
pub fn named(id: &str) -> Option<&'static Caution> {
    catalogue::all().find(|caution| caution.id == id)
}

/// What applies in this situation, worst first; without a moment, what applies at any.
#[must_use]
pub fn at(situation: &Situation) -> Vec<&'static Caution> {
    let mut list: Vec<_> = catalogue::all().filter(|caution| caution.applies(situation)).collect();
    list.sort_by_key(|caution| caution.word);
    list
}

/// What applies in this situation, as a page shows it; `read_for` answers the cause for which a caution was
/// acknowledged last in this audition.
#[must_use]
pub fn views<'a>(situation: &Situation, read_for: impl Fn(&str) -> Option<&'a str>) -> Vec<CautionView> {
    at(situation).into_iter().map(|caution| caution.view(situation, read_for(caution.id))).collect()
}

/// The whole catalogue for a person to read, worst first within each part of it.
#[must_use]
pub fn whole_catalogue() -> Vec<CautionPart> {
    catalogue::CATALOGUE
        .iter()
        .map(|(title, cautions)| {
            let mut cautions: Vec<_> = cautions.iter().collect();
            cautions.sort_by_key(|caution| caution.word);
            CautionPart {
                title: (*title).to_owned(),
                cautions: cautions.into_iter().map(|caution| caution.view(&Situation::default(), None)).collect(),
            }
        })
        .collect()
}

/// One part of the catalogue.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct CautionPart {
    /// What it is about.
    pub title: String,
    /// Its cautions, worst first.
    pub cautions: Vec<CautionView>,
}
