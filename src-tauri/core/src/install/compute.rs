//! What the computing of an install says, as the sheet shows it.

use super::by_ear::standing_checks;
use super::fold::Install;
use super::jack::jack;
use super::kit::{InstallKit, OUTPUT};
use super::page::{
    BeforeReading, BeforeView, CheckedLine, HookupView, JackView, JointLine, MissingSize, PhaseView, SizeOf,
    SwitchOffered, TogetherView,
};
use super::parts::with_parts;
use super::slips::StatedIn;
use crate::audition::{Unexplained, hookup_or_meant, hung};
use crate::install::sheet::Sheet;
use crate::physics::gaps::{Hung, Over};
use crate::physics::leads::{CANCELLED, as_hooked_up};
use crate::physics::meter::digits;
use crate::physics::wiring::{
    Clearance, JackCase, PairPhase, SignalPath, SolderPoint, SolderPointKind, Staying, WiringKind, WiringPlan,
};
use crate::physics::{meter, wiring};
use crate::record::contacts::ModeSwitch;
use crate::record::guitar::{Guitar, Place};
use crate::record::install::{InstallAnswer, InstallTask, PhaseHeard};
use crate::record::leads::{Contact, LeadName};
use crate::record::pickup::Pickup;
use crate::record::quantity::Millimetres;
use crate::record::rig::Mode;
use crate::record::tick::Tick;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::wiring::{Plan, positions};
use crate::record::words::listed;

/// How a reading at the jack is taken.
const HOW: &str =
    "Cable out of the amplifier, meter on ohms, clips on tip and sleeve of the plug. Tone at full, fingers off.";

/// How the guitar as it was is read.
const BEFORE: &str = "Cable out of the amplifier, meter on ohms, clips on tip and sleeve of the plug. Volume and tone at full, \
                      fingers off.";

/// Computes all of a sheet. What is not known is said to be not known.
#[must_use]
pub fn sheet_of(install: &Install, kit: &InstallKit) -> Sheet {
    let suggested = suggested(kit);
    let chosen = install.plan.as_ref().map(|saved| &saved.said);
    let plan = chosen.unwrap_or(&suggested);
    let mut sheet = Sheet {
        switches: switches(kit),
        plan: None,
        way_round: Vec::new(),
        set_in: Vec::new(),
        way_drawn: None,
        phase: PhaseView {
            sentence: "The records say too little to tell.".to_owned(),
            pairs: Vec::new(),
            checks: Vec::new(),
        },
        hum: Vec::new(),
        hookup: HookupView::default(),
        room: Vec::new(),
        heights: Vec::new(),
        before: before(install, kit),
        jack: JackView { how: HOW.to_owned(), lines: Vec::new(), notes: Vec::new() },
        readings: Vec::new(),
        probed: Vec::new(),
        beside: Vec::new(),
        proof: None,
        unexplained: Unexplained::default(),
        slip: None,
        diagnosis: None,
        suggested: suggested.clone(),
    };
    let (Some(pickup), Some(guitar), Some(rig)) = (&kit.pickup, &kit.guitar, &kit.heard.rig) else { return sheet };
    let mounting = kit.audition.mounting.as_ref().map(|saved| saved.said);
    // Whoever solders it has it out, whatever was ticked.
    let ticked = |tick: &Tick| kit.audition.ticks.contains_key(tick);
    let taken_down = Tick::TAKE_DOWN.iter().all(ticked) || install.acts.contains_key(&InstallTask::SetIn);
    let planned: Vec<Mode> = positions(plan).into_iter().map(|(_, mode)| mode).collect();
    let way = wiring::way_round(pickup, guitar, rig, mounting.as_ref(), taken_down, &planned);
    sheet.set_in = [way.bass_end, way.bridge_edge].into_iter().filter(said).collect();
    sheet.way_round = sheet.set_in.iter().cloned().chain(way.rig_changed).collect();
    if let Some(place) = kit.place() {
        let at = wiring::clearance(pickup, guitar, place, heard_gaps(kit));
        sheet.heights = heights(&at);
        sheet.way_drawn = Some(at.strings.drawn.clone());
        sheet.room = room(at, pickup, guitar, place);
    }
    if let Some(why) = meter::not_covered(pickup, None) {
        sheet.room.insert(0, CheckedLine::new("The pickup", why.into()));
    }
    let joined = hookup_or_meant(&kit.audition, &kit.heard);
    let wirings = wiring::mode_wirings(pickup, rig, &joined);
    let path = kit.path_of(plan);
    let wiring = wiring::wire_in(pickup, &wirings, plan, (&kit.on.place, &path.positions));
    let heard = as_hooked_up(pickup, rig, &joined, &kit.measured);
    sheet.plan = chosen.map(|_| given(&wiring));
    sheet.hookup = hookup(&wiring, kit);
    if let Some(parts) = &install.parts {
        with_parts(&mut sheet.hookup, &parts.said, kit.guitar.as_ref().map(|guitar| &guitar.controls), &kit.on.place);
    }
    for (_, mode) in positions(plan) {
        if let Some(one) = heard.modes.iter().find(|one| one.mode == mode)
            && sheet.hum.iter().all(|(other, _)| *other != mode)
        {
            sheet.hum.push((mode, one.cancels_hum));
        }
    }
    if let Some(sentence) = kit.laid_otherwise(plan) {
        sheet.hookup.notes.push(sentence.clone());
        sheet.jack.notes.push(sentence.clone());
        sheet.phase.sentence = sentence;
        return sheet;
    }
    let staying = kit.staying(install);
    let room_now = install.readings.iter().max_by_key(|read| read.at).and_then(|read| read.said.taken.room);
    let case = JackCase {
        pickup,
        measured: &kit.measured,
        tapped: kit.tapped,
        place: &kit.on.place,
        wiring: &wiring,
        path: &path,
        staying: &staying,
        meter: &kit.meter.claim,
        room: room_now,
    };
    sheet.phase = phase(install, kit, &case, &path, &staying);
    jack(install, &case, chosen.is_some(), &mut sheet);
    sheet
}

