//! What is computed: it knows what is written down of things, and no caution.
//!
//! ```
//! use solderlast_physics::lies::{Axis, InSpace, Turned};
//! use solderlast_physics::meter::copper;
//! use solderlast_record::mounting::{Lie, Way};
//! use solderlast_record::quantity::Celsius;
//!
//! // Rolled over, a pickup's poles look down and its bass end stays where it is.
//! let rolled = Lie::INSTALLED.turned(Turned::half(Axis::Roll)).expect("one of the 24");
//! assert_eq!(rolled, Lie { poles: Way::Down, bass_end: Way::Bass });
//!
//! // Copper at 30 °C has 3.93 % more resistance than at 20 °C.
//! assert!((copper(Celsius(30.0)) - 1.0393).abs() < 1e-12);
//! ```

pub mod coils;
pub mod drawing;
pub mod facing;
pub mod fault;
pub mod gaps;
pub mod leads;
pub mod lengths;
pub mod lies;
pub mod measured;
pub mod meter;
pub mod network;
pub mod poles;
pub mod recent;
pub mod response;
pub mod sides;
pub mod strings;
pub mod wiring;

use solderlast_record as record;
