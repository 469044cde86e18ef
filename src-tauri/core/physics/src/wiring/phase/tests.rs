//! Bench cases: what is told of two pickups together.

use super::*;
use crate::leads::{against as leads_against, hookup};
use crate::record::controls::VolumeLayout;
use crate::record::quantity::Ohms;
use crate::record::rig::Rig;
use crate::record::wiring::Plan;
use crate::wiring::invented::{Guitarful, joined, one_coil};
use crate::wiring::{ModeWiring, mode_wirings, wire};

fn guitar(plan: &[&str], turned: bool) -> Guitarful {
    let mut guitar = Guitarful::two_places(VolumeLayout::Shared {});
    guitar.plan =
        Plan { modes: plan.iter().map(|mode| Mode::new(*mode)).collect(), switch: None, turned, selector: None };
    guitar
}

fn found(guitar: &Guitarful) -> PairPhase {
    let wiring = guitar.wiring();
    phase_and_hum(&guitar.install(&wiring)).pairs.swap_remove(0)
}

/// The new pickup has coil A with north up and coil B with south up; hooked up, its signal swings to plus.
#[test]
fn bench_cases() {
    use Polarity::{North, South};
    use Swing::{Down, Nothing, Up};
    for (what, mode, turned, tap, magnet, in_phase, hum) in [
        ("as it should be", "series", false, Some(Up), Some(North), Some(true), Some(false)),
        ("the neck turned", "series", false, Some(Down), Some(North), Some(false), Some(false)),
        ("both turned", "series", true, Some(Down), Some(North), Some(true), Some(false)),
        // Coil A alone is north up: a neck with south up and the same sign is wound the other way.
        ("one coil beside one", "single", false, Some(Up), Some(South), Some(true), Some(true)),
        ("one coil beside one alike", "single", false, Some(Up), Some(North), Some(true), Some(false)),
        ("out of phase but hum gone", "single", false, Some(Down), Some(North), Some(false), Some(true)),
        ("no tap", "series", false, None, Some(North), None, None),
        ("a tap that showed nothing", "series", false, Some(Nothing), Some(North), None, None),
        ("no compass", "single", false, Some(Up), None, Some(true), None),
    ] {
        let mut guitar = guitar(&[mode], turned);
        guitar.staying[0].tap = tap;
        guitar.staying[0].magnet_up = magnet;
        // So that a single coil and the neck weigh the same.
        guitar.staying[0].reads = Some(Ohms(4100.0));
        let pair = found(&guitar);
        assert_eq!((pair.in_phase, pair.cancels_hum), (in_phase, hum), "{what}: {pair:?}");
        assert_eq!(pair.swap.is_some(), in_phase == Some(false), "{what}");
        assert_eq!(pair.settle.is_empty(), in_phase.is_some() && hum.is_some(), "{what}: {:?}", pair.settle);
    }
}

#[test]
fn two_pickups_that_cancel_hum_by_themselves_cancel_it_together() {
    let mut guitar = guitar(&["series"], false);
    guitar.staying[0].cancels_hum = Some(true);
    guitar.staying[0].tap = Some(Swing::Up);
    assert_eq!(found(&guitar).cancels_hum, Some(true));
}

#[test]
fn a_record_whose_leads_were_tapped_needs_no_tap_at_the_jack() {
    let mut guitar = guitar(&["single"], false);
    let neck = &mut guitar.staying[0];
    neck.pickup = Some(one_coil(Some(Polarity::South)));
    neck.reads = Some(Ohms(4100.0));
    let wired = |hot: &str, ground: &str| ModeWiring {
        mode: Mode::new("fitted"),
        ground: vec![ground.into()],
        hot: vec![hot.into()],
        joined: Vec::new(),
        free: Vec::new(),
    };
    neck.wired = Some(wired("fern", "clay"));
    // Told, but never tapped: the one coil still tells nothing.
    assert_eq!((found(&guitar).in_phase, found(&guitar).cancels_hum), (None, None));
    guitar.staying[0].tapped = true;
    let pair = found(&guitar);
    assert_eq!((pair.in_phase, pair.cancels_hum), (Some(true), Some(true)), "{pair:?}");
    guitar.staying[0].wired = Some(wired("clay", "fern"));
    assert_eq!(found(&guitar).in_phase, Some(false));
    // A tap counts before the leads.
    guitar.staying[0].tap = Some(Swing::Up);
    let pair = found(&guitar);
    assert_eq!((pair.in_phase, pair.cancels_hum), (Some(true), Some(true)), "{pair:?}");
}

