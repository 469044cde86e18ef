//! The fold: from entries, in any order of arrival, to the permanent install as it stands.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::{Audition, MeterRead, Saved};
use crate::physics::wiring::JackTaken;
use crate::record::body::{BenchBody, Body, InstallBody};
use crate::record::entry::{Entry, Written};
use crate::record::install::{InstallAnswer, InstallBasis, InstallCheck, InstallStep, InstallTask};
use crate::record::names::{DEMO_BENCH, EntryId};
use crate::record::parts::CircuitParts;
use crate::record::pickup::PickupId;
use crate::record::quantity::Reading;
use crate::record::strike::struck_by;
use crate::record::tick::Tick;
use crate::record::wiring::{JackProbe, JackSet, Plan};
use crate::safety::cautions::Moment;
use crate::safety::holds::SafetyHold;

/// The guitar as it was can be read and pictured only as long as it is so.
const AS_IT_WAS_FIRST: &str =
    "First read the jack and take the photo of the wiring as it is, or write why not: it can't be done later.";

/// Whether a permanent install goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum InstallState {
    /// It goes on.
    Open,
    /// The pickup lives in the guitar.
    Done,
    /// It was given up.
    GivenUp,
    /// Its beginning was struck out, so it stands in no list until it is brought back.
    StruckOut,
}

/// What was written when it was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finished {
    /// Words about it.
    pub words: String,
    /// The pickup that came out, if it was one of the records.
    pub came_out: Option<PickupId>,
}

/// A reading at the jack.
#[derive(Debug, Clone, PartialEq)]
pub struct JackRead {
    /// How everything stood.
    pub set: JackSet,
    /// What the meter showed.
    pub taken: MeterRead,
    /// Whether it was typed alike the last time it was measured, or somebody who was asked said that it is so: then nothing was
    /// typed wrongly.
    pub twice: bool,
}

/// One permanent install as it stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Install {
    /// When its first entry was written.
    pub begun: Option<DateTime<Utc>>,
    /// When its last entry was written.
    pub last: Option<DateTime<Utc>>,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// What goes where.
    pub on: Option<Saved<InstallBasis>>,
    /// How it is to be wired.
    pub plan: Option<Saved<Plan>>,
    /// The parts between the new pickup and the amplifier.
    pub parts: Option<Saved<CircuitParts>>,
    /// Steps that are over, with the reason where something in them was left open.
    pub over: BTreeMap<InstallStep, Saved<String>>,
    /// What a step showed when it was looked at, in short.
    pub causes: BTreeMap<InstallStep, String>,
    /// Acts done, with their words.
    pub acts: BTreeMap<InstallTask, Saved<String>>,
    /// Whether the iron was lit for the soldering that goes on; false again once soldering begins anew.
    pub iron_was_lit: bool,
    /// Whether the iron was lit again after something was proven: what is soldered now makes that worthless.
    pub mending: bool,
    /// Whether the iron is on.
    iron_is_lit: bool,
    /// Stop list, facts, cautions, holds and the iron, as in an audition.
    pub safety: Audition,
    /// The newest reading at the jack of each position, in the order they were taken.
    pub readings: Vec<Saved<JackRead>>,
    /// The newest reading at the jack of each position as the guitar was, in the order they were taken.
    pub before: Vec<Saved<JackRead>>,
    /// All measurements that may tell what is wrong, those at the jack among them, in the order they were taken.
    pub evidence: Vec<Saved<JackTaken>>,
    /// What was asked for and can't be measured.
    pub cant: Vec<JackProbe>,
    /// What was found out by ear.
    pub answers: BTreeMap<InstallCheck, Saved<InstallAnswer>>,
    /// What tap and compass said of the pickups that stay.
    pub tested: BTreeMap<InstallCheck, Saved<InstallAnswer>>,
    /// It is done.
    pub done: Option<Saved<Finished>>,
    /// It was given up, with the reason.
    pub given_up: Option<Saved<String>>,
    /// Its beginning was struck out, by this entry.
    pub struck_out: Option<EntryId>,
    /// What a later change made worthless, by step, in a sentence.
    pub invalidated: BTreeMap<InstallStep, String>,
    /// How many entries a newer version wrote.
    pub newer: usize,
}

