//! Asks that only look.

use chrono::{DateTime, TimeDelta, Utc};

use super::contract::{Ask, Quantity};
use super::listener::{diary, present};
use super::measuring::{health_reply, lead_search_reply, measured_before, measured_last, meter_reply, modes_reply};
use super::{Code, Refusal, comparing, fitting, geometry, history, striking};
use crate::ask::bench::Bench;
use crate::ask::forms::guitar::GuitarForm;
use crate::ask::forms::pickup::PickupForm;
use crate::ask::forms::rig::RigForm;
use crate::ask::load::{demo_things, kit, kit_then, meter_in_use, thing, things, with_their_auditions};
use crate::ask::reply::Reply;
use crate::ask::views::{
    BenchNow, BenchView, Draft, GoOn, GuitarLine, GuitarPage, IronOn, NumberedNotice, OnFinish, PickupLine, PickupPage,
    PlaceShown, RigLine, RigPage,
};
use crate::audition::{Audition, Kit, Present, State, at_any_step, progress, title, view};
use crate::clock;
use crate::decision::decided_lines;
use crate::fit::{Fit, LivesIn};
use crate::logbook::{Find, Line, Lists, Log};
use crate::physics::meter;
use crate::physics::meter::{COIL, slip, too_little_or_much};
use crate::record::audition::AuditionId;
use crate::record::entry::{About, Entry, in_order};
use crate::record::guitar::{Guitar, GuitarId, Hand};
use crate::record::pickup::{Pickup, PickupId};
use crate::record::quantity::{
    Length, LengthUnit, Ohms, read_celsius, read_decibels, read_farads, read_gauge, read_length, read_ohms,
};
use crate::record::rig::{Rig, RigId};
use crate::record::sound::level_shown;
use crate::record::things::Thing;
use crate::safety::cautions;
use crate::safety::cautions::Situation;
use crate::safety::hearing::{read_level, read_time, time_shown};

/// How many auditions that are over the Bench page shows.
const RECENT: usize = 5;
/// For how long the Bench page asks after a rig that was not said to be lifted off, once its audition is over.
const ASKED_AFTER: TimeDelta = TimeDelta::days(7);

