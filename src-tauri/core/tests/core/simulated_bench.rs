//! The diagnosis on pretended benches, seeded: a small run of `cargo bench -p solderlast-core --bench simulated_bench`, held to
//! its goals.

use solderlast_testkit::{number, simulated_bench as simulated};

/// `SOLDERLAST_BENCHES` for more, and with `--nocapture` the whole table; `SOLDERLAST_SEED` for others.
#[test]
fn the_goals_are_kept_on_a_small_run() {
    let many = number("SOLDERLAST_BENCHES", 100) as usize;
    let tally = simulated::run(many, number("SOLDERLAST_SEED", 31));
    if many > 100 {
        println!("{}", simulated::table(many, &tally));
        for wrong in tally.wrong.iter().take(60) {
            println!("{wrong}");
        }
    }
    let [none, one, two] = tally.benches;
    assert!(none > 20 && one > 20 && two > 20, "{:?}", tally.benches);
    assert!(tally.beyond > 30 && tally.told_apart > 3, "{} beyond, {} told apart", tally.beyond, tally.told_apart);
    assert_eq!(tally.misses, 0, "{:#?}", tally.wrong);
    assert_eq!(tally.false_alarms, 0, "{:#?}", tally.wrong);
    assert!(tally.right * 100 >= tally.told_apart * 98, "{:#?}", tally.wrong);
    assert_eq!((tally.mended_missed, tally.from_before), (0, 0));
    assert!(tally.mended[0] * 200 >= tally.mended[1] * 199 && tally.mended[1] > 3, "{:?}", tally.mended);
    let (suggested, random) = (tally.suggested.measurements, tally.random.measurements);
    assert!(suggested < random, "the suggested measurement takes {suggested}, a random one {random}");
}
