//! What was not the same when two auditions were heard in one mode, and what that does to the sound.

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Compared;
use super::effect::{LOUDER, USUAL_CABLE, louder, nearer_the_bridge, resonance_moves, warmer_is_quieter};
use crate::audition::{LevelTold, ends_in_terminals};
use crate::facing::{self, EdgeIs, EndsAre, Facing, Signal};
use crate::gaps::{self, LevelLaw};
use crate::guitar::Guitar;
use crate::listening::{HeardIn, Quality};
use crate::meter;
use crate::quantity::{Decibels, LengthUnit, Millimetres};
use crate::rig::Mode;
use crate::strings;

/// Places that are no farther apart than this are the same, in millimetres (common practice).
const SAME_PLACE: f64 = 2.0;
/// Less than this is not heard as a change of tone, in decibels (common practice).
const HEARD_TONE: f64 = 1.0;
/// A resonance that moves by less than this share is not heard as another one: half a semitone (common practice).
const HEARD_RESONANCE: f64 = 0.03;
/// Rooms that differ by less than this are the same, in degrees (common practice).
const SAME_ROOM: f64 = 3.0;
/// After so long, strings have aged even when their record says the same (common practice).
const STRINGS_AGE: TimeDelta = TimeDelta::days(21);
/// Strings whose gauges differ by less than this are the same, in millimetres: half a thousandth of an inch.
const SAME_GAUGE: f64 = 0.0127;

/// What was not the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
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
            Self::By => "Who listened",
            Self::Room => "Room",
            Self::Mixed => "Changed in between",
        }
    }
}

/// How much a difference matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
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
    pub heard_in: &'a HeardIn,
}

/// All differences between two auditions in one mode, and what nobody wrote down of either.
#[must_use]
pub fn differences(one: Heard<'_>, other: Heard<'_>, unit: LengthUnit) -> (Vec<Difference>, Vec<Subject>) {
    let mut pair = Pair { one, other, unit, found: Vec::new(), unknown: Vec::new() };
    if pair.same_guitar() {
        pair.place();
        pair.strings();
        pair.tuning();
    }
    pair.gaps();
    pair.level();
    pair.amplifier();
    pair.lie();
    pair.rig();
    pair.fitted();
    pair.cable();
    pair.by();
    pair.room();
    (pair.found, pair.unknown)
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
    ] {
        if differs {
            changed.push(what.to_owned());
        }
    }
    let what = if changed.is_empty() { "something".to_owned() } else { meter::listed(&changed) };
    Some(Difference {
        subject: Subject::Mixed,
        weight: Weight::Doubt,
        sentence: format!("While {name} was heard in {}, {what} changed between one rating and the next.", mode.0),
        louder: None,
        explains: Quality::ALL.map(|quality| Explains { quality, more: Toward::Either }).to_vec(),
    })
}

