//! Prints how the diagnosis does on many pretended benches, as a table:
//! `cargo bench -p solderlast-core --bench simulated_bench -- 10000`. Seeded, so every run is the same but for its times.

use solderlast_testkit::simulated_bench::{run, table};

/// Any seed will do.
const SEED: u64 = 20_240_229;

fn main() {
    let mut numbers = std::env::args().skip(1).filter_map(|argument| argument.parse::<usize>().ok());
    let count = numbers.next().unwrap_or(1000);
    let seed = numbers.next().and_then(|seed| u64::try_from(seed).ok()).unwrap_or(SEED);
    let tally = run(count, seed);
    print!("{}", table(count, &tally));
    if std::env::args().any(|argument| argument == "--wrong") {
        for wrong in &tally.wrong {
            println!("{wrong}");
        }
    }
}
