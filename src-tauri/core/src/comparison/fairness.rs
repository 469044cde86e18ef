//! Whether it is fair to compare auditions: what was not the same, whether that could explain what was heard, and what to
//! hear again so that it is fair.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::differences::{Difference, Heard, Subject, Toward, Weight, differences, mixed, not_recorded};
use crate::comparison::compared::{Compared, modes_heard};
use crate::listening::Conditions;
use crate::record::audition::AuditionId;
use crate::record::listening::Quality;
use crate::record::quantity::LengthUnit;
use crate::record::rig::Mode;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::words::listed;

/// How fair a comparison is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/comparison.ts")]
pub enum FairKind {
    /// Nothing was different that could be heard.
    Fair,
    /// Something may have been.
    FairBut,
    /// Something was.
    NotFair,
}

impl FairKind {
    pub(super) fn of(weight: Option<Weight>) -> Self {
        match weight {
            None | Some(Weight::Harmless) => Self::Fair,
            Some(Weight::Doubt) => Self::FairBut,
            Some(Weight::Unfair) => Self::NotFair,
        }
    }

    fn verdict_kind(self) -> VerdictKind {
        match self {
            Self::Fair => VerdictKind::Good,
            Self::FairBut => VerdictKind::Unsure,
            Self::NotFair => VerdictKind::Bad,
        }
    }
}

/// The fairness check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct FairnessView {
    /// How fair it is, all taken together.
    pub kind: FairKind,
    /// The verdict, with what to do.
    pub verdict: Verdict,
    /// The audition that stands for how it should have been: the reference, else the newest.
    pub standard: AuditionId,
    /// What was not the same, what matters most first.
    pub found: Vec<FoundView>,
    /// What nobody wrote down of any of them, in words.
    pub unknown: Vec<String>,
    /// What was written down of some of them only.
    pub known_of_some: Vec<String>,
    /// What was heard to differ, and whether something that was not the same could explain it.
    pub heard: Vec<HeardDifference>,
    /// Two and two.
    pub pairs: Vec<PairView>,
    /// What to hear again so that it is fair.
    pub repeats: Vec<RepeatView>,
}

/// Something that was not the same.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct FoundView {
    /// What it is about.
    pub subject: Subject,
    /// Its name.
    pub name: String,
    /// How much it matters.
    pub weight: Weight,
    /// What it is and what it does.
    pub sentence: String,
    /// The modes it concerns, in words; empty when it concerns every mode that was compared.
    pub modes: String,
}

/// A difference that was heard.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct HeardDifference {
    /// The mode.
    pub mode: Mode,
    /// The quality.
    pub quality: Quality,
    /// "In single, Lantern stack was brighter than Copper kettle: 5 against 3".
    pub sentence: String,
    /// What could explain it beside the pickup, in a sentence; nothing when nothing known does.
    pub explained: Option<String>,
}

/// Two of the auditions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct PairView {
    /// The one.
    pub one: AuditionId,
    /// The other.
    pub other: AuditionId,
    /// How fair it is to compare these two.
    pub kind: FairKind,
    /// In words: "Lantern stack and Copper kettle: not fair".
    pub words: String,
}

/// An audition to hear again under the conditions of another one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct RepeatView {
    /// Its pickup and modes are heard again.
    pub again: AuditionId,
    /// Its guitar, rig, place, tuning and gaps are taken.
    pub like: AuditionId,
    /// What to see to, in a sentence.
    pub sentence: String,
}

/// The audition that stands for how it should have been: the reference, else the one heard last.
#[must_use]
pub fn standard(all: &[Compared]) -> Option<usize> {
    (0..all.len()).max_by_key(|index| all.get(*index).map(|one| (one.pinned, one.when(), one.id)))
}

/// A difference between two of the auditions in one mode.
struct PairDifference {
    mode: Option<Mode>,
    pair: [usize; 2],
    difference: Difference,
}

/// What was not written down of all, and whether it was of some.
type Untold = BTreeMap<Subject, bool>;

fn add(unknown: &mut Untold, more: impl IntoIterator<Item = (Subject, bool)>) {
    for (subject, of_some) in more {
        *unknown.entry(subject).or_default() |= of_some;
    }
}

/// The names of what was written down of some, or of none.
fn told_of(unknown: &Untold, of_some: bool) -> Vec<String> {
    let those = unknown.iter().filter(|(_, some)| **some == of_some);
    those.map(|(subject, _)| subject.name().to_lowercase()).collect()
}

