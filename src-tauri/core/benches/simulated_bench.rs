//! Prints how the diagnosis does on many pretended benches, as a table:
//! `cargo bench -p solderlast-core --bench simulated_bench -- 10000`. Seeded, so every run is the same but for its times.

#[path = "simulated_bench/mod.rs"]
mod simulated;

use simulated::figures::{self, share, times};
use simulated::{Follow, Tally, run};

/// Any seed will do.
const SEED: u64 = 20_240_229;

fn main() {
    let mut numbers = std::env::args().skip(1).filter_map(|argument| argument.parse::<usize>().ok());
    let count = numbers.next().unwrap_or(1000);
    let tally = run(count, SEED);
    print!("{}", table(count, &tally));
    if std::env::args().any(|argument| argument == "--wrong") {
        for wrong in &tally.wrong {
            println!("{wrong}");
        }
    }
}

fn table(count: usize, tally: &Tally) -> String {
    let [none, one, two] = tally.benches;
    let mut rows: Vec<(String, String, &str)> = vec![
        (format!("benches: nothing wrong, one thing, two ({count} in all)"), format!("{none}, {one}, {two}"), ""),
        (
            "good hookups not called well".to_owned(),
            format!("{} of {none}: {:.2} %", tally.false_alarms, share(tally.false_alarms, none)),
            "under 0.5 %",
        ),
        (
            "readings beyond the band, called all well".to_owned(),
            format!("{} of {}", tally.misses, tally.beyond),
            "none",
        ),
        (
            "cause ranked first, where three readings tell it apart".to_owned(),
            format!("{} of {}: {:.2} %", tally.right, tally.told_apart, share(tally.right, tally.told_apart)),
            "99 %",
        ),
        (
            "cause, or one of two, among the first and those alike, over all faults beyond the band".to_owned(),
            format!("{} of {}: {:.1} %", tally.among_first, tally.faults, share(tally.among_first, tally.faults)),
            "",
        ),
        ("faults that need one measurement more or several".to_owned(), tally.open.to_string(), ""),
    ];
    for (how, follow) in [("suggested", &tally.suggested), ("random", &tally.random)] {
        let Follow { measurements, named, right } = follow;
        rows.push((
            format!("measurements more, the next one {how}"),
            format!("{:.2} a bench", *measurements as f64 / tally.open.max(1) as f64),
            "",
        ));
        rows.push((
            format!("cause named in the end, the next one {how}"),
            format!("{:.1} % of them, {:.1} % of those right", share(*named, tally.open), share(*right, *named)),
            "",
        ));
    }
    for (what, spent) in [("the processor", &tally.processor), ("the clock", &tally.times)] {
        rows.push((format!("one diagnosis with its next measurement, by {what}"), times(spent), "under 5 ms"));
    }
    figures::table(&rows)
}
