//! What a person answers in the steps of an audition.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::step::AuditionId;
use crate::facing::{Lie, Way};
use crate::finish::{Barrier, HeldBy};
use crate::gaps::Strings;
use crate::guitar::{FinishKind, GuitarId, Surface};
use crate::pickup::PickupId;
use crate::quantity::Millimetres;
use crate::rig::{Feet, Mode, RigId};

/// The name under which a pickup's shield is put into a terminal.
pub const SHIELD: &str = "shield";

/// What is auditioned, where and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct Choice {
    /// The pickup over the strings.
    pub pickup: PickupId,
    /// The guitar under it.
    pub guitar: GuitarId,
    /// The rig between them.
    pub rig: RigId,
    /// What the place is called.
    pub place: String,
    /// From the saddle to the pole line, in millimetres; at the bass side where the two sides differ.
    pub from_saddle: Millimetres,
    /// The same at the treble side, for a slanted pickup or fanned frets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub from_saddle_treble: Option<Millimetres>,
    /// The modes to hear, as the rig names them.
    pub modes: Vec<Mode>,
    /// What the person wants to find out; may be empty.
    pub question: String,
}

impl Choice {
    /// From the saddle to the pole line at the bass and at the treble side.
    #[must_use]
    pub fn sides(&self) -> [Millimetres; 2] {
        [self.from_saddle, self.from_saddle_treble.unwrap_or(self.from_saddle)]
    }
}

/// A side of the guitar, by its strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Side {
    /// The side of the thick strings.
    Bass,
    /// The side of the thin strings.
    Treble,
}

/// How a pickup was turned from its installed position into the rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Turn {
    /// Rolled about its long axis: the bass end stays at the bass side.
    Rolled,
    /// Turned end over end: the bass end goes to the treble side.
    EndOverEnd,
    /// Not turned over: it lies as it would installed.
    NotTurned,
}

/// How the pickup lies in the rig, as looked at and confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct Mounting {
    /// The side of the guitar over which the pickup's bass end lies; nothing when its ends are not marked.
    pub bass_end_over: Option<Side>,
    /// How it was turned into the rig.
    pub turn: Turn,
    /// How it lies, of the 24 lies; nothing in entries of older versions, which knew the turn alone.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub lie: Option<Lie>,
}

impl Mounting {
    /// The mounting of this lie. Without marks its bass end is a guess and is not told.
    #[must_use]
    pub fn of(lie: Lie, marked: bool) -> Self {
        let bass_end_over = match lie.bass_end {
            Way::Bass if marked => Some(Side::Bass),
            Way::Treble if marked => Some(Side::Treble),
            _ => None,
        };
        let turn = match (lie.poles, lie.bass_end) {
            (Way::Down, Way::Treble) => Turn::EndOverEnd,
            (Way::Up, _) => Turn::NotTurned,
            _ => Turn::Rolled,
        };
        Self { bass_end_over, turn, lie: Some(lie) }
    }

    /// How the pickup lies. What was looked at (the bass end) counts before what was done (the turn).
    #[must_use]
    pub fn lies(&self) -> Lie {
        self.lie.unwrap_or_else(|| {
            let poles = match self.turn {
                Turn::Rolled | Turn::EndOverEnd => Way::Down,
                Turn::NotTurned => Way::Up,
            };
            let bass_end = match (self.bass_end_over, self.turn) {
                (Some(Side::Treble), _) | (None, Turn::EndOverEnd) => Way::Treble,
                (Some(Side::Bass), _) | (None, Turn::Rolled | Turn::NotTurned) => Way::Bass,
            };
            Lie { poles, bass_end }
        })
    }

    /// "rolled about its long axis, bass end over the bass strings".
    #[must_use]
    pub fn in_words(&self) -> String {
        let over = match self.bass_end_over {
            Some(Side::Bass) => "bass end over the bass strings",
            Some(Side::Treble) => "bass end over the treble strings",
            None => "ends not marked",
        };
        let turn = match self.turn {
            Turn::Rolled => "rolled about its long axis",
            Turn::EndOverEnd => "turned end over end",
            Turn::NotTurned => "not turned over",
        };
        match self.lie {
            // On an edge or an end, where the turn has no name.
            Some(lie)
                if !matches!(lie.poles, Way::Up | Way::Down) || !matches!(lie.bass_end, Way::Bass | Way::Treble) =>
            {
                format!("with its poles {} and its bass end {}", lie.poles.in_words(), lie.bass_end.in_words())
            }
            _ => format!("{turn}, {over}"),
        }
    }

