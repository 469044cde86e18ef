//! What each act about an audition puts into the log, and what has to be so before it may.

use chrono::{DateTime, Utc};

use super::asks::AuditionAct;
use super::geometry;
use crate::ask::Refusal;
use crate::ask::forms::ChoiceForm;
use crate::ask::forms::typed::at;
use crate::ask::holding::{refuse_bare_feet, refuse_ticks, refuse_while_held, refuse_while_too_loud};
use crate::ask::listener::{corrected, told_level};
use crate::ask::load::{chosen_mode, kit, newest};
use crate::ask::striking::may_be_struck;
use crate::audition::Audition;
use crate::logbook::Log;
use crate::record::audition::{HookedUp, Step};
use crate::record::body::{AuditionBody, BenchBody, Body, ListeningBody, StrikeBody};
use crate::record::entry::{About, Entry};
use crate::record::guitar::Guitar;
use crate::record::leads::{Contact, MOST_IN_A_TERMINAL};
use crate::record::meter::Probe;
use crate::record::pickup::Pickup;
use crate::record::quantity::{read_celsius, read_ohms};
use crate::record::rig::{Mode, Rig};
use crate::record::seat::{FinishAnswer, Seating};
use crate::record::tick::{MOST_ITEMS, Tick};
use crate::record::words;
use crate::safety::cautions;
use crate::safety::cautions::Moment;

/// What this act writes, given what was written about the same audition before.
pub(super) fn compose(
    log: &Log,
    act: AuditionAct,
    before: &[(Entry, bool)],
    now: DateTime<Utc>,
) -> Result<Body, Refusal> {
    if before.is_empty() && !matches!(act, AuditionAct::Choose { .. }) {
        return Err(Refusal::not_found("audition"));
    }
    Ok(match act {
        AuditionAct::Probe { probe, reading, sure, .. } => probed(log, before, probe, reading, sure)?,
        AuditionAct::Mend { what, .. } => {
            Body::Audition(AuditionBody::Mended { what: note(&what, "what was mended", "what")? })
        }
        AuditionAct::Choose { choice, .. } => chosen(log, choice)?,
        AuditionAct::Mount { mounting, .. } => {
            Body::Audition(AuditionBody::Mounted { mounting: geometry::mounting(mounting)? })
        }
        AuditionAct::HookUp { hooked, .. } => hooked_up(log, before, hooked)?,
        AuditionAct::TakeReading { mode, reading, room, sure, .. } => taken(before, mode, reading, &room, sure)?,
        AuditionAct::AskFinish { answer, .. } => finish_asked(answer)?,
        AuditionAct::Seat { seating, .. } => seated(log, before, seating, now)?,
        AuditionAct::MeasureGaps { bass, treble, unit, pressed_at, kept, between, studs_out, .. } => {
            let kit = kit(log, &Audition::fold(before), None)?;
            let typed = geometry::GapsTyped { bass, treble, unit, pressed_at, kept, between, studs_out };
            Body::Audition(AuditionBody::GapsMeasured { gaps: typed.read(&kit)? })
        }
        AuditionAct::AimGaps { aim, .. } => {
            Body::Audition(AuditionBody::GapsAimed { aim: geometry::aim(log, aim, &Audition::fold(before))? })
        }
        AuditionAct::ReadLevel { level, gap, unit, .. } => Body::Audition(AuditionBody::LevelRead {
            level: geometry::level(&level, &gap, unit, &Audition::fold(before))?,
        }),
        AuditionAct::Tune { notes, .. } => {
            let kit = kit(log, &Audition::fold(before), None)?;
            Body::Audition(AuditionBody::Tuned { notes: geometry::tuning(&notes, kit.guitar.as_ref())? })
        }
        AuditionAct::ChooseFinal { place, from_saddle, from_saddle_treble, unit, .. } => {
            let kit = kit(log, &Audition::fold(before), None)?;
            let place = geometry::final_place(&place, &from_saddle, &from_saddle_treble, unit, kit.guitar.as_ref())?;
            Body::Audition(AuditionBody::FinalPlaceChosen { place })
        }
        AuditionAct::TickOff { tick, words, .. } => ticked(log, before, tick, &words, now)?,
        AuditionAct::TickTogether { ticks, .. } => ticked_together(log, before, ticks, now)?,
        AuditionAct::Tell { told, .. } => Body::Bench(BenchBody::Told { told }),
        AuditionAct::TellLevel { level, .. } => Body::Bench(BenchBody::LevelTold { level: told_level(level)? }),
        AuditionAct::CorrectListening { session, time, level, .. } => {
            corrected(&Audition::fold(before), session, &time, level)?
        }
        AuditionAct::LightIron { .. } => {
            refuse_while_held(log, before, Moment::Iron, now)?;
            Body::Bench(BenchBody::IronLit {})
        }
        AuditionAct::IronOff { .. } => Body::Bench(BenchBody::IronOff {}),
        AuditionAct::Rate { mode, quality, value, .. } => {
            may_be_heard(log, before, &mode, now)?;
            Body::Listening(ListeningBody::Rated { mode, quality, value: on_the_scale(value)? })
        }
        AuditionAct::NoteDown { mode, words, .. } => {
            may_be_heard(log, before, &mode, now)?;
            Body::Listening(ListeningBody::NoteWritten { mode, words: note(&words, "the note", "words")? })
        }
        AuditionAct::DescribeAmp { words, .. } => {
            Body::Listening(ListeningBody::AmpDescribed { words: note(&words, "the note", "words")? })
        }
        AuditionAct::SkipStep { step, why, .. } => skipped(step, &why)?,
        AuditionAct::TakeUpStep { step, .. } => Body::Audition(AuditionBody::StepTakenUp { step }),
        AuditionAct::Acknowledge { caution, cause, .. } => acknowledged(caution, &cause)?,
        AuditionAct::OverrideHold { hold, why, .. } => {
            Body::Bench(BenchBody::HoldOverridden { hold: hold.id().to_owned(), why: reason(&why)? })
        }
        AuditionAct::EndEarly { why, .. } => Body::Audition(AuditionBody::EndedEarly { why: reason(&why)? }),
        AuditionAct::StrikeOut { struck, why, .. } => {
            may_be_struck(before, struck, "This entry is not in the audition.", |_| true)?;
            Body::Strike(StrikeBody::StruckOut { entry: struck, why: note(&why, "the reason", "why")? })
        }
    })
}

