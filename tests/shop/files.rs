//! Photos and takes over a shared log: they come along, go on where they broke off, and what is not what it is called is refused.

use std::process::{Command, Stdio};
use std::time::Duration;

use chrono::Utc;
use solderlast_core::clock::version_7;
use solderlast_meet::in_memory::InMemory;
use solderlast_serve::machine::SystemDice;
use solderlast_testkit::Chance;
use solderlast_testkit::limits::{A_PROGRAM, Leash};
use solderlast_tests::program::built;

use crate::bench::Stock;
use crate::in_any_order::met;
use crate::number;
use crate::server::{PASSWORD, Postgres, program};
use crate::shopkeeper::{Files, Shopkeeper};

/// Meets once, which must go well; answers what was said.
fn meets(server: &Postgres, database: &str, keeper: &Shopkeeper) -> String {
    let output = program(&["meet", &server.address(database), "--once"], &keeper.folder(), Some(PASSWORD));
    assert!(output.status.success(), "{output:?}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn halves(keeper: &Shopkeeper) -> Vec<u64> {
    let all = std::fs::read_dir(keeper.folder().join("takes")).into_iter().flatten().filter_map(Result::ok);
    let half = all.filter(|file| file.file_name().to_string_lossy().ends_with(".half"));
    half.map(|file| file.metadata().expect("told").len()).collect()
}

#[test]
fn photos_and_takes_come_along() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    let (stock, mut chance) = (Stock::new(), Chance(3));
    let (mut ada, mut ben) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
    ada.photo(&stock.audition, 1);
    ada.take(&stock.audition, (5 << 20) + 17, &mut chance);
    ada.take(&stock.audition, 2 << 20, &mut chance);
    let said = meets(&server, "shop", &ada);
    assert!(said.contains("entries and 3 photos and takes, brought in nothing"), "{said}");
    let said = meets(&server, "shop", &ben);
    assert!(said.contains("Sent nothing, brought in") && said.contains("and 3 photos and takes."), "{said}");
    assert_eq!(ada.files().len(), 3);
    assert!(ada.files() == ben.files());
    assert_eq!(ada.folds(&stock.audition), ben.folds(&stock.audition));
    for keeper in [&ada, &ben] {
        let said = meets(&server, "shop", keeper);
        assert!(said.contains("Nothing new on either side."), "{said}");
    }
    // What got lost here, or was changed on the disk, is had again.
    let all = ben.files();
    for (at, name) in all.keys().enumerate() {
        let path = ben.folder().join(name);
        if at == 0 {
            std::fs::remove_file(path).expect("removed")
        } else {
            std::fs::write(path, b"x").expect("changed")
        }
    }
    // What is known of the shared log says that they are there.
    for file in std::fs::read_dir(ben.folder()).expect("listed").filter_map(Result::ok) {
        if file.file_name().to_string_lossy().starts_with("solderlast.shared") {
            std::fs::remove_file(file.path()).expect("removed");
        }
    }
    let said = meets(&server, "shop", &ben);
    assert!(said.contains("brought in 3 photos and takes."), "{said}");
    assert!(ben.files() == all);
}

#[test]
fn what_arrived_before_a_break_is_not_sent_again() {
    let (stock, mut chance) = (Stock::new(), Chance(5));
    let (mut ada, ben) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
    ada.take(&stock.audition, (9 << 20) + 5, &mut chance);
    let shared = InMemory::new(version_7(Utc::now(), &SystemDice));
    let mut broken = 0;
    for (keeper, way) in [(&ada, "out"), (&ben, "in")] {
        let before = shared.parts_moved();
        while met(keeper, &mut shared.breaking_after(9 + chance.below(4_usize), chance.flip()), false).is_err() {
            broken += 1;
            assert!(broken < 100, "it never ends");
            for length in halves(keeper) {
                assert_eq!(length % (1 << 20), 0, "whole parts alone");
            }
        }
        assert_eq!(shared.parts_moved() - before, 10, "{way}: each part once");
    }
    assert!(broken > 2, "hardly anything broke: the test says little");
    assert!(ada.files() == ben.files() && halves(&ben).is_empty());
}