    /// Whether its ends can be told apart.
    #[must_use]
    pub fn is_marked(&self) -> bool {
        self.bass_end_over.is_some() || self.lie.is_some_and(|lie| !matches!(lie.bass_end, Way::Bass | Way::Treble))
    }
}

/// A terminal and the leads in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct HookedUp {
    /// The terminal, by its place on the block, counted from 0.
    pub terminal: u8,
    /// Names of the leads in it, [`SHIELD`] for the shield; none when it stays empty.
    pub leads: Vec<String>,
    /// Whether each lead held when it was tugged.
    pub tugged: bool,
}

/// What was found out about a finish before the rig touched it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct FinishAnswer {
    /// Kind of finish.
    pub kind: FinishKind,
    /// Its surface.
    pub surface: Surface,
    /// Whether it is old, cracked or flaking, or has lines left by earlier tape.
    pub aged: bool,
    /// What the rig is to stand on; earlier versions did not ask it here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub feet: Option<Feet>,
    /// What lies between the feet and the finish.
    pub barrier: Barrier,
    /// What keeps the rig in its place where its feet can't; earlier versions did not ask.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub held_by: Option<HeldBy>,
    /// Whether it was tried where it does not show.
    pub tried: bool,
    /// Whether grit was wiped off first.
    pub wiped: bool,
    /// What the finish looked like before; may be empty.
    pub before: String,
}

/// How the rig stands on the guitar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct Seating {
    /// What it stands on.
    pub feet: Feet,
    /// Whether it stayed put when it was nudged.
    pub steady: bool,
}

/// When a finish was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Look {
    /// Before the rig stood on it.
    Before,
    /// After it was lifted off.
    After,
    /// Of a guitar's wiring, before anything in it is unsoldered.
    Wiring,
}

impl Look {
    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::After => "after",
            Self::Wiring => "of the wiring",
        }
    }
}

/// Gaps between the pickup and the strings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct GapsMeasured {
    /// At the bass side, in millimetres.
    pub bass: Millimetres,
    /// At the treble side, in millimetres.
    pub treble: Millimetres,
    /// The fret at which the strings were pressed; nothing when they were open.
    pub pressed_at: Option<u8>,
    /// Whether they stay like this, or the studs are still to be turned.
    pub kept: bool,
    /// At the strings between the outer ones, bass side first, in millimetres; nothing where it was not measured. Empty
    /// when none was.
    #[serde(default)]
    pub between: Vec<Option<Millimetres>>,
    /// How far the studs of the bass and of the treble side stand out of their lowest position, in millimetres, if that
    /// was measured.
    #[serde(default)]
    pub studs_out: Option<[Millimetres; 2]>,
}

impl GapsMeasured {
    /// At the bass and at the treble side.
    #[must_use]
    pub fn pair(&self) -> [Millimetres; 2] {
        [self.bass, self.treble]
    }

    /// How the strings were.
    #[must_use]
    pub fn strings(&self) -> Strings {
        Strings::at(self.pressed_at)
    }
}

/// The gaps to turn the studs for, when they are not the middle of the starting range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct GapAim {
    /// At the bass side, in millimetres.
    pub bass: Millimetres,
    /// At the treble side, in millimetres.
    pub treble: Millimetres,
    /// The fret at which the strings were pressed for these gaps; nothing when they were open.
    pub pressed_at: Option<u8>,
    /// The audition they were taken from; nothing when they were typed.
    pub from: Option<AuditionId>,
}

/// Where the pickup will be installed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct FinalPlace {
    /// What the place is called.
    pub place: String,
    /// From the saddle to the pole line, in millimetres; at the bass side where the two sides differ.
    pub from_saddle: Millimetres,
    /// The same at the treble side, for a slanted pickup or fanned frets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub from_saddle_treble: Option<Millimetres>,
}

