//! The readings of an install, against ngspice (Debian package): its operating point, computed in the same run. And every
//! wiring, solved by ngspice as it would be soldered, against the mode it promises.
//!
//! The netlists are written from what a guitar's wiring means on a bench, not from the circuit under test: a joint is a
//! milliohm, a switch contact too, and every node has 100 GΩ to ground, so that nothing floats.

use std::collections::BTreeSet;
use std::fmt::Write;

use solderlast_core::physics::leads::hookup;
use solderlast_core::physics::meter::Joined;
use solderlast_core::physics::wiring::{
    JackCase, JackReading, ModeWiring, SignalPath, Staying, WiringKind, WiringPlan, jack_readings, mode_wirings, wire,
};
use solderlast_core::record::claim::Meter;
use solderlast_core::record::contacts::ModeSwitch;
use solderlast_core::record::controls::{PlacePots, Selector, TrackWiring, VolumeLayout};
use solderlast_core::record::guitar::Controls;
use solderlast_core::record::pickup::{CoilEnd, CoilName, Construction, End, Lead, Pickup, Shield, ShieldKind};
use solderlast_core::record::quantity::Ohms;
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_core::record::wiring::{Plan, Volumes};
use solderlast_testkit::pickups::pickup;
use solderlast_testkit::program;

/// A reading agrees to a hundredth of a per cent.
const WITHIN: f64 = 1e-4;
const JOINT: f64 = 1e-3;
const LEAK: f64 = 1e11;
/// More than this is open, less than that a short.
const OPEN: f64 = 1e9;
pub(super) const SHORT: f64 = 0.1;

pub(super) const COILS: [f64; 2] = [6660.0, 7380.0];

/// A netlist of many guitars side by side, each with a current of 1 mA through two of its nodes.
#[derive(Default)]
pub(super) struct Deck {
    parts: String,
    prints: String,
    count: usize,
    guitars: usize,
    nodes: BTreeSet<String>,
    solved: Vec<f64>,
}

/// So many guitars are given to ngspice at a time.
const AT_A_TIME: usize = 250;

impl Deck {
    fn node(&mut self, name: &str) -> String {
        let node = format!("g{}_{name}", self.guitars);
        self.nodes.insert(node.clone());
        node
    }

    pub(super) fn resistor(&mut self, a: &str, b: &str, ohms: f64) {
        let (a, b) = (self.node(a), self.node(b));
        self.count += 1;
        writeln!(self.parts, "R{} {a} {b} {ohms:e}", self.count).expect("a string takes everything");
    }

    pub(super) fn joint(&mut self, a: &str, b: &str) {
        self.resistor(a, b, JOINT);
    }

    /// The pickup on its points, with the switch in a position. `coils` in the order of its record, in ohms.
    pub(super) fn pickup(&mut self, pickup: &Pickup, wiring: &WiringPlan, position: usize, coils: &[f64]) {
        for (coil, ohms) in pickup.coils.iter().zip(coils) {
            let name = coil.name.letter();
            self.resistor(&format!("{name}minus"), &format!("{name}plus"), *ohms);
        }
        for ends in &pickup.joined_inside {
            inside(self, ends);
        }
        for (a, b) in soldered(pickup, wiring, position) {
            self.joint(&a, &b);
        }
        // Hot and ground are the first two points.
        self.joint("point0", "hotbridge");
        self.joint("point1", "ground");
    }

    /// Asks for the resistance between two nodes of this guitar, and goes on to the next.
    pub(super) fn ask(&mut self, a: &str, b: &str) {
        self.ask_across([a, b], [a, b]);
    }

    /// Asks for the voltage across two nodes, in volts a milliampere times 1000, when the current goes through two others.
    pub(super) fn ask_across(&mut self, through: [&str; 2], across: [&str; 2]) {
        let [a, b] = through.map(|name| self.node(name));
        writeln!(self.parts, "I{} {b} {a} 1e-3", self.guitars).expect("a string takes everything");
        let [a, b] = across.map(|name| self.node(name));
        writeln!(self.prints, "print v({a},{b})").expect("a string takes everything");
        self.guitars += 1;
        if self.guitars.is_multiple_of(AT_A_TIME) {
            self.run();
        }
    }

