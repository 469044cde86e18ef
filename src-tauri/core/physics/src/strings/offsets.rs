//! How far each string is from its pole.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{drawn, outer_at, pole_places, slant, string_places};
use crate::drawing::Drawn;
use crate::record::guitar::Guitar;
use crate::record::pickup::{Pickup, Poles};
use crate::record::quantity::{InInches, Length, LengthUnit, Millimetres};
use crate::record::words::listed;

/// A string that is farther than this from its pole is worth a word (common practice).
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
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub in_inches: Option<InInches>,
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
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub sentences_in_inches: Vec<Option<InInches>>,
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
    let side = |offset: f64| if offset > 0.0 { "treble" } else { "bass" };
    let across = string_places(guitar, place);
    let blade = pickup.poles == Poles::Blade;
    let [bass, treble] = outer_at(guitar, place);
    let narrower = (treble - bass).max(1.0) / (treble - bass).max(1.0).hypot(slant(guitar, place));
    let poles = if blade { None } else { pole_places(pickup, Millimetres(0.0)).filter(|poles| !poles.is_empty()) };
    let poles: Option<Vec<f64>> = poles.map(|poles| poles.into_iter().map(|pole| shift.0 + pole * narrower).collect());
    let (courses, each) = (guitar.courses(), if guitar.in_pairs { 2 } else { 1 });
    let strings: Vec<StringOffset> = across
        .iter()
        .enumerate()
        .map(|(index, string)| {
            let note = guitar.strings.get(index).map(|string| string.note.clone()).unwrap_or_default();
            let nearest = poles.as_ref().and_then(|poles| nearest_pole(poles, courses, index / each, *string));
            let Some((pole, offset)) = nearest else {
                let words = if blade { "over the blade" } else { "no pole known" };
                let (pole, offset, words, in_inches) = (None, None, words.to_owned(), None);
                return StringOffset { note, pole, offset, words, in_inches, far: false };
            };
            let (words, in_inches) = InInches::told(|unit| {
                if offset.abs() < 0.05 {
                    return format!("over pole {}", pole + 1);
                }
                let far = Millimetres(offset.abs()).shown(unit);
                format!("{far} to the {} side of pole {}", side(offset), pole + 1)
            });
            let far = offset.abs() > limit.0 + 1e-9;
            StringOffset { note, pole: Some(pole + 1), offset: Some(Millimetres(offset)), words, in_inches, far }
        })
        .collect();
    // The outer offsets are equal and opposite when their mean is taken away.
    let outer = |of: Option<&StringOffset>| of.and_then(|string| string.offset).map(|offset| offset.0);
    let balance = match (outer(strings.first()), outer(strings.last())) {
        (Some(bass), Some(treble)) => Some(f64::midpoint(bass, treble)),
        _ => None,
    };
    let mismatch = poles.as_ref().and_then(|poles| mismatch(&strings, poles.len(), courses, guitar.in_pairs));
    let (sentences, sentences_in_inches) = InInches::told_each(|unit| {
        let mut sentences = sentences(guitar, pickup, &strings, place, limit, poles.as_deref(), unit);
        sentences.extend(balance.map(|balance| to_be_moved(balance, unit)));
        sentences.extend(mismatch.clone());
        sentences
    });
    StringsView {
        spread: Millimetres(treble - bass).into(),
        pole_spacing: pickup.pole_spacing.map(Length::from),
        drawn: drawn::over_poles(guitar, pickup, place, &across, poles.as_deref(), &strings, installed),
        strings,
        mismatch,
        balance: balance.map(|balance| Millimetres(balance).into()),
        sentences,
        sentences_in_inches,
    }
}

