//! Finding out the leads of a pickup, one measurement after the other: what was measured so far, what it comes to, and what
//! to do next.

mod next;
mod recorded;
mod slips;
mod taps;
mod words;
mod written;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use self::recorded::recorded_coils;
use self::recorded::{as_recorded, named_in_record};
use self::words::by_its_record;
use super::hookup::{HookupMap, as_hooked_up, hookup};
use super::identify::{CoilFound, LeadsFound, PairReading, Search, identify};
use super::sense::{CompassMark, Marks, SensesFound, senses};
use crate::meter::ImpliedCoil;
use crate::record::body::LeadsBody;
use crate::record::claim::Meter;
use crate::record::leads::{CoilLeads, Contact, LeadName, Swing, Tap};
use crate::record::names::EntryId;
use crate::record::pickup::{Coil, CoilName, Construction, Lead, Pickup, PickupId, Polarity, ShieldKind};
use crate::record::rig::Rig;
use crate::record::strike::Struck;

/// What was measured of a pickup's leads since they were begun.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LeadSearch {
    begun: bool,
    search: Option<Search>,
    /// The coils as the pickup's record has them, where that is taken for right.
    recorded: Vec<CoilLeads>,
    named: Vec<CoilLeads>,
    taps: Vec<Tap>,
    heard: taps::Heard,
    compass: Vec<(CoilName, Option<Polarity>)>,
    /// Each reading as it was typed, in the order they were taken.
    typed: Vec<slips::Typed>,
}

/// One thing that was found out, as a line that can be struck out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct LeadLine {
    /// The entry.
    pub entry: EntryId,
    /// In words: `red to white: 6.66 kΩ`.
    pub words: String,
    /// Whether it was struck out, and why.
    pub struck: Option<Struck>,
}

/// Finding out the leads of one pickup.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct LeadSearchView {
    /// The pickup.
    pub pickup: PickupId,
    /// What its owner calls it.
    pub label: String,
    /// The leads, the shield and the frame, in the order they are drawn.
    pub names: Vec<Contact>,
    /// Whether there is a shield, as its record says.
    pub shield: bool,
    /// Where things stand, in a sentence.
    pub sentence: String,
    /// The coils found, the named ones first.
    pub coils: Vec<CoilDrawn>,
    /// What is joined without a coil between, drawn as a bond.
    pub bonds: Vec<[Contact; 2]>,
    /// What is worth knowing, or what does not fit together.
    pub remarks: Vec<String>,
    /// What to do next.
    pub next: LeadTask,
    /// Everything that was found out, the newest first, struck-out lines among them.
    pub lines: Vec<LeadLine>,
    /// The hookup that follows for the rig at hand; nothing before the ends are known.
    pub hookup: Option<HookupMap>,
    /// The rig that the hookup is for.
    pub rig: String,
    /// Its record says enough of its leads that they can be tapped at once.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    #[ts(optional, as = "Option<bool>")]
    pub can_be_as_recorded: bool,
    /// The input that taps were recorded on last; empty for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[ts(optional, as = "Option<String>")]
    pub input: String,
    /// Whether it is known that this input turns what it records about, or does not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    #[ts(optional, as = "Option<bool>")]
    pub input_known: bool,
}

/// A coil between two leads.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct CoilDrawn {
    /// The leads at its ends, the minus end first where it is known.
    pub between: [Contact; 2],
    /// `coil A`; empty when it has no name yet.
    pub name: String,
    /// Its resistance, shown.
    pub shown: String,
    /// Whether it is known which end is plus.
    pub ends_known: bool,
}

