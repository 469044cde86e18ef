//! What an entry may say: lengths of words, ranges of numbers, names. The same rules hold for what an ask writes and for what
//! a bundle brings, so that nothing comes into a log by a file which no page could have written.
//!
//! What other entries say is not looked at here: a bundle may hold a part of a log. A body that this version does not know
//! is kept unread, so it is not judged.

mod blind;
mod links;
mod measured;
mod ranges;
mod records;

pub use links::speaks_of;
pub use ranges::Broken;

use crate::audition::{Choice, FinalPlace, HookedUp, Step};
use crate::body::{
    AuditionBody, BenchBody, Body, ComparisonBody, InstallBody, LeadsBody, ListeningBody, StayBody, StrikeBody,
    TakeBody, ThingBody,
};
use crate::entry::About;
use crate::gaps::{GapAim, GapsMeasured};
use crate::install::InstallAnswer;
use crate::leads::{LeadName, MOST_IN_A_TERMINAL, MOST_LEADS};
use crate::meter::Probe;
use crate::note::Note;
use crate::quantity::Decibels;
use crate::sound::LevelTold;
use crate::take::{KeptSound, LARGEST, LONGEST, LONGEST_WORDS, RATES, Recorded};
use crate::tick::{MOST_ITEMS, Tick};
use crate::wiring::{JackProbe, JackSet, JointAt, Volumes};
use links::{can_be_about, names};
use ranges::{
    AT_THE_EAR, Kept, LEVEL, MINUTES, NOTES, STRINGS, all_differ, along_the_string, along_the_treble_side, broken,
    fret, gap, label, label_or_none, labels, length, mode, name_of_a_rule, note, reading, reason, room, typed, value,
    version_7, when, within, wrong,
};
use records::{decided, described_guitar, described_pickup, described_rig, planned};

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
        Body::Thing(body) => thing(body),
        Body::Leads(body) => leads(body),
        Body::Measured(body) => measured::measured(body),
        Body::Audition(body) => audition(body),
        Body::Listening(body) => listening(body),
        Body::Comparison(body) => comparison(body),
        Body::Bench(body) => bench(body),
        Body::Install(body) => install(body),
        Body::Take(body) => match body {
            TakeBody::TakeKept { sound, recorded } => take(sound, recorded),
        },
        Body::Stay(body) => stay(body),
        Body::Blind(body) => blind::blind(body),
        Body::Strike(body) => match body {
            StrikeBody::StruckOut { why, .. } => note("why", why),
        },
    }
}

fn thing(body: &ThingBody) -> Kept {
    match body {
        ThingBody::PickupDescribed { pickup } => described_pickup(pickup),
        ThingBody::GuitarDescribed { guitar } => described_guitar(guitar),
        ThingBody::RigDescribed { rig } => described_rig(rig),
        ThingBody::MeterDescribed { meter } => {
            label("meter.label", &meter.label)?;
            meter.claim.clone().checked().map(drop).map_err(|unclear| wrong("meter.claim", unclear.sentence))
        }
        ThingBody::BenchNamed { name } => label("name", name),
        ThingBody::BroughtBack {} => Ok(()),
        ThingBody::Retired { why } => note("why", why),
    }
}

fn leads(body: &LeadsBody) -> Kept {
    match body {
        LeadsBody::LeadsBegun { leads, as_recorded, .. } => {
            labels("leads", leads)?;
            for coil in as_recorded {
                labels("as_recorded", &coil.between)?;
            }
            let fine = !leads.iter().any(LeadName::is_taken);
            let several = (1..=MOST_LEADS).contains(&leads.len()) && all_differ(leads);
            when(fine && several, "leads", "These can't be the leads of a pickup.")
        }
        LeadsBody::LeadsMeasured { between, reading, typed: text, .. } => {
            labels("between", between)?;
            reading.map_or(Ok(()), self::reading)?;
            typed(text)
        }
        LeadsBody::CoilNamed { coil } => labels("coil.between", &coil.between),
        LeadsBody::Tapped { tap } => labels("tap", [&tap.plus, &tap.minus]),
        LeadsBody::TapsRecorded { taps } => {
            labels("taps", [&taps.tip, &taps.sleeve])?;
            label("taps.input", &taps.input)?;
            within("taps.height", taps.height.0, &LEVEL)
        }
        LeadsBody::InputCalibrated { input, .. } => label("input", input),
        LeadsBody::CompassHeld { .. } => Ok(()),
    }
}

