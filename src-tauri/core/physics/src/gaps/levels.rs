//! Output against gap: a law fitted to level readings at known gaps, and what it says about a planned move.
//!
//! Over a small range the level falls along a straight line in the logarithm of the gap: level = a + b·log10(gap). Two
//! gaps give the line; more give its scatter as well.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::FAIR;
use super::over::Over;
use crate::record::gaps::{LevelReading, Strings};
use crate::record::quantity::{Decibels, InInches, LengthUnit, Millimetres};

/// How well a level is read off a meter while strumming, in decibels, one standard deviation (from memory).
const READ_TO: f64 = 0.5;
/// Two-sided 95 % points of Student's t for 1 to 30 degrees of freedom (any table of statistics).
const STUDENT_95: [f64; 30] = [
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131, 2.120,
    2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
];
/// The same for the normal distribution.
const NORMAL_95: f64 = 1.960;

/// A level at the distance that the open strings had; `usual` says how they were where the reading does not.
#[must_use]
pub fn over_open_strings(read: LevelReading, over: &Over, usual: Strings) -> LevelReading {
    let were = read.strings.unwrap_or(usual);
    let open = Strings::Open {};
    LevelReading { gap: over.mean_turned(read.gap, were, open), level: read.level, strings: Some(open) }
}

/// Why readings give no law.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoLaw {
    /// There is none, or one.
    TooFew {
        /// How many there are.
        readings: usize,
    },
    /// Their gaps are nearly the same.
    TooAlike,
}

impl NoLaw {
    /// In a sentence.
    #[must_use]
    pub fn in_words(self, unit: LengthUnit) -> String {
        match self {
            Self::TooFew { readings } => {
                let have = if readings == 0 { "There is none yet" } else { "There is one so far" };
                format!("{have}. Two levels at two gaps are the fewest that say how output changes with the gap.")
            }
            Self::TooAlike => format!(
                "All levels were read at nearly the same gap. Read one at a gap that is at least {} wider or narrower.",
                FAIR.shown(unit)
            ),
        }
    }
}

/// Level against gap, as fitted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct LevelLaw {
    /// How many readings it was fitted to.
    pub readings: usize,
    /// The level at a gap of 1 mm, in decibels.
    pub at_one_millimetre: Decibels,
    /// Change of level for a gap ten times as wide, in decibels.
    pub per_decade: Decibels,
    /// How far that change may be off, in decibels (95 %).
    pub per_decade_within: Decibels,
    /// The smallest and the largest gap it was fitted to.
    pub from: Millimetres,
    /// The largest gap it was fitted to.
    pub to: Millimetres,
}

impl LevelLaw {
    /// Fits the law by least squares.
    ///
    /// # Errors
    /// When the readings are too few or their gaps too alike.
    pub fn fit(readings: &[LevelReading]) -> Result<Self, NoLaw> {
        let usable: Vec<(f64, f64)> = readings
            .iter()
            .filter(|reading| reading.gap.0 > 0.0 && reading.gap.0.is_finite() && reading.level.0.is_finite())
            .map(|reading| (reading.gap.0.log10(), reading.level.0))
            .collect();
        let count = usable.len();
        let gap = |pick: fn(f64, f64) -> f64, start: f64| usable.iter().map(|(x, _)| 10f64.powf(*x)).fold(start, pick);
        let (from, to) = (gap(f64::min, f64::INFINITY), gap(f64::max, 0.0));
        if count < 2 {
            return Err(NoLaw::TooFew { readings: count });
        }
        if to - from < FAIR.0 - 1e-9 {
            return Err(NoLaw::TooAlike);
        }
        let n = count as f64;
        let mean_x = usable.iter().map(|(x, _)| x).sum::<f64>() / n;
        let mean_y = usable.iter().map(|(_, y)| y).sum::<f64>() / n;
        let sxx: f64 = usable.iter().map(|(x, _)| (x - mean_x).powi(2)).sum();
        let sxy: f64 = usable.iter().map(|(x, y)| (x - mean_x) * (y - mean_y)).sum();
        let slope = sxy / sxx;
        let scatter: f64 = usable.iter().map(|(x, y)| (y - mean_y - slope * (x - mean_x)).powi(2)).sum();
        // What a meter can be read to is the least; where the readings scatter more, that counts, by Student's t.
        let read = NORMAL_95 * READ_TO / sxx.sqrt();
        let scattered = match count.checked_sub(2) {
            None | Some(0) => 0.0,
            Some(freedom) => {
                let t = STUDENT_95.get(freedom - 1).copied().unwrap_or(NORMAL_95);
                t * (scatter / freedom as f64).sqrt() / sxx.sqrt()
            }
        };
        Ok(Self {
            readings: count,
            at_one_millimetre: Decibels(mean_y - slope * mean_x),
            per_decade: Decibels(slope),
            per_decade_within: Decibels(read.max(scattered)),
            from: Millimetres(from),
            to: Millimetres(to),
        })
    }

