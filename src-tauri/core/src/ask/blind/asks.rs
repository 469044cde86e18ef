//! What is asked about takes that are heard beside each other, and what is written of a blind test.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::chosen::chosen;
use super::planning::{Planned, Uncovering, offer};
use super::sound::hearing;
use crate::ask::acts::{Asked, Composed, Does, write};
use crate::ask::bench::Bench;
use crate::ask::reply::Reply;
use crate::ask::{Code, Refusal};
use crate::blind::{BlindLine, BlindTest, BlindView};
use crate::logbook::{Lists as _, Log};
use crate::record::blind::BlindQuestion;
use crate::record::body::{BlindBody, Body};
use crate::record::entry::{About, Entry};
use crate::record::names::EntryId;

/// What is asked about takes that are heard beside each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/blind.ts")]
pub enum BlindAsk {
    /// Two to four takes side by side, with their names: the same stretch of each, and the gains that match them.
    HearTakes {
        /// Which, by the entries that kept them; no two alike.
        takes: Vec<EntryId>,
        /// Where the stretch begins, in seconds from where each begins to sound.
        from: f64,
        /// How long it is, in seconds; at most 30.
        length: f64,
    },
    /// What a blind test of these takes would be, and what it could show.
    BlindOffer {
        /// What is asked.
        question: BlindQuestion,
        /// Two to four takes.
        takes: Vec<EntryId>,
        /// How often each pair is heard.
        trials: u32,
    },
    /// A blind test: how far it got, or what it came to.
    Blind {
        /// The test, by the entry that planned it.
        test: EntryId,
    },
    /// The blind tests of a guitar or a pickup, or those in which takes of an audition are heard, the newest first.
    BlindTests {
        /// Which; nothing for those of all of them that are not over.
        about: Option<About>,
    },
}

/// What is written of a blind test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/blind.ts")]
pub enum BlindAct {
    /// Plans a test, before anything of it is heard. It goes by the name of this entry.
    PlanBlind {
        /// The new entry.
        entry: EntryId,
        /// The guitar or the pickup it is about, as offered.
        about: About,
        /// What is asked.
        question: BlindQuestion,
        /// Two to four takes.
        takes: Vec<EntryId>,
        /// How often each pair is heard.
        trials: u32,
    },
    /// Answers the trial that is due.
    AnswerBlind {
        /// The new entry.
        entry: EntryId,
        /// What the test is about.
        about: About,
        /// The test.
        test: EntryId,
        /// Which trial, from 1.
        trial: u32,
        /// Which sound, from 1.
        sound: u8,
    },
    /// Ends a test and shows its names.
    UncoverBlind {
        /// The new entry.
        entry: EntryId,
        /// What the test is about.
        about: About,
        /// The test.
        test: EntryId,
    },
}

/// A test by its entries.
pub(super) fn test_of(log: &Log, test: EntryId) -> Result<BlindTest, Refusal> {
    let gone = || Refusal::not_found("blind test");
    let about = log.entry(test)?.ok_or_else(gone)?.about;
    BlindTest::fold(&log.about(about)?, test).ok_or_else(gone)
}

fn blind_reply(log: &Log, test: EntryId) -> Result<Reply, Refusal> {
    Ok(Reply::Blind { blind: Box::new(BlindView::of(&test_of(log, test)?)) })
}

