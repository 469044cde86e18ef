//! Everything that was measured of a pickup's coils, fitted at once.

use std::f64::consts::TAU;

use nalgebra::{DMatrix, DVector};

use super::least_squares::{Least, least};
use super::model::{Bench, Numbers};
use super::{Across, Found, Told};
use crate::record::measured::{ComponentValue, Driven, KnownFarads, KnownOhms, Rung, Swept};
use crate::record::pickup::CoilName;

/// What a coil is taken to be before anything is measured, as logarithms: the middle, and how far off 2 of 3 are. Ohms, henries,
/// farads and the ohms of its loss (from memory, of single coils and of both coils of two).
const BEFORE: [(f64, f64); 4] = [(8.6, 1.0), (1.0, 1.2), (-23.0, 1.0), (13.0, 2.0)];
/// The same of the coupling of two coils, as the argument of a hyperbolic tangent.
const COUPLING: f64 = 0.7;
/// 19 of 20 lie within so many standard deviations.
pub(super) const SURE: f64 = 1.959_964;
/// Where the search for inductance begins, in henries.
const STARTS: [f64; 3] = [2.5, 0.8, 7.0];

/// Where each parameter stands in the list of them.
pub(super) struct Layout<'a> {
    pub told: &'a [Told],
    pub coils: Vec<CoilName>,
    pub coupled: bool,
    sweeps: Vec<&'a Swept>,
    rung: Vec<&'a Rung>,
    resistors: Vec<KnownOhms>,
    inputs: Vec<KnownOhms>,
    cables: Vec<KnownFarads>,
    added: Vec<KnownFarads>,
    doubt: Doubt,
}

/// What is looked for by the sweeps rather than believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Doubt {
    Nothing,
    /// The capacitor that was put across.
    Capacitor,
    /// That nothing but the coil resists, as it was metered.
    Contact,
}

/// How far something doubted may be off, as a logarithm.
const DOUBTED: f64 = 4.0;

fn put<T: PartialEq>(list: &mut Vec<T>, one: T) {
    if !list.contains(&one) {
        list.push(one);
    }
}

fn place<T: PartialEq>(list: &[T], one: &T) -> usize {
    list.iter().position(|other| other == one).unwrap_or(0)
}

impl<'a> Layout<'a> {
    /// Of all that was told of these coils.
    pub fn new(all: &[CoilName], told: &'a [Told], doubt: Doubt) -> Self {
        let sweeps: Vec<&Swept> = told.iter().filter_map(Told::swept).collect();
        let in_a_row = all.len() > 1 && sweeps.iter().any(|swept| swept.coil.is_none());
        let coils =
            all.iter().copied().filter(|coil| in_a_row || told.iter().any(|one| one.is_of(*coil, all))).collect();
        let (mut resistors, mut inputs, mut cables, mut added) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for swept in &sweeps {
            if let Driven::Resistor { resistor } = swept.driven {
                put(&mut resistors, resistor);
            }
        }
        for across in told.iter().filter_map(Told::across) {
            put(&mut inputs, across.input);
            put(&mut cables, across.cable);
            if let Some(capacitor) = across.added {
                put(&mut added, capacitor);
            }
        }
        let rung = told.iter().filter_map(Told::rung).collect();
        Self { told, coils, coupled: in_a_row, sweeps, rung, resistors, inputs, cables, added, doubt }
    }

    fn coupling_at(&self) -> usize {
        4 * self.coils.len()
    }

    fn levels_at(&self) -> usize {
        self.coupling_at() + usize::from(self.coupled)
    }

    fn resistors_at(&self) -> usize {
        self.levels_at() + self.sweeps.len()
    }

    fn inputs_at(&self) -> usize {
        self.resistors_at() + self.resistors.len()
    }

    fn cables_at(&self) -> usize {
        self.inputs_at() + self.inputs.len()
    }

    fn added_at(&self) -> usize {
        self.cables_at() + self.cables.len()
    }