/// The items of the stop lists: before the sound comes up, before the rig is taken down, before the iron is lit.
///
/// What each says and why is in [`crate::stop_lists`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Tick {
    /// Hands and floor dry, mains leads whole.
    DryAndWhole,
    /// Volume at zero, on the amplifier and on the guitar.
    VolumeAtZero,
    /// Amplifier in standby, or off.
    Standby,
    /// Cable plugged into the rig, then into the amplifier.
    PluggedIn,
    /// Switched on.
    SwitchedOn,
    /// Raised slowly, to a level at which one can still talk. From here on listening is counted.
    RaisedSlowly,
    /// Volume back at zero. Up to here listening is counted.
    VolumeDown,
    /// Amplifier in standby, or off.
    AmpQuiet,
    /// Cable out.
    Unplugged,
    /// Leads out of the terminals.
    LeadsFree,
    /// Rig lifted off. Up to here the time on the finish is counted.
    Lifted,
    /// Finish looked at.
    FinishLooked,
    /// The guitar is unplugged from everything.
    GuitarUnplugged,
    /// Its battery is out.
    BatteryOut,
    /// Strings off, or slack and covered.
    StringsSafe,
    /// The finish is covered.
    FinishCovered,
    /// Safety glasses on.
    GlassesOn,
    /// Fume is drawn away.
    AirMoving,
    /// Stand ready, bench clear, children and pets out.
    StandReady,
}

impl Tick {
    /// The list before the sound comes up.
    pub const SOUND_UP: [Self; 6] =
        [Self::DryAndWhole, Self::VolumeAtZero, Self::Standby, Self::PluggedIn, Self::SwitchedOn, Self::RaisedSlowly];
    /// The list before the rig is taken down.
    pub const TAKE_DOWN: [Self; 6] =
        [Self::VolumeDown, Self::AmpQuiet, Self::Unplugged, Self::LeadsFree, Self::Lifted, Self::FinishLooked];
    /// The list by which the sound goes down at a guitar without a rig.
    pub const SOUND_DOWN: [Self; 3] = [Self::VolumeDown, Self::AmpQuiet, Self::Unplugged];
    /// The list before the iron is lit.
    pub const IRON: [Self; 7] = [
        Self::GuitarUnplugged,
        Self::BatteryOut,
        Self::StringsSafe,
        Self::FinishCovered,
        Self::GlassesOn,
        Self::AirMoving,
        Self::StandReady,
    ];

    /// Whether the item is ticked by itself only: a hold, a clock or a look hangs on it.
    #[must_use]
    pub fn alone(self) -> bool {
        match self {
            Self::VolumeAtZero
            | Self::RaisedSlowly
            | Self::VolumeDown
            | Self::Lifted
            | Self::FinishLooked
            | Self::GuitarUnplugged
            | Self::BatteryOut
            | Self::FinishCovered => true,
            Self::DryAndWhole
            | Self::Standby
            | Self::PluggedIn
            | Self::SwitchedOn
            | Self::AmpQuiet
            | Self::Unplugged
            | Self::LeadsFree
            | Self::StringsSafe
            | Self::GlassesOn
            | Self::AirMoving
            | Self::StandReady => false,
        }
    }

    /// What it reads as in the logbook.
    #[must_use]
    pub fn done(self) -> &'static str {
        match self {
            Self::DryAndWhole => "Hands and floor dry, mains leads whole",
            Self::VolumeAtZero => "Volume at zero",
            Self::Standby => "Amplifier in standby or off",
            Self::PluggedIn => "Plugged in",
            Self::SwitchedOn => "Switched on",
            Self::RaisedSlowly => "Volume raised slowly",
            Self::VolumeDown => "Volume down",
            Self::AmpQuiet => "Amplifier in standby or off after listening",
            Self::Unplugged => "Unplugged",
            Self::LeadsFree => "Leads out of the terminals",
            Self::Lifted => "Rig lifted off",
            Self::FinishLooked => "Finish looked at",
            Self::GuitarUnplugged => "Guitar unplugged from everything",
            Self::BatteryOut => "Battery out",
            Self::StringsSafe => "Strings off, or slack and covered",
            Self::FinishCovered => "Finish covered",
            Self::GlassesOn => "Safety glasses on",
            Self::AirMoving => "Fume drawn away",
            Self::StandReady => "Stand ready, bench clear",
        }
    }
}
