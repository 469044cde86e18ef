//! A permanent install as its page shows it.

use super::answers::{FitAct, FitAnswer, HumHeard, PhaseHeard, SoundHeard, TapHeard};
use super::computed::{Computed, computed};
use super::fold::{Fit, FitState};
use super::kit::FitKit;
use super::parts::parts;
use super::plan::{PlanForm, plan_in_words, positions};
use super::seen::{ActView, AnswerOffered, CheckView, FitStepView, FitView, HeardBefore, PlanView, ProofView};
use super::step::{FitId, FitStep};
use crate::audition::{Present, Status, Verdict, VerdictKind, cautions_read, ink, iron, listen, title};
use crate::cautions::Moment;
use crate::logbook::Entry;

/// A permanent install with these entries.
#[must_use]
pub fn view(id: FitId, ordered: &[(Entry, bool)], kit: &FitKit, present: &Present) -> FitView {
    let fit = Fit::fold(ordered);
    let plan = fit.plan.as_ref().map(|inked| &inked.said);
    let computed = computed(&fit, kit);
    let bench = kit.bench(&fit);
    let at_bench = kit.at_bench();
    let checks = checks(&fit, kit, &computed);
    let listen = heard(&fit, kit);
    let iron = iron(&bench, &at_bench, present);
    let lit = fit.iron_was_lit;
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
            let open = open_points(step, &fit, &computed, &checks, &listen);
            let held = step == FitStep::Iron && !lit && iron.holds.iter().any(|hold| hold.overridden.is_none());
            let passed = fit.over.get(&step).map(|inked| inked.said.clone()).filter(|why| !why.is_empty());
            let status = match (fit.is_over(step), &passed) {
                (true, Some(_)) => Status::Skipped,
                (true, None) => Status::Done,
                (false, _) if held => Status::Held,
                (false, _) => Status::Open,
            };
            FitStepView {
                step,
                name: step.name().to_owned(),
                reason: step.reason().to_owned(),
                status,
                open,
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
        given_up_because: fit.given_up.as_ref().map(|inked| inked.said.clone()),
        outcome: outcome(&fit, kit),
        demo: fit.demo,
        on: kit.on.clone(),
        audition_title: title(kit.audition.choice.as_ref().map(|inked| &inked.said), &kit.heard),
        unproven: kit.unproven(),
        next: fit.next(),
        steps,
        plan: PlanView {
            form: PlanForm::of(plan.unwrap_or(&computed.suggested)),
            chosen: plan.is_some(),
            words: plan.map(plan_in_words).unwrap_or_default(),
            modes: kit.modes_offered(),
            switches: computed.switches.clone(),
            verdict: computed.plan.clone(),
            controls: kit.controls_in_words(),
        },
        parts: parts(plan, &computed.hookup, kit.guitar.as_ref().map(|guitar| &guitar.controls)),
        iron,
        acts,
        proof: ProofView {
            next: computed.readings.iter().find(|one| one.reading.is_none()).map(|one| one.at.clone()),
            readings: computed.readings.clone(),
            verdict: computed.proof.clone(),
            diagnosis: computed.diagnosis.clone(),
            probed: computed.probed.clone(),
            checks,
            cautions: cautions_read(&bench, &at_bench, present, Moment::Proof),
            meter: format!("{}, {}", kit.meter.label, kit.meter.claim.shown()),
            room: room.map(|room| room.shown()),
        },
        closing,
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

/// What is not right or not proven in a step.
fn open_points(
    step: FitStep,
    fit: &Fit,
    computed: &Computed,
    checks: &[CheckView],
    listen: &[HeardBefore],
) -> Vec<String> {
    let bad = |verdict: &Verdict| verdict.kind == VerdictKind::Bad;
    let unanswered = |check: &CheckView| check.answers.iter().all(|one| !one.chosen);
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
                open.extend(computed.proof.iter().filter(|v| v.kind != VerdictKind::Good).map(|v| v.sentence.clone()));
            }
            let not_asked = checks.iter().filter(|check| unanswered(check)).count();
            match not_asked {
                0 => {}
                1 => open.push("One question of the ear is not answered.".to_owned()),
                count => open.push(format!("{count} questions of the ear are not answered.")),
            }
            open.extend(checks.iter().filter_map(wrong));
            open
        }
        FitStep::Listen => {
            let mut open: Vec<String> = FitAct::CLOSE
                .iter()
                .filter(|act| !fit.acts.contains_key(act))
                .map(|act| format!("Not done yet: {}", act.data().say))
                .collect();
            open.extend(
                listen
                    .iter()
                    .filter(|heard| unanswered(&heard.check))
                    .map(|heard| format!("Nobody has said how {} sounds now.", heard.mode.0)),
            );
            open.extend(listen.iter().filter_map(|heard| wrong(&heard.check)));
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
    let data = act.data();
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
    let waits = (act.needs_iron() && !fit.iron_was_lit)
        .then(|| "The iron is not lit. Go through the stop list first.".to_owned());
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

/// What ear and eye are asked: a tap at every place, phase of each pair, hum in each mode.
fn checks(fit: &Fit, kit: &FitKit, computed: &Computed) -> Vec<CheckView> {
    if fit.plan.is_none() {
        return Vec::new();
    }
    let given = |answer: &FitAnswer| fit.answers.get(&answer.check()).is_some_and(|inked| inked.said == *answer);
    let offered = |answers: Vec<(FitAnswer, &str)>| -> Vec<AnswerOffered> {
        let with = |(answer, words): (FitAnswer, &str)| AnswerOffered {
            chosen: given(&answer),
            words: words.to_owned(),
            answer,
        };
        answers.into_iter().map(with).collect()
    };
    let mut checks = Vec::new();
    for place in kit.sounding_places() {
        let answers = TapHeard::ALL.map(|heard| (FitAnswer::Tap { place: place.clone(), heard }, heard.in_words()));
        let answers = offered(answers.to_vec());
        let how = match kit.position_with(&place) {
            Some(position) => {
                format!("Selector in {position}. Tap its poles softly with steel, then those of the other places.")
            }
            None => "Tap its poles softly with steel.".to_owned(),
        };
        let verdict = answers.iter().find(|one| one.chosen).map(|one| tap_verdict(&one.answer));
        checks.push(CheckView { asked: format!("What does a tap at {place} give?"), how, answers, verdict });
    }
    for position in kit.joining_positions() {
        let answers =
            PhaseHeard::ALL.map(|heard| (FitAnswer::Phase { position: position.clone(), heard }, heard.in_words()));
        let answers = offered(answers.to_vec());
        let verdict = answers.iter().find(|one| one.chosen).map(|one| phase_verdict(&one.answer));
        checks.push(CheckView {
            asked: format!("How do they sound together in {position}?"),
            how: "Play a low chord. Change to each alone, and back.".to_owned(),
            answers,
            verdict,
        });
    }
    for (mode, cancels) in &computed.hum {
        let answers = HumHeard::ALL.map(|heard| (FitAnswer::Hum { mode: mode.clone(), heard }, heard.in_words()));
        let answers = offered(answers.to_vec());
        let verdict = answers.iter().find(|one| one.chosen).map(|one| hum_verdict(&one.answer, *cancels));
        let expect = match cancels {
            Some(true) => "It is wired to cancel hum here.",
            Some(false) => "One coil hums here, and that is as it is wired.",
            None => "Whether it cancels hum here is not known.",
        };
        checks.push(CheckView {
            asked: format!("How much hum in {}?", mode.0),
            how: format!("Selector on the new pickup alone. Hands off the strings, then touch them. {expect}"),
            answers,
            verdict,
        });
    }
    checks
}

fn tap_verdict(answer: &FitAnswer) -> Verdict {
    let FitAnswer::Tap { place, heard } = answer else { return Verdict::new(VerdictKind::Unsure, "Not asked", "") };
    match heard {
        TapHeard::Clear => Verdict::new(VerdictKind::Good, "Heard", "This place is joined as it should be."),
        TapHeard::Weak => Verdict::new(
            VerdictKind::Bad,
            "Weak",
            format!(
                "{place} is much weaker than the others: a joint of it is bad, or its coils work against each other."
            ),
        ),
        TapHeard::Nothing => Verdict::new(
            VerdictKind::Bad,
            "Silent",
            format!("Nothing comes from {place}: it is not joined, it is shorted, or the selector stands elsewhere."),
        ),
        TapHeard::Elsewhere => Verdict::new(
            VerdictKind::Bad,
            "Another place",
            format!(
                "Where {place} should sound, another place does: their leads are on each other's lugs of the selector."
            ),
        ),
    }
}

fn phase_verdict(answer: &FitAnswer) -> Verdict {
    let FitAnswer::Phase { position, heard } = answer else {
        return Verdict::new(VerdictKind::Unsure, "Not asked", "");
    };
    match heard {
        PhaseHeard::Full => Verdict::new(VerdictKind::Good, "In phase", "They add, as they should."),
        PhaseHeard::Thin => Verdict::new(
            VerdictKind::Bad,
            "Out of phase",
            format!(
                "In {position} they work against each other. Change the two ends of the new pickup about, as the step \
                 “Phase and hum” tells."
            ),
        ),
    }
}

fn hum_verdict(answer: &FitAnswer, cancels: Option<bool>) -> Verdict {
    let FitAnswer::Hum { mode, heard } = answer else { return Verdict::new(VerdictKind::Unsure, "Not asked", "") };
    match (heard, cancels) {
        (HumHeard::Quiet, _) => Verdict::new(VerdictKind::Good, "Quiet", "Grounds hold, and nothing hums."),
        (HumHeard::OneCoil, Some(true)) => Verdict::new(
            VerdictKind::Bad,
            "Hums",
            format!("{} should cancel hum and does not: one coil is silent, or is hooked the wrong way round.", mode.0),
        ),
        (HumHeard::OneCoil, _) => {
            Verdict::new(VerdictKind::Good, "As one coil", "A coil alone picks up hum. That is no fault of the wiring.")
        }
        (HumHeard::LessWhenTouched, _) => Verdict::new(
            VerdictKind::Bad,
            "Shield or hot",
            "Less hum when strings are touched: the strings are grounded, but a shield or a pot case is not, or the \
             hot lead runs bare. Measure from the pot case to the sleeve of the jack.",
        ),
        (HumHeard::MoreWhenTouched, _) => Verdict::new(
            VerdictKind::Bad,
            "Ground and hot",
            "More hum when strings are touched: hot and ground are in each other's place, at the jack or at the pickup. \
             Unplug before you look.",
        ),
    }
}

/// What the audition noted, and whether it is still so.
fn heard(fit: &Fit, kit: &FitKit) -> Vec<HeardBefore> {
    let wanted: Vec<_> = fit.plan.iter().flat_map(|plan| positions(&plan.said)).map(|(_, mode)| mode).collect();
    let before = listen(&kit.audition, &kit.heard);
    let mut heard = Vec::new();
    for mode in wanted {
        if heard.iter().any(|one: &HeardBefore| one.mode == mode) {
            continue;
        }
        let noted = before.modes.iter().find(|one| one.mode == mode);
        let answers: Vec<AnswerOffered> = SoundHeard::ALL
            .into_iter()
            .map(|heard| {
                let answer = FitAnswer::Sound { mode: mode.clone(), heard, words: String::new() };
                let given = fit.answers.get(&answer.check()).map(|inked| &inked.said);
                let chosen = matches!(given, Some(FitAnswer::Sound { heard: said, .. }) if *said == heard);
                AnswerOffered { answer, words: heard.in_words().to_owned(), chosen }
            })
            .collect();
        let verdict = answers.iter().find(|one| one.chosen).and_then(|one| match &one.answer {
            FitAnswer::Sound { heard: SoundHeard::Different, mode, .. } => Some(Verdict::new(
                VerdictKind::Bad,
                "Another sound",
                format!(
                    "{} sounds other than it did. Look at heights and place first, then at the readings of this mode.",
                    mode.0
                ),
            )),
            FitAnswer::Sound { heard: SoundHeard::Near, .. } => {
                Some(Verdict::new(VerdictKind::Good, "Near", "Heights and fresh strings change a sound a little."))
            }
            _ => Some(Verdict::new(VerdictKind::Good, "As chosen", "It is what you heard over the strings.")),
        });
        let rated = noted.iter().flat_map(|one| &one.rated).filter_map(|rated| {
            let value = rated.value?;
            let word = rated.anchors.get(usize::from(value.saturating_sub(1)))?;
            Some(format!("{} {value} of 5, {word}", rated.name.to_lowercase()))
        });
        heard.push(HeardBefore {
            rated: rated.collect(),
            note: noted.map(|one| one.note.clone()).unwrap_or_default(),
            heard_in: noted.map(|one| one.heard_in.clone()).unwrap_or_default(),
            check: CheckView {
                asked: format!("How does {} sound now?", mode.0),
                how: "Same amp and settings, pickup at its starting heights.".to_owned(),
                answers,
                verdict,
            },
            mode,
        });
    }
    heard
}

fn will_change(kit: &FitKit) -> Vec<String> {
    let mut lines = vec![format!("{} lives in {}, {}.", kit.pickup_label(), kit.guitar_label(), kit.on.place)];
    lines.extend(kit.what_comes_out());
    if let Some(out) = &kit.coming_out {
        lines.push(format!("{} goes into the drawer.", out.label));
    }
    lines
}

fn outcome(fit: &Fit, kit: &FitKit) -> Vec<String> {
    match fit.state() {
        FitState::Open => Vec::new(),
        FitState::GivenUp => vec!["Nothing was changed in the records.".to_owned()],
        FitState::Done => {
            let mut lines = vec![format!("{} lives in {}, {}.", kit.pickup_label(), kit.guitar_label(), kit.on.place)];
            if let Some(out) = &kit.coming_out {
                lines.push(format!("{} came out and lies in the drawer.", out.label));
            }
            let words = fit.done.iter().map(|inked| inked.said.words.clone()).filter(|words| !words.is_empty());
            lines.extend(words);
            let passed = fit.passed_open();
            lines.extend(passed.iter().map(|step| format!("“{}” was passed with something open.", step.name())));
            lines
        }
    }
}
