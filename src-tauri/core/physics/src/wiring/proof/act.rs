//! What goes wrong as acts on the circuit and on the looks at it, with how common each is.

use super::{InstallCause, JackTaken};
use crate::record::wiring::{JackProbe, JackSet, Volumes};
use crate::wiring::circuit::{GROUND_POINT, InstallCircuit, JackLook, Joint, Knobs, Made, NOWHERE, SLEEVE, TIP, point};

/// An act on the circuit, or on a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum InstallMistake {
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
    /// The volume that should be at zero for this reading was not turned down.
    NotTurned(u8),
    Selector {
        reading: u8,
        to: u8,
    },
    Switch {
        reading: u8,
        to: u8,
    },
    /// It stood there for all of these readings, a bit each.
    SelectorLeft {
        to: u8,
        of: u64,
    },
    SwitchLeft {
        to: u8,
        of: u64,
    },
    SwitchExchanged([u8; 2]),
    /// The selector's free pole is wired from its other end.
    PoleMirrored,
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
    pub act: InstallMistake,
    pub odds: f64,
}

/// How a reading stands among the others.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stands {
    /// It is not as it should be, or nobody knows how it should be.
    pub off: bool,
    /// It was asked for once more, with every switch set anew.
    pub again: bool,
}

/// A reading that was asked for once more was hardly taken otherwise than written.
const AGAIN: f64 = 0.1;

/// Nothing wrong, then every single thing. `taken` are the readings, which may each have been taken otherwise than written;
/// `stands` says how each stands.
pub(super) fn singles(circuit: &InstallCircuit, taken: &[JackTaken], stands: &[Stands]) -> Vec<Single> {
    let mut all = vec![Single { act: InstallMistake::Nothing, odds: 1.0 }];
    let mut add = |act: InstallMistake, odds: f64| all.push(Single { act, odds });
    let on = &circuit.planned.on;
    let wires = circuit.wires.len() as u8;
    let points = circuit.points.len() as u8;
    add(InstallMistake::NotMeasured, 0.02);
    for wire in 0..wires {
        let here = on[usize::from(wire)];
        if here == NOWHERE {
            continue;
        }
        if circuit.wires[usize::from(wire)].shield {
            continue;
        }
        for point in (0..points).filter(|point| *point != here && !circuit.is_insulated(*point)) {
            add(InstallMistake::OnPoint { wire, point }, 0.003);
        }
        for with in wire + 1..wires {
            let there = on[usize::from(with)];
            if there != NOWHERE && there != here && !circuit.wires[usize::from(with)].shield {
                add(InstallMistake::Exchange { wire, with }, 0.008);
            }
        }
    }
    for joint in circuit.joints() {
        let (open, poor) = odds_of(joint);
        add(InstallMistake::Open(joint), open);
        add(InstallMistake::Poor(joint), poor);
    }
    for carrier in 0..circuit.carriers().len() as u8 {
        add(InstallMistake::Carries(carrier), 0.004);
    }
    for act in [InstallMistake::JackTurned, InstallMistake::JackShorted] {
        add(act, 0.01);
    }
    // Where hot and ground have one lead each, turning the pickup round is exchanging these two.
    if !circuit.is_turned_by_two_leads() {
        add(InstallMistake::Turned, 0.015);
    }
    for pot in 0..circuit.pots() {
        add(InstallMistake::Backwards(pot), 0.01);
        add(InstallMistake::OtherPot(pot), 0.02);
        if circuit.has_tone(pot) {
            add(InstallMistake::Conducts(pot), 0.005);
        }
    }
    for at in (0..points).filter(|at| *at != GROUND_POINT && circuit.is_used(*at)) {
        add(InstallMistake::ToGround(at), 0.006);
    }
    for place in 1..circuit.places.len() as u8 {
        add(InstallMistake::PlacesExchanged(place), 0.01);
        add(InstallMistake::Shares(place), 0.005);
    }
    for coil in 0..circuit.coils.len() as u8 {
        add(InstallMistake::Dead(coil), 0.01);
    }
    if circuit.pots() > 0 && taken.iter().any(|taken| is_at_full(&taken.probe)) {
        add(InstallMistake::NotFull, 0.01);
    }
    if taken.iter().any(|taken| matches!(taken.probe, JackProbe::Jack { .. })) {
        add(InstallMistake::Plugged, 0.01);
    }
    for (reading, (taken, stands)) in (0_u8..).zip(taken.iter().zip(stands)) {
        let JackProbe::Jack { set } = &taken.probe else { continue };
        let still = if stands.again { AGAIN } else { 1.0 };
        add(InstallMistake::PluggedFor(reading), 0.003 * still);
        if matches!(set.volumes, Volumes::Zero {} | Volumes::ZeroOf { .. }) {
            add(InstallMistake::NotTurned(reading), 0.01 * still);
        }
        for (to, (name, _)) in (0_u8..).zip(&circuit.selector) {
            if name != &set.selector {
                add(InstallMistake::Selector { reading, to }, 0.008 * still);
            }
        }
        let heard = circuit.hears_new(&set.selector);
        for (to, (name, _)) in (0_u8..).zip(circuit.mode_switch()) {
            if heard && name != &set.switch {
                add(InstallMistake::Switch { reading, to }, 0.008 * still);
            }
        }
    }
    if circuit.by_selector && circuit.switch.len() > 1 {
        add(InstallMistake::PoleMirrored, 0.01);
    }
    left_standing(circuit, taken, stands, add);
    all
}

