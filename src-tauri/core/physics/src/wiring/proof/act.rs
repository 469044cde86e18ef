//! What goes wrong as acts on the circuit and on the looks at it, with how common each is.

use super::{InstallCause, JackTaken};
use crate::record::wiring::{JackProbe, JackSet, Volumes};
use crate::wiring::circuit::{Circuit, GROUND_POINT, Joint, Knobs, Look, Made, NOWHERE, SLEEVE, TIP, point};

/// An act on the circuit, or on a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Act {
    Nothing,
    NotMeasured,
    OnPoint {
        wire: u8,
        point: u8,
    },
    Exchange {
        wire: u8,
        with: u8,
    },
    Open(Joint),
    Poor(Joint),
    Turned,
    JackTurned,
    JackShorted,
    /// What hangs on a case without ground, by its place among the circuit's carriers.
    Carries(u8),
    Plugged,
    PluggedFor(u8),
    Selector {
        reading: u8,
        to: u8,
    },
    Switch {
        reading: u8,
        to: u8,
    },
    NotFull,
    Backwards(u8),
    Conducts(u8),
    ToGround(u8),
    OtherPot(u8),
    PlacesExchanged(u8),
    Shares(u8),
    Dead(u8),
}

/// An act and how common it is against nothing being wrong.
///
/// The figures are from memory of a bench, not from a count: a cold joint is commonest, a pair of leads exchanged, a
/// pickup turned round or a selector elsewhere next; the wrong lug and a nicked lead are rare for each single place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Single {
    pub act: Act,
    pub odds: f64,
}

/// Nothing wrong, then every single thing. `taken` are the readings, which may each have been taken otherwise than written.
pub(super) fn singles(circuit: &Circuit, taken: &[JackTaken]) -> Vec<Single> {
    let mut all = vec![Single { act: Act::Nothing, odds: 1.0 }];
    let mut add = |act: Act, odds: f64| all.push(Single { act, odds });
    let on = &circuit.planned.on;
    let wires = circuit.wires.len() as u8;
    let points = circuit.points.len() as u8;
    add(Act::NotMeasured, 0.02);
    for wire in 0..wires {
        let here = on[usize::from(wire)];
        if here == NOWHERE {
            continue;
        }
        if circuit.wires[usize::from(wire)].shield {
            continue;
        }
        for point in (0..points).filter(|point| *point != here && !circuit.is_insulated(*point)) {
            add(Act::OnPoint { wire, point }, 0.003);
        }
        for with in wire + 1..wires {
            let there = on[usize::from(with)];
            if there != NOWHERE && there != here && !circuit.wires[usize::from(with)].shield {
                add(Act::Exchange { wire, with }, 0.008);
            }
        }
    }
    for joint in circuit.joints() {
        let (open, poor) = odds_of(joint);
        add(Act::Open(joint), open);
        add(Act::Poor(joint), poor);
    }
    for carrier in 0..circuit.carriers().len() as u8 {
        add(Act::Carries(carrier), 0.004);
    }
    for act in [Act::JackTurned, Act::JackShorted] {
        add(act, 0.01);
    }
    // Where hot and ground have one lead each, turning the pickup round is exchanging these two.
    if !circuit.is_turned_by_two_leads() {
        add(Act::Turned, 0.015);
    }
    for pot in 0..circuit.pots() {
        add(Act::Backwards(pot), 0.01);
        add(Act::OtherPot(pot), 0.02);
        if circuit.has_tone(pot) {
            add(Act::Conducts(pot), 0.005);
        }
    }
    for at in (0..points).filter(|at| *at != GROUND_POINT && circuit.is_used(*at)) {
        add(Act::ToGround(at), 0.006);
    }
    for place in 1..circuit.places.len() as u8 {
        add(Act::PlacesExchanged(place), 0.01);
        add(Act::Shares(place), 0.005);
    }
    for coil in 0..circuit.coils.len() as u8 {
        add(Act::Dead(coil), 0.01);
    }
    if circuit.pots() > 0 && taken.iter().any(|taken| is_at_full(&taken.probe)) {
        add(Act::NotFull, 0.01);
    }
    if taken.iter().any(|taken| matches!(taken.probe, JackProbe::Jack { .. })) {
        add(Act::Plugged, 0.01);
    }
    for (reading, taken) in (0_u8..).zip(taken) {
        let JackProbe::Jack { set } = &taken.probe else { continue };
        add(Act::PluggedFor(reading), 0.003);
        for (to, (name, _)) in (0_u8..).zip(&circuit.selector) {
            if name != &set.selector {
                add(Act::Selector { reading, to }, 0.008);
            }
        }
        let heard = circuit.hears_new(&set.selector);
        for (to, (name, _)) in (0_u8..).zip(&circuit.switch) {
            if heard && name != &set.switch {
                add(Act::Switch { reading, to }, 0.008);
            }
        }
    }
    all
}

