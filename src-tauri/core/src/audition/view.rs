//! An audition as its pages show it: every number with its unit, every verdict with its reason.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::{Audition, MEASURED_AGAIN};
use super::gaps::{GapsView, gaps_view};
use super::judged::{agreement, beside, diagnosis, meter_verdict};
use super::present::{HearingView, Present};
use super::steps::{
    Kit, State, StepView, confirmed, held_by, hold_view, hookup, hookup_or_meant, is_over, read_cautions, situation,
    spoken, state, steps,
};
use super::told::{QuestionView, questions};
use crate::listening::{HOW_TO_LISTEN, HeardIn, Reference, how_to_rate};
use crate::physics::leads::HookupMap;
use crate::physics::meter::{Diagnosis, ModeExpectation};
use crate::physics::sides::{Sides, sides};
use crate::physics::{leads, meter};
use crate::record::audition::{AuditionId, Choice, FinalPlace, HookedUp, Look, Step};
use crate::record::claim::Meter;
use crate::record::entry::Entry;
use crate::record::guitar::{FinishKind, Guitar, Surface};
use crate::record::leads::SHIELD;
use crate::record::listening::{Quality, Than};
use crate::record::meter::{Care, Probe};
use crate::record::mounting::{Lie, Mounting, Side};
use crate::record::names::EntryId;
use crate::record::photo::PhotoName;
use crate::record::pickup::{CoilEnd, CoilName, End, Pickup, ShieldKind};
use crate::record::quantity::{Length, LengthUnit, Millimetres, Ohms, Reading};
use crate::record::rig::{Faces, Feet, Mode, Rig};
use crate::record::seat::{Barrier, FinishAnswer, Seating};
use crate::record::sound::level_shown;
use crate::record::tick::Tick;
use crate::record::told::string_ground_in_words;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::safety::cautions::{CautionView, Moment, SignalWord, Situation};
use crate::safety::finish;
use crate::safety::finish::{CountdownView, FinishVerdict, HOW_IT_LIES, HOW_TO_HOLD, HOW_TO_LOOK, Slides};
use crate::safety::holds::{HoldView, SafetyHold};
use crate::safety::stop_lists::{OrderView, StopList};
use crate::saved::lines::{InkLine, ink};

/// What is fitted at a place, where nobody has written it down.
pub(crate) const FITTED_NOW: &str = "the pickup that is fitted now";

/// One audition, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct AuditionView {
    /// Its name for good.
    pub id: AuditionId,
    /// "Pickup on guitar, place".
    pub title: String,
    /// When it was begun.
    #[ts(type = "string | null")]
    pub begun: Option<DateTime<Utc>>,
    /// When it was written in last.
    #[ts(type = "string | null")]
    pub last: Option<DateTime<Utc>>,
    /// Open, finished or ended early.
    pub state: State,
    /// Why it was ended early.
    pub ended_because: Option<String>,
    /// The step to go on with.
    pub next: Option<Step>,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// What was chosen.
    pub choice: Option<Choice>,
    /// From the saddle to the pole line.
    pub from_saddle: Option<Length>,
    /// Where the pickup will be installed, if that was said.
    pub final_place: Option<FinalPlace>,
    /// The tuning as it was typed, when it is not the guitar record's; empty otherwise.
    pub tuning: String,
    /// The pickup as it was described then.
    pub pickup: Option<Pickup>,
    /// The guitar as it was described then.
    pub guitar: Option<Guitar>,
    /// The rig as it was described then.
    pub rig: Option<Rig>,
    /// Where the bass strings are on a picture of this guitar.
    pub sides: Sides,
    /// The nine steps.
    pub steps: Vec<StepView>,
    /// Which way round.
    pub which_way: WhichWayView,
    /// Leads.
    pub leads: LeadsView,
    /// Meter.
    pub meter: MeterView,
    /// Seat the rig.
    pub seat: SeatView,
    /// Gaps.
    pub gaps: GapsView,
    /// Sound up.
    pub sound_up: OrderView,
    /// Listen.
    pub listen: ListenView,
    /// Take down.
    pub take_down: OrderView,
    /// Today's hearing, and the level at the ear.
    pub hearing: HearingView,
    /// How the time on the finish stands, while the rig stands on one.
    pub on_finish: Option<CountdownView>,
    /// Photos of the finish, in the order they were taken.
    pub photos: Vec<PhotoView>,
    /// Holds that were passed on somebody's own word, whether they still stand or not.
    pub overrides: Vec<OverrideView>,
    /// Before the iron is lit.
    pub iron: IronView,
    /// Everything that was written, oldest first, struck-out lines included.
    pub written: Vec<InkLine>,
    /// How many entries a newer version wrote.
    pub newer: usize,
    /// What was decided by it for its guitar, in words; nothing where nothing was, or no longer stands.
    pub decided: Option<String>,
}