impl Bench {
    pub(super) fn show_asked(&self, log: &mut Log, ask: Ask, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match ask {
            Ask::Bench {} => self.bench_reply(log, now),
            Ask::Drawer { retired } => {
                let mut living = fitting::living(log)?;
                let mut pickups: Vec<PickupLine> = things(log, "pickup", retired)?
                    .into_iter()
                    .map(|(id, thing)| pickup_line(PickupId(id), thing, living.remove(&PickupId(id))))
                    .collect();
                // Loose ones first: they can be laid into a rig as they are.
                pickups.sort_by_key(|line| line.lives_in.is_some());
                Ok(Reply::Drawer { pickups })
            }
            Ask::Guitars { retired } => {
                let guitars = things(log, "guitar", retired)?
                    .into_iter()
                    .map(|(id, thing)| guitar_line(GuitarId(id), thing))
                    .collect();
                Ok(Reply::Guitars { guitars })
            }
            Ask::Rigs { retired } => {
                let rigs =
                    things(log, "rig", retired)?.into_iter().map(|(id, thing)| rig_line(RigId(id), thing)).collect();
                Ok(Reply::Rigs { rigs })
            }
            Ask::Pickup { id, unit } => pickup_page(log, id, unit),
            Ask::Guitar { id, unit } => guitar_page(log, id, unit),
            Ask::Rig { id, unit } => rig_page(log, id, unit),
            Ask::FourTerminalRig { unit } => {
                Ok(Reply::RigForm { form: RigForm::from_record(&Rig::four_terminal("Four-terminal rig"), unit) })
            }
            Ask::FindLeads { pickup, rig } => lead_search_reply(log, pickup, rig),
            Ask::PickupHealth { id } => health_reply(log, id),
            Ask::ModesOf { pickup, rig } => modes_reply(log, pickup, rig),
            Ask::Meter {} => meter_reply(log),
            Ask::Audition { id } => self.show(log, About::Audition(id), now),
            Ask::Logbook { find } => {
                if find.words.chars().count() > 200 {
                    return Err(Refusal::unclear("find.words", "Look for fewer words at once."));
                }
                Ok(Reply::Logbook { found: log.find(&find)? })
            }
            Ask::Compare { auditions, unit } => comparing::compare(log, &auditions, unit),
            Ask::Decision { guitar, place, wishes, musts } => comparing::decision(log, guitar, place, wishes, musts),
            Ask::Choosable {} => history::choosable_reply(log),
            Ask::PickupHistory { id, after } => history::of_pickup(log, id, after),
            Ask::GuitarHistory { id, after } => history::of_guitar(log, id, after),
            Ask::Facing { audition, lie, marked } => geometry::facing(log, audition, lie, marked),
            Ask::StringsOver { audition, shift, to_treble, limit, unit } => {
                geometry::strings_over(log, audition, &shift, to_treble, &limit, unit)
            }
            Ask::HearPlace { form } => geometry::hear_place(log, &form),
            Ask::EarlierGaps { audition } => geometry::earlier_gaps(log, audition),
            Ask::Fit { id } => fitting::fit_reply(log, id, now),
            Ask::Fits { about } => fitting::fits_reply(log, about),
            Ask::Struck {} => striking::struck_reply(log),
            Ask::Understand { quantity, text, unit, plausible } => understand(log, quantity, &text, unit, plausible),
            Ask::Drafts {} => self.drafts_reply(log),
            Ask::Cautions {} => Ok(Reply::Cautions {
                who_decides: cautions::WHO_DECIDES.to_owned(),
                now: bench_now(log, now)?,
                parts: cautions::whole_catalogue(),
            }),
            Ask::WhatWouldGo { things } => what_would_go(log, &things),
            Ask::CheckLog {} => {
                log.check()?;
                Ok(Reply::Done { sentence: "The log is sound.".to_owned() })
            }
            other => {
                debug_assert!(false, "not a question: {other:?}");
                Err(Refusal::new(Code::Program, "The program took an entry for a question. Nothing was written."))
            }
        }
    }

    /// What a write answers: the thing it was about, as it stands now.
    pub(super) fn show(&self, log: &mut Log, about: About, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match about {
            About::Pickup(id) => pickup_page(log, id, LengthUnit::Millimetre),
            About::Guitar(id) => guitar_page(log, id, LengthUnit::Millimetre),
            About::Rig(id) => rig_page(log, id, LengthUnit::Millimetre),
            About::Audition(id) => {
                let ordered = in_order(log.about(about)?);
                audition_reply(log, id, ordered, now)
            }
            About::Meter(_) => meter_reply(log),
            About::Fit(id) => fitting::fit_reply(log, id, now),
        }
    }

