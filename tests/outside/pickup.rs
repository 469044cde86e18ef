//! The pickup under test: two coils, four leads and a bare shield wire, on the default rig.

use solderlast_core::meter::Joined;
use solderlast_core::record::pickup::{
    Coil, CoilEnd, CoilName, Construction, End, Lead, Pickup, Poles, Shield, ShieldKind, Stagger,
};
use solderlast_core::record::quantity::Ohms;

/// The leads in the order of their terminals, each with its end.
pub const LEADS: [(&str, CoilName, End); 4] = [
    ("moss", CoilName::A, End::Minus),
    ("rust", CoilName::A, End::Plus),
    ("slate", CoilName::B, End::Minus),
    ("chalk", CoilName::B, End::Plus),
];

/// A pickup with these coils stated, in ohms.
pub fn pickup(stated: [Option<f64>; 2]) -> Pickup {
    Pickup {
        label: "under test".to_owned(),
        construction: Construction::Stacked,
        coils: stated
            .into_iter()
            .zip(CoilName::ALL)
            .map(|(stated, name)| Coil { name, stated: stated.map(Ohms), magnet_up: None })
            .collect(),
        leads: LEADS
            .iter()
            .map(|(name, coil, end)| Lead { name: (*name).to_owned(), ends: vec![CoilEnd { coil: *coil, end: *end }] })
            .collect(),
        joined_inside: Vec::new(),
        shield: Shield { kind: ShieldKind::BareWire, joined_to: None },
        frame_joined_to: None,
        poles: Poles::Rods,
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

/// Each lead in its terminal, the shield in the first.
pub fn hooked_up() -> Vec<Joined> {
    (0..)
        .zip(LEADS)
        .map(|(terminal, (lead, ..))| {
            let mut leads = vec![lead.to_owned()];
            leads.extend((terminal == 0).then(|| "shield".to_owned()));
            Joined { terminal, leads }
        })
        .collect()
}