/// How the pickup lies, and how it should.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct WhichWayView {
    /// As confirmed.
    pub mounting: Option<Mounting>,
    /// As confirmed, in words; empty before.
    pub words: String,
    /// The lie to begin to look from: the confirmed one, or as it comes out of the drawer.
    pub lie: Lie,
    /// Whether its ends can be told apart, as far as it was said.
    pub marked: bool,
    /// What to do, in a sentence.
    pub instruction: String,
    /// How the bass end is marked.
    pub mark: String,
    /// What the confirmed lie comes to, in sentences; what stays different whichever way it lies comes last.
    pub sentences: Vec<String>,
}

/// The terminal block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct LeadsView {
    /// One row a terminal.
    pub terminals: Vec<TerminalView>,
    /// Every lead of the pickup, by name; the shield last.
    pub names: Vec<String>,
    /// Where the suggestion comes from.
    pub suggestion: String,
    /// What each mode does with the leads as they are in the terminals, or as suggested while none is; nothing where the
    /// ends are not known.
    pub hookup: Option<HookupMap>,
}

/// One terminal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct TerminalView {
    /// Its place on the block, counted from 0.
    pub terminal: u8,
    /// Its name on the block.
    pub name: String,
    /// The coil end that belongs there, in words.
    pub role: String,
    /// The leads that belong there, as far as they are known.
    pub suggested: Vec<String>,
    /// The leads that are there.
    pub hooked: Option<HookedUp>,
}

/// The readings beside what was expected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct MeterView {
    /// One row a chosen mode, in the order of the rig's switch.
    pub modes: Vec<ModeReading>,
    /// The verdict on all readings together.
    pub verdict: Option<Verdict>,
    /// What is wrong and what to do, where something may be.
    pub diagnosis: Option<Diagnosis>,
    /// What was probed beside the ordinary readings, in the order it was.
    pub probed: Vec<ProbedLine>,
    /// What was measured before something was changed or mended, in the order it was; nothing is made of it any more.
    pub before: Vec<ProbedLine>,
    /// Asked where a mode reads other than it did while the others were not measured again.
    pub mended: Option<String>,
    /// The meter and its claim, in words.
    pub meter: String,
    /// What a resistance can't show.
    pub cannot_show: String,
    /// The room's temperature as typed last, shown.
    pub room: Option<String>,
}

/// A measurement beside the ordinary readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ProbedLine {
    /// The entry that holds it.
    pub entry: EntryId,
    /// Where the probes were.
    pub words: String,
    /// The reading, shown.
    pub reading: String,
}