fn found_between(
    all: &[Compared],
    names: &[String],
    pair: [usize; 2],
    unit: LengthUnit,
) -> (Vec<PairDifference>, Untold) {
    let [a, b] = pair;
    let (mut found, mut unknown) = (Vec::new(), Untold::new());
    let (Some(one), Some(other)) = (all.get(a), all.get(b)) else { return (found, unknown) };
    let name = |index: usize| names.get(index).map_or("", String::as_str);
    let mut both = 0;
    for mode in modes_heard(all) {
        let (Some(one_in), Some(other_in)) = (one.conditions(&mode), other.conditions(&mode)) else { continue };
        both += 1;
        let heard = |of, index, conditions| Heard { name: name(index), of, mode: &mode, conditions };
        let (more, not_told) = differences(heard(one, a, one_in), heard(other, b, other_in), unit);
        add(&mut unknown, not_told.into_iter().map(|one| (one.subject, one.of_one)));
        let in_between = [(a, one), (b, other)].into_iter().filter_map(|(index, of)| mixed(name(index), of, &mode));
        found.extend(more.into_iter().chain(in_between).map(|difference| PairDifference {
            mode: Some(mode.clone()),
            pair,
            difference,
        }));
    }
    if both == 0 {
        let modes = |of: &Compared| match of.audition.conditions.keys().map(|m| m.0.clone()).collect::<Vec<_>>() {
            none if none.is_empty() => "nothing yet".to_owned(),
            some => listed(&some),
        };
        let sentence = format!(
            "No mode was heard in both: {} in {}, {} in {}. Another mode is another sound.",
            name(a),
            modes(one),
            name(b),
            modes(other)
        );
        let difference = Difference {
            subject: Subject::Mode,
            weight: Weight::Unfair,
            sentence,
            louder: None,
            explains: Vec::new(),
            not_recorded: [false; 2],
        };
        found.push(PairDifference { mode: None, pair, difference });
    }
    (found, unknown)
}

/// The pairs of auditions, each told in the order of their names for good, whatever order they were named in.
fn pairs(all: &[Compared]) -> Vec<[usize; 2]> {
    let mut order: Vec<usize> = (0..all.len()).collect();
    order.sort_by_key(|index| all.get(*index).map(|one| (one.audition.begun, one.id)));
    order.iter().enumerate().flat_map(|(at, one)| order.iter().skip(at + 1).map(|other| [*one, *other])).collect()
}

pub(super) fn fairness(all: &[Compared], names: &[String], unit: LengthUnit) -> FairnessView {
    let name = |index: usize| names.get(index).cloned().unwrap_or_default();
    let id = |index: usize| all.get(index).map_or(AuditionId(uuid::Uuid::nil()), |one| one.id);
    let middle = standard(all).unwrap_or(0);
    let (mut found, mut unknown, mut pair_views) = (Vec::new(), Untold::new(), Vec::new());
    for pair in pairs(all) {
        let (more, not_told) = found_between(all, names, pair, unit);
        let kind = FairKind::of(more.iter().map(|one| one.difference.weight).max());
        let word = match kind {
            FairKind::Fair => "fair",
            FairKind::FairBut => "fair, but for doubts",
            FairKind::NotFair => "not fair",
        };
        let words = format!("{} and {}: {word}", name(pair[0]), name(pair[1]));
        pair_views.push(PairView { one: id(pair[0]), other: id(pair[1]), kind, words });
        add(&mut unknown, not_told);
        found.extend(more);
    }
    let kind = pair_views.iter().map(|pair| pair.kind).max().unwrap_or(FairKind::Fair);
    let repeats = repeats(all, names, &found);
    FairnessView {
        kind,
        verdict: verdict(kind, &found, &unknown, pair_views.len() > 1),
        standard: id(middle),
        heard: heard(all, names, &found),
        found: told_once(&found, all),
        unknown: told_of(&unknown, false),
        known_of_some: told_of(&unknown, true),
        pairs: pair_views,
        repeats,
    }
}

/// Each sentence once, with the modes it concerns.
fn told_once(found: &[PairDifference], all: &[Compared]) -> Vec<FoundView> {
    let mut views: Vec<(FoundView, BTreeSet<Mode>)> = Vec::new();
    for one in found {
        let there = views.iter_mut().find(|(view, _)| view.sentence == one.difference.sentence);
        match there {
            Some((_, modes)) => modes.extend(one.mode.clone()),
            None => views.push((
                FoundView {
                    subject: one.difference.subject,
                    name: one.difference.subject.name().to_owned(),
                    weight: one.difference.weight,
                    sentence: one.difference.sentence.clone(),
                    modes: String::new(),
                },
                one.mode.clone().into_iter().collect(),
            )),
        }
    }
    let every =
        modes_heard(all).into_iter().filter(|mode| all.iter().filter(|one| one.conditions(mode).is_some()).count() > 1);
    let every: BTreeSet<Mode> = every.collect();
    let mut views: Vec<FoundView> = views
        .into_iter()
        .map(|(view, modes)| {
            let words: Vec<String> = modes.iter().map(|mode| mode.0.clone()).collect();
            let modes =
                if modes.is_empty() || modes == every { String::new() } else { format!("in {}", listed(&words)) };
            FoundView { modes, ..view }
        })
        .collect();
    views.sort_by(|a, b| {
        b.weight.cmp(&a.weight).then(a.subject.cmp(&b.subject)).then_with(|| a.sentence.cmp(&b.sentence))
    });
    views
}