fn audition(body: &AuditionBody) -> Kept {
    match body {
        AuditionBody::Seated { .. } | AuditionBody::StepTakenUp { .. } => Ok(()),
        AuditionBody::Chosen { choice } => chosen(choice),
        AuditionBody::Mounted { mounting } => {
            let possible = mounting.lie.is_none_or(|lie| lie.is_possible());
            when(
                possible,
                "mounting.lie",
                "The poles and the bass end of a pickup point at a right angle to each other.",
            )
        }
        AuditionBody::HookedUp { hooked } => hooked_up(hooked),
        AuditionBody::ReadingTaken { mode: heard, reading: taken, typed: text, room: at, sure: _ } => {
            mode("mode", heard)?;
            reading(*taken)?;
            typed(text)?;
            room(*at)
        }
        AuditionBody::Probed { probe, reading: taken, typed: text, sure: _ } => {
            probed(probe)?;
            reading(*taken)?;
            typed(text)
        }
        AuditionBody::Mended { what } => note("what", what),
        AuditionBody::FinishAsked { answer } => note("answer.before", &answer.before),
        AuditionBody::GapsMeasured { gaps } => measured_gaps(gaps),
        AuditionBody::GapsAimed { aim } => aim.as_ref().map_or(Ok(()), aimed),
        AuditionBody::LevelRead { level } => {
            gap("level.gap", level.gap)?;
            within("level.level", level.level.0, &LEVEL)
        }
        AuditionBody::Tuned { notes } => {
            when(notes.len() <= *STRINGS.end(), "notes", "That is more strings than a guitar has.")?;
            notes.iter().try_for_each(|Note(note)| when(NOTES.contains(note), "notes", "No string sounds such a note."))
        }
        AuditionBody::FinalPlaceChosen { place: FinalPlace { place, from_saddle, from_saddle_treble } } => {
            label("place.place", place)?;
            along_the_string("place.from_saddle", *from_saddle)?;
            along_the_treble_side("place.from_saddle_treble", *from_saddle_treble)
        }
        AuditionBody::StepSkipped { step, why } => {
            when(*step != Step::Choose, "step", "Without a pickup and a guitar there is nothing to audition.")?;
            reason("why", why)
        }
        AuditionBody::EndedEarly { why } => reason("why", why),
    }
}

fn listening(body: &ListeningBody) -> Kept {
    match body {
        ListeningBody::Rated { mode: heard, value, .. } => {
            mode("mode", heard)?;
            when((1..=5).contains(value), "value", "The scale goes from 1 to 5.")
        }
        ListeningBody::NoteWritten { mode: heard, words } => {
            mode("mode", heard)?;
            note("words", words)
        }
        ListeningBody::AmpDescribed { words } => note("words", words),
        ListeningBody::RatedAgainstFitted { mode: heard, .. }
        | ListeningBody::ReferenceLookedAt { mode: heard, .. } => mode("mode", heard),
    }
}

fn comparison(body: &ComparisonBody) -> Kept {
    match body {
        ComparisonBody::ReferencePinned {} | ComparisonBody::ReferenceUnpinned {} => Ok(()),
        ComparisonBody::Decided { decision } => decided(decision),
    }
}

fn bench(body: &BenchBody) -> Kept {
    match body {
        BenchBody::Told { told } => {
            let offered = told.question().answers().into_iter().any(|(offered, _)| offered == *told);
            when(offered, "told", "That is no answer to this question.")
        }
        BenchBody::PhotoTaken { .. } | BenchBody::IronLit {} | BenchBody::IronOff {} => Ok(()),
        BenchBody::Ticked { words, .. } => note("words", words),
        BenchBody::TickedTogether { ticks } => {
            let of_one_list = [&Tick::SOUND_UP[..], &Tick::TAKE_DOWN, &Tick::IRON]
                .iter()
                .any(|list| ticks.iter().all(|tick| list.contains(tick)));
            let fine = (1..=MOST_ITEMS).contains(&ticks.len()) && of_one_list && !ticks.iter().any(|tick| tick.alone());
            when(fine, "ticks", "These items can't be ticked in one act.")
        }
        BenchBody::LevelTold { level } => told_level(level),
        BenchBody::ListeningCorrected { minutes, level, .. } => {
            when(minutes.is_some() || level.is_some(), "minutes", "A correction says what was otherwise.")?;
            minutes.map_or(Ok(()), |minutes| within("minutes", minutes, &MINUTES))?;
            level.as_ref().map_or(Ok(()), told_level)
        }
        BenchBody::CautionAcknowledged { caution, cause } => {
            name_of_a_rule("caution", caution)?;
            note("cause", cause)
        }
        BenchBody::HoldOverridden { hold, why } => {
            name_of_a_rule("hold", hold)?;
            reason("why", why)
        }
    }
}

