//! Asks about permanent installs: what each puts into the log, and what has to be so before it may.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};

use super::contract::Ask;
use super::forms::SoundAct;
use super::listener::present;
use super::striking::may_be_struck;
use super::{Code, Refusal};
use crate::ask::forms::typed::at;
use crate::ask::holding::{held, refuse_before_zero};
use crate::ask::listener::{corrected, told_level};
use crate::ask::load::{kit_then, meter_in_use, newest, things};
use crate::ask::reply::Reply;
use crate::ask::stroke::came;
use crate::audition::{Audition, agreement, holding, hookup_or_meant, this_round};
use crate::decision::decided_lines;
use crate::fit::{Fit, FitKit, FitState, FitView, IronAct, Known, LivesIn, PlanForm, view};
use crate::logbook::{FitLine, Lists, Log, Stamp};
use crate::physics::leads::LeadSearch;
use crate::physics::meter::AgreementKind;
use crate::physics::wiring::{ModeWiring, mode_wirings};
use crate::record::audition::AuditionId;
use crate::record::body::Body;
use crate::record::entry::{About, Entry, Written, in_order};
use crate::record::guitar::{Guitar, GuitarId};
use crate::record::install::{FitAct, FitAnswer, FitId, FitOn, FitStep};
use crate::record::names::EntryId;
use crate::record::pickup::{Pickup, PickupId};
use crate::record::quantity::{read_celsius, read_ohms};
use crate::record::things::Thing;
use crate::record::tick::{MOST_ITEMS, Tick};
use crate::record::{rules, words};
use crate::safety::cautions;
use crate::safety::cautions::Moment;

/// The most entries one act writes beside its first.
const FURTHER: u8 = 8;

/// One permanent install as it stands now.
pub(super) fn fit_reply(log: &Log, id: FitId, now: DateTime<Utc>) -> Result<Reply, Refusal> {
    Ok(Reply::Fit { fit: Box::new(seen(log, id, now)?) })
}

fn seen(log: &Log, id: FitId, now: DateTime<Utc>) -> Result<FitView, Refusal> {
    let about = About::Fit(id);
    let ordered = in_order(log.about(about)?);
    let fit = Fit::fold(&ordered);
    let kit = kit(log, &fit)?;
    let present = present(log, now, Some(about))?;
    Ok(view(id, &ordered, &kit, &present))
}

