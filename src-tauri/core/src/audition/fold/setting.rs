//! What is chosen, set up and measured, and what each of it makes worthless.

use chrono::{DateTime, Utc};

use super::{Audition, MEASURED_AGAIN, MeterRead};
use crate::audition::saved::Saved;
use crate::physics::meter;
use crate::record::audition::{Choice, HookedUp, Step};
use crate::record::body::AuditionBody;
use crate::record::facts::Question;
use crate::record::meter::{Care, Probe};
use crate::record::mounting::Mounting;
use crate::record::names::EntryId;
use crate::record::rig::Mode;
use crate::record::seat::{FinishAnswer, Seating};
use crate::record::words::capital;
use crate::safety::holds::SafetyHold;

impl Audition {
    /// What is chosen, set up and measured.
    pub(super) fn fold_setting(&mut self, entry: EntryId, at: DateTime<Utc>, body: &AuditionBody) {
        match body {
            AuditionBody::Chosen { choice } => self.choose(entry, at, choice),
            AuditionBody::Mounted { mounting } => self.mount(entry, at, *mounting),
            AuditionBody::HookedUp { hooked } => self.hook_up(entry, at, hooked),
            AuditionBody::ReadingTaken { mode, reading, typed, room, sure } => {
                let said = MeterRead { reading: *reading, typed: typed.clone(), room: *room };
                self.read_mode(mode, doubtful(typed, *sure), Saved { entry, at, said });
            }
            AuditionBody::Probed { probe, reading, typed, sure } => {
                let said = meter::Taken::new(probe.clone(), *reading).typed(doubtful(typed, *sure));
                self.probe(typed, Saved { entry, at, said });
            }
            AuditionBody::Mended { .. } => {
                self.retire_readings("something was mended", "Something was mended after the readings. Measure again.");
                self.drop_sound_up(
                    "Something was mended after the sound was up. Volume to zero, and through the order again.",
                );
            }
            AuditionBody::FinishAsked { answer } => self.ask_finish(entry, at, answer),
            AuditionBody::Seated { seating } => self.seat(entry, at, *seating),
            AuditionBody::GapsMeasured { gaps } => {
                self.invalidated.remove(&Step::Gaps);
                self.gaps = Some(Saved { entry, at, said: gaps.clone() });
            }
            AuditionBody::GapsAimed { aim } => self.aim = aim.map(|said| Saved { entry, at, said }),
            AuditionBody::LevelRead { level } => self.levels.push(Saved { entry, at, said: *level }),
            // No notes: back to what the guitar's record says.
            AuditionBody::Tuned { notes } => {
                self.tuned = (!notes.is_empty()).then(|| Saved { entry, at, said: notes.clone() });
            }
            AuditionBody::FinalPlaceChosen { place } => {
                self.final_place = Some(Saved { entry, at, said: place.clone() });
            }
            AuditionBody::StepSkipped { step, why } => {
                if *step == Step::TakeDown {
                    self.sound_down(at);
                }
                self.skipped.insert(*step, Saved { entry, at, said: why.clone() });
            }
            AuditionBody::StepTakenUp { step } => {
                self.skipped.remove(step);
            }
            AuditionBody::EndedEarly { why } => {
                self.sound_down(at);
                self.ended_early = Some(Saved { entry, at, said: why.clone() });
            }
        }
    }

    fn mount(&mut self, entry: EntryId, at: DateTime<Utc>, mounting: Mounting) {
        if self.mounting.as_ref().is_some_and(|before| before.said != mounting) {
            self.drop_gaps("The pickup was turned after the gaps were measured. Measure them again.");
        }
        self.invalidated.remove(&Step::WhichWay);
        self.mounting = Some(Saved { entry, at, said: mounting });
    }

    fn hook_up(&mut self, entry: EntryId, at: DateTime<Utc>, hooked: &HookedUp) {
        let changed = self.hooked.get(&hooked.terminal).is_none_or(|before| before.said.leads != hooked.leads);
        // A lead that was clamped anew may hold where it didn't, and the other way round.
        let since = if changed { "a lead was moved" } else { "a lead was clamped anew" };
        self.retire_readings(since, &format!("{}. Measure again.", capital(&format!("{since} after the readings"))));
        if changed {
            self.drop_sound_up("A lead was moved after the sound was up. Volume to zero, and through the order again.");
        }
        self.invalidated.remove(&Step::Leads);
        self.take_out(hooked);
        self.hooked.insert(hooked.terminal, Saved { entry, at, said: hooked.clone() });
    }

    /// A lead is in one terminal: put into another, it comes out of the one before. What stays in there has to be tugged anew, and
    /// where nothing stays nobody has said yet what goes in instead.
    fn take_out(&mut self, hooked: &HookedUp) {
        self.hooked.retain(|terminal, other| {
            let before = other.said.leads.len();
            if *terminal != hooked.terminal {
                other.said.leads.retain(|lead| !hooked.leads.contains(lead));
            }
            let taken = other.said.leads.len() < before;
            other.said.tugged &= !taken;
            !(taken && other.said.leads.is_empty())
        });
    }

