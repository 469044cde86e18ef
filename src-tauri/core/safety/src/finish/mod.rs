//! The finish guard: what may touch a finish, for how long, and how the time runs down.
//!
//! Everything here is common practice, set on the careful side: no published table says how long rubber may stand on
//! a given lacquer. The maker of the lacquer knows better.

mod contact;
mod countdown;

pub use contact::{FinishVerdict, HOW_IT_LIES, HOW_TO_HOLD, May, Slides, guard, make_steady, slides};
pub use countdown::{Countdown, CountdownView, Reminder};

/// Where to try something out before it goes on the face.
pub const WHERE_TO_TRY: &str =
    "Try it first where it does not show: under the pickguard, in the control cavity, or beside the strap button.";

/// How to look at a finish, before and after.
pub const HOW_TO_LOOK: [&str; 4] = [
    "Wipe the top with a clean, dry cotton cloth.",
    "Hold a lamp low at the side, so that marks throw shadows.",
    "Take a photo from the same place, with the same lamp, before and after.",
    "Look for rings, dull spots, lines and dents where the feet stood.",
];
