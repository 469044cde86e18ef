//! The sound of an install's circuit: curves of what is planned, of the rig as it was heard, of the parts as they were.

mod figures;
mod offered;
mod recorded;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use self::figures::{figures, rows};
use self::offered::offered;
use self::recorded::{cable_told, input_told, recorded_parts, resistor_told};
use super::compute::suggested;
use super::fold::Install;
use super::kit::InstallKit;
use crate::audition::hookup_or_meant;
use crate::physics::drawing::Drawn;
use crate::physics::meter::Joined;
use crate::physics::response::{
    Bleed, Curve, Load, OfKind, Point, Pot, Pots, Response, Taper, Told, Values, changes, curves_drawn, of_kind,
};
use crate::physics::wiring::{
    JackCase, POT_WITHIN, SignalPath, Sources, Standing, Staying, WiringPlan, installed, mode_wirings,
    staying_measured, staying_of_kind, wire_in,
};
use crate::record::controls::VolumeLayout;
use crate::record::parts::{CircuitParts, PotTaper};
use crate::record::pickup::Pickup;
use crate::record::quantity::{Farads, Hertz, Ohms};
use crate::record::rig::{Mode, Rig};
use crate::record::take::{Recorded, Through};
use crate::record::wiring::Plan;
use crate::record::words::listed;

/// A cable nobody has told of, in farads; an input nobody has told of, a pot nobody has written down, in ohms; a tone's
/// capacitor, in farads (all usual, from memory).
const CABLE: Farads = Farads(500e-12);
const INPUT: Ohms = Ohms(1e6);
const LINE_INPUT: Ohms = Ohms(1e4);
const POT: Ohms = Ohms(500e3);
const CAPACITOR: Farads = Farads(22e-9);
/// How far a capacitor lies from its stated value (common practice).
const CAPACITOR_WITHIN: f64 = 0.10;
/// How many points a curve has.
const POINTS: usize = 121;
/// Said where a change goes one way for one pickup and the other way for another.
const NOTHING_HOLDS: &str = "nothing that can be heard, or nothing that holds for every pickup of its kind";
/// A knob's last figure.
pub const KNOB: f64 = 10.0;

/// How a circuit is looked at: the parts, and how everything stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct CircuitLook {
    /// The parts.
    pub parts: CircuitParts,
    /// Where the volume stands, 0 to 10.
    pub volume: f64,
    /// Where the tone stands, 0 to 10.
    pub tone: f64,
    /// Where a blend pot stands, 0 to 10.
    pub blend: f64,
    /// The selector's position; empty where there is none.
    pub selector: String,
    /// The mode switch's position; empty for a fixed mode.
    pub switch: String,
    /// A pickup that stays, by its place, with which the new one stands in a row whatever the selector says.
    #[serde(default)]
    pub in_row_with: Option<String>,
}

/// A value to choose, with its words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct PartOffered {
    /// In ohms or farads.
    pub value: f64,
    /// In words.
    pub words: String,
}

/// What there is to choose from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct PartsOffered {
    /// Pots.
    pub pots: Vec<PartOffered>,
    /// Tone capacitors.
    pub capacitors: Vec<PartOffered>,
    /// Capacitors of a treble bleed.
    pub bleeds: Vec<PartOffered>,
    /// Resistors of a treble bleed.
    pub resistors: Vec<PartOffered>,
    /// Cables.
    pub cables: Vec<PartOffered>,
    /// Inputs.
    pub inputs: Vec<PartOffered>,
    /// Tapers, with their words.
    pub tapers: Vec<(PotTaper, String)>,
    /// Positions of the selector; empty where there is none.
    pub selectors: Vec<String>,
    /// Positions of the mode switch, each with its mode; empty for a fixed mode.
    pub switches: Vec<(String, String)>,
    /// Places of pickups that stay.
    pub beside: Vec<String>,
}

/// What a curve comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct CurveTold {
    /// What it is called.
    pub name: String,
    /// What it comes to, each with its name: resonance, end of the highs, level, output, noise.
    pub figures: Vec<(String, String)>,
}

/// One row of the curves as a table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct CurveRow {
    /// The frequency.
    pub hertz: String,
    /// The level of each curve.
    pub levels: Vec<String>,
}

/// The sound of an install's circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct CircuitView {
    /// What it is the circuit of.
    pub title: String,
    /// What was looked at.
    pub look: CircuitLook,
    /// Whether these parts are those that were chosen for this install.
    pub chosen: bool,
    /// What there is to choose from.
    pub offered: PartsOffered,
    /// Why there is no curve; nothing where there is one.
    pub why_not: Option<String>,
    /// The curves, drawn.
    pub drawn: Option<Drawn>,
    /// What each comes to.
    pub curves: Vec<CurveTold>,
    /// The curves as a table.
    pub rows: Vec<CurveRow>,
    /// What changes, a sentence a comparison.
    pub changes: Vec<String>,
    /// Whether the pickup's inductance and capacitance were measured.
    pub measured: bool,
    /// What it rests on, in sentences.
    pub notes: Vec<String>,
}

