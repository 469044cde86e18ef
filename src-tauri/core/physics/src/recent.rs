//! What was worked out lately, so that the next look need not work it out again.
//!
//! Only for what follows from its grounds and from nothing else: then remembering it changes nothing but the time it takes.

use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};

/// Enough for every audition that the Bench page offers to go on with, and some that are read over.
pub const KEPT: usize = 32;

/// What was worked out lately from what grounds, the newest first.
///
/// ```
/// use solderlast_physics::recent::Recent;
///
/// let squares = Recent::new();
/// assert_eq!(squares.find_or(12, |number| number * number), 144);
/// assert_eq!(squares.find_or(12, |_| unreachable!()), 144);
/// ```
#[derive(Debug)]
pub struct Recent<Grounds, Found>(Mutex<VecDeque<(Grounds, Found)>>);

impl<Grounds: PartialEq, Found: Clone> Default for Recent<Grounds, Found> {
    fn default() -> Self {
        Self::new()
    }
}

impl<Grounds: PartialEq, Found: Clone> Recent<Grounds, Found> {
    /// Nothing yet.
    #[must_use]
    pub const fn new() -> Self {
        Self(Mutex::new(VecDeque::new()))
    }

    /// What follows from these grounds, remembered or worked out now.
    pub fn find_or(&self, grounds: Grounds, work_out: impl FnOnce(&Grounds) -> Found) -> Found {
        self.remembered(|other| *other == grounds).unwrap_or_else(|| {
            let found = work_out(&grounds);
            self.remember(grounds, &found);
            found
        })
    }

    /// What followed from the grounds that are the same, if it is remembered.
    pub fn remembered(&self, same: impl Fn(&Grounds) -> bool) -> Option<Found> {
        // A thread that died here left whole findings: each is added in one act.
        let mut lately = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let there = lately.iter().position(|(grounds, _)| same(grounds))?;
        let found = lately.remove(there)?;
        let answer = found.1.clone();
        lately.push_front(found);
        Some(answer)
    }

    /// Remembers what followed from these grounds.
    pub fn remember(&self, grounds: Grounds, found: &Found) {
        let mut lately = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        lately.push_front((grounds, found.clone()));
        lately.truncate(KEPT);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_looked_at_last_is_kept() {
        let lately: Recent<usize, String> = Recent::new();
        let asked = |number: usize| {
            let mut worked_out = false;
            let found = lately.find_or(number, |number| {
                worked_out = true;
                number.to_string()
            });
            assert_eq!(found, number.to_string());
            worked_out
        };
        assert!((0..KEPT).all(asked));
        assert!(!(0..KEPT).any(asked), "as many as are kept");
        assert!(asked(KEPT) && !asked(1), "one more, and the one that was not looked at for longest is gone");
        assert!(asked(0) && asked(2) && !asked(1));
        assert_eq!(lately.remembered(|grounds| *grounds == 1), Some("1".to_owned()));
        assert_eq!(lately.remembered(|grounds| *grounds == 9999), None);
    }
}
