//! What a permanent install rests on: the audition, the things as they stand, and what stays in the guitar.

use std::collections::BTreeMap;

use super::fold::Install;
use super::page::{ModeOffered, Unrecorded};
use super::plan::SelectorHere;
use crate::audition::{Audition, Kit, Present, State, Status, agreement, listen, state, steps};
use crate::physics::measured::Measured;
use crate::physics::meter::{AgreementKind, COIL, ImpliedCoil, Joined, digits};
use crate::physics::wiring::{ModeWiring, ReadBefore, SignalPath, SolvedBack, Staying, positions_before, solved_back};
use crate::record::controls::{SelectorPosition, TrackWiring, VolumeLayout};
use crate::record::guitar::{Guitar, Place};
use crate::record::install::{InstallAnswer, InstallBasis, InstallCheck, PolesUp};
use crate::record::meter::OwnMeter;
use crate::record::pickup::{Pickup, Polarity};
use crate::record::quantity::Ohms;
use crate::record::rig::Mode;
use crate::record::wiring::{BySelector, JackSet, Plan, Volumes, positions};
use crate::record::words::LONGEST_LABEL;

/// Where the selector's pole for the places has its common lug, which is the hot of whoever lies at the output for good.
pub(super) const OUTPUT: &str = "the output of the pickup selector (the hot)";

/// How an earlier install had the selector wired, for a pickup that is in the guitar still.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LaidBefore {
    /// The place of that pickup.
    pub place: String,
    /// Its plan.
    pub plan: Plan,
}

/// The things of a permanent install.
#[derive(Debug, Clone)]
pub struct InstallKit {
    /// What goes where.
    pub on: InstallBasis,
    /// The audition it rests on.
    pub audition: Audition,
    /// The things of that audition, as they were described then.
    pub heard: Kit,
    /// The pickup that goes in, as it is described now.
    pub pickup: Option<Pickup>,
    /// The guitar it goes into.
    pub guitar: Option<Guitar>,
    /// What is known of the pickups that stay, by place.
    pub staying: BTreeMap<String, PickupThatStays>,
    /// The pickup that comes out, if it is one of the records.
    pub coming_out: Option<Pickup>,
    /// What earlier installs had the selector do beside choosing places, for pickups that are in the guitar still.
    pub laid: Vec<LaidBefore>,
    /// The leads in the terminals of the rig, by which the modes are wired: as they were hooked up, or as the pickup's record means
    /// them where it tells its leads otherwise since.
    pub joined: Vec<Joined>,
    /// The coils of the new pickup as they were measured.
    pub measured: Vec<ImpliedCoil>,
    /// What its coils are to sound, by what was measured; nothing where not all of them were.
    pub sounding: Option<Measured>,
    /// Whether its coils were tapped.
    pub tapped: bool,
    /// The meter in use.
    pub meter: OwnMeter,
    /// The mode that was decided for this pickup at this place.
    pub decided: Option<Mode>,
    /// Places of which it was said whether a pickup sits there; nothing where nobody can tell.
    pub sits: BTreeMap<String, Option<bool>>,
}

/// A pickup that stays, as its record and the log know it.
#[derive(Debug, Clone)]
pub struct PickupThatStays {
    /// The record.
    pub pickup: Pickup,
    /// Its coils as they were measured.
    pub measured: Vec<ImpliedCoil>,
    /// What its coils are to sound, by what was measured; nothing where not all of them were.
    pub sounding: Option<Measured>,
    /// Whether they were tapped.
    pub tapped: bool,
    /// How its leads are soldered, where an install of this log did it.
    pub wired: Option<ModeWiring>,
}

impl InstallKit {
    /// What the stop list, holds and cautions are read from: what was ticked and told for this install, and what the
    /// audition told of the same bench where this install says nothing else.
    #[must_use]
    pub fn safety(&self, install: &Install) -> Audition {
        let mut safety = install.safety.clone();
        for (question, told) in &self.audition.told {
            safety.told.entry(*question).or_insert_with(|| told.clone());
        }
        safety
    }

    /// The things at the bench, as cautions take them.
    #[must_use]
    pub fn at_bench(&self) -> Kit {
        Kit { pickup: self.pickup.clone(), guitar: self.guitar.clone(), meter: self.meter.clone(), ..Kit::default() }
    }

