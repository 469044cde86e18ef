//! Several takes together: what they tell of the player, of the ground, and whether they may be held against each other.

use super::lines::Of;
use crate::ask::Refusal;
use crate::ask::load::kit;
use crate::ask::reply::Reply;
use crate::ask::take_view::{TakeLine, TakePicked};
use crate::audition::{Audition, State, Take};
use crate::comparison::{Compared, Made, takes_fair};
use crate::logbook::Log;
use crate::record::audition::AuditionId;
use crate::record::entry::About;
use crate::record::quantity::LengthUnit;
use crate::record::take::{Played, Recorded};
use crate::takes::Told;
use crate::takes::follows::from_hands;
use crate::takes::repeats::{Quantity, WANTED, spread};

/// The most takes that are held against each other.
const MOST: usize = 4;

/// What takes of the same that was played tell together, in sentences: how much the player differs, or how many more are wanted; and
/// what hum says with the hands off and on the strings.
pub(super) fn together(lines: &[TakeLine]) -> Vec<String> {
    let counts: Vec<(&TakeLine, &Told)> = lines
        .iter()
        .filter(|line| line.struck.is_none())
        .filter_map(|line| Some((line, line.told.as_deref()?)))
        .collect();
    let mut sentences = Vec::new();
    let mut done: Vec<(About, &Recorded)> = Vec::new();
    for (line, _) in &counts {
        let of = (line.about, &line.recorded);
        if !line.recorded.played.is_music() || done.contains(&of) {
            continue;
        }
        done.push(of);
        let same: Vec<&Told> =
            counts.iter().filter(|(one, _)| (one.about, &one.recorded) == of).map(|(_, told)| *told).collect();
        sentences.push(of_the_same(line, &same));
    }
    for (off, told) in counts.iter().filter(|(line, _)| line.recorded.played == Played::HumHandsOff) {
        let other = Recorded { played: Played::HumHandsOn, ..off.recorded.clone() };
        let on = counts.iter().find(|(line, _)| line.about == off.about && line.recorded == other);
        let sentence = on.and_then(|(_, on)| from_hands(told, on)).map(|follows| follows.sentence);
        sentences.extend(sentence.filter(|sentence| !sentences.contains(sentence)));
    }
    sentences
}

fn of_the_same(line: &TakeLine, same: &[&Told]) -> String {
    let words = &line.words;
    if same.len() < WANTED {
        let more = WANTED - same.len();
        return format!(
            "{}, {words}: record the same {} more. What differs between takes of the same is the player.",
            line.title,
            if more == 1 { "once".to_owned() } else { format!("{more} times") }
        );
    }
    let spreads = spread(same);
    let figures: Vec<String> = spreads
        .iter()
        .filter(|spread| matches!(spread.of, Quantity::Loudness | Quantity::Middle | Quantity::Hum))
        .map(|spread| spread.shown().split_whitespace().collect::<Vec<_>>().join(" "))
        .collect();
    format!(
        "{}, {words}, over {} takes: {}. A difference inside these spreads is none.",
        line.title,
        same.len(),
        figures.join(", ")
    )
}

/// One of the takes that are held against each other.
struct Picked {
    name: String,
    take: Take,
    of: Option<Compared>,
}

/// Whether these takes may be held against each other.
pub(super) fn fair_reply(log: &Log, picked: &[TakePicked], unit: LengthUnit) -> Result<Reply, Refusal> {
    let twice = picked.iter().enumerate().any(|(at, one)| picked[..at].contains(one));
    if !(2..=MOST).contains(&picked.len()) || twice {
        return Err(Refusal::unclear("takes", "Choose two to four takes, each once."));
    }
    let mut all: Vec<Picked> = Vec::new();
    for one in picked {
        let mut made = made(log, one)?;
        let alike = all.iter().filter(|other| other.name.starts_with(&made.name)).count();
        if alike > 0 {
            made.name = format!("{} ({})", made.name, alike + 1);
        }
        all.push(made);
    }
    let made: Vec<Made> = all
        .iter()
        .map(|one| Made {
            name: &one.name,
            of: one.of.as_ref(),
            recorded: &one.take.recorded,
            sound: &one.take.sound,
            conditions: &one.take.conditions,
        })
        .collect();
    Ok(Reply::TakesFair { fairness: takes_fair(&made, unit) })
}

fn made(log: &Log, picked: &TakePicked) -> Result<Picked, Refusal> {
    let of = Of::load(log, picked.about)?;
    let take = of.take(picked.take).cloned().ok_or_else(|| Refusal::not_found("take"))?;
    let compared = match picked.about {
        About::Audition(AuditionId(id)) => {
            let audition = Audition::fold(&of.ordered);
            let kit = kit(log, &audition, Some(take.conditions.at))?;
            Some(Compared { id: AuditionId(id), audition, kit, state: State::Finished, pinned: false })
        }
        _ => None,
    };
    Ok(Picked { name: of.title, take, of: compared })
}
