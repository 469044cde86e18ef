//! How far each string is from its pole.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{drawn, pole_places, spread_at, string_places};
use crate::drawing::Drawn;
use crate::guitar::Guitar;
use crate::pickup::{Pickup, Poles};
use crate::quantity::{Length, LengthUnit, Millimetres};

/// An outer string that is farther than this from its pole is worth a word (common practice).
pub const OUTER_LIMIT: Millimetres = Millimetres(1.5);

/// One string beside its pole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct StringOffset {
    /// Its note, as the guitar's record says.
    pub note: String,
    /// The nearest pole, counted from 1 at the bass side; nothing over a blade or when the poles are not known.
    pub pole: Option<usize>,
    /// From the pole to the string, in millimetres; above zero towards the treble side. Nothing where there is no pole.
    pub offset: Option<Millimetres>,
    /// "0.4 mm to the treble side of pole 1".
    pub words: String,
    /// Whether it is farther than the limit.
    pub far: bool,
}

/// The strings over the poles at one place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct StringsView {
    /// Outer string to outer string at the place.
    pub spread: Length,
    /// Outer pole to outer pole, if it is known.
    pub pole_spacing: Option<Length>,
    /// Each string, bass side first.
    pub strings: Vec<StringOffset>,
    /// How far to move the pickup so that the outer strings are equally far from their poles; above zero towards the
    /// treble side. Nothing without poles.
    pub balance: Option<Length>,
    /// What it comes to, in sentences.
    pub sentences: Vec<String>,
    /// Strings and poles, seen from above.
    pub drawn: Drawn,
}

/// The strings over the poles at `place`, with the pickup moved by `shift` towards the treble side.
#[must_use]
pub fn strings_over_poles(
    guitar: &Guitar,
    pickup: &Pickup,
    place: Millimetres,
    shift: Millimetres,
    limit: Millimetres,
) -> StringsView {
    let mm = |length: f64| Millimetres(length.abs()).shown(LengthUnit::Millimetre);
    let side = |offset: f64| if offset > 0.0 { "treble" } else { "bass" };
    let across = string_places(guitar, place);
    let blade = pickup.poles == Poles::Blade;
    let poles = if blade { None } else { pole_places(pickup, shift).filter(|poles| !poles.is_empty()) };
    let last = across.len().saturating_sub(1);
    let strings: Vec<StringOffset> = across
        .iter()
        .enumerate()
        .map(|(index, string)| {
            let note = guitar.strings.get(index).map(|string| string.note.clone()).unwrap_or_default();
            let nearest = poles.as_ref().and_then(|poles| nearest_pole(poles, across.len(), index, *string));
            let Some((pole, offset)) = nearest else {
                let words = if blade { "over the blade" } else { "no pole known" };
                return StringOffset { note, pole: None, offset: None, words: words.to_owned(), far: false };
            };
            let words = if offset.abs() < 0.05 {
                format!("over pole {}", pole + 1)
            } else {
                format!("{} to the {} side of pole {}", mm(offset), side(offset), pole + 1)
            };
            let far = (index == 0 || index == last) && offset.abs() > limit.0 + 1e-9;
            StringOffset { note, pole: Some(pole + 1), offset: Some(Millimetres(offset)), words, far }
        })
        .collect();
    // The outer offsets are equal and opposite when their mean is taken away.
    let outer = |of: Option<&StringOffset>| of.and_then(|string| string.offset).map(|offset| offset.0);
    let balance = match (outer(strings.first()), outer(strings.last())) {
        (Some(bass), Some(treble)) => Some(f64::midpoint(bass, treble)),
        _ => None,
    };
    let sentences = sentences(guitar, pickup, &strings, balance, place, limit, poles.as_deref());
    StringsView {
        spread: spread_at(guitar, place).into(),
        pole_spacing: pickup.pole_spacing.map(Length::from),
        drawn: drawn::over_poles(guitar, pickup, place, &across, poles.as_deref(), &strings),
        strings,
        balance: balance.map(|balance| Millimetres(balance).into()),
        sentences,
    }
}

/// With as many poles as strings each string has its own; otherwise the nearest one counts.
fn nearest_pole(poles: &[f64], strings: usize, index: usize, string: f64) -> Option<(usize, f64)> {
    if poles.len() == strings {
        return poles.get(index).map(|pole| (index, string - pole));
    }
    poles
        .iter()
        .enumerate()
        .map(|(pole, at)| (pole, string - at))
        .min_by(|one, other| one.1.abs().total_cmp(&other.1.abs()))
}