    pub(super) fn bench_reply(&self, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let (mut go_on, mut on_finish, mut sounding, mut irons) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let (diary, mut sounding_fits) = (diary(log, now)?, Vec::new());
        for line in log.open_auditions()? {
            let about = About::Audition(line.audition);
            let audition = Audition::fold(&in_order(log.about(about)?));
            let (kit, present) = (kit(log, &audition, None)?, diary.seen_from(Some(about)));
            if audition.sounding().is_some() {
                sounding.push(line.audition);
            }
            on_finish.extend(standing(line.audition, &audition, &kit, &present));
            irons.extend(iron_on(about, &audition, || title_of(&audition, &kit)));
            let (steps_over, Some((step, what))) = progress(&audition, &kit, &present) else { continue };
            go_on.push(GoOn { line, step, step_name: step.name().to_owned(), what, steps_over });
        }
        let over: Vec<Line> =
            log.find(&Find::default())?.lines.into_iter().filter(|line| line.state != State::Open).collect();
        // Ended, or its take-down left out, and the rig was never said to be off.
        for line in over.iter().filter(|line| (now - line.last).abs() < ASKED_AFTER && !line.demo) {
            let about = About::Audition(line.audition);
            let audition = Audition::fold(&in_order(log.about(about)?));
            if audition.stands_since.is_some() || audition.iron_lit.is_some() {
                let (kit, present) = (kit_then(log, &audition)?, Present::at(now));
                on_finish.extend(standing(line.audition, &audition, &kit, &present));
                irons.extend(iron_on(about, &audition, || title_of(&audition, &kit)));
            }
        }
        let fits = log.open_fits()?;
        for line in &fits {
            let about = About::Fit(line.fit);
            let bench = Fit::fold(&in_order(log.about(about)?)).bench;
            if bench.sounding().is_some() {
                sounding_fits.push(line.fit);
            }
            irons.extend(iron_on(about, &bench, || line.title.clone()));
        }
        irons.sort_by_key(|iron: &IronOn| iron.since);
        on_finish.sort_by_key(|one: &OnFinish| one.countdown.over_at);
        let recent: Vec<Line> = over.into_iter().take(RECENT).collect();
        let notices = log.notices()?.into_iter().map(|(number, notice)| NumberedNotice { number, notice }).collect();
        Ok(Reply::Bench {
            bench: BenchView {
                go_on,
                pickups: log.count_of("pickup")?,
                guitars: log.count_of("guitar")?,
                rigs: log.count_of("rig")?,
                demo: log.has_demo()?,
                on_finish,
                sounding,
                sounding_fits,
                irons,
                hearing: diary.seen_from(None).today(&Audition::default()),
                notices,
                clock: clock::doubt(log.last_written_here()?, now, self.moved(now)),
                recent,
                fits,
            },
        })
    }

    pub(super) fn drafts_reply(&self, log: &Log) -> Result<Reply, Refusal> {
        let drafts = log.drafts()?.into_iter().map(|(key, text)| Draft { key, text }).collect();
        Ok(Reply::Drafts { drafts })
    }
}

/// The iron of an audition or an install, if it was lit and not said to be off.
fn iron_on(about: About, bench: &Audition, title: impl FnOnce() -> String) -> Option<IronOn> {
    bench.iron_lit.map(|since| IronOn { about, title: title(), since })
}

fn title_of(audition: &Audition, kit: &Kit) -> String {
    title(audition.choice.as_ref().map(|inked| &inked.said), kit)
}

/// The rig of an audition on its finish, if it stands there.
fn standing(id: AuditionId, audition: &Audition, kit: &Kit, present: &Present) -> Option<OnFinish> {
    let countdown = present.on_finish(audition, kit)?;
    Some(OnFinish { audition: id, title: title_of(audition, kit), countdown })
}

/// What can hurt at the open audition that was written in last, and at those that were written in within a day; where none
/// is open, what can hurt at a bench of which nothing is known.
fn bench_now(log: &mut Log, now: DateTime<Utc>) -> Result<Vec<BenchNow>, Refusal> {
    let diary = diary(log, now)?;
    let mut benches = Vec::new();
    for line in log.open_auditions()? {
        if !benches.is_empty() && (now - line.last).abs() > TimeDelta::days(1) {
            continue;
        }
        let about = About::Audition(line.audition);
        let audition = Audition::fold(&in_order(log.about(about)?));
        let kit = kit(log, &audition, None)?;
        let (cautions, holds) = at_any_step(&audition, &kit, &diary.seen_from(Some(about)));
        let title = title_of(&audition, &kit);
        benches.push(BenchNow { audition: Some(line.audition), title, holds, cautions });
    }
    if benches.is_empty() {
        let cautions = cautions::views(&Situation::default(), |_| None);
        let title = "Any bench of which nothing is known yet".to_owned();
        benches.push(BenchNow { audition: None, title, holds: Vec::new(), cautions });
    }
    Ok(benches)
}

