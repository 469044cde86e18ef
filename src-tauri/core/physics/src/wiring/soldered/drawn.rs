//! The hookup as a drawing: the pickup's leads at the left, the switch in the middle, the hot above and ground below.
//!
//! Wires run across and up and down, none through a lug that is not its own, and are joined only where there is a dot or a
//! lug: what crosses does not touch.

use super::{SolderPoint, SolderPointKind};
use crate::drawing::{Drawn, Of, SHEET, Stands};
use crate::record::leads::Contact;

/// Where the hot runs across, and the first lead; how far leads are apart.
const HOT: f64 = 26.0;
const FIRST_ROW: f64 = 54.0;
const ROW: f64 = 30.0;
/// Where leads turn up or down, each at its own distance.
const TURNS: f64 = 112.0;
const TURN: f64 = 8.0;
/// Where the first lug is, and how far lugs are apart.
const LUGS: f64 = 210.0;
const LUG: f64 = 44.0;
const COLUMNS: usize = 4;
/// Beside a column of lugs, where wires run up and down.
const BESIDE: f64 = 20.0;
const BESIDE_STEP: f64 = 6.0;
const RIGHT: f64 = SHEET - 8.0;
/// How much of a lead's name has room, in letters.
const NAME: usize = 13;

/// A lead and the number of the point it goes to.
type Lead<'a> = (usize, &'a Contact);

pub(super) fn hookup(points: &[SolderPoint], jumpers: &[[u8; 2]], sentence: &str, steps: &[String]) -> Drawn {
    let leads = leads(points);
    let lugs = points.iter().filter(|point| matches!(point.kind, SolderPointKind::Lug { .. })).count();
    // A switch of six lugs is drawn as two columns of three, a larger one as columns of four; no more than four of them have room.
    let column = if lugs > 6 { lugs.div_ceil(COLUMNS).max(4) } else { 3 };
    let top = clearest(leads.len(), lugs.min(column), lugs.div_ceil(column));
    let below_leads = FIRST_ROW + leads.len().max(3) as f64 * ROW;
    let below_lugs = if lugs == 0 { 0.0 } else { top + lugs.min(column) as f64 * LUG - 12.0 };
    let mut free = below_leads.max(below_lugs) - 30.0;
    let mut places: Vec<[f64; 2]> = Vec::with_capacity(points.len());
    for point in points {
        places.push(match point.kind {
            SolderPointKind::Hot {} | SolderPointKind::Ground {} => [0.0; 2],
            SolderPointKind::Lug { number } => {
                let at = usize::from(number.saturating_sub(1));
                [LUGS + (at / column) as f64 * LUG, top + (at % column) as f64 * LUG]
            }
            SolderPointKind::Join {} | SolderPointKind::Insulated {} | SolderPointKind::Beside { .. } => {
                free += 26.0;
                [LUGS, free]
            }
        });
    }
    let ground = free + 32.0;
    let mut drawn = Drawn::new("The hookup", format!("{sentence} {}", steps.join(" ")), ground + 26.0);
    drawn.between(Of::Case, [4.0, HOT + 8.0], [18.0, ground - 8.0], 4.0);
    for y in [HOT, ground] {
        drawn.line(Of::Thin, [TURNS - 8.0, y], [RIGHT, y], 4.0);
    }
    let sheet = Sheet { points, places, column, ground };
    sheet.leads(&mut drawn, &leads);
    sheet.jumpers(&mut drawn, jumpers);
    sheet.points(&mut drawn);
    drawn.word(Of::Strong, [RIGHT, HOT - 8.0], Stands::End, "hot");
    drawn.word(Of::Strong, [RIGHT, ground + 17.0], Stands::End, "ground");
    drawn.word(Of::Soft, [4.0, ground + 17.0], Stands::Start, "Joined only at dots and lugs");
    drawn
}

/// The leads from above: those to the hot, to the lugs and to joints of their own, and to ground.
fn leads(points: &[SolderPoint]) -> Vec<Lead<'_>> {
    let place = |at: &usize| match points[*at].kind {
        SolderPointKind::Hot {} => (0, 0),
        SolderPointKind::Lug { number } => (1, number),
        SolderPointKind::Join {} => (2, 0),
        SolderPointKind::Insulated {} => (3, 0),
        SolderPointKind::Beside { .. } => (3, 1),
        SolderPointKind::Ground {} => (4, 0),
    };
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by_key(place);
    order.into_iter().flat_map(|at| points[at].leads.iter().map(move |lead| (at, lead))).collect()
}

/// Where the first row of lugs is, so that no wire to a lug runs along a lead on its way.
fn clearest(leads: usize, rows: usize, columns: usize) -> f64 {
    let off = |top: f64| {
        let runs = (0..rows).flat_map(|row| (0..columns.max(1)).map(move |column| (row, column)));
        let runs = runs.map(|(row, column)| run(top + row as f64 * LUG, column));
        runs.flat_map(|y| (0..leads).map(move |lead| (y - FIRST_ROW - lead as f64 * ROW).abs()))
            .fold(f64::INFINITY, f64::min)
    };
    let tops = (0..40).map(|step| FIRST_ROW + 8.0 + f64::from(step));
    tops.reduce(|best, next| if off(next) > off(best) { next } else { best }).unwrap_or(FIRST_ROW + 8.0)
}

