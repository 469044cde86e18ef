//! The sound of takes beside each other: with their names, and of a trial, whose files differ in nothing but what is heard.

use super::asks::test_of;
use super::chosen::{Chosen, unfair};
use super::planning::{blind_take, elsewhere};
use crate::ask::bench::Bench;
use crate::ask::blind_view::{HeardTake, TakesTogether};
use crate::ask::{Code, Refusal};
use crate::blind::{names, order};
use crate::logbook::Trouble;
use crate::logbook::files::File;
use crate::logbook::takes::Shelf;
use crate::record::blind::BlindTake;
use crate::record::names::EntryId;
use crate::record::quantity::{Decibels, Hertz};
use crate::record::take::TakeName;
use crate::takes::file::Unreadable;
use crate::takes::keep::NotKept;
use crate::takes::stretch::{LONGEST_STRETCH, Stretch, beginning, matched};

/// In how many parts a waveform is drawn.
const PARTS: usize = 240;
/// Third octaves that differ by less than this after matching are not told, in decibels (common practice).
const TELLING: f64 = 1.5;
/// The most that is told of the spectrum.
const MOST_TOLD: usize = 3;

/// The file of a take.
pub(super) fn open(shelf: &Shelf, take: &TakeName) -> Result<File, Refusal> {
    shelf.open(take)?.ok_or_else(|| {
        let sentence = "A take is not beside the log. It may have been erased, or changed by another program.";
        Refusal::new(Code::NotFound, sentence)
    })
}

pub(super) fn unheard(unreadable: Unreadable) -> Refusal {
    NotKept::Unreadable(unreadable).into()
}

/// Takes side by side, with their names.
pub(super) fn hearing(shelf: &Shelf, chosen: &[Chosen], from: f64, length: f64) -> Result<TakesTogether, Refusal> {
    if !(0.0..=600.0).contains(&from) || !(0.5..=LONGEST_STRETCH).contains(&length) {
        return Err(Refusal::unclear("length", "A stretch is half a second to 30 s long. Choose another one."));
    }
    let begins = chosen
        .iter()
        .map(|one| beginning(open(shelf, &one.take.sound.take)?).map_err(unheard))
        .collect::<Result<Vec<_>, _>>()?;
    let longest = begins.iter().map(|one| one.whole - one.at).fold(f64::INFINITY, f64::min);
    let from = from.min((longest - 0.5).max(0.0));
    let length = length.min(longest - from).max(0.5);
    let stretches = chosen
        .iter()
        .zip(&begins)
        .map(|(one, begins)| {
            Stretch::cut(open(shelf, &one.take.sound.take)?, begins.at + from, length).map_err(unheard)
        })
        .collect::<Result<Vec<_>, _>>()?;
    let loudness: Vec<Option<Decibels>> = stretches.iter().map(Stretch::loudness).collect();
    let gains = matched(&loudness);
    let takes: Vec<BlindTake> = chosen.iter().map(|one| blind_take(one, &one.take)).collect();
    let names = names(&takes);
    let heard: Vec<HeardTake> = chosen
        .iter()
        .zip(&stretches)
        .zip(names.iter().zip(loudness.iter().zip(&gains)))
        .zip(&begins)
        .map(|(((one, stretch), (name, (loudness, gain))), begins)| HeardTake {
            entry: one.entry,
            take: one.take.sound.take.clone(),
            name: name.clone(),
            words: one.take.recorded.in_words(),
            start: begins.at + from,
            gain: *gain,
            gain_shown: gain_shown(*gain),
            loudness_shown: loudness.map_or_else(|| "–".to_owned(), |one| one.shown().replace("dB", "LUFS")),
            outline: stretch.outline(PARTS),
            thirds: stretch
                .thirds()
                .into_iter()
                .map(|band| (band.name, band.level.map(|level| Decibels(level.get() + gain.get()))))
                .collect(),
        })
        .collect();
    let (unfair, unfair_in_inches) = unfair(chosen, &names);
    Ok(TakesTogether {
        differences: told(&heard, &loudness),
        unfair,
        unfair_in_inches,
        takes: heard,
        from,
        length,
        longest,
    })
}

fn gain_shown(gain: Decibels) -> String {
    if gain.get() > -0.05 { "as it is".to_owned() } else { format!("{} down", Decibels(-gain.get()).shown()) }
}

