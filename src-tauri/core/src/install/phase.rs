//! Phase and hum of the new pickup beside each one that stays.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::known::{groups_in, staying_does};
use super::wiring::partitions::{Coils, Does, Groups};
use super::{Install, Staying};
use crate::audition::SHIELD;
use crate::leads::Swing;
use crate::pickup::{Coil, CoilName, Construction, Pickup, Polarity, ShieldKind};
use crate::rig::Mode;
use crate::words::capital;

/// How the new pickup meets those that stay.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct PhaseAndHum {
    /// All of it in a sentence.
    pub sentence: String,
    /// The first swing to expect at the jack when steel is pulled off the new pickup, plus probe on the tip.
    pub swing: Option<Swing>,
    /// What the rig's roll did to the sign, in a sentence.
    pub rig: String,
    /// One a selector position with several pickups, a pickup that stays and a mode of the new one.
    pub pairs: Vec<PairPhase>,
}

/// The new pickup beside one that stays.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct PairPhase {
    /// The selector position; empty where there is no selector.
    pub selector: String,
    /// The mode of the new pickup.
    pub mode: Mode,
    /// The place of the other.
    pub other: String,
    /// Whether they are in phase; nothing when it can't be known.
    pub in_phase: Option<bool>,
    /// Whether hum is cancelled in this position; nothing when it can't be known.
    pub cancels_hum: Option<bool>,
    /// What settles what is not known, in sentences.
    pub settle: Vec<String>,
    /// When out of phase: what to exchange.
    pub swap: Option<SwapLeads>,
    /// In words.
    pub sentence: String,
}

/// What to exchange to bring a pickup in phase.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct SwapLeads {
    /// The leads that are at the hot now, and go to ground.
    pub hot: Vec<String>,
    /// The leads that are at ground now, and go to the hot.
    pub ground: Vec<String>,
    /// Whether it can be done with the leads that come out; false where the shield or the cover hangs on one of them.
    pub can_be: bool,
    /// What to do, and what it does to shield and ground, in sentences.
    pub sentence: String,
}

/// Says how the new pickup meets each one that stays, in every selector position that puts out both.
///
/// With the sign s of a coil's signal and the pole m of its magnet, its winding sense is s·m: pickups add for strings when
/// their s agree, and cancel hum when what their windings catch comes to little, each weighed by how low it reads.
#[must_use]
pub fn phase_and_hum(install: &Install) -> PhaseAndHum {
    let new: Vec<(Mode, Heard)> = (0..install.wiring.positions.len())
        .filter_map(|position| {
            let mode = install.wiring.positions.get(position)?.mode.clone()?;
            Some((mode, heard(install.pickup, &groups_in(install, position)?)?))
        })
        .collect();
    let mut pairs = Vec::new();
    for position in &install.path.positions {
        if !position.places.iter().any(|place| place == install.place) {
            continue;
        }
        for staying in install.staying.iter().filter(|staying| position.places.contains(&staying.place)) {
            let other = of_staying(staying);
            for (mode, heard) in &new {
                // A mode that two positions of the switch give is said once.
                let said = |pair: &PairPhase| {
                    pair.selector == position.name && &pair.mode == mode && pair.other == staying.place
                };
                if !pairs.iter().any(said) {
                    pairs.push(pair(install, &position.name, mode, *heard, staying, other));
                }
            }
        }
    }
    PhaseAndHum {
        sentence: summary(&pairs),
        swing: new.first().and_then(|(_, heard)| heard.strings).map(swing),
        rig: "In a rig that hangs the pickup face down the strings swing below its poles, so there its signal had the other \
              sign. This counts with the pickup installed, poles up."
            .to_owned(),
        pairs,
    }
}

impl PhaseAndHum {
    /// Takes in how pickups sounded together in a position of the selector: an ear counts before what records say.
    pub fn heard(&mut self, install: &Install, selector: &str, full: bool) {
        for pair in self.pairs.iter_mut().filter(|pair| pair.selector == selector) {
            if pair.in_phase.is_none() {
                let hum_only = |line: &String| line.contains("compass");
                pair.settle.retain(hum_only);
            }
            pair.in_phase = Some(full);
            pair.swap = (!full).then(|| swap(install, &pair.other));
            let how = if full { "full, so in phase" } else { "thin and weak, so out of phase" };
            pair.sentence = format!("{} beside the {} pickup was heard: {how}.", capital(&pair.mode.0), pair.other);
        }
        self.sentence = summary(&self.pairs);
    }
}

