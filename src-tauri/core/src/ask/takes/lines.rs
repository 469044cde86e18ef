//! Takes listed: one line each, with what it tells as far as that was worked out.

use super::evening::with_the_way;
use super::several::together;
use super::telling::{noted, refused};
use crate::ask::Refusal;
use crate::ask::forms::take::RecordedForm;
use crate::ask::load::{kit, newest};
use crate::ask::reply::Reply;
use crate::ask::take_view::{LastRecorded, TakeChoices, TakeLine, TakesView};
use crate::audition::{Audition, Kit, Take, conditions_words, title};
use crate::install::Install;
use crate::logbook::takes::Shelf;
use crate::logbook::{Lists, Log, Ordered};
use crate::record::audition::AuditionId;
use crate::record::body::{Body, TakeBody};
use crate::record::entry::About;
use crate::record::facts::Cable;
use crate::record::guitar::Guitar;
use crate::record::names::EntryId;
use crate::record::note::{Note, read_note};
use crate::record::pickup::Pickup;
use crate::record::quantity::InInches;
use crate::record::rig::Mode;
use crate::record::strike::struck_by;
use crate::record::take::{KeptSound, Played, Recorded, Through, time_shown};
use crate::takes::Asked;
use crate::takes::follows::{Follows, Why, from_take};

/// What takes of one thing are shown with.
pub(super) struct Of {
    about: About,
    pub ordered: Ordered,
    takes: Vec<(EntryId, Take)>,
    pub title: String,
    modes: Vec<Mode>,
    audition: Audition,
    kit: Kit,
}

impl Of {
    pub fn load(log: &Log, about: About) -> Result<Self, Refusal> {
        let ordered = log.about(about)?;
        let audition = Audition::fold(&ordered);
        let takes = audition.takes.iter().map(|saved| (saved.entry, saved.said.clone())).collect();
        let (title, modes, kit) = match about {
            About::Audition(_) => {
                let kit = kit(log, &audition, audition.last)?;
                let choice = audition.choice.as_ref().map(|saved| &saved.said);
                (title(choice, &kit), choice.map(|choice| choice.modes.clone()).unwrap_or_default(), kit)
            }
            About::Fit(_) => {
                let install = Install::fold(&ordered);
                let on = install.on.as_ref().map(|saved| &saved.said);
                let pickup = on.and_then(|on| newest::<Pickup>(log, About::Pickup(on.pickup), "pickup").ok());
                let guitar = on.and_then(|on| newest::<Guitar>(log, About::Guitar(on.guitar), "guitar").ok());
                let label = pickup.map_or_else(|| "A pickup".to_owned(), |pickup| pickup.label);
                let place = on.map_or_else(String::new, |on| format!(", {}", on.place));
                (format!("{label}{place}, installed"), Vec::new(), Kit { guitar, ..Kit::default() })
            }
            _ => {
                let pickup = newest::<Pickup>(log, about, "pickup").ok();
                (pickup.map_or_else(|| "A pickup".to_owned(), |pickup| pickup.label), Vec::new(), Kit::default())
            }
        };
        Ok(Self { about, ordered, takes, title, modes, audition, kit })
    }

    /// A take that counts, by its entry.
    pub fn take(&self, entry: EntryId) -> Option<&Take> {
        self.takes.iter().find(|(id, _)| *id == entry).map(|(_, take)| take)
    }

    /// The notes of the open strings when this was played, bass side first; none where one of them is not known.
    fn tuning(&self, take: Option<&Take>) -> Vec<Note> {
        match take.and_then(|take| take.conditions.tuned.clone()).filter(|notes| !notes.is_empty()) {
            Some(notes) => notes,
            None => {
                let strings = self.kit.guitar.iter().flat_map(|guitar| &guitar.strings);
                strings.map(|string| read_note(&string.note).ok()).collect::<Option<Vec<_>>>().unwrap_or_default()
            }
        }
    }

    fn lines(&self, shelf: &Shelf) -> impl Iterator<Item = TakeLine> {
        self.ordered.iter().rev().filter_map(move |(entry, struck)| {
            let Some(Body::Take(TakeBody::TakeKept { sound, recorded })) = entry.body.known() else { return None };
            let take = self.take(entry.id);
            let asked = Asked { played: recorded.played, tuning: self.tuning(take) };
            let told = noted(shelf, sound, &asked);
            // Of what is not an audition nothing is written down that a take is made in.
            let in_audition = take.filter(|_| matches!(self.about, About::Audition(_)));
            let (conditions, in_inches) = in_audition
                .map(|take| InInches::told(|unit| conditions_words(None, &take.conditions, &self.kit, unit)))
                .unwrap_or_default();
            let way = |follows| match in_audition {
                Some(take) => with_the_way(follows, take, &self.audition, &self.kit),
                None => follows,
            };
            let to_measure = matches!(recorded.played, Played::Tap | Played::Sweep);
            let follows = match to_measure.then(|| refused(shelf, sound)).flatten() {
                Some(reason) => vec![Follows::from(Why::Refused { reason })],
                None => told.as_ref().map(from_take).unwrap_or_default(),
            };
            // The gain is that of the take it was computed from.
            let of_gain = |follows: &Follows| matches!(follows.from, Why::Weak { .. } | Why::NoRoom { .. });
            let follows =
                follows.into_iter().filter(|one| recorded.computed.is_none() || !of_gain(one)).map(way).collect();
            let struck = struck.then(|| struck_by(&self.ordered, entry.id)).flatten();
            Some(TakeLine {
                entry: entry.id,
                at: entry.at,
                about: self.about,
                title: self.title.clone(),
                words: recorded.in_words(),
                kept: kept(sound),
                conditions,
                conditions_in_inches: in_inches,
                is_here: shelf.lies(&sound.take),
                follows,
                figures: told.as_ref().map(|told| told.figures()).unwrap_or_default(),
                told: told.map(Box::new),
                sound: sound.clone(),
                recorded: recorded.clone(),
                struck,
            })
        })
    }
}

