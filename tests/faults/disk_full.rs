//! A full disk: a small file system in memory, filled to a few kilobytes. What can't be written is refused in a
//! sentence, what was written stays, and it goes on where there is room again.

use std::fs::{self, File};
use std::io::{ErrorKind, Write as _};
use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};
use solderlast_testkit::Chance;
use solderlast_testkit::limits::output;
use solderlast_testkit::sound::{Samples, Sound};

use crate::bench::{Stock, name};
use crate::client::Client;
use crate::log;
use crate::takes::sent;

/// Set for a test that runs in a user namespace of its own, where it may mount.
const OWN_NAMESPACE: &str = "SOLDERLAST_OWN_NAMESPACE";

/// Runs `test` on a file system of `kilobytes`. Root may mount one; anybody else gets a namespace in which they are root,
/// for which the test named `named` is started once more. Where neither is possible the test fails.
fn on_a_small_disk(named: &str, kilobytes: u32, test: impl FnOnce(&Path)) {
    let place = tempfile::tempdir().expect("a place to mount it");
    let mut mount = Command::new("mount");
    mount.args(["-t", "tmpfs", "-o", &format!("size={kilobytes}k,mode=700"), "tmpfs"]).arg(place.path());
    let mounted = output(&mut mount, b"").is_ok_and(|mounting| mounting.status.success());
    if mounted {
        struct Mounted<'a>(&'a Path);
        impl Drop for Mounted<'_> {
            fn drop(&mut self) {
                let _ = Command::new("umount").arg("--lazy").arg(self.0).status();
            }
        }
        let disk = Mounted(place.path());
        test(disk.0);
        return;
    }
    assert!(
        std::env::var_os(OWN_NAMESPACE).is_none(),
        "not even in a namespace of one's own can a file system be mounted"
    );
    let this = std::env::current_exe().expect("this program");
    let mut again = Command::new("unshare");
    again
        .args(["--user", "--map-root-user", "--mount"])
        .arg(this)
        .args(["--exact", &format!("disk_full::{named}"), "--nocapture"])
        .env(OWN_NAMESPACE, "1");
    let again =
        output(&mut again, b"").expect("a small disk needs root, or util-linux's unshare to be root in a namespace");
    print!("{}", String::from_utf8_lossy(&again.stdout));
    assert!(again.status.success(), "a small disk needs root, or a kernel that lets anybody have a user namespace");
}

/// What takes up all room of the disk but `left` bytes.
fn fill(disk: &Path, left: u64) {
    let mut ballast = File::create(disk.join("ballast")).expect("a file");
    let block = [0x55; 4096];
    let full = loop {
        if let Err(error) = ballast.write_all(&block) {
            break error;
        }
    };
    assert!(matches!(full.kind(), ErrorKind::StorageFull), "{full}");
    let length = ballast.metadata().expect("its length").len();
    ballast.set_len(length.saturating_sub(left)).expect("shortened");
}

fn make_room(disk: &Path) {
    fs::remove_file(disk.join("ballast")).expect("removed");
}

fn words(audition: &str) -> Value {
    json!({"ask": "describe_amp", "entry": name(), "audition": audition, "words": "loud ".repeat(600)})
}

fn entry_of(ask: &Value) -> String {
    log::plain(ask["entry"].as_str().expect("a name"))
}

/// Asks that must be answered on a full disk: they only look.
fn look(client: &mut Client, stock: &Stock) {
    for ask in [
        json!({"ask": "bench"}),
        json!({"ask": "audition", "id": stock.audition}),
        json!({"ask": "logbook", "find": {}}),
        json!({"ask": "logbook", "find": {"words": "crane"}}),
        json!({"ask": "drawer", "retired": false}),
        json!({"ask": "rig", "id": stock.rig, "unit": "millimetre"}),
        json!({"ask": "check_log"}),
    ] {
        client.ok(&ask);
    }
}

