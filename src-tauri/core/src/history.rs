//! The history of a pickup or a guitar: every audition with what was found, noted and decided in it, how its readings went over
//! time, where a pickup lived, and what became of the record itself.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::{Audition, PhotoView, photos};
use crate::logbook::Line;
use crate::physics::meter::{Agreement, Health, shown_at_20};
use crate::record::body::{Body, LeadsBody, StayBody, TakeBody, ThingBody};
use crate::record::entry::{Entry, Written};
use crate::record::guitar::{Guitar, GuitarId};
use crate::record::listening::Quality;
use crate::record::pickup::PickupId;
use crate::record::quantity::InInches;
use crate::record::things::Described;
use crate::safety::holds::SafetyHold;

/// How many auditions a page of a history holds.
pub const VISITS_A_PAGE: usize = 10;

/// The history of a thing, a page of its auditions at a time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct History {
    /// What the thing is called.
    pub label: String,
    /// How many auditions it was in.
    pub count: usize,
    /// A page of them, newest first.
    pub visits: Vec<Visited>,
    /// Where the next page begins; nothing when this is the last.
    #[ts(type = "number | null")]
    pub after: Option<i64>,
    /// Readings over time: of this pickup, or of each pickup in this guitar. Told with the first page only.
    pub readings: Vec<ReadingsOver>,
    /// Where a pickup lived, or what lived in a guitar, the newest first. Told with the first page only.
    pub stays: Vec<Stay>,
    /// What became of the record, the newest first. Told with the first page only.
    pub record: Vec<RecordLine>,
}

/// One audition in a history.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct Visited {
    /// The audition.
    pub line: Line,
    /// Its readings: `series 13.34 kΩ`.
    pub readings: Vec<String>,
    /// What they come to, in a sentence; empty without readings.
    pub found: String,
    /// The coils they imply: `coil A 6.66 kΩ ± 0.10 kΩ at 20 °C`.
    pub coils: Vec<String>,
    /// The gaps it was heard at; empty when they were not measured.
    pub gaps: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub gaps_in_inches: Option<InInches>,
    /// What was heard, mode by mode.
    pub heard: Vec<HeardThen>,
    /// Photos of the finish.
    pub photos: Vec<PhotoView>,
    /// What was decided: holds passed, steps left out, an early end; each with its reason.
    pub decided: Vec<String>,
}

/// What was heard in one mode.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct HeardThen {
    /// The mode.
    pub mode: String,
    /// The listener's words; may be empty.
    pub note: String,
    /// Ratings in words: `treble 4 of 5, clear`; what was said beside the fitted pickup comes last.
    pub rated: Vec<String>,
}

/// The readings of one pickup over time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct ReadingsOver {
    /// The pickup.
    pub pickup: PickupId,
    /// What it is called.
    pub label: String,
    /// Its coils at 20 °C.
    pub health: Health,
}

/// A time that a pickup was fitted in a guitar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct Stay {
    /// The pickup.
    pub pickup: PickupId,
    /// The guitar.
    pub guitar: GuitarId,
    /// The place in it.
    pub place: String,
    /// Since when, as far as the log tells.
    #[ts(type = "string")]
    pub from: DateTime<Utc>,
    /// Until when; nothing while it is there.
    #[ts(type = "string | null")]
    pub until: Option<DateTime<Utc>>,
    /// The other of the two, by its label: the guitar in a pickup's history, the pickup in a guitar's.
    pub other: String,
}

/// Something that became of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct RecordLine {
    /// When.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// What, in a sentence.
    pub sentence: String,
}

/// One audition as a history tells it.
#[must_use]
pub fn visited(line: Line, audition: &Audition, agreement: Option<&Agreement>) -> Visited {
    let mut decided: Vec<(DateTime<Utc>, String)> = Vec::new();
    decided.extend(audition.overrides.iter().map(|passed| {
        let hold = SafetyHold::named(&passed.said.hold);
        let reason = hold.map_or_else(|| passed.said.hold.clone(), |hold| hold.reason().to_owned());
        (passed.at, format!("Went on in spite of a hold. {reason} Reason given: {}", passed.said.why))
    }));
    decided
        .extend(audition.skipped.iter().map(|(step, why)| (why.at, format!("Left out {}: {}", step.name(), why.said))));
    decided.extend(audition.ended_early.iter().map(|why| (why.at, format!("Ended early: {}", why.said))));
    decided.sort_by_key(|(at, _)| *at);
    let measured = !audition.readings.is_empty();
    let gaps = audition.gaps.as_ref().map(|gaps| &gaps.said);
    let (gaps, gaps_in_inches) = gaps
        .map(|gaps| {
            InInches::told(|unit| format!("bass {}, treble {}", gaps.bass.shown(unit), gaps.treble.shown(unit)))
        })
        .unwrap_or_default();
    Visited {
        readings: audition
            .readings
            .iter()
            .map(|(mode, taken)| format!("{} {}", mode.0, taken.said.reading.shown()))
            .collect(),
        found: agreement.filter(|_| measured).map_or_else(String::new, |agreement| agreement.sentence.clone()),
        coils: agreement
            .into_iter()
            .flat_map(|agreement| &agreement.implied)
            .map(|coil| {
                let at_20 = if coil.at_20 { " at 20 °C" } else { "" };
                format!("coil {} {}{at_20}", coil.coil.letter(), shown_at_20(coil))
            })
            .collect(),
        gaps,
        gaps_in_inches,
        heard: heard(audition),
        photos: photos(audition),
        decided: decided.into_iter().map(|(_, sentence)| sentence).collect(),
        line,
    }
}

