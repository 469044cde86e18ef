//! What a meter sees, against ngspice (Debian package): its operating point, computed in the same run.
//!
//! The netlists are written from what each cause means on a bench, not from the circuit under test: a bond is a milliohm,
//! and every node has 100 GΩ to ground, so that nothing floats.

use std::fmt::Write;

use solderlast_core::physics::meter::{Cause, Given, causes, pairs_of_causes, would_read};
use solderlast_core::record::meter::{Care, Probe};
use solderlast_core::record::pickup::{CoilEnd, CoilName, Construction, End};
use solderlast_core::record::quantity::Ohms;
use solderlast_core::record::rig::Rig;
use solderlast_testkit::pickups::{LEADS, hooked_up, pickup};
use solderlast_testkit::program;

/// A reading agrees to a hundredth of a per cent; bonds of milliohms and leaks of 100 GΩ take a tenth of that.
const WITHIN: f64 = 1e-4;
const BOND: f64 = 1e-3;
const LEAK: f64 = 1e11;
/// More than this is open.
const OPEN: f64 = 1e9;
/// Less than this is a short.
const SHORT: f64 = 0.1;

const COILS: [f64; 2] = [6660.0, 7380.0];
const BODY: f64 = 310_000.0;
const LOAD: f64 = 470_000.0;
const CONTACT: f64 = 23_000.0;

/// A netlist of many benches side by side, each with a current of 1 mA through its probes.
#[derive(Default)]
struct Deck {
    parts: String,
    prints: String,
    count: usize,
    nodes: Vec<String>,
}

impl Deck {
    fn node(&mut self, bench: usize, name: &str) -> String {
        let node = format!("b{bench}_{name}");
        if !self.nodes.contains(&node) {
            self.nodes.push(node.clone());
        }
        node
    }

    fn resistor(&mut self, bench: usize, a: &str, b: &str, ohms: f64) {
        let (a, b) = (self.node(bench, a), self.node(bench, b));
        self.count += 1;
        writeln!(self.parts, "R{} {a} {b} {ohms:e}", self.count).expect("a string takes everything");
    }

    /// Adds one bench: a pickup on the default rig with these causes, looked at in a mode.
    fn bench(&mut self, bench: usize, mode: &str, wrong: &[Cause]) {
        let mut terminal_of = [Some(0), Some(1), Some(2), Some(3)];
        let (mut stood, mut fingers, mut connected) = (mode.to_owned(), false, false);
        let mut broken = Vec::new();
        let terminal = |name: &str| name.parse::<usize>().expect("terminals have numbers") - 1;
        let place = |lead: &str| LEADS.iter().position(|(name, ..)| *name == lead);
        // Leads are exchanged before one of them comes loose.
        for cause in wrong {
            if let Cause::InEachOthersPlace { leads } = cause {
                for moved in leads {
                    terminal_of[place(moved.lead.as_str()).expect("a lead")] = Some(terminal(&moved.terminal));
                }
            }
        }
        for cause in wrong {
            if let Cause::OnOneTerminal { lead, .. } = cause {
                let lead = place(lead.as_str()).expect("a lead");
                terminal_of[lead] = terminal_of[lead ^ 1];
            }
        }
        let (mut shield_clamped, mut bad) = (true, None);
        for cause in wrong {
            match cause {
                Cause::NotClamped { lead } => match place(lead.as_str()) {
                    Some(lead) => terminal_of[lead] = None,
                    None => shield_clamped = false,
                },
                Cause::Bridged { terminals: [a, b] } => {
                    self.resistor(bench, &format!("t{}", terminal(a)), &format!("t{}", terminal(b)), BOND);
                }
                Cause::Broken { coil } => broken.push(*coil),
                Cause::TouchesShield { end: CoilEnd { coil, end } } => {
                    let lead = LEADS.iter().position(|(_, c, e)| (c, e) == (coil, end)).expect("an end has a lead");
                    self.resistor(bench, "shield", &format!("lead{lead}"), BOND);
                }
                Cause::OtherPosition { mode: of, stood: other } if of.0 == mode => stood.clone_from(&other.0),
                Cause::Fingers { mode: of } => fingers |= of.as_ref().is_none_or(|of| of.0 == mode),
                Cause::StillConnected => connected = true,
                Cause::BadContact { lead } => bad = place(lead.as_str()),
                Cause::OtherPosition { .. }
                | Cause::InEachOthersPlace { .. }
                | Cause::OnOneTerminal { .. }
                // What a meter's range does to a number is no matter of the network.
                | Cause::WrongRange { .. }
                | Cause::RangeTooLow { .. }
                | Cause::NotAsStated => {}
            }
        }
        for (lead, terminal) in terminal_of.into_iter().enumerate() {
            if let Some(terminal) = terminal {
                let ohms = if bad == Some(lead) { CONTACT } else { BOND };
                self.resistor(bench, &format!("lead{lead}"), &format!("t{terminal}"), ohms);
            }
        }
        if shield_clamped {
            self.resistor(bench, "shield", "t0", BOND);
        }
        for (coil, ohms) in [(CoilName::A, COILS[0]), (CoilName::B, COILS[1])] {
            if !broken.contains(&coil) {
                let first = if coil == CoilName::A { 0 } else { 2 };
                self.resistor(bench, &format!("lead{first}"), &format!("lead{}", first + 1), ohms);
            }
        }
        // The default rig: series bonds 2-3 and puts out 1 and 4, parallel bonds 1-3 and 2-4, single puts out 1 and 2.
        let (bonds, tip): (&[(usize, usize)], usize) = match stood.as_str() {
            "series" => (&[(1, 2)], 3),
            "parallel" => (&[(0, 2), (1, 3)], 1),
            _ => (&[], 1),
        };
        for (a, b) in bonds {
            self.resistor(bench, &format!("t{a}"), &format!("t{b}"), BOND);
        }
        self.resistor(bench, "t0", "ground", BOND);
        self.resistor(bench, &format!("t{tip}"), "tip", BOND);
        for (there, ohms) in [(fingers, BODY), (connected, LOAD)] {
            if there {
                self.resistor(bench, "ground", "tip", ohms);
            }
        }
        let (ground, tip) = (self.node(bench, "ground"), self.node(bench, "tip"));
        writeln!(self.parts, "I{bench} {ground} {tip} 1e-3").expect("a string takes everything");
        writeln!(self.prints, "print v({tip},{ground})").expect("a string takes everything");
    }

