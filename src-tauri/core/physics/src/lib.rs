//! What is computed: it knows what is written down of things, and no caution.

pub mod coils;
pub mod drawing;
pub mod facing;
pub mod gaps;
pub mod leads;
pub mod lies;
pub mod meter;
pub mod network;
pub mod recent;
pub mod sides;
pub mod strings;
pub mod wiring;

use solderlast_record as record;
