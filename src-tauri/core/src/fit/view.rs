//! A permanent install as its page shows it.

use super::acts::act as act_of;
use super::by_ear::{checks, heard, places_asked, strung_checks};
use super::computed::computed;
use super::fold::{Fit, FitState};
use super::kit::FitKit;
use super::parts::parts;
use super::plan::PlanForm;
use super::seen::{ActView, BeforeView, CheckView, FitStepView, FitView, HeardBefore, PlanView, ProofView};
use crate::audition::{Present, Status, cautions_read, iron, photos, sound, title};
use crate::fit::sheet::Computed;
use crate::record::entry::Entry;
use crate::record::install::{FitAct, FitId, FitStep};
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::wiring::plan_in_words;
use crate::safety::cautions::Moment;
use crate::saved::lines::ink;

/// What comes before anything is mended.
const MEND: &str = "Before you mend anything, unplug the guitar from the amplifier. What needs the iron comes after the stop list \
                    “Before the iron”, gone through again.";

/// A permanent install with these entries.
#[must_use]
pub fn view(id: FitId, ordered: &[(Entry, bool)], kit: &FitKit, present: &Present) -> FitView {
    let fit = Fit::fold(ordered);
    let plan = fit.plan.as_ref().map(|inked| &inked.said);
    let computed = computed(&fit, kit);
    let bench = kit.bench(&fit);
    let at_bench = kit.at_bench();
    let checks = checks(&fit, kit);
    let strung = strung_checks(&fit, kit, &computed);
    let listen = heard(&fit, kit);
    let iron = iron(&bench, &at_bench, present);
    let sound = sound(&bench, &at_bench, present, computed.unexplained);
    let spoken = |step: FitStep| match step {
        FitStep::Iron => iron.spoken.clone(),
        FitStep::Hookup => {
            let lines = computed.hookup.joints.iter().map(|joint| format!("{} to {}.", joint.what, joint.at));
            std::iter::once(format!("{}. {}", step.name(), step.reason())).chain(lines).collect::<Vec<_>>().join(" ")
        }
        _ => format!("{}. {}", step.name(), step.reason()),
    };
    let steps = FitStep::ALL
        .into_iter()
        .map(|step| {
            let mut open = open_points(step, &fit, &computed, &checks, &strung, &listen);
            if sound.sounding && matches!(step, FitStep::Proof | FitStep::Listen) {
                open.push("The sound is up. Volume down first, then go on.".to_owned());
            }
            let held =
                step == FitStep::Iron && !fit.is_over(step) && iron.holds.iter().any(|hold| hold.overridden.is_none());
            let passed = fit.over.get(&step).map(|inked| inked.said.clone()).filter(|why| !why.is_empty());
            let status = match (fit.is_over(step), &passed) {
                // What was open when it was passed may be settled since.
                (true, Some(_)) if !open.is_empty() => Status::Skipped,
                (true, _) => Status::Done,
                (false, _) if held => Status::Held,
                (false, _) => Status::Open,
            };
            FitStepView {
                step,
                name: step.name().to_owned(),
                reason: step.reason().to_owned(),
                status,
                open,
                unsure: match step {
                    FitStep::Proof => [unsure(&computed), not_told(&checks)].concat(),
                    FitStep::Listen => not_told(strung.iter().chain(listen.iter().map(|heard| &heard.check))),
                    _ => Vec::new(),
                },
                passed,
                invalidated: fit.invalidated.get(&step).cloned(),
                spoken: spoken(step),
            }
        })
        .collect();
    let act = |act: FitAct, number: usize, of: usize| act_view(&fit, kit, &computed, act, number, of);
    let acts = FitAct::SOLDER.into_iter().enumerate().map(|(n, one)| act(one, n + 1, FitAct::SOLDER.len())).collect();
    let closing = FitAct::CLOSE.into_iter().enumerate().map(|(n, one)| act(one, n + 1, FitAct::CLOSE.len())).collect();
    let room = fit.readings.iter().max_by_key(|read| read.at).and_then(|read| read.said.taken.room);
    FitView {
        id,
        title: kit.title(),
        begun: fit.begun,
        last: fit.last,
        state: fit.state(),
        struck_out: fit.struck_out,
        given_up_because: fit.given_up.as_ref().map(|inked| inked.said.clone()),
        outcome: outcome(&fit, kit, &computed, &checks.iter().chain(&strung).cloned().collect::<Vec<_>>()),
        demo: fit.demo,
        on: kit.on.clone(),
        audition_title: title(kit.audition.choice.as_ref().map(|inked| &inked.said), &kit.heard),
        unrecorded: (fit.state() == FitState::Open).then(|| kit.unrecorded_out(&fit)).flatten(),
        unproven: kit.unproven(),
        next: fit.next(),
        steps,
        plan: PlanView {
            asked: places_asked(&fit, kit),
            form: PlanForm::of(plan.unwrap_or(&computed.suggested)),
            chosen: plan.is_some(),
            words: plan.map(plan_in_words).unwrap_or_default(),
            modes: kit.modes_offered(),
            switches: computed.switches.clone(),
            verdict: computed.plan.clone(),
            controls: kit.controls_in_words(),
        },
        before: BeforeView { photos: photos(&fit.bench), ..computed.before.clone() },
        parts: parts(plan, &computed.hookup, kit.guitar.as_ref().map(|guitar| &guitar.controls)),
        iron,
        sound,
        acts,
        proof: ProofView {
            next: computed.readings.iter().find(|one| one.reading.is_none()).map(|one| one.at.clone()),
            readings: computed.readings.clone(),
            verdict: computed.proof.clone(),
            slip: computed.slip.clone(),
            diagnosis: computed.diagnosis.clone(),
            probed: computed.probed.clone(),
            beside: computed.beside.clone(),
            mend: mend(&computed, checks.iter().chain(&strung)),
            checks,
            cautions: cautions_read(&bench, &at_bench, present, Moment::Proof),
            meter: format!("{}, {}", kit.meter.label, kit.meter.claim.shown()),
            room: room.map(|room| room.shown()),
        },
        closing,
        strung,
        listen,
        will_change: will_change(kit),
        written: ink(ordered),
        newer: fit.newer,
        way_round: computed.way_round,
        way_drawn: computed.way_drawn,
        phase: computed.phase,
        hookup: computed.hookup,
        room: computed.room,
        jack: computed.jack,
    }
}

