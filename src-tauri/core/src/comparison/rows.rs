//! The rows of auditions side by side, each with whether it differs beyond what measuring allows.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::differences::{SAME_PLACE, SAME_ROOM};
use super::effect::LOUDER;
use crate::audition::{agreement, hung};
use crate::comparison::compared::{Compared, modes_heard};
use crate::listening::Conditions;
use crate::physics::gaps;
use crate::physics::meter::AgreementKind;
use crate::record::facts::string_ground_in_words;
use crate::record::guitar::Guitar;
use crate::record::listening::Quality;
use crate::record::pickup::CoilName;
use crate::record::quantity::LengthUnit;
use crate::record::rig::Mode;
use crate::record::sound::level_shown;
use crate::record::words::capital;
use crate::safety::cautions;
use crate::safety::holds::SafetyHold;

/// One part of the rows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct Section {
    /// The mode it is about; nothing for what is told once an audition.
    pub mode: Option<Mode>,
    /// Its title.
    pub title: String,
    /// "Only Lantern stack was heard in it", where there is nothing to hold it against.
    pub only: Option<String>,
    /// Its rows, those that differ first.
    pub rows: Vec<Row>,
}

/// One thing, of every audition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct Row {
    /// What it is.
    pub name: String,
    /// One cell an audition, in their order.
    pub cells: Vec<Cell>,
    /// Whether the auditions differ in it, beyond what measuring allows.
    pub differs: bool,
}

/// One thing of one audition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct Cell {
    /// What it is there; a dash where nothing is known.
    pub words: String,
    /// What goes with it, in small; may be empty.
    pub beside: String,
}

const NOTHING: &str = "–";

fn plain(words: impl Into<String>) -> Cell {
    let words: String = words.into();
    Cell { words: if words.is_empty() { NOTHING.to_owned() } else { words }, beside: String::new() }
}

/// Whether any two of these are told apart; what is not known differs from what is.
fn any_two<T>(all: &[T], differ: impl Fn(&T, &T) -> bool) -> bool {
    all.iter().enumerate().any(|(at, one)| all.iter().skip(at + 1).any(|other| differ(one, other)))
}

struct Rows<'a> {
    all: &'a [Compared],
    unit: LengthUnit,
    rows: Vec<Row>,
}

impl Rows<'_> {
    /// A row of words, which differs where the words do.
    fn words(&mut self, name: &str, of: impl Fn(&Compared) -> String) {
        let cells: Vec<Cell> = self.all.iter().map(|one| plain(of(one))).collect();
        let differs = any_two(&cells, |one, other| one.words.to_lowercase() != other.words.to_lowercase());
        self.push(name, cells, differs);
    }

    fn push(&mut self, name: &str, cells: Vec<Cell>, differs: bool) {
        // Nothing known of any is no row.
        if cells.iter().any(|cell| cell.words != NOTHING) {
            self.rows.push(Row { name: name.to_owned(), cells, differs });
        }
    }

    fn done(mut self, mode: Option<&Mode>, title: String) -> Option<Section> {
        self.rows.sort_by_key(|row| !row.differs);
        (!self.rows.is_empty()).then(|| Section { mode: mode.cloned(), title, only: None, rows: self.rows })
    }
}

pub(super) fn sections(all: &[Compared], names: &[String], unit: LengthUnit) -> Vec<Section> {
    let modes = modes_heard(all);
    // What was heard in is told once, unless it changed from mode to mode in one of them.
    let once = all.iter().all(|one| {
        let mut heard = one.audition.conditions.values();
        let first = heard.next();
        heard.all(|other| first.is_some_and(|first| first.is_as(other)))
    });
    let fresh = || Rows { all, unit, rows: Vec::new() };
    let mut rows = fresh();
    general(&mut rows);
    if once {
        context(&mut rows, |one: &Compared| one.audition.conditions.values().next());
    }
    let mut sections: Vec<Section> = rows.done(None, "The audition".to_owned()).into_iter().collect();
    let read = all.iter().flat_map(|one| one.audition.readings.keys());
    let every: std::collections::BTreeSet<&Mode> = modes.iter().chain(read).collect();
    for mode in every {
        let mut rows = fresh();
        reading(&mut rows, mode);
        ratings(&mut rows, mode);
        if !once {
            context(&mut rows, |one: &Compared| one.conditions(mode));
        }
        let mut with = all
            .iter()
            .zip(names)
            .filter(|(one, _)| one.conditions(mode).is_some() || one.audition.readings.contains_key(mode));
        let only = match (with.next(), with.next()) {
            (Some((_, name)), None) => Some(format!("Only {name} was tried in it.")),
            _ => None,
        };
        sections.extend(rows.done(Some(mode), capital(&mode.0)).map(|part| Section { only, ..part }));
    }
    // What there is nothing to hold against comes last.
    sections.sort_by_key(|part| part.only.is_some());
    sections
}

