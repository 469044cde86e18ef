//! A logbook made up by chance, the same in every run: auditions of about thirty entries each, as a person would write
//! them, over some years, of a drawer of pickups on a wall of guitars.

use chrono::{DateTime, TimeDelta, Utc};
use serde_json::{Value, json};
use solderlast_core::ask::examples;
use solderlast_core::logbook::Log;
use solderlast_core::record::audition::AuditionId;
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::guitar::GuitarId;
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_core::record::pickup::PickupId;
use solderlast_core::record::rig::RigId;
use solderlast_testkit::Chance;

pub const PICKUPS: u64 = 500;
pub const GUITARS: u64 = 60;
const RIGS: u64 = 4;
/// Where auditions are; the first two are commonest.
pub const PLACES: [&str; 6] = ["neck", "bridge", "middle", "Half way", "under the harmonic", "1/4 of the scale"];
/// How many different words there are in the notes.
pub const WORDS: u64 = 4000;
/// Entries that are written to the log in one stroke.
const STROKE: usize = 20_000;

/// A word's number: few words are common and many are rare, as in any language.
fn word_by_chance(chance: &mut Chance) -> u64 {
    let (a, b) = (chance.below(WORDS) + 1, chance.below(WORDS) + 1);
    a * b / WORDS * (chance.below(WORDS) + 1) / WORDS
}

/// A word of two to four syllables, different for each number.
pub fn word(number: u64) -> String {
    const SYLLABLES: [&str; 20] = [
        "ba", "ke", "li", "mo", "nu", "ra", "se", "ti", "vo", "zu", "bri", "cla", "dre", "flo", "gru", "pla", "sto",
        "tre", "wi", "ha",
    ];
    let mut rest = number + 20;
    let mut word = String::new();
    while rest > 0 {
        word.push_str(SYLLABLES[(rest % 20) as usize]);
        rest /= 20;
    }
    word
}

fn words(chance: &mut Chance, count: u64) -> String {
    (0..count).map(|_| word(word_by_chance(chance))).collect::<Vec<_>>().join(" ")
}

/// A name of its own for each number of a family.
pub fn name(family: u128, number: u64) -> uuid::Uuid {
    uuid::Uuid::from_u128(0x0190_0000_0000_7000_8000_0000_0000_0000 | family << 48 | u128::from(number))
}

pub fn pickup(number: u64) -> PickupId {
    PickupId(name(1, number))
}

pub fn guitar(number: u64) -> GuitarId {
    GuitarId(name(2, number))
}

/// When the audition of this number was begun.
pub fn begun(number: u64) -> DateTime<Utc> {
    // One every half hour.
    DateTime::from_timestamp(1_600_000_000, 0).unwrap_or_default()
        + TimeDelta::minutes(30) * i32::try_from(number).unwrap_or(0)
}

/// What the examples write, for the bodies of the things.
fn described(ask: &str, thing: &str) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let worked = examples(folder.path()).unwrap();
    let reply = worked.into_iter().find(|(asked, _)| asked["ask"] == ask).map(|(_, reply)| reply).unwrap();
    reply["ok"][thing][thing].clone()
}

/// Everything that is written about the things.
fn things() -> Vec<Entry> {
    let (a_pickup, a_guitar, a_rig) =
        (described("write_pickup", "pickup"), described("write_guitar", "guitar"), described("write_rig", "rig"));
    let mut chance = Chance(3);
    let mut entries = Vec::new();
    let mut number = 0;
    let mut describe = |about: About, kind: &str, thing: &str, record: &Value, chance: &mut Chance| {
        let mut record = record.clone();
        record["label"] = json!(words(chance, 2));
        record["notes"] = json!(words(chance, 12));
        number += 1;
        let body = json!({"kind": kind, thing: record}).to_string();
        let at = begun(0) - TimeDelta::days(1);
        entries.push(Entry {
            id: EntryId(name(5, number)),
            at,
            bench: bench(),
            about,
            body: Written::read(kind, &body),
        });
    };
    for number in 0..PICKUPS {
        describe(About::Pickup(pickup(number)), "pickup_described", "pickup", &a_pickup, &mut chance);
    }
    for number in 0..GUITARS {
        describe(About::Guitar(guitar(number)), "guitar_described", "guitar", &a_guitar, &mut chance);
    }
    for number in 0..RIGS {
        describe(About::Rig(RigId(name(3, number))), "rig_described", "rig", &a_rig, &mut chance);
    }
    entries
}

fn bench() -> BenchId {
    BenchId(name(7, 1))
}

