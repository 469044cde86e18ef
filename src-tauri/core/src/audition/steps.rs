//! How each step stands: open, done, held or skipped. Computed from the fold at every look, never stored.

mod held;
mod verdicts;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use self::held::{at_any_step, holding};
pub(super) use self::held::{held_by, hold_view, on_its_feet, read_cautions, situation, unread};
pub(super) use self::verdicts::left_out;
use self::verdicts::{blocks, verdict};
use super::fold::Audition;
use super::judged::agreement;
use super::present::Present;
use super::questions::{QuestionView, questions};
use crate::audition::kit::Kit;
use crate::record::audition::Step;
use crate::record::facts::{LoadResistor, Question};
use crate::record::tick::Tick;
use crate::record::verdict::Verdict;
use crate::record::words::capital;
use crate::safety::cautions::{CautionView, Moment, Situation};
use crate::safety::holds::{HoldView, SafetyHold};
use crate::safety::stop_lists::StopList;

/// Whether an audition goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
pub enum State {
    /// It goes on.
    Open,
    /// It came to its last step.
    Finished,
    /// Somebody ended it before.
    EndedEarly,
}

/// How a step stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
pub enum Status {
    /// Something is still to be answered.
    Open,
    /// Everything is answered.
    Done,
    /// Something stops it.
    Held,
    /// It was left out, with a reason.
    Skipped,
}

/// One step as a page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct StepView {
    /// Which step.
    pub step: Step,
    /// Its name.
    pub name: String,
    /// Why it is there.
    pub reason: String,
    /// How it stands.
    pub status: Status,
    /// What is still missing, or why it was left out; empty when it is done.
    pub what: String,
    /// What the answers come to.
    pub verdict: Option<Verdict>,
    /// What a later change made worthless.
    pub invalidated: Option<String>,
    /// Which earlier steps are neither done nor left out, as a sentence, when this one is looked at before its turn.
    pub before: Option<String>,
    /// What can hurt here, worst first.
    pub cautions: Vec<CautionView>,
    /// That there are cautions to be read before anything else, as a sentence.
    pub unread: Option<String>,
    /// What holds this step, passed holds included.
    pub holds: Vec<HoldView>,
    /// What may be told of the bench here, so that the cautions fit it.
    pub questions: Vec<QuestionView>,
    /// The step as it is read aloud.
    pub spoken: String,
}

/// Where an audition stands without looking at the things: its state, and the step to go on with.
///
/// `terminals` is how many its rig has.
#[must_use]
pub fn state(audition: &Audition, terminals: Option<usize>) -> (State, Option<Step>) {
    if audition.ended_early.is_some() {
        return (State::EndedEarly, None);
    }
    let next = Step::ALL
        .into_iter()
        .find(|step| !answered(audition, *step, terminals) && !audition.skipped.contains_key(step));
    match next {
        None => (State::Finished, None),
        Some(_) if answered(audition, Step::TakeDown, terminals) => (State::Finished, None),
        Some(step) => (State::Open, Some(step)),
    }
}

/// The step an open audition leads to: the first that is neither left out nor answered, an answer that is plainly wrong being none.
#[must_use]
pub(crate) fn leads_to(audition: &Audition, kit: &Kit) -> Option<Step> {
    let terminals = kit.rig.as_ref().map(|rig| rig.terminals.len());
    let agreement = agreement(audition, kit);
    let done = |step: Step| {
        answered(audition, step, terminals)
            && !verdict(audition, kit, &agreement, step).is_some_and(|verdict| blocks(step, &verdict))
    };
    Step::ALL.into_iter().find(|step| !audition.skipped.contains_key(step) && !done(*step))
}

