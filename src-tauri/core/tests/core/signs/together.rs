//! A new pickup beside one that stays.

use solderlast_core::physics::leads::hookup;
use solderlast_core::physics::wiring::{
    JackCase, ModeWiring, SignalPath, Staying, WiringKind, mode_wirings, phase_and_hum, wire_in,
};
use solderlast_core::record::claim::Meter;
use solderlast_core::record::contacts::ModeSwitch;
use solderlast_core::record::controls::{Selector, VolumeLayout};
use solderlast_core::record::guitar::{Controls, Hand};
use solderlast_core::record::leads::Swing;
use solderlast_core::record::pickup::{Pickup, Polarity};
use solderlast_core::record::quantity::Ohms;
use solderlast_core::record::wiring::{BySelector, InRow, Plan};
use solderlast_testkit::by_chance;

use super::own::{self, Heard};
use super::{chance, rounds};

/// A pickup with its leads joined like this, and what it reads; nothing where it is silent.
fn wired(pickup: &Pickup, wiring: &ModeWiring, turned: bool) -> Option<(Heard, Option<f64>)> {
    let (mut contacts, first) = own::inside(pickup, 2);
    let (hot, ground) = if turned { (first + 1, first) } else { (first, first + 1) };
    for (leads, to) in [(&wiring.hot, hot), (&wiring.ground, ground)] {
        leads.iter().filter_map(|name| own::lead(pickup, name)).for_each(|lead| contacts.join(lead, to));
    }
    for set in &wiring.joined {
        let leads: Vec<usize> = set.iter().filter_map(|name| own::lead(pickup, name)).collect();
        leads.windows(2).for_each(|pair| contacts.join(pair[0], pair[1]));
    }
    let ohms: Option<Vec<f64>> = pickup.coils.iter().map(|coil| coil.stated.map(|ohms| ohms.0)).collect();
    let even = vec![1.0; pickup.coils.len()];
    let (through, reads) = own::currents(pickup, &contacts, first, first + 1, ohms.as_ref().unwrap_or(&even))?;
    let heard = own::heard(pickup, &through, ohms.as_deref());
    (!heard.coils.is_empty()).then_some((heard, ohms.map(|_| reads)))
}

/// What is left of the hum of two in parallel, each a source behind what it reads; in a row each counts whole.
fn left(
    new: [(f64, f64); 2],
    new_ohms: Option<f64>,
    other: [(f64, f64); 2],
    other_ohms: Option<f64>,
    sense: f64,
    in_row: bool,
) -> f64 {
    let both = new_ohms.zip(other_ohms);
    let (one, two) = both.filter(|_| !in_row).map_or((1.0, 1.0), |(one, two)| (1.0 / one, 1.0 / two));
    let of = |at: usize| {
        let at = if both.is_some() { at } else { 1 };
        let (a, b) = (new[at], other[at]);
        (a.0 * one + sense * b.0 * two).abs() / (a.1 * one + b.1 * two)
    };
    of(0).max(of(1)).min(1.0)
}

