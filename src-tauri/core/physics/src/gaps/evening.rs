//! Gaps at which both sides are as loud as each other.

use super::levels::LevelLaw;
use crate::record::quantity::{Decibels, Millimetres};

/// A gap is widened to this many times itself at most before somebody listens again: farther is a guess.
const AT_MOST: f64 = 1.6;

/// The gaps, bass side first, at which the louder side has come down to the other: it goes away from the strings, as the other one
/// nearer to them may pull them. By no more than to 1.6 times its gap at once. Nothing where the law does not say that a wider gap is
/// quieter.
#[must_use]
pub fn evened(gaps: [Millimetres; 2], bass_over_treble: Decibels, law: &LevelLaw) -> Option<[Millimetres; 2]> {
    let fall = -law.per_decade.get();
    if fall <= law.per_decade_within.get() || gaps.iter().any(|gap| gap.get().is_nan() || gap.get() <= 0.0) {
        return None;
    }
    let wider = 10f64.powf(bass_over_treble.get().abs() / fall).min(AT_MOST);
    let [bass, treble] = gaps;
    Some(if bass_over_treble.get() > 0.0 {
        [Millimetres(bass.get() * wider), treble]
    } else {
        [bass, Millimetres(treble.get() * wider)]
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn the_louder_side_goes_away() {
        // Half the gap gives 6 dB, so a gap that is √2 times as wide takes 3 dB away.
        let even = |bass, treble, by| {
            let gaps = evened([Millimetres(bass), Millimetres(treble)], Decibels(by), &LevelLaw::usual());
            gaps.map(|gaps| gaps.map(|gap| (gap.get() * 100.0).round() / 100.0))
        };
        assert_eq!(even(2.0, 1.6, 3.0), Some([2.83, 1.6]));
        assert_eq!(even(2.0, 1.6, -3.0), Some([2.0, 2.26]));
        assert_eq!(even(2.0, 1.6, 12.0), Some([3.2, 1.6]));
        assert_eq!(even(0.0, 1.6, 12.0), None);
        let unsure = LevelLaw { per_decade: Decibels(-2.0), per_decade_within: Decibels(3.0), ..LevelLaw::usual() };
        assert_eq!(evened([Millimetres(2.0); 2], Decibels(3.0), &unsure), None);
    }

    proptest! {
        /// What the law says of the change it asks for is the difference there was, unless it is more than is done at once.
        #[test]
        fn the_law_undoes_the_difference(gap in 0.5_f64..6.0, by in -4.0_f64..4.0) {
            let law = LevelLaw::usual();
            let gaps = [Millimetres(gap); 2];
            let wanted = evened(gaps, Decibels(by), &law).expect("the law is sure");
            let change = |side: usize| law.change(gaps[side], wanted[side]).0.get();
            prop_assert!((change(0) - change(1) + by).abs() < 1e-9);
        }
    }
}
