//! The meter's judgement of an audition's readings, remembered.
//!
//! Fitting coils to readings is the one costly part of looking at an audition, and most of what is written leaves the
//! readings alone. The judgement follows from what it is made of and from nothing else, so remembering it changes
//! nothing but the time it takes.

use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};

use super::fold::Audition;
use super::steps::{Kit, hookup};
use crate::meter::{self, Agreement, Joined};
use crate::pickup::Pickup;
use crate::quantity::{Celsius, Reading};
use crate::rig::{Mode, Rig};

/// Enough for every audition that the Bench page offers to go on with, and some that are read over.
const KEPT: usize = 32;

/// All that a judgement is made of.
#[derive(PartialEq)]
struct Grounds {
    readings: Vec<(Mode, Reading)>,
    joined: Vec<Joined>,
    room: Option<Celsius>,
    pickup: Pickup,
    rig: Rig,
}

/// The newest first.
static LATELY: Mutex<VecDeque<(Grounds, Agreement)>> = Mutex::new(VecDeque::new());

/// Whether the readings agree; nothing when the pickup or the rig is not known.
pub(super) fn agreement(audition: &Audition, kit: &Kit) -> Option<Agreement> {
    let grounds = Grounds {
        readings: audition.readings.iter().map(|(mode, taken)| (mode.clone(), taken.said.reading)).collect(),
        joined: hookup(audition),
        room: audition.readings.values().filter_map(|taken| taken.said.room).next_back(),
        pickup: kit.pickup.clone()?,
        rig: kit.rig.clone()?,
    };
    // A thread that died here left whole judgements: each is added in one act.
    let mut lately = LATELY.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(there) = lately.iter().position(|(other, _)| *other == grounds) {
        let found = lately.remove(there)?;
        lately.push_front(found);
        return lately.front().map(|(_, agreement)| agreement.clone());
    }
    drop(lately);
    let Grounds { readings, joined, room, pickup, rig } = &grounds;
    let agreement = meter::agree(readings, pickup, rig, joined, &meter::Meter::plain(), *room);
    let mut lately = LATELY.lock().unwrap_or_else(PoisonError::into_inner);
    lately.push_front((grounds, agreement.clone()));
    lately.truncate(KEPT);
    Some(agreement)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Ohms;

    /// Judged once and remembered, or with other readings in between: always as if it were judged for the first time.
    #[test]
    fn what_is_remembered_is_what_would_be_found() {
        let rig = Rig::four_terminal("Shelf rig");
        let pickup = crate::demo::entries().into_iter().find_map(|entry| match entry.body {
            crate::logbook::Written::Known(crate::logbook::Body::PickupDescribed { pickup }) => Some(pickup),
            _ => None,
        });
        let kit = Kit { pickup, rig: Some(rig), guitar: None };
        let pickup = kit.pickup.as_ref().expect("the demo bench has a pickup");
        let mode = kit.rig.as_ref().and_then(|rig| rig.positions.first()).map(|position| position.mode.clone());
        let mode = mode.expect("the rig has a switch");
        for ohms in (0..3 * KEPT).chain(0..KEPT).map(|number| 3000.0 + 50.0 * (number % 40) as f64) {
            let taken =
                super::super::fold::Taken { reading: Reading::Ohms(Ohms(ohms)), typed: String::new(), room: None };
            let entry = crate::logbook::EntryId(uuid::Uuid::nil());
            let taken = super::super::fold::Inked { entry, at: chrono::DateTime::UNIX_EPOCH, said: taken };
            let audition = Audition { readings: [(mode.clone(), taken)].into(), ..Audition::default() };
            let anew = kit.rig.as_ref().map(|rig| {
                let readings = [(mode.clone(), Reading::Ohms(Ohms(ohms)))];
                meter::agree(&readings, pickup, rig, &[], &meter::Meter::plain(), None)
            });
            assert_eq!(agreement(&audition, &kit), anew, "{ohms}");
        }
    }

    #[test]
    fn nothing_is_judged_without_a_rig() {
        assert_eq!(agreement(&Audition::default(), &Kit::default()), None);
    }
}
