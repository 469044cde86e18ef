//! What to expect in each mode before anything is measured.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::circuit::{RigCircuit, RigLook};
use super::{COPPER_PER_DEGREE, ImpliedCoil, Joined, ROOM_WITHIN, WINDING, copper, digits};
use crate::network::Seen;
use crate::record::claim::Meter;
use crate::record::pickup::{CoilName, Pickup};
use crate::record::quantity::{Celsius, Ohms};
use crate::record::rig::{Mode, Rig};

/// What a meter should show in one mode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct ModeExpectation {
    /// The mode.
    pub mode: Mode,
    /// The likeliest value, from the stated or measured coils, in ohms.
    pub nominal: Option<Ohms>,
    /// The least to be expected, in ohms.
    pub low: Option<Ohms>,
    /// The most to be expected, in ohms.
    pub high: Option<Ohms>,
    /// The likeliest value, shown.
    pub shown: Option<String>,
    /// The coils that the output hears in this mode.
    pub hears: Vec<CoilName>,
    /// Where the figure comes from, in a sentence.
    pub sentence: String,
    /// Why nothing is to be heard in this mode on this rig, if that is so.
    pub silent: Option<String>,
    /// The mode of fewer bonds that is the same with this pickup: one of them tells all there is to hear and to read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub same_as: Option<Mode>,
}

/// What is known of one coil beforehand, at 20 °C.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Beforehand {
    pub ohms: f64,
    /// How far it may lie from that, as a share.
    pub within: f64,
    pub measured: bool,
    /// Whether it was measured in this room, as warm as it is now.
    pub now: bool,
}

/// What is known of each coil: what was measured before, else what is stated.
pub(super) fn beforehand(pickup: &Pickup, circuit: &RigCircuit, measured: &[ImpliedCoil]) -> Vec<Option<Beforehand>> {
    circuit.coils.iter().map(|name| known_of(pickup, *name, measured)).collect()
}

/// What is known of one coil.
pub(crate) fn known_of(pickup: &Pickup, name: CoilName, measured: &[ImpliedCoil]) -> Option<Beforehand> {
    let sound = |ohms: f64| ohms.is_finite() && ohms > 0.0;
    let before = measured.iter().rev().find(|coil| coil.coil == name && sound(coil.ohms.0));
    let stated = pickup.coils.iter().find(|coil| coil.name == name).and_then(|coil| coil.stated);
    match (before, stated) {
        (Some(coil), _) => {
            // A coil whose room was not measured may have been warmer or colder than it is now.
            let room = if coil.at_20 { 0.0 } else { COPPER_PER_DEGREE * ROOM_WITHIN };
            let within = (coil.within.0 / coil.ohms.0 + room).clamp(0.0, 1.0);
            Some(Beforehand { ohms: coil.ohms.0, within, measured: true, now: false })
        }
        (None, Some(ohms)) if sound(ohms.0) => {
            Some(Beforehand { ohms: ohms.0, within: WINDING, measured: false, now: false })
        }
        (None, _) => None,
    }
}

/// What to expect in each position of the rig's switch, from what is stated for the coils.
///
/// The band holds the winding (±10 %, common practice), the temperature of the room (copper, 0.00393 per °C from 20 °C,
/// IEC 60028) and the meter's claim, each at its worst.
#[must_use]
pub fn expected(
    pickup: &Pickup,
    joined: &[Joined],
    rig: &Rig,
    meter: &Meter,
    room: Option<Celsius>,
) -> Vec<ModeExpectation> {
    expected_from(pickup, joined, rig, meter, room, &[])
}

/// As [`expected`], with coils that were measured before and brought to 20 °C: they weigh more than what is stated.
#[must_use]
pub fn expected_from(
    pickup: &Pickup,
    joined: &[Joined],
    rig: &Rig,
    meter: &Meter,
    room: Option<Celsius>,
    measured: &[ImpliedCoil],
) -> Vec<ModeExpectation> {
    expected_beside(pickup, joined, rig, meter, room, measured, &[])
}

/// As [`expected_from`]; where nothing else is known of a coil, with what the readings of the other modes say of it now.
#[must_use]
pub fn expected_beside(
    pickup: &Pickup,
    joined: &[Joined],
    rig: &Rig,
    meter: &Meter,
    room: Option<Celsius>,
    measured: &[ImpliedCoil],
    beside: &[ImpliedCoil],
) -> Vec<ModeExpectation> {
    let circuit = RigCircuit::new(pickup, joined, rig);
    let mut coils = beforehand(pickup, &circuit, measured);
    for (coil, name) in coils.iter_mut().zip(&circuit.coils).filter(|(coil, _)| coil.is_none()) {
        *coil = beside.iter().find(|beside| beside.coil == *name && beside.ohms.0 > 0.0).map(|beside| {
            let warm = if beside.at_20 { room.map_or(1.0, copper) } else { 1.0 };
            let within = (beside.within.0 / beside.ohms.0).clamp(0.0, 1.0);
            Beforehand { ohms: beside.ohms.0 * warm, within, measured: true, now: true }
        });
    }
    let all: Vec<Seen> = (0..circuit.positions.len())
        .map(|position| circuit.seen(&circuit.meant, &RigLook::output(position)).unwrap_or(Seen::Open))
        .collect();
    let told = (0..all.len()).map(|position| ModeExpectation {
        same_as: circuit.same_as(position).map(|same| circuit.positions[same].mode.clone()),
        ..one_position(&circuit, position, &all, &coils, meter, room)
    });
    told.collect()
}

