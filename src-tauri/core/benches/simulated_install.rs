//! Prints how the proof does on many pretended installs, as a table:
//! `cargo bench -p solderlast-core --bench simulated_install -- 10000`; with `--by-selector`, of guitars whose selector wires the new
//! pickup. Seeded, so every run is the same but for its times.

use solderlast_testkit::figures::{self, share, times};
use solderlast_testkit::simulated_install::guitar::Guitar;
use solderlast_testkit::simulated_install::{Tally, run};

/// Any seed will do.
const SEED: u64 = 20_240_229;

fn main() {
    let mut numbers = std::env::args().skip(1).filter_map(|argument| argument.parse::<usize>().ok());
    let count = numbers.next().unwrap_or(1000);
    let by_selector = std::env::args().any(|argument| argument == "--by-selector");
    let make = if by_selector { Guitar::by_selector } else { Guitar::new };
    let tally = run(make, count, numbers.next().map_or(SEED, |seed| seed as u64));
    print!("{}", table(&tally));
    if std::env::args().any(|argument| argument == "--wrong") {
        for wrong in &tally.wrong {
            println!("{wrong}");
        }
    }
}

fn table(tally: &Tally) -> String {
    let of = |part: usize, whole: usize| format!("{part} of {whole}: {:.2} %", share(part, whole));
    let mut rows: Vec<(String, String, &str)> = vec![
        ("installs: nothing wrong, one mistake".to_owned(), format!("{}, {}", tally.good, tally.bad), ""),
        ("good installs in which something was said to be wrong".to_owned(), of(tally.false_alarms, tally.good), ""),
        (
            "readings that leave the band, passed all the same".to_owned(),
            format!("{} of {}", tally.passed, tally.off),
            "none",
        ),
        ("cause ranked first, where the readings tell it apart".to_owned(), of(tally.right, tally.told_apart), "98 %"),
        (
            "cause among the first and those alike, of all mistakes that leave the band".to_owned(),
            of(tally.among_first, tally.bad - tally.unseen),
            "",
        ),
        (
            "mistakes that leave no band, so that only the tap test, a case probe or an ear shows them".to_owned(),
            format!("{} of {}", tally.unseen, tally.bad),
            "",
        ),
        ("mistakes that need a measurement more or several".to_owned(), tally.open.to_string(), ""),
    ];
    for (how, [measurements, named, right]) in [("suggested", tally.suggested), ("random", tally.random)] {
        rows.push((
            format!("the next one {how}: measurements, causes named in the end, right ones of those"),
            format!(
                "{:.2} each, {:.1} %, {:.1} %",
                measurements as f64 / tally.open.max(1) as f64,
                share(named, tally.open),
                share(right, named)
            ),
            "",
        ));
    }
    for (sure, goal) in
        [("almost sure", "97 %"), ("very likely", "85 %"), ("likely", ""), ("possible", ""), ("less likely", "")]
    {
        let [said, right] = tally.sure.get(sure).copied().unwrap_or_default();
        rows.push((format!("first suspect said to be {sure}, and right"), of(right, said), goal));
    }
    for (what, spent) in [("the processor", &tally.processor), ("the clock", &tally.times)] {
        rows.push((format!("one proof with its next measurement, by {what}"), times(spent), "under 5 ms"));
    }
    rows.push(("one wiring found".to_owned(), times(&tally.wiring_times), ""));
    figures::table(&rows)
}
