//! What was answered last time, to be offered again in one tap. Nothing of it counts before somebody says so.

use crate::ask::Refusal;
use crate::ask::load::{audition_of, newest};
use crate::ask::reply::Reply;
use crate::ask::views::LastTime;
use crate::audition::Audition;
use crate::entry_lines::lines::in_words;
use crate::logbook::{Find, Lists, Log};
use crate::record::audition::{AuditionId, Choice};
use crate::record::body::{AuditionBody, Body};
use crate::record::entry::About;
use crate::record::guitar::Guitar;
use crate::record::quantity::LengthUnit;
use crate::record::rig::Rig;
use crate::record::seat::FinishAnswer;
use crate::record::words::listed;

/// How many auditions are looked through.
const LOOKED_THROUGH: usize = 20;

/// What was answered last, with the guitar and the rig of this audition; of the newest of all where none is named.
pub(super) fn last_time(log: &mut Log, id: Option<AuditionId>) -> Result<Reply, Refusal> {
    let now =
        id.map(|id| audition_of(log, id)).transpose()?.and_then(|audition| audition.choice).map(|choice| choice.said);
    if id.is_some() && now.is_none() {
        return Ok(Reply::LastTime { last: None });
    }
    let alike = |choice: &Choice| now.as_ref().is_none_or(|now| (now.guitar, now.rig) == (choice.guitar, choice.rig));
    let lines = log.find(&Find { guitar: now.as_ref().map(|now| now.guitar), ..Find::default() })?.lines;
    let mut last: Option<LastTime> = None;
    for line in lines.into_iter().filter(|line| Some(line.audition) != id).take(LOOKED_THROUGH) {
        let audition = Audition::fold(&log.about(About::Audition(line.audition))?);
        let Some(choice) = audition.choice.as_ref().map(|choice| &choice.said).filter(|choice| alike(choice)) else {
            continue;
        };
        let known = match last.take() {
            Some(known) => known,
            None => {
                let Some(choice_words) = words_of(log, choice)? else { continue };
                LastTime {
                    audition: line.audition,
                    title: format!("{} on {}, {}", line.pickup_label, line.guitar_label, line.place),
                    at: line.begun,
                    choice: choice.clone(),
                    choice_words,
                    finish: None,
                    finish_words: String::new(),
                    amp: String::new(),
                    room: None,
                    cautions: audition.acknowledged.keys().cloned().collect(),
                }
            }
        };
        let known = told(known, &audition);
        let whole = known.finish.is_some() && !known.amp.is_empty() && known.room.is_some();
        last = Some(known);
        // Before one is begun only the choice is offered.
        if id.is_none() || whole {
            break;
        }
    }
    Ok(Reply::LastTime { last: last.map(Box::new) })
}

/// What a newer audition did not tell, as this one does.
fn told(mut known: LastTime, audition: &Audition) -> LastTime {
    if known.finish.is_none()
        && let Some(finish) = &audition.finish
    {
        // What it looked like is of that day.
        let answer = FinishAnswer { before: String::new(), ..finish.said.clone() };
        let words =
            in_words(&Body::Audition(AuditionBody::FinishAsked { answer: answer.clone() }), LengthUnit::default())
                .unwrap_or_default();
        known.finish_words = words.strip_prefix("Finish: ").unwrap_or(&words).to_owned();
        known.finish = Some(answer);
    }
    if known.amp.is_empty()
        && let Some(amp) = &audition.amp
    {
        known.amp.clone_from(&amp.said);
    }
    if known.room.is_none() {
        known.room =
            audition.readings.values().filter_map(|taken| taken.said.room).next_back().map(|room| room.shown());
    }
    known
}

/// The choice in words; nothing where its guitar or its rig is no longer there to be chosen.
fn words_of(log: &Log, choice: &Choice) -> Result<Option<String>, Refusal> {
    let guitar = newest::<Guitar>(log, About::Guitar(choice.guitar), "guitar");
    let rig = newest::<Rig>(log, About::Rig(choice.rig), "rig");
    let (Ok(guitar), Ok(rig)) = (guitar, rig) else { return Ok(None) };
    let modes: Vec<String> = choice.modes.iter().map(|mode| mode.0.clone()).collect();
    Ok(Some(format!("{}, {}, in {}: {}", guitar.label, choice.place, rig.label, listed(&modes))))
}
