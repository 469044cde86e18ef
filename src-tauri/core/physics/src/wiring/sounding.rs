//! What arrives at the amplifier from an install: each position of the selector and the switch, every pot at any position.

use super::JackCase;
use super::Staying;
use super::circuit::{AtJack, InstallCircuit, Sounds, Together};
use super::known::groups_of_mode;
use super::phase::sign_of;
use super::soldered::partitions::{Coils, Groups};
use crate::measured::Measured;
use crate::network::{Network, Winding};
use crate::record::pickup::{CoilName, Construction, Pickup};
use crate::record::quantity::Ohms;
use crate::response::{Load, OfKind, Pots, Response, Values, heard, of_kind, of_one};

/// How everything between the pickups and the jack stands.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// The selector's position, by name; empty where there is none.
    pub selector: &'a str,
    /// The mode switch's position, by name; empty for a fixed mode.
    pub switch: &'a str,
    /// Volume, tone and what bridges a volume, by place; the shared ones have no name.
    pub pots: &'a [(String, Pots)],
    /// A place that is let in beside the selector, and what is left of its blend pot, in ohms.
    pub blend: Option<(&'a str, Ohms)>,
    /// A pickup that stays, by its place, on which the new one stands: both in a row, whatever the selector says.
    pub in_row_with: Option<&'a str>,
}

/// What the new pickup is as sound sees it, and each that stays, by its place.
#[derive(Debug, Clone, Copy)]
pub struct Sources<'a> {
    /// The new pickup's coils.
    pub new: &'a Values,
    /// Those that stay: their coils where their record says how their leads are soldered, else one winding for the whole.
    pub staying: &'a [(String, Values)],
}

/// From all coils of an install into a load. Nothing when the guitar has no such position, when nothing is heard in it, or when
/// the values of a pickup that is heard are not among the sources.
#[must_use]
pub fn installed(install: &JackCase, sources: &Sources, standing: &Standing, load: &Load) -> Option<Response> {
    let circuit = InstallCircuit::new(install);
    let number =
        |place: &str| circuit.places.iter().position(|other| other == place).and_then(|at| u8::try_from(at).ok());
    let together = match standing.in_row_with {
        Some(place) => Together::Row(number(place).filter(|place| *place > 0)?),
        None => Together::Selected(standing.selector),
    };
    let pots: Vec<Pots> = (0..circuit.places.len().max(1))
        .map(|at| {
            let name = if circuit.is_shared() || circuit.pots() == 0 { "" } else { &circuit.places[at] };
            standing.pots.iter().find(|(place, _)| place == name).map_or_else(Pots::none, |(_, pots)| *pots)
        })
        .collect();
    let blend = standing.blend.and_then(|(place, ohms)| Some((number(place)?, ohms)));
    let beside: Vec<Beside> = circuit
        .places
        .iter()
        .skip(1)
        .map(|place| Beside {
            staying: install.staying.iter().find(|staying| &staying.place == place),
            values: sources.staying.iter().find(|(other, _)| other == place).map(|(_, values)| values),
        })
        .collect();
    let beside: Vec<&dyn Sounds> = beside.iter().map(|one| -> &dyn Sounds { one }).collect();
    let new = (sources.new, |coil: CoilName| heard(install.pickup, coil));
    let AtJack { network, induced, jack } =
        circuit.sounding((together, standing.switch), new, &beside, (&pots, blend))?;
    Response::at_jack(network, &induced, jack, load)
}

/// A pickup that stays, with its values.
struct Beside<'a> {
    staying: Option<&'a Staying>,
    values: Option<&'a Values>,
}

/// The coils of a pickup that stays and how its leads are joined, where both are known.
fn by_leads(staying: &Staying) -> Option<(&Pickup, Groups)> {
    let (pickup, wired) = staying.pickup.as_ref().zip(staying.wired.as_ref())?;
    Some((pickup, groups_of_mode(pickup, wired)?))
}

impl Sounds for Beside<'_> {
    fn lay(&self, network: &mut Network, ground: usize, hot: usize) -> Option<Vec<(Winding, f64)>> {
        let (staying, values) = (self.staying?, self.values?);
        let turned = sign_of(staying);
        match by_leads(staying) {
            Some((pickup, groups)) => {
                let coils = Coils::new(pickup).lay(network, &groups, (ground, hot));
                let windings = values.wind(network, &coils)?;
                let heard = coils.iter().map(|(name, ..)| turned * heard(pickup, *name));
                Some(windings.into_iter().zip(heard).collect())
            }
            None => {
                let windings = values.wind(network, &[(CoilName::A, ground, hot)])?;
                Some(windings.into_iter().map(|winding| (winding, turned)).collect())
            }
        }
    }
}

/// What a pickup that stays may be by what was measured of all its coils; nothing where it is not known how they are joined, so that
/// they can't stand for the whole. The first is the likeliest.
#[must_use]
pub fn staying_measured(staying: &Staying, found: &Measured) -> Option<OfKind> {
    let pickup = staying.pickup.as_ref()?;
    if pickup.coils.iter().any(|coil| found.coil(coil.name).is_none()) {
        return None;
    }
    let all = std::iter::once(&found.values).chain(&found.band);
    let all: Option<Vec<Values>> = match by_leads(staying) {
        Some(_) => Some(all.cloned().collect()),
        // One coil lies between its two ends, whichever lead is which.
        None => all.map(|values| values.as_one(CoilName::A)).collect(),
    };
    Some(OfKind { all: all? })
}

/// What a pickup that stays may be, by its kind: its coils where it is known how they are joined, else one winding for all of
/// it.
#[must_use]
pub fn staying_of_kind(staying: &Staying) -> OfKind {
    match (by_leads(staying), &staying.pickup) {
        (Some((pickup, _)), _) => of_kind(pickup, &staying.measured),
        (None, Some(pickup)) => of_one(pickup.construction, staying.reads.map(|ohms| ohms.0)),
        (None, None) => of_one(Construction::SingleCoil, staying.reads.map(|ohms| ohms.0)),
    }
}