/// One audition with these entries.
pub(super) fn audition_reply(
    log: &mut Log,
    id: AuditionId,
    ordered: Vec<(Entry, bool)>,
    now: DateTime<Utc>,
) -> Result<Reply, Refusal> {
    if ordered.is_empty() {
        return Err(Refusal::not_found("audition"));
    }
    let audition = Audition::fold(&ordered);
    let mut kit = kit_then(log, &audition)?;
    if kit.pickup.as_ref().is_some_and(|pickup| {
        pickup
            .coils
            .iter()
            .any(|coil| coil.stated.is_none() && kit.measured.iter().all(|measured| measured.coil != coil.name))
    }) {
        kit.measured.extend(measured_before(log, id, &audition)?);
    }
    let present = present(log, now, Some(About::Audition(id)))?;
    let mut view = view(id, &ordered, kit, &present);
    comparing::tell(log, &audition, &mut view)?;
    Ok(Reply::Audition { audition: Box::new(view) })
}

fn pickup_line(id: PickupId, thing: Thing<Pickup>, lives_in: Option<LivesIn>) -> PickupLine {
    let summary = pickup_summary(&thing.described);
    PickupLine {
        id,
        summary: lives_in.as_ref().map_or(summary.clone(), |at| format!("{summary}; lives {}", at.words)),
        lives_in,
        not_covered: not_covered(&thing.described),
        pickup: thing.described,
        retired: thing.retired,
        demo: thing.demo,
    }
}

/// Stands where no coil is stated.
const NOT_KNOWN: &str = "resistance not known";

fn not_covered(pickup: &Pickup) -> Option<String> {
    meter::not_covered(pickup, None).map(|why| why.sentence().to_owned())
}

fn pickup_summary(pickup: &Pickup) -> String {
    let coils: Vec<String> =
        pickup.coils.iter().map(|coil| coil.stated.map_or_else(|| "?".to_owned(), Ohms::shown)).collect();
    let leads = match pickup.leads.len() {
        0 => "leads not written down".to_owned(),
        1 => "1 lead".to_owned(),
        count => format!("{count} leads"),
    };
    let stated =
        if pickup.coils.iter().any(|coil| coil.stated.is_some()) { coils.join(" and ") } else { NOT_KNOWN.to_owned() };
    format!("{}, {stated}, {leads}", pickup.construction.in_words())
}

fn guitar_line(id: GuitarId, thing: Thing<Guitar>) -> GuitarLine {
    GuitarLine {
        id,
        summary: guitar_summary(&thing.described),
        sides: crate::physics::sides::sides(Some(&thing.described)),
        places: places(&thing.described),
        guitar: thing.described,
        retired: thing.retired,
        demo: thing.demo,
    }
}

fn places(guitar: &Guitar) -> Vec<PlaceShown> {
    guitar
        .places
        .iter()
        .map(|place| PlaceShown {
            name: place.name.clone(),
            from_saddle: place.from_saddle.into(),
            from_saddle_treble: place.from_saddle_treble.map(Length::from),
        })
        .collect()
}

fn guitar_summary(guitar: &Guitar) -> String {
    let hand = match guitar.hand {
        Hand::Right => "right-handed",
        Hand::Left => "left-handed",
    };
    let strung = match guitar.strung.filter(|strung| *strung != guitar.hand) {
        Some(Hand::Right) => ", strung for the right hand",
        Some(Hand::Left) => ", strung for the left hand",
        None => "",
    };
    format!(
        "{} strings, {hand}{strung}, scale {}, {}",
        guitar.strings.len(),
        guitar.scale.shown(LengthUnit::Millimetre),
        guitar.finish.kind.in_words()
    )
}