/// What an install rests on, as it stands now; once it is done, as it stood then.
fn kit(log: &Log, fit: &Fit) -> Result<FitKit, Refusal> {
    let on = fit.on.as_ref().ok_or_else(|| Refusal::not_found("fit sheet"))?.said.clone();
    let until = fit.done.as_ref().map(|inked| inked.at);
    let then = |entries: Vec<Entry>| -> Vec<Entry> {
        // The act that makes it done changes the guitar as well; the sheet shows the guitar as it was before.
        entries.into_iter().filter(|entry| until.is_none_or(|until| entry.at < until)).collect()
    };
    let audition = Audition::fold(&in_order(log.about(About::Audition(on.audition))?));
    let heard = kit_then(log, &audition)?;
    let about_pickup = then(log.about(About::Pickup(on.pickup))?);
    let meter = meter_in_use(log, until)?;
    // What the audition's readings imply is the newest that is known of its coils; else what was measured at the leads.
    let implied = agreement(&audition, &heard).filter(|found| found.kind == AgreementKind::Agrees);
    let leads = LeadSearch::fold(&in_order(about_pickup.iter().cloned()));
    let pickup = Thing::<Pickup>::fold(about_pickup, None).map(|thing| thing.described);
    let measured = match implied.map(|found| found.implied).filter(|implied| !implied.is_empty()) {
        Some(implied) => implied,
        None => pickup.as_ref().map(|pickup| leads.measured(pickup, &meter.claim)).unwrap_or_default(),
    };
    let about_guitar = then(log.about(About::Guitar(on.guitar))?);
    let lines = decided_lines(&in_order(about_guitar.iter().cloned()));
    let mut decided = lines.iter().filter(|line| line.stands && line.pickup == on.pickup);
    // What was decided for this place; else what was decided by this audition.
    let decided = decided
        .clone()
        .find(|line| line.place.eq_ignore_ascii_case(&on.place))
        .or_else(|| decided.find(|line| line.audition == on.audition))
        .map(|line| line.mode.clone());
    let guitar = Thing::<Guitar>::fold(about_guitar, None).map(|thing| thing.described);
    let mut staying = BTreeMap::new();
    for place in guitar.iter().flat_map(|guitar| &guitar.places).filter(|place| place.name != on.place) {
        if let Some(pickup) = place.fitted {
            let entries = then(log.about(About::Pickup(pickup))?);
            let ordered = in_order(entries.iter().cloned());
            let leads = LeadSearch::fold(&ordered);
            let installed = installed_there(&ordered, on.guitar, &place.name);
            if let Some(thing) = Thing::<Pickup>::fold(entries, None) {
                let pickup = thing.described;
                let wired = match installed {
                    Some(fit) => wired_by(log, fit, &pickup)?,
                    None => None,
                };
                let known =
                    Known { measured: leads.measured(&pickup, &meter.claim), tapped: leads.tapped(), wired, pickup };
                staying.insert(place.name.clone(), known);
            }
        }
    }
    let out = guitar.iter().flat_map(|guitar| &guitar.places).find(|place| place.name == on.place);
    let coming_out = match out.and_then(|place| place.fitted).filter(|pickup| *pickup != on.pickup) {
        Some(pickup) => Thing::<Pickup>::fold(log.about(About::Pickup(pickup))?, None).map(|thing| thing.described),
        None => None,
    };
    Ok(FitKit {
        pickup,
        on,
        audition,
        heard,
        guitar,
        staying,
        coming_out,
        measured,
        tapped: leads.tapped(),
        meter,
        decided,
        sits: fit
            .tested
            .values()
            .filter_map(|inked| match &inked.said {
                FitAnswer::Sits { place, sits } => Some((place.clone(), *sits)),
                _ => None,
            })
            .collect(),
    })
}

/// The install that put a pickup where it sits.
fn installed_there(ordered: &[(Entry, bool)], guitar: GuitarId, place: &str) -> Option<FitId> {
    let last = ordered.iter().rev().filter(|(_, struck)| !struck).find_map(|(entry, _)| match &entry.body {
        Written::Known(Body::Installed { guitar: into, place: at, fit }) => {
            Some((*into == guitar && at == place).then_some(*fit))
        }
        Written::Known(Body::TakenOut { .. }) => Some(None),
        _ => None,
    });
    last.flatten()
}

/// How an install soldered a pickup; nothing where a switch changes it.
fn wired_by(log: &Log, fit: FitId, pickup: &Pickup) -> Result<Option<ModeWiring>, Refusal> {
    let fit = Fit::fold(&in_order(log.about(About::Fit(fit))?));
    let (Some(on), Some(plan)) = (&fit.on, &fit.plan) else { return Ok(None) };
    let (audition, plan) = (on.said.audition, &plan.said);
    if plan.switch.is_some() {
        return Ok(None);
    }
    let audition = Audition::fold(&in_order(log.about(About::Audition(audition))?));
    let heard = kit_then(log, &audition)?;
    let Some(rig) = &heard.rig else { return Ok(None) };
    let wirings = mode_wirings(pickup, rig, &hookup_or_meant(&audition, &heard));
    let mut wired = wirings.into_iter().find(|wiring| plan.modes.first() == Some(&wiring.mode));
    if let Some(wired) = wired.as_mut().filter(|_| plan.turned) {
        std::mem::swap(&mut wired.ground, &mut wired.hot);
    }
    Ok(wired)
}

/// Installs of a thing, and where a pickup lives.
pub(super) fn fits_reply(log: &mut Log, about: About) -> Result<Reply, Refusal> {
    let fits: Vec<FitLine> = log.fits_of(about)?.into_iter().filter(|line| line.state != FitState::StruckOut).collect();
    let lives_in = match about {
        About::Pickup(pickup) => living(log)?.remove(&pickup),
        About::Guitar(_) | About::Rig(_) | About::Audition(_) | About::Meter(_) | About::Fit(_) => None,
    };
    Ok(Reply::Fits { fits, lives_in })
}

