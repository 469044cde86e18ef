//! Pickups under test.

use solderlast_core::physics::meter::Joined;
use solderlast_core::record::leads::Contact;
use solderlast_core::record::pickup::{Coil, CoilEnd, CoilName, Construction, End, Lead, Pickup, Shield, ShieldKind};
use solderlast_core::record::quantity::Ohms;

/// Leads of a pickup with two coils in the order of their terminals, each with its end.
pub const LEADS: [(&str, CoilName, End); 4] = [
    ("moss", CoilName::A, End::Minus),
    ("rust", CoilName::A, End::Plus),
    ("slate", CoilName::B, End::Minus),
    ("chalk", CoilName::B, End::Plus),
];

/// Coils with these resistances stated, in ohms, of which nothing else is known.
#[must_use]
pub fn coils(stated: &[Option<f64>]) -> Vec<Coil> {
    let named = stated.iter().zip(CoilName::ALL);
    named.map(|(stated, name)| Coil { name, stated: stated.map(Ohms), magnet_up: None }).collect()
}

/// A pickup of one or two coils, as stated in ohms, with a lead at each end and a bare shield wire.
#[must_use]
pub fn pickup(construction: Construction, stated: &[Option<f64>]) -> Pickup {
    let leads = LEADS.iter().take(2 * stated.len());
    Pickup {
        coils: coils(stated),
        leads: leads
            .map(|(name, coil, end)| Lead { name: (*name).into(), ends: vec![CoilEnd { coil: *coil, end: *end }] })
            .collect(),
        shield: Shield { kind: ShieldKind::BareWire, joined_to: None },
        ..Pickup::new("under test", construction)
    }
}

/// The same of one coil or of two side by side, with a bare shield wire or none.
#[must_use]
pub fn side_by_side(stated: &[Option<f64>], shield: bool) -> Pickup {
    let construction = if stated.len() > 1 { Construction::SideBySide } else { Construction::SingleCoil };
    let mut pickup = pickup(construction, stated);
    if !shield {
        pickup.shield.kind = ShieldKind::None;
    }
    pickup
}

/// Each of the four leads in its terminal of the usual rig, the shield in the first.
#[must_use]
pub fn hooked_up() -> Vec<Joined> {
    (0..)
        .zip(LEADS)
        .map(|(terminal, (lead, ..))| {
            let mut leads = vec![Contact::from(lead)];
            leads.extend((terminal == 0).then_some(Contact::Shield));
            Joined { terminal, leads }
        })
        .collect()
}
