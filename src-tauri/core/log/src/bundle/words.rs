//! What is in a bundle, in sentences.

use chrono::{DateTime, Utc};

use super::look::BundleNews;
use super::manifest::{Counts, grouped};
use crate::record::names::{BenchId, DEMO_BENCH};

impl Counts {
    /// "2 auditions, 5 pickups and 1 rig, in 102 entries".
    #[must_use]
    pub fn shown(&self) -> String {
        let entries = counted(self.entries, "entry", "entries");
        let parts = self.in_words();
        match parts.split_last() {
            None => entries,
            Some((one, [])) => format!("{one}, in {entries}"),
            Some((last, others)) => format!("{} and {last}, in {entries}", others.join(", ")),
        }
    }
}

impl BundleNews {
    /// What is new, what is here already, and who wrote it: what a person reads before it is brought in.
    #[must_use]
    pub fn in_words(&self, this_bench: BenchId) -> Vec<String> {
        let manifest = &self.manifest;
        let by = if manifest.bench == this_bench.0 { "this bench" } else { "another bench" };
        let what = if manifest.whole { "a whole log" } else { "some auditions with what they are about" };
        let mut lines = vec![
            format!("Packed by {by}, {}: {what}.", instant(manifest.made)),
            format!("In it: {}.", manifest.counts.shown()),
        ];
        if self.new.entries == 0 {
            lines.push(match self.new.photos {
                0 => "Nothing in it is new here.".to_owned(),
                photos => format!(
                    "Every entry in it is here already. It brings {} missing here.",
                    counted(photos, "photo that is", "photos that are")
                ),
            });
            return lines;
        }
        lines.push(format!("New here: {}.", self.new.shown()));
        if self.added_to > 0 {
            let (things, verb) = match self.added_to {
                1 => ("1 thing".to_owned(), "gets"),
                many => (format!("{} things", grouped(many)), "get"),
            };
            lines.push(format!("{things} that you have already {verb} more entries."));
        }
        if self.here > 0 {
            let stay = if self.here == 1 {
                "is here already and stays as it is"
            } else {
                "are here already and stay as they are"
            };
            lines.push(format!("{} {stay}.", counted(self.here, "entry", "entries")));
        }
        lines.push(format!("The new ones were written by {}.", self.writers(this_bench)));
        lines
    }

    fn writers(&self, this_bench: BenchId) -> String {
        let mut parts = Vec::new();
        let (mut others, mut theirs) = (0, 0);
        for (bench, count) in &self.benches {
            if *bench == DEMO_BENCH {
                parts.push(format!("the demo bench ({})", grouped(*count)));
            } else if *bench == this_bench {
                parts.push(format!("this bench ({})", grouped(*count)));
            } else {
                others += 1;
                theirs += count;
            }
        }
        match others {
            0 => {}
            1 => parts.push(format!("one other bench ({})", grouped(theirs))),
            _ => parts.push(format!("{others} other benches ({})", grouped(theirs))),
        }
        match parts.split_last() {
            Some((last, others)) if !others.is_empty() => format!("{} and {last}", others.join(", ")),
            Some((one, _)) => one.clone(),
            None => "nobody".to_owned(),
        }
    }

    /// What a person should know before they bring it in.
    #[must_use]
    pub fn warnings(&self) -> Vec<String> {
        let mut lines = Vec::new();
        if self.newer > 0 && self.new.entries > 0 {
            lines.push(format!(
                "{} can't be read by this version. They are kept as they are, and passed on.",
                counted(self.newer, "new entry", "new entries")
            ));
        }
        if let Some((count, latest)) = self.ahead {
            lines.push(format!(
                "{} dated later than the clock here, up to {}. The clock of the bench that wrote it ran ahead, or yours is \
                 behind. Of two entries about the same the later one counts, so these count until something is written \
                 here about the same.",
                if count == 1 { "1 entry is".to_owned() } else { format!("{} entries are", grouped(count)) },
                instant(latest)
            ));
        }
        if self.new.takes_missing > 0 {
            let (takes, verb) = match self.new.takes_missing {
                1 => ("1 take".to_owned(), "is"),
                many => (format!("{} takes", grouped(many)), "are"),
            };
            lines.push(format!("The sound of {takes} that its entries speak of {verb} not in it."));
        }
        if self.new.photos_missing > 0 {
            let (photos, verb) = match self.new.photos_missing {
                1 => ("1 photo".to_owned(), "is"),
                many => (format!("{} photos", grouped(many)), "are"),
            };
            lines.push(format!("{photos} that its entries speak of {verb} not in it."));
        }
        lines
    }
}

/// `1 entry`, `1,234 entries`.
pub(super) fn counted(count: u64, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{} {many}", grouped(count)) }
}

fn instant(at: DateTime<Utc>) -> String {
    at.format("%e %B %Y, %H:%M UTC").to_string().trim_start().to_owned()
}

/// A size as a person reads it: `12 kB`, `3.4 MB`.
#[must_use]
pub fn size_shown(bytes: u64) -> String {
    match bytes {
        0..1000 => format!("{bytes} bytes"),
        1000..1_000_000 => format!("{} kB", bytes / 1000),
        _ => format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000),
    }
}

/// What was brought in.
#[must_use]
pub fn taken_in(new: &Counts, written: u64) -> String {
    if written == 0 && new.photos + new.takes > 0 {
        let files = Counts { photos: new.photos, takes: new.takes, ..Counts::default() };
        return format!("Brought in: {}. Every entry was here already.", files.in_words().join(", "));
    }
    if written == 0 {
        return "Nothing in it was new, so nothing was written.".to_owned();
    }
    let new = Counts { entries: written, ..*new };
    format!("Brought in: {}. A copy of the log as it was before lies beside it.", new.shown())
}
