//! Phase and hum of the new pickup beside each one that stays.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::known::{groups_in, groups_of_mode};
use super::soldered::partitions::{Coils, Groups};
use super::{JackCase, Staying, WiringKind};
use crate::leads::{CANCELLED, Hum, Sound, hum_in_words, known_ohms, sound, worse};
use crate::meter::ImpliedCoil;
use crate::record::controls::SelectorPosition;
use crate::record::leads::{Contact, Swing};
use crate::record::pickup::{Construction, Pickup, Polarity, ShieldKind};
use crate::record::rig::Mode;
use crate::record::words::capital;

/// How the new pickup meets those that stay.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
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
#[ts(export_to = "contract/install.ts")]
pub struct PairPhase {
    /// The selector position; empty where there is no selector.
    pub selector: String,
    /// The mode of the new pickup.
    pub mode: Mode,
    /// The place of the other.
    pub other: String,
    /// Whether they are in phase; nothing when it can't be known.
    pub in_phase: Option<bool>,
    /// Whether hum is cancelled in this position, to a quarter or less; nothing when it can't be known.
    pub cancels_hum: Option<bool>,
    /// The share of the hum of both that is left at most, from 0 to 1; nothing when it can't be known.
    pub hum_left: Option<f64>,
    /// What settles what is not known, in sentences.
    pub settle: Vec<String>,
    /// When out of phase: what to exchange.
    pub swap: Option<SwapLeads>,
    /// What is known, in words; empty while nothing is.
    pub sentence: String,
}

/// What to exchange to bring a pickup in phase.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct SwapLeads {
    /// The leads that are at the hot now, and go to ground.
    pub hot: Vec<Contact>,
    /// The leads that are at ground now, and go to the hot.
    pub ground: Vec<Contact>,
    /// Whether it can be done with the leads that come out; false where the shield or the cover hangs on one of them.
    pub can_be: bool,
    /// What to do, and what it does to shield and ground, in sentences.
    pub sentence: String,
}

/// Says how the new pickup meets each one that stays, in every selector position that puts out both.
///
/// With the sign s of a coil's signal and the pole m of its magnet, its winding sense is s·m: pickups add for strings when
/// their s agree, and cancel hum when what their windings catch comes to little. What a winding catches follows its turns, for
/// which its resistance stands in, and beside another each counts by its conductance. Where the resistances come of other wire,
/// turns mislead; so it is worked out for coils of as many turns as well, and the worse of both is said.
#[must_use]
pub fn phase_and_hum(install: &JackCase) -> PhaseAndHum {
    let new: Vec<(&str, Mode, Heard)> = (0..install.wiring.positions.len())
        .filter_map(|at| {
            let position = install.wiring.positions.get(at)?;
            let heard = heard(install.pickup, &groups_in(install, at)?, install.measured)?;
            Some((position.name.as_str(), position.mode.clone()?, heard))
        })
        .collect();
    let by = install.wiring.selector.as_ref();
    let mut pairs = Vec::new();
    for position in &install.path.positions {
        if !position.places.iter().any(|place| place == install.place) {
            continue;
        }
        for staying in install.staying.iter().filter(|staying| position.places.contains(&staying.place)) {
            let other = of_staying(staying);
            let in_row = by.and_then(|by| by.row.as_ref()).is_some_and(|row| row.position == position.name);
            // Where the selector chooses the mode, each position has its own.
            let new = new.iter().filter(|(name, ..)| by.is_none() || *name == position.name);
            for (_, mode, heard) in new {
                // A mode that two positions of the switch give is said once.
                let said = |pair: &PairPhase| {
                    pair.selector == position.name && &pair.mode == mode && pair.other == staying.place
                };
                if !pairs.iter().any(said) {
                    pairs.push(pair(install, (&position.name, in_row), mode, *heard, staying, other));
                }
            }
        }
    }
    PhaseAndHum {
        sentence: summary(install, &pairs),
        swing: new.first().and_then(|(.., heard)| heard.plus).map(swing),
        rig: "In a rig that hangs the pickup face down the strings swing below its poles, so there its signal had the other \
              sign. This counts with the pickup installed, poles up."
            .to_owned(),
        pairs,
    }
}

