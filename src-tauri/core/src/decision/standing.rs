//! How candidates stand by somebody's wishes: groups that can be told apart, reasons, weak points, and what to hear next.

use super::SURE;
use super::evidence::{Candidate, Weakness, candidates};
use super::ranking::{Estimate, NEVER_RATED, chances_to_lead, groups};
use super::view::{CandidateView, GroupView, NextAudition};
use crate::comparison::{Compared, missing_in_mode, to_be_like};
use crate::record::audition::AuditionId;
use crate::record::decision::{Bound, Must, Wish};
use crate::record::listening::Quality;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::words::{capital, listed, small};

/// Must-haves is missed for sure when the chance of it is below this, and kept for sure above one less this.
const SURELY: f64 = 0.1;
/// A quality is told as a reason when it moves the standing by this much, in weighted steps.
const TELLING: f64 = 0.25;

/// What of the decision hangs on the auditions and the wishes alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// How sure the order is.
    pub verdict: Option<Verdict>,
    /// Groups, the best first.
    pub groups: Vec<GroupView>,
    /// Who fails a must-have.
    pub out: Vec<CandidateView>,
    /// What to hear next.
    pub next: Option<NextAudition>,
}

/// How the candidates in these auditions stand by these wishes.
#[must_use]
pub fn decide(all: &[Compared], wishes: &[Wish], musts: &[Must]) -> Standing {
    let candidates = candidates(all);
    let mut wanted: Vec<Wish> = wishes.iter().copied().filter(|wish| wish.want != 0).collect();
    wanted.sort_by_key(|wish| wish.quality);
    let chance_of_musts = |candidate: &Candidate| musts.iter().map(|must| keeps(candidate, *must)).product::<f64>();
    let (may, misses): (Vec<&Candidate>, Vec<&Candidate>) =
        candidates.iter().partition(|candidate| chance_of_musts(candidate) >= SURELY);
    let standings: Vec<Estimate> = may.iter().map(|one| stands(one, &wanted, Candidate::estimate)).collect();
    let chances = if wanted.is_empty() { Vec::new() } else { chances_to_lead(&standings) };
    let shown = |index: usize| view(may[index], &may, &wanted, musts, chances.get(index).copied());
    let order = if wanted.is_empty() { vec![(0..may.len()).collect()] } else { groups(&standings, SURE) };
    let order: Vec<Vec<usize>> = order.into_iter().filter(|group: &Vec<usize>| !group.is_empty()).collect();
    let groups = order
        .iter()
        .enumerate()
        .map(|(at, group)| GroupView {
            title: match (at, group.len()) {
                _ if wanted.is_empty() => "Candidates".to_owned(),
                (0, 1) => "In front".to_owned(),
                (0, _) => "Tied for first".to_owned(),
                (_, 1) => "Behind".to_owned(),
                _ => "Behind, and level".to_owned(),
            },
            candidates: likeliest_first(group.iter().map(|index| shown(*index)).collect()),
        })
        .collect();
    let out =
        misses.iter().map(|one| view(one, &candidates.iter().collect::<Vec<_>>(), &wanted, musts, None)).collect();
    let front: Vec<&Candidate> = order.first().into_iter().flatten().map(|index| may[*index]).collect();
    Standing {
        verdict: verdict(&front, &order, &chances, wanted.is_empty(), may.len()),
        groups,
        out,
        next: if wanted.is_empty() { None } else { next(all, &front, &may, &wanted) },
    }
}

/// The candidates of a group by their chance to be the best of all; without chances as they are.
fn likeliest_first(mut group: Vec<CandidateView>) -> Vec<CandidateView> {
    let chance = |one: &CandidateView| one.chance.unwrap_or(0.0);
    group.sort_by(|one, other| chance(other).total_cmp(&chance(one)));
    group
}

/// A candidate's standing: what is wanted of each quality, times what was heard.
fn stands(candidate: &Candidate, wanted: &[Wish], estimate: fn(&Candidate, Quality) -> Estimate) -> Estimate {
    Estimate::sum(wanted.iter().map(|wish| (f64::from(wish.want), estimate(candidate, wish.quality))))
}