/// The next thing to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "task")]
#[ts(export_to = "contract/leads.ts")]
pub enum LeadTask {
    /// Say which leads there are.
    Begin {},
    /// Measure between two of them.
    Measure {
        /// The two.
        between: [Contact; 2],
        /// What to do.
        sentence: String,
    },
    /// Something was typed otherwise than it was read, perhaps: say which it is.
    Slip {
        /// The question.
        sentence: String,
        /// The reading to strike out if it was a slip; nothing when it is about what the pickup's record states.
        entry: Option<EntryId>,
        /// Where that was taken; twice empty for the record.
        between: [String; 2],
        /// As it was typed.
        typed: String,
        /// What to write instead: `6.66k` or `OL`; empty for the record.
        instead: String,
    },
    /// Something does not fit together: strike out what was read wrong and do it again.
    Check {},
    /// Say which coil lies between which leads.
    Name {
        /// The coil that is asked for.
        coil: CoilName,
        /// The pairs it may be.
        choices: Vec<[Contact; 2]>,
        /// How to tell.
        sentence: String,
    },
    /// Tap a coil with steel.
    Tap {
        /// Which.
        coil: CoilName,
        /// Which of several that is: `Coil B, 2 of 2`; nothing where there is one alone.
        which: Option<String>,
        /// The lead for the meter's plus probe.
        plus: Contact,
        /// The lead for its minus probe.
        minus: Contact,
        /// What to do.
        sentence: String,
    },
    /// Hold a compass over a coil.
    Compass {
        /// Which.
        coil: CoilName,
        /// What to do.
        sentence: String,
    },
    /// Write what was found into the pickup's record.
    Settle {
        /// What will be written.
        sentences: Vec<String>,
    },
    /// The pickup's record says what was found.
    Done {},
    /// No pair is left that can be reached, and it is not sure.
    Stuck {},
}

impl LeadSearch {
    /// Takes in one more thing that was found out and not struck out, in the order it was written.
    pub fn take(&mut self, entry: EntryId, body: &LeadsBody) {
        self.sort_in(body);
        self.typed.extend(slips::Typed::of(entry, body));
    }

    fn sort_in(&mut self, body: &LeadsBody) {
        match body {
            LeadsBody::LeadsBegun { leads, shield, frame, as_recorded } => {
                let search = Search {
                    leads: leads.clone(),
                    shield: *shield,
                    frame: *frame,
                    readings: Vec::new(),
                    out_of_reach: Vec::new(),
                };
                let (recorded, named) = (as_recorded.clone(), as_recorded.clone());
                *self = Self { begun: true, search: Some(search), recorded, named, ..Self::default() };
            }
            LeadsBody::LeadsMeasured { between, reading, .. } => {
                let Some(search) = &mut self.search else { return };
                match reading {
                    Some(reading) => {
                        search.readings.push(PairReading { between: between.clone(), reading: *reading });
                    }
                    None => search.out_of_reach.push(between.clone()),
                }
            }
            LeadsBody::CoilNamed { coil } => {
                self.named.retain(|other| other.coil != coil.coil && !same(&other.between, &coil.between));
                self.named.push(coil.clone());
            }
            LeadsBody::Tapped { tap } => self.taps.push(tap.clone()),
            LeadsBody::TapsRecorded { taps } => self.heard.taps.push(taps.clone()),
            LeadsBody::InputCalibrated { input, turned, .. } => self.heard.cells.push((input.clone(), *turned)),
            LeadsBody::CompassHeld { coil, up } => self.compass.push((*coil, *up)),
        }
    }

    /// Whether this is one of the leads, the shield or the frame that can be measured at.
    #[must_use]
    pub fn has(&self, contact: &Contact) -> bool {
        self.search.as_ref().is_some_and(|search| match contact {
            Contact::Lead(lead) => search.leads.contains(lead),
            Contact::Shield => search.shield,
            Contact::Frame => search.frame,
        })
    }

    /// Whether a coil was tapped and swung the meter.
    #[must_use]
    pub fn tapped(&self) -> bool {
        self.swings().iter().any(|tap| tap.swing != Swing::Nothing)
    }

    /// The coils as they were measured between their leads, where each is known by name.
    #[must_use]
    pub fn measured(&self, pickup: &Pickup, meter: &Meter) -> Vec<ImpliedCoil> {
        let Some(search) = self.search.as_ref().filter(|_| self.recorded.is_empty()) else { return Vec::new() };
        let found = identify(search, meter);
        if !found.contradictions.is_empty() {
            return Vec::new();
        }
        self.coils(&tapped(pickup, &found), &found)
            .into_iter()
            .filter_map(|(name, coil)| {
                let within = meter.claim(coil.ohms);
                Some(ImpliedCoil { coil: name?, ohms: coil.ohms, within, at_20: false, shown: coil.ohms.shown() })
            })
            .collect()
    }

