//! Asks that write: what each puts into the log, and what has to be so before it may.

use chrono::{DateTime, Utc};

use super::contract::{Ask, is_version_7};
use super::listener::{keep_listener, listener_reply};
use super::measuring::{self, lead_search_reply};
use super::showing::audition_reply;
use super::striking::may_be_struck;
use super::{Code, Refusal, comparing, fitting, geometry};
use crate::ask::bench::Bench;
use crate::ask::forms::typed::at;
use crate::ask::holding::{refuse_bare_feet, refuse_ticks, refuse_while_held, refuse_while_too_loud};
use crate::ask::listener::{corrected, told_level};
use crate::ask::load::{chosen_mode, demo_things, kit, newest, with_their_auditions};
use crate::ask::reply::Reply;
use crate::ask::stroke::{is_written, write_bodies};
use crate::audition::Audition;
use crate::demo;
use crate::logbook::{Log, Stamp, Trouble};
use crate::record::audition::Step;
use crate::record::body::Body;
use crate::record::entry::{About, Entry, in_order};
use crate::record::gaps::GapsMeasured;
use crate::record::guitar::Guitar;
use crate::record::leads::SHIELD;
use crate::record::meter::Probe;
use crate::record::names::EntryId;
use crate::record::pickup::Pickup;
use crate::record::quantity::{read_celsius, read_ohms};
use crate::record::rig::Rig;
use crate::record::tick::{MOST_ITEMS, Tick};
use crate::record::words;
use crate::safety::cautions;
use crate::safety::cautions::Moment;

/// How often an act is decided anew because another program keeps writing in between.
pub(super) const MOST_ANEW: usize = 200;

impl Bench {
    pub(super) fn answer_with(&self, log: &mut Log, ask: Ask, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let Some((entry, about)) = ask.writes() else {
            return self.answer_without_entry(log, ask, now);
        };
        if !is_version_7(entry.0) {
            return Err(Refusal::unclear("entry", "The name of an entry is a version-7 UUID."));
        }
        if !is_version_7(about.uuid()) {
            return Err(Refusal::unclear("id", "The name of a thing is a version-7 UUID."));
        }
        let leads_of = ask.finds_leads_of();
        let after = comparing::After::of(&ask);
        let written = decide_and_write(log, &ask, entry, about, now)?;
        if let Some(after) = after {
            return after.answer(log);
        }
        match (leads_of, about, written) {
            (Some(pickup), ..) => lead_search_reply(log, pickup, None),
            (None, About::Audition(id), Some(entries)) => audition_reply(log, id, entries, now),
            (None, ..) => self.show(log, about, now),
        }
    }

    fn answer_without_entry(&self, log: &mut Log, ask: Ask, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match ask {
            Ask::LoadDemo {} => {
                log.write(&demo::entries())?;
                self.bench_reply(log, now)
            }
            Ask::RemoveDemo {} => {
                let (goes, _) = demo_things(log)?;
                self.erase_demo(log, &goes)?;
                self.bench_reply(log, now)
            }
            Ask::Erase { things } => {
                if things.is_empty() {
                    return Err(Refusal::unclear("things", "Say what is to be erased. Nothing was erased."));
                }
                let goes = with_their_auditions(log, &things)?;
                self.erase(log, &goes.iter().copied().collect::<Vec<_>>(), now)?;
                Ok(Reply::Done {
                    sentence: "Erased for good, from the log and from its copies on this bench. Other phones and backups keep what \
                               they have."
                        .to_owned(),
                })
            }
            Ask::KeepDraft { key, text } => {
                if key.chars().count() > 200 {
                    return Err(Refusal::unclear("key", "The name of the draft is too long."));
                }
                if text.chars().count() > words::LONGEST_NOTE * 2 {
                    return Err(Refusal::unclear("text", "This is too long to be kept while it is typed. Shorten it."));
                }
                log.keep_draft(&key, &text, now)?;
                self.drafts_reply(log)
            }
            Ask::PutNoticeAway { notice } => {
                log.put_notice_away(notice)?;
                self.bench_reply(log, now)
            }
            Ask::Listener { rule, minutes_ahead, zone } => {
                keep_listener(log, rule, minutes_ahead, zone, now)?;
                listener_reply(log, now)
            }
            other => self.show_asked(log, other, now),
        }
    }
}

