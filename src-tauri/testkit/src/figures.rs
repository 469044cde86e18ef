//! Figures of a run, as a table.

use std::time::Duration;

/// A share in per cent.
pub fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { 100.0 * part as f64 / whole as f64 }
}

/// Times in milliseconds.
pub fn times(times: &[Duration]) -> String {
    let mut sorted = times.to_vec();
    sorted.sort();
    let at = |share: f64| {
        let place = ((sorted.len().saturating_sub(1)) as f64 * share).round() as usize;
        sorted.get(place).map_or(0.0, |time| time.as_secs_f64() * 1e3)
    };
    format!("median {:.2}, 95th percentile {:.2}, 99th {:.2}, longest {:.2} ms", at(0.5), at(0.95), at(0.99), at(1.0))
}

/// What was counted, what was found, and the goal, a row each.
pub fn table(rows: &[(String, String, &str)]) -> String {
    let mut text = "| what | found | goal |\n| --- | --- | --- |\n".to_owned();
    for (what, found, goal) in rows {
        text.push_str(&format!("| {what} | {found} | {goal} |\n"));
    }
    text
}
