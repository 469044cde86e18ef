//! A selector that changes a pickup's mode and puts two pickups in a row, soldered in ngspice (Debian package) as it is told, against
//! what each position promises: the pickups simply joined as on the rig, beside each other or one on the other.

use solderlast_core::physics::wiring::{
    JackCase, SignalPath, SolderPointKind, Staying, WiringKind, WiringPlan, jack_readings, wire_in,
};
use solderlast_core::record::claim::Meter;
use solderlast_core::record::contacts::ModeSwitch;
use solderlast_core::record::controls::{Selector, SelectorPosition, VolumeLayout};
use solderlast_core::record::guitar::Controls;
use solderlast_core::record::quantity::Ohms;
use solderlast_core::record::rig::Mode;
use solderlast_core::record::wiring::{BySelector, InRow, Plan, Volumes};
use solderlast_testkit::{Chance, number};

use super::install::{COILS, Deck, apart, joined_as_promised, modes_of, pickups, stays};

const OTHERS: [(&str, f64); 2] = [("neck", 7150.0), ("middle", 5820.0)];
const VOLUME: f64 = 470e3;

fn chosen(chance: &mut Chance, places: &[String]) -> (Plan, Vec<SelectorPosition>) {
    let mut positions = Selector::usual(places).unwrap().positions;
    let row = (chance.below(3) > 0).then(|| {
        let other = places[chance.below(places.len() - 1)].clone();
        let both = positions.iter().position(|one| {
            one.places.len() == 2 && one.places.contains(&other) && one.places.contains(&"bridge".to_owned())
        });
        let position = match both.filter(|_| chance.flip()) {
            Some(at) => positions[at].name.clone(),
            None => {
                let name = "fourth".to_owned();
                positions
                    .push(SelectorPosition { name: name.clone(), places: vec!["bridge".to_owned(), other.clone()] });
                name
            }
        };
        let (upper, lower) = if chance.flip() { ("bridge".to_owned(), other) } else { (other, "bridge".to_owned()) };
        InRow { position, upper, lower }
    });
    let names: Vec<String> = positions.iter().map(|one| one.name.clone()).collect();
    let heard = positions.iter().filter(|one| one.places.contains(&"bridge".to_owned()));
    let heard: Vec<String> = heard.map(|one| one.name.clone()).collect();
    let [usual, other] = [0, 1].map(|_| chance.of(&["series", "parallel", "single"]));
    let changed = chance.of(&names);
    let modes = names.iter().map(|name| Mode::new(if *name == changed { other } else { usual })).collect();
    let pole = chance.of(&ModeSwitch::poles(&names));
    (Plan { modes, switch: Some(pole), turned: chance.flip(), selector: Some(BySelector { heard, row }) }, positions)
}

/// The rest of the guitar round the pickup as it is soldered, in a position of the selector, with everything turned up.
fn soldered(deck: &mut Deck, wiring: &WiringPlan, positions: &[SelectorPosition], at: usize, others: &[(&str, f64)]) {
    let row = wiring.selector.as_ref().and_then(|by| by.row.as_ref());
    for (place, ohms) in others {
        deck.resistor(&format!("hot{place}"), &format!("cold{place}"), *ohms);
        deck.joint(&format!("hot{place}"), &format!("lug{place}"));
        if row.is_none_or(|row| row.upper != *place) {
            deck.joint(&format!("cold{place}"), "ground");
        }
    }
    deck.joint("hotbridge", "lugbridge");
    if let Some(row) = row {
        // What the sheet says of the selector's other pole, and of whose end the wiring's own point is.
        let own = wiring.points.iter().position(|one| matches!(one.kind, SolderPointKind::Beside { .. })).unwrap();
        let there = if row.upper == "bridge" { format!("lug{}", row.lower) } else { format!("cold{}", row.upper) };
        deck.joint(&format!("point{own}"), &there);
        deck.joint(&format!("lug{}", row.upper), "out");
    }
    for place in &positions[at].places {
        let in_row = row.is_some_and(|row| row.position == positions[at].name && row.lower == *place);
        if !in_row && row.is_none_or(|row| row.upper != *place) {
            deck.joint(&format!("lug{place}"), "out");
        }
    }
}

/// The pickups of a position as they are meant to be: the new one joined as on the rig between its two ends.
fn promised(deck: &mut Deck, by: &BySelector, position: &SelectorPosition, others: &[(&str, f64)]) {
    let row = by.row.as_ref().filter(|row| row.position == position.name);
    let ends = |place: &str| {
        if place == "bridge" {
            ["hotbridge".to_owned(), "ground".to_owned()]
        } else {
            ["hot", "cold"].map(|end| format!("{end}{place}"))
        }
    };
    for (place, ohms) in others {
        deck.resistor(&format!("hot{place}"), &format!("cold{place}"), *ohms);
    }
    match row {
        Some(row) => {
            let ([high, middle], [under, low]) = (ends(&row.upper), ends(&row.lower));
            deck.joint(&high, "out");
            deck.joint(&middle, &under);
            deck.joint(&low, "foot");
        }
        None => {
            for place in &position.places {
                let [high, low] = ends(place);
                deck.joint(&high, "out");
                deck.joint(&low, "foot");
            }
        }
    }
}

