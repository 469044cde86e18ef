//! The sound of an install's circuit: curves of what is planned, of the rig as it was heard, of the parts as they were.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::compute::suggested;
use super::fold::Install;
use super::kit::InstallKit;
use crate::audition::hookup_or_meant;
use crate::physics::drawing::Drawn;
use crate::physics::meter::Joined;
use crate::physics::response::{
    Bleed, Curve, Load, OfKind, Point, Pot, Pots, Response, Series, Taper, Told, Values, changes, curves_drawn,
    of_kind, preferred,
};
use crate::physics::wiring::{
    JackCase, POT_WITHIN, SignalPath, Sources, Standing, Staying, WiringPlan, installed, mode_wirings, staying_of_kind,
    wire,
};
use crate::record::controls::VolumeLayout;
use crate::record::facts::{BenchFact, Question};
use crate::record::parts::{CircuitParts, PotTaper};
use crate::record::pickup::Pickup;
use crate::record::quantity::{Decibels, Farads, Hertz, Ohms};
use crate::record::rig::{Mode, Rig};
use crate::record::wiring::Plan;

/// A cable nobody has told of, in farads; an input nobody has told of, a pot nobody has written down, in ohms; a tone's
/// capacitor, in farads (all usual, from memory).
const CABLE: Farads = Farads(500e-12);
const INPUT: Ohms = Ohms(1e6);
const POT: Ohms = Ohms(500e3);
const CAPACITOR: Farads = Farads(22e-9);
/// How far a capacitor lies from its stated value (common practice).
const CAPACITOR_WITHIN: f64 = 0.10;
/// How many points a curve has.
const POINTS: usize = 121;
/// Where the table for ears and paper has its rows, in hertz.
const ROWS: [f64; 10] = [100.0, 200.0, 500.0, 1e3, 2e3, 3e3, 4e3, 5e3, 7e3, 10e3];
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
    let (recorded, mut notes) = recorded_parts(kit);
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
    let sources = of_kinds(&bench);
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
    view.notes.push(
        "Not measured: the inductance and capacitance of these pickups. The lines are likely ones of their kind; the band holds all \
         of it, with pots within 20 % and capacitors within 10 %."
            .to_owned(),
    );
    view.notes.append(&mut notes);
    view
}

/// How it stands at first.
fn begin(kit: &InstallKit, bench: Option<&Bench>, parts: CircuitParts) -> CircuitLook {
    let place = &kit.on.place;
    let selectors = bench.map(|bench| bench.path.positions.as_slice()).unwrap_or_default();
    let with = selectors.iter().find(|position| position.places.contains(place));
    let alone = kit.position_with(place).or_else(|| with.map(|position| position.name.clone()));
    let switch = bench.and_then(|bench| bench.wiring.positions.iter().find(|position| position.mode.is_some()));
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
    let wiring = wire(pickup, &mode_wirings(pickup, rig, &joined), plan);
    if wiring.positions.is_empty() {
        return Err(wiring.sentence);
    }
    Ok(Bench { kit, pickup, rig, joined, wiring, path: kit.path(), staying: kit.staying(install) })
}

/// The parts as the guitar's record and the audition have them, and what had to be taken for what nobody has said.
fn recorded_parts(kit: &InstallKit) -> (CircuitParts, Vec<String>) {
    let controls = kit.guitar.as_ref().map(|guitar| guitar.controls.clone()).unwrap_or_default();
    let (volume, tone, capacitor) = match &controls.layout {
        VolumeLayout::Shared {} => (Some(controls.volume), controls.tone, controls.capacitor),
        VolumeLayout::NoVolume {} => (None, controls.tone, controls.capacitor),
        VolumeLayout::EachPlace { pots, .. } => {
            let here = pots.iter().find(|pots| pots.place == kit.on.place);
            (
                Some(here.and_then(|pots| pots.volume)),
                here.and_then(|pots| pots.tone),
                here.and_then(|pots| pots.capacitor),
            )
        }
    };
    let mut taken = Vec::new();
    if volume == Some(None) {
        taken.push("a volume of 500 kΩ");
    }
    if tone.is_some() && capacitor.is_none() {
        taken.push("a tone capacitor of 22 nF");
    }
    let cable = cable_told(kit);
    if cable.is_none() {
        taken.push("a cable of 500 pF");
    }
    let input = input_told(kit);
    if input.is_none() {
        taken.push("an input of 1 MΩ");
    }
    let notes =
        (!taken.is_empty()).then(|| format!("Not written down, so a usual one is taken: {}.", taken.join(", ")));
    let parts = CircuitParts {
        volume: volume.map(|pot| pot.unwrap_or(POT)),
        tone,
        capacitor: tone.map(|_| capacitor.unwrap_or(CAPACITOR)),
        ..CircuitParts::straight(cable.unwrap_or(CABLE), input.unwrap_or(INPUT))
    };
    (parts, notes.into_iter().collect())
}

