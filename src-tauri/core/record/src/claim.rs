//! What a meter claims of its readings.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::quantity::Ohms;
use crate::words::Unclear;

/// What a meter claims: ±(share of the reading + counts of the last digit), by range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub struct Meter {
    /// Share of the reading: 0.01 is one per cent.
    pub share: f64,
    /// Counts of the last digit.
    pub counts: f64,
    /// Its ohms ranges, from the lowest to the highest.
    pub ranges: Vec<MeterRange>,
}

/// One ohms range of a meter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub struct MeterRange {
    /// The most it shows, in ohms.
    pub top: Ohms,
    /// The size of its last digit, in ohms.
    pub digit: Ohms,
}

impl Meter {
    /// A plain pocket meter: ±(1 % + 3 counts), 4000 counts, up to 40 MΩ (common practice, no source).
    #[must_use]
    pub fn plain() -> Self {
        let ranges = [4e2, 4e3, 4e4, 4e5, 4e6, 4e7];
        Self {
            share: 0.01,
            counts: 3.0,
            ranges: ranges.map(|top| MeterRange { top: Ohms(top), digit: Ohms(top / 4000.0) }).to_vec(),
        }
    }

    /// This meter, if what was typed for it can be.
    ///
    /// # Errors
    /// [`Unclear`] when the share is not between 0 and 20 %, the counts not between 0 and 100, there is no range or more
    /// than 12, a range is not larger than the one before, or a last digit is not smaller than its range.
    pub fn checked(self) -> Result<Self, Unclear> {
        self.share_checked().and_then(|()| self.counts_checked()).and_then(|()| self.ranges_checked())?;
        Ok(self)
    }

    /// Whether its share of the reading can be.
    ///
    /// # Errors
    /// [`Unclear`] when it is not between 0 and 20 %.
    pub fn share_checked(&self) -> Result<(), Unclear> {
        if (0.0..=0.2).contains(&self.share) {
            return Ok(());
        }
        Err(Unclear::new("A meter's share of the reading lies between 0 and 20 %. Look for “accuracy” in its booklet."))
    }

    /// Whether its counts of the last digit can be.
    ///
    /// # Errors
    /// [`Unclear`] when they are not between 0 and 100.
    pub fn counts_checked(&self) -> Result<(), Unclear> {
        if (0.0..=100.0).contains(&self.counts) {
            return Ok(());
        }
        Err(Unclear::new("A meter's counts lie between 0 and 100. They follow the per cent in its booklet."))
    }

    /// Whether its ranges can be.
    ///
    /// # Errors
    /// [`Unclear`] when there is none or more than 12, one is not larger than the one before, or a last digit is not smaller
    /// than its range.
    pub fn ranges_checked(&self) -> Result<(), Unclear> {
        if self.ranges.is_empty() || self.ranges.len() > 12 {
            return Err(Unclear::new("Give the meter between one and twelve ohms ranges."));
        }
        let mut before = 0.0;
        for range in &self.ranges {
            if !(range.top.0 > before && range.top.0 <= 1e9) {
                return Err(Unclear::new("Write the meter's ranges from the lowest to the highest, up to 1 GΩ."));
            }
            if !(range.digit.0 > 0.0 && range.digit.0 < range.top.0) {
                return Err(Unclear::new(format!(
                    "The last digit of the {} range must be larger than nothing and smaller than the range.",
                    range.top.shown()
                )));
            }
            before = range.top.0;
        }
        Ok(())
    }

    /// How far a reading of this size may lie from the truth, in ohms.
    #[must_use]
    pub fn claim(&self, ohms: Ohms) -> Ohms {
        self.claim_as_written(ohms, None)
    }

