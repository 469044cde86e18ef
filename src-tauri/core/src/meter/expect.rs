//! What to expect in each mode before anything is measured.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::circuit::Hookup;
use super::{COPPER_PER_DEGREE, Joined, Meter, ROOM_WITHIN, WINDING};
use crate::pickup::Pickup;
use crate::quantity::{Celsius, Ohms};
use crate::rig::{Mode, Rig};

/// What a meter should show in one mode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ModeExpectation {
    /// The mode.
    pub mode: Mode,
    /// The likeliest value, from the stated coils, in ohms.
    pub nominal: Option<Ohms>,
    /// The least to be expected, in ohms.
    pub low: Option<Ohms>,
    /// The most to be expected, in ohms.
    pub high: Option<Ohms>,
    /// The likeliest value, shown.
    pub shown: Option<String>,
    /// Where the figure comes from, in a sentence.
    pub sentence: String,
    /// Why nothing is to be heard in this mode on this rig, if that is so.
    pub silent: Option<String>,
}

/// What to expect in each position of the rig's switch.
///
/// The band holds the winding (±10 %, common practice), the temperature of the room (copper, 0.00393 per °C from 20 °C,
/// IEC 60028) and the meter's claim, added up.
#[must_use]
pub fn expected(
    pickup: &Pickup,
    joined: &[Joined],
    rig: &Rig,
    meter: &Meter,
    room: Option<Celsius>,
) -> Vec<ModeExpectation> {
    let hookup = Hookup::new(pickup, joined, rig);
    let stated: Option<Vec<f64>> = pickup.coils.iter().map(|coil| coil.stated.map(|ohms| ohms.0)).collect();
    let warm = 1.0 + COPPER_PER_DEGREE * (room.map_or(20.0, |room| room.0) - 20.0);
    let unknown_room = if room.is_none() { COPPER_PER_DEGREE * ROOM_WITHIN } else { 0.0 };
    rig.positions
        .iter()
        .map(|position| {
            // Whether a path exists does not depend on the coils' values.
            let path = hookup.reading(pickup, position, &vec![1000.0; pickup.coils.len()]);
            let silent = match path {
                None => Some(format!("In {} this pickup gives no sound on this rig: no path joins the output. The meter shows OL.", position.mode.0)),
                Some(ohms) if ohms <= 0.0 => {
                    Some(format!("In {} this pickup gives no sound on this rig: the switch shorts it. The meter shows 0 Ω.", position.mode.0))
                }
                Some(_) => None,
            };
            let nominal = stated
                .as_ref()
                .filter(|_| silent.is_none())
                .and_then(|coils| hookup.reading(pickup, position, coils))
                .map(|ohms| ohms * warm);
            let band = |nominal: f64| nominal * (WINDING + unknown_room) + meter.claim(Ohms(nominal)).0;
            let source = match (&silent, nominal) {
                (Some(silent), _) => silent.clone(),
                (None, None) => "Nothing is stated for its coils, so the readings are held against each other.".to_owned(),
                (None, Some(_)) => {
                    let room = room.map_or_else(
                        || "in a room of 10 to 30 °C".to_owned(),
                        |room| format!("at {}", room.shown()),
                    );
                    let assumed = if hookup.assumed { " Leads taken to be in the rig's own order." } else { "" };
                    format!("From the stated coils, windings ±10 % (common practice), {room}, and the meter's own claim.{assumed}")
                }
            };
            ModeExpectation {
                mode: position.mode.clone(),
                nominal: nominal.map(Ohms),
                low: nominal.map(|nominal| Ohms(nominal - band(nominal))),
                high: nominal.map(|nominal| Ohms(nominal + band(nominal))),
                shown: nominal.map(|nominal| Ohms(nominal).shown()),
                sentence: source,
                silent,
            }
        })
        .collect()
}