impl Install {
    /// Folds entries, as [`crate::record::entry::in_order`] sorts them, into an install.
    #[must_use]
    pub fn fold(ordered: &[(Entry, bool)]) -> Self {
        let mut install = Self { safety: Audition::fold(ordered), ..Self::default() };
        for (entry, struck) in ordered {
            if install.begun.is_none() {
                install.begun = Some(entry.at);
                install.demo = entry.bench == DEMO_BENCH;
            }
            install.last = Some(entry.at);
            match &entry.body {
                Written::Newer { .. } => install.newer += 1,
                Written::Known(body) if !struck => install.fold_one(entry.id, entry.at, body),
                Written::Known(_) => {}
            }
        }
        if install.on.is_none() {
            install.fold_struck_beginning(ordered);
        }
        install
    }

    /// A sheet whose beginning was struck out can still be read, and brought back.
    fn fold_struck_beginning(&mut self, ordered: &[(Entry, bool)]) {
        for (entry, _) in ordered {
            if let Some(Body::Install(InstallBody::FitBegun { on })) = entry.body.known() {
                self.on = Some(Saved { entry: entry.id, at: entry.at, said: on.clone() });
                self.struck_out = struck_by(ordered, entry.id).map(|struck| struck.by);
            }
        }
    }

    fn fold_one(&mut self, entry: EntryId, at: DateTime<Utc>, body: &Body) {
        match body {
            Body::Bench(body) => self.fold_bench(at, body),
            Body::Install(body) => self.fold_install(entry, at, body),
            // These are of other things than an install; strike-outs were applied when the entries were put in order.
            Body::Thing(_)
            | Body::Leads(_)
            | Body::Measured(_)
            | Body::Audition(_)
            | Body::Listening(_)
            | Body::Comparison(_)
            | Body::Take(_)
            | Body::Blind(_)
            | Body::Stay(_)
            | Body::Strike(_) => {}
        }
    }

    /// What is planned, done and measured at the install.
    fn fold_install(&mut self, entry: EntryId, at: DateTime<Utc>, body: &InstallBody) {
        match body {
            InstallBody::FitBegun { on } => self.on = Some(Saved { entry, at, said: on.clone() }),
            InstallBody::FitPlanned { plan } => self.replan(entry, at, plan),
            InstallBody::FitPartsChosen { parts } => {
                let said = Saved { entry, at, said: *parts };
                // What is bought and laid out follows from them.
                if self.parts.replace(said).is_some_and(|before| before.said != *parts)
                    && self.over.remove(&InstallStep::Parts).is_some()
                {
                    let sentence = "Other parts were chosen. Look at it again.";
                    self.invalidated.insert(InstallStep::Parts, sentence.to_owned());
                }
            }
            InstallBody::FitStepOver { step, why, cause } => {
                self.invalidated.remove(step);
                match cause {
                    Some(cause) => self.causes.insert(*step, cause.clone()),
                    None => self.causes.remove(step),
                };
                if *step == InstallStep::Proof {
                    self.plugged_in(at);
                }
                self.over.insert(*step, Saved { entry, at, said: why.clone() });
            }
            InstallBody::FitActDone { act, words } => {
                if *act == InstallTask::Joined && (self.mending || self.acts.contains_key(act)) {
                    self.mending = false;
                    self.resolder("Joints were made anew after the readings. Measure again.");
                }
                self.invalidated.remove(&InstallStep::Solder);
                self.acts.insert(*act, Saved { entry, at, said: words.clone() });
            }
            InstallBody::JackRead { at: set, reading, typed, room, sure } => {
                self.invalidated.remove(&InstallStep::Proof);
                self.plugged_in(at);
                // Measured again: something may have been mended in between, so what was probed before says nothing now. The same
                // once more bears out the reading before it.
                if self.readings.iter().any(|read| read.said.set == *set) {
                    self.evidence.retain(|saved| {
                        let JackProbe::Jack { set: other } = &saved.said.probe else { return false };
                        other != set || is_near(saved.said.reading, *reading)
                    });
                    self.over.remove(&InstallStep::Proof);
                }
                let taken = MeterRead { reading: *reading, typed: typed.clone(), room: *room };
                newest_at(&mut self.readings, entry, at, set, taken);
                if let Some(read) = self.readings.last_mut().filter(|_| *sure) {
                    read.said.twice = true;
                }
                let said = JackTaken { probe: JackProbe::Jack { set: set.clone() }, reading: *reading };
                self.evidence.push(Saved { entry, at, said });
            }
            InstallBody::JackReadBefore { at: set, reading, typed, room } => {
                self.plugged_in(at);
                let taken = MeterRead { reading: *reading, typed: typed.clone(), room: *room };
                newest_at(&mut self.before, entry, at, set, taken);
            }
            InstallBody::FitCantProbe { probe } => self.cant.push(probe.clone()),
            InstallBody::FitProbed { probe, reading, typed } => {
                self.plugged_in(at);
                self.cant.retain(|other| !other.same_place(probe));
                if let JackProbe::Jack { set } = probe {
                    // A reading at the jack that was asked for to tell causes apart is one of the table as well.
                    let room = self.readings.iter().max_by_key(|read| read.at).and_then(|read| read.said.taken.room);
                    let taken = MeterRead { reading: *reading, typed: typed.clone(), room };
                    newest_at(&mut self.readings, entry, at, set, taken);
                }
                let said = JackTaken { probe: probe.clone(), reading: *reading };
                self.evidence.push(Saved { entry, at, said });
            }
            InstallBody::FitAnswered { answer } if answer.of_what_stays() => {
                // A compass needs no plug.
                if matches!(answer, InstallAnswer::Swing { .. }) {
                    self.plugged_in(at);
                }
                let answer = Saved { entry, at, said: answer.clone() };
                let before = self.tested.insert(answer.said.check(), answer.clone());
                // What sits in the guitar changes what the jack reads as well.
                let of_it: &[InstallStep] = match answer.said {
                    InstallAnswer::Sits { .. } | InstallAnswer::SitsUnknown { .. } => {
                        &[InstallStep::Phase, InstallStep::Jack]
                    }
                    _ => &[InstallStep::Phase],
                };
                for step in of_it {
                    let anew = before.as_ref().is_none_or(|before| before.said != answer.said);
                    if anew && self.over.remove(step).is_some() {
                        let sentence = "More is known of a pickup that stays. Look at it again.";
                        self.invalidated.insert(*step, sentence.to_owned());
                    }
                }
            }
            InstallBody::FitAnswered { answer } => {
                self.plugged_in(at);
                self.answers.insert(answer.check(), Saved { entry, at, said: answer.clone() });
            }
            InstallBody::FitDone { words, came_out } => {
                let said = Finished { words: words.clone(), came_out: *came_out };
                self.done = Some(Saved { entry, at, said });
            }
            InstallBody::FitGivenUp { why } => self.given_up = Some(Saved { entry, at, said: why.clone() }),
        }
    }