    fn len(&self) -> usize {
        self.added_at() + self.added.len()
    }

    pub fn numbers(&self, at: &DVector<f64>, coil: usize) -> Numbers {
        let [ohms, henries, farads, loss] = [0, 1, 2, 3].map(|part| at[4 * coil + part].clamp(-60.0, 60.0).exp());
        Numbers { ohms, henries, farads, loss }
    }

    /// The coupling of any two, within what is possible.
    pub fn coupling(&self, at: &DVector<f64>) -> f64 {
        if !self.coupled {
            return 0.0;
        }
        let most = 0.999 / (self.coils.len().max(2) - 1) as f64;
        let value = at[self.coupling_at()].tanh();
        if value < 0.0 { value * most } else { value * 0.999 }
    }

    pub fn added_found(&self, at: &DVector<f64>, capacitor: usize) -> f64 {
        self.added[capacitor].farads.0 * at[self.added_at() + capacitor].clamp(-20.0, 20.0).exp()
    }

    pub fn added(&self) -> &[KnownFarads] {
        &self.added
    }

    /// A bench with these parts, driven through this resistor if there is one.
    pub fn bench(&self, at: &DVector<f64>, driven: Option<KnownOhms>, across: &Across) -> Bench {
        let ratio = |place: usize| at[place].clamp(-20.0, 20.0).exp();
        let resistor =
            driven.map(|resistor| resistor.ohms.0 * ratio(self.resistors_at() + place(&self.resistors, &resistor)));
        let cable = across.cable.farads.0 * ratio(self.cables_at() + place(&self.cables, &across.cable));
        let added = across.added.map_or(0.0, |one| self.added_found(at, place(&self.added, &one)));
        let input = across.input.ohms.0 * ratio(self.inputs_at() + place(&self.inputs, &across.input));
        Bench { resistor, across: cable + added, input }
    }

    fn bench_of(&self, at: &DVector<f64>, swept: &Swept) -> Bench {
        let driven = match swept.driven {
            Driven::Resistor { resistor } => Some(resistor),
            Driven::Exciter {} => None,
        };
        self.bench(at, driven, &Across { added: swept.added, input: swept.input, cable: swept.cable })
    }

    /// How a coil swings as it dies away: how often in a second, and how quickly; nothing where it would not swing.
    fn rings(&self, at: &DVector<f64>, rung: &Rung) -> Option<[f64; 2]> {
        let coil = self.coils.iter().position(|one| *one == rung.coil)?;
        let bench = self.bench(at, None, &Across { added: rung.added, input: rung.input, cable: rung.cable });
        bench.rings(&self.numbers(at, coil))
    }

    /// The coils that a sweep goes through.
    fn swept(&self, at: &DVector<f64>, swept: &Swept) -> Vec<Numbers> {
        let through = |coil: &CoilName| swept.coil.is_none_or(|one| one == *coil);
        (0..self.coils.len())
            .filter(|index| through(&self.coils[*index]))
            .map(|index| self.numbers(at, index))
            .collect()
    }

    /// What a sweep would show, in decibels, a point each.
    pub fn curve(&self, at: &DVector<f64>, number: usize) -> Vec<f64> {
        let swept = self.sweeps[number];
        let (coils, bench, coupling) = (self.swept(at, swept), self.bench_of(at, swept), self.coupling(at));
        let level = at[self.levels_at() + number];
        swept
            .points
            .iter()
            .map(|point| {
                let answer = bench.answer(&coils, coupling, TAU * point.0.0);
                20.0 * answer.map_or(f64::NAN, |answer| answer.norm()).log10() + level
            })
            .collect()
    }

