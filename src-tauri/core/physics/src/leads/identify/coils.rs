//! The coils inside a part: three points have two coils, and the readings say at which point they join.

use super::facts::Measured;
use super::{CoilFound, LeadsFound, Table, Wiring};
use crate::meter::SHORT_BELOW;
use crate::record::claim::Meter;
use crate::record::quantity::Ohms;
use crate::record::words::listed;

/// Where coils are joined is not known yet.
#[derive(Clone, Copy)]
pub(super) struct JoinUnknown {
    /// The pair that would tell; nothing when it can't be reached.
    pub pair: Option<(usize, usize)>,
}

/// Finds the coils of `wiring`, where it is known, else those that were measured directly.
pub(super) fn find(
    table: &Table,
    measured: &Measured,
    wiring: Option<&Wiring>,
    meter: &Meter,
    found: &mut LeadsFound,
) -> Option<JoinUnknown> {
    let Some(wiring) = wiring else {
        for (a, b, ohms) in &measured.coils {
            found.coils.push(coil(table, *a, *b, *ohms));
        }
        in_order(table, found);
        return None;
    };
    let count = table.nodes.count();
    let parts = (0..count).map(|node| wiring.part[node]).max().map_or(0, |last| last + 1);
    let mut needed: Option<JoinUnknown> = None;
    for part in 0..parts {
        let points: Vec<Vec<usize>> = points_of(wiring, part, count);
        if points.len() > 1 {
            let question = in_part(table, measured, &points, meter, found);
            needed = match (needed, question) {
                (Some(JoinUnknown { pair: None }) | None, question) if question.is_some() => question,
                (needed, _) => needed,
            };
        }
    }
    in_order(table, found);
    needed
}

/// Sorts the coils by the order of their leads.
fn in_order(table: &Table, found: &mut LeadsFound) {
    found
        .coils
        .sort_by_key(|coil| coil.between.clone().map(|name| table.names.iter().position(|other| *other == name)));
}

/// The nodes of each point of a part.
fn points_of(wiring: &Wiring, part: u8, count: usize) -> Vec<Vec<usize>> {
    let mut points: Vec<Vec<usize>> = Vec::new();
    for node in (0..count).filter(|node| wiring.part[*node] == part) {
        match points.iter_mut().find(|point| wiring.point[point[0]] == wiring.point[node]) {
            Some(point) => point.push(node),
            None => points.push(vec![node]),
        }
    }
    points
}

fn in_part(
    table: &Table,
    measured: &Measured,
    points: &[Vec<usize>],
    meter: &Meter,
    found: &mut LeadsFound,
) -> Option<JoinUnknown> {
    // Each pair of points, with its reading if there is one between any of their nodes.
    let mut distances: Vec<(usize, usize, Option<f64>)> = Vec::new();
    for a in 0..points.len() {
        for b in a + 1..points.len() {
            let mut readings = points[a].iter().flat_map(|x| points[b].iter().filter_map(|y| measured.between(*x, *y)));
            let first = readings.next();
            if let Some((first, other)) =
                first.and_then(|first| readings.find(|o| !near(*o, first, 2.0, meter)).map(|o| (first, o)))
            {
                found.contradictions.push(format!(
                    "Between {} and {} it reads {} and {}, although it is the same coil. Measure both again.",
                    table.said(points[a][0]),
                    table.said(points[b][0]),
                    Ohms(first).shown(),
                    Ohms(other).shown()
                ));
            }
            distances.push((a, b, first));
        }
    }
    let missing = distances.iter().filter(|(.., ohms)| ohms.is_none());
    let mut pairs = missing
        .clone()
        .flat_map(|(a, b, _)| points[*a].iter().flat_map(|x| points[*b].iter().map(move |y| (*x.min(y), *x.max(y)))));
    if missing.clone().next().is_some() {
        for (a, b, ohms) in &distances {
            if let Some(ohms) = ohms {
                let [a, b] = [*a, *b].map(|point| points[point][0]);
                found.coils.push(coil(table, a.min(b), a.max(b), *ohms));
            }
        }
        let pair = pairs.find(|(a, b)| table.reachable(*a, *b));
        if pair.is_none() {
            found.notes.push("At which lead the coils are joined stays open: a pair can't be reached.".to_owned());
        }
        return Some(JoinUnknown { pair });
    }
    tree(table, points, &distances, meter, found);
    None
}

