//! Benches whose clocks differ: it is said by how much, no time that was written changes, and every bench has the same order.

use std::sync::Arc;
use std::time::Duration;

use chrono::{TimeDelta, Utc};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::{SteppingClock, version_7};
use solderlast_meet::{Address, KeepUp, Meeting, Patience, Secret, Wish, once};
use solderlast_serve::machine::SystemDice;
use solderlast_testkit::limits;

use crate::bench::{Stock, name};
use crate::server::{PASSWORD, Postgres, program};
use crate::shopkeeper::Shopkeeper;

/// Meets once, by a clock that is so many seconds ahead.
fn met(keeper: &Shopkeeper, server: &Postgres, ahead: i64) -> Meeting {
    let address = Address::read(&server.address("shop")).expect("an address");
    let folder = keeper.folder();
    limits::within(Duration::from_secs(60), move || {
        let secret = Secret::new(PASSWORD);
        let keep = KeepUp { folder: &folder, address: &address, secret: Some(&secret), patience: Patience::default() };
        let now = Utc::now() + TimeDelta::seconds(ahead);
        let wish = Wish { join: false, erase: false, now, tray: version_7(now, &SystemDice) };
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("started");
        runtime.block_on(once(keep, wish)).expect("it is met")
    })
}

#[test]
fn a_clock_that_differs_from_the_servers_is_said_with_the_amount() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    let keeper = Shopkeeper::stocked(&Stock::new());
    for (ahead, said) in [
        (0, None),
        (30, None),
        (-30, None),
        (300, Some("clock is 5 minutes ahead of the server's")),
        (-7200, Some("clock is 2 hours behind the server's")),
        (86_400 * 366, Some("clock is 366 days ahead of the server's")),
    ] {
        let words = met(&keeper, &server, ahead).in_words();
        match said {
            Some(said) => assert!(words.contains(said) && words.contains("set the clock"), "{ahead}: {words}"),
            None => assert!(!words.contains("clock"), "{ahead}: {words}"),
        }
    }
}

/// What was written first by a clock that is ahead stands behind what was written later, on every bench alike.
#[test]
fn order_stays_by_time_and_name_whatever_the_clocks() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    let stock = Stock::new();
    let (mut early, mut late) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
    met(&early, &server, 0);
    let note = |words: &str| json!({"ask": "note_down", "entry": name(), "audition": stock.audition, "mode": "single", "words": words});
    // An hour ahead; then another bench, by the right time.
    let clock = Arc::new(SteppingClock::new(Utc::now() + TimeDelta::hours(1), TimeDelta::seconds(1)));
    let ahead = Bench::open(&early.folder(), Box::new(clock), &SystemDice).expect("the log opens");
    let answer = ahead.answer(note("written first, by a clock that is ahead").to_string().as_bytes());
    assert!(answer.starts_with(b"{\"ok\""), "{}", String::from_utf8_lossy(&answer));
    drop(ahead);
    met(&late, &server, 0);
    late.ok(&note("written second"));
    for keeper in [&early, &late, &early] {
        met(keeper, &server, 0);
    }
    assert!(early.rows() == late.rows(), "no time is changed");
    let said = |keeper: &mut Shopkeeper| -> Vec<Value> {
        let audition = keeper.ok(&json!({"ask": "audition", "id": stock.audition}));
        audition["audition"]["written"].as_array().expect("lines").iter().map(|line| line["words"].clone()).collect()
    };
    let lines = said(&mut early);
    assert_eq!(lines, said(&mut late));
    let at = |words: &str| {
        let found = lines.iter().position(|line| line.as_str().is_some_and(|line| line.contains(words)));
        found.unwrap_or_else(|| panic!("{words} in {lines:?}"))
    };
    assert!(at("written second") < at("written first"), "{lines:?}");
    let told = program(&["meet", &server.address("shop"), "--once"], &early.folder(), Some(PASSWORD));
    assert!(told.status.success() && !String::from_utf8_lossy(&told.stdout).contains("clock"), "{told:?}");
}
