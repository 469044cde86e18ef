//! Where the coils of a pickup are, in its own axes.

use nalgebra::Vector3;

use crate::record::guitar::Hand;
use crate::record::pickup::{Coil, CoilName, Construction, Pickup};
use crate::record::quantity::Millimetres;
use crate::sides::across;

/// The distance between the pole lines of two coils, and whether the record says it.
///
/// 18 mm for coils side by side is common practice; 9 mm for rails and 13 mm for a mini are from memory.
#[must_use]
pub fn coil_distance(pickup: &Pickup) -> (Millimetres, bool) {
    if let Some(known) = pickup.coil_distance.filter(|distance| distance.0 > 0.0) {
        return (known, true);
    }
    let usual = match pickup.construction {
        Construction::Rail => 9.0,
        Construction::Mini => 13.0,
        Construction::SingleCoil
        | Construction::Stacked
        | Construction::SideBySide
        | Construction::SoapBar
        | Construction::TappedCoil => 18.0,
    };
    (Millimetres(usual), false)
}

/// Where the middle of each coil is, in the axes the pickup has installed on a guitar that is strung for this hand, in
/// millimetres. Side by side, A is nearest the neck where it is strung for the right hand and nearest the bridge where it
/// is strung for the left one: the same pickup lies turned round there, its bass end over the bass strings. Stacked, A is
/// uppermost.
#[must_use]
pub fn coils_of(pickup: &Pickup, strung: Hand) -> Vec<(CoilName, Vector3<f64>)> {
    let count = pickup.coils.len() as f64;
    let (distance, _) = coil_distance(pickup);
    let beside = pickup.has_coils_side_by_side();
    pickup
        .coils
        .iter()
        .enumerate()
        .map(|(index, coil): (usize, &Coil)| {
            let at = index as f64 - (count - 1.0) / 2.0;
            let place = if beside {
                Vector3::new(across(strung) * at * distance.0, 0.0, 0.0)
            } else {
                Vector3::new(0.0, 0.0, -at * pickup.depth.map_or(18.0, |depth| depth.0) / count.max(1.0))
            };
            (coil.name, place)
        })
        .collect()
}
