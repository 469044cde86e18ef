//! What arrives at an amplifier from a finished install, against ngspice (Debian package): every way its volumes are laid out,
//! every position of the selector, two pickups in a row as a plan has them or to try, a blend pot, every pot at any position.
//!
//! The netlists are written from what a guitar does, as in `response`.

use std::fmt::Write;

use solderlast_core::physics::response::{CoilValues, Load, Pot, Pots, Response, Series, Values, preferred};
use solderlast_core::physics::wiring::{
    JackCase, SignalPath, Sources, Standing, Staying, WiringKind, installed, mode_wirings, wire_in,
};
use solderlast_core::record::claim::Meter;
use solderlast_core::record::contacts::ModeSwitch;
use solderlast_core::record::controls::{PlacePots, Selector, TrackWiring, VolumeLayout};
use solderlast_core::record::guitar::Controls;
use solderlast_core::record::leads::Swing;
use solderlast_core::record::pickup::{CoilName, Construction};
use solderlast_core::record::quantity::{Farads, Ohms};
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_core::record::wiring::{BySelector, InRow, Plan};
use solderlast_testkit::pickups::{hooked_up, pickup};
use solderlast_testkit::{Chance, number};

use super::install::soldered;
use super::response::{BOND, LEAK, any_bleed, any_coil, held_against};

/// The pots of both places, or the shared ones at the first.
#[derive(Debug)]
struct Case {
    mode: &'static str,
    coils: [CoilValues; 3],
    coupling: f64,
    layout: VolumeLayout,
    selector: &'static str,
    pots: [Pots; 2],
    /// A blend pot lets the neck in.
    blend: Option<f64>,
    in_row: bool,
    /// The selector chooses the mode, and with both pickups on puts this one on the other.
    on_top: Option<&'static str>,
    neck_turned: bool,
    turned: bool,
    load: Load,
}

impl Case {
    fn by_chance(chance: &mut Chance) -> Self {
        let coils = [any_coil(chance), any_coil(chance), any_coil(chance)];
        let own = |place: &str| PlacePots { place: place.to_owned(), volume: None, tone: None, capacitor: None };
        let each = |track| VolumeLayout::EachPlace { track, pots: vec![own("neck"), own("bridge")] };
        let layout = chance.of(&[
            VolumeLayout::Shared {},
            VolumeLayout::NoVolume {},
            each(TrackWiring::PickupOnTrack),
            each(TrackWiring::PickupOnWiper),
        ]);
        let mut pots = || {
            let mut pot = || {
                let part = chance.of(&[0.02, 0.1, 0.5, 0.9, 1.0]);
                Pot { ohms: Ohms(chance.of(&[250e3, 500e3, 1e6])), part }
            };
            let (volume, tone) = (pot(), pot());
            Pots {
                volume: Some(volume),
                tone: chance.flip().then_some((tone, Farads(chance.of(&[10e-9, 22e-9, 47e-9])))),
                tone_after: chance.flip(),
                bleed: any_bleed(chance),
            }
        };
        let pots = [pots(), pots()];
        let one_volume = matches!(layout, VolumeLayout::Shared {} | VolumeLayout::NoVolume {});
        let on_top = chance.of(&[None, None, Some("bridge"), Some("neck")]).filter(|_| one_volume);
        Self {
            mode: chance.of(&["series", "parallel", "single"]),
            coils,
            coupling: chance.between(-0.4, 0.6),
            pots,
            selector: chance.of(&["neck and bridge", "bridge", "neck"]),
            blend: chance.flip().then(|| chance.of(&[1.0, 2e4, 2.5e5])).filter(|_| on_top.is_none()),
            in_row: chance.below(4) == 0 && on_top.is_none(),
            on_top,
            neck_turned: chance.flip(),
            turned: chance.flip(),
            load: Load {
                cable: Farads(chance.in_ratio(100e-12, 1.5e-9)),
                input: Ohms(chance.of(&[100e3, 470e3, 1e6, 10e6])),
                across: chance.flip().then_some(Ohms(125e3)),
                stray: Farads(chance.between(0.0, 60e-12)),
            },
            layout,
        }
    }

