//! What can hurt somebody, a guitar or ears, and what stops the next risky act.

pub mod cautions;
pub mod finish;
pub mod hearing;
pub mod holds;
pub mod stop_lists;

use solderlast_physics as physics;
use solderlast_record as record;
