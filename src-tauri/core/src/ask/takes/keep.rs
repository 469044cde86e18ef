//! Keeping a take: it comes as a file, part after part, so it has an entrance of its own beside [`Bench::ask`].

use std::cell::RefCell;

use chrono::{DateTime, Utc};
use serde::Deserialize;

use super::asks::TakeAsk;
use super::lines::{take_of, takes_reply, tuning_now};
use super::telling;
use crate::ask::acts::{Asked, Does, MOST_ANEW, is_version_7};
use crate::ask::bench::Bench;
use crate::ask::forms::take::RecordedForm;
use crate::ask::load::chosen_mode;
use crate::ask::reply::Reply;
use crate::ask::stroke::{is_written, write_bodies};
use crate::ask::{Code, Refusal};
use crate::logbook::files::File;
use crate::logbook::takes::{Arriving, Shelf};
use crate::logbook::{Log, Ordered, Trouble};
use crate::record::body::{Body, TakeBody};
use crate::record::content::ByContent as _;
use crate::record::entry::About;
use crate::record::names::EntryId;
use crate::record::take::{KeptSound, LARGEST, Recorded, TakeName};
use crate::takes::file::Unreadable;
use crate::takes::keep::{NotKept, check, keep};
use crate::takes::{self};

/// The most takes that one audition, install or pickup may have.
const MOST: usize = 400;

/// What a take is to be kept of, and as what it was made.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TakePlace {
    /// The new entry.
    pub entry: EntryId,
    /// The audition, the install or the pickup.
    pub about: About,
    /// How it was made, as typed.
    pub recorded: RecordedForm,
}

/// A file that comes in, part after part.
#[derive(Debug)]
pub struct ReceivingTake {
    arriving: Arriving,
    bytes: u64,
}

impl ReceivingTake {
    /// Takes the next part.
    ///
    /// # Errors
    /// A [`Refusal`] when it grew too large, or there is no room.
    pub fn take(&mut self, part: &[u8]) -> Result<(), Refusal> {
        self.bytes += part.len() as u64;
        if self.bytes > LARGEST {
            return Err(NotKept::Unreadable(Unreadable::TooLarge { bytes: self.bytes }).into());
        }
        Ok(self.arriving.write(part)?)
    }
}

/// Looks whether a take may be kept, before anybody waits for it.
#[derive(Clone, Copy)]
struct TakeReady<'a> {
    entry: EntryId,
    about: About,
    recorded: &'a Recorded,
    /// How it is to be heard; nothing where it is written already.
    asked: &'a RefCell<Option<takes::Asked>>,
}

impl Asked for TakeReady<'_> {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, bench: &Bench, log: &mut Log, _: DateTime<Utc>) -> Result<Reply, Refusal> {
        let Self { entry, about, recorded, asked } = self;
        if !is_written(log, entry, about)? {
            may_have_one_more(log, about, recorded)?;
            let tuning = tuning_now(log, about)?;
            *asked.borrow_mut() = Some(takes::Asked { played: recorded.played, tuning });
        }
        takes_reply(log, &bench.take_shelf(), Some(about))
    }
}

/// A take that lies on the shelf, to be written down.
#[derive(Clone, Copy)]
struct TakeLaid<'a> {
    entry: EntryId,
    about: About,
    recorded: &'a Recorded,
    sound: &'a KeptSound,
}

impl Asked for TakeLaid<'_> {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let Self { entry, about, recorded, sound } = self;
        let shelf = bench.take_shelf();
        for _ in 0..MOST_ANEW {
            let decided = log.stamp()?;
            if is_written(log, entry, about)? {
                return takes_reply(log, &shelf, Some(about));
            }
            may_have_one_more(log, about, recorded)?;
            let before = log.about(about)?;
            if let Err(twice) = is_another(about, &before, sound, recorded) {
                // It is named by an entry, whoever laid it down last.
                shelf.keep(&sound.take)?;
                return Err(twice);
            }
            let body = Body::Take(TakeBody::TakeKept { sound: sound.clone(), recorded: recorded.clone() });
            if write_bodies(log, entry, about, vec![body], &before, now, decided)? {
                shelf.keep(&sound.take)?;
                return takes_reply(log, &shelf, Some(about));
            }
        }
        Err(Trouble::Busy.into())
    }
}

/// Refuses one take more of what is not there, in a mode that was not chosen, or of what has enough.
fn may_have_one_more(log: &Log, about: About, recorded: &Recorded) -> Result<(), Refusal> {
    if !matches!(about, About::Audition(_) | About::Fit(_) | About::Pickup(_)) {
        return Err(Refusal::unclear("about", "A take is of an audition, an install or a pickup. Nothing was kept."));
    }
    let before = log.about(about)?;
    if before.is_empty() {
        return Err(Refusal::not_found(match about {
            About::Fit(_) => "fit sheet",
            other => other.word(),
        }));
    }
    if let (About::Audition(_), Some(mode)) = (about, &recorded.mode) {
        chosen_mode(&before, mode)?;
    }
    let kept = before.iter().filter(|(entry, _)| matches!(entry.body.known(), Some(Body::Take(_)))).count();
    if kept >= MOST {
        let sentence = format!("There are {MOST} takes here already. Nothing was kept.");
        return Err(Refusal::new(Code::NotNow, sentence));
    }
    Ok(())
}

