//! What the answers of a step come to.

use crate::audition::fold::Audition;
use crate::audition::gaps::gaps_verdict;
use crate::audition::judged::{meter_verdict, not_covered};
use crate::audition::kit::{Kit, ends_in_terminals, feet, hookup};
use crate::physics::facing;
use crate::physics::facing::Facing;
use crate::physics::leads;
use crate::physics::leads::Phase;
use crate::physics::meter::Agreement;
use crate::record::audition::Step;
use crate::record::leads::LeadName;
use crate::record::mounting::{Side, Turn};
use crate::record::verdict::{Verdict, VerdictKind};
use crate::record::words::{capital, listed};
use crate::safety::finish;
use crate::safety::finish::May;

/// A step whose answer is plainly wrong is not done.
pub(super) fn blocks(step: Step, verdict: &Verdict) -> bool {
    matches!(step, Step::WhichWay | Step::Leads | Step::Meter) && verdict.kind == VerdictKind::Bad
}

pub(super) fn verdict(audition: &Audition, kit: &Kit, agreement: &Option<Agreement>, step: Step) -> Option<Verdict> {
    match step {
        Step::WhichWay => which_way_verdict(audition, kit),
        Step::Choose => not_covered(audition, kit).map(Verdict::from),
        Step::Meter => meter_verdict(audition, kit, agreement.as_ref()),
        Step::Seat => {
            let finish = &audition.finish.as_ref()?.said;
            let feet = feet(audition, kit)?;
            let guard = finish::guard(finish.kind, finish.surface, finish.aged, feet, finish.barrier);
            // It may stand there, and does not yet.
            if guard.may != May::No && audition.seating.as_ref().is_some_and(|seating| !seating.said.steady) {
                let advice = finish::make_steady(feet, finish.barrier, finish.held_by);
                return Some(Verdict::new(VerdictKind::Unsure, "It moves", format!("It did not stay put. {advice}")));
            }
            let (kind, word) = match guard.may {
                May::Yes => (VerdictKind::Good, "May stand"),
                May::Briefly => (VerdictKind::Unsure, "Briefly"),
                May::No => (VerdictKind::Bad, "Not like this"),
            };
            Some(Verdict::new(kind, word, format!("{} {}", guard.sentence, guard.helps)))
        }
        Step::Gaps => gaps_verdict(audition, kit),
        Step::Leads => {
            left_out(audition, kit).map(|sentence| Verdict::new(VerdictKind::Bad, "No sound like this", sentence))
        }
        Step::SoundUp | Step::Listen | Step::TakeDown => None,
    }
}

/// That leads with a coil on them are in no terminal, and so nothing comes out in any mode that was chosen. Where something does,
/// a lead may rightly be free.
pub(in crate::audition) fn left_out(audition: &Audition, kit: &Kit) -> Option<String> {
    let (pickup, rig, choice) = (kit.pickup.as_ref()?, kit.rig.as_ref()?, &audition.choice.as_ref()?.said);
    if audition.hooked.len() < rig.terminals.len() || pickup.leads.iter().any(|lead| lead.ends.is_empty()) {
        return None;
    }
    let joined = hookup(audition);
    let is_in = |name: &LeadName| joined.iter().any(|here| here.leads.iter().any(|lead| lead.is(name)));
    let out: Vec<&LeadName> = pickup.leads.iter().map(|lead| &lead.name).filter(|name| !is_in(name)).collect();
    if out.is_empty() {
        return None;
    }
    let map = leads::as_hooked_up(pickup, rig, &joined, &kit.measured);
    let mut chosen = map.modes.iter().filter(|mode| choice.modes.contains(&mode.mode)).peekable();
    let silent = chosen.peek().is_some() && chosen.all(|mode| mode.strings == Phase::Silent);
    let are = if out.len() == 1 { "is" } else { "are" };
    silent.then(|| capital(&format!("{} {are} in no terminal, and so no mode gives a sound.", listed(&out))))
}

fn which_way_verdict(audition: &Audition, kit: &Kit) -> Option<Verdict> {
    let mounting = audition.mounting.as_ref()?.said;
    if mounting.lie.is_none() && mounting.turn == Turn::EndOverEnd && mounting.bass_end_over == Some(Side::Bass) {
        return Some(Verdict::new(
            VerdictKind::Bad,
            "Look again",
            "Turned end over end, its bass end would lie over the treble strings, not over the bass strings. Look again which \
             end is which.",
        ));
    }
    Some(confirmed(audition, kit)?.verdict())
}

/// What the confirmed mounting comes to.
fn confirmed(audition: &Audition, kit: &Kit) -> Option<Facing> {
    let mounting = audition.mounting.as_ref()?.said;
    let leads = ends_in_terminals(audition, kit);
    let (pickup, guitar, rig) = (kit.pickup.as_ref(), kit.guitar.as_ref(), kit.rig.as_ref());
    Some(facing::facing(mounting.lies(), mounting.is_marked(), pickup, guitar, rig, &leads))
}