/// Writes until it is refused for want of room; answers what was acknowledged and the ask that was refused.
fn write_until_full(client: &mut Client, stock: &Stock) -> (Vec<String>, Value) {
    let mut acknowledged = Vec::new();
    for _ in 0..2000 {
        let ask = words(&stock.audition);
        let answer = client.asked(&ask);
        if answer.get("ok").is_some() {
            acknowledged.push(entry_of(&ask));
            continue;
        }
        assert_eq!(answer["refused"]["code"], "disk_full", "{answer}");
        let sentence = answer["refused"]["sentence"].as_str().expect("a sentence");
        assert!(sentence.contains("disk is full") && sentence.contains("not written"), "{sentence}");
        return (acknowledged, ask);
    }
    panic!("two thousand entries found room on a full disk");
}

/// With every amount of room left, so that it runs out in every place: the write-ahead file, its index, the log itself.
#[test]
fn what_finds_no_room_is_refused_and_goes_in_later() {
    on_a_small_disk("what_finds_no_room_is_refused_and_goes_in_later", 6 * 1024, |disk| {
        for left in [0, 4, 8, 12, 16, 20, 24, 28, 32, 36, 40, 48, 64, 100, 200, 500, 1000] {
            let folder = disk.join(format!("log {left}"));
            let stock = Stock::new();
            let mut client = Client::start(&folder);
            for ask in &stock.asks {
                client.ok(ask);
            }
            fill(disk, left * 1024);
            let (mut acknowledged, refused) = write_until_full(&mut client, &stock);
            for _ in 0..3 {
                assert_eq!(client.asked(&refused)["refused"]["code"], "disk_full", "{left} kB left");
            }
            look(&mut client, &stock);
            let there = log::names(&log::file(&folder));
            assert!(!there.contains(&entry_of(&refused)), "{left} kB left: refused, so not written");
            assert!(acknowledged.iter().all(|name| there.contains(name)), "{left} kB left");

            make_room(disk);
            client.ok(&refused);
            acknowledged.push(entry_of(&refused));
            for _ in 0..20 {
                let ask = words(&stock.audition);
                client.ok(&ask);
                acknowledged.push(entry_of(&ask));
            }
            look(&mut client, &stock);
            assert!(client.ended_well());
            let there = log::names(&log::file(&folder));
            assert!(acknowledged.iter().all(|name| there.contains(name)), "{left} kB left");
            assert_eq!(there.len(), stock.asks.len() + acknowledged.len());
            assert_eq!(log::finding(&log::file(&folder)), "ok");
            fs::remove_dir_all(&folder).expect("removed");
        }
    });
}

/// Killed on a full disk, and opened again while it is still full.
#[test]
fn a_log_opens_on_a_full_disk_and_keeps_what_it_has() {
    on_a_small_disk("a_log_opens_on_a_full_disk_and_keeps_what_it_has", 6 * 1024, |disk| {
        let mut opened = 0;
        for left in [0, 4, 8, 16, 32, 36, 40, 64, 100, 200] {
            let folder = disk.join(format!("log {left}"));
            let stock = Stock::new();
            let mut client = Client::start(&folder);
            for ask in &stock.asks {
                client.ok(ask);
            }
            fill(disk, left * 1024);
            let (acknowledged, _) = write_until_full(&mut client, &stock);
            client.kill();
            // Without copies one is due, which must not keep the log from opening.
            fs::remove_dir_all(folder.join("copies")).expect("removed");
            fill(disk, left * 1024);

            let mut next = Client::start(&folder);
            if let Some(said) = next.refused_to_open() {
                assert!(said.contains("disk is full"), "{left} kB left: {said}");
            } else {
                opened += 1;
                look(&mut next, &stock);
                let answer = next.asked(&words(&stock.audition));
                assert!(answer.get("ok").is_some() || answer["refused"]["code"] == "disk_full", "{answer}");
                next.kill();
            }
            make_room(disk);
            let mut last = Client::start(&folder);
            look(&mut last, &stock);
            assert_eq!(last.ok(&json!({"ask": "bench"}))["bench"]["notices"], json!([]), "nothing was damaged");
            let there = log::names(&log::file(&folder));
            assert!(acknowledged.iter().all(|name| there.contains(name)), "{left} kB left");
            assert!(last.ended_well());
            assert_eq!(log::finding(&log::file(&folder)), "ok");
            assert!(!log::copies(&folder).is_empty(), "a copy, now that there is room");
            fs::remove_dir_all(&folder).expect("removed");
        }
        println!("{opened} of 10 logs opened on the full disk");
        assert!(opened >= 8, "with a few kilobytes of room a log opens to be read");
    });
}

