//! A permanent install as its page shows it.

use super::by_ear::{checks, heard, places_asked, strung_checks};
use super::compute::{HUM_NOT_KNOWN, sheet_of};
use super::fold::{Install, InstallState};
use super::kit::InstallKit;
use super::page::{
    ActView, BeforeView, CheckView, HeardBefore, InstallStepView, InstallView, PlanView, ProofView, TogetherView,
};
use super::parts::parts;
use super::plan::PlanForm;
use super::tasks::text_of;
use crate::audition::{
    Audition, IronView, Present, SoundView, Status, before, cautions_read, iron, photos, sound, title,
};
use crate::entry_lines::lines::entry_lines;
use crate::install::sheet::Sheet;
use crate::record::entry::Entry;
use crate::record::install::{InstallId, InstallStep, InstallTask};
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::wiring::plan_in_words;
use crate::record::words::capital;
use crate::safety::cautions::Moment;

/// What comes before anything is mended.
const MEND: &str = "Before you mend anything, unplug the guitar from the amplifier. What needs the iron comes after the stop list \
                    “Before the iron”, gone through again.";

impl Install {
    /// As its page shows it: a step that says something else than when it was looked at is open again.
    #[must_use]
    pub fn as_shown(mut self, kit: &InstallKit) -> Self {
        let sheet = sheet_of(&self, kit);
        self.look_again(&sheet.causes);
        self
    }

    /// What a step shows now, in short; nothing for one whose tick holds whatever it shows.
    #[must_use]
    pub fn cause(&self, kit: &InstallKit, step: InstallStep) -> Option<String> {
        sheet_of(self, kit).causes.remove(&step)
    }
}

/// A permanent install with these entries.
#[must_use]
pub fn view(id: InstallId, ordered: &[(Entry, bool)], kit: &InstallKit, present: &Present) -> InstallView {
    let mut install = Install::fold(ordered);
    let sheet = sheet_of(&install, kit);
    install.look_again(&sheet.causes);
    let plan = install.plan.as_ref().map(|saved| &saved.said);
    let safety = safety_shown(&install, kit);
    let at_bench = kit.at_bench();
    let checks = checks(&install, kit);
    let strung = strung_checks(&install, kit, &sheet);
    let listen = heard(&install, kit);
    let iron = iron(&safety, &at_bench, present);
    let sound = sound(&safety, &at_bench, present, sheet.unexplained);
    let known = StepsKnown { install: &install, sheet: &sheet, checks: &checks, strung: &strung, listen: &listen };
    let mut waiting = Vec::new();
    let steps = InstallStep::ALL
        .into_iter()
        .map(|step| InstallStepView {
            before: waits_for(&install, step, &mut waiting),
            ..known.step(step, &iron, &sound)
        })
        .collect();
    let acts = |acts: &[InstallTask]| {
        let view = |(n, act): (usize, &InstallTask)| act_view(&install, kit, &sheet, *act, n + 1, acts.len());
        acts.iter().enumerate().map(view).collect()
    };
    let (opening, soldering, closing) =
        (acts(&InstallTask::OPEN), acts(&InstallTask::SOLDER), acts(&InstallTask::CLOSE));
    let room = install.readings.iter().max_by_key(|read| read.at).and_then(|read| read.said.taken.room);
    InstallView {
        id,
        title: kit.title(),
        begun: install.begun,
        last: install.last,
        state: install.state(),
        struck_out: install.struck_out,
        given_up_because: install.given_up.as_ref().map(|saved| saved.said.clone()),
        outcome: outcome(&install, kit, &sheet, &checks.iter().chain(&strung).cloned().collect::<Vec<_>>()),
        demo: install.demo,
        on: kit.on.clone(),
        audition_title: title(kit.audition.choice.as_ref().map(|saved| &saved.said), &kit.heard),
        unrecorded: (install.state() == InstallState::Open).then(|| kit.unrecorded_out(&install)).flatten(),
        unproven: kit.unproven(),
        next: install.next(),
        steps,
        plan: plan_view(&install, kit, &sheet),
        before: BeforeView { photos: photos(&install.safety), ..sheet.before.clone() },
        parts: parts(
            plan,
            &sheet.hookup,
            kit.guitar.as_ref().map(|guitar| &guitar.controls),
            install.parts.as_ref().map(|saved| &saved.said),
            &kit.on.place,
        ),
        circuit: install.parts.as_ref().map(|saved| saved.said.in_words()),
        iron,
        sound,
        opening,
        acts: soldering,
        proof: ProofView {
            mend: mend(&sheet, checks.iter().chain(&strung)),
            cautions: cautions_read(&safety, &at_bench, present, Moment::Proof),
            room: room.map(|room| room.shown()),
            ..proof_view(kit, &sheet, checks)
        },
        closing,
        strung,
        listen,
        will_change: will_change(kit),
        written: entry_lines(ordered),
        newer: install.newer,
        way_round: sheet.way_round,
        way_round_in_inches: sheet.way_round_in_inches,
        way_drawn: sheet.way_drawn,
        phase: sheet.phase,
        hookup: sheet.hookup,
        room: sheet.room,
        jack: sheet.jack,
    }
}

