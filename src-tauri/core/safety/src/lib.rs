//! What can hurt somebody, a guitar or ears, and what stops the next risky act.
//!
//! ```
//! use chrono::TimeDelta;
//! use solderlast_record::quantity::Decibels;
//! use solderlast_safety::cautions::{Moment, Situation, at};
//! use solderlast_safety::hearing::HearingRule;
//!
//! // Four hours at 88 dB(A) are a whole day's allowance (NIOSH 98-126, table 1-1).
//! let dose = HearingRule::Niosh.dose(Decibels(88.0), TimeDelta::hours(4));
//! assert!((dose - 1.0).abs() < 1e-9);
//!
//! // Nobody is handed an iron without a word of caution, the worst first.
//! let said = at(&Situation { moment: Some(Moment::Iron), ..Situation::default() });
//! assert!(!said.is_empty() && said.is_sorted_by_key(|caution| caution.word));
//! ```

pub mod cautions;
pub mod finish;
pub mod hearing;
pub mod holds;
pub mod stop_lists;

use solderlast_physics as physics;
use solderlast_record as record;
