//! What the computing of an install says, as the sheet shows it.

mod hookup;
mod room;

use std::collections::BTreeMap;

use self::hookup::hookup;
use self::room::way_round_and_room;
use super::by_ear::standing_checks;
use super::fold::Install;
use super::jack::jack;
use super::kit::InstallKit;
use super::page::{BeforeReading, BeforeView, HookupView, JackView, PhaseView, SwitchOffered, TogetherView};
use super::parts::with_parts;
use super::shown::in_short;
use crate::audition::Unexplained;
use crate::install::sheet::Sheet;
use crate::physics::leads::{Against, CANCELLED, against, as_hooked_up};
use crate::physics::meter::digits;
use crate::physics::wiring;
use crate::physics::wiring::{JackCase, PairPhase, PhaseAndHum, Staying, WiringKind, WiringPlan};
use crate::record::contacts::ModeSwitch;
use crate::record::install::{InstallAnswer, InstallStep, PhaseHeard};
use crate::record::leads::LeadName;
use crate::record::rig::Mode;
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::wiring::{Plan, positions};
use crate::record::words::listed;

/// How a reading at the jack is taken.
const HOW: &str =
    "Cable out of the amplifier, meter on ohms, clips on tip and sleeve of the plug. Tone at full, fingers off.";

/// How the guitar as it was is read.
const BEFORE: &str = "Cable out of the amplifier, meter on ohms, clips on tip and sleeve of the plug. Volume and tone at full, \
                      fingers off.";

/// What is said of hum alone that is not known.
pub(super) const HUM_NOT_KNOWN: &str = "Hum not known";