/// What was heard to differ between two auditions, and what could explain it.
fn heard(all: &[Compared], names: &[String], found: &[PairDifference]) -> Vec<HeardDifference> {
    let mut heard = Vec::new();
    for mode in modes_heard(all) {
        for quality in Quality::ALL {
            for [a, b] in pairs(all) {
                let value = |index: usize| {
                    let rated = &all.get(index)?.audition.rated;
                    rated.get(&(mode.clone(), quality)).map(|saved| saved.said)
                };
                let (Some(one), Some(other)) = (value(a), value(b)) else { continue };
                if one.value == other.value {
                    continue;
                }
                let first = one.value > other.value;
                let (more, less) = if first { (a, b) } else { (b, a) };
                let [high, low] = [one.value.max(other.value), one.value.min(other.value)];
                let grounded = |index: usize| all.get(index)?.conditions(&mode)?.string_ground;
                let ungrounded = quality == Quality::Hum && [a, b].map(grounded) == [Some(false); 2];
                let by: BTreeSet<&str> = found
                    .iter()
                    .filter(|found| found.pair == [a, b] && found.mode.as_ref() == Some(&mode))
                    .filter(|found| {
                        found.difference.explains.iter().any(|explains| {
                            explains.quality == quality
                                && match explains.more {
                                    Toward::One => first,
                                    Toward::Other => !first,
                                    Toward::Either => true,
                                }
                        })
                    })
                    .map(|found| found.difference.subject.name())
                    .chain(ungrounded.then_some("No string ground"))
                    .collect();
                let name = |index: usize| names.get(index).map_or("", String::as_str);
                let led = if one.led || other.led { ", rated after looking at the reference" } else { "" };
                let by: Vec<String> = by.into_iter().map(str::to_lowercase).collect();
                heard.push(HeardDifference {
                    mode: mode.clone(),
                    quality,
                    sentence: format!(
                        "In {}, {} {} {}: {high} against {low}{led}.",
                        mode.0,
                        name(more),
                        quality.beside()[1],
                        name(less)
                    ),
                    explained: (!by.is_empty()).then(|| format!("Could come from something else: {}.", listed(&by))),
                });
            }
        }
    }
    // What holds comes before what may have come from something else.
    heard.sort_by_key(|one| one.explained.is_some());
    heard
}

/// Whether another audition is the repeat of this one already: the same pickup in all its modes, nearer to the one that stands
/// for how it should be, or as near and later.
fn repeated(all: &[Compared], found: &[PairDifference], index: usize, middle: usize) -> bool {
    let pickup = |one: &Compared| one.audition.choice.as_ref().map(|choice| choice.said.pickup);
    let near = |index: usize| {
        let with = found.iter().filter(|found| found.pair.contains(&index) && found.pair.contains(&middle));
        let worst = if index == middle { None } else { with.map(|found| found.difference.weight).max() };
        (std::cmp::Reverse(worst), all.get(index).map(|one| (one.when(), one.id)))
    };
    let Some(one) = all.get(index) else { return false };
    (0..all.len()).filter(|other| *other != index).any(|other| {
        all.get(other).is_some_and(|again| {
            pickup(again) == pickup(one)
                && one.audition.conditions.keys().all(|mode| again.audition.conditions.contains_key(mode))
        }) && near(other) > near(index)
    })
}

/// What nobody recorded of an audition when a mode was heard in it, and matters beside one of these others; `heard_in` tells what
/// such a one was heard in.
fn missing_in<'a>(
    one: &Compared,
    mode: &Mode,
    others: &'a [Compared],
    heard_in: impl Fn(&'a Compared) -> Option<&'a Conditions>,
) -> BTreeSet<Subject> {
    let Some(conditions) = one.conditions(mode) else { return BTreeSet::new() };
    let beside = others.iter().filter(|other| other.id != one.id).filter_map(|other| {
        let other = Heard { name: "other", of: other, mode, conditions: heard_in(other)? };
        Some(not_recorded(Heard { name: "one", of: one, mode, conditions }, other))
    });
    beside.flatten().collect()
}

/// What nobody recorded of an audition and matters beside the others, in the modes that were heard in both.
fn missing(all: &[Compared], index: usize) -> BTreeSet<Subject> {
    let Some(one) = all.get(index) else { return BTreeSet::new() };
    one.audition.conditions.keys().flat_map(|mode| missing_in(one, mode, all, |other| other.conditions(mode))).collect()
}