    /// What we have, and whether the coil that is not heard is told to be soldered end to end.
    fn ours(&self) -> (Response, bool) {
        let (pickup, joined, rig) =
            (pickup(Construction::SideBySide, &[None, None]), hooked_up(), Rig::four_terminal("rig"));
        let mut plan =
            Plan { modes: vec![Mode(self.mode.to_owned())], switch: None, turned: self.turned, selector: None };
        let places = ["neck", "bridge"].map(str::to_owned);
        if let Some(upper) = self.on_top {
            let names = ["neck", "neck and bridge", "bridge"].map(str::to_owned);
            // Elsewhere it is another mode.
            let mode =
                |name: &String| if name == self.selector || self.mode == "single" { self.mode } else { "single" };
            plan.modes = names.iter().map(|name| Mode(mode(name).to_owned())).collect();
            plan.switch = ModeSwitch::poles(&names).pop();
            let lower = if upper == "neck" { "bridge" } else { "neck" };
            let row = InRow { position: names[1].clone(), upper: upper.to_owned(), lower: lower.to_owned() };
            plan.selector = Some(BySelector { heard: names[1..].to_vec(), row: Some(row) });
        }
        let path = SignalPath::new(&Controls::default(), &self.layout, Selector::usual(&places).as_ref(), &places)
            .with(plan.selector.as_ref());
        let wiring = wire_in(&pickup, &mode_wirings(&pickup, &rig, &joined), &plan, ("bridge", &path.positions));
        assert_eq!(wiring.kind, WiringKind::Wired, "{self:?}: {}", wiring.sentence);
        let stands = self.on_top.and_then(|_| path.positions.iter().position(|one| one.name == self.selector));
        let joints = soldered(&pickup, &wiring, stands.unwrap_or(0));
        let shorted = self.mode == "single" && !self.in_row && meet(&joints, "Bminus", "Bplus");
        let neck = Staying {
            place: "neck".to_owned(),
            label: "Reed".to_owned(),
            pickup: None,
            measured: Vec::new(),
            wired: None,
            tapped: true,
            reads: None,
            reads_between: None,
            tap: Some(if self.neck_turned { Swing::Down } else { Swing::Up }),
            magnet_up: None,
            cancels_hum: None,
        };
        let install = JackCase {
            pickup: &pickup,
            measured: &[],
            tapped: true,
            place: "bridge",
            wiring: &wiring,
            path: &path,
            staying: std::slice::from_ref(&neck),
            meter: &Meter::plain(),
            room: None,
        };
        let [a, b, one] = self.coils;
        let new = Values::new(vec![(CoilName::A, a), (CoilName::B, b)], self.coupling).unwrap();
        let staying = [("neck".to_owned(), Values::new(vec![(CoilName::A, one)], 0.0).unwrap())];
        let [here, neck] = self.pots;
        let pots = match self.layout {
            VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => vec![(String::new(), here)],
            VolumeLayout::EachPlace { .. } => vec![("bridge".to_owned(), here), ("neck".to_owned(), neck)],
        };
        let standing = Standing {
            selector: self.selector,
            switch: "",
            pots: &pots,
            blend: self.blend.map(|ohms| ("neck", Ohms(ohms))),
            in_row_with: self.in_row.then_some("neck"),
        };
        let sources = Sources { new: &new, staying: &staying };
        let ours = installed(&install, &sources, &standing, &self.load);
        (ours.unwrap_or_else(|| panic!("not heard: {self:?}")), shorted)
    }

