//! Whatever the order of exchanges, and wherever they break off: every bench ends with all entries, and shows the same.

use std::future::Future;

use chrono::Utc;
use solderlast_core::clock::version_7;
use solderlast_meet::in_memory::InMemory;
use solderlast_meet::{Exchanged, NotMet, Pass, Reason, Shared, SharedLog, Wish, exchange};
use solderlast_serve::machine::SystemDice;
use solderlast_testkit::Chance;

use crate::bench::Stock;
use crate::number;
use crate::shopkeeper::{Files, Shopkeeper, union};

pub fn wait<T>(work: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_time().build().expect("started").block_on(work)
}

pub fn met(keeper: &Shopkeeper, there: &mut impl SharedLog, join: bool) -> Result<Exchanged, NotMet> {
    let mut here = Shared::open(&keeper.folder()).expect("the log opens");
    let wish = Wish { join, erase: join, now: Utc::now(), tray: version_7(Utc::now(), &SystemDice) };
    let (mut pass, mut all) = (Pass::default(), Exchanged { more: true, ..Exchanged::default() });
    while all.more {
        all = all.and(wait(exchange(&mut here, there, &mut pass, wish))?);
    }
    Ok(all)
}

#[test]
fn any_order_of_exchanges_gives_the_same_log_everywhere() {
    let stock = Stock::new();
    let mut chance = Chance::seeded(20_261_129);
    let (mut broken, mut brought, mut back, mut files) = (0, 0, 0, 0);
    for round in 0..number("SOLDERLAST_MEETINGS", 6) {
        let mut keepers: Vec<Shopkeeper> = (0..3).map(|_| Shopkeeper::stocked(&stock)).collect();
        let shared = InMemory::new(version_7(Utc::now(), &SystemDice));
        for step in 0..30 {
            let at = chance.below(3_usize);
            for _ in 0..chance.below(6_u64) {
                keepers[at].ok(&stock.some_write(&stock.audition, step));
            }
            match chance.below(6_u64) {
                // The same photo may be taken on several benches.
                0 => keepers[at].photo(&stock.audition, chance.below(5_u8)),
                1 => keepers[at].take(&stock.audition, 100 + chance.below(3 << 20), &mut chance),
                _ => {}
            }
            if chance.below(12_u64) == 0 {
                // Put back from a backup: what it lost is had by somebody.
                shared.go_back(chance.below(1 + shared.held().len()));
                back += 1;
            }
            let answers = chance.below(16_usize);
            let mut road = shared.breaking_after(answers, chance.flip());
            match met(&keepers[at], &mut road, true) {
                Ok(exchanged) => {
                    brought += exchanged.brought;
                    files += exchanged.files_brought;
                }
                Err(not_met) => {
                    assert_eq!(not_met.reason, Reason::Away, "round {round}: {not_met}");
                    broken += 1;
                }
            }
        }
        let written = union(keepers.iter().map(Shopkeeper::rows).collect::<Vec<_>>().iter());
        for _ in 0..2 {
            for keeper in &keepers {
                met(keeper, &mut shared.clone(), true).expect("nothing breaks");
            }
        }
        assert_eq!(shared.held().len(), written.len(), "round {round}: none lost, none twice");
        let kept: Files = keepers.iter().flat_map(Shopkeeper::files).collect();
        assert_eq!(shared.held_files().len(), kept.len(), "round {round}: no file lost, none twice");
        let folds = keepers[0].folds(&stock.audition);
        for keeper in &mut keepers {
            assert!(keeper.rows() == written, "round {round}: every bench has the union");
            assert!(keeper.files() == kept, "round {round}: every bench has all photos and takes");
            assert!(keeper.folds(&stock.audition) == folds, "round {round}: every bench shows the same");
        }
        let nothing = met(&keepers[0], &mut shared.clone(), false).expect("nothing breaks");
        assert_eq!(nothing, Exchanged::default(), "round {round}: what is equal moves nothing");
    }
    let all = [broken, brought, back, files];
    assert!(all.iter().all(|count| *count > 0), "{all:?}: the test says little");
}

#[test]
fn a_log_that_is_another_one_is_joined_by_a_word_only() {
    let stock = Stock::new();
    let (full, empty) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
    let shared = InMemory::new(version_7(Utc::now(), &SystemDice));
    met(&full, &mut shared.clone(), false).expect("an empty shared log is nobody's");
    met(&empty, &mut shared.clone(), false).expect("an empty bench takes what there is");
    assert_eq!(empty.rows(), full.rows());
    // A copy of the log, as one that was brought along by a bundle, has entries in common.
    let other = Shopkeeper::stocked(&Stock::new());
    let before = (other.rows(), shared.held());
    let not_met = met(&other, &mut shared.clone(), false).expect_err("nothing in common");
    assert_eq!(not_met.reason, Reason::OtherLog);
    assert!(not_met.sentence.contains("not one entry in common"), "{not_met}");
    assert_eq!((other.rows(), shared.held()), before, "nothing was sent or brought in");
    // One that met another shared log before, whatever is in it.
    let second = InMemory::new(version_7(Utc::now(), &SystemDice));
    let not_met = met(&full, &mut second.clone(), false).expect_err("another log");
    assert_eq!(not_met.reason, Reason::OtherLog);
    assert!(second.held().is_empty());
    met(&full, &mut second.clone(), true).expect("joined by a word");
    assert_eq!(second.held().len(), full.rows().len());
    met(&other, &mut shared.clone(), true).expect("joined by a word");
    assert_eq!(other.rows().len(), before.0.len() + before.1.len());
}
