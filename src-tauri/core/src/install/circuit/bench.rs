//! All that a circuit is computed from, and the curves of what is planned and of the rig.

use super::recorded::{cable_told, input_told, resistor_told};
use super::{CABLE, CAPACITOR, CircuitLook, INPUT, KNOB, POT};
use crate::audition::hookup_or_meant;
use crate::install::fold::Install;
use crate::install::kit::InstallKit;
use crate::physics::meter::Joined;
use crate::physics::response::{Bleed, Curve, Load, OfKind, Point, Pot, Pots, Response, Taper, Told, Values, of_kind};
use crate::physics::wiring::{
    JackCase, POT_WITHIN, SignalPath, Sources, Standing, Staying, WiringPlan, installed, mode_wirings,
    staying_measured, staying_of_kind, wire_in,
};
use crate::record::controls::VolumeLayout;
use crate::record::parts::PotTaper;
use crate::record::pickup::Pickup;
use crate::record::quantity::{Farads, Ohms};
use crate::record::rig::{Mode, Rig};
use crate::record::wiring::Plan;
use crate::record::words::listed;

/// How far a capacitor lies from its stated value (common practice).
const CAPACITOR_WITHIN: f64 = 0.10;

/// How many points a curve has.
const POINTS: usize = 121;

/// All that a circuit is computed from.
pub(super) struct Bench<'a> {
    pub(super) kit: &'a InstallKit,
    pub(super) pickup: &'a Pickup,
    pub(super) rig: &'a Rig,
    /// The leads in the rig's terminals, as it was heard.
    pub(super) joined: Vec<Joined>,
    pub(super) wiring: WiringPlan,
    pub(super) path: SignalPath,
    pub(super) staying: Vec<Staying>,
}

/// What the new pickup may be, and each that stays, by its place.
pub(super) type Source = (Values, Vec<(String, Values)>);

/// What a curve is of, over all that the pickups may be.
pub(super) struct Found {
    pub(super) name: String,
    pub(super) all: Vec<Response>,
    pub(super) told: Vec<Told>,
    pub(super) curve: Curve,
}

pub(super) fn laid<'a>(install: &Install, kit: &'a InstallKit, suggested: &Plan) -> Result<Bench<'a>, String> {
    let (Some(pickup), Some(rig)) = (&kit.pickup, &kit.heard.rig) else {
        return Err("The records of the pickup and the rig are needed for this.".to_owned());
    };
    let heard = hookup_or_meant(&kit.audition, &kit.heard);
    let plan = install.plan.as_ref().map_or(suggested, |saved| &saved.said);
    if let Some(sentence) = kit.laid_otherwise(plan) {
        return Err(sentence);
    }
    let path = kit.path_of(plan);
    let wiring = wire_in(pickup, &mode_wirings(pickup, rig, &kit.joined), plan, (&kit.on.place, &path.positions));
    if wiring.positions.is_empty() {
        return Err(wiring.sentence);
    }
    Ok(Bench { kit, pickup, rig, joined: heard, wiring, path, staying: kit.staying(install) })
}

/// What each pickup may be: the new one by what was measured of it, else by its kind, then those that stay. The first is the likeliest
/// of all.
pub(super) fn sources(bench: &Bench) -> Vec<Source> {
    let new = match &bench.kit.sounding {
        Some(found) => std::iter::once(&found.values).chain(&found.band).cloned().collect(),
        None => of_kind(bench.pickup, &bench.kit.measured).all,
    };
    let kind = |staying: &Staying| bench.measured(staying).unwrap_or_else(|| staying_of_kind(staying));
    let staying: Vec<(String, OfKind)> =
        bench.staying.iter().map(|staying| (staying.place.clone(), kind(staying))).collect();
    let count = staying.iter().map(|(_, kind)| kind.all.len()).max().unwrap_or(0).max(new.len());
    // Of what has fewer ends than others, the likeliest stands beside the rest of theirs.
    let at = |all: &[Values], at: usize| all.get(at).or(all.first()).cloned();
    (0..count)
        .filter_map(|end| {
            let beside = staying.iter().filter_map(|(place, kind)| Some((place.clone(), at(&kind.all, end)?)));
            Some((at(&new, end)?, beside.collect()))
        })
        .collect()
}