/// Where each pickup lives that sits in a guitar. Guitars tell it; one that is in use counts before one put away.
pub(super) fn living(log: &mut Log) -> Result<BTreeMap<PickupId, LivesIn>, Refusal> {
    let mut living = BTreeMap::new();
    for retired in [false, true] {
        for (id, thing) in things::<Guitar>(log, "guitar", retired)? {
            for place in &thing.described.places {
                if let Some(pickup) = place.fitted {
                    let guitar = GuitarId(id);
                    let words = format!("in {}, {}", thing.described.label, place.name);
                    living.entry(pickup).or_insert(LivesIn { guitar, place: place.name.clone(), words });
                }
            }
        }
    }
    Ok(living)
}

/// Writes down what is asked about an install, with all that follows for the pickups and the guitar, in one stroke. Answers
/// whether it is written; otherwise it has to be decided anew.
pub(super) fn write_down(
    log: &mut Log,
    ask: Ask,
    entry: EntryId,
    id: FitId,
    now: DateTime<Utc>,
    decided: Stamp,
) -> Result<bool, Refusal> {
    let about = About::Fit(id);
    let before = in_order(log.about(about)?);
    if before.is_empty() && log.is_taken(about)? {
        return Err(Refusal::unclear(
            "fit",
            "Something else on this bench has this name already. Nothing was written; ask with a new name.",
        ));
    }
    let mut act = Stroke { log, entry, now, entries: Vec::new() };
    match ask {
        Ask::BeginFit { audition, place, .. } => {
            if !before.is_empty() {
                let sentence = "This install was begun already. Go on with it, or begin another with a new name.";
                return Err(Refusal::unclear("fit", sentence));
            }
            let on = begin(act.log, audition, &place)?;
            act.first(about, Body::FitBegun { on })?;
        }
        _ if before.is_empty() => return Err(Refusal::not_found("fit sheet")),
        Ask::FinishFit { words: said, .. } => finish(&mut act, id, &before, &said)?,
        Ask::StrikeFit { struck, why, .. } => strike(&mut act, id, &before, struck, &why)?,
        other => {
            let body = compose(act.log, other, id, &before, now)?;
            act.first(about, body)?;
        }
    }
    came(act.log.write_if_still(&act.entries, decided)?)
}

/// Entries that are written in one stroke, under names that follow from the first.
struct Stroke<'a> {
    log: &'a mut Log,
    entry: EntryId,
    now: DateTime<Utc>,
    entries: Vec<Entry>,
}

impl Stroke<'_> {
    fn first(&mut self, about: About, body: Body) -> Result<(), Refusal> {
        self.add(self.entry, about, body)
    }

    fn further(&mut self, number: u8, about: About, body: Body) -> Result<(), Refusal> {
        self.add(self.entry.beside(number), about, body)
    }

    fn add(&mut self, id: EntryId, about: About, body: Body) -> Result<(), Refusal> {
        rules::check(about, &body)?;
        // Clocks are set back now and then; what is written later must still be read later.
        let there = self.log.about(about)?;
        let last = there.iter().chain(self.entries.iter().filter(|entry| entry.about == about)).map(|entry| entry.at);
        let at = last.max().filter(|last| *last >= self.now).map_or(self.now, |last| last + TimeDelta::microseconds(1));
        let bench = self.log.bench();
        self.entries.push(Entry { id, at, bench, about, body: Written::Known(body) });
        Ok(())
    }
}