fn general(rows: &mut Rows<'_>) {
    rows.words("Pickup", |one| one.kit.pickup.as_ref().map(|pickup| pickup.label.clone()).unwrap_or_default());
    rows.words("Guitar", |one| one.kit.guitar.as_ref().map(|guitar| guitar.label.clone()).unwrap_or_default());
    rows.words("Rig", |one| one.kit.rig.as_ref().map(|rig| rig.label.clone()).unwrap_or_default());
    coils(rows);
    rows.words("Readings", |one| match agreement(&one.audition, &one.kit).map(|found| found.kind) {
        Some(AgreementKind::Agrees) => "agree".to_owned(),
        Some(AgreementKind::DoesNotAgree) => "do not agree".to_owned(),
        Some(AgreementKind::CantSay) => "not enough to say".to_owned(),
        Some(AgreementKind::NothingYet) | None => "none taken".to_owned(),
    });
    rows.words("Steps left out", |one| {
        let skipped = one.audition.skipped.iter();
        let skipped: Vec<String> = skipped.map(|(step, why)| format!("{} ({})", step.name(), why.said)).collect();
        if skipped.is_empty() { "none".to_owned() } else { skipped.join("; ") }
    });
    rows.words("Holds passed", |one| {
        let passed = one.audition.overrides.iter().map(|saved| {
            let said = &saved.said;
            match SafetyHold::named(&said.hold) {
                Some(hold) => format!("{} Reason given: {}", hold.reason(), said.why),
                None => format!("{} Reason given: {}", said.hold, said.why),
            }
        });
        let passed: Vec<String> = passed.collect();
        if passed.is_empty() { "none".to_owned() } else { passed.join(" ") }
    });
    // What was read changes no sound.
    let read = rows.all.iter().map(|one| {
        let read = one.audition.acknowledged.keys();
        let read: Vec<&str> =
            read.map(|id| cautions::named(id).map_or(id.as_str(), |caution| caution.hazard)).collect();
        plain(if read.is_empty() { "none".to_owned() } else { read.join("; ") })
    });
    let read = read.collect();
    rows.push("Cautions read", read, false);
    rows.words("Ended early", |one| {
        one.audition.ended_early.as_ref().map(|saved| saved.said.clone()).unwrap_or_default()
    });
}

/// The coils that the readings imply: the same where the meter's claims overlap.
fn coils(rows: &mut Rows<'_>) {
    let found: Vec<_> = rows.all.iter().map(|one| agreement(&one.audition, &one.kit)).collect();
    for name in CoilName::ALL {
        let coils: Vec<_> = found
            .iter()
            .map(|found| found.as_ref().and_then(|found| found.implied.iter().find(|coil| coil.coil == name)))
            .collect();
        let cells = coils.iter().map(|coil| plain(coil.map(|coil| coil.shown.clone()).unwrap_or_default())).collect();
        let differs = any_two(&coils, |one, other| match (one, other) {
            (Some(one), Some(other)) => (one.ohms.0 - other.ohms.0).abs() > one.within.0 + other.within.0,
            (one, other) => one.is_some() != other.is_some(),
        });
        rows.push(&format!("Coil {}", name.letter()), cells, differs);
    }
}

