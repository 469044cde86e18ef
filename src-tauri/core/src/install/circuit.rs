//! The sound of an install's circuit: curves of what is planned, of the rig as it was heard, of the parts as they were.

mod bench;
mod figures;
mod offered;
mod passage;
mod recorded;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use self::bench::{Bench, laid, sources};
use self::figures::{figures, rows};
use self::offered::offered;
pub use self::passage::{Passage, as_installed};
use self::recorded::recorded_parts;
use super::compute::suggested;
use super::fold::Install;
use super::kit::InstallKit;
use crate::physics::drawing::Drawn;
use crate::physics::response::{Curve, changes, curves_drawn};
use crate::record::parts::{CircuitParts, PotTaper};
use crate::record::quantity::{Farads, Ohms};

/// A cable nobody has told of, in farads; an input nobody has told of, a pot nobody has written down, in ohms; a tone's
/// capacitor, in farads (all usual, from memory).
const CABLE: Farads = Farads(500e-12);
const INPUT: Ohms = Ohms(1e6);
const LINE_INPUT: Ohms = Ohms(1e4);
const POT: Ohms = Ohms(500e3);
const CAPACITOR: Farads = Farads(22e-9);
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
    let sounds = |planned: &bench::Found| planned.curve.points.iter().any(|point| point.level.0.is_finite());
    let Some(planned) = bench.planned("Planned", &view.look, &sources, true).filter(sounds) else {
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