struct Pair<'a> {
    one: Heard<'a>,
    other: Heard<'a>,
    unit: LengthUnit,
    found: Vec<Difference>,
    unknown: Vec<Subject>,
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
        self.found.push(Difference { subject, weight, sentence, louder: None, explains });
    }

    fn any_quality(more: Toward) -> Vec<(Quality, Toward)> {
        Quality::ALL.map(|quality| (quality, more)).to_vec()
    }

    /// What was told of both, or nothing; then it is noted as not written down, or as told of one only.
    fn both<T: Clone>(&mut self, subject: Subject, of: impl Fn(&Heard<'a>) -> Option<T>) -> Option<[T; 2]> {
        match (of(&self.one), of(&self.other)) {
            (Some(one), Some(other)) => Some([one, other]),
            _ => {
                self.unknown.push(subject);
                None
            }
        }
    }

    fn same_guitar(&mut self) -> bool {
        let of = |heard: &Heard<'_>| heard.heard_in.choice.as_ref().map(|choice| choice.guitar);
        if of(&self.one) == of(&self.other) {
            return true;
        }
        let label = |heard: &Heard<'_>| {
            heard.of.kit.guitar.as_ref().map_or_else(|| "a guitar that is gone".to_owned(), |g| g.label.clone())
        };
        let [one, other] = self.names();
        let sentence = format!(
            "{one} was heard on {}, {other} on {}. Another guitar is another instrument: what is heard can't be put down to the \
             pickup.",
            label(&self.one),
            label(&self.other)
        );
        self.find(Subject::Guitar, Weight::Unfair, sentence, &Self::any_quality(Toward::Either));
        false
    }

    fn guitar(&self) -> Option<&'a Guitar> {
        self.one.of.kit.guitar.as_ref().or(self.other.of.kit.guitar.as_ref())
    }

    /// The wider of the two apertures, so that what the place does is told once for both.
    fn aperture(&self) -> Millimetres {
        let of = |heard: &Heard<'_>| heard.of.kit.pickup.as_ref().map_or(10.0, |p| strings::aperture(p.construction).0);
        Millimetres(of(&self.one).max(of(&self.other)))
    }

    fn place(&mut self) {
        let from = |heard: &Heard<'_>| heard.heard_in.choice.as_ref().map(|choice| choice.from_saddle);
        let Some([one, other]) = self.both(Subject::Place, from) else { return };
        let apart = Millimetres((one.0 - other.0).abs());
        if apart.0 <= SAME_PLACE + 1e-9 {
            return;
        }
        let first_near = one.0 < other.0;
        let (near_name, far_name) =
            if first_near { (self.one.name, self.other.name) } else { (self.other.name, self.one.name) };
        let scale = self.guitar().map_or(Millimetres(648.0), |guitar| guitar.scale);
        let near_far = [one.0.min(other.0), one.0.max(other.0)].map(Millimetres);
        let (words, heard, explains) = self.along_the_strings(near_far, scale, Toward::one_if(first_near));
        let sentence =
            format!("{near_name} stood {} nearer the bridge than {far_name}. {words}", apart.shown(self.unit));
        self.find(Subject::Place, if heard { Weight::Unfair } else { Weight::Doubt }, sentence, &explains);
    }

    /// What standing nearer the bridge does by itself, whether it is heard, and what it accounts for.
    fn along_the_strings(
        &self,
        [near, far]: [Millimetres; 2],
        scale: Millimetres,
        nearer: Toward,
    ) -> (String, bool, Vec<(Quality, Toward)>) {
        if near.0 <= 0.0 || far.0 >= scale.0 {
            return (
                "One of the places is not between saddle and nut, so what it does can't be said.".to_owned(),
                true,
                Vec::new(),
            );
        }
        let [low, middle, high] = nearer_the_bridge(near, far, self.aperture(), scale).map(|band| band.0);
        let told: Vec<String> = [("the fundamentals", low), ("harmonics 2 to 5", middle), ("harmonics 6 to 20", high)]
            .into_iter()
            .filter(|(_, band)| band.abs() >= HEARD_TONE)
            .map(|(what, band)| format!("{:.1} dB {} of {what}", band.abs(), if band > 0.0 { "more" } else { "less" }))
            .collect();
        let mut explains = Vec::new();
        if high - low >= HEARD_TONE {
            explains.extend([Quality::Treble, Quality::Attack, Quality::Clarity].map(|quality| (quality, nearer)));
        }
        if low <= -HEARD_TONE {
            explains.extend([(Quality::Bass, nearer.opposite()), (Quality::Output, nearer.opposite())]);
        }
        let words = if told.is_empty() {
            "Of no range of harmonics does that make a decibel.".to_owned()
        } else {
            let sum = if high - low >= HEARD_TONE { ": thinner and brighter by itself" } else { "" };
            format!("So it hears {}{sum}.", meter::listed(&told))
        };
        (words, !told.is_empty(), explains)
    }

    fn gaps(&mut self) {
        let Some([one, other]) = self.both(Subject::Gaps, |heard| heard.heard_in.gaps.clone()) else {
            let not = [self.one, self.other].into_iter().filter(|heard| heard.heard_in.gaps.is_none());
            let not: Vec<String> = not.map(|heard| heard.name.to_owned()).collect();
            let sentence = format!(
                "Nobody measured the gaps of {}. Nearer is louder, and louder wins a listening test.",
                meter::listed(&not)
            );
            self.unknown.retain(|subject| *subject != Subject::Gaps);
            let explains = WHAT_LOUDER_WINS.map(|quality| (quality, Toward::Either));
            self.find(Subject::Gaps, Weight::Doubt, sentence, &explains);
            return;
        };
        let pair = |gaps: &crate::audition::GapsMeasured| [gaps.bass, gaps.treble];
        if one.pressed_at != other.pressed_at {
            let how = |pressed: Option<u8>| {
                pressed.map_or_else(|| "with the strings open".to_owned(), |fret| format!("pressed at fret {fret}"))
            };
            let sentence = format!(
                "The gaps of {} were measured {}, those of {} {}. So the numbers can't be held against each other.",
                self.one.name,
                how(one.pressed_at),
                self.other.name,
                how(other.pressed_at)
            );
            let explains = WHAT_LOUDER_WINS.map(|quality| (quality, Toward::Either));
            self.find(Subject::Gaps, Weight::Unfair, sentence, &explains);
            return;
        }
        if gaps::fairness(pair(&one), one.pressed_at, pair(&other), other.pressed_at).fair {
            return;
        }
        let mean = |gaps: &crate::audition::GapsMeasured| f64::midpoint(gaps.bass.0, gaps.treble.0);
        let first_near = mean(&one) < mean(&other);
        let (near, far) = if first_near { (&one, &other) } else { (&other, &one) };
        let (near_name, far_name) =
            if first_near { (self.one.name, self.other.name) } else { (self.other.name, self.one.name) };
        let law = self.law();
        let (by, within) = louder(law.as_ref(), Millimetres(mean(near)), Millimetres(mean(far)));
        let [bass, treble] =
            [(near.bass, far.bass), (near.treble, far.treble)].map(|(near, far)| louder(law.as_ref(), near, far).0.0);
        let source = match &law {
            Some(law) => format!("by {} levels read on this bench", law.readings),
            None => "by common practice".to_owned(),
        };
        let shown = |length: Millimetres| length.shown(self.unit);
        let sides = |gaps: &crate::audition::GapsMeasured| format!("{} and {}", shown(gaps.bass), shown(gaps.treble));
        let mut sentence =
            format!("{near_name} hung at {} (bass and treble side), {far_name} at {}.", sides(near), sides(far));
        let nearer = Toward::one_if(first_near);
        let mut explains = Vec::new();
        if by.0 >= LOUDER {
            sentence.push_str(&format!(
                " That alone makes {near_name} about {} louder, give or take {}, {source}. Louder wins a listening test.",
                by.shown(),
                within.shown()
            ));
            explains.extend(WHAT_LOUDER_WINS.map(|quality| (quality, nearer)));
        }
        if (bass - treble).abs() >= LOUDER {
            let side = if bass > treble { "bass" } else { "treble" };
            sentence.push_str(&format!(
                " Its {side} strings gain {} more than the others, so the balance is another one.",
                Decibels((bass - treble).abs()).shown()
            ));
            explains.push((Quality::Balance, Toward::Either));
            let quality = if bass > treble { Quality::Bass } else { Quality::Treble };
            explains.push((quality, nearer));
        }
        if explains.is_empty() {
            sentence.push_str(" By the levels that makes less than a decibel.");
        }
        let heard = !explains.is_empty();
        self.find(Subject::Gaps, if heard { Weight::Unfair } else { Weight::Doubt }, sentence, &explains);
        if let Some(last) = self.found.last_mut() {
            last.louder = Some(Decibels(if first_near { by.0 } else { -by.0 }));
        }
    }

    /// The law fitted to the level readings of the two auditions: the one with the most readings, the surest of those.
    fn law(&self) -> Option<LevelLaw> {
        [self.one, self.other]
            .into_iter()
            .filter_map(|heard| {
                let readings: Vec<_> = heard.of.audition.levels.iter().map(|level| level.said).collect();
                LevelLaw::fit(&readings).ok()
            })
            .max_by(|a, b| {
                a.readings.cmp(&b.readings).then_with(|| b.per_decade_within.0.total_cmp(&a.per_decade_within.0))
            })
    }

    fn level(&mut self) {
        let Some([one, other]) = self.both(Subject::Level, |heard| heard.heard_in.level) else { return };
        let apart = one.level().0 - other.level().0;
        if apart.abs() < LOUDER {
            return;
        }
        let loud = if apart > 0.0 { self.one.name } else { self.other.name };
        let by_meter = matches!((one, other), (LevelTold::Meter { .. }, LevelTold::Meter { .. }));
        let sentence = format!(
            "{loud} was heard {} louder at the ear{}. Louder wins a listening test.",
            Decibels(apart.abs()).shown(),
            if by_meter { "" } else { ", as far as plain words tell a level" }
        );
        let explains = WHAT_LOUDER_WINS.map(|quality| (quality, Toward::one_if(apart > 0.0)));
        self.find(Subject::Level, Weight::Unfair, sentence, &explains);
        if let Some(last) = self.found.last_mut() {
            last.louder = Some(Decibels(apart));
        }
    }

    fn amplifier(&mut self) {
        let plain = |words: &str| words.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        let words = |heard: &Heard<'_>| heard.heard_in.amp.clone();
        let (one, other) = (words(&self.one), words(&self.other));
        let kinds = (self.one.heard_in.amp_kind, self.other.heard_in.amp_kind);
        let other_kind = matches!(kinds, (Some(one), Some(other)) if one != other);
        let any = Self::any_quality(Toward::Either);
        match (one, other) {
            (Some(one), Some(other)) if plain(&one) != plain(&other) => {
                let sentence = format!(
                    "{} went through “{one}”, {} through “{other}”. Another amplifier or another setting can change anything.",
                    self.one.name, self.other.name
                );
                self.find(Subject::Amplifier, Weight::Unfair, sentence, &any);
            }
            _ if other_kind => {
                let sentence = format!(
                    "{} and {} went through another kind of amplifier, which can change anything.",
                    self.one.name, self.other.name
                );
                self.find(Subject::Amplifier, Weight::Unfair, sentence, &any);
            }
            (Some(_), Some(_)) => {}
            (one, other) => {
                let not: Vec<String> = [(one, self.one.name), (other, self.other.name)]
                    .into_iter()
                    .filter(|(words, _)| words.is_none())
                    .map(|(_, name)| name.to_owned())
                    .collect();
                let sentence = format!(
                    "Nobody wrote down what {} went through. Another amplifier or setting can change anything.",
                    meter::listed(&not)
                );
                self.find(Subject::Amplifier, Weight::Doubt, sentence, &any);
            }
        }
    }

    fn strings(&mut self) {
        let strings = |heard: &Heard<'a>| heard.of.kit.guitar.as_ref().map(|guitar| &guitar.strings);
        if let (Some(one), Some(other)) = (strings(&self.one), strings(&self.other)) {
            let gauge_differs = one.len() != other.len()
                || one.iter().zip(other).any(|(one, other)| match (one.gauge, other.gauge) {
                    (Some(one), Some(other)) => (one.0 - other.0).abs() > SAME_GAUGE,
                    _ => false,
                });
            if gauge_differs {
                let sentence = format!(
                    "{} and {} were heard over strings of other gauges. Thicker strings are louder and fuller.",
                    self.one.name, self.other.name
                );
                let explains = [Quality::Output, Quality::Bass, Quality::Treble, Quality::Balance, Quality::Sustain]
                    .map(|quality| (quality, Toward::Either));
                self.find(Subject::Strings, Weight::Unfair, sentence, &explains);
            }
        }
        let age = |heard: &Heard<'a>| {
            heard
                .of
                .kit
                .guitar
                .as_ref()
                .map(|guitar| guitar.strings_age.trim().to_owned())
                .filter(|age| !age.is_empty())
        };
        let (older, newer) =
            (self.one.heard_in.at.min(self.other.heard_in.at), self.one.heard_in.at.max(self.other.heard_in.at));
        let first_newer = self.one.heard_in.at < self.other.heard_in.at;
        match (age(&self.one), age(&self.other)) {
            (Some(one), Some(other)) if one.to_lowercase() != other.to_lowercase() => {
                let sentence = format!(
                    "The strings were another age: “{one}” under {}, “{other}” under {}. Old strings lose treble and ring shorter.",
                    self.one.name, self.other.name
                );
                let explains = [Quality::Treble, Quality::Clarity, Quality::Attack, Quality::Sustain]
                    .map(|quality| (quality, Toward::Either));
                self.find(Subject::StringsAge, Weight::Unfair, sentence, &explains);
            }
            (one, other) => {
                if one.is_none() && other.is_none() {
                    self.unknown.push(Subject::StringsAge);
                }
                if newer - older >= STRINGS_AGE {
                    let fresh = if first_newer { self.one.name } else { self.other.name };
                    let sentence = format!(
                        "By the guitar's record the strings are the same, but {} days lie between. If they are, they were fresher \
                         under {fresh}, and old strings lose treble.",
                        (newer - older).num_days()
                    );
                    let explains = [Quality::Treble, Quality::Clarity, Quality::Sustain]
                        .map(|quality| (quality, Toward::one_if(first_newer)));
                    self.find(Subject::StringsAge, Weight::Doubt, sentence, &explains);
                }
            }
        }
    }

    fn tuning(&mut self) {
        let notes = |heard: &Heard<'_>| -> Option<Vec<String>> {
            let told = heard.heard_in.tuned.as_ref().map(|notes| notes.iter().map(|note| note.shown()).collect());
            told.or_else(|| {
                heard
                    .of
                    .kit
                    .guitar
                    .as_ref()
                    .map(|guitar| guitar.strings.iter().map(|string| string.note.clone()).collect())
            })
        };
        let (Some(one), Some(other)) = (notes(&self.one), notes(&self.other)) else { return };
        if one == other {
            return;
        }
        let sentence = format!(
            "{} was heard tuned to {}, {} to {}. Slacker strings swing wider: louder, fuller and less clear.",
            self.one.name,
            one.join(" "),
            self.other.name,
            other.join(" ")
        );
        let explains = [Quality::Bass, Quality::Output, Quality::Clarity, Quality::Sustain, Quality::Treble]
            .map(|quality| (quality, Toward::Either));
        self.find(Subject::Tuning, Weight::Unfair, sentence, &explains);
    }

    fn facing(heard: &Heard<'_>) -> Option<Facing> {
        let mounting = heard.heard_in.mounting?;
        let leads = ends_in_terminals(&heard.of.audition, &heard.of.kit);
        let (pickup, rig) = (heard.of.kit.pickup.as_ref(), heard.of.kit.rig.as_ref());
        Some(facing::facing(mounting.lies(), mounting.is_marked(), pickup, rig, &leads))
    }

    fn lie(&mut self) {
        let Some([one, other]) = self.both(Subject::Lie, Self::facing) else { return };
        if one.lie == other.lie {
            return;
        }
        let [first, second] = self.names();
        let mut sentences = vec![format!("{first} and {second} did not lie the same way round.")];
        let mut explains = Vec::new();
        let mut weight = Weight::Doubt;
        if one.poles != other.poles {
            sentences.push("With its back to the strings a pickup is weaker and thinner.".to_owned());
            explains.extend(WHAT_LOUDER_WINS.map(|quality| (quality, Toward::Either)));
            weight = Weight::Unfair;
        }
        if one.ends != other.ends && (one.ends == EndsAre::Reversed || other.ends == EndsAre::Reversed) {
            sentences.push(
                "One had its bass end over the treble strings, so poles of other heights meet other strings: the balance is \
                 another one."
                    .to_owned(),
            );
            explains.push((Quality::Balance, Toward::Either));
            weight = Weight::Unfair;
        }
        if one.edge != other.edge && (one.edge == EdgeIs::Swapped || other.edge == EdgeIs::Swapped) {
            let alone = |facing: &Facing, mode: &Mode| facing.alone.iter().find(|alone| alone.mode == *mode).cloned();
            let swapped = if one.edge == EdgeIs::Swapped { (&one, self.one) } else { (&other, self.other) };
            match alone(swapped.0, swapped.1.mode) {
                Some(alone) => {
                    sentences.push(format!(
                        "Their edges have changed places, and {} is one coil alone: it was heard {} from where the other would be, \
                         one coil spacing along the strings.",
                        alone.mode.0,
                        alone.apart.value.shown(self.unit)
                    ));
                    explains.extend(
                        [Quality::Treble, Quality::Bass, Quality::Attack].map(|quality| (quality, Toward::Either)),
                    );
                    weight = Weight::Unfair;
                }
                None => {
                    sentences.push("Their edges have changed places, which all coils together hardly show.".to_owned())
                }
            }
        }
        if one.signal != other.signal && one.signal != Signal::CantSay && other.signal != Signal::CantSay {
            sentences.push(
                "The sign of the signal is the opposite: alone that can't be heard, beside another pickup it can."
                    .to_owned(),
            );
        }
        self.find(Subject::Lie, weight, sentences.join(" "), &explains);
    }

    fn rig(&mut self) {
        let (Some(one), Some(other)) = (self.one.of.kit.rig.as_ref(), self.other.of.kit.rig.as_ref()) else { return };
        let same = self.one.heard_in.choice.as_ref().map(|choice| choice.rig)
            == self.other.heard_in.choice.as_ref().map(|choice| choice.rig);
        let stray = |rig: &crate::rig::Rig| rig.stray.map_or(0.0, |stray| stray.0 * 1e12);
        let cable =
            self.one.heard_in.cable.or(self.other.heard_in.cable).map_or(USUAL_CABLE, |cable| cable.picofarads());
        let moves = resonance_moves(cable + stray(one), cable + stray(other));
        let heard = (moves - 1.0).abs() >= HEARD_RESONANCE;
        if same && !heard {
            return;
        }
        let more_stray = if stray(one) > stray(other) { self.one.name } else { self.other.name };
        let mut sentence = if same {
            "The record of the rig was changed between the two.".to_owned()
        } else {
            format!("{} hung in {}, {} in {}.", self.one.name, one.label, self.other.name, other.label)
        };
        let mut explains = Vec::new();
        if one.faces != other.faces {
            sentence.push_str(
                " One holds the pickup above the strings, the other below: the sign of the signal is the opposite, which can't be \
                 heard alone.",
            );
        }
        if heard {
            let lower = (1.0 - moves.min(1.0 / moves)) * 100.0;
            sentence.push_str(&format!(
                " The capacitance of the rig pulls the resonance of {more_stray} down by {lower:.0} %: a little duller."
            ));
            explains.push((Quality::Treble, Toward::one_if(stray(one) < stray(other))));
        } else if one.faces == other.faces {
            sentence.push_str(" Both face the same way, and their capacitance makes nothing that can be heard.");
        }
        let weight = if heard { Weight::Doubt } else { Weight::Harmless };
        self.find(Subject::Rig, weight, sentence, &explains);
    }

    fn fitted(&mut self) {
        let told = (self.one.heard_in.installed, self.other.heard_in.installed);
        match told {
            (Some(one), Some(other)) if one != other => {
                let sentence = format!(
                    "The fitted pickup: {} under {}, {} under {}. Its magnets pull the strings, and its field adds to that of the \
                     one on the rig or opposes it.",
                    one.in_words(),
                    self.one.name,
                    other.in_words(),
                    self.other.name
                );
                let explains = [Quality::Output, Quality::Sustain, Quality::Bass, Quality::Treble]
                    .map(|quality| (quality, Toward::Either));
                self.find(Subject::Fitted, Weight::Unfair, sentence, &explains);
            }
            (Some(_), Some(_)) => {}
            _ => self.unknown.push(Subject::Fitted),
        }
    }

    fn cable(&mut self) {
        let Some([one, other]) = self.both(Subject::Cable, |heard| heard.heard_in.cable) else { return };
        if one == other {
            return;
        }
        let stray = |heard: &Heard<'_>| heard.of.kit.rig.as_ref().and_then(|rig| rig.stray).map_or(0.0, |s| s.0 * 1e12);
        let (a, b) = (one.picofarads() + stray(&self.one), other.picofarads() + stray(&self.other));
        let first_long = a > b;
        let long = if first_long { self.one.name } else { self.other.name };
        let lower = (1.0 - resonance_moves(a.min(b), a.max(b))) * 100.0;
        let sentence = format!(
            "{long} was heard through the longer cable. By a usual 100 pF a metre, from memory, that pulls its resonance down by \
             about {lower:.0} %: duller by itself."
        );
        let explains = [Quality::Treble, Quality::Clarity].map(|quality| (quality, Toward::one_if(!first_long)));
        self.find(Subject::Cable, Weight::Unfair, sentence, &explains);
    }

    fn by(&mut self) {
        if self.one.heard_in.by == self.other.heard_in.by {
            return;
        }
        let sentence = format!(
            "{} and {} were written down on two devices, perhaps by two people. Ears and words differ.",
            self.one.name, self.other.name
        );
        self.find(Subject::By, Weight::Doubt, sentence, &Self::any_quality(Toward::Either));
    }

    fn room(&mut self) {
        let Some([one, other]) = self.both(Subject::Room, |heard| heard.heard_in.room) else { return };
        let apart = one.0 - other.0;
        if apart.abs() < SAME_ROOM {
            return;
        }
        let warm = if apart > 0.0 { self.one.name } else { self.other.name };
        let cold = 8000.0 * meter::copper(if apart > 0.0 { other } else { one });
        let hot = 8000.0 * meter::copper(if apart > 0.0 { one } else { other });
        let quieter = warmer_is_quieter(cold, hot).0;
        let sentence = format!(
            "It was {:.0} °C warmer when {warm} was heard. Its coils read {:.1} % higher for that; of a coil of 8 kΩ it takes {quieter:.3} \
             dB, which nobody hears.",
            apart.abs(),
            (hot / cold - 1.0) * 100.0
        );
        self.find(Subject::Room, Weight::Harmless, sentence, &[]);
    }
}
