//! What a pickup's coils measure, in words and figures.

use crate::ask::Refusal;
use crate::ask::forms::measured::SweepForm;
use crate::ask::measured_view::{CoilFound, CoilValuesView, CurveRows, FaultFound, MeasuredLine};
use crate::ask::reply::Reply;
use crate::logbook::Log;
use crate::measured::{OfPickup, of, told};
use crate::physics::measured::{CoilMeasured, Estimate, Told, drawn};
use crate::record::body::{Body, MeasuredBody};
use crate::record::entry::{About, Entry};
use crate::record::measured::{ComponentValue, Swept, coils_in_words};
use crate::record::pickup::{CoilName, Pickup, PickupId};
use crate::record::quantity::{Farads, Henries, Ohms};
use crate::record::strike::struck_by;
use crate::record::things::Thing;
use crate::takes::Figure;

/// Each so-manyth point of a sweep stands in its table.
const EACH: usize = 10;

/// What the coils are by all that was measured.
pub(super) fn coil_values_reply(log: &Log, id: PickupId) -> Result<Reply, Refusal> {
    let ordered = log.about(About::Pickup(id))?;
    let pickup = Thing::<Pickup>::fold(&ordered).ok_or_else(|| Refusal::not_found("pickup"))?.described;
    let coils: Vec<CoilName> = pickup.coils.iter().map(|coil| coil.name).collect();
    let found = of(&ordered);
    let told: Vec<Told> = told(&ordered).into_iter().map(|(_, told)| told).collect();
    let sweeps: Vec<&Swept> = told
        .iter()
        .filter_map(|one| match one {
            Told::Swept(swept) => Some(swept),
            Told::Metered(_) | Told::Rung(_) | Told::Stated(..) => None,
        })
        .collect();
    // Where only what was measured last counts, the curves are of that.
    let fitted = found.as_ref().map_or(0, |found| found.measured.curves.len());
    let counted = sweeps.get(sweeps.len().saturating_sub(fitted)..).unwrap_or_default();
    let view = CoilValuesView {
        pickup: id,
        label: pickup.label,
        found: found.iter().flat_map(|found| &found.measured.coils).map(coil_found).collect(),
        coupling: found.as_ref().and_then(|found| found.measured.coupling),
        coupling_shown: found.as_ref().and_then(|found| found.measured.coupling).map(|coupling| {
            let [value, low, high] =
                [coupling.value, coupling.low, coupling.high].map(|one| format!("{one:.2}").replace('-', "−"));
            format!("{value} ({low} to {high})")
        }),
        residue: found
            .as_ref()
            .and_then(|found| found.measured.residue)
            .map(|residue| format!("The points lie {residue:.3} dB off the curves, as the root of the mean square.")),
        faults: found.iter().flat_map(faults).collect(),
        drawn: found.as_ref().and_then(|found| drawn(&found.measured, counted)),
        curves: found.as_ref().map(|found| curves(found, counted)).unwrap_or_default(),
        next: next(&coils, &told),
        lines: lines(&ordered),
        form: sweeps.last().map_or_else(
            || SweepForm::first(if coils.len() == 1 { coils.first().copied() } else { Some(CoilName::A) }),
            |swept| SweepForm::of(swept),
        ),
        coils,
    };
    Ok(Reply::CoilValues { values: Box::new(view) })
}

fn faults(found: &OfPickup) -> impl Iterator<Item = FaultFound> {
    let only = if found.only_since { " Only what was measured since then counts." } else { "" };
    found
        .faults
        .iter()
        .map(move |what| FaultFound { sentence: format!("{}{only}", what.sentence()), what: what.clone() })
}

