//! Which way round a pickup lies: what each of the 24 lies comes to, and the turn that mends it.

mod drawn;
mod heard;
mod said;
#[cfg(test)]
mod tests;

pub use heard::{CoilAt, HeardAlone, coils_in};
pub use said::{EdgeIs, EndsAre, Facing, FacingView, Mend, PolesFace, Signal, StaggerIs, TurnOffered, facing, look};
