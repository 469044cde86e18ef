//! Leads in the terminals of a rig.

use solderlast_core::physics::leads::{HookupMap, Phase, against, as_hooked_up, hookup};
use solderlast_core::physics::meter::Joined;
use solderlast_core::record::leads::{Contact, LeadName};
use solderlast_core::record::pickup::{Construction, Lead, Pickup};
use solderlast_core::record::rig::Rig;
use solderlast_testkit::{Chance, by_chance, pickups};

use super::own::{self, Heard};
use super::{chance, rounds};
use solderlast_core::record::pickup::ShieldKind;
use solderlast_core::record::rig::{Mode, SwitchPosition};

/// Where this share of the hum is left, no coil catches it against another.
const NOTHING_CANCELLED: f64 = 1.0 - 1e-6;

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
    let frame = pickup.frame_joined_to.as_ref().and_then(|contact| match contact {
        Contact::Shield => shield.clone(),
        Contact::Lead(_) | Contact::Frame => Some(contact.as_str().into()),
    });
    shield.clone().into_iter().chain(frame).collect()
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
        let cancels = position.heard.left().is_some_and(|left| left < NOTHING_CANCELLED);
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
            let adds = own::one_magnet(&pickup)
                && mode.hears.len() > 1
                && mode.hum_left.is_none_or(|left| left >= NOTHING_CANCELLED);
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

/// What one coil is to the strings and to the mains around it, with the sign that a current through it has: of two side by side
/// both hear the strings; of a stack the lower one hardly hears them, and both hum alike.
type Catches = [(f64, f64); 2];

/// What a mode comes to: how many coils are in it, and what is left of strings and of hum, as a share of all there is.
fn comes_to(pickup: &Pickup, rig: &Rig, joined: &[Joined], catches: &Catches) -> Vec<(usize, f64, f64)> {
    let (mut contacts, first) = own::inside(pickup, rig.terminals.len());
    for here in joined {
        for lead in here.leads.iter().filter_map(|name| own::lead(pickup, name)) {
            contacts.join(lead, first + usize::from(here.terminal));
        }
    }
    let one = |position: &SwitchPosition| {
        let mut contacts = contacts.clone();
        for bond in &position.bonds {
            bond.windows(2).for_each(|pair| contacts.join(first + usize::from(pair[0]), first + usize::from(pair[1])));
        }
        let [ground, tip] = position.output.map(|terminal| first + usize::from(terminal));
        let through =
            own::currents(pickup, &contacts, tip, ground, &[1000.0; 2]).map_or(vec![0.0; 2], |(through, _)| through);
        let heard = through.iter().filter(|share| share.abs() > 1e-6).count();
        let left = |of: fn(&(f64, f64)) -> f64| {
            let parts: Vec<f64> = through.iter().zip(catches).map(|(share, coil)| share * of(coil)).collect();
            parts.iter().sum::<f64>().abs() / parts.iter().map(|part| part.abs()).sum::<f64>().max(1e-9)
        };
        (heard, left(|coil| coil.0), left(|coil| coil.1))
    };
    rig.positions.iter().map(one).collect()
}

fn exchanged(joined: &[Joined], one: &str, other: &str) -> Vec<Joined> {
    let of = |lead: &Contact| match lead.as_str() {
        lead if lead == one => other.into(),
        lead if lead == other => one.into(),
        lead => lead.into(),
    };
    joined.iter().map(|here| Joined { terminal: here.terminal, leads: here.leads.iter().map(of).collect() }).collect()
}

fn shuffled<T>(chance: &mut Chance, mut these: Vec<T>) -> Vec<T> {
    for at in (1..these.len()).rev() {
        these.swap(at, chance.below(at + 1));
    }
    these
}