/// The first swing at the jack when steel is pulled off a pickup whose signal has this sign, plus probe on the tip.
fn swing(plus: bool) -> Swing {
    if plus { Swing::Up } else { Swing::Down }
}

/// What a pickup puts out.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Heard {
    /// Whether its signal has the sign of a swing to plus; nothing when that is not known.
    strings: Option<bool>,
    /// What its windings catch of hum, counted in coils; nothing when that is not known.
    hum: Option<f64>,
    /// How many coils catch hum at all.
    coils: f64,
    /// Its resistance, in ohms, where it is known.
    ohms: Option<f64>,
}

/// What a pickup puts out with its leads joined like this; nothing when it is silent.
fn heard(pickup: &Pickup, groups: &Groups) -> Option<Heard> {
    let stated: Option<Vec<f64>> = pickup
        .coils
        .iter()
        .map(|coil| coil.stated.map(|ohms| ohms.0).filter(|ohms| ohms.is_finite() && *ohms > 0.0))
        .collect();
    let even = vec![5000.0; pickup.coils.len()];
    let does = Coils::new(pickup).solve_with(groups, stated.as_ref().unwrap_or(&even))?;
    if does.silent() {
        return None;
    }
    Some(of_shares(pickup, &does, stated.map(|_| does.ohms)))
}

fn of_shares(pickup: &Pickup, does: &Does, ohms: Option<f64>) -> Heard {
    let stacked = pickup.construction == Construction::Stacked;
    let heard: Vec<(&Coil, f64)> =
        pickup.coils.iter().zip(does.shares.iter().copied()).filter(|(_, share)| share.abs() > 1e-6).collect();
    // In a stack the upper coil hears the strings; the lower one is there for the hum.
    let strings: Vec<bool> = heard
        .iter()
        .filter(|(coil, _)| !stacked || coil.name == CoilName::A || heard.len() == 1)
        .map(|(_, share)| *share > 0.0)
        .collect();
    let strings = match strings.as_slice() {
        [first, rest @ ..] if rest.iter().all(|sign| sign == first) => Some(*first),
        _ => None,
    };
    let hum = heard
        .iter()
        .map(|(coil, share)| match coil.magnet_up {
            Some(Polarity::North) => Some(*share),
            Some(Polarity::South) => Some(-share),
            None => None,
        })
        .sum::<Option<f64>>()
        // Coils of a stack share their magnet: whichever way it points, the sum is nothing or it is not.
        .or_else(|| {
            let sum: f64 = heard.iter().map(|(_, share)| share).sum();
            (stacked && sum.abs() < 0.25 * heard.iter().map(|(_, share)| share.abs()).sum::<f64>()).then_some(0.0)
        });
    Heard { strings, hum, coils: heard.iter().map(|(_, share)| share.abs()).sum(), ohms }
}

fn of_staying(staying: &Staying) -> Heard {
    let tapped = match staying.tap {
        Some(Swing::Up | Swing::UpSmall) => Some(true),
        Some(Swing::Down | Swing::DownSmall) => Some(false),
        Some(Swing::Nothing) | None => None,
    };
    let by_leads =
        staying.pickup.as_ref().zip(staying_does(staying)).map(|(pickup, does)| of_shares(pickup, &does, None));
    // What was tapped at the jack counts before what the leads say, and a record that was never tapped says nothing.
    let strings = tapped.or(by_leads.and_then(|heard| heard.strings).filter(|_| staying.tapped));
    let coils = staying.pickup.as_ref().map_or(1, |pickup| pickup.coils.len());
    let stacked = staying.pickup.as_ref().is_some_and(|pickup| pickup.construction == Construction::Stacked);
    let sign = |plus: bool| if plus { 1.0 } else { -1.0 };
    let one_coil = || {
        let north = staying.pole_up()? == Polarity::North;
        // Where a compass finds one pole only, the coils of whatever sits there count as one; but a stack cancels hum.
        let all_alike = staying.magnet_up.is_some() && !stacked;
        (coils == 1 || all_alike).then_some(sign(strings?) * sign(north))
    };
    let hum = match staying.cancels_hum {
        Some(true) => Some(0.0),
        Some(false) | None => one_coil().or_else(|| {
            // A tap against what the leads say turns the whole pickup round.
            let by_leads = by_leads?;
            let turned = strings.zip(by_leads.strings).is_some_and(|(one, other)| one != other);
            by_leads.hum.map(|hum| if turned { -hum } else { hum })
        }),
    };
    Heard {
        strings,
        hum,
        coils: by_leads.map_or(1.0, |heard| heard.coils),
        ohms: staying.reads.map(|ohms| ohms.0).filter(|ohms| ohms.is_finite() && *ohms > 0.0),
    }
}