fn one_position(
    circuit: &RigCircuit,
    position: usize,
    all: &[Seen],
    coils: &[Option<Beforehand>],
    meter: &Meter,
    room: Option<Celsius>,
) -> ModeExpectation {
    let seen = all.get(position).unwrap_or(&Seen::Open);
    let mode = circuit.positions[position].mode.clone();
    let hears: Vec<CoilName> =
        (0_u8..).zip(&circuit.coils).filter(|(place, _)| seen.has(*place)).map(|(_, name)| *name).collect();
    let silent = match seen {
        Seen::Open => Some(format!(
            "In {} this pickup gives no sound on this rig: no path joins the output. The meter shows OL.",
            mode.0
        )),
        Seen::Short => {
            // What is shorted wherever the switch stands, the switch does not short.
            let by = if all.iter().all(|seen| *seen == Seen::Short) {
                "its leads are joined"
            } else {
                "the switch shorts it"
            };
            Some(format!("In {} this pickup gives no sound on this rig: {by}. The meter shows 0 Ω.", mode.0))
        }
        Seen::One(_) | Seen::Series(_) | Seen::Parallel(_) => None,
    };
    let figures = figures(circuit, seen, coils, meter, room).filter(|_| silent.is_none());
    let sentence = match (&silent, figures) {
        (Some(silent), _) => silent.clone(),
        (None, None) => format!(
            "This is {}. Nothing is stated for it, so the readings are held against each other.{}",
            circuit.in_words(seen),
            assumed(circuit)
        ),
        (None, Some(_)) => from_where(circuit, seen, coils, meter, room),
    };
    ModeExpectation {
        mode,
        nominal: figures.map(|[nominal, ..]| Ohms(nominal)),
        low: figures.map(|[_, low, _]| Ohms(low)),
        high: figures.map(|[.., high]| Ohms(high)),
        shown: figures.map(|[nominal, ..]| digits(nominal, 2)),
        hears,
        sentence,
        silent,
        same_as: None,
    }
}

/// Likeliest, least and most. Resistance only rises with every coil, so the corners are the extremes.
fn figures(
    circuit: &RigCircuit,
    seen: &Seen,
    coils: &[Option<Beforehand>],
    meter: &Meter,
    room: Option<Celsius>,
) -> Option<[f64; 3]> {
    if (0_u8..).zip(coils).any(|(place, coil)| seen.has(place) && coil.is_none()) {
        return None;
    }
    let at = |side: f64, degrees: f64| {
        let warm = copper(Celsius(degrees));
        let values: Vec<f64> = (0..circuit.coils.len())
            .map(|place| {
                coils.get(place).copied().flatten().map_or(f64::INFINITY, |coil| {
                    coil.ohms * (1.0 + side * coil.within) * if coil.now { 1.0 } else { warm }
                })
            })
            .collect();
        seen.ohms(&values)
    };
    let (cold, likely, warm) =
        room.map_or((20.0 - ROOM_WITHIN, 20.0, 20.0 + ROOM_WITHIN), |room| (room.0, room.0, room.0));
    let (nominal, low, high) = (at(0.0, likely), at(-1.0, cold), at(1.0, warm));
    let band = |ohms: f64| meter.claim(Ohms(ohms)).0;
    (nominal.is_finite() && high.is_finite()).then(|| [nominal, (low - band(low)).max(0.0), high + band(high)])
}

fn from_where(
    circuit: &RigCircuit,
    seen: &Seen,
    coils: &[Option<Beforehand>],
    meter: &Meter,
    room: Option<Celsius>,
) -> String {
    let heard = (0_u8..).zip(circuit.coils.iter().zip(coils)).filter(|(place, _)| seen.has(*place));
    let values: Vec<String> = heard
        .clone()
        .filter_map(|(_, (name, coil))| {
            let coil = (*coil)?;
            let source = match coil {
                Beforehand { now: true, .. } => "by the other readings",
                Beforehand { measured: true, .. } => "measured",
                Beforehand { .. } => "stated",
            };
            Some(format!("{} {} {source}", name.letter(), Ohms(coil.ohms).shown()))
        })
        .collect();
    let windings = if heard.clone().any(|(_, (_, coil))| coil.is_some_and(|coil| !coil.measured)) {
        "windings ±10 % (common practice), "
    } else {
        ""
    };
    if heard.clone().all(|(_, (_, coil))| coil.is_some_and(|coil| coil.now)) {
        return format!(
            "This is {}: {}. The band is that of those readings and the meter's {}.{}",
            circuit.in_words(seen),
            crate::record::words::listed(&values),
            meter.shown(),
            assumed(circuit)
        );
    }
    let room = room.map_or_else(|| "a room of 10 to 30 °C".to_owned(), |room| format!("copper at {}", room.shown()));
    format!(
        "This is {}: {}. The band is {windings}{room} and the meter's {}.{}",
        circuit.in_words(seen),
        crate::record::words::listed(&values),
        meter.shown(),
        assumed(circuit)
    )
}

fn assumed(circuit: &RigCircuit) -> String {
    if !circuit.assumed {
        return String::new();
    }
    " Nobody has said which lead is which, so they are taken to be in the rig's own order: coil A minus, coil A plus, then \
     the same for the next coil."
        .to_owned()
}
