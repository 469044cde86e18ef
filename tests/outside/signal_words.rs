//! Signal words against the definitions of ANSI Z535.4 and Z535.6 and of ISO 3864-2, by how bad it can get.
//!
//! - danger: if not avoided, will result in death or serious injury
//! - warning: if not avoided, could result in death or serious injury
//! - caution: if not avoided, could result in minor or moderate injury
//! - notice: not related to personal injury; the alert symbol is not used with it

use std::collections::BTreeMap;

use solderlast_core::safety::cautions::catalogue::CATALOGUE;
use solderlast_core::safety::cautions::{Chance, Injury, SignalWord, catalogue};

use Chance::{Could, Will};
use Injury::{Minor, None as Thing, Serious};

/// How bad each can get, judged caution by caution, apart from the catalogue: the worst that is likely, not the worst that
/// can be thought of. Sources: HSE INDG248 and INDG249 (asthma from rosin), NIOSH 98-126 (hearing loss is for life), FDA
/// 2021 (magnets and implants); the others are common practice.
const JUDGED: &[(&str, Injury, Chance)] = &[
    ("amp-closed", Serious, Will),
    ("no-earth", Serious, Could),
    ("damp", Serious, Could),
    ("frayed-lead", Serious, Could),
    ("meter-on-mains", Serious, Could),
    ("speaker-joined", Thing, Could),
    ("phantom-power", Thing, Could),
    ("cable-trip", Minor, Could),
    ("loud-sound", Serious, Could),
    ("bang", Serious, Could),
    ("headphones", Serious, Could),
    ("very-loud", Serious, Could),
    ("hearing-half", Serious, Could),
    ("hearing-spent", Serious, Could),
    ("ringing-ears", Serious, Could),
    ("no-iron-at-the-rig", Serious, Could),
    ("iron-burns", Serious, Could),
    ("solder-eyes", Serious, Could),
    ("solder-fume", Serious, Could),
    ("lead-solder", Serious, Could),
    ("iron-while-plugged-in", Serious, Could),
    ("flux-on-skin", Minor, Could),
    ("iron-and-children", Serious, Could),
    ("battery-in", Minor, Could),
    ("solder-on-finish", Thing, Will),
    ("magnet-implant", Serious, Could),
    ("small-parts", Serious, Could),
    ("magnets-grab", Thing, Could),
    ("strings-whip", Minor, Could),
    ("string-ends", Minor, Could),
    ("wire-ends", Minor, Could),
    ("rubber-on-lacquer", Thing, Could),
    ("suction-slips", Thing, Could),
    ("tape-pulls-finish", Thing, Could),
    ("look-first", Thing, Could),
    ("film-on-lacquer", Thing, Could),
    ("suction-lifts", Thing, Could),
    ("bare-wood-stains", Thing, Could),
    ("unknown-finish", Thing, Could),
    ("rig-not-steady", Thing, Could),
    ("rig-slides", Thing, Could),
    ("time-on-finish", Thing, Could),
    ("lift-slowly", Thing, Could),
    ("screwdriver-slips", Thing, Could),
    ("coil-wire", Thing, Could),
    ("snug-not-tight", Thing, Could),
    ("no-prying", Thing, Could),
    ("loose-coil", Thing, Could),
    ("leads-pulled", Thing, Could),
    ("string-pull", Thing, Could),
    ("pole-can-be-hit", Thing, Could),
    ("gap-too-far", Thing, Could),
];

#[test]
fn every_word_is_the_one_the_standard_asks_for() {
    let judged: BTreeMap<_, _> = JUDGED.iter().map(|(id, injury, chance)| (*id, (*injury, *chance))).collect();
    assert_eq!(judged.len(), JUDGED.len(), "judged once each");
    for caution in catalogue::all() {
        let Some((injury, chance)) = judged.get(caution.id) else {
            unreachable!("{} has not been judged: say how bad it can get", caution.id)
        };
        let word = match (injury, chance) {
            (Serious, Will) => "DANGER",
            (Serious, Could) => "WARNING",
            (Minor, Will | Could) => "CAUTION",
            (Thing, Will | Could) => "NOTICE",
        };
        assert_eq!(caution.word.shown(), word, "{}", caution.id);
        assert_eq!(SignalWord::by_standard(*injury, *chance), caution.word, "{}", caution.id);
    }
    assert_eq!(catalogue::all().count(), JUDGED.len(), "a judged caution is gone");
}

/// Danger is kept for the most extreme (ANSI Z535.4): one in this catalogue.
#[test]
fn danger_is_rare() {
    let dangers: Vec<_> = catalogue::all().filter(|caution| caution.word == SignalWord::Danger).collect();
    assert_eq!(dangers.iter().map(|caution| caution.id).collect::<Vec<_>>(), ["amp-closed"]);
}

/// A notice speaks of things only; a word for people stands wherever a person can be hurt.
#[test]
fn notices_hurt_nobody() {
    for caution in catalogue::all().filter(|caution| caution.word == SignalWord::Notice) {
        let text = format!("{} {}", caution.hazard, caution.harm).to_lowercase();
        for word in ["shock", "kill", "deadly", "burns", "skin", "eye", "lung", "ears", "poison"] {
            assert!(!text.split(|c: char| !c.is_alphabetic()).any(|w| w == word), "{}: {word}", caution.id);
        }
    }
}

#[test]
fn meanings_and_symbols() {
    for (word, shown, will, injury, triangle) in [
        (SignalWord::Danger, "DANGER", true, true, true),
        (SignalWord::Warning, "WARNING", false, true, true),
        (SignalWord::Caution, "CAUTION", false, false, true),
        (SignalWord::Notice, "NOTICE", false, false, false),
    ] {
        assert_eq!((word.shown(), word.has_triangle()), (shown, triangle));
        assert_eq!(word.meaning().contains(" will "), will, "{shown}");
        assert_eq!(word.meaning().contains("kill or badly hurt"), injury, "{shown}");
    }
    assert!(SignalWord::Caution.meaning().contains("a little"));
    assert!(SignalWord::Notice.meaning().contains("Nobody gets hurt"));
    assert!(SignalWord::ALL.windows(2).all(|pair| pair[0] < pair[1]), "worst first");
}

#[test]
fn every_part_of_the_catalogue_has_cautions() {
    assert!(CATALOGUE.iter().all(|(_, cautions)| !cautions.is_empty()));
}
