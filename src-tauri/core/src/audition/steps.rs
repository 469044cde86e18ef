//! How each step stands: open, done, held or skipped. Computed from the fold at every look, never stored.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::answers::{Side, Tick, Turn};
use super::fold::Audition;
use super::judged::agreement;
use super::step::Step;
use crate::cautions::{self, CautionView, Moment, SignalWord, Situation};
use crate::facing::{self, Facing};
use crate::finish::{self, Barrier, May};
use crate::gaps::Under;
use crate::guitar::Guitar;
use crate::holds::{self, SafetyHold};
use crate::meter::{self, Agreement, ImpliedCoil, OwnMeter};
use crate::pickup::{CoilEnd, Pickup};
use crate::quantity::Reading;
use crate::rig::Rig;

/// Below this a coil reading is a short: no coil of a pickup has so little wire (common practice), in ohms.
const SHORT_BELOW: f64 = 100.0;

/// The things an audition is about, as they were described at the time; any may be missing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Kit {
    /// The pickup over the strings.
    pub pickup: Option<Pickup>,
    /// The guitar under it.
    pub guitar: Option<Guitar>,
    /// The rig between them.
    pub rig: Option<Rig>,
    /// The meter that the readings are taken with.
    pub meter: OwnMeter,
    /// Coils measured before, between their leads or in earlier auditions.
    pub measured: Vec<ImpliedCoil>,
}

/// Whether an audition goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
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
#[ts(export_to = "contract.ts")]
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

/// What an answer comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum VerdictKind {
    /// As it should be.
    Good,
    /// Not as it should be.
    Bad,
    /// It can't be said.
    Unsure,
}

/// What an answer comes to, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct Verdict {
    /// Good, bad or unsure.
    pub kind: VerdictKind,
    /// One word for it.
    pub word: String,
    /// What it means and what to do.
    pub sentence: String,
}

impl Verdict {
    pub(crate) fn new(kind: VerdictKind, word: &str, sentence: impl Into<String>) -> Self {
        Self { kind, word: word.to_owned(), sentence: sentence.into() }
    }
}

/// Something that stops a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct HoldView {
    /// Its name for good.
    pub hold: SafetyHold,
    /// How bad it is to go on.
    pub word: SignalWord,
    /// Why it stops.
    pub reason: String,
    /// What clears it.
    pub clears: String,
    /// The reason with which somebody passed it, if they did.
    pub overridden: Option<String>,
}

/// One step as a page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
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
    /// What can hurt here, worst first.
    pub cautions: Vec<CautionView>,
    /// What holds this step, passed holds included.
    pub holds: Vec<HoldView>,
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
        Step::SoundUp => Tick::SOUND_UP.iter().all(|tick| audition.ticks.contains_key(tick)),
        Step::Listen => {
            modes().next().is_some()
                && modes().all(|mode| {
                    audition.notes.get(mode).is_some_and(|note| !note.said.is_empty())
                        || audition.rated.keys().any(|(rated, _)| rated == mode)
                })
        }
        Step::TakeDown => Tick::TAKE_DOWN.iter().all(|tick| audition.ticks.contains_key(tick)),
    }
}

/// All steps as they stand.
#[must_use]
pub fn steps(audition: &Audition, kit: &Kit) -> Vec<StepView> {
    let terminals = kit.rig.as_ref().map(|rig| rig.terminals.len());
    let agreement = agreement(audition, kit);
    Step::ALL
        .into_iter()
        .map(|step| {
            let situation = situation(audition, kit, &agreement, step);
            let read_for = |id: &str| audition.acknowledged.get(id).map(|inked| inked.said.as_str());
            // A step that is over no longer warns; its cautions stay in the logbook.
            let cautions = cautions::views(&situation, read_for);
            let holds = held_by(audition, &situation);
            let held = holds.iter().any(|hold| hold.overridden.is_none());
            let verdict = verdict(audition, kit, &agreement, step);
            let done = answered(audition, step, terminals) && !verdict.as_ref().is_some_and(|v| blocks(step, v));
            let (status, what) = if done {
                (Status::Done, String::new())
            } else if let Some(why) = audition.skipped.get(&step) {
                (Status::Skipped, why.said.clone())
            } else if held && reached(audition, step, terminals) {
                (
                    Status::Held,
                    holds.iter().find(|hold| hold.overridden.is_none()).map(|h| h.reason.clone()).unwrap_or_default(),
                )
            } else {
                (Status::Open, missing(audition, step).to_owned())
            };
            let spoken = spoken(step, &cautions);
            StepView {
                step,
                name: step.name().to_owned(),
                reason: step.reason().to_owned(),
                status,
                what,
                verdict,
                invalidated: audition.invalidated.get(&step).cloned(),
                cautions,
                holds,
                spoken,
            }
        })
        .collect()
}

