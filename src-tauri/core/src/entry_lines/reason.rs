//! A reason in a line.

/// A reason that may be left out, after what was done.
pub(super) fn why(why: &str) -> String {
    if why.is_empty() { String::new() } else { format!(": {why}") }
}
