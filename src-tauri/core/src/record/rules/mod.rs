//! What an entry may say: lengths of words, ranges of numbers, names. The same rules hold for what an ask writes and for what
//! a bundle brings, so that nothing comes into a log by a file which no page could have written.
//!
//! What other entries say is not looked at here: a bundle may hold a part of a log. A body that this version does not know
//! is kept unread, so it is not judged.

mod links;
mod records;

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use uuid::Uuid;

pub use links::speaks_of;

use crate::record::audition::{Choice, FinalPlace, HookedUp, Step};
use crate::record::body::Body;
use crate::record::entry::About;
use crate::record::gaps::{GapAim, GapsMeasured, possible};
use crate::record::install::FitAnswer;
use crate::record::leads::{FRAME, MOST_LEADS, SHIELD};
use crate::record::meter::Probe;
use crate::record::note::Note;
use crate::record::quantity::{Celsius, Decibels, Millimetres, Ohms, Reading};
use crate::record::rig::Mode;
use crate::record::sound::LevelTold;
use crate::record::tick::{MOST_ITEMS, Tick};
use crate::record::wiring::{JackProbe, JackSet, JointAt, Volumes};
use crate::record::words;
use links::{can_be_about, names};
use records::{decided, described_guitar, described_pickup, described_rig, planned};

/// Why an entry can't be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// The field at fault, as a path into the body.
    pub field: String,
    /// What is wrong with it.
    pub sentence: String,
}

type Kept = Result<(), Broken>;

/// The largest resistance that is written down, in ohms: past it, a meter says over-limit.
const OHMS: RangeInclusive<f64> = 0.0..=1e9;
/// Lengths, in millimetres.
const MILLIMETRES: RangeInclusive<f64> = 0.0..=3000.0;
/// Scale lengths, in millimetres.
const SCALE: RangeInclusive<f64> = 250.0..=1000.0;
/// Capacitances, in farads.
const FARADS: RangeInclusive<f64> = 0.0..=1e-5;
/// Temperatures of a room, in degrees Celsius.
const ROOM: RangeInclusive<f64> = -40.0..=60.0;
/// Levels on a meter, in decibels.
const LEVEL: RangeInclusive<f64> = -120.0..=140.0;
/// Levels at the ear, in dB(A).
const AT_THE_EAR: RangeInclusive<f64> = 20.0..=140.0;
/// How long the sound can have been up, in minutes.
const MINUTES: RangeInclusive<f64> = 0.0..=24.0 * 60.0;
/// Notes, in semitones from A4: C0 and a semitone below it, to B8 and one above.
const NOTES: RangeInclusive<i32> = -58..=51;
/// How many strings a guitar has.
const STRINGS: RangeInclusive<usize> = 4..=12;
/// The longest text that is kept as it was typed for a number, in characters.
const LONGEST_TYPED: usize = 128;

