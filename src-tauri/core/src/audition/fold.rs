//! The fold: from entries, in any order of arrival, to the audition as it stands.

mod setting;
mod worthless;

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};

use super::sounding::Session;
use crate::audition::saved::Saved;
use crate::listening::{Conditions, against_in_words};
use crate::physics::meter;
use crate::record::audition::{AuditionId, Choice, FinalPlace, HookedUp, PhotoKind, Step};
use crate::record::body::{AuditionBody, BenchBody, Body, InstallBody, ListeningBody, TakeBody};
use crate::record::entry::{Entry, Written};
use crate::record::facts::{BenchFact, Question};
use crate::record::gaps::{GapAim, GapsMeasured, LevelReading};
use crate::record::listening::{Quality, Than};
use crate::record::mounting::Mounting;
use crate::record::names::{BenchId, DEMO_BENCH, EntryId};
use crate::record::note::Note;
use crate::record::photo::PhotoName;
use crate::record::quantity::{Celsius, Reading};
use crate::record::rig::Mode;
use crate::record::seat::{FinishAnswer, Seating};
use crate::record::sound::LevelTold;
use crate::record::take::{KeptSound, Recorded};
use crate::record::tick::Tick;

/// A meter reading.
#[derive(Debug, Clone, PartialEq)]
pub struct MeterRead {
    /// What the meter showed.
    pub reading: Reading,
    /// The letters that were typed.
    pub typed: String,
    /// The temperature of the room, if known.
    pub room: Option<Celsius>,
}

/// Why a reading no longer counts whose mode was read anew.
pub(super) const MEASURED_AGAIN: &str = "it was measured again";

/// A measurement that tells of how it was: what it was taken of has been changed since.
#[derive(Debug, Clone, PartialEq)]
pub struct Before {
    /// The measurement.
    pub taken: meter::Taken,
    /// What was changed since, in words: `a lead was moved`.
    pub since: &'static str,
}

/// A hold that somebody passed on their own responsibility.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Override {
    /// The hold's name.
    pub hold: String,
    /// The reason given.
    pub why: String,
    /// Whether it no longer passes anything, because what it was about was changed since. It is shown all the same.
    pub over: bool,
}

/// A recording, and what it was made in.
#[derive(Debug, Clone, PartialEq)]
pub struct Take {
    /// The kept file.
    pub sound: KeptSound,
    /// How it was made, as somebody said.
    pub recorded: Recorded,
    /// What it was made in, as a note has it.
    pub conditions: Conditions,
}

/// A rating of one quality.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rating {
    /// 1 to 5.
    pub value: u8,
    /// Whether the notes of the reference were looked at before, in the same mode.
    pub led: bool,
    /// What it was heard in, by its place in [`Audition::contexts`].
    pub context: usize,
}