/// Asks whether something was mended, where a mode reads other than the meter's claim allows against before.
fn mended(audition: &Audition, meter: &Meter) -> Option<String> {
    let apart = |a: Reading, b: Reading| match (a.ohms(), b.ohms()) {
        (Some(a), Some(b)) => (a.0 - b.0).abs() > meter.claim(a).0 + meter.claim(b).0,
        (None, None) => false,
        (Some(_), None) | (None, Some(_)) => true,
    };
    let (mode, old, new) = audition.readings.iter().find_map(|(mode, now)| {
        let was = audition.before.iter().rev().find(|inked| {
            inked.said.since == MEASURED_AGAIN
                && matches!(&inked.said.taken.probe, Probe::Output { mode: of, .. } if of == mode)
        })?;
        let (old, new) = (was.said.taken.reading, now.said.reading);
        let others = audition.readings.iter().any(|(other, taken)| other != mode && taken.at < now.at);
        // A slip of the pen that was put right is no repair.
        let ratio = old.ohms().zip(new.ohms()).map(|(old, new)| (old.0 / new.0).log10().abs());
        let slip = ratio.is_some_and(|ratio| ratio > 0.9 && (ratio - ratio.round()).abs() < 0.05);
        (others && !slip && apart(old, new)).then_some((mode, old, new))
    })?;
    Some(format!(
        "{} read {} before, and reads {} now. If something was mended in between, the other modes have to be measured again.",
        crate::record::words::capital(&mode.0),
        old.shown(),
        new.shown()
    ))
}

/// One mode's reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ModeReading {
    /// The mode.
    pub mode: Mode,
    /// Sets of terminals joined in it, counted from 0.
    pub bonds: Vec<Vec<u8>>,
    /// Ground and tip of the output, counted from 0.
    pub output: [u8; 2],
    /// What to expect.
    pub expected: Option<ModeExpectation>,
    /// The least and the most that could be read here, in ohms: what is typed is held against it, so that a slip is asked
    /// about. Nothing where that is not known.
    pub plausible: Option<[Ohms; 2]>,
    /// The reading, shown.
    pub reading: Option<String>,
    /// The entry that holds it.
    pub entry: Option<EntryId>,
    /// What it comes to.
    pub verdict: Option<Verdict>,
}

/// The rig and the finish.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct SeatView {
    /// What was answered.
    pub finish: Option<FinishAnswer>,
    /// The guitar's finish as its record says.
    pub known_kind: FinishKind,
    /// The guitar's surface as its record says.
    pub known_surface: Surface,
    /// The feet the rig's record says.
    pub feet: Feet,
    /// How it was seated.
    pub seating: Option<Seating>,
    /// What may touch the finish, by the answer.
    pub guard: Option<FinishVerdict>,
    /// How to look at a finish, before and after.
    pub how_to_look: Vec<String>,
    /// How the guitar lies before the rig goes on, in a sentence.
    pub how_it_lies: String,
    /// On which feet and barriers a rig slides, so that something has to hold it.
    pub slides: Vec<Slides>,
    /// What to do where it slides.
    pub how_to_hold: String,
    /// What may lie between feet and finish, in words.
    pub between: Vec<BarrierWords>,
}

/// What lies between feet and finish, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct BarrierWords {
    /// Which it is.
    pub barrier: Barrier,
    /// What it is called.
    pub name: String,
    /// The same where it is not said what it lies between.
    pub words: String,
}

/// A photo of the finish.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct PhotoView {
    /// The entry that holds it.
    pub entry: EntryId,
    /// When it was taken.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// Before the rig stood there, or after.
    pub look: Look,
    /// Its name.
    pub photo: PhotoName,
}

/// A hold that was passed on somebody's own word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct OverrideView {
    /// The entry that passed it.
    pub entry: EntryId,
    /// When.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// How bad it is to go on.
    pub word: SignalWord,
    /// Why it stops.
    pub reason: String,
    /// The reason given.
    pub why: String,
}

/// Before the soldering iron is lit, and while it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct IronView {
    /// The stop list.
    pub order: OrderView,
    /// What can hurt, worst first.
    pub cautions: Vec<CautionView>,
    /// What else can hurt before the iron, while the guitar is opened.
    pub opening: Vec<CautionView>,
    /// What holds it, passed holds included.
    pub holds: Vec<HoldView>,
    /// What may be told of the bench.
    pub questions: Vec<QuestionView>,
    /// All of it as it is read aloud.
    pub spoken: String,
    /// Since when the iron is on, if it is.
    #[ts(type = "string | null")]
    pub lit: Option<DateTime<Utc>>,
}