/// Whether an entry about this may say this.
///
/// # Errors
/// The first rule that it breaks.
pub fn check(about: About, body: &Body) -> Kept {
    if !can_be_about(about, body) {
        return broken("about", "An entry of this kind is about something else.");
    }
    for name in names(body) {
        version_7(name)?;
    }
    match body {
        Body::PickupDescribed { pickup } => described_pickup(pickup),
        Body::GuitarDescribed { guitar } => described_guitar(guitar),
        Body::RigDescribed { rig } => described_rig(rig),
        Body::MeterDescribed { meter } => {
            label("meter.label", &meter.label)?;
            meter.claim.clone().checked().map(drop).map_err(|unclear| wrong("meter.claim", unclear.sentence))
        }
        Body::LeadsBegun { leads, .. } => {
            labels("leads", leads)?;
            let fine = leads.iter().all(|name| name != SHIELD && name != FRAME);
            let several = (1..=MOST_LEADS).contains(&leads.len()) && all_differ(leads);
            when(fine && several, "leads", "These can't be the leads of a pickup.")
        }
        Body::LeadsMeasured { between, reading, typed: text, .. } => {
            labels("between", between)?;
            reading.map_or(Ok(()), self::reading)?;
            typed(text)
        }
        Body::CoilNamed { coil } => labels("coil.between", &coil.between),
        Body::Tapped { tap } => labels("tap", [&tap.plus, &tap.minus]),
        Body::CompassHeld { .. }
        | Body::BroughtBack {}
        | Body::Seated { .. }
        | Body::Told { .. }
        | Body::PhotoTaken { .. }
        | Body::IronLit {}
        | Body::IronOff {}
        | Body::ReferencePinned {}
        | Body::ReferenceUnpinned {}
        | Body::StepTakenUp { .. } => Ok(()),
        Body::Retired { why } => note("why", why),
        Body::Chosen { choice } => chosen(choice),
        Body::Mounted { mounting } => {
            let possible = mounting.lie.is_none_or(|lie| lie.is_possible());
            when(
                possible,
                "mounting.lie",
                "The poles and the bass end of a pickup point at a right angle to each other.",
            )
        }
        Body::HookedUp { hooked } => hooked_up(hooked),
        Body::ReadingTaken { mode: heard, reading: taken, typed: text, room: at } => {
            mode("mode", heard)?;
            reading(*taken)?;
            typed(text)?;
            room(*at)
        }
        Body::Probed { probe, reading: taken, typed: text } => {
            probed(probe)?;
            reading(*taken)?;
            typed(text)
        }
        Body::Mended { what } => note("what", what),
        Body::FinishAsked { answer } => note("answer.before", &answer.before),
        Body::GapsMeasured { gaps } => measured_gaps(gaps),
        Body::GapsAimed { aim } => aim.as_ref().map_or(Ok(()), aimed),
        Body::LevelRead { level } => {
            gap("level.gap", level.gap)?;
            within("level.level", level.level.0, &LEVEL)
        }
        Body::Tuned { notes } => {
            when(notes.len() <= *STRINGS.end(), "notes", "A guitar has no so many strings.")?;
            notes.iter().try_for_each(|Note(note)| when(NOTES.contains(note), "notes", "No string sounds such a note."))
        }
        Body::FinalPlaceChosen { place: FinalPlace { place, from_saddle, from_saddle_treble } } => {
            label("place.place", place)?;
            along_the_string("place.from_saddle", *from_saddle)?;
            along_the_treble_side("place.from_saddle_treble", *from_saddle_treble)
        }
        Body::Ticked { words, .. } => note("words", words),
        Body::TickedTogether { ticks } => {
            let of_one_list = [&Tick::SOUND_UP[..], &Tick::TAKE_DOWN, &Tick::IRON]
                .iter()
                .any(|list| ticks.iter().all(|tick| list.contains(tick)));
            let fine = (1..=MOST_ITEMS).contains(&ticks.len()) && of_one_list && !ticks.iter().any(|tick| tick.alone());
            when(fine, "ticks", "These items can't be ticked in one act.")
        }
        Body::LevelTold { level } => told_level(level),
        Body::ListeningCorrected { minutes, level, .. } => {
            when(minutes.is_some() || level.is_some(), "minutes", "A correction says what was otherwise.")?;
            minutes.map_or(Ok(()), |minutes| within("minutes", minutes, &MINUTES))?;
            level.as_ref().map_or(Ok(()), told_level)
        }
        Body::Rated { mode: heard, value, .. } => {
            mode("mode", heard)?;
            when((1..=5).contains(value), "value", "The scale goes from 1 to 5.")
        }
        Body::NoteWritten { mode: heard, words } => {
            mode("mode", heard)?;
            note("words", words)
        }
        Body::AmpDescribed { words } | Body::FitActDone { words, .. } | Body::FitDone { words, .. } => {
            note("words", words)
        }
        Body::RatedAgainstFitted { mode: heard, .. } | Body::ReferenceLookedAt { mode: heard, .. } => {
            mode("mode", heard)
        }
        Body::Decided { decision } => decided(decision),
        Body::StepSkipped { step, why } => {
            when(*step != Step::Choose, "step", "Without a pickup and a guitar there is nothing to audition.")?;
            reason("why", why)
        }
        Body::CautionAcknowledged { caution, cause } => {
            name_of_a_rule("caution", caution)?;
            note("cause", cause)
        }
        Body::HoldOverridden { hold, why } => {
            name_of_a_rule("hold", hold)?;
            reason("why", why)
        }
        Body::EndedEarly { why } | Body::FitGivenUp { why } => reason("why", why),
        Body::FitBegun { on } => label("on.place", &on.place),
        Body::FitPlanned { plan } => planned(plan),
        Body::JackRead { at, reading: taken, typed: text, room: felt }
        | Body::JackReadBefore { at, reading: taken, typed: text, room: felt } => {
            jack_set(at)?;
            reading(*taken)?;
            typed(text)?;
            room(*felt)
        }
        Body::FitProbed { probe, reading: taken, typed: text } => {
            jack_probe(probe)?;
            reading(*taken)?;
            typed(text)
        }
        Body::FitStepOver { why, .. } => note("why", why),
        Body::FitAnswered { answer } => answered(answer),
        Body::Installed { place, .. } | Body::TakenOut { place, .. } => label("place", place),
        Body::Fitted { place, words, came_out_words, .. } => {
            label("place", place)?;
            note("words", words)?;
            note("came_out_words", came_out_words)
        }
        Body::StruckOut { why, .. } => note("why", why),
    }
}

