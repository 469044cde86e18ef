//! How far each string is from its pole.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{drawn, outer_at, pole_places, slant, string_places};
use crate::drawing::Drawn;
use crate::record::guitar::Guitar;
use crate::record::pickup::{Pickup, Poles};
use crate::record::quantity::{Length, LengthUnit, Millimetres};
use crate::record::words::listed;

/// An outer string that is farther than this from its pole is worth a word (common practice).
pub const OUTER_LIMIT: Millimetres = Millimetres(1.5);

/// One string beside its pole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/strings.ts")]
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
#[ts(export_to = "contract/strings.ts")]
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
    /// That there are more poles than strings or fewer, and which have no partner; nothing where each has one.
    pub mismatch: Option<String>,
    /// What it comes to, in sentences.
    pub sentences: Vec<String>,
    /// Strings and poles, seen from above.
    pub drawn: Drawn,
}

/// The strings over the poles at `place`, from the saddle at the bass and at the treble side, with the pickup moved by
/// `shift` towards the treble side. Poles of a slanted pickup stand nearer to each other across the strings.
#[must_use]
pub fn strings_over_poles(
    guitar: &Guitar,
    pickup: &Pickup,
    place: [Millimetres; 2],
    shift: Millimetres,
    limit: Millimetres,
) -> StringsView {
    over_poles(guitar, pickup, place, shift, limit, false)
}

/// The same for a pickup as it is installed: the drawing tells its coils apart, and its ends.
#[must_use]
pub fn strings_when_installed(guitar: &Guitar, pickup: &Pickup, place: [Millimetres; 2]) -> StringsView {
    over_poles(guitar, pickup, place, Millimetres(0.0), OUTER_LIMIT, true)
}