fn sentences(
    guitar: &Guitar,
    pickup: &Pickup,
    strings: &[StringOffset],
    balance: Option<f64>,
    place: Millimetres,
    limit: Millimetres,
    poles: Option<&[f64]>,
) -> Vec<String> {
    let shown = |length: Millimetres| length.shown(LengthUnit::Millimetre);
    let mut all = Vec::new();
    if place.0 <= 0.0 || place.0 >= guitar.scale.0 {
        all.push("The place lies beyond the string. Measure from the saddle to the pole line.".to_owned());
    }
    if guitar.spread_nut.is_none() || guitar.spread_saddle.is_none() {
        all.push(format!(
            "The guitar's record lacks the spread of its strings, so {} at the nut and {} at the saddle stand in (common practice). \
             Measure them for your own.",
            shown(guitar.spread_nut.unwrap_or(super::USUAL_SPREAD_NUT)),
            shown(guitar.spread_saddle.unwrap_or(super::USUAL_SPREAD_SADDLE))
        ));
    }
    if let (Some(nut), Some(saddle)) = (guitar.spread_nut, guitar.spread_saddle)
        && nut.0 > saddle.0
    {
        all.push(format!(
            "The strings are wider at the nut ({}) than at the saddle ({}). That is unusual; it is computed as written. Check \
             that the two were not exchanged.",
            shown(nut),
            shown(saddle)
        ));
    }
    match (pickup.poles, poles) {
        (Poles::Blade, _) => {
            all.push("A blade runs under all strings: no string is off its pole.".to_owned());
            return all;
        }
        (_, None) => {
            all.push(
                "How far each string is from its pole can't be said: the pickup's record lacks the number of its poles or \
                 their spacing, centre to centre of the outer ones."
                    .to_owned(),
            );
            return all;
        }
        (Poles::Rods | Poles::Screws | Poles::Hidden, Some(poles)) => {
            if poles.len() != strings.len() {
                all.push(format!(
                    "This pickup has {} poles and the guitar {} strings. Each string is told beside its nearest pole; some share \
                     one or run between two, and sound weaker there.",
                    poles.len(),
                    strings.len()
                ));
            }
        }
    }
    let far: Vec<&StringOffset> = strings.iter().filter(|string| string.far).collect();
    if let [one] = far[..] {
        all.push(format!("An outer string is off by more than {}: {} is {}.", shown(limit), one.note, one.words));
    } else if !far.is_empty() {
        let each: Vec<String> = far.iter().map(|string| format!("{} is {}", string.note, string.words)).collect();
        all.push(format!(
            "Both outer strings are off by more than {}: {}. The pickup's spacing does not fit this place.",
            shown(limit),
            each.join(", ")
        ));
    } else {
        all.push(format!("Both outer strings are within {} of their poles.", shown(limit)));
    }
    if let Some(balance) = balance {
        if balance.abs() < 0.05 {
            all.push("The outer strings are equally far from their poles; no shift is needed.".to_owned());
        } else {
            let side = if balance > 0.0 { "treble" } else { "bass" };
            all.push(format!(
                "Move the pickup {} to the {side} side, and the outer strings are equally far from their poles.",
                shown(Millimetres(balance.abs()))
            ));
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::facing::bench::{guitar, pickup};
    use crate::guitar::GuitarString;
    use crate::pickup::Construction;

    #[test]
    fn offsets_by_hand() {
        // 52.5 mm at the saddle, 35 mm at the nut, a quarter of the way: 48.125 mm, so the outer strings are 24.06 mm out
        // and the outer poles 26 mm.
        let pickup = pickup(Construction::SingleCoil);
        let seen = strings_over_poles(&guitar(), &pickup, Millimetres(162.0), Millimetres(0.0), OUTER_LIMIT);
        assert_eq!(seen.spread.value, Millimetres(48.125));
        let said: Vec<&str> = seen.strings.iter().map(|string| string.words.as_str()).collect();
        assert_eq!(
            said,
            [
                "1.94 mm to the treble side of pole 1",
                "1.16 mm to the treble side of pole 2",
                "0.39 mm to the treble side of pole 3",
                "0.39 mm to the bass side of pole 4",
                "1.16 mm to the bass side of pole 5",
                "1.94 mm to the bass side of pole 6",
            ]
        );
        assert!(seen.strings[0].far && !seen.strings[1].far);
    }

    proptest! {
        /// Moved by the shift that is told, the outer strings are equally far from their poles; any number of strings and
        /// poles is answered.
        #[test]
        fn the_shift_balances(
            strings in 4_usize..=8, poles in 1_u8..=12, spacing in 20.0_f64..90.0, saddle in 30.0_f64..90.0, nut in 25.0_f64..90.0,
            shift in -10.0_f64..10.0, place in 10.0_f64..400.0,
        ) {
            let guitar = Guitar {
                strings: vec![GuitarString { note: "E2".to_owned(), gauge: None }; strings],
                spread_saddle: Some(Millimetres(saddle)),
                spread_nut: Some(Millimetres(nut)),
                ..guitar()
            };
            let pickup = Pickup {
                pole_count: Some(poles),
                pole_spacing: Some(Millimetres(spacing)),
                ..pickup(Construction::SingleCoil)
            };
            let over = |shift: f64| strings_over_poles(&guitar, &pickup, Millimetres(place), Millimetres(shift), OUTER_LIMIT);
            let seen = over(shift);
            prop_assert_eq!(seen.strings.len(), strings);
            let balance = seen.balance.map(|balance| balance.value.0);
            prop_assert!(balance.is_some() && !seen.sentences.is_empty());
            if usize::from(poles) == strings {
                let after = over(shift + balance.unwrap_or(0.0));
                let outer = |at: usize| after.strings[at].offset.map_or(f64::NAN, |offset| offset.0);
                prop_assert!((outer(0) + outer(strings - 1)).abs() < 1e-9);
            }
        }
    }
}
