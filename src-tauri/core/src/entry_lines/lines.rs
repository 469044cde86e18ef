//! Entries of an audition as lines a person can read, and strike out.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::entry_lines::reason::why;
use crate::entry_lines::{audition, install, strikes};
use crate::record::audition::{PhotoKind, Step};
use crate::record::body::{AuditionBody, BenchBody, Body, ComparisonBody, ListeningBody, TakeBody, ThingBody};
use crate::record::entry::{Entry, Written};
use crate::record::listening::Than;
use crate::record::names::EntryId;
use crate::record::quantity::{InInches, LengthUnit};
use crate::record::strike::{Struck, struck_by};
use crate::record::take::time_shown as time_shown_of_take;
use crate::record::tick::Tick;
use crate::safety::cautions;
use crate::safety::hearing::time_shown;
use crate::safety::holds::SafetyHold;

/// One entry in words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct EntryLine {
    /// The entry.
    pub entry: EntryId,
    /// When it was written.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// What it says.
    pub words: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub in_inches: Option<InInches>,
    /// Whether it was struck out, and why.
    pub struck: Option<Struck>,
    /// Whether it can be struck out.
    pub can_strike: bool,
    /// What changes beside the line when it is struck out, in a sentence; a page asks first then.
    pub takes_along: Option<String>,
    /// The step at which the same thing is written again; nothing when it belongs to no step.
    pub step: Option<Step>,
    /// The bench that wrote it, by its name, where others than this one wrote about the same thing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub by: Option<String>,
}

/// The entries of an audition, as [`crate::record::entry::in_order`] sorts them, in words.
#[must_use]
pub fn entry_lines(ordered: &[(Entry, bool)]) -> Vec<EntryLine> {
    entry_lines_with(ordered, &[])
}

/// The same, with the names of the terminals of the rig that was chosen last. What was written at another rig has its
/// terminals counted from 1.
#[must_use]
pub fn entry_lines_with(ordered: &[(Entry, bool)], terminals: &[String]) -> Vec<EntryLine> {
    let rig_of = |entry: &Entry| match entry.body.known() {
        Some(Body::Audition(AuditionBody::Chosen { choice })) => Some(choice.rig),
        _ => None,
    };
    let chosen = || ordered.iter().enumerate().filter(|(_, (_, struck))| !struck);
    let rigs: Vec<_> = chosen().filter_map(|(place, (entry, _))| Some((place, rig_of(entry)?))).collect();
    let last = rigs.last().map(|(_, rig)| *rig);
    let other = rigs.iter().rposition(|(_, rig)| Some(*rig) != last);
    let since = other.and_then(|other| rigs.get(other + 1)).map_or(0, |(place, _)| *place);
    ordered
        .iter()
        .enumerate()
        .filter_map(|(place, (entry, struck))| {
            let terminals = if place < since { &[] } else { terminals };
            let (words, in_inches) = match &entry.body {
                Written::Newer { kind, .. } => {
                    (format!("Written by a newer version ({})", kind.replace('_', " ")), None)
                }
                Written::Known(body) => told_with(body, terminals)?,
            };
            let struck = struck.then(|| struck_by(ordered, entry.id)).flatten();
            let step = entry.body.known().and_then(step_of);
            let can_strike = struck.is_none() && strikes::refused(ordered, entry).is_none();
            let takes_along = strikes::takes_along(ordered, entry).filter(|_| can_strike).map(str::to_owned);
            Some(EntryLine {
                entry: entry.id,
                at: entry.at,
                words,
                in_inches,
                struck,
                can_strike,
                takes_along,
                step,
                by: None,
            })
        })
        .collect()
}