fn install(body: &InstallBody) -> Kept {
    match body {
        InstallBody::FitActDone { words, .. } | InstallBody::FitDone { words, .. } => note("words", words),
        InstallBody::FitGivenUp { why } => reason("why", why),
        InstallBody::FitBegun { on } => label("on.place", &on.place),
        InstallBody::FitPlanned { plan } => planned(plan),
        InstallBody::FitPartsChosen { parts } => match parts.wrong() {
            Some((field, sentence)) => broken(&format!("parts.{field}"), sentence),
            None => Ok(()),
        },
        InstallBody::JackRead { at, reading: taken, typed: text, room: felt, .. }
        | InstallBody::JackReadBefore { at, reading: taken, typed: text, room: felt } => {
            jack_set(at)?;
            reading(*taken)?;
            typed(text)?;
            room(*felt)
        }
        InstallBody::FitProbed { probe, reading: taken, typed: text } => {
            jack_probe(probe)?;
            reading(*taken)?;
            typed(text)
        }
        InstallBody::FitCantProbe { probe } => jack_probe(probe),
        InstallBody::FitStepOver { why, cause, .. } => {
            note("why", why)?;
            note("cause", cause.as_deref().unwrap_or_default())
        }
        InstallBody::FitAnswered { answer } => answered(answer),
    }
}

/// The most that a computed take is turned down, in decibels.
const LONGEST_WAY_DOWN: f64 = 120.0;

fn take(sound: &KeptSound, recorded: &Recorded) -> Kept {
    within("sound.seconds", sound.seconds, &(0.0..=LONGEST))?;
    when(RATES.contains(&sound.rate), "sound.rate", "No take is kept at such a rate.")?;
    when((1..=2).contains(&sound.channels), "sound.channels", "A take has one channel or two.")?;
    when((1..=LARGEST).contains(&sound.bytes), "sound.bytes", "No take is as large as that.")?;
    when(sound.flaws.len() <= 16, "sound.flaws", "So much can't be wrong with one file.")?;
    recorded.mode.as_ref().map_or(Ok(()), |one| mode("recorded.mode", one))?;
    value("recorded.load", recorded.load)?;
    for (field, words) in [("recorded.gain", &recorded.gain), ("recorded.device", &recorded.device)] {
        note(field, words)?;
        let short = words.chars().take(LONGEST_WORDS + 1).count() <= LONGEST_WORDS;
        when(short, field, "That is too long: 80 letters fit.")?;
    }
    let Some(computed) = &recorded.computed else { return Ok(()) };
    version_7(computed.from.0)?;
    note("recorded.computed.through", &computed.through)?;
    note("recorded.computed.within", &computed.within)?;
    within("recorded.computed.turned_down", computed.turned_down.get(), &(0.0..=LONGEST_WAY_DOWN))
}

fn stay(body: &StayBody) -> Kept {
    match body {
        StayBody::Installed { place, .. } | StayBody::TakenOut { place, .. } => label("place", place),
        StayBody::Fitted { place, words, came_out_words, .. } => {
            label("place", place)?;
            note("words", words)?;
            note("came_out_words", came_out_words)
        }
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
    when(hooked.leads.len() <= MOST_IN_A_TERMINAL, "hooked.leads", "A terminal takes four leads at most.")?;
    labels("hooked.leads", &hooked.leads)
}

fn measured_gaps(gaps: &GapsMeasured) -> Kept {
    gap("gaps.bass", gaps.bass)?;
    gap("gaps.treble", gaps.treble)?;
    fret(gaps.pressed_at)?;
    when(gaps.between.len() <= *STRINGS.end(), "gaps.between", "That is more strings than a guitar has.")?;
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
            label("probe.lead", lead.as_str())?;
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
            JointAt::Lead { lead } => label("probe.joint", lead.as_str()),
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
        JackProbe::LeadToPoint { lead, .. } => label("probe.lead", lead.as_str()),
        JackProbe::CaseToSleeve { place, .. } => label_or_none("probe.place", place),
    }
}

fn answered(answer: &InstallAnswer) -> Kept {
    match answer {
        InstallAnswer::Tap { place, .. }
        | InstallAnswer::Swing { place, .. }
        | InstallAnswer::Poles { place, .. }
        | InstallAnswer::Sits { place, .. }
        | InstallAnswer::SitsUnknown { place } => label("answer.place", place),
        InstallAnswer::Phase { position, .. } => label_or_none("answer.position", position),
        InstallAnswer::Hum { mode: heard, .. } => mode("answer.mode", heard),
        InstallAnswer::Sound { mode: heard, words, .. } => {
            mode("answer.mode", heard)?;
            note("answer.words", words)
        }
    }
}