/// What was heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ListenView {
    /// One card a chosen mode.
    pub modes: Vec<HeardMode>,
    /// How to listen, in sentences.
    pub how: Vec<String>,
    /// The amplifier and its settings.
    pub amp: String,
    /// What is fitted at the place now, in words; "the pickup that is fitted now" where nobody has written that down.
    pub fitted: String,
    /// The reference, without its notes: they are shown when they are asked for.
    pub reference: Option<Reference>,
}

/// What was heard in one mode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct HeardMode {
    /// The mode.
    pub mode: Mode,
    /// Each quality with its scale.
    pub rated: Vec<RatedView>,
    /// The words.
    pub note: String,
    /// What it was heard in, recorded by itself.
    pub heard_in: String,
    /// Whether the notes of the reference were looked at in this mode.
    pub looked: bool,
}

/// One quality's scale.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct RatedView {
    /// Which quality.
    pub quality: Quality,
    /// Its name.
    pub name: String,
    /// The words for 1 to 5.
    pub anchors: [String; 5],
    /// 1 to 5, if it was rated.
    pub value: Option<u8>,
    /// Whether the reference was looked at before it was rated.
    pub led: bool,
    /// As it compares with what is fitted now, if that was said.
    pub against: Option<Than>,
    /// With less of it, and with more.
    pub compared: [String; 2],
    /// What to see to when it is rated, if anything.
    pub how: Option<String>,
}

/// An audition as its pages show it.
#[must_use]
pub fn view(id: AuditionId, ordered: &[(Entry, bool)], kit: Kit, present: &Present) -> AuditionView {
    let audition = Audition::fold(ordered);
    let choice = audition.choice.as_ref().map(|inked| inked.said.clone());
    let steps = steps(&audition, &kit, present);
    let (state, next) = state(&audition, kit.rig.as_ref().map(|rig| rig.terminals.len()));
    // A step that is answered but wrong comes before one that was never opened.
    let next = match state {
        State::Open => steps
            .iter()
            .find(|step| !matches!(step.status, super::Status::Done | super::Status::Skipped))
            .map(|step| step.step)
            .or(next),
        State::Finished | State::EndedEarly => None,
    };
    AuditionView {
        id,
        title: title(choice.as_ref(), &kit),
        begun: audition.begun,
        last: audition.last,
        state,
        ended_because: audition.ended_early.as_ref().map(|inked| inked.said.clone()),
        next,
        demo: audition.demo,
        from_saddle: choice.as_ref().map(|choice| choice.from_saddle.into()),
        final_place: audition.final_place.as_ref().map(|inked| inked.said.clone()),
        tuning: audition
            .tuned
            .as_ref()
            .map(|tuned| tuned.said.iter().map(|note| note.shown()).collect::<Vec<_>>().join(" "))
            .unwrap_or_default(),
        which_way: which_way(&audition, &kit),
        leads: leads(&audition, &kit),
        meter: meter_view(&audition, &kit),
        seat: seat(&audition, &kit),
        gaps: gaps_view(&audition, &kit),
        sound_up: order(&audition, StopList::SoundUp, &Situation::default(), present),
        listen: listen(&audition, &kit),
        take_down: order(&audition, StopList::TakeDown, &Situation::default(), present),
        hearing: present.hearing(&audition),
        on_finish: present.on_finish(&audition, &kit),
        photos: photos(&audition),
        overrides: overrides(&audition),
        iron: iron(&audition, &kit, present),
        written: ink(ordered),
        newer: audition.newer,
        decided: None,
        steps,
        choice,
        sides: sides(kit.guitar.as_ref()),
        pickup: kit.pickup,
        guitar: kit.guitar,
        rig: kit.rig,
    }
}

/// "Pickup on guitar, place".
#[must_use]
pub fn title(choice: Option<&Choice>, kit: &Kit) -> String {
    let Some(choice) = choice else { return "New audition".to_owned() };
    let pickup = kit.pickup.as_ref().map_or("A pickup no longer in the log", |pickup| pickup.label.as_str());
    let guitar = kit.guitar.as_ref().map_or("a guitar no longer in the log", |guitar| guitar.label.as_str());
    format!("{pickup} on {guitar}, {}", choice.place)
}

