//! What was not the same when two auditions were heard in one mode, and what that does to the sound.

mod guitar;
mod loudness;
mod setting;

use std::collections::BTreeSet;

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::comparison::compared::Compared;
use crate::listening::Conditions;
use crate::record::listening::Quality;
use crate::record::quantity::{Decibels, LengthUnit};
use crate::record::rig::Mode;

/// What a difference in level does where nobody matches it, as a sentence after another.
pub(crate) const LOUDER_WINS: &str = " Louder wins a listening test.";

/// Places that are no farther apart than this are the same, in millimetres (common practice).
pub(in crate::comparison) const SAME_PLACE: f64 = 2.0;
/// Less than this is not heard as a change of tone, in decibels (common practice).
const HEARD_TONE: f64 = 1.0;
/// A resonance that moves by less than this share is not heard as another one: half a semitone (common practice).
const HEARD_RESONANCE: f64 = 0.03;
/// Rooms that differ by less than this are the same, in degrees (common practice).
pub(in crate::comparison) const SAME_ROOM: f64 = 3.0;
/// After so long, strings have aged even when their record says the same (common practice).
const STRINGS_AGE: TimeDelta = TimeDelta::days(21);
/// Strings whose gauges differ by less than this are the same, in millimetres: half a thousandth of an inch.
const SAME_GAUGE: f64 = 0.0127;

/// What was not the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/comparison.ts")]
pub enum Subject {
    /// The guitar.
    Guitar,
    /// The modes that were heard.
    Mode,
    /// The place along the strings.
    Place,
    /// The gaps.
    Gaps,
    /// The level at the ear.
    Level,
    /// The amplifier and its settings.
    Amplifier,
    /// The gauges of the strings.
    Strings,
    /// How old the strings are.
    StringsAge,
    /// The tuning.
    Tuning,
    /// How the pickup lay, and with it the order of its coils.
    Lie,
    /// The rig.
    Rig,
    /// What became of the pickup that is fitted there.
    Fitted,
    /// The cable.
    Cable,
    /// A clip from the output's sleeve to the bridge.
    StringGround,
    /// A resistor across the rig's output.
    Load,
    /// The input of the amplifier or interface.
    Input,
    /// Who listened.
    By,
    /// The room's temperature.
    Room,
    /// One mode was heard in more than one setting.
    Mixed,
}

impl Subject {
    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Guitar => "Guitar",
            Self::Mode => "Mode",
            Self::Place => "Place",
            Self::Gaps => "Gaps",
            Self::Level => "Level at the ear",
            Self::Amplifier => "Amplifier",
            Self::Strings => "Strings",
            Self::StringsAge => "Age of the strings",
            Self::Tuning => "Tuning",
            Self::Lie => "Which way round",
            Self::Rig => "Rig",
            Self::Fitted => "The fitted pickup",
            Self::Cable => "Cable",
            Self::StringGround => "String ground",
            Self::Load => "Load resistor",
            Self::Input => "Input",
            Self::By => "Who listened",
            Self::Room => "Room",
            Self::Mixed => "Changed in between",
        }
    }
}

/// How much a difference matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/comparison.ts")]
pub enum Weight {
    /// It does nothing that can be heard.
    Harmless,
    /// It may do something, or it can't be said.
    Doubt,
    /// It does something that can be heard.
    Unfair,
}

/// Which of the two has more of a quality by the difference alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toward {
    /// The first one.
    One,
    /// The other one.
    Other,
    /// Either: it can't be said.
    Either,
}

impl Toward {
    fn one_if(first: bool) -> Self {
        if first { Self::One } else { Self::Other }
    }

    fn opposite(self) -> Self {
        match self {
            Self::One => Self::Other,
            Self::Other => Self::One,
            Self::Either => Self::Either,
        }
    }
}

/// A quality that a difference can account for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Explains {
    /// The quality.
    pub quality: Quality,
    /// Which of the two has more of it.
    pub more: Toward,
}

/// One difference between two auditions.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// What it is about.
    pub subject: Subject,
    /// How much it matters.
    pub weight: Weight,
    /// What it is and what it does, in sentences that name both.
    pub sentence: String,
    /// How much louder the first one is by it, in decibels, where that can be computed.
    pub louder: Option<Decibels>,
    /// What it can account for.
    pub explains: Vec<Explains>,
    /// Whether it is in doubt because nobody recorded it, of the first one and of the other.
    pub not_recorded: [bool; 2],
}

/// One audition, as it was heard in a mode.
#[derive(Debug, Clone, Copy)]
pub struct Heard<'a> {
    /// The name by which it is told from the other one.
    pub name: &'a str,
    /// The audition.
    pub of: &'a Compared,
    /// The mode.
    pub mode: &'a Mode,
    /// What it was heard in.
    pub conditions: &'a Conditions,
}

/// What nobody wrote down of one of two auditions, or of either.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotTold {
    /// What.
    pub subject: Subject,
    /// Whether it is known of one of them.
    pub of_one: bool,
}

