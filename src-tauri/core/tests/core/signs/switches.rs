//! Leads soldered to a mode switch: what each of its positions then gives.

use solderlast_core::physics::leads::hookup;
use solderlast_core::physics::wiring::{ModeWiring, WiringKind, WiringPlan, mode_wirings, wire};
use solderlast_core::record::contacts::ModeSwitch;
use solderlast_core::record::leads::Contact;
use solderlast_core::record::pickup::Pickup;
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_core::record::wiring::Plan;
use solderlast_testkit::by_chance;

use super::own::{self, Contacts};
use super::{chance, rounds};

const OHMS: [f64; 3] = [3100.0, 4700.0, 7900.0];

/// What a pickup gives between hot and ground: its volts at one ampere, and what each coil has in it.
type Gives = Option<(Vec<f64>, f64)>;

fn gives(pickup: &Pickup, contacts: &Contacts, hot: usize, ground: usize) -> Gives {
    own::currents(pickup, contacts, hot, ground, &OHMS)
}

fn same(one: &Gives, other: &Gives) -> bool {
    match (one, other) {
        (Some((a, ohms)), Some((b, others))) => {
            (ohms - others).abs() < 1e-6 * ohms && a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-6)
        }
        (None, None) => true,
        _ => false,
    }
}

/// What a mode gives on the rig, turned round or not, and the leads that are at the hot in it.
fn on_the_rig(pickup: &Pickup, wiring: &ModeWiring, turned: bool) -> Gives {
    let (mut contacts, first) = own::inside(pickup, 2);
    let (hot, ground) = if turned { (first + 1, first) } else { (first, first + 1) };
    for (leads, to) in [(&wiring.hot, hot), (&wiring.ground, ground)] {
        leads.iter().filter_map(|name| own::lead(pickup, name)).for_each(|lead| contacts.join(lead, to));
    }
    for set in &wiring.joined {
        let leads: Vec<usize> = set.iter().filter_map(|name| own::lead(pickup, name)).collect();
        leads.windows(2).for_each(|pair| contacts.join(pair[0], pair[1]));
    }
    gives(pickup, &contacts, first, first + 1)
}

/// What is joined in a position of what is soldered.
fn soldered(pickup: &Pickup, plan: &WiringPlan, position: usize) -> (Contacts, usize) {
    let (mut contacts, first) = own::inside(pickup, plan.points.len());
    for (at, point) in plan.points.iter().enumerate() {
        for name in point.leads.iter().filter(|name| **name != Contact::Shield) {
            let lead = own::lead(pickup, name).expect("every lead of a plan is one of the pickup's");
            contacts.join(lead, first + at);
        }
    }
    for [a, b] in &plan.jumpers {
        contacts.join(first + usize::from(*a), first + usize::from(*b));
    }
    for set in &plan.positions[position].joined {
        set.windows(2).for_each(|pair| contacts.join(first + usize::from(pair[0]), first + usize::from(pair[1])));
    }
    (contacts, first)
}

