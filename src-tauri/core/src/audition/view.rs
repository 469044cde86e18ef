//! An audition as its pages show it: every number with its unit, every verdict with its reason.

use super::fold::{Audition, MEASURED_AGAIN};
use super::gaps::gaps_view;
use super::judged::{agreement, beside, diagnosis, meter_verdict};
use super::present::Present;
use super::questions::questions;
use super::steps::{
    State, confirmed, held_by, hold_view, is_over, left_out, read_cautions, situation, spoken, state, steps,
};
use crate::audition::kit::{Kit, hookup, hookup_or_meant};
use crate::audition::page::{
    AuditionView, BarrierWords, HeardMode, IronView, LeadsView, ListenView, MeterView, ModeReading, OverrideView,
    PhotoView, ProbedLine, RatedView, SeatView, TerminalView, WhichWayView,
};
use crate::entry_lines::lines::entry_lines;
use crate::listening::{Conditions, HOW_TO_LISTEN, how_to_rate};
use crate::physics::leads::HookupPlace;
use crate::physics::sides::sides;
use crate::physics::{leads, meter};
use crate::record::audition::{AuditionId, Choice, PhotoKind};
use crate::record::claim::Meter;
use crate::record::entry::Entry;
use crate::record::facts::string_ground_in_words;
use crate::record::guitar::{FinishKind, Surface};
use crate::record::leads::Contact;
use crate::record::listening::Quality;
use crate::record::meter::{Care, Probe};
use crate::record::mounting::{Lie, Side, Way};
use crate::record::photo::PhotoName;
use crate::record::pickup::{CoilEnd, CoilName, End, Pickup, ShieldKind};
use crate::record::quantity::{LengthUnit, Millimetres, Reading};
use crate::record::rig::{Faces, Feet, Mode};
use crate::record::seat::Barrier;
use crate::record::sound::level_shown;
use crate::record::tick::Tick;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::safety::cautions::{CautionView, Moment, SignalWord, Situation};
use crate::safety::finish;
use crate::safety::finish::{HOW_IT_LIES, HOW_TO_HOLD, HOW_TO_LOOK, Slides};
use crate::safety::holds::{HoldView, SafetyHold};
use crate::safety::stop_lists::{OrderView, StopList};

/// What is fitted at a place, where nobody has written it down.
pub(crate) const FITTED_NOW: &str = "the pickup that is fitted now";