/// One audition as it stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Audition {
    /// When its first entry was written.
    pub begun: Option<DateTime<Utc>>,
    /// When it was written in last while it went on: until it was taken down, or ended.
    pub last: Option<DateTime<Utc>>,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// What is auditioned.
    pub choice: Option<Saved<Choice>>,
    /// How the pickup lies.
    pub mounting: Option<Saved<Mounting>>,
    /// Which leads are in which terminal.
    pub hooked: BTreeMap<u8, Saved<HookedUp>>,
    /// The newest reading of each mode.
    pub readings: BTreeMap<Mode, Saved<MeterRead>>,
    /// All measurements that may tell what is wrong, in the order they were taken.
    pub evidence: Vec<Saved<meter::Taken>>,
    /// What was measured before something was changed or mended: shown, and never used for or against anything.
    pub before: Vec<Saved<Before>>,
    /// What is known of the finish.
    pub finish: Option<Saved<FinishAnswer>>,
    /// How the rig stands.
    pub seating: Option<Saved<Seating>>,
    /// The gaps.
    pub gaps: Option<Saved<GapsMeasured>>,
    /// The gaps to turn the studs for.
    pub aim: Option<Saved<GapAim>>,
    /// Output levels read at known gaps, with this pickup at this place.
    pub levels: Vec<Saved<LevelReading>>,
    /// How the strings are tuned, when it is not as the guitar's record says.
    pub tuned: Option<Saved<Vec<Note>>>,
    /// Where the pickup will be installed.
    pub final_place: Option<Saved<FinalPlace>>,
    /// Since when the rig stands on the finish, if it does.
    pub stands_since: Option<DateTime<Utc>>,
    /// What was told of the bench.
    pub told: BTreeMap<Question, Saved<BenchFact>>,
    /// The level at the ear as it was told last.
    pub level: Option<Saved<LevelTold>>,
    /// Times with the sound up, in order; only the last can still go on.
    pub sessions: Vec<Session>,
    /// Photos of the finish, in order.
    pub photos: Vec<Saved<(PhotoKind, PhotoName)>>,
    /// Since when the soldering iron is on, if it is.
    pub iron_lit: Option<DateTime<Utc>>,
    /// Items done of the stop lists, with their words.
    pub ticks: BTreeMap<Tick, Saved<String>>,
    /// Those before the iron as they were done when it was lit last.
    pub ticks_when_lit: BTreeMap<Tick, Saved<String>>,
    /// Ratings by mode and quality.
    pub rated: BTreeMap<(Mode, Quality), Saved<Rating>>,
    /// Qualities beside those of the pickup that is fitted now, by mode and quality.
    pub against: BTreeMap<(Mode, Quality), Saved<Than>>,
    /// Words by mode.
    pub notes: BTreeMap<Mode, Saved<String>>,
    /// What each mode was heard in, last.
    pub conditions: BTreeMap<Mode, Conditions>,
    /// All that notes were heard in, one after the other.
    pub contexts: Vec<Conditions>,
    /// Modes in which the notes of the reference were looked at, with the reference.
    pub looked: BTreeMap<Mode, AuditionId>,
    /// Recordings that were kept, in order.
    pub takes: Vec<Saved<Take>>,
    /// The amplifier and its settings.
    pub amp: Option<Saved<String>>,
    /// Steps left out, with the reason.
    pub skipped: BTreeMap<Step, Saved<String>>,
    /// Cautions read, by name, with their cause.
    pub acknowledged: BTreeMap<String, Saved<String>>,
    /// Holds passed.
    pub overrides: Vec<Saved<Override>>,
    /// Ended before its last step, with the reason.
    pub ended_early: Option<Saved<String>>,
    /// What a later change made worthless, by step, in a sentence.
    pub invalidated: BTreeMap<Step, String>,
    /// How many entries a newer version wrote.
    pub newer: usize,
}