fn heard(audition: &Audition) -> Vec<HeardThen> {
    let modes = audition.choice.iter().flat_map(|choice| &choice.said.modes);
    modes
        .map(|mode| HeardThen {
            mode: mode.0.clone(),
            note: audition.notes.get(mode).map_or_else(String::new, |note| note.said.clone()),
            rated: Quality::ALL
                .into_iter()
                .filter_map(|quality| {
                    let value = audition.rated.get(&(mode.clone(), quality)).map(|saved| saved.said.value)?;
                    let anchor = quality.word(value)?;
                    Some(format!("{} {value} of 5, {anchor}", quality.name()))
                })
                .chain(audition.beside_fitted(mode))
                .collect(),
        })
        .filter(|heard| !heard.note.is_empty() || !heard.rated.is_empty())
        .collect()
}

/// What became of a record, from its entries in order, the newest first.
#[must_use]
pub fn record<T: Described + PartialEq>(ordered: &[(Entry, bool)]) -> Vec<RecordLine> {
    let mut lines = Vec::new();
    let mut before: Option<T> = None;
    for (entry, struck) in ordered {
        let Written::Known(body) = &entry.body else { continue };
        if *struck {
            continue;
        }
        let sentence = match body {
            Body::Thing(body) => match body {
                ThingBody::Retired { why } if why.is_empty() => "Put away.".to_owned(),
                ThingBody::Retired { why } => format!("Put away: {why}."),
                ThingBody::BroughtBack {} => "Brought back into use.".to_owned(),
                ThingBody::PickupDescribed { .. }
                | ThingBody::GuitarDescribed { .. }
                | ThingBody::RigDescribed { .. }
                | ThingBody::MeterDescribed { .. }
                | ThingBody::BenchNamed { .. } => {
                    let Some(described) = T::described_in(body) else { continue };
                    let Some(sentence) = changed(before.as_ref(), described) else { continue };
                    before = Some(described.clone());
                    sentence
                }
            },
            Body::Leads(body) => match body {
                LeadsBody::LeadsBegun { .. } => "Its leads were measured to find out which is which.".to_owned(),
                LeadsBody::LeadsMeasured { .. }
                | LeadsBody::CoilNamed { .. }
                | LeadsBody::Tapped { .. }
                | LeadsBody::TapsRecorded { .. }
                | LeadsBody::InputCalibrated { .. }
                | LeadsBody::CompassHeld { .. } => continue,
            },
            Body::Measured(body) => format!("{}.", body.in_words()),
            Body::Stay(body) => match body {
                StayBody::Installed { place, .. } => format!("Installed for good: {place}."),
                StayBody::TakenOut { place, .. } => format!("Taken out: {place}."),
                StayBody::Fitted { place, .. } => {
                    if let Some(before) = &mut before {
                        before.change(body);
                    }
                    format!("Another pickup at {place}, by a permanent install.")
                }
            },
            Body::Take(body) => match body {
                TakeBody::TakeKept { recorded, .. } => format!("Recorded: {}.", recorded.in_words()),
            },
            // These change no record; strike-outs were applied when the entries were put in order.
            Body::Audition(_)
            | Body::Listening(_)
            | Body::Comparison(_)
            | Body::Blind(_)
            | Body::Bench(_)
            | Body::Install(_)
            | Body::Strike(_) => continue,
        };
        lines.push(RecordLine { at: entry.at, sentence });
    }
    lines.reverse();
    lines
}

/// What a description says anew; nothing when it is as it was.
fn changed<T: Described + PartialEq>(before: Option<&T>, described: &T) -> Option<String> {
    Some(match before {
        Some(before) if described == before => return None,
        None => "Written down.".to_owned(),
        Some(before) if described.label() == before.label() => "Record changed.".to_owned(),
        Some(before) => {
            let [now, then] = [described.label(), before.label()];
            format!("Record changed: called {now} from then on, {then} before.")
        }
    })
}

/// The times that pickups were fitted in a guitar, as its record and permanent installs told one after the other, the oldest
/// first.
#[must_use]
pub fn stays_in(guitar: GuitarId, ordered: &[(Entry, bool)]) -> Vec<Stay> {
    let mut stays: Vec<Stay> = Vec::new();
    let mut so_far: Option<Guitar> = None;
    for (entry, struck) in ordered {
        let Some(body) = entry.body.known().filter(|_| !struck) else { continue };
        match body {
            Body::Thing(body) => so_far = Guitar::described_in(body).cloned().or(so_far),
            Body::Stay(body) => {
                if let Some(so_far) = &mut so_far {
                    so_far.change(body);
                }
            }
            // These say nothing of what is fitted; strike-outs were applied when the entries were put in order.
            Body::Leads(_)
            | Body::Measured(_)
            | Body::Audition(_)
            | Body::Listening(_)
            | Body::Comparison(_)
            | Body::Blind(_)
            | Body::Bench(_)
            | Body::Install(_)
            | Body::Take(_)
            | Body::Strike(_) => {}
        }
        let Some(described) = &so_far else { continue };
        let is_fitted = |stay: &Stay| {
            described.places.iter().any(|place| place.name == stay.place && place.fitted == Some(stay.pickup))
        };
        for stay in stays.iter_mut().filter(|stay| stay.until.is_none()) {
            if !is_fitted(stay) {
                stay.until = Some(entry.at);
            }
        }
        for place in &described.places {
            let Some(pickup) = place.fitted else { continue };
            let there =
                stays.iter().any(|stay| stay.until.is_none() && stay.pickup == pickup && stay.place == place.name);
            if !there {
                stays.push(Stay {
                    pickup,
                    guitar,
                    place: place.name.clone(),
                    from: entry.at,
                    until: None,
                    other: String::new(),
                });
            }
        }
    }
    stays
}

#[cfg(test)]
mod tests;