/// What an audition's pickup goes into.
fn begin(log: &Log, id: AuditionId, place: &str) -> Result<FitOn, Refusal> {
    let audition = Audition::fold(&in_order(log.about(About::Audition(id))?));
    let choice = audition.choice.ok_or_else(|| Refusal::not_found("audition"))?.said;
    newest::<Pickup>(log, About::Pickup(choice.pickup), "pickup")?;
    let guitar: Guitar = newest(log, About::Guitar(choice.guitar), "guitar")?;
    let wanted = match place.trim() {
        "" => audition.final_place.map_or(choice.place, |inked| inked.said.place),
        named => named.to_owned(),
    };
    let Some(place) = guitar.places.iter().find(|place| place.name.eq_ignore_ascii_case(wanted.trim())) else {
        let names: Vec<&str> = guitar.places.iter().map(|place| place.name.as_str()).collect();
        let sentence = format!(
            "{} has no place called {wanted} in its record. It has: {}. Choose one, or add the place to the guitar first.",
            guitar.label,
            names.join(", ")
        );
        return Err(Refusal::unclear("place", sentence));
    };
    Ok(FitOn { audition: id, pickup: choice.pickup, guitar: choice.guitar, place: place.name.clone() })
}

/// The body of an ask that writes one entry.
fn compose(log: &Log, ask: Ask, id: FitId, before: &[(Entry, bool)], now: DateTime<Utc>) -> Result<Body, Refusal> {
    let fit = Fit::fold(before);
    match fit.state() {
        FitState::Open => {}
        FitState::Done | FitState::GivenUp => {
            let sentence = "This install is over. Strike out the entry that ended it to go on.";
            return Err(Refusal::new(Code::NotNow, sentence));
        }
        FitState::StruckOut => {
            return Err(Refusal::new(Code::NotNow, "This install was struck out. Bring it back to go on."));
        }
    }
    Ok(match ask {
        Ask::PlanFit { plan, .. } => {
            if let Some(place) = kit(log, &fit)?.not_said() {
                let sentence = format!("Is there a pickup at the {place}? Say that first: the plan hangs on it.");
                return Err(Refusal::unclear("place", sentence));
            }
            Body::FitPlanned { plan: PlanForm::read(plan).map_err(|(f, s)| Refusal::unclear(&f, s))? }
        }
        Ask::PassFitStep { step, why, .. } => pass(log, id, step, &why, now)?,
        Ask::AtFitIron { act, .. } => at_iron(log, &fit, act, now, id)?,
        Ask::AtFitSound { act, .. } => match act {
            SoundAct::TellLevel { level } => Body::LevelTold { level: told_level(level)? },
            SoundAct::CorrectListening { session, time, level } => corrected(&fit.bench, session, &time, level)?,
        },
        Ask::DoFitAct { act, words: said, .. } => {
            if let Some(sentence) = fit.waits(act) {
                return Err(Refusal { field: Some("act".to_owned()), ..Refusal::new(Code::Held, sentence) });
            }
            Body::FitActDone { act, words: words::note(&said, "the note").map_err(at("words"))? }
        }
        Ask::ReadJack { at: position, reading, room, .. } => {
            if !kit(log, &fit)?.can_stand(&fit, &position) {
                return Err(Refusal::unclear("at", "This guitar has no such position of selector, switch and volume."));
            }
            let room = if room.trim().is_empty() { None } else { Some(read_celsius(&room).map_err(at("room"))?) };
            Body::JackRead { at: position, reading: read_ohms(&reading).map_err(at("reading"))?, typed: reading, room }
        }
        Ask::ReadJackBefore { at: position, reading, room, .. } => {
            if fit.acts.contains_key(&FitAct::OldOut) {
                let sentence = "The old pickup is out, so the jack no longer reads as the guitar was.";
                return Err(Refusal::new(Code::NotNow, sentence));
            }
            if !kit(log, &fit)?.positions_before().contains(&position) {
                return Err(Refusal::unclear("at", "This guitar has no such position of selector and volume."));
            }
            let room = if room.trim().is_empty() { None } else { Some(read_celsius(&room).map_err(at("room"))?) };
            let typed = reading;
            Body::JackReadBefore { at: position, reading: read_ohms(&typed).map_err(at("reading"))?, typed, room }
        }
        Ask::ProbeFit { probe, reading, .. } => {
            if fit.plan.is_none() {
                return Err(Refusal::unclear("probe", "Say first how it is wired. Then a probe can be judged."));
            }
            Body::FitProbed { probe, reading: read_ohms(&reading).map_err(at("reading"))?, typed: reading }
        }
        Ask::AnswerFit { answer, .. } => Body::FitAnswered { answer: answered(log, id, answer, now)? },
        Ask::GiveUpFit { why, .. } => Body::FitGivenUp { why: words::reason(&why).map_err(at("why"))? },
        other => {
            debug_assert!(other.writes().is_none(), "an ask that writes has no body");
            return Err(Refusal::new(Code::Program, "The program took a question for an entry. Nothing was written."));
        }
    })
}