/// How common it is that a joint is open, and that it conducts poorly.
fn odds_of(joint: Joint) -> (f64, f64) {
    match joint {
        Joint::Lead(_) => (0.03, 0.012),
        Joint::Jumper(_) => (0.02, 0.01),
        Joint::Hot | Joint::Tip | Joint::Sleeve | Joint::Earth | Joint::Case(_) => (0.01, 0.006),
        Joint::Lug(_) | Joint::Strings => (0.006, 0.004),
        // Nobody touched it.
        Joint::Stays(_) | Joint::StaysEarth(_) => (0.004, 0.003),
        // Dirt and old grease, or flux that ran in.
        Joint::Selector(_) => (0.004, 0.005),
        Joint::Switch(..) => (0.002, 0.002),
    }
}

fn is_at_full(probe: &JackProbe) -> bool {
    match &probe.set().volumes {
        Volumes::Full {} | Volumes::ZeroOf { .. } => true,
        Volumes::Zero {} | Volumes::Half {} => false,
    }
}

/// The circuit with this act on it.
pub(super) fn made(circuit: &Circuit, act: Act) -> Made {
    let mut made = circuit.planned;
    match act {
        Act::OnPoint { wire, point } => made.on[usize::from(wire)] = point,
        Act::Exchange { wire, with } => made.on.swap(usize::from(wire), usize::from(with)),
        Act::Open(joint) => made.open = Some(joint),
        Act::Poor(joint) => made.poor = Some(joint),
        Act::Turned => made.turned = true,
        Act::JackTurned => made.jack_turned = true,
        Act::JackShorted => made.jack_shorted = true,
        Act::Carries(carrier) => {
            made.carried = circuit.carriers().get(usize::from(carrier)).copied().unwrap_or_default();
        }
        Act::Backwards(pot) => made.backwards |= 1 << pot,
        Act::Conducts(pot) => made.conducts |= 1 << pot,
        Act::ToGround(at) => made.to_ground = Some(point(at)),
        Act::PlacesExchanged(place) => made.exchanged = Some((0, place)),
        Act::Shares(place) => made.shares = Some(place),
        Act::Dead(coil) => made.broken |= 1 << coil,
        Act::Nothing | Act::NotMeasured | Act::OtherPot(_) => {}
        Act::Selector { .. } | Act::Switch { .. } | Act::NotFull | Act::Plugged | Act::PluggedFor(_) => {}
    }
    made
}

/// How reading number `reading`, meant as this look, was really taken.
pub(super) fn look(act: Act, reading: u8, meant: Look) -> Look {
    let mut look = meant;
    match act {
        Act::Selector { reading: of, to } if of == reading => look.selector = to,
        Act::Switch { reading: of, to } if of == reading => look.switch = to,
        // The next reading is asked for with the cable out.
        Act::Plugged => look.plugged = meant.port == (TIP, SLEEVE) && reading != u8::MAX,
        Act::PluggedFor(of) if of == reading => look.plugged = true,
        Act::NotFull => look.not_full = matches!(meant.knobs, Knobs::Full | Knobs::ZeroOf(_)),
        _ => {}
    }
    look
}

