//! A blind test is planned: which pairs, how often, what that can show, and the seal of its order.

use chrono::{DateTime, Utc};

use super::chosen::{Chosen, chosen, unfair};
use crate::ask::acts::Composed;
use crate::ask::bench::Bench;
use crate::ask::blind_view::{BlindOffer, PowerLine};
use crate::ask::{Code, Refusal};
use crate::audition::Take;
use crate::blind::{BlindTest, Key, names};
use crate::logbook::takes::Shelf;
use crate::logbook::{Log, Trouble};
use crate::record::blind::{BlindPlan, BlindQuestion, BlindTake, STRETCH, TRIALS};
use crate::record::body::{BlindBody, Body};
use crate::record::entry::{About, Entry};
use crate::record::names::EntryId;
use crate::record::quantity::Decibels;
use crate::takes::blind::{LEVEL, paired, triangle};
use crate::takes::stretch::{Stretch, beginning, matched};

/// How long the stretch is that is heard in a trial, in seconds, where the takes are long enough.
const USUAL: f64 = 6.0;
/// Numbers of trials that are offered.
const OFFERED: [u32; 5] = [8, 12, 18, 24, 36];
/// The control is heard half as often as a pair, and this often at least.
const LEAST_CONTROL: u32 = 6;
/// Seconds that a trial takes beside what is heard once (common practice).
const TO_ANSWER: f64 = 8.0;

fn control_trials(trials: u32) -> u32 {
    trials.div_ceil(2).max(LEAST_CONTROL)
}

/// A take of a test, before it is known where its stretch begins and how loud it is.
pub(super) fn blind_take(one: &Chosen, take: &Take) -> BlindTake {
    BlindTake {
        take: take.sound.take.clone(),
        pickup: one.pickup,
        label: one.label.clone(),
        mode: one.mode().cloned(),
        audition: one.audition,
        start: 0.0,
        gain: Decibels(0.0),
    }
}

/// Two takes of one pickup where there are two, else one twice.
fn control(chosen: &[Chosen]) -> Option<[BlindTake; 2]> {
    let two = chosen.iter().find_map(|one| Some([blind_take(one, &one.take), blind_take(one, one.again.as_ref()?)]));
    let twice = || chosen.first().map(|one| [blind_take(one, &one.take), blind_take(one, &one.take)]);
    two.or_else(twice)
}

/// What a test would be.
pub(super) fn offer(question: BlindQuestion, chosen: &[Chosen], trials: u32) -> Result<BlindOffer, Refusal> {
    if !TRIALS.contains(&trials) {
        return Err(Refusal::unclear("trials", "Each pair is heard 5 to 60 times. Choose a number in between."));
    }
    let takes: Vec<BlindTake> = chosen.iter().map(|one| blind_take(one, &one.take)).collect();
    let names = names(&takes);
    let pairs = (takes.len() * (takes.len().saturating_sub(1)) / 2) as u32;
    let all = pairs * trials + control_trials(trials);
    let minutes = f64::from(all) * (f64::from(question.sounds()) * USUAL + TO_ANSWER) / 60.0;
    let control = match control(chosen) {
        Some([one, other]) if one.take != other.take => {
            format!("Two takes of {} are the control: what is heard between them is the player.", one.label)
        }
        Some([one, _]) => format!(
            "One take of {} against itself is the control. Two takes of the same pickup tell more: record it again, played alike.",
            one.label
        ),
        None => String::new(),
    };
    let (unfair, unfair_in_inches) = unfair(chosen, &names);
    Ok(BlindOffer {
        about: about(chosen)?,
        question: question.in_words().to_owned(),
        power: OFFERED.map(|offered| power(question, pairs, offered)).to_vec(),
        chosen: power(question, pairs, trials),
        words: format!(
            "{trials} trials of {} and {} of the control: {all} trials of {} sounds each, about {minutes:.0} min with everything \
             heard once. Nothing is told before the last.",
            if pairs == 1 { "the pair".to_owned() } else { format!("each of {pairs} pairs") },
            control_trials(trials),
            question.sounds()
        ),
        names,
        pairs,
        all,
        control,
        unfair,
        unfair_in_inches,
    })
}

/// The guitar that was recorded, or else a pickup.
fn about(chosen: &[Chosen]) -> Result<About, Refusal> {
    let guitar = chosen.iter().find_map(|one| one.guitar).map(About::Guitar);
    let pickup = || chosen.iter().find_map(|one| one.pickup).map(About::Pickup);
    guitar.or_else(pickup).ok_or_else(|| Refusal::not_found("pickup"))
}

/// What a number of trials can show, with so many pairs.
fn power(question: BlindQuestion, pairs: u32, trials: u32) -> PowerLine {
    // With several pairs, the clearest one has to be clearer.
    let level = LEVEL / f64::from(pairs.max(1));
    let (needed, power, of_what, who) = match question {
        BlindQuestion::OddOneOut => (
            triangle::least_right_at(level, trials),
            triangle::power_at(level, trials, 0.5),
            "right ones",
            "hear the difference in half of the trials",
        ),
        BlindQuestion::NearerToWish => (
            paired::least_for_one_at(level, trials),
            paired::power_at(level, trials, 0.8),
            "for the same one",
            "choose the same one 8 times in 10",
        ),
    };
    let words = match needed {
        Some(needed) => format!(
            "{trials} of each pair: {needed} {of_what} are needed. If you {who}, this test shows it {:.0} times in 100.",
            power * 100.0
        ),
        None => format!("{trials} of each pair: so few that nothing could be told from them."),
    };
    PowerLine { trials, needed, power, words }
}

