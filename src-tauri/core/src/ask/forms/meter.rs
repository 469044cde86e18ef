//! A meter as typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::Refusal;
use crate::record::claim::{Meter, MeterRange};
use crate::record::meter::OwnMeter;
use crate::record::quantity::{Ohms, Reading, in_ascii, read_ohms};
use crate::record::words;

/// A meter as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub struct MeterForm {
    /// What its owner calls it.
    pub label: String,
    /// Share of the reading, in per cent, as typed: `1`.
    pub percent: String,
    /// Counts of the last digit, as typed: `3`.
    pub counts: String,
    /// Its ohms ranges, from the lowest to the highest.
    pub ranges: Vec<RangeForm>,
}

/// One ohms range as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub struct RangeForm {
    /// The most it shows, as typed: `40k`.
    pub top: String,
    /// The size of its last digit, as typed: `10`.
    pub digit: String,
}

impl MeterForm {
    pub(crate) fn from_record(meter: &OwnMeter) -> Self {
        let plain = |number: f64| format!("{:.3}", number).trim_end_matches('0').trim_end_matches('.').to_owned();
        Self {
            label: meter.label.clone(),
            percent: plain(meter.claim.share * 100.0),
            counts: plain(meter.claim.counts),
            ranges: meter
                .claim
                .ranges
                .iter()
                .map(|range| RangeForm { top: range.top.shown(), digit: range.digit.shown() })
                .collect(),
        }
    }

    pub(crate) fn read(&self) -> Result<OwnMeter, Refusal> {
        let label = words::label(&self.label, "the meter").map_err(|e| Refusal::unclear("form.label", e.sentence))?;
        let number = |typed: &str, field: &'static str, what: &str| {
            let text = in_ascii(typed.trim()).trim_end_matches('%').trim().replace(',', ".");
            text.parse::<f64>()
                .ok()
                .filter(|number| number.is_finite())
                .ok_or_else(|| Refusal::unclear(field, format!("Write the {what} as a number, such as 1 or 0.8.")))
        };
        let claim = Meter {
            share: number(&self.percent, "form.percent", "per cent of the reading")? / 100.0,
            counts: number(&self.counts, "form.counts", "counts of the last digit")?,
            ranges: self
                .ranges
                .iter()
                .map(|range| Ok(MeterRange { top: ohms(&range.top)?, digit: ohms(&range.digit)? }))
                .collect::<Result<_, Refusal>>()?,
        };
        for (field, part) in [
            ("form.percent", claim.share_checked()),
            ("form.counts", claim.counts_checked()),
            ("form.ranges", claim.ranges_checked()),
        ] {
            part.map_err(|unclear| Refusal::unclear(field, unclear.sentence))?;
        }
        Ok(OwnMeter { label, claim })
    }
}

fn ohms(typed: &str) -> Result<Ohms, Refusal> {
    match read_ohms(typed).map_err(|unclear| Refusal::unclear("form.ranges", unclear.sentence))? {
        Reading::Ohms(ohms) => Ok(ohms),
        Reading::OverLimit => Err(Refusal::unclear("form.ranges", "A range ends at a number of ohms, such as 40k.")),
    }
}
