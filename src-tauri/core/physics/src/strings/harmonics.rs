//! What a pickup senses of a string's harmonics at one place.
//!
//! The n-th harmonic of a string of length L moves as sin(n·π·d/L) at a distance d from the saddle (the ideal string of
//! the wave equation, any acoustics text). A coil that senses evenly over an aperture w along the string takes the mean of
//! that over w, which multiplies it by sinc(n·π·w/(2L)); two coils in phase, c apart, hear cos(n·π·c/(2L)) times as much on
//! average, and more than two the mean over them all. Stiffness, plucking and the coil's own resonance are left out: two places are compared, not a sound predicted.

use std::f64::consts::PI;

use crate::record::pickup::Construction;
use crate::record::quantity::{Decibels, Millimetres};

/// How many harmonics are looked at.
pub const HARMONICS: u32 = 20;
/// A harmonic is silent when one of its nodes lies this near, in millimetres: nobody measures a place more closely.
pub const NODE_WITHIN: f64 = 0.5;
/// The lowest level that is told, in decibels.
const FLOOR: f64 = -60.0;

/// How much of the string's length one coil senses, in millimetres (from memory, a place to start).
#[must_use]
pub fn aperture(construction: Construction) -> Millimetres {
    Millimetres(match construction {
        Construction::SingleCoil | Construction::Stacked | Construction::SideBySide | Construction::TappedCoil => 10.0,
        Construction::SoapBar => 16.0,
        Construction::Rail => 6.0,
        Construction::Mini => 8.0,
    })
}

/// What hears a string: where, how wide, and through which coils.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hearing {
    /// From the saddle to the middle of what hears, in millimetres.
    pub place: Millimetres,
    /// Length of string that one coil senses.
    pub aperture: Millimetres,
    /// How many coils hear in phase, and the distance between the middles of neighbours; nothing for one coil.
    pub apart: Option<(u8, Millimetres)>,
}

impl Hearing {
    /// The share of the n-th harmonic's movement that is sensed, from −1 to 1, on a string that is `length` millimetres
    /// long from saddle to nut or fret.
    #[must_use]
    pub fn share(&self, harmonic: u32, length: Millimetres) -> f64 {
        let turn = f64::from(harmonic) * PI / length.0;
        let half = turn * self.aperture.0 / 2.0;
        let wide = if half.abs() < 1e-9 { 1.0 } else { half.sin() / half };
        let together = self.apart.map_or(1.0, |(coils, apart)| {
            let coils = f64::from(coils);
            let sum: f64 =
                (0..coils as u32).map(|coil| (turn * apart.0 * (f64::from(coil) - (coils - 1.0) / 2.0)).cos()).sum();
            sum / coils.max(1.0)
        });
        (turn * self.place.0).sin() * wide * together
    }

    /// The same as a level, in decibels; 0 is all of it, and −60 stands for anything less.
    #[must_use]
    pub fn level(&self, harmonic: u32, length: Millimetres) -> Decibels {
        let share = self.share(harmonic, length).abs();
        Decibels((20.0 * share.max(1e-12).log10()).max(FLOOR))
    }

    /// Whether the harmonic is silent: a node lies within [`NODE_WITHIN`] of the place, or two coils that far apart, or
    /// half a millimetre more or less, take each other's part away.
    #[must_use]
    pub fn is_silent(&self, harmonic: u32, length: Millimetres) -> bool {
        let moved = |by: f64| Self { place: Millimetres(self.place.0 + by), ..*self }.share(harmonic, length);
        let spaced = |by: f64| -> Option<f64> {
            let (coils, apart) = self.apart?;
            Some(Self { apart: Some((coils, Millimetres(apart.0 + by))), ..*self }.share(harmonic, length))
        };
        let changes = |before: f64, after: f64| before * after <= 0.0;
        changes(moved(-NODE_WITHIN), moved(NODE_WITHIN))
            || matches!((spaced(-NODE_WITHIN), spaced(NODE_WITHIN)), (Some(a), Some(b)) if changes(a, b))
    }

    /// The first harmonic up to [`HARMONICS`] that is silent.
    #[must_use]
    pub fn first_silent(&self, length: Millimetres) -> Option<u32> {
        (1..=HARMONICS).find(|harmonic| self.is_silent(*harmonic, length))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn point(place: f64) -> Hearing {
        Hearing { place: Millimetres(place), aperture: Millimetres(0.0), apart: None }
    }

    #[test]
    fn a_quarter_of_the_string_from_the_saddle_never_hears_the_fourth() {
        let hearing = point(162.0);
        let silent: Vec<u32> = (1..=HARMONICS).filter(|n| hearing.is_silent(*n, Millimetres(648.0))).collect();
        assert_eq!(silent, [4, 8, 12, 16, 20]);
        assert_eq!(hearing.first_silent(Millimetres(648.0)), Some(4));
        assert_eq!(hearing.level(4, Millimetres(648.0)), Decibels(-60.0));
        // At the 12th fret the string is half as long, and the place is in its middle.
        assert_eq!(hearing.first_silent(Millimetres(324.0)), Some(2));
    }

    #[test]
    fn two_coils_take_each_others_part_away() {
        // 54 mm apart on 648 mm: the 12th harmonic's half wave.
        let hearing =
            Hearing { place: Millimetres(100.0), aperture: Millimetres(0.0), apart: Some((2, Millimetres(54.0))) };
        assert!(hearing.is_silent(12, Millimetres(648.0)));
        assert!(!point(100.0).is_silent(12, Millimetres(648.0)));
    }

    proptest! {
        /// Two coils are the mean of two single ones, and an aperture is the mean over itself.
        #[test]
        fn sums_of_what_each_part_hears(
            place in 20.0_f64..200.0, apart in 5.0_f64..30.0, wide in 0.5_f64..25.0, n in 1_u32..=20, length in 300.0_f64..700.0,
        ) {
            let length = Millimetres(length);
            let both = Hearing { place: Millimetres(place), aperture: Millimetres(wide), apart: Some((2, Millimetres(apart))) };
            let one = |at: f64| Hearing { place: Millimetres(at), aperture: Millimetres(wide), apart: None };
            let mean = f64::midpoint(one(place - apart / 2.0).share(n, length), one(place + apart / 2.0).share(n, length));
            prop_assert!((both.share(n, length) - mean).abs() < 1e-9);
            let steps = 2000;
            let over: f64 = (0..steps)
                .map(|i| point(place - wide / 2.0 + wide * (f64::from(i) + 0.5) / f64::from(steps)).share(n, length))
                .sum::<f64>() / f64::from(steps);
            prop_assert!((one(place).share(n, length) - over).abs() < 1e-5);
        }
    }
}