/// The gaps of the audition, with the height of the strings as the guitar's record says it now where it said nothing then.
fn heard_gaps(kit: &InstallKit) -> Option<Hung> {
    let choice = kit.audition.choice.as_ref().map(|saved| &saved.said);
    let mut heard = hung(choice, kit.audition.gaps.as_ref().map(|saved| &saved.said), &kit.heard)?;
    if !heard.over.measured {
        heard.over = Over::of(kit.guitar.as_ref(), choice?.sides(), heard.over.faces);
    }
    Some(heard)
}

/// What was read of the guitar as it was, and what that tells.
fn before(install: &Install, kit: &InstallKit) -> BeforeView {
    let readings: Vec<BeforeReading> = kit
        .positions_before()
        .into_iter()
        .map(|set| {
            let read = install.before.iter().find(|read| read.said.set == set);
            BeforeReading {
                words: set.in_words(),
                reading: read.map(|read| read.said.taken.reading.shown()),
                entry: read.map(|read| read.entry),
                at: set,
            }
        })
        .collect();
    let known = kit.solved_back(install).into_iter().map(|one| {
        let [low, high] = one.between.map(|ohms| digits(ohms.0, 2));
        format!(
            "By itself the {} pickup reads {} at 20 °C, between {low} and {high}: the pots are taken off.",
            one.place,
            digits(one.ohms.0, 2)
        )
    });
    BeforeView {
        how: BEFORE.to_owned(),
        next: readings.iter().find(|one| one.reading.is_none()).map(|one| one.at.clone()),
        room: install.before.iter().filter_map(|read| read.said.taken.room).next_back().map(|room| room.shown()),
        known: known.chain(kit.laid_before()).collect(),
        readings,
        photos: Vec::new(),
    }
}

fn said(words: &impl AsRef<str>) -> bool {
    !words.as_ref().is_empty()
}

