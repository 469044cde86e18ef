//! How a pickup lies in the rig: which way its poles and its bass end point.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::rig::Faces;

/// A side of the guitar, by its strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum Side {
    /// The side of the thick strings.
    Bass,
    /// The side of the thin strings.
    Treble,
}

/// How a pickup was turned from its installed position into the rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
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
#[ts(export_to = "contract/facing.ts")]
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

/// A direction on a guitar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum Way {
    /// Away from the guitar's face.
    Up,
    /// Into the guitar's face.
    Down,
    /// Across, to the bass strings.
    Bass,
    /// Across, to the treble strings.
    Treble,
    /// Along the strings, to the neck.
    Neck,
    /// Along the strings, to the bridge.
    Bridge,
}

impl Way {
    /// All six.
    pub const ALL: [Self; 6] = [Self::Up, Self::Down, Self::Bass, Self::Treble, Self::Neck, Self::Bridge];

    /// The opposite direction.
    #[must_use]
    pub fn opposite(self) -> Self {
        match self {
            Self::Up => Self::Down,
            Self::Down => Self::Up,
            Self::Bass => Self::Treble,
            Self::Treble => Self::Bass,
            Self::Neck => Self::Bridge,
            Self::Bridge => Self::Neck,
        }
    }

    /// As in "to the bridge".
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Up => "up",
            Self::Down => "down",
            Self::Bass => "to the bass strings",
            Self::Treble => "to the treble strings",
            Self::Neck => "to the neck",
            Self::Bridge => "to the bridge",
        }
    }
}

/// How a pickup lies, of the 24 ways in which its edges run along and across the strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/facing.ts")]
pub struct Lie {
    /// Where its poles point.
    pub poles: Way,
    /// Where its bass end points; at a right angle to the poles.
    pub bass_end: Way,
}

impl Lie {
    /// As it will be installed: poles up, bass end to the bass strings.
    pub const INSTALLED: Self = Self { poles: Way::Up, bass_end: Way::Bass };

    /// All 24.
    pub fn all() -> impl Iterator<Item = Self> {
        Way::ALL.into_iter().flat_map(|poles| {
            Way::ALL.into_iter().map(move |bass_end| Self { poles, bass_end }).filter(|lie| lie.is_possible())
        })
    }

    /// Whether poles and bass end are at a right angle, as they are on every pickup.
    #[must_use]
    pub fn is_possible(self) -> bool {
        self.poles != self.bass_end && self.poles != self.bass_end.opposite()
    }

    /// How a pickup should lie in a rig: its poles to the strings, its bass end over the bass strings.
    #[must_use]
    pub fn right(faces: Faces) -> Self {
        let poles = match faces {
            Faces::Down => Way::Down,
            Faces::Up => Way::Up,
        };
        Self { poles, bass_end: Way::Bass }
    }
}
