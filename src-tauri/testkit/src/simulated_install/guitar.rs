//! One pretended install: a random pickup, guitar and switch, one mistake or none, and a meter that errs within its claim.

use std::time::{Duration, Instant};

use solderlast_core::physics::leads::hookup;
use solderlast_core::physics::meter::{Joined, copper};
use solderlast_core::physics::wiring::{
    InstallCause, InstallGiven, JackCase, JackTaken, SignalPath, Staying, WiringKind, WiringPlan, install_would_read,
    mode_wirings, wire_in,
};
use solderlast_core::record::claim::Meter;
use solderlast_core::record::contacts::ModeSwitch;
use solderlast_core::record::controls::{PlacePots, Selector, SelectorPosition, TrackWiring, VolumeLayout};
use solderlast_core::record::guitar::Controls;
use solderlast_core::record::pickup::Pickup;
use solderlast_core::record::quantity::{Celsius, Ohms, Reading};
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_core::record::wiring::{BySelector, InRow, JackProbe, Plan};

use crate::Chance;
use crate::pickups::side_by_side;

/// Where each lead goes by this plan, by way of the rig on which the modes were proven, at the bridge of a guitar whose selector
/// has these positions.
pub fn wired(pickup: &Pickup, plan: &Plan, positions: &[SelectorPosition]) -> WiringPlan {
    let rig = Rig::four_terminal("pretended");
    let joined: Vec<Joined> = hookup(pickup, &rig)
        .places
        .into_iter()
        .map(|place| Joined { terminal: place.terminal, leads: place.leads })
        .collect();
    wire_in(pickup, &mode_wirings(pickup, &rig, &joined), plan, ("bridge", positions))
}

/// An install and the truth about it.
pub struct Guitar {
    /// What was installed.
    pub pickup: Pickup,
    /// How it is said to be wired.
    pub wiring: WiringPlan,
    /// What lies between it and the jack.
    pub path: SignalPath,
    /// The pickups that stay.
    pub staying: Vec<Staying>,
    /// A plain meter.
    pub meter: Meter,
    /// As the person knows it.
    pub room: Option<Celsius>,
    /// What is really wrong, if anything.
    pub wrong: Option<InstallCause>,
    /// What everything really has.
    pub given: InstallGiven,
    /// How long it took to find the wiring.
    pub wiring_took: Duration,
}

impl Guitar {
    /// A guitar on which nothing is wrong.
    pub fn new(chance: &mut Chance) -> Self {
        Self::made(chance, false)
    }

    /// The same with two or three pickups, and a selector that wires the new one.
    pub fn by_selector(chance: &mut Chance) -> Self {
        Self::made(chance, true)
    }

