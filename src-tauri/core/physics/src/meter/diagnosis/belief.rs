//! What is believed of the resistances on a bench before a reading.

use crate::fault::Square;
use crate::meter::circuit::{BODY, CONTACT, LOAD, VALUES};
use crate::meter::evidence::{Belief, square};
use crate::meter::expect::Beforehand;
use crate::meter::{COPPER_PER_DEGREE, ROOM_WITHIN, copper};
use crate::record::quantity::Celsius;

/// Coils of which nothing is known: around 7 kΩ, within a factor of three, those of one pickup more alike (from memory).
const UNKNOWN_COIL: f64 = 7000.0;
const UNKNOWN_SPREAD: f64 = 0.55;
const UNKNOWN_BESIDE_EACH_OTHER: f64 = 0.25;
/// A coil of which nothing is known beside one that is stated.
const UNKNOWN_BESIDE_STATED: f64 = 0.35;
/// A body is 100 kΩ to 1 MΩ (from memory).
const BODY_LIKELY: f64 = 316_000.0;
const BODY_SPREAD: f64 = 0.66;
/// A volume pot or an amplifier's input is 250 kΩ to 1 MΩ (common practice).
const LOAD_LIKELY: f64 = 450_000.0;
const LOAD_SPREAD: f64 = 0.5;
/// A bad contact has anything from an ohm to 300 kΩ (from memory).
const CONTACT_LIKELY: f64 = 2000.0;
const CONTACT_SPREAD: f64 = 2.5;

/// From what is known of each coil beforehand; `as_stated` is false when that is held to be wrong.
pub(super) fn belief(coils: &[Option<Beforehand>], room: Option<Celsius>, as_stated: bool) -> Option<Belief<VALUES>> {
    let mut mean = [UNKNOWN_COIL.ln(); VALUES];
    let mut spread = Square::<VALUES>::zeros();
    let known = |at: usize| coils.get(at).copied().flatten().filter(|_| as_stated);
    let stated: Vec<f64> = coils.iter().flatten().map(|coil| coil.ohms.ln()).collect();
    let average = stated.iter().sum::<f64>() / stated.len().max(1) as f64;
    let common = if room.is_none() { square(COPPER_PER_DEGREE * ROOM_WITHIN) / 3.0 } else { 0.0 };
    let alone = !as_stated || stated.is_empty();
    for at in 0..usize::from(BODY) {
        if let Some(coil) = known(at) {
            mean[at] = (coil.ohms * room.map_or(1.0, copper)).ln();
            spread[(at, at)] = square(coil.within.max(0.002)) / 3.0;
        } else if alone {
            spread[(at, at)] = square(UNKNOWN_BESIDE_EACH_OTHER);
        } else {
            mean[at] = average;
            spread[(at, at)] = square(UNKNOWN_BESIDE_STATED);
        }
    }
    let common = if alone { square(UNKNOWN_SPREAD) } else { common };
    spread.view_mut((0, 0), (usize::from(BODY), usize::from(BODY))).add_scalar_mut(common);
    let (body, load) = (usize::from(BODY), usize::from(LOAD));
    mean[body] = BODY_LIKELY.ln();
    spread[(body, body)] = square(BODY_SPREAD);
    mean[load] = LOAD_LIKELY.ln();
    spread[(load, load)] = square(LOAD_SPREAD);
    let contact = usize::from(CONTACT);
    mean[contact] = CONTACT_LIKELY.ln();
    spread[(contact, contact)] = square(CONTACT_SPREAD);
    Belief::new(mean, spread, body)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::fault::Fitted;
    use crate::meter::evidence::{Adjusted, Row, fit};
    use crate::network::Seen;
    use crate::record::claim::Meter;
    use crate::record::quantity::{Ohms, Reading};

    fn rows(seen: &[Seen], shown: &[f64]) -> Vec<(Seen, f64)> {
        seen.iter().cloned().zip(shown.iter().copied()).collect()
    }

    fn evidence(rows: &[(Seen, f64)], belief: &Option<Belief<VALUES>>) -> Option<Fitted<VALUES>> {
        let rows: Vec<Row> = rows
            .iter()
            .map(|(seen, ohms)| Row {
                seen,
                adjusted: Adjusted::default(),
                reading: Reading::Ohms(Ohms(*ohms)),
                last_digit: None,
            })
            .collect();
        fit(&rows, belief.as_ref()?, &Meter::plain())
    }

    fn stated(ohms: f64) -> Option<Beforehand> {
        Some(Beforehand { ohms, within: 0.1, measured: false, now: false })
    }

    /// One coil and one reading: the density of a normal, whose variance is that of coil, room and meter together.
    #[test]
    fn one_reading_by_hand() {
        let belief = belief(&[stated(6660.0)], None, true);
        let meter = 96.6_f64 / 6660.0;
        let variance = 0.01 / 3.0 + square(0.0393) / 3.0 + square(meter) / 3.0;
        for ohms in [6660.0_f64, 7000.0, 6000.0] {
            let spread = variance - square(meter) / 3.0 + square(Meter::plain().claim(Ohms(ohms)).0 / ohms) / 3.0;
            let by_hand = -0.5 * square(ohms.ln() - 6660_f64.ln()) / spread - 0.5 * (TAU * spread).ln();
            let found = evidence(&rows(&[Seen::One(0)], &[ohms]), &belief).map(|fitted| fitted.log_evidence);
            assert!(found.is_some_and(|found| (found - by_hand).abs() < 1e-6), "{ohms}: {found:?} {by_hand}");
        }
    }

    /// Two coils of which nothing is known, in series and in parallel: found though they are unequal.
    #[test]
    fn unequal_coils_are_found_from_series_and_parallel() {
        let belief = belief(&[None, None], None, true);
        let both = vec![Seen::One(0), Seen::One(1)];
        let found = evidence(&rows(&[Seen::Series(both.clone()), Seen::Parallel(both)], &[12_500.0, 3000.0]), &belief);
        let mut coils = found.map_or_else(Vec::new, |fitted| fitted.logs.iter().take(2).map(|log| log.exp()).collect());
        coils.sort_by(f64::total_cmp);
        assert!((coils[0] - 5000.0).abs() < 60.0 && (coils[1] - 7500.0).abs() < 60.0, "{coils:?}");
    }

    #[test]
    fn what_can_not_be_is_not_explained() {
        let belief = belief(&[None], None, true);
        for (seen, ohms) in [
            (Seen::Open, 5000.0),
            (Seen::Short, 5000.0),
            (Seen::One(0), 0.0),
            (Seen::One(0), f64::NAN),
            (Seen::One(0), -1.0),
            (Seen::Short, -1.0),
        ] {
            assert!(evidence(&rows(std::slice::from_ref(&seen), &[ohms]), &belief).is_none(), "{seen:?} {ohms}");
        }
        assert!(evidence(&rows(&[Seen::Short], &[0.3]), &belief).is_some());
    }
}