    /// How far a reading may lie from the truth, in ohms, with what its last digit stood for as it was written down
    /// ([`crate::quantity::last_digit`]). Near the top of a range that says which range it was: `1.998k` or `2.00k`.
    #[must_use]
    pub fn claim_as_written(&self, ohms: Ohms, last_digit: Option<Ohms>) -> Ohms {
        let size = ohms.0.abs();
        let on = |range: &MeterRange| Ohms(size * self.share + self.counts * range.digit.0);
        let place = self.ranges.iter().position(|range| size <= range.top.0);
        let Some(range) = place.map_or(self.ranges.last(), |place| self.ranges.get(place)) else {
            return Ohms(size * self.share);
        };
        // So near the top of a range the meter may have stood on the next one, whose last digit is larger.
        let next = place.and_then(|place| self.ranges.get(place + 1)).filter(|next| {
            let most = (size + self.counts * next.digit.0) / (1.0 - self.share).max(f64::MIN_POSITIVE);
            // A digit that the next range does not have says that it was not that one.
            let has = last_digit.is_none_or(|digit| digit.0 > next.digit.0 * (1.0 - 1e-6));
            most > range.top.0 && has
        });
        on(next.unwrap_or(range))
    }

    /// How many counts its ranges have at most: 2000 for a meter that shows up to 1999.
    #[must_use]
    pub fn most_counts(&self) -> f64 {
        self.ranges
            .iter()
            .map(|range| range.top.0 / range.digit.0)
            .filter(|counts| counts.is_finite())
            .fold(0.0, f64::max)
    }

    /// Past this it shows over limit, in ohms; infinite for a meter without ranges.
    #[must_use]
    pub fn limit(&self) -> Ohms {
        self.ranges.last().map_or(Ohms(f64::INFINITY), |range| range.top)
    }

    /// `±(1 % + 3 digits)`.
    #[must_use]
    pub fn shown(&self) -> String {
        let share = format!("{:.2}", self.share * 100.0);
        let counts = format!("{:.1}", self.counts);
        let trimmed = |text: &str| text.trim_end_matches('0').trim_end_matches('.').to_owned();
        format!("±({} % + {} digits)", trimmed(&share), trimmed(&counts))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn claims_by_range() {
        let meter = Meter::plain();
        // 1 % and 3 counts of 1, 10 and 1000 ohms.
        for (ohms, claim) in [(3334.0, 36.34), (6660.0, 96.6), (13_340.0, 163.4), (-6660.0, 96.6), (1e6, 13_000.0)] {
            assert!((meter.claim(Ohms(ohms)).0 - claim).abs() < 1e-9, "{ohms}");
        }
        // Near the top of the 4 kΩ range, the digits tell which one it was: 1 % and 3 counts of 1 or of 10 ohms.
        for (digit, claim) in [(Some(1.0), 42.9), (Some(10.0), 69.9), (None, 69.9)] {
            assert!((meter.claim_as_written(Ohms(3990.0), digit.map(Ohms)).0 - claim).abs() < 1e-9, "{digit:?}");
        }
        assert!((meter.most_counts() - 4000.0).abs() < 1e-9);
        assert_eq!(meter.limit(), Ohms(4e7));
        assert_eq!(meter.shown(), "±(1 % + 3 digits)");
    }

    #[test]
    fn a_meter_that_can_not_be_is_refused() {
        let with = |change: fn(&mut Meter)| {
            let mut meter = Meter::plain();
            change(&mut meter);
            meter.checked()
        };
        assert!(with(|_| {}).is_ok());
        for (what, refused) in [
            ("share in per cent", with(|m| m.share = 1.0)),
            ("no number", with(|m| m.share = f64::NAN)),
            ("counts", with(|m| m.counts = -1.0)),
            ("no range", with(|m| m.ranges.clear())),
            ("falling", with(|m| m.ranges.reverse())),
            ("no top", with(|m| m.ranges[0].top = Ohms(f64::NAN))),
            ("digit", with(|m| m.ranges[2].digit = Ohms(1e9))),
        ] {
            assert!(refused.is_err(), "{what}");
        }
    }
}
