//! Readings that were written down and that others make doubtful: asked about before anything is made of them.

use super::{LeadSearch, LeadTask, same};
use crate::leads::identify::{LeadsFound, identify};
use crate::meter::{COIL, SHORT_BELOW, slip};
use crate::record::body::LeadsBody;
use crate::record::claim::Meter;
use crate::record::leads::Contact;
use crate::record::names::EntryId;
use crate::record::pickup::Pickup;
use crate::record::quantity::{Ohms, Reading, read_ohms};

/// Two leads that are one point read up to this with thin wire and probes (common practice), in ohms.
const MOST_OF_A_JOIN: f64 = 3.0;
/// Coils of one pickup, or two of them in a row, lie within this factor of each other unless something is odd.
const ALIKE: f64 = 4.0;
/// How far a coil, or three in a row, may be from the others for a slip to have led away from there.
const WITHIN: (f64, f64) = (0.45, 3.3);

/// A reading as it was typed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Typed {
    entry: EntryId,
    between: [Contact; 2],
    reading: Reading,
    text: String,
    /// Somebody was asked about it, and said that it is so.
    sure: bool,
}

impl Typed {
    pub fn of(entry: EntryId, body: &LeadsBody) -> Option<Self> {
        let LeadsBody::LeadsMeasured { between, reading: Some(reading), typed, sure } = body else { return None };
        Some(Self { entry, between: between.clone(), reading: *reading, text: typed.clone(), sure: *sure })
    }
}

impl LeadSearch {
    /// The first reading that a slip would bring to where the others are, and what the record states three powers of ten away
    /// from what was read. A pair that read twice alike, or was asked about, is believed.
    pub(super) fn slip(&self, pickup: &Pickup, found: &LeadsFound, meter: &Meter) -> Option<LeadTask> {
        let of_readings = self.typed.iter().find_map(|one| self.slip_in(one, pickup, found, meter));
        of_readings.or_else(|| stated(pickup, found))
    }

    fn slip_in(&self, one: &Typed, pickup: &Pickup, found: &LeadsFound, meter: &Meter) -> Option<LeadTask> {
        let Reading::Ohms(Ohms(ohms)) = one.reading else { return None };
        let of_pair = self.typed.iter().filter(|other| same(&other.between, &one.between));
        let twice = of_pair.filter(|other| other.reading == one.reading).count() > 1;
        if twice || one.sure {
            return None;
        }
        let read = self.typed.iter().filter(|other| !same(&other.between, &one.between));
        let read = read.filter_map(|other| other.reading.ohms()).filter(|ohms| ohms.0 >= SHORT_BELOW);
        let stated = pickup.coils.iter().filter_map(|coil| coil.stated).filter(|ohms| is_a_coil(ohms.0));
        let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
        for Ohms(other) in read.chain(stated) {
            (low, high) = (low.min(other), high.max(other));
        }
        let near = (low / ALIKE..=high * ALIKE).contains(&ohms);
        if high == 0.0 || (near && found.contradictions.is_empty()) {
            return None;
        }
        let asked = slip(&one.text, (low * WITHIN.0, high * WITHIN.1), meter.most_counts())?;
        // Two leads that are one point read so little; a lone 1 may be over limit all the same.
        if ohms < MOST_OF_A_JOIN && asked.instead != "OL" {
            return None;
        }
        // A slip that leaves the readings at odds explains nothing.
        let meant = read_ohms(&asked.instead).ok()?;
        let mut search = self.search.clone()?;
        for other in search.readings.iter_mut().filter(|other| same(&other.between, &one.between)) {
            if other.reading == one.reading {
                other.reading = meant;
            }
        }
        identify(&search, meter).contradictions.is_empty().then(|| LeadTask::Slip {
            sentence: format!("{} to {}: {}", one.between[0], one.between[1], asked.sentence),
            entry: Some(one.entry),
            between: one.between.each_ref().map(Contact::to_string),
            typed: one.text.clone(),
            instead: asked.instead,
        })
    }
}

fn is_a_coil(ohms: f64) -> bool {
    (COIL.0..=COIL.1).contains(&ohms)
}

/// What is stated for a coil, three powers of ten away from the coils that were found.
fn stated(pickup: &Pickup, found: &LeadsFound) -> Option<LeadTask> {
    let (coil, stated) = pickup
        .coils
        .iter()
        .find_map(|coil| coil.stated.filter(|stated| !is_a_coil(stated.0)).map(|stated| (coil.name, stated)))?;
    let far = |ohms: Ohms| (2.5..=3.5).contains(&(stated.0 / ohms.0).log10().abs());
    let nearest = found.coils.iter().map(|coil| coil.ohms).find(|ohms| far(*ohms))?;
    Some(LeadTask::Slip {
        sentence: format!(
            "The pickup's record says {} for coil {}, and a coil of {} was read. Look at the letter in the record.",
            stated.shown(),
            coil.letter(),
            nearest.shown()
        ),
        entry: None,
        between: [String::new(), String::new()],
        typed: stated.shown(),
        instead: String::new(),
    })
}