fn rig_line(id: RigId, thing: Thing<Rig>) -> RigLine {
    RigLine {
        id,
        summary: rig_summary(&thing.described),
        rig: thing.described,
        retired: thing.retired,
        demo: thing.demo,
    }
}

fn rig_summary(rig: &Rig) -> String {
    let modes: Vec<_> = rig.positions.iter().map(|position| position.mode.0.as_str()).collect();
    format!("{} terminals, {}, {}", rig.terminals.len(), modes.join(", "), rig.feet.in_words())
}

fn pickup_page(log: &mut Log, id: PickupId, unit: LengthUnit) -> Result<Reply, Refusal> {
    let thing: Thing<Pickup> = thing(log, About::Pickup(id), "pickup")?;
    let auditions = log.find(&Find { pickup: Some(id), ..Find::default() })?.lines;
    let measured = measured_last(log, id)?;
    let mut summary = pickup_summary(&thing.described);
    if thing.described.coils.iter().all(|coil| coil.stated.is_none()) && !measured.is_empty() {
        let coils: Vec<&str> = measured.iter().map(|coil| coil.shown.as_str()).collect();
        summary = summary.replace(NOT_KNOWN, &format!("{} measured", coils.join(" and ")));
    }
    Ok(Reply::Pickup {
        pickup: Box::new(PickupPage {
            id,
            form: PickupForm::from_record(&thing.described, unit),
            shown: PickupForm::to_read(&thing.described, unit),
            summary,
            not_covered: not_covered(&thing.described),
            pickup: thing.described,
            retired: thing.retired,
            demo: thing.demo,
            first: thing.first,
            newer: thing.newer,
            auditions,
            measured,
        }),
    })
}

fn guitar_page(log: &mut Log, id: GuitarId, unit: LengthUnit) -> Result<Reply, Refusal> {
    let entries = log.about(About::Guitar(id))?;
    let decided = decided_lines(&in_order(entries.iter().cloned()));
    let thing: Thing<Guitar> = Thing::fold(entries, None).ok_or_else(|| Refusal::not_found("guitar"))?;
    let auditions = log.find(&Find { guitar: Some(id), ..Find::default() })?.lines;
    Ok(Reply::Guitar {
        guitar: Box::new(GuitarPage {
            id,
            form: GuitarForm::from_record(&thing.described, unit),
            shown: GuitarForm::to_read(&thing.described, unit),
            summary: guitar_summary(&thing.described),
            sides: crate::physics::sides::sides(Some(&thing.described)),
            places: places(&thing.described),
            guitar: thing.described,
            retired: thing.retired,
            demo: thing.demo,
            first: thing.first,
            newer: thing.newer,
            auditions,
            decided,
        }),
    })
}

fn rig_page(log: &mut Log, id: RigId, unit: LengthUnit) -> Result<Reply, Refusal> {
    let thing: Thing<Rig> = thing(log, About::Rig(id), "rig")?;
    Ok(Reply::Rig {
        rig: Box::new(RigPage {
            id,
            form: RigForm::from_record(&thing.described, unit),
            shown: RigForm::to_read(&thing.described, unit),
            summary: rig_summary(&thing.described),
            rig: thing.described,
            retired: thing.retired,
            demo: thing.demo,
            first: thing.first,
            newer: thing.newer,
        }),
    })
}

