//! Leads in the terminals of a rig.

use solderlast_core::physics::leads::{HookupMap, Phase, as_hooked_up, hookup};
use solderlast_core::physics::meter::Joined;
use solderlast_core::record::leads::{Contact, LeadName};
use solderlast_core::record::pickup::{Construction, Pickup};
use solderlast_core::record::rig::Rig;
use solderlast_testkit::by_chance;

use super::own::{self, Heard};
use super::{chance, rounds};
use solderlast_core::record::pickup::ShieldKind;
use solderlast_core::record::rig::SwitchPosition;

/// What one position of a rig's switch does with leads in terminals.
struct Position {
    heard: Heard,
    /// For each lead that something hangs on, whether it is at the sleeve.
    at_sleeve: Vec<bool>,
    /// Whether a wire joins both ends of a part of a tapped winding, which dulls what is left of it.
    shorted: bool,
}

fn ohms(pickup: &Pickup) -> Option<Vec<f64>> {
    pickup.coils.iter().map(|coil| coil.stated.map(|ohms| ohms.0)).collect()
}

/// The leads that shield or frame hang on.
fn bound(pickup: &Pickup) -> Vec<LeadName> {
    let shield = if pickup.shield.kind == ShieldKind::None { &None } else { &pickup.shield.joined_to };
    shield.iter().chain(&pickup.frame_joined_to).cloned().collect()
}

fn positions(pickup: &Pickup, rig: &Rig, joined: &[Joined]) -> Vec<Position> {
    let (mut contacts, first) = own::inside(pickup, rig.terminals.len());
    for here in joined {
        for lead in here.leads.iter().filter_map(|name| own::lead(pickup, name)) {
            contacts.join(lead, first + usize::from(here.terminal));
        }
    }
    let known = ohms(pickup);
    let even = vec![1000.0; pickup.coils.len()];
    let one = |position: &SwitchPosition| {
        let mut contacts = contacts.clone();
        for bond in &position.bonds {
            bond.windows(2).for_each(|pair| contacts.join(first + usize::from(pair[0]), first + usize::from(pair[1])));
        }
        let [ground, tip] = position.output.map(|terminal| first + usize::from(terminal));
        let through = own::currents(pickup, &contacts, tip, ground, known.as_ref().unwrap_or(&even));
        let through = through.map_or_else(|| vec![0.0; pickup.coils.len()], |(through, _)| through);
        Position {
            heard: own::heard(pickup, &through, known.as_deref()),
            at_sleeve: bound(pickup)
                .iter()
                .filter_map(|lead| own::lead(pickup, lead))
                .map(|lead| contacts.together(lead, ground))
                .collect(),
            shorted: pickup.construction == Construction::TappedCoil
                && (0..pickup.coils.len()).any(|coil| contacts.together(2 * coil, 2 * coil + 1)),
        }
    };
    rig.positions.iter().map(one).collect()
}

fn agree(pickup: &Pickup, rig: &Rig, joined: &[Joined], map: &HookupMap, round: u64) {
    for (mode, right) in map.modes.iter().zip(positions(pickup, rig, joined)) {
        let heard = &right.heard;
        assert_eq!(
            (&mode.hears, mode.strings),
            (&heard.coils, heard.strings),
            "{round}: {mode:?}\n{pickup:#?}\n{joined:?}"
        );
        match (mode.hum_left, heard.left()) {
            (Some(one), Some(other)) => {
                assert!((one - other).abs() < 1e-6, "{round}: {mode:?} {other}\n{pickup:#?}\n{joined:?}")
            }
            (one, other) => assert_eq!(one, other, "{round}: {mode:?}\n{pickup:#?}\n{joined:?}"),
        }
        assert_eq!(mode.cancels_hum, mode.hum_left.map(|left| left <= 0.25), "{round}: {mode:?}");
        let grounded = (!right.at_sleeve.is_empty()).then(|| right.at_sleeve.iter().all(|at| *at));
        assert_eq!(mode.grounded, grounded, "{round}: {mode:?}\n{pickup:#?}\n{joined:?}");
        // Strings and hum are told apart.
        let said = &mode.sentence;
        assert_eq!(mode.strings == Phase::OutOfPhase, said.contains("thin and weak"), "{said}");
        assert_eq!(right.shorted && mode.strings != Phase::Silent, said.contains("shorted"), "{said}");
        if mode.strings != Phase::Silent {
            assert_eq!(mode.hum_left.is_none(), said.contains("hum not known"), "{said}");
            let partly = mode.hum_left.is_some_and(|left| (0.005..0.9).contains(&left));
            assert_eq!(partly, said.contains("% of it is left"), "{said}");
        }
    }
}