/// A file that came in half goes on also when what is there of it was changed, and goes when nobody names it.
#[test]
fn a_half_that_was_changed_is_mended() {
    let (stock, mut chance) = (Stock::new(), Chance(6));
    let (mut ada, ben) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
    ada.take(&stock.audition, 6 << 20, &mut chance);
    let shared = InMemory::new(version_7(Utc::now(), &SystemDice));
    met(&ada, &mut shared.clone(), false).expect("nothing breaks");
    met(&ben, &mut shared.breaking_after(11, false), false).expect_err("broken");
    assert!(halves(&ben).iter().all(|length| *length >= 2 << 20), "{:?}", halves(&ben));
    let path = std::fs::read_dir(ben.folder().join("takes")).expect("there").next().expect("one").expect("read").path();
    let mut bytes = std::fs::read(&path).expect("read");
    bytes[(1 << 20) + 5] ^= 1;
    bytes.extend(b"and more");
    std::fs::write(&path, bytes).expect("changed");
    met(&ben, &mut shared.clone(), false).expect("nothing breaks");
    assert!(ada.files() == ben.files() && halves(&ben).is_empty());
}

/// Rows changed by hand, and false words of an account that may add.
#[test]
fn a_file_that_is_not_what_it_is_called_is_refused_by_itself() {
    let server = Postgres::start(&[]);
    let (stock, mut chance) = (Stock::new(), Chance(4));
    for (case, change) in [
        (
            "part",
            "UPDATE solderlast.part SET bytes = set_byte(bytes, 700000, 1 - least(1, get_byte(bytes, 700000)))
            WHERE octet_length(bytes) = 1048576",
        ),
        ("shorter", "UPDATE solderlast.part SET bytes = substr(bytes, 2) WHERE octet_length(bytes) = 1048576"),
        ("list", "UPDATE solderlast.file SET parts = substr(parts, 33) || substr(parts, 1, 32) WHERE bytes > 1048576"),
        ("length", "UPDATE solderlast.file SET bytes = bytes - 1 WHERE bytes > 1048576"),
        (
            "name",
            "UPDATE solderlast.file f SET sum = (SELECT sum FROM solderlast.file g WHERE g.number <> f.number
            ORDER BY g.number LIMIT 1) WHERE bytes > 1048576",
        ),
    ] {
        server.shared_log(case);
        let (mut ada, ben) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
        ada.photo(&stock.audition, 9);
        ada.take(&stock.audition, (2 << 20) + 9, &mut chance);
        meets(&server, case, &ada);
        let owner = server.keeper(case);
        owner.does("ALTER TABLE solderlast.part DROP CONSTRAINT sum_of_part; ALTER TABLE solderlast.file DROP CONSTRAINT sum_of_parts");
        owner.does(change);
        let said = meets(&server, case, &ben);
        let (photos, takes): (Vec<_>, Vec<_>) = ben.files().into_keys().partition(|name| name.starts_with("photos"));
        assert!(ben.rows() == ada.rows(), "{case}: the entries are in");
        assert_eq!(takes, Vec::<String>::new(), "{case}: {said}");
        assert!(halves(&ben).is_empty(), "{case}: nothing of it is left");
        assert_eq!(photos.len(), 1, "{case}: the photo is in: {said}");
        if case == "name" {
            // The take is told no more, and the photo twice, once falsely: the true one is in.
            assert!(!said.contains("take that") || said.contains("1 photo or take that can't be"), "{said}");
        } else {
            assert!(said.contains("has 1 photo or take that can't be what the entries speak of"), "{case}: {said}");
        }
    }

    // A bench that tells a file falsely keeps nobody from the true one.
    server.shared_log("falsely");
    let (mut ada, ben) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
    ada.take(&stock.audition, (1 << 20) + 1, &mut chance);
    let name = ada.files().into_keys().next().expect("a take");
    let digits = name.trim_start_matches("takes/").trim_end_matches(".flac");
    let eve = server.somebody("ada", "falsely");
    eve.does("INSERT INTO solderlast.part (sum, bytes) VALUES (sha256('other'), 'other')");
    eve.does(&format!(
        "INSERT INTO solderlast.file (sum, bytes, parts, parts_sum)
         VALUES (decode('{digits}', 'hex'), 5, sha256('other'), sha256(sha256('other')))"
    ));
    let said = meets(&server, "falsely", &ada);
    assert!(said.contains("and 1 photo or take, brought in nothing"), "{said}");
    let said = meets(&server, "falsely", &ben);
    assert!(said.contains("1 photo or take.") || said.contains("and 1 photo or take"), "{said}");
    assert!(ben.files() == ada.files());
}