    /// What the pickup is called.
    #[must_use]
    pub fn pickup_label(&self) -> String {
        self.pickup.as_ref().map_or_else(|| "The pickup".to_owned(), |pickup| pickup.label.clone())
    }

    /// What the guitar is called.
    #[must_use]
    pub fn guitar_label(&self) -> String {
        self.guitar.as_ref().map_or_else(|| "the guitar".to_owned(), |guitar| guitar.label.clone())
    }

    /// "Lantern stack into Wren, bridge".
    #[must_use]
    pub fn title(&self) -> String {
        format!("{} into {}, {}", self.pickup_label(), self.guitar_label(), self.on.place)
    }

    /// The place in the guitar's record.
    #[must_use]
    pub fn place(&self) -> Option<&Place> {
        self.guitar.as_ref()?.places.iter().find(|place| place.name == self.on.place)
    }

    /// What comes out, in a sentence; nothing where nothing sits there.
    #[must_use]
    pub fn what_comes_out(&self) -> Option<String> {
        let words = self.place().map(|place| place.fitted_words.as_str()).unwrap_or_default();
        match &self.coming_out {
            Some(out) => Some(format!("{} comes out of {}.", out.label, self.on.place)),
            None if self.place().and_then(recorded) == Some(true) => {
                Some(format!("What comes out of {}: {words}.", self.on.place))
            }
            None => None,
        }
    }

    /// What comes out and is in no record, with what is known of it.
    pub(super) fn unrecorded_out(&self, install: &Install) -> Option<Unrecorded> {
        let place = self.place().filter(|place| place.fitted.is_none() && recorded(place) != Some(false))?;
        let words = place.fitted_words.trim();
        let sentence = match words {
            "" => format!("Does a pickup come out of {}? No record tells of one.", place.name),
            words => format!("What comes out of {} has no record of its own: {words}.", place.name),
        };
        let reads = self.solved_back(install).into_iter().find(|one| one.place == place.name);
        let reads =
            reads.map(|one| format!("By itself, without the pots, it read {} at 20 °C.", digits(one.ohms.0, 2)));
        let guitar = self.guitar_label();
        Some(Unrecorded {
            sentence: format!(
                "{sentence} Record it, and it lies in the Drawer afterwards, to be auditioned like any other."
            ),
            // What its owner calls it; the words stand in the notes as well where they are too long for a name.
            label: match words {
                "" => format!("Out of {guitar}, {}", place.name),
                words => words.to_owned(),
            }
            .chars()
            .take(LONGEST_LABEL)
            .collect(),
            came_from: format!("{guitar}, {}", place.name),
            notes: [if words.chars().count() > LONGEST_LABEL { words.to_owned() } else { String::new() }]
                .into_iter()
                .chain(reads)
                .filter(|one| !one.is_empty())
                .collect::<Vec<_>>()
                .join(". "),
        })
    }

    /// What the audition did not prove, in sentences.
    #[must_use]
    pub fn unproven(&self) -> Vec<String> {
        let mut open = Vec::new();
        if self.pickup.is_none() {
            open.push("The pickup's record is not in this log.".to_owned());
        }
        if self.guitar.is_none() {
            open.push("The guitar's record is not in this log.".to_owned());
        }
        let at = self.audition.last.unwrap_or_default();
        let disagree = agreement(&self.audition, &self.heard)
            .is_some_and(|agreement| agreement.kind == AgreementKind::DoesNotAgree);
        for step in steps(&self.audition, &self.heard, &Present::at(at)) {
            use crate::record::audition::Step;
            // What the step says is to be done there tells too little here: somebody is about to solder by it.
            if step.step == Step::Meter && step.status != Status::Done && disagree {
                open.push("The readings of the audition don't agree. Find out why before you solder.".to_owned());
                continue;
            }
            let matters = matches!(step.step, Step::WhichWay | Step::Leads | Step::Meter | Step::Gaps | Step::Listen);
            match step.status {
                Status::Done => {}
                Status::Skipped if matters => open.push(format!("“{}” was left out: {}", step.name, step.what)),
                Status::Open | Status::Held if matters => open.push(format!("“{}” is open: {}", step.name, step.what)),
                Status::Skipped | Status::Open | Status::Held => {}
            }
        }
        let (state, _) = state(&self.audition, self.heard.rig.as_ref().map(|rig| rig.terminals.len()));
        if state == State::EndedEarly {
            let why = self.audition.ended_early.as_ref().map(|saved| saved.said.clone()).unwrap_or_default();
            open.push(format!("The audition was ended early: {why}"));
        }
        open
    }

