//! Bundles changed by chance, some thousands of them, the same in every run: bytes flipped, ends cut off, parts spliced,
//! fields of the zip file and of its list changed, members and lines put together wrongly. Whatever comes of it: no panic,
//! no unbounded memory, and either the bundle is what it was, or it is refused and nothing is written.
//!
//! `SOLDERLAST_FUZZ=1000000` makes so many cases of it.

use std::io::Cursor;

use serde_json::{Value, json};
use solderlast_core::logbook::bundle::{NotCarried, Tray, Watch, look, take_in};
use solderlast_core::record::body::{Body, ThingBody};
use solderlast_core::record::entry::{About, Written};
use solderlast_core::record::pickup::PickupId;
use solderlast_testkit::Chance;
use solderlast_testkit::parcel::{ENTRIES, MANIFEST, Parcel, content, entry, log, name, now, packed, stocked};

use super::{ALLOCATOR, alone};

/// The most memory that looking into a changed bundle may take beside the bundle itself, in MiB. SQLite's own is not in
/// it; that is bounded by its cache.
const BOUND: f32 = 64.0;

fn any_byte(chance: &mut Chance) -> u8 {
    chance.next().to_le_bytes()[3]
}

fn cases() -> usize {
    std::env::var("SOLDERLAST_FUZZ").ok().and_then(|number| number.parse().ok()).unwrap_or(4000)
}

/// Changes the bytes of a bundle.
fn roughly(bytes: &[u8], other: &[u8], chance: &mut Chance) -> Vec<u8> {
    let mut changed = bytes.to_vec();
    for _ in 0..=chance.below(3) {
        let at = chance.below(changed.len());
        match chance.below(8) {
            0 | 1 => {
                if let Some(byte) = changed.get_mut(at) {
                    *byte ^= 1 << chance.below(8);
                }
            }
            2 => changed.truncate(at),
            3 => {
                let length = chance.below(64);
                let part: Vec<u8> = (0..length).map(|_| any_byte(chance)).collect();
                let _ = changed.splice(at..(at + length).min(changed.len()), part);
            }
            4 => {
                let from = chance.below(other.len());
                let to = (from + chance.below(4096)).min(other.len());
                let _ = changed.splice(at..at, other[from..to].iter().copied());
            }
            5 => {
                let to = (at + chance.below(4096)).min(changed.len());
                let _ = changed.drain(at..to);
            }
            // The list and the end of the file, where a byte counts most.
            _ => {
                let from = changed.len().saturating_sub(400);
                let at = from + chance.below(changed.len() - from);
                if let Some(byte) = changed.get_mut(at) {
                    *byte = [0, 1, 0x7f, 0x80, 0xff, any_byte(chance)][chance.below(6)];
                }
            }
        }
    }
    changed
}

/// Changes a value somewhere inside of it.
fn otherwise(value: &mut Value, chance: &mut Chance) {
    let odd = |chance: &mut Chance| match chance.below(10) {
        0 => Value::Null,
        1 => json!(u64::MAX),
        2 => json!(i64::MIN),
        3 => json!(1e308),
        4 => json!(-1e-300),
        5 => json!("\u{0}\u{202e}🎸".repeat(chance.below(40))),
        6 => json!([]),
        7 => json!({}),
        8 => json!(true),
        _ => json!(name(9, chance.next() % 200)),
    };
    match value {
        Value::Object(fields) if !fields.is_empty() && chance.below(6) > 0 => {
            let at = chance.below(fields.len());
            if let Some((_, inner)) = fields.iter_mut().nth(at) {
                otherwise(inner, chance);
            }
        }
        Value::Array(items) if !items.is_empty() && chance.below(6) > 0 => {
            let at = chance.below(items.len());
            otherwise(&mut items[at], chance);
        }
        other => *other = odd(chance),
    }
}