#[test]
fn leads_to_exchange_and_what_that_does_to_the_shield() {
    let mut guitar = guitar(&["series"], false);
    guitar.staying[0].tap = Some(Swing::Down);
    let swap = found(&guitar).swap.expect("out of phase");
    assert_eq!((swap.can_be, swap.hot, swap.ground), (true, vec!["chalk".into()], vec!["moss".into()]));
    guitar.pickup.shield.joined_to = Some("moss".into());
    let swap = found(&guitar).swap.expect("out of phase");
    assert!(!swap.can_be && swap.sentence.contains("joined to the shield"), "{swap:?}");
}

#[test]
fn a_swing_means_something_only_beside_one_that_was_tapped() {
    let guitar = guitar(&["series"], false);
    let wiring = guitar.wiring();
    let settle = |tapped: bool| {
        let install = JackCase { tapped, ..guitar.install(&wiring) };
        phase_and_hum(&install).pairs.swap_remove(0).settle.join(" ")
    };
    assert!(settle(true).contains("A first swing to plus means in phase"), "{}", settle(true));
    let compared = settle(false);
    assert!(!compared.contains("swing to plus") && compared.contains("the new one and compare"), "{compared}");
}

#[test]
fn what_was_heard_settles_the_phase() {
    let guitar = guitar(&["series"], false);
    let wiring = guitar.wiring();
    let install = guitar.install(&wiring);
    let mut found = phase_and_hum(&install);
    assert_eq!(found.pairs[0].in_phase, None);
    let selector = found.pairs[0].selector.clone();
    assert!(found.sentence.contains("in series mode together with"), "{}", found.sentence);
    assert!(found.pairs[0].sentence.is_empty(), "{:?}", found.pairs[0]);
    found.heard(&install, &selector, false);
    assert_eq!((found.pairs[0].in_phase, found.pairs[0].swap.is_some()), (Some(false), true));
    assert!(found.sentence.starts_with("Out of phase"), "{}", found.sentence);
    found.heard(&install, &selector, true);
    assert_eq!((found.pairs[0].in_phase, found.pairs[0].swap.is_some()), (Some(true), false));
    assert!(!found.pairs[0].settle.iter().any(|line| line.starts_with("Tap")), "{:?}", found.pairs[0].settle);
}

/// While nobody knows which lead is which, nothing says how the pickup meets another that sounds with it.
#[test]
fn beside_another_nothing_is_said_before_the_leads_are_known() {
    let mut guitar = guitar(&["series"], false);
    for lead in &mut guitar.pickup.leads {
        lead.ends.clear();
    }
    let wiring = guitar.wiring();
    let found = phase_and_hum(&guitar.install(&wiring));
    assert!(found.pairs.is_empty() && found.sentence.contains("before its leads are known"), "{found:?}");
}

/// What was tapped is known: nobody is asked to tap it once more.
#[test]
fn coils_that_were_tapped_and_fight_are_said_to() {
    let mut guitar = guitar(&["series"], false);
    let rig = Rig::four_terminal("rig");
    let at = joined(&guitar.pickup, &rig);
    let (slate, chalk) = (guitar.pickup.leads[2].ends.clone(), guitar.pickup.leads[3].ends.clone());
    (guitar.pickup.leads[2].ends, guitar.pickup.leads[3].ends) = (chalk, slate);
    let series = [Mode::new("series")];
    let against = leads_against(&guitar.pickup, &rig, &at, &series).expect("they fight");
    assert_eq!((against.modes.as_slice(), against.mend.contains("slate")), (&series[..], true), "{against:?}");
    assert!(against.mend.starts_with("Exchange ") && against.mend.contains("chalk"), "{against:?}");
    let wiring = wire(&guitar.pickup, &mode_wirings(&guitar.pickup, &rig, &at), &guitar.plan);
    for (tapped, says) in [(true, "Mend that first"), (false, "nobody has tapped them")] {
        let install = JackCase { tapped, ..guitar.install(&wiring) };
        let settle = phase_and_hum(&install).pairs.swap_remove(0).settle.join(" ");
        assert!(settle.contains(says) && !settle.contains("or their polarity"), "{settle}");
    }
    let mended = hookup(&guitar.pickup, &rig).joined();
    assert_eq!(leads_against(&guitar.pickup, &rig, &mended, &series), None);
}

#[test]
fn alone_phase_does_not_matter() {
    let guitar = Guitarful::one_place(Some(250e3));
    let wiring = guitar.wiring();
    let found = phase_and_hum(&guitar.install(&wiring));
    assert!(found.pairs.is_empty() && found.sentence.contains("does not matter"), "{found:?}");
    assert_eq!(found.swing, Some(Swing::Up));
}
