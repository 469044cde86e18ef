//! What a recorded sweep tells, worked out without the log in hand.

use super::asks::{MeasureAct, Measuring};
use crate::ask::bench::Bench;
use crate::ask::reply::Reply;
use crate::ask::stroke::is_written;
use crate::ask::takes::TELLS_NOTHING;
use crate::ask::takes::take_of;
use crate::ask::{Code, Refusal};
use crate::logbook::Trouble;
use crate::physics::measured::coil_answers;
use crate::record::entry::About;
use crate::record::take::{Flaw, KeptSound};
use crate::takes::sweep::{Answer, Bad, answer};

impl Bench {
    /// Writes down what was measured of a pickup's coils.
    pub(in crate::ask) fn answer_measuring(&self, act: MeasureAct) -> Result<Reply, Refusal> {
        let swept = match &act {
            MeasureAct::KeepSweep { entry, pickup, take, form } => {
                let about = About::Pickup(*pickup);
                let found = {
                    let log = self.lock();
                    if is_written(&log, *entry, about)? { None } else { Some(take_of(&log, about, *take)?.0) }
                };
                match found {
                    // Asked again after a dropped connection.
                    None => None,
                    Some(sound) => {
                        // What was typed is read before anybody waits.
                        form.read(*take, Vec::new(), false)?;
                        let Answer { points, turned } = self.heard_sweep(&sound)?;
                        let swept = form.read(*take, points, turned)?;
                        if !coil_answers(&swept) {
                            return Err(refused(
                                "Nothing rings in what came back: a clip is off, or the two touch. Read the coil with the meter at the \
                                 clips, then sweep again.",
                                "sweep_no_coil",
                            ));
                        }
                        Some(swept)
                    }
                }
            }
            MeasureAct::MeterComponent { .. } | MeasureAct::StrikeMeasured { .. } => None,
        };
        self.answer_at_log(Measuring { act, swept })
    }

    fn heard_sweep(&self, sound: &KeptSound) -> Result<Answer, Refusal> {
        for flaw in &sound.flaws {
            let bad = match flaw {
                Flaw::CutOff { .. } | Flaw::Damaged { .. } => Bad::CutOff,
                Flaw::Lossy { .. } | Flaw::FromVideo => Bad::Lossy,
                Flaw::NotNumbers { .. } | Flaw::FewBits { .. } => continue,
            };
            return Err(refused(&bad.sentence(), bad.code()));
        }
        let file = self.take_shelf().open(&sound.take)?.ok_or_else(|| {
            let sentence = "This take is not beside the log. It may have been erased, or changed by another program.";
            Refusal::new(Code::NotFound, sentence)
        })?;
        answer(file).map_err(|bad| match bad {
            Bad::Unreadable { why: crate::takes::file::Unreadable::Unread { why } } => Trouble::Disk(why).into(),
            bad => refused(&bad.sentence(), bad.code()),
        })
    }
}

fn refused(sentence: &str, code: &str) -> Refusal {
    Refusal { code: Code::Take, sentence: format!("{sentence} {TELLS_NOTHING}"), field: Some(code.to_owned()) }
}