    /// Solves what was asked since the last run.
    fn run(&mut self) {
        if self.prints.is_empty() {
            return;
        }
        let (mut parts, prints) = (std::mem::take(&mut self.parts), std::mem::take(&mut self.prints));
        for node in std::mem::take(&mut self.nodes) {
            self.count += 1;
            writeln!(parts, "R{} {node} 0 {LEAK:e}", self.count).expect("a string takes everything");
        }
        let deck = format!("guitars\n{parts}.control\nset numdgt=12\nop\n{prints}quit 0\n.endc\n.end\n");
        let answer = program::answer("ngspice", &["-b"], &deck, "ngspice (Debian)");
        let volts = answer.lines().filter_map(|line| line.strip_prefix("v(")?.split_once(" = ")?.1.trim().parse().ok());
        self.solved.extend(volts.map(|volts: f64| volts / 1e-3));
    }

    /// Everything that was asked, by ngspice, in ohms.
    pub(super) fn solve(mut self) -> Vec<f64> {
        self.run();
        assert_eq!(self.solved.len(), self.guitars, "ngspice answers for every guitar");
        self.solved
    }
}

/// How two resistances compare: nothing when they agree, and how far they are apart otherwise.
pub(super) fn apart(ours: Option<f64>, spice: f64) -> Option<String> {
    match ours {
        None => (spice < OPEN).then(|| format!("open here, {spice} by ngspice")),
        Some(ohms) if ohms < 1e-6 => (spice > SHORT).then(|| format!("a short here, {spice} by ngspice")),
        Some(ohms) => ((ohms / spice - 1.0).abs() > WITHIN).then(|| format!("{ohms} here, {spice} by ngspice")),
    }
}

fn plans() -> Vec<Plan> {
    let modes = |names: &[&str]| -> Vec<Mode> { names.iter().map(|name| Mode::new(*name)).collect() };
    let mut plans: Vec<Plan> = ["series", "parallel", "single"]
        .into_iter()
        .map(|mode| Plan { modes: modes(&[mode]), switch: None, turned: false, selector: None })
        .collect();
    for switch in ModeSwitch::ready_made() {
        for names in [
            &["series", "parallel"][..],
            &["parallel", "series"],
            &["series", "single"],
            &["single", "parallel"],
            &["series", "single", "parallel"],
            &["single", "series", "parallel"],
        ] {
            plans.push(Plan { modes: modes(names), switch: Some(switch.clone()), turned: false, selector: None });
        }
    }
    let turned: Vec<Plan> = plans.iter().step_by(4).map(|plan| Plan { turned: true, ..plan.clone() }).collect();
    plans.extend(turned);
    plans
}

/// What is joined to what as a plan is told, from the ends of the coils to its points, with the switch in a position.
pub(super) fn soldered(pickup: &Pickup, wiring: &WiringPlan, position: usize) -> Vec<(String, String)> {
    let point = |at: usize| format!("point{at}");
    let mut joints = Vec::new();
    for lead in &pickup.leads {
        for end in &lead.ends {
            let end = format!("{}{}", end.coil.letter(), if end.end == End::Plus { "plus" } else { "minus" });
            joints.push((format!("lead{}", lead.name), end));
        }
    }
    for (at, told) in wiring.points.iter().enumerate() {
        joints.extend(told.leads.iter().map(|lead| (format!("lead{lead}"), point(at))));
    }
    joints.extend(wiring.jumpers.iter().map(|[a, b]| (point(usize::from(*a)), point(usize::from(*b)))));
    for set in &wiring.positions[position].joined {
        joints.extend(set.windows(2).map(|pair| (point(usize::from(pair[0])), point(usize::from(pair[1])))));
    }
    joints
}