/// A switch that was not moved for several readings, and a mode switch that works the other way round. Which readings were
/// taken so is not guessed at: those that are off, as all others are as they should be.
fn left_standing(
    circuit: &InstallCircuit,
    taken: &[JackTaken],
    stands: &[Stands],
    mut add: impl FnMut(InstallMistake, f64),
) {
    let several = |elsewhere: &dyn Fn(&JackSet) -> bool| {
        let of = (0_u32..64).zip(taken.iter().zip(stands)).fold(0_u64, |of, (reading, (taken, stands))| {
            match &taken.probe {
                JackProbe::Jack { set } if stands.off && !stands.again && elsewhere(set) => of | 1 << reading,
                _ => of,
            }
        });
        (of.count_ones() > 1).then_some(of)
    };
    for (to, (name, _)) in (0_u8..).zip(&circuit.selector) {
        if let Some(of) = several(&|set| name != &set.selector) {
            add(InstallMistake::SelectorLeft { to, of }, 0.004);
        }
    }
    let heard = |set: &JackSet| circuit.hears_new(&set.selector);
    for (to, (name, _)) in (0_u8..).zip(circuit.mode_switch()) {
        if let Some(of) = several(&|set| heard(set) && name != &set.switch) {
            add(InstallMistake::SwitchLeft { to, of }, 0.008);
        }
        for (other, _) in (0_u8..).zip(circuit.mode_switch()).take(usize::from(to)) {
            add(InstallMistake::SwitchExchanged([other, to]), 0.006);
        }
    }
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

/// Whether it is of readings alone: taken with a switch elsewhere, or with the cable in, they are mended by taking them again.
pub(super) fn is_of_readings(act: InstallMistake) -> bool {
    match act {
        InstallMistake::Selector { .. }
        | InstallMistake::Switch { .. }
        | InstallMistake::SelectorLeft { .. }
        | InstallMistake::SwitchLeft { .. }
        | InstallMistake::Plugged
        | InstallMistake::PluggedFor(_)
        | InstallMistake::NotTurned(_) => true,
        InstallMistake::Nothing
        | InstallMistake::NotMeasured
        | InstallMistake::OnPoint { .. }
        | InstallMistake::Exchange { .. }
        | InstallMistake::Open(_)
        | InstallMistake::Poor(_)
        | InstallMistake::Turned
        | InstallMistake::JackTurned
        | InstallMistake::JackShorted
        | InstallMistake::Carries(_)
        | InstallMistake::SwitchExchanged(_)
        | InstallMistake::PoleMirrored
        | InstallMistake::NotFull
        | InstallMistake::Backwards(_)
        | InstallMistake::Conducts(_)
        | InstallMistake::ToGround(_)
        | InstallMistake::OtherPot(_)
        | InstallMistake::PlacesExchanged(_)
        | InstallMistake::Shares(_)
        | InstallMistake::Dead(_) => false,
    }
}

/// The circuit with this act on it.
pub(super) fn made(circuit: &InstallCircuit, act: InstallMistake) -> Made {
    let mut made = circuit.planned;
    match act {
        InstallMistake::OnPoint { wire, point } => made.on[usize::from(wire)] = point,
        InstallMistake::Exchange { wire, with } => made.on.swap(usize::from(wire), usize::from(with)),
        InstallMistake::Open(joint) => made.open = Some(joint),
        InstallMistake::Poor(joint) => made.poor = Some(joint),
        InstallMistake::Turned => made.turned = true,
        InstallMistake::JackTurned => made.jack_turned = true,
        InstallMistake::JackShorted => made.jack_shorted = true,
        InstallMistake::Carries(carrier) => {
            made.carried = circuit.carriers().get(usize::from(carrier)).copied().unwrap_or_default();
        }
        InstallMistake::Backwards(pot) => made.backwards |= 1 << pot,
        InstallMistake::Conducts(pot) => made.conducts |= 1 << pot,
        InstallMistake::ToGround(at) => made.to_ground = Some(point(at)),
        InstallMistake::PlacesExchanged(place) => made.exchanged = Some((0, place)),
        InstallMistake::Shares(place) => made.shares = Some(place),
        InstallMistake::Dead(coil) => made.broken |= 1 << coil,
        InstallMistake::PoleMirrored => made.mirrored = true,
        InstallMistake::Nothing | InstallMistake::NotMeasured | InstallMistake::OtherPot(_) => {}
        InstallMistake::Selector { .. }
        | InstallMistake::Switch { .. }
        | InstallMistake::SelectorLeft { .. }
        | InstallMistake::SwitchLeft { .. }
        | InstallMistake::SwitchExchanged(_)
        | InstallMistake::NotFull
        | InstallMistake::Plugged
        | InstallMistake::PluggedFor(_)
        | InstallMistake::NotTurned(_) => {}
    }
    made
}

/// How reading number `reading`, meant as this look, was really taken.
pub(super) fn look(act: InstallMistake, reading: u8, meant: JackLook) -> JackLook {
    let mut look = meant;
    let among = |of: u64| of.checked_shr(u32::from(reading)).is_some_and(|of| of & 1 == 1);
    match act {
        InstallMistake::Selector { reading: of, to } if of == reading => look.selector = to,
        InstallMistake::Switch { reading: of, to } if of == reading => look.switch = to,
        InstallMistake::SelectorLeft { to, of } if among(of) => look.selector = to,
        InstallMistake::SwitchLeft { to, of } if among(of) => look.switch = to,
        // However often it is set, it works the other way round.
        InstallMistake::SwitchExchanged([a, b]) if look.switch == a => look.switch = b,
        InstallMistake::SwitchExchanged([a, b]) if look.switch == b => look.switch = a,
        // The next reading is asked for with the cable out.
        InstallMistake::Plugged => look.plugged = meant.port == (TIP, SLEEVE) && reading != u8::MAX,
        InstallMistake::PluggedFor(of) if of == reading => look.plugged = true,
        InstallMistake::NotTurned(of) if of == reading => look.knobs = Knobs::Full,
        InstallMistake::NotFull => look.not_full = matches!(meant.knobs, Knobs::Full | Knobs::ZeroOf(_)),
        _ => {}
    }
    look
}

/// In the words of the bench; nothing for an act that is none.
pub(super) fn cause(circuit: &InstallCircuit, taken: &[JackTaken], act: InstallMistake) -> Option<InstallCause> {
    let lead = |wire: u8| circuit.wires.get(usize::from(wire)).map(|wire| wire.name.clone());
    let at = |point: u8| circuit.points.get(usize::from(point)).cloned();
    let planned = |wire: u8| circuit.planned.on.get(usize::from(wire)).and_then(|point| at(*point));
    let reading = |reading: u8| -> Option<JackSet> { taken.get(usize::from(reading)).map(|t| t.probe.set().clone()) };
    let selected = |to: u8| circuit.selector.get(usize::from(to)).map(|(name, _)| name.clone());
    let switched = |to: u8| circuit.switch.get(usize::from(to)).map(|(name, _)| name.clone());
    let place = |place: u8| circuit.places.get(usize::from(place)).cloned();
    Some(match act {
        InstallMistake::Nothing => return None,
        InstallMistake::NotMeasured => InstallCause::NotAsMeasured {},
        InstallMistake::OnPoint { wire, point } => {
            InstallCause::WrongPoint { lead: lead(wire)?, meant: planned(wire)?, found: at(point)? }
        }
        InstallMistake::Exchange { wire, with } => InstallCause::LeadsExchanged { leads: [lead(wire)?, lead(with)?] },
        InstallMistake::Open(Joint::Lead(wire)) => InstallCause::ColdJoint { lead: lead(wire)?, point: planned(wire)? },
        InstallMistake::Open(Joint::Case(pot)) => InstallCause::CaseNotGrounded { place: circuit.pot_name(pot) },
        InstallMistake::Open(contact) if contact.is_contact() => {
            InstallCause::ContactOpen { between: circuit.joins(contact)? }
        }
        InstallMistake::Poor(contact) if contact.is_contact() => {
            InstallCause::PoorContact { between: circuit.joins(contact)? }
        }
        InstallMistake::Open(joint) => InstallCause::WireOpen { between: circuit.joins(joint)? },
        InstallMistake::Poor(joint) => InstallCause::PoorJoint { between: circuit.joins(joint)? },
        InstallMistake::Carries(carrier) => {
            let carried = *circuit.carriers().get(usize::from(carrier))?;
            let place = if carried.cases.count_ones() == 1 { circuit.pot_name(carried.first()) } else { String::new() };
            InstallCause::CaseCarriesGround { place, carries: circuit.carried_in_words(carried) }
        }
        InstallMistake::Plugged => InstallCause::PluggedIn {},
        InstallMistake::PluggedFor(of) => InstallCause::PluggedInFor { reading: reading(of)? },
        InstallMistake::NotTurned(of) => InstallCause::VolumeNotAtZero { reading: reading(of)? },
        InstallMistake::Turned => InstallCause::PickupTurned {},
        InstallMistake::JackTurned => InstallCause::JackTurned {},
        InstallMistake::JackShorted => InstallCause::JackShorted {},
        InstallMistake::Backwards(pot) => InstallCause::VolumeBackwards { place: circuit.pot_name(pot) },
        InstallMistake::Conducts(pot) => InstallCause::CapacitorShorted { place: circuit.pot_name(pot) },
        InstallMistake::OtherPot(pot) => InstallCause::OtherPot { place: circuit.pot_name(pot) },
        InstallMistake::ToGround(point) => InstallCause::TouchesGround { point: at(point)? },
        InstallMistake::PlacesExchanged(other) => InstallCause::PlacesExchanged { places: [place(0)?, place(other)?] },
        InstallMistake::Shares(other) => InstallCause::SharesLug { place: place(other)? },
        InstallMistake::Dead(coil) => InstallCause::DeadCoil { coil: *circuit.coils.get(usize::from(coil))? },
        InstallMistake::NotFull => InstallCause::VolumeNotFull {},
        InstallMistake::PoleMirrored => InstallCause::PoleMirrored {},
        InstallMistake::Selector { reading: of, to } => {
            InstallCause::SelectorElsewhere { reading: reading(of)?, stood: selected(to)? }
        }
        InstallMistake::Switch { reading: of, to } => {
            InstallCause::SwitchElsewhere { reading: reading(of)?, stood: switched(to)? }
        }
        InstallMistake::SelectorLeft { to, .. } => InstallCause::SelectorLeft { stood: selected(to)? },
        InstallMistake::SwitchLeft { to, .. } => InstallCause::SwitchLeft { stood: switched(to)? },
        InstallMistake::SwitchExchanged([a, b]) => {
            InstallCause::SwitchExchanged { positions: [switched(a)?, switched(b)?] }
        }
    })
}