/// A step is passed when nothing in it is open, or with a reason.
fn pass(log: &Log, id: FitId, step: FitStep, why: &str, now: DateTime<Utc>) -> Result<Body, Refusal> {
    match step {
        FitStep::Plan | FitStep::Iron | FitStep::Solder | FitStep::Done => {
            let sentence = "This step is over when what it asks for is done. It can't be passed.";
            Err(Refusal::unclear("step", sentence))
        }
        FitStep::AsItWas
        | FitStep::WayRound
        | FitStep::Phase
        | FitStep::Hookup
        | FitStep::Room
        | FitStep::Jack
        | FitStep::Parts
        | FitStep::Proof
        | FitStep::Listen => {
            let view = seen(log, id, now)?;
            let open = view.steps.into_iter().find(|one| one.step == step).map(|one| one.open).unwrap_or_default();
            let why = match open.first() {
                // Nothing is open, so there is nothing to give a reason for.
                None => String::new(),
                Some(first) if why.trim().is_empty() => {
                    return Err(Refusal::unclear("why", format!("{first} To go on all the same, write why.")));
                }
                Some(_) => words::reason(why).map_err(at("why"))?,
            };
            Ok(Body::FitStepOver { step, why })
        }
    }
}

/// An answer that this install asks for.
fn answered(log: &Log, id: FitId, answer: FitAnswer, now: DateTime<Utc>) -> Result<FitAnswer, Refusal> {
    let view = seen(log, id, now)?;
    let checks = view.plan.asked.iter().chain(&view.proof.checks).chain(&view.phase.checks).chain(&view.strung);
    let checks = checks.chain(view.listen.iter().map(|heard| &heard.check));
    if !checks.flat_map(|check| &check.answers).any(|offered| offered.answer.check() == answer.check()) {
        return Err(Refusal::unclear("answer", "This install does not ask for that."));
    }
    if answer.is_by_ear() {
        if !view.sound.sounding {
            let sentence = "The sound is not up. Go through its order first: volume at zero, amp in standby, plug in, switch on, \
                            raise slowly.";
            return Err(Refusal { field: Some("sound_up".to_owned()), ..Refusal::new(Code::Held, sentence) });
        }
        if let Some(hold) = view.sound.holds.iter().find(|hold| hold.overridden.is_none()) {
            return Err(held(hold.hold, &hold.reason));
        }
    }
    Ok(match answer {
        FitAnswer::Sound { mode, heard, words: said } => {
            FitAnswer::Sound { mode, heard, words: words::note(&said, "the note").map_err(at("answer.words"))? }
        }
        other => other,
    })
}