/// Decides what an ask writes and writes it, as if nobody else used the log: where another program wrote in between, it is
/// decided anew. Answers all entries about the thing; nothing where they have to be read again.
fn decide_and_write(
    log: &mut Log,
    ask: &Ask,
    entry: EntryId,
    about: About,
    now: DateTime<Utc>,
) -> Result<Option<Vec<(Entry, bool)>>, Refusal> {
    for _ in 0..MOST_ANEW {
        let decided = log.stamp()?;
        if is_written(log, entry, about)? {
            return Ok(None);
        }
        match about {
            About::Fit(id) if !matches!(ask, Ask::Retire { .. } | Ask::BringBack { .. }) => {
                if fitting::write_down(log, ask.clone(), entry, id, now, decided)? {
                    return Ok(None);
                }
            }
            _ => {
                let written = write_down(log, ask.clone(), entry, about, now, decided)?;
                if written.is_some() {
                    return Ok(written);
                }
            }
        }
    }
    Err(Trouble::Busy.into())
}

/// Writes down what is asked. Answers all entries about the thing, this one included: what another program wrote to the
/// same log since they were read is shown by the next look. Nothing when it has to be decided anew.
fn write_down(
    log: &mut Log,
    ask: Ask,
    entry: EntryId,
    about: About,
    now: DateTime<Utc>,
    decided: Stamp,
) -> Result<Option<Vec<(Entry, bool)>>, Refusal> {
    let before = in_order(log.about(about)?);
    if before.is_empty() && log.is_taken(about)? {
        return Err(Refusal::unclear(
            "id",
            "Something else on this bench has this name already. Nothing was written; ask with a new name.",
        ));
    }
    let bodies = match ask {
        Ask::HearAgain { again, like, .. } => comparing::hear_again(log, again, like, &before)?,
        other => vec![compose(log, other, &before, now)?],
    };
    write_bodies(log, entry, about, bodies, before, now, decided)
}