    fn made(chance: &mut Chance, by_selector: bool) -> Self {
        let coils = if chance.below(4) == 0 { 1 } else { 2 };
        let first = chance.in_ratio(2500.0, 9000.0);
        let stated: Vec<f64> =
            std::iter::once(first).chain((1..coils).map(|_| first * chance.between(0.9, 1.1))).collect();
        let pickup = side_by_side(&stated.iter().copied().map(Some).collect::<Vec<_>>(), chance.below(2) == 0);
        let plan = plan(chance, coils);
        let count = [if by_selector { 2 } else { 1 }, 2, 2, 3][chance.below(4)];
        let places: Vec<String> = ["bridge", "neck", "middle"].into_iter().take(count).map(str::to_owned).collect();
        let usual = [250e3, 500e3, 1e6];
        let layout = match (chance.below(4), places.len()) {
            (0, 2) => TrackWiring::PickupOnTrack.into_layout(chance, &places),
            (1, 2) => TrackWiring::PickupOnWiper.into_layout(chance, &places),
            _ => VolumeLayout::Shared {},
        };
        let tone = (chance.below(3) > 0).then(|| Ohms(*chance.pick(&usual)));
        let controls = Controls { volume: Some(Ohms(*chance.pick(&usual))), tone, ..Controls::default() };
        let mut neck_first = places.clone();
        neck_first.reverse();
        let selector = Selector::usual(&neck_first);
        let path = SignalPath::new(&controls, &layout, selector.as_ref(), &places);
        let plan = if by_selector { wired_by(chance, coils, &path, layout == VolumeLayout::Shared {}) } else { plan };
        let path = path.with(plan.selector.as_ref());
        let start = Instant::now();
        let wiring = wired(&pickup, &plan, &path.positions);
        let wiring_took = start.elapsed();
        assert_ne!(wiring.kind, WiringKind::CantBe, "{plan:?}");
        let celsius = Celsius(chance.between(10.0, 30.0));
        let staying: Vec<Staying> = places.iter().skip(1).map(|place| stays(chance, place)).collect();
        let wound = |chance: &mut Chance, ohms: f64, within: f64| {
            Ohms(ohms * (1.0 + chance.between(-within, within)) * copper(celsius))
        };
        let coils: Vec<Ohms> = stated.iter().map(|ohms| wound(chance, *ohms, 0.1)).collect();
        let stay: Vec<Ohms> = staying
            .iter()
            .map(|staying| {
                let ohms = staying.reads.map_or(7000.0, |ohms| ohms.0);
                // What was read before was read within the meter's claim.
                wound(chance, ohms, 0.01)
            })
            .collect();
        let off = |chance: &mut Chance, ohms: f64| Ohms(ohms * (1.0 + chance.between(-0.2, 0.2)));
        let volumes = places
            .iter()
            .map(|place| {
                let stated = match &layout {
                    VolumeLayout::EachPlace { pots, .. } => {
                        pots.iter().find(|p| &p.place == place).and_then(|p| p.volume)
                    }
                    VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => controls.volume,
                };
                off(chance, stated.map_or(500e3, |ohms| ohms.0))
            })
            .collect();
        let tones = places.iter().map(|_| off(chance, controls.tone.map_or(500e3, |ohms| ohms.0))).collect();
        Self {
            room: (chance.below(2) == 0).then_some(celsius),
            given: InstallGiven {
                coils,
                staying: stay,
                volumes,
                tones,
                above: chance.in_ratio(0.01, 0.4),
                joint: Ohms(chance.in_ratio(1.0, 300e3)),
                plugged: Ohms(chance.in_ratio(100e3, 1e6)),
            },
            meter: Meter::plain(),
            wiring_took,
            wrong: None,
            pickup,
            wiring,
            path,
            staying,
        }
    }

