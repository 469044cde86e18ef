//! What a test came to, once names may be shown.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::BlindTest;
use super::order::Trial;
use crate::record::blind::{BlindQuestion, BlindTake, Seed};
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::words::listed;
use crate::takes::blind::{LEVEL, Outcome, chance_in_words, paired, ranking, triangle};

/// What one pair came to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct PairResult {
    /// The names of the two.
    pub names: [String; 2],
    /// The figures: right answers, or those for the first.
    pub outcome: Outcome,
    /// In words.
    pub sentence: String,
}

/// How one take stands after pairs were compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct Ranked {
    /// Its name.
    pub name: String,
    /// How often it is chosen over one that stands in the middle, from 0 to 1.
    pub share: f64,
    /// The low end of that (95 %).
    pub low: f64,
    /// The high end.
    pub high: f64,
    /// `77 of 100 (57 to 89)`.
    pub shown: String,
}

/// What was heard in one trial.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct TrialTold {
    /// What sounded, sound by sound.
    pub sounds: Vec<String>,
    /// What was answered, counted from 1.
    pub sound: u8,
    /// Whether it was the odd one; nothing where there is no right answer.
    pub right: Option<bool>,
    /// Whether it was the control.
    pub control: bool,
}

/// What a test came to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct BlindResult {
    /// In short.
    pub verdict: Verdict,
    /// The names of the takes.
    pub names: Vec<String>,
    /// Pair by pair.
    pub pairs: Vec<PairResult>,
    /// What the control came to.
    pub control: PairResult,
    /// How several stand, the best first; empty where two were heard, or nobody was asked which is nearer.
    pub ranking: Vec<Ranked>,
    /// What an early end does; nothing where all was answered.
    pub early: Option<String>,
    /// What was not the same for all.
    pub unfair: Vec<String>,
    /// Trial by trial.
    pub trials: Vec<TrialTold>,
    /// The chance that ordered it, whose SHA-256 was told before the first answer.
    pub seed: Seed,
}

/// Names that tell takes apart: the label, with the mode, or a number, where that is not enough.
#[must_use]
pub fn names(takes: &[BlindTake]) -> Vec<String> {
    let with_mode = |one: &BlindTake| match &one.mode {
        Some(mode) => format!("{} in {}", one.label, mode.0),
        None => one.label.clone(),
    };
    let alone = |one: &BlindTake, way: &dyn Fn(&BlindTake) -> String| {
        takes.iter().filter(|other| way(other) == way(one)).count() == 1
    };
    takes
        .iter()
        .enumerate()
        .map(|(at, one)| {
            if alone(one, &|one| one.label.clone()) {
                one.label.clone()
            } else if alone(one, &with_mode) {
                with_mode(one)
            } else {
                let before = takes[..at].iter().filter(|other| with_mode(other) == with_mode(one)).count();
                format!("{}, take {}", with_mode(one), before + 1)
            }
        })
        .collect()
}

/// How often answers went one way, and how many there were: right ones, or those for the first of a pair.
fn counted(question: BlindQuestion, trials: &[(Trial, u8)], of: Option<usize>) -> (u32, u32) {
    let of_pair = trials.iter().filter(|(trial, _)| trial.pair == of);
    let one_way = |(trial, sound): &(Trial, u8)| match question {
        BlindQuestion::OddOneOut => trial.odd() == Some(*sound),
        BlindQuestion::NearerToWish => trial.is_second(*sound) == Some(false),
    };
    of_pair.fold((0, 0), |(count, all), one| (count + u32::from(one_way(one)), all + 1))
}

fn outcome(question: BlindQuestion, (count, answered): (u32, u32), planned: u32) -> Outcome {
    match question {
        BlindQuestion::OddOneOut => triangle::outcome(count, answered, planned),
        BlindQuestion::NearerToWish => paired::outcome(count, answered, planned),
    }
}

