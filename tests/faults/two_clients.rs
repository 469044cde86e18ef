//! Two programs on one log.

use std::sync::Barrier;

use serde_json::json;

use crate::bench::{Stock, name};
use crate::client::Client;
use crate::log;

#[test]
fn two_clients_that_write_at_once_both_succeed() {
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path();
    let stock = Stock::new();
    let mut first = Client::start(folder);
    for ask in &stock.asks {
        first.ok(ask);
    }
    let start = Barrier::new(2);
    let written: Vec<Vec<String>> = std::thread::scope(|scope| {
        let writers = [first, Client::start(folder)].map(|mut client| {
            let (stock, start) = (&stock, &start);
            scope.spawn(move || {
                start.wait();
                let mut names = Vec::new();
                for number in 0..100 {
                    // Into the same audition, and looking at the lists, which both bring up to date.
                    let ask = stock.some_write(&stock.audition, number);
                    client.ok(&ask);
                    names.push(log::plain(ask["entry"].as_str().expect("a name")));
                    if number % 10 == 0 {
                        client.ok(&json!({"ask": "logbook", "find": {"words": "crane"}}));
                    }
                }
                assert!(client.ended_well());
                names
            })
        });
        writers.into_iter().map(|writer| writer.join().expect("a writer that was content")).collect()
    });
    let there = log::names(&log::file(folder));
    for name in written.iter().flatten() {
        assert!(there.contains(name), "{name} was acknowledged");
    }
    assert_eq!(there.len(), stock.asks.len() + 200);
    assert_eq!(log::finding(&log::file(folder)), "ok");
    // Both left their readings in one audition, and each sees the other's.
    let mut third = Client::start(folder);
    let page = third.ok(&json!({"ask": "audition", "id": stock.audition}));
    let lines = page["audition"]["written"].as_array().expect("lines").len();
    let readings = written.iter().flatten().count() / 6;
    assert!(lines > readings, "{lines} lines");
}

/// The same ask sent through two programs at once is written once.
#[test]
fn one_entry_sent_through_two_clients_is_written_once() {
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path();
    let stock = Stock::new();
    let mut clients = [Client::start(folder), Client::start(folder)];
    for ask in &stock.asks {
        clients[0].ok(ask);
    }
    for _ in 0..30 {
        let ask = json!({"ask": "describe_amp", "entry": name(), "audition": stock.audition, "words": "small amp"});
        std::thread::scope(|scope| {
            for client in &mut clients {
                let ask = &ask;
                scope.spawn(move || client.ok(ask));
            }
        });
    }
    assert_eq!(log::names(&log::file(folder)).len(), stock.asks.len() + 30);
}

/// Programs that find no log and begin one at the same moment begin the same one.
#[test]
fn clients_that_begin_a_log_at_once_share_it() {
    for round in 0..10 {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let folder = scratch.path();
        let stock = Stock::new();
        let written: Vec<String> = std::thread::scope(|scope| {
            let writers: Vec<_> = (0..4)
                .map(|_| {
                    let rig = stock.asks.iter().find(|ask| ask["ask"] == "write_rig").expect("an example");
                    let mut ask = rig.clone();
                    (ask["entry"], ask["id"]) = (json!(name()), json!(name()));
                    scope.spawn(move || {
                        let mut client = Client::start(folder);
                        client.ok(&ask);
                        assert!(client.ended_well());
                        log::plain(ask["entry"].as_str().expect("a name"))
                    })
                })
                .collect();
            writers.into_iter().map(|writer| writer.join().expect("a writer that was content")).collect()
        });
        let there = log::names(&log::file(folder));
        assert!(written.iter().all(|name| there.contains(name)), "round {round}: {written:?}, but {there:?}");
        let benches: i64 = log::open(&log::file(folder))
            .query_row("SELECT count(DISTINCT bench) FROM entry", [], |row| row.get(0))
            .expect("counted");
        assert_eq!(benches, 1, "round {round}: one log, one bench");
        assert!(!log::copies(folder).is_empty());
        for copy in log::copies(folder) {
            assert_eq!(log::finding(&copy), "ok");
        }
    }
}

/// One install finished by two programs at the same moment, again and again: each time one of them did it, and the other is
/// told that it is done.
#[test]
fn an_install_that_two_clients_finish_at_once_is_finished_by_one() {
    const FIT: &str = "019a3c5f-7e00-7000-8000-000000000008";
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path().join("log");
    let mut clients = [Client::start(&folder), Client::start(&folder)];
    let worked = solderlast_core::ask::examples(&scratch.path().join("examples")).expect("the examples can be worked");
    for (ask, _) in worked.iter().take_while(|(ask, _)| ask["ask"] != "finish_fit") {
        clients[0].asked(ask);
    }
    for round in 0..150 {
        let asks = [(); 2].map(|()| json!({"ask": "finish_fit", "entry": name(), "fit": FIT, "words": ""}));
        let start = Barrier::new(2);
        let answers: Vec<serde_json::Value> = std::thread::scope(|scope| {
            let both = clients.iter_mut().zip(&asks).map(|(client, ask)| {
                let start = &start;
                scope.spawn(move || {
                    start.wait();
                    client.asked(ask)
                })
            });
            let both: Vec<_> = both.collect();
            both.into_iter().map(|one| one.join().expect("a client that answered")).collect()
        });
        let done: Vec<usize> = (0..2).filter(|at| answers[*at].get("ok").is_some()).collect();
        assert_eq!(done.len(), 1, "round {round}: {} and {}", answers[0]["refused"], answers[1]["refused"]);
        let told = &answers[1 - done[0]]["refused"];
        assert!(told["sentence"].as_str().is_some_and(|words| words.contains("done already")), "round {round}: {told}");
        let strike =
            json!({"ask": "strike_fit", "entry": name(), "fit": FIT, "struck": asks[done[0]]["entry"], "why": ""});
        assert_eq!(clients[round % 2].ok(&strike)["fit"]["state"], "open", "round {round}");
    }
    assert_eq!(log::finding(&log::file(&folder)), "ok");
}
