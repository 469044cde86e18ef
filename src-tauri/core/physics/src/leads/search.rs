//! Finding out the leads of a pickup, one measurement after the other: what was measured so far, what it comes to, and what
//! to do next.

mod recorded;
mod slips;
mod taps;
mod words;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use self::recorded::recorded_coils;
use self::recorded::{as_recorded, ends_as_recorded};
use self::words::{over_coil, told, which_coil, which_of_them};
use super::hookup::{HookupMap, as_hooked_up, hookup};
use super::identify::{CoilFound, LeadsFound, PairReading, Search, identify};
use super::sense::{CoilSense, CompassMark, Marks, SensesFound, senses};
use super::sound::shares_magnets;
use crate::meter::ImpliedCoil;
use crate::record::body::LeadsBody;
use crate::record::claim::Meter;
use crate::record::leads::{CoilLeads, Contact, LeadName, Swing, Tap};
use crate::record::names::EntryId;
use crate::record::pickup::{Coil, CoilEnd, CoilName, Construction, End, Lead, Pickup, PickupId, Polarity, ShieldKind};
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
        if matches!(view.next, LeadTask::Compass { .. } | LeadTask::Settle { .. } | LeadTask::Done {}) {
            let found_out = self.written_into(pickup, meter).unwrap_or_else(|| pickup.clone());
            let coils: Vec<&str> = senses.coils.iter().map(|coil| coil.sentence.as_str()).collect();
            view.sentence = coils.join(" ");
            let joined = hookup(&found_out, rig).joined();
            view.hookup = Some(as_hooked_up(&found_out, rig, &joined, &self.measured(pickup, meter)));
        }
        view
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

    /// `taken` is the record as what was found has it.
    fn next(
        &self,
        record: &Pickup,
        pickup: &Pickup,
        found: &LeadsFound,
        coils: &[(Option<CoilName>, CoilFound)],
        senses: &SensesFound,
    ) -> LeadTask {
        if !found.contradictions.is_empty() || !senses.contradictions.is_empty() {
            return LeadTask::Check {};
        }
        if let Some(next) = &found.next {
            return LeadTask::Measure { between: next.between.clone(), sentence: next.sentence.clone() };
        }
        if !found.sure || coils.is_empty() {
            return LeadTask::Stuck {};
        }
        let unnamed: Vec<[Contact; 2]> =
            coils.iter().filter(|(name, _)| name.is_none()).map(|(_, coil)| coil.between.clone()).collect();
        if !unnamed.is_empty() {
            let taken = |name: CoilName| coils.iter().any(|(other, _)| *other == Some(name));
            let coil = CoilName::ALL.into_iter().find(|name| !taken(*name)).unwrap_or(CoilName::C);
            return LeadTask::Name { coil, choices: unnamed, sentence: which_coil(pickup, coil) };
        }
        // One winding swings as a whole.
        let alone = |sense: &&CoilSense| pickup.construction != Construction::TappedCoil || sense.coil == CoilName::A;
        let between = |sense: &CoilSense, a: &Contact, b: &Contact| sense_is_between(coils, sense.coil, a, b);
        let swings = self.swings();
        let still = |sense: &&CoilSense| !swings.iter().any(|tap| between(sense, &tap.plus, &tap.minus));
        let heard = |sense: &CoilSense| self.heard.taps.iter().any(|taps| between(sense, &taps.tip, &taps.sleeve));
        // Those that were recorded on an input that may turn the sign wait until the others are recorded too.
        if let Some(sense) = senses.coils.iter().filter(alone).filter(still).min_by_key(|sense| heard(sense))
            && let Some((_, coil)) = coils.iter().find(|(name, _)| *name == Some(sense.coil))
        {
            let [plus, minus] = coil.between.clone();
            let tapped: Vec<CoilName> = senses.coils.iter().filter(alone).map(|one| one.coil).collect();
            let sentence = format!(
                "{}Lay the pickup flat, the meter on DC millivolts. Clip the plus probe on {plus}, then the minus probe on {minus}. \
                 Lay a piece of steel flat on the poles{}, \
                 then pull it off sharply. Which way does the first swing go when it comes off?",
                which_of_them(pickup, sense.coil, &tapped),
                over_coil(pickup, sense.coil, coils.len())
            );
            return LeadTask::Tap { coil: sense.coil, plus, minus, sentence };
        }
        let stacked = shares_magnets(pickup.construction);
        for (place, sense) in senses.coils.iter().enumerate() {
            let asked = self.compass.iter().any(|(coil, _)| *coil == sense.coil);
            // The coils of a stack share their magnets.
            let shared = stacked && place > 0;
            if !asked && !shared {
                let sentence = format!(
                    "Hold a compass over the poles{}, from the strings' side. Which end of its needle do they pull? The end that \
                     points to the north of the earth is pulled by a south pole.",
                    over_coil(pickup, sense.coil, coils.len())
                );
                return LeadTask::Compass { coil: sense.coil, sentence };
            }
        }
        match self.written_into_with(pickup, found, coils, senses) {
            Some(written) if written == *record => LeadTask::Done {},
            Some(written) => LeadTask::Settle { sentences: told(record, &written) },
            None => LeadTask::Stuck {},
        }
    }

    /// The pickup's record with what was found out; nothing while that is not sure.
    #[must_use]
    pub fn written_into(&self, pickup: &Pickup, meter: &Meter) -> Option<Pickup> {
        let found = self.found(self.search.as_ref()?, pickup, meter);
        if !found.sure || !found.contradictions.is_empty() || self.slip(pickup, &found, meter).is_some() {
            return None;
        }
        let taken = tapped(pickup, &found);
        let coils = self.coils(&taken, &found);
        let mut senses = self.senses(&taken, &coils);
        self.tell_heard(&coils, &mut Vec::new(), &mut senses);
        self.written_into_with(&taken, &found, &coils, &senses)
    }

    fn written_into_with(
        &self,
        pickup: &Pickup,
        found: &LeadsFound,
        coils: &[(Option<CoilName>, CoilFound)],
        senses: &SensesFound,
    ) -> Option<Pickup> {
        let search = self.search.as_ref()?;
        if !senses.contradictions.is_empty() || coils.iter().any(|(name, _)| name.is_none()) {
            return None;
        }
        let mut written = pickup.clone();
        written.leads = senses.leads.clone();
        for lead in &search.leads {
            if !written.leads.iter().any(|known| known.name == *lead) {
                written.leads.push(Lead { name: lead.clone(), ends: Vec::new() });
            }
        }
        if self.recorded.is_empty() {
            joined_in_a_row(&mut written, pickup, coils.len());
        } else {
            ends_as_recorded(&mut written, pickup, senses);
        }
        for coil in &mut written.coils {
            let up = self.compass.iter().rev().find(|(name, _)| *name == coil.name).and_then(|(_, up)| *up);
            let shared = shares_magnets(pickup.construction)
                .then(|| self.compass.iter().rev().find_map(|(_, up)| *up))
                .flatten();
            coil.magnet_up = up.or(shared).or(coil.magnet_up);
        }
        one_end_each(&mut written, found);
        shield_and_frame(&mut written, search, found);
        Some(written)
    }
}