/// Asks whether something was mended, where a mode reads other than the meter's claim allows against before.
fn mended(audition: &Audition, meter: &Meter) -> Option<String> {
    let apart = |a: Reading, b: Reading| match (a.ohms(), b.ohms()) {
        (Some(a), Some(b)) => (a.0 - b.0).abs() > meter.claim(a).0 + meter.claim(b).0,
        (None, None) => false,
        (Some(_), None) | (None, Some(_)) => true,
    };
    let (mode, old, new) = audition.readings.iter().find_map(|(mode, now)| {
        let was = audition.before.iter().rev().find(|saved| {
            saved.said.since == MEASURED_AGAIN
                && matches!(&saved.said.taken.probe, Probe::Output { mode: of, .. } if of == mode)
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

/// An audition as its pages show it.
#[must_use]
pub fn view(id: AuditionId, ordered: &[(Entry, bool)], kit: Kit, present: &Present) -> AuditionView {
    let audition = Audition::fold(ordered);
    let choice = audition.choice.as_ref().map(|saved| saved.said.clone());
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
        ended_because: audition.ended_early.as_ref().map(|saved| saved.said.clone()),
        next,
        demo: audition.demo,
        from_saddle: choice.as_ref().map(|choice| choice.from_saddle.into()),
        final_place: audition.final_place.as_ref().map(|saved| saved.said.clone()),
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
        written: entry_lines(ordered),
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
    let mounting = audition.mounting.as_ref().map(|saved| saved.said);
    let sentences = confirmed(audition, kit).map_or_else(Vec::new, |facing| {
        let alone = facing.alone.into_iter().map(|alone| alone.sentence);
        facing.sentences.into_iter().chain(alone).chain(facing.cannot).collect()
    });
    WhichWayView {
        words: mounting.map(|mounting| mounting.in_words()).unwrap_or_default(),
        lie: mounting.map_or(Lie::INSTALLED, |mounting| mounting.lies()),
        // Before anybody said it, only what the record says is told.
        marked: mounting.map_or_else(
            || kit.pickup.as_ref().is_some_and(|pickup| !pickup.bass_end_mark.trim().is_empty()),
            |mounting| mounting.is_marked(),
        ),
        mounting,
        instruction: instruction.to_owned(),
        mark: kit.pickup.as_ref().map(|pickup| pickup.bass_end_mark.clone()).unwrap_or_default(),
        unmarked: unmarked(audition, kit),
        sentences,
    }
}

/// What is lost when it is taken out of the rig: which end lay over the bass strings, where neither end is marked.
fn unmarked(audition: &Audition, kit: &Kit) -> Option<String> {
    let pickup = kit.pickup.as_ref().filter(|pickup| pickup.bass_end_mark.trim().is_empty())?;
    let mounting = audition.mounting.as_ref()?.said;
    if mounting.is_marked() {
        return Some(format!(
            "The record of {} does not say how its bass end is marked. Write it down while you have it before you.",
            pickup.label
        ));
    }
    // Another guess than this would not outlive the mark.
    (mounting.lies().bass_end == Way::Bass).then(|| {
        format!(
            "Nothing marks an end of {}. Mark the end that lies over the bass strings now, in pencil or with a bit of tape on its \
             underside: once it is out, nobody knows which way round you heard it.",
            pickup.label
        )
    })
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
    let mut names: Vec<Contact> = pickup.iter().flat_map(|p| &p.leads).map(|lead| Contact::from(&lead.name)).collect();
    let shield = pickup.is_some_and(|p| p.shield.kind != ShieldKind::None);
    if shield {
        names.push(Contact::Shield);
    }
    let known = pickup.is_some_and(|p| p.leads.iter().any(|lead| !lead.ends.is_empty()));
    let best = pickup.filter(|_| known).map(|pickup| leads::hookup(pickup, rig));
    let told = |pickup: &Pickup, joined: &[meter::Joined]| leads::as_hooked_up(pickup, rig, joined, &kit.measured);
    let places: &[HookupPlace] = best.as_ref().map_or(&[], |map| &map.places);
    let meant = |terminal: u8| {
        if audition.hooked.contains_key(&terminal) {
            let here = places.iter().filter(|place| place.terminal == terminal);
            here.flat_map(|place| place.leads.clone()).collect()
        } else {
            still_meant(audition, places, terminal)
        }
    };
    // Leads that are not in yet go where they are meant to: what a mode does is told of the whole hookup.
    let to_come = places.iter().map(|place| place.terminal).filter(|at| !audition.hooked.contains_key(at));
    let to_come = to_come.map(|terminal| meter::Joined { terminal, leads: meant(terminal) });
    let joined: Vec<meter::Joined> = hookup(audition).into_iter().chain(to_come).collect();
    let mut hookup = pickup.filter(|_| known).map(|pickup| told(pickup, &joined));
    if let (Some(map), Some(sentence)) = (&mut hookup, left_out(audition, kit)) {
        (map.amiss, map.sentence) = (true, sentence);
    }
    let terminals = rig
        .terminals
        .iter()
        .enumerate()
        .map(|(index, name)| {
            let role = role(index);
            let terminal = u8::try_from(index).unwrap_or(u8::MAX);
            let mut suggested = meant(terminal);
            let ground = rig.positions.first().is_some_and(|position| usize::from(position.output[0]) == index);
            if best.is_none() && shield && ground {
                suggested.push(Contact::Shield);
            }
            let hooked = audition.hooked.get(&terminal).map(|saved| saved.said.clone());
            // What a lead is follows from the record, wherever it is.
            let is = |leads: &[Contact]| end_in(pickup, leads);
            let end = hooked.as_ref().and_then(|hooked| is(&hooked.leads)).or_else(|| is(&suggested)).or(role);
            TerminalView {
                terminal,
                name: name.clone(),
                role: end.map(CoilEnd::in_words).unwrap_or_default(),
                suggested,
                hooked,
            }
        })
        .collect();
    let suggestion = if known {
        "From the pickup's own record: which lead is which end of which coil. The meter proves it in the next step."
    } else {
        "Not recorded yet which lead is which. Put them in as you think; the meter shows whether it is right."
    };
    LeadsView { terminals, names, suggestion: suggestion.to_owned(), hookup }
}

/// The leads that still go into a terminal: those that the record means for it, less those that are in another one already, and
/// in their place those that these have put out of theirs.
fn still_meant(audition: &Audition, places: &[HookupPlace], terminal: u8) -> Vec<Contact> {
    let where_is = |lead: &Contact| {
        audition.hooked.values().find(|hooked| hooked.said.leads.contains(lead)).map(|hooked| hooked.said.terminal)
    };
    let (mut leads, mut looked_at, mut to_look_at) = (Vec::new(), Vec::new(), vec![terminal]);
    while let Some(at) = to_look_at.pop() {
        looked_at.push(at);
        for lead in places.iter().filter(|place| place.terminal == at).flat_map(|place| &place.leads) {
            match where_is(lead) {
                // A shield that was left out of its terminal goes into no other.
                None if at == terminal || matches!(lead, Contact::Lead(_)) => leads.push(lead.clone()),
                Some(other) if matches!(lead, Contact::Lead(_)) && !looked_at.contains(&other) => {
                    to_look_at.push(other)
                }
                None | Some(_) => {}
            }
        }
    }
    leads
}

/// The coil end that the first of these leads is.
fn end_in(pickup: Option<&Pickup>, leads: &[Contact]) -> Option<CoilEnd> {
    let first = leads.iter().find(|contact| **contact != Contact::Shield)?;
    pickup?.lead(first)?.ends.first().copied()
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
            .filter(|saved| !matches!(saved.said.probe, Probe::Output { care: Care::AsUsual, .. }))
            .map(|saved| ProbedLine {
                entry: saved.entry,
                words: saved.said.probe.in_words(),
                reading: saved.said.reading.shown(),
            })
            .collect(),
        before: audition
            .before
            .iter()
            .map(|saved| ProbedLine {
                entry: saved.entry,
                words: format!("{}, before {}", saved.said.taken.probe.in_words(), saved.said.since),
                reading: saved.said.taken.reading.shown(),
            })
            .collect(),
        mended: mended(audition, &kit.meter.claim),
        meter: format!("{}, {}", kit.meter.label, kit.meter.claim.shown()),
        cannot_show: meter::CANNOT_SHOW.to_owned(),
        room: room.map(|room| room.shown()),
    }
}

fn seat(audition: &Audition, kit: &Kit) -> SeatView {
    let finish = audition.finish.as_ref().map(|saved| saved.said.clone());
    let seating = audition.seating.as_ref().map(|saved| saved.said);
    let feet = crate::audition::kit::feet(audition, kit).unwrap_or(Feet::Loose);
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
    let done = |tick: Tick| audition.ticks.get(&tick).map(|saved| (saved.at, saved.said.clone()));
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
    let view = |saved: &super::Saved<(PhotoKind, PhotoName)>| PhotoView {
        entry: saved.entry,
        at: saved.at,
        look: saved.said.0,
        photo: saved.said.1.clone(),
    };
    audition.photos.iter().map(view).collect()
}

fn overrides(audition: &Audition) -> Vec<OverrideView> {
    let view = |saved: &super::Saved<super::Override>| {
        let hold = SafetyHold::named(&saved.said.hold);
        OverrideView {
            entry: saved.entry,
            at: saved.at,
            word: hold.map_or(SignalWord::Warning, SafetyHold::word),
            reason: hold.map_or_else(|| saved.said.hold.clone(), |hold| hold.reason().to_owned()),
            why: saved.said.why.clone(),
        }
    };
    audition.overrides.iter().map(view).collect()
}

/// Cautions whose fact is an item of the stop list before the iron.
const SAID_BY_THE_LIST: [&str; 2] = ["iron-while-plugged-in", "solder-on-finish"];

/// Before the iron is lit, and while it is, by what was ticked and told.
pub(crate) fn iron(audition: &Audition, kit: &Kit, present: &Present) -> IronView {
    let known = situation(audition, kit, &None, present, Moment::Iron);
    let cautions = read_cautions(audition, &known);
    let told = |question| audition.told.get(&question).map(|saved| saved.said);
    let holds = held_by(audition, &known, present);
    let mut order = order(audition, StopList::Iron, &known, present);
    for item in order.items.iter_mut().filter(|item| item.done.is_none()) {
        let clears = |hold: &&HoldView| hold.overridden.is_none() && hold.hold.cleared_by() == Some(item.tick);
        item.hold = holds.iter().find(clears).cloned();
    }
    let mut opening = read_cautions(audition, &Situation { moment: Some(Moment::Fit), ..known.clone() });
    opening.retain(|caution| cautions.iter().all(|other| other.id != caution.id));
    // What may be left out where an item of the list says it.
    let said = |caution: &&CautionView| !caution.must_acknowledge && SAID_BY_THE_LIST.contains(&caution.id.as_str());
    IronView {
        in_list: cautions.iter().filter(said).map(|caution| caution.id.clone()).collect(),
        opening,
        order,
        spoken: spoken(StopList::Iron.title(), "Say each thing aloud, and do it.", &cautions, Some(StopList::Iron)),
        cautions,
        holds,
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
        let rating = audition.rated.get(&key).map(|saved| saved.said);
        RatedView {
            quality,
            name: quality.name().to_owned(),
            anchors: quality.anchors().map(str::to_owned),
            value: rating.map(|rating| rating.value),
            led: rating.is_some_and(|rating| rating.led),
            against: audition.against.get(&key).map(|saved| saved.said),
            compared: quality.compared().map(str::to_owned),
            how: how_to_rate(quality, audition.string_ground()).map(str::to_owned),
        }
    };
    let modes = audition.choice.iter().flat_map(|choice| &choice.said.modes).map(|mode| HeardMode {
        mode: mode.clone(),
        rated: Quality::ALL.iter().map(|quality| rated(mode, *quality)).collect(),
        note: audition.notes.get(mode).map(|saved| saved.said.clone()).unwrap_or_default(),
        heard_in: audition
            .conditions
            .get(mode)
            .map(|conditions| conditions_words(Some(mode), conditions, kit))
            .unwrap_or_default(),
        looked: audition.looked.contains_key(mode),
    });
    ListenView {
        modes: modes.collect(),
        how: HOW_TO_LISTEN.map(str::to_owned).to_vec(),
        amp: audition.amp.as_ref().map(|saved| saved.said.clone()).unwrap_or_default(),
        fitted: FITTED_NOW.to_owned(),
        reference: None,
        takes: audition.takes.iter().map(|saved| saved.said.recorded.in_words()).collect(),
    }
}

/// What something was heard in, in words; a recording has its mode and its input beside it.
pub(crate) fn conditions_words(mode: Option<&Mode>, conditions: &Conditions, kit: &Kit) -> String {
    let mut parts: Vec<String> = mode.map(|mode| mode.0.clone()).into_iter().collect();
    if let Some(choice) = &conditions.choice {
        let from = choice.from_saddle.shown(LengthUnit::Millimetre);
        parts.push(format!("{}, {from} from the saddle", choice.place));
    }
    match &conditions.gaps {
        Some(gaps) => {
            let shown = |gap: Millimetres| gap.shown(LengthUnit::Millimetre);
            parts.push(format!("gaps {} and {}", shown(gaps.bass), shown(gaps.treble)));
        }
        None => parts.push("gaps not measured".to_owned()),
    }
    if conditions.mounting.is_some_and(|mounting| mounting.bass_end_over == Some(Side::Treble)) {
        parts.push("bass end over the treble strings".to_owned());
    }
    let no_amp = || mode.map(|_| "amplifier not written down".to_owned());
    parts.extend(conditions.amp.clone().or_else(no_amp));
    parts.extend(conditions.level.map(|level| level_shown(level.level())));
    parts.extend(conditions.cable.map(|cable| format!("cable {}", cable.in_words())));
    parts.extend(conditions.load.map(|load| format!("load resistor: {}", load.in_words())));
    parts.extend(conditions.string_ground.map(|is| format!("string ground: {}", string_ground_in_words(is))));
    parts.extend(conditions.installed.map(|is| format!("fitted pickup: {}", is.in_words())));
    if let Some(notes) = conditions.tuned.as_ref() {
        let notes: Vec<String> = notes.iter().map(|note| note.shown()).collect();
        parts.push(format!("tuned to {}", notes.join(" ")));
    }
    parts.extend(conditions.room.map(|room| room.shown()));
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