impl Asked for BlindAsk {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, _: &Bench, log: &mut Log, _: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            // Answered without the log in hand.
            Self::HearTakes { .. } => Err(Refusal::new(Code::Program, "These takes are heard on another road.")),
            Self::BlindOffer { question, takes, trials } => {
                let chosen = chosen(log, &takes)?;
                Ok(Reply::BlindOffer { offer: Box::new(offer(question, &chosen, trials)?) })
            }
            Self::Blind { test } => blind_reply(log, test),
            Self::BlindTests { about } => {
                let (all, of) = match about {
                    // A test is written down with its guitar or its pickup, also where an audition is asked about.
                    Some(About::Audition(audition)) => (log.with_blind_tests()?, Some(audition)),
                    Some(about) => (vec![about], None),
                    None => (log.with_blind_tests()?, None),
                };
                let mut tests: Vec<BlindLine> = Vec::new();
                for about in all {
                    let folded = BlindTest::fold_all(&log.about(about)?);
                    let asked = folded.iter().filter(|test| of.is_none_or(|audition| test.hears(audition)));
                    tests.extend(asked.map(BlindLine::of));
                }
                tests.retain(|test| about.is_some() || test.running);
                tests.sort_by_key(|test| std::cmp::Reverse((test.planned, test.test)));
                Ok(Reply::BlindTests { tests })
            }
        }
    }
}

impl Composed for BlindAct {
    fn writes(&self) -> (EntryId, About) {
        match self {
            Self::PlanBlind { entry, about, .. }
            | Self::AnswerBlind { entry, about, .. }
            | Self::UncoverBlind { entry, about, .. } => (*entry, *about),
        }
    }

    fn compose(self, _: &mut Log, before: &[(Entry, bool)], _: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        match self {
            Self::AnswerBlind { test, trial, sound, .. } => {
                let found = BlindTest::fold(before, test).ok_or_else(|| Refusal::not_found("blind test"))?;
                if found.uncovered.is_some() {
                    let sentence = "The names of this test are shown, so nothing is answered in it any more.";
                    return Err(Refusal::new(Code::NotNow, sentence));
                }
                if found.next_trial() != Some(trial) {
                    let sentence = "This trial is answered, or not due yet. An answer stands: go on with the next.";
                    return Err(Refusal::new(Code::NotNow, sentence).about("trial"));
                }
                if !(1..=found.plan.question.sounds()).contains(&sound) {
                    return Err(Refusal::unclear("sound", "A trial has no such sound."));
                }
                Ok(vec![Body::Blind(BlindBody::BlindAnswered { test, trial, sound })])
            }
            // These need the takes and the key beside the log, and come as `Planned` and `Uncovering`.
            Self::PlanBlind { .. } | Self::UncoverBlind { .. } => {
                Err(Refusal::new(Code::Program, "A blind test is planned on another road."))
            }
        }
    }
}

impl Asked for BlindAct {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::UncoverBlind { entry, about, test } => {
                write(log, &Uncovering { entry, about, test, key: bench.blind_key()? }, now)?;
                blind_reply(log, test)
            }
            Self::AnswerBlind { test, .. } => {
                write(log, &self, now)?;
                blind_reply(log, test)
            }
            Self::PlanBlind { entry, .. } => {
                write(log, &self, now)?;
                blind_reply(log, entry)
            }
        }
    }
}

impl Asked for Planned {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let test = self.entry;
        write(log, &self, now)?;
        blind_reply(log, test)
    }
}

impl Bench {
    /// Answers what is asked about takes beside each other. They are read without the log in hand.
    pub(in crate::ask) fn answer_blind(&self, ask: BlindAsk) -> Result<Reply, Refusal> {
        let BlindAsk::HearTakes { takes, from, length } = ask else { return self.answer_at_log(ask) };
        let chosen = chosen(&self.lock(), &takes)?;
        Ok(Reply::Hearing { hearing: Box::new(hearing(&self.take_shelf(), &chosen, from, length)?) })
    }

    /// Writes of a blind test. What is planned is heard first, without the log in hand.
    pub(in crate::ask) fn answer_blind_act(&self, act: BlindAct) -> Result<Reply, Refusal> {
        let BlindAct::PlanBlind { entry, about, question, takes, trials } = act else {
            return self.answer_at_log(act);
        };
        if let Ok(test) = test_of(&self.lock(), entry) {
            return Ok(Reply::Blind { blind: Box::new(BlindView::of(&test)) });
        }
        let planned = self.planned(entry, about, question, &takes, trials)?;
        self.answer_at_log(planned)
    }
}