fn coil_found(coil: &CoilMeasured) -> CoilFound {
    let mut figures = Vec::new();
    let mut line = |name: &str, shown: Option<String>| {
        let shown = shown.unwrap_or_else(|| "not known by this".to_owned());
        figures.push(Figure { name: name.to_owned(), shown });
    };
    line("Inductance", Some(shown(&coil.henries, |value| Henries(value).shown())));
    line("Capacitance", coil.farads.map(|one| shown(&one, |value| Farads(tidy(value)).shown())));
    line("Resistance", coil.ohms.map(|one| shown(&one, |value| Ohms(tidy(value)).shown())));
    line("Loss across it", coil.loss.map(|one| shown(&one, |value| Ohms(tidy(value)).shown())));
    if let Some(resonance) = coil.resonance {
        line("Rings at", Some(shown(&resonance, |value| format!("{value:.0} Hz"))));
    }
    if let Some(q) = coil.q {
        line("Q there", Some(shown(&q, |value| format!("{value:.1}"))));
    }
    CoilFound { values: coil.clone(), figures }
}

/// `2.41 H (2.38 H to 2.44 H)`.
fn shown(estimate: &Estimate, of: impl Fn(f64) -> String) -> String {
    format!("{} ({} to {})", of(estimate.value), of(estimate.low), of(estimate.high))
}

/// With three digits.
fn tidy(value: f64) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return value;
    }
    let step = 10_f64.powf(value.log10().floor() - 2.0);
    (value / step).round() * step
}

fn curves(found: &OfPickup, sweeps: &[&Swept]) -> Vec<CurveRows> {
    let level = |level: f64| format!("{level:.1} dB").replace('-', "−");
    let each = sweeps.iter().zip(&found.measured.curves).map(|(swept, curve)| {
        let rows = swept.points.iter().zip(curve).step_by(EACH);
        let rows = rows.map(|(point, fitted)| [format!("{:.0} Hz", point.0.0), level(point.1.0), level(*fitted)]);
        CurveRows { words: format!("Swept {}", swept.in_words()), rows: rows.collect() }
    });
    each.collect()
}

/// What tells more.
fn next(coils: &[CoilName], told: &[Told]) -> Vec<String> {
    let swept = |coil: CoilName, with: bool| {
        told.iter().any(|one| match one {
            Told::Swept(swept) => {
                swept.added.is_some() == with && swept.coil.map_or(coils.len() == 1, |one| one == coil)
            }
            Told::Rung(rung) => rung.added.is_some() == with && rung.coil == coil,
            Told::Metered(_) | Told::Stated(..) => false,
        })
    };
    let mut sentences = Vec::new();
    for coil in coils.iter().copied() {
        let name = coils_in_words(Some(coil));
        if !swept(coil, false) {
            sentences.push(format!("Sweep {name} through the resistor, or tap it, with nothing across it."));
        } else if !swept(coil, true) {
            sentences.push(format!(
                "Sweep or tap {name} again with the capacitor across it: that tells inductance and capacitance apart."
            ));
        }
        let metered = told.iter().any(|one| match one {
            Told::Metered(metered) => {
                metered.coil == coil && matches!(metered.value, ComponentValue::Resistance { .. })
            }
            Told::Swept(_) | Told::Rung(_) | Told::Stated(..) => false,
        });
        if !metered {
            sentences.push(format!("Read the resistance of {name} alone with your meter."));
        }
    }
    let together = told.iter().any(|one| matches!(one, Told::Swept(swept) if swept.coil.is_none()));
    if coils.len() > 1 && sentences.is_empty() && !together {
        sentences.push("Sweep all coils in a row: that tells how they are coupled.".to_owned());
    }
    sentences
}

fn lines(ordered: &[(Entry, bool)]) -> Vec<MeasuredLine> {
    let lines = ordered.iter().rev().filter_map(|(entry, struck)| {
        let Some(Body::Measured(body)) = entry.body.known() else { return None };
        let turned = matches!(body, MeasuredBody::CoilSwept { swept } if swept.turned == Some(true));
        let turned =
            if turned { ". It came back turned round: no value hangs on that, but a tap’s sign does" } else { "" };
        let struck = struck.then(|| struck_by(ordered, entry.id)).flatten();
        Some(MeasuredLine { entry: entry.id, at: entry.at, words: format!("{}{turned}", body.in_words()), struck })
    });
    lines.collect()
}
