//! What there is to choose from.

use super::bench::Bench;
use super::{CircuitLook, PartOffered, PartsOffered};
use crate::physics::response::{Series, preferred};
use crate::record::parts::PotTaper;
use crate::record::quantity::{Farads, Ohms};
use crate::record::rig::Mode;

pub(super) fn offered(bench: Option<&Bench>, look: &CircuitLook) -> PartsOffered {
    let ohms = |values: &[f64], more: Option<Ohms>| with(values, more.map(|ohms| ohms.0), |one| Ohms(one).shown());
    let farads =
        |values: &[f64], more: Option<Farads>| with(values, more.map(|farads| farads.0), |one| Farads(one).shown());
    let parts = &look.parts;
    let usual_pots = [100e3, 220e3, 250e3, 300e3, 470e3, 500e3, 1e6];
    let mut pots = ohms(&usual_pots, parts.volume);
    for more in [parts.tone, parts.blend].into_iter().flatten() {
        if pots.iter().all(|one| !same(one.value, more.0)) {
            pots.extend(ohms(&[], Some(more)));
        }
    }
    PartsOffered {
        pots,
        capacitors: farads(&preferred(Series::E6, 1e-9, 100e-9), parts.capacitor),
        bleeds: farads(&preferred(Series::E12, 100e-12, 4.7e-9), parts.bleed.map(|bleed| bleed.capacitor)),
        resistors: ohms(
            &preferred(Series::E12, 47e3, 470e3),
            parts.bleed.and_then(|bleed| bleed.in_row.or(bleed.across)),
        ),
        cables: farads(&preferred(Series::E12, 100e-12, 2.2e-9), Some(parts.cable)),
        inputs: ohms(&[100e3, 220e3, 470e3, 1e6, 2.2e6, 10e6], Some(parts.input)),
        tapers: PotTaper::ALL.map(|taper| (taper, taper.in_words().to_owned())).to_vec(),
        selectors: bench
            .map(|bench| {
                bench
                    .path
                    .positions
                    .iter()
                    .map(|position| position.name.clone())
                    .filter(|name| !name.is_empty())
                    .collect()
            })
            .unwrap_or_default(),
        switches: bench
            .filter(|bench| bench.wiring.positions.len() > 1 && bench.wiring.selector.is_none())
            .map(|bench| {
                let mode = |mode: &Option<Mode>| mode.as_ref().map_or_else(String::new, |mode| mode.0.clone());
                bench.wiring.positions.iter().map(|position| (position.name.clone(), mode(&position.mode))).collect()
            })
            .unwrap_or_default(),
        // One that the plan puts in a row is heard in its own position.
        beside: bench
            .filter(|bench| bench.wiring.selector.as_ref().is_none_or(|by| by.row.is_none()))
            .map(|bench| bench.staying.iter().map(|staying| staying.place.clone()).collect())
            .unwrap_or_default(),
    }
}

fn same(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() < 0.005
}

/// Values with their words, and the one that is in use where it is not among them.
fn with(values: &[f64], more: Option<f64>, words: impl Fn(f64) -> String) -> Vec<PartOffered> {
    let mut all: Vec<f64> = values.to_vec();
    all.extend(more.filter(|more| *more > 0.0 && all.iter().all(|value| !same(*value, *more))));
    all.sort_by(f64::total_cmp);
    all.into_iter().map(|value| PartOffered { value, words: words(value) }).collect()
}