    /// What the proof is asked about.
    pub fn install(&self) -> JackCase<'_> {
        JackCase {
            pickup: &self.pickup,
            measured: &[],
            tapped: false,
            place: "bridge",
            wiring: &self.wiring,
            path: &self.path,
            staying: &self.staying,
            meter: &self.meter,
            room: self.room,
        }
    }

    /// Each volume pot's place and stated value, in ohms, the new pickup's place first.
    pub fn volumes(&self) -> Vec<(String, f64)> {
        let places = std::iter::once("bridge".to_owned()).chain(self.staying.iter().map(|s| s.place.clone()));
        places
            .map(|place| {
                let stated = match &self.path.layout {
                    VolumeLayout::EachPlace { pots, .. } => {
                        pots.iter().find(|p| p.place == place).and_then(|p| p.volume)
                    }
                    VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => self.path.volume,
                };
                (place, stated.map_or(500e3, |ohms| ohms.0))
            })
            .collect()
    }

    /// Makes a pot or the coils other than known, where that is what is wrong.
    pub fn spoil(&mut self, chance: &mut Chance, wrong: InstallCause) {
        let factor = if chance.below(2) == 0 { chance.in_ratio(0.3, 0.6) } else { chance.in_ratio(1.6, 3.0) };
        match &wrong {
            InstallCause::NotAsMeasured {} => self.given.coils.iter_mut().for_each(|ohms| ohms.0 *= factor),
            InstallCause::OtherPot { place } => {
                let names = ["bridge".to_owned()].into_iter().chain(self.staying.iter().map(|s| s.place.clone()));
                let pot = if place.is_empty() { Some(0) } else { names.into_iter().position(|name| &name == place) };
                if let Some(ohms) = pot.and_then(|pot| self.given.volumes.get_mut(pot)) {
                    ohms.0 *= factor;
                }
            }
            _ => {}
        }
        self.wrong = Some(wrong);
    }

    /// What an exact meter would show.
    pub fn exact(&self, wrong: Option<&InstallCause>, probe: &JackProbe) -> Option<f64> {
        install_would_read(&self.install(), wrong, &self.given, probe).map(|ohms| ohms.0)
    }

    /// Whether only readings are wrong, and no joint or part: measured again with care, all is well.
    pub fn is_a_slip(&self) -> bool {
        matches!(
            self.wrong,
            Some(
                InstallCause::PluggedIn {}
                    | InstallCause::PluggedInFor { .. }
                    | InstallCause::VolumeNotAtZero { .. }
                    | InstallCause::SelectorElsewhere { .. }
                    | InstallCause::SwitchElsewhere { .. }
                    | InstallCause::SelectorLeft { .. }
                    | InstallCause::SwitchLeft { .. }
            )
        )
    }

    /// Whether this is what is wrong. A switch that was left standing may show in a single reading.
    pub fn is(&self, cause: &InstallCause) -> bool {
        match (&self.wrong, cause) {
            (Some(InstallCause::SelectorLeft { stood }), InstallCause::SelectorElsewhere { stood: named, .. })
            | (Some(InstallCause::SwitchLeft { stood }), InstallCause::SwitchElsewhere { stood: named, .. }) => {
                stood == named
            }
            (wrong, cause) => wrong.as_ref() == Some(cause),
        }
    }

    /// What the meter shows: anywhere within its claim, to its last digit. One that was asked for is taken with the cable out and
    /// everything as it says.
    pub fn read(&self, chance: &mut Chance, probe: &JackProbe, asked: bool) -> JackTaken {
        let wrong = self.wrong.as_ref().filter(|_| !(asked && self.is_a_slip()));
        let reading = match self.exact(wrong, probe) {
            None => Reading::OverLimit,
            // A wiper at its end has some ohms, the probes less than one.
            Some(0.0) => {
                let most = if matches!(probe, JackProbe::Jack { .. }) { 20.0 } else { 0.8 };
                Reading::Ohms(Ohms((chance.between(0.0, most) * 10.0).round() / 10.0))
            }
            Some(ohms) => loop {
                let claim = self.meter.claim(Ohms(ohms)).0;
                let digit =
                    self.meter.ranges.iter().find(|range| ohms <= range.top.0).map_or(1e4, |range| range.digit.0);
                let shown = ((ohms + chance.between(-1.0, 1.0) * claim) / digit).round() * digit;
                if (shown - ohms).abs() <= self.meter.claim(Ohms(shown)).0 {
                    break Reading::Ohms(Ohms(shown));
                }
            },
        };
        JackTaken { probe: probe.clone(), reading }
    }
}

trait IntoLayout {
    fn into_layout(self, chance: &mut Chance, places: &[String]) -> VolumeLayout;
}

impl IntoLayout for TrackWiring {
    fn into_layout(self, chance: &mut Chance, places: &[String]) -> VolumeLayout {
        let pots = places
            .iter()
            .map(|place| PlacePots {
                place: place.clone(),
                volume: Some(Ohms(*chance.pick(&[250e3, 500e3]))),
                tone: (chance.below(2) == 0).then_some(Ohms(500e3)),
                capacitor: None,
            })
            .collect();
        VolumeLayout::EachPlace { track: self, pots }
    }
}