    /// What changes an install of what is done at its bench; the rest is folded with [`Install::safety`].
    fn fold_bench(&mut self, at: DateTime<Utc>, body: &BenchBody) {
        match body {
            // The cable is in the guitar from here on, or may be.
            BenchBody::Ticked { tick: Tick::PluggedIn | Tick::RaisedSlowly, .. } => self.plugged_in(at),
            BenchBody::TickedTogether { ticks } if ticks.contains(&Tick::PluggedIn) => self.plugged_in(at),
            BenchBody::IronLit {} => {
                if self.proven() {
                    self.mending = true;
                    if self.unsolder() {
                        let sentence = "The iron was lit again. Mend what is wrong, then go through the list anew.";
                        self.invalidated.insert(InstallStep::Solder, sentence.to_owned());
                    }
                }
                self.invalidated.remove(&InstallStep::Iron);
                self.iron_was_lit = true;
                self.iron_is_lit = true;
            }
            BenchBody::IronOff {} => {
                self.iron_is_lit = false;
                self.list_anew(at);
            }
            BenchBody::Ticked { .. }
            | BenchBody::TickedTogether { .. }
            | BenchBody::Told { .. }
            | BenchBody::LevelTold { .. }
            | BenchBody::ListeningCorrected { .. }
            | BenchBody::PhotoTaken { .. }
            | BenchBody::CautionAcknowledged { .. }
            | BenchBody::HoldOverridden { .. } => {}
        }
    }

