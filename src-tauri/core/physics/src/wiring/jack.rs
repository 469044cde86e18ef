//! What a meter should show at the jack.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::JackCase;
use super::circuit::{InstallCircuit, JackLook, Knobs, SLEEVE, TIP, Value};
use super::known::{PickupKnown, known};
use crate::meter::SHORT_BELOW;
use crate::meter::agree::digits;
use crate::network::Node;
use crate::network::Seen;
use crate::record::quantity::{Ohms, Reading};
use crate::record::rig::Mode;
use crate::record::wiring::{JackSet, Volumes};

/// One reading to expect.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct JackReading {
    /// How everything stands.
    pub set: JackSet,
    /// The same in words.
    pub words: String,
    /// The mode of the new pickup, where it is heard.
    pub mode: Option<Mode>,
    /// The places that are put out.
    pub places: Vec<String>,
    /// Whether the meter shows over limit.
    pub open: bool,
    /// The likeliest value, in ohms; nothing when it is open, or when too little is known.
    pub nominal: Option<Ohms>,
    /// The least to be expected, in ohms.
    pub low: Option<Ohms>,
    /// The most to be expected, in ohms.
    pub high: Option<Ohms>,
    /// What the meter shows, as text: `7.75 kΩ`, `OL`, or `not known`.
    pub shown: String,
    /// The band, as text: `7.0 to 8.6 kΩ`; empty where there is none.
    pub band: String,
    /// What it is that is measured, in a sentence.
    pub sentence: String,
    /// What the band holds: the windings, the room, the pots, the meter's claim; nothing where there is none.
    pub holds: Vec<String>,
}

/// Below this the jack reads next to nothing: a wiper at its end still has some ohms of track (from memory), in ohms.
pub(super) const NEXT_TO_NOTHING: f64 = SHORT_BELOW;

/// What to expect at the jack for every position of selector and mode switch, volumes at full and at zero.
///
/// The band holds the windings (as measured, or ±10 % of what is stated), the pots (±20 %), both common practice, the room
/// (copper, 0.00393 per °C from 20 °C, IEC 60028) and the meter's claim, each at its worst.
#[must_use]
pub fn jack_readings(install: &JackCase) -> Vec<JackReading> {
    let circuit = InstallCircuit::new(install);
    let known = known(install, &circuit);
    sets(&circuit).into_iter().filter_map(|set| one_reading(install, &circuit, &known, set)).collect()
}

/// What to expect with everything standing like this; nothing when the guitar has no such position.
pub(super) fn one_reading(
    install: &JackCase,
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    set: JackSet,
) -> Option<JackReading> {
    let look = look(circuit, &set, (TIP, SLEEVE))?;
    let places: Vec<String> = circuit.selector.get(usize::from(look.selector)).map(|(_, places)| {
        places.iter().filter_map(|place| circuit.places.get(usize::from(*place)).cloned()).collect()
    })?;
    let heard = places.iter().any(|place| place == install.place);
    let mode = install.wiring.positions.get(usize::from(look.switch)).and_then(|position| position.mode.clone());
    let seen = circuit.seen(&circuit.planned, &look).unwrap_or(Seen::Open);
    let figures = figures(install, circuit, known, &look, &seen);
    let open = seen == Seen::Open;
    let (shown, band) = match (&seen, figures) {
        (Seen::Open, _) => ("OL".to_owned(), String::new()),
        (Seen::Short, _) => ("next to 0 Ω".to_owned(), format!("below {}", Ohms(NEXT_TO_NOTHING).shown())),
        (_, Some([nominal, low, high])) => (digits(nominal, 2), format!("{} to {}", digits(low, 2), digits(high, 2))),
        (_, None) => ("not known".to_owned(), String::new()),
    };
    Some(JackReading {
        words: set.in_words(),
        mode: mode.filter(|_| heard),
        sentence: sentence(circuit, known, &look, &seen),
        holds: if figures.is_some() && !matches!(seen, Seen::Short) {
            band_holds(circuit, known, &seen, install)
        } else {
            Vec::new()
        },
        nominal: figures.map(|[nominal, ..]| Ohms(nominal)),
        low: figures.map(|[_, low, _]| Ohms(low)),
        high: figures.map(|[.., high]| Ohms(high)),
        set,
        places,
        open,
        shown,
        band,
    })
}