/// The modes to begin with: the one that was decided, then those that were heard.
fn to_begin_with(kit: &InstallKit) -> Vec<Mode> {
    let chosen = kit.audition.choice.as_ref().map(|saved| saved.said.modes.clone()).unwrap_or_default();
    let heard: Vec<Mode> = if chosen.is_empty() { kit.modes() } else { chosen };
    let mut modes: Vec<Mode> = kit.decided.iter().filter(|mode| kit.modes().contains(mode)).cloned().collect();
    for mode in heard {
        if !modes.contains(&mode) {
            modes.push(mode);
        }
    }
    modes
}

/// The mode that was decided, for good; else the one that was heard first.
pub(super) fn suggested(kit: &InstallKit) -> Plan {
    let modes = to_begin_with(kit);
    let heard = modes.iter().find(|mode| kit.silent(mode).is_none()).or(modes.first());
    let mut plan = Plan { modes: heard.cloned().into_iter().collect(), switch: None, turned: false, selector: None };
    if let (Some(pickup), Some(rig)) = (&kit.pickup, &kit.heard.rig) {
        // What shield or frame is joined to belongs at ground, whichever way round it was tried.
        let wirings = wiring::mode_wirings(pickup, rig, &hookup_or_meant(&kit.audition, &kit.heard));
        let bound = pickup.joined_to_leads();
        let on = |leads: &[LeadName]| bound.iter().filter(|(_, lead)| leads.contains(lead)).count();
        let planned = wirings.iter().find(|wiring| plan.modes.contains(&wiring.mode));
        plan.turned = planned.is_some_and(|wiring| on(&wiring.hot) > on(&wiring.ground));
    }
    plan
}

fn switches(kit: &InstallKit) -> Vec<SwitchOffered> {
    let modes = to_begin_with(kit);
    ModeSwitch::ready_made()
        .into_iter()
        .map(|switch| SwitchOffered {
            modes: switch
                .positions
                .iter()
                .enumerate()
                .filter_map(|(index, _)| modes.get(index.min(modes.len().saturating_sub(1))).cloned())
                .collect(),
            positions: switch.positions.into_iter().map(|position| position.name).collect(),
            switch: switch.name,
        })
        .collect()
}

/// Whether the plan gives what it asks for.
fn given(wiring: &WiringPlan) -> Verdict {
    let (kind, word) = match wiring.kind {
        WiringKind::Wired => (VerdictKind::Good, "It can be wired"),
        WiringKind::Partly => (VerdictKind::Bad, "Not all of it"),
        WiringKind::CantBe => (VerdictKind::Bad, "It can't be wired"),
        WiringKind::LeadsUnknown => (VerdictKind::Unsure, "Leads not known"),
    };
    Verdict::new(kind, word, wiring.sentence.clone())
}