    fn replan(&mut self, entry: EntryId, at: DateTime<Utc>, plan: &Plan) {
        if self.plan.as_ref().is_some_and(|before| before.said != *plan) {
            for step in [InstallStep::Phase, InstallStep::Hookup, InstallStep::Jack, InstallStep::Parts] {
                if self.over.remove(&step).is_some() {
                    self.invalidated.insert(step, "The plan was changed. Look at it again.".to_owned());
                }
            }
            if self.unsolder() {
                let sentence = "The plan was changed after joints were made. Go through the list anew.";
                self.invalidated.insert(InstallStep::Solder, sentence.to_owned());
            }
            if self.iron_was_lit && !self.iron_is_lit {
                self.solder_anew(at, "The plan was changed. Go through this list again before you solder.");
            }
            self.resolder("The plan was changed. What was measured before belongs to the earlier wiring.");
        }
        self.invalidated.remove(&InstallStep::Plan);
        self.plan = Some(Saved { entry, at, said: plan.clone() });
    }

    /// Whether anything was measured, heard or passed at the finished wiring.
    fn proven(&self) -> bool {
        !self.evidence.is_empty() || !self.answers.is_empty() || self.over.contains_key(&InstallStep::Proof)
    }

    /// The guitar has had a plug in its jack since the stop list, so the list says nothing of now.
    fn plugged_in(&mut self, at: DateTime<Utc>) {
        self.list_anew(at);
        if self.iron_was_lit {
            self.solder_anew(
                at,
                "A cable was in the jack since, for a reading or for sound. Pull it out, and go through this list again before \
                 you solder.",
            );
        }
    }

    /// What is soldered from now on waits for the stop list again.
    fn solder_anew(&mut self, at: DateTime<Utc>, sentence: &str) {
        self.list_anew(at);
        self.iron_was_lit = false;
        self.invalidated.insert(InstallStep::Iron, sentence.to_owned());
    }

    /// What was ticked or passed on the stop list until now counts no more.
    fn list_anew(&mut self, at: DateTime<Utc>) {
        self.safety.ticks.retain(|tick, saved| !Tick::IRON.contains(tick) || saved.at > at);
        for passed in self.safety.overrides.iter_mut().filter(|passed| passed.at <= at) {
            let of_the_iron = |hold: SafetyHold| hold.stops().contains(&Moment::Iron);
            passed.said.over |= SafetyHold::named(&passed.said.hold).is_some_and(of_the_iron);
        }
    }

    /// The joints are to be made and ticked anew, and all that comes after them. Says whether any was ticked.
    fn unsolder(&mut self) -> bool {
        let joints = [InstallTask::Joined, InstallTask::Insulated, InstallTask::Cooled, InstallTask::Tugged];
        let before = self.acts.len();
        self.acts.retain(|act, _| !joints.contains(act) && !InstallTask::CLOSE.contains(act));
        self.acts.len() < before
    }

    /// What was proven of an earlier wiring is worth nothing now.
    fn resolder(&mut self, sentence: &str) {
        let proven = self.proven();
        self.readings.clear();
        self.evidence.clear();
        self.cant.clear();
        self.answers.clear();
        self.over.remove(&InstallStep::Proof);
        self.over.remove(&InstallStep::Listen);
        if proven {
            self.invalidated.insert(InstallStep::Proof, sentence.to_owned());
        }
    }

    /// What was answered to a question.
    #[must_use]
    pub fn answer(&self, check: &InstallCheck) -> Option<&InstallAnswer> {
        self.answers.get(check).or_else(|| self.tested.get(check)).map(|saved| &saved.said)
    }

    /// Whether it goes on.
    #[must_use]
    pub fn state(&self) -> InstallState {
        match (&self.struck_out, &self.done, &self.given_up) {
            (Some(_), ..) => InstallState::StruckOut,
            (None, Some(_), _) => InstallState::Done,
            (None, None, Some(_)) => InstallState::GivenUp,
            (None, None, None) => InstallState::Open,
        }
    }

    /// Whether a step is behind it.
    #[must_use]
    pub fn is_over(&self, step: InstallStep) -> bool {
        match step {
            // Once something is out it is too late.
            InstallStep::AsItWas => self.over.contains_key(&step) || self.acts.contains_key(&InstallTask::OldOut),
            InstallStep::Plan => self.plan.is_some(),
            // Once every joint is made, it is of no use any more that the list is open again.
            InstallStep::Iron => {
                self.iron_was_lit
                    || InstallTask::SOLDER.iter().filter(|act| act.needs_iron()).all(|act| self.acts.contains_key(act))
            }
            InstallStep::Solder => {
                InstallTask::SOLDER.iter().all(|act| self.acts.contains_key(act)) && self.safety.iron_lit.is_none()
            }
            InstallStep::Done => self.done.is_some(),
            InstallStep::WayRound
            | InstallStep::Phase
            | InstallStep::Hookup
            | InstallStep::Room
            | InstallStep::Jack
            | InstallStep::Parts
            | InstallStep::Proof
            | InstallStep::Listen => self.over.contains_key(&step),
        }
    }