/// What is ticked, told and done before and at the hot iron.
fn at_iron(log: &Log, fit: &Fit, act: IronAct, now: DateTime<Utc>, id: FitId) -> Result<Body, Refusal> {
    let lists = [&Tick::IRON[..], &Tick::SOUND_UP, &Tick::SOUND_DOWN];
    Ok(match act {
        IronAct::TickOff { tick, words: said } => {
            if !lists.iter().any(|list| list.contains(&tick)) {
                return Err(Refusal::unclear("act.tick", "This item is on no list of an install."));
            }
            refuse_sound(log, fit, &[tick], now, id)?;
            Body::Ticked { tick, words: words::note(&said, "the note").map_err(at("act.words"))? }
        }
        IronAct::TickTogether { ticks } => {
            let of_one_list = lists.iter().any(|list| ticks.iter().all(|tick| list.contains(tick)));
            let fine = !ticks.is_empty() && ticks.len() <= MOST_ITEMS && of_one_list;
            if !fine || ticks.iter().any(|tick| tick.alone()) {
                let sentence =
                    "Only items of this list on which no hold hangs can be ticked in one act. Nothing was written.";
                return Err(Refusal::unclear("act.ticks", sentence));
            }
            refuse_sound(log, fit, &ticks, now, id)?;
            Body::TickedTogether { ticks }
        }
        IronAct::Tell { told } => Body::Told { told },
        IronAct::Acknowledge { caution, cause } => {
            if cautions::named(&caution).is_none() {
                return Err(Refusal::unclear("act.caution", "There is no caution of this name."));
            }
            Body::CautionAcknowledged { caution, cause: words::note(&cause, "the cause").map_err(at("act.cause"))? }
        }
        IronAct::OverrideHold { hold, why } => {
            let here = [Moment::Iron, Moment::SoundUp, Moment::Listen];
            if !hold.stops().iter().any(|moment| here.contains(moment)) {
                return Err(Refusal::unclear("act.hold", "This hold stops nothing of an install."));
            }
            Body::HoldOverridden { hold: hold.id().to_owned(), why: words::reason(&why).map_err(at("why"))? }
        }
        IronAct::LightIron {} => {
            let kit = kit(log, fit)?;
            let bench = kit.bench(fit);
            let present = present(log, now, Some(About::Fit(id)))?;
            if let Some(hold) = holding(&bench, &kit.at_bench(), &present, Moment::Iron).first() {
                let sentence = format!("{} {}", hold.reason, hold.clears);
                return Err(Refusal { code: Code::Held, sentence, field: Some(hold.hold.id().to_owned()) });
            }
            Body::IronLit {}
        }
        IronAct::IronOff {} => Body::IronOff {},
    })
}

/// No item of sound up is ticked over a hold, while the iron is on, or before the volume is at zero.
fn refuse_sound(log: &Log, fit: &Fit, ticks: &[Tick], now: DateTime<Utc>, id: FitId) -> Result<(), Refusal> {
    if !ticks.iter().any(|tick| Tick::SOUND_UP.contains(tick)) {
        return Ok(());
    }
    if fit.bench.iron_lit.is_some() {
        let sentence = "The iron is on. Put it out and into its stand before the guitar is plugged in.";
        return Err(Refusal { field: Some("iron_lit".to_owned()), ..Refusal::new(Code::Held, sentence) });
    }
    let view = seen(log, id, now)?;
    if let Some(hold) = view.sound.holds.iter().find(|hold| hold.overridden.is_none()) {
        return Err(held(hold.hold, &hold.reason));
    }
    refuse_before_zero(&this_round(&fit.bench), ticks)
}