/// What differs, in sentences: the level as a result of its own, then where the spectra lie farthest apart.
fn told(heard: &[HeardTake], loudness: &[Option<Decibels>]) -> Vec<String> {
    let mut sentences = Vec::new();
    let mut loud: Vec<(&HeardTake, f64)> =
        heard.iter().zip(loudness).filter_map(|(one, loud)| Some((one, loud.as_ref()?.get()))).collect();
    loud.sort_by(|a, b| b.1.total_cmp(&a.1));
    if let [first, .., last] = loud.as_slice() {
        let apart = first.1 - last.1;
        sentences.push(if apart < 0.1 {
            "They are as loud as each other.".to_owned()
        } else {
            format!(
                "{} is {} louder than {}. That is a result of its own; here it is turned down.",
                first.0.name,
                Decibels(apart).shown(),
                last.0.name
            )
        });
    }
    let mut bands: Vec<(f64, Hertz, &str, &str)> = Vec::new();
    let count = heard.iter().map(|one| one.thirds.len()).min().unwrap_or(0);
    for index in 0..count {
        let mut levels: Vec<(&HeardTake, Hertz, f64)> = heard
            .iter()
            .filter_map(|one| {
                let (middle, level) = one.thirds.get(index)?;
                Some((one, *middle, level.as_ref()?.get()))
            })
            .collect();
        levels.sort_by(|a, b| b.2.total_cmp(&a.2));
        // What is so far under the rest that nobody hears it is no difference.
        if let [first, .., last] = levels.as_slice()
            && first.2 > -70.0
        {
            bands.push((first.2 - last.2, first.1, &first.0.name, &last.0.name));
        }
    }
    bands.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut chosen: Vec<Hertz> = Vec::new();
    for (apart, middle, more, less) in bands {
        let near = chosen.iter().any(|other| (other.get() / middle.get()).log2().abs() < 1.0);
        if apart < TELLING || near || chosen.len() == MOST_TOLD {
            continue;
        }
        chosen.push(middle);
        let hertz = if middle.get() < 1000.0 {
            format!("{} Hz", middle.get())
        } else {
            format!("{} kHz", middle.get() / 1000.0)
        };
        sentences.push(format!("Around {hertz}, {more} has {} more than {less}.", Decibels(apart).shown()));
    }
    sentences
}

impl Bench {
    /// A stretch of a kept take as a WAV file, at its own level.
    ///
    /// # Errors
    /// A [`Refusal`] when there is none of this name, or it can't be read.
    pub fn stretch(&self, take: &str, start: f64, length: f64) -> Result<Vec<u8>, Refusal> {
        let name = TakeName::try_from(take.to_owned()).map_err(|unclear| Refusal::unclear("take", unclear.sentence))?;
        if !(0.0..=600.0).contains(&start) || !(0.1..=LONGEST_STRETCH).contains(&length) {
            return Err(Refusal::unclear("length", "A take has no such stretch."));
        }
        let stretch = Stretch::cut(open(&self.take_shelf(), &name)?, start, length).map_err(unheard)?;
        Ok(stretch.wav(Decibels(0.0), 0))
    }

    /// A sound of the trial that is due, as a WAV file. All of a test have one size and one head, are as loud as each other, and no two
    /// are alike, so that nothing but listening tells which take it is.
    ///
    /// # Errors
    /// A [`Refusal`] when another trial is due, or the test was planned on another bench.
    pub fn blind_sound(&self, test: EntryId, trial: u32, sound: u8) -> Result<Vec<u8>, Refusal> {
        let found = test_of(&self.lock(), test)?;
        if found.next_trial() != Some(trial) {
            return Err(Refusal::new(Code::NotNow, "This trial is not due. Load the page of the test again."));
        }
        let seed = self.blind_key()?.seed(test);
        if !found.plan.seal.closes(&seed) {
            return Err(elsewhere());
        }
        let order = order(&found.plan, &seed);
        let what = usize::try_from(trial).ok().and_then(|trial| order.get(trial.checked_sub(1)?));
        let second = what.and_then(|what| what.is_second(sound));
        let (Some(what), Some(second)) = (what, second) else {
            return Err(Refusal::unclear("sound", "A trial has no such sound."));
        };
        let pair = match what.pair {
            Some(pair) => found.plan.pairs().get(pair).map(|pair| found.plan.takes.get(pair[usize::from(second)])),
            None => Some(found.plan.control.get(usize::from(second))),
        };
        let take = pair.flatten().ok_or_else(|| Trouble::Program("a trial of no take".to_owned()))?;
        let stretch =
            Stretch::cut(open(&self.take_shelf(), &take.take)?, take.start, found.plan.length).map_err(unheard)?;
        let noise = seed.draw("noise", u64::from(trial) * 8 + u64::from(sound));
        let mut first = [0; 8];
        first.copy_from_slice(&noise[..8]);
        Ok(stretch.wav(take.gain, u64::from_be_bytes(first)))
    }
}