/// The step at which this is written.
fn step_of(body: &Body) -> Option<Step> {
    match body {
        Body::Audition(body) => match body {
            AuditionBody::Chosen { .. } | AuditionBody::Tuned { .. } | AuditionBody::FinalPlaceChosen { .. } => {
                Some(Step::Choose)
            }
            AuditionBody::Mounted { .. } => Some(Step::WhichWay),
            AuditionBody::HookedUp { .. } => Some(Step::Leads),
            AuditionBody::ReadingTaken { .. } | AuditionBody::Probed { .. } | AuditionBody::Mended { .. } => {
                Some(Step::Meter)
            }
            AuditionBody::FinishAsked { .. } | AuditionBody::Seated { .. } => Some(Step::Seat),
            AuditionBody::GapsMeasured { .. } | AuditionBody::GapsAimed { .. } | AuditionBody::LevelRead { .. } => {
                Some(Step::Gaps)
            }
            AuditionBody::StepSkipped { step, .. } | AuditionBody::StepTakenUp { step } => Some(*step),
            AuditionBody::EndedEarly { .. } => None,
        },
        Body::Bench(body) => match body {
            BenchBody::Ticked { tick, .. } => step_of_tick(*tick),
            BenchBody::TickedTogether { ticks } => ticks.first().and_then(|tick| step_of_tick(*tick)),
            BenchBody::LevelTold { .. } | BenchBody::ListeningCorrected { .. } => Some(Step::Listen),
            BenchBody::PhotoTaken { look: PhotoKind::Before, .. } => Some(Step::Seat),
            BenchBody::PhotoTaken { look: PhotoKind::After, .. } => Some(Step::TakeDown),
            BenchBody::PhotoTaken { look: PhotoKind::Wiring, .. } => None,
            BenchBody::Told { .. }
            | BenchBody::IronLit {}
            | BenchBody::IronOff {}
            | BenchBody::CautionAcknowledged { .. }
            | BenchBody::HoldOverridden { .. } => None,
        },
        Body::Thing(_)
        | Body::Leads(_)
        | Body::Measured(_)
        | Body::Comparison(_)
        | Body::Blind(_)
        | Body::Install(_)
        | Body::Stay(_)
        | Body::Strike(_) => None,
        Body::Listening(_) | Body::Take(_) => Some(Step::Listen),
    }
}

/// The step of a stop list; the iron has none.
fn step_of_tick(tick: Tick) -> Option<Step> {
    if Tick::SOUND_UP.contains(&tick) {
        Some(Step::SoundUp)
    } else {
        Tick::TAKE_DOWN.contains(&tick).then_some(Step::TakeDown)
    }
}

/// What an entry says in millimetres, and in inches where it tells a length; nothing for what is told elsewhere.
pub(crate) fn told(body: &Body) -> Option<(String, Option<InInches>)> {
    told_with(body, &[])
}

fn told_with(body: &Body, terminals: &[String]) -> Option<(String, Option<InInches>)> {
    in_words_with(body, LengthUnit::Millimetre, terminals)?;
    Some(InInches::told(|unit| in_words_with(body, unit, terminals).unwrap_or_default()))
}

/// What an entry says in words; nothing for what is told elsewhere.
pub(crate) fn in_words(body: &Body, unit: LengthUnit) -> Option<String> {
    in_words_with(body, unit, &[])
}

fn in_words_with(body: &Body, unit: LengthUnit, terminals: &[String]) -> Option<String> {
    Some(match body {
        Body::Thing(body) => thing(body),
        Body::Audition(body) => audition::in_words(body, unit, terminals),
        Body::Listening(body) => heard(body),
        Body::Comparison(body) => together(body, unit),
        Body::Bench(body) => bench(body),
        Body::Install(body) => install::in_words(body),
        Body::Take(body) => take(body),
        Body::Stay(body) => install::stay_in_words(body),
        // The leads of a pickup, and what its coils measure, are told on pages of its own.
        // A strike-out is shown on the line it strikes out.
        // So is a blind test: a line of it would tell what is hidden.
        Body::Leads(_) | Body::Measured(_) | Body::Blind(_) | Body::Strike(_) => return None,
    })
}