    /// What lighting the iron waits for beside the stop list: what can't be done any more once something is unsoldered.
    #[must_use]
    pub fn iron_waits(&self) -> Option<&'static str> {
        (!self.is_over(InstallStep::AsItWas)).then_some(AS_IT_WAS_FIRST)
    }

    /// What an act waits for; nothing when it can be done.
    #[must_use]
    pub fn waits(&self, act: InstallTask) -> Option<&'static str> {
        if act == InstallTask::OldOut && !self.is_over(InstallStep::AsItWas) {
            return Some(AS_IT_WAS_FIRST);
        }
        if !act.needs_iron() || self.iron_was_lit {
            return None;
        }
        Some(match (self.iron_is_lit, self.invalidated.contains_key(&InstallStep::Iron)) {
            (true, _) => {
                "A cable was in the jack since the iron was lit, for a reading or for sound. Put the iron in its stand, pull the \
                 cable out, and go through the stop list again."
            }
            (false, true) => "Soldering begins again. Unplug the guitar, and go through the stop list again first.",
            (false, false) => "The iron was not lit for this install. Go through the stop list first.",
        })
    }

    /// The step to go on with; nothing once it is done, given up or struck out.
    #[must_use]
    pub fn next(&self) -> Option<InstallStep> {
        match self.state() {
            InstallState::Open => InstallStep::ALL.into_iter().find(|step| !self.is_over(*step)),
            InstallState::Done | InstallState::GivenUp | InstallState::StruckOut => None,
        }
    }

    /// Steps that were passed although something in them was open.
    #[must_use]
    pub fn passed_open(&self) -> BTreeSet<InstallStep> {
        self.over.iter().filter(|(_, saved)| !saved.said.is_empty()).map(|(step, _)| *step).collect()
    }
}

/// By how much two readings of one position differ at the most, that are the same.
const NEAR: f64 = 0.05;

/// Whether two readings of one position are the same.
fn is_near(one: Reading, other: Reading) -> bool {
    match (one, other) {
        (Reading::Ohms(one), Reading::Ohms(other)) => (one.0 - other.0).abs() <= NEAR * one.0.max(other.0),
        (one, other) => one == other,
    }
}

/// Puts in the newest reading of a position, for the one before.
fn newest_at(readings: &mut Vec<Saved<JackRead>>, entry: EntryId, at: DateTime<Utc>, set: &JackSet, taken: MeterRead) {
    let twice = readings.iter().any(|read| read.said.set == *set && read.said.taken.typed == taken.typed);
    readings.retain(|read| read.said.set != *set);
    readings.push(Saved { entry, at, said: JackRead { set: set.clone(), taken, twice } });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::quantity::Ohms;
    use crate::record::wiring::Volumes;

    /// Read once more and the same, a reading stands twice in what is worked with, so nobody is sent to take it a third time; read
    /// otherwise, only the newest counts.
    #[test]
    fn a_position_read_the_same_again_is_borne_out() {
        let set = JackSet { selector: "bridge".to_owned(), switch: String::new(), volumes: Volumes::Full {} };
        let over = Reading::OverLimit;
        let ohms = |ohms: f64| Reading::Ohms(Ohms(ohms));
        for (first, second, count) in [
            (ohms(1570.0), ohms(1570.0), 2),
            (ohms(1570.0), ohms(1600.0), 2),
            (ohms(1570.0), ohms(2000.0), 1),
            (over, over, 2),
            (over, ohms(1570.0), 1),
            (ohms(0.0), ohms(0.0), 2),
        ] {
            let mut install = Install::default();
            for (number, reading) in [first, second].into_iter().enumerate() {
                let read =
                    InstallBody::JackRead { at: set.clone(), reading, typed: String::new(), room: None, sure: false };
                let entry = EntryId(uuid::Uuid::from_u128(number as u128));
                install.fold_install(entry, DateTime::UNIX_EPOCH, &read);
            }
            assert_eq!(install.evidence.len(), count, "{first:?}, then {second:?}");
            assert_eq!(install.evidence.last().map(|saved| saved.said.reading), Some(second));
            assert_eq!(install.readings.len(), 1);
        }
    }
}