/// Done, in ink: the pickup goes into the guitar, the one that was there comes out, and a place it sat at before is free.
fn finish(act: &mut Stroke<'_>, id: FitId, before: &[(Entry, bool)], said: &str) -> Result<(), Refusal> {
    let fit = Fit::fold(before);
    match fit.next() {
        Some(FitStep::Done) => {}
        Some(step) => {
            let sentence = format!("“{}” comes first. The install is done when every step is over.", step.name());
            return Err(Refusal { field: Some("fit".to_owned()), ..Refusal::new(Code::NotNow, sentence) });
        }
        None if fit.state() == FitState::Done => {
            let sentence = "This install is done already: it was written in the meantime. Look at it again.";
            return Err(Refusal::new(Code::NotNow, sentence));
        }
        None => return Err(Refusal::new(Code::NotNow, "This install is over already.")),
    }
    let on = fit.on.ok_or_else(|| Refusal::not_found("fit sheet"))?.said;
    let guitar: Guitar = newest(act.log, About::Guitar(on.guitar), "guitar")?;
    let Some(place) = guitar.places.iter().find(|place| place.name == on.place) else {
        let sentence =
            format!("{} has no place called {} any more. Add it to the guitar's record.", guitar.label, on.place);
        return Err(Refusal::new(Code::NotNow, sentence));
    };
    let came_out = place.fitted.filter(|pickup| *pickup != on.pickup);
    let lived = living(act.log)?.remove(&on.pickup).filter(|at| (at.guitar, &at.place) != (on.guitar, &on.place));
    let words = words::note(said, "the note").map_err(at("words"))?;
    act.first(About::Fit(id), Body::FitDone { words, came_out })?;
    let (guitar, place_name) = (on.guitar, on.place.clone());
    act.further(1, About::Pickup(on.pickup), Body::Installed { guitar, place: place_name.clone(), fit: id })?;
    if let Some(out) = came_out {
        act.further(2, About::Pickup(out), Body::TakenOut { guitar, place: place_name.clone(), fit: id })?;
    }
    let fitted = Body::Fitted {
        place: place_name,
        pickup: Some(on.pickup),
        words: String::new(),
        came_out,
        came_out_words: place.fitted_words.clone(),
        fit: id,
    };
    act.further(3, About::Guitar(guitar), fitted)?;
    if let Some(at) = lived {
        let freed = Body::Fitted {
            place: at.place,
            pickup: None,
            words: String::new(),
            came_out: Some(on.pickup),
            came_out_words: String::new(),
            fit: id,
        };
        act.further(4, About::Guitar(at.guitar), freed)?;
    }
    Ok(())
}

/// Strikes an entry out, with all that was written in the same stroke about other things.
fn strike(
    act: &mut Stroke<'_>,
    id: FitId,
    before: &[(Entry, bool)],
    struck: EntryId,
    why: &str,
) -> Result<(), Refusal> {
    let target = may_be_struck(before, struck, "This entry is not in the install.", |_| true)?;
    let undoes = matches!(target.body.known(), Some(Body::FitDone { .. }));
    let why = words::note(why, "the reason").map_err(at("why"))?;
    act.first(About::Fit(id), Body::StruckOut { entry: struck, why: why.clone() })?;
    for number in 1..=FURTHER {
        let Some(follower) = act.log.entry(struck.beside(number))?.filter(|one| follows(target, one, id)) else {
            continue;
        };
        act.further(number, follower.about, Body::StruckOut { entry: follower.id, why: why.clone() })?;
        if let (true, About::Guitar(_), Some(Body::Fitted { place, pickup, came_out, came_out_words, .. })) =
            (undoes, follower.about, follower.body.known())
        {
            // Where the guitar was described anew since, its record still says what the install brought.
            let there = act.log.about(follower.about)?;
            let mine = act.entries.iter().filter(|entry| entry.about == follower.about).cloned();
            let after = Thing::<Guitar>::fold(there.into_iter().chain(mine), None);
            let stays = after.is_some_and(|thing| {
                thing.described.places.iter().any(|at| at.name == *place && at.fitted == *pickup && pickup != came_out)
            });
            if stays {
                let back = Body::Fitted {
                    place: place.clone(),
                    pickup: *came_out,
                    words: came_out_words.clone(),
                    came_out: *pickup,
                    came_out_words: String::new(),
                    fit: id,
                };
                act.further(FURTHER - number + 1, follower.about, back)?;
            }
        }
    }
    Ok(())
}

/// Whether an entry that goes by a name beside an entry of an install was written in one stroke with it. Names can be
/// taken by anything.
fn follows(first: &Entry, other: &Entry, id: FitId) -> bool {
    let of_this = |body: &Body| match body {
        Body::Installed { fit, .. } | Body::TakenOut { fit, .. } | Body::Fitted { fit, .. } => *fit == id,
        _ => false,
    };
    match (first.body.known(), other.body.known()) {
        (Some(Body::FitDone { .. }), Some(body)) => of_this(body),
        (Some(Body::StruckOut { entry: before, .. }), Some(Body::StruckOut { entry, .. })) => {
            (1..=FURTHER).any(|number| before.beside(number) == *entry)
        }
        (Some(Body::StruckOut { .. }), Some(body)) => of_this(body),
        _ => false,
    }
}
