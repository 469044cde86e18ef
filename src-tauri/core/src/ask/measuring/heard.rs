//! What a recorded sweep or recorded taps tell of a coil, worked out without the log in hand.

use super::asks::{Heard, MeasureAct, Measuring};
use crate::ask::bench::Bench;
use crate::ask::forms::measured::{RingForm, SweepForm};
use crate::ask::reply::Reply;
use crate::ask::stroke::is_written;
use crate::ask::takes::{TELLS_NOTHING, measured, take_of};
use crate::ask::{Code, Refusal};
use crate::logbook::Trouble;
use crate::logbook::files::File;
use crate::physics::measured::coil_answers;
use crate::record::entry::About;
use crate::record::measured::{Rung, Swept};
use crate::record::names::EntryId;
use crate::record::pickup::PickupId;
use crate::record::quantity::Hertz;
use crate::record::take::{Flaw, KeptSound};
use crate::takes::file::Unreadable;
use crate::takes::ring::{self, Ringing, ringing};
use crate::takes::sweep::{self, Answer, answer};
use crate::takes::tap;

/// Any, to read what was typed beside it.
const ANY: Ringing = Ringing { swings: Hertz(1000.0), swings_spread: 0.01, decay: 1000.0, decay_spread: 0.01 };

impl Bench {
    /// Writes down what was measured of a pickup's coils.
    pub(in crate::ask) fn answer_measuring(&self, act: MeasureAct) -> Result<Reply, Refusal> {
        let shelf = self.take_shelf();
        let heard = match &act {
            MeasureAct::KeepSweep { entry, pickup, take, form } => {
                let sound = self.unheard(*entry, *pickup, *take)?;
                sound
                    .map(|sound| measured(&shelf, &sound, self.swept(&sound, *take, form)).map(Heard::Swept))
                    .transpose()?
            }
            MeasureAct::KeepRinging { entry, pickup, take, form } => {
                let sound = self.unheard(*entry, *pickup, *take)?;
                sound
                    .map(|sound| measured(&shelf, &sound, self.rung(&sound, *take, form)).map(Heard::Rung))
                    .transpose()?
            }
            MeasureAct::MeterComponent { .. } | MeasureAct::StrikeMeasured { .. } => None,
        };
        self.answer_at_log(Measuring { act, heard })
    }

    /// The sound of a take of this pickup; nothing where what it tells is written already, and was asked again after a dropped
    /// connection.
    fn unheard(&self, entry: EntryId, pickup: PickupId, take: EntryId) -> Result<Option<KeptSound>, Refusal> {
        let about = About::Pickup(pickup);
        let log = self.lock();
        Ok(if is_written(&log, entry, about)? { None } else { Some(take_of(&log, about, take)?.0) })
    }

    fn swept(&self, sound: &KeptSound, take: EntryId, form: &SweepForm) -> Result<Swept, Refusal> {
        // What was typed is read before anybody waits.
        form.read(take, Vec::new(), false)?;
        let Answer { points, turned } = self.heard_sweep(sound)?;
        let swept = form.read(take, points, turned)?;
        if !coil_answers(&swept) {
            return Err(refused(
                "Nothing rings in what came back: a clip is off, or the two touch. Read the coil with the meter at the \
                 clips, then sweep again.",
                "sweep_no_coil",
            ));
        }
        Ok(swept)
    }

    fn heard_sweep(&self, sound: &KeptSound) -> Result<Answer, Refusal> {
        if let Some(part) = altered(sound) {
            let bad = if part { sweep::Bad::CutOff } else { sweep::Bad::Lossy };
            return Err(refused(&bad.sentence(), bad.code()));
        }
        answer(self.sound_of(sound)?).map_err(|bad| match bad {
            sweep::Bad::Unreadable { why: Unreadable::Unread { why } } => Trouble::Disk(why).into(),
            bad => refused(&bad.sentence(), bad.code()),
        })
    }

    fn rung(&self, sound: &KeptSound, take: EntryId, form: &RingForm) -> Result<Rung, Refusal> {
        form.read(take, ANY)?;
        if altered(sound).is_some() {
            let bad = ring::Bad::from(tap::Bad::Altered);
            return Err(refused(&bad.sentence(), bad.code()));
        }
        let told = ringing(self.sound_of(sound)?).map_err(|bad| match bad {
            ring::Bad::NoTaps { why: tap::Bad::Unreadable { why: Unreadable::Unread { why } } } => {
                Trouble::Disk(why).into()
            }
            bad => refused(&bad.sentence(), bad.code()),
        })?;
        form.read(take, told)
    }

    fn sound_of(&self, sound: &KeptSound) -> Result<File, Refusal> {
        self.take_shelf().open(&sound.take)?.ok_or_else(|| {
            let sentence = "This take is not beside the log. It may have been erased, or changed by another program.";
            Refusal::new(Code::NotFound, sentence)
        })
    }
}

/// Whether a part is missing, or else what is hard to hear was thrown away; nothing where neither is so.
fn altered(sound: &KeptSound) -> Option<bool> {
    sound.flaws.iter().find_map(|flaw| match flaw {
        Flaw::CutOff { .. } | Flaw::Damaged { .. } => Some(true),
        Flaw::Lossy { .. } | Flaw::FromVideo => Some(false),
        Flaw::NotNumbers { .. } | Flaw::FewBits { .. } => None,
    })
}

fn refused(sentence: &str, code: &str) -> Refusal {
    Refusal { code: Code::Take, sentence: format!("{sentence} {TELLS_NOTHING}"), field: Some(code.to_owned()) }
}