    /// The modes to choose from: those of the rig, each with what was noted of it.
    #[must_use]
    pub fn modes_offered(&self) -> Vec<ModeOffered> {
        let heard = listen(&self.audition, &self.heard);
        let noted = |mode: &Mode| match heard.modes.iter().find(|one| one.mode == *mode) {
            Some(one) if !one.note.is_empty() => format!("“{}”", one.note),
            Some(one) => {
                let rated = one
                    .rated
                    .iter()
                    .filter_map(|rated| {
                        let word = rated.anchors.get(usize::from(rated.value?.saturating_sub(1)))?;
                        Some(format!("{} {word}", rated.name.to_lowercase()))
                    })
                    .take(3);
                rated.collect::<Vec<_>>().join(", ")
            }
            None => String::new(),
        };
        let words = |mode: &Mode| match (noted(mode), self.audition.beside_fitted(mode)) {
            (noted, None) if noted.is_empty() => "not heard in the audition".to_owned(),
            (noted, None) => noted,
            (noted, Some(beside)) if noted.is_empty() => beside,
            (noted, Some(beside)) => format!("{noted}; {beside}"),
        };
        self.modes()
            .into_iter()
            .map(|mode| ModeOffered { words: words(&mode), silent: self.silent(&mode), mode })
            .collect()
    }
}

/// Whether a pickup sits at a place, as the record tells; nothing where it says nothing. People write “empty” as often as nothing.
fn recorded(place: &Place) -> Option<bool> {
    let words = place.fitted_words.trim().to_lowercase();
    match (place.fitted, words.as_str()) {
        (Some(_), _) => Some(true),
        (None, "") => None,
        (None, "empty" | "nothing" | "none" | "free") => Some(false),
        (None, _) => Some(true),
    }
}

impl InstallKit {
    /// Whether a pickup sits at a place or may sit there: nobody has said that it is empty.
    fn holds_one(&self, place: &Place) -> bool {
        recorded(place).or_else(|| self.sits.get(&place.name).copied().flatten()).unwrap_or(true)
    }

    /// Places beside the new pickup's of which the record says nothing.
    pub(super) fn unrecorded(&self) -> Vec<String> {
        let places = self.guitar.iter().flat_map(|guitar| &guitar.places).filter(|place| place.name != self.on.place);
        places.filter(|place| recorded(place).is_none()).map(|place| place.name.clone()).collect()
    }

    /// Whether the readings of the guitar as it was tell that a pickup sits at a place: they come to a winding there.
    pub(super) fn was_read(&self, install: &Install, place: &str) -> bool {
        let read = self.solved_back(install);
        read.iter().any(|one| one.place == place && (COIL.0..=COIL.1).contains(&one.ohms.0))
    }

    /// The first place of which neither the record, nor anybody, nor the readings of the guitar as it was have told whether a
    /// pickup sits there.
    #[must_use]
    pub fn not_said(&self, install: &Install) -> Option<String> {
        let told = |place: &String| self.sits.contains_key(place) || self.was_read(install, place);
        self.unrecorded().into_iter().find(|place| !told(place))
    }

    pub(super) fn modes(&self) -> Vec<Mode> {
        let rig = self.heard.rig.iter().flat_map(|rig| rig.positions.iter().map(|position| position.mode.clone()));
        rig.collect()
    }

    fn selector(&self) -> Vec<SelectorPosition> {
        let selector = self.guitar.as_ref().and_then(|guitar| guitar.controls.selector.as_ref());
        selector.map(|selector| selector.positions.clone()).unwrap_or_default()
    }

