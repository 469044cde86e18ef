//! Powers in decibels of full scale: a square wave from top to bottom has 0 dB, a sine −3.0 dB.

use solderlast_record::quantity::Decibels;

/// A figure in decibels, or nothing where there is none: silence has no level.
pub(crate) fn told(value: f64) -> Option<Decibels> {
    value.is_finite().then_some(Decibels(value))
}

/// A power, full scale being 1, in decibels.
pub(crate) fn of_power(power: f64) -> f64 {
    10.0 * power.log10()
}

/// Decibels as a power.
pub(crate) fn power(decibels: f64) -> f64 {
    10f64.powf(decibels / 10.0)
}
