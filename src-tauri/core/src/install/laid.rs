//! A selector that an earlier install had wired: the guitar's record tells which places its positions put out, and no more.

use super::kit::{InstallKit, LaidBefore};
use crate::record::wiring::{InRow, Plan, plan_in_words};

fn row(plan: &Plan) -> Option<&InRow> {
    plan.selector.as_ref()?.row.as_ref()
}

impl InstallKit {
    /// Why what this plan comes to can't be computed, in sentences: an earlier install had the selector wired for a pickup that
    /// stays, or put the one that comes out in a row that this plan does not lay anew.
    pub(super) fn laid_otherwise(&self, plan: &Plan) -> Option<String> {
        let stands = |laid: &&LaidBefore| {
            laid.place != self.on.place || (row(&laid.plan).is_some() && row(&laid.plan) != row(plan))
        };
        let laid = self.laid.iter().find(stands)?;
        let undo = if laid.place == self.on.place {
            "Lay the same row again, or bring the selector back to choosing places only."
        } else {
            "It stays so unless you solder it otherwise."
        };
        Some(format!(
            "By its fit sheet the selector does more for the {} pickup than choose places. {} {undo} What this guitar then reads at the jack, \
             and how its pickups sound, is not computed.",
            laid.place,
            plan_in_words(&laid.plan)
        ))
    }

    /// Why the readings of the guitar as it was tell nothing of each pickup, in a sentence.
    pub(super) fn laid_before(&self) -> Option<String> {
        self.laid.first().map(|laid| {
            format!(
                "What each pickup reads by itself is not worked out of these: the selector also wires the {} pickup.",
                laid.place
            )
        })
    }
}