/// The reading of a mode: the same where the meters' claims overlap.
fn reading(rows: &mut Rows<'_>, mode: &Mode) {
    let taken: Vec<_> = rows.all.iter().map(|one| one.audition.readings.get(mode).map(|saved| &saved.said)).collect();
    let cells = taken
        .iter()
        .map(|taken| match taken {
            Some(taken) => Cell {
                words: taken.reading.shown(),
                beside: taken.room.map(|room| format!("at {}", room.shown())).unwrap_or_default(),
            },
            None => plain(""),
        })
        .collect();
    let with_claim: Vec<_> = rows
        .all
        .iter()
        .zip(&taken)
        .map(|(one, taken)| {
            let ohms = taken.map(|taken| taken.reading.ohms());
            ohms.map(|ohms| ohms.map(|ohms| (ohms.0, one.kit.meter.claim.claim(ohms).0)))
        })
        .collect();
    let differs = any_two(&with_claim, |one, other| match (one, other) {
        (Some(Some((one, one_may))), Some(Some((other, other_may)))) => (one - other).abs() > one_may + other_may,
        (one, other) => one != other,
    });
    rows.push("Reading", cells, differs);
}

fn ratings(rows: &mut Rows<'_>, mode: &Mode) {
    for quality in Quality::ALL {
        let key = (mode.clone(), quality);
        let cells: Vec<Cell> = rows
            .all
            .iter()
            .map(|one| match one.audition.rated.get(&key).map(|saved| saved.said) {
                Some(rating) => Cell {
                    words: format!("{}, {}", rating.value, quality.word(rating.value).unwrap_or("off the scale")),
                    beside: if rating.led { "after looking at the reference".to_owned() } else { String::new() },
                },
                None => plain(""),
            })
            .collect();
        let differs = any_two(&cells, |one, other| one.words != other.words);
        rows.push(quality.name(), cells, differs);
    }
    rows.words("Beside what is fitted", |one| {
        let against: Vec<_> = Quality::ALL
            .into_iter()
            .filter_map(|quality| Some((quality, one.audition.against.get(&(mode.clone(), quality))?.said)))
            .collect();
        crate::listening::against_in_words(&against)
    });
    rows.words("Words", |one| one.audition.notes.get(mode).map(|saved| saved.said.clone()).unwrap_or_default());
}

fn context(rows: &mut Rows<'_>, of: impl Fn(&Compared) -> Option<&Conditions>) {
    let all = rows.all;
    let unit = rows.unit;
    let choices: Vec<_> = all.iter().map(|one| of(one).and_then(|heard| heard.choice.as_ref())).collect();
    let cells = choices
        .iter()
        .map(|choice| match choice {
            Some(choice) => Cell {
                words: choice.place.clone(),
                beside: format!("{} from the saddle", choice.from_saddle.shown(unit)),
            },
            None => plain(""),
        })
        .collect();
    let differs = any_two(&choices, |one, other| match (one, other) {
        (Some(one), Some(other)) => (one.from_saddle.0 - other.from_saddle.0).abs() > SAME_PLACE + 1e-9,
        (one, other) => one.is_some() != other.is_some(),
    });
    rows.push("Place", cells, differs);
    rows.words("Lying", |one| {
        of(one).and_then(|heard| heard.mounting).map(|mounting| mounting.in_words()).unwrap_or_default()
    });
    gap_row(rows, &of);
    let said = |told: Option<String>| told.unwrap_or_else(|| "not written down".to_owned());
    rows.words("Amplifier", |one| said(of(one).and_then(|heard| heard.amp.clone())));
    level_row(rows, &of);
    rows.words("Strings", |one| one.kit.guitar.as_ref().map(strings_in_words).unwrap_or_default());
    rows.words("Tuning", |one| {
        let told =
            of(one).and_then(|heard| heard.tuned.as_ref()).map(|notes| notes.iter().map(|n| n.shown()).collect());
        let record = one.kit.guitar.as_ref().map(|guitar| guitar.strings.iter().map(|s| s.note.clone()).collect());
        told.or(record).map(|notes: Vec<String>| notes.join(" ")).unwrap_or_default()
    });
    rows.words("The fitted pickup", |one| {
        of(one).and_then(|heard| heard.installed).map(|is| is.in_words().to_owned()).unwrap_or_default()
    });
    rows.words("Cable", |one| {
        let length = of(one).and_then(|heard| heard.cable).map(|cable| cable.in_words().to_owned());
        let size = of(one).and_then(|heard| heard.picofarads).map(|size| format!("about {size} pF"));
        length.into_iter().chain(size).collect::<Vec<_>>().join(", ")
    });
    rows.words("Input", |one| {
        of(one).and_then(|heard| heard.input).map(|input| input.in_words().to_owned()).unwrap_or_default()
    });
    rows.words("String ground", |one| {
        of(one)
            .and_then(|heard| heard.string_ground)
            .map(|is| string_ground_in_words(is).to_owned())
            .unwrap_or_default()
    });
    rows.words("Load resistor", |one| {
        of(one).and_then(|heard| heard.load).map(|load| load.in_words().to_owned()).unwrap_or_default()
    });
    room_row(rows, &of);
}

