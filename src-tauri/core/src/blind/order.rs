//! The order of a test: which pair is heard in which trial, and which of the two is behind which number. All of it follows from the
//! seed, so that it can be worked out anew once the seed is told.

use crate::record::blind::{BlindPlan, BlindQuestion, Seed};

/// One trial.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trial {
    /// Which pair, by its place in [`BlindPlan::pairs`]; nothing for the control.
    pub pair: Option<usize>,
    /// Which of the two is heard, sound by sound: `false` for the first, `true` for the second.
    pub sounds: Vec<bool>,
}

impl Trial {
    /// The sound that is the odd one, counted from 1; nothing where two are heard.
    #[must_use]
    pub fn odd(&self) -> Option<u8> {
        let [a, b, c] = self.sounds.as_slice() else { return None };
        Some(if b == c {
            1
        } else if a == c {
            2
        } else {
            3
        })
    }

    /// Whether this sound, counted from 1, is the second of the pair.
    #[must_use]
    pub fn is_second(&self, sound: u8) -> Option<bool> {
        self.sounds.get(usize::from(sound.checked_sub(1)?)).copied()
    }
}

/// A number below `below`, each as likely as any other: what is drawn is thrown away where it would favour some.
fn below(seed: &Seed, purpose: &str, count: &mut u64, below: u64) -> u64 {
    let last_whole = u64::MAX - u64::MAX % below.max(1);
    loop {
        let mut first = [0; 8];
        first.copy_from_slice(&seed.draw(purpose, *count)[..8]);
        *count += 1;
        let drawn = u64::from_be_bytes(first);
        if drawn < last_whole {
            return drawn % below.max(1);
        }
    }
}

/// All trials in their order: each pair as often as planned, shuffled (Fisher and Yates), and in each trial one of the ways to
/// sound, each as likely as any other whatever came before. So who guesses is right by a binomial chance, whichever way they guess.
#[must_use]
pub fn order(plan: &BlindPlan, seed: &Seed) -> Vec<Trial> {
    let pairs = plan.pairs().len();
    let of_pair = |pair| std::iter::repeat_n(pair, plan.trials as usize);
    let control = std::iter::repeat_n(None, plan.control_trials as usize);
    let mut trials: Vec<Option<usize>> = (0..pairs).flat_map(|pair| of_pair(Some(pair))).chain(control).collect();
    let mut count = 0;
    for last in (1..trials.len()).rev() {
        let with = below(seed, "trial", &mut count, last as u64 + 1) as usize;
        trials.swap(last, with);
    }
    let mut count = 0;
    trials
        .into_iter()
        .map(|pair| {
            let sounds = match plan.question {
                BlindQuestion::OddOneOut => {
                    let drawn = below(seed, "sounds", &mut count, 6);
                    let (odd, alike) = ((drawn / 2) as usize, drawn % 2 == 1);
                    (0..3).map(|sound| alike != (sound == odd)).collect()
                }
                BlindQuestion::NearerToWish => {
                    let second = below(seed, "sounds", &mut count, 2) == 1;
                    vec![second, !second]
                }
            };
            Trial { pair, sounds }
        })
        .collect()
}
