//! What an entry may say: lengths of words, ranges of numbers, names. The same rules hold for what an ask writes and for what
//! a bundle brings, so that nothing comes into a log by a file which no page could have written.
//!
//! What other entries say is not looked at here: a bundle may hold a part of a log. A body that this version does not know
//! is kept unread, so it is not judged.

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use uuid::Uuid;

use super::entry::{About, Body};
use crate::audition::{Choice, FinalPlace, GapAim, GapsMeasured, HookedUp, LevelTold, SHIELD, Step, Tick};
use crate::decision::Decision;
use crate::fit::FitAnswer;
use crate::gaps;
use crate::guitar::{Guitar, Place};
use crate::install::{JackProbe, JackSet, Plan, VolumeLayout, Volumes};
use crate::leads::{FRAME, MOST_LEADS};
use crate::meter::Probe;
use crate::pickup::{CoilName, Pickup, PickupId, Stagger};
use crate::quantity::{Celsius, Decibels, Farads, Millimetres, Ohms, Reading};
use crate::rig::{Mode, Rig};
use crate::stop_lists::MOST_ITEMS;
use crate::strings::Note;
use crate::words;

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
const SCALE: RangeInclusive<f64> = 250.0..=900.0;
/// Gauges of strings, in millimetres.
const GAUGE: RangeInclusive<f64> = 0.1..=4.0;
/// Travel of a stud for one turn, in millimetres.
const THREAD_PITCH: RangeInclusive<f64> = 0.1..=5.0;
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
/// The most things that must be so in a decision.
const MOST_MUSTS: usize = 16;

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
        Body::FinalPlaceChosen { place: FinalPlace { place, from_saddle } } => {
            label("place.place", place)?;
            along_the_string("place.from_saddle", *from_saddle)
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
        Body::JackRead { at, reading: taken, typed: text, room: felt } => {
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

/// Whether entries of this kind are about such a thing.
fn can_be_about(about: About, body: &Body) -> bool {
    match body {
        Body::PickupDescribed { .. }
        | Body::LeadsBegun { .. }
        | Body::LeadsMeasured { .. }
        | Body::CoilNamed { .. }
        | Body::Tapped { .. }
        | Body::CompassHeld { .. }
        | Body::Installed { .. }
        | Body::TakenOut { .. } => matches!(about, About::Pickup(_)),
        Body::GuitarDescribed { .. } | Body::Decided { .. } | Body::Fitted { .. } => matches!(about, About::Guitar(_)),
        Body::RigDescribed { .. } => matches!(about, About::Rig(_)),
        Body::MeterDescribed { .. } => matches!(about, About::Meter(_)),
        Body::Retired { .. } | Body::BroughtBack {} => {
            matches!(about, About::Pickup(_) | About::Guitar(_) | About::Rig(_))
        }
        Body::Chosen { .. }
        | Body::Mounted { .. }
        | Body::HookedUp { .. }
        | Body::ReadingTaken { .. }
        | Body::Probed { .. }
        | Body::FinishAsked { .. }
        | Body::Seated { .. }
        | Body::GapsMeasured { .. }
        | Body::GapsAimed { .. }
        | Body::LevelRead { .. }
        | Body::Tuned { .. }
        | Body::FinalPlaceChosen { .. }
        | Body::LevelTold { .. }
        | Body::ListeningCorrected { .. }
        | Body::PhotoTaken { .. }
        | Body::Rated { .. }
        | Body::NoteWritten { .. }
        | Body::AmpDescribed { .. }
        | Body::RatedAgainstFitted { .. }
        | Body::ReferencePinned {}
        | Body::ReferenceUnpinned {}
        | Body::ReferenceLookedAt { .. }
        | Body::StepSkipped { .. }
        | Body::StepTakenUp { .. }
        | Body::EndedEarly { .. } => matches!(about, About::Audition(_)),
        Body::Ticked { .. }
        | Body::TickedTogether { .. }
        | Body::Told { .. }
        | Body::IronLit {}
        | Body::IronOff {}
        | Body::CautionAcknowledged { .. }
        | Body::HoldOverridden { .. } => matches!(about, About::Audition(_) | About::Fit(_)),
        Body::FitBegun { .. }
        | Body::FitPlanned { .. }
        | Body::JackRead { .. }
        | Body::FitProbed { .. }
        | Body::FitStepOver { .. }
        | Body::FitActDone { .. }
        | Body::FitAnswered { .. }
        | Body::FitDone { .. }
        | Body::FitGivenUp { .. } => matches!(about, About::Fit(_)),
        Body::StruckOut { .. } => true,
    }
}

/// The things that a body speaks of beside the one it is about.
pub fn speaks_of(body: &Body) -> Vec<About> {
    let pickup = |id: &Option<PickupId>| id.map(About::Pickup);
    match body {
        Body::GuitarDescribed { guitar } => guitar.places.iter().filter_map(|place| pickup(&place.fitted)).collect(),
        Body::Chosen { choice: Choice { pickup, guitar, rig, .. } } => {
            vec![About::Pickup(*pickup), About::Guitar(*guitar), About::Rig(*rig)]
        }
        Body::GapsAimed { aim: Some(GapAim { from: Some(audition), .. }) } => vec![About::Audition(*audition)],
        Body::ReferenceLookedAt { reference, .. } => vec![About::Audition(*reference)],
        Body::Decided { decision } => {
            let heard = decision.contenders.iter().flat_map(|one| {
                let auditions = one.auditions.iter().map(|id| About::Audition(*id));
                auditions.chain([About::Pickup(one.pickup)])
            });
            heard.chain([About::Pickup(decision.pickup), About::Audition(decision.audition)]).collect()
        }
        Body::FitBegun { on } => {
            vec![About::Audition(on.audition), About::Pickup(on.pickup), About::Guitar(on.guitar)]
        }
        Body::FitDone { came_out, .. } => pickup(came_out).into_iter().collect(),
        Body::Installed { guitar, fit, .. } | Body::TakenOut { guitar, fit, .. } => {
            vec![About::Guitar(*guitar), About::Fit(*fit)]
        }
        Body::Fitted { pickup: now, came_out, fit, .. } => {
            pickup(now).into_iter().chain(pickup(came_out)).chain([About::Fit(*fit)]).collect()
        }
        _ => Vec::new(),
    }
}

/// Every name of something else in a body.
fn names(body: &Body) -> Vec<Uuid> {
    let entry = match body {
        Body::StruckOut { entry, .. } | Body::ListeningCorrected { session: entry, .. } => Some(entry.0),
        _ => None,
    };
    speaks_of(body).into_iter().map(About::uuid).chain(entry).collect()
}

fn described_pickup(pickup: &Pickup) -> Kept {
    label("pickup.label", &pickup.label)?;
    let in_order = pickup.coils.iter().map(|coil| coil.name).eq(CoilName::ALL.into_iter().take(pickup.coils.len()));
    when(in_order && (1..=3).contains(&pickup.coils.len()), "pickup.coils", "A pickup has one to three coils.")?;
    pickup.coils.iter().try_for_each(|coil| value("pickup.coils", coil.stated))?;
    when(pickup.leads.len() <= 8, "pickup.leads", "More than eight leads don't fit here.")?;
    labels("pickup.leads", pickup.leads.iter().map(|lead| &lead.name))?;
    let differ = pickup.leads.iter().map(|lead| &lead.name).collect::<BTreeSet<_>>().len() == pickup.leads.len();
    when(differ, "pickup.leads", "Two leads can't share a name.")?;
    let ends = pickup.leads.iter().flat_map(|lead| &lead.ends).chain(pickup.joined_inside.iter().flatten());
    for end in ends {
        let there = pickup.coils.iter().any(|coil| coil.name == end.coil);
        when(there, "pickup.leads", "This names a coil that the pickup does not have.")?;
    }
    let joined = pickup.shield.joined_to.as_ref().is_none_or(|to| pickup.leads.iter().any(|lead| lead.name == *to));
    when(joined, "pickup.shield", "The shield is joined to a lead that is not in the list.")?;
    when(
        pickup.pole_count.is_none_or(|count| (1..=24).contains(&count)),
        "pickup.pole_count",
        "A pickup has 1 to 24 poles.",
    )?;
    if let Stagger::Staggered { heights } = &pickup.stagger {
        when(heights.len() <= 24, "pickup.stagger", "A pickup has at most 24 poles.")?;
        heights.iter().try_for_each(|height| length("pickup.stagger", Some(*height)))?;
    }
    for (field, size) in [
        ("pickup.pole_spacing", pickup.pole_spacing),
        ("pickup.coil_distance", pickup.coil_distance),
        ("pickup.width", pickup.width),
        ("pickup.length", pickup.length),
        ("pickup.depth", pickup.depth),
    ] {
        length(field, size)?;
    }
    note("pickup.bass_end_mark", &pickup.bass_end_mark)?;
    note("pickup.notes", &pickup.notes)?;
    note("pickup.came_from", &pickup.came_from)
}

fn described_guitar(guitar: &Guitar) -> Kept {
    label("guitar.label", &guitar.label)?;
    when(STRINGS.contains(&guitar.strings.len()), "guitar.strings", "A guitar has four to twelve strings here.")?;
    for string in &guitar.strings {
        label("guitar.strings", &string.note)?;
        string.gauge.map_or(Ok(()), |gauge| within("guitar.strings", gauge.0, &GAUGE))?;
    }
    within("guitar.scale", guitar.scale.0, &SCALE)?;
    length("guitar.spread_nut", guitar.spread_nut)?;
    length("guitar.spread_saddle", guitar.spread_saddle)?;
    when(!guitar.places.is_empty(), "guitar.places", "A guitar has at least one place for a pickup.")?;
    for place in &guitar.places {
        described_place(place)?;
        when(place.from_saddle < guitar.scale, "guitar.places", "A place lies between the saddle and the nut.")?;
    }
    let known = |name: &String| guitar.places.iter().any(|place| place.name == *name);
    let controls = &guitar.controls;
    pots("guitar.controls", controls.volume, controls.tone, controls.capacitor)?;
    note("guitar.controls.words", &controls.words)?;
    if let Some(selector) = &controls.selector {
        let field = "guitar.controls.selector";
        when((2..=8).contains(&selector.positions.len()), field, "A selector has two to eight positions here.")?;
        labels(field, selector.positions.iter().map(|position| &position.name))?;
        for (index, position) in selector.positions.iter().enumerate() {
            let again = selector.positions[..index].iter().any(|other| other.name == position.name);
            when(!again, field, "Two positions can't share a name.")?;
            let there = !position.places.is_empty() && position.places.iter().all(known);
            when(there, field, "A position names places that the guitar does not have.")?;
        }
    }
    match &controls.layout {
        VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => {}
        VolumeLayout::EachPlace { pots: each, .. } => {
            for (index, one) in each.iter().enumerate() {
                let field = "guitar.controls.layout";
                let again = each[..index].iter().any(|other| other.place == one.place);
                when(known(&one.place) && !again, field, "Each place has its pots once.")?;
                pots(field, one.volume, one.tone, one.capacitor)?;
            }
        }
    }
    note("guitar.strings_age", &guitar.strings_age)?;
    note("guitar.finish.words", &guitar.finish.words)?;
    note("guitar.notes", &guitar.notes)
}

fn described_place(place: &Place) -> Kept {
    label("guitar.places", &place.name)?;
    for size in [Some(place.from_saddle), place.opening_length, place.opening_width, place.depth] {
        length("guitar.places", size)?;
    }
    note("guitar.places", &place.fitted_words)
}

fn pots(field: &str, volume: Option<Ohms>, tone: Option<Ohms>, capacitor: Option<Farads>) -> Kept {
    value(field, volume)?;
    value(field, tone)?;
    capacitor.map_or(Ok(()), |capacitor| within(field, capacitor.0, &FARADS))
}

fn described_rig(rig: &Rig) -> Kept {
    label("rig.label", &rig.label)?;
    let count = rig.terminals.len();
    when((2..=8).contains(&count), "rig.terminals", "A terminal block has two to eight terminals here.")?;
    labels("rig.terminals", &rig.terminals)?;
    when((1..=8).contains(&rig.positions.len()), "rig.positions", "A rig's switch has one to eight positions here.")?;
    for (index, position) in rig.positions.iter().enumerate() {
        mode("rig.positions", &position.mode)?;
        let again = rig.positions[..index].iter().any(|other| other.mode == position.mode);
        when(!again, "rig.positions", "Two positions can't give the same mode.")?;
        let there = position.bonds.iter().flatten().chain(&position.output).all(|at| usize::from(*at) < count);
        when(there, "rig.positions", "A position names a terminal that the block does not have.")?;
        when(position.output[0] != position.output[1], "rig.positions", "The output needs two different terminals.")?;
    }
    when((2..=4).contains(&rig.studs), "rig.studs", "A rig stands on two to four studs here.")?;
    rig.thread_pitch.map_or(Ok(()), |pitch| within("rig.thread_pitch", pitch.0, &THREAD_PITCH))?;
    length("rig.stud_spread", rig.stud_spread)?;
    length("rig.stud_travel", rig.stud_travel)?;
    rig.stray.map_or(Ok(()), |stray| within("rig.stray", stray.0, &FARADS))?;
    note("rig.notes", &rig.notes)
}

fn chosen(choice: &Choice) -> Kept {
    label("choice.place", &choice.place)?;
    along_the_string("choice.from_saddle", choice.from_saddle)?;
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

fn decided(decision: &Decision) -> Kept {
    label("decision.place", &decision.place)?;
    label("decision.label", &decision.label)?;
    along_the_string("decision.from_saddle", decision.from_saddle)?;
    mode("decision.mode", &decision.mode)?;
    for (index, wish) in decision.wishes.iter().enumerate() {
        when((-2..=2).contains(&wish.want), "decision.wishes", "A wish goes from −2 to 2.")?;
        let again = decision.wishes[..index].iter().any(|other| other.quality == wish.quality);
        when(!again, "decision.wishes", "There is one wish for each quality.")?;
    }
    when(decision.musts.len() <= MOST_MUSTS, "decision.musts", "Sixteen things at most can have to be so.")?;
    let on_the_scale = decision.musts.iter().all(|must| (1..=5).contains(&must.value));
    when(on_the_scale, "decision.musts", "What must be so is a step from 1 to 5.")?;
    for contender in &decision.contenders {
        label("decision.contenders", &contender.label)?;
        mode("decision.contenders", &contender.mode)?;
    }
    reason("decision.why", &decision.why)
}

fn planned(plan: &Plan) -> Kept {
    plan.modes.iter().try_for_each(|one| mode("plan.modes", one))?;
    let Some(switch) = &plan.switch else {
        return when(plan.modes.len() == 1, "plan.modes", "Without a switch there is one mode.");
    };
    label("plan.switch.name", &switch.name)?;
    labels("plan.switch.positions", switch.positions.iter().map(|position| &position.name))?;
    switch.clone().checked().map_err(|unclear| wrong("plan.switch", unclear.sentence))?;
    when(plan.modes.len() == switch.positions.len(), "plan.modes", "Each position of the switch gives one mode.")
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
        JackProbe::LeadToPoint { lead, .. } => label("probe.lead", lead),
        JackProbe::CaseToSleeve { place, .. } => label_or_none("probe.place", place),
    }
}

fn answered(answer: &FitAnswer) -> Kept {
    match answer {
        FitAnswer::Tap { place, .. } | FitAnswer::Swing { place, .. } | FitAnswer::Poles { place, .. } => {
            label("answer.place", place)
        }
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

fn gap(field: &str, gap: Millimetres) -> Kept {
    when(gap.0.is_finite(), field, "A gap is a number.")?;
    gaps::possible(gap).map_err(|sentence| wrong(field, sentence))
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