/// What one program takes of memory at its most, in MiB.
fn peak_of_meeting(server: &Postgres, keeper: &Shopkeeper) -> f64 {
    let mut child = Command::new(built())
        .args(["meet", &server.address("shop"), "--once"])
        .env("SOLDERLAST_LOG", keeper.folder())
        .env("PGPASSWORD", PASSWORD)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .spawn()
        .expect("the program can be started");
    let _leash = Leash::on(&child, A_PROGRAM);
    let mut peak = 0.0_f64;
    loop {
        let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let told = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok());
        peak = peak.max(told.unwrap_or(0.0) / 1024.0);
        if let Some(ended) = child.try_wait().expect("asked") {
            assert!(ended.success());
            return peak;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn memory_is_flat_however_long_a_take_is() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    let (stock, mut chance) = (Stock::new(), Chance(8));
    let (mut ada, ben) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
    ada.take(&stock.audition, 2 << 20, &mut chance);
    let small = peak_of_meeting(&server, &ada).max(peak_of_meeting(&server, &ben));
    let megabytes = number("SOLDERLAST_TAKE_MB", 120);
    ada.take(&stock.audition, usize::try_from(megabytes).unwrap() * 1_000_000, &mut chance);
    let (out, inside) = (peak_of_meeting(&server, &ada), peak_of_meeting(&server, &ben));
    let (here, there): (Files, Files) = (ada.files(), ben.files());
    assert!(here == there);
    println!("2 MiB: {small:.0} MiB; {megabytes} MB: out {out:.0}, in {inside:.0} MiB");
    // A few parts on their way, in buffers that grew for them and that the allocator may keep; held whole, the take would be all
    // of it, and more. How much the allocator keeps differs from run to run, so the bound is far from either.
    let held = megabytes as f64 * 1e6 / f64::from(1 << 20);
    assert!(
        out.max(inside) < small + 0.7 * held,
        "2 MiB: {small:.0} MiB; {megabytes} MB: out {out:.0}, in {inside:.0} MiB"
    );
}

/// A shared log of the version before, which had entries alone, is brought up to date; nothing of it is lost.
#[test]
fn a_shared_log_of_the_version_before_is_brought_up_to_date() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    let stock = Stock::new();
    let mut ada = Shopkeeper::stocked(&stock);
    meets(&server, "shop", &ada);
    let owner = server.keeper("shop");
    owner.does(
        "DROP TABLE solderlast.file, solderlast.part, solderlast.erasure CASCADE;
         DROP TRIGGER leave_erased_out ON solderlast.entry;
         DROP FUNCTION solderlast.is_whole, solderlast.is_named, solderlast.is_of_a_file, solderlast.leave_erased_out;
         DROP POLICY keepers_read ON solderlast.version; DROP POLICY keepers_read ON solderlast.shared_log;
         DROP POLICY keepers_read ON solderlast.entry;
         ALTER TABLE solderlast.entry DROP CONSTRAINT purged_whole, ALTER COLUMN line SET NOT NULL, ALTER COLUMN sum SET NOT NULL;
         DELETE FROM solderlast.version WHERE number > 1",
    );
    ada.photo(&stock.audition, 4);
    let before = owner.counts("SELECT sum(hashtext(e::text)) FROM solderlast.entry e");
    let refused = program(&["meet", &server.address("shop"), "--once"], &ada.folder(), Some(PASSWORD));
    assert!(
        !refused.status.success() && String::from_utf8_lossy(&refused.stderr).contains("older version"),
        "{refused:?}"
    );
    let begun = program(&["meet", &server.keepers_address("shop"), "--begin"], &ada.folder(), None);
    assert!(begun.status.success(), "{begun:?}");
    assert_eq!(owner.counts("SELECT sum(hashtext(e::text)) FROM solderlast.entry e"), before, "no entry is changed");
    let said = meets(&server, "shop", &ada);
    assert!(said.contains("Sent 1 entry and 1 photo or take, brought in nothing."), "{said}");
}
