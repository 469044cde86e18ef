//! Taps that were recorded: which way a coil swings against another on the same input, and for good where it is known whether that
//! input turns what it records about. A cell tells that, or a needle's swing of any coil that was tapped on it too.

use super::{LeadSearch, same};
use crate::leads::{CoilFound, SensesFound};
use crate::record::leads::{Contact, RecordedTaps, Tap};
use crate::record::pickup::CoilName;
use crate::record::words::listed;

/// What was recorded of taps, and what is known of inputs.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Heard {
    pub(super) taps: Vec<RecordedTaps>,
    /// Inputs that a cell was touched to, the newest last.
    pub(super) cells: Vec<(String, bool)>,
    /// What other pickups told of inputs.
    elsewhere: Vec<(String, bool)>,
}

impl LeadSearch {
    /// What this pickup tells of inputs: whether each turns what it records about.
    #[must_use]
    pub fn inputs(&self) -> Vec<(String, bool)> {
        let by_needle =
            self.heard.taps.iter().filter_map(|taps| Some((taps.input.clone(), self.by_needle(&taps.input)?)));
        by_needle.chain(self.heard.cells.iter().cloned()).collect()
    }

    /// Whether taps were recorded on an input of which nothing is known here.
    #[must_use]
    pub fn needs_inputs(&self) -> bool {
        self.heard.taps.iter().any(|taps| self.turned(&taps.input).is_none())
    }

    /// What other pickups told of inputs, the newest last.
    pub fn learn_inputs(&mut self, elsewhere: Vec<(String, bool)>) {
        self.heard.elsewhere = elsewhere;
    }

    /// The input that was recorded on last.
    pub(super) fn last_input(&self) -> Option<&str> {
        self.heard.taps.last().map(|taps| taps.input.as_str())
    }

    /// Whether an input turns what it records about: by a cell, else by a needle, else by what another pickup told.
    pub(super) fn turned(&self, input: &str) -> Option<bool> {
        let last =
            |known: &[(String, bool)]| known.iter().rev().find(|(name, _)| name == input).map(|(_, turned)| *turned);
        last(&self.heard.cells).or_else(|| self.by_needle(input)).or_else(|| last(&self.heard.elsewhere))
    }

    /// Whether it does by all coils that were tapped on it and swung a needle; nothing where they don't agree.
    fn by_needle(&self, input: &str) -> Option<bool> {
        let mut told = self.told_by_needle(input).into_iter();
        let first = told.next()?;
        told.all(|other| other == first).then_some(first)
    }

    fn told_by_needle(&self, input: &str) -> Vec<bool> {
        let on_it = self.heard.taps.iter().filter(|taps| taps.input == input);
        on_it.filter_map(|taps| Some((self.needle(taps)? > 0) == taps.up)).collect()
    }

    /// Which way a needle swung with its plus probe on the tip; nothing where it did not, or both ways.
    fn needle(&self, taps: &RecordedTaps) -> Option<i8> {
        let mut signs = self.taps.iter().filter_map(|tap| {
            if (&tap.plus, &tap.minus) == (&taps.tip, &taps.sleeve) {
                tap.swing.sign()
            } else if (&tap.plus, &tap.minus) == (&taps.sleeve, &taps.tip) {
                tap.swing.sign().map(|sign| -sign)
            } else {
                None
            }
        });
        let first = signs.next()?;
        signs.all(|other| other == first).then_some(first)
    }

    /// All taps as swings of a meter: where three were recorded on an input that is known, they count and no needle does.
    pub(super) fn swings(&self) -> Vec<Tap> {
        let known = |taps: &RecordedTaps| {
            let swing = taps.as_swing(self.turned(&taps.input)?);
            Some(Tap { plus: taps.tip.clone(), minus: taps.sleeve.clone(), swing })
        };
        let heard: Vec<Tap> = self.heard.taps.iter().filter_map(known).collect();
        let outranked = |tap: &Tap| heard.iter().any(|one| same(&ends(tap), &ends(one)));
        let needles: Vec<Tap> = self.taps.iter().filter(|tap| !outranked(tap)).cloned().collect();
        heard.into_iter().chain(needles).collect()
    }

    /// What recorded taps say beside that: into the remarks, or among what does not fit together.
    pub(super) fn tell_heard(
        &self,
        coils: &[(Option<CoilName>, CoilFound)],
        remarks: &mut Vec<String>,
        senses: &mut SensesFound,
    ) {
        let name = |taps: &RecordedTaps| {
            let between = [taps.tip.clone(), taps.sleeve.clone()];
            coils.iter().find(|(_, coil)| same(&coil.between, &between)).and_then(|(name, _)| *name)
        };
        let mut inputs: Vec<&str> = self.heard.taps.iter().map(|taps| taps.input.as_str()).collect();
        inputs.sort_unstable();
        inputs.dedup();
        for input in inputs {
            let mut on_it: Vec<(CoilName, &RecordedTaps)> = Vec::new();
            for taps in self.heard.taps.iter().rev().filter(|taps| taps.input == input) {
                if let Some(coil) = name(taps)
                    && on_it.iter().all(|(other, _)| *other != coil)
                {
                    on_it.insert(0, (coil, taps));
                }
            }
            if let [(first, reference), others @ ..] = on_it.as_slice() {
                for (coil, taps) in others {
                    let way = if taps.up == reference.up { "the same way as" } else { "opposite to" };
                    remarks.push(format!(
                        "Three of three taps on {input}: coil {}, tip on {}, swings {way} coil {}, tip on {}.",
                        coil.letter(),
                        taps.tip,
                        first.letter(),
                        reference.tip
                    ));
                }
            }
            let letters: Vec<String> = on_it.iter().map(|(coil, _)| format!("coil {}", coil.letter())).collect();
            match self.turned(input) {
                None if self.told_by_needle(input).len() > 1 => senses.contradictions.push(format!(
                    "On {input}, the needle’s swings of {} and the recorded taps can’t all be right. Swing the needle again, or \
                     touch a cell to the input.",
                    listed(&letters)
                )),
                None if !on_it.is_empty() => remarks.push(format!(
                    "Which end is plus is not known yet: {input} may turn the sign. One needle swing of {}, or a cell touched to \
                     the input once, tells it.",
                    letters.join(" or ")
                )),
                None => {}
                Some(turned) => {
                    let against = |taps: &RecordedTaps| self.needle(taps).map(|sign| (sign > 0) == taps.up) == Some(!turned);
                    for (coil, _) in on_it.iter().filter(|(_, taps)| against(taps)) {
                        remarks.push(format!(
                            "The needle swung coil {} the other way than three recorded taps. The taps count.",
                            coil.letter()
                        ));
                    }
                }
            }
        }
    }
}

fn ends(tap: &Tap) -> [Contact; 2] {
    [tap.plus.clone(), tap.minus.clone()]
}