/// What each position reads, and how many volts each coil and each other pickup has of a milliampere sent in at the output: by
/// its size and by its sign. And the readings to expect, with the volume.
#[test]
fn every_selector_gives_what_it_promises() {
    let mut chance = Chance::seeded(171);
    let mut deck = Deck::default();
    let (mut pairs, mut ours): (Vec<String>, Vec<(String, Option<f64>)>) = (Vec::new(), Vec::new());
    let mut jacks: Vec<bool> = Vec::new();
    let (mut wired, mut not, mut rows) = (0, 0, 0);
    for case in 0..number("SOLDERLAST_SELECTORS", 150) {
        let (kind, pickup) = chance.of(&pickups());
        let modes = modes_of(&pickup);
        let places: &[&str] = if chance.flip() { &["neck", "bridge"] } else { &["neck", "middle", "bridge"] };
        let places: Vec<String> = places.iter().map(|place| (*place).to_owned()).collect();
        let (plan, positions) = chosen(&mut chance, &places);
        let wiring = wire_in(&pickup, &modes, &plan, ("bridge", &positions));
        if wiring.kind != WiringKind::Wired {
            not += 1;
            continue;
        }
        wired += 1;
        let by = plan.selector.as_ref().unwrap();
        rows += usize::from(by.row.is_some());
        let others: Vec<(&str, f64)> =
            OTHERS.into_iter().filter(|(place, _)| places.iter().any(|p| p == place)).collect();
        let what = |position: &SelectorPosition| format!("{case}: {kind}, {plan:?}, {}", position.name);
        for (at, position) in positions.iter().enumerate() {
            let heard = by.heard.contains(&position.name);
            let mode = modes.iter().find(|one| one.mode == plan.modes[at]).unwrap();
            if heard {
                assert_eq!(wiring.positions[at].mode.as_ref(), Some(&plan.modes[at]), "{}", what(position));
            }
            // Each coil, and each other pickup that is heard.
            let coils = pickup
                .coils
                .iter()
                .filter(|_| heard)
                .map(|coil| ["plus", "minus"].map(|end| format!("{}{end}", coil.name.letter())));
            let beside = others.iter().filter(|(place, _)| position.places.iter().any(|p| p == place));
            let beside = beside.map(|(place, _)| ["hot", "cold"].map(|end| format!("{end}{place}")));
            let sources: Vec<[String; 2]> = coils.chain(beside).collect();
            for across in [["out".to_owned(), "foot".to_owned()]].into_iter().chain(sources) {
                let [a, b] = &across;
                deck.pickup(&pickup, &wiring, at, &COILS);
                soldered(&mut deck, &wiring, &positions, at, &others);
                deck.joint("ground", "foot");
                deck.ask_across(["out", "foot"], [a, b]);
                joined_as_promised(&mut deck, &pickup, mode, plan.turned, &COILS);
                promised(&mut deck, by, position, &others);
                deck.ask_across(["out", "foot"], [a, b]);
                pairs.push(format!("{}, across {a} and {b}", what(position)));
                jacks.push(false);
            }
        }
        let controls = Controls { volume: Some(Ohms(VOLUME)), ..Controls::default() };
        let path = SignalPath::new(&controls, &VolumeLayout::Shared {}, Selector::usual(&places).as_ref(), &places)
            .with(Some(by));
        let staying: Vec<Staying> = others.iter().map(|(place, ohms)| stays(place, *ohms)).collect();
        let install = JackCase {
            pickup: &pickup,
            measured: &[],
            tapped: false,
            place: "bridge",
            wiring: &wiring,
            path: &path,
            staying: &staying,
            meter: &Meter::plain(),
            room: None,
        };
        for reading in jack_readings(&install) {
            let at = positions.iter().position(|position| position.name == reading.set.selector).unwrap();
            deck.pickup(&pickup, &wiring, at, &COILS);
            soldered(&mut deck, &wiring, &positions, at, &others);
            deck.resistor("out", "ground", VOLUME);
            deck.joint("tip", if reading.set.volumes == (Volumes::Zero {}) { "ground" } else { "out" });
            deck.ask("tip", "ground");
            ours.push((format!("{}, {}", what(&positions[at]), reading.words), reading.nominal.map(|ohms| ohms.0)));
            jacks.push(true);
        }
    }
    let mut solved = deck.solve().into_iter();
    let (mut pairs, mut ours) = (pairs.into_iter(), ours.into_iter());
    let mut readings = 0;
    for jack in jacks {
        if jack {
            let ((what, ohms), spice) = (ours.next().unwrap(), solved.next().unwrap());
            readings += 1;
            assert_eq!(apart(ohms, spice), None, "{what}");
        } else {
            let (what, told, promised) = (pairs.next().unwrap(), solved.next().unwrap(), solved.next().unwrap());
            // Milliohms of joints, and microvolts by what only leaks to ground.
            assert!((told - promised).abs() < 1e-4 * promised.abs() + 2.0, "{what}: {told}, promised {promised}");
        }
    }
    println!("{wired} selectors wired, {not} not, {rows} with a row; {readings} readings");
    assert!(wired > 60 && rows > 30 && readings > 300, "{wired} {rows} {readings}");
}
