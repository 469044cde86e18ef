//! The hookup as a drawing: leads at the left, the switch in the middle, hot and ground at the right.

use super::{SolderPoint, SolderPointKind};
use crate::audition::SHIELD;
use crate::drawing::{Drawn, Of, SHEET, Stands};

/// How far two leads, and two lugs, are apart.
const ROW: f64 = 34.0;
const LUG_ROW: f64 = 44.0;
const TOP: f64 = 30.0;
/// Where leads end, where the first column of lugs is, and where hot and ground are.
const LEAD_END: f64 = 96.0;
const LUGS: f64 = 186.0;
const LUG_COLUMN: f64 = 44.0;
const RIGHT: f64 = 322.0;

pub(super) fn hookup(points: &[SolderPoint], jumpers: &[[u8; 2]], sentence: &str, steps: &[String]) -> Drawn {
    let leads: Vec<(usize, &String)> =
        points.iter().enumerate().flat_map(|(at, point)| point.leads.iter().map(move |lead| (at, lead))).collect();
    let lugs = points.iter().filter(|point| matches!(point.kind, SolderPointKind::Lug { .. })).count();
    // A switch of six lugs is drawn as two columns of three, a larger one as columns of four.
    let per_column = if lugs > 6 { 4 } else { 3 };
    let rows = leads.len().max(4) as f64;
    let height = (TOP + rows * ROW + 20.0).max(TOP + per_column as f64 * LUG_ROW + 60.0);
    let mut next_free = 0.0;
    let places: Vec<[f64; 2]> = points
        .iter()
        .map(|point| match point.kind {
            SolderPointKind::Hot {} => [RIGHT, TOP + 20.0],
            SolderPointKind::Ground {} => [RIGHT, height - 40.0],
            SolderPointKind::Lug { number } => {
                let at = usize::from(number.saturating_sub(1));
                [
                    LUGS + (at / per_column) as f64 * column_width(lugs, per_column),
                    TOP + 20.0 + (at % per_column) as f64 * LUG_ROW,
                ]
            }
            SolderPointKind::Join {} | SolderPointKind::Insulated {} => {
                next_free += 1.0;
                [LUGS + 22.0, height - 20.0 - (next_free - 1.0) * 24.0]
            }
        })
        .collect();
    let mut drawn = Drawn::new("The hookup", format!("{sentence} {}", steps.join(" ")), height);
    drawn.between(Of::Case, [4.0, TOP - 8.0], [18.0, TOP + rows * ROW - 8.0], 4.0);
    for [from, to] in jumpers {
        if let (Some(from), Some(to)) = (places.get(usize::from(*from)), places.get(usize::from(*to))) {
            drawn.line(Of::Final, *from, *to, 2.5);
        }
    }
    for (row, (point, lead)) in leads.iter().enumerate() {
        let y = TOP + 6.0 + row as f64 * ROW;
        let of = if lead.as_str() == SHIELD { Of::Thin } else { Of::Act };
        drawn.line(of, [18.0, y], [LEAD_END, y], 2.0);
        if let Some(place) = places.get(*point) {
            drawn.line(of, [LEAD_END, y], *place, 2.0);
        }
        drawn.word(Of::Plain, [24.0, y - 5.0], Stands::Start, lead.as_str());
    }
    for (point, place) in points.iter().zip(&places) {
        let [x, y] = *place;
        let round = |drawn: &mut Drawn, radius: f64| drawn.round(Of::Steel, [x, y], radius);
        match point.kind {
            SolderPointKind::Hot {} => {
                round(&mut drawn, 6.0);
                drawn.word(Of::Strong, [(x + 34.0).min(SHEET - 4.0), y - 12.0], Stands::End, "hot");
            }
            SolderPointKind::Ground {} => {
                round(&mut drawn, 6.0);
                drawn.word(Of::Strong, [(x + 34.0).min(SHEET - 4.0), y + 22.0], Stands::End, "ground");
            }
            SolderPointKind::Lug { number } => {
                round(&mut drawn, 5.0);
                drawn.word(Of::Soft, [x + 8.0, y - 6.0], Stands::Start, number.to_string());
            }
            SolderPointKind::Join {} => {
                round(&mut drawn, 4.0);
                drawn.word(Of::Soft, [x + 8.0, y + 4.0], Stands::Start, "joined, insulated");
            }
            SolderPointKind::Insulated {} => {
                round(&mut drawn, 3.0);
                drawn.word(Of::Soft, [x + 8.0, y + 4.0], Stands::Start, "insulated");
            }
        }
    }
    drawn
}

/// Columns of lugs fill the middle of the sheet.
fn column_width(lugs: usize, per_column: usize) -> f64 {
    let columns = lugs.div_ceil(per_column).max(1);
    (LUG_COLUMN).min((RIGHT - LUGS - 30.0) / columns as f64)
}
