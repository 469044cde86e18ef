//! The diagnosis on pretended benches, seeded: a small run of `cargo bench -p solderlast-core --bench simulated_bench`, held to
//! its goals.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]
#![allow(dead_code, reason = "the bench program shows more of a run than is judged here")]

#[path = "../benches/simulated_bench/mod.rs"]
mod simulated;

#[test]
fn the_goals_are_kept_on_a_small_run() {
    let tally = simulated::run(100, 31);
    let [none, one, two] = tally.benches;
    assert!(none > 20 && one > 20 && two > 20, "{:?}", tally.benches);
    assert!(tally.beyond > 30 && tally.told_apart > 3, "{} beyond, {} told apart", tally.beyond, tally.told_apart);
    assert_eq!(tally.misses, 0, "{:#?}", tally.wrong);
    assert_eq!(tally.false_alarms, 0, "{:#?}", tally.wrong);
    assert_eq!(tally.right, tally.told_apart, "{:#?}", tally.wrong);
    let (suggested, random) = (tally.suggested.measurements, tally.random.measurements);
    assert!(suggested < random, "the suggested measurement takes {suggested}, a random one {random}");
}