/// Words that may be left out, as they are kept.
fn note(typed: &str, what: &str, field: &'static str) -> Result<String, Refusal> {
    words::note(typed, what).map_err(at(field))
}

/// A reason that may not be left out.
fn reason(why: &str) -> Result<String, Refusal> {
    words::reason(why).map_err(at("why"))
}

fn probed(log: &Log, before: &[(Entry, bool)], probe: Probe, reading: String, sure: bool) -> Result<Body, Refusal> {
    Ok(Body::Audition(AuditionBody::Probed {
        probe: possible(log, before, probe)?,
        reading: read_ohms(&reading).map_err(at("reading"))?,
        typed: reading,
        sure,
    }))
}

fn chosen(log: &Log, choice: ChoiceForm) -> Result<Body, Refusal> {
    let guitar: Guitar = newest(log, About::Guitar(choice.guitar), "guitar")?;
    let rig: Rig = newest(log, About::Rig(choice.rig), "rig")?;
    newest::<Pickup>(log, About::Pickup(choice.pickup), "pickup")?;
    Ok(Body::Audition(AuditionBody::Chosen { choice: choice.read(&guitar, &rig)? }))
}

/// A terminal and its leads, if the rig has such a one and the pickup those.
fn hooked_up(log: &Log, before: &[(Entry, bool)], mut hooked: HookedUp) -> Result<Body, Refusal> {
    let kit = kit(log, &Audition::fold(before), None)?;
    let rig = kit.rig.ok_or_else(|| Refusal::not_found("rig"))?;
    if usize::from(hooked.terminal) >= rig.terminals.len() {
        return Err(Refusal::unclear("hooked.terminal", "The rig's block has no such terminal."));
    }
    for lead in &mut hooked.leads {
        *lead = words::label(lead.as_str(), "the lead").map_err(at("hooked.leads"))?.into();
    }
    let known = |contact: &Contact| {
        *contact == Contact::Shield || kit.pickup.as_ref().is_none_or(|pickup| pickup.lead(contact).is_some())
    };
    if hooked.leads.len() > MOST_IN_A_TERMINAL || !hooked.leads.iter().all(known) {
        return Err(Refusal::unclear("hooked.leads", "The pickup has no such lead. Add it to the pickup first."));
    }
    Ok(Body::Audition(AuditionBody::HookedUp { hooked }))
}

fn taken(before: &[(Entry, bool)], mode: Mode, reading: String, room: &str, sure: bool) -> Result<Body, Refusal> {
    chosen_mode(before, &mode)?;
    let room = if room.trim().is_empty() { None } else { Some(read_celsius(room).map_err(at("room"))?) };
    Ok(Body::Audition(AuditionBody::ReadingTaken {
        mode,
        reading: read_ohms(&reading).map_err(at("reading"))?,
        typed: reading,
        room,
        sure,
    }))
}