    /// What stands in where nobody has read levels: half the gap gives 6 dB, give or take 3 dB (common practice, no source).
    #[must_use]
    pub fn usual() -> Self {
        let doubling = 2f64.log10();
        Self {
            readings: 0,
            at_one_millimetre: Decibels(0.0),
            per_decade: Decibels(-6.0 / doubling),
            per_decade_within: Decibels(3.0 / doubling),
            from: Millimetres(1.0),
            to: Millimetres(4.0),
        }
    }

    /// The change of level from one gap to another, and how far it may be off (95 %), in decibels.
    #[must_use]
    pub fn change(&self, from: Millimetres, to: Millimetres) -> (Decibels, Decibels) {
        let decades = (to.0.max(1e-6) / from.0.max(1e-6)).log10();
        (Decibels(self.per_decade.0 * decades), Decibels(self.per_decade_within.0 * decades.abs()))
    }
}

/// The levels of an audition and what they say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct LevelsView {
    /// Each reading in words, in the order they were taken.
    pub readings: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub readings_in_inches: Vec<Option<InInches>>,
    /// The law, where there are readings enough.
    pub law: Option<LevelLaw>,
    /// What it says, or why it says nothing.
    pub sentence: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub sentence_in_inches: Option<InInches>,
    /// What it says about the planned move.
    pub planned: Option<String>,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub planned_in_inches: Option<InInches>,
}

fn decibels(level: f64) -> String {
    Decibels(level).shown()
}