fn unanswered(check: &CheckView) -> bool {
    check.answers.iter().all(|one| !one.chosen)
}

/// What nobody can tell by what is known, once every reading is taken.
fn unsure(computed: &Computed) -> Vec<String> {
    let missing = computed.readings.iter().any(|one| one.reading.is_none());
    let proof = computed.proof.iter().filter(|verdict| !missing && verdict.kind == VerdictKind::Unsure);
    proof.map(|verdict| verdict.sentence.clone()).collect()
}

/// Questions that were answered, and nobody could tell.
fn not_told<'a>(checks: impl IntoIterator<Item = &'a CheckView>) -> Vec<String> {
    let unsure = |check: &&CheckView| check.verdict.as_ref().is_some_and(|one| one.kind == VerdictKind::Unsure);
    checks.into_iter().filter(unsure).map(|check| format!("{} Can't tell.", check.asked)).collect()
}

/// What comes before the iron or a hand goes to what is wrong; nothing while nothing is.
fn mend<'a>(computed: &Computed, mut checks: impl Iterator<Item = &'a CheckView>) -> Option<String> {
    let heard = checks.any(|check| check.verdict.as_ref().is_some_and(|one| one.kind == VerdictKind::Bad));
    let wrong = computed.diagnosis.is_some() && computed.slip.is_none();
    (wrong || heard).then(|| MEND.to_owned())
}

