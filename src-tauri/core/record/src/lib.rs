//! What is written down: the things of the bench, and what a person answers about them.
//!
//! Everything else may use what is here; nothing here uses anything else.
//!
//! ```
//! use solderlast_record::pickup::{Construction, Pickup};
//! use solderlast_record::quantity::{LengthUnit, Millimetres, Ohms, Reading, read_ohms};
//!
//! assert_eq!(read_ohms("6k66"), Ok(Reading::Ohms(Ohms(6660.0))));
//! assert_eq!(read_ohms("OL"), Ok(Reading::OverLimit));
//! assert_eq!(Millimetres(2.4).shown(LengthUnit::Millimetre), "2.4 mm");
//!
//! // What nobody knows of a pickup yet is not made up.
//! let pickup = Pickup::new("Marsh bell", Construction::SideBySide);
//! assert!(pickup.coils.iter().all(|coil| coil.stated.is_none()));
//! ```

pub mod audition;
pub mod blind;
pub mod body;
pub mod claim;
pub mod contacts;
pub mod content;
pub mod controls;
pub mod decision;
pub mod entry;
pub mod facts;
pub mod gaps;
pub mod guitar;
pub mod install;
pub mod lead_name;
pub mod leads;
pub mod listening;
pub mod measured;
pub mod meter;
pub mod mounting;
pub mod names;
pub mod note;
pub mod parts;
pub mod photo;
pub mod pickup;
pub mod quantity;
pub mod rig;
pub mod rules;
pub mod seat;
pub mod sound;
pub mod strike;
pub mod take;
pub mod things;
pub mod tick;
pub mod verdict;
pub mod wiring;
pub mod words;