fn over_poles(
    guitar: &Guitar,
    pickup: &Pickup,
    place: [Millimetres; 2],
    shift: Millimetres,
    limit: Millimetres,
    installed: bool,
) -> StringsView {
    let mm = |length: f64| Millimetres(length.abs()).shown(LengthUnit::Millimetre);
    let side = |offset: f64| if offset > 0.0 { "treble" } else { "bass" };
    let across = string_places(guitar, place);
    let blade = pickup.poles == Poles::Blade;
    let [bass, treble] = outer_at(guitar, place);
    let narrower = (treble - bass).max(1.0) / (treble - bass).max(1.0).hypot(slant(guitar, place));
    let poles = if blade { None } else { pole_places(pickup, Millimetres(0.0)).filter(|poles| !poles.is_empty()) };
    let poles: Option<Vec<f64>> = poles.map(|poles| poles.into_iter().map(|pole| shift.0 + pole * narrower).collect());
    let last = across.len().saturating_sub(1);
    let (courses, each) = (guitar.courses(), if guitar.in_pairs { 2 } else { 1 });
    let strings: Vec<StringOffset> = across
        .iter()
        .enumerate()
        .map(|(index, string)| {
            let note = guitar.strings.get(index).map(|string| string.note.clone()).unwrap_or_default();
            let nearest = poles.as_ref().and_then(|poles| nearest_pole(poles, courses, index / each, *string));
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
    let mismatch = poles.as_ref().and_then(|poles| mismatch(&strings, poles.len(), courses, guitar.in_pairs));
    let mut sentences = sentences(guitar, pickup, &strings, balance, place, limit, poles.as_deref());
    sentences.extend(mismatch.clone());
    StringsView {
        spread: Millimetres(treble - bass).into(),
        pole_spacing: pickup.pole_spacing.map(Length::from),
        drawn: drawn::over_poles(guitar, pickup, place, &across, poles.as_deref(), &strings, installed),
        strings,
        mismatch,
        balance: balance.map(|balance| Millimetres(balance).into()),
        sentences,
    }
}

/// Six poles under seven strings, or the reverse: which strings share a pole or run between two, and which poles have no
/// string.
fn mismatch(strings: &[StringOffset], poles: usize, courses: usize, in_pairs: bool) -> Option<String> {
    if poles == courses {
        return None;
    }
    // The string that is nearest to a pole has it for its own.
    let nearest = |pole: usize| {
        let on = strings.iter().filter(|string| string.pole == Some(pole));
        on.min_by(|one, other| {
            one.offset
                .map(|o| o.0.abs())
                .partial_cmp(&other.offset.map(|o| o.0.abs()))
                .unwrap_or(std::cmp::Ordering::Equal)
        })
    };
    let without: Vec<String> = strings
        .iter()
        .filter(|string| string.pole.is_some_and(|pole| nearest(pole).is_some_and(|own| !std::ptr::eq(own, *string))))
        .map(|string| string.note.clone())
        .collect();
    let bare: Vec<String> = (1..=poles).filter(|pole| nearest(*pole).is_none()).map(|pole| pole.to_string()).collect();
    let what = if in_pairs { "pairs of strings" } else { "strings" };
    let mut said = format!("It has {poles} poles, and the guitar {courses} {what}.");
    if !without.is_empty() && !in_pairs {
        said.push_str(&format!(" Without a pole of their own, and weaker for it: {}.", listed(&without)));
    }
    if !bare.is_empty() {
        said.push_str(&format!(" Poles without a string: {}.", listed(&bare)));
    }
    Some(said)
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
    place: [Millimetres; 2],
    limit: Millimetres,
    poles: Option<&[f64]>,
) -> Vec<String> {
    let shown = |length: Millimetres| length.shown(LengthUnit::Millimetre);
    let mut all = Vec::new();
    if [0, 1].into_iter().any(|side: usize| place[side].0 <= 0.0 || place[side].0 >= guitar.scales()[side].0) {
        all.push("The place lies beyond the string. Measure from the saddle to the pole line.".to_owned());
    }
    if guitar.spread_nut.is_none() || guitar.spread_saddle.is_none() {
        all.push(format!(
            "The guitar's record lacks the spread of its strings, so {} at the nut and {} at the saddle stand in (common practice). \
             Measure them for your own.",
            shown(super::spreads(guitar)[0]),
            shown(super::spreads(guitar)[1])
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
        (Poles::Rods | Poles::Screws | Poles::Hidden, Some(_)) => {}
    }
    if slant(guitar, place).abs() > 0.5 {
        let (near, by) =
            if slant(guitar, place) > 0.0 { ("treble", slant(guitar, place)) } else { ("bass", -slant(guitar, place)) };
        all.push(format!(
            "It stands aslant: {} nearer the bridge at the {near} side, so its poles are closer together across the strings.",
            shown(Millimetres(by))
        ));
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
    all.extend(balance.map(to_be_moved));
    all
}

/// How far to move the pickup across, to which side.
fn to_be_moved(balance: f64) -> String {
    if balance.abs() < 0.05 {
        return "The outer strings are equally far from their poles; no shift is needed.".to_owned();
    }
    format!(
        "Move the pickup {} to the {} side, and the outer strings are equally far from their poles.",
        Millimetres(balance.abs()).shown(LengthUnit::Millimetre),
        if balance > 0.0 { "treble" } else { "bass" }
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::record::guitar::GuitarString;
    use crate::record::pickup::Construction;
    use solderlast_samples::invented::{guitar, pickup};

    #[test]
    fn offsets_by_hand() {
        // 52.5 mm at the saddle, 35 mm at the nut, a quarter of the way: 48.125 mm, so the outer strings are 24.06 mm out
        // and the outer poles 26 mm.
        let pickup = pickup(Construction::SingleCoil);
        let seen = strings_over_poles(&guitar(), &pickup, [Millimetres(162.0); 2], Millimetres(0.0), OUTER_LIMIT);
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

    fn strung(notes: &[&str], in_pairs: bool) -> Guitar {
        let strings = notes.iter().map(|note| GuitarString { note: (*note).to_owned(), gauge: None }).collect();
        Guitar { strings, in_pairs, spread_nut: None, spread_saddle: None, ..guitar() }
    }

    #[test]
    fn six_poles_under_seven_strings_and_the_reverse_are_named() {
        let poles = |count: u8, spacing: f64| Pickup {
            pole_count: Some(count),
            pole_spacing: Some(Millimetres(spacing)),
            ..pickup(Construction::SingleCoil)
        };
        let seven = strung(&["B1", "E2", "A2", "D3", "G3", "B3", "E4"], false);
        let over = |guitar: &Guitar, pickup: &Pickup| {
            strings_over_poles(guitar, pickup, [Millimetres(100.0); 2], Millimetres(0.0), OUTER_LIMIT)
        };
        let said = over(&seven, &poles(6, 58.0)).mismatch.unwrap_or_default();
        assert!(said.contains("6 poles, and the guitar 7 strings") && said.contains("Without a pole"), "{said}");
        let six = strung(&["E2", "A2", "D3", "G3", "B3", "E4"], false);
        let said = over(&six, &poles(7, 58.0)).mismatch.unwrap_or_default();
        assert!(
            said.contains("7 poles, and the guitar 6 strings") && said.contains("Poles without a string"),
            "{said}"
        );
        assert_eq!(over(&six, &poles(6, 50.0)).mismatch, None);
        // Twelve strings in pairs have a pole for each pair.
        let twelve = ["E3", "E2", "A3", "A2", "D4", "D3", "G4", "G3", "B3", "B3", "E4", "E4"];
        let twelve = strung(&twelve, true);
        let seen = over(&twelve, &poles(6, 50.0));
        assert_eq!((seen.mismatch, seen.strings.len()), (None, 12));
        assert_eq!(
            seen.strings.iter().map(|one| one.pole.unwrap_or(0)).collect::<Vec<_>>(),
            [1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6]
        );
    }

    /// A slanted pickup, by points and a straight line between them: the outer poles lie on the line through the two points
    /// where the outer strings cross it.
    #[test]
    fn a_slanted_pickup_has_a_distance_for_each_side() {
        let (guitar, pickup) = (guitar(), pickup(Construction::SingleCoil));
        let place = [Millimetres(55.0), Millimetres(38.0)];
        let seen = strings_over_poles(&guitar, &pickup, place, Millimetres(0.0), OUTER_LIMIT);
        // 52.5 mm at the saddle, 35 mm at the nut: half of each, less a share.
        let [bass, treble] = [55.0, 38.0].map(|d| 26.25 - 8.75 * d / 648.0);
        assert!((seen.spread.value.0 - (bass + treble)).abs() < 1e-9);
        let line = ((bass + treble) * (bass + treble) + 17.0 * 17.0_f64).sqrt();
        let pole = 26.0 * (bass + treble) / line;
        assert!((seen.strings[0].offset.map_or(9.0, |o| o.0) - (pole - bass)).abs() < 1e-9, "{:?}", seen.strings[0]);
        assert!(seen.sentences.iter().any(|said| said.contains("17 mm nearer the bridge at the treble side")));
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
            let over = |shift: f64| strings_over_poles(&guitar, &pickup, [Millimetres(place); 2], Millimetres(shift), OUTER_LIMIT);
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