/// What is expected of a look, as text, and whether a reading is within it; nothing where too little is known. `short` is
/// what plain metal may read there, in ohms.
pub(super) fn expect(
    install: &JackCase,
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    look: &JackLook,
    reading: Reading,
    short: f64,
) -> (String, Option<bool>) {
    let seen = circuit.seen(&circuit.planned, look).unwrap_or(Seen::Open);
    let read = reading.ohms().map(|ohms| ohms.0);
    match (&seen, figures(install, circuit, known, look, &seen)) {
        (Seen::Open, _) => ("OL".to_owned(), Some(read.is_none())),
        (Seen::Short, _) if short < NEXT_TO_NOTHING => (
            format!("below {}", Ohms(short).shown()),
            Some(read.is_some_and(|ohms| ohms < short + install.meter.claim(Ohms(short)).0)),
        ),
        (Seen::Short, _) => ("next to 0 Ω".to_owned(), Some(read.is_some_and(|ohms| ohms < NEXT_TO_NOTHING))),
        (_, Some([_, low, high])) => (
            format!("{} to {}", digits(low, 2), digits(high, 2)),
            // Past its last range a meter shows over limit.
            Some(read.map_or(high >= install.meter.limit().0, |ohms| ohms >= low && ohms <= high)),
        ),
        // It is not known what it reads, but neither open nor short is right.
        (_, None) => ("not known".to_owned(), read.is_none_or(|ohms| ohms < NEXT_TO_NOTHING).then_some(false)),
    }
}

/// Likeliest, least and most of a look at the wiring as it is planned; nothing where it is open or a value is not known.
pub(super) fn expected(
    install: &JackCase,
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    look: &JackLook,
) -> Option<[f64; 3]> {
    figures(install, circuit, known, look, &circuit.seen(&circuit.planned, look).unwrap_or(Seen::Open))
}

/// A look with everything standing like this; nothing when the guitar has no such position, or when it is not known what a
/// volume does that is not at full.
pub(super) fn look(circuit: &InstallCircuit, set: &JackSet, port: (Node, Node)) -> Option<JackLook> {
    if set.volumes != (Volumes::Full {}) && !circuit.is_told() {
        return None;
    }
    let selector = circuit.selector_position(&set.selector)?;
    Some(JackLook {
        selector,
        switch: circuit.switch_position(&set.switch, selector)?,
        knobs: circuit.knobs(&set.volumes)?,
        port,
        not_full: false,
        plugged: false,
    })
}

/// Every way to stand that is worth a reading. The mode switch is left alone where the new pickup is not heard.
pub(super) fn sets(circuit: &InstallCircuit) -> Vec<JackSet> {
    let mut sets = Vec::new();
    for (selector, places) in &circuit.selector {
        let heard = places.contains(&0);
        let switches = circuit.mode_switch().iter().map(|(name, _)| name.clone());
        // A fixed mode, and one that the selector chooses, has one position without a name.
        let switches = switches.chain(circuit.by_selector.then(String::new));
        for switch in switches.take(if heard { usize::MAX } else { 1 }) {
            let mut volumes = vec![Volumes::Full {}];
            if circuit.pots() > 0 && circuit.is_told() {
                volumes.push(Volumes::Zero {});
            }
            if circuit.pots() > 0 && circuit.is_told() && !circuit.is_shared() && places.len() > 1 {
                let name = |place: &u8| circuit.places.get(usize::from(*place)).cloned();
                volumes.extend(places.iter().filter_map(name).map(|place| Volumes::ZeroOf { place }));
            }
            sets.extend(volumes.into_iter().map(|volumes| JackSet {
                selector: selector.clone(),
                switch: switch.clone(),
                volumes,
            }));
        }
    }
    sets
}

/// Likeliest, least and most that a meter shows; nothing where it is open or a value is not known. Resistance only rises
/// with every resistance in it, so the corners are the extremes.
fn figures(
    install: &JackCase,
    circuit: &InstallCircuit,
    known: &[Option<PickupKnown>],
    look: &JackLook,
    seen: &Seen,
) -> Option<[f64; 3]> {
    match seen {
        Seen::Open => return None,
        Seen::Short => return Some([0.0, 0.0, NEXT_TO_NOTHING]),
        _ => {}
    }
    if (0_u8..).zip(known).any(|(at, known)| known.is_none() && seen.has(at)) {
        return None;
    }
    let at = |of: fn(&PickupKnown) -> f64| {
        let values: Vec<f64> = known.iter().map(|known| known.as_ref().map_or(f64::INFINITY, of)).collect();
        circuit.solved(&circuit.planned, look, &values)
    };
    let (nominal, low, high) = (at(|k| k.likely)?, at(|k| k.low)?, at(|k| k.high)?);
    let claim = |ohms: f64| install.meter.claim(Ohms(ohms)).0;
    Some([nominal, (low - claim(low)).max(0.0), high + claim(high)])
}