/// Whether everything a step asks for was answered, whatever it comes to.
fn answered(audition: &Audition, step: Step, terminals: Option<usize>) -> bool {
    let modes = || audition.choice.iter().flat_map(|choice| &choice.said.modes);
    match step {
        Step::Choose => audition.choice.is_some(),
        Step::WhichWay => audition.mounting.is_some(),
        Step::Leads => {
            terminals.is_some_and(|count| audition.hooked.len() >= count)
                && audition.hooked.values().all(|hooked| hooked.said.tugged || hooked.said.leads.is_empty())
        }
        Step::Meter => modes().next().is_some() && modes().all(|mode| audition.readings.contains_key(mode)),
        Step::Seat => audition.finish.is_some() && audition.seating.as_ref().is_some_and(|seating| seating.said.steady),
        Step::Gaps => audition.gaps.as_ref().is_some_and(|gaps| gaps.said.kept),
        Step::SoundUp => Tick::SOUND_UP.iter().all(|tick| is_over(audition, *tick)),
        Step::Listen => {
            modes().next().is_some()
                && modes().all(|mode| {
                    audition.notes.get(mode).is_some_and(|note| !note.said.is_empty())
                        || audition.rated.keys().chain(audition.against.keys()).any(|(rated, _)| rated == mode)
                })
        }
        Step::TakeDown => Tick::TAKE_DOWN.iter().all(|tick| audition.ticks.contains_key(tick)),
    }
}

/// Whether an item of a stop list is done, or the hold that hangs on it was passed by writing why.
pub(super) fn is_over(audition: &Audition, tick: Tick) -> bool {
    let hold = match tick {
        Tick::VolumeAtZero => Some(SafetyHold::AmpNotAtZero),
        Tick::GuitarUnplugged => Some(SafetyHold::IronPluggedIn),
        Tick::BatteryOut => Some(SafetyHold::IronBatteryIn),
        Tick::FinishCovered => Some(SafetyHold::IronFinishBare),
        _ => None,
    };
    audition.ticks.contains_key(&tick) || hold.is_some_and(|hold| audition.has_overridden(hold.id()))
}

/// How a step stands, and what that follows from.
struct Stands {
    status: Status,
    /// What is still missing, or why it was left out.
    what: String,
    verdict: Option<Verdict>,
    holds: Vec<HoldView>,
}

/// How each step stands, in order, with what is known of the bench there.
fn stands<'a>(
    audition: &'a Audition,
    kit: &'a Kit,
    present: &'a Present,
) -> impl Iterator<Item = (Step, Situation, Stands)> + 'a {
    let terminals = kit.rig.as_ref().map(|rig| rig.terminals.len());
    let agreement = agreement(audition, kit);
    let known = situation(audition, kit, &agreement, present, Moment::Choose);
    Step::ALL.into_iter().map(move |step| {
        let situation = Situation { moment: Some(step.into()), ..known.clone() };
        let holds = held_by(audition, &situation, present);
        let verdict = verdict(audition, kit, &agreement, step);
        let done = answered(audition, step, terminals) && !verdict.as_ref().is_some_and(|v| blocks(step, v));
        let (status, what) = if done {
            (Status::Done, String::new())
        } else if let Some(why) = audition.skipped.get(&step) {
            (Status::Skipped, why.said.clone())
        } else if let Some(hold) = holds.iter().find(|hold| hold.overridden.is_none())
            && reached(audition, step, terminals)
        {
            (Status::Held, hold.reason.clone())
        } else {
            (Status::Open, missing(audition, step).to_owned())
        };
        (step, situation, Stands { status, what, verdict, holds })
    })
}

/// How far an audition has come: how many steps are done or left out, and the first that waits with what it waits for.
#[must_use]
pub fn progress(audition: &Audition, kit: &Kit, present: &Present) -> (usize, Option<(Step, String)>) {
    let (mut over, mut waiting) = (0, None);
    for (step, _, Stands { status, what, .. }) in stands(audition, kit, present) {
        match status {
            Status::Done | Status::Skipped => over += 1,
            Status::Open | Status::Held => waiting = waiting.or(Some((step, what))),
        }
    }
    (over, waiting)
}

