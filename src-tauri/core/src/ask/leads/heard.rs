//! What recorded taps tell, worked out without the log in hand.

use super::asks::{Finding, LeadsAct};
use crate::ask::bench::Bench;
use crate::ask::reply::Reply;
use crate::ask::stroke::is_written;
use crate::ask::takes::{TELLS_NOTHING, measured, take_of};
use crate::ask::{Code, Refusal};
use crate::logbook::Trouble;
use crate::record::entry::About;
use crate::record::take::{Flaw, KeptSound};
use crate::takes::file::Unreadable;
use crate::takes::tap::{Bad, By, Taps, taps};

impl Bench {
    /// Writes down what was found out about a pickup's leads.
    pub(in crate::ask) fn answer_leads(&self, act: LeadsAct) -> Result<Reply, Refusal> {
        let heard = match &act {
            LeadsAct::KeepTaps { entry, pickup, take, .. } | LeadsAct::CalibrateInput { entry, pickup, take, .. } => {
                let about = About::Pickup(*pickup);
                let found = {
                    let log = self.lock();
                    if is_written(&log, *entry, about)? { None } else { Some(take_of(&log, about, *take)?.0) }
                };
                // Asked again after a dropped connection, nothing is heard anew.
                let by = if matches!(act, LeadsAct::CalibrateInput { .. }) { By::Cell } else { By::Steel };
                found.map(|sound| measured(&self.take_shelf(), &sound, self.heard_taps(&sound, by))).transpose()?
            }
            _ => None,
        };
        self.answer_at_log(Finding { act, heard })
    }

    fn heard_taps(&self, sound: &KeptSound, by: By) -> Result<Taps, Refusal> {
        let altered = |flaw: &Flaw| {
            matches!(flaw, Flaw::CutOff { .. } | Flaw::Damaged { .. } | Flaw::Lossy { .. } | Flaw::FromVideo)
        };
        if sound.flaws.iter().any(altered) {
            return Err(refused(&Bad::Altered, by));
        }
        let file = self.take_shelf().open(&sound.take)?.ok_or_else(|| {
            let sentence = "This take is not beside the log. It may have been erased, or changed by another program.";
            Refusal::new(Code::NotFound, sentence)
        })?;
        taps(file, by).map_err(|bad| match bad {
            Bad::Unreadable { why: Unreadable::Unread { why } } => Trouble::Disk(why).into(),
            bad => refused(&bad, by),
        })
    }
}

fn refused(bad: &Bad, by: By) -> Refusal {
    let sentence = format!("{} {TELLS_NOTHING}", bad.sentence(by));
    Refusal { code: Code::Take, sentence, field: Some(bad.code().to_owned()) }
}