/// Pickups of each kind: two coils with four leads, three leads with a shared one, two leads, one coil, a stack.
pub(super) fn pickups() -> Vec<(&'static str, Pickup)> {
    let end = |coil, end| CoilEnd { coil, end };
    let (a, b) = (CoilName::A, CoilName::B);
    let four = pickup(Construction::SideBySide, &COILS.map(Some));
    let three = Pickup {
        leads: [
            ("moss", vec![end(a, End::Minus)]),
            ("rust", vec![end(a, End::Plus), end(b, End::Minus)]),
            ("chalk", vec![end(b, End::Plus)]),
        ]
        .map(|(name, ends)| Lead { name: name.into(), ends })
        .to_vec(),
        ..four.clone()
    };
    let joined = Pickup {
        leads: [("moss", vec![end(a, End::Minus)]), ("chalk", vec![end(b, End::Plus)])]
            .map(|(name, ends)| Lead { name: name.into(), ends })
            .to_vec(),
        joined_inside: vec![vec![end(a, End::Plus), end(b, End::Minus)]],
        shield: Shield { kind: ShieldKind::Braid, joined_to: Some("moss".into()) },
        ..four.clone()
    };
    let mut one = four.clone();
    one.construction = Construction::SingleCoil;
    one.coils.truncate(1);
    one.leads.truncate(2);
    one.shield = Shield { kind: ShieldKind::None, joined_to: None };
    let stack = pickup(Construction::Stacked, &COILS.map(Some));
    vec![("four leads", four), ("three leads", three), ("two leads", joined), ("one coil", one), ("stack", stack)]
}

pub(super) fn modes_of(pickup: &Pickup) -> Vec<ModeWiring> {
    let rig = Rig::four_terminal("rig");
    let joined: Vec<Joined> = hookup(pickup, &rig)
        .places
        .into_iter()
        .map(|place| Joined { terminal: place.terminal, leads: place.leads })
        .collect();
    mode_wirings(pickup, &rig, &joined)
}

/// Every wiring of every pickup on every switch, soldered in ngspice as it is told, reads in each position what its mode reads
/// with the leads simply joined as on the rig; and each coil has the same sense: a source in it makes the same voltage.
#[test]
fn every_wiring_gives_the_modes_it_promises() {
    let mut deck = Deck::default();
    let mut pairs: Vec<String> = Vec::new();
    let (mut wired, mut partly, mut not) = (0, 0, 0);
    for (kind, pickup) in pickups() {
        let modes = modes_of(&pickup);
        for plan in plans() {
            let wiring = wire(&pickup, &modes, &plan);
            match wiring.kind {
                WiringKind::Wired => wired += 1,
                WiringKind::Partly => partly += 1,
                WiringKind::CantBe | WiringKind::LeadsUnknown => not += 1,
            }
            let switch = plan.switch.as_ref().map_or("fixed", |switch| switch.name.as_str());
            for (position, given) in wiring.positions.iter().enumerate() {
                let Some(mode) = &given.mode else { continue };
                let promised = modes.iter().find(|wiring| &wiring.mode == mode).expect("a mode of the rig");
                // Uneven coils, then each of them alone a quarter larger.
                for changed in 0..=pickup.coils.len() {
                    let mut coils = COILS;
                    if let Some(coil) = changed.checked_sub(1).and_then(|coil| coils.get_mut(coil)) {
                        *coil *= 1.25;
                    }
                    deck.pickup(&pickup, &wiring, position, &coils);
                    deck.ask("hotbridge", "ground");
                    joined_as_promised(&mut deck, &pickup, promised, plan.turned, &coils);
                    deck.ask("hotbridge", "ground");
                    pairs.push(format!("{kind}, {switch}, {mode:?}, coils {coils:?}"));
                }
                // The sense: which end of each coil is nearer the hot. A milliampere from hot to ground drops volts along
                // the coils in order, so the voltage across each coil tells its sign and its share.
                for coil in &pickup.coils {
                    for promised_wiring in [false, true] {
                        if promised_wiring {
                            joined_as_promised(&mut deck, &pickup, promised, plan.turned, &COILS);
                        } else {
                            deck.pickup(&pickup, &wiring, position, &COILS);
                        }
                        let [plus, minus] = ["plus", "minus"].map(|end| format!("{}{end}", coil.name.letter()));
                        deck.ask_across(["hotbridge", "ground"], [&plus, &minus]);
                    }
                    pairs.push(format!("{kind}, {switch}, {mode:?}, sense of coil {}", coil.name.letter()));
                }
            }
        }
    }
    let solved = deck.solve();
    assert_eq!(solved.len(), 2 * pairs.len());
    for (what, pair) in pairs.iter().zip(solved.chunks(2)) {
        let (ours, promised) = (pair[0], pair[1]);
        // Milliohms of joints are left where a coil is not heard.
        assert!((ours - promised).abs() < WITHIN * promised.abs() + SHORT, "{what}: {ours}, promised {promised}");
    }
    println!("{wired} wirings give all, {partly} some, {not} none; {} comparisons", pairs.len());
    assert!(wired > 60 && partly > 10 && pairs.len() > 500, "{wired} {partly} {}", pairs.len());
}

