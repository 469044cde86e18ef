//! On which side of a picture the bass strings are, by the hand a guitar is strung for.

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::guitar::{Guitar, Hand};
use crate::record::mounting::Way;

/// Left or right on a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/guitar.ts")]
pub enum LeftRight {
    /// At the left.
    Left,
    /// At the right.
    Right,
}

/// Top or bottom of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/guitar.ts")]
pub enum TopBottom {
    /// At the top.
    Top,
    /// At the bottom.
    Bottom,
}

/// Where the bass strings are, on each way a guitar is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/guitar.ts")]
pub struct Sides {
    /// Seen from the front with the neck at the top.
    pub neck_up: LeftRight,
    /// Seen from the front with the neck to the left.
    pub neck_left: TopBottom,
    /// Seen along the strings from the bridge, the guitar on its back.
    pub from_bridge: LeftRight,
}

/// A direction on a guitar that is strung for this hand, in the room's axes: x to the bridge, y to the right when one
/// looks from the bridge to the neck, z up from the guitar's face. Strung for the left hand, bass and treble have changed
/// places.
#[must_use]
pub fn in_the_room(way: Way, strung: Hand) -> Vector3<f64> {
    let vector = vector(way);
    Vector3::new(vector.x, across(strung) * vector.y, vector.z)
}

/// 1 where the treble strings are to the right when one looks from the bridge to the neck, −1 where they are to the left.
#[must_use]
pub fn across(strung: Hand) -> f64 {
    match strung {
        Hand::Right => 1.0,
        Hand::Left => -1.0,
    }
}

/// Where the bass strings of a guitar are on each picture; a guitar nobody knows is strung for the right hand.
#[must_use]
pub fn sides(guitar: Option<&Guitar>) -> Sides {
    let bass = in_the_room(Way::Bass, guitar.map_or(Hand::Right, Guitar::strung_for));
    // With the neck at the top the bridge is down and the room's y to the right. With the neck to the left the bridge is to
    // the right, and the room's y goes up the picture. From the bridge one looks along the strings with y to the right.
    let to_the_right = if bass.y > 0.0 { LeftRight::Right } else { LeftRight::Left };
    Sides {
        neck_up: to_the_right,
        neck_left: if bass.y > 0.0 { TopBottom::Top } else { TopBottom::Bottom },
        from_bridge: to_the_right,
    }
}

/// A direction as a vector in the guitar's axes.
#[must_use]
pub fn vector(way: Way) -> Vector3<f64> {
    match way {
        Way::Up => Vector3::z(),
        Way::Down => -Vector3::z(),
        Way::Treble => Vector3::y(),
        Way::Bass => -Vector3::y(),
        Way::Bridge => Vector3::x(),
        Way::Neck => -Vector3::x(),
    }
}

/// The direction a vector points in, if it points along one of the six.
#[must_use]
pub fn way_of(pointing: &Vector3<f64>) -> Option<Way> {
    Way::ALL.into_iter().find(|way| (vector(*way) - pointing).norm() < 1e-6)
}