/// One coil at the neck, known by tap, compass and what it reads, beside whatever is new at the bridge. Which hand the guitar is
/// for changes nothing in it.
#[test]
fn phase_and_hum_beside_one_coil_that_stays() {
    let mut chance = chance(21);
    let (mut partly, mut out, mut cancelled, mut rows) = (0, 0, 0, 0);
    for round in 0..rounds(600) {
        let (pickup, rig) = (by_chance::pickup(&mut chance), by_chance::rig(&mut chance));
        let _ = chance.of(&[Hand::Left, Hand::Right]);
        if pickup.leads.len() > 6 {
            continue;
        }
        let on_rig = mode_wirings(&pickup, &rig, &hookup(&pickup, &rig).joined());
        let mode = chance.of(&on_rig).mode;
        let wiring = on_rig.iter().find(|wiring| wiring.mode == mode).expect("it is one of them");
        let mut plan = Plan { modes: vec![mode.clone()], switch: None, turned: chance.flip(), selector: None };
        let places = ["neck", "bridge"].map(str::to_owned);
        let selector = Selector::usual(&places);
        // Half of them in a row, whichever stands on the other.
        let in_row = pickup.leads.len() < 6 && chance.flip();
        if in_row {
            let positions = &selector.as_ref().expect("two places have one").positions;
            let names: Vec<String> = positions.iter().map(|position| position.name.clone()).collect();
            let [upper, lower] = if chance.flip() { ["neck", "bridge"] } else { ["bridge", "neck"] }.map(str::to_owned);
            plan.modes = vec![mode.clone(); 3];
            plan.selector = Some(BySelector {
                heard: names[1..].to_vec(),
                row: Some(InRow { position: names[1].clone(), upper, lower }),
            });
            plan.switch = ModeSwitch::poles(&names).pop();
        }
        let path = selector.as_ref().map(|selector| selector.positions.clone()).unwrap_or_default();
        let planned = wire_in(&pickup, &on_rig, &plan, ("bridge", &path));
        let Some((new, new_ohms)) = wired(&pickup, wiring, plan.turned) else { continue };
        assert_eq!(planned.kind, WiringKind::Wired, "{round}");
        let tap = chance.of(&[Some(Swing::Up), Some(Swing::Down), Some(Swing::UpSmall), Some(Swing::Nothing), None]);
        let up = chance.of(&[Some(Polarity::North), Some(Polarity::South), None]);
        let reads = chance.of(&[Some(3000.0), Some(5600.0), Some(7200.0), Some(14_000.0), None]);
        let humless = chance.below(5) == 0;
        let neck = Staying {
            place: "neck".to_owned(),
            label: String::new(),
            pickup: None,
            measured: Vec::new(),
            wired: None,
            tapped: false,
            reads: reads.map(Ohms),
            reads_between: None,
            tap,
            magnet_up: up.filter(|_| !humless),
            cancels_hum: humless.then_some(true),
        };
        let controls = Controls { volume: Some(Ohms(500e3)), ..Controls::default() };
        let path = SignalPath::new(&controls, &VolumeLayout::Shared {}, selector.as_ref(), &places)
            .with(plan.selector.as_ref());
        let install = JackCase {
            pickup: &pickup,
            measured: &[],
            tapped: true,
            place: "bridge",
            wiring: &planned,
            path: &path,
            staying: &[neck],
            meter: &Meter::plain(),
            room: None,
        };
        let found = phase_and_hum(&install).pairs.swap_remove(0);
        let swings = tap.and_then(|tap| match tap {
            Swing::Up | Swing::UpSmall => Some(true),
            Swing::Down | Swing::DownSmall => Some(false),
            Swing::Nothing => None,
        });
        assert_eq!(
            found.in_phase,
            new.plus.zip(swings).map(|(one, other)| one == other),
            "{round}: {found:?}\n{pickup:#?}"
        );
        // By the sign of its swing times that of its magnet.
        let whole = reads.unwrap_or(1.0);
        let sign = |yes: bool| if yes { 1.0 } else { -1.0 };
        let other = if humless {
            Some([(0.0, reads.unwrap_or(2.0)), (0.0, 2.0)])
        } else {
            swings.zip(up).map(|(swings, up)| {
                let sense = sign(swings) * sign(up == Polarity::North);
                [(sense * whole, whole), (sense, 1.0)]
            })
        };
        let pole_known =
            pickup.coils.iter().filter(|coil| new.coils.contains(&coil.name)).all(|coil| coil.magnet_up.is_some());
        let expected = new.hum.zip(other).and_then(|(new_hum, other)| {
            let [one, two] = [1.0, -1.0].map(|sense| left(new_hum, new_ohms, other, reads, sense, in_row));
            if swings.is_some() && pole_known {
                Some(one)
            } else {
                ((one - two).abs() < 1e-9 || (one <= 0.25) == (two <= 0.25)).then_some(one.max(two))
            }
        });
        match (found.hum_left, expected) {
            (Some(one), Some(other)) => assert!((one - other).abs() < 1e-6, "{round}: {found:?} {other}\n{pickup:#?}"),
            (one, other) => assert_eq!(one, other, "{round}: {found:?}\n{pickup:#?}"),
        }
        assert_eq!(found.cancels_hum, found.hum_left.map(|left| left <= 0.25));
        rows += usize::from(in_row);
        partly += usize::from(found.hum_left.is_some_and(|left| (0.005..0.9).contains(&left)));
        cancelled += usize::from(found.cancels_hum == Some(true));
        out += usize::from(found.in_phase == Some(false));
        if let Some(left) = found.hum_left.filter(|left| (0.005..0.9).contains(left)) {
            // Rounded up, under ten to a tenth.
            let told = found.sentence.split_once("up to ").and_then(|(_, rest)| rest.split_once(" % of it is left"));
            let told: f64 = told.and_then(|(share, _)| share.parse().ok()).expect("a share");
            let finest = if left < 0.1 { 0.1 } else { 1.0 };
            let above = told - 100.0 * left;
            assert!((-1e-5..finest).contains(&above) && found.sentence.contains("dB"), "{}", found.sentence);
        }
    }
    assert!(partly > 20 && out > 20 && cancelled > 5 && rows > 50, "{partly} {out} {cancelled} {rows}");
}