    fn netlist(&self, number: usize, shorted: bool) -> String {
        let mut parts = String::new();
        let mut nodes: Vec<String> = Vec::new();
        let mut count = 0;
        let mut part = |kind: char, a: &str, b: &str, value: f64| {
            count += 1;
            let named = [a, b].map(|node| if node == "0" { node.to_owned() } else { format!("{node}{number}") });
            writeln!(parts, "{kind}{number}_{count} {} {} {value:e}", named[0], named[1]).unwrap();
            nodes.extend(named.into_iter().filter(|node| node != "0"));
        };
        for (letter, coil) in ["a", "b", "n"].into_iter().zip(&self.coils) {
            let [minus, plus, inside] = ["m", "p", "i"].map(|end| format!("{letter}{end}"));
            part('R', &inside, &plus, coil.ohms.0);
            if let Some(loss) = coil.loss {
                part('R', &inside, &minus, loss.0);
            }
            part('C', &minus, &plus, coil.farads.0);
        }
        // The new pickup between g and h; the one at the neck below it in a row, else between ground and k.
        let (low, high) = if self.turned { ("h", "g") } else { ("g", "h") };
        let bonds: &[(&str, &str)] = match self.mode {
            "series" => &[("ap", "bm"), ("am", low), ("bp", high)],
            "parallel" => &[("am", "bm"), ("ap", "bp"), ("am", low), ("ap", high)],
            _ => &[("am", low), ("ap", high)],
        };
        for (a, b) in bonds {
            part('R', a, b, BOND);
        }
        if shorted {
            part('R', "bm", "bp", BOND);
        }
        let planned = self.on_top.filter(|_| self.selector == "neck and bridge");
        let on_neck = self.in_row || planned == Some("bridge");
        part('R', "nm", if planned == Some("neck") { "h" } else { "0" }, BOND);
        part('R', "np", if on_neck { "g" } else { "k" }, BOND);
        if !on_neck {
            part('R', "g", "0", BOND);
        }
        let selected = |place: &str| match (on_neck, planned) {
            (true, _) => place == "bridge",
            (false, Some(upper)) => place == upper,
            (false, None) => self.selector.contains(place),
        };
        let volume = |part: &mut dyn FnMut(char, &str, &str, f64),
                      pots: &Pots,
                      [top, wiper]: [&str; 2],
                      ways: [&str; 2],
                      name: &str| {
            let volume = pots.volume.unwrap();
            let below = volume.ohms.0 * volume.part;
            part('R', top, wiper, (volume.ohms.0 - below).max(BOND));
            part('R', wiper, "0", below);
            if let Some(bleed) = pots.bleed {
                let end = format!("e{name}");
                part('R', &end, wiper, bleed.in_row.map_or(BOND, |ohms| ohms.0));
                part('C', top, &end, bleed.farads.0);
                if let Some(across) = bleed.across {
                    part('R', top, &end, across.0);
                }
            }
            if let Some((tone, farads)) = pots.tone {
                let end = format!("t{name}");
                part('R', ways[usize::from(pots.tone_after)], &end, (tone.ohms.0 * tone.part).max(BOND));
                part('C', &end, "0", farads.0);
            }
        };
        // From each pickup to its lug of the selector, from the selector to the jack.
        let lugs = match &self.layout {
            VolumeLayout::Shared {} => {
                volume(&mut part, &self.pots[0], ["s", "o"], ["s", "o"], "x");
                ["h", "k"]
            }
            VolumeLayout::NoVolume {} => {
                part('R', "s", "o", BOND);
                if let Some((tone, farads)) = self.pots[0].tone {
                    part('R', "s", "tx", (tone.ohms.0 * tone.part).max(BOND));
                    part('C', "tx", "0", farads.0);
                }
                ["h", "k"]
            }
            VolumeLayout::EachPlace { track, .. } => {
                part('R', "s", "o", BOND);
                for (pots, hot, lug, name) in [(&self.pots[0], "h", "w", "x"), (&self.pots[1], "k", "z", "y")] {
                    let ends = if *track == TrackWiring::PickupOnWiper { [lug, hot] } else { [hot, lug] };
                    volume(&mut part, pots, ends, [hot, lug], name);
                }
                ["w", "z"]
            }
        };
        for (place, lug) in ["bridge", "neck"].into_iter().zip(lugs) {
            if selected(place) {
                part('R', lug, "s", BOND);
            }
        }
        if let Some(ohms) = self.blend {
            part('R', lugs[1], "s", ohms);
        }
        part('C', "o", "0", self.load.cable.0 + self.load.stray.0);
        for ohms in [Some(self.load.input), self.load.across].into_iter().flatten() {
            part('R', "o", "0", ohms.0);
        }
        for (letter, coil) in ["a", "b", "n"].into_iter().zip(&self.coils) {
            let volts = if letter == "n" && self.neck_turned { -1 } else { 1 };
            writeln!(parts, "L{letter}{number} {letter}i{number} {letter}v{number} {:e}", coil.henries.0).unwrap();
            writeln!(parts, "V{letter}{number} {letter}v{number} {letter}m{number} dc 0 ac {volts}").unwrap();
        }
        writeln!(parts, "K{number} La{number} Lb{number} {:e}", self.coupling).unwrap();
        nodes.sort();
        nodes.dedup();
        for (at, node) in nodes.iter().enumerate() {
            writeln!(parts, "Rleak{number}_{at} {node} 0 {LEAK:e}").unwrap();
        }
        parts
    }
}