    /// A mode was measured at the output.
    fn read_mode(&mut self, mode: &Mode, doubtful: &str, read: Saved<MeterRead>) {
        self.invalidated.remove(&Step::Meter);
        // Measured again: something may have been mended in between, so what was probed before says nothing now.
        let is_at = |probe: &Probe| matches!(probe, Probe::Output { mode: other, .. } if other == mode);
        if self.evidence.iter().any(|saved| is_at(&saved.said.probe)) {
            self.retire(MEASURED_AGAIN, |probe| {
                !matches!(probe, Probe::Output { care: Care::AsUsual, .. }) || is_at(probe)
            });
        }
        let said = meter::Taken::at_output(mode.clone(), read.said.reading).typed(doubtful);
        self.evidence.push(Saved { entry: read.entry, at: read.at, said });
        self.readings.insert(mode.clone(), read);
    }

    /// Something was measured that a verdict asked for; at the output it is the mode's reading as well.
    fn probe(&mut self, typed: &str, taken: Saved<meter::Taken>) {
        if let Probe::Output { mode, .. } = &taken.said.probe {
            self.invalidated.remove(&Step::Meter);
            let room = self.readings.get(mode).and_then(|saved| saved.said.room);
            let said = MeterRead { reading: taken.said.reading, typed: typed.to_owned(), room };
            self.readings.insert(mode.clone(), Saved { entry: taken.entry, at: taken.at, said });
        }
        self.evidence.push(taken);
    }

    fn ask_finish(&mut self, entry: EntryId, at: DateTime<Utc>, answer: &FinishAnswer) {
        let stands_on = |answer: &FinishAnswer| (answer.kind, answer.feet);
        if self.finish.as_ref().is_some_and(|before| stands_on(&before.said) != stands_on(answer)) {
            self.end_overrides(&[SafetyHold::BareFeetOnFinish]);
        }
        self.finish = Some(Saved { entry, at, said: answer.clone() });
    }

    fn seat(&mut self, entry: EntryId, at: DateTime<Utc>, seating: Seating) {
        if self.seating.is_some() {
            self.drop_gaps("The rig was seated again after the gaps were measured. Measure them again.");
        }
        self.invalidated.remove(&Step::Seat);
        // Seated again without having been lifted, it has stood there all the time.
        self.stands_since = self.stands_since.or(Some(at));
        self.seating = Some(Saved { entry, at, said: seating });
    }

    fn choose(&mut self, entry: EntryId, at: DateTime<Utc>, choice: &Choice) {
        if let Some(before) = self.choice.as_ref().map(|saved| saved.said.clone()) {
            if before.pickup != choice.pickup || before.rig != choice.rig {
                self.change_pickup_or_rig(&before, choice);
            }
            if before.guitar != choice.guitar {
                self.change_guitar();
            }
            if before.guitar != choice.guitar || before.sides() != choice.sides() {
                self.drop_gaps("The place was changed. Measure the gaps again.");
                self.levels.clear();
            }
        }
        self.choice = Some(Saved { entry, at, said: choice.clone() });
    }

    fn change_pickup_or_rig(&mut self, before: &Choice, choice: &Choice) {
        let what = if before.pickup == choice.pickup { "rig" } else { "pickup" };
        self.end_overrides(&[SafetyHold::UnexplainedShort, SafetyHold::UnexplainedOpen]);
        if before.pickup != choice.pickup {
            self.told.remove(&Question::Potted);
        }
        if before.rig != choice.rig {
            self.end_overrides(&[SafetyHold::BareFeetOnFinish]);
        }
        if self.mounting.take().is_some() {
            self.invalidate(Step::WhichWay, format!("The {what} was changed. Look again which way round it lies."));
        }
        if !self.hooked.is_empty() {
            self.hooked.clear();
            self.invalidate(Step::Leads, format!("The {what} was changed. Hook up the leads again."));
        }
        self.retire_readings("", &format!("The {what} was changed. Measure again."));
        // They were another pickup's, or another rig's.
        self.before.clear();
        self.drop_gaps(&format!("The {what} was changed. Measure the gaps again."));
        self.levels.clear();
        self.drop_sound_up(&format!("The {what} was changed. Volume to zero, and through the order again."));
        self.drop_heard(&format!("The {what} was changed. What was heard before belongs to the earlier choice."));
    }

    fn change_guitar(&mut self) {
        self.finish = None;
        self.tuned = None;
        self.final_place = None;
        self.stands_since = None;
        self.told.remove(&Question::Battery);
        self.told.remove(&Question::Installed);
        self.end_overrides(&[SafetyHold::FinishNotAsked, SafetyHold::BareFeetOnFinish]);
        if self.seating.take().is_some() {
            self.invalidate(Step::Seat, "The guitar was changed. Ask about this one's finish.".to_owned());
        }
        self.drop_heard("The guitar was changed. What was heard before belongs to the earlier choice.");
    }
}

/// The letters that a slip of the pen may be in: none in what somebody was asked about already.
fn doubtful(typed: &str, sure: bool) -> &str {
    if sure { "" } else { typed }
}
