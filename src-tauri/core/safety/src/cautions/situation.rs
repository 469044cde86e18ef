//! What is known when a caution is decided on.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::physics::gaps::Reach;
use crate::record::audition::Step;
use crate::record::facts::{AmpKind, Cable, InputLoad, Installed, LoadResistor, Solder};
use crate::record::guitar::{FinishKind, GuitarId, Surface};
use crate::record::pickup::{PickupId, Poles};
use crate::record::quantity::Decibels;
use crate::record::rig::{Feet, RigId};
use crate::record::seat::HeldBy;

/// A moment of the work at which something can go wrong: the steps of an audition, then the permanent install.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum Moment {
    /// Choosing what to audition.
    Choose,
    /// Laying the pickup into the rig.
    WhichWay,
    /// Leads into terminals.
    Leads,
    /// Reading the meter.
    Meter,
    /// The rig onto the guitar.
    Seat,
    /// Setting the gaps.
    Gaps,
    /// Sound comes up.
    SoundUp,
    /// Listening.
    Listen,
    /// Sound down, rig off.
    TakeDown,
    /// The permanent install: strings off or slack, the guitar opened.
    Fit,
    /// The permanent install: the soldering iron is hot.
    Iron,
    /// The permanent install is tried out.
    Proof,
}

impl Moment {
    /// All moments, in the order they come.
    pub const ALL: [Self; 12] = [
        Self::Choose,
        Self::WhichWay,
        Self::Leads,
        Self::Meter,
        Self::Seat,
        Self::Gaps,
        Self::SoundUp,
        Self::Listen,
        Self::TakeDown,
        Self::Fit,
        Self::Iron,
        Self::Proof,
    ];

    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Choose => Step::Choose.name(),
            Self::WhichWay => Step::WhichWay.name(),
            Self::Leads => Step::Leads.name(),
            Self::Meter => Step::Meter.name(),
            Self::Seat => Step::Seat.name(),
            Self::Gaps => Step::Gaps.name(),
            Self::SoundUp => Step::SoundUp.name(),
            Self::Listen => Step::Listen.name(),
            Self::TakeDown => Step::TakeDown.name(),
            Self::Fit => "Fit",
            Self::Iron => "Solder",
            Self::Proof => "Try it out",
        }
    }
}

impl From<Step> for Moment {
    fn from(step: Step) -> Self {
        match step {
            Step::Choose => Self::Choose,
            Step::WhichWay => Self::WhichWay,
            Step::Leads => Self::Leads,
            Step::Meter => Self::Meter,
            Step::Seat => Self::Seat,
            Step::Gaps => Self::Gaps,
            Step::SoundUp => Self::SoundUp,
            Step::Listen => Self::Listen,
            Step::TakeDown => Self::TakeDown,
        }
    }
}

/// How far the time is run down for which the rig may stand on the finish.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum TimeOnFinish {
    /// Time is left.
    Running,
    /// Nearly over: get ready to lift the rig.
    NearlyOver,
    /// Over: lift the rig now.
    Over,
}

/// What is known of the bench at one moment. Every field may be unknown; a caution says itself what it does then.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Situation {
    /// The moment of the work; without it, every moment counts.
    pub moment: Option<Moment>,
    /// Which pickup.
    pub pickup: Option<PickupId>,
    /// Which guitar.
    pub guitar: Option<GuitarId>,
    /// Which rig.
    pub rig: Option<RigId>,
    /// What stands under the strings.
    pub poles: Option<Poles>,
    /// Whether the coil is soaked in wax or held by tape, so that its wire can't move.
    pub potted: Option<bool>,
    /// Kind of finish.
    pub finish: Option<FinishKind>,
    /// Surface of the guitar's face.
    pub surface: Option<Surface>,
    /// Whether the finish is old, cracked, flaking, or has lines left by earlier tape.
    pub aged: Option<bool>,
    /// Whether the finish was asked about before the rig touches it.
    pub finish_asked: Option<bool>,
    /// Whether the guitar has a battery inside.
    pub battery: Option<bool>,
    /// What the rig stands on.
    pub feet: Option<Feet>,
    /// Whether clean cloth, paper or card lies between feet and finish.
    pub barrier: Option<bool>,
    /// Whether a film that clings by itself lies between feet and finish.
    pub film: Option<bool>,
    /// Whether what the rig stands on slides.
    pub slides: Option<bool>,
    /// Whether something holds the rig there without a hand.
    pub held_fast: Option<bool>,
    /// What that is.
    pub held_by: Option<HeldBy>,
    /// Whether the rig stayed put when it was nudged.
    pub steady: Option<bool>,
    /// Whether anything can be judged at the gaps that were measured.
    pub reach: Option<Reach>,
    /// How far the time on the finish is run down.
    pub time_on_finish: Option<TimeOnFinish>,
    /// Whether a reading shows a short that nobody has explained.
    pub short_unexplained: Option<bool>,
    /// Whether a reading shows an open coil that nobody has explained.
    pub open_unexplained: Option<bool>,
    /// What the guitar is played through.
    pub amp: Option<AmpKind>,
    /// Whether the amplifier was confirmed at zero.
    pub amp_at_zero: Option<bool>,
    /// Whether its plug has an earth pin and goes into an earthed outlet, without an adapter.
    pub earthed: Option<bool>,
    /// Whether the amplifier is double insulated, so that it is made to have no earth pin.
    pub double_insulated: Option<bool>,
    /// Whether any mains lead or plug is frayed, cracked or loose.
    pub frayed: Option<bool>,
    /// Whether hands, floor or room are wet or damp.
    pub damp: Option<bool>,
    /// Whether one listens on headphones.
    pub headphones: Option<bool>,
    /// Whether ears ring or sounds are dull.
    pub ringing: Option<bool>,
    /// Sound level at the ear, in dB(A).
    pub level: Option<Decibels>,
    /// Share of today's hearing allowance that is spent: 0 is none, 1 is all of it.
    pub hearing_spent: Option<f64>,
    /// Whether anyone at the bench has an implanted medical device.
    pub implant: Option<bool>,
    /// Whether children or pets can reach the bench.
    pub little_ones: Option<bool>,
    /// The solder in use.
    pub solder: Option<Solder>,
    /// Whether the guitar is unplugged.
    pub unplugged: Option<bool>,
    /// Whether its battery is out.
    pub battery_out: Option<bool>,
    /// Whether the finish is covered.
    pub finish_covered: Option<bool>,
    /// What became of the pickup that is fitted at the place.
    pub installed: Option<Installed>,
    /// How long the cable is.
    pub cable: Option<Cable>,
    /// Whether a clip grounds the strings.
    pub string_ground: Option<bool>,
    /// What lies across the rig's output.
    pub load: Option<LoadResistor>,
    /// The cable's capacitance, in picofarads.
    pub cable_picofarads: Option<u16>,
    /// What it is plugged into.
    pub input: Option<InputLoad>,
}