/// `12.4 s, 48 kHz, 1 channel, came as MP3`.
fn kept(sound: &KeptSound) -> String {
    let channels = if sound.channels == 1 { "1 channel" } else { "2 channels" };
    let rate = format!("{} kHz", f64::from(sound.rate) / 1000.0);
    format!("{}, {rate}, {channels}, came as {}", time_shown(sound.seconds), sound.came_as.in_words())
}

/// What a take is of, and how it was made, so that it can be told outside the log.
pub(in crate::ask) fn take_of(log: &Log, about: About, take: EntryId) -> Result<(KeptSound, Asked), Refusal> {
    let of = Of::load(log, about)?;
    let found = of.ordered.iter().find_map(|(entry, _)| match entry.body.known() {
        Some(Body::Take(TakeBody::TakeKept { sound, recorded })) if entry.id == take => Some((sound, recorded)),
        _ => None,
    });
    let Some((sound, recorded)) = found else { return Err(Refusal::not_found("take")) };
    Ok((sound.clone(), Asked { played: recorded.played, tuning: of.tuning(of.take(take)) }))
}

/// The notes of the strings that a take about this is played on now.
pub(super) fn tuning_now(log: &Log, about: About) -> Result<Vec<Note>, Refusal> {
    let of = Of::load(log, about)?;
    let tuned = Audition::fold(&of.ordered).tuned.map(|saved| saved.said).filter(|notes| !notes.is_empty());
    Ok(tuned.unwrap_or_else(|| of.tuning(None)))
}

/// The things whose takes are listed for one.
fn things(log: &mut Log, about: Option<About>) -> Result<Vec<About>, Refusal> {
    let with_takes = log.with_takes()?;
    let Some(about) = about else { return Ok(with_takes.into_iter().collect()) };
    let mut all = vec![about];
    if matches!(about, About::Pickup(_) | About::Guitar(_)) {
        all.extend(log.auditions_of(about)?.into_iter().map(|id| About::Audition(AuditionId(id))));
        all.extend(log.installs_of(about)?.into_iter().map(|line| About::Fit(line.fit)));
    }
    all.retain(|one| *one == about || with_takes.contains(one));
    Ok(all)
}

/// The takes of this, or all.
pub(super) fn takes_reply(log: &mut Log, shelf: &Shelf, about: Option<About>) -> Result<Reply, Refusal> {
    let mut takes = Vec::new();
    let mut modes = Vec::new();
    for thing in things(log, about)? {
        let of = Of::load(log, thing)?;
        if about == Some(thing) {
            if of.ordered.is_empty() {
                return Err(Refusal::not_found(thing.word()));
            }
            modes.clone_from(&of.modes);
        }
        takes.extend(of.lines(shelf));
    }
    takes.sort_by_key(|line| std::cmp::Reverse((line.at, line.entry)));
    let last = log.last_take()?.and_then(|entry| match entry.body.known() {
        Some(Body::Take(TakeBody::TakeKept { recorded, .. })) => Some(offered(recorded)),
        _ => None,
    });
    let choices = TakeChoices {
        played: Played::ALL.map(|one| (one, one.in_words().to_owned())).to_vec(),
        through: Through::ALL.map(|one| (one, one.in_words().to_owned())).to_vec(),
        cables: [Cable::Short, Cable::Middle, Cable::Long].map(|one| (one, one.in_words().to_owned())).to_vec(),
        modes,
    };
    let together = together(&takes);
    Ok(Reply::Takes { takes: Box::new(TakesView { about, takes, choices, last, together }) })
}

/// What was answered the last time; what was played and in which mode is told anew each time.
fn offered(recorded: &Recorded) -> LastRecorded {
    let setting = Recorded { mode: None, computed: None, ..recorded.clone() };
    let words = setting.in_words();
    let played = recorded.played.in_words();
    let words = words.strip_prefix(played).unwrap_or(&words).trim_start_matches(", ").to_owned();
    LastRecorded { form: RecordedForm::of(&setting), words }
}

/// One take, with what it tells.
pub(super) fn take_reply(log: &mut Log, shelf: &Shelf, about: About, take: EntryId) -> Result<Reply, Refusal> {
    let of = Of::load(log, about)?;
    let line = of.lines(shelf).find(|line| line.entry == take).ok_or_else(|| Refusal::not_found("take"))?;
    Ok(Reply::Take { take: Box::new(line) })
}