/// A plan with a mode for each position, by chance and often one of them twice.
#[test]
fn each_position_gives_what_was_asked_for_there_or_it_is_said_that_it_does_not() {
    let mut chance = chance(11);
    let switches = ModeSwitch::ready_made();
    let (mut twice, mut moved, mut grounded) = (0, 0, 0);
    for round in 0..rounds(30) {
        let pickup = by_chance::pickup(&mut chance);
        if pickup.leads.len() > 4 {
            continue;
        }
        let rig = Rig::four_terminal("Bench bridge");
        let on_rig = mode_wirings(&pickup, &rig, &hookup(&pickup, &rig).joined());
        let switch = chance.of(&switches);
        let asked: Vec<Mode> = switch.positions.iter().map(|_| chance.of(&rig.positions).mode).collect();
        twice += usize::from((1..asked.len()).any(|at| asked[..at].contains(&asked[at])));
        let turned = chance.below(4) == 0;
        let plan = Plan { modes: asked.clone(), switch: Some(switch.clone()), turned, selector: None };
        let found = wire(&pickup, &on_rig, &plan);
        let notes = found.notes.join(" ");
        if matches!(found.kind, WiringKind::CantBe | WiringKind::LeadsUnknown) {
            continue;
        }
        for (at, asked) in asked.iter().enumerate() {
            let (contacts, first) = soldered(&pickup, &found, at);
            let here = gives(&pickup, &contacts, first, first + 1);
            if let Some(mode) = &found.positions[at].mode {
                let wiring = on_rig.iter().find(|wiring| wiring.mode == *mode).expect("a mode of the rig");
                let there = on_the_rig(&pickup, wiring, turned);
                assert!(same(&here, &there), "{round}: {mode:?} {here:?} {there:?}\n{found:#?}");
            }
            if found.positions[at].mode.as_ref() != Some(asked) {
                moved += 1;
                assert!(notes.contains(&format!("{} gives ", switch.positions[at].name)), "{round}: {notes}");
                assert!(notes.contains(&format!("not {}", asked.0)), "{round}: {notes}");
            }
            for (_, lead) in pickup.joined_to_leads() {
                let lead_at = own::lead(&pickup, lead).expect("a lead of the pickup");
                let at_ground = contacts.together(lead_at, first + 1);
                grounded += usize::from(at_ground);
                assert!(at_ground || notes.contains(&format!("{lead} is not at ground in")), "{round}: {notes}");
            }
        }
        // Every two pins of a rotary switch are its own, so that it gives anything anywhere.
        if switch.lugs > 6
            && found.kind == WiringKind::Wired
            && asked.iter().all(|mode| !found.not_given.contains(mode))
        {
            assert!(!notes.contains("comes out where you asked"), "{round}: {notes}");
        }
    }
    assert!(twice > 5 && moved > 0 && grounded > 5, "{twice} {moved} {grounded}");
}

/// What is soldered for good has shield and frame at ground wherever the mode lets it, and gives what the rig gave.
#[test]
fn one_mode_for_good_has_what_hangs_on_a_lead_at_ground_where_it_can_be() {
    let mut chance = chance(12);
    let (mut grounded, mut live) = (0, 0);
    for round in 0..rounds(400) {
        let (pickup, rig) = (by_chance::pickup(&mut chance), by_chance::rig(&mut chance));
        if pickup.leads.len() > 6 {
            continue;
        }
        let on_rig = mode_wirings(&pickup, &rig, &by_chance::anyhow(&mut chance, &pickup, &rig));
        let wiring = chance.of(&on_rig);
        let plan = Plan { modes: vec![wiring.mode.clone()], switch: None, turned: chance.flip(), selector: None };
        let found = wire(&pickup, &on_rig, &plan);
        if found.kind != WiringKind::Wired {
            continue;
        }
        let first_of_name = on_rig.iter().find(|other| other.mode == wiring.mode).expect("it is one of them");
        let there = on_the_rig(&pickup, first_of_name, plan.turned);
        let (contacts, first) = soldered(&pickup, &found, 0);
        assert!(same(&gives(&pickup, &contacts, first, first + 1), &there), "{round}: {found:#?}");
        for (_, lead) in pickup.joined_to_leads() {
            let lead_at = own::lead(&pickup, lead).expect("a lead of the pickup");
            let notes = found.notes.join(" ");
            if contacts.together(lead_at, first + 1) {
                grounded += 1;
                assert!(notes.contains(&format!("so {lead} is at ground")), "{round}: {notes}");
            } else {
                live += 1;
                assert!(notes.contains(&format!("{lead} is not at ground")), "{round}: {notes}");
                // Put there all the same, it would change what is heard.
                let mut contacts = contacts.clone();
                contacts.join(lead_at, first + 1);
                let after = gives(&pickup, &contacts, first, first + 1);
                assert!(!same(&after, &there), "{round}: {lead} could be at ground\n{pickup:#?}\n{found:#?}");
            }
        }
    }
    assert!(grounded > 5 && live > 2, "{grounded} {live}");
}
