//! Asks about the geometry of an audition: which way round, strings over poles, gaps, places.

use crate::ask::Refusal;
use crate::ask::forms::guitar::BETWEEN_SADDLE_AND_NUT;
use crate::ask::forms::typed::{at, length, length_of};
use crate::ask::forms::{AimForm, HearForm};
use crate::ask::load::{kit, newest};
use crate::ask::reply::Reply;
use crate::ask::views::EarlierGaps;
use crate::audition::{Audition, Kit, drawn_gaps, ends_in_terminals, over};
use crate::logbook::{Find, Lists, Log};
use crate::physics::lengths::{GAP, PLACE, SIZE, TRAVEL, read_length_of};
use crate::physics::strings::Listening;
use crate::physics::{facing, strings};
use crate::record::audition::{AuditionId, FinalPlace};
use crate::record::entry::About;
use crate::record::gaps::{GapAim, GapsMeasured, LevelReading};
use crate::record::guitar::Guitar;
use crate::record::mounting::{Lie, Mounting};
use crate::record::note::{Note, read_tuning};
use crate::record::pickup::Pickup;
use crate::record::quantity::{LengthUnit, Millimetres, read_decibels};
use crate::record::rig::Rig;
use crate::record::words;

/// How many earlier auditions are offered to match gaps with.
const EARLIER: usize = 8;
/// How many auditions are looked through for them.
const LOOKED_THROUGH: usize = 40;
/// The farthest two coils of one pickup can be apart, in millimetres.
const FARTHEST_APART: f64 = 120.0;
/// The widest aperture of one coil, in millimetres.
const WIDEST_APERTURE: f64 = 60.0;

/// A mounting with a lie says the rest by itself.
pub(super) fn mounting(mounting: Mounting) -> Result<Mounting, Refusal> {
    match mounting.lie {
        None => Ok(mounting),
        Some(lie) => Ok(Mounting::of(possible(lie, "mounting.lie")?, mounting.bass_end_over.is_some())),
    }
}

fn possible(lie: Lie, field: &str) -> Result<Lie, Refusal> {
    if lie.is_possible() {
        Ok(lie)
    } else {
        Err(Refusal::unclear(field, "The poles and the bass end of a pickup point at a right angle to each other."))
    }
}

/// Gaps as they are typed.
pub(super) struct GapsTyped {
    pub bass: String,
    pub treble: String,
    pub unit: LengthUnit,
    pub pressed_at: Option<u8>,
    pub kept: bool,
    pub between: Vec<String>,
    pub studs_out: Vec<String>,
}

impl GapsTyped {
    /// Gaps that this guitar and this rig can have.
    pub fn read(&self, kit: &Kit) -> Result<GapsMeasured, Refusal> {
        Ok(GapsMeasured {
            bass: gap(&self.bass, self.unit, "bass")?,
            treble: gap(&self.treble, self.unit, "treble")?,
            pressed_at: fret(self.pressed_at)?,
            kept: self.kept,
            between: between(&self.between, self.unit, kit.guitar.as_ref())?,
            studs_out: studs_out(&self.studs_out, self.unit, kit.rig.as_ref())?,
        })
    }
}

fn gap(typed: &str, unit: LengthUnit, field: &str) -> Result<Millimetres, Refusal> {
    let gap = read_length_of(typed, unit, &GAP).map_err(at(field))?;
    crate::record::gaps::possible_in(gap, unit).map_err(|sentence| Refusal::unclear(field, sentence))?;
    Ok(gap)
}

fn fret(pressed_at: Option<u8>) -> Result<Option<u8>, Refusal> {
    match pressed_at {
        Some(fret) if !(1..=36).contains(&fret) => Err(Refusal::unclear(
            "pressed_at",
            "Frets are counted from 1 to 36. Leave it empty when the strings are open.",
        )),
        other => Ok(other),
    }
}

/// Gaps of the strings, or pairs of strings, between the outer ones; none at all when no text was typed.
fn between(typed: &[String], unit: LengthUnit, guitar: Option<&Guitar>) -> Result<Vec<Option<Millimetres>>, Refusal> {
    if typed.iter().all(|text| text.trim().is_empty()) {
        return Ok(Vec::new());
    }
    let inner = guitar.map_or(typed.len().min(6), |guitar| guitar.inner_courses().len());
    if typed.len() != inner {
        let what = if guitar.is_some_and(|guitar| guitar.in_pairs) { "pairs" } else { "strings" };
        let sentence = format!("Between the outer {what} there are {inner} on this guitar.");
        return Err(Refusal::unclear("between", sentence));
    }
    typed
        .iter()
        .enumerate()
        .map(
            |(index, text)| {
                if text.trim().is_empty() { Ok(None) } else { gap(text, unit, &format!("between.{index}")).map(Some) }
            },
        )
        .collect()
}

