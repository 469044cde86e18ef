//! All that several takes tell, for a person to read and for a program.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};
use solderlast_record::quantity::{Decibels, Hertz};
use solderlast_record::take::{Played, time_shown};
use ts_rs::TS;

use crate::follows::{Follows, from_hands, from_take, from_two, moments, ordinal};
use crate::repeats::{Difference, Quantity, Spread, WANTED, differences, spread};
use crate::told::Told;

/// One take under its name.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Named {
    /// What the person calls it.
    pub name: String,
    /// What it tells.
    pub told: Told,
    /// What follows from it.
    pub follows: Vec<Follows>,
}

impl Named {
    /// A take under its name.
    #[must_use]
    pub fn new(name: String, told: Told) -> Self {
        Self { name, follows: from_take(&told), told }
    }
}

/// All that several takes tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// Each of them.
    pub takes: Vec<Named>,
    /// The figures of takes of the same; none of a single one.
    pub spread: Vec<Spread>,
    /// Those that the takes are held against.
    pub against: Vec<Named>,
    /// What the two groups differ by.
    pub differences: Vec<Difference>,
    /// What follows from several of them together.
    pub follows: Vec<Follows>,
}

impl Report {
    /// Of takes of the same, and of others that they are held against.
    #[must_use]
    pub fn of(takes: Vec<Named>, against: Vec<Named>) -> Self {
        let told = |takes: &[Named]| -> Vec<Told> { takes.iter().map(|take| take.told.clone()).collect() };
        let (one, other) = (told(&takes), told(&against));
        let (one, other): (Vec<&Told>, Vec<&Told>) = (one.iter().collect(), other.iter().collect());
        let all = || one.iter().chain(&other);
        let first = |played: Played| all().find(|told| told.played == played);
        let mut follows = Vec::new();
        follows.extend(
            first(Played::HumHandsOff).zip(first(Played::HumHandsOn)).and_then(|(off, on)| from_hands(off, on)),
        );
        follows.extend(one.first().zip(other.first()).and_then(|(one, other)| from_two(one, other)));
        let same = one.len() > 1 && one.iter().all(|told| told.played == one[0].played);
        Self {
            spread: if same { spread(&one) } else { Vec::new() },
            differences: if other.is_empty() { Vec::new() } else { differences(&one, &other) },
            follows,
            takes,
            against,
        }
    }

    /// For a person to read.
    #[must_use]
    pub fn shown(&self) -> String {
        let mut text = String::new();
        for take in self.takes.iter().chain(&self.against) {
            text.push_str(&take.shown());
        }
        if !self.spread.is_empty() {
            text.push_str("\nFrom take to take\n");
            for spread in &self.spread {
                text.push_str(&spread.shown());
            }
            if self.takes.len() < WANTED {
                text.push_str("  Record the same three times or more: what differs between takes is the player.\n");
            }
        }
        if !self.differences.is_empty() {
            text.push_str("\nBetween the two\n");
            for difference in &self.differences {
                text.push_str(&difference.shown());
            }
            if self.differences.iter().all(|difference| difference.least.is_none()) {
                text.push_str("  None of this can be told from the player yet: record each three times or more.\n");
            }
        }
        for follows in &self.follows {
            let _infallible = write!(text, "\n{}\n", follows.sentence);
        }
        text
    }
}

/// A figure in decibels, or a dash.
fn or_dash(level: Option<Decibels>, unit: &str) -> String {
    level.map_or_else(|| "–".to_owned(), |level| level.shown().replace("dB", unit))
}

/// A figure of a take under its name, for a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Figure {
    /// What it is called.
    pub name: String,
    /// The figure with its unit.
    pub shown: String,
}