/// The readings, the law, and the change that a move from `present` to `planned` (mean gaps) would bring.
#[must_use]
pub fn levels_view(
    readings: &[LevelReading],
    present: Option<Millimetres>,
    planned: Option<Millimetres>,
) -> LevelsView {
    let (words, readings_in_inches) =
        InInches::told_each(|unit| readings.iter().map(|reading| reading.in_words(unit)).collect());
    let law = match LevelLaw::fit(readings) {
        Ok(law) => law,
        Err(why) => {
            let (sentence, sentence_in_inches) = InInches::told(|unit| why.in_words(unit));
            return LevelsView {
                readings: words,
                readings_in_inches,
                law: None,
                sentence,
                sentence_in_inches,
                planned: None,
                planned_in_inches: None,
            };
        }
    };
    let (half, within) = law.change(Millimetres(2.0), Millimetres(1.0));
    let few =
        if law.readings == 2 { " Two readings give no scatter; a third would show how well they agree." } else { "" };
    let sentence = if within.0 >= half.0.abs() {
        format!(
            "From {} readings: how the output changes with the gap can't be told from how far a meter may be misread. Read levels \
             at gaps that are farther apart.",
            law.readings
        )
    } else {
        format!(
            "From {} readings: half the gap gives {} give or take {}.{few}",
            law.readings,
            decibels(half.0),
            decibels(within.0)
        )
    };
    let (planned, planned_in_inches) = InInches::told_if(|unit| match (present, planned) {
        (Some(present), Some(planned)) if (present.0 - planned.0).abs() >= 0.05 => {
            let (change, within) = law.change(present, planned);
            let way = if change.0 < 0.0 { "quieter" } else { "louder" };
            let outside = planned.0 < law.from.0 - 0.05 || planned.0 > law.to.0 + 0.05;
            let beyond =
                if outside { " The planned gap lies outside what was measured, so trust it less." } else { "" };
            Some(format!(
                "From {} to {}: about {} {way}, give or take {}.{beyond}",
                present.shown(unit),
                planned.shown(unit),
                decibels(change.0.abs()),
                decibels(within.0)
            ))
        }
        _ => None,
    });
    LevelsView {
        readings: words,
        readings_in_inches,
        law: Some(law),
        sentence,
        sentence_in_inches: None,
        planned,
        planned_in_inches,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn read(pairs: &[(f64, f64)]) -> Vec<LevelReading> {
        pairs
            .iter()
            .map(|(gap, level)| LevelReading { gap: Millimetres(*gap), level: Decibels(*level), strings: None })
            .collect()
    }

    #[test]
    fn too_few_or_too_alike() {
        for (pairs, part) in [
            (&[][..], "There is none yet"),
            (&[(2.0, -12.0)], "There is one so far"),
            (&[(2.0, -12.0), (2.1, -12.3), (2.05, -12.1)], "nearly the same gap"),
        ] {
            let view = levels_view(&read(pairs), None, None);
            assert!(view.law.is_none() && view.sentence.contains(part), "{}", view.sentence);
        }
    }

    #[test]
    fn two_readings_and_a_planned_move() {
        let view = levels_view(&read(&[(2.0, -12.0), (4.0, -20.0)]), Some(Millimetres(4.0)), Some(Millimetres(2.8)));
        let law = view.law.expect("two gaps give a line");
        assert!((law.change(Millimetres(2.0), Millimetres(4.0)).0.0 + 8.0).abs() < 1e-9);
        assert_eq!(view.planned.as_deref(), Some("From 4 mm to 2.8 mm: about 4.1 dB louder, give or take 0.7 dB."));
        assert!(view.sentence.contains("a third would show"), "{}", view.sentence);
        let out = levels_view(&read(&[(2.0, -12.0), (4.0, -20.0)]), Some(Millimetres(4.0)), Some(Millimetres(6.0)));
        assert!(out.planned.is_some_and(|said| said.contains("quieter") && said.contains("trust it less")));
        let flat = levels_view(&read(&[(2.0, -12.0), (2.4, -12.1)]), None, None);
        assert!(flat.sentence.contains("can't be told"), "{}", flat.sentence);
    }

    /// The t table against its definition: the density, integrated to each point, leaves 2.5 % beyond.
    #[test]
    fn students_table_by_its_density() {
        for (index, point) in STUDENT_95.iter().enumerate() {
            let freedom = (index + 1) as f64;
            let density = |t: f64| (1.0 + t * t / freedom).powf(-(freedom + 1.0) / 2.0);
            // With t = tan(u) the whole line is a finite range, so the density need not be known by its constant.
            let integral = |to: f64| {
                let steps = 20_000;
                let step = to / f64::from(steps);
                (0..steps)
                    .map(|i| (f64::from(i) + 0.5) * step)
                    .map(|u: f64| density(u.tan()) / u.cos().powi(2) * step)
                    .sum::<f64>()
            };
            let inside = integral(point.atan()) / integral(std::f64::consts::FRAC_PI_2);
            assert!((inside - 0.95).abs() < 1e-4, "{freedom}: {inside}");
        }
    }

    proptest! {
        /// A law is found again from readings that follow it, and the truth lies within what it claims.
        #[test]
        fn a_law_is_found_again(
            a in -40.0_f64..0.0, b in -60.0_f64..-5.0, gaps in prop::collection::vec(0.8_f64..6.0, 2..=10),
            noise in prop::collection::vec(-0.3_f64..0.3, 10),
        ) {
            let spread = gaps.iter().copied().fold(0.0, f64::max) - gaps.iter().copied().fold(9.0, f64::min);
            prop_assume!(spread > 0.5);
            let exact: Vec<_> = gaps.iter().map(|g| (*g, a + b * g.log10())).collect();
            let law = LevelLaw::fit(&read(&exact)).expect("the gaps differ");
            prop_assert!((law.per_decade.0 - b).abs() < 1e-6 && (law.at_one_millimetre.0 - a).abs() < 1e-6);
            let off: Vec<_> = exact.iter().zip(&noise).map(|((g, l), n)| (*g, l + n)).collect();
            let law = LevelLaw::fit(&read(&off)).expect("the gaps differ");
            // Noise of at most 0.3 dB in ten readings moves the slope by no more than 0.3·√10 / √Sxx, which is 0.95 / √Sxx.
            prop_assert!((law.per_decade.0 - b).abs() <= law.per_decade_within.0);
        }
    }
}