fn taper(of: PotTaper) -> Taper {
    match of {
        PotTaper::Linear => Taper::Linear,
        PotTaper::Audio10 => Taper::Audio,
        PotTaper::Audio15 => Taper::Audio15,
        PotTaper::Audio30 => Taper::Audio30,
    }
}

/// The part of a turn that a knob's figure is.
fn turned(knob: f64) -> f64 {
    if knob.is_finite() { (knob / KNOB).clamp(0.0, 1.0) } else { 1.0 }
}

/// The pots as they stand, each so many times its stated value.
fn pots(look: &CircuitLook, [ohms, farads]: [f64; 2]) -> Pots {
    let parts = &look.parts;
    let pot = |of: Ohms, taper_of: PotTaper, knob: f64| Pot {
        ohms: Ohms(of.0 * ohms),
        part: taper(taper_of).part(turned(knob)),
    };
    let full = turned(look.tone) >= 1.0;
    Pots {
        volume: parts.volume.map(|of| pot(of, parts.volume_taper, look.volume)),
        tone: parts
            .tone
            .zip(parts.capacitor)
            .filter(|_| !(parts.no_load && full))
            .map(|(of, capacitor)| (pot(of, parts.tone_taper, look.tone), Farads(capacitor.0 * farads))),
        tone_after: false,
        bleed: parts.bleed.map(|bleed| Bleed {
            farads: Farads(bleed.capacitor.0 * farads),
            in_row: bleed.in_row,
            across: bleed.across,
        }),
    }
}