/// What this ask writes, given what was written about the same thing before.
fn compose(log: &mut Log, ask: Ask, before: &[(Entry, bool)], now: DateTime<Utc>) -> Result<Body, Refusal> {
    if let Some((_, About::Audition(_))) = ask.writes()
        && before.is_empty()
        && !matches!(ask, Ask::Choose { .. })
    {
        return Err(Refusal::not_found("audition"));
    }
    Ok(match ask {
        Ask::BeginLeads { .. }
        | Ask::MeasureLeads { .. }
        | Ask::NameCoil { .. }
        | Ask::TapCoil { .. }
        | Ask::HoldCompass { .. }
        | Ask::SettleLeads { .. }
        | Ask::StrikeLeads { .. }
        | Ask::WriteMeter { .. } => measuring::compose(log, ask, before)?,
        Ask::RateAgainstFitted { .. }
        | Ask::PinReference { .. }
        | Ask::UnpinReference { .. }
        | Ask::LookAtReference { .. }
        | Ask::Decide { .. }
        | Ask::StrikeDecision { .. } => {
            if matches!(ask, Ask::RateAgainstFitted { .. }) {
                refuse_while_too_loud(log, before, now)?;
            }
            comparing::compose(log, ask, before)?
        }
        Ask::Probe { probe, reading, .. } => Body::Probed {
            probe: possible(log, before, probe)?,
            reading: read_ohms(&reading).map_err(at("reading"))?,
            typed: reading,
        },
        Ask::Mend { what, .. } => Body::Mended { what: words::note(&what, "what was mended").map_err(at("what"))? },
        Ask::WritePickup { form, id, .. } => {
            let pickup = form.read()?;
            measuring::refuse_stated_by_slip(log, id, &pickup)?;
            Body::PickupDescribed { pickup }
        }
        Ask::WriteGuitar { form, .. } => Body::GuitarDescribed { guitar: form.read()? },
        Ask::TellHeights { id, heights, .. } => {
            let guitar: Guitar = newest(log, About::Guitar(id), "guitar")?;
            Body::GuitarDescribed { guitar: heights.read(guitar)? }
        }
        Ask::WriteRig { form, .. } => Body::RigDescribed { rig: form.read()? },
        Ask::Retire { why, thing, .. } => {
            if before.is_empty() || matches!(thing, About::Audition(_) | About::Meter(_) | About::Fit(_)) {
                return Err(Refusal::not_found("thing"));
            }
            Body::Retired { why: words::note(&why, "the reason").map_err(at("why"))? }
        }
        Ask::BringBack { thing, .. } => {
            if before.is_empty() || matches!(thing, About::Audition(_) | About::Meter(_) | About::Fit(_)) {
                return Err(Refusal::not_found("thing"));
            }
            Body::BroughtBack {}
        }
        Ask::Choose { choice, .. } => {
            let guitar: Guitar = newest(log, About::Guitar(choice.guitar), "guitar")?;
            let rig: Rig = newest(log, About::Rig(choice.rig), "rig")?;
            newest::<Pickup>(log, About::Pickup(choice.pickup), "pickup")?;
            Body::Chosen { choice: choice.read(&guitar, &rig)? }
        }
        Ask::Mount { mounting, .. } => Body::Mounted { mounting: geometry::mounting(mounting)? },
        Ask::HookUp { mut hooked, .. } => {
            let kit = kit(log, &Audition::fold(before), None)?;
            let rig = kit.rig.ok_or_else(|| Refusal::not_found("rig"))?;
            if usize::from(hooked.terminal) >= rig.terminals.len() {
                return Err(Refusal::unclear("hooked.terminal", "The rig's block has no such terminal."));
            }
            for lead in &mut hooked.leads {
                *lead = words::label(lead, "the lead").map_err(at("hooked.leads"))?;
            }
            let known = |name: &String| {
                name == SHIELD || kit.pickup.as_ref().is_none_or(|p| p.leads.iter().any(|lead| &lead.name == name))
            };
            if hooked.leads.len() > 4 || !hooked.leads.iter().all(known) {
                return Err(Refusal::unclear(
                    "hooked.leads",
                    "The pickup has no such lead. Add it to the pickup first.",
                ));
            }
            Body::HookedUp { hooked }
        }
        Ask::TakeReading { mode, reading, room, .. } => {
            chosen_mode(before, &mode)?;
            let room = if room.trim().is_empty() { None } else { Some(read_celsius(&room).map_err(at("room"))?) };
            Body::ReadingTaken { mode, reading: read_ohms(&reading).map_err(at("reading"))?, typed: reading, room }
        }
        Ask::AskFinish { mut answer, .. } => {
            answer.before = words::note(&answer.before, "the note").map_err(at("answer.before"))?;
            Body::FinishAsked { answer }
        }
        Ask::Seat { seating, .. } => {
            refuse_while_held(log, before, Moment::Seat, now)?;
            refuse_bare_feet(log, before, seating.feet, now)?;
            Body::Seated { seating }
        }
        Ask::MeasureGaps { bass, treble, unit, pressed_at, kept, between, studs_out, .. } => {
            let audition = Audition::fold(before);
            let kit = kit(log, &audition, None)?;
            Body::GapsMeasured {
                gaps: GapsMeasured {
                    bass: geometry::gap(&bass, unit, "bass")?,
                    treble: geometry::gap(&treble, unit, "treble")?,
                    pressed_at: geometry::fret(pressed_at)?,
                    kept,
                    between: geometry::between(&between, unit, kit.guitar.as_ref())?,
                    studs_out: geometry::studs_out(&studs_out, unit, kit.rig.as_ref())?,
                },
            }
        }
        Ask::AimGaps { aim, .. } => Body::GapsAimed { aim: geometry::aim(log, aim, &Audition::fold(before))? },
        Ask::ReadLevel { level, gap, unit, .. } => {
            Body::LevelRead { level: geometry::level(&level, &gap, unit, &Audition::fold(before))? }
        }
        Ask::Tune { notes, .. } => {
            let kit = kit(log, &Audition::fold(before), None)?;
            Body::Tuned { notes: geometry::tuning(&notes, kit.guitar.as_ref())? }
        }
        Ask::ChooseFinal { place, from_saddle, from_saddle_treble, unit, .. } => {
            let kit = kit(log, &Audition::fold(before), None)?;
            let guitar = kit.guitar.as_ref();
            Body::FinalPlaceChosen {
                place: geometry::final_place(&place, &from_saddle, &from_saddle_treble, unit, guitar)?,
            }
        }
        Ask::TickOff { tick, words: said, .. } => {
            refuse_ticks(log, before, &[tick], now)?;
            Body::Ticked { tick, words: words::note(&said, "the note").map_err(at("words"))? }
        }
        Ask::TickTogether { ticks, .. } => {
            let of_one_list = [&Tick::SOUND_UP[..], &Tick::TAKE_DOWN, &Tick::IRON]
                .iter()
                .any(|list| ticks.iter().all(|tick| list.contains(tick)));
            if ticks.is_empty() || ticks.len() > MOST_ITEMS || !of_one_list {
                let sentence = "Only items of one list can be ticked in one act. Nothing was written.";
                return Err(Refusal::unclear("ticks", sentence));
            }
            if ticks.iter().any(|tick| tick.alone()) {
                let sentence =
                    "One of these has to be ticked by itself: a hold or a clock hangs on it. Nothing was written.";
                return Err(Refusal::unclear("ticks", sentence));
            }
            refuse_ticks(log, before, &ticks, now)?;
            Body::TickedTogether { ticks }
        }
        Ask::Tell { told, .. } => Body::Told { told },
        Ask::TellLevel { level, .. } => Body::LevelTold { level: told_level(level)? },
        Ask::CorrectListening { session, time, level, .. } => {
            corrected(&Audition::fold(before), session, &time, level)?
        }
        Ask::LightIron { .. } => {
            refuse_while_held(log, before, Moment::Iron, now)?;
            Body::IronLit {}
        }
        Ask::IronOff { .. } => Body::IronOff {},
        Ask::Rate { mode, quality, value, .. } => {
            chosen_mode(before, &mode)?;
            refuse_while_too_loud(log, before, now)?;
            if !(1..=5).contains(&value) {
                return Err(Refusal::unclear("value", "The scale goes from 1 to 5."));
            }
            Body::Rated { mode, quality, value }
        }
        Ask::NoteDown { mode, words: said, .. } => {
            chosen_mode(before, &mode)?;
            refuse_while_too_loud(log, before, now)?;
            Body::NoteWritten { mode, words: words::note(&said, "the note").map_err(at("words"))? }
        }
        Ask::DescribeAmp { words: said, .. } => {
            Body::AmpDescribed { words: words::note(&said, "the note").map_err(at("words"))? }
        }
        Ask::SkipStep { step, why, .. } => {
            if step == Step::Choose {
                return Err(Refusal::unclear("step", "Without a pickup and a guitar there is nothing to audition."));
            }
            Body::StepSkipped { step, why: words::reason(&why).map_err(at("why"))? }
        }
        Ask::TakeUpStep { step, .. } => Body::StepTakenUp { step },
        Ask::Acknowledge { caution, cause, .. } => {
            if cautions::named(&caution).is_none() {
                return Err(Refusal::unclear("caution", "There is no caution of this name."));
            }
            Body::CautionAcknowledged { caution, cause: words::note(&cause, "the cause").map_err(at("cause"))? }
        }
        Ask::OverrideHold { hold, why, .. } => {
            Body::HoldOverridden { hold: hold.id().to_owned(), why: words::reason(&why).map_err(at("why"))? }
        }
        Ask::EndEarly { why, .. } => Body::EndedEarly { why: words::reason(&why).map_err(at("why"))? },
        Ask::StrikeOut { struck, why, .. } => {
            may_be_struck(before, struck, "This entry is not in the audition.", |_| true)?;
            Body::StruckOut { entry: struck, why: words::note(&why, "the reason").map_err(at("why"))? }
        }
        other => {
            debug_assert!(other.writes().is_none(), "an ask that writes has no body");
            return Err(Refusal::new(Code::Program, "The program took a question for an entry. Nothing was written."));
        }
    })
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
        return Err(Refusal::unclear("probe.mode", "The rig's switch has no such position."));
    }
    let terminal = |at: u8| usize::from(at) < rig.terminals.len();
    let lead = |name: &String| {
        name == SHIELD || kit.pickup.as_ref().is_some_and(|pickup| pickup.leads.iter().any(|lead| lead.name == *name))
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