/// Leads put in anyhow: what each mode does is what the currents say.
#[test]
fn leads_anyhow_do_what_the_currents_say() {
    let mut chance = chance(1);
    for round in 0..rounds(6000) {
        let (pickup, rig) = (by_chance::pickup(&mut chance), by_chance::rig(&mut chance));
        let joined = by_chance::anyhow(&mut chance, &pickup, &rig);
        if joined.is_empty() {
            continue;
        }
        agree(&pickup, &rig, &joined, &as_hooked_up(&pickup, &rig, &joined, &[]), round);
    }
}

/// The weightiest first: coils heard, hum cancelled where one magnet serves all, ground.
fn worth(pickup: &Pickup, positions: &[Position]) -> [i32; 3] {
    let mut worth = [0; 3];
    for position in positions {
        worth[0] += match position.heard.strings {
            Phase::Silent => -1,
            Phase::OutOfPhase => -3,
            Phase::OneCoil | Phase::InPhase if position.shorted => -1,
            Phase::OneCoil | Phase::InPhase => position.heard.coils.len() as i32,
        };
        if position.heard.strings == Phase::Silent {
            continue;
        }
        let cancels = position.heard.left().is_some_and(|left| left < 0.5);
        worth[1] += i32::from(own::one_magnet(pickup) && position.heard.coils.len() > 1 && cancels);
        worth[2] += position.at_sleeve.iter().filter(|at| **at).count() as i32;
    }
    worth
}

/// Every way to give each lead a terminal of its own.
fn ways(leads: usize, terminals: usize) -> Vec<Vec<usize>> {
    let mut ways: Vec<Vec<usize>> = vec![Vec::new()];
    for _ in 0..leads {
        ways = ways
            .iter()
            .flat_map(|way| {
                (0..terminals).filter(|at| !way.contains(at)).map(move |at| [way.clone(), vec![at]].concat())
            })
            .collect();
    }
    ways
}

/// No other way to put the leads in sounds better, or sounds as well and has shield and frame at ground more often.
#[test]
fn no_other_way_is_better_and_a_shield_on_a_lead_decides_the_ground() {
    let mut chance = chance(2);
    let mut decided = 0;
    for round in 0..rounds(400) {
        let (mut pickup, rig) = (by_chance::pickup(&mut chance), by_chance::rig(&mut chance));
        // Weights would tell hum apart that is taken to be alike before anything is measured.
        pickup.coils.iter_mut().for_each(|coil| coil.stated = None);
        let map = hookup(&pickup, &rig);
        agree(&pickup, &rig, &map.joined(), &map, round);
        let empty = map.places.iter().any(|place| place.leads.is_empty());
        assert!(map.left_off.is_empty() || !empty, "{round}: {map:#?}");
        let mine = worth(&pickup, &positions(&pickup, &rig, &map.joined()));
        let all = ways(pickup.leads.len(), rig.terminals.len());
        if all.is_empty() || all.len() > 130 {
            continue;
        }
        // Where every mode sounds, no hum adds round one magnet and all is at ground, the rig's own order stands.
        let whole = map.modes.iter().all(|mode| {
            let adds = own::one_magnet(&pickup) && mode.hears.len() > 1 && mode.hum_left.is_none_or(|left| left >= 0.5);
            matches!(mode.strings, Phase::OneCoil | Phase::InPhase) && !adds && mode.grounded != Some(false)
        });
        for way in all {
            let joined: Vec<Joined> = way
                .iter()
                .zip(&pickup.leads)
                .map(|(at, lead)| Joined { terminal: *at as u8, leads: vec![lead.name.clone().into()] })
                .collect();
            let other = worth(&pickup, &positions(&pickup, &rig, &joined));
            assert!(
                whole || other <= mine,
                "{round}: {other:?} beats {mine:?} by {joined:?}\n{pickup:#?}\n{rig:#?}\n{map:#?}"
            );
        }
        decided += usize::from(!bound(&pickup).is_empty() && mine[2] > 0);
        // Where it can't be at ground it is said before anything is clamped, and for the install.
        let told = map.ground.join(" ");
        for mode in map.modes.iter().filter(|mode| mode.grounded == Some(false) && mode.strings != Phase::Silent) {
            assert!(told.contains("not at ground in") && told.contains(&mode.mode.0), "{round}: {mode:?} {told}");
            let line = map.install.iter().find(|line| line.starts_with(&mode.mode.0)).map_or("", String::as_str);
            assert!(line.contains("live here"), "{line}");
        }
    }
    assert!(decided > 50, "{decided}");
}