    /// Volume, tone and selector, as they are computed with.
    pub(super) fn path(&self) -> SignalPath {
        let controls = self.guitar.as_ref().map(|guitar| guitar.controls.clone()).unwrap_or_default();
        SignalPath::new(&controls, &controls.layout, controls.selector.as_ref(), &self.sounding_places())
    }

    /// The places that hold a pickup before anything is unsoldered.
    pub(super) fn holding_before(&self) -> Vec<String> {
        let places = self.guitar.iter().flat_map(|guitar| &guitar.places);
        places.filter(|place| self.holds_one(place)).map(|place| place.name.clone()).collect()
    }

    /// The same once a plan is carried out.
    pub(super) fn path_of(&self, plan: &Plan) -> SignalPath {
        self.path().with(plan.selector.as_ref())
    }

    /// The guitar's selector, as a plan is read against it.
    #[must_use]
    pub fn selector_here(&self) -> SelectorHere {
        let layout = self.guitar.as_ref().map(|guitar| &guitar.controls.layout);
        SelectorHere {
            positions: self.selector(),
            place: self.on.place.clone(),
            holding: self.sounding_places(),
            each_place: matches!(layout, Some(VolumeLayout::EachPlace { .. })),
        }
    }

    /// The positions that are read before anything is unsoldered.
    #[must_use]
    pub fn positions_before(&self) -> Vec<JackSet> {
        positions_before(&self.path(), &self.holding_before())
    }

    /// What each pickup reads by itself, by the readings of the guitar as it was.
    pub(super) fn solved_back(&self, install: &Install) -> Vec<SolvedBack> {
        // Whoever has the selector wired otherwise than the record says reads something else.
        if !self.laid.is_empty() {
            return Vec::new();
        }
        let readings: Vec<ReadBefore> = install
            .before
            .iter()
            .map(|read| ReadBefore {
                set: read.said.set.clone(),
                reading: read.said.taken.reading,
                room: read.said.taken.room,
            })
            .collect();
        solved_back(&self.path(), &self.holding_before(), &readings, &self.meter.claim)
    }

    /// The pickups that stay, as far as they are known from their records and from what was tapped for this install.
    pub(super) fn staying(&self, install: &Install) -> Vec<Staying> {
        let places = self.guitar.iter().flat_map(|guitar| &guitar.places).filter(|place| place.name != self.on.place);
        let solved = self.solved_back(install);
        places
            .filter(|place| self.holds_one(place))
            .map(|place| {
                let read = solved.iter().find(|one| one.place == place.name);
                let known = self.staying.get(&place.name);
                let swing = match install.answer(&InstallCheck::Swing(place.name.clone())) {
                    Some(InstallAnswer::Swing { swing, .. }) => Some(*swing),
                    _ => None,
                };
                let poles = match install.answer(&InstallCheck::Poles(place.name.clone())) {
                    Some(InstallAnswer::Poles { up, .. }) => Some(*up),
                    _ => None,
                };
                Staying {
                    place: place.name.clone(),
                    label: known.map_or_else(|| place.fitted_words.clone(), |known| known.pickup.label.clone()),
                    pickup: known.map(|known| known.pickup.clone()),
                    measured: known.map(|known| known.measured.clone()).unwrap_or_default(),
                    wired: known.and_then(|known| known.wired.clone()),
                    tapped: known.is_some_and(|known| known.tapped),
                    reads: read.map(|one| one.ohms),
                    reads_between: read.map(|one| one.between),
                    tap: swing,
                    magnet_up: match poles {
                        Some(PolesUp::North) => Some(Polarity::North),
                        Some(PolesUp::South) => Some(Polarity::South),
                        Some(PolesUp::Both | PolesUp::CantTell) | None => None,
                    },
                    cancels_hum: (poles == Some(PolesUp::Both)).then_some(true),
                }
            })
            .collect()
    }