fn which_way(audition: &Audition, kit: &Kit) -> WhichWayView {
    let faces = kit.rig.as_ref().map_or(Faces::Down, |rig| rig.faces);
    let instruction = match faces {
        Faces::Down => {
            "This rig holds the pickup face down, above the strings. Roll it about its long axis, like a log, so that its \
             bass end stays over the bass strings."
        }
        Faces::Up => "This rig holds the pickup face up, below the strings. Lay it in as it would be installed.",
    };
    let mounting = audition.mounting.as_ref().map(|inked| inked.said);
    let sentences = confirmed(audition, kit).map_or_else(Vec::new, |facing| {
        let alone = facing.alone.into_iter().map(|alone| alone.sentence);
        facing.sentences.into_iter().chain(alone).chain(facing.cannot).collect()
    });
    WhichWayView {
        words: mounting.map(|mounting| mounting.in_words()).unwrap_or_default(),
        lie: mounting.map_or(Lie::INSTALLED, |mounting| mounting.lies()),
        marked: mounting.is_none_or(|mounting| mounting.is_marked()),
        mounting,
        instruction: instruction.to_owned(),
        mark: kit.pickup.as_ref().map(|pickup| pickup.bass_end_mark.clone()).unwrap_or_default(),
        sentences,
    }
}

/// The coil ends the terminals of a rig are made for, in their order.
fn role(terminal: usize) -> Option<CoilEnd> {
    let coil = *CoilName::ALL.get(terminal / 2)?;
    Some(CoilEnd { coil, end: if terminal.is_multiple_of(2) { End::Minus } else { End::Plus } })
}

fn leads(audition: &Audition, kit: &Kit) -> LeadsView {
    let Some(rig) = &kit.rig else {
        return LeadsView { terminals: Vec::new(), names: Vec::new(), suggestion: String::new(), hookup: None };
    };
    let pickup = kit.pickup.as_ref();
    let mut names: Vec<String> = pickup.iter().flat_map(|p| &p.leads).map(|lead| lead.name.clone()).collect();
    let shield = pickup.is_some_and(|p| p.shield.kind != ShieldKind::None);
    if shield {
        names.push(SHIELD.to_owned());
    }
    let known = pickup.is_some_and(|p| p.leads.iter().any(|lead| !lead.ends.is_empty()));
    let best = pickup.filter(|_| known).map(|pickup| leads::hookup(pickup, rig));
    let told = |pickup: &Pickup, joined: &[meter::Joined]| leads::as_hooked_up(pickup, rig, joined, &kit.measured);
    let mut joined = hookup(audition);
    // Leads that are not in yet go where they are meant to: what a mode does is told of the whole hookup.
    for place in best.iter().flat_map(|map| &map.places) {
        let is_in = |lead: &String| joined.iter().any(|other| other.leads.contains(lead));
        if !joined.is_empty() && !audition.hooked.contains_key(&place.terminal) {
            let leads: Vec<String> = place.leads.iter().filter(|lead| !is_in(lead)).cloned().collect();
            joined.push(meter::Joined { terminal: place.terminal, leads });
        }
    }
    if joined.is_empty() {
        joined.extend(best.iter().flat_map(HookupMap::joined));
    }
    let hookup = pickup.filter(|_| known).map(|pickup| told(pickup, &joined));
    let terminals = rig
        .terminals
        .iter()
        .enumerate()
        .map(|(index, name)| {
            let role = role(index);
            let terminal = u8::try_from(index).unwrap_or(u8::MAX);
            let place = best.as_ref().and_then(|map| map.places.iter().find(|place| place.terminal == terminal));
            let mut suggested = place.map(|place| place.leads.clone()).unwrap_or_default();
            let ground = rig.positions.first().is_some_and(|position| usize::from(position.output[0]) == index);
            if best.is_none() && shield && ground {
                suggested.push(SHIELD.to_owned());
            }
            TerminalView {
                terminal,
                name: name.clone(),
                role: end_in(pickup, &suggested).or(role).map(CoilEnd::in_words).unwrap_or_default(),
                suggested,
                hooked: audition.hooked.get(&terminal).map(|inked| inked.said.clone()),
            }
        })
        .collect();
    let suggestion = if known {
        "From the pickup's own record: which lead is which end of which coil. The meter proves it in the next step."
    } else {
        "Nobody has written down which lead is which. Put them in as you think; the meter shows whether it is right."
    };
    LeadsView { terminals, names, suggestion: suggestion.to_owned(), hookup }
}