fn sentence(circuit: &InstallCircuit, known: &[Option<PickupKnown>], look: &JackLook, seen: &Seen) -> String {
    match seen {
        Seen::Open => return "Nothing is joined to the jack here, so the meter shows over limit.".to_owned(),
        Seen::Short => {
            return match look.knobs {
                Knobs::ZeroOf(_) => {
                    "Wired the usual way, one volume at zero grounds the jack, and takes the other pickup with it."
                        .to_owned()
                }
                Knobs::Zero => "At zero the wiper lies on ground, so the jack reads next to nothing.".to_owned(),
                Knobs::Full | Knobs::Half => "The wiring joins tip and sleeve here.".to_owned(),
            };
        }
        _ => {}
    }
    let unknown: Vec<String> = (0_u8..)
        .zip(known)
        .filter(|(at, known)| known.is_none() && seen.has(*at))
        .map(|(at, _)| in_words(circuit, &Seen::One(at)))
        .collect();
    let what = format!("This is {}.", in_words(circuit, seen));
    if !unknown.is_empty() {
        return format!(
            "{what} Nothing is known of {}, so there is no figure.",
            crate::record::words::listed(&unknown)
        );
    }
    let full = match look.knobs {
        Knobs::Zero if circuit.is_independent() => " At zero the pickup is shorted, and its volume's track is left.",
        _ => "",
    };
    format!("{what}{full}")
}

/// What a band holds, each at its worst.
fn band_holds(circuit: &InstallCircuit, known: &[Option<PickupKnown>], seen: &Seen, install: &JackCase) -> Vec<String> {
    let mut parts = Vec::new();
    let has = |test: fn(&Value) -> bool| (0_u8..).zip(&circuit.values).any(|(at, value)| test(value) && seen.has(at));
    if has(|value| matches!(value, Value::Coil(_) | Value::Stays(_))) {
        parts.push("the windings".to_owned());
        parts.push(match install.room {
            Some(room) => format!("copper at {}", room.shown()),
            None => "a room of 10 to 30 °C".to_owned(),
        });
    }
    if has(|value| matches!(value, Value::Track(_) | Value::Tone(_))) {
        let told = (0_u8..).zip(known).zip(&circuit.values).all(|((at, known), value)| {
            !seen.has(at) || !matches!(value, Value::Track(_)) || known.is_some_and(|known| known.told)
        });
        parts.push(if told {
            "pots ±20 % (common practice)".to_owned()
        } else {
            "a pot of 250 kΩ to 1 MΩ, ±20 % (common practice)".to_owned()
        });
    }
    parts.push(format!("the meter's {}", install.meter.shown()));
    parts
}

/// In a person's words: `coil A and coil B in series`.
pub(super) fn in_words(circuit: &InstallCircuit, seen: &Seen) -> String {
    let listed = |parts: &[Seen]| {
        let words: Vec<String> = parts
            .iter()
            .map(|part| match part {
                Seen::Series(_) | Seen::Parallel(_) => format!("({})", in_words(circuit, part)),
                Seen::Open | Seen::Short | Seen::One(_) => in_words(circuit, part),
            })
            .collect();
        crate::record::words::listed(&words)
    };
    match seen {
        Seen::Open => "nothing".to_owned(),
        Seen::Short => "a plain wire".to_owned(),
        Seen::One(at) => match circuit.values.get(usize::from(*at)) {
            Some(Value::Coil(name)) => format!("coil {}", name.letter()),
            Some(Value::Stays(place)) => {
                format!("the {} pickup", circuit.places.get(*place).map_or("other", String::as_str))
            }
            Some(Value::Track(pot)) => pot_words(circuit, *pot, "volume pot"),
            Some(Value::Tone(pot)) => pot_words(circuit, *pot, "tone pot"),
            Some(Value::Above) => "the track above the wiper".to_owned(),
            Some(Value::Below) => "the track below the wiper".to_owned(),
            Some(Value::Joint) => "what the joint has of its own".to_owned(),
            Some(Value::Plugged) => "what is plugged in".to_owned(),
            None => String::new(),
        },
        Seen::Series(parts) => format!("{} in series", listed(parts)),
        Seen::Parallel(parts) => format!("{} in parallel", listed(parts)),
    }
}

/// `the volume pot`, `the neck volume pot`.
pub(super) fn pot_words(circuit: &InstallCircuit, pot: usize, what: &str) -> String {
    let place = circuit.pot_name(u8::try_from(pot).unwrap_or(0));
    if place.is_empty() { format!("the {what}") } else { format!("the {place} {what}") }
}

#[cfg(test)]
mod tests;