/// Puts a bundle together otherwise: its list, its lines, its members.
fn finely(parcel: &Parcel, chance: &mut Chance) -> Vec<u8> {
    let mut parcel = parcel.clone();
    parcel.honest = chance.below(4) > 0;
    for _ in 0..=chance.below(2) {
        match chance.below(8) {
            0 => otherwise(&mut parcel.manifest, chance),
            1 => {
                let at = chance.below(parcel.members.len());
                let member = parcel.members.remove(at);
                if chance.below(2) == 0 {
                    parcel.members.push(member);
                }
            }
            2 => {
                let names = ["../x", "photos/x.jpg", MANIFEST, "/x", "photos/", "a\\b"];
                let name = names[chance.below(names.len())];
                // The writer itself refuses a name twice.
                if name != MANIFEST && parcel.members.iter().all(|(other, _)| other != name) {
                    parcel = parcel.with(name, b"x");
                }
            }
            _ => {
                let mut lines = parcel.lines();
                let at = chance.below(lines.len());
                match chance.below(5) {
                    0 => {
                        let twice = lines[at].clone();
                        lines.push(twice);
                    }
                    1 => {
                        lines.remove(at);
                    }
                    _ => {
                        if let Ok(mut line) = serde_json::from_str::<Value>(&lines[at]) {
                            otherwise(&mut line, chance);
                            lines[at] = line.to_string();
                        }
                    }
                }
                parcel = parcel.with_lines(&lines);
            }
        }
        if parcel.members.is_empty() {
            break;
        }
    }
    parcel.packed()
}

#[test]
fn whatever_comes_nothing_is_hurt() {
    let _turn = alone();
    let (here, there) =
        (tempfile::tempdir().expect("a scratch folder"), tempfile::tempdir().expect("a scratch folder"));
    stocked(here.path());
    // Something of the bundle is in the log already, and something else is not.
    let own = entry(
        50,
        About::Pickup(PickupId(name(1, 1))),
        Written::Known(Body::Thing(ThingBody::Retired { why: "sold".to_owned() })),
    );
    log(here.path()).write(std::slice::from_ref(&own)).expect("written");
    log(there.path()).write(std::slice::from_ref(&own)).expect("written");
    let good = packed(here.path());
    let parcel = Parcel::of(&good);
    // A short one, so that changes hit what matters.
    let short = Parcel { members: parcel.members[..1].to_vec(), ..parcel.clone() };
    let short = short.with_lines(&parcel.lines()[90..100]);
    let shorter = short.packed();
    let before = content(there.path());
    let tray = Tray::put(there.path(), name(7, 1)).expect("a tray");
    let mut chance = Chance(42);
    let (mut whole, mut most) = (0, 0.0_f32);
    let mut reasons = std::collections::BTreeMap::<&str, usize>::new();
    for number in 0..cases() {
        let bundle = match number % 4 {
            0 => roughly(&good, &shorter, &mut chance),
            1 => roughly(&shorter, &good, &mut chance),
            2 => finely(&short, &mut chance),
            _ => {
                let fine = finely(&short, &mut chance);
                if chance.below(2) == 0 { roughly(&fine, &shorter, &mut chance) } else { fine }
            }
        };
        ALLOCATOR.reset_peak_usage();
        let used = ALLOCATOR.current_usage_as_mb();
        let looked = look(there.path(), Cursor::new(&bundle), &tray, now(), &Watch::default());
        most = most.max(ALLOCATOR.peak_usage_as_mb() - used);
        match looked {
            Ok(_) => whole += 1,
            Err(NotCarried::Flaw(flaw)) => {
                assert!(!flaw.sentence().is_empty());
                *reasons.entry(flaw.code()).or_default() += 1;
            }
            Err(other) => unreachable!("case {number}: {other}"),
        }
        if number % 500 == 0 {
            assert_eq!(content(there.path()), before, "case {number}");
        }
    }
    assert_eq!(content(there.path()), before, "nothing was written");
    println!("{} cases, {whole} still whole, {most:.1} MiB at most", cases());
    println!("{reasons:?}");
    assert!(most < BOUND, "{most} MiB");
    // The changes reach all the way in: most reasons there are come up, and some changes leave a bundle whole.
    assert!(whole > 0 && reasons.len() > 12, "{reasons:?}");
}