fn chosen(choice: &Choice) -> Kept {
    label("choice.place", &choice.place)?;
    along_the_string("choice.from_saddle", choice.from_saddle)?;
    along_the_treble_side("choice.from_saddle_treble", choice.from_saddle_treble)?;
    when(
        !choice.modes.is_empty() && all_differ(&choice.modes),
        "choice.modes",
        "An audition has modes to hear, each once.",
    )?;
    choice.modes.iter().try_for_each(|one| mode("choice.modes", one))?;
    note("choice.question", &choice.question)
}

fn hooked_up(hooked: &HookedUp) -> Kept {
    when(hooked.terminal < 8, "hooked.terminal", "No rig's block has such a terminal.")?;
    when(hooked.leads.len() <= 4, "hooked.leads", "A terminal takes four leads at most.")?;
    labels("hooked.leads", &hooked.leads)
}

fn measured_gaps(gaps: &GapsMeasured) -> Kept {
    gap("gaps.bass", gaps.bass)?;
    gap("gaps.treble", gaps.treble)?;
    fret(gaps.pressed_at)?;
    when(gaps.between.len() <= *STRINGS.end(), "gaps.between", "A guitar has no so many strings.")?;
    gaps.between.iter().flatten().try_for_each(|one| gap("gaps.between", *one))?;
    gaps.studs_out.iter().flatten().try_for_each(|out| length("gaps.studs_out", Some(*out)))
}

fn aimed(aim: &GapAim) -> Kept {
    gap("aim.bass", aim.bass)?;
    gap("aim.treble", aim.treble)?;
    fret(aim.pressed_at)
}

fn probed(probe: &Probe) -> Kept {
    let terminal = |at: &u8| when(*at < 8, "probe", "No rig's block has such a terminal.");
    match probe {
        Probe::Output { mode: heard, .. } => mode("probe.mode", heard),
        Probe::Terminals { mode: heard, between } => {
            mode("probe.mode", heard)?;
            between.iter().try_for_each(terminal)?;
            when(between[0] != between[1], "probe", "Two probes are put on two terminals.")
        }
        Probe::Leads { mode: heard, between } => {
            mode("probe.mode", heard)?;
            labels("probe", between)?;
            when(between[0] != between[1], "probe", "Two probes are put on two leads.")
        }
        Probe::LeadAt { mode: heard, lead, terminal: at } => {
            mode("probe.mode", heard)?;
            label("probe.lead", lead)?;
            terminal(at)
        }
    }
}

fn told_level(level: &LevelTold) -> Kept {
    match level {
        LevelTold::Meter { level: Decibels(level) } => within("level", *level, &AT_THE_EAR),
        LevelTold::Words { .. } => Ok(()),
    }
}

fn jack_set(set: &JackSet) -> Kept {
    label_or_none("at.selector", &set.selector)?;
    label_or_none("at.switch", &set.switch)?;
    match &set.volumes {
        Volumes::Full {} | Volumes::Zero {} | Volumes::Half {} => Ok(()),
        Volumes::ZeroOf { place } => label("at.volumes", place),
    }
}

fn jack_probe(probe: &JackProbe) -> Kept {
    jack_set(probe.set())?;
    match probe {
        JackProbe::Jack { .. } | JackProbe::PointToSleeve { .. } | JackProbe::PointToTip { .. } => Ok(()),
        JackProbe::BridgeToSleeve { .. } => Ok(()),
        JackProbe::AcrossJoint { joint, .. } => match joint {
            JointAt::Lead { lead } => label("probe.joint", lead),
            JointAt::Lug { place } => label_or_none("probe.joint", place),
            JointAt::Stays { place } | JointAt::StaysGround { place } | JointAt::Selector { place } => {
                label("probe.joint", place)
            }
            JointAt::Wire { .. }
            | JointAt::Switch { .. }
            | JointAt::Hot {}
            | JointAt::Ground {}
            | JointAt::Tip {}
            | JointAt::Sleeve {} => Ok(()),
        },
        JackProbe::LeadToPoint { lead, .. } => label("probe.lead", lead),
        JackProbe::CaseToSleeve { place, .. } => label_or_none("probe.place", place),
    }
}

fn answered(answer: &FitAnswer) -> Kept {
    match answer {
        FitAnswer::Tap { place, .. }
        | FitAnswer::Swing { place, .. }
        | FitAnswer::Poles { place, .. }
        | FitAnswer::Sits { place, .. } => label("answer.place", place),
        FitAnswer::Phase { position, .. } => label_or_none("answer.position", position),
        FitAnswer::Hum { mode: heard, .. } => mode("answer.mode", heard),
        FitAnswer::Sound { mode: heard, words, .. } => {
            mode("answer.mode", heard)?;
            note("answer.words", words)
        }
    }
}