    /// How far off each thing is, in its own standard deviations; those of points are `wider` times as wide.
    fn residuals(&self, at: &DVector<f64>, wider: f64) -> DVector<f64> {
        let mut all = Vec::new();
        for number in 0..self.sweeps.len() {
            let points = &self.sweeps[number].points;
            let curve = self.curve(at, number);
            all.extend(points.iter().zip(curve).map(|(point, model)| (model - point.1.0) / (point.2.0 * wider)));
        }
        for rung in &self.rung {
            let told = [(rung.swings.0, rung.swings_spread), (rung.decay, rung.decay_spread)];
            match self.rings(at, rung) {
                Some(rings) => {
                    all.extend(rings.iter().zip(told).map(|(model, (told, spread))| (model / told).ln() / spread))
                }
                // It would not swing at all.
                None => all.extend([1e3; 2]),
            }
        }
        for one in self.told {
            if let Some((coil, shown, within, value)) = one.metered()
                && let Some(index) = self.coils.iter().position(|other| *other == coil)
            {
                let model = self.numbers(at, index).shown(value);
                let off = if model > 0.0 { (model / shown).ln() } else { -5.0 };
                let doubted = self.doubt == Doubt::Contact && matches!(value, ComponentValue::Resistance { .. });
                all.push(off * SURE / if doubted { DOUBTED } else { within });
            }
        }
        for coil in 0..self.coils.len() {
            for (part, (middle, off)) in BEFORE.into_iter().enumerate() {
                all.push((at[4 * coil + part] - middle) / off);
            }
        }
        if self.coupled {
            all.push(at[self.coupling_at()] / COUPLING);
        }
        // Nobody knows the gain of an input.
        all.extend((self.levels_at()..self.resistors_at()).map(|level| at[level] / 60.0));
        let known = self.resistors.iter().map(|one| one.within).chain(self.inputs.iter().map(|one| one.within));
        let known = known.chain(self.cables.iter().map(|one| one.within));
        let added = self.added.iter().map(|one| if self.doubt == Doubt::Capacitor { DOUBTED } else { one.within });
        for (number, within) in known.chain(added).enumerate() {
            all.push(at[self.resistors_at() + number] * SURE / within);
        }
        DVector::from_vec(all)
    }

    /// The sum of squares of the points alone, and how many there are.
    fn of_points(&self, at: &DVector<f64>) -> (f64, usize) {
        let mut sum = 0.0;
        let mut count = 0;
        for (number, swept) in self.sweeps.iter().enumerate() {
            let curve = self.curve(at, number);
            sum += swept
                .points
                .iter()
                .zip(curve)
                .map(|(point, model)| ((model - point.1.0) / point.2.0).powi(2))
                .sum::<f64>();
            count += swept.points.len();
        }
        (sum, count)
    }

    /// How far the points lie off the curves, as the root of the mean square, in decibels.
    pub fn residue(&self, at: &DVector<f64>) -> Option<f64> {
        let (mut sum, mut count) = (0.0, 0_usize);
        for (number, swept) in self.sweeps.iter().enumerate() {
            sum += swept
                .points
                .iter()
                .zip(self.curve(at, number))
                .map(|(point, model)| (model - point.1.0).powi(2))
                .sum::<f64>();
            count += swept.points.len();
        }
        (count > 0).then(|| (sum / count as f64).sqrt())
    }

