//! How to listen, so that what is rated is the pickup and not the volume or the room.

use crate::record::listening::Quality;

/// How to listen, in the order it is done: louder wins a comparison, so output has a pass of its own.
pub const HOW_TO_LISTEN: [&str; 2] = [
    "First rate output in every mode, with all knobs left where they are.",
    "Then set each mode equally loud, by meter or by ear, and rate the tone. Louder sounds better by itself.",
];

/// What to see to when a quality is rated; `string_ground` says whether a clip grounds the strings, as far as it was told.
#[must_use]
pub fn how_to_rate(quality: Quality, string_ground: Option<bool>) -> Option<&'static str> {
    match (quality, string_ground) {
        (Quality::Output, _) => Some("At one volume for all modes."),
        (Quality::Hum, Some(true)) => {
            Some("Hands on the strings. If it hums less than with hands off, the string ground works.")
        }
        (Quality::Hum, Some(false)) => Some(
            "Without a string ground, hum says little. Volume to zero, then clip a wire from the sleeve of the rig’s output to \
             the bridge.",
        ),
        (Quality::Hum, None) => Some(
            "Hum says little unless a wire is clipped from the sleeve of the rig’s output to the bridge. Say under “About this \
             bench” whether it is.",
        ),
        _ => None,
    }
}
