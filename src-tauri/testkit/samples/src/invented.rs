//! An invented pickup and an invented guitar for tests.

use solderlast_record::guitar::{Controls, Finish, FinishKind, Guitar, GuitarString, Hand, Place, Surface};
use solderlast_record::pickup::{Coil, CoilName, Construction, Pickup, Stagger};
use solderlast_record::quantity::Millimetres;

/// A pickup with staggered poles, in this construction.
#[must_use]
pub fn pickup(construction: Construction) -> Pickup {
    let coils: &[CoilName] = match construction {
        Construction::SingleCoil | Construction::SoapBar => &[CoilName::A],
        _ => &[CoilName::A, CoilName::B],
    };
    Pickup {
        coils: coils.iter().map(|name| Coil { name: *name, stated: None, magnet_up: None }).collect(),
        pole_count: Some(6),
        pole_spacing: Some(Millimetres(52.0)),
        stagger: Stagger::Staggered { heights: [0.9, 0.5, 1.2, 1.2, 0.2, 0.0].map(Millimetres).to_vec() },
        bass_end_mark: "notch".to_owned(),
        ..Pickup::new("Marsh bell", construction)
    }
}

/// A right-handed guitar with six strings and a neck place a quarter of its scale from the saddle.
#[must_use]
pub fn guitar() -> Guitar {
    Guitar {
        label: "Fen".to_owned(),
        hand: Hand::Right,
        strung: None,
        strings: ["E2", "A2", "D3", "G3", "B3", "E4"]
            .map(|note| GuitarString { note: note.to_owned(), gauge: None })
            .to_vec(),
        in_pairs: false,
        strings_age: String::new(),
        scale: Millimetres(648.0),
        scale_treble: None,
        last_fret: None,
        height_bass: None,
        height_treble: None,
        spread_nut: Some(Millimetres(35.0)),
        spread_saddle: Some(Millimetres(52.5)),
        places: vec![Place {
            name: "neck".to_owned(),
            from_saddle: Millimetres(162.0),
            from_saddle_treble: None,
            opening_length: None,
            opening_width: None,
            depth: None,
            fitted: None,
            fitted_words: String::new(),
        }],
        controls: Controls::default(),
        finish: Finish { kind: FinishKind::Poly, surface: Surface::FlatGloss, words: String::new() },
        notes: String::new(),
    }
}