/// The hookup that a rig is meant to have with a pickup, as far as its leads are known.
#[must_use]
pub fn meant(pickup: &Pickup, rig: &Rig) -> Vec<meter::Joined> {
    if pickup.leads.iter().all(|lead| lead.ends.is_empty()) {
        return Vec::new();
    }
    leads::hookup(pickup, rig).joined()
}

/// The coil end that the first of these leads is.
fn end_in(pickup: Option<&Pickup>, leads: &[String]) -> Option<CoilEnd> {
    let first = leads.iter().find(|name| *name != SHIELD)?;
    pickup?.leads.iter().find(|lead| lead.name == *first)?.ends.first().copied()
}

fn meter_view(audition: &Audition, kit: &Kit) -> MeterView {
    let room = audition.readings.values().filter_map(|taken| taken.said.room).next_back();
    let mut modes = Vec::new();
    let agreement = agreement(audition, kit);
    if let (Some(rig), Some(choice)) = (&kit.rig, &audition.choice) {
        let joined = hookup_or_meant(audition, kit);
        let expected = |mode: &Mode| {
            let (claim, beside) = (&kit.meter.claim, beside(audition, kit, mode));
            let pickup = kit.pickup.as_ref()?;
            let all = meter::expected_beside(pickup, &joined, rig, claim, room, &kit.measured, &beside);
            all.into_iter().find(|expectation| &expectation.mode == mode)
        };
        for position in rig.positions.iter().filter(|position| choice.said.modes.contains(&position.mode)) {
            let taken = audition.readings.get(&position.mode);
            let verdict = agreement
                .as_ref()
                .filter(|_| taken.is_some())
                .and_then(|agreement| agreement.per_mode.iter().find(|verdict| verdict.mode == position.mode))
                .map(|verdict| {
                    let (kind, word) = match verdict.kind {
                        meter::AgreementKind::Agrees => (VerdictKind::Good, "Agrees"),
                        meter::AgreementKind::DoesNotAgree => (VerdictKind::Bad, "Does not agree"),
                        meter::AgreementKind::CantSay | meter::AgreementKind::NothingYet => {
                            (VerdictKind::Unsure, "Can't say yet")
                        }
                    };
                    Verdict::new(kind, word, verdict.sentence.clone())
                });
            let expected = expected(&position.mode);
            modes.push(ModeReading {
                plausible: expected.as_ref().and_then(|one| one.low.zip(one.high)).map(|(low, high)| [low, high]),
                mode: position.mode.clone(),
                bonds: position.bonds.clone(),
                output: position.output,
                expected,
                reading: taken.map(|taken| taken.said.reading.shown()),
                entry: taken.map(|taken| taken.entry),
                verdict,
            });
        }
    }
    MeterView {
        verdict: meter_verdict(audition, kit, agreement.as_ref()),
        modes,
        diagnosis: diagnosis(audition, kit),
        probed: audition
            .evidence
            .iter()
            .filter(|inked| !matches!(inked.said.probe, Probe::Output { care: Care::AsUsual, .. }))
            .map(|inked| ProbedLine {
                entry: inked.entry,
                words: inked.said.probe.in_words(),
                reading: inked.said.reading.shown(),
            })
            .collect(),
        before: audition
            .before
            .iter()
            .map(|inked| ProbedLine {
                entry: inked.entry,
                words: format!("{}, before {}", inked.said.taken.probe.in_words(), inked.said.since),
                reading: inked.said.taken.reading.shown(),
            })
            .collect(),
        mended: mended(audition, &kit.meter.claim),
        meter: format!("{}, {}", kit.meter.label, kit.meter.claim.shown()),
        cannot_show: meter::CANNOT_SHOW.to_owned(),
        room: room.map(|room| room.shown()),
    }
}