/// With several pairs, chance has several goes at being clear. So the clearest has to be clearer, by as many times as there are
/// pairs; the next by one less, and so on until one is not (Holm, Scandinavian Journal of Statistics 6, 1979).
fn with_several(outcomes: &mut [Outcome]) {
    let mut by_clearness: Vec<usize> = (0..outcomes.len()).collect();
    by_clearness.sort_by(|a, b| outcomes[*a].by_chance.total_cmp(&outcomes[*b].by_chance));
    let mut clear = true;
    for (before, index) in by_clearness.into_iter().enumerate() {
        let goes = outcomes.len() - before;
        let one = &mut outcomes[index];
        clear &= one.by_chance <= LEVEL / goes as f64;
        one.told = one.told.map(|_| clear);
    }
}

impl BlindTest {
    /// What it came to; nothing while names are hidden.
    #[must_use]
    pub fn result(&self) -> Option<BlindResult> {
        let trials = self.told()?;
        let (_, seed) = self.uncovered.as_ref()?;
        let plan = &self.plan;
        let names = names(&plan.takes);
        let pairs = plan.pairs();
        let counts: Vec<(u32, u32)> =
            (0..pairs.len()).map(|pair| counted(plan.question, &trials, Some(pair))).collect();
        let mut outcomes: Vec<Outcome> =
            counts.iter().map(|count| outcome(plan.question, *count, plan.trials)).collect();
        with_several(&mut outcomes);
        let results: Vec<PairResult> = pairs
            .iter()
            .zip(outcomes)
            .map(|(pair, outcome)| {
                let names = pair.map(|one| names[one].clone());
                let sentence = self.in_words(&names, &outcome);
                PairResult { names, outcome, sentence }
            })
            .collect();
        let ranking = if plan.question == BlindQuestion::NearerToWish && names.len() > 2 {
            ranked(&names, &pairs, &counts)
        } else {
            Vec::new()
        };
        let early = self.ended_early().then(|| {
            format!(
                "It was ended after {} of {} trials. Pairs that were not heard to their end tell nothing.",
                self.answers.len(),
                plan.all_trials()
            )
        });
        let control = self.control(&trials);
        Some(BlindResult {
            verdict: self.verdict(&results, &control),
            pairs: results,
            control,
            ranking,
            early,
            unfair: plan.unfair.clone(),
            trials: trials.iter().map(|one| self.trial_told(&names, &pairs, one)).collect(),
            names,
            seed: seed.clone(),
        })
    }

    fn in_words(&self, [first, second]: &[String; 2], outcome: &Outcome) -> String {
        let Outcome { count, answered, planned, by_chance, told, .. } = outcome;
        let (rest, chance) = (answered.saturating_sub(*count), chance_in_words(*by_chance));
        match (told, self.plan.question) {
            (None, _) => {
                format!("{first} and {second}: {answered} of {planned} trials were heard, so nothing is told.")
            }
            (Some(true), BlindQuestion::OddOneOut) => format!(
                "{first} and {second} can be told apart: {count} of {answered} right. Who guesses gets that far {chance}."
            ),
            (Some(false), BlindQuestion::OddOneOut) => format!(
                "{first} and {second} were not told apart: {count} of {answered} right. That is no proof that they are alike."
            ),
            (Some(true), BlindQuestion::NearerToWish) => {
                let (better, other) = if *count > rest { (first, second) } else { (second, first) };
                let (most, least) = ((*count).max(rest), (*count).min(rest));
                format!(
                    "{better} is nearer to what you want than {other}: {most} to {least}. Chance alone is that clear {chance}."
                )
            }
            (Some(false), BlindQuestion::NearerToWish) => {
                format!("Between {first} and {second} no preference is told: {count} to {rest}.")
            }
        }
    }