impl Bench<'_> {
    /// What a pickup that stays may be by what was measured of it.
    fn measured(&self, staying: &Staying) -> Option<OfKind> {
        staying_measured(staying, self.kit.staying.get(&staying.place)?.sounding.as_ref()?)
    }

    /// What the curves rest on, in a sentence.
    pub(super) fn rests_on(&self) -> String {
        let new = ("the new pickup".to_owned(), self.kit.sounding.is_some());
        let staying = self
            .staying
            .iter()
            .map(|staying| (format!("the one at {}", staying.place), self.measured(staying).is_some()));
        let (measured, not): (Vec<_>, Vec<_>) =
            std::iter::once(new).chain(staying).partition(|(_, measured)| *measured);
        let named = |of: Vec<(String, bool)>| listed(&of.into_iter().map(|(name, _)| name).collect::<Vec<_>>());
        let band = "the band holds all that is left open, with pots within 20 % and capacitors within 10 %.";
        match (measured.is_empty(), not.is_empty()) {
            (false, true) => format!("By what was measured of {}; {band}", named(measured)),
            (false, false) => format!(
                "By what was measured of {}. Not measured: {}, taken as likely of their kind; {band}",
                named(measured),
                named(not)
            ),
            (true, _) => format!(
                "Not measured: the inductance and capacitance of these pickups. The lines are likely ones of their kind; {band}"
            ),
        }
    }

    fn case(&self) -> JackCase<'_> {
        JackCase {
            pickup: self.pickup,
            measured: &self.kit.measured,
            tapped: self.kit.tapped,
            place: &self.kit.on.place,
            wiring: &self.wiring,
            path: &self.path,
            staying: &self.staying,
            meter: &self.kit.meter.claim,
            room: None,
        }
    }

    /// The pots of all places: those that are looked at here, those of the record elsewhere, at full.
    fn all_pots(&self, look: &CircuitLook, within: [f64; 2]) -> Vec<(String, Pots)> {
        let here = pots(look, within);
        match &self.path.layout {
            VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => vec![(String::new(), here)],
            VolumeLayout::EachPlace { pots, .. } => {
                let elsewhere = self
                    .path
                    .positions
                    .iter()
                    .flat_map(|position| &position.places)
                    .filter(|place| **place != self.kit.on.place);
                let recorded = |place: &String| {
                    let found = pots.iter().find(|pots| &pots.place == place);
                    let volume = found.and_then(|pots| pots.volume).unwrap_or(POT);
                    let tone =
                        found.and_then(|pots| Some((Pot::from(pots.tone?), pots.capacitor.unwrap_or(CAPACITOR))));
                    Pots { volume: Some(volume.into()), tone, ..Pots::none() }
                };
                let mut all: Vec<(String, Pots)> = elsewhere.map(|place| (place.clone(), recorded(place))).collect();
                all.push((self.kit.on.place.clone(), here));
                all
            }
        }
    }

    fn response(&self, look: &CircuitLook, (new, staying): &Source, within: [f64; 2]) -> Option<Response> {
        let pots = self.all_pots(look, within);
        let in_row = look.in_row_with.as_deref();
        let beside = self.staying.first().map(|staying| staying.place.as_str()).filter(|_| in_row.is_none());
        let blend = look
            .parts
            .blend
            .zip(beside)
            .filter(|_| turned(look.blend) > 0.0)
            .map(|(pot, place)| (place, Ohms(pot.0 * within[0] * (1.0 - turned(look.blend)))));
        let standing =
            Standing { selector: &look.selector, switch: &look.switch, pots: &pots, blend, in_row_with: in_row };
        let load = Load { cable: look.parts.cable, input: look.parts.input, across: None, stray: Farads(0.0) };
        installed(&self.case(), &Sources { new, staying }, &standing, &load)
    }

    pub(super) fn planned(&self, name: &str, look: &CircuitLook, sources: &[Source], banded: bool) -> Option<Found> {
        let all: Option<Vec<Response>> = sources.iter().map(|source| self.response(look, source, [1.0, 1.0])).collect();
        let mut beside = Vec::new();
        if banded {
            for times in [-1.0, 1.0] {
                let within = [1.0 + times * POT_WITHIN, 1.0 + times * CAPACITOR_WITHIN];
                beside.extend(sources.iter().filter_map(|source| self.response(look, source, within)));
            }
        }
        found(name.to_owned(), all?, &beside)
    }

    /// The mode that the switch gives.
    pub(super) fn mode_of(&self, look: &CircuitLook) -> Option<Mode> {
        let by_selector = self.wiring.selector.is_some();
        let stands = if by_selector { &look.selector } else { &look.switch };
        self.wiring.positions.iter().find(|position| position.name == *stands)?.mode.clone()
    }

    /// The rig as the audition had it, in the mode that the switch gives.
    pub(super) fn on_rig(&self, look: &CircuitLook, sources: &[Source]) -> Option<Found> {
        let mode = self.mode_of(look)?;
        let across = resistor_told(self.kit);
        let load = Load {
            cable: cable_told(self.kit).unwrap_or(CABLE),
            input: input_told(self.kit).unwrap_or(INPUT),
            across,
            stray: self.rig.stray.unwrap_or(Farads(0.0)),
        };
        let with = across.map_or_else(|| "raw".to_owned(), |ohms| format!("{} across", ohms.shown()));
        self.rig_in(&format!("On the rig, {}, {with}", mode.0), &mode, &load, sources)
    }

    /// The rig in a mode with a load.
    pub(super) fn rig_in(&self, name: &str, mode: &Mode, load: &Load, sources: &[Source]) -> Option<Found> {
        let of = |(values, _): &Source| {
            Response::on_rig((self.pickup, &self.joined), (self.rig, mode), values, (&Pots::none(), load))
        };
        let all: Option<Vec<Response>> = sources.iter().map(of).collect();
        found(name.to_owned(), all?, &[])
    }
}

/// The curve of all that the pickups may be: the first is the line, all are the band.
fn found(name: String, all: Vec<Response>, beside: &[Response]) -> Option<Found> {
    let points: Vec<Vec<Point>> = all.iter().map(|one| one.points(POINTS)).collect();
    let told = all.iter().zip(&points).map(|(one, points)| one.sketched(points)).collect();
    let first = points.first()?.clone();
    let further = beside.iter().map(|one| one.points(POINTS));
    let mut band: Vec<[f64; 2]> = first.iter().map(|point| [point.level.0; 2]).collect();
    for points in points.iter().cloned().chain(further) {
        for (band, point) in band.iter_mut().zip(points) {
            *band = [band[0].min(point.level.0), band[1].max(point.level.0)];
        }
    }
    Some(Found { curve: Curve { name: name.clone(), points: first, band }, name, all, told })
}