fn seat(audition: &Audition, kit: &Kit) -> SeatView {
    let finish = audition.finish.as_ref().map(|inked| inked.said.clone());
    let seating = audition.seating.as_ref().map(|inked| inked.said);
    let feet = super::steps::feet(audition, kit).unwrap_or(Feet::Loose);
    SeatView {
        guard: finish.as_ref().map(|f| finish::guard(f.kind, f.surface, f.aged, feet, f.barrier)),
        finish,
        how_to_look: HOW_TO_LOOK.map(str::to_owned).to_vec(),
        how_it_lies: HOW_IT_LIES.to_owned(),
        slides: Slides::all(),
        how_to_hold: HOW_TO_HOLD.to_owned(),
        between: Barrier::ALL
            .map(|barrier| BarrierWords { barrier, name: barrier.name().to_owned(), words: barrier.in_words() })
            .to_vec(),
        known_kind: kit.guitar.as_ref().map_or(FinishKind::Unknown, |guitar| guitar.finish.kind),
        known_surface: kit.guitar.as_ref().map_or(Surface::FlatGloss, |guitar| guitar.finish.surface),
        feet,
        seating,
    }
}

pub(super) fn order(audition: &Audition, list: StopList, known: &Situation, present: &Present) -> OrderView {
    let done = |tick: Tick| audition.ticks.get(&tick).map(|inked| (inked.at, inked.said.clone()));
    let mut view = list.view(known, done);
    // An item that was passed by writing why is not waited for.
    if view.next.is_some_and(|tick| is_over(audition, tick)) {
        view.next = view.items.iter().find(|item| !is_over(audition, item.tick)).map(|item| item.tick);
    }
    if view.next == Some(Tick::VolumeAtZero) {
        view.waits = Some(hold_view(audition, SafetyHold::AmpNotAtZero, present));
    }
    view
}

pub(crate) fn photos(audition: &Audition) -> Vec<PhotoView> {
    let view = |inked: &super::Inked<(Look, PhotoName)>| PhotoView {
        entry: inked.entry,
        at: inked.at,
        look: inked.said.0,
        photo: inked.said.1.clone(),
    };
    audition.photos.iter().map(view).collect()
}

fn overrides(audition: &Audition) -> Vec<OverrideView> {
    let view = |inked: &super::Inked<super::Override>| {
        let hold = SafetyHold::named(&inked.said.hold);
        OverrideView {
            entry: inked.entry,
            at: inked.at,
            word: hold.map_or(SignalWord::Warning, SafetyHold::word),
            reason: hold.map_or_else(|| inked.said.hold.clone(), |hold| hold.reason().to_owned()),
            why: inked.said.why.clone(),
        }
    };
    audition.overrides.iter().map(view).collect()
}

/// Before the iron is lit, and while it is, by what was ticked and told.
pub(crate) fn iron(audition: &Audition, kit: &Kit, present: &Present) -> IronView {
    let known = situation(audition, kit, &None, present, Moment::Iron);
    let cautions = read_cautions(audition, &known);
    let told = |question| audition.told.get(&question).map(|inked| inked.said);
    let mut opening = read_cautions(audition, &Situation { moment: Some(Moment::Fit), ..known.clone() });
    opening.retain(|caution| cautions.iter().all(|other| other.id != caution.id));
    IronView {
        opening,
        order: order(audition, StopList::Iron, &known, present),
        spoken: spoken(StopList::Iron.title(), "Say each thing aloud, and do it.", &cautions, Some(StopList::Iron)),
        cautions,
        holds: held_by(audition, &known, present),
        questions: questions(Moment::Iron, told),
        lit: audition.iron_lit,
    }
}

