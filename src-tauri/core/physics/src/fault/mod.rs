//! What is wrong with a circuit, whatever the circuit is: causes ranked by how common they are and by how well they explain what
//! a meter showed, and the one measurement that tells most about which it is.
//!
//! A cause has odds against nothing being wrong: how common it is, before a reading. Causes that predict the same of every
//! reading are one [`Explanation`], weighed by those odds times the probability of the readings under it. Nothing in the list
//! is weighed as well, so that what no cause explains is not put down to the least bad one.

mod fit;
mod outcome;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub(crate) use fit::{Factor, Fitted, Number, Square, log_determinant};
pub(crate) use outcome::{Outcome, settles};

use crate::network::Seen;
use crate::record::quantity::{Ohms, Reading};

/// A cause with this share is named as the one.
pub(crate) const SURE: f64 = 0.9;
/// Readings that agree are all well unless the circuit as meant has less than this share.
pub(crate) const STILL_WELL: f64 = 0.05;
/// The most suspects that are shown, and the least share of one.
const MOST_SHOWN: usize = 4;
const LEAST_SHOWN: f64 = 0.01;
/// Causes that read alike are named down to this part of the commonest of them.
pub(crate) const ALIKE: f64 = 0.04;
/// Causes that are followed when a measurement is weighed make up this share at least, where there are not too many.
const ENOUGH: f64 = 0.995;
/// A measurement that is expected to tell less than this is not worth a walk to the bench, in bits.
const WORTH: f64 = 0.03;

/// One explanation of all readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct Suspect<Cause> {
    /// One cause, or two at once; none when nothing is wrong.
    pub causes: Vec<Cause>,
    /// What is wrong, as a sentence.
    pub sentence: String,
    /// Why: what it predicts for each reading.
    pub why: String,
    /// What to do, a sentence a cause.
    pub what_to_do: Vec<String>,
    /// Its share among all explanations, 0 to 1, together with those alike.
    pub share: f64,
    /// The share in words: `almost sure`.
    pub how_sure: String,
    /// Other causes that would read the same everywhere so far, in words.
    pub alike: Vec<String>,
    /// The same causes as data.
    pub alike_causes: Vec<Vec<Cause>>,
}

/// Causes that predict the same of every reading, and how well that fits.
pub(crate) struct Explanation<Form, Fit> {
    /// What each reading sees with them.
    pub forms: Vec<Form>,
    /// The causes by their places in the list, the commonest first.
    pub members: Vec<usize>,
    /// How common they are together, against nothing being wrong.
    pub odds: f64,
    /// Their share among all explanations, once they are ranked.
    pub share: f64,
    /// The resistances that fit best.
    pub fitted: Fit,
}

impl<Form, Fit> Explanation<Form, Fit> {
    /// Not ranked yet.
    pub fn new(forms: Vec<Form>, members: Vec<usize>, odds: f64, fitted: Fit) -> Self {
        Self { forms, members, odds, share: 0.0, fitted }
    }
}

/// All explanations, that of the likeliest single cause first.
pub(crate) struct Ranking<Form, Fit> {
    /// Those that explain the readings at all.
    pub explanations: Vec<Explanation<Form, Fit>>,
    /// The share of nothing in the list.
    pub unlisted: f64,
    /// How common each cause is, by its place in the list, against nothing being wrong.
    odds: Vec<f64>,
}

/// A cause that is followed when a measurement is weighed.
pub(crate) struct Followed<'a, Fit> {
    /// Its place in the list.
    pub cause: usize,
    /// Its share among all explanations.
    pub share: f64,
    /// The resistances that fit best with it.
    pub fitted: &'a Fit,
}

impl<Form, Fit> Ranking<Form, Fit> {
    /// Ranks explanations, each with the logarithm of the probability density of the readings under it. `odds` are those of
    /// each cause in the list, `unlisted` those of nothing in the list.
    pub fn of(
        explained: Vec<(Explanation<Form, Fit>, f64)>,
        odds: Vec<f64>,
        unlisted: f64,
        readings: impl IntoIterator<Item = Reading>,
    ) -> Self {
        let weigh = |odds: f64, likelihood: f64| odds.ln() + likelihood;
        let unlisted = weigh(unlisted, readings.into_iter().map(anything).sum());
        let weighed: Vec<_> =
            explained.into_iter().map(|(one, likelihood)| (weigh(one.odds, likelihood), one)).collect();
        let most = weighed.iter().map(|(weight, _)| *weight).fold(unlisted, f64::max);
        let all = (unlisted - most).exp() + weighed.iter().map(|(weight, _)| (weight - most).exp()).sum::<f64>();
        let share = |weight: f64| (weight - most).exp() / all;
        let explanations = weighed.into_iter().map(|(weight, one)| Explanation { share: share(weight), ..one });
        let mut ranking = Self { explanations: explanations.collect(), unlisted: share(unlisted), odds };
        // By the commonest cause: many rare ones that read alike don't push a common one down.
        let of_commonest = |one: &Explanation<Form, Fit>| {
            one.members.first().map_or(0.0, |first| one.share * ranking.odds[*first] / one.odds)
        };
        let mut order: Vec<(f64, Explanation<Form, Fit>)> =
            std::mem::take(&mut ranking.explanations).into_iter().map(|one| (of_commonest(&one), one)).collect();
        order.sort_by(|(a, _), (b, _)| b.total_cmp(a));
        ranking.explanations = order.into_iter().map(|(_, one)| one).collect();
        ranking
    }

