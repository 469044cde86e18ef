//! How each step stands: open, done, held or skipped. Computed from the fold at every look, never stored.

use crate::record::facts::{LoadResistor, Question};
use crate::record::words::{capital, listed};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::Audition;
use super::judged::{agreement, meter_verdict, not_covered};
use super::present::Present;
use super::questions::{QuestionView, enter, questions};
use crate::audition::kit::{Kit, ends_in_terminals, feet, hookup, under};
use crate::physics::facing;
use crate::physics::facing::Facing;
use crate::physics::leads;
use crate::physics::leads::Phase;
use crate::physics::meter::Agreement;
use crate::record::audition::Step;
use crate::record::leads::LeadName;
use crate::record::mounting::{Side, Turn};
use crate::record::quantity::Reading;
use crate::record::seat::{Barrier, HeldBy};
use crate::record::tick::Tick;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::safety::cautions::{CautionView, Moment, Situation};
use crate::safety::finish::May;
use crate::safety::holds::{HoldView, SafetyHold};
use crate::safety::stop_lists::StopList;
use crate::safety::{cautions, finish, holds};

/// Below this a coil reading is a short: no coil of a pickup has so little wire (common practice), in ohms.
const SHORT_BELOW: f64 = 100.0;

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

/// That there are cautions nobody has read yet.
pub(super) fn unread(cautions: &[CautionView]) -> Option<String> {
    match cautions.iter().filter(|caution| caution.must_acknowledge && !caution.acknowledged).count() {
        0 => None,
        1 => Some("Read the caution above first.".to_owned()),
        _ => Some("Read the cautions above first.".to_owned()),
    }
}

/// What applies in this situation, with what was read of it.
pub(super) fn read_cautions(audition: &Audition, situation: &Situation) -> Vec<CautionView> {
    cautions::views(situation, |id| audition.acknowledged.get(id).map(|saved| saved.said.as_str()))
}

/// What holds this moment now, overridden holds left out.
#[must_use]
pub fn holding(audition: &Audition, kit: &Kit, present: &Present, moment: Moment) -> Vec<HoldView> {
    // Only sound up hangs on the readings.
    let agreement = if moment == Moment::SoundUp { agreement(audition, kit) } else { None };
    let situation = situation(audition, kit, &agreement, present, moment);
    held_by(audition, &situation, present).into_iter().filter(|hold| hold.overridden.is_none()).collect()
}

/// What can hurt at any step of an audition, each once, worst first; and what holds its steps.
#[must_use]
pub fn at_any_step(audition: &Audition, kit: &Kit, present: &Present) -> (Vec<CautionView>, Vec<HoldView>) {
    let agreement = agreement(audition, kit);
    let known = situation(audition, kit, &agreement, present, Moment::Choose);
    let (mut cautions, mut held): (Vec<CautionView>, Vec<HoldView>) = (Vec::new(), Vec::new());
    for step in Step::ALL {
        let situation = Situation { moment: Some(step.into()), ..known.clone() };
        for caution in read_cautions(audition, &situation) {
            if cautions.iter().all(|other| other.id != caution.id) {
                cautions.push(caution);
            }
        }
        for hold in held_by(audition, &situation, present) {
            if held.iter().all(|other| other.hold != hold.hold) {
                held.push(hold);
            }
        }
    }
    cautions.sort_by_key(|caution| caution.word);
    (cautions, held)
}

/// Whether the steps before this one are answered, so that a hold on it is news.
fn reached(audition: &Audition, step: Step, terminals: Option<usize>) -> bool {
    (step == Step::Listen && audition.sounding().is_some())
        || Step::ALL
            .into_iter()
            .take_while(|before| *before < step)
            .all(|before| answered(audition, before, terminals) || audition.skipped.contains_key(&before))
}

/// A step whose answer is plainly wrong is not done.
fn blocks(step: Step, verdict: &Verdict) -> bool {
    matches!(step, Step::WhichWay | Step::Leads | Step::Meter) && verdict.kind == VerdictKind::Bad
}

