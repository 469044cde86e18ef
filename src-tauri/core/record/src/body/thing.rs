//! Entries about a pickup, a guitar, a rig, the meter or a bench.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::guitar::Guitar;
use crate::meter::OwnMeter;
use crate::pickup::Pickup;
use crate::rig::Rig;

/// What is written of a thing itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum ThingBody {
    /// A pickup as it is known from now on.
    PickupDescribed {
        /// The whole description.
        pickup: Pickup,
    },
    /// A guitar as it is known from now on.
    GuitarDescribed {
        /// The whole description.
        guitar: Guitar,
    },
    /// A rig as it is known from now on.
    RigDescribed {
        /// The whole description.
        rig: Rig,
    },
    /// The meter as it is known from now on.
    MeterDescribed {
        /// The whole description.
        meter: OwnMeter,
    },
    /// A bench goes by this name from now on.
    BenchNamed {
        /// The name.
        name: String,
    },
    /// The thing is put away.
    Retired {
        /// Why, in words; may be empty.
        why: String,
    },
    /// The thing is back in use.
    BroughtBack {},
}