/// The chance that a candidate keeps its must-haves. A step reaches half a step to either side of its value.
fn keeps(candidate: &Candidate, must: Must) -> f64 {
    let heard = candidate.estimate(must.quality);
    let value = f64::from(must.value);
    match must.bound {
        Bound::AtMost => heard.below(value + 0.5),
        Bound::AtLeast => 1.0 - heard.below(value - 0.5),
    }
}

fn steps(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn view(
    candidate: &Candidate,
    beside: &[&Candidate],
    wanted: &[Wish],
    musts: &[Must],
    chance: Option<f64>,
) -> CandidateView {
    let mut reasons: Vec<(f64, String)> = Vec::new();
    for wish in wanted {
        let heard = candidate.estimate(wish.quality);
        if candidate.times(wish.quality) == 0 {
            continue;
        }
        let others: Vec<&Candidate> = beside
            .iter()
            .copied()
            .filter(|other| (other.pickup, &other.mode) != (candidate.pickup, &candidate.mode))
            .collect();
        // Who was never rated has no rating to be quoted.
        let rated: Vec<f64> = others
            .iter()
            .filter(|other| other.times(wish.quality) > 0)
            .map(|other| other.estimate(wish.quality).mean)
            .collect();
        let (middle, of) = if rated.is_empty() {
            (NEVER_RATED.mean, format!("the middle of the scale {}", steps(NEVER_RATED.mean)))
        } else {
            let mean = rated.iter().sum::<f64>() / rated.len() as f64;
            let who = match (rated.len(), others.len()) {
                (1, 1) => "the other",
                (1, _) => "the only other that was rated",
                (some, all) if some < all => "the others that were rated, on average",
                _ => "the others on average",
            };
            (mean, format!("{who} {}", steps(mean)))
        };
        let moves = f64::from(wish.want) * (heard.mean - middle);
        if moves.abs() < TELLING {
            continue;
        }
        let [less, more] = wish.quality.compared();
        let word = if heard.mean > middle { more } else { less };
        let much = if wish.want.abs() > 1 { ", which matters much" } else { "" };
        reasons.push((moves, format!("{word}: {}, {of}{much}", steps(heard.mean))));
    }
    reasons.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
    let pick = |good: bool| -> Vec<String> {
        reasons.iter().filter(|(moves, _)| (*moves > 0.0) == good).map(|(_, words)| capital(words)).collect()
    };
    let musts = musts
        .iter()
        .filter_map(|must| {
            let chance = keeps(candidate, *must);
            let words = must.in_words();
            if chance < SURELY {
                Some(format!("Fails a must-have. {words}."))
            } else if chance > 1.0 - SURELY {
                None
            } else if candidate.times(must.quality) == 0 {
                Some(format!("Never rated, so it can't be said. {words}."))
            } else {
                Some(format!("Too near the line to be sure. {words}."))
            }
        })
        .collect();
    CandidateView {
        pickup: candidate.pickup,
        label: candidate.label.clone(),
        mode: candidate.mode.clone(),
        audition: candidate.evidence.first().map_or(AuditionId(uuid::Uuid::nil()), |evidence| evidence.audition),
        auditions: candidate.evidence.len(),
        chance,
        chance_shown: chance.map(|chance| format!("best in {}", chance_in_words(chance))).unwrap_or_default(),
        speaks_for: pick(true),
        against: pick(false),
        musts,
        weak: weak_points(candidate, wanted),
    }
}

fn chance_in_words(chance: f64) -> String {
    match (chance * 100.0).round() {
        hundred if hundred >= 99.0 => "more than 98 of 100".to_owned(),
        none if none < 1.0 => "less than 1 of 100".to_owned(),
        some => format!("{some:.0} of 100"),
    }
}

/// What weakens the evidence, the worst first.
fn weak_points(candidate: &Candidate, wanted: &[Wish]) -> Vec<String> {
    let mut weak: Vec<&Weakness> = candidate.evidence.iter().flat_map(|evidence| &evidence.weak).collect();
    weak.sort();
    weak.dedup();
    let many = candidate.evidence.len();
    let mut points = Vec::new();
    let never: Vec<String> = wanted
        .iter()
        .filter(|wish| candidate.times(wish.quality) == 0)
        .map(|wish| wish.quality.name().to_lowercase())
        .collect();
    if !never.is_empty() {
        points.push(format!("Never rated: {}.", listed(&never)));
    }
    for weakness in weak {
        let times = candidate.evidence.iter().filter(|evidence| evidence.weak.contains(weakness)).count();
        let where_ = if many > 1 { format!(" (in {times} of {many} auditions)") } else { String::new() };
        points.push(format!("{}{where_}.", capital(&weakness.in_words())));
    }
    if many == 1 {
        points.push("Heard once only.".to_owned());
    }
    points
}

fn verdict(
    front: &[&Candidate],
    order: &[Vec<usize>],
    chances: &[f64],
    no_wish: bool,
    count: usize,
) -> Option<Verdict> {
    let name = |one: &&Candidate| format!("{} in {}", one.label, one.mode.0);
    let (kind, word, sentence) = match front {
        [] => return None,
        _ if no_wish => (
            VerdictKind::Unsure,
            "Nothing wished yet",
            "Say what you want more of or less of. Until then there is no order, only what was heard.".to_owned(),
        ),
        [one] if count == 1 => (
            VerdictKind::Unsure,
            "One candidate",
            format!("{} is the only one that was rated here. There is nothing to hold it against.", name(one)),
        ),
        [one] => (
            VerdictKind::Good,
            "One stands out",
            format!(
                "{} is the best by your wishes in {} cases. That is as sure as the ratings are.",
                name(one),
                chance_in_words(
                    order
                        .first()
                        .and_then(|group| group.first())
                        .and_then(|index| chances.get(*index))
                        .copied()
                        .unwrap_or(0.0)
                )
            ),
        ),
        [first, others @ ..] => (
            VerdictKind::Unsure,
            "Level",
            format!(
                "By what was rated, {} can't be told from {}: it is better{} in fewer than {:.0} of 100 cases.",
                name(first),
                listed(&others.iter().map(name).collect::<Vec<_>>()),
                if others.len() > 1 { " than each" } else { "" },
                SURE * 100.0
            ),
        ),
    };
    Some(Verdict::new(kind, word, sentence))
}

/// The audition that would take most of the doubt away: one more, heard as the others were, of a candidate in front or of the
/// one next behind it.
fn next(all: &[Compared], front: &[&Candidate], may: &[&Candidate], wanted: &[Wish]) -> Option<NextAudition> {
    let like = to_be_like(all).and_then(|index| all.get(index))?;
    let considered: Vec<&Candidate> = if front.len() > 1 { front.to_vec() } else { may.to_vec() };
    let gain = |one: &Candidate| {
        let now = stands(one, wanted, Candidate::estimate).variance;
        now - stands(one, wanted, Candidate::estimate_if_heard_again).variance
    };
    let one = considered.iter().copied().reduce(|best, one| if gain(one) > gain(best) + 1e-9 { one } else { best })?;
    let again = one.evidence.first()?.audition;
    // Only what tells it from another one is a reason.
    let weak = weak_points(one, wanted);
    let tells = |weak: &&String| considered.iter().any(|other| !weak_points(other, wanted).contains(weak));
    let because = weak.iter().find(tells).map(|weak| small(weak.trim_end_matches('.'))).unwrap_or_default();
    let because = if because.is_empty() { String::new() } else { format!(" It is the least sure: {because}.") };
    let conditions =
        if again == like.id { "as before" } else { "under the conditions of the audition it is held against" };
    let missing = all.iter().find(|heard| heard.id == again).map(|heard| missing_in_mode(heard, &one.mode, all));
    let missing: Vec<String> = missing.into_iter().flatten().map(|subject| subject.name().to_lowercase()).collect();
    let write =
        if missing.is_empty() { String::new() } else { format!(" Write down this time: {}.", listed(&missing)) };
    Some(NextAudition {
        sentence: format!(
            "Hear {} in {} once more, {conditions}.{because} That would tell most.{write}",
            one.label, one.mode.0
        ),
        again,
        like: like.id,
    })
}