/// The same in one mode; of an audition in which that was not heard it counts what it was heard in last.
#[must_use]
pub fn missing_in_mode(one: &Compared, mode: &Mode, all: &[Compared]) -> BTreeSet<Subject> {
    missing_in(one, mode, all, |other| other.conditions_near(mode))
}

/// The audition that the others can be heard again like: the one that stands for how it should be, unless more is recorded of
/// another. What is not known of an audition nobody can do again.
#[must_use]
pub fn to_be_like(all: &[Compared]) -> Option<usize> {
    let middle = standard(all);
    let chosen = (0..all.len()).filter(|index| all.get(*index).is_some_and(|one| one.audition.choice.is_some()));
    let newest = |index: &usize| std::cmp::Reverse(all.get(*index).map(|one| (one.when(), one.id)));
    chosen.min_by_key(|index| (missing(all, *index).len(), Some(*index) != middle, newest(index))).or(middle)
}

/// What to hear again: every audition that can't be fairly held against one that can be done again, unless that was done.
fn repeats(all: &[Compared], names: &[String], found: &[PairDifference]) -> Vec<RepeatView> {
    let mut repeats = Vec::new();
    let Some(like_at) = to_be_like(all) else { return repeats };
    let unknown = missing(all, like_at);
    for (index, one) in all.iter().enumerate() {
        let with = |found: &&PairDifference| found.pair == [index, like_at] || found.pair == [like_at, index];
        let unlike: BTreeSet<Subject> = found
            .iter()
            .filter(with)
            .filter(|found| found.difference.weight != Weight::Harmless)
            .map(|found| found.difference.subject)
            .collect();
        let Some(like) = all.get(like_at).filter(|_| index != like_at && !unlike.is_empty()) else { continue };
        if repeated(all, found, index, like_at) {
            continue;
        }
        if one.audition.choice.is_none() || like.audition.choice.is_none() {
            continue;
        }
        let name = |index: usize| names.get(index).map_or("", String::as_str);
        let (nowhere, there): (Vec<Subject>, Vec<Subject>) =
            unlike.into_iter().partition(|subject| unknown.contains(subject));
        let missing = missing(all, index);
        let (write, see): (Vec<Subject>, Vec<Subject>) =
            there.into_iter().partition(|subject| missing.contains(subject));
        let said = |subjects: &[Subject]| {
            listed(&subjects.iter().map(|subject| subject.name().to_lowercase()).collect::<Vec<_>>())
        };
        let mut sentence = if nowhere.is_empty() {
            format!("Hear {} again as {} was heard.", name(index), name(like_at))
        } else {
            let (one, other) = (name(index), name(like_at));
            format!("Hear {one} and {other} again, and write down for both: {}.", said(&nowhere))
        };
        for (what, subjects) in [("See to", see), ("Write down this time", write)] {
            if !subjects.is_empty() {
                sentence.push_str(&format!(" {what}: {}.", said(&subjects)));
            }
        }
        let amp = like.audition.amp.as_ref().map(|amp| amp.said.trim());
        if let Some(amp) = amp.filter(|amp| !amp.is_empty() && !unknown.contains(&Subject::Amplifier)) {
            sentence.push_str(&format!(" Play it through “{amp}”."));
        }
        repeats.push(RepeatView { again: one.id, like: like.id, sentence });
    }
    repeats.sort_by_key(|repeat| repeat.again);
    repeats
}

fn verdict(kind: FairKind, found: &[PairDifference], unknown: &Untold, several: bool) -> Verdict {
    let subjects = |weight: Weight| {
        let of: BTreeSet<Subject> =
            found.iter().filter(|one| one.difference.weight == weight).map(|one| one.difference.subject).collect();
        listed(&of.into_iter().map(|subject| subject.name().to_lowercase()).collect::<Vec<_>>())
    };
    let mut sentence = match kind {
        FairKind::Fair => "Nothing was different that could be heard, as far as it was written down.".to_owned(),
        FairKind::FairBut => format!(
            "Nothing is known to have changed the sound, but there are doubts about: {}.",
            subjects(Weight::Doubt)
        ),
        FairKind::NotFair => format!(
            "Not the same in a way that can be heard: {}. What you heard may come from that and not from the pickups.",
            subjects(Weight::Unfair)
        ),
    };
    if kind == FairKind::Fair {
        let of_some = if several { "Written down of some only" } else { "Written down of one only" };
        for (said, of_some) in [("Not written down", false), (of_some, true)] {
            let subjects = told_of(unknown, of_some);
            if !subjects.is_empty() {
                sentence.push_str(&format!(" {said}: {}.", listed(&subjects)));
            }
        }
    }
    let word = match kind {
        FairKind::Fair => "Fair",
        FairKind::FairBut => "Fair, but for doubts",
        FairKind::NotFair => "Not fair",
    };
    Verdict::new(kind.verdict_kind(), word, sentence)
}