fn told(kit: &InstallKit, question: Question) -> Option<BenchFact> {
    kit.audition.told.get(&question).map(|saved| saved.said)
}

/// The cable of the audition: as its capacitance was told, else by its length.
fn cable_told(kit: &InstallKit) -> Option<Farads> {
    let by_length = || match told(kit, Question::Cable)? {
        BenchFact::Cable(cable) => Some(cable.picofarads()),
        _ => None,
    };
    let picofarads = match told(kit, Question::CablePicofarads) {
        Some(BenchFact::CablePicofarads(size)) => Some(f64::from(size)),
        _ => by_length(),
    };
    picofarads.map(|picofarads| Farads(picofarads * 1e-12))
}

/// The input that the audition was heard through.
fn input_told(kit: &InstallKit) -> Option<Ohms> {
    match told(kit, Question::Input)? {
        BenchFact::Input(input) => Some(input.ohms()),
        _ => None,
    }
}

/// What each pickup may be: the new one, then those that stay.
fn of_kinds(bench: &Bench) -> Vec<(Values, Vec<(String, Values)>)> {
    let OfKind { all } = of_kind(bench.pickup, &bench.kit.measured);
    let staying: Vec<(String, OfKind)> =
        bench.staying.iter().map(|staying| (staying.place.clone(), staying_of_kind(staying))).collect();
    all.into_iter()
        .enumerate()
        .map(|(at, new)| {
            let beside = staying.iter().filter_map(|(place, kind)| Some((place.clone(), kind.all.get(at)?.clone())));
            (new, beside.collect())
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

    fn response(
        &self,
        look: &CircuitLook,
        (new, staying): &(Values, Vec<(String, Values)>),
        within: [f64; 2],
    ) -> Option<Response> {
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

    fn planned(
        &self,
        name: &str,
        look: &CircuitLook,
        sources: &[(Values, Vec<(String, Values)>)],
        banded: bool,
    ) -> Option<Found> {
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

    /// The rig as the audition had it, in the mode that the switch gives.
    fn on_rig(&self, look: &CircuitLook, sources: &[(Values, Vec<(String, Values)>)]) -> Option<Found> {
        let fixed = self.wiring.positions.iter().find(|position| position.name == look.switch);
        let mode: &Mode = fixed?.mode.as_ref()?;
        let across = match told(self.kit, Question::LoadResistor) {
            Some(BenchFact::LoadResistor(is)) => is.ohms(),
            _ => None,
        };
        let load = Load {
            cable: cable_told(self.kit).unwrap_or(CABLE),
            input: input_told(self.kit).unwrap_or(INPUT),
            across,
            stray: self.rig.stray.unwrap_or(Farads(0.0)),
        };
        let of = |(values, _): &(Values, _)| {
            Response::on_rig((self.pickup, &self.joined), (self.rig, mode), values, (&Pots::none(), &load))
        };
        let all: Option<Vec<Response>> = sources.iter().map(of).collect();
        let with = across.map_or_else(|| "raw".to_owned(), |ohms| format!("{} across", ohms.shown()));
        found(format!("On the rig, {}, {with}", mode.0), all?, &[])
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

/// `3.2 kHz`, `2.1 to 4.9 kHz`.
fn hertz(of: &[f64]) -> String {
    let shown =
        |hertz: f64| if hertz >= 995.0 { format!("{:.1} kHz", hertz / 1e3) } else { format!("{:.0} Hz", hertz) };
    between(of, shown)
}

fn between(of: &[f64], shown: impl Fn(f64) -> String) -> String {
    let low = minus(&shown(of.iter().copied().fold(f64::INFINITY, f64::min)));
    let high = minus(&shown(of.iter().copied().fold(f64::NEG_INFINITY, f64::max)));
    match (low.split_once(' '), high.split_once(' ')) {
        _ if low == high => low,
        (Some((figure, one)), Some((_, other))) if one == other => format!("{figure} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// With a real minus, and none before a zero.
fn minus(text: &str) -> String {
    let figure = |word: &str| match word.strip_prefix('-') {
        Some(size) if size.chars().all(|one| one == '0' || one == '.') => size.to_owned(),
        Some(size) => format!("−{size}"),
        None => word.to_owned(),
    };
    text.split(' ').map(figure).collect::<Vec<_>>().join(" ")
}

fn figures(found: &Found) -> Vec<(String, String)> {
    let peaks: Vec<_> = found.told.iter().filter_map(|told| told.peak).collect();
    let mut figures = Vec::new();
    let mut add = |name: &str, said: String| figures.push((name.to_owned(), said));
    if peaks.is_empty() {
        add("Resonance", "none that is heard".to_owned());
    } else {
        let all = if peaks.len() < found.told.len() { ", or none" } else { "" };
        let at: Vec<f64> = peaks.iter().map(|peak| peak.hertz.0).collect();
        let high: Vec<f64> = peaks.iter().map(|peak| peak.over_low.0).collect();
        add("Resonance", format!("{}{all}", hertz(&at)));
        add("Its height", between(&high, |db| format!("{db:.0} dB")));
    }
    let falls: Vec<f64> = found.told.iter().filter_map(|told| told.falls_at).map(|Hertz(at)| at).collect();
    if !falls.is_empty() {
        add("3 dB down at", hertz(&falls));
    }
    let level: Vec<f64> = found.told.iter().map(|told| told.level).map(|Decibels(db)| db).collect();
    add("Level at 200 Hz", between(&level, |db| format!("{db:.1} dB")));
    let seen: Vec<f64> =
        found.all.iter().filter_map(|one| one.seen_at(Hertz(1000.0))).map(|seen| seen.norm()).collect();
    if !seen.is_empty() {
        add("Output impedance at 1 kHz", between(&seen, |ohms| format!("{:.0} kΩ", ohms / 1e3)));
    }
    let noise: Vec<f64> = found.all.iter().take(1).map(Response::noise).collect();
    add("Noise of its resistance", between(&noise, |volts| format!("{:.1} µV", volts * 1e6)));
    figures
}

fn rows(found: &[Found]) -> Vec<CurveRow> {
    ROWS.into_iter()
        .map(|at| CurveRow {
            hertz: hertz(&[at]),
            levels: found
                .iter()
                .map(|one| {
                    let near = |point: &Point| (point.hertz.0 / at).ln().abs();
                    let points = one.curve.points.iter().zip(&one.curve.band);
                    let here = points.min_by(|(a, _), (b, _)| near(a).total_cmp(&near(b)));
                    here.map_or_else(String::new, |(_, band)| between(band, |db| format!("{db:.0}")))
                })
                .collect(),
        })
        .collect()
}

fn offered(bench: Option<&Bench>, look: &CircuitLook) -> PartsOffered {
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
            .filter(|bench| bench.wiring.positions.len() > 1)
            .map(|bench| {
                let mode = |mode: &Option<Mode>| mode.as_ref().map_or_else(String::new, |mode| mode.0.clone());
                bench.wiring.positions.iter().map(|position| (position.name.clone(), mode(&position.mode))).collect()
            })
            .unwrap_or_default(),
        beside: bench
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
