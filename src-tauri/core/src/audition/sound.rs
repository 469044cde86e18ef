//! The sound at a bench, an audition's or an install's: its order, what can hurt, what holds it, today's hearing.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::Audition;
use super::present::{HearingView, Present};
use super::questions::{QuestionView, questions};
use super::steps::{held_by, read_cautions, situation, spoken, unread};
use super::view::order;
use crate::audition::kit::Kit;
use crate::record::tick::Tick;
use crate::safety::cautions::{CautionView, Moment, Situation};
use crate::safety::holds::HoldView;
use crate::safety::stop_lists::{OrderView, StopList};

/// There is no rig to plug into; the strings of a guitar have their own ground.
const INTO_THE_GUITAR: &str = "Plug into the guitar first, then into the amp.";

/// What readings say that nobody has explained.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Unexplained {
    /// A short.
    pub short: bool,
    /// Something that is open.
    pub open: bool,
}

/// The sound at a guitar: before it comes up, while it is up, and on its way down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct SoundView {
    /// The order by which it comes up.
    pub up: OrderView,
    /// The order by which it goes down.
    pub down: OrderView,
    /// Whether it is up.
    pub sounding: bool,
    /// Whether it went down, and more of that order is to be done before it comes up again.
    pub going_down: bool,
    /// What has to be read before the order is begun.
    pub unread: Option<String>,
    /// What can hurt, worst first.
    pub cautions: Vec<CautionView>,
    /// What holds it, passed holds included.
    pub holds: Vec<HoldView>,
    /// What may be told of the bench.
    pub questions: Vec<QuestionView>,
    /// Today's hearing, and the level at the ear.
    pub hearing: HearingView,
    /// All of it as it is read aloud.
    pub spoken: String,
}

fn known(bench: &Audition, kit: &Kit, present: &Present, moment: Moment, unexplained: Unexplained) -> Situation {
    Situation {
        short_unexplained: Some(unexplained.short),
        open_unexplained: Some(unexplained.open),
        ..situation(bench, kit, &None, present, moment)
    }
}

/// The moment that what may hold the sound belongs to: before it is up, or while it is.
fn moment(bench: &Audition) -> Moment {
    if bench.sounding().is_some() { Moment::Listen } else { Moment::SoundUp }
}

/// A bench with the order of its sound as it stands now: what was ticked of the way up before the sound last went down, and of
/// the way down before it last came up, belongs to the round before.
pub(crate) fn this_round(bench: &Audition) -> Audition {
    let mut bench = bench.clone();
    if let Some(up) = bench.sessions.last().map(|session| session.from) {
        bench.ticks.retain(|tick, saved| !Tick::SOUND_DOWN.contains(tick) || saved.at >= up);
    }
    if let Some(down) = bench.sessions.last().and_then(|session| session.to) {
        bench.ticks.retain(|tick, saved| !Tick::SOUND_UP.contains(tick) || saved.at >= down);
    }
    bench
}

/// The sound of a bench as its page shows it.
pub(crate) fn sound(bench: &Audition, kit: &Kit, present: &Present, unexplained: Unexplained) -> SoundView {
    let bench = &this_round(bench);
    let moment = moment(bench);
    let known = known(bench, kit, present, moment, unexplained);
    let cautions = read_cautions(bench, &known);
    let mut up = order(bench, StopList::SoundUp, &Situation::default(), present);
    for item in up.items.iter_mut().filter(|item| item.tick == Tick::PluggedIn) {
        item.spoken = item.spoken.replace(&item.said, INTO_THE_GUITAR);
        INTO_THE_GUITAR.clone_into(&mut item.said);
    }
    let down = order(bench, StopList::SoundDown, &Situation::default(), present);
    let sounding = bench.sounding().is_some();
    let begun_again = Tick::SOUND_UP.iter().any(|tick| bench.ticks.contains_key(tick));
    SoundView {
        going_down: !sounding && !bench.sessions.is_empty() && !begun_again && down.next.is_some(),
        up,
        down,
        sounding,
        unread: unread(&cautions),
        spoken: spoken(
            StopList::SoundUp.title(),
            "Say each thing aloud, and do it.",
            &cautions,
            Some(StopList::SoundUp),
        ),
        holds: held_by(bench, &known, present),
        questions: questions(moment, |question| bench.told.get(&question).map(|saved| saved.said)),
        hearing: present.hearing(bench),
        cautions,
    }
}