/// The coils are the smallest readings that join all points; the others must be sums of them.
fn tree(
    table: &Table,
    points: &[Vec<usize>],
    distances: &[(usize, usize, Option<f64>)],
    meter: &Meter,
    found: &mut LeadsFound,
) {
    let mut sorted: Vec<(usize, usize, f64)> =
        distances.iter().filter_map(|(a, b, ohms)| Some((*a, *b, (*ohms)?))).collect();
    sorted.sort_by(|a, b| a.2.total_cmp(&b.2));
    let mut group: Vec<usize> = (0..points.len()).collect();
    let mut edges: Vec<(usize, usize, f64)> = Vec::new();
    for (a, b, ohms) in &sorted {
        let (from, to) = (group[*a], group[*b]);
        if from != to {
            group.iter_mut().filter(|of| **of == to).for_each(|of| *of = from);
            edges.push((*a, *b, *ohms));
        }
    }
    for (a, b, ohms) in &sorted {
        let path = path(&edges, *a, *b);
        let sum: f64 = path.iter().sum();
        // Each reading may lie off by the meter's claim.
        let allowed: f64 = path.iter().chain([ohms]).map(|ohms| meter.claim(Ohms(*ohms)).0).sum();
        if (sum - ohms).abs() > allowed.max(SHORT_BELOW / 10.0) {
            found.contradictions.push(format!(
                "{} to {} reads {}, but the coils between them add up to {}. Measure those pairs again.",
                table.said(points[*a][0]),
                table.said(points[*b][0]),
                Ohms(*ohms).shown(),
                Ohms(sum).shown()
            ));
            return;
        }
    }
    for (a, b, ohms) in &edges {
        let [a, b] = [*a, *b].map(|point| points[point][0]);
        found.coils.push(coil(table, a.min(b), a.max(b), *ohms));
    }
    for (place, point) in points.iter().enumerate() {
        if edges.iter().filter(|(a, b, _)| *a == place || *b == place).count() > 1 {
            found.joins.push(listed(&point.iter().map(|node| table.said(*node)).collect::<Vec<_>>()));
        }
    }
}

/// The coils on the way from one point to another in a tree.
fn path(edges: &[(usize, usize, f64)], from: usize, to: usize) -> Vec<f64> {
    fn walk(edges: &[(usize, usize, f64)], here: usize, to: usize, came: Option<usize>) -> Option<Vec<f64>> {
        if here == to {
            return Some(Vec::new());
        }
        edges.iter().enumerate().filter(|(edge, (a, b, _))| Some(*edge) != came && (*a == here || *b == here)).find_map(
            |(edge, (a, b, ohms))| {
                let mut rest = walk(edges, if *a == here { *b } else { *a }, to, Some(edge))?;
                rest.push(*ohms);
                Some(rest)
            },
        )
    }
    walk(edges, from, to, None).unwrap_or_default()
}

fn coil(table: &Table, a: usize, b: usize, ohms: f64) -> CoilFound {
    let [one, other] = [a, b].map(|node| table.said(node));
    CoilFound {
        between: [table.names[a].clone(), table.names[b].clone()],
        ohms: Ohms(ohms),
        sentence: format!("{one} to {other} {}", Ohms(ohms).shown()),
    }
}

/// Whether two readings are alike within the meter's claim for both, times `slack`.
fn near(a: f64, b: f64, slack: f64, meter: &Meter) -> bool {
    (a - b).abs() <= slack * meter.claim(Ohms(a.max(b))).0
}