fn understand(
    log: &Log,
    quantity: Quantity,
    text: &str,
    unit: LengthUnit,
    plausible: Option<[Ohms; 2]>,
) -> Result<Reply, Refusal> {
    let shown = match quantity {
        Quantity::Reading | Quantity::Coil | Quantity::Leads => read_ohms(text).map(|reading| match reading.ohms() {
            Some(_) => reading.shown(),
            None => "OL, over the meter's limit".to_owned(),
        }),
        Quantity::Length => read_length(text, unit).map(|length| length.shown(unit)),
        Quantity::Gauge => read_gauge(text).map(|gauge| gauge.shown(LengthUnit::DecimalInch)),
        Quantity::Temperature => read_celsius(text).map(|room| room.shown()),
        Quantity::Capacitance => read_farads(text).map(|farads| farads.shown()),
        Quantity::Level => read_level(text).map(level_shown),
        Quantity::Time => read_time(text).map(|time| time_shown(time.num_seconds() as f64)),
        Quantity::Output => read_decibels(text).map(|level| level.shown()),
    };
    let query = match quantity {
        Quantity::Reading | Quantity::Coil | Quantity::Leads if shown.is_ok() => {
            let counts = meter_in_use(log, None)?.claim.most_counts();
            let plausible = plausible.map(|[low, high]| (low.0, high.0));
            // Two leads in one point read next to nothing.
            let joined =
                read_ohms(text).is_ok_and(|reading| reading.ohms().is_some_and(|ohms| ohms.0 < MOST_OF_A_JOIN));
            match quantity {
                Quantity::Coil => too_little_or_much(text, plausible, counts),
                Quantity::Leads if !joined => too_little_or_much(text, plausible, counts),
                // A lone 1 may be over limit here too.
                Quantity::Leads => {
                    slip(text, COIL, counts).filter(|asked| asked.instead == "OL").map(|asked| asked.sentence)
                }
                _ => plausible.and_then(|plausible| slip(text, plausible, counts)).map(|asked| asked.sentence),
            }
        }
        _ => None,
    };
    shown.map(|shown| Reply::Understood { shown, query }).map_err(|unclear| Refusal::unclear("text", unclear.sentence))
}

/// Two leads that are one point read up to this with thin wire and probes (common practice), in ohms.
const MOST_OF_A_JOIN: f64 = 3.0;

fn what_would_go(log: &mut Log, things: &[About]) -> Result<Reply, Refusal> {
    let mut sentences = Vec::new();
    if things.is_empty() {
        // Without a thing, the question is about the demo bench.
        let (goes, stays) = demo_things(log)?;
        let auditions = goes.iter().filter(|about| matches!(about, About::Audition(_))).count();
        sentences.push(format!("{} invented things and {auditions} invented auditions go.", goes.len() - auditions));
        if !stays.is_empty() {
            sentences.push(format!(
                "{} of the invented things stay, because auditions of your own use them. Put them away under Drawer, Guitars or Rigs.",
                stays.len()
            ));
        }
        sentences.push("The daily copies of the log stay as they are.".to_owned());
    } else {
        let all = with_their_auditions(log, things)?;
        let auditions = all.iter().filter(|about| matches!(about, About::Audition(_))).count();
        let mut entries = 0;
        for about in &all {
            entries += log.about(*about)?.len();
        }
        let installs = all.iter().filter(|about| matches!(about, About::Fit(_))).count();
        sentences.push(match auditions {
            0 => format!("{entries} entries go, and no audition with them."),
            1 => format!("{entries} entries go, one audition among them."),
            count => format!("{entries} entries go, {count} auditions among them."),
        });
        match installs {
            0 => {}
            1 => sentences.push("One fit sheet goes with them.".to_owned()),
            count => sentences.push(format!("{count} fit sheets go with them.")),
        }
        match log.photos_of(&all.iter().copied().collect::<Vec<_>>())?.len() {
            0 => {}
            1 => sentences.push("One photo goes with them, unless another audition holds it too.".to_owned()),
            count => sentences.push(format!("{count} photos go with them, unless other auditions hold them too.")),
        }
        sentences.push("The copies of the log on this bench are made anew, so that nothing of it stays behind. It can't be undone.".to_owned());
        if log.set_aside() > 0 {
            sentences.push("Damaged logs that were set aside stay as they are. To be rid of what they hold, delete the files whose names begin with damaged.".to_owned());
        }
    }
    Ok(Reply::WouldGo { sentences })
}