/// All that a circuit is computed from.
struct Bench<'a> {
    kit: &'a InstallKit,
    pickup: &'a Pickup,
    rig: &'a Rig,
    joined: Vec<Joined>,
    wiring: WiringPlan,
    path: SignalPath,
    staying: Vec<Staying>,
}

/// What the new pickup may be, and each that stays, by its place.
type Source = (Values, Vec<(String, Values)>);

/// What a curve is of, over all that the pickups may be.
struct Found {
    name: String,
    all: Vec<Response>,
    told: Vec<Told>,
    curve: Curve,
}

/// The circuit of an install as it is looked at; with nothing said, with the parts that were chosen or those of the guitar's
/// record, all at full.
#[must_use]
pub fn circuit_of(install: &Install, kit: &InstallKit, look: Option<CircuitLook>) -> CircuitView {
    let suggested = &suggested(kit);
    let (recorded, notes) = recorded_parts(kit);
    let chosen = install.parts.as_ref().map(|saved| saved.said);
    let laid = laid(install, kit, suggested);
    let parts = chosen.unwrap_or(recorded);
    let look = look.unwrap_or_else(|| begin(kit, laid.as_ref().ok(), parts));
    let mut view = CircuitView {
        title: kit.title(),
        chosen: chosen == Some(look.parts),
        offered: offered(laid.as_ref().ok(), &look),
        look,
        why_not: None,
        drawn: None,
        curves: Vec::new(),
        rows: Vec::new(),
        changes: Vec::new(),
        measured: false,
        notes: Vec::new(),
    };
    let bench = match laid {
        Ok(bench) => bench,
        Err(why) => {
            view.why_not = Some(why);
            return view;
        }
    };
    let sources = sources(&bench);
    let Some(planned) = bench.planned("Planned", &view.look, &sources, true) else {
        view.why_not = Some("Nothing is heard in this position.".to_owned());
        return view;
    };
    let mut found = vec![planned];
    found.extend(bench.on_rig(&view.look, &sources));
    // The parts as they are, all at full, beside those that are looked at.
    let before = CircuitLook { parts, volume: KNOB, tone: KNOB, ..view.look.clone() };
    if before != view.look {
        let name = if chosen.is_some() { "As chosen, at full" } else { "As recorded, at full" };
        found.extend(bench.planned(name, &before, &sources, false));
    }
    view.changes = found
        .iter()
        .skip(1)
        .map(|other| {
            let what = changes(&other.told, &found[0].told);
            let what =
                if what.is_empty() { "nothing that holds for every pickup of its kind".to_owned() } else { what };
            format!("Against “{}”: {what}.", other.name)
        })
        .collect();
    view.curves = found.iter().map(|one| CurveTold { name: one.name.clone(), figures: figures(one) }).collect();
    view.rows = rows(&found);
    let curves: Vec<Curve> = found.into_iter().map(|one| one.curve).collect();
    let title = format!("What reaches the amplifier: {}", view.title);
    let desc: Vec<String> = view
        .curves
        .iter()
        .map(|curve| {
            let figures: Vec<String> = curve.figures.iter().map(|(name, said)| format!("{name} {said}")).collect();
            format!("{}: {}.", curve.name, figures.join(", "))
        })
        .collect();
    view.drawn = Some(curves_drawn(&title, &desc.join(" "), &curves));
    view.measured = bench.kit.sounding.is_some();
    view.notes.push(bench.rests_on());
    // Once parts are chosen nothing is drawn of what nobody wrote down.
    if chosen.is_none() {
        view.notes.extend(notes);
    }
    view
}

/// The way from a circuit that was recorded to that of an install.
#[derive(Debug, Clone)]
pub struct Passage {
    recorded: Response,
    planned: Response,
    /// Through what it goes then, in words.
    pub through: String,
    /// How far it may be off, in a sentence.
    pub within: String,
}

impl Passage {
    /// By what a voltage changes at a frequency, as real and imaginary part; nothing where one of the two can't be told.
    #[must_use]
    pub fn ratio(&self, hertz: Hertz) -> Option<[f64; 2]> {
        let ratio = self.planned.at(hertz)? / self.recorded.at(hertz)?;
        Some([ratio.re, ratio.im])
    }
}

