//! What follows from what takes tell: what to do next, with the number and its reason.

use serde::{Deserialize, Serialize};
use solderlast_record::quantity::{Decibels, Hertz, InInches};
use solderlast_record::take::{Played, time_shown};
use ts_rs::TS;

use crate::file::Flaw;
use crate::strings::{Warble, balance};
use crate::told::Told;

/// A peak that is nearer to full scale than this, in decibels, leaves no room (common practice: 6 to 12 dB).
const NO_ROOM: f64 = -1.0;
/// A peak under this, in decibels, is weak: hum and noise of the recorder come up with it.
const WEAK: f64 = -30.0;
/// A peak under this, in decibels, serves and could be better: the page that records asks for −12 to −6 dB.
const LOW: f64 = -15.0;
/// An offset beyond this share of full scale is worth a word.
const OFFSET: f64 = 0.01;
/// Hum that is nearer to the playing than this, in decibels, is heard in rests.
const HUM_HEARD: f64 = -45.0;
/// A string that differs from the others by this, in decibels, is worth a turn of a screw.
const STANDS_OUT: f64 = 3.0;
/// From one side to the other more than this, in decibels, is a tilt (common practice: thicker strings are a little louder).
const TILTED: f64 = 6.0;
/// A string that is further from its note than this, in cents, is out of tune.
const OUT_OF_TUNE: f64 = 10.0;
/// A warble deeper than this, in decibels, is heard.
const WARBLES: f64 = 5.0;
/// Hum that falls by this, in decibels, fell.
const FALLS: f64 = 3.0;
/// Takes whose loudness differs by less than this, in LU, are equally loud.
const ALIKE: f64 = 0.1;

/// The number something follows from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "why")]
#[ts(export_to = "contract/take.ts")]
pub enum Why {
    /// What was wrong with the file.
    File {
        /// What it was.
        flaw: Flaw,
    },
    /// It is clipped.
    Clipped {
        /// In how many places.
        places: u32,
        /// Below full scale, so before the recorder.
        below_full_scale: bool,
    },
    /// The peak comes too near to full scale.
    NoRoom {
        /// The true peak, in decibels of full scale.
        peak: Decibels,
    },
    /// The peak is low.
    Weak {
        /// The true peak, in decibels of full scale.
        peak: Decibels,
    },
    /// The middle of the signal is off zero.
    Offset {
        /// By this share of full scale.
        share: f64,
    },
    /// Hum is heard in rests.
    Hum {
        /// Against the playing, in decibels.
        against_playing: Decibels,
        /// 50 or 60 Hz.
        mains: Hertz,
    },
    /// One string is louder or softer than the others.
    String {
        /// Which string, the thinnest being the first.
        string: u8,
        /// Against the mean of the others, in decibels.
        by: Decibels,
    },
    /// The strings of one side are louder.
    Side {
        /// Bass against treble side, in decibels from the thickest to the thinnest string.
        bass_over_treble: Decibels,
    },
    /// A string is out of tune.
    OutOfTune {
        /// Which string.
        string: u8,
        /// By this, in cents; below zero is flat.
        cents: f64,
    },
    /// A string warbles.
    Warbles {
        /// Which string, where that is known.
        string: Option<u8>,
        /// How.
        warble: Warble,
    },
    /// Hum with the hands off the strings against hum with the hands on them.
    Hands {
        /// What it falls by, in decibels.
        falls: Decibels,
    },
    /// No strings were found in a take of open strings.
    NoStrings,
    /// It was recorded to measure something, and nothing could be measured from it.
    Refused {
        /// Why, in a sentence.
        reason: String,
    },
    /// Two takes differ in loudness.
    Louder {
        /// The second against the first, in LU.
        by: Decibels,
        /// What each is turned down by for listening, in decibels; one of them by nothing.
        turned_down: [Decibels; 2],
    },
}

/// What follows, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Follows {
    /// The number, and what it is of.
    pub from: Why,
    /// What to do, and why.
    pub sentence: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub sentence_in_inches: Option<InInches>,
}

impl From<Why> for Follows {
    fn from(from: Why) -> Self {
        Self { sentence: from.sentence(), sentence_in_inches: None, from }
    }
}