/// How far the studs stand out; nothing when neither side was measured.
fn studs_out(typed: &[String], unit: LengthUnit, rig: Option<&Rig>) -> Result<Option<[Millimetres; 2]>, Refusal> {
    if typed.iter().all(|text| text.trim().is_empty()) {
        return Ok(None);
    }
    let [bass, treble] = typed else {
        return Err(Refusal::unclear("studs_out", "The studs are told by two lengths: bass side and treble side."));
    };
    let mut out = [Millimetres(0.0); 2];
    for (index, text) in [bass, treble].into_iter().enumerate() {
        let field = format!("studs_out.{index}");
        let read = read_length_of(text, unit, &TRAVEL).map_err(at(&field))?;
        if let Some(travel) = rig.and_then(|rig| rig.stud_travel)
            && read.0 > travel.0 + 1e-9
        {
            let travel = travel.shown(unit);
            let sentence =
                format!("By the rig's record its studs travel {travel} in all. Check the unit, or the record.");
            return Err(Refusal::unclear(&field, sentence));
        }
        out[index] = read;
    }
    Ok(Some(out))
}

/// Gaps of an earlier audition at the strings of this one: as they were measured where rig, place and strings are alike, else
/// counted over to the open strings.
fn aim_like(log: &Log, earlier: &Audition, here: &Audition) -> Result<Option<[Millimetres; 2]>, Refusal> {
    let over_there = |audition: &Audition| -> Result<_, Refusal> {
        let kit = kit(log, audition, None)?;
        Ok(over(audition.choice.as_ref().map(|choice| &choice.said), &kit))
    };
    let (Some(there), Some(here), Some(gaps)) = (over_there(earlier)?, over_there(here)?, &earlier.gaps) else {
        return Ok(None);
    };
    let said = &gaps.said;
    let open = there.open(said.pair(), said.strings());
    Ok((there != here && said.pressed_at.is_some() && open.iter().all(|gap| gap.0 > 0.0)).then_some(open))
}

pub(super) fn aim(log: &Log, form: AimForm, here: &Audition) -> Result<Option<GapAim>, Refusal> {
    match form {
        AimForm::Middle {} => Ok(None),
        AimForm::Typed { bass, treble, unit, pressed_at } => Ok(Some(GapAim {
            bass: gap(&bass, unit, "aim.bass")?,
            treble: gap(&treble, unit, "aim.treble")?,
            pressed_at: fret(pressed_at)?,
            from: None,
        })),
        AimForm::Earlier { audition } => {
            let entries = log.about(About::Audition(audition))?;
            if entries.is_empty() {
                return Err(Refusal::not_found("audition"));
            }
            let earlier = Audition::fold(&entries);
            let Some(said) = earlier.gaps.as_ref().map(|gaps| gaps.said.clone()) else {
                let sentence = "No gaps were measured in that audition. Choose another one.";
                return Err(Refusal::unclear("aim.audition", sentence));
            };
            let (gaps, pressed_at) = match aim_like(log, &earlier, here)? {
                Some(open) => (open, None),
                None => (said.pair(), said.pressed_at),
            };
            Ok(Some(GapAim { bass: gaps[0], treble: gaps[1], pressed_at, from: Some(audition) }))
        }
    }
}

pub(super) fn level(
    typed: &str,
    gap_typed: &str,
    unit: LengthUnit,
    audition: &Audition,
) -> Result<LevelReading, Refusal> {
    let level = read_decibels(typed).map_err(at("level"))?;
    let measured = audition.gaps.as_ref().map(|gaps| &gaps.said);
    let gap = if gap_typed.trim().is_empty() {
        let measured = measured
            .ok_or_else(|| Refusal::unclear("gap", "At which gap was it read? Type it, or measure the gaps first."))?;
        Millimetres(f64::midpoint(measured.bass.0, measured.treble.0))
    } else {
        gap(gap_typed, unit, "gap")?
    };
    // A gap that is typed beside gaps that were measured is taken to be measured like these.
    Ok(LevelReading { gap, level, strings: measured.map(GapsMeasured::strings) })
}