pub(super) fn held_by(audition: &Audition, situation: &Situation, present: &Present) -> Vec<HoldView> {
    let holding = holds::holding(situation);
    // Which feet go with a finish is asked once somebody has looked at it; until then that alone holds the same moment.
    let not_looked = holding.contains(&SafetyHold::FinishNotAsked)
        && hold_view(audition, SafetyHold::FinishNotAsked, present).overridden.is_none();
    holding
        .into_iter()
        .filter(|hold| !(not_looked && *hold == SafetyHold::BareFeetOnFinish))
        // A volume that is not yet at zero is an item of the order, not a reason to stop before it.
        .filter(|hold| *hold != SafetyHold::AmpNotAtZero)
        // Whoever has turned the sound down may write down what they heard.
        .filter(|_| situation.moment != Some(Moment::Listen) || audition.sounding().is_some())
        .map(|hold| HoldView { reason: hold.reason_here(situation), ..hold_view(audition, hold, present) })
        .collect()
}

/// A hold, with the reason for which it was passed.
pub(super) fn hold_view(audition: &Audition, hold: SafetyHold, present: &Present) -> HoldView {
    let day = present.day();
    let passes = |passed: &super::Saved<super::Override>| {
        // Ears get a new allowance with the day, and a word given yesterday is not given for today.
        !passed.said.over
            && passed.said.hold == hold.id()
            && (hold != SafetyHold::HearingSpent || passed.at >= day.from)
    };
    HoldView {
        hold,
        word: hold.word(),
        reason: hold.reason().to_owned(),
        clears: hold.clears().to_owned(),
        lift: hold.lift(),
        overridden: audition.overrides.iter().rev().find(|passed| passes(passed)).map(|passed| passed.said.why.clone()),
    }
}

/// What is known of the bench at a moment; only the moment itself differs from one to the next.
pub(super) fn situation(
    audition: &Audition,
    kit: &Kit,
    agreement: &Option<Agreement>,
    present: &Present,
    moment: Moment,
) -> Situation {
    let finish = audition.finish.as_ref().map(|saved| &saved.said);
    let seating = audition.seating.as_ref().map(|saved| saved.said);
    let guitar = kit.guitar.as_ref();
    let shown = |test: fn(Reading) -> bool| audition.readings.values().any(|taken| test(taken.said.reading));
    let explained = agreement.as_ref().is_some_and(|agreement| agreement.explained);
    let done = |tick: Tick| audition.ticks.contains_key(&tick);
    let (level, level_told) = present.level(audition);
    let mut known = Situation {
        moment: Some(moment),
        pickup: audition.choice.as_ref().map(|choice| choice.said.pickup),
        guitar: audition.choice.as_ref().map(|choice| choice.said.guitar),
        rig: audition.choice.as_ref().map(|choice| choice.said.rig),
        poles: kit.pickup.as_ref().map(|pickup| pickup.poles),
        finish: finish.map(|f| f.kind).or(guitar.map(|g| g.finish.kind)),
        surface: finish.map(|f| f.surface).or(guitar.map(|g| g.finish.surface)),
        aged: finish.map(|f| f.aged),
        finish_asked: Some(finish.is_some()),
        feet: feet(audition, kit),
        barrier: finish.map(|f| matches!(f.barrier, Barrier::Cloth | Barrier::Paper)),
        film: finish.map(|f| f.barrier == Barrier::Film),
        slides: finish.and_then(|f| Some(finish::slides(feet(audition, kit)?, f.barrier))),
        held_fast: finish.and_then(|f| f.held_by).map(HeldBy::holds),
        steady: seating.map(|s| s.steady),
        short_unexplained: Some(!explained && shown(|r| matches!(r, Reading::Ohms(o) if o.0 < SHORT_BELOW))),
        open_unexplained: Some(!explained && shown(|r| r == Reading::OverLimit)),
        amp_at_zero: Some(done(Tick::VolumeAtZero)),
        reach: audition.gaps.as_ref().and_then(|gaps| {
            let said = &gaps.said;
            Some(under(audition, kit)?.reach(said.pair(), &said.between, said.strings()))
        }),
        time_on_finish: present.on_finish(audition, kit).map(|countdown| countdown.state),
        level: level_told.then(|| level.level()),
        hearing_spent: Some(present.spent(audition)),
        unplugged: Some(done(Tick::GuitarUnplugged)),
        battery_out: Some(done(Tick::BatteryOut)),
        finish_covered: Some(done(Tick::FinishCovered)),
        ..Situation::default()
    };
    for told in audition.told.values() {
        enter(told.said, &mut known);
    }
    known
}