/// What follows from one take.
#[must_use]
pub fn from_take(told: &Told) -> Vec<Follows> {
    let mut all: Vec<Why> = told.flaws.iter().cloned().map(|flaw| Why::File { flaw }).collect();
    if let Some(clipped) = &told.clipped {
        all.push(Why::Clipped { places: clipped.places, below_full_scale: clipped.below_full_scale });
    }
    match told.loudness.true_peak {
        Some(peak) if peak.get() > NO_ROOM && told.clipped.is_none() => all.push(Why::NoRoom { peak }),
        Some(peak) if peak.get() < WEAK && !told.played.is_hum() => all.push(Why::Weak { peak }),
        Some(peak) if peak.get() < LOW && told.played.is_music() => all.push(Why::Weak { peak }),
        _ => {}
    }
    let offset = told.level.offset.iter().copied().max_by(|one, other| one.abs().total_cmp(&other.abs()));
    all.extend(offset.filter(|share| share.abs() > OFFSET).map(|share| Why::Offset { share }));
    if let Some(hum) = &told.hum
        && let Some(against_playing) = hum.against_playing.filter(|level| level.get() > HUM_HEARD)
    {
        all.push(Why::Hum { against_playing, mains: hum.mains });
    }
    if told.played == Played::OpenStrings {
        strings(told, &mut all);
    }
    all.into_iter().map(Follows::from).collect()
}

fn strings(told: &Told, all: &mut Vec<Why>) {
    if told.plucks.is_empty() {
        all.push(Why::NoStrings);
        return;
    }
    for pluck in &told.plucks {
        if let Some((string, cents)) = pluck.string.zip(pluck.cents)
            && cents.abs() > OUT_OF_TUNE
            && !all.iter().any(|one| matches!(one, Why::OutOfTune { string: same, .. } if *same == string))
        {
            all.push(Why::OutOfTune { string, cents });
        }
    }
    all.extend(out_of_balance(&balance(&told.plucks)));
    let warbles = told.plucks.iter().filter_map(|pluck| Some((pluck.string, pluck.warble?)));
    let deepest = warbles.max_by(|(_, one), (_, other)| one.depth.get().total_cmp(&other.depth.get()));
    if let Some((string, warble)) = deepest.filter(|(_, warble)| warble.depth.get() >= WARBLES) {
        all.push(Why::Warbles { string, warble });
    }
}

/// The string or the side that stands out: a slope over all strings first, then what differs from it.
fn out_of_balance(levels: &[(u8, f64)]) -> Option<Why> {
    if levels.len() < 4 {
        return None;
    }
    let count = levels.len() as f64;
    let of_string = |string: u8| f64::from(string);
    let (x, y) =
        levels.iter().fold((0.0, 0.0), |(x, y), (string, level)| (x + of_string(*string) / count, y + level / count));
    let (mut across, mut up) = (0.0, 0.0);
    for (string, level) in levels {
        across += (of_string(*string) - x).powi(2);
        up += (of_string(*string) - x) * (level - y);
    }
    let slope = up / across;
    // Each string against the mean of the others.
    let against = |string: u8, level: f64| {
        let others = levels.iter().filter(|(other, _)| *other != string).map(|(_, level)| level).sum::<f64>();
        level - others / (count - 1.0)
    };
    let misses = |slope: f64| -> f64 {
        levels.iter().map(|(string, level)| (level - y - slope * (of_string(*string) - x)).powi(2)).sum()
    };
    let whole = slope * (of_string(levels.last()?.0) - of_string(levels.first()?.0));
    if whole.abs() >= TILTED && misses(slope) < 0.5 * misses(0.0) {
        return Some(Why::Side { bass_over_treble: Decibels(whole) });
    }
    let (string, by) = levels
        .iter()
        .map(|(string, level)| (*string, against(*string, *level)))
        .max_by(|(_, one), (_, other)| one.abs().total_cmp(&other.abs()))?;
    (by.abs() >= STANDS_OUT).then_some(Why::String { string, by: Decibels(by) })
}

/// What follows from hum with the hands off the strings, and with the hands on them.
#[must_use]
pub fn from_hands(off: &Told, on: &Told) -> Option<Follows> {
    let level = |told: &Told| told.hum.as_ref().map(|hum| hum.level).or(told.level.playing);
    let falls = Decibels(level(off)?.get() - level(on)?.get());
    off.hum.is_some().then(|| Why::Hands { falls }.into())
}

/// What follows from two takes that are to be heard beside each other.
#[must_use]
pub fn from_two(one: &Told, other: &Told) -> Option<Follows> {
    let by = other.loudness.integrated?.get() - one.loudness.integrated?.get();
    (by.abs() > ALIKE).then(|| {
        // The louder goes down, so that nothing can clip.
        let turned_down = [Decibels((-by).max(0.0)), Decibels(by.max(0.0))];
        Why::Louder { by: Decibels(by), turned_down }.into()
    })
}