pub(super) fn tuning(typed: &str, guitar: Option<&Guitar>) -> Result<Vec<Note>, Refusal> {
    let guitar = guitar.ok_or_else(|| Refusal::not_found("guitar"))?;
    if typed.trim().is_empty() {
        return Ok(Vec::new());
    }
    read_tuning(typed, &strings::tuned_to(guitar)).map_err(at("notes"))
}

pub(super) fn final_place(
    place: &str,
    from_saddle: &str,
    from_saddle_treble: &str,
    unit: LengthUnit,
    guitar: Option<&Guitar>,
) -> Result<FinalPlace, Refusal> {
    let guitar = guitar.ok_or_else(|| Refusal::not_found("guitar"))?;
    let place = words::label(place, "the place").map_err(at("place"))?;
    let from_saddle = read_length_of(from_saddle, unit, &PLACE).map_err(at("from_saddle"))?;
    if from_saddle.0 <= 0.0 || from_saddle.0 >= guitar.scale.0 {
        return Err(Refusal::unclear("from_saddle", BETWEEN_SADDLE_AND_NUT));
    }
    let treble = along_the_treble_side(from_saddle_treble, from_saddle, "from_saddle_treble", unit, guitar)?;
    Ok(FinalPlace { place, from_saddle, from_saddle_treble: (treble != from_saddle).then_some(treble) })
}

/// From the saddle to the pole line at the treble side: as typed, else as a place of the record that lies there has it, else
/// as at the bass side.
fn along_the_treble_side(
    typed: &str,
    bass: Millimetres,
    field: &str,
    unit: LengthUnit,
    guitar: &Guitar,
) -> Result<Millimetres, Refusal> {
    if let Some(treble) = length_of(&PLACE, typed, unit, field)? {
        if treble.0 <= 0.0 || treble.0 >= guitar.scales()[1].0 {
            return Err(Refusal::unclear(field, BETWEEN_SADDLE_AND_NUT));
        }
        return Ok(treble);
    }
    let place = guitar.places.iter().find(|place| (place.from_saddle.0 - bass.0).abs() < 0.05);
    Ok(place.map_or(bass, |place| place.sides()[1]))
}

fn audition_with_kit(log: &Log, id: AuditionId) -> Result<(Audition, Kit), Refusal> {
    let entries = log.about(About::Audition(id))?;
    if entries.is_empty() {
        return Err(Refusal::not_found("audition"));
    }
    let audition = Audition::fold(&entries);
    let kit = kit(log, &audition, None)?;
    Ok((audition, kit))
}

pub(super) fn facing(log: &Log, id: AuditionId, lie: Lie, marked: bool) -> Result<Reply, Refusal> {
    let lie = possible(lie, "lie")?;
    let (audition, kit) = audition_with_kit(log, id)?;
    let leads = ends_in_terminals(&audition, &kit);
    let gaps = drawn_gaps(&audition, &kit);
    let look = facing::look(lie, marked, kit.pickup.as_ref(), kit.guitar.as_ref(), kit.rig.as_ref(), &leads, gaps);
    Ok(Reply::Facing { look: Box::new(look) })
}

pub(super) fn strings_over(
    log: &Log,
    id: AuditionId,
    shift: &str,
    to_treble: bool,
    limit: &str,
    unit: LengthUnit,
) -> Result<Reply, Refusal> {
    let (audition, kit) = audition_with_kit(log, id)?;
    let choice = audition.choice.ok_or_else(|| Refusal::not_found("audition"))?.said;
    let guitar = kit.guitar.ok_or_else(|| Refusal::not_found("guitar"))?;
    let pickup = kit.pickup.ok_or_else(|| Refusal::not_found("pickup"))?;
    let shift = length(shift, unit, "shift")?.unwrap_or(Millimetres(0.0));
    let limit = length(limit, unit, "limit")?.unwrap_or(strings::OUTER_LIMIT);
    if shift.0 > 60.0 {
        return Err(Refusal::unclear("shift", "That is more than half the width of a neck. Check the unit."));
    }
    let shift = if to_treble { shift } else { Millimetres(0.0 - shift.0) };
    let strings = strings::strings_over_poles(&guitar, &pickup, choice.sides(), shift, limit);
    Ok(Reply::Strings { strings: Box::new(strings) })
}