/// How high a wire from the left runs to a lug of this column: to the first it runs straight, to another above the row.
fn run(lug: f64, column: usize) -> f64 {
    if column == 0 { lug } else { lug - 3.0 - 6.0 * column as f64 }
}

struct Sheet<'a> {
    points: &'a [SolderPoint],
    places: Vec<[f64; 2]>,
    /// How many lugs a column has.
    column: usize,
    ground: f64,
}

impl Sheet<'_> {
    fn column_of(&self, point: usize) -> Option<usize> {
        match self.points.get(point)?.kind {
            SolderPointKind::Lug { number } => Some(usize::from(number.saturating_sub(1)) / self.column),
            _ => None,
        }
    }

    /// How high the hot or ground runs.
    fn rail(&self, point: usize) -> Option<f64> {
        match self.points.get(point)?.kind {
            SolderPointKind::Hot {} => Some(HOT),
            SolderPointKind::Ground {} => Some(self.ground),
            _ => None,
        }
    }

    fn leads(&self, drawn: &mut Drawn, leads: &[Lead]) {
        let row = |at: usize| FIRST_ROW + at as f64 * ROW;
        let goes_to = |at: usize| {
            let (point, _) = leads[at];
            self.rail(point).unwrap_or_else(|| run(self.places[point][1], self.column_of(point).unwrap_or(0)))
        };
        // Of those that go down, the lowest turns first, and of those that go up, the highest: so they cross least.
        let down = (0..leads.len()).rev().filter(|at| goes_to(*at) > row(*at));
        let turning: Vec<usize> = down.chain((0..leads.len()).filter(|at| goes_to(*at) <= row(*at))).collect();
        for (at, (point, lead)) in leads.iter().enumerate() {
            let of = if **lead == Contact::Shield { Of::Thin } else { Of::Act };
            let turn = turning.iter().position(|other| *other == at).unwrap_or(0) as f64;
            let (x, y, to) = (TURNS + turn * TURN, row(at), goes_to(at));
            let mut way = vec![[18.0, y], [x, y], [x, to]];
            if self.rail(*point).is_none() {
                way.extend([[self.places[*point][0], to], self.places[*point]]);
            }
            line(drawn, of, &way);
            if self.rail(*point).is_some() {
                drawn.round(Of::Final, [x, to], 4.0);
            }
            drawn.word(Of::Plain, [24.0, y - 5.0], Stands::Start, shortened(lead.as_str()));
        }
    }

    fn jumpers(&self, drawn: &mut Drawn, jumpers: &[[u8; 2]]) {
        let mut beside = vec![0.0; self.points.len()];
        for [from, to] in jumpers {
            let mut ends = [usize::from(*from), usize::from(*to)];
            // From the hot or ground, or from the lug further left.
            ends.sort_by_key(|point| self.column_of(*point).map_or(0, |column| column + 1));
            let [from, to] = ends;
            let Some(column) = self.column_of(from).or_else(|| self.column_of(to)) else { continue };
            let x = LUGS + column as f64 * LUG + BESIDE + beside[column] * BESIDE_STEP;
            beside[column] += 1.0;
            let [x_to, y_to] = self.places[to];
            match (self.rail(from), self.column_of(to)) {
                (Some(rail), _) => {
                    line(drawn, Of::Act, &[[x, rail], [x, y_to], [x_to, y_to]]);
                    drawn.round(Of::Final, [x, rail], 4.0);
                }
                (None, Some(next)) => {
                    let y = self.places[from][1];
                    // Over a column between them, or straight into the lug.
                    let run = if next > column + 1 { y_to - 20.0 } else { y_to };
                    line(drawn, Of::Act, &[self.places[from], [x, y], [x, run], [x_to, run], [x_to, y_to]]);
                }
                (None, None) => {}
            }
        }
    }

    fn points(&self, drawn: &mut Drawn) {
        for (point, [x, y]) in self.points.iter().zip(&self.places) {
            let (radius, word) = match point.kind {
                SolderPointKind::Hot {} | SolderPointKind::Ground {} => continue,
                SolderPointKind::Lug { number } => (5.0, number.to_string()),
                SolderPointKind::Join {} => (4.0, "joined, insulated".to_owned()),
                SolderPointKind::Insulated {} => (3.0, "insulated".to_owned()),
                SolderPointKind::Beside { ref place } => (4.0, beside(place, &point.name)),
            };
            drawn.round(Of::Steel, [*x, *y], radius);
            let below = match point.kind {
                SolderPointKind::Lug { .. } | SolderPointKind::Beside { .. } => 14.0,
                _ => 4.0,
            };
            drawn.word(Of::Soft, [x + 8.0, y + below], Stands::Start, word);
        }
    }
}

/// A wire that turns at these places; where two are the same, it does not turn.
fn line(drawn: &mut Drawn, of: Of, way: &[[f64; 2]]) {
    for pair in way.windows(2).filter(|pair| pair[0] != pair[1]) {
        drawn.line(of, pair[0], pair[1], 2.0);
    }
}

/// What stands beside the leads, in few letters: `neck lug`, `neck’s ground`.
fn beside(place: &str, name: &str) -> String {
    let what = if name.ends_with("lead") { "’s ground" } else { " lug" };
    format!("{}{what}", shortened(place))
}

fn shortened(lead: &str) -> String {
    if lead.chars().count() > NAME {
        format!("{}…", lead.chars().take(NAME - 1).collect::<String>())
    } else {
        lead.to_owned()
    }
}