fn pair(install: &Install, selector: &str, mode: &Mode, new: Heard, staying: &Staying, other: Heard) -> PairPhase {
    let place = &staying.place;
    // What a record says of leads is no tap, so it says nothing beside one.
    let comparable = install.tapped && other.strings.is_some();
    let in_phase = new.strings.zip(other.strings).filter(|_| comparable).map(|(one, other)| one == other);
    // Beside each other each counts by its conductance; where one is not known, they are taken to be alike.
    let (one_weight, other_weight) = match new.ohms.zip(other.ohms) {
        Some((one, other)) => (1.0 / one, 1.0 / other),
        None => (1.0, 1.0),
    };
    let cancels_hum = new.hum.zip(other.hum).and_then(|(one, two)| {
        let cancels = |turned: f64| {
            let caught = (one * one_weight + turned * two * other_weight).abs();
            caught <= 0.25 * (new.coils * one_weight + other.coils * other_weight)
        };
        // Where their senses can't be compared, it is known only if it is the same either way.
        (comparable || cancels(1.0) == cancels(-1.0)).then(|| cancels(1.0))
    });
    let mut settle = Vec::new();
    if new.strings.is_none() {
        settle.push(format!(
            "In {} the coils of the new pickup work against each other, or their sense is not known. Tap each coil and see.",
            mode.0
        ));
    }
    if !install.tapped && new.strings.is_some() && other.strings.is_some() {
        settle.push(
            "The sense of the new pickup's leads stands in its record, but was not tapped. Tap it as well, by “Tap the new \
             pickup”."
                .to_owned(),
        );
    }
    if other.strings.is_none() {
        // What a record says of leads is no tap: only a sense that was tapped can stand for the new one.
        let compare = match new.strings.filter(|_| install.tapped) {
            Some(true) => "A first swing to plus means",
            Some(false) => "A first swing to minus means",
            None => "Do the same with the new one and compare: the same first swing on both means",
        };
        settle.push(format!(
            "Tap the {place} pickup: selector on {place}, meter on DC millivolts, plus probe on the tip of the plug. Lay steel on \
             its poles and pull it off. {compare} in phase with the new one in {}.",
            mode.0
        ));
    }
    if cancels_hum.is_none() {
        if new.hum.is_none() {
            settle.push(
                "Hold a compass over the new pickup's poles and write into its record which pole is up.".to_owned(),
            );
        }
        if other.hum.is_none() && staying.pole_up().is_none() {
            settle
                .push(format!("Hold a compass over the poles of the {place} pickup, and say which faces the strings."));
        }
    }
    let swap = (in_phase == Some(false)).then(|| swap(install, place));
    let phase = match in_phase {
        Some(true) => "in phase",
        Some(false) => "out of phase: thin and weak together",
        None => "phase not known yet",
    };
    let hum = match cancels_hum {
        Some(true) => "hum cancelled together",
        Some(false) => "hum not cancelled together",
        None => "hum not known yet",
    };
    let place_words = if staying.label.is_empty() { String::new() } else { format!(" ({})", staying.label) };
    PairPhase {
        selector: selector.to_owned(),
        sentence: format!("{} beside the {place} pickup{place_words}: {phase}, {hum}.", capital(&mode.0)),
        mode: mode.clone(),
        other: place.clone(),
        in_phase,
        cancels_hum,
        settle,
        swap,
    }
}

