//! What a difference does to a sound, as far as it can be computed.

use crate::physics::gaps::LevelLaw;
use crate::physics::strings;
use crate::physics::strings::Hearing;
use crate::record::quantity::{Decibels, Millimetres};

/// Where nobody has written the cable down, its capacitance is taken to be this, in picofarads (from memory: 300 to
/// 1000 pF).
pub(super) const USUAL_CABLE: f64 = 500.0;

/// A change of level that decides a listening test, in decibels (common practice).
pub(super) const LOUDER: f64 = 1.0;

/// How much louder the nearer of two gaps is, and how far that may be off, in decibels: by the law that was fitted to level
/// readings where there is one, else by common practice.
pub(super) fn louder(law: Option<&LevelLaw>, near: Millimetres, far: Millimetres) -> (Decibels, Decibels) {
    let usual = LevelLaw::usual();
    law.unwrap_or(&usual).change(far, near)
}

/// How much more of the fundamental, of harmonics 2 to 5 and of harmonics 6 to 20 is heard nearer the bridge, at `near` the
/// saddle, than at `far` from it.
pub(super) fn nearer_the_bridge(
    near: Millimetres,
    far: Millimetres,
    aperture: Millimetres,
    scale: Millimetres,
) -> [Decibels; 3] {
    let at = |place: Millimetres| Hearing { place, aperture, apart: None };
    strings::more_heard(&at(far), &at(near), scale)
}

/// Where a resonance of one inductance comes to lie when the capacitance across it changes: the new frequency as a share
/// of the old one, √(old / new).
pub(super) fn resonance_moves(old: f64, new: f64) -> f64 {
    (old.max(1.0) / new.max(1.0)).sqrt()
}

/// How much louder a coil of `cold` ohms is than the same coil warmed to `warm` ohms, into 1 MΩ (a usual input), in
/// decibels.
pub(super) fn warmer_is_quieter(cold: f64, warm: f64) -> Decibels {
    const INPUT: f64 = 1e6;
    Decibels(20.0 * ((INPUT + warm) / (INPUT + cold)).log10())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::gaps::LevelReading;

    #[test]
    fn by_common_practice_half_the_gap_is_six_decibels() {
        let (louder_by, within) = louder(None, Millimetres(1.2), Millimetres(2.4));
        assert!((louder_by.0 - 6.0).abs() < 1e-9 && (within.0 - 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_law_of_the_bench_goes_before_common_practice() {
        let read = |gap, level| LevelReading { gap: Millimetres(gap), level: Decibels(level), strings: None };
        let law = LevelLaw::fit(&[read(2.0, -12.0), read(4.0, -20.0)]).expect("two gaps");
        let (louder_by, _) = louder(Some(&law), Millimetres(2.0), Millimetres(4.0));
        assert!((louder_by.0 - 8.0).abs() < 1e-9);
    }

    #[test]
    fn nearer_the_bridge_is_thinner_and_brighter() {
        let [low, _, high] =
            nearer_the_bridge(Millimetres(41.0), Millimetres(162.0), Millimetres(10.0), Millimetres(648.0));
        assert!(low.0 < -8.0 && high.0 > low.0 + 6.0, "{low:?} {high:?}");
    }

    #[test]
    fn four_times_the_capacitance_halves_the_resonance() {
        assert!((resonance_moves(200.0, 800.0) - 0.5).abs() < 1e-12);
        // 8 kΩ, 10 degrees warmer: nobody hears that.
        assert!(warmer_is_quieter(8000.0, 8314.0).0 < 0.01);
    }
}