/// `1st`, `2nd`, `3rd`, `4th`.
pub(crate) fn ordinal(number: u8) -> String {
    let ending = match (number % 10, number % 100) {
        (1, rest) if rest != 11 => "st",
        (2, rest) if rest != 12 => "nd",
        (3, rest) if rest != 13 => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

/// A size in decibels, without its sign.
fn size(decibels: Decibels) -> String {
    Decibels(decibels.get().abs()).shown()
}

impl Why {
    fn sentence(&self) -> String {
        match self {
            Self::File { flaw } => flaw.sentence(),
            Self::Clipped { places, below_full_scale } => {
                let places = if *places == 1 { "1 place".to_owned() } else { format!("{places} places") };
                if *below_full_scale {
                    format!(
                        "Clipped in {places}, below the recorder's full scale, so by something before it. Turn down what the \
                         guitar is plugged into, and record again."
                    )
                } else {
                    format!("Clipped in {places}. Record again with less gain.")
                }
            }
            Self::NoRoom { peak } => format!(
                "The peak is at {}. Leave 6 to 12 dB of room: turn the gain down, and write down where it stands.",
                peak.shown()
            ),
            Self::Weak { peak } if peak.get() >= WEAK => format!(
                "The peak is at {}. It serves, but −12 to −6 dB is better: turn the gain up before the next takes, and leave it \
                 there.",
                peak.shown()
            ),
            Self::Weak { peak } => format!(
                "The peak is at {} only, so the recorder's own noise comes up with it. Turn the gain up to about −9 dB.",
                peak.shown()
            ),
            Self::Offset { share } => format!(
                "The signal stands off its middle by {:.1} % of full scale. That is a fault of the recorder's input, not of \
                 the pickup.",
                share.abs() * 100.0
            ),
            Self::Hum { against_playing, mains } => format!(
                "Hum at {} Hz is only {} under the playing. Turn the guitar away from lamps, screens and transformers, and look \
                 at the ground.",
                mains.get(),
                size(*against_playing)
            ),
            Self::String { string, by } => {
                let (word, act) = if by.get() > 0.0 { ("over", "lower") } else { ("under", "raise") };
                format!(
                    "The {} string is {} {word} the others: {act} the screw under it, or that side of the pickup, and record again.",
                    ordinal(*string),
                    size(*by)
                )
            }
            Self::Side { bass_over_treble } => {
                let (loud, side) = if bass_over_treble.get() > 0.0 { ("bass", "bass") } else { ("treble", "treble") };
                format!(
                    "From one side to the other the strings differ by {}, the {loud} strings being louder: give the {side} side \
                     more gap, and record again.",
                    size(*bass_over_treble)
                )
            }
            Self::OutOfTune { string, cents } => format!(
                "The {} string is {:.0} cents {}. Tune it before takes are compared.",
                ordinal(*string),
                cents.abs(),
                if *cents < 0.0 { "flat" } else { "sharp" }
            ),
            Self::Warbles { string, warble } => format!(
                "{} swells {:.1} times a second by {}. Magnets that pull the string do that: give it more gap, and record again. \
                 If it stays, it is the string.",
                string.map_or_else(|| "A string".to_owned(), |string| format!("The {} string", ordinal(string))),
                warble.rate.get(),
                warble.depth.shown()
            ),
            Self::Hands { falls } if falls.get() >= FALLS => format!(
                "Hum falls {} with hands on the strings: that is the usual sign of a working string ground.",
                size(*falls)
            ),
            Self::Hands { falls } if falls.get() <= -FALLS => format!(
                "Hum rises {} with hands on the strings: the ground is missing or the leads are turned. Unplug, and check where \
                 the sleeve of the jack goes.",
                size(*falls)
            ),
            Self::Hands { .. } => {
                "Hum is the same with hands on the strings: either the strings are not grounded, or the \
                 screening leaves nothing to gain. A meter from the bridge to the sleeve of the jack tells."
                    .to_owned()
            }
            Self::NoStrings => {
                "No plucked string was found. Pluck the open strings one by one, and let each ring.".to_owned()
            }
            Self::Refused { reason } => format!("Refused, so nothing was measured from it. {reason}"),
            Self::Louder { by, turned_down } => {
                let (which, down) = if by.get() > 0.0 { ("second", turned_down[1]) } else { ("first", turned_down[0]) };
                format!(
                    "These two differ by {} in level, which is a result of its own. For listening the {which} is turned down \
                     by {}.",
                    size(*by),
                    down.shown()
                )
            }
        }
    }
}

/// `at 1.2 s, 3.0 s and more`.
pub(crate) fn moments(at: &[f64], all: u32) -> String {
    let named: Vec<String> = at.iter().take(3).map(|at| time_shown(*at)).collect();
    let more = if all as usize > named.len() { " and more" } else { "" };
    format!("{}{more}", named.join(", "))
}