/// The leads joined as on the rig, without a switch.
pub(super) fn joined_as_promised(deck: &mut Deck, pickup: &Pickup, promised: &ModeWiring, turned: bool, coils: &[f64]) {
    for (coil, ohms) in pickup.coils.iter().zip(coils) {
        let name = coil.name.letter();
        deck.resistor(&format!("{name}minus"), &format!("{name}plus"), *ohms);
    }
    for ends in &pickup.joined_inside {
        inside(deck, ends);
    }
    for lead in &pickup.leads {
        for end in &lead.ends {
            let end = format!("{}{}", end.coil.letter(), if end.end == End::Plus { "plus" } else { "minus" });
            deck.joint(&format!("lead{}", lead.name), &end);
        }
    }
    let (ground, hot) = if turned { ("hotbridge", "ground") } else { ("ground", "hotbridge") };
    for (leads, to) in [(&promised.ground, ground), (&promised.hot, hot)] {
        for lead in leads {
            deck.joint(&format!("lead{lead}"), to);
        }
    }
    for set in &promised.joined {
        for pair in set.windows(2) {
            deck.joint(&format!("lead{}", pair[0]), &format!("lead{}", pair[1]));
        }
    }
}

fn inside(deck: &mut Deck, ends: &[CoilEnd]) {
    let name = |end: &CoilEnd| format!("{}{}", end.coil.letter(), if end.end == End::Plus { "plus" } else { "minus" });
    for pair in ends.windows(2) {
        deck.joint(&name(&pair[0]), &name(&pair[1]));
    }
}

/// A guitar for the readings at the jack.
struct Guitar {
    path: SignalPath,
    staying: Vec<Staying>,
    /// Stated pots by place; the shared one first for a shared volume.
    pots: Vec<(String, f64)>,
}

/// A pickup that stays and was read before.
pub(super) fn stays(place: &str, ohms: f64) -> Staying {
    Staying {
        place: place.to_owned(),
        label: String::new(),
        pickup: None,
        measured: Vec::new(),
        wired: None,
        tapped: false,
        reads: Some(Ohms(ohms)),
        reads_between: None,
        tap: None,
        magnet_up: None,
        cancels_hum: None,
    }
}

fn guitars() -> Vec<(&'static str, Guitar)> {
    let names = |places: &[&str]| -> Vec<String> { places.iter().map(|place| (*place).to_owned()).collect() };
    let controls = Controls { volume: Some(Ohms(470e3)), tone: Some(Ohms(250e3)), ..Controls::default() };
    let each = |track: TrackWiring| VolumeLayout::EachPlace {
        track,
        pots: [("neck", 510e3), ("bridge", 265e3), ("middle", 330e3)]
            .map(|(place, ohms)| PlacePots {
                place: place.to_owned(),
                volume: Some(Ohms(ohms)),
                tone: None,
                capacitor: None,
            })
            .to_vec(),
    };
    let mut guitars = Vec::new();
    for (what, layout) in [
        ("shared", VolumeLayout::Shared {}),
        ("usual", each(TrackWiring::PickupOnTrack)),
        ("independent", each(TrackWiring::PickupOnWiper)),
        ("no volume", VolumeLayout::NoVolume {}),
    ] {
        for places in [&["bridge"][..], &["neck", "bridge"], &["neck", "middle", "bridge"]] {
            let places = names(places);
            let path = SignalPath::new(&controls, &layout, Selector::usual(&places).as_ref(), &places);
            let staying = [stays("neck", 7150.0), stays("middle", 5820.0)];
            let pots = match &layout {
                VolumeLayout::Shared {} => vec![("shared".to_owned(), 470e3)],
                VolumeLayout::EachPlace { pots, .. } => {
                    pots.iter().map(|pot| (pot.place.clone(), pot.volume.map_or(0.0, |ohms| ohms.0))).collect()
                }
                VolumeLayout::NoVolume {} => Vec::new(),
            };
            let staying = staying.into_iter().filter(|staying| places.contains(&staying.place)).collect();
            guitars.push((what, Guitar { path, staying, pots }));
        }
    }
    guitars
}

