//! An invented pickup and guitar for the tests of an install.

use super::{JackCase, SignalPath, Staying, WiringPlan, mode_wirings, wire};
use crate::leads::hookup;
use crate::meter::Joined;
use crate::record::claim::Meter;
use crate::record::controls::{PlacePots, Selector, TrackWiring, VolumeLayout};
use crate::record::guitar::Controls;
use crate::record::pickup::{
    Coil, CoilEnd, CoilName, Construction, End, Lead, Pickup, Polarity, Poles, Shield, ShieldKind, Stagger,
};
use crate::record::quantity::{Millimetres, Ohms};
use crate::record::rig::{Mode, Rig};
use crate::record::wiring::Plan;

/// Two coils beside each other, four leads and a bare shield wire.
pub fn two_coils() -> Pickup {
    let leads = [
        ("moss", CoilName::A, End::Minus),
        ("rust", CoilName::A, End::Plus),
        ("slate", CoilName::B, End::Minus),
        ("chalk", CoilName::B, End::Plus),
    ];
    Pickup {
        coils: [(CoilName::A, 4100.0, Polarity::North), (CoilName::B, 3900.0, Polarity::South)]
            .map(|(name, ohms, up)| Coil { name, stated: Some(Ohms(ohms)), magnet_up: Some(up) })
            .to_vec(),
        leads: leads.map(|(name, coil, end)| Lead { name: name.into(), ends: vec![CoilEnd { coil, end }] }).to_vec(),
        shield: Shield { kind: ShieldKind::BareWire, joined_to: None },
        poles: Poles::Screws,
        pole_count: Some(6),
        pole_spacing: Some(Millimetres(52.0)),
        stagger: Stagger::Flat,
        coil_distance: Some(Millimetres(18.0)),
        bass_end_mark: "notch".to_owned(),
        width: Some(Millimetres(38.0)),
        length: Some(Millimetres(70.0)),
        depth: Some(Millimetres(18.0)),
        ..Pickup::new("Marsh bell", Construction::SideBySide)
    }
}

/// One coil with two leads and no shield.
pub fn one_coil(up: Option<Polarity>) -> Pickup {
    let mut pickup = two_coils();
    pickup.label = "Reed".to_owned();
    pickup.construction = Construction::SingleCoil;
    pickup.coils.truncate(1);
    for coil in &mut pickup.coils {
        coil.magnet_up = up;
        coil.stated = Some(Ohms(6000.0));
    }
    pickup.leads.truncate(2);
    pickup.leads[0].name = "clay".into();
    pickup.leads[1].name = "fern".into();
    pickup.shield = Shield { kind: ShieldKind::None, joined_to: None };
    pickup
}

/// Its leads in the rig's terminals, as the hookup says.
pub fn joined(pickup: &Pickup, rig: &Rig) -> Vec<Joined> {
    hookup(pickup, rig)
        .places
        .into_iter()
        .filter(|place| !place.leads.is_empty())
        .map(|place| Joined { terminal: place.terminal, leads: place.leads })
        .collect()
}

/// A guitar with the new pickup at its bridge.
pub struct Guitarful {
    pub pickup: Pickup,
    pub plan: Plan,
    pub path: SignalPath,
    pub staying: Vec<Staying>,
    pub meter: Meter,
}

impl Guitarful {
    /// The bridge place alone, in series, with this volume.
    pub fn one_place(volume: Option<f64>) -> Self {
        let controls = Controls { volume: volume.map(Ohms), tone: Some(Ohms(250e3)), ..Controls::default() };
        Self {
            pickup: two_coils(),
            plan: Plan { modes: vec![Mode::new("series")], switch: None, turned: false, selector: None },
            path: SignalPath::new(&controls, &VolumeLayout::Shared {}, None, &["bridge".to_owned()]),
            staying: Vec::new(),
            meter: Meter::plain(),
        }
    }

    /// A pickup of 6 kΩ at the neck beside it, and a selector of three positions.
    pub fn two_places(layout: VolumeLayout) -> Self {
        let places = ["neck", "bridge"].map(str::to_owned);
        let controls = Controls { volume: Some(Ohms(500e3)), tone: None, ..Controls::default() };
        let selector = Selector::usual(&places);
        let neck = Staying {
            place: "neck".to_owned(),
            label: "Reed".to_owned(),
            pickup: None,
            measured: Vec::new(),
            wired: None,
            tapped: false,
            reads: Some(Ohms(6000.0)),
            reads_between: None,
            tap: None,
            magnet_up: None,
            cancels_hum: None,
        };
        Self {
            path: SignalPath::new(&controls, &layout, selector.as_ref(), &places),
            staying: vec![neck],
            ..Self::one_place(None)
        }
    }

    pub fn wiring(&self) -> WiringPlan {
        let rig = Rig::four_terminal("rig");
        wire(&self.pickup, &mode_wirings(&self.pickup, &rig, &joined(&self.pickup, &rig)), &self.plan)
    }

    pub fn install<'a>(&'a self, wiring: &'a WiringPlan) -> JackCase<'a> {
        JackCase {
            pickup: &self.pickup,
            measured: &[],
            tapped: true,
            place: "bridge",
            wiring,
            path: &self.path,
            staying: &self.staying,
            meter: &self.meter,
            room: None,
        }
    }
}

/// A volume of 300 kΩ at the bridge and one of 500 kΩ at the neck.
pub fn each_place(track: TrackWiring) -> VolumeLayout {
    let pot = |place: &str, ohms: f64| PlacePots {
        place: place.to_owned(),
        volume: Some(Ohms(ohms)),
        tone: None,
        capacitor: None,
    };
    VolumeLayout::EachPlace { track, pots: vec![pot("neck", 500e3), pot("bridge", 300e3)] }
}
