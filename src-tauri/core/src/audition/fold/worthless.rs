//! What a later change makes worthless, and what it says of that.

use super::{Audition, Before};
use crate::audition::saved::Saved;
use crate::physics::meter;
use crate::record::audition::Step;
use crate::record::meter::Probe;
use crate::record::tick::Tick;
use crate::safety::holds::SafetyHold;

impl Audition {
    /// What these overrides were about is no longer there. They stay readable and pass nothing more.
    pub(super) fn end_overrides(&mut self, holds: &[SafetyHold]) {
        for saved in &mut self.overrides {
            saved.said.over |= holds.iter().any(|hold| hold.id() == saved.said.hold);
        }
    }

    pub(super) fn invalidate(&mut self, step: Step, sentence: String) {
        self.invalidated.insert(step, sentence);
    }

    /// What was measured tells of how it was before.
    pub(super) fn retire_readings(&mut self, since: &'static str, sentence: &str) {
        self.retire(since, |_| true);
        if !self.readings.is_empty() {
            self.readings.clear();
            self.invalidate(Step::Meter, sentence.to_owned());
        }
    }

    pub(super) fn retire(&mut self, since: &'static str, which: impl Fn(&Probe) -> bool) {
        let (old, still): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.evidence).into_iter().partition(|saved| which(&saved.said.probe));
        self.evidence = still;
        let before = |saved: Saved<meter::Taken>| {
            let said = Before { taken: saved.said, since };
            Saved { entry: saved.entry, at: saved.at, said }
        };
        self.before.extend(old.into_iter().map(before));
    }

    pub(super) fn drop_gaps(&mut self, sentence: &str) {
        if self.gaps.take().is_some() {
            self.invalidate(Step::Gaps, sentence.to_owned());
        }
    }

    pub(super) fn drop_sound_up(&mut self, sentence: &str) {
        let before = self.ticks.len();
        self.ticks.retain(|tick, _| !Tick::SOUND_UP.contains(tick));
        if self.ticks.len() < before {
            self.invalidate(Step::SoundUp, sentence.to_owned());
        }
    }

    pub(super) fn drop_heard(&mut self, sentence: &str) {
        if !self.rated.is_empty() || !self.notes.is_empty() || !self.against.is_empty() {
            self.rated.clear();
            self.against.clear();
            self.notes.clear();
            self.conditions.clear();
            self.contexts.clear();
            self.invalidate(Step::Listen, sentence.to_owned());
        }
    }
}