/// What holds this step now, overridden holds left out.
#[must_use]
pub fn holding(audition: &Audition, kit: &Kit, step: Step) -> Vec<HoldView> {
    let situation = situation(audition, kit, &agreement(audition, kit), step);
    held_by(audition, &situation).into_iter().filter(|hold| hold.overridden.is_none()).collect()
}

/// Whether the steps before this one are answered, so that a hold on it is news.
fn reached(audition: &Audition, step: Step, terminals: Option<usize>) -> bool {
    step != Step::Listen
        && Step::ALL
            .into_iter()
            .take_while(|before| *before < step)
            .all(|before| answered(audition, before, terminals) || audition.skipped.contains_key(&before))
}

/// A step whose answer is plainly wrong is not done.
fn blocks(step: Step, verdict: &Verdict) -> bool {
    matches!(step, Step::WhichWay | Step::Meter) && verdict.kind == VerdictKind::Bad
}

fn held_by(audition: &Audition, situation: &Situation) -> Vec<HoldView> {
    holds::holding(situation)
        .into_iter()
        // A volume that is not yet at zero is the first item of the order, not a reason to stop before it.
        .filter(|hold| *hold != SafetyHold::AmpNotAtZero)
        .map(|hold| HoldView {
            hold,
            word: hold.word(),
            reason: hold.reason().to_owned(),
            clears: hold.clears().to_owned(),
            overridden: audition.overrides.iter().rev().find(|o| o.said.hold == hold.id()).map(|o| o.said.why.clone()),
        })
        .collect()
}

/// The leads in the terminals, as the meter's computing takes them.
pub(super) fn hookup(audition: &Audition) -> Vec<meter::Joined> {
    audition
        .hooked
        .values()
        .map(|hooked| meter::Joined { terminal: hooked.said.terminal, leads: hooked.said.leads.clone() })
        .collect()
}

fn situation(audition: &Audition, kit: &Kit, agreement: &Option<Agreement>, step: Step) -> Situation {
    let finish = audition.finish.as_ref().map(|inked| &inked.said);
    let seating = audition.seating.as_ref().map(|inked| inked.said);
    let guitar = kit.guitar.as_ref();
    let shown = |test: fn(Reading) -> bool| audition.readings.values().any(|taken| test(taken.said.reading));
    let explained = agreement.as_ref().is_some_and(|agreement| agreement.explained);
    Situation {
        moment: Some(Moment::from(step)),
        pickup: audition.choice.as_ref().map(|choice| choice.said.pickup),
        guitar: audition.choice.as_ref().map(|choice| choice.said.guitar),
        rig: audition.choice.as_ref().map(|choice| choice.said.rig),
        poles: kit.pickup.as_ref().map(|pickup| pickup.poles),
        finish: finish.map(|f| f.kind).or(guitar.map(|g| g.finish.kind)),
        surface: finish.map(|f| f.surface).or(guitar.map(|g| g.finish.surface)),
        aged: finish.map(|f| f.aged),
        finish_asked: Some(finish.is_some()),
        feet: seating.map(|s| s.feet).or(kit.rig.as_ref().map(|rig| rig.feet)),
        barrier: finish.map(|f| matches!(f.barrier, Barrier::Cloth | Barrier::Paper)),
        film: finish.map(|f| f.barrier == Barrier::Film),
        steady: seating.map(|s| s.steady),
        short_unexplained: Some(!explained && shown(|r| matches!(r, Reading::Ohms(o) if o.0 < SHORT_BELOW))),
        open_unexplained: Some(!explained && shown(|r| r == Reading::OverLimit)),
        amp_at_zero: Some(audition.ticks.contains_key(&Tick::VolumeAtZero)),
        reach: audition
            .gaps
            .as_ref()
            .and_then(|gaps| Some(under(audition, kit)?.reach([gaps.said.bass, gaps.said.treble]))),
        ..Situation::default()
    }
}