fn verdict(audition: &Audition, kit: &Kit, agreement: &Option<Agreement>, step: Step) -> Option<Verdict> {
    match step {
        Step::WhichWay => which_way_verdict(audition, kit),
        Step::Choose => not_covered(audition, kit).map(Verdict::from),
        Step::Meter => meter_verdict(audition, kit, agreement.as_ref()),
        Step::Seat => {
            let finish = &audition.finish.as_ref()?.said;
            let feet = feet(audition, kit)?;
            let guard = finish::guard(finish.kind, finish.surface, finish.aged, feet, finish.barrier);
            // It may stand there, and does not yet.
            if guard.may != May::No && audition.seating.as_ref().is_some_and(|seating| !seating.said.steady) {
                let advice = finish::make_steady(feet, finish.barrier, finish.held_by);
                return Some(Verdict::new(VerdictKind::Unsure, "It moves", format!("It did not stay put. {advice}")));
            }
            let (kind, word) = match guard.may {
                May::Yes => (VerdictKind::Good, "May stand"),
                May::Briefly => (VerdictKind::Unsure, "Briefly"),
                May::No => (VerdictKind::Bad, "Not like this"),
            };
            Some(Verdict::new(kind, word, format!("{} {}", guard.sentence, guard.helps)))
        }
        Step::Gaps => super::gaps::gaps_verdict(audition, kit),
        Step::Leads => {
            left_out(audition, kit).map(|sentence| Verdict::new(VerdictKind::Bad, "No sound like this", sentence))
        }
        Step::SoundUp | Step::Listen | Step::TakeDown => None,
    }
}

/// That leads with a coil on them are in no terminal, and so nothing comes out in any mode that was chosen. Where something does,
/// a lead may rightly be free.
pub(super) fn left_out(audition: &Audition, kit: &Kit) -> Option<String> {
    let (pickup, rig, choice) = (kit.pickup.as_ref()?, kit.rig.as_ref()?, &audition.choice.as_ref()?.said);
    if audition.hooked.len() < rig.terminals.len() || pickup.leads.iter().any(|lead| lead.ends.is_empty()) {
        return None;
    }
    let joined = hookup(audition);
    let is_in = |name: &LeadName| joined.iter().any(|here| here.leads.iter().any(|lead| lead.is(name)));
    let out: Vec<&LeadName> = pickup.leads.iter().map(|lead| &lead.name).filter(|name| !is_in(name)).collect();
    if out.is_empty() {
        return None;
    }
    let map = leads::as_hooked_up(pickup, rig, &joined, &kit.measured);
    let mut chosen = map.modes.iter().filter(|mode| choice.modes.contains(&mode.mode)).peekable();
    let silent = chosen.peek().is_some() && chosen.all(|mode| mode.strings == Phase::Silent);
    let are = if out.len() == 1 { "is" } else { "are" };
    silent.then(|| capital(&format!("{} {are} in no terminal, and so no mode gives a sound.", listed(&out))))
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
    let (pickup, guitar, rig) = (kit.pickup.as_ref(), kit.guitar.as_ref(), kit.rig.as_ref());
    Some(facing::facing(mounting.lies(), mounting.is_marked(), pickup, guitar, rig, &leads))
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