/// Fewer coils at the leads than in the pickup: they are joined in a row inside.
fn joined_in_a_row(written: &mut Pickup, pickup: &Pickup, coils: usize) {
    let inside = pickup.coils.len().min(CoilName::ALL.len());
    written.joined_inside = Vec::new();
    if coils != 1 || inside < 2 {
        return;
    }
    let last = CoilName::ALL[inside - 1];
    for end in written.leads.iter_mut().flat_map(|lead| &mut lead.ends) {
        if end.end == End::Plus {
            end.coil = last;
        }
    }
    written.joined_inside = CoilName::ALL[..inside]
        .windows(2)
        .map(|pair| vec![CoilEnd { coil: pair[0], end: End::Plus }, CoilEnd { coil: pair[1], end: End::Minus }])
        .collect();
}

/// Leads that are one coil end are each that end.
fn one_end_each(written: &mut Pickup, found: &LeadsFound) {
    for touching in &found.touching {
        let is_one = |lead: &Lead| touching.between.iter().any(|contact| contact.is(&lead.name));
        let ends_of = |contact: &Contact| written.lead(contact).map(|lead| lead.ends.clone()).unwrap_or_default();
        let ends = touching.between.each_ref().map(ends_of).concat();
        for lead in written.leads.iter_mut().filter(|lead| is_one(lead) && lead.ends.is_empty()) {
            lead.ends.clone_from(&ends);
        }
    }
}

/// Which leads the shield and the frame are joined to inside.
fn shield_and_frame(written: &mut Pickup, search: &Search, found: &LeadsFound) {
    let with = |contact: &Contact| {
        found.touching.iter().find_map(|touching| match &touching.between {
            [one, Contact::Lead(lead)] | [Contact::Lead(lead), one] if one == contact => Some(lead.clone()),
            _ => None,
        })
    };
    let lead = |contact: &Contact| written.leads.iter().map(|lead| &lead.name).find(|lead| contact.is(lead)).cloned();
    // A coil that ends at the frame has the frame for a lead, one that ends at the shield has the braid.
    let (braid, frame) = (lead(&Contact::from(LeadName::braid())), lead(&Contact::Frame));
    if search.shield {
        if written.shield.kind == ShieldKind::None {
            written.shield.kind = ShieldKind::BareWire;
        }
        if braid.is_some() {
            written.shield.kind = ShieldKind::Braid;
        }
        written.shield.joined_to = braid.clone().or_else(|| with(&Contact::Shield));
    }
    if search.frame {
        let both = [Contact::Shield, Contact::Frame];
        let on_braid = found.touching.iter().any(|touching| same(&touching.between, &both));
        written.frame_joined_to = frame.or_else(|| with(&Contact::Frame)).or_else(|| braid.filter(|_| on_braid));
    }
}

fn same(one: &[Contact; 2], other: &[Contact; 2]) -> bool {
    one == other || (one[0] == other[1] && one[1] == other[0])
}

fn sense_is_between(coils: &[(Option<CoilName>, CoilFound)], coil: CoilName, a: &Contact, b: &Contact) -> bool {
    coils.iter().any(|(name, found)| *name == Some(coil) && same(&found.between, &[a.clone(), b.clone()]))
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