/// Computes all of a sheet. What is not known is said to be not known.
#[must_use]
pub fn sheet_of(install: &Install, kit: &InstallKit) -> Sheet {
    let suggested = suggested(kit);
    let chosen = install.plan.as_ref().map(|saved| &saved.said);
    let plan = chosen.unwrap_or(&suggested);
    let mut sheet = nothing_known(install, kit, suggested.clone());
    let (Some(pickup), Some(guitar), Some(rig)) = (&kit.pickup, &kit.guitar, &kit.heard.rig) else { return sheet };
    let planned: Vec<Mode> = positions(plan).into_iter().map(|(_, mode)| mode).collect();
    way_round_and_room(&mut sheet, install, kit, (pickup, guitar, rig), &planned);
    let wirings = wiring::mode_wirings(pickup, rig, &kit.joined);
    let path = kit.path_of(plan);
    let wiring = wiring::wire_in(pickup, &wirings, plan, (&kit.on.place, &path.positions));
    let fights = against(pickup, rig, &kit.joined, &planned).filter(|_| !wiring.positions.is_empty());
    sheet.fights = fights.as_ref().map(|fights| fighting(kit, fights));
    wired(&mut sheet, &wiring, kit);
    sheet.plan = chosen.map(|_| sheet.hookup.verdict.clone().unwrap_or_else(|| given(&wiring)));
    if let Some(parts) = &install.parts {
        with_parts(&mut sheet.hookup, &parts.said, kit.guitar.as_ref().map(|guitar| &guitar.controls), &kit.on.place);
    }
    let heard = as_hooked_up(pickup, rig, &kit.joined, &kit.measured);
    for mode in planned {
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
    let found = wiring::phase_and_hum(&case);
    // An ear that tells after the soldering makes nobody look again at what was planned before.
    let pairs: Vec<_> = found
        .pairs
        .iter()
        .map(|pair| (&pair.selector, &pair.mode, &pair.other, pair.in_phase, pair.cancels_hum))
        .collect();
    let fought = sheet.fights.as_ref().map(|verdict| verdict.kind);
    let meets = in_short(&(pairs, wiring.kind == WiringKind::LeadsUnknown, fought));
    sheet.causes.insert(InstallStep::Phase, meets);
    sheet.phase = phase(install, kit, &case, found, fights.as_ref());
    jack(install, &case, chosen.is_some(), &mut sheet);
    sheet
}

/// A sheet before anything is computed.
fn nothing_known(install: &Install, kit: &InstallKit, suggested: Plan) -> Sheet {
    Sheet {
        causes: BTreeMap::new(),
        switches: switches(kit),
        plan: None,
        way_round: Vec::new(),
        way_round_in_inches: Vec::new(),
        set_in: Vec::new(),
        way_drawn: None,
        phase: PhaseView {
            sentence: "The records say too little to tell.".to_owned(),
            pairs: Vec::new(),
            checks: Vec::new(),
        },
        fights: None,
        hum: Vec::new(),
        hookup: HookupView::default(),
        room: Vec::new(),
        heights: Vec::new(),
        heights_in_inches: Vec::new(),
        before: before(install, kit),
        jack: JackView { how: HOW.to_owned(), lines: Vec::new(), notes: Vec::new() },
        readings: Vec::new(),
        probed: Vec::new(),
        beside: Vec::new(),
        proof: None,
        unexplained: Unexplained::default(),
        slip: None,
        diagnosis: None,
        suggested,
    }
}

/// What is soldered, and whether it can be.
fn wired(sheet: &mut Sheet, wiring: &WiringPlan, kit: &InstallKit) {
    sheet.hookup = hookup(wiring, kit);
    sheet.hookup.verdict = sheet.fights.clone().or_else(|| match wiring.kind {
        WiringKind::LeadsUnknown | WiringKind::CantBe => Some(given(wiring)),
        WiringKind::Wired | WiringKind::Partly => None,
    });
    // What is soldered beside its leads, and what is read at the jack, follows from this.
    let soldered: Vec<_> = wiring.points.iter().map(|point| (&point.kind, &point.leads)).collect();
    let gives: Vec<_> = wiring.positions.iter().map(|one| (&one.name, &one.mode, &one.joined)).collect();
    let fought = sheet.fights.as_ref().map(|verdict| verdict.kind);
    let wired = in_short(&(wiring.kind, soldered, &wiring.jumpers, gives, fought));
    for step in [InstallStep::Hookup, InstallStep::Jack] {
        sheet.causes.insert(step, wired.clone());
    }
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
            "By itself, without the pots, the {} pickup reads {} at 20 °C, between {low} and {high}.",
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
        let wirings = wiring::mode_wirings(pickup, rig, &kit.joined);
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

/// That coils work against each other in a mode that is planned, and what mends it.
fn fighting(kit: &InstallKit, Against { modes, mend }: &Against) -> Verdict {
    let modes: Vec<&str> = modes.iter().map(|mode| mode.0.as_str()).collect();
    let modes = listed(&modes);
    if kit.tapped {
        let sentence = format!("In {modes} the coils of this pickup work against each other, thin and weak. {mend}");
        Verdict::new(VerdictKind::Bad, "Coils against each other", sentence)
    } else {
        let sentence = format!(
            "By its record the coils of this pickup work against each other in {modes}, but nobody has tapped them. Find out the leads \
             and tap each coil before you solder."
        );
        Verdict::new(VerdictKind::Unsure, "Polarity not tapped", sentence)
    }
}

fn phase(
    install: &Install,
    kit: &InstallKit,
    case: &JackCase,
    mut found: PhaseAndHum,
    fights: Option<&Against>,
) -> PhaseView {
    let staying = case.staying;
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
            if case.path.positions.len() > 1 { format!(", selector on “{}”", one.selector) } else { String::new() };
        let phase = match one.in_phase {
            Some(true) => Verdict::new(VerdictKind::Good, "In phase", one.sentence.clone()),
            Some(false) => Verdict::new(VerdictKind::Bad, "Out of phase", one.sentence.clone()),
            None if kit.tapped && fights.is_some_and(|fights| fights.modes.contains(&one.mode)) => {
                Verdict::new(VerdictKind::Bad, "Coils against each other", one.sentence.clone())
            }
            None if one.hum_left.is_none() => Verdict::new(VerdictKind::Unsure, "Phase and hum not known", ""),
            None => Verdict::new(VerdictKind::Unsure, "Phase not known", one.sentence.clone()),
        };
        let hum = match one.hum_left {
            Some(left) if left <= CANCELLED => Verdict::new(VerdictKind::Good, "Hum cancelled", ""),
            Some(left) if left < 0.9 => Verdict::new(VerdictKind::Unsure, "Hum partly cancelled", ""),
            Some(_) => Verdict::new(VerdictKind::Unsure, "Hum not cancelled", ""),
            // Said with the phase.
            None if one.in_phase.is_none() => Verdict::new(VerdictKind::Unsure, "", ""),
            None => Verdict::new(VerdictKind::Unsure, HUM_NOT_KNOWN, ""),
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
    // What coils of one pickup do to each other comes before how it meets another.
    let own = fights.map(|fights| fighting(kit, fights).sentence).unwrap_or_default();
    let sentence = [own, sentence, found.rig].into_iter().filter(said).collect::<Vec<_>>().join(" ");
    let asked = |one: &&Staying| found.pairs.iter().any(|pair| pair.other == one.place);
    let checks = staying.iter().filter(asked).flat_map(|one| standing_checks(install, kit, one)).collect();
    PhaseView { sentence, pairs: found.pairs.into_iter().map(pair).collect(), checks }
}