/// “Exchange these” mends it, and “joined so inside” is said of nothing that any hookup could mend.
#[test]
fn what_is_said_to_mend_it_mends_it() {
    let mut chance = chance(3);
    let (mut exchanged, mut inside) = (0, 0);
    for round in 0..rounds(6000) {
        let (pickup, rig) = (by_chance::pickup(&mut chance), by_chance::rig(&mut chance));
        let joined = by_chance::anyhow(&mut chance, &pickup, &rig);
        if joined.is_empty() {
            continue;
        }
        let map = as_hooked_up(&pickup, &rig, &joined, &[]);
        let Some(at) = map.sentence.find("Out of phase in ") else { continue };
        // What is said of hum comes after.
        let said = map.sentence[at..].split_once(". ").map_or(&map.sentence[at..], |(first, _)| first);
        let out = |map: &HookupMap| map.modes.iter().filter(|mode| mode.strings == Phase::OutOfPhase).count();
        let swapped = |one: &str, other: &str| -> HookupMap {
            let joined: Vec<Joined> = joined
                .iter()
                .map(|here| Joined {
                    terminal: here.terminal,
                    leads: here
                        .leads
                        .iter()
                        .map(|lead| match lead.as_str() {
                            lead if lead == one => other.into(),
                            lead if lead == other => one.into(),
                            lead => lead.into(),
                        })
                        .collect(),
                })
                .collect();
            as_hooked_up(&pickup, &rig, &joined, &[])
        };
        let placed: Vec<&str> = joined.iter().flat_map(|here| here.leads.iter().map(Contact::as_str)).collect();
        if said.contains("exchange ") {
            let named: Vec<&str> = placed.iter().copied().filter(|lead| said.contains(lead)).collect();
            assert_eq!(named.len(), 2, "{round}: {said}");
            assert_eq!(out(&swapped(named[0], named[1])), 0, "{round}: {said}\n{pickup:#?}\n{joined:?}");
            exchanged += 1;
        } else if said.contains("joined so inside") {
            let free = pickup.joined_inside.is_empty() && pickup.leads.iter().all(|lead| lead.ends.len() < 2);
            assert!(!free, "{round}: {said}\n{pickup:#?}");
            inside += 1;
            for (at, one) in placed.iter().enumerate() {
                for other in &placed[at + 1..] {
                    let after = swapped(one, other);
                    let hears = |map: &HookupMap| map.modes.iter().map(|mode| mode.hears.len()).collect::<Vec<_>>();
                    let kept = hears(&map).iter().zip(hears(&after)).all(|(before, after)| after >= *before);
                    assert!(out(&after) > 0 || !kept, "{round}: {one} and {other} would mend it: {said}\n{pickup:#?}");
                }
            }
        }
    }
    assert!(exchanged > 5 && inside > 2, "{exchanged} {inside}");
}