/// What was done for safety, as the page shows it.
fn safety_shown(install: &Install, kit: &InstallKit) -> Audition {
    let mut safety = kit.safety(install);
    if install.state() == InstallState::Done {
        // Nothing waits for the list any more: it shows what was done before the iron.
        let lit = safety.ticks_when_lit.clone();
        safety.ticks.extend(lit);
    }
    if !install.is_over(InstallStep::Iron) {
        // What is soldered from now on waits for the list again.
        safety.ticks_when_lit.clear();
    }
    safety
}

fn plan_view(install: &Install, kit: &InstallKit, sheet: &Sheet) -> PlanView {
    let plan = install.plan.as_ref().map(|saved| &saved.said);
    PlanView {
        asked: places_asked(install, kit),
        form: PlanForm::of(plan.unwrap_or(&sheet.suggested)),
        chosen: plan.is_some(),
        words: plan.map(plan_in_words).unwrap_or_default(),
        modes: kit.modes_offered(),
        switches: sheet.switches.clone(),
        selector: kit.selector_here().offered(),
        verdict: sheet.plan.clone(),
        controls: kit.controls_in_words(),
    }
}

/// The proof as the sheet has it, before cautions, the room and what comes before mending.
fn proof_view(kit: &InstallKit, sheet: &Sheet, checks: Vec<CheckView>) -> ProofView {
    ProofView {
        next: sheet.readings.iter().find(|one| one.reading.is_none()).map(|one| one.at.clone()),
        readings: sheet.readings.clone(),
        verdict: sheet.proof.clone(),
        slip: sheet.slip.clone(),
        diagnosis: sheet.diagnosis.clone(),
        probed: sheet.probed.clone(),
        beside: sheet.beside.clone(),
        mend: None,
        checks,
        cautions: Vec::new(),
        meter: format!("{}, {}", kit.meter.label, kit.meter.claim.shown()),
        room: None,
    }
}

/// What the steps are told from.
struct StepsKnown<'a> {
    install: &'a Install,
    sheet: &'a Sheet,
    checks: &'a [CheckView],
    strung: &'a [CheckView],
    listen: &'a [HeardBefore],
}