    fn control(&self, trials: &[(Trial, u8)]) -> PairResult {
        let [one, other] = self.plan.control.as_ref();
        let twice = one.take == other.take;
        let outcome = outcome(self.plan.question, counted(self.plan.question, trials, None), self.plan.control_trials);
        let what = if twice {
            format!("The control was one take of {} against itself", one.label)
        } else {
            format!("The control was two takes of {}", one.label)
        };
        let figures = match self.plan.question {
            BlindQuestion::OddOneOut => format!("{} of {} right", outcome.count, outcome.answered),
            BlindQuestion::NearerToWish => {
                format!("{} to {}", outcome.count, outcome.answered.saturating_sub(outcome.count))
            }
        };
        let sentence = match (outcome.told, twice) {
            (None, _) => format!("{what}. It was not heard to its end, so it says nothing."),
            (Some(false), _) => format!("{what}: {figures}. Nothing was told from it, as it should be."),
            (Some(true), true) => format!(
                "{what}: {figures}, though there is nothing to hear. Chance does that once in twenty tests; else something gave the \
                 sounds away. Make the test again."
            ),
            (Some(true), false) => format!(
                "{what}: {figures}. You heard a difference there too, and that one is the player's. So what was told above may be \
                 the player's as well: record again, more alike."
            ),
        };
        let name = |number: u8| if twice { one.label.clone() } else { format!("{}, take {number}", one.label) };
        PairResult { names: [name(1), name(2)], outcome, sentence }
    }

    fn verdict(&self, pairs: &[PairResult], control: &PairResult) -> Verdict {
        let told: Vec<&PairResult> = pairs.iter().filter(|pair| pair.outcome.told == Some(true)).collect();
        let complete = pairs.iter().all(|pair| pair.outcome.told.is_some());
        let (kind, word, sentence) = if told.is_empty() && !complete {
            (VerdictKind::Unsure, "Ended early", "It was ended before its last trial, so nothing is told.".to_owned())
        } else if told.is_empty() {
            let least = "Nothing was heard for sure. More trials find smaller differences.".to_owned();
            (VerdictKind::Unsure, "Not told apart", least)
        } else if control.outcome.told == Some(true) {
            (VerdictKind::Unsure, "Told apart, and so was the control", control.sentence.clone())
        } else {
            let sentences: Vec<String> = told.iter().map(|pair| pair.sentence.clone()).collect();
            let word = match self.plan.question {
                BlindQuestion::OddOneOut => "Told apart",
                BlindQuestion::NearerToWish => "A preference",
            };
            (VerdictKind::Good, word, sentences.join(" "))
        };
        Verdict::new(kind, word, sentence)
    }

    fn trial_told(&self, names: &[String], pairs: &[[usize; 2]], (trial, sound): &(Trial, u8)) -> TrialTold {
        let [one, other] = match trial.pair.and_then(|pair| pairs.get(pair)) {
            Some(pair) => pair.map(|take| names.get(take).cloned().unwrap_or_default()),
            None => self.control(&[]).names,
        };
        TrialTold {
            sounds: trial.sounds.iter().map(|second| if *second { other.clone() } else { one.clone() }).collect(),
            sound: *sound,
            right: trial.odd().map(|odd| odd == *sound),
            control: trial.pair.is_none(),
        }
    }

    /// In one sentence, for lists.
    #[must_use]
    pub fn in_short(&self) -> String {
        let takes = self.plan.takes.len();
        match (&self.uncovered, self.result()) {
            (Some(_), Some(result)) => format!("{}: {}", listed(&result.names), result.verdict.sentence),
            _ => format!("{takes} takes, {} of {} trials answered", self.answers.len(), self.plan.all_trials()),
        }
    }
}

/// How takes stand, the best first.
fn ranked(names: &[String], pairs: &[[usize; 2]], counts: &[(u32, u32)]) -> Vec<Ranked> {
    let mut chosen = vec![vec![0; names.len()]; names.len()];
    for ([one, other], (first, all)) in pairs.iter().zip(counts) {
        chosen[*one][*other] = *first;
        chosen[*other][*one] = all - first;
    }
    let share = |strength: f64| 1.0 / (1.0 + (-strength).exp());
    let mut ranked: Vec<Ranked> = ranking::ranking(&chosen)
        .iter()
        .zip(names)
        .map(|(stands, name)| {
            let (low, high) = (stands.low.map_or(0.0, share), stands.high.map_or(1.0, share));
            let middle = share(stands.strength);
            let shown = format!("{:.0} of 100 ({:.0} to {:.0})", middle * 100.0, low * 100.0, high * 100.0);
            Ranked { name: name.clone(), share: middle, low, high, shown }
        })
        .collect();
    ranked.sort_by(|a, b| b.share.total_cmp(&a.share));
    ranked
}
