//! A log carried out and in: whole, in part, twice, both ways; and bundles that are damaged or meant to hurt, each with
//! what is said of it, and a log that is as it was.

use std::io::Cursor;
use std::path::Path;

use chrono::TimeDelta;
use serde_json::{Value, json};
use solderlast_core::logbook::bundle::{Flaw, NotCarried, Tray, Watch, Which, limits, look, pack, take_in};
use solderlast_core::logbook::{Find, Lists};
use solderlast_core::record::audition::AuditionId;
use solderlast_core::record::body::{Body, ThingBody};
use solderlast_core::record::entry::{About, Written};
use solderlast_core::record::photo::PhotoName;
use solderlast_core::record::pickup::PickupId;
use solderlast_core::record::rig::Mode;
use solderlast_testkit::parcel::{
    ENTRIES, MANIFEST, Parcel, content, entry, log, looked_into, name, newer, now, packed, packed_of, photo, record_of,
    stocked, taken, trays, with_photo, zipped,
};

fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().expect("a scratch folder")
}

#[test]
fn a_log_carried_to_a_fresh_bench_is_the_same_log() {
    let (here, there) = (scratch(), scratch());
    stocked(here.path());
    drop(log(there.path()));
    let bundle = packed(here.path());
    let found = looked_into(there.path(), &bundle).expect("whole");
    assert_eq!(found.new.entries, found.manifest.counts.entries);
    assert_eq!((found.new.photos, found.new.pickups, found.here, found.newer), (2, 6, 0, 1));
    assert_eq!(content(there.path()).0.len(), 0, "looking changes nothing");
    assert_eq!(taken(there.path(), &bundle).expect("taken in"), found.new.entries);
    assert_eq!(content(there.path()), content(here.path()));
    assert_eq!(trays(there.path()), 0);
    // A copy of the log as it was lies beside it.
    assert_eq!(std::fs::read_dir(there.path().join("copies")).expect("copies").count(), 1);
    // The lists are up to date and nothing is missing in them.
    let mut log = log(there.path());
    assert_eq!(log.find(&Find::default()).expect("found").lines.len(), 5);
    assert_eq!(log.count_of("pickup").expect("counted"), 6);
    drop(log);
    // Packed there, it is the same but for who packed it.
    let [mut one, mut other] = [packed(here.path()), packed(there.path())].map(|bundle| Parcel::of(&bundle));
    one.manifest["bench"] = Value::Null;
    other.manifest["bench"] = Value::Null;
    assert_eq!(one, other);
}

#[test]
fn taken_in_twice_is_taken_in_once() {
    let (here, there) = (scratch(), scratch());
    stocked(here.path());
    drop(log(there.path()));
    let bundle = packed(here.path());
    assert!(taken(there.path(), &bundle).expect("taken in") > 0);
    let once = content(there.path());
    let found = looked_into(there.path(), &bundle).expect("whole");
    assert_eq!((found.new.entries, found.new.photos, found.added_to), (0, 0, 0));
    assert_eq!(found.here, found.manifest.counts.entries);
    assert_eq!(taken(there.path(), &bundle).expect("taken in"), 0);
    assert_eq!(content(there.path()), once);
}

#[test]
fn some_auditions_bring_what_they_are_about() {
    let (here, there) = (scratch(), scratch());
    stocked(here.path());
    drop(log(there.path()));
    let lines = log(here.path()).find(&Find::default()).expect("found").lines;
    let line = lines.iter().find(|line| line.pickup.is_some()).expect("an audition of something");
    let bundle = packed_of(here.path(), &Which::of([line.audition]));
    let found = looked_into(there.path(), &bundle).expect("whole");
    assert!(!found.manifest.whole);
    assert_eq!((found.new.auditions, found.new.rigs), (1, 1));
    assert!(found.new.pickups >= 1 && found.new.guitars == 1 && found.new.entries < found.manifest.counts.entries + 1);
    taken(there.path(), &bundle).expect("taken in");
    let there = log(there.path()).find(&Find::default()).expect("found").lines;
    assert_eq!(there.as_slice(), std::slice::from_ref(line), "it reads as it does here");
    let unknown = pack(
        here.path(),
        &Which::of([AuditionId(name(4, 99))]),
        now(),
        &mut Cursor::new(Vec::new()),
        &Watch::default(),
    );
    assert!(matches!(unknown, Err(NotCarried::Unpackable(_))));
}