/// What can hurt at a moment, by what was told and read.
pub(crate) fn cautions_read(audition: &Audition, kit: &Kit, present: &Present, moment: Moment) -> Vec<CautionView> {
    read_cautions(audition, &situation(audition, kit, &None, present, moment))
}

/// What was heard, mode by mode.
pub(crate) fn listen(audition: &Audition, kit: &Kit) -> ListenView {
    let rated = |mode: &Mode, quality: Quality| {
        let key = (mode.clone(), quality);
        let rating = audition.rated.get(&key).map(|inked| inked.said);
        RatedView {
            quality,
            name: quality.name().to_owned(),
            anchors: quality.anchors().map(str::to_owned),
            value: rating.map(|rating| rating.value),
            led: rating.is_some_and(|rating| rating.led),
            against: audition.against.get(&key).map(|inked| inked.said),
            compared: quality.compared().map(str::to_owned),
            how: how_to_rate(quality, audition.string_ground()).map(str::to_owned),
        }
    };
    let modes = audition.choice.iter().flat_map(|choice| &choice.said.modes).map(|mode| HeardMode {
        mode: mode.clone(),
        rated: Quality::ALL.iter().map(|quality| rated(mode, *quality)).collect(),
        note: audition.notes.get(mode).map(|inked| inked.said.clone()).unwrap_or_default(),
        heard_in: audition.heard_in.get(mode).map(|heard_in| heard_in_words(mode, heard_in, kit)).unwrap_or_default(),
        looked: audition.looked.contains_key(mode),
    });
    ListenView {
        modes: modes.collect(),
        how: HOW_TO_LISTEN.map(str::to_owned).to_vec(),
        amp: audition.amp.as_ref().map(|inked| inked.said.clone()).unwrap_or_default(),
        fitted: FITTED_NOW.to_owned(),
        reference: None,
    }
}

fn heard_in_words(mode: &Mode, heard_in: &HeardIn, kit: &Kit) -> String {
    let mut parts = vec![mode.0.clone()];
    if let Some(choice) = &heard_in.choice {
        let from = choice.from_saddle.shown(LengthUnit::Millimetre);
        parts.push(format!("{}, {from} from the saddle", choice.place));
    }
    match &heard_in.gaps {
        Some(gaps) => {
            let shown = |gap: Millimetres| gap.shown(LengthUnit::Millimetre);
            parts.push(format!("gaps {} and {}", shown(gaps.bass), shown(gaps.treble)));
        }
        None => parts.push("gaps not measured".to_owned()),
    }
    if heard_in.mounting.is_some_and(|mounting| mounting.bass_end_over == Some(Side::Treble)) {
        parts.push("bass end over the treble strings".to_owned());
    }
    parts.push(heard_in.amp.clone().unwrap_or_else(|| "amplifier not written down".to_owned()));
    parts.extend(heard_in.level.map(|level| level_shown(level.level())));
    parts.extend(heard_in.cable.map(|cable| format!("cable {}", cable.in_words())));
    parts.extend(heard_in.string_ground.map(|is| format!("string ground: {}", string_ground_in_words(is))));
    parts.extend(heard_in.installed.map(|is| format!("fitted pickup: {}", is.in_words())));
    if let Some(notes) = heard_in.tuned.as_ref() {
        let notes: Vec<String> = notes.iter().map(|note| note.shown()).collect();
        parts.push(format!("tuned to {}", notes.join(" ")));
    }
    parts.extend(heard_in.room.map(|room| room.shown()));
    if let Some(guitar) = &kit.guitar {
        let outer: Vec<_> = [guitar.strings.first(), guitar.strings.last()]
            .into_iter()
            .flatten()
            .filter_map(|string| string.gauge)
            .map(|gauge| format!("{:.3}", gauge.inches()).trim_start_matches('0').to_owned())
            .collect();
        if outer.len() == 2 {
            parts.push(format!("strings {} to {} in", outer[1], outer[0]));
        }
        if !guitar.strings_age.is_empty() {
            parts.push(format!("strings: {}", guitar.strings_age));
        }
    }
    parts.join("; ")
}
