//! The words by which an audition is found.

use std::collections::BTreeSet;

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use crate::audition::{Audition, CameTo, State};
use crate::logbook::line::Line;
use crate::record::body::{AuditionBody, Body};
use crate::record::entry::Entry;
use crate::record::guitar::GuitarId;
use crate::record::names::BenchId;
use crate::record::pickup::PickupId;
use crate::record::rig::Mode;
use solderlast_log::sums::sum_of_word;

/// How much of a place's or a mode's name tells it from others, in characters.
const LONGEST_NAME: usize = 60;

/// Everything of an audition that can be looked for, as tokens; `ordered` are its entries.
pub(super) fn words_of(
    audition: &Audition,
    ordered: &[(Entry, bool)],
    line: &Line,
    benches: &BTreeSet<BenchId>,
) -> String {
    let mut words =
        vec![line.pickup_label.clone(), line.guitar_label.clone(), line.place.clone(), line.question.clone()];
    words.extend(line.begun.format("%Y-%m-%d %B").to_string().split(' ').map(str::to_owned));
    let mut asked = vec![of_proof(line.proof), of_state(line.state), of_overridden(line.overrides > 0)];
    asked.extend(line.pickup.map(of_pickup));
    asked.extend(line.guitar.map(of_guitar));
    asked.extend(benches.iter().copied().map(of_bench));
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
    words.extend(audition.hooked.values().flat_map(|hooked| hooked.said.leads.iter().map(ToString::to_string)));
    // Also what was read before something was mended stands in it.
    for (entry, _) in ordered.iter().filter(|(_, struck)| !struck) {
        if let Some(Body::Audition(
            AuditionBody::ReadingTaken { reading, typed, .. } | AuditionBody::Probed { reading, typed, .. },
        )) = entry.body.known()
        {
            words.extend([typed.clone(), reading.shown()]);
        }
    }
    words.iter().flat_map(|words| to_look_for(words)).chain(asked).collect::<Vec<_>>().join(" ")
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

/// A bench that wrote in it. No other token begins like these, so the index tells which benches there are.
pub(super) fn of_bench(id: BenchId) -> String {
    format!("{}{}", BENCHES, id.0.simple())
}

/// How the tokens of benches begin.
pub(super) const BENCHES: &str = "§b";

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
///
/// A number with a point or a comma in it is one word, in which that is a [`POINT`]: `6.66k` finds no 6 beside a 66.
pub(super) fn tokens(text: &str) -> Vec<String> {
    let text: String = folded(text).chars().map(|c| if c == POINT { ' ' } else { c }).collect();
    text.split(|c: char| !c.is_alphanumeric() && !matches!(c, '.' | ',')).flat_map(numbers).collect()
}

/// Stands for the point in a number. It is beyond ASCII, so SQLite's tokenizer takes it for a letter.
const POINT: char = '·';

/// The words between points and commas; two with one point between them, and a figure on each side, are a number.
fn numbers(part: &str) -> Vec<String> {
    let words: Vec<&str> = part.split(['.', ',']).filter(|word| !word.is_empty()).collect();
    match words[..] {
        [whole, rest]
            if part.len() == whole.len() + 1 + rest.len()
                && whole.chars().all(|c| c.is_ascii_digit())
                && rest.starts_with(|c: char| c.is_ascii_digit()) =>
        {
            vec![format!("{whole}{POINT}{rest}")]
        }
        _ => words.into_iter().map(str::to_owned).collect(),
    }
}

/// The words of a text under which it is found: as [`tokens`], the parts of its numbers, and each number joined to the unit behind
/// it, as people type it.
pub(super) fn to_look_for(text: &str) -> Vec<String> {
    let words = tokens(text);
    let mut all = words.clone();
    for (at, word) in words.iter().enumerate() {
        if let Some((whole, rest)) = word.split_once(POINT) {
            all.extend([whole.to_owned(), rest.to_owned()]);
        }
        let unit = words.get(at + 1).and_then(|next| match next.as_str() {
            "kω" => Some("k"),
            "mω" => Some("m"),
            _ => None,
        });
        if let (Some(unit), true) = (unit, word.ends_with(|c: char| c.is_ascii_digit())) {
            let number = format!("{word}{unit}");
            all.extend(number.split_once(POINT).map(|(_, rest)| rest.to_owned()));
            all.push(number);
        }
    }
    all
}

pub(super) fn folded(text: &str) -> String {
    text.nfkd().flat_map(char::to_lowercase).filter(|c| !is_combining_mark(*c)).collect()
}
