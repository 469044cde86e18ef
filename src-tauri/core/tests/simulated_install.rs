//! The proof on pretended installs, seeded: a small run of `cargo bench -p solderlast-core --bench simulated_install`, held
//! to its goals.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]
#![allow(dead_code, reason = "the bench program shows more of a run than is judged here")]

#[path = "../benches/simulated_install/mod.rs"]
mod simulated;

#[test]
fn the_goals_are_kept_on_a_small_run() {
    let tally = simulated::run(100, 31);
    assert!(tally.good > 20 && tally.bad > 40 && tally.off > 20, "{tally:?}");
    assert!(tally.told_apart > 5, "{} told apart", tally.told_apart);
    assert_eq!(tally.passed, 0, "{:#?}", tally.wrong);
    assert_eq!(tally.false_alarms, 0, "{:#?}", tally.wrong);
    assert_eq!(tally.right, tally.told_apart, "{:#?}", tally.wrong);
    assert!(tally.suggested[0] < tally.random[0], "{:?} {:?}", tally.suggested, tally.random);
}