fn wrong(field: &str, sentence: impl Into<String>) -> Broken {
    Broken { field: field.to_owned(), sentence: sentence.into() }
}

fn broken(field: &str, sentence: &str) -> Kept {
    Err(wrong(field, sentence))
}

fn when(fine: bool, field: &str, sentence: &str) -> Kept {
    if fine { Ok(()) } else { broken(field, sentence) }
}

fn version_7(name: Uuid) -> Kept {
    when(name.get_version_num() == 7, "id", "The name of a thing or an entry is a version-7 UUID.")
}

/// A label as a page writes it: what is left when blanks are taken off its ends, with nothing in it that can't be seen.
fn label(field: &str, text: &str) -> Kept {
    match words::label(text, "this") {
        Ok(read) => when(read == text, field, "A name has no blanks at its ends."),
        Err(unclear) => Err(wrong(field, unclear.sentence)),
    }
}

fn labels<'a>(field: &str, texts: impl IntoIterator<Item = &'a String>) -> Kept {
    texts.into_iter().try_for_each(|text| label(field, text))
}

fn label_or_none(field: &str, text: &str) -> Kept {
    if text.is_empty() { Ok(()) } else { label(field, text) }
}

fn mode(field: &str, Mode(name): &Mode) -> Kept {
    label(field, name)
}

/// The name of a caution or a hold; a newer version may have others than this one.
fn name_of_a_rule(field: &str, name: &str) -> Kept {
    let fine = name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || matches!(b, b'_' | b'-' | b'.'));
    when(fine && (1..=words::LONGEST_LABEL).contains(&name.len()), field, "No caution and no hold has such a name.")
}

fn note(field: &str, text: &str) -> Kept {
    words::note(text, "the note").map(drop).map_err(|unclear| wrong(field, unclear.sentence))
}

fn reason(field: &str, text: &str) -> Kept {
    words::reason(text).map(drop).map_err(|unclear| wrong(field, unclear.sentence))
}

/// What was typed for a number, kept beside it.
fn typed(text: &str) -> Kept {
    let short = text.chars().take(LONGEST_TYPED + 1).count() <= LONGEST_TYPED;
    when(short && !text.trim().chars().any(char::is_control), "typed", "Nobody can have typed this for a number.")
}

fn within(field: &str, number: f64, range: &RangeInclusive<f64>) -> Kept {
    when(range.contains(&number), field, &format!("This lies between {} and {}.", range.start(), range.end()))
}

fn length(field: &str, length: Option<Millimetres>) -> Kept {
    length.map_or(Ok(()), |Millimetres(length)| within(field, length, &MILLIMETRES))
}

/// From the saddle to a pole line.
fn along_the_string(field: &str, from_saddle: Millimetres) -> Kept {
    let fine = from_saddle.0 > 0.0 && from_saddle.0 < *SCALE.end();
    when(fine, field, "A place lies between the saddle and the nut.")
}

/// The same at the treble side, where that differs.
fn along_the_treble_side(field: &str, from_saddle: Option<Millimetres>) -> Kept {
    from_saddle.map_or(Ok(()), |from_saddle| along_the_string(field, from_saddle))
}

fn gap(field: &str, gap: Millimetres) -> Kept {
    when(gap.0.is_finite(), field, "A gap is a number.")?;
    possible(gap).map_err(|sentence| wrong(field, sentence))
}

fn fret(pressed_at: Option<u8>) -> Kept {
    when(pressed_at.is_none_or(|fret| (1..=36).contains(&fret)), "pressed_at", "Frets are counted from 1 to 36.")
}

/// A value that somebody states: never zero.
fn value(field: &str, ohms: Option<Ohms>) -> Kept {
    ohms.map_or(Ok(()), |Ohms(ohms)| when(ohms > 0.0 && OHMS.contains(&ohms), field, "No such resistance is stated."))
}

fn reading(reading: Reading) -> Kept {
    match reading {
        Reading::Ohms(Ohms(ohms)) => within("reading", ohms, &OHMS),
        Reading::OverLimit => Ok(()),
    }
}

fn room(room: Option<Celsius>) -> Kept {
    room.map_or(Ok(()), |Celsius(room)| within("room", room, &ROOM))
}

fn all_differ<T: Ord>(of: &[T]) -> bool {
    of.iter().collect::<BTreeSet<_>>().len() == of.len()
}