/// What passes is taken in and looked at by every page that could show it.
#[test]
fn what_passes_can_be_looked_at() {
    let _turn = alone();
    let here = tempfile::tempdir().expect("a scratch folder");
    stocked(here.path());
    let parcel = Parcel::of(&packed(here.path()));
    let mut chance = Chance(7);
    let mut looked_at = 0;
    for _ in 0..cases() / 20 {
        let mut lines = parcel.lines();
        for _ in 0..3 {
            let at = chance.below(lines.len());
            if let Ok(mut line) = serde_json::from_str::<Value>(&lines[at]) {
                // Its kind stays, so that this version reads what it can.
                let fields = line["body"].as_object_mut().into_iter().flatten();
                let mut fields: Vec<&mut Value> =
                    fields.filter(|(name, _)| *name != "kind").map(|(_, of)| of).collect();
                let which = chance.below(fields.len());
                if let Some(field) = fields.get_mut(which) {
                    otherwise(field, &mut chance);
                }
                lines[at] = line.to_string();
            }
        }
        let mut changed = parcel.clone();
        changed.members.retain(|(name, _)| name == ENTRIES);
        let bundle = changed.with_lines(&lines).packed();
        let there = tempfile::tempdir().expect("a scratch folder");
        drop(log(there.path()));
        let tray = Tray::put(there.path(), name(7, 1)).expect("a tray");
        if look(there.path(), Cursor::new(&bundle), &tray, now(), &Watch::default()).is_err() {
            continue;
        }
        take_in(there.path(), Cursor::new(&bundle), &tray, now(), &Watch::default()).expect("taken in");
        drop(tray);
        let clock = solderlast_core::clock::SteppingClock::new(now(), chrono::TimeDelta::seconds(1));
        let dice = solderlast_core::clock::SeededDice::new(7);
        let bench = solderlast_core::ask::Bench::open(there.path(), Box::new(clock), &dice).expect("opens");
        let mut asks = vec![json!({"ask": "bench"}), json!({"ask": "logbook", "find": {}}), json!({"ask": "cautions"})];
        for retired in [false, true] {
            asks.extend(["drawer", "guitars", "rigs"].map(|list| json!({"ask": list, "retired": retired})));
        }
        for line in &lines {
            let Ok(line) = serde_json::from_str::<Value>(line) else { continue };
            let (thing, id) = (line["about"]["thing"].as_str().unwrap_or_default(), &line["about"]["id"]);
            match thing {
                "audition" => asks.push(json!({"ask": "audition", "id": id})),
                "pickup" => {
                    asks.push(json!({"ask": "pickup", "id": id, "unit": "millimetre"}));
                    asks.push(json!({"ask": "pickup_health", "id": id}));
                    asks.push(json!({"ask": "find_leads", "pickup": id, "rig": null}));
                }
                "guitar" | "rig" => asks.push(json!({"ask": thing, "id": id, "unit": "sixtyfourth"})),
                _ => {}
            }
        }
        asks.sort_by_key(Value::to_string);
        asks.dedup();
        for ask in asks {
            let answer: Value = serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).expect("JSON");
            // Some words are refused because what they name is not there any more; none is a mistake of the program.
            assert_ne!(answer["refused"]["code"], "program", "{ask}: {answer}");
        }
        for table in solderlast_core::logbook::Table::ALL {
            bench.write_table(table, &Default::default(), std::io::sink()).expect("written");
        }
        looked_at += 1;
    }
    assert!(looked_at > cases() / 60, "{looked_at}");
}