fn verdict(audition: &Audition, kit: &Kit, agreement: &Option<Agreement>, step: Step) -> Option<Verdict> {
    match step {
        Step::WhichWay => which_way_verdict(audition, kit),
        Step::Meter if !audition.readings.is_empty() => agreement.as_ref().map(Verdict::from),
        Step::Seat => {
            let finish = &audition.finish.as_ref()?.said;
            let feet = audition.seating.as_ref().map(|s| s.said.feet).or(kit.rig.as_ref().map(|rig| rig.feet))?;
            let guard = finish::guard(finish.kind, finish.surface, finish.aged, feet, finish.barrier);
            let (kind, word) = match guard.may {
                May::Yes => (VerdictKind::Good, "May stand"),
                May::Briefly => (VerdictKind::Unsure, "Briefly"),
                May::No => (VerdictKind::Bad, "Not like this"),
            };
            Some(Verdict::new(kind, word, format!("{} {}", guard.sentence, guard.helps)))
        }
        Step::Gaps => super::view::gaps_verdict(audition, kit),
        Step::Choose | Step::Leads | Step::Meter | Step::SoundUp | Step::Listen | Step::TakeDown => None,
    }
}

impl From<&Agreement> for Verdict {
    fn from(agreement: &Agreement) -> Self {
        let (kind, word) = match agreement.kind {
            meter::AgreementKind::Agrees => (VerdictKind::Good, "Agree"),
            meter::AgreementKind::DoesNotAgree => (VerdictKind::Bad, "Don't agree"),
            meter::AgreementKind::CantSay | meter::AgreementKind::NothingYet => (VerdictKind::Unsure, "Can't say yet"),
        };
        Self::new(kind, word, agreement.sentence.clone())
    }
}

fn which_way_verdict(audition: &Audition, kit: &Kit) -> Option<Verdict> {
    let mounting = audition.mounting.as_ref()?.said;
    if mounting.lie.is_none() && mounting.turn == Turn::EndOverEnd && mounting.bass_end_over == Some(Side::Bass) {
        return Some(Verdict::new(
            VerdictKind::Bad,
            "Look again",
            "Turned end over end, its bass end would lie over the treble strings, not over the bass strings. Look again which \
             end is which.",
        ));
    }
    Some(confirmed(audition, kit)?.verdict())
}

/// What the confirmed mounting comes to.
pub(super) fn confirmed(audition: &Audition, kit: &Kit) -> Option<Facing> {
    let mounting = audition.mounting.as_ref()?.said;
    let leads = ends_in_terminals(audition, kit);
    Some(facing::facing(mounting.lies(), mounting.is_marked(), kit.pickup.as_ref(), kit.rig.as_ref(), &leads))
}

/// At which terminal each coil end is, as far as the leads that are hooked up tell.
pub(crate) fn ends_in_terminals(audition: &Audition, kit: &Kit) -> Vec<(CoilEnd, u8)> {
    let Some(pickup) = &kit.pickup else { return Vec::new() };
    audition
        .hooked
        .values()
        .flat_map(|hooked| hooked.said.leads.iter().map(|lead| (lead, hooked.said.terminal)))
        .flat_map(|(name, terminal)| {
            let lead = pickup.leads.iter().find(|lead| &lead.name == name);
            lead.into_iter().flat_map(|lead| lead.ends.clone()).map(move |end| (end, terminal))
        })
        .collect()
}

/// What the starting range of the gaps hangs on.
pub(super) fn under(audition: &Audition, kit: &Kit) -> Option<Under> {
    let place = audition.choice.as_ref()?.said.from_saddle;
    let scale = kit.guitar.as_ref().map_or(crate::quantity::Millimetres(0.0), |guitar| guitar.scale);
    Some(Under::at(kit.pickup.as_ref()?.construction, place, scale))
}

fn missing(audition: &Audition, step: Step) -> &'static str {
    match step {
        Step::Choose => "Choose a pickup, a guitar and a place.",
        Step::WhichWay if audition.mounting.is_some() => "Turn it the right way round, and look again.",
        Step::WhichWay => "Look at it and say how it lies.",
        Step::Leads => "Put each lead into its terminal and tug it.",
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

fn spoken(step: Step, cautions: &[CautionView]) -> String {
    let order = match step {
        Step::SoundUp => Tick::SOUND_UP.map(Tick::said).join(" "),
        Step::TakeDown => Tick::TAKE_DOWN.map(Tick::said).join(" "),
        _ => String::new(),
    };
    let cautions: Vec<&str> = cautions.iter().map(|caution| caution.spoken.as_str()).collect();
    [step.name().to_owned() + ".", step.reason().to_owned(), cautions.join(" "), order]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