/// What is not right or not proven in a step.
fn open_points(
    step: FitStep,
    fit: &Fit,
    computed: &Computed,
    checks: &[CheckView],
    strung: &[CheckView],
    listen: &[HeardBefore],
) -> Vec<String> {
    let bad = |verdict: &Verdict| verdict.kind == VerdictKind::Bad;
    let not_answered = |checks: &[CheckView]| match checks.iter().filter(|check| unanswered(check)).count() {
        0 => None,
        1 => Some("One listening question is not answered.".to_owned()),
        count => Some(format!("{count} listening questions are not answered.")),
    };
    let wrong = |check: &CheckView| check.verdict.as_ref().filter(|verdict| bad(verdict)).map(|v| v.sentence.clone());
    match step {
        FitStep::Hookup => {
            computed.plan.iter().filter(|verdict| bad(verdict)).map(|verdict| verdict.sentence.clone()).collect()
        }
        FitStep::Room => {
            let wrong = computed.room.iter().filter(|line| bad(&line.verdict));
            wrong.map(|line| format!("{}: {}", line.name, line.verdict.sentence)).collect()
        }
        FitStep::Phase => {
            let wrong = computed.phase.pairs.iter().filter(|pair| bad(&pair.phase));
            wrong.map(|pair| format!("{}: {}", pair.title, pair.phase.sentence)).collect()
        }
        FitStep::Proof => {
            let mut open = Vec::new();
            let missing = computed.readings.iter().filter(|one| one.reading.is_none()).count();
            match missing {
                0 => {}
                1 => open.push("One reading at the jack is not taken.".to_owned()),
                count => open.push(format!("{count} readings at the jack are not taken.")),
            }
            if missing == 0 {
                open.extend(computed.proof.iter().filter(|verdict| bad(verdict)).map(|v| v.sentence.clone()));
            }
            open.extend(not_answered(checks));
            open.extend(checks.iter().filter_map(wrong));
            open
        }
        FitStep::Listen => {
            let mut open: Vec<String> = FitAct::CLOSE
                .iter()
                .filter(|act| !fit.acts.contains_key(act))
                .map(|act| format!("Not done yet: {}", act_of(*act).say))
                .collect();
            open.extend(not_answered(strung));
            open.extend(strung.iter().filter_map(wrong));
            open.extend(
                listen
                    .iter()
                    .filter(|heard| unanswered(&heard.check))
                    .map(|heard| format!("Nobody has said how {} sounds now.", heard.mode.0)),
            );
            open.extend(listen.iter().filter_map(|heard| wrong(&heard.check)));
            open
        }
        FitStep::AsItWas => {
            let mut open = Vec::new();
            match computed.before.readings.iter().filter(|one| one.reading.is_none()).count() {
                0 => {}
                1 => open.push("One position was not read as the guitar was.".to_owned()),
                count => open.push(format!("{count} positions were not read as the guitar was.")),
            }
            if fit.bench.photos.is_empty() {
                open.push("There is no photo of the wiring as it was.".to_owned());
            }
            open
        }
        FitStep::Plan
        | FitStep::WayRound
        | FitStep::Jack
        | FitStep::Parts
        | FitStep::Iron
        | FitStep::Solder
        | FitStep::Done => Vec::new(),
    }
}

fn act_view(fit: &Fit, kit: &FitKit, computed: &Computed, act: FitAct, number: usize, of: usize) -> ActView {
    let data = act_of(act);
    let done = fit.acts.get(&act);
    let here = match act {
        FitAct::OldOut => kit.what_comes_out().into_iter().collect(),
        FitAct::SetIn => computed.way_round.clone(),
        FitAct::Joined => {
            computed.hookup.joints.iter().map(|joint| format!("{} to {}", joint.what, joint.at)).collect()
        }
        FitAct::Insulated => computed.hookup.insulated.clone(),
        FitAct::HeightsSet => computed.heights.clone(),
        FitAct::OldPictured | FitAct::Tinned | FitAct::Cooled | FitAct::Tugged | FitAct::Closed | FitAct::Strung => {
            Vec::new()
        }
    };
    let waits = fit.waits(act).map(str::to_owned);
    ActView {
        act,
        number: format!("{number} of {of}"),
        say: data.say.to_owned(),
        how: data.how.to_owned(),
        caution: data.caution.to_owned(),
        spoken: format!("{number}. {} {} {}", data.say, data.how, data.caution),
        here,
        waits,
        done: done.map(|inked| inked.at),
        words: done.map(|inked| inked.said.clone()).unwrap_or_default(),
    }
}

fn will_change(kit: &FitKit) -> Vec<String> {
    let mut lines = vec![format!("{} lives in {}, {}.", kit.pickup_label(), kit.guitar_label(), kit.on.place)];
    lines.extend(kit.what_comes_out());
    if let Some(out) = &kit.coming_out {
        lines.push(format!("{} goes into the drawer.", out.label));
    }
    lines
}

fn outcome(fit: &Fit, kit: &FitKit, computed: &Computed, told: &[CheckView]) -> Vec<String> {
    match fit.state() {
        FitState::Open => Vec::new(),
        FitState::GivenUp | FitState::StruckOut => vec!["Nothing was changed in the records.".to_owned()],
        FitState::Done => {
            let mut lines = vec![format!("{} lives in {}, {}.", kit.pickup_label(), kit.guitar_label(), kit.on.place)];
            if let Some(out) = &kit.coming_out {
                lines.push(format!("{} came out and lies in the drawer.", out.label));
            }
            let words = fit.done.iter().map(|inked| inked.said.words.clone()).filter(|words| !words.is_empty());
            lines.extend(words);
            let passed = fit.passed_open();
            lines.extend(unsure(computed).into_iter().map(|one| format!("Proof: {one}")));
            lines.extend(not_told(told));
            lines.extend(passed.iter().map(|step| format!("“{}” was passed with something open.", step.name())));
            lines
        }
    }
}
