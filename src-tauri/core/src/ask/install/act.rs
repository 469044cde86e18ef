//! What each act about an install puts into the log, and what has to be so before it may.

mod readings;
mod stroke;
mod struck;

use chrono::{DateTime, Utc};

use self::readings::{jack_read, jack_read_before, probed};
use self::stroke::Stroke;
use self::struck::strike;
use super::asks::InstallAct;
use super::at_iron::at_iron;
use super::load::{install_view, kit, living};
use crate::ask::forms::SoundAct;
use crate::ask::forms::typed::at;
use crate::ask::holding::held;
use crate::ask::listener::{corrected, present, told_level};
use crate::ask::load::newest;
use crate::ask::{Code, Refusal};
use crate::audition::Audition;
use crate::install::{Gives, Install, InstallState, PlanForm, view};
use crate::logbook::{Log, Stamp};
use crate::record::audition::AuditionId;
use crate::record::body::{BenchBody, Body, InstallBody, StayBody};
use crate::record::entry::{About, Entry};
use crate::record::guitar::Guitar;
use crate::record::install::{InstallAnswer, InstallBasis, InstallId, InstallStep, InstallTask};
use crate::record::pickup::Pickup;
use crate::record::words;

/// Writes down what is asked about an install, with all that follows for the pickups and the guitar, in one stroke. Answers
/// whether it is written; otherwise it has to be decided anew.
pub(super) fn write_stroke(
    log: &mut Log,
    asked: InstallAct,
    before: &[(Entry, bool)],
    now: DateTime<Utc>,
    decided: Stamp,
) -> Result<bool, Refusal> {
    let (entry, id) = asked.goes_to();
    let about = About::Fit(id);
    if before.is_empty() && !matches!(asked, InstallAct::BeginFit { .. }) {
        return Err(Refusal::not_found("fit sheet"));
    }
    let mut stroke = Stroke { log, entry, now, entries: Vec::new() };
    match asked {
        InstallAct::FinishFit { words, .. } => finish(&mut stroke, id, before, &words)?,
        InstallAct::StrikeFit { struck, why, .. } => strike(&mut stroke, id, before, struck, &why)?,
        InstallAct::BeginFit { audition, place, .. } => {
            if !before.is_empty() {
                let sentence = "This install was begun already. Go on with it, or begin another with a new name.";
                return Err(Refusal::unclear("fit", sentence));
            }
            let on = begin(stroke.log, audition, &place)?;
            stroke.first(about, Body::Install(InstallBody::FitBegun { on }))?;
        }
        InstallAct::PlanFit { plan, anyway, .. } => {
            stroke.first(about, planned(stroke.log, before, plan, anyway)?)?;
        }
        InstallAct::ChooseFitParts { parts, .. } => {
            going_on(before)?;
            if let Some((field, sentence)) = parts.wrong() {
                return Err(Refusal::unclear(&format!("parts.{field}"), sentence));
            }
            stroke.first(about, Body::Install(InstallBody::FitPartsChosen { parts }))?;
        }
        InstallAct::PassFitStep { step, why, .. } => {
            stroke.first(about, pass(stroke.log, before, id, step, &why, now)?)?
        }
        InstallAct::AtFitIron { act, .. } => {
            stroke.first(about, at_iron(stroke.log, &going_on(before)?, act, now, id)?)?;
        }
        InstallAct::AtFitSound { act, .. } => stroke.first(about, at_sound(&going_on(before)?, act)?)?,
        InstallAct::DoFitAct { act, words, .. } => stroke.first(about, done(&going_on(before)?, act, &words)?)?,
        InstallAct::ReadJack { at, reading, room, sure, .. } => {
            let read = jack_read(stroke.log, before, at, reading, &room, sure)?;
            stroke.first(about, read)?;
        }
        InstallAct::ReadJackBefore { at, reading, room, .. } => {
            stroke.first(about, jack_read_before(stroke.log, before, at, reading, &room)?)?;
        }
        InstallAct::ProbeFit { probe, reading, .. } => {
            stroke.first(about, probed(&going_on(before)?, probe, reading)?)?;
        }
        InstallAct::CantProbeFit { probe, .. } => {
            going_on(before)?;
            stroke.first(about, Body::Install(InstallBody::FitCantProbe { probe }))?;
        }
        InstallAct::AnswerFit { answer, .. } => {
            going_on(before)?;
            let answer = answered(stroke.log, id, answer, now)?;
            stroke.first(about, Body::Install(InstallBody::FitAnswered { answer }))?;
        }
        InstallAct::GiveUpFit { why, .. } => {
            going_on(before)?;
            let why = words::reason(&why).map_err(at("why"))?;
            stroke.first(about, Body::Install(InstallBody::FitGivenUp { why }))?;
        }
    }
    stroke.write(decided)
}