fn finish_asked(mut answer: FinishAnswer) -> Result<Body, Refusal> {
    answer.before = note(&answer.before, "the note", "answer.before")?;
    Ok(Body::Audition(AuditionBody::FinishAsked { answer }))
}

/// The rig seated, if nothing keeps it from standing there.
fn seated(log: &Log, before: &[(Entry, bool)], seating: Seating, now: DateTime<Utc>) -> Result<Body, Refusal> {
    refuse_while_held(log, before, Moment::Seat, now)?;
    refuse_bare_feet(log, before, seating.feet, now)?;
    Ok(Body::Audition(AuditionBody::Seated { seating }))
}

fn ticked(log: &Log, before: &[(Entry, bool)], tick: Tick, said: &str, now: DateTime<Utc>) -> Result<Body, Refusal> {
    refuse_ticks(log, before, &[tick], now)?;
    Ok(Body::Bench(BenchBody::Ticked { tick, words: note(said, "the note", "words")? }))
}

/// Items of one stop list that may be ticked in one act.
fn ticked_together(log: &Log, before: &[(Entry, bool)], ticks: Vec<Tick>, now: DateTime<Utc>) -> Result<Body, Refusal> {
    let of_one_list = [&Tick::SOUND_UP[..], &Tick::TAKE_DOWN, &Tick::IRON]
        .iter()
        .any(|list| ticks.iter().all(|tick| list.contains(tick)));
    if ticks.is_empty() || ticks.len() > MOST_ITEMS || !of_one_list {
        let sentence = "Only items of one list can be ticked in one act. Nothing was written.";
        return Err(Refusal::unclear("ticks", sentence));
    }
    if ticks.iter().any(|tick| tick.alone()) {
        let sentence = "One of these has to be ticked by itself: a hold or a clock hangs on it. Nothing was written.";
        return Err(Refusal::unclear("ticks", sentence));
    }
    refuse_ticks(log, before, &ticks, now)?;
    Ok(Body::Bench(BenchBody::TickedTogether { ticks }))
}

/// Refuses what is heard in a mode that was not chosen, or while it is too loud.
fn may_be_heard(log: &Log, before: &[(Entry, bool)], mode: &Mode, now: DateTime<Utc>) -> Result<(), Refusal> {
    chosen_mode(before, mode)?;
    refuse_while_too_loud(log, before, now)
}

fn on_the_scale(value: u8) -> Result<u8, Refusal> {
    if (1..=5).contains(&value) { Ok(value) } else { Err(Refusal::unclear("value", "The scale goes from 1 to 5.")) }
}

fn skipped(step: Step, why: &str) -> Result<Body, Refusal> {
    if step == Step::Choose {
        return Err(Refusal::unclear("step", "Without a pickup and a guitar there is nothing to audition."));
    }
    Ok(Body::Audition(AuditionBody::StepSkipped { step, why: reason(why)? }))
}

fn acknowledged(caution: String, cause: &str) -> Result<Body, Refusal> {
    if cautions::named(&caution).is_none() {
        return Err(Refusal::unclear("caution", "There is no caution of this name."));
    }
    Ok(Body::Bench(BenchBody::CautionAcknowledged { caution, cause: note(cause, "the cause", "cause")? }))
}

/// The probe, if this rig and this pickup have what it is put on.
fn possible(log: &Log, before: &[(Entry, bool)], probe: Probe) -> Result<Probe, Refusal> {
    let kit = kit(log, &Audition::fold(before), None)?;
    let rig = kit.rig.ok_or_else(|| Refusal::not_found("rig"))?;
    let mode = match &probe {
        Probe::Output { mode, .. } | Probe::Terminals { mode, .. } | Probe::Leads { mode, .. } => mode,
        Probe::LeadAt { mode, .. } => mode,
    };
    if !rig.positions.iter().any(|position| position.mode == *mode) {
        return Err(Refusal::unclear("probe.mode", "The rig has no such mode."));
    }
    let terminal = |at: u8| usize::from(at) < rig.terminals.len();
    let lead = |contact: &Contact| {
        *contact == Contact::Shield || kit.pickup.as_ref().is_some_and(|pickup| pickup.lead(contact).is_some())
    };
    let there = match &probe {
        Probe::Output { .. } => true,
        Probe::Terminals { between: [a, b], .. } => terminal(*a) && terminal(*b) && a != b,
        Probe::Leads { between: [a, b], .. } => lead(a) && lead(b) && a != b,
        Probe::LeadAt { lead: name, terminal: at, .. } => lead(name) && terminal(*at),
    };
    if there {
        Ok(probe)
    } else {
        Err(Refusal::unclear("probe", "The rig or the pickup has nothing to put a probe on there."))
    }
}
