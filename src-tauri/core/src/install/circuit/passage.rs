//! The way from a recording of the audition to the circuit of its install.

use super::bench::{Found, laid, sources};
use super::recorded::{cable_told, input_told, resistor_told};
use super::{CABLE, INPUT, LINE_INPUT, begin};
use crate::install::compute::suggested;
use crate::install::fold::Install;
use crate::install::kit::InstallKit;
use crate::physics::response::{Load, Response, changes};
use crate::record::quantity::{Farads, Hertz};
use crate::record::take::{Recorded, Through};

/// Said where a change goes one way for one pickup and the other way for another.
const NOTHING_HOLDS: &str = "nothing that can be heard, or nothing that holds for every pickup of its kind";

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