impl StepsKnown<'_> {
    /// How a step stands.
    fn step(&self, step: InstallStep, iron: &IronView, sound: &SoundView) -> InstallStepView {
        let Self { install, sheet, checks, strung, listen } = *self;
        let mut open = open_points(step, install, sheet, checks, strung, listen);
        if sound.sounding && matches!(step, InstallStep::Proof | InstallStep::Listen) {
            open.push("The sound is up. Volume down first, then go on.".to_owned());
        }
        let held = step == InstallStep::Iron
            && !install.is_over(step)
            && iron.holds.iter().any(|hold| hold.overridden.is_none());
        let passed = install.over.get(&step).map(|saved| saved.said.clone()).filter(|why| !why.is_empty());
        let status = match (install.is_over(step), &passed) {
            // What was open when it was passed may be settled since.
            (true, Some(_)) if !open.is_empty() => Status::Skipped,
            // A plan that can't be had is no good one, whoever wanted it.
            (true, None) if step == InstallStep::Plan && !open.is_empty() => Status::Skipped,
            (true, _) => Status::Done,
            (false, _) if held => Status::Held,
            (false, _) => Status::Open,
        };
        InstallStepView {
            step,
            name: step.name().to_owned(),
            reason: reason(install, step).to_owned(),
            status,
            open,
            unsure: match step {
                InstallStep::Phase => not_met(install, sheet),
                InstallStep::Proof => [unsure(sheet), not_told(checks)].concat(),
                InstallStep::Listen => not_told(strung.iter().chain(listen.iter().map(|heard| &heard.check))),
                _ => Vec::new(),
            },
            passed,
            invalidated: install.invalidated.get(&step).cloned(),
            before: None,
            spoken: if step == InstallStep::Iron { iron.spoken.clone() } else { spoken(install, step, sheet) },
        }
    }
}

/// That steps before this one are not over, while the install goes on; `waiting` gathers them.
fn waits_for(install: &Install, step: InstallStep, waiting: &mut Vec<&'static str>) -> Option<String> {
    if install.is_over(step) || install.state() != InstallState::Open {
        return None;
    }
    let sentence = before(waiting);
    waiting.push(step.name());
    sentence
}

/// Why a step is there; nothing where it asks for what was done.
fn reason(install: &Install, step: InstallStep) -> &'static str {
    match (step, install.state()) {
        (InstallStep::Done, InstallState::Done | InstallState::GivenUp | InstallState::StruckOut) => "",
        (_, _) => step.reason(),
    }
}

/// A step as it is said aloud.
fn spoken(install: &Install, step: InstallStep, sheet: &Sheet) -> String {
    let begun = format!("{}. {}", step.name(), reason(install, step));
    let begun = begun.trim_end().to_owned();
    if step != InstallStep::Hookup {
        return begun;
    }
    let lines = sheet.hookup.joints.iter().map(|joint| format!("{} to {}.", joint.what, joint.at));
    std::iter::once(begun).chain(lines).collect::<Vec<_>>().join(" ")
}

fn unanswered(check: &CheckView) -> bool {
    check.answers.iter().all(|one| !one.chosen)
}

/// What nobody can tell by what is known, once every reading is taken.
fn unsure(sheet: &Sheet) -> Vec<String> {
    let missing = sheet.readings.iter().any(|one| one.reading.is_none());
    let proof = sheet.proof.iter().filter(|verdict| !missing && verdict.kind == VerdictKind::Unsure);
    proof.map(|verdict| verdict.sentence.clone()).collect()
}

/// How pickups meet where that is not known, and what tells it: tap and compass while the old wiring stands, then the ear.
fn not_met(install: &Install, sheet: &Sheet) -> Vec<String> {
    // What is over asks for no test any more.
    if install.state() != InstallState::Open {
        return Vec::new();
    }
    let soldered = install.is_over(InstallStep::Iron) || install.acts.contains_key(&InstallTask::OldOut);
    let told = |pair: &TogetherView| {
        let (word, tells) = match pair.phase.kind {
            VerdictKind::Unsure if pair.hum.word.is_empty() => (&pair.phase.word, "Tap and compass tell"),
            VerdictKind::Unsure => (&pair.phase.word, "A tap tells"),
            VerdictKind::Good if pair.hum.word == HUM_NOT_KNOWN => (&pair.hum.word, "A compass tells"),
            VerdictKind::Good | VerdictKind::Bad => return None,
        };
        let tells = if soldered {
            "The ear tells it, once the strings are on.".to_owned()
        } else {
            format!("{tells} it, before the iron is hot.")
        };
        Some(format!("{}: {}. {tells}", capital(&pair.title), word.to_lowercase()))
    };
    sheet.phase.pairs.iter().filter_map(told).collect()
}