/// What is erased takes room to erase; where there is none it is said, and nothing of it is lost by halves.
#[test]
fn erasing_on_a_full_disk_is_done_or_refused() {
    on_a_small_disk("erasing_on_a_full_disk_is_done_or_refused", 6 * 1024, |disk| {
        let (mut done, mut refused) = (0, 0);
        for left in [0, 16, 64, 128, 200, 300, 400, 600, 800, 1200, 2000] {
            let folder = disk.join(format!("log {left}"));
            let stock = Stock::new();
            let mut client = Client::start(&folder);
            for ask in &stock.asks {
                client.ok(ask);
            }
            let other = name();
            client.ok(&stock.choose(&other));
            for _ in 0..40 {
                client.ok(&json!({"ask": "describe_amp", "entry": name(), "audition": other, "words": "quokkafold ".repeat(300)}));
            }
            client.ok(&json!({"ask": "bench"}));
            fill(disk, left * 1024);
            let erase = json!({"ask": "erase", "things": [{"thing": "audition", "id": other}]});
            let answer = client.asked(&erase);
            if answer.get("ok").is_some() {
                done += 1;
            } else {
                refused += 1;
                assert_eq!(answer["refused"]["code"], "disk_full", "{left} kB left: {answer}");
            }
            look(&mut client, &stock);
            make_room(disk);
            client.ok(&erase);
            look(&mut client, &stock);
            assert!(client.ended_well());
            for file in log::copies(&folder).iter().chain([&log::file(&folder)]) {
                let bytes = fs::read(file).expect("read");
                assert!(!bytes.windows(10).any(|word| word == b"quokkafold"), "{left} kB left: {}", file.display());
                assert_eq!(log::finding(file), "ok");
            }
            assert!(!log::copies(&folder).is_empty());
            fs::remove_dir_all(&folder).expect("removed");
        }
        println!("{done} erased on the full disk, {refused} refused until there was room");
        assert!(done > 0 && refused > 0, "both ways are to be seen");
    });
}

/// A recording that finds no room: it is said, nothing of it is left, and those before are whole.
#[test]
fn a_recording_without_room_leaves_nothing() {
    on_a_small_disk("a_recording_without_room_leaves_nothing", 12 * 1024, |disk| {
        let folder = disk.join("log");
        let stock = Stock::new();
        let mut client = Client::start(&folder);
        for ask in &stock.asks {
            client.ok(ask);
        }
        assert!(client.ended_well());
        let file = |seed: u64| {
            let sound = Sound::silence(44_100, 1, 6.0).noise(1e-2, &mut Chance(seed));
            sound.wav(Samples::Whole(16))
        };
        assert!(sent(&folder, &stock.audition, &name(), &file(1), None).is_kept());
        let files = || {
            let all = fs::read_dir(folder.join("takes")).expect("there are takes").filter_map(Result::ok);
            let mut names: Vec<String> = all.map(|file| file.file_name().to_string_lossy().into_owned()).collect();
            names.sort();
            names
        };
        let before = files();
        // None for what arrives, or for all of what it is kept as.
        for left in [100, 500, 700, 960] {
            fill(disk, left * 1024);
            let refused = sent(&folder, &stock.audition, &name(), &file(2), None);
            assert!(refused.answer.contains("\"disk_full\""), "{left} kB left: {:.400}", refused.answer);
            assert!(refused.answer.contains("disk is full"), "{left} kB left: {:.400}", refused.answer);
            assert_eq!(files(), before, "{left} kB left");
            make_room(disk);
        }
        assert!(sent(&folder, &stock.audition, &name(), &file(2), None).is_kept());
        assert_eq!(files().len(), before.len() + 2, "its sound, and what it tells");
    });
}