/// All differences between two auditions in one mode, and what nobody wrote down of both.
#[must_use]
pub fn differences(one: Heard<'_>, other: Heard<'_>, unit: LengthUnit) -> (Vec<Difference>, Vec<NotTold>) {
    let mut pair = Pair { one, other, unit, found: Vec::new(), unknown: Vec::new() };
    let same_guitar = pair.same_guitar();
    if same_guitar {
        pair.place();
    }
    pair.strings(same_guitar);
    pair.tuning();
    pair.gaps();
    pair.level();
    pair.amplifier();
    pair.lie();
    pair.rig();
    pair.fitted();
    pair.cable();
    pair.string_ground();
    pair.load();
    pair.input();
    pair.by();
    pair.room();
    (pair.found, pair.unknown)
}

/// What of the first one nobody recorded and is in doubt for that beside the other.
#[must_use]
pub fn not_recorded(one: Heard<'_>, other: Heard<'_>) -> BTreeSet<Subject> {
    let mut pair = Pair { one, other, unit: LengthUnit::Millimetre, found: Vec::new(), unknown: Vec::new() };
    if one.conditions.gaps.is_none() {
        pair.gaps();
    }
    pair.amplifier();
    pair.load();
    pair.input();
    pair.found.into_iter().filter(|found| found.not_recorded[0]).map(|found| found.subject).collect()
}

/// Whether one mode of an audition was rated in more than one setting, which no single comparison can be fair to.
#[must_use]
pub fn mixed(name: &str, of: &Compared, mode: &Mode) -> Option<Difference> {
    let rated = of.audition.rated.iter().filter(|((heard, _), _)| heard == mode);
    let contexts: std::collections::BTreeSet<usize> = rated.map(|(_, rating)| rating.said.context).collect();
    let [first, .., last] = contexts.into_iter().collect::<Vec<_>>()[..] else { return None };
    let at = |index: usize| of.audition.contexts.get(index);
    let (first, last) = (at(first)?, at(last)?);
    let mut changed = Vec::new();
    for (what, differs) in [
        ("the gaps", first.gaps != last.gaps),
        ("the place", first.choice.as_ref().map(|c| c.from_saddle) != last.choice.as_ref().map(|c| c.from_saddle)),
        ("which way it lay", first.mounting != last.mounting),
        ("the amplifier", first.amp != last.amp || first.amp_kind != last.amp_kind),
        ("the level", first.level != last.level),
        ("the tuning", first.tuned != last.tuned),
        ("the fitted pickup", first.installed != last.installed),
        ("the string ground", first.string_ground != last.string_ground),
        ("the load resistor", first.load != last.load),
    ] {
        if differs {
            changed.push(what.to_owned());
        }
    }
    let what = if changed.is_empty() { "something".to_owned() } else { crate::record::words::listed(&changed) };
    Some(Difference {
        subject: Subject::Mixed,
        weight: Weight::Doubt,
        sentence: format!("While {name} was heard in {}, {what} changed between one rating and the next.", mode.0),
        louder: None,
        explains: Quality::ALL.map(|quality| Explains { quality, more: Toward::Either }).to_vec(),
        not_recorded: [false; 2],
    })
}

struct Pair<'a> {
    one: Heard<'a>,
    other: Heard<'a>,
    unit: LengthUnit,
    found: Vec<Difference>,
    unknown: Vec<NotTold>,
}

/// Everything sounds like more of everything when it is louder.
const WHAT_LOUDER_WINS: [Quality; 5] =
    [Quality::Output, Quality::Treble, Quality::Bass, Quality::Clarity, Quality::Attack];

impl<'a> Pair<'a> {
    fn names(&self) -> [&'a str; 2] {
        [self.one.name, self.other.name]
    }

    fn find(&mut self, subject: Subject, weight: Weight, sentence: String, explains: &[(Quality, Toward)]) {
        let explains = explains.iter().map(|(quality, more)| Explains { quality: *quality, more: *more }).collect();
        self.found.push(Difference { subject, weight, sentence, louder: None, explains, not_recorded: [false; 2] });
    }

    /// A doubt that is one because nobody recorded it, of the first one or of the other.
    fn find_a_gap(&mut self, subject: Subject, not: [bool; 2], sentence: String, explains: &[(Quality, Toward)]) {
        self.find(subject, Weight::Doubt, sentence, explains);
        if let Some(last) = self.found.last_mut() {
            last.not_recorded = not;
        }
    }

    fn any_quality(more: Toward) -> Vec<(Quality, Toward)> {
        Quality::ALL.map(|quality| (quality, more)).to_vec()
    }

    /// What was told of both, or nothing; then it is noted as not written down, or as told of one only.
    fn both<T: Clone>(&mut self, subject: Subject, of: impl Fn(&Heard<'a>) -> Option<T>) -> Option<[T; 2]> {
        match (of(&self.one), of(&self.other)) {
            (Some(one), Some(other)) => Some([one, other]),
            (one, other) => {
                self.unknown.push(NotTold { subject, of_one: one.is_some() || other.is_some() });
                None
            }
        }
    }
}
