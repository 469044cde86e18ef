//! What a person who knew all could say of the readings of an install: which causes could have led to them at all. Written
//! apart from the proof: no prior and no Bayes, only what is possible.

use solderlast_core::physics::meter::{COPPER_PER_DEGREE, WINDING};
use solderlast_core::physics::network::Seen;
use solderlast_core::physics::wiring::{InstallCause, InstallGiven, install_values};
use solderlast_core::record::quantity::Ohms;

use super::guitar::Guitar;

/// Whether resistances in their range make what this cause sees show, within twice the claim, what is shown exactly: once for
/// each reading's error. It is looked for along each resistance and along pairs of them, from what they really are and from
/// the middle of their ranges.
pub fn could_be(guitar: &Guitar, wrong: Option<&InstallCause>, seen: &[Option<Seen>], exact: &[Option<f64>]) -> bool {
    let mut numbers: Vec<(&Seen, f64, f64)> = Vec::new();
    for (seen, exact) in seen.iter().zip(exact) {
        match (seen, exact) {
            (None, _) => return false,
            (Some(Seen::Open), None) => {}
            (Some(Seen::Short), Some(exact)) if *exact < 100.0 => {}
            (Some(Seen::Open | Seen::Short), _) | (_, None) => return false,
            (Some(seen), Some(exact)) => {
                let own = matches!(wrong, Some(InstallCause::PoorJoint { .. } | InstallCause::PoorContact { .. }));
                if *exact < 100.0 && !own {
                    return false;
                }
                numbers.push((seen, *exact, guitar.meter.claim(Ohms(*exact)).0));
            }
        }
    }
    let (low, high) = ranges(guitar, wrong);
    let off = |values: &[f64]| {
        let of_one = |(seen, exact, claim): &(&Seen, f64, f64)| (seen.ohms(values) - exact).abs() / claim;
        // The worst of them counts; the sum leads the way where several are equally bad.
        let all: f64 = numbers.iter().map(of_one).sum();
        numbers.iter().map(of_one).fold(0.0_f64, f64::max) + 1e-3 * all
    };
    let used: Vec<usize> = (0..low.len()).filter(|at| numbers.iter().any(|(seen, ..)| seen.has(*at as u8))).collect();
    let truth = install_values(&guitar.install(), &guitar.given);
    let middle: Vec<f64> = low.iter().zip(&high).map(|(low, high)| (low * high).sqrt()).collect();
    [truth, middle].into_iter().any(|start| {
        let mut here: Vec<f64> =
            start.iter().zip(low.iter().zip(&high)).map(|(ohms, (low, high))| ohms.clamp(*low, *high)).collect();
        let mut least = off(&here);
        let mut step = 0.3;
        while step > 1e-3 && least > 2.0 {
            let mut moved = false;
            for (place, one) in used.iter().enumerate() {
                for other in std::iter::once(None).chain(used.iter().skip(place + 1).map(Some)) {
                    for (first, second) in [(1.0, 1.0), (-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0)] {
                        let mut next = here.clone();
                        let mut turn = |at: usize, way: f64| {
                            next[at] = (next[at] * (1.0_f64 + step).powf(way)).clamp(low[at], high[at]);
                        };
                        turn(*one, first);
                        if let Some(other) = other {
                            turn(*other, second);
                        }
                        let there = off(&next);
                        if there < least - 1e-9 {
                            (here, least, moved) = (next, there, true);
                        }
                    }
                }
            }
            if !moved {
                step *= 0.5;
            }
        }
        least <= 2.0
    })
}

/// The least and the most that each resistance may be, in the order of the circuit's values.
fn ranges(guitar: &Guitar, wrong: Option<&InstallCause>) -> (Vec<f64>, Vec<f64>) {
    let room = if guitar.room.is_some() { 0.0 } else { COPPER_PER_DEGREE * 10.0 };
    let warm = guitar.room.map_or(1.0, solderlast_core::physics::meter::copper);
    let around = |ohms: f64, within: f64| [1.0 - within - room, 1.0 + within + room].map(|factor| Ohms(ohms * factor));
    let of = &guitar.given;
    let coils: Vec<[Ohms; 2]> = guitar
        .pickup
        .coils
        .iter()
        .map(|coil| {
            let stated = coil.stated.map_or(7000.0, |ohms| ohms.0) * warm;
            let other = wrong == Some(&InstallCause::NotAsMeasured {});
            if other { [Ohms(stated * 0.25), Ohms(stated * 4.0)] } else { around(stated, WINDING) }
        })
        .collect();
    let staying: Vec<[Ohms; 2]> = guitar
        .staying
        .iter()
        .map(|staying| staying.reads.map_or([Ohms(1000.0), Ohms(40e3)], |ohms| around(ohms.0 * warm, 0.02)))
        .collect();
    let volumes: Vec<[Ohms; 2]> = guitar
        .volumes()
        .into_iter()
        .map(|(place, stated)| {
            let other = matches!(wrong, Some(InstallCause::OtherPot { place: of }) if of.is_empty() || *of == place);
            if other { [Ohms(stated * 0.1), Ohms(stated * 10.0)] } else { [Ohms(stated * 0.8), Ohms(stated * 1.2)] }
        })
        .collect();
    let tones: Vec<[Ohms; 2]> = of.tones.iter().map(|ohms| [Ohms(ohms.0 / 1.5), Ohms(ohms.0 * 1.5)]).collect();
    let side = |at: usize, above: f64| {
        let (joint, plugged) = [(1.0, 50e3), (300e3, 1.2e6)][at];
        let pick = |list: &[[Ohms; 2]]| list.iter().map(|range| range[at]).collect();
        let given = InstallGiven {
            coils: pick(&coils),
            staying: pick(&staying),
            volumes: pick(&volumes),
            tones: pick(&tones),
            above,
            joint: Ohms(joint),
            plugged: Ohms(plugged),
        };
        install_values(&guitar.install(), &given)
    };
    // The part of the track above a wiper that is not at its end may be small, and the part below it then large.
    let (little, much) = (side(0, 0.002), side(1, 0.6));
    let low = little.iter().zip(&side(0, 0.6)).map(|(a, b)| a.min(*b)).collect();
    let high = much.iter().zip(&side(1, 0.002)).map(|(a, b)| a.max(*b)).collect();
    (low, high)
}
