//! What can hurt at a moment of an audition, and what holds it.

use crate::audition::fold::Audition;
use crate::audition::judged::agreement;
use crate::audition::kit::{Kit, feet, under};
use crate::audition::present::Present;
use crate::audition::questions::enter;
use crate::audition::{Override, Saved};
use crate::physics::meter::Agreement;
use crate::record::audition::Step;
use crate::record::guitar::Surface;
use crate::record::quantity::Reading;
use crate::record::seat::{Barrier, HeldBy};
use crate::record::tick::Tick;
use crate::safety::cautions::{CautionView, Moment, Situation};
use crate::safety::holds::{HoldView, SafetyHold};
use crate::safety::{cautions, finish, holds};

/// Below this a coil reading is a short: no coil of a pickup has so little wire (common practice), in ohms.
const SHORT_BELOW: f64 = 100.0;

/// That there are cautions nobody has read yet.
pub(in crate::audition) fn unread(cautions: &[CautionView]) -> Option<String> {
    match cautions.iter().filter(|caution| caution.must_acknowledge && !caution.acknowledged).count() {
        0 => None,
        1 => Some("Read the caution above first.".to_owned()),
        _ => Some("Read the cautions above first.".to_owned()),
    }
}

/// What applies in this situation, with what was read of it.
pub(in crate::audition) fn read_cautions(audition: &Audition, situation: &Situation) -> Vec<CautionView> {
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

pub(in crate::audition) fn held_by(audition: &Audition, situation: &Situation, present: &Present) -> Vec<HoldView> {
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
pub(in crate::audition) fn hold_view(audition: &Audition, hold: SafetyHold, present: &Present) -> HoldView {
    let day = present.day();
    let passes = |passed: &Saved<Override>| {
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

/// How the rig stands on the finish, and what holds it there.
pub(in crate::audition) fn on_its_feet(audition: &Audition, kit: &Kit) -> Situation {
    let finish = audition.finish.as_ref().map(|saved| &saved.said);
    let feet = feet(audition, kit);
    let held_by = finish.and_then(|f| f.held_by);
    Situation {
        feet,
        slides: finish.and_then(|f| Some(finish::slides(feet?, f.barrier))),
        held_fast: held_by.map(HeldBy::holds),
        held_by,
        ..Situation::default()
    }
}

/// What is known of the bench at a moment; only the moment itself differs from one to the next.
pub(in crate::audition) fn situation(
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
        surface: finish
            .map(|f| f.surface)
            .or(guitar.map(|g| g.finish.surface))
            .filter(|surface| *surface != Surface::Unknown),
        aged: finish.map(|f| f.aged),
        finish_asked: Some(finish.is_some()),
        barrier: finish.map(|f| matches!(f.barrier, Barrier::Cloth | Barrier::Paper)),
        film: finish.map(|f| f.barrier == Barrier::Film),
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
        ..on_its_feet(audition, kit)
    };
    for told in audition.told.values() {
        enter(told.said, &mut known);
    }
    known
}
