//! What goes wrong as acts on the circuit and on the looks at it, with how common each is.

use super::{InstallCause, JackProbe, JackTaken};
use crate::install::JackSet;
use crate::install::circuit::{Circuit, GROUND_POINT, HOT_POINT, Knobs, Look, Made, NOWHERE, point};

/// An act on the circuit, or on a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Act {
    Nothing,
    NotMeasured,
    OnPoint { wire: u8, point: u8 },
    Exchange { wire: u8, with: u8 },
    Cold(u8),
    Missing(u8),
    NoTip,
    NoSleeve,
    NoHot,
    Turned,
    JackTurned,
    JackShorted,
    CaseOff(u8),
    Selector { reading: u8, to: u8 },
    Switch { reading: u8, to: u8 },
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
        if !circuit.is_insulated(here) {
            add(Act::Cold(wire), 0.03);
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
    for jumper in 0..circuit.jumpers.len() as u8 {
        add(Act::Missing(jumper), 0.02);
    }
    for act in [Act::NoTip, Act::NoSleeve, Act::NoHot, Act::JackTurned, Act::JackShorted] {
        add(act, 0.01);
    }
    // Where hot and ground have one lead each, turning the pickup round is exchanging these two.
    if !circuit.is_turned_by_two_leads() {
        add(Act::Turned, 0.015);
    }
    for pot in 0..circuit.pots() {
        add(Act::CaseOff(pot), 0.01);
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
    for (reading, taken) in (0_u8..).zip(taken) {
        let JackProbe::Jack { set } = &taken.probe else { continue };
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

fn is_at_full(probe: &JackProbe) -> bool {
    match &probe.set().volumes {
        crate::install::Volumes::Full {} | crate::install::Volumes::ZeroOf { .. } => true,
        crate::install::Volumes::Zero {} | crate::install::Volumes::Half {} => false,
    }
}

/// The circuit with this act on it.
pub(super) fn made(circuit: &Circuit, act: Act) -> Made {
    let mut made = circuit.planned;
    match act {
        Act::OnPoint { wire, point } => made.on[usize::from(wire)] = point,
        Act::Exchange { wire, with } => made.on.swap(usize::from(wire), usize::from(with)),
        Act::Cold(wire) => made.on[usize::from(wire)] = NOWHERE,
        Act::Missing(jumper) => made.missing = Some(jumper),
        Act::NoTip => made.no_tip = true,
        Act::NoSleeve => made.no_sleeve = true,
        Act::NoHot => made.no_hot = true,
        Act::Turned => made.turned = true,
        Act::JackTurned => made.jack_turned = true,
        Act::JackShorted => made.jack_shorted = true,
        Act::CaseOff(pot) => made.case_off |= 1 << pot,
        Act::Backwards(pot) => made.backwards |= 1 << pot,
        Act::Conducts(pot) => made.conducts |= 1 << pot,
        Act::ToGround(at) => made.to_ground = Some(point(at)),
        Act::PlacesExchanged(place) => made.exchanged = Some((0, place)),
        Act::Shares(place) => made.shares = Some(place),
        Act::Dead(coil) => made.broken |= 1 << coil,
        Act::Nothing | Act::NotMeasured | Act::OtherPot(_) => {}
        Act::Selector { .. } | Act::Switch { .. } | Act::NotFull => {}
    }
    made
}

/// How reading number `reading`, meant as this look, was really taken.
pub(super) fn look(act: Act, reading: u8, meant: Look) -> Look {
    let mut look = meant;
    match act {
        Act::Selector { reading: of, to } if of == reading => look.selector = to,
        Act::Switch { reading: of, to } if of == reading => look.switch = to,
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
        Act::Cold(wire) => InstallCause::ColdJoint { lead: lead(wire)?, point: planned(wire)? },
        Act::Missing(jumper) => {
            let [from, to] = *circuit.jumpers.get(usize::from(jumper))?;
            InstallCause::WireOpen { between: [at(from)?, at(to)?] }
        }
        Act::NoTip => {
            InstallCause::WireOpen { between: ["the volume or selector".to_owned(), "the jack's tip".to_owned()] }
        }
        Act::NoSleeve => InstallCause::WireOpen { between: ["ground".to_owned(), "the jack's sleeve".to_owned()] },
        Act::NoHot => InstallCause::WireOpen {
            between: [at(HOT_POINT)?, format!("the {} place's pot or selector lug", place(0)?)],
        },
        Act::Turned => InstallCause::PickupTurned {},
        Act::JackTurned => InstallCause::JackTurned {},
        Act::JackShorted => InstallCause::JackShorted {},
        Act::CaseOff(pot) => InstallCause::CaseNotGrounded { place: circuit.pot_name(pot) },
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