impl Deck {
    /// The rest of the guitar round its new pickup: pots, selector, jack.
    fn guitar(&mut self, guitar: &Guitar, reading: &JackReading) {
        for staying in &guitar.staying {
            let ohms = staying.reads.map_or(0.0, |ohms| ohms.0);
            self.resistor(&format!("hot{}", staying.place), "ground", ohms);
        }
        let places: Vec<String> =
            std::iter::once("bridge".to_owned()).chain(guitar.staying.iter().map(|s| s.place.clone())).collect();
        let at_zero = |place: &str| match &reading.set.volumes {
            Volumes::Zero {} => true,
            Volumes::ZeroOf { place: of } => of == place,
            Volumes::Full {} | Volumes::Half {} => false,
        };
        let on_wiper = matches!(&guitar.path.layout, VolumeLayout::EachPlace { track: TrackWiring::PickupOnWiper, .. });
        for place in &places {
            match guitar.pots.iter().find(|(of, _)| of == place) {
                Some((_, ohms)) => {
                    self.resistor(&format!("top{place}"), "ground", *ohms);
                    let end = if at_zero(place) { "ground".to_owned() } else { format!("top{place}") };
                    self.joint(&format!("wiper{place}"), &end);
                    let (hot, lug) = if on_wiper { ("wiper", "top") } else { ("top", "wiper") };
                    self.joint(&format!("hot{place}"), &format!("{hot}{place}"));
                    self.joint(&format!("lug{place}"), &format!("{lug}{place}"));
                }
                None => self.joint(&format!("hot{place}"), &format!("lug{place}")),
            }
            if reading.places.contains(place) {
                self.joint(&format!("lug{place}"), "out");
            }
        }
        match guitar.pots.iter().find(|(of, _)| of == "shared") {
            Some((_, ohms)) => {
                self.resistor("out", "ground", *ohms);
                self.joint("tip", if at_zero("") { "ground" } else { "out" });
            }
            None => self.joint("tip", "out"),
        }
        self.joint("sleeve", "ground");
    }
}

#[test]
fn every_reading_at_the_jack() {
    let meter = Meter::plain();
    let pickup = pickup(Construction::SideBySide, &COILS.map(Some));
    let modes = modes_of(&pickup);
    let mut deck = Deck::default();
    let mut ours: Vec<(String, Option<f64>)> = Vec::new();
    // The fixed modes, and every third plan with a switch.
    let (fixed, switched): (Vec<Plan>, Vec<Plan>) =
        plans().into_iter().filter(|plan| !plan.turned).partition(|plan| plan.switch.is_none());
    for plan in fixed.iter().chain(switched.iter().step_by(3)) {
        let wiring = wire(&pickup, &modes, plan);
        if wiring.kind == WiringKind::CantBe {
            continue;
        }
        for (what, guitar) in guitars() {
            let install = JackCase {
                pickup: &pickup,
                measured: &[],
                tapped: false,
                place: "bridge",
                wiring: &wiring,
                path: &guitar.path,
                staying: &guitar.staying,
                meter: &meter,
                room: None,
            };
            for reading in jack_readings(&install) {
                let position = wiring
                    .positions
                    .iter()
                    .position(|position| position.name == reading.set.switch)
                    .expect("a position of the switch");
                deck.pickup(&pickup, &wiring, position, &COILS);
                deck.guitar(&guitar, &reading);
                deck.ask("tip", "sleeve");
                assert_eq!(reading.open, reading.nominal.is_none(), "all is known here: {reading:?}");
                ours.push((
                    format!("{what}, {:?}, {}", plan.switch.as_ref().map(|s| &s.name), reading.words),
                    reading.nominal.map(|ohms| ohms.0),
                ));
            }
        }
    }
    let solved = deck.solve();
    let mut worst = 0.0_f64;
    for ((what, ohms), spice) in ours.iter().zip(&solved) {
        if let Some(apart) = apart(*ohms, *spice) {
            assert_eq!(apart, "", "{what}");
        }
        if let Some(ohms) = ohms.filter(|ohms| *ohms > 1.0) {
            worst = worst.max((ohms / spice - 1.0).abs());
        }
    }
    println!("{} readings, the worst off by {worst:.1e}", ours.len());
    assert!(ours.len() > 500 && worst > 0.0, "{}", ours.len());
}