    /// The likeliest cause.
    pub fn first(&self) -> Option<usize> {
        self.explanations.first().and_then(|first| first.members.first().copied())
    }

    /// The share of one cause of an explanation among all explanations.
    pub fn share_of(&self, explanation: &Explanation<Form, Fit>, cause: usize) -> f64 {
        explanation.share * self.odds[cause] / explanation.odds
    }

    /// The share of those explanations that a cause is among.
    pub fn share_with(&self, cause: usize) -> f64 {
        self.explanations.iter().filter(|one| one.members.contains(&cause)).map(|one| one.share).sum()
    }

    /// Other causes that read like the commonest of an explanation and are not much rarer.
    pub fn alike<'a>(&'a self, explanation: &'a Explanation<Form, Fit>) -> impl Iterator<Item = usize> + 'a {
        let first = explanation.members.first().map_or(0.0, |first| self.odds[*first]);
        explanation.members.iter().skip(1).copied().filter(move |member| self.odds[*member] >= ALIKE * first)
    }

    /// The explanations that are shown, among those that are wanted.
    pub fn shown(
        &self,
        wanted: impl Fn(&Explanation<Form, Fit>) -> bool,
    ) -> impl Iterator<Item = &Explanation<Form, Fit>> {
        let first = self.explanations.iter().filter(move |one| wanted(one)).take(MOST_SHOWN).enumerate();
        first.filter(|(place, one)| *place == 0 || one.share >= LEAST_SHOWN).map(|(_, one)| one)
    }

    /// The likeliest causes, one by one, until they make up nearly all: at most so many, out of at most so many explanations
    /// and as many causes of each.
    pub fn followed(&self, most: usize, looked_at: usize) -> Vec<Followed<'_, Fit>> {
        let causes = self.explanations.iter().take(looked_at).flat_map(|one| {
            let of_it =
                move |cause: &usize| Followed { cause: *cause, share: self.share_of(one, *cause), fitted: &one.fitted };
            one.members.iter().take(looked_at).map(of_it)
        });
        let mut followed: Vec<Followed<'_, Fit>> = causes.collect();
        followed.sort_by(|a, b| b.share.total_cmp(&a.share));
        let all: f64 = followed.iter().map(|followed| followed.share).sum();
        let mut sum = 0.0;
        let enough = followed.iter().position(|followed| {
            sum += followed.share;
            sum >= ENOUGH * all
        });
        followed.truncate(enough.map_or(most, |last| (last + 1).min(most)));
        followed
    }
}

/// A measurement that is worth it.
pub(crate) struct Telling<Probe> {
    /// Where to put the probes.
    pub probe: Probe,
    /// How much it is expected to tell, in bits.
    pub bits: f64,
    /// What it would show under each cause that is followed, in their order, with its share.
    pub outcomes: Vec<(Outcome, f64)>,
}

/// The measurement that tells most for the trouble it takes; nothing when none separates the causes. `outcomes` gives what one
/// would show under each cause that is followed, or nothing where it can't be taken.
pub(crate) fn tells_most<Probe>(
    candidates: impl IntoIterator<Item = Probe>,
    mut outcomes: impl FnMut(&Probe, &mut Vec<(Outcome, f64)>) -> bool,
    trouble: impl Fn(&Probe) -> f64,
) -> Option<Telling<Probe>> {
    let mut best: Option<(Telling<Probe>, f64)> = None;
    let (mut shown, mut sorted) = (Vec::new(), Vec::new());
    for probe in candidates {
        shown.clear();
        if !outcomes(&probe, &mut shown) {
            continue;
        }
        sorted.clone_from(&shown);
        let bits = outcome::bits(&mut sorted);
        let score = bits / trouble(&probe);
        if bits >= WORTH && best.as_ref().is_none_or(|(_, most)| score > most + 1e-9) {
            best = Some((Telling { probe, bits, outcomes: shown.clone() }, score));
        }
    }
    best.map(|(best, _)| best)
}

/// What is shown where this is seen, and `number` gives the logarithm of what is read and its spread.
pub(crate) fn shows(seen: &Seen, number: impl FnOnce() -> Option<(f64, f64)>) -> Outcome {
    match seen {
        Seen::Open => Outcome::Open,
        Seen::Short => Outcome::Short,
        Seen::One(_) | Seen::Series(_) | Seen::Parallel(_) => {
            number().map_or(Outcome::Open, |(log, spread)| Outcome::Number(log, spread))
        }
    }
}

/// The logarithm of the density of a reading of which nothing is known.
fn anything(reading: Reading) -> f64 {
    match reading {
        Reading::OverLimit => 0.2_f64.ln(),
        Reading::Ohms(Ohms(ohms)) if ohms > 0.0 && ohms.is_finite() => {
            let off = (ohms.ln() - 8000_f64.ln()) / 1.5;
            0.7_f64.ln() - 0.5 * off * off - (1.5 * std::f64::consts::TAU.sqrt()).ln()
        }
        Reading::Ohms(_) => 0.1_f64.ln(),
    }
}

/// A share in words.
pub(crate) fn how_sure(share: f64) -> &'static str {
    if share >= 0.99 {
        "almost sure"
    } else if share >= 0.9 {
        "very likely"
    } else if share >= 0.6 {
        "likely"
    } else if share >= 0.25 {
        "possible"
    } else {
        "less likely"
    }
}
