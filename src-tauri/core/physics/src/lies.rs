//! A lie as one of 24 proper rotations, and the turns of a pickup about its own axes.
//!
//! Everything is told in the guitar's own axes: x along the strings to the bridge, y across from the bass to the treble
//! strings, z up from the guitar's face. The pickup's axes are those it will have installed: its bridge edge, its
//! treble end, its pole side. A pickup that lies as installed is turned by nothing. A guitar that is strung for the left
//! hand is the mirror image of one that is strung for the right hand, and so are both sets of axes; a lie is the same
//! rotation in them, and [`InSpace::in_the_room`] tells what the hands turn. A pickup is a thing and is never mirrored: with
//! its bass end over the bass strings the other one of its edges faces the bridge on a left-handed guitar
//! ([`super::coils::coils_of`], [`InSpace::of_the_thing`]).

use nalgebra::{Matrix3, Rotation3, Unit, Vector3};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::guitar::Hand;
use crate::record::mounting::Lie;
use crate::sides::{across, in_the_room, vector, way_of};

/// An axis of the pickup to turn it about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/facing.ts")]
pub enum Axis {
    /// Rolled like a log, about its long axis.
    Roll,
    /// Turned end over end, about its short axis.
    EndOverEnd,
    /// Turned flat like a compass needle, about the axis its poles point along.
    Flat,
}

impl Axis {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Roll, Self::EndOverEnd, Self::Flat];

    fn axis(self) -> Unit<Vector3<f64>> {
        match self {
            Self::Roll => Vector3::y_axis(),
            Self::EndOverEnd => Vector3::x_axis(),
            Self::Flat => Vector3::z_axis(),
        }
    }
}

/// A turn about one of the pickup's own axes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/facing.ts")]
pub struct Turned {
    /// The axis.
    pub about: Axis,
    /// Quarter turns: 1, 2 for half a turn, or 3 for a quarter the other way.
    pub quarters: u8,
}

impl Turned {
    /// Half a turn.
    #[must_use]
    pub fn half(about: Axis) -> Self {
        Self { about, quarters: 2 }
    }

    /// All nine turns, half turns first.
    pub fn all() -> impl Iterator<Item = Self> {
        [2, 1, 3].into_iter().flat_map(|quarters| Axis::ALL.map(|about| Self { about, quarters }))
    }

    /// The turn as a rotation of the pickup in its own axes.
    #[must_use]
    pub fn rotation(self) -> Rotation3<f64> {
        exact(Rotation3::from_axis_angle(
            &self.about.axis(),
            f64::from(self.quarters % 4) * std::f64::consts::FRAC_PI_2,
        ))
    }

    /// "Roll it half a turn about its long axis". A quarter turn says which way by where it ends: `there` is how the pickup
    /// lies afterwards.
    #[must_use]
    pub fn in_words(self, there: Lie) -> String {
        let much = if self.quarters == 2 { "half a turn" } else { "a quarter turn" };
        let until = if self.quarters == 2 { String::new() } else { format!(", until {}", self.shows(there)) };
        match self.about {
            Axis::Roll => format!("Roll it {much} about its long axis, like a log{until}"),
            Axis::EndOverEnd => format!("Turn it {much} end over end{until}"),
            Axis::Flat => format!("Turn it flat by {much}, like a compass needle{until}"),
        }
    }

    /// What shows that a quarter turn went the right way: "its poles point to the bridge".
    #[must_use]
    pub fn shows(self, there: Lie) -> String {
        match self.about {
            Axis::Roll => format!("its poles point {}", there.poles.in_words()),
            Axis::EndOverEnd | Axis::Flat => format!("its bass end points {}", there.bass_end.in_words()),
        }
    }
}

/// Quarter turns have whole numbers in their matrix; this takes the rounding of sines and cosines out.
fn exact(rotation: Rotation3<f64>) -> Rotation3<f64> {
    Rotation3::from_matrix_unchecked(rotation.matrix().map(f64::round))
}

/// A lie as a rotation: one of 24.
pub trait InSpace: Sized {
    /// The rotation from the installed state, in the guitar's axes; none when [`Lie::is_possible`] says no.
    #[must_use]
    fn rotation(self) -> Option<Rotation3<f64>>;

    /// The lie of a rotation, if it is one of the 24.
    #[must_use]
    fn from_rotation(rotation: &Rotation3<f64>) -> Option<Self>;

    /// What the hands turn: the same lie as a rotation in the room's axes (x to the bridge, y to the right when one looks
    /// from the bridge to the neck, z up). On a left-handed guitar the axes of guitar and pickup are mirrored.
    #[must_use]
    fn in_the_room(self, hand: Hand) -> Option<Rotation3<f64>>;

    /// The pickup itself in the room's axes, on a guitar that is strung for this hand: what turns the thing from how it lies
    /// installed on a guitar that is strung for the right hand.
    #[must_use]
    fn of_the_thing(self, strung: Hand) -> Option<Rotation3<f64>>;

    /// How it lies after a turn about one of its own axes.
    #[must_use]
    fn turned(self, turned: Turned) -> Option<Self>;
}

impl InSpace for Lie {
    fn rotation(self) -> Option<Rotation3<f64>> {
        if !self.is_possible() {
            return None;
        }
        let (treble_end, poles) = (vector(self.bass_end.opposite()), vector(self.poles));
        let bridge_edge = treble_end.cross(&poles);
        Some(Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[bridge_edge, treble_end, poles])))
    }

    fn from_rotation(rotation: &Rotation3<f64>) -> Option<Self> {
        let poles = way_of(&(rotation * Vector3::z()))?;
        let bass_end = way_of(&(rotation * -Vector3::y()))?;
        Some(Self { poles, bass_end })
    }

    fn in_the_room(self, hand: Hand) -> Option<Rotation3<f64>> {
        let rotation = self.rotation()?;
        let mirror = Matrix3::from_diagonal(&Vector3::new(1.0, across(hand), 1.0));
        Some(Rotation3::from_matrix_unchecked(mirror * rotation.matrix() * mirror))
    }

    fn of_the_thing(self, strung: Hand) -> Option<Rotation3<f64>> {
        let poles = in_the_room(self.poles, strung);
        let treble_end = -in_the_room(self.bass_end, strung);
        self.is_possible().then(|| {
            let bridge_edge = treble_end.cross(&poles);
            Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[bridge_edge, treble_end, poles]))
        })
    }

    fn turned(self, turned: Turned) -> Option<Self> {
        Self::from_rotation(&exact(self.rotation()? * turned.rotation()))
    }
}