/// A plan, once it is known what sits where. One that gives less than it asks for is asked about; one that gives no sound at all
/// is refused.
fn planned(log: &Log, before: &[(Entry, bool)], plan: PlanForm, anyway: bool) -> Result<Body, Refusal> {
    let install = going_on(before)?;
    let kit = kit(log, &install)?;
    if let Some(place) = kit.not_said(&install) {
        let sentence = format!("Is there a pickup at the {place}? Say that first: the plan hangs on it.");
        return Err(Refusal::unclear("place", sentence));
    }
    let plan =
        PlanForm::read(plan, &kit.selector_here()).map_err(|(field, sentence)| Refusal::unclear(&field, sentence))?;
    match kit.gives(&plan) {
        Gives::All => {}
        Gives::Less(_) if anyway => {}
        Gives::Less(sentence) => return Err(Refusal::unclear("anyway", sentence)),
        Gives::Nothing(sentence) => return Err(Refusal::unclear("mode", sentence)),
    }
    Ok(Body::Install(InstallBody::FitPlanned { plan }))
}

/// What is said of the sound at the install.
fn at_sound(install: &Install, act: SoundAct) -> Result<Body, Refusal> {
    match act {
        SoundAct::TellLevel { level } => Ok(Body::Bench(BenchBody::LevelTold { level: told_level(level)? })),
        SoundAct::CorrectListening { session, time, level } => corrected(&install.safety, session, &time, level),
    }
}

/// An act at the guitar, if nothing has to come before it.
fn done(install: &Install, act: InstallTask, said: &str) -> Result<Body, Refusal> {
    if let Some(sentence) = install.waits(act) {
        return Err(Refusal { field: Some("act".to_owned()), ..Refusal::new(Code::Held, sentence) });
    }
    Ok(Body::Install(InstallBody::FitActDone { act, words: words::note(said, "the note").map_err(at("words"))? }))
}

/// What an audition's pickup goes into.
fn begin(log: &Log, id: AuditionId, place: &str) -> Result<InstallBasis, Refusal> {
    let audition = Audition::fold(&log.about(About::Audition(id))?);
    let choice = audition.choice.ok_or_else(|| Refusal::not_found("audition"))?.said;
    newest::<Pickup>(log, About::Pickup(choice.pickup), "pickup")?;
    let guitar: Guitar = newest(log, About::Guitar(choice.guitar), "guitar")?;
    let wanted = match place.trim() {
        "" => audition.final_place.map_or(choice.place, |saved| saved.said.place),
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
    Ok(InstallBasis { audition: id, pickup: choice.pickup, guitar: choice.guitar, place: place.name.clone() })
}

/// The install, if it still goes on.
fn going_on(before: &[(Entry, bool)]) -> Result<Install, Refusal> {
    let install = Install::fold(before);
    match install.state() {
        InstallState::Open => Ok(install),
        InstallState::Done | InstallState::GivenUp => {
            let sentence = "This install is over. Strike out the entry that ended it to go on.";
            Err(Refusal::new(Code::NotNow, sentence))
        }
        InstallState::StruckOut => {
            Err(Refusal::new(Code::NotNow, "This install was struck out. Bring it back to go on."))
        }
    }
}

/// A step is passed when nothing in it is open, or with a reason.
fn pass(
    log: &Log,
    before: &[(Entry, bool)],
    id: InstallId,
    step: InstallStep,
    why: &str,
    now: DateTime<Utc>,
) -> Result<Body, Refusal> {
    let install = going_on(before)?;
    match step {
        InstallStep::Plan | InstallStep::Iron | InstallStep::Solder | InstallStep::Done => {
            let sentence = "This step is over when what it asks for is done. It can't be passed.";
            Err(Refusal::unclear("step", sentence))
        }
        InstallStep::AsItWas
        | InstallStep::WayRound
        | InstallStep::Phase
        | InstallStep::Hookup
        | InstallStep::Room
        | InstallStep::Jack
        | InstallStep::Parts
        | InstallStep::Proof
        | InstallStep::Listen => {
            let kit = kit(log, &install)?;
            let view = view(id, before, &kit, &present(log, now, Some(About::Fit(id)))?);
            let open = view.steps.into_iter().find(|one| one.step == step).map(|one| one.open).unwrap_or_default();
            let why = match open.first() {
                // Nothing is open, so there is nothing to give a reason for.
                None => String::new(),
                Some(first) if why.trim().is_empty() => {
                    return Err(Refusal::unclear("why", format!("{first} To go on all the same, write why.")));
                }
                Some(_) => words::reason(why).map_err(at("why"))?,
            };
            let cause = install.cause(&kit, step);
            Ok(Body::Install(InstallBody::FitStepOver { step, why, cause }))
        }
    }
}

/// An answer that this install asks for.
fn answered(log: &Log, id: InstallId, answer: InstallAnswer, now: DateTime<Utc>) -> Result<InstallAnswer, Refusal> {
    let view = install_view(log, id, now)?;
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
        InstallAnswer::Sound { mode, heard, words: said } => {
            InstallAnswer::Sound { mode, heard, words: words::note(&said, "the note").map_err(at("answer.words"))? }
        }
        other => other,
    })
}