/// In the words of the bench; nothing for an act that is none.
pub(super) fn cause(circuit: &Circuit, taken: &[JackTaken], act: Act) -> Option<InstallCause> {
    let lead = |wire: u8| circuit.wires.get(usize::from(wire)).map(|wire| wire.name.clone());
    let at = |point: u8| circuit.points.get(usize::from(point)).cloned();
    let planned = |wire: u8| circuit.planned.on.get(usize::from(wire)).and_then(|point| at(*point));
    let reading = |reading: u8| -> Option<JackSet> { taken.get(usize::from(reading)).map(|t| t.probe.set().clone()) };
    let place = |place: u8| circuit.places.get(usize::from(place)).cloned();
    Some(match act {
        Act::Nothing => return None,
        Act::NotMeasured => InstallCause::NotAsMeasured {},
        Act::OnPoint { wire, point } => {
            InstallCause::WrongPoint { lead: lead(wire)?, meant: planned(wire)?, found: at(point)? }
        }
        Act::Exchange { wire, with } => InstallCause::LeadsExchanged { leads: [lead(wire)?, lead(with)?] },
        Act::Open(Joint::Lead(wire)) => InstallCause::ColdJoint { lead: lead(wire)?, point: planned(wire)? },
        Act::Open(Joint::Case(pot)) => InstallCause::CaseNotGrounded { place: circuit.pot_name(pot) },
        Act::Open(contact) if contact.is_contact() => InstallCause::ContactOpen { between: circuit.joins(contact)? },
        Act::Poor(contact) if contact.is_contact() => InstallCause::PoorContact { between: circuit.joins(contact)? },
        Act::Open(joint) => InstallCause::WireOpen { between: circuit.joins(joint)? },
        Act::Poor(joint) => InstallCause::PoorJoint { between: circuit.joins(joint)? },
        Act::Carries(carrier) => {
            let carried = *circuit.carriers().get(usize::from(carrier))?;
            let place = if carried.cases.count_ones() == 1 { circuit.pot_name(carried.first()) } else { String::new() };
            InstallCause::CaseCarriesGround { place, carries: circuit.carried_in_words(carried) }
        }
        Act::Plugged => InstallCause::PluggedIn {},
        Act::PluggedFor(of) => InstallCause::PluggedInFor { reading: reading(of)? },
        Act::Turned => InstallCause::PickupTurned {},
        Act::JackTurned => InstallCause::JackTurned {},
        Act::JackShorted => InstallCause::JackShorted {},
        Act::Backwards(pot) => InstallCause::VolumeBackwards { place: circuit.pot_name(pot) },
        Act::Conducts(pot) => InstallCause::CapacitorShorted { place: circuit.pot_name(pot) },
        Act::OtherPot(pot) => InstallCause::OtherPot { place: circuit.pot_name(pot) },
        Act::ToGround(point) => InstallCause::TouchesGround { point: at(point)? },
        Act::PlacesExchanged(other) => InstallCause::PlacesExchanged { places: [place(0)?, place(other)?] },
        Act::Shares(other) => InstallCause::SharesLug { place: place(other)? },
        Act::Dead(coil) => InstallCause::DeadCoil { coil: *circuit.coils.get(usize::from(coil))? },
        Act::NotFull => InstallCause::VolumeNotFull {},
        Act::Selector { reading: of, to } => InstallCause::SelectorElsewhere {
            reading: reading(of)?,
            stood: circuit.selector.get(usize::from(to))?.0.clone(),
        },
        Act::Switch { reading: of, to } => InstallCause::SwitchElsewhere {
            reading: reading(of)?,
            stood: circuit.switch.get(usize::from(to))?.0.clone(),
        },
    })
}