/// A plan, to be written.
#[derive(Debug, Clone)]
pub(super) struct Planned {
    pub entry: EntryId,
    about: About,
    plan: BlindPlan,
}

impl Composed for Planned {
    fn writes(&self) -> (EntryId, About) {
        (self.entry, self.about)
    }

    fn compose(self, _: &mut Log, before: &[(Entry, bool)], _: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        if before.is_empty() {
            return Err(Refusal::not_found(self.about.word()));
        }
        Ok(vec![Body::Blind(BlindBody::BlindPlanned { plan: self.plan })])
    }
}

/// A test to be ended, with the key that its seed is made from.
#[derive(Clone)]
pub(super) struct Uncovering {
    pub entry: EntryId,
    pub about: About,
    pub test: EntryId,
    pub key: Key,
}

impl Composed for Uncovering {
    fn writes(&self) -> (EntryId, About) {
        (self.entry, self.about)
    }

    fn compose(self, _: &mut Log, before: &[(Entry, bool)], _: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        let found = BlindTest::fold(before, self.test).ok_or_else(|| Refusal::not_found("blind test"))?;
        if found.uncovered.is_some() {
            return Err(Refusal::new(Code::NotNow, "The names of this test are shown already."));
        }
        let seed = self.key.seed(self.test);
        if !found.plan.seal.closes(&seed) {
            return Err(elsewhere());
        }
        Ok(vec![Body::Blind(BlindBody::BlindUncovered { test: self.test, seed })])
    }
}

/// The order of a test is known to the bench that planned it alone.
pub(super) fn elsewhere() -> Refusal {
    let sentence = "This test was planned on another bench, or its key is gone (blind.key in the log's folder). Its answers stay in the \
                    log. Go on there, or plan another test.";
    Refusal::new(Code::NotNow, sentence)
}

impl Bench {
    /// The key of the tests of this log.
    pub(super) fn blind_key(&self) -> Result<Key, Refusal> {
        Ok(Key::of(self.folder(), self.chance).map_err(Trouble::from)?)
    }

    /// A plan of these takes, each heard once to find where it begins and how loud it is.
    pub(super) fn planned(
        &self,
        entry: EntryId,
        about: About,
        question: BlindQuestion,
        takes: &[EntryId],
        trials: u32,
    ) -> Result<Planned, Refusal> {
        let chosen = chosen(&self.lock(), takes)?;
        let offer = offer(question, &chosen, trials)?;
        if offer.about != about {
            return Err(Refusal::unclear("about", "These takes are of something else. Ask what is offered for them."));
        }
        let mut all: Vec<BlindTake> = chosen.iter().map(|one| blind_take(one, &one.take)).collect();
        let control = control(&chosen).ok_or_else(|| Refusal::not_found("take"))?;
        all.extend(control);
        let length = matched_stretches(&self.take_shelf(), &mut all)?;
        let control = all.split_off(chosen.len());
        let [one, other] = <[BlindTake; 2]>::try_from(control).map_err(|_| Refusal::not_found("take"))?;
        let place = chosen.first().and_then(|one| one.from_saddle);
        let at_one_place = chosen.iter().all(|one| match (one.from_saddle, place) {
            (Some(here), Some(there)) => (here.0 - there.0).abs() <= crate::decision::SAME_PLACE.0,
            _ => false,
        });
        Ok(Planned {
            entry,
            about,
            plan: BlindPlan {
                question,
                takes: all,
                control: Box::new([one, other]),
                trials,
                control_trials: control_trials(trials),
                length,
                from_saddle: place.filter(|_| at_one_place),
                unfair: offer.unfair,
                seal: self.blind_key()?.seed(entry).seal(),
            },
        })
    }
}

/// Sets where the stretch of each begins, and the gains by which all are as loud as the quietest; answers how long it is.
fn matched_stretches(shelf: &Shelf, takes: &mut [BlindTake]) -> Result<f64, Refusal> {
    let mut length = USUAL;
    for one in takes.iter_mut() {
        let begins = beginning(super::sound::open(shelf, &one.take)?).map_err(super::sound::unheard)?;
        one.start = begins.at;
        length = length.min(begins.whole - begins.at);
    }
    // A whole number of samples.
    let length = (length * 100.0).floor() / 100.0;
    if !STRETCH.contains(&length) {
        let sentence = "One of these takes sounds for less than half a second, which is too short to be heard blind.";
        return Err(Refusal::unclear("takes", sentence));
    }
    let mut loudness = Vec::new();
    for one in takes.iter() {
        let stretch = Stretch::cut(super::sound::open(shelf, &one.take)?, one.start, length);
        loudness.push(stretch.map_err(super::sound::unheard)?.loudness());
    }
    for (one, gain) in takes.iter_mut().zip(matched(&loudness)) {
        one.gain = gain;
    }
    Ok(length)
}