    /// The resistance between the probes of each bench, by ngspice.
    fn solve(mut self) -> Vec<f64> {
        for node in std::mem::take(&mut self.nodes) {
            self.count += 1;
            writeln!(self.parts, "R{} {node} 0 {LEAK:e}", self.count).expect("a string takes everything");
        }
        let deck = format!("benches\n{}.control\nset numdgt=12\nop\n{}quit 0\n.endc\n.end\n", self.parts, self.prints);
        let answer = program::answer("ngspice", &["-b"], &deck, "ngspice (Debian)");
        let volts = answer.lines().filter_map(|line| line.strip_prefix("v(")?.split_once(" = ")?.1.trim().parse().ok());
        volts.map(|volts: f64| volts / 1e-3).collect()
    }
}

fn compare(benches: &[Vec<Cause>]) {
    let (pickup, joined, rig) =
        (pickup(Construction::Stacked, &COILS.map(Some)), hooked_up(), Rig::four_terminal("rig"));
    let given = Given { coils: COILS.map(Ohms).to_vec(), body: Ohms(BODY), load: Ohms(LOAD), contact: Ohms(CONTACT) };
    let looks: Vec<(&str, &Vec<Cause>)> =
        benches.iter().flat_map(|wrong| ["parallel", "single", "series"].map(|mode| (mode, wrong))).collect();
    let mut deck = Deck::default();
    for (bench, (mode, wrong)) in looks.iter().enumerate() {
        deck.bench(bench, mode, wrong);
    }
    let solved = deck.solve();
    assert_eq!(solved.len(), looks.len(), "ngspice answers for every bench");
    let (mut opens, mut shorts, mut numbers, mut worst) = (0, 0, 0, 0.0_f64);
    for ((mode, wrong), spice) in looks.into_iter().zip(solved) {
        let position =
            rig.positions.iter().find(|position| position.mode.0 == mode).expect("a mode of the default rig");
        let probe = Probe::Output { mode: position.mode.clone(), care: Care::AsUsual };
        let ours = would_read(&pickup, &joined, &rig, wrong, &given, &probe).map(|ohms| ohms.0);
        match ours {
            None => {
                opens += 1;
                assert!(spice > OPEN, "{mode} with {wrong:?}: open here, {spice} by ngspice");
            }
            Some(0.0) => {
                shorts += 1;
                assert!(spice < SHORT, "{mode} with {wrong:?}: a short here, {spice} by ngspice");
            }
            Some(ohms) => {
                numbers += 1;
                worst = worst.max((ohms / spice - 1.0).abs());
                assert!((ohms / spice - 1.0).abs() < WITHIN, "{mode} with {wrong:?}: {ohms} here, {spice} by ngspice");
            }
        }
    }
    println!("{numbers} resistances within {worst:.1e}, {opens} open, {shorts} short");
    assert!(numbers > 0 && worst > 0.0, "nothing was compared");
}

fn seen_by_the_network(cause: &Cause) -> bool {
    !matches!(cause, Cause::WrongRange { .. } | Cause::RangeTooLow { .. })
}

#[test]
fn every_mode_of_the_default_rig() {
    compare(&[Vec::new()]);
}

#[test]
fn every_order_of_the_leads() {
    let (pickup, joined, rig) =
        (pickup(Construction::Stacked, &COILS.map(Some)), hooked_up(), Rig::four_terminal("rig"));
    let orders: Vec<Vec<Cause>> = causes(&pickup, &joined, &rig)
        .into_iter()
        .filter(|cause| matches!(cause, Cause::InEachOthersPlace { .. }))
        .map(|cause| vec![cause])
        .chain([Vec::new()])
        .collect();
    assert_eq!(orders.len(), 24);
    compare(&orders);
}

#[test]
fn every_single_cause() {
    let (pickup, joined, rig) =
        (pickup(Construction::Stacked, &COILS.map(Some)), hooked_up(), Rig::four_terminal("rig"));
    let singles: Vec<Vec<Cause>> =
        causes(&pickup, &joined, &rig).into_iter().filter(seen_by_the_network).map(|cause| vec![cause]).collect();
    assert!(singles.len() > 45, "{}", singles.len());
    compare(&singles);
}

/// Every seventh pair, so that the run stays short.
#[test]
fn pairs_of_causes_too() {
    let (pickup, joined, rig) =
        (pickup(Construction::Stacked, &COILS.map(Some)), hooked_up(), Rig::four_terminal("rig"));
    let pairs: Vec<Vec<Cause>> = pairs_of_causes(&pickup, &joined, &rig)
        .into_iter()
        .filter(|pair| pair.iter().all(seen_by_the_network))
        .step_by(7)
        .map(Vec::from)
        .collect();
    assert!(pairs.len() > 100, "{}", pairs.len());
    compare(&pairs);
}

/// The ends as the rig means them: minus before plus, coil after coil.
#[test]
fn the_leads_of_the_pickup_are_in_order() {
    assert_eq!(LEADS.map(|(_, _, end)| end), [End::Minus, End::Plus, End::Minus, End::Plus]);
}