/// Refuses a recording that is kept here already, made as this one: twice the same is no second playing. What was measured of a
/// pickup may be told from one recording again.
fn is_another(about: About, before: &Ordered, new: &KeptSound, made: &Recorded) -> Result<(), Refusal> {
    let same = !matches!(about, About::Pickup(_))
        && before.iter().filter(|(_, struck)| !struck).any(|(entry, _)| {
            let Some(Body::Take(TakeBody::TakeKept { sound, recorded })) = entry.body.known() else { return false };
            sound.take == new.take && recorded == made
        });
    if same {
        return Err(Refusal::new(Code::NotNow, "This very recording is kept here already. Nothing was kept twice."));
    }
    Ok(())
}

impl Bench {
    /// Begins to receive the file of a take. What does not come to its end goes again.
    ///
    /// # Errors
    /// A [`Refusal`] when there is no room.
    pub fn receive_take(&self) -> Result<ReceivingTake, Refusal> {
        Ok(ReceivingTake { arriving: self.take_shelf().receive()?, bytes: 0 })
    }

    /// Keeps a take beside the log, and writes down that it was made: as FLAC with 24 bit at its own rate, heard again before it
    /// counts. Asked again with the same entry, it writes nothing more and answers the same.
    ///
    /// # Errors
    /// A [`Refusal`] with [`Code::Take`] when no sound can be read from the file, or as for any other ask that writes; then
    /// nothing was written and nothing of the file is kept.
    pub fn keep_take(&self, place: &TakePlace, received: ReceivingTake) -> Result<Reply, Refusal> {
        let TakePlace { entry, about, recorded } = place;
        self.keep_recorded(*entry, *about, &recorded.read()?, received)
    }

    /// The same for what was read already.
    pub(super) fn keep_recorded(
        &self,
        entry: EntryId,
        about: About,
        recorded: &Recorded,
        received: ReceivingTake,
    ) -> Result<Reply, Refusal> {
        if !is_version_7(entry.0) || !is_version_7(about.uuid()) {
            let sentence = "The names of an entry and of what it is about are version-7 UUIDs.";
            return Err(Refusal::unclear("entry", sentence));
        }
        let asked = RefCell::new(None);
        let reply = self.answer_at_log(TakeReady { entry, about, recorded, asked: &asked })?;
        let Some(asked) = asked.into_inner() else { return Ok(reply) };

        // Reading and writing take their time; nobody else has to wait for it.
        let shelf = self.take_shelf();
        let kept = shelf.receive()?;
        let written = keep(received.arriving.rewound()?, kept.rewound()?)?;
        drop(received);
        let told = check(kept.rewound()?, &written, &asked)?;
        let file = kept.rewound()?;
        let bytes = file.metadata().map_err(Trouble::from)?.len();
        let take = TakeName::of_all(file).map_err(Trouble::from)?;
        let sound = KeptSound {
            take,
            seconds: written.seconds,
            rate: written.from.rate,
            channels: written.from.channels,
            bytes,
            came_as: written.from.coding,
            flaws: written.flaws,
        };
        let _laid = shelf.lay_down_arrived(&sound.take, kept)?;
        // Before the answer, which tells it already.
        telling::note(&shelf, &sound, &asked, &told);
        let answer = self.answer_at_log(TakeLaid { entry, about, recorded, sound: &sound });
        if answer.is_err() {
            shelf.let_go(&sound.take);
        }
        answer
    }

    /// Answers what is asked about takes. What was not told yet is worked out without the log in hand.
    pub(in crate::ask) fn answer_takes(&self, ask: TakeAsk) -> Result<Reply, Refusal> {
        if let TakeAsk::TellTake { about, take } = &ask {
            let found = take_of(&self.lock(), *about, *take);
            // A log that can't be read is made good by the ask itself.
            if let Ok((sound, asked)) = found {
                telling::tell(&self.take_shelf(), &sound, &asked)?;
            }
        }
        self.answer_at_log(ask)
    }

    /// The file of a kept take, a FLAC, and its size in bytes. Who reads it from its middle has read its beginning before.
    ///
    /// # Errors
    /// A [`Refusal`] when there is none of this name, or what lies there is not what was kept.
    pub fn take_file(&self, name: &str, from_its_middle: bool) -> Result<(File, u64), Refusal> {
        let name = TakeName::try_from(name.to_owned()).map_err(|unclear| Refusal::unclear("take", unclear.sentence))?;
        let shelf = self.take_shelf();
        let file = if from_its_middle { shelf.open_unread(&name)? } else { shelf.open(&name)? };
        let file = file.ok_or_else(|| {
            let sentence = "This take is not beside the log. It may have been erased, or changed by another program.";
            Refusal::new(Code::NotFound, sentence)
        })?;
        let bytes = file.metadata().map_err(Trouble::from)?.len();
        Ok((file, bytes))
    }

    pub(in crate::ask) fn take_shelf(&self) -> Shelf {
        Shelf::beside(self.folder())
    }
}

impl From<NotKept> for Refusal {
    fn from(not_kept: NotKept) -> Self {
        let code = match &not_kept {
            NotKept::Unreadable(Unreadable::Unread { why }) => return Trouble::Disk(why.clone()).into(),
            NotKept::Disk(_) => "",
            NotKept::Unreadable(unreadable) => unreadable.code(),
            NotKept::GrowsTooLarge => "take_grows_too_large",
            NotKept::Differs => "take_differs",
        };
        match (not_kept.sentence(), not_kept) {
            (_, NotKept::Disk(error)) => Trouble::from(error).into(),
            (sentence, _) => Self {
                code: Code::Take,
                sentence: format!("{} Nothing was kept.", sentence.unwrap_or_default()),
                field: Some(code.to_owned()),
            },
        }
    }
}
