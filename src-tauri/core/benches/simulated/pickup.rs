//! A pretended pickup.

use solderlast_core::record::pickup::{
    Coil, CoilEnd, CoilName, Construction, End, Lead, Pickup, Poles, Shield, ShieldKind, Stagger,
};
use solderlast_core::record::quantity::Ohms;

/// A pickup of one or two coils, as stated, with a lead at each end, and a bare shield wire or none.
pub fn pickup(stated: &[Option<f64>], shield: bool) -> Pickup {
    let names = ["moss", "rust", "slate", "chalk"];
    let ends = CoilName::ALL.into_iter().flat_map(|coil| [End::Minus, End::Plus].map(|end| CoilEnd { coil, end }));
    Pickup {
        label: "pretended".to_owned(),
        construction: if stated.len() > 1 { Construction::SideBySide } else { Construction::SingleCoil },
        coils: stated
            .iter()
            .zip(CoilName::ALL)
            .map(|(stated, name)| Coil { name, stated: stated.map(Ohms), magnet_up: None })
            .collect(),
        leads: names
            .iter()
            .zip(ends)
            .take(2 * stated.len())
            .map(|(name, end)| Lead { name: (*name).to_owned(), ends: vec![end] })
            .collect(),
        joined_inside: Vec::new(),
        shield: Shield { kind: if shield { ShieldKind::BareWire } else { ShieldKind::None }, joined_to: None },
        frame_joined_to: None,
        poles: Poles::Screws,
        magnets: None,
        pole_count: None,
        pole_spacing: None,
        stagger: Stagger::Unknown,
        coil_distance: None,
        bass_end_mark: String::new(),
        width: None,
        length: None,
        depth: None,
        notes: String::new(),
        came_from: String::new(),
        active: None,
    }
}
