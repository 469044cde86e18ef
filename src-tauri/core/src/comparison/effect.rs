//! What a difference does to a sound, as far as it can be computed.

use crate::physics::gaps::LevelLaw;
use crate::physics::response::{CoilValues, Load, Pots, Response, Values};
use crate::physics::strings;
use crate::physics::strings::Hearing;
use crate::record::pickup::CoilName;
use crate::record::quantity::{Decibels, Farads, Henries, Millimetres, Ohms};

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

/// Usual pickups, by resistance in ohms, inductance in henries and what metal around them costs, as a resistance across the
/// inductance (from memory: a low single coil to a hot pickup of two, with covers and without).
const USUAL_COILS: [(f64, f64, Option<f64>); 5] = [
    (3500.0, 1.2, None),
    (6000.0, 2.3, None),
    (7500.0, 4.2, Some(600e3)),
    (9000.0, 5.0, None),
    (15_000.0, 8.0, Some(400e3)),
];
/// Capacitance of their own, in farads (from memory: 80 to 200 pF).
const OWN: f64 = 120e-12;
/// A usual input, in ohms.
const INPUT: f64 = 1e6;

/// How much lower a resonance is by the smaller of two resistances across a rig's output, through so many picofarads of cable:
/// the least and the most over usual coils, in decibels. Nothing where both are one.
pub(super) fn damped(one: Option<Ohms>, other: Option<Ohms>, picofarads: f64) -> Option<[f64; 2]> {
    let height = |(ohms, henries, loss): (f64, f64, Option<f64>), across: Option<Ohms>| {
        let coil =
            CoilValues { ohms: Ohms(ohms), henries: Henries(henries), farads: Farads(OWN), loss: loss.map(Ohms) };
        let values = Values::new(vec![(CoilName::A, coil)], 0.0).ok()?;
        let load = Load { cable: Farads(picofarads * 1e-12), input: Ohms(INPUT), across, stray: Farads(0.0) };
        let told = Response::of_coil(&values, CoilName::A, &Pots::none(), &load)?.told();
        Some(told.level.0 + told.peak.map_or(0.0, |peak| peak.over_low.0))
    };
    let lower = |coil| Some((height(coil, one)? - height(coil, other)?).abs());
    let all: Vec<f64> = USUAL_COILS.into_iter().filter_map(lower).collect();
    (one != other && !all.is_empty())
        .then(|| [all.iter().copied().fold(f64::INFINITY, f64::min), all.iter().copied().fold(0.0, f64::max)])
}

/// How much louder a coil of `cold` ohms is than the same coil warmed to `warm` ohms, into 1 MΩ (a usual input), in
/// decibels.
pub(super) fn warmer_is_quieter(cold: f64, warm: f64) -> Decibels {
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
    /// The smaller resistance always takes more off; between raw and 125 kΩ it is heard with every usual pickup.
    #[test]
    fn a_smaller_resistance_takes_more_off_the_resonance() {
        let sizes = [500e3, 250e3, 125e3].map(|ohms| Some(Ohms(ohms)));
        let off: Vec<[f64; 2]> = sizes.into_iter().filter_map(|size| damped(None, size, USUAL_CABLE)).collect();
        assert_eq!(off.len(), 3);
        assert!(off.windows(2).all(|pair| pair[0][0] < pair[1][0] && pair[0][1] < pair[1][1]), "{off:?}");
        assert!(off[2][0] > 3.0 && off[2][1] < 20.0, "{off:?}");
        assert_eq!(damped(sizes[0], sizes[0], USUAL_CABLE), None);
        assert_eq!(damped(None, sizes[1], USUAL_CABLE), damped(sizes[1], None, USUAL_CABLE));
    }
}