fn hookup(wiring: &WiringPlan, kit: &InstallKit) -> HookupView {
    let named = |point: &SolderPoint| match point.kind {
        SolderPointKind::Hot {} => kit.hot_in_words(wiring.selector.as_ref()),
        // Its leads are named beside it.
        SolderPointKind::Join {} => "each other".to_owned(),
        SolderPointKind::Ground {}
        | SolderPointKind::Lug { .. }
        | SolderPointKind::Insulated {}
        | SolderPointKind::Beside { .. } => point.name.clone(),
    };
    let row = wiring.selector.as_ref().and_then(|by| by.row.as_ref());
    // Of a pickup that stays and stands on the new one, both ends are soldered anew.
    let lifted = row.filter(|row| row.upper != kit.on.place);
    let mut joints: Vec<JointLine> = lifted
        .map(|row| JointLine { what: format!("the {} pickup's hot", row.upper), at: OUTPUT.to_owned() })
        .into_iter()
        .collect();
    let mut insulated = Vec::new();
    for (index, point) in wiring.points.iter().enumerate() {
        // A wire between two points has a joint at each.
        let jumpers = wiring.jumpers.iter().filter_map(|[one, other]| {
            let (one, other) = (usize::from(*one), usize::from(*other));
            let end = if one == index { other } else { one };
            (one == index || other == index).then(|| wiring.points.get(end)).flatten()
        });
        // Its other joint says where in the guitar the hot is.
        let end = |point: &SolderPoint| match point.kind {
            SolderPointKind::Hot {} => "the hot".to_owned(),
            _ => named(point),
        };
        let jumpers: Vec<String> = jumpers
            .map(|point| match point.kind {
                SolderPointKind::Beside { .. } if lifted.is_some() => point.name.clone(),
                _ => format!("jumper to {}", end(point)),
            })
            .collect();
        match point.kind {
            SolderPointKind::Insulated {} => insulated.extend(point.leads.iter().cloned()),
            // It is a lead, named at its lug.
            SolderPointKind::Beside { .. } if lifted.is_some() => {}
            SolderPointKind::Hot {}
            | SolderPointKind::Ground {}
            | SolderPointKind::Lug { .. }
            | SolderPointKind::Beside { .. }
            | SolderPointKind::Join {} => {
                let what: Vec<String> = point.leads.iter().map(Contact::to_string).chain(jumpers).collect();
                if !what.is_empty() {
                    joints.push(JointLine { what: listed(&what), at: named(point) });
                }
            }
        }
    }
    HookupView {
        joints,
        insulated,
        drawn: (!wiring.drawn.marks.is_empty()).then(|| wiring.drawn.clone()),
        gives: wiring.positions.iter().map(|position| position.sentence.clone()).filter(said).collect(),
        notes: wiring.notes.clone(),
        steps: wiring.steps.clone(),
        jumpers: u8::try_from(wiring.jumpers.len()).unwrap_or(u8::MAX),
    }
}

fn heights(at: &Clearance) -> Vec<String> {
    let [bass, treble] = at.gaps.clone().map(|gap| gap.millimetre);
    let from = at.gaps_from.clone();
    vec![format!(
        "Bass side {bass}, treble side {treble}, from the pole to the underside of the string, pressed at the last fret."
    )]
        .into_iter()
        .chain(said(&from).then_some(from))
        .collect()
}

/// Sizes of the pickup and of its opening that no record says.
fn missing(pickup: &Pickup, place: &Place) -> Vec<MissingSize> {
    let sizes = [
        (SizeOf::Length, pickup.length, place.opening_length),
        (SizeOf::Width, pickup.width, place.opening_width),
        (SizeOf::Depth, pickup.depth, place.depth),
    ];
    let of = |record, size, known: Option<Millimetres>| known.is_none().then_some(MissingSize { of: record, size });
    let both = sizes.map(|(size, its, has)| [of(StatedIn::Pickup, size, its), of(StatedIn::Guitar, size, has)]);
    both.into_iter().flatten().flatten().collect()
}

fn room(at: Clearance, pickup: &Pickup, guitar: &Guitar, place: &Place) -> Vec<CheckedLine> {
    let line =
        |name: &str, kind, word: &str, sentence: String| CheckedLine::new(name, Verdict::new(kind, word, sentence));
    let (kind, word) = match at.fits {
        Some(true) => (VerdictKind::Good, "It fits"),
        Some(false) => (VerdictKind::Bad, "It does not fit"),
        None => (VerdictKind::Unsure, "Not measured"),
    };
    let heights = heights(&at).join(" ");
    let far = at.strings.strings.iter().any(|string| string.far);
    let unknown = at.strings.strings.iter().all(|string| string.offset.is_none() && string.words == "no pole known");
    let other_count = at.strings.mismatch.is_some();
    let (spacing, spacing_word) = match (unknown, far) {
        (true, _) => (VerdictKind::Unsure, "Not known"),
        (false, _) if other_count => (VerdictKind::Unsure, "Another number of poles"),
        (false, true) => (VerdictKind::Unsure, "Look at it"),
        (false, false) => (VerdictKind::Good, "Over the poles"),
    };
    let spread = guitar.spread_nut.is_none() || guitar.spread_saddle.is_none();
    let of_spacing = [(StatedIn::Pickup, pickup.pole_spacing.is_none()), (StatedIn::Guitar, spread)];
    let of_heights = [(StatedIn::Guitar, guitar.height_bass.is_none() || guitar.height_treble.is_none())];
    let short = |records: &[(StatedIn, bool)]| -> Vec<StatedIn> {
        records.iter().filter(|(_, short)| *short).map(|(record, _)| *record).collect()
    };
    vec![
        CheckedLine { missing: missing(pickup, place), ..line("Opening and depth", kind, word, at.size.join(" ")) },
        CheckedLine {
            records: short(&of_spacing),
            ..line("Strings over the poles", spacing, spacing_word, at.strings.sentences.join(" "))
        },
        CheckedLine {
            records: short(&of_heights),
            ..line("Heights to start with", VerdictKind::Good, "Start here", heights)
        },
    ]
}