impl Told {
    /// All figures, for a person.
    #[must_use]
    pub fn figures(&self) -> Vec<Figure> {
        let Self { loudness, level, clipped, rests, hum, spectrum, plucks, .. } = self;
        let mut all = Vec::new();
        let mut line = |name: &str, shown: String| all.push(Figure { name: name.to_owned(), shown });
        line(
            "loudness",
            format!(
                "{}, loudest 0.4 s {}, loudest 3 s {}, range {}",
                or_dash(loudness.integrated, "LUFS"),
                or_dash(loudness.momentary, "LUFS"),
                or_dash(loudness.short_term, "LUFS"),
                or_dash(loudness.range, "LU")
            ),
        );
        line(
            "level",
            format!(
                "playing {}, rests {}, true peak {}",
                or_dash(level.playing, "dB"),
                or_dash(level.floor, "dB"),
                or_dash(loudness.true_peak, "dB")
            ),
        );
        if let Some(clipped) = clipped {
            let at = moments(&clipped.at, clipped.places);
            line("clipped", format!("at {at}, the tops at {}", or_dash(clipped.ceiling, "dB")));
        }
        line(
            "hum",
            match hum {
                Some(hum) => {
                    let against = hum
                        .against_playing
                        .map_or_else(String::new, |against| format!(", {} against the playing", against.shown()));
                    format!("{} at {:.1} Hz{against}", hum.level.shown(), hum.exact.get())
                }
                None if *rests => "none found".to_owned(),
                None => "can't be told: leave two seconds of rest before you play".to_owned(),
            },
        );
        if let Some(middle) = spectrum.middle {
            line("brightness", format!("{:.0} Hz is the middle of the spectrum", middle.get()));
        }
        for pluck in plucks {
            let name =
                pluck.string.map_or_else(|| "no string".to_owned(), |string| format!("{} string", ordinal(string)));
            let off = pluck.cents.map_or_else(String::new, |cents| format!(" ({cents:+.0} cents)").replace('-', "−"));
            let decay = pluck.decay.map_or_else(String::new, |decay| {
                let heard = if decay.heard { "" } else { " as it began" };
                format!(", −20 dB after {:.1} s{heard}", decay.seconds)
            });
            let warble = pluck.warble.map_or_else(String::new, |warble| {
                format!(", swells {:.1} times a second by {}", warble.rate.get(), warble.depth.shown())
            });
            line(
                &name,
                format!(
                    "at {:.2} s: {:.2} Hz{off}, {}, rises in {:.1} ms{decay}{warble}",
                    pluck.at,
                    pluck.pitch.get(),
                    pluck.level.shown(),
                    pluck.rise
                ),
            );
        }
        all
    }
}

impl Named {
    fn shown(&self) -> String {
        let Told { played, shape, length, .. } = &self.told;
        let channels = if shape.channels == 1 { "1 channel" } else { "2 channels" };
        let bits = shape.bits.map_or_else(String::new, |bits| format!(", {bits} bit"));
        let mut text = format!(
            "{}: {}, {}, {} Hz, {channels}{bits}, {}\n",
            self.name,
            played.in_words(),
            time_shown(*length),
            shape.rate,
            shape.coding.in_words()
        );
        for Figure { name, shown } in self.told.figures() {
            let _infallible = writeln!(text, "  {name:<12} {shown}");
        }
        for follows in &self.follows {
            let _infallible = writeln!(text, "  → {}", follows.sentence);
        }
        text
    }
}

impl Quantity {
    fn in_words(self) -> String {
        match self {
            Self::Loudness => "loudness".to_owned(),
            Self::Hum => "hum".to_owned(),
            Self::Middle => "brightness".to_owned(),
            Self::Third { name } => format!("part at {}", hertz(name)),
            Self::Balance { string } => format!("{} string's level", ordinal(string)),
            Self::Decay { string } => format!("{} string's decay", ordinal(string)),
        }
    }

    fn figure(self, value: f64) -> String {
        match self {
            Self::Loudness => Decibels(value).shown().replace("dB", "LUFS"),
            Self::Hum | Self::Third { .. } | Self::Balance { .. } => Decibels(value).shown(),
            Self::Middle => format!("{value:.0} Hz"),
            Self::Decay { .. } => format!("{value:.2} s"),
        }
    }

    fn step(self, value: f64) -> String {
        self.figure(value).replace("LUFS", "LU")
    }
}

fn hertz(name: Hertz) -> String {
    if name.get() < 1000.0 { format!("{} Hz", name.get()) } else { format!("{} kHz", name.get() / 1000.0) }
}

impl Spread {
    /// For a person, in a line.
    #[must_use]
    pub fn shown(&self) -> String {
        let spread = self.deviation.map_or_else(String::new, |deviation| format!(" ± {}", self.of.step(deviation)));
        format!("  {:<20} {}{spread}\n", self.of.in_words(), self.of.figure(self.mean))
    }
}

impl Difference {
    fn shown(&self) -> String {
        let [one, other] = self.means;
        let by = self.of.step((other - one).abs());
        let judged = match (self.differs(), self.least) {
            (Some(true), _) => format!("differs by {by}"),
            (Some(false), Some(least)) => {
                format!("no difference: {by} is within the {} that the player differs by", self.of.step(least))
            }
            _ => format!("{by} apart"),
        };
        format!("  {:<20} {} and {}: {judged}\n", self.of.in_words(), self.of.figure(one), self.of.figure(other))
    }
}