/// Four leads of two coils in any order, in the four terminals in any order: whether coils fight is what their signs add up to,
/// and the two leads that are to be exchanged mend it and make nothing worse. Where it is said that they can't, no two do; and where
/// the rig is blamed, no order of the leads would do.
#[test]
fn coils_that_fight_are_told_by_their_signs_and_mended_by_the_leads_that_are_named() {
    let mut chance = chance(4);
    let rig = Rig::four_terminal("Bench bridge");
    let (mut fought, mut hummed, mut not_by_two) = (0, 0, 0);
    for round in 0..rounds(600) {
        let stacked = chance.flip();
        let construction = if stacked { Construction::Stacked } else { Construction::SideBySide };
        let mut pickup = pickups::pickup(construction, &[None; 2]);
        let ends: Vec<_> = pickup.leads.iter().map(|lead| lead.ends.clone()).collect();
        let ends = shuffled(&mut chance, ends);
        pickup.leads.iter_mut().zip(ends).for_each(|(lead, ends)| lead.ends = ends);
        let names: Vec<&str> = pickups::LEADS.iter().map(|(name, ..)| *name).collect();
        let in_terminals = |names: &[&str]| -> Vec<Joined> {
            (0..).zip(names).map(|(terminal, name)| Joined { terminal, leads: vec![Contact::from(*name)] }).collect()
        };
        let joined = in_terminals(&shuffled(&mut chance, names.clone()));
        let catches = if stacked { [(1.0, 1.0), (0.2, 1.0)] } else { [(1.0, 1.0), (1.0, -1.0)] };
        // Two coils that take half of it from each other, or more.
        let bad = |(heard, strings, hum): &(usize, f64, f64)| {
            *heard > 1 && if stacked { *hum >= NOTHING_CANCELLED } else { *strings < 0.5 }
        };
        let now = comes_to(&pickup, &rig, &joined, &catches);
        let mends = |joined: &[Joined]| {
            let after = comes_to(&pickup, &rig, joined, &catches);
            !after.iter().any(bad) && after.iter().zip(&now).all(|(after, now)| after.0 >= now.0)
        };
        let by_two = || {
            let pairs = (0..names.len()).flat_map(|one| (0..one).map(move |other| (one, other)));
            pairs.map(|(one, other)| exchanged(&joined, names[one], names[other])).any(|joined| mends(&joined))
        };
        let modes = |test: &dyn Fn(&Mode) -> bool| -> Vec<Mode> {
            let of = rig.positions.iter().zip(&now);
            of.filter(|(position, now)| bad(now) && test(&position.mode))
                .map(|(position, _)| position.mode.clone())
                .collect()
        };
        let map = as_hooked_up(&pickup, &rig, &joined, &[]);
        let context = format!("{round}: {}\n{joined:?}\n{pickup:#?}", map.sentence);
        let head = if stacked { "Hum adds in " } else { "Out of phase in " };
        let said =
            map.sentence.split_once(head).map(|(_, rest)| rest.split_once(". ").map_or(rest, |(first, _)| first));
        let all = modes(&|_| true);
        assert_eq!(said.is_some(), !all.is_empty(), "{context}");
        if let Some((named, mend)) = said.and_then(|said| said.split_once(": ")) {
            for position in &rig.positions {
                assert_eq!(named.contains(&position.mode.0), all.contains(&position.mode), "{context}");
            }
            if mend.starts_with("exchange ") {
                let two: Vec<&str> = names.iter().copied().filter(|name| mend.contains(name)).collect();
                assert!(two.len() == 2 && mends(&exchanged(&joined, two[0], two[1])), "{context}");
            } else {
                assert!(!by_two(), "two leads would do: {context}");
                // Every order of four, by three exchanges at most.
                let mut orders = vec![joined.clone()];
                for _ in 0..3 {
                    let more = orders.iter().flat_map(|order| {
                        let pairs = (0..4).flat_map(|one| (0..one).map(move |other| (one, other)));
                        pairs.map(|(one, other)| exchanged(order, names[one], names[other])).collect::<Vec<_>>()
                    });
                    let mut more: Vec<Vec<Joined>> = more.collect();
                    more.retain(|order| !orders.contains(order));
                    more.dedup();
                    orders.extend(more);
                }
                let free = orders.iter().any(|order| !comes_to(&pickup, &rig, order, &catches).iter().any(bad));
                assert_eq!(mend.starts_with("put "), free, "{context}");
                not_by_two += 1;
            }
            if stacked { hummed += 1 } else { fought += 1 }
        }
        // Of some modes, as they are planned for an install.
        let wanted: Vec<Mode> =
            rig.positions.iter().filter(|_| chance.flip()).map(|position| position.mode.clone()).collect();
        let against = against(&pickup, &rig, &joined, &wanted);
        let expected = if stacked { Vec::new() } else { modes(&|mode| wanted.contains(mode)) };
        assert_eq!(against.as_ref().map(|against| against.modes.clone()).unwrap_or_default(), expected, "{context}");
        if let Some(mend) = against.map(|against| against.mend) {
            let two: Vec<&str> = names.iter().copied().filter(|name| mend.contains(name)).collect();
            let exchange = mend.starts_with("Exchange ");
            assert!(!exchange || (two.len() == 2 && mends(&exchanged(&joined, two[0], two[1]))), "{mend} {context}");
            assert_eq!(exchange, by_two(), "{mend} {context}");
        }
    }
    assert!(fought > 20 && hummed > 20, "{fought} {hummed} {not_by_two}");
}

/// A stack whose two plus ends share a lead: in parallel its hum adds and no two leads mend that, but put in as suggested it cancels.
#[test]
fn where_no_two_leads_mend_the_hum_the_terminals_are_named_that_do() {
    let mut pickup = pickups::pickup(Construction::Stacked, &[None; 2]);
    let of_b = pickup.leads.swap_remove(3);
    pickup.leads.pop();
    let chalk = pickups::pickup(Construction::Stacked, &[None; 2]).leads.swap_remove(2).ends;
    pickup.leads[1].ends.extend(of_b.ends);
    pickup.leads.push(Lead { name: "chalk".into(), ends: chalk });
    let rig = Rig::four_terminal("Bench bridge");
    let joined: Vec<Joined> = (0..)
        .zip(["moss", "rust", "chalk"])
        .map(|(terminal, name)| Joined { terminal, leads: vec![Contact::from(name)] })
        .collect();
    let catches = [(1.0, 1.0), (0.2, 1.0)];
    let adds = |joined: &[Joined]| {
        comes_to(&pickup, &rig, joined, &catches).iter().any(|mode| mode.0 > 1 && mode.2 >= NOTHING_CANCELLED)
    };
    assert!(adds(&joined) && !adds(&hookup(&pickup, &rig).joined()));
    let said = as_hooked_up(&pickup, &rig, &joined, &[]).sentence;
    assert!(said.contains("Hum adds in parallel: put ") && !said.contains("joined so inside"), "{said}");
}