/// Whether two ends meet over these joints.
fn meet(joints: &[(String, String)], one: &str, other: &str) -> bool {
    let mut met = vec![one.to_owned()];
    while let Some(next) = joints.iter().find_map(|(a, b)| match (met.contains(a), met.contains(b)) {
        (true, false) => Some(b),
        (false, true) => Some(a),
        _ => None,
    }) {
        met.push(next.clone());
    }
    met.iter().any(|end| end == other)
}

#[test]
fn every_install_as_ngspice_has_it() {
    let mut chance = Chance::seeded(31);
    let cases: Vec<Case> = (0..number("SOLDERLAST_CIRCUITS", 200)).map(|_| Case::by_chance(&mut chance)).collect();
    let (ours, shorted): (Vec<Response>, Vec<bool>) = cases.iter().map(Case::ours).unzip();
    let netlists: Vec<String> = cases
        .iter()
        .zip(&shorted)
        .enumerate()
        .map(|(number, (case, shorted))| case.netlist(number, *shorted))
        .collect();
    let worst = held_against(&cases, &ours, &netlists);
    println!("{} installs within {:.1e} dB, {:.1e}°", cases.len(), worst.0, worst.1);
    assert!(worst.0 > 0.0, "nothing was compared");
}

/// IEC 60063: each value of a series is a power of ten in equal steps, rounded to two digits, but for the eight that the standard
/// keeps from before it; E12 and E6 are every second and every fourth.
#[test]
fn preferred_values_as_the_standard_has_them() {
    let kept = [(26, 27), (29, 30), (32, 33), (35, 36), (38, 39), (42, 43), (46, 47), (83, 82)];
    for (series, count) in [(Series::E6, 6), (Series::E12, 12), (Series::E24, 24)] {
        let step = 24 / count;
        let stated: Vec<f64> = (0..count)
            .map(|at| (10.0 * 10_f64.powf(f64::from(at * step) / 24.0)).round() as u32)
            .map(|two| kept.iter().find(|(rounded, _)| *rounded == two).map_or(two, |(_, value)| *value))
            .map(f64::from)
            .collect();
        for decade in [1e-12, 1e-9, 1.0, 1e3] {
            let ours = preferred(series, 10.0 * decade, 99.0 * decade);
            assert_eq!(ours.len(), stated.len(), "{series:?}");
            for (ours, stated) in ours.iter().zip(&stated) {
                assert!((ours / (stated * decade) - 1.0).abs() < 1e-12, "{series:?} {ours} {stated}");
            }
        }
    }
}