/// Done, in ink: the pickup goes into the guitar, the one that was there comes out, and a place it sat at before is free.
fn finish(act: &mut Stroke<'_>, id: InstallId, before: &[(Entry, bool)], said: &str) -> Result<(), Refusal> {
    let install = Install::fold(before);
    let kit = kit(act.log, &install)?;
    let install = install.as_shown(&kit);
    match install.next() {
        Some(InstallStep::Done) => {}
        Some(step) => {
            let sentence = format!("“{}” comes first. The install is done when every step is over.", step.name());
            return Err(Refusal { field: Some("fit".to_owned()), ..Refusal::new(Code::NotNow, sentence) });
        }
        None if install.state() == InstallState::Done => {
            let sentence = "This install is done already: it was written in the meantime. Look at it again.";
            return Err(Refusal::new(Code::NotNow, sentence));
        }
        None => return Err(Refusal::new(Code::NotNow, "This install is over already.")),
    }
    let on = install.on.ok_or_else(|| Refusal::not_found("fit sheet"))?.said;
    let guitar: Guitar = newest(act.log, About::Guitar(on.guitar), "guitar")?;
    let Some(place) = guitar.places.iter().find(|place| place.name == on.place) else {
        let sentence =
            format!("{} has no place called {} any more. Add it to the guitar's record.", guitar.label, on.place);
        return Err(Refusal::new(Code::NotNow, sentence));
    };
    let came_out = place.fitted.filter(|pickup| *pickup != on.pickup);
    let lived = living(act.log)?.remove(&on.pickup).filter(|at| (at.guitar, &at.place) != (on.guitar, &on.place));
    let words = words::note(said, "the note").map_err(at("words"))?;
    act.first(About::Fit(id), Body::Install(InstallBody::FitDone { words, came_out }))?;
    let (guitar, place_name) = (on.guitar, on.place.clone());
    act.further(
        1,
        About::Pickup(on.pickup),
        Body::Stay(StayBody::Installed { guitar, place: place_name.clone(), fit: id }),
    )?;
    if let Some(out) = came_out {
        act.further(
            2,
            About::Pickup(out),
            Body::Stay(StayBody::TakenOut { guitar, place: place_name.clone(), fit: id }),
        )?;
    }
    let fitted = Body::Stay(StayBody::Fitted {
        place: place_name,
        pickup: Some(on.pickup),
        words: String::new(),
        came_out,
        came_out_words: place.fitted_words.clone(),
        fit: id,
    });
    act.further(3, About::Guitar(guitar), fitted)?;
    if let Some(at) = lived {
        let freed = Body::Stay(StayBody::Fitted {
            place: at.place,
            pickup: None,
            words: String::new(),
            came_out: Some(on.pickup),
            came_out_words: String::new(),
            fit: id,
        });
        act.further(4, About::Guitar(at.guitar), freed)?;
    }
    Ok(())
}