/// Six poles under seven strings, or the reverse: which strings are too far from any pole, and which poles have no string; in one
/// sentence where that is most of them.
fn mismatch(strings: &[StringOffset], poles: usize, courses: usize, in_pairs: bool) -> Option<String> {
    if poles == courses {
        return None;
    }
    let what = if in_pairs { "pairs of strings" } else { "strings" };
    let mut said = format!("It has {poles} poles, and the guitar {courses} {what}.");
    let without: Vec<&str> = strings.iter().filter(|string| string.far).map(|string| string.note.as_str()).collect();
    if without.len() == strings.len() {
        said.push_str(" No string has a pole of its own, and all are weaker for it.");
        return Some(said);
    }
    if without.len() * 2 > strings.len() {
        said.push_str(" Most strings have no pole of their own, and are weaker for it.");
        return Some(said);
    }
    if !without.is_empty() {
        said.push_str(&format!(" Without a pole of their own, and weaker for it: {}.", listed(&without)));
    }
    let has = |pole: usize| strings.iter().any(|string| string.pole == Some(pole) && !string.far);
    let bare: Vec<String> = (1..=poles).filter(|pole| !has(*pole)).map(|pole| pole.to_string()).collect();
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
    place: [Millimetres; 2],
    limit: Millimetres,
    poles: Option<&[f64]>,
    unit: LengthUnit,
) -> Vec<String> {
    let shown = |length: Millimetres| length.shown(unit);
    let told = |string: &StringOffset| InInches::in_unit(&string.words, string.in_inches.as_ref(), unit).to_owned();
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
    let last = strings.len().saturating_sub(1);
    let among = |outer: bool| -> Vec<&StringOffset> {
        let all = strings.iter().enumerate().filter(|(index, _)| (*index == 0 || *index == last) == outer);
        all.map(|(_, string)| string).filter(|string| string.far).collect()
    };
    let (far, inner) = (among(true), among(false));
    if let [one] = far[..] {
        all.push(format!("An outer string is off by more than {}: {} is {}.", shown(limit), one.note, told(one)));
    } else if !far.is_empty() {
        let each: Vec<String> = far.iter().map(|string| format!("{} is {}", string.note, told(string))).collect();
        all.push(format!(
            "Both outer strings are off by more than {}: {}. The pickup's spacing does not fit this place.",
            shown(limit),
            each.join(", ")
        ));
    } else {
        all.push(format!("Both outer strings are within {} of their poles.", shown(limit)));
    }
    // With another number of poles that is said of all strings at once.
    if !inner.is_empty() && poles.is_some_and(|poles| poles.len() == guitar.courses()) {
        let each: Vec<&str> = inner.iter().map(|string| string.note.as_str()).collect();
        all.push(format!("Strings between them that are off by more than {}: {}.", shown(limit), listed(&each)));
    }
    all
}

/// How far to move the pickup across, to which side.
fn to_be_moved(balance: f64, unit: LengthUnit) -> String {
    if balance.abs() < 0.05 {
        return "The outer strings are equally far from their poles; no shift is needed.".to_owned();
    }
    format!(
        "Move the pickup {} to the {} side, and the outer strings are equally far from their poles.",
        Millimetres(balance.abs()).shown(unit),
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
        let in_inches = seen.strings[0].in_inches.as_ref().map(|told| told.decimal_inch.as_str());
        assert_eq!(in_inches, Some("0.076 in to the treble side of pole 1"));
        let outer = seen.sentences.iter().position(|said| said.starts_with("Both outer strings are off"));
        let told = outer.and_then(|at| seen.sentences_in_inches[at].as_ref()).map(|told| told.decimal_inch.as_str());
        assert!(told.is_some_and(|told| told.contains("more than 0.059 in: ")), "{told:?}");
        assert!(told.is_some_and(|told| told.contains("is 0.076 in to the treble side")), "{told:?}");
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
        let six = strung(&["E2", "A2", "D3", "G3", "B3", "E4"], false);
        // What is said of all goes by the marks, and these by the distances.
        for (guitar, count) in [(&seven, 6), (&six, 7), (&six, 5), (&seven, 8)] {
            for spacing in (30..80).map(f64::from) {
                let seen = over(guitar, &poles(count, spacing));
                let said = seen.mismatch.unwrap_or_default();
                let strings = guitar.strings.len();
                assert!(
                    said.starts_with(&format!("It has {count} poles, and the guitar {strings} strings.")),
                    "{said}"
                );
                let off = |one: &&StringOffset| one.offset.is_some_and(|offset| offset.0.abs() > OUTER_LIMIT.0);
                let far: Vec<&str> = seen.strings.iter().filter(off).map(|one| one.note.as_str()).collect();
                let marked: Vec<&str> =
                    seen.strings.iter().filter(|one| one.far).map(|one| one.note.as_str()).collect();
                assert_eq!(marked, far, "{spacing} {said}");
                let whole = (far.len() == strings, far.len() * 2 > strings);
                assert_eq!(
                    (said.contains(" No string has a pole"), said.contains(" Most strings have no pole")),
                    (whole.0, whole.1 && !whole.0),
                    "{spacing} {said}"
                );
                let named = format!("weaker for it: {}.", listed(&far));
                assert_eq!(said.contains(&named), !far.is_empty() && !whole.1, "{spacing} {said}");
            }
        }
        let over_one = over(&six, &poles(11, over(&six, &poles(6, 50.0)).spread.value.0));
        let said = over_one.mismatch.unwrap_or_default();
        assert!(said.ends_with("Poles without a string: 2, 4, 6, 8 and 10."), "{said}");
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