    /// Whether selector, switch and volumes of the planned guitar can stand like this for a reading at the jack.
    #[must_use]
    pub fn can_stand(&self, install: &Install, set: &JackSet) -> bool {
        let Some(plan) = &install.plan else { return false };
        let path = self.path_of(&plan.said);
        let places = self.sounding_places();
        let switches = positions(&plan.said);
        let switch = match set.switch.as_str() {
            "" => plan.said.selector.is_some() || switches.iter().any(|(name, _)| name.is_none()),
            _ if plan.said.selector.is_some() => false,
            named => switches.iter().any(|(name, _)| name.as_deref() == Some(named)),
        };
        let volume = match &set.volumes {
            Volumes::Full {} => true,
            Volumes::Zero {} | Volumes::Half {} => !matches!(
                path.layout,
                VolumeLayout::NoVolume {} | VolumeLayout::EachPlace { track: TrackWiring::NotKnown, .. }
            ),
            Volumes::ZeroOf { place } => {
                matches!(path.layout, VolumeLayout::EachPlace { .. }) && places.contains(place)
            }
        };
        switch && volume && path.positions.iter().any(|position| position.name == set.selector)
    }

    /// The guitar's controls in a line.
    #[must_use]
    pub fn controls_in_words(&self) -> String {
        let Some(controls) = self.guitar.as_ref().map(|guitar| &guitar.controls) else { return String::new() };
        let pot = |name: &str, pot: Option<Ohms>| match pot {
            Some(pot) => format!("{name} {}", pot.shown()),
            None => format!("{name} not written down"),
        };
        let volume = match &controls.layout {
            VolumeLayout::Shared {} => pot("one volume,", controls.volume),
            VolumeLayout::EachPlace { track, .. } => format!("a volume for each place, {}", track.in_words()),
            VolumeLayout::NoVolume {} => "no volume".to_owned(),
        };
        let selector = match &controls.selector {
            Some(selector) => format!("Selector with {} positions", selector.positions.len()),
            None => "No selector".to_owned(),
        };
        format!("Controls: {volume}. {}. {selector}.", pot("Tone", controls.tone))
    }

    /// What the hot of the new pickup is in this guitar: where its hot end is soldered to.
    #[must_use]
    pub fn hot_in_words(&self, by: Option<&BySelector>) -> String {
        let (path, place) = (self.path(), &self.on.place);
        if by.and_then(|by| by.row.as_ref()).is_some_and(|row| row.upper == *place) {
            return OUTPUT.to_owned();
        }
        let selects = self.selector().iter().any(|position| position.places.contains(place));
        match &path.layout {
            VolumeLayout::EachPlace { track: TrackWiring::PickupOnTrack, .. } => {
                format!("the outer lug of the {place} volume pot that is not at ground (the hot)")
            }
            VolumeLayout::EachPlace { track: TrackWiring::NotKnown, .. } => {
                format!("the lug of the {place} volume pot that the old pickup's hot was on (the hot)")
            }
            VolumeLayout::EachPlace { track: TrackWiring::PickupOnWiper, .. } => {
                format!("the middle lug of the {place} volume pot (the hot)")
            }
            VolumeLayout::Shared {} | VolumeLayout::NoVolume {} if selects => {
                format!("the {place} lug of the pickup selector (the hot)")
            }
            VolumeLayout::Shared {} => "the outer lug of the volume pot that is not at ground (the hot)".to_owned(),
            VolumeLayout::NoVolume {} => "the tip lug of the jack (the hot)".to_owned(),
        }
    }

    /// The places that hold a pickup once this one is in: its own, and those of which the record knows what sits there.
    #[must_use]
    pub fn sounding_places(&self) -> Vec<String> {
        let places = self.guitar.iter().flat_map(|guitar| &guitar.places);
        let holds = |place: &&Place| place.name == self.on.place || self.holds_one(place);
        places.filter(holds).map(|place| place.name.clone()).collect()
    }

    /// The position of the selector in which this place sounds alone.
    #[must_use]
    pub fn position_with(&self, place: &str) -> Option<String> {
        self.selector().into_iter().find(|position| position.places == [place]).map(|position| position.name)
    }

    /// Positions of the selector that join the new pickup with another.
    #[must_use]
    pub fn joining_positions(&self, plan: &Plan) -> Vec<String> {
        let sounding = self.sounding_places();
        let named = |position: &SelectorPosition| !position.name.is_empty();
        self.path_of(plan)
            .positions
            .into_iter()
            .filter(named)
            .filter(|position| {
                position.places.contains(&self.on.place)
                    && position.places.iter().filter(|place| sounding.contains(place)).count() > 1
            })
            .map(|position| position.name)
            .collect()
    }
}
