//! The log as a whole: looked through, told as a history, checked, and erased from.

mod history;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::Refusal;
use crate::ask::acts::{Asked, Does};
use crate::ask::bench::Bench;
use crate::ask::load::{demo_things, with_their_auditions};
use crate::ask::reply::Reply;
use crate::ask::striking::struck_reply;
use crate::logbook::{Find, Lists, Log, is_shared};
use crate::record::entry::About;
use crate::record::guitar::GuitarId;
use crate::record::pickup::PickupId;

/// The most that is looked for at once, in characters.
const LONGEST_WORDS: usize = 200;

/// What is asked of the log as a whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/log.ts")]
pub enum LogAsk {
    /// A page of the logbook.
    Logbook {
        /// What to look for.
        find: Find,
    },
    /// What can be chosen to look for in the logbook.
    Choosable {},
    /// Everything that was done with a pickup, a page of its auditions at a time.
    PickupHistory {
        /// Which.
        id: PickupId,
        /// Go on after this place of the page before.
        #[ts(type = "number | null")]
        after: Option<i64>,
    },
    /// Everything that was done with a guitar, a page of its auditions at a time.
    GuitarHistory {
        /// Which.
        id: GuitarId,
        /// Go on after this place of the page before.
        #[ts(type = "number | null")]
        after: Option<i64>,
    },
    /// Auditions and permanent installs that stand in no list because their beginning was struck out.
    Struck {},
    /// What would go if these things were erased.
    WhatWouldGo {
        /// The things.
        things: Vec<About>,
    },
    /// Erases things and all that was written about them, for good.
    Erase {
        /// The things.
        things: Vec<About>,
    },
    /// Checks the whole log file.
    CheckLog {},
}

impl Asked for LogAsk {
    fn does(&self) -> Does {
        match self {
            Self::Logbook { .. }
            | Self::Choosable {}
            | Self::PickupHistory { .. }
            | Self::GuitarHistory { .. }
            | Self::Struck {}
            | Self::WhatWouldGo { .. } => Does::Look,
            // A check reads the file for itself, and all of it.
            Self::Erase { .. } | Self::CheckLog {} => Does::Change,
        }
    }

    fn answer(self, bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::Logbook { find } => {
                if find.words.chars().count() > LONGEST_WORDS {
                    return Err(Refusal::unclear("find.words", "Look for fewer words at once."));
                }
                Ok(Reply::Logbook { found: log.find(&find)? })
            }
            Self::Choosable {} => history::choosable_reply(log, bench.id()),
            Self::PickupHistory { id, after } => history::of_pickup(log, id, after),
            Self::GuitarHistory { id, after } => history::of_guitar(log, id, after),
            Self::Struck {} => struck_reply(log),
            Self::WhatWouldGo { things } => what_would_go(log, &things),
            Self::Erase { things } => {
                if things.is_empty() {
                    return Err(Refusal::unclear("things", "Say what is to be erased. Nothing was erased."));
                }
                let goes = with_their_auditions(log, &things)?;
                let sentence = if bench.erase(log, &goes.iter().copied().collect::<Vec<_>>(), now)? {
                    "Erased for good, from the log and from its copies on this bench, and on every other bench of the shared log as \
                     soon as it meets it. Bundles and backups keep what they have."
                } else {
                    "Erased for good, from the log and from its copies on this bench. Other phones and backups keep what they have."
                };
                Ok(Reply::Done { sentence: sentence.to_owned() })
            }
            Self::CheckLog {} => {
                log.check()?;
                Ok(Reply::Done { sentence: "The log is sound.".to_owned() })
            }
        }
    }

    fn once_made_good(&self) -> Option<Reply> {
        let sentence = "The log was damaged. It was set aside, and one made of all that could be read is open now. \
                        The Bench page says what came of it.";
        matches!(self, Self::CheckLog {}).then(|| Reply::Done { sentence: sentence.to_owned() })
    }
}

fn what_would_go(log: &mut Log, things: &[About]) -> Result<Reply, Refusal> {
    let mut sentences = Vec::new();
    if things.is_empty() {
        // Without a thing, the question is about the demo bench.
        let (goes, stays) = demo_things(log)?;
        let auditions = goes.iter().filter(|about| matches!(about, About::Audition(_))).count();
        sentences.push(format!("{} invented things and {auditions} invented auditions go.", goes.len() - auditions));
        if !stays.is_empty() {
            sentences.push(format!(
                "{} of the invented things stay, because auditions of your own use them. Put them away under Drawer, Guitars or Rigs.",
                stays.len()
            ));
        }
        sentences.push("The daily copies of the log stay as they are.".to_owned());
    } else {
        let all = with_their_auditions(log, things)?;
        let auditions = all.iter().filter(|about| matches!(about, About::Audition(_))).count();
        let mut entries = 0;
        for about in &all {
            entries += log.about(*about)?.len();
        }
        let installs = all.iter().filter(|about| matches!(about, About::Fit(_))).count();
        sentences.push(match auditions {
            0 => format!("{entries} entries go, and no audition with them."),
            1 => format!("{entries} entries go, one audition among them."),
            count => format!("{entries} entries go, {count} auditions among them."),
        });
        match installs {
            0 => {}
            1 => sentences.push("One fit sheet goes with them.".to_owned()),
            count => sentences.push(format!("{count} fit sheets go with them.")),
        }
        match log.photos_of(&all.iter().copied().collect::<Vec<_>>())?.len() {
            0 => {}
            1 => sentences.push("One photo goes with them, unless another audition holds it too.".to_owned()),
            count => sentences.push(format!("{count} photos go with them, unless other auditions hold them too.")),
        }
        match log.takes_of(&all.iter().copied().collect::<Vec<_>>())?.len() {
            0 => {}
            1 => sentences.push("One take goes with them, unless another audition holds it too.".to_owned()),
            count => sentences.push(format!("{count} takes go with them, unless other auditions hold them too.")),
        }
        sentences.push("The copies of the log on this bench are made anew, so that nothing of it stays behind. It can't be undone.".to_owned());
        if is_shared(log.folder())? {
            sentences
                .push("Every bench that shares this log erases it too, and asks first where it is much.".to_owned());
        }
        if log.set_aside() > 0 {
            sentences.push("Damaged logs that were set aside stay as they are. To be rid of what they hold, delete the files whose names begin with damaged.".to_owned());
        }
    }
    Ok(Reply::WouldGo { sentences })
}
