//! Gaps between a pickup and the strings as they were measured, aimed at, and read with a level.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::AuditionId;
use crate::quantity::{Decibels, LengthUnit, Millimetres};

/// Gaps between the pickup and the strings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/gaps.ts")]
pub struct GapsMeasured {
    /// At the bass side, in millimetres.
    pub bass: Millimetres,
    /// At the treble side, in millimetres.
    pub treble: Millimetres,
    /// The fret at which the strings were pressed; nothing when they were open.
    pub pressed_at: Option<u8>,
    /// Whether they stay like this, or the studs are still to be turned.
    pub kept: bool,
    /// At the strings between the outer ones, bass side first, in millimetres; nothing where it was not measured. Empty
    /// when none was.
    #[serde(default)]
    pub between: Vec<Option<Millimetres>>,
    /// How far the studs of the bass and of the treble side stand out of their lowest position, in millimetres, if that
    /// was measured.
    #[serde(default)]
    pub studs_out: Option<[Millimetres; 2]>,
}

impl GapsMeasured {
    /// At the bass and at the treble side.
    #[must_use]
    pub fn pair(&self) -> [Millimetres; 2] {
        [self.bass, self.treble]
    }

    /// How the strings were.
    #[must_use]
    pub fn strings(&self) -> Strings {
        Strings::at(self.pressed_at)
    }
}

/// The gaps to turn the studs for, when they are not the middle of the starting range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/gaps.ts")]
pub struct GapAim {
    /// At the bass side, in millimetres.
    pub bass: Millimetres,
    /// At the treble side, in millimetres.
    pub treble: Millimetres,
    /// The fret at which the strings were pressed for these gaps; nothing when they were open.
    pub pressed_at: Option<u8>,
    /// The audition they were taken from; nothing when they were typed.
    pub from: Option<AuditionId>,
}

/// How the strings were when something was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(tag = "are", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/gaps.ts")]
pub enum Strings {
    /// They were open.
    Open {},
    /// They were pressed at this fret.
    Pressed {
        /// The fret.
        at: u8,
    },
}

impl Strings {
    /// Pressed at this fret; open without one.
    #[must_use]
    pub fn at(fret: Option<u8>) -> Self {
        fret.map_or(Self::Open {}, |at| Self::Pressed { at })
    }

    /// The fret at which they are pressed.
    #[must_use]
    pub fn pressed_at(self) -> Option<u8> {
        match self {
            Self::Open {} => None,
            Self::Pressed { at } => Some(at),
        }
    }

    /// "open", "pressed at fret 22".
    #[must_use]
    pub fn in_words(self) -> String {
        match self {
            Self::Open {} => "open".to_owned(),
            Self::Pressed { at } => format!("pressed at fret {at}"),
        }
    }
}

/// A level read at a known gap.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/gaps.ts")]
pub struct LevelReading {
    /// The gap, in millimetres; the mean of bass and treble side.
    pub gap: Millimetres,
    /// The level, in decibels against whatever the meter counts from.
    pub level: Decibels,
    /// How the strings were when the gap was measured; nothing in entries of older versions, which took it as the gaps of
    /// the audition were measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub strings: Option<Strings>,
}

impl LevelReading {
    /// "−12.5 dB at 2.4 mm".
    #[must_use]
    pub fn in_words(&self, unit: LengthUnit) -> String {
        format!("{} at {}", self.level.shown(), self.gap.shown(unit))
    }
}

/// The largest gap that still says anything about a pickup.
pub const LARGEST: f64 = 20.0;

/// Whether this can be a gap at all.
///
/// # Errors
/// A sentence in millimetres, when it is zero or below, or so large that nothing could be judged.
pub fn possible(gap: Millimetres) -> Result<(), String> {
    possible_in(gap, LengthUnit::Millimetre)
}

/// Whether this can be a gap at all, for somebody who works in this unit.
///
/// # Errors
/// A sentence, when it is zero or below, or so large that nothing could be judged.
pub fn possible_in(gap: Millimetres, unit: LengthUnit) -> Result<(), String> {
    if gap.0 <= 0.0 {
        Err("A gap of zero touches the string. Measure from the pole top to the string.".to_owned())
    } else if gap.0 > LARGEST {
        let largest = Millimetres(LARGEST).shown(unit);
        Err(format!("At more than {largest} hardly anything is heard. Check the unit."))
    } else {
        Ok(())
    }
}