/// Questions that were answered, and nobody could tell.
fn not_told<'a>(checks: impl IntoIterator<Item = &'a CheckView>) -> Vec<String> {
    let unsure = |check: &&CheckView| check.verdict.as_ref().is_some_and(|one| one.kind == VerdictKind::Unsure);
    checks.into_iter().filter(unsure).map(|check| format!("{} Can't tell.", check.asked)).collect()
}

/// What comes before the iron or a hand goes to what is wrong; nothing while nothing is.
fn mend<'a>(sheet: &Sheet, mut checks: impl Iterator<Item = &'a CheckView>) -> Option<String> {
    let heard = checks.any(|check| check.verdict.as_ref().is_some_and(|one| one.kind == VerdictKind::Bad));
    let wrong = sheet.diagnosis.is_some() && sheet.slip.is_none();
    (wrong || heard).then(|| MEND.to_owned())
}

/// What is not right or not proven in a step.
fn open_points(
    step: InstallStep,
    install: &Install,
    sheet: &Sheet,
    checks: &[CheckView],
    strung: &[CheckView],
    listen: &[HeardBefore],
) -> Vec<String> {
    let bad = |verdict: &Verdict| verdict.kind == VerdictKind::Bad;
    let sentences = |verdict: &Option<Verdict>| -> Vec<String> {
        verdict.iter().filter(|verdict| bad(verdict)).map(|verdict| verdict.sentence.clone()).collect()
    };
    let not_answered = |checks: &[CheckView]| match checks.iter().filter(|check| unanswered(check)).count() {
        0 => None,
        1 => Some("One listening question is not answered.".to_owned()),
        count => Some(format!("{count} listening questions are not answered.")),
    };
    let wrong = |check: &CheckView| check.verdict.as_ref().filter(|verdict| bad(verdict)).map(|v| v.sentence.clone());
    match step {
        InstallStep::Plan => sentences(&sheet.plan),
        InstallStep::Hookup if sheet.plan.is_some() => sentences(&sheet.plan),
        InstallStep::Hookup => sentences(&sheet.hookup.verdict),
        InstallStep::Room => {
            // What is wrong with it stands above.
            let wrong = sheet.room.iter().filter(|line| bad(&line.verdict));
            wrong.map(|line| format!("{}: {}.", line.name, line.verdict.word.to_lowercase())).collect()
        }
        InstallStep::Phase => {
            let wrong = sheet.phase.pairs.iter().filter(|pair| bad(&pair.phase));
            let wrong = wrong.map(|pair| format!("{}: {}.", capital(&pair.title), pair.phase.word.to_lowercase()));
            // What is wrong with the coils of the new pickup alone is said once, whatever it stands beside.
            let own = sentences(&sheet.fights);
            if own.is_empty() { wrong.collect() } else { own }
        }
        InstallStep::Proof => {
            let mut open = Vec::new();
            let missing = sheet.readings.iter().filter(|one| one.reading.is_none()).count();
            match missing {
                0 => {}
                1 => open.push("One reading at the jack is not taken.".to_owned()),
                count => open.push(format!("{count} readings at the jack are not taken.")),
            }
            if missing == 0 {
                open.extend(sheet.proof.iter().filter(|verdict| bad(verdict)).map(|v| v.sentence.clone()));
            }
            open.extend(not_answered(checks));
            open.extend(checks.iter().filter_map(wrong));
            open
        }
        InstallStep::Listen => {
            // The acts themselves stand above.
            let mut open: Vec<String> =
                match InstallTask::CLOSE.iter().filter(|act| !install.acts.contains_key(act)).count() {
                    0 => Vec::new(),
                    1 => vec!["One act is not done.".to_owned()],
                    count => vec![format!("{count} acts are not done.")],
                };
            open.extend(not_answered(strung));
            open.extend(strung.iter().filter_map(wrong));
            open.extend(
                listen
                    .iter()
                    .filter(|heard| unanswered(&heard.check))
                    .map(|heard| format!("Nobody has said how “{}” sounds now.", heard.mode.0)),
            );
            open.extend(listen.iter().filter_map(|heard| wrong(&heard.check)));
            open
        }
        InstallStep::AsItWas => open_as_it_was(install, sheet),
        InstallStep::WayRound
        | InstallStep::Jack
        | InstallStep::Parts
        | InstallStep::Iron
        | InstallStep::Solder
        | InstallStep::Done => Vec::new(),
    }
}