pub(super) fn hear_place(log: &Log, form: &HearForm) -> Result<Reply, Refusal> {
    let guitar: Guitar = newest(log, About::Guitar(form.guitar), "guitar")?;
    let pickup: Pickup = newest(log, About::Pickup(form.pickup), "pickup")?;
    let rig: Rig = newest(log, About::Rig(form.rig), "rig")?;
    let lie = match form.lie {
        Some(lie) => possible(lie, "lie")?,
        None => Lie::right(rig.faces),
    };
    let from_saddle = read_length_of(&form.from_saddle, form.unit, &PLACE).map_err(at("from_saddle"))?;
    let last = length_of(&PLACE, &form.final_place, form.unit, "final_place")?.unwrap_or(from_saddle);
    let within = |read: Option<Millimetres>, field: &'static str, most: f64| match read {
        Some(read) if read.0 <= 0.0 || read.0 > most => {
            let most = Millimetres(most).shown(form.unit);
            Err(Refusal::unclear(field, format!("Write a length above zero and up to {most}. Check the unit.")))
        }
        other => Ok::<_, Refusal>(other),
    };
    if let Some(coil) = form.coil
        && pickup.coils.iter().all(|known| known.name != coil)
    {
        return Err(Refusal::unclear("coil", "This pickup has no such coil."));
    }
    let usual = strings::tuned_to(&guitar);
    let tuning = if form.tuning.trim().is_empty() {
        usual
    } else {
        read_tuning(&form.tuning, &usual).map_err(at("tuning"))?.into_iter().map(Some).collect()
    };
    let aslant = |typed: &str, at: Millimetres, field: &str| {
        let treble = along_the_treble_side(typed, at, field, form.unit, &guitar)?;
        Ok::<_, Refusal>(Millimetres(treble.0 - at.0))
    };
    let in_the_rig = aslant(&form.from_saddle_treble, from_saddle, "from_saddle_treble")?;
    // Where the rig stands is where it will be installed until another place is said.
    let installed = if form.final_place.trim().is_empty() && form.final_place_treble.trim().is_empty() {
        in_the_rig
    } else {
        aslant(&form.final_place_treble, last, "final_place_treble")?
    };
    let listening = Listening {
        rig: from_saddle,
        last,
        aslant: [in_the_rig, installed],
        lie,
        coil: form.coil,
        apart: within(length_of(&SIZE, &form.apart, form.unit, "apart")?, "apart", FARTHEST_APART)?,
        aperture: within(length(&form.aperture, form.unit, "aperture")?, "aperture", WIDEST_APERTURE)?,
        string: usize::from(form.string),
        fret: form.fret,
        tuning,
    };
    let place = strings::compare_places(&guitar, &pickup, &listening)
        .map_err(|(field, sentence)| Refusal::unclear(field, sentence))?;
    Ok(Reply::Place { place: Box::new(place) })
}

pub(super) fn earlier_gaps(log: &mut Log, id: AuditionId) -> Result<Reply, Refusal> {
    let (audition, _) = audition_with_kit(log, id)?;
    let guitar = audition.choice.map(|choice| choice.said.guitar);
    let mut lines = log.find(&Find { guitar, ..Find::default() })?.lines;
    lines.extend(log.find(&Find::default())?.lines);
    let mut earlier: Vec<EarlierGaps> = Vec::new();
    for line in lines.into_iter().take(LOOKED_THROUGH) {
        if line.audition == id || earlier.iter().any(|known| known.audition == line.audition) {
            continue;
        }
        let entries = log.about(About::Audition(line.audition))?;
        let Some(gaps) = Audition::fold(&entries).gaps else { continue };
        let pressed =
            gaps.said.pressed_at.map_or_else(|| "strings open".to_owned(), |fret| format!("pressed at fret {fret}"));
        earlier.push(EarlierGaps {
            audition: line.audition,
            title: format!("{} on {}, {}", line.pickup_label, line.guitar_label, line.place),
            at: gaps.at,
            bass: gaps.said.bass.into(),
            treble: gaps.said.treble.into(),
            pressed,
        });
        if earlier.len() == EARLIER {
            break;
        }
    }
    Ok(Reply::EarlierGaps { earlier })
}