    /// What the readings come to, or what the record says where that is taken for right.
    fn found(&self, search: &Search, pickup: &Pickup, meter: &Meter) -> LeadsFound {
        if self.recorded.is_empty() { identify(search, meter) } else { as_recorded(&self.recorded, pickup) }
    }

    /// The coils found, each with its name where it has one; named ones first, in order.
    fn coils(&self, pickup: &Pickup, found: &LeadsFound) -> Vec<(Option<CoilName>, CoilFound)> {
        if pickup.construction == Construction::TappedCoil && found.coils.len() == 2 {
            // The part up to the tap is the larger one, as it mostly is; nobody can hear which.
            let mut parts = found.coils.clone();
            parts.sort_by(|one, other| other.ohms.0.total_cmp(&one.ohms.0));
            return [Some(CoilName::A), Some(CoilName::B)].into_iter().zip(parts).collect();
        }
        let alone = found.coils.len() == 1;
        let mut coils: Vec<(Option<CoilName>, CoilFound)> = found
            .coils
            .iter()
            .map(|coil| {
                let named = self.named.iter().find(|named| same(&named.between, &coil.between)).map(|named| named.coil);
                (named.or(alone.then_some(CoilName::A)), coil.clone())
            })
            .collect();
        for known in named_in_record(pickup, &found.coils) {
            let taken = coils.iter().any(|(name, _)| *name == Some(known.coil));
            let unnamed = |(name, coil): &&mut (Option<CoilName>, CoilFound)| {
                !taken && name.is_none() && same(&coil.between, &known.between)
            };
            if let Some(coil) = coils.iter_mut().find(unnamed) {
                coil.0 = Some(known.coil);
            }
        }
        // When all but one have a name, the last one has the letter that is left.
        if coils.iter().filter(|(name, _)| name.is_none()).count() == 1 {
            let left = CoilName::ALL.into_iter().find(|name| coils.iter().all(|(other, _)| *other != Some(*name)));
            if let Some(coil) = coils.iter_mut().find(|(name, _)| name.is_none()) {
                coil.0 = left;
            }
        }
        coils.sort_by_key(|(name, _)| (name.is_none(), *name));
        coils
    }

    /// Everything a page shows of it, but for what was written, which has no lines here. The hookup is for `rig`.
    #[must_use]
    pub fn view(&self, id: PickupId, pickup: &Pickup, rig: &Rig, meter: &Meter) -> LeadSearchView {
        let shield = pickup.shield.kind != ShieldKind::None;
        let mut view = LeadSearchView {
            pickup: id,
            label: pickup.label.clone(),
            names: pickup.leads.iter().map(|lead| Contact::from(&lead.name)).collect(),
            shield,
            sentence: "Find out which lead is which with a meter, then with a piece of steel and a compass.".to_owned(),
            coils: Vec::new(),
            bonds: Vec::new(),
            remarks: Vec::new(),
            next: LeadTask::Begin {},
            lines: Vec::new(),
            hookup: None,
            rig: rig.label.clone(),
            can_be_as_recorded: recorded_coils(pickup).is_some(),
            input: self.last_input().unwrap_or_default().to_owned(),
            input_known: self.last_input().is_some_and(|input| self.turned(input).is_some()),
        };
        let Some(search) = &self.search else { return view };
        view.names = search.leads.iter().map(Contact::from).collect();
        view.names.extend(search.shield.then_some(Contact::Shield));
        view.names.extend(search.frame.then_some(Contact::Frame));
        view.shield = search.shield;
        let found = self.found(search, pickup, meter);
        let taken = tapped(pickup, &found);
        let coils = self.coils(&taken, &found);
        let mut senses = self.senses(&taken, &coils);
        let mut heard = Vec::new();
        self.tell_heard(&coils, &mut heard, &mut senses);
        view.sentence.clone_from(&found.sentence);
        view.coils = coils.iter().map(|(name, coil)| drawn(*name, coil, &senses)).collect();
        view.bonds = found.touching.iter().map(|touching| touching.between.clone()).collect();
        view.remarks = [&found.contradictions, &senses.contradictions, &heard, &found.notes]
            .into_iter()
            .flatten()
            .cloned()
            .collect();
        view.remarks.extend(found.touching.iter().map(|touching| touching.sentence.clone()));
        if taken.construction != pickup.construction {
            view.remarks.push(ONE_WINDING.to_owned());
        }
        view.next = match self.slip(pickup, &found, meter) {
            Some(slip) => {
                "One value stands out. Say first what it was.".clone_into(&mut view.sentence);
                view.remarks.clear();
                slip
            }
            None => self.next(pickup, &taken, &found, &coils, &senses),
        };
        if !matches!(view.next, LeadTask::Slip { .. } | LeadTask::Done {}) {
            view.remarks.extend(self.named_by_record(&taken, &coils));
        }
        if matches!(view.next, LeadTask::Compass { .. } | LeadTask::Settle { .. } | LeadTask::Done {}) {
            let found_out = self.written_into(pickup, meter).unwrap_or_else(|| pickup.clone());
            let coils: Vec<&str> = senses.coils.iter().map(|coil| coil.sentence.as_str()).collect();
            view.sentence = coils.join(" ");
            let joined = hookup(&found_out, rig).joined();
            view.hookup = Some(as_hooked_up(&found_out, rig, &joined, &self.measured(pickup, meter)));
        }
        view
    }

