//! Two pickups in a row in one position of the selector.

use super::{GROUNDS, InstallCircuit, LUGS, MOST_POINTS};
use crate::network::Node;
use crate::record::wiring::InRow;
use crate::wiring::{JackCase, SolderPointKind};

/// Two pickups of which one stands on the other in a position of the selector, by their numbers among the places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::wiring) struct Row {
    /// The position's number.
    pub position: u8,
    /// The one whose ground end is lifted: its hot lies at the output for good.
    pub upper: u8,
    /// The one it stands on.
    pub lower: u8,
    /// The point of the wiring that is the lower one's lug, or the upper one's ground end.
    point: u8,
}

impl Row {
    pub fn of(row: &InRow, places: &[String], install: &JackCase) -> Option<Self> {
        let number = |name: &String| places.iter().position(|place| place == name).and_then(|at| u8::try_from(at).ok());
        let positions = &install.path.positions;
        let points = install.wiring.points.iter().take(MOST_POINTS);
        Some(Self {
            position: u8::try_from(positions.iter().position(|position| position.name == row.position)?).ok()?,
            upper: number(&row.upper)?,
            lower: number(&row.lower)?,
            point: (0_u8..).zip(points).find(|(_, of)| matches!(of.kind, SolderPointKind::Beside { .. }))?.0,
        })
    }

    /// Where the wiring's own point lies in the guitar.
    pub fn lies_at(self) -> (u8, Node) {
        (self.point, if self.upper == 0 { LUGS + self.lower } else { GROUNDS + self.upper })
    }

    /// Whether the ground end of a pickup that stays is lifted.
    pub fn lifts(self, place: u8) -> bool {
        place > 0 && place == self.upper
    }
}

impl InstallCircuit {
    /// The places that a position of the selector joins to its output by a contact.
    pub fn contacts(&self, selector: u8) -> impl Iterator<Item = u8> + '_ {
        let places =
            self.selector.get(usize::from(selector)).into_iter().flat_map(|(_, places)| places.iter().copied());
        places.filter(move |place| {
            self.row.is_none_or(|row| row.upper != *place && !(row.position == selector && row.lower == *place))
        })
    }
}