/// All steps as they stand.
#[must_use]
pub fn steps(audition: &Audition, kit: &Kit, present: &Present) -> Vec<StepView> {
    let mut waiting: Vec<&str> = Vec::new();
    stands(audition, kit, present)
        .map(|(step, situation, Stands { status, what, verdict, holds })| {
            let cautions = read_cautions(audition, &situation);
            let before = match status {
                Status::Open | Status::Held => {
                    let before = before(&waiting);
                    waiting.push(step.name());
                    before
                }
                Status::Done | Status::Skipped => None,
            };
            StepView {
                step,
                name: step.name().to_owned(),
                reason: step.reason().to_owned(),
                status,
                what,
                verdict,
                invalidated: audition.invalidated.get(&step).cloned(),
                before,
                unread: unread(&cautions),
                holds,
                questions: hinted(audition, kit, questions(step.into(), |question| audition.said_of(question))),
                spoken: spoken(step.name(), step.reason(), &cautions, list_of(step)),
                cautions,
            }
        })
        .collect()
}

/// Adds to a question what the record of the guitar says to it.
fn hinted(audition: &Audition, kit: &Kit, mut questions: Vec<QuestionView>) -> Vec<QuestionView> {
    for question in &mut questions {
        if question.question == Question::LoadResistor {
            question.hint = audition.choice.as_ref().zip(kit.guitar.as_ref()).and_then(|(choice, guitar)| {
                let pots = guitar.controls.pots_at(&choice.said.place)?;
                let nearest = LoadResistor::nearest(pots).in_words();
                Some(format!(
                    "The pots of this guitar come to {}. {} from tip to sleeve makes the pickup ring as it will behind them.",
                    pots.shown(),
                    capital(nearest)
                ))
            });
        }
    }
    questions
}

/// That earlier steps wait.
pub(crate) fn before(waiting: &[&str]) -> Option<String> {
    match waiting {
        [] => None,
        [one] => Some(format!("{one} comes before this and is not done.")),
        [first, last] => Some(format!("{first} and {last} come before this and are not done.")),
        [first, .., last] => Some(format!("{first} to {last} come before this: not all are done.")),
    }
}

/// Whether the steps before this one are answered, so that a hold on it is news.
fn reached(audition: &Audition, step: Step, terminals: Option<usize>) -> bool {
    (step == Step::Listen && audition.sounding().is_some())
        || Step::ALL
            .into_iter()
            .take_while(|before| *before < step)
            .all(|before| answered(audition, before, terminals) || audition.skipped.contains_key(&before))
}

fn missing(audition: &Audition, step: Step) -> &'static str {
    match step {
        Step::Choose => "Choose a pickup, a guitar and a place.",
        Step::WhichWay if audition.mounting.is_some() => "Turn it the right way round, and look again.",
        Step::WhichWay => "Look at it and say how it lies.",
        Step::Leads => "Put each lead into its own terminal and tug it.",
        Step::Meter if !audition.readings.is_empty() => "The readings are not proven yet.",
        Step::Meter => "Take a reading in each mode.",
        Step::Seat if audition.finish.is_some() => "Seat the rig and nudge it.",
        Step::Seat => "Say what the finish is.",
        Step::Gaps => "Measure the gap at the bass and the treble side.",
        Step::SoundUp => "Go through the order, item by item.",
        Step::Listen => "Note something in each mode.",
        Step::TakeDown => "Go through the order, item by item.",
    }
}

fn list_of(step: Step) -> Option<StopList> {
    match step {
        Step::SoundUp => Some(StopList::SoundUp),
        Step::TakeDown => Some(StopList::TakeDown),
        Step::Choose | Step::WhichWay | Step::Leads | Step::Meter | Step::Seat | Step::Gaps | Step::Listen => None,
    }
}

/// A step as it is read aloud: its name and reason, what can hurt, and its stop list, item by item.
pub(super) fn spoken(name: &str, reason: &str, cautions: &[CautionView], list: Option<StopList>) -> String {
    let mut parts = vec![format!("{name}."), reason.to_owned()];
    parts.extend(cautions.iter().map(|caution| caution.spoken.clone()));
    parts.extend(list.into_iter().flat_map(StopList::items).map(|item| item.say.to_owned()));
    parts.join(" ")
}