    /// Which coils have their names from the record, where nobody named one here, in sentences.
    fn named_by_record(&self, record: &Pickup, coils: &[(Option<CoilName>, CoilFound)]) -> Vec<String> {
        if !self.named.is_empty() {
            return Vec::new();
        }
        let found: Vec<CoilFound> = coils.iter().map(|(_, coil)| coil.clone()).collect();
        named_in_record(record, &found)
            .into_iter()
            .map(|known| {
                let by = |lead: &&Lead| known.between.iter().any(|contact| contact.is(&lead.name));
                let leads: Vec<&LeadName> = record
                    .leads
                    .iter()
                    .filter(by)
                    .filter(|lead| !lead.ends.is_empty())
                    .map(|lead| &lead.name)
                    .collect();
                by_its_record(&known, &leads)
            })
            .collect()
    }

    fn senses(&self, pickup: &Pickup, coils: &[(Option<CoilName>, CoilFound)]) -> SensesFound {
        senses(&Marks {
            construction: pickup.construction,
            coils: coils
                .iter()
                .filter_map(|(name, coil)| Some(CoilLeads { coil: (*name)?, between: coil.between.clone() }))
                .collect(),
            ohms: coils.iter().filter(|(name, _)| name.is_some()).map(|(_, coil)| coil.ohms).collect(),
            taps: self.swings(),
            compass: self
                .compass
                .iter()
                .filter_map(|(coil, up)| Some(CompassMark { coil: *coil, up: (*up)? }))
                .collect(),
        })
    }
}

fn same(one: &[Contact; 2], other: &[Contact; 2]) -> bool {
    one == other || (one[0] == other[1] && one[1] == other[0])
}

fn drawn(name: Option<CoilName>, coil: &CoilFound, senses: &SensesFound) -> CoilDrawn {
    let sense = senses.coils.iter().find(|sense| Some(sense.coil) == name);
    let ends = sense.and_then(|sense| Some([sense.minus.clone()?, sense.plus.clone()?]));
    CoilDrawn {
        ends_known: ends.is_some(),
        between: ends.unwrap_or_else(|| coil.between.clone()),
        name: name.map(|name| format!("coil {}", name.letter())).unwrap_or_default(),
        shown: coil.ohms.shown(),
    }
}

/// What is said of a record with one coil whose leads show two in a row.
const ONE_WINDING: &str = "Its record has one coil, and these leads show one that is tapped: a part up to its tap, a part beyond it. If it \
                           has two coils, change its record first.";

/// The record as what was found has it: one coil with a lead part of the way is a tapped coil, not two.
fn tapped(pickup: &Pickup, found: &LeadsFound) -> Pickup {
    let mut taken = pickup.clone();
    if pickup.coils.len() == 1 && found.coils.len() == 2 && !found.joins.is_empty() {
        taken.construction = Construction::TappedCoil;
        let magnet_up = pickup.coils.first().and_then(|coil| coil.magnet_up);
        // What is stated is stated of the whole of it.
        taken.coils = [CoilName::A, CoilName::B].map(|name| Coil { name, stated: None, magnet_up }).to_vec();
    }
    taken
}

#[cfg(test)]
mod tests;