fn gap_row(rows: &mut Rows<'_>, of: &impl Fn(&Compared) -> Option<&Conditions>) {
    let (all, unit) = (rows.all, rows.unit);
    let measured: Vec<_> = all.iter().map(|one| of(one).and_then(|heard| heard.gaps.as_ref())).collect();
    let cells = measured
        .iter()
        .map(|gaps| match gaps {
            Some(gaps) => Cell {
                words: format!("{} and {}", gaps.bass.shown(unit), gaps.treble.shown(unit)),
                beside: gaps
                    .pressed_at
                    .map_or_else(|| "strings open".to_owned(), |fret| format!("pressed at fret {fret}")),
            },
            None => plain("not measured"),
        })
        .collect();
    let hung: Vec<_> = all
        .iter()
        .map(|one| of(one).and_then(|heard| hung(heard.choice.as_ref(), heard.gaps.as_ref(), &one.kit)))
        .collect();
    let differs = any_two(&hung, |one, other| match (one, other) {
        (Some(one), Some(other)) => !gaps::fairness(one, other).fair,
        (one, other) => one.is_some() != other.is_some(),
    });
    rows.push("Gaps, bass and treble", cells, differs);
}

/// Levels that are less than a decibel apart are the same.
fn level_row(rows: &mut Rows<'_>, of: &impl Fn(&Compared) -> Option<&Conditions>) {
    let levels: Vec<_> = rows.all.iter().map(|one| of(one)?.level.map(|level| level.level())).collect();
    let cells =
        levels.iter().map(|level| plain(level.map_or_else(|| "not written down".to_owned(), level_shown))).collect();
    let differs = any_two(&levels, |one, other| match (one, other) {
        (Some(one), Some(other)) => (one.0 - other.0).abs() >= LOUDER,
        (one, other) => one.is_some() != other.is_some(),
    });
    rows.push("Level at the ear", cells, differs);
}

/// Rooms that are less than three degrees apart are the same: nobody hears that.
fn room_row(rows: &mut Rows<'_>, of: &impl Fn(&Compared) -> Option<&Conditions>) {
    let rooms: Vec<_> = rows.all.iter().map(|one| of(one)?.room).collect();
    let cells = rooms.iter().map(|room| plain(room.map(|room| room.shown()).unwrap_or_default())).collect();
    let differs = any_two(&rooms, |one, other| match (one, other) {
        (Some(one), Some(other)) => (one.0 - other.0).abs() >= SAME_ROOM,
        _ => false,
    });
    rows.push(&format!("Room (to {SAME_ROOM:.0} degrees)"), cells, differs);
}

/// ".010 to .046 in; new".
fn strings_in_words(guitar: &Guitar) -> String {
    let gauges: Vec<String> = [guitar.strings.last(), guitar.strings.first()]
        .into_iter()
        .flatten()
        .filter_map(|string| string.gauge)
        .map(|gauge| format!("{:.3}", gauge.inches()).trim_start_matches('0').to_owned())
        .collect();
    let gauges = if gauges.len() == 2 { Some(format!("{} in", gauges.join(" to "))) } else { None };
    let age = Some(guitar.strings_age.trim().to_owned()).filter(|age| !age.is_empty());
    gauges.into_iter().chain(age).collect::<Vec<_>>().join("; ")
}