    /// Where the search begins, with this inductance.
    fn start(&self, henries: f64) -> DVector<f64> {
        let mut at = DVector::zeros(self.len());
        for coil in 0..self.coils.len() {
            for (part, (middle, _)) in BEFORE.into_iter().enumerate() {
                at[4 * coil + part] = middle;
            }
            at[4 * coil + 1] = henries.ln();
        }
        for one in self.told {
            let Some((coil, shown, _, value)) = one.metered() else { continue };
            let Some(index) = self.coils.iter().position(|other| *other == coil) else { continue };
            match value {
                ComponentValue::Resistance { .. } => at[4 * index] = shown.ln(),
                ComponentValue::Inductance { .. } => at[4 * index + 1] = shown.ln(),
                ComponentValue::Quality { .. } => {}
            }
        }
        // The highest point is near the resonance, which says the capacitance that goes with this inductance.
        for swept in &self.sweeps {
            let highest = swept.points.iter().max_by(|one, other| one.1.0.total_cmp(&other.1.0));
            let (Some(top), Some(coil)) = (highest, swept.coil.or_else(|| self.coils.first().copied())) else {
                continue;
            };
            let Some(index) = self.coils.iter().position(|other| *other == coil) else { continue };
            let all = 1.0 / ((TAU * top.0.0).powi(2) * henries);
            let own = all - swept.cable.farads.0 - swept.added.map_or(0.0, |one| one.farads.0);
            at[4 * index + 2] = own.clamp(10e-12, 500e-12).ln();
        }
        for rung in &self.rung {
            let Some(index) = self.coils.iter().position(|other| *other == rung.coil) else { continue };
            let all = 1.0 / ((TAU * rung.swings.0).powi(2) * henries);
            let own = all - rung.cable.farads.0 - rung.added.map_or(0.0, |one| one.farads.0);
            at[4 * index + 2] = own.clamp(10e-12, 500e-12).ln();
        }
        for number in 0..self.sweeps.len() {
            let curve = self.curve(&at, number);
            let off = self.sweeps[number].points.iter().zip(curve).map(|(point, model)| point.1.0 - model);
            at[self.levels_at() + number] = off.sum::<f64>() / self.sweeps[number].points.len().max(1) as f64;
        }
        at
    }

    /// The least squares; `wider` says how much further the points lie off than their repeats differ.
    pub fn solved(&self) -> Option<Found> {
        if self.coils.is_empty() {
            return None;
        }
        let starts = STARTS.into_iter().filter_map(|henries| least(self.start(henries), &|at| self.residuals(at, 1.0)));
        let best = starts.min_by(|one, other| one.sum.total_cmp(&other.sum))?;
        let all = best.sum;
        let (sum, count) = self.of_points(&best.at);
        let free = count.saturating_sub(4 * self.coils.len() + self.sweeps.len()).max(1);
        let wider = (sum / free as f64).sqrt();
        if count == 0 || wider <= 1.0 {
            return Some(Found { least: best, wider: if count == 0 { 1.0 } else { wider }, sum: all });
        }
        let least = least(best.at, &|at| self.residuals(at, wider))?;
        Some(Found { least, wider, sum: all })
    }
}

impl Found {
    /// A weighted sum of parameters: its value, and its standard deviation.
    pub fn sum_of(&self, weights: &[(usize, f64)]) -> (f64, f64) {
        let Least { at, covariance, .. } = &self.least;
        let value = weights.iter().map(|(place, weight)| at[*place] * weight).sum();
        let variance: f64 = weights
            .iter()
            .flat_map(|one| weights.iter().map(move |other| one.1 * other.1 * covariance[(one.0, other.0)]))
            .sum();
        (value, variance.max(0.0).sqrt())
    }

    /// How far a function of the parameters may be off, as a standard deviation.
    pub fn deviation(&self, of: &dyn Fn(&DVector<f64>) -> f64) -> f64 {
        let here = of(&self.least.at);
        let slopes = DVector::from_fn(self.least.at.len(), |place, _| {
            let mut moved = self.least.at.clone();
            moved[place] += 1e-4;
            (of(&moved) - here) / 1e-4
        });
        (slopes.transpose() * &self.least.covariance * &slopes)[(0, 0)].max(0.0).sqrt()
    }

    /// Steps along the main axes of what the first `count` parameters may be, 19 of 20 wide, both ways.
    pub fn axes(&self, count: usize) -> Vec<DVector<f64>> {
        let part: DMatrix<f64> = self.least.covariance.view((0, 0), (count, count)).into_owned();
        let axes = part.symmetric_eigen();
        (0..count)
            .flat_map(|axis| {
                let length = SURE * axes.eigenvalues[axis].max(0.0).sqrt();
                let step = axes.eigenvectors.column(axis) * length;
                [1.0, -1.0].map(|way| {
                    let mut at = self.least.at.clone();
                    for place in 0..count {
                        at[place] += way * step[place];
                    }
                    at
                })
            })
            .collect()
    }
}
