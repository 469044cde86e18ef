//! An audition as its pages show it: every number with its unit, every verdict with its reason.

mod hooked_up;
mod readings;

use self::hooked_up::leads;
use self::readings::meter_view;
use super::fold::Audition;
use super::gaps::gaps_view;
use super::present::Present;
use super::questions::questions;
use super::steps::{State, held_by, hold_view, is_over, on_its_feet, read_cautions, situation, spoken, state, steps};
use crate::audition::kit::Kit;
use crate::audition::page::{
    AuditionView, BarrierWords, CautionRead, HeardMode, IronView, ListenView, OverrideView, PhotoView, RatedView,
    SeatView, WhichWayView,
};
use crate::entry_lines::finish_in_words;
use crate::entry_lines::lines::entry_lines_with;
use crate::listening::{Conditions, HOW_TO_LISTEN, how_to_rate};
use crate::physics::sides::sides;
use crate::record::audition::{AuditionId, Choice, PhotoKind};
use crate::record::entry::Entry;
use crate::record::facts::string_ground_in_words;
use crate::record::guitar::{FinishKind, Surface};
use crate::record::listening::Quality;
use crate::record::mounting::{Lie, Side, Way};
use crate::record::photo::PhotoName;
use crate::record::quantity::{InInches, LengthUnit, Millimetres};
use crate::record::rig::{Faces, Feet, Mode, Rig};
use crate::record::seat::Barrier;
use crate::record::sound::level_shown;
use crate::record::tick::Tick;
use crate::safety::cautions::{self, CautionView, Moment, SignalWord, Situation};
use crate::safety::finish;
use crate::safety::finish::{HOW_IT_LIES, HOW_TO_HOLD, HOW_TO_LOOK, Slides};
use crate::safety::holds::{HoldView, SafetyHold};
use crate::safety::stop_lists::{OrderView, StopList};

/// What is fitted at a place, where nobody has written it down.
pub(crate) const FITTED_NOW: &str = "the pickup that is fitted now";

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
        take_down: order(&audition, StopList::TakeDown, &on_its_feet(&audition, &kit), present),
        hearing: present.hearing(&audition),
        on_finish: present.on_finish(&audition, &kit),
        photos: photos(&audition),
        overrides: overrides(&audition),
        iron: iron(&audition, &kit, present),
        cautions_read: cautions_told(&audition),
        written: entry_lines_with(ordered, terminals(&kit)),
        newer: audition.newer,
        decided: None,
        decided_in_inches: None,
        steps,
        choice,
        switched: kit.rig.as_ref().is_some_and(Rig::has_switch),
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

/// The names of the rig's terminals.
fn terminals(kit: &Kit) -> &[String] {
    kit.rig.as_ref().map_or(&[], |rig| &rig.terminals)
}

/// The cautions that were read, by the catalogue.
fn cautions_told(audition: &Audition) -> Vec<CautionRead> {
    let read = audition.acknowledged.keys().filter_map(|id| cautions::named(id));
    read.map(|caution| CautionRead { word_shown: caution.word.shown().to_owned(), hazard: caution.hazard.to_owned() })
        .collect()
}

fn seat(audition: &Audition, kit: &Kit) -> SeatView {
    let finish = audition.finish.as_ref().map(|saved| saved.said.clone());
    let seating = audition.seating.as_ref().map(|saved| saved.said);
    let feet = crate::audition::kit::feet(audition, kit).unwrap_or(Feet::Loose);
    SeatView {
        guard: finish.as_ref().map(|f| finish::guard(f.kind, f.surface, f.aged, feet, f.barrier)),
        finish_words: finish.as_ref().map(finish_in_words).unwrap_or_default(),
        finish,
        how_to_look: HOW_TO_LOOK.map(str::to_owned).to_vec(),
        how_it_lies: HOW_IT_LIES.to_owned(),
        slides: Slides::all(),
        how_to_hold: HOW_TO_HOLD.to_owned(),
        between: Barrier::ALL
            .map(|barrier| BarrierWords { barrier, name: barrier.name().to_owned(), words: barrier.in_words() })
            .to_vec(),
        known_kind: kit.guitar.as_ref().map_or(FinishKind::Unknown, |guitar| guitar.finish.kind),
        known_surface: kit.guitar.as_ref().map_or(Surface::Unknown, |guitar| guitar.finish.surface),
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
        done_when_lit: audition.ticks_when_lit.keys().copied().collect(),
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
    let modes = audition.choice.iter().flat_map(|choice| &choice.said.modes).map(|mode| {
        let conditions = audition.conditions.get(mode);
        let (heard_in, heard_in_inches) = conditions
            .map(|conditions| InInches::told(|unit| conditions_words(Some(mode), conditions, kit, unit)))
            .unwrap_or_default();
        HeardMode {
            mode: mode.clone(),
            rated: Quality::ALL.iter().map(|quality| rated(mode, *quality)).collect(),
            note: audition.notes.get(mode).map(|saved| saved.said.clone()).unwrap_or_default(),
            heard_in,
            heard_in_inches,
            looked: audition.looked.contains_key(mode),
        }
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
pub(crate) fn conditions_words(mode: Option<&Mode>, conditions: &Conditions, kit: &Kit, unit: LengthUnit) -> String {
    let mut parts: Vec<String> = mode.map(|mode| mode.0.clone()).into_iter().collect();
    if let Some(choice) = &conditions.choice {
        let from = choice.from_saddle.shown(unit);
        parts.push(format!("{}, {from} from the saddle", choice.place));
    }
    match &conditions.gaps {
        Some(gaps) => {
            let shown = |gap: Millimetres| gap.shown(unit);
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
