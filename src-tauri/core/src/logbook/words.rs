//! The words by which an audition is found.

use std::collections::BTreeSet;

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use crate::audition::{Audition, CameTo, State};
use crate::logbook::line::Line;
use crate::record::guitar::GuitarId;
use crate::record::pickup::PickupId;
use crate::record::rig::Mode;
use solderlast_log::sums::sum_of_word;

/// How much of a place's or a mode's name tells it from others, in characters.
const LONGEST_NAME: usize = 60;

/// Everything of an audition that can be looked for, as tokens.
pub(super) fn words_of(audition: &Audition, line: &Line) -> String {
    let mut words =
        vec![line.pickup_label.clone(), line.guitar_label.clone(), line.place.clone(), line.question.clone()];
    words.extend(line.begun.format("%Y-%m-%d %B").to_string().split(' ').map(str::to_owned));
    let mut asked = vec![of_proof(line.proof), of_state(line.state), of_overridden(line.overrides > 0)];
    asked.extend(line.pickup.map(of_pickup));
    asked.extend(line.guitar.map(of_guitar));
    if let Some(choice) = &audition.choice {
        asked.push(of_place(&choice.said.place));
        for mode in &choice.said.modes {
            words.push(mode.0.clone());
            asked.push(of_mode(mode));
        }
    }
    words.extend(audition.notes.values().map(|note| note.said.clone()));
    words.extend(audition.amp.iter().map(|amp| amp.said.clone()));
    words.extend(audition.overrides.iter().map(|over| over.said.why.clone()));
    words.extend(audition.skipped.values().map(|why| why.said.clone()));
    words.extend(audition.ended_early.iter().map(|why| why.said.clone()));
    words.extend(audition.ticks.values().map(|words| words.said.clone()));
    words.iter().flat_map(|words| tokens(words)).chain(asked).collect::<Vec<_>>().join(" ")
}

/// A sum of the words of a line, whatever their order, to be held against what the index says of it.
pub(super) fn sum_of_words(words: &str) -> i64 {
    let words: BTreeSet<&str> = words.split(' ').filter(|word| !word.is_empty()).collect();
    words.into_iter().map(|word| sum_of_word(word.as_bytes())).fold(0, |sum, word| sum ^ word)
}

/// Begins every token that is asked for by a choice and not by typing. It is no letter, so no typed word has it; and it is
/// beyond ASCII, so SQLite's tokenizer takes it for one.
pub(super) const CHOSEN: char = '§';

pub(super) fn of_pickup(id: PickupId) -> String {
    format!("{CHOSEN}p{}", id.0.simple())
}

pub(super) fn of_guitar(id: GuitarId) -> String {
    format!("{CHOSEN}g{}", id.0.simple())
}

pub(super) fn of_place(place: &str) -> String {
    format!("{CHOSEN}l{}", one_token(place))
}

pub(super) fn of_mode(mode: &Mode) -> String {
    format!("{CHOSEN}m{}", one_token(&mode.0))
}

pub(super) fn of_proof(proof: CameTo) -> String {
    let letter = match proof {
        CameTo::Proven => 'y',
        CameTo::SomethingWrong => 'w',
        CameTo::NotProven => 'n',
    };
    format!("{CHOSEN}r{letter}")
}

pub(super) fn of_state(state: State) -> String {
    let letter = match state {
        State::Open => 'o',
        State::Finished => 'f',
        State::EndedEarly => 'e',
    };
    format!("{CHOSEN}s{letter}")
}

pub(super) fn of_overridden(overridden: bool) -> String {
    format!("{CHOSEN}h{}", if overridden { 'y' } else { 'n' })
}

/// A name as one token, without case and marks; what would part it is a dot.
pub(super) fn one_token(name: &str) -> String {
    let name: String = folded(name).trim().chars().take(LONGEST_NAME).collect();
    name.chars().map(|c| if c.is_ascii() && !c.is_ascii_alphanumeric() { '·' } else { c }).collect()
}

/// The words of a text as they are looked for: without case, accents and other marks, whatever the script.
///
/// Done here and not by SQLite's tokenizer, which splits some scripts inside a word; so both sides are sure to agree,
/// and a token is never more than one to SQLite.
pub(super) fn tokens(text: &str) -> Vec<String> {
    folded(text).split(|c: char| !c.is_alphanumeric()).filter(|token| !token.is_empty()).map(str::to_owned).collect()
}

pub(super) fn folded(text: &str) -> String {
    text.nfkd().flat_map(char::to_lowercase).filter(|c| !is_combining_mark(*c)).collect()
}
