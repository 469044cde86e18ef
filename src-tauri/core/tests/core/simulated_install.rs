//! The proof on pretended installs, seeded: a small run of `cargo bench -p solderlast-core --bench simulated_install`, held
//! to its goals.

use solderlast_testkit::simulated_install::guitar::Guitar;
use solderlast_testkit::{Chance, number, simulated_install as simulated};

#[test]
fn the_goals_are_kept_on_a_small_run() {
    goals(Guitar::new);
}

#[test]
fn the_goals_are_kept_where_the_selector_wires_the_new_pickup() {
    goals(Guitar::by_selector);
}

fn goals(make: fn(&mut Chance) -> Guitar) {
    let count = number("SOLDERLAST_INSTALLS", 100) as usize;
    let tally = simulated::run(make, count, number("SOLDERLAST_SEED", 31));
    println!("right of said, by how sure: {:?}", tally.sure);
    println!(
        "{} told apart, {} ranked first; {} of {} among the first",
        tally.told_apart, tally.right, tally.among_first, tally.off
    );
    assert!(tally.good > 20 && tally.bad > 40 && tally.off > 20, "{tally:?}");
    assert!(tally.told_apart > 5, "{} told apart", tally.told_apart);
    assert_eq!(tally.passed, 0, "{:#?}", tally.wrong);
    assert_eq!(tally.false_alarms, 0, "{:#?}", tally.wrong);
    assert!(tally.right * 100 >= tally.told_apart * 98, "{:#?}", tally.wrong);
    // What is said to be almost sure is, 97 times of 100 at least.
    let [said, right] = tally.sure.get("almost sure").copied().unwrap_or_default();
    assert!(said > 5 && right * 100 + 100 >= said * 97, "{right} of {said}: {:#?}", tally.wrong);
    assert!(tally.suggested[0] < tally.random[0], "{:?} {:?}", tally.suggested, tally.random);
}