impl PhaseAndHum {
    /// Takes in how pickups sounded together in a position of the selector: an ear counts before what records say.
    pub fn heard(&mut self, install: &JackCase, selector: &str, full: bool) {
        for pair in self.pairs.iter_mut().filter(|pair| pair.selector == selector) {
            if pair.in_phase.is_none() {
                let hum_only = |line: &String| line.contains("compass");
                pair.settle.retain(hum_only);
            }
            pair.in_phase = Some(full);
            pair.swap = (!full).then(|| swap(install, &pair.other));
            let how = if full { "full, so in phase" } else { "thin and weak, so out of phase" };
            let together = together(install.place, &pair.mode, &pair.other);
            pair.sentence = format!("{} was heard: {how}.", capital(&together));
        }
        self.sentence = summary(install, &self.pairs);
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
    plus: Option<bool>,
    hum: Hum,
    /// Its resistance, in ohms, where it is known.
    ohms: Option<f64>,
}

/// What a pickup puts out with its leads joined like this; nothing when it is silent.
fn heard(pickup: &Pickup, groups: &Groups, measured: &[ImpliedCoil]) -> Option<Heard> {
    let known = known_ohms(pickup, measured);
    let even = vec![1.0; pickup.coils.len()];
    let does = Coils::new(pickup).solve_with(groups, known.as_ref().unwrap_or(&even))?;
    let Sound { plus, hum, .. } = sound(pickup, &does.shares, known.as_deref());
    (!does.silent()).then_some(Heard { plus, hum, ohms: known.map(|_| does.ohms) })
}

/// Which way round a pickup that stays counts against what its leads say; where nothing tells, as they say.
pub(super) fn sign_of(staying: &Staying) -> f64 {
    let by_leads = staying
        .pickup
        .as_ref()
        .zip(staying.wired.as_ref())
        .and_then(|(pickup, wired)| heard(pickup, &groups_of_mode(pickup, wired)?, &staying.measured)?.plus);
    match (of_staying(staying).plus, by_leads) {
        (Some(is), Some(leads)) if is != leads => -1.0,
        (Some(false), None) => -1.0,
        (Some(_) | None, _) => 1.0,
    }
}

fn of_staying(staying: &Staying) -> Heard {
    let tapped = match staying.tap {
        Some(Swing::Up | Swing::UpSmall) => Some(true),
        Some(Swing::Down | Swing::DownSmall) => Some(false),
        Some(Swing::Nothing) | None => None,
    };
    let by_leads = staying
        .pickup
        .as_ref()
        .zip(staying.wired.as_ref())
        .and_then(|(pickup, wired)| heard(pickup, &groups_of_mode(pickup, wired)?, &staying.measured));
    // What was tapped at the jack counts before what the leads say, and a record that was never tapped says nothing.
    let plus = tapped.or(by_leads.and_then(|heard| heard.plus).filter(|_| staying.tapped));
    let reads = staying.reads.map(|ohms| ohms.0).filter(|ohms| ohms.is_finite() && *ohms > 0.0);
    let coils = staying.pickup.as_ref().map_or(1, |pickup| pickup.coils.len());
    let one_coils =
        staying.pickup.as_ref().filter(|_| coils == 1).and_then(|pickup| known_ohms(pickup, &staying.measured));
    let ohms = reads.or(by_leads.and_then(|heard| heard.ohms)).or(one_coils.and_then(|ohms| ohms.first().copied()));
    let stacked = staying.pickup.as_ref().is_some_and(|pickup| pickup.construction == Construction::Stacked);
    // Of a pickup whose leads tell nothing, all coils catch what they would in series.
    let whole = |coils: usize| [ohms.unwrap_or(coils as f64), coils as f64];
    let none = Hum { caught: None, all: whole(coils), sign_known: false };
    let sign = |plus: bool| if plus { 1.0 } else { -1.0 };
    // Where a compass finds one pole only, the coils of whatever sits there count as one; but a stack cancels hum.
    let one_coil = || {
        let all_alike = staying.magnet_up.is_some() && !stacked;
        let north = staying.pole_up().filter(|_| coils == 1 || all_alike)? == Polarity::North;
        let sense = sign(plus?) * sign(north);
        Some(Hum { caught: Some(none.all.map(|all| sense * all)), sign_known: true, ..none })
    };
    let hum = match staying.cancels_hum {
        Some(true) => Hum { caught: Some([0.0; 2]), all: whole(coils.max(2)), sign_known: true },
        Some(false) | None => one_coil()
            .or_else(|| {
                // A tap against what the leads say turns the whole pickup round.
                let by_leads = by_leads?;
                let turned = plus.zip(by_leads.plus).is_some_and(|(one, other)| one != other);
                let caught = by_leads.hum.caught.map(|caught| if turned { caught.map(|hum| -hum) } else { caught });
                Some(Hum { caught, ..by_leads.hum })
            })
            .unwrap_or(none),
    };
    Heard { plus, hum, ohms }
}

/// The share of the hum of two pickups beside each other that is left at most; nothing where it is not known. `comparable` says
/// whether the signs of both can be held against each other.
/// In a row each counts whole; beside each other each by its conductance.
fn left_together(new: Heard, other: Heard, comparable: bool, in_row: bool) -> Option<f64> {
    let (one, two) = (new.hum.caught?, other.hum.caught?);
    // Where one resistance is not known, both are taken to be alike: a coil of the other counts as one of the new pickup.
    let [one_weight, other_weight] = match new.ohms.zip(other.ohms) {
        _ if in_row => [1.0, 1.0],
        Some((one, other)) => [1.0 / one, 1.0 / other],
        None => [1.0, 1.0],
    };
    let alike = new.ohms.is_none() || other.ohms.is_none();
    let models = |of: [f64; 2]| if alike { [of[1], of[1]] } else { of };
    let [one, two, one_all, two_all] = [one, two, new.hum.all, other.hum.all].map(models);
    let all = [0, 1].map(|at: usize| one_all[at] * one_weight + two_all[at] * other_weight);
    if !all.iter().all(|all| *all > 0.0) {
        return None;
    }
    let left = |turned: f64| worse([0, 1].map(|at: usize| one[at] * one_weight + turned * two[at] * other_weight), all);
    let (as_known, other_way) = (left(1.0), left(-1.0));
    // Where their senses can't be compared, it is known only if it is the same either way.
    if comparable && new.hum.sign_known && other.hum.sign_known {
        Some(as_known)
    } else {
        ((as_known - other_way).abs() < 1e-9 || (as_known <= CANCELLED) == (other_way <= CANCELLED))
            .then(|| as_known.max(other_way))
    }
}

fn pair(
    install: &JackCase,
    (selector, in_row): (&str, bool),
    mode: &Mode,
    new: Heard,
    staying: &Staying,
    other: Heard,
) -> PairPhase {
    let place = &staying.place;
    // What a record says of leads is no tap, so it says nothing beside one.
    let comparable = install.tapped && other.plus.is_some();
    let in_phase = new.plus.zip(other.plus).filter(|_| comparable).map(|(one, other)| one == other);
    let hum_left = left_together(new, other, comparable, in_row);
    let cancels_hum = hum_left.map(|left| left <= CANCELLED);
    let mut settle = Vec::new();
    if new.plus.is_none() {
        settle.push(if install.tapped {
            format!("In {} mode the coils of the new pickup work against each other. Mend that first.", mode.0)
        } else {
            format!(
                "By its record the coils of the new pickup work against each other in {} mode, but nobody has tapped them. Tap each \
                 coil and see.",
                mode.0
            )
        });
    }
    if !install.tapped && new.plus.is_some() && other.plus.is_some() {
        settle.push(
            "The polarity of the new pickup's leads is in its record, but was not tapped. Tap it as well, by “Tap the new \
             pickup”."
                .to_owned(),
        );
    }
    if other.plus.is_none() {
        // What a record says of leads is no tap: only a sense that was tapped can stand for the new one.
        let compare = match new.plus.filter(|_| install.tapped) {
            Some(true) => "A first swing to plus means",
            Some(false) => "A first swing to minus means",
            None => "Do the same with the new one and compare: the same first swing on both means",
        };
        settle.push(format!(
            "Tap the {place} pickup: selector on {place}, meter on DC millivolts, plus probe clipped on the tip of the plug, minus on \
             its sleeve. Lay steel on its poles and pull it off. {compare} in phase with the new one in {} mode.",
            mode.0
        ));
    }
    if cancels_hum.is_none() {
        if new.hum.caught.is_none() || !new.hum.sign_known {
            settle.push(
                "Hold a compass over the new pickup's poles and write into its record which pole is up.".to_owned(),
            );
        }
        if other.hum.caught.is_none() && staying.pole_up().is_none() {
            settle
                .push(format!("Hold a compass over the poles of the {place} pickup, and say which faces the strings."));
        }
    }
    let swap = (in_phase == Some(false)).then(|| swap(install, place));
    let phase = match in_phase {
        Some(true) => Some("in phase".to_owned()),
        Some(false) => Some("out of phase: thin and weak together".to_owned()),
        None => None,
    };
    let hum = hum_left.map(|left| format!("together {}", hum_in_words(Some(left))));
    let known: Vec<String> = phase.into_iter().chain(hum).collect();
    let stands = if in_row { "in a row with" } else { "together with" };
    let place_words = if staying.label.is_empty() { String::new() } else { format!(" ({})", staying.label) };
    PairPhase {
        selector: selector.to_owned(),
        sentence: match known.as_slice() {
            [] => String::new(),
            known => format!(
                "{} in {} mode, {stands} the {place} pickup{place_words}: {}.",
                capital(install.place),
                mode.0,
                known.join(", ")
            ),
        },
        mode: mode.clone(),
        other: place.clone(),
        in_phase,
        cancels_hum,
        hum_left,
        settle,
        swap,
    }
}

/// What to exchange on the new pickup, and what that does to its shield.
fn swap(install: &JackCase, other: &str) -> SwapLeads {
    let on = |point: usize| -> Vec<Contact> {
        let leads = install.wiring.points.get(point).map(|point| point.leads.clone()).unwrap_or_default();
        leads.into_iter().filter(|lead| *lead != Contact::Shield).collect()
    };
    let (hot, ground) = (on(0), on(1));
    let by_wire = hot.is_empty() || ground.is_empty();
    let bound =
        install.pickup.joined_to_leads().into_iter().find(|(_, lead)| ground.iter().any(|other| other.is(lead)));
    let sentence = match &bound {
        Some((what, lead)) => format!(
            "It can't simply be turned: {lead} is joined to {what} inside, and would bring it to the hot. It would hum, and crackle \
             when touched. Part {what} from {lead} first and ground it by a wire of its own, or exchange the two leads of the {other} \
             pickup instead, if its cover allows."
        ),
        None if by_wire => {
            "Exchange the wires that go from the mode switch to the hot and to ground: in “Plan”, tick that hot and \
                            ground are swapped, and solder by it. A bare shield stays on ground."
                .to_owned()
        }
        None => {
            let shield = match install.pickup.shield.kind {
                ShieldKind::None => "It has no shield; see whether its cover or base hangs on one of them before.",
                ShieldKind::BareWire | ShieldKind::Braid => "The shield stays on ground.",
            };
            format!(
                "Exchange {} (hot now) with {} (ground now): in “Plan”, tick that hot and ground are swapped, and solder by it. {shield}",
                crate::record::words::listed(&hot),
                crate::record::words::listed(&ground)
            )
        }
    };
    SwapLeads { can_be: bound.is_none(), hot, ground, sentence }
}

/// `bridge in series mode together with neck`: the mode is one pickup's own, and joins it with no other.
fn together(place: &str, mode: &Mode, other: &str) -> String {
    format!("{place} in {} mode together with {other}", mode.0)
}

fn summary(install: &JackCase, pairs: &[PairPhase]) -> String {
    let place = install.place;
    let named = |test: fn(&PairPhase) -> bool| -> Vec<String> {
        let mut words: Vec<String> = Vec::new();
        for pair in pairs.iter().filter(|pair| test(pair)) {
            let word = together(place, &pair.mode, &pair.other);
            if !words.contains(&word) {
                words.push(word);
            }
        }
        words
    };
    if pairs.is_empty() {
        let beside = |position: &SelectorPosition| {
            let stays = |other: &String| install.staying.iter().any(|staying| &staying.place == other);
            position.places.iter().any(|other| other == place) && position.places.iter().any(stays)
        };
        let sentence = match (install.path.positions.iter().any(beside), install.wiring.kind) {
            (false, _) => "No selector position puts it out together with another pickup, so phase does not matter.",
            (true, WiringKind::LeadsUnknown) => {
                "How it meets the pickups that stay can't be said before its leads are known. Find out the leads first."
            }
            (true, WiringKind::Wired | WiringKind::Partly | WiringKind::CantBe) => {
                "How it meets the pickups that stay can't be said: as planned, nothing is heard of it."
            }
        };
        return sentence.to_owned();
    }
    let (out, unknown) = (named(|pair| pair.in_phase == Some(false)), named(|pair| pair.in_phase.is_none()));
    let mut parts = Vec::new();
    if !out.is_empty() {
        parts.push(format!("Out of phase: {}.", crate::record::words::listed(&out)));
    }
    if !unknown.is_empty() {
        parts.push(format!(
            "A tap of both settles the phase of {}, and so does a listen to both once strings are on.",
            crate::record::words::listed(&unknown)
        ));
    }
    if parts.is_empty() {
        parts.push("In phase with every pickup that stays.".to_owned());
    }
    parts.join(" ")
}

#[cfg(test)]
mod tests;