/// A pickup, a guitar, a rig or the meter.
fn thing(body: &ThingBody) -> String {
    match body {
        ThingBody::PickupDescribed { pickup } => format!("Described: {}", pickup.label),
        ThingBody::GuitarDescribed { guitar } => format!("Described: {}", guitar.label),
        ThingBody::RigDescribed { rig } => format!("Described: {}", rig.label),
        ThingBody::MeterDescribed { meter } => format!("Described: {}", meter.label),
        ThingBody::Retired { why: because } => format!("Put away{}", why(because)),
        ThingBody::BenchNamed { name } => format!("This bench is called {name}"),
        ThingBody::BroughtBack {} => "Brought back".to_owned(),
    }
}

/// What was heard.
fn heard(body: &ListeningBody) -> String {
    match body {
        ListeningBody::Rated { mode, quality, value } => {
            let word = quality.word(*value).unwrap_or("off the scale");
            format!("Heard in {}: {} {value} of 5, {word}", mode.0, quality.name().to_lowercase())
        }
        ListeningBody::RatedAgainstFitted { mode, quality, than } => {
            let than_fitted = if *than == Than::Same { "as what is fitted" } else { "than what is fitted" };
            format!("Heard in {}: {} {than_fitted}", mode.0, than.in_words(*quality))
        }
        ListeningBody::ReferenceLookedAt { mode, .. } => {
            format!("Looked at the notes of the reference while {} was heard", mode.0)
        }
        ListeningBody::NoteWritten { mode, words } => format!("Heard in {}: “{words}”", mode.0),
        ListeningBody::AmpDescribed { words } => format!("Through: {words}"),
    }
}

/// A recording.
fn take(body: &TakeBody) -> String {
    match body {
        TakeBody::TakeKept { sound, recorded } => {
            format!("Take of {}: {}", time_shown_of_take(sound.seconds), recorded.in_words())
        }
    }
}

/// Auditions together.
fn together(body: &ComparisonBody, unit: LengthUnit) -> String {
    match body {
        ComparisonBody::ReferencePinned {} => "Pinned as the reference".to_owned(),
        ComparisonBody::ReferenceUnpinned {} => "No longer the reference".to_owned(),
        ComparisonBody::Decided { decision } => decision.in_words(unit),
    }
}

/// What was done and told at the bench.
fn bench(body: &BenchBody) -> String {
    match body {
        BenchBody::Ticked { tick, words } => format!("{}{}", tick.done(), why(words)),
        BenchBody::TickedTogether { ticks } => {
            let done: Vec<_> = ticks.iter().map(|tick| tick.done()).collect();
            format!("Said aloud and done together: {}", done.join("; "))
        }
        BenchBody::Told { told } => told.in_words(),
        BenchBody::LevelTold { level } => format!("Level at the ear: {}", level.in_words()),
        BenchBody::ListeningCorrected { minutes, level, .. } => {
            let time = minutes.map(|minutes| format!("it was {}", time_shown(minutes * 60.0)));
            let level = level.map(|level| format!("the level was {}", level.in_words()));
            let said: Vec<String> = time.into_iter().chain(level).collect();
            format!("Listening corrected: {}", said.join(", "))
        }
        BenchBody::PhotoTaken { look: PhotoKind::Wiring, .. } => "Photo of the wiring".to_owned(),
        BenchBody::PhotoTaken { look, .. } => format!("Photo of the finish, {}", look.in_words()),
        BenchBody::IronLit {} => "Iron switched on".to_owned(),
        BenchBody::IronOff {} => "Iron off and in its stand".to_owned(),
        BenchBody::CautionAcknowledged { caution, .. } => {
            let hazard = cautions::named(caution).map_or(caution.as_str(), |named| named.hazard);
            format!("Caution read: {hazard}")
        }
        BenchBody::HoldOverridden { hold, why: because } => {
            let reason = SafetyHold::named(hold).map_or(hold.as_str(), |hold| hold.reason());
            format!("Went on in spite of a hold. {reason} Reason given: {because}")
        }
    }
}