/// Everything that is written in one audition. All but the newest twelve are over.
fn audition(number: u64, of: u64, chance: &mut Chance) -> Vec<Entry> {
    let mut bodies = vec![json!({"kind": "chosen", "choice": {
        "pickup": pickup(chance.below(PICKUPS)), "guitar": guitar(chance.below(GUITARS)), "rig": name(3, chance.below(RIGS)),
        "place": PLACES[(chance.below(6) * chance.below(3) / 2) as usize % 6], "from_saddle": 162.0,
        "modes": if chance.below(5) == 0 { json!(["single"]) } else { json!(["parallel", "single", "series"]) },
        "question": words(chance, 6),
    }})];
    bodies.push(json!({"kind": "mounted", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}));
    for (terminal, leads) in
        [json!(["moss", "shield"]), json!(["rust"]), json!(["slate"]), json!(["chalk"])].iter().enumerate()
    {
        bodies.push(json!({"kind": "hooked_up", "hooked": {"terminal": terminal, "leads": leads, "tugged": true}}));
    }
    // In one of sixteen the switch stood in single for series, and one of twelve was left after two readings.
    let series = if chance.below(16) == 0 { 6660.0 } else { 13340.0 };
    let readings = if chance.below(12) == 0 { 2 } else { 3 };
    for (mode, ohms) in [("parallel", 3334.0), ("single", 6660.0), ("series", series)].into_iter().take(readings) {
        bodies.push(
            json!({"kind": "reading_taken", "mode": mode, "reading": {"ohms": ohms}, "typed": "6.66k", "room": null}),
        );
    }
    bodies.push(json!({"kind": "finish_asked", "answer": {"kind": "poly", "surface": "flat_gloss", "aged": false,
        "barrier": "cloth", "held_by": "strap", "tried": true, "wiped": true, "before": words(chance, 3)}}));
    bodies.push(json!({"kind": "seated", "seating": {"feet": "suction", "steady": true}}));
    bodies.push(json!({"kind": "gaps_measured", "gaps": {"bass": 2.4, "treble": 2.0, "pressed_at": 22, "kept": true}}));
    if chance.below(25) == 0 {
        bodies.push(json!({"kind": "hold_overridden", "hold": "bare_feet_on_finish", "why": words(chance, 5)}));
    }
    if number + 12 < of && (readings == 2 || chance.below(20) == 0) {
        bodies.push(json!({"kind": "ended_early", "why": words(chance, 4)}));
    } else if number + 12 < of {
        for tick in ["dry_and_whole", "volume_at_zero", "standby", "plugged_in", "switched_on", "raised_slowly"] {
            bodies.push(json!({"kind": "ticked", "tick": tick, "words": ""}));
        }
        bodies.push(json!({"kind": "amp_described", "words": words(chance, 5)}));
        for mode in ["parallel", "single", "series"] {
            bodies.push(json!({"kind": "rated", "mode": mode, "quality": "treble", "value": chance.below(5) + 1}));
            bodies.push(json!({"kind": "note_written", "mode": mode, "words": words(chance, 12)}));
        }
        for tick in ["volume_down", "amp_quiet", "unplugged", "leads_free", "lifted", "finish_looked"] {
            bodies.push(json!({"kind": "ticked", "tick": tick, "words": ""}));
        }
    }
    let about = About::Audition(AuditionId(name(4, number)));
    let written = bodies.iter().enumerate().map(|(index, body)| {
        let index = u64::try_from(index).unwrap_or(0);
        Entry {
            id: EntryId(name(6, number << 8 | index)),
            at: begun(number) + TimeDelta::seconds(20) * i32::try_from(index).unwrap_or(0),
            bench: bench(),
            about,
            body: Written::read(body["kind"].as_str().unwrap_or_default(), &body.to_string()),
        }
    });
    written.collect()
}

/// Writes a logbook of this many auditions; answers how many entries it has.
pub fn write(log: &mut Log, auditions: u64) -> usize {
    let mut stroke = things();
    let mut count = 0;
    let mut chance = Chance(4);
    for number in 0..auditions {
        stroke.extend(audition(number, auditions, &mut chance));
        if stroke.len() >= STROKE {
            count += stroke.len();
            log.write(&stroke).unwrap();
            stroke.clear();
        }
    }
    count += stroke.len();
    log.write(&stroke).unwrap();
    count
}

/// One finished audition, among others.
pub fn an_audition(auditions: u64) -> AuditionId {
    AuditionId(name(4, auditions / 2))
}