/// What to exchange on the new pickup, and what that does to its shield.
fn swap(install: &Install, other: &str) -> SwapLeads {
    let on = |point: usize| -> Vec<String> {
        let leads = install.wiring.points.get(point).map(|point| point.leads.clone()).unwrap_or_default();
        leads.into_iter().filter(|lead| lead != SHIELD).collect()
    };
    let (hot, ground) = (on(0), on(1));
    let by_wire = hot.is_empty() || ground.is_empty();
    let shield = install.pickup.shield.joined_to.clone().filter(|lead| ground.contains(lead));
    let sentence = match &shield {
        Some(lead) => format!(
            "It can't simply be turned: {lead} is joined to its shield or cover inside, and would bring them to the hot. They would \
             hum, and crackle when touched. Part the shield from {lead} first and ground it by a wire of its own, or exchange the \
             two leads of the {other} pickup instead, if its cover allows."
        ),
        None if by_wire => {
            "Exchange the wires that go from the mode switch to the hot and to ground: in “Plan”, tick that hot and \
                            ground change about, and solder by it. A bare shield stays on ground."
                .to_owned()
        }
        None => {
            let shield = match install.pickup.shield.kind {
                ShieldKind::None => "It has no shield; see whether its cover or base hangs on one of them before.",
                ShieldKind::BareWire | ShieldKind::Braid => "The shield stays on ground.",
            };
            format!(
                "Exchange {} (hot now) with {} (ground now): in “Plan”, tick that hot and ground change about, and solder by it. {shield}",
                crate::meter::listed(&hot),
                crate::meter::listed(&ground)
            )
        }
    };
    SwapLeads { can_be: shield.is_none(), hot, ground, sentence }
}

fn summary(pairs: &[PairPhase]) -> String {
    let named = |test: fn(&PairPhase) -> bool| -> Vec<String> {
        let mut words: Vec<String> = Vec::new();
        for pair in pairs.iter().filter(|pair| test(pair)) {
            let word = format!("{} beside {}", pair.mode.0, pair.other);
            if !words.contains(&word) {
                words.push(word);
            }
        }
        words
    };
    if pairs.is_empty() {
        return "No selector position puts it out beside another pickup, so phase does not matter.".to_owned();
    }
    let (out, unknown) = (named(|pair| pair.in_phase == Some(false)), named(|pair| pair.in_phase.is_none()));
    let mut parts = Vec::new();
    if !out.is_empty() {
        parts.push(format!("Out of phase: {}.", crate::meter::listed(&out)));
    }
    if !unknown.is_empty() {
        parts.push(format!(
            "Not known yet: {}. A tap of both settles it, and so does a listen to both once strings are on.",
            crate::meter::listed(&unknown)
        ));
    }
    if parts.is_empty() {
        parts.push("In phase beside every pickup that stays.".to_owned());
    }
    parts.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::install::bench::{Guitarful, one_coil};
    use crate::install::{ModeWiring, Plan, VolumeLayout};

    fn guitar(plan: &[&str], turned: bool) -> Guitarful {
        let mut guitar = Guitarful::two_places(VolumeLayout::Shared {});
        guitar.plan = Plan { modes: plan.iter().map(|mode| Mode::new(*mode)).collect(), switch: None, turned };
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
            guitar.staying[0].reads = Some(crate::quantity::Ohms(4100.0));
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
        neck.reads = Some(crate::quantity::Ohms(4100.0));
        let wired = |hot: &str, ground: &str| ModeWiring {
            mode: Mode::new("fitted"),
            ground: vec![ground.to_owned()],
            hot: vec![hot.to_owned()],
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
        assert_eq!((swap.can_be, swap.hot, swap.ground), (true, vec!["chalk".to_owned()], vec!["moss".to_owned()]));
        guitar.pickup.shield.joined_to = Some("moss".to_owned());
        let swap = found(&guitar).swap.expect("out of phase");
        assert!(!swap.can_be && swap.sentence.contains("joined to its shield"), "{swap:?}");
    }

    #[test]
    fn a_swing_means_something_only_beside_one_that_was_tapped() {
        let guitar = guitar(&["series"], false);
        let wiring = guitar.wiring();
        let settle = |tapped: bool| {
            let install = Install { tapped, ..guitar.install(&wiring) };
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
        found.heard(&install, &selector, false);
        assert_eq!((found.pairs[0].in_phase, found.pairs[0].swap.is_some()), (Some(false), true));
        assert!(found.sentence.starts_with("Out of phase"), "{}", found.sentence);
        found.heard(&install, &selector, true);
        assert_eq!((found.pairs[0].in_phase, found.pairs[0].swap.is_some()), (Some(true), false));
        assert!(!found.pairs[0].settle.iter().any(|line| line.starts_with("Tap")), "{:?}", found.pairs[0].settle);
    }

    #[test]
    fn alone_phase_does_not_matter() {
        let guitar = Guitarful::one_place(Some(250e3));
        let wiring = guitar.wiring();
        let found = phase_and_hum(&guitar.install(&wiring));
        assert!(found.pairs.is_empty() && found.sentence.contains("does not matter"), "{found:?}");
        assert_eq!(found.swing, Some(Swing::Up));
    }
}