fn phase(install: &Install, kit: &InstallKit, case: &JackCase, path: &SignalPath, staying: &[Staying]) -> PhaseView {
    let mut found = wiring::phase_and_hum(case);
    for saved in install.answers.values() {
        let InstallAnswer::Phase { position, heard } = &saved.said else { continue };
        match heard {
            PhaseHeard::Full => found.heard(case, position, true),
            PhaseHeard::Thin => found.heard(case, position, false),
            PhaseHeard::CantTell => {}
        }
    }
    let record = |name: &str| {
        kit.guitar
            .iter()
            .flat_map(|guitar| &guitar.places)
            .find(|place| place.name == name)
            .and_then(|place| place.fitted)
    };
    let pair = |one: PairPhase| {
        let position =
            if path.positions.len() > 1 { format!(", selector on “{}”", one.selector) } else { String::new() };
        let phase = match one.in_phase {
            Some(true) => Verdict::new(VerdictKind::Good, "In phase", one.sentence.clone()),
            Some(false) => Verdict::new(VerdictKind::Bad, "Out of phase", one.sentence.clone()),
            None if one.hum_left.is_none() => Verdict::new(VerdictKind::Unsure, "Phase and hum not known", ""),
            None => Verdict::new(VerdictKind::Unsure, "Phase not known", one.sentence.clone()),
        };
        let hum = match one.hum_left {
            Some(left) if left <= CANCELLED => Verdict::new(VerdictKind::Good, "Hum cancelled", ""),
            Some(left) if left < 0.9 => Verdict::new(VerdictKind::Unsure, "Hum partly cancelled", ""),
            Some(_) => Verdict::new(VerdictKind::Unsure, "Hum not cancelled", ""),
            // Said with the phase.
            None if one.in_phase.is_none() => Verdict::new(VerdictKind::Unsure, "", ""),
            None => Verdict::new(VerdictKind::Unsure, "Hum not known", ""),
        };
        TogetherView {
            record: record(&one.other),
            title: format!("{} in {} mode, together with {}{position}", kit.on.place, one.mode.0, one.other),
            phase,
            hum,
            what_to_do: one.swap.map(|swap| swap.sentence).into_iter().chain(one.settle).filter(said).collect(),
        }
    };
    let sentence = match (staying.is_empty(), found.sentence.is_empty()) {
        (true, true) => "No other pickup stays, so there is nothing to be out of phase with.".to_owned(),
        (false, true) => "No position of the selector joins it with another pickup.".to_owned(),
        (_, false) => found.sentence,
    };
    let sentence = [sentence, found.rig].into_iter().filter(said).collect::<Vec<_>>().join(" ");
    let asked = |one: &&Staying| found.pairs.iter().any(|pair| pair.other == one.place);
    let checks = staying.iter().filter(asked).flat_map(|one| standing_checks(install, kit, one)).collect();
    PhaseView { sentence, pairs: found.pairs.into_iter().map(pair).collect(), checks }
}