/// What is not read, pictured or noted of the guitar as it was.
fn open_as_it_was(install: &Install, sheet: &Sheet) -> Vec<String> {
    let mut open = Vec::new();
    match sheet.before.readings.iter().filter(|one| one.reading.is_none()).count() {
        0 => {}
        1 => open.push("One position was not read as the guitar was.".to_owned()),
        count => open.push(format!("{count} positions were not read as the guitar was.")),
    }
    // Who says that it is noted has answered for the photo too.
    if InstallTask::OPEN.iter().any(|act| !install.acts.contains_key(act)) {
        let sentence = if install.safety.photos.is_empty() {
            "There is no photo of the wiring as it was, and nobody has said that it is noted."
        } else {
            "Nobody has said that the old wiring is pictured and noted."
        };
        open.push(sentence.to_owned());
    }
    open
}

fn act_view(install: &Install, kit: &InstallKit, sheet: &Sheet, act: InstallTask, number: usize, of: usize) -> ActView {
    let data = text_of(act);
    let done = install.acts.get(&act);
    let here = match act {
        InstallTask::OldOut => kit.what_comes_out().into_iter().collect(),
        InstallTask::SetIn => sheet.set_in.clone(),
        InstallTask::Joined => {
            sheet.hookup.joints.iter().map(|joint| format!("{} to {}", joint.what, joint.at)).collect()
        }
        InstallTask::Insulated => sheet.hookup.insulated.iter().map(ToString::to_string).collect(),
        InstallTask::HeightsSet => sheet.heights.clone(),
        InstallTask::OldPictured
        | InstallTask::Tinned
        | InstallTask::Cooled
        | InstallTask::Tugged
        | InstallTask::Closed
        | InstallTask::Strung => Vec::new(),
    };
    // Heights alone tell a length.
    let here_in_inches = if act == InstallTask::HeightsSet { sheet.heights_in_inches.clone() } else { Vec::new() };
    let waits = install.waits(act).map(str::to_owned);
    ActView {
        act,
        number: format!("{number} of {of}"),
        say: data.say.to_owned(),
        how: data.how.to_owned(),
        caution: data.caution.to_owned(),
        spoken: format!("{number}. {} {} {}", data.say, data.how, data.caution),
        here,
        here_in_inches,
        waits,
        done: done.map(|saved| saved.at),
        words: done.map(|saved| saved.said.clone()).unwrap_or_default(),
    }
}

fn will_change(kit: &InstallKit) -> Vec<String> {
    let mut lines = vec![format!("{} lives in {}, {}.", kit.pickup_label(), kit.guitar_label(), kit.on.place)];
    lines.extend(kit.what_comes_out());
    if let Some(out) = &kit.coming_out {
        lines.push(format!("{} goes into the drawer.", out.label));
    }
    lines
}

fn outcome(install: &Install, kit: &InstallKit, sheet: &Sheet, told: &[CheckView]) -> Vec<String> {
    match install.state() {
        InstallState::Open => Vec::new(),
        InstallState::GivenUp | InstallState::StruckOut => vec!["Nothing was changed in the records.".to_owned()],
        InstallState::Done => {
            let mut lines = vec![format!("{} lives in {}, {}.", kit.pickup_label(), kit.guitar_label(), kit.on.place)];
            if let Some(out) = &kit.coming_out {
                lines.push(format!("{} came out and lies in the drawer.", out.label));
            }
            let words = install.done.iter().map(|saved| saved.said.words.clone()).filter(|words| !words.is_empty());
            lines.extend(words);
            let passed = install.passed_open();
            lines.extend(unsure(sheet).into_iter().map(|one| format!("Proof: {one}")));
            lines.extend(not_told(told));
            lines.extend(passed.iter().map(|step| format!("“{}” was passed with something open.", step.name())));
            lines
        }
    }
}