/// From a recording of the audition to the install with the parts that were chosen, all at full.
///
/// # Errors
/// A sentence that says why there is none.
pub fn as_installed(install: &Install, kit: &InstallKit, recorded: &Recorded) -> Result<Passage, String> {
    let parts = install.parts.as_ref().map(|saved| saved.said).ok_or("Choose the parts first, then hear them.")?;
    let bench = laid(install, kit, &suggested(kit))?;
    let mut look = begin(kit, Some(&bench), parts);
    let gives = |name: &String| bench.wiring.positions.iter().any(|one| one.name == *name && one.mode == recorded.mode);
    let named =
        bench.wiring.positions.iter().filter(|one| one.mode.is_some()).map(|one| &one.name).find(|name| gives(name));
    match (named, &bench.wiring.selector) {
        (Some(name), None) => look.switch.clone_from(name),
        // Alone where that gives the mode.
        (Some(name), Some(_)) if !gives(&look.selector) => look.selector.clone_from(name),
        (Some(_), Some(_)) | (None, _) => {}
    }
    let sources = sources(&bench);
    let load = Load {
        cable: recorded.cable.map(|cable| Farads(cable.picofarads() * 1e-12)).or(cable_told(kit)).unwrap_or(CABLE),
        input: match recorded.through {
            Some(Through::Line) => LINE_INPUT,
            Some(Through::Instrument) => INPUT,
            _ => input_told(kit).unwrap_or(INPUT),
        },
        across: recorded.load.or_else(|| resistor_told(kit)),
        stray: bench.rig.stray.unwrap_or(Farads(0.0)),
    };
    let unheard = "Nothing is heard in this position, so there is nothing to compute.";
    let planned = bench.planned("", &look, &sources, false).ok_or(unheard)?;
    let mode = recorded.mode.clone().or_else(|| bench.mode_of(&look)).ok_or(unheard)?;
    let rig = bench.rig_in("", &mode, &load, &sources).ok_or(unheard)?;
    let what = changes(&rig.told, &planned.told);
    let what = if what.is_empty() { NOTHING_HOLDS.to_owned() } else { what };
    let mut through = parts.in_words();
    if bench.wiring.selector.is_some() {
        through = format!("selector on {}, {through}", look.selector);
    }
    if !look.switch.is_empty() {
        through = format!("switch on {}, {through}", look.switch);
    }
    let first = |found: Found| found.all.into_iter().next();
    Ok(Passage {
        recorded: first(rig).ok_or(unheard)?,
        planned: first(planned).ok_or(unheard)?,
        through: format!("as installed, {through}"),
        within: match kit.sounding {
            Some(_) => format!("By what was measured of the pickup, it changes: {what}."),
            None => {
                format!(
                    "Its inductance and capacitance were not measured. For any pickup of its kind it changes: {what}."
                )
            }
        },
    })
}

/// How it stands at first.
fn begin(kit: &InstallKit, bench: Option<&Bench>, parts: CircuitParts) -> CircuitLook {
    let place = &kit.on.place;
    let selectors = bench.map(|bench| bench.path.positions.as_slice()).unwrap_or_default();
    let with = selectors.iter().find(|position| position.places.contains(place));
    let alone = kit.position_with(place).or_else(|| with.map(|position| position.name.clone()));
    // Where the selector chooses the mode there is no switch.
    let switched = bench.filter(|bench| bench.wiring.selector.is_none());
    let switch = switched.and_then(|bench| bench.wiring.positions.iter().find(|position| position.mode.is_some()));
    CircuitLook {
        parts,
        volume: KNOB,
        tone: KNOB,
        blend: 0.0,
        selector: alone.unwrap_or_default(),
        switch: switch.map(|position| position.name.clone()).unwrap_or_default(),
        in_row_with: None,
    }
}

fn laid<'a>(install: &Install, kit: &'a InstallKit, suggested: &Plan) -> Result<Bench<'a>, String> {
    let (Some(pickup), Some(rig)) = (&kit.pickup, &kit.heard.rig) else {
        return Err("The records of the pickup and the rig are needed for this.".to_owned());
    };
    let joined = hookup_or_meant(&kit.audition, &kit.heard);
    let plan = install.plan.as_ref().map_or(suggested, |saved| &saved.said);
    if let Some(sentence) = kit.laid_otherwise(plan) {
        return Err(sentence);
    }
    let path = kit.path_of(plan);
    let wiring = wire_in(pickup, &mode_wirings(pickup, rig, &joined), plan, (&kit.on.place, &path.positions));
    if wiring.positions.is_empty() {
        return Err(wiring.sentence);
    }
    Ok(Bench { kit, pickup, rig, joined, wiring, path, staying: kit.staying(install) })
}

/// What each pickup may be: the new one by what was measured of it, else by its kind, then those that stay. The first is the likeliest
/// of all.
fn sources(bench: &Bench) -> Vec<Source> {
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
    fn rests_on(&self) -> String {
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

    fn planned(&self, name: &str, look: &CircuitLook, sources: &[Source], banded: bool) -> Option<Found> {
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
    fn mode_of(&self, look: &CircuitLook) -> Option<Mode> {
        let by_selector = self.wiring.selector.is_some();
        let stands = if by_selector { &look.selector } else { &look.switch };
        self.wiring.positions.iter().find(|position| position.name == *stands)?.mode.clone()
    }

    /// The rig as the audition had it, in the mode that the switch gives.
    fn on_rig(&self, look: &CircuitLook, sources: &[Source]) -> Option<Found> {
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
    fn rig_in(&self, name: &str, mode: &Mode, load: &Load, sources: &[Source]) -> Option<Found> {
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
