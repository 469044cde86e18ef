//! Readings at the jack, and what a verdict asked to be measured.

use super::going_on;
use crate::ask::forms::typed::at;
use crate::ask::install::load::kit;
use crate::ask::{Code, Refusal};
use crate::install::Install;
use crate::logbook::Log;
use crate::record::body::{Body, InstallBody};
use crate::record::entry::Entry;
use crate::record::install::InstallTask;
use crate::record::quantity::{Celsius, read_celsius, read_ohms};
use crate::record::wiring::{JackProbe, JackSet};

fn room_typed(room: &str) -> Result<Option<Celsius>, Refusal> {
    if room.trim().is_empty() { Ok(None) } else { read_celsius(room).map(Some).map_err(at("room")) }
}

/// A reading at the jack, in a position that the guitar has.
pub(super) fn jack_read(
    log: &Log,
    before: &[(Entry, bool)],
    set: JackSet,
    typed: String,
    room: &str,
    sure: bool,
) -> Result<Body, Refusal> {
    let install = going_on(before)?;
    if !kit(log, &install)?.can_stand(&install, &set) {
        return Err(Refusal::unclear("at", "This guitar has no such position of selector, switch and volume."));
    }
    let room = room_typed(room)?;
    let reading = read_ohms(&typed).map_err(at("reading"))?;
    Ok(Body::Install(InstallBody::JackRead { at: set, reading, typed, room, sure }))
}

/// A reading at the jack as the guitar was, as long as the old pickup is in it.
pub(super) fn jack_read_before(
    log: &Log,
    before: &[(Entry, bool)],
    set: JackSet,
    typed: String,
    room: &str,
) -> Result<Body, Refusal> {
    let install = going_on(before)?;
    if install.acts.contains_key(&InstallTask::OldOut) {
        let sentence = "The old pickup is out, so the jack no longer reads as the guitar was.";
        return Err(Refusal::new(Code::NotNow, sentence));
    }
    if !kit(log, &install)?.positions_before().contains(&set) {
        return Err(Refusal::unclear("at", "This guitar has no such position of selector and volume."));
    }
    let room = room_typed(room)?;
    let reading = read_ohms(&typed).map_err(at("reading"))?;
    Ok(Body::Install(InstallBody::JackReadBefore { at: set, reading, typed, room }))
}

/// What a verdict asked to be measured.
pub(super) fn probed(install: &Install, probe: JackProbe, typed: String) -> Result<Body, Refusal> {
    if install.plan.is_none() {
        return Err(Refusal::unclear("probe", "Say first how it is wired. Then a probe can be judged."));
    }
    let reading = read_ohms(&typed).map_err(at("reading"))?;
    Ok(Body::Install(InstallBody::FitProbed { probe, reading, typed }))
}
