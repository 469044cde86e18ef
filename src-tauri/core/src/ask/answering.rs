//! How the bench answers: each ask goes to its topic.

use std::sync::PoisonError;
use std::sync::atomic::Ordering;

use chrono::{DateTime, Utc};

use super::contract::Ask;
use super::parse::parse;
use super::refusal::{Code, Refusal};
use super::reply::{Reply, in_json};
use crate::ask::acts::{Asked, Does};
use crate::ask::bench::Bench;
use crate::logbook::{Log, Trouble};

impl Bench {
    /// Answers one ask.
    ///
    /// # Errors
    /// A [`Refusal`] that names what was wrong; then nothing was written.
    pub fn ask(&self, ask: Ask) -> Result<Reply, Refusal> {
        match ask {
            Ask::Carry(ask) => self.answer_carrying(ask),
            Ask::Bench(ask) => self.answer_at_log(ask),
            Ask::Log(ask) => self.answer_at_log(ask),
            Ask::Thing(ask) => self.answer_at_log(ask),
            Ask::ThingAct(act) => self.answer_at_log(act),
            Ask::Leads(ask) => self.answer_at_log(ask),
            Ask::LeadsAct(act) => self.answer_leads(act),
            Ask::Measure(ask) => self.answer_at_log(ask),
            Ask::MeasureAct(act) => self.answer_measuring(act),
            Ask::Audition(ask) => self.answer_at_log(ask),
            Ask::AuditionAct(act) => self.answer_at_log(act),
            Ask::Comparison(ask) => self.answer_at_log(ask),
            Ask::ComparisonAct(act) => self.answer_at_log(act),
            Ask::Take(ask) => self.answer_takes(ask),
            Ask::TakeAct(act) => self.answer_take_act(act),
            Ask::Blind(ask) => self.answer_blind(ask),
            Ask::BlindAct(act) => self.answer_blind_act(act),
            Ask::Install(ask) => self.answer_at_log(ask),
            Ask::InstallAct(act) => self.answer_at_log(act),
        }
    }

    /// Answers one ask in JSON: `{"ok": reply}` or `{"refused": refusal}`. Never fails: what is not an ask is refused.
    #[must_use]
    pub fn answer(&self, json: &[u8]) -> Vec<u8> {
        self.answer_since(json, None)
    }

    /// The same for who says which answer about an audition they still have, by its `as_of`: `{"since": has, "as_of": name,
    /// "changed": {…}}` with the fields of the audition that are not as they were in that. Of its steps only those that
    /// changed come, as `some_steps`; of the lines of what was written those that changed, as `some_written` (each after its
    /// index), and those written since, as `more_written`. Who has none (an empty name), or one that is no longer known, is
    /// answered in full, as `{"ok": reply, "as_of": name}`. Who does not say is answered as by [`Bench::answer`].
    #[must_use]
    pub fn answer_since(&self, json: &[u8], has: Option<&str>) -> Vec<u8> {
        self.told(parse(json).and_then(|ask| self.ask(ask)), has)
    }

    /// An answer in JSON, as [`Bench::answer_since`] gives it.
    #[must_use]
    pub fn told(&self, answer: Result<Reply, Refusal>, has: Option<&str>) -> Vec<u8> {
        match has {
            Some(has) => self.told.lock().unwrap_or_else(PoisonError::into_inner).tell(answer, has),
            None => in_json(&answer),
        }
    }

    /// Answers with the log in hand, which is made good first where it is damaged.
    pub(super) fn answer_at_log<A: Asked>(&self, ask: A) -> Result<Reply, Refusal> {
        let mut log = self.lock();
        if self.found_damaged.swap(false, Ordering::SeqCst) {
            self.recover(&mut log, "found by the check after opening")?;
        }
        let now = self.clock.now();
        // Whatever writes looks itself, after it wrote.
        if log.is_left() || (ask.does() != Does::Write && !log.is_in_place()) {
            log.open_in_place(now)?;
        }
        self.hold_to_what_it_held(&mut log)?;
        let reply = match self.once(ask.clone(), &mut log, now) {
            // Written into a file that is gone: that is brought over, and the ask finds itself written, or is written now.
            Err(_) if !log.is_in_place() => {
                log.open_in_place(now)?;
                self.once(ask.clone(), &mut log, now)
            }
            Err(refusal) if refusal.code == Code::Damaged => {
                // What a log made anew could not mend was no damage, but a mistake of the program.
                if self.in_vain.lock().is_ok_and(|in_vain| in_vain.as_ref() == Some(&refusal.sentence)) {
                    return Err(Trouble::Program(refusal.sentence).into());
                }
                self.recover(&mut log, &format!("found while it was read: {}", refusal.sentence))?;
                if let Some(reply) = ask.once_made_good() {
                    Ok(reply)
                } else {
                    let again = self.once(ask.clone(), &mut log, now);
                    if let (Err(again), Ok(mut in_vain)) = (&again, self.in_vain.lock()) {
                        *in_vain = (again.code == Code::Damaged).then(|| again.sentence.clone());
                    }
                    again
                }
            }
            Err(refusal) if refusal.code == Code::Busy && self.is_taking_in() => {
                let sentence =
                    "A bundle is being written into the log. Wait a moment, then try again. What you typed is kept.";
                Err(Refusal::new(Code::Busy, sentence))
            }
            other => other,
        };
        self.look_after(&mut log, now, false);
        self.resting.lock().unwrap_or_else(PoisonError::into_inner).after(ask.ends_work(), log.changes());
        reply
    }

    /// Answers with the log as it is.
    fn once<A: Asked>(&self, ask: A, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match ask.does() {
            Does::Look => log.at_one_moment(|log| ask.answer(self, log, now)),
            Does::Write | Does::Change => ask.answer(self, log, now),
        }
    }
}