impl Audition {
    /// Folds entries, as [`crate::record::entry::in_order`] sorts them, into an audition.
    pub fn fold<'a>(ordered: impl IntoIterator<Item = &'a (Entry, bool)>) -> Self {
        let mut audition = Self::default();
        for (entry, struck) in ordered {
            if audition.begun.is_none() {
                audition.begun = Some(entry.at);
                audition.demo = entry.bench == DEMO_BENCH;
            }
            if audition.last.is_none() || audition.goes_on_with(&entry.body) {
                audition.last = Some(entry.at);
            }
            match &entry.body {
                Written::Newer { .. } => audition.newer += 1,
                Written::Known(body) if !struck => audition.fold_one(entry.id, entry.at, entry.bench, body),
                Written::Known(_) => {}
            }
        }
        audition
    }

    /// Whether a hold was passed by somebody.
    #[must_use]
    pub fn has_overridden(&self, hold: &str) -> bool {
        self.overrides.iter().any(|saved| saved.said.hold == hold && !saved.said.over)
    }

    /// The time with the sound up that goes on, if one does.
    #[must_use]
    pub fn sounding(&self) -> Option<&Session> {
        self.sessions.last().filter(|session| session.to.is_none())
    }

    fn fold_one(&mut self, entry: EntryId, at: DateTime<Utc>, by: BenchId, body: &Body) {
        match body {
            Body::Audition(body) => self.fold_setting(entry, at, body),
            Body::Listening(body) => self.fold_heard(entry, at, by, body),
            Body::Bench(body) => self.fold_bench(entry, at, body),
            Body::Take(TakeBody::TakeKept { sound, recorded }) => {
                let said =
                    Take { sound: sound.clone(), recorded: recorded.clone(), conditions: self.conditions_now(at, by) };
                self.takes.push(Saved { entry, at, said });
            }
            // What is heard at an install ends with it.
            Body::Install(InstallBody::FitDone { .. } | InstallBody::FitGivenUp { .. }) => self.sound_down(at),
            // Strike-outs were applied when the entries were put in order; the others are about things.
            Body::Install(_)
            | Body::Thing(_)
            | Body::Leads(_)
            | Body::Measured(_)
            | Body::Comparison(_)
            | Body::Blind(_)
            | Body::Stay(_)
            | Body::Strike(_) => {}
        }
    }

    /// What is done and told at the bench, as at an install.
    fn fold_bench(&mut self, entry: EntryId, at: DateTime<Utc>, body: &BenchBody) {
        match body {
            BenchBody::Ticked { tick, words } => self.tick(*tick, Saved { entry, at, said: words.clone() }),
            BenchBody::TickedTogether { ticks } => {
                for tick in ticks {
                    self.tick(*tick, Saved { entry, at, said: String::new() });
                }
            }
            BenchBody::Told { told } => {
                self.told.insert(told.question(), Saved { entry, at, said: *told });
            }
            BenchBody::LevelTold { level } => {
                if let Some(session) = self.sessions.last_mut().filter(|session| session.to.is_none()) {
                    session.tell(at, *level);
                }
                self.level = Some(Saved { entry, at, said: *level });
            }
            BenchBody::ListeningCorrected { session, minutes, level } => {
                // A log from elsewhere may say anything; a day has so many minutes.
                let in_a_day = |minutes: f64| (minutes.clamp(0.0, 1440.0) * 60_000.0).round() as i64;
                let time = minutes.map(|minutes| TimeDelta::milliseconds(in_a_day(minutes)));
                if let Some(session) = self.sessions.iter_mut().find(|one| one.entry == *session) {
                    session.correct(Saved { entry, at, said: () }, time, *level);
                }
            }
            BenchBody::PhotoTaken { look, photo } => {
                self.photos.push(Saved { entry, at, said: (*look, photo.clone()) });
            }
            BenchBody::IronLit {} => {
                self.iron_lit = Some(at);
                let before = self.ticks.iter().filter(|(tick, _)| Tick::IRON.contains(tick));
                self.ticks_when_lit = before.map(|(tick, saved)| (*tick, saved.clone())).collect();
            }
            BenchBody::IronOff {} => {
                self.iron_lit = None;
                // The next time it is lit, the list is read again.
                self.ticks.retain(|tick, _| !Tick::IRON.contains(tick));
            }
            BenchBody::CautionAcknowledged { caution, cause } => {
                self.acknowledged.insert(caution.clone(), Saved { entry, at, said: cause.clone() });
            }
            BenchBody::HoldOverridden { hold, why } => {
                let said = Override { hold: hold.clone(), why: why.clone(), over: false };
                self.overrides.push(Saved { entry, at, said });
            }
        }
    }

    /// What is heard.
    fn fold_heard(&mut self, entry: EntryId, at: DateTime<Utc>, by: BenchId, body: &ListeningBody) {
        match body {
            ListeningBody::Rated { mode, quality, value } => {
                let context = self.hear(entry, mode, at, by);
                let said = Rating { value: *value, led: self.looked.contains_key(mode), context };
                self.rated.insert((mode.clone(), *quality), Saved { entry, at, said });
            }
            ListeningBody::RatedAgainstFitted { mode, quality, than } => {
                self.hear(entry, mode, at, by);
                self.against.insert((mode.clone(), *quality), Saved { entry, at, said: *than });
            }
            ListeningBody::ReferenceLookedAt { reference, mode } => {
                self.looked.insert(mode.clone(), *reference);
            }
            ListeningBody::NoteWritten { mode, words } => {
                self.hear(entry, mode, at, by);
                self.notes.insert(mode.clone(), Saved { entry, at, said: words.clone() });
            }
            ListeningBody::AmpDescribed { words } => {
                if self.is_quiet() && !words.trim().is_empty() {
                    self.went_through(words);
                }
                self.amp = Some(Saved { entry, at, said: words.clone() });
            }
        }
    }

    /// Whether all of it was heard: it is taken down, or was ended.
    fn is_quiet(&self) -> bool {
        self.ticks.contains_key(&Tick::VolumeDown)
            || self.skipped.contains_key(&Step::TakeDown)
            || self.ended_early.is_some()
    }

    /// Whether it goes on with what is written. What is written down later of how it was makes it no longer: once the sound is down,
    /// only taking down and a new round do.
    fn goes_on_with(&self, written: &Written) -> bool {
        let down = self.ticks.contains_key(&Tick::VolumeDown) || self.ended_early.is_some();
        let of_a_round = |tick: &Tick| Tick::SOUND_UP.contains(tick) || Tick::TAKE_DOWN.contains(tick);
        let Some(body) = written.known() else { return !down };
        match body {
            Body::Bench(BenchBody::Ticked { tick, .. }) => !down || of_a_round(tick),
            Body::Bench(BenchBody::TickedTogether { ticks }) => !down || ticks.iter().any(of_a_round),
            Body::Audition(AuditionBody::EndedEarly { .. }) => self.ended_early.is_none(),
            Body::Audition(AuditionBody::StepSkipped { step, .. }) => !down || *step == Step::TakeDown,
            // Where taking down was left out, nothing says whether the sound is up: who rates or reads goes on.
            Body::Listening(ListeningBody::AmpDescribed { .. })
            | Body::Comparison(_)
            | Body::Take(_)
            | Body::Strike(_) => !self.is_quiet(),
            Body::Audition(_)
            | Body::Bench(_)
            | Body::Listening(_)
            | Body::Thing(_)
            | Body::Leads(_)
            | Body::Measured(_)
            | Body::Blind(_)
            | Body::Install(_)
            | Body::Stay(_) => !down,
        }
    }

    /// What was heard or recorded without any amplifier written down went through this one.
    fn went_through(&mut self, words: &str) {
        let heard = self.contexts.iter_mut().chain(self.conditions.values_mut());
        let recorded = self.takes.iter_mut().map(|saved| &mut saved.said.conditions);
        for conditions in heard.chain(recorded).filter(|conditions| conditions.amp.is_none()) {
            conditions.amp = Some(words.to_owned());
        }
    }

    fn tick(&mut self, tick: Tick, saved: Saved<String>) {
        // Sound that comes up again starts a new round: what was ticked of the last take-down no longer holds.
        if matches!(tick, Tick::DryAndWhole | Tick::VolumeAtZero) && self.ticks.contains_key(&Tick::VolumeDown) {
            if self.ticks.contains_key(&Tick::Lifted) && self.seating.take().is_some() {
                self.invalidate(Step::Seat, "The rig was lifted off since. Seat it again.".to_owned());
            }
            for earlier in Tick::TAKE_DOWN.iter().chain(&Tick::SOUND_UP) {
                self.ticks.remove(earlier);
            }
        }
        if Tick::SOUND_UP.contains(&tick) {
            self.invalidated.remove(&Step::SoundUp);
        }
        match tick {
            Tick::RaisedSlowly if self.sounding().is_none() => {
                let told = self.level.as_ref().map(|saved| saved.said);
                self.sessions.push(Session::begin(saved.entry, saved.at, told));
            }
            Tick::VolumeAtZero | Tick::VolumeDown | Tick::AmpQuiet | Tick::Unplugged | Tick::GuitarUnplugged => {
                self.sound_down(saved.at);
            }
            Tick::Lifted => self.stands_since = None,
            Tick::DryAndWhole => {
                for told in [BenchFact::Damp(false), BenchFact::Frayed(false)] {
                    let said = Saved { entry: saved.entry, at: saved.at, said: told };
                    self.told.insert(told.question(), said);
                }
            }
            Tick::RaisedSlowly
            | Tick::Standby
            | Tick::PluggedIn
            | Tick::SwitchedOn
            | Tick::LeadsFree
            | Tick::FinishLooked
            | Tick::BatteryOut
            | Tick::StringsSafe
            | Tick::FinishCovered
            | Tick::GlassesOn
            | Tick::AirMoving
            | Tick::StandReady => {}
        }
        self.ticks.insert(tick, saved);
    }

    /// The sound is down: a time that goes on ends here.
    fn sound_down(&mut self, at: DateTime<Utc>) {
        if let Some(session) = self.sessions.last_mut().filter(|session| session.to.is_none()) {
            session.to = Some(at);
        }
    }

    /// What is known of the bench by what was told, or by what was ticked: the list before the sound has the string ground
    /// clipped on, so whoever ticked that is not asked again.
    #[must_use]
    pub fn said_of(&self, question: Question) -> Option<BenchFact> {
        let ticked = || self.ticks.contains_key(&Tick::PluggedIn).then_some(BenchFact::StringGround(true));
        match (self.told.get(&question), question) {
            (Some(saved), _) => Some(saved.said),
            (None, Question::StringGround) => ticked(),
            (None, _) => None,
        }
    }

    /// What was said of a mode beside the pickup that is fitted: "beside what was fitted: brighter; the same in bass". Nothing
    /// where nothing was.
    #[must_use]
    pub fn beside_fitted(&self, mode: &Mode) -> Option<String> {
        let than = |quality: Quality| Some((quality, self.against.get(&(mode.clone(), quality))?.said));
        let against: Vec<_> = Quality::ALL.into_iter().filter_map(than).collect();
        (!against.is_empty()).then(|| format!("beside what was fitted: {}", against_in_words(&against)))
    }

    /// Whether a clip grounds the strings, as it was told or ticked last.
    pub(super) fn string_ground(&self) -> Option<bool> {
        match self.said_of(Question::StringGround)? {
            BenchFact::StringGround(is) => Some(is),
            _ => None,
        }
    }

    /// Something was heard: notes what in, and answers its place in [`Audition::contexts`].
    fn hear(&mut self, entry: EntryId, mode: &Mode, at: DateTime<Utc>, by: BenchId) -> usize {
        // Without the list before it, the first thing that is heard tells that the sound is up.
        let down = self.ticks.contains_key(&Tick::VolumeDown) || self.ended_early.is_some();
        if self.skipped.contains_key(&Step::SoundUp) && self.sounding().is_none() && !down {
            let told = self.level.as_ref().map(|saved| saved.said);
            self.sessions.push(Session::begin(entry, at, told));
        }
        self.invalidated.remove(&Step::Listen);
        let conditions = self.conditions_now(at, by);
        if self.contexts.last().is_none_or(|last| !last.is_as(&conditions)) {
            self.contexts.push(conditions.clone());
        }
        self.conditions.insert(mode.clone(), conditions);
        self.contexts.len() - 1
    }

    /// What something is heard or recorded in now.
    fn conditions_now(&self, at: DateTime<Utc>, by: BenchId) -> Conditions {
        let told = |question| self.told.get(&question).map(|saved| saved.said);
        Conditions {
            choice: self.choice.as_ref().map(|saved| saved.said.clone()),
            mounting: self.mounting.as_ref().map(|saved| saved.said),
            gaps: self.gaps.as_ref().map(|saved| saved.said.clone()),
            amp: self.amp.as_ref().map(|saved| saved.said.clone()).filter(|words| !words.trim().is_empty()),
            amp_kind: told(Question::Amp)
                .and_then(|told| if let BenchFact::Amp(kind) = told { Some(kind) } else { None }),
            level: self.sounding().and_then(Session::level).or(self.level.as_ref().map(|saved| saved.said)),
            room: self.readings.values().filter_map(|taken| taken.said.room).next_back(),
            tuned: self.tuned.as_ref().map(|saved| saved.said.clone()),
            installed: told(Question::Installed)
                .and_then(|told| if let BenchFact::Installed(is) = told { Some(is) } else { None }),
            cable: told(Question::Cable).and_then(|told| if let BenchFact::Cable(is) = told { Some(is) } else { None }),
            string_ground: self.string_ground(),
            load: told(Question::LoadResistor)
                .and_then(|told| if let BenchFact::LoadResistor(is) = told { Some(is) } else { None }),
            picofarads: told(Question::CablePicofarads)
                .and_then(|told| if let BenchFact::CablePicofarads(is) = told { Some(is) } else { None }),
            input: told(Question::Input).and_then(|told| if let BenchFact::Input(is) = told { Some(is) } else { None }),
            by,
            at,
        }
    }
}