#[test]
fn an_entry_of_a_newer_version_goes_through_to_the_letter() {
    let (here, there, farther) = (scratch(), scratch(), scratch());
    log(here.path()).write(&[newer(5)]).expect("written");
    for (from, to) in [(&here, &there), (&there, &farther)] {
        drop(log(to.path()));
        taken(to.path(), &packed(from.path())).expect("taken in");
    }
    assert_eq!(content(farther.path()), content(here.path()));
    assert!(content(farther.path()).0.values().all(|row| row.contains(r#"{ "kind": "rewound",  "turns": 5e1 }"#)));
}

#[test]
fn a_thing_that_this_version_does_not_know_is_carried_too() {
    let (here, there) = (scratch(), scratch());
    stocked(here.path());
    drop(log(there.path()));
    let parcel = Parcel::of(&packed(here.path()));
    let mut lines = parcel.lines();
    let other: Value = serde_json::from_str(&lines[0]).expect("a line");
    let mut other = other.clone();
    other["id"] = json!(name(9, 500));
    other["about"] = json!({"thing": "amplifier", "id": name(6, 1)});
    other["body"] = json!({"kind": "amplifier_described", "watts": 5});
    lines.push(other.to_string());
    let bundle = parcel.with_lines(&lines).packed();
    let found = looked_into(there.path(), &bundle).expect("whole");
    assert_eq!(
        (found.new.fits, found.new.others, found.newer),
        (1, 1, 2),
        "the demo bench's install, and the amplifier"
    );
    taken(there.path(), &bundle).expect("taken in");
    assert!(Parcel::of(&packed(there.path())).lines().iter().any(|line| line.contains("amplifier_described")));
}

#[test]
fn the_demo_bench_of_another_version_changes_nothing_here() {
    let (here, there) = (scratch(), scratch());
    for folder in [&here, &there] {
        log(folder.path()).write(&solderlast_core::demo::entries()).expect("written");
    }
    let parcel = Parcel::of(&packed(here.path()));
    let lines: Vec<String> = parcel.lines().iter().map(|line| line.replace(":6660", ":6661")).collect();
    let before = content(there.path());
    let changed = lines != parcel.lines();
    assert_eq!(taken(there.path(), &parcel.with_lines(&lines).packed()).expect("taken in"), 0);
    assert!(changed, "a stated resistance is another one");
    assert_eq!(content(there.path()), before);
}

#[test]
fn entries_dated_ahead_are_told_of() {
    let (here, there) = (scratch(), scratch());
    drop(log(there.path()));
    let mut ahead = entry(
        1,
        About::Pickup(PickupId(name(1, 1))),
        Written::Known(Body::Thing(ThingBody::Retired { why: String::new() })),
    );
    ahead.at = now() + TimeDelta::days(400);
    log(here.path()).write(&[ahead.clone()]).expect("written");
    let found = looked_into(there.path(), &packed(here.path())).expect("whole");
    assert_eq!(found.ahead, Some((1, ahead.at)));
    assert!(found.warnings()[0].contains("dated later than the clock here"), "{:?}", found.warnings());
}

#[test]
fn a_photo_that_is_not_there_is_told_of_and_the_rest_comes() {
    let (here, there) = (scratch(), scratch());
    drop(log(there.path()));
    let spoken_of = with_photo(here.path(), 9);
    std::fs::remove_dir_all(here.path().join("photos")).expect("removed");
    log(here.path()).write(&[spoken_of]).expect("written");
    let found = looked_into(there.path(), &packed(here.path())).expect("whole");
    assert_eq!((found.new.photos, found.new.photos_missing), (0, 1));
    assert_eq!(found.manifest.counts.photos_missing, 1);
    assert_eq!(taken(there.path(), &packed(here.path())).expect("taken in"), 1);
}

#[test]
fn a_photo_that_got_lost_here_comes_back_with_a_backup() {
    let here = scratch();
    stocked(here.path());
    let (before, bundle) = (content(here.path()), packed(here.path()));
    std::fs::remove_dir_all(here.path().join("photos")).expect("removed");
    let found = looked_into(here.path(), &bundle).expect("whole");
    assert_eq!((found.new.entries, found.new.photos, found.is_anything_new()), (0, 2, true));
    assert!(
        found.in_words(log(here.path()).bench()).last().is_some_and(|line| line.contains("2 photos that are missing"))
    );
    assert_eq!(taken(here.path(), &bundle).expect("taken in"), 0);
    assert_eq!(content(here.path()), before);
}

#[test]
fn called_off_at_every_point_it_leaves_the_log_as_it_was() {
    let (here, there) = (scratch(), scratch());
    stocked(here.path());
    drop(log(there.path()));
    let bundle = packed(here.path());
    let before = content(there.path());
    let off = Watch::default();
    off.call_off();
    let tray = Tray::put(there.path(), name(7, 1)).expect("a tray");
    let looked = look(there.path(), Cursor::new(&bundle), &tray, now(), &off);
    assert!(matches!(looked, Err(NotCarried::CalledOff)), "{looked:?}");
    look(there.path(), Cursor::new(&bundle), &tray, now(), &Watch::default()).expect("whole");
    let taken = take_in(there.path(), Cursor::new(&bundle), &tray, now(), &off);
    assert!(matches!(taken, Err(NotCarried::CalledOff)), "{taken:?}");
    drop(tray);
    assert_eq!(content(there.path()), before);
    assert_eq!(trays(there.path()), 0);
    let packed = pack(here.path(), &Which::All, now(), &mut Cursor::new(Vec::new()), &off);
    assert!(matches!(packed, Err(NotCarried::CalledOff)), "{packed:?}");
}

/// So many letters, of which packing makes little less: a long line that is no bomb.
fn hardly_packed(length: usize) -> String {
    let mut state = 7_u32;
    let letters = (0..length).map(|_| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        char::from(b'a' + (state >> 24) as u8 % 26)
    });
    letters.collect()
}

/// A bundle that must be refused, with the name of the reason and words of its sentence.
struct Hostile {
    what: &'static str,
    bundle: Vec<u8>,
    code: &'static str,
    says: &'static str,
}

/// Refuses all of these on this log, which must be as it was.
fn all_refused(folder: &Path, cases: Vec<Hostile>) {
    let before = content(folder);
    for Hostile { what, bundle, code, says } in cases {
        match taken(folder, &bundle) {
            Err(NotCarried::Flaw(flaw)) => {
                assert_eq!(flaw.code(), code, "{what}: {flaw}");
                assert!(flaw.sentence().contains(says), "{what}: {flaw}");
                assert!(flaw.sentence().ends_with("Nothing was brought in, and your log is as it was."), "{flaw}");
            }
            other => unreachable!("{what}: {other:?}"),
        }
        assert_eq!(content(folder), before, "{what}");
        assert_eq!(trays(folder), 0, "{what}");
    }
}

/// The same zip file with these bytes at this place of a member's record in its list.
fn with_record(zip: &[u8], member: &str, at: usize, bytes: &[u8]) -> Vec<u8> {
    let mut changed = zip.to_vec();
    let from = record_of(zip, member) + at;
    changed[from..from + bytes.len()].copy_from_slice(bytes);
    changed
}

#[test]
fn hostile_zip_files_are_refused() {
    let (here, there) = (scratch(), scratch());
    stocked(here.path());
    stocked(there.path());
    let good = packed(here.path());
    let parcel = || Parcel::of(&good);
    let members = |names: &[&str]| {
        let members: Vec<(String, Vec<u8>)> = names.iter().map(|name| ((*name).to_owned(), b"x".to_vec())).collect();
        zipped(&members)
    };
    let cut = |length: usize| good[..length].to_vec();
    let oddly = |what, bundle, says| Hostile { what, bundle, code: "bundle_oddly_packed", says };
    let named = |what, name: &str| Hostile {
        what,
        bundle: parcel().with(name, b"x").packed(),
        code: "bundle_name",
        says: "does not belong in one",
    };
    let nothing = |what, bundle| Hostile { what, bundle, code: "bundle_not_a_bundle", says: "not a bundle" };
    let end = good.len() - 22;
    let zeros = vec![b' '; 40_000_000];
    let with_end = |at: usize, bytes: &[u8]| {
        let mut changed = good.clone();
        changed[end + at..end + at + bytes.len()].copy_from_slice(bytes);
        changed
    };
    let mut prefixed = b"#!/bin/sh\n".to_vec();
    prefixed.extend(&good);
    // A second list under a name of the same length, so that the record can be made to name a member twice.
    let other = format!("photos/{}.jpg", "b".repeat(64));
    let first = parcel().members.iter().find(|(name, _)| name.starts_with("photos/")).expect("a photo").0.clone();
    let doubled = {
        let zip = parcel().with(&other, b"x").packed();
        with_record(&zip, &other, 46, first.as_bytes())
    };
    let crc_of = record_of(&good, ENTRIES) + 16;
    let wrong_crc = {
        let mut changed = good.clone();
        changed[crc_of] ^= 1;
        changed
    };
    let entries_at = good.iter().position(|byte| *byte == b'e').unwrap_or(0) + 60;
    let flipped = {
        let mut changed = good.clone();
        changed[entries_at] ^= 0x55;
        changed
    };
    all_refused(
        there.path(),
        vec![
            nothing("nothing at all", Vec::new()),
            nothing("a text", b"Dear diary, today the iron was hot.".to_vec()),
            nothing("a picture", photo(1)),
            nothing("cut short by one byte", cut(good.len() - 1)),
            nothing("cut in half", cut(good.len() / 2)),
            nothing("its end followed by something", [good.clone(), b"more".to_vec()].concat()),
            nothing("a comment at its end", [with_end(20, &[4, 0]), b"hey!".to_vec()].concat()),
            oddly("something before it", prefixed, "not where it should be"),
            oddly("many disks", with_end(4, &[1, 0]), "not where it should be"),
            oddly("other counts on other disks", with_end(8, &[1, 0]), "not where it should be"),
            oddly("a list elsewhere", with_end(16, &[0, 0, 0, 0]), "not where it should be"),
            oddly("as large as only zip64 can be", with_end(16, &[0xff; 4]), "not where it should be"),
            Hostile {
                what: "65,535 files",
                bundle: with_end(8, &[0xff; 4]),
                code: "bundle_too_many_members",
                says: "holds at most",
            },
            oddly("encrypted", with_record(&good, ENTRIES, 8, &[1, 0]), "encrypted"),
            oddly("sizes that come later", with_record(&good, ENTRIES, 8, &[8, 0]), "packed in another way"),
            oddly("another way of packing", with_record(&good, ENTRIES, 10, &[14, 0]), "packed in another way"),
            oddly("a link", with_record(&good, ENTRIES, 38, &[0, 0, 0xff, 0xa1]), "links or folders"),
            oddly("a folder", with_record(&good, ENTRIES, 38, &[0, 0, 0xed, 0x41]), "links or folders"),
            oddly("an extra field", with_record(&good, ENTRIES, 30, &[4, 0]), "carry more"),
            oddly("two members in the same bytes", with_record(&good, MANIFEST, 42, &[0; 4]), "overlap"),
            oddly("a member that begins late", with_record(&good, ENTRIES, 42, &[1, 0, 0, 0]), "overlap"),
            Hostile {
                what: "a name twice",
                bundle: doubled,
                code: "bundle_twice",
                says: "two files of the name photos/",
            },
            named("a path up and out", "../../entries.jsonl"),
            named("a path from the root", "/etc/passwd"),
            named("a path of another system", "..\\..\\entries.jsonl"),
            named("a drive", "C:\\entries.jsonl"),
            named("a stream of a file", "entries.jsonl:hidden"),
            named("a way out by the photos", &format!("photos/../../{}.jpg", "a".repeat(64))),
            named("a photo of some other name", "photos/me.jpg"),
            named("a folder", "photos/"),
            named("no name", ""),
            named("a name for a terminal", "\u{1b}[2J.txt"),
            named("other letters that look the same", "еntries.jsonl"),
            Hostile {
                what: "a bomb",
                bundle: parcel().with_lines(&[]).with(&other, &[]).unlisted().packed_with(ENTRIES, &zeros),
                code: "bundle_unpacks_too_far",
                says: "200 times its size",
            },
            Hostile {
                what: "a photo too large",
                bundle: with_record(&parcel().with(&other, b"x").packed(), &other, 24, &[0, 0, 0, 2]),
                code: "bundle_unpacks_too_far",
                says: "more than fits",
            },
            Hostile {
                what: "a size that lies low",
                bundle: with_record(&good, ENTRIES, 24, &[1, 0, 0, 0]),
                code: "bundle_changed",
                says: "was changed after it was packed",
            },
            Hostile {
                what: "a size that lies high",
                bundle: with_record(&good, ENTRIES, 24, &[0, 0, 8, 0]),
                code: "bundle_changed",
                says: "was changed after it was packed",
            },
            Hostile { what: "a wrong check sum", bundle: wrong_crc, code: "bundle_changed", says: "is damaged" },
            Hostile { what: "a byte gone bad", bundle: flipped, code: "bundle_changed", says: "is damaged" },
            Hostile {
                what: "a zip file of something else",
                bundle: members(&["readme.txt"]),
                code: "bundle_name",
                says: "readme.txt",
            },
            Hostile {
                what: "a zip file of nothing",
                bundle: zipped(&[]),
                code: "bundle_missing",
                says: "manifest.json is missing",
            },
            Hostile {
                what: "no list",
                bundle: members(&[ENTRIES]),
                code: "bundle_missing",
                says: "manifest.json is missing",
            },
            Hostile {
                what: "no entries",
                bundle: {
                    let mut p = parcel();
                    p.members.retain(|(name, _)| name != ENTRIES);
                    p.packed()
                },
                code: "bundle_missing",
                says: "entries.jsonl is missing",
            },
        ],
    );
}

#[test]
fn a_bundle_that_does_not_fit_its_list_is_refused() {
    let (here, there) = (scratch(), scratch());
    stocked(here.path());
    stocked(there.path());
    let good = packed(here.path());
    let parcel = || Parcel::of(&good);
    let case = |what, bundle, code, says| Hostile { what, bundle, code, says };
    let first_photo = parcel().members.iter().find(|(name, _)| name.starts_with("photos/")).expect("a photo").0.clone();
    let without_photo = |listed: bool| {
        let mut parcel = if listed { parcel().unlisted() } else { parcel() };
        parcel.members.retain(|(name, _)| *name != first_photo);
        parcel.packed()
    };
    let with_photo_bytes = |bytes: Vec<u8>| {
        let mut parcel = parcel();
        parcel.members.iter_mut().filter(|(name, _)| *name == first_photo).for_each(|(_, all)| all.clone_from(&bytes));
        parcel.packed()
    };
    let named_by_content = |bytes: &[u8]| {
        let name = PhotoName::of(bytes);
        let mut parcel = parcel();
        let lines: Vec<String> =
            parcel.lines().iter().map(|line| line.replace(&first_photo[7..71], name.as_str())).collect();
        parcel.members.retain(|(name, _)| *name != first_photo);
        parcel.with_lines(&lines).with(&format!("photos/{name}.jpg"), bytes).packed()
    };
    let mut commented = photo(1);
    commented.splice(2..2, [0xFF, 0xFE, 0, 6, b'h', b'e', b'y', b'!']);
    let mut trailing = photo(1);
    trailing.extend(b"<script>");
    let repeated = {
        let mut manifest = parcel().manifest;
        let first = manifest["members"][0].clone();
        manifest["members"].as_array_mut().expect("a list").push(first);
        Parcel { manifest, ..parcel().unlisted() }.packed()
    };
    all_refused(
        there.path(),
        vec![
            case(
                "another program's",
                parcel().saying("form", json!("recipes")).packed(),
                "bundle_other_form",
                "some other program",
            ),
            case(
                "an older form",
                parcel().saying("version", json!(0)).packed(),
                "bundle_other_form",
                "some other program",
            ),
            case("a newer form", parcel().saying("version", json!(3)).packed(), "bundle_newer_form", "form 3"),
            case(
                "a form of no number",
                parcel().saying("version", json!("1")).packed(),
                "bundle_manifest",
                "can't be read",
            ),
            case(
                "a list of nothing",
                parcel().unlisted().saying("members", json!([])).packed(),
                "bundle_not_listed",
                "entries.jsonl",
            ),
            case(
                "a list that is no list",
                parcel().unlisted().saying("members", json!({})).packed(),
                "bundle_manifest",
                "can't be read",
            ),
            case("a member listed twice", repeated, "bundle_manifest", "can't be read"),
            case("a photo that is listed and not there", without_photo(true), "bundle_missing", "photos/"),
            case(
                "a photo that is not listed",
                parcel().unlisted().with(&format!("photos/{}.jpg", "c".repeat(64)), b"x").packed(),
                "bundle_not_listed",
                "photos/ccc",
            ),
            case(
                "a photo nobody speaks of",
                {
                    let bytes = photo(77);
                    let name = PhotoName::of(&bytes);
                    parcel().with(&format!("photos/{name}.jpg"), &bytes).packed()
                },
                "bundle_photo_of_nothing",
                "No entry in this bundle speaks of",
            ),
            case("a photo of another name", with_photo_bytes(photo(3)), "bundle_changed", "photos/"),
            case("a page for a photo", named_by_content(b"<html>"), "bundle_photo", "not a photo"),
            case("a photo with a comment", named_by_content(&commented), "bundle_photo", "not a photo"),
            case("a photo with something behind it", named_by_content(&trailing), "bundle_photo", "not a photo"),
            case(
                "entries changed",
                parcel().unlisted().with_lines(&parcel().lines()[1..]).packed(),
                "bundle_changed",
                "entries.jsonl",
            ),
            case(
                "fewer entries than it says",
                {
                    let mut p = parcel();
                    p.manifest["counts"]["entries"] = json!(5);
                    p.packed()
                },
                "bundle_counts",
                "as many entries",
            ),
            case(
                "more entries than it says",
                {
                    let mut p = parcel();
                    p.manifest["counts"]["entries"] = json!(5000);
                    p.packed()
                },
                "bundle_counts",
                "as many entries",
            ),
        ],
    );
}

#[test]
fn entries_that_no_log_holds_are_refused() {
    let (here, there) = (scratch(), scratch());
    stocked(here.path());
    let own = entry(
        50,
        About::Pickup(PickupId(name(1, 1))),
        Written::Known(Body::Thing(ThingBody::Retired { why: "sold".to_owned() })),
    );
    for folder in [&here, &there] {
        log(folder.path()).write(std::slice::from_ref(&own)).expect("written");
    }
    let good = packed(here.path());
    let parcel = || Parcel::of(&good);
    // The same bundle with its last line changed, which is the entry that is there too.
    let changed = |change: &dyn Fn(&mut Value)| {
        let mut lines = parcel().lines();
        let last = lines.pop().expect("a line");
        let mut value: Value = serde_json::from_str(&last).expect("JSON");
        change(&mut value);
        lines.push(value.to_string());
        parcel().with_lines(&lines).packed()
    };
    let with_line = |line: String| {
        let mut lines = parcel().lines();
        lines.push(line);
        parcel().with_lines(&lines).packed()
    };
    let last = parcel().lines().pop().expect("a line");
    let case = |what, bundle, code, says| Hostile { what, bundle, code, says };
    let rated = json!({"kind": "rated", "mode": Mode("series".to_owned()), "quality": "treble", "value": 200});
    all_refused(
        there.path(),
        vec![
            case(
                "a line that is too long",
                with_line(hardly_packed(limits::LONGEST_LINE + 1)),
                "bundle_long_line",
                "longer than 2 MB",
            ),
            case("an empty line", with_line(String::new()), "bundle_line", "can't be read"),
            case("a line that is no JSON", with_line("{".to_owned()), "bundle_line", "can't be read"),
            case(
                "a line that is not text",
                {
                    let mut p = parcel();
                    p.members[0].1.extend(b"\xff\xfe\n");
                    p.manifest["counts"]["entries"] = json!(p.lines().len());
                    p.packed()
                },
                "bundle_line",
                "can't be read",
            ),
            case("a line with more in it", changed(&|line| line["seq"] = json!(1)), "bundle_line", "can't be read"),
            case("a body without a kind", changed(&|line| line["body"] = json!({})), "bundle_line", "can't be read"),
            case(
                "a name of another version",
                changed(&|line| line["id"] = json!("019a3c5f-7e00-4000-8000-000000000001")),
                "bundle_not_a_name",
                "no log gives",
            ),
            case(
                "a thing with a path for a name",
                changed(&|line| line["about"]["thing"] = json!("../pickup")),
                "bundle_not_a_name",
                "no log gives",
            ),
            case(
                "a date before all clocks",
                changed(&|line| line["at"] = json!("1969-12-31T23:59:59Z")),
                "bundle_time",
                "no clock shows",
            ),
            case(
                "a date after all clocks",
                changed(&|line| line["at"] = json!("9999-12-31T23:59:59Z")),
                "bundle_time",
                "no clock shows",
            ),
            case(
                "a date of some zone",
                changed(&|line| line["at"] = json!("2026-11-03T10:00:00+01:00")),
                "bundle_time",
                "no clock shows",
            ),
            case(
                "a rating past its scale",
                changed(&|line| {
                    line["id"] = json!(name(9, 51));
                    line["body"] = rated.clone();
                }),
                "bundle_unsound",
                "nobody can have written",
            ),
            case("an entry twice", with_line(last.clone()), "bundle_entry_twice", "name of another entry"),
            case(
                "one name for two things in it",
                changed(&|line| {
                    line["id"] = json!(name(9, 52));
                    line["about"]["thing"] = json!("guitar");
                    line["about"]["id"] =
                        serde_json::from_str::<Value>(&parcel().lines()[0]).expect("JSON")["about"]["id"].clone();
                    if line["about"]["thing"]
                        == serde_json::from_str::<Value>(&parcel().lines()[0]).expect("JSON")["about"]["thing"]
                    {
                        line["about"]["thing"] = json!("rig");
                    }
                }),
                "bundle_two_things",
                "two different things",
            ),
            case(
                "a name that means something else here",
                changed(&|line| {
                    line["id"] = json!(name(9, 53));
                    line["about"]["thing"] = json!("guitar");
                }),
                "bundle_two_things",
                "something else than this log",
            ),
            case(
                "words rewritten",
                changed(&|line| line["body"]["why"] = json!("lost")),
                "bundle_rewritten",
                "saved for good",
            ),
            case(
                "a date rewritten",
                changed(&|line| line["at"] = json!("2026-11-03T10:00:00Z")),
                "bundle_rewritten",
                "saved for good",
            ),
            case(
                "a writer rewritten",
                changed(&|line| line["bench"] = json!(name(8, 5))),
                "bundle_rewritten",
                "saved for good",
            ),
        ],
    );
    // The same words in another order of their fields are the same words.
    let same = with_line("placeholder".to_owned());
    assert!(matches!(taken(there.path(), &same), Err(NotCarried::Flaw(Flaw::Line(_)))));
    let reordered = {
        let mut lines = parcel().lines();
        let last = lines.pop().expect("a line");
        lines.push(last.replace(r#"{"kind":"retired","why":"sold"}"#, r#"{ "why": "sold", "kind": "retired" }"#));
        parcel().with_lines(&lines).packed()
    };
    assert!(taken(there.path(), &reordered).is_ok());
}

/// A stop at each place around the writing, as a killed program leaves it: the next opening ends it or puts it away.
#[test]
fn what_a_stop_left_on_a_tray_is_ended() {
    for committed in [false, true] {
        let (here, there) = (scratch(), scratch());
        stocked(here.path());
        drop(log(there.path()));
        let bundle = packed(here.path());
        let tray = there.path().join("carry").join(name(7, 3).to_string());
        std::fs::create_dir_all(tray.join("photos")).expect("a folder");
        std::fs::write(tray.join("lock"), b"").expect("written");
        std::fs::write(tray.join("bundle.zip"), &bundle).expect("written");
        for number in [1, 2] {
            let bytes = photo(number);
            let name = PhotoName::of(&bytes);
            std::fs::write(tray.join("photos").join(name.as_str()), bytes).expect("written");
        }
        let first: Value = serde_json::from_str(&Parcel::of(&bundle).lines()[0]).expect("JSON");
        std::fs::write(tray.join("committing"), first["id"].as_str().expect("a name")).expect("written");
        if committed {
            let mut entries = solderlast_core::demo::entries();
            let elsewhere = scratch();
            entries.extend([with_photo(elsewhere.path(), 1), with_photo(elsewhere.path(), 2), newer(3)]);
            log(there.path()).write(&entries).expect("written");
        }
        let bench = solderlast_core::ask::Bench::open(
            there.path(),
            Box::new(solderlast_core::clock::SteppingClock::new(now(), TimeDelta::seconds(1))),
            &solderlast_core::clock::SeededDice::new(7),
        );
        drop(bench.expect("opens"));
        assert_eq!(trays(there.path()), 0);
        if committed {
            assert_eq!(content(there.path()), content(here.path()));
        } else {
            assert_eq!(content(there.path()), (Default::default(), Default::default()));
        }
    }
}