/// A pickup that stays, of which nine in ten were read before.
fn stays(chance: &mut Chance, place: &str) -> Staying {
    let ohms = chance.in_ratio(4000.0, 12_000.0);
    Staying {
        place: place.to_owned(),
        label: String::new(),
        pickup: None,
        measured: Vec::new(),
        wired: None,
        tapped: false,
        reads: (chance.below(10) > 0).then_some(Ohms(ohms)),
        reads_between: None,
        tap: None,
        magnet_up: None,
        cancels_hum: None,
    }
}

fn plan(chance: &mut Chance, coils: usize) -> Plan {
    let modes = |names: &[&str]| names.iter().map(|name| Mode::new(*name)).collect();
    let fixed = |name: &str| Plan { modes: modes(&[name]), switch: None, turned: false, selector: None };
    if coils == 1 {
        return fixed("single");
    }
    let with = |kind: usize, names: &[&str]| Plan {
        modes: modes(names),
        switch: ModeSwitch::ready_made().into_iter().nth(kind),
        turned: false,
        selector: None,
    };
    match chance.below(8) {
        0 | 1 => fixed("series"),
        2 => fixed("parallel"),
        3 => with(0, &["series", "parallel"]),
        4 => with(3, &["series", "single"]),
        5 => with(1, &["series", "single", "parallel"]),
        6 => with(4, &["series", "single", "parallel"]),
        _ => with(0, &["parallel", "single"]),
    }
}

/// The selector changes the mode by a pole of its own, and in half of the guitars with one volume puts two pickups in a row.
/// What no pole gives is drawn anew: five positions and more leave no room for four poles.
fn wired_by(chance: &mut Chance, coils: usize, path: &SignalPath, shared: bool) -> Plan {
    for _ in 0..100 {
        if let Some(plan) = drawn(chance, coils, path, shared) {
            return plan;
        }
    }
    panic!("no pole gives anything for {path:?}")
}

fn drawn(chance: &mut Chance, coils: usize, path: &SignalPath, shared: bool) -> Option<Plan> {
    let others: Vec<&String> =
        path.positions.iter().flat_map(|position| &position.places).filter(|place| *place != "bridge").collect();
    let row = (shared && chance.below(2) == 0).then(|| {
        let other = (*chance.pick(&others)).clone();
        let both = |position: &&SelectorPosition| {
            position.places.len() == 2
                && ["bridge", other.as_str()].iter().all(|of| position.places.iter().any(|p| p == of))
        };
        let there = path.positions.iter().find(both).filter(|_| chance.below(2) == 0);
        let position = there.map_or_else(|| "in a row".to_owned(), |position| position.name.clone());
        let (upper, lower) =
            if chance.below(2) == 0 { ("bridge".to_owned(), other) } else { (other, "bridge".to_owned()) };
        InRow { position, upper, lower }
    });
    let mut by = BySelector { heard: Vec::new(), row };
    let path = path.clone().with(Some(&by));
    let names: Vec<String> = path.positions.iter().map(|position| position.name.clone()).collect();
    let hears = |position: &&SelectorPosition| position.places.iter().any(|place| place == "bridge");
    by.heard = path.positions.iter().filter(hears).map(|position| position.name.clone()).collect();
    let splits = chance.pick(&by.heard).clone();
    let split = *chance.pick(&["single", "single", "parallel"]);
    let modes = names.iter().map(|name| {
        Mode::new(match coils {
            1 => "single",
            _ if *name == splits => split,
            _ => "series",
        })
    });
    let modes: Vec<Mode> = modes.collect();
    let mut poles = ModeSwitch::poles(&names);
    let first = chance.below(poles.len());
    poles.swap(0, first);
    // More poles give what one can't.
    let pickup = side_by_side(&vec![None; coils], false);
    let mut plans = poles.into_iter().map(|pole| Plan {
        modes: modes.clone(),
        switch: Some(pole),
        turned: false,
        selector: Some(by.clone()),
    });
    plans.find(|plan| wired(&pickup, plan, &path.positions).kind == WiringKind::Wired)
}
