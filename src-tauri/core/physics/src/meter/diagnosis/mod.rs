//! What is wrong: causes ranked by how well they explain the readings and how common they are, and the one measurement that
//! tells most about which it is.
//!
//! Every single cause, every order of the leads and every pair of causes is put on the circuit; those that predict the same
//! of every reading are one class, and a class is weighed by the probability of the readings under it.

mod act;
mod belief;
mod cause;
mod forms;
mod next;
mod pretend;
mod probe;
mod slips;
mod words;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::meter::Probe;
pub use cause::{Cause, LeadIn};
pub use next::{NextMeasurement, candidate_probes};
pub use pretend::{Given, SeenWith, causes, every_outcome, pairs_of_causes, would_read};
pub use probe::Taken;
pub use slips::SlipAt;

use self::act::{Acts, Hypothesis, RigMistake};
use self::belief::belief;
use self::forms::{Forms, classes};
use self::probe::AtTheRig;
use super::circuit::{RigCircuit, RigLook, VALUES};
use super::evidence::{Adjusted, Row, fit};
use super::expect::beforehand;
use super::{Agreement, AgreementKind, ImpliedCoil, Joined, NO_COIL_ABOVE, Shown, agree_as_written};
use crate::fault::Fitted;
use crate::fault::{Explanation, Ranking, STILL_WELL, SURE, Suspect};
use crate::record::claim::Meter;
use crate::record::pickup::Pickup;
use crate::record::quantity::Celsius;
use crate::record::rig::{Mode, Rig};

/// What resistance can't show, to be said with every verdict.
pub const CANNOT_SHOW: &str = "Resistance can't show a shorted turn, a weak magnet, or a coil that is out of phase. A dull sound, a \
                               quiet one, or a thin one in series or parallel tells of those; taps with steel and a compass do too.";

/// More readings than this are not looked at.
const MOST_READINGS: usize = 24;
/// From fewer readings nothing is named as the one.
const ENOUGH_READINGS: usize = 2;
/// Nothing in the list, against nothing wrong (from memory: three things wrong at once are rare).
const UNLISTED_ODDS: f64 = 1e-5;

/// What is on the bench.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// The pickup.
    pub pickup: &'a Pickup,
    /// Its leads in the terminals; empty where nothing is known of it.
    pub joined: &'a [Joined],
    /// The rig.
    pub rig: &'a Rig,
    /// The meter.
    pub meter: &'a Meter,
    /// The room's temperature, if it was measured.
    pub room: Option<Celsius>,
    /// Coils measured before, at other times.
    pub measured: &'a [ImpliedCoil],
    /// The modes that are to be proven; empty for all of the rig's.
    pub modes: &'a [Mode],
    /// All readings, in the order they were taken.
    pub taken: &'a [Taken],
}

/// What the readings come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/meter.ts")]
pub enum DiagnosisKind {
    /// There is no reading yet.
    NothingYet,
    /// Well so far, but there is a mode left to measure, or nothing to hold the readings against.
    NotEnough,
    /// Every mode reads as it should, as far as resistance can show.
    AllWell,
    /// Something is wrong, and it is known what.
    Found,
    /// Something is wrong, and several causes explain it.
    CantTellApart,
    /// Something is wrong that no cause in the list explains.
    Unexplained,
}

/// What is wrong, and what to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct Diagnosis {
    /// The verdict.
    pub kind: DiagnosisKind,
    /// The verdict in words.
    pub sentence: String,
    /// The likeliest causes, the likeliest first.
    pub ranked: Vec<Suspect<Cause>>,
    /// The one measurement that tells most, when it is not sure.
    pub next: Option<NextMeasurement>,
    /// What is to be asked first, where a slip of the pen would explain the readings.
    pub slip: Option<SlipAt>,
    /// What resistance can't show.
    pub cannot_show: String,
}

/// All that was worked out of a case.
struct Worked<'a> {
    circuit: &'a RigCircuit,
    acts: Acts,
    hypotheses: Vec<Hypothesis>,
    taken: Vec<(Taken, RigLook)>,
    ranking: Ranking<(u16, Adjusted), Fitted<VALUES>>,
}

impl Worked<'_> {
    /// Whether a hypothesis holds all that another one does.
    fn includes(&self, hypothesis: usize, other: usize) -> bool {
        let acts = |place: usize| self.hypotheses[place].acts;
        acts(other).iter().all(|act| *act == RigMistake::Nothing || acts(hypothesis).contains(act))
    }

    /// The share of all explanations in which what a hypothesis says is at work, alone or with another cause. Nothing
    /// wrong is only at work alone.
    fn at_work(&self, hypothesis: usize) -> f64 {
        let holds_it =
            |member: &usize| *member == hypothesis || (hypothesis != 0 && self.includes(*member, hypothesis));
        let at_work = self.ranking.explanations.iter().map(|one| {
            let with_it = one.members.iter().filter(|member| holds_it(member));
            one.share * with_it.map(|member| self.hypotheses[*member].odds).sum::<f64>() / one.odds
        });
        at_work.sum()
    }
}

/// Ranks what may be wrong, and names the one next measurement.
#[must_use]
pub fn diagnose(case: &Case) -> Diagnosis {
    let agreement = agreement(case);
    let circuit = RigCircuit::new(case.pickup, case.joined, case.rig);
    let mut forms = Forms::new(&circuit);
    let worked = work_out(case, &circuit, &agreement, &mut forms);
    let slip = slips::slip_at(case, &agreement);
    let kind = if slip.is_some() { DiagnosisKind::CantTellApart } else { kind(case, &agreement, &worked) };
    let ranked = words::suspects(&worked, &forms, case, slip.is_some() || worked.taken.len() < ENOUGH_READINGS);
    let next = match kind {
        _ if slip.is_some() => slip.as_ref().and_then(|slip| next::looked_at(slip, &circuit)),
        DiagnosisKind::NothingYet | DiagnosisKind::NotEnough => {
            next::unmeasured(case, &circuit).or_else(|| next::best(case, &worked, &mut forms))
        }
        DiagnosisKind::CantTellApart | DiagnosisKind::Unexplained => next::best(case, &worked, &mut forms),
        DiagnosisKind::AllWell | DiagnosisKind::Found => None,
    };
    Diagnosis {
        kind,
        sentence: words::verdict(kind, &agreement, &ranked, next.as_ref(), slip.as_ref()),
        ranked,
        next,
        slip,
        cannot_show: CANNOT_SHOW.to_owned(),
    }
}

/// The readings at the output, the last of each mode.
fn latest(case: &Case) -> Vec<Taken> {
    let mut readings: Vec<Taken> = Vec::new();
    for taken in case.taken {
        let Probe::Output { mode, .. } = &taken.probe else { continue };
        let same = |other: &&mut Taken| matches!(&other.probe, Probe::Output { mode: of, .. } if of == mode);
        match readings.iter_mut().find(same) {
            Some(earlier) => *earlier = taken.clone(),
            None => readings.push(taken.clone()),
        }
    }
    readings
}

/// Whether the readings at the output agree.
fn agreement(case: &Case) -> Agreement {
    let readings: Vec<Shown> = latest(case).iter().filter_map(Taken::shown).collect();
    agree_as_written(&readings, case.pickup, case.rig, case.joined, case.meter, case.room)
}

fn work_out<'a>(case: &Case, circuit: &'a RigCircuit, agreement: &Agreement, forms: &mut Forms) -> Worked<'a> {
    let taken: Vec<(Taken, RigLook)> = case
        .taken
        .iter()
        .filter_map(|taken| Some((taken.clone(), taken.probe.look(circuit)?)))
        .take(MOST_READINGS)
        .collect();
    let coils = beforehand(case.pickup, circuit, case.measured);
    let plain: Vec<Taken> = taken.iter().map(|(taken, _)| taken.clone()).collect();
    // A range that a coil can be beyond, and one above it.
    let low = matches!(case.meter.ranges.as_slice(), [lowest, .., _] if lowest.top.0 < NO_COIL_ABOVE);
    let acts = Acts::new(circuit, &plain, coils.iter().any(Option::is_some), low);
    let hypotheses = acts.hypotheses(circuit);
    let classes = classes(circuit, &acts, &hypotheses, &taken, forms);
    let beliefs = [true, false].map(|as_stated| belief(&coils, case.room, as_stated));
    let mut explained = Vec::new();
    // Without a reading there is nothing to explain.
    for class in classes.into_iter().filter(|_| !taken.is_empty()) {
        // What does not agree is never put down to nothing being wrong.
        if class.members.contains(&0) && agreement.kind == AgreementKind::DoesNotAgree {
            continue;
        }
        let rows: Vec<Row> = class
            .forms
            .iter()
            .zip(&taken)
            .map(|((form, adjusted), (taken, _))| Row {
                seen: forms.get(*form),
                adjusted: *adjusted,
                reading: taken.reading,
                last_digit: taken.last_digit(),
            })
            .collect();
        let belief = beliefs[usize::from(class.not_stated)].as_ref();
        if let Some(fitted) = belief.and_then(|belief| fit(&rows, belief, case.meter)) {
            let likelihood = fitted.log_evidence;
            explained.push((Explanation::new(class.forms, class.members, class.odds, fitted), likelihood));
        }
    }
    let odds = hypotheses.iter().map(|hypothesis| hypothesis.odds).collect();
    let readings = taken.iter().map(|(taken, _)| taken.reading);
    let ranking = Ranking::of(explained, odds, UNLISTED_ODDS, readings);
    Worked { circuit, acts, hypotheses, taken, ranking }
}

fn kind(case: &Case, agreement: &Agreement, worked: &Worked) -> DiagnosisKind {
    if worked.taken.is_empty() {
        return DiagnosisKind::NothingYet;
    }
    let nothing_wrong = worked.ranking.share_with(0);
    match agreement.kind {
        AgreementKind::Agrees if nothing_wrong >= STILL_WELL => {
            return if next::unmeasured(case, worked.circuit).is_some() {
                DiagnosisKind::NotEnough
            } else {
                DiagnosisKind::AllWell
            };
        }
        AgreementKind::CantSay | AgreementKind::NothingYet if nothing_wrong >= STILL_WELL => {
            return DiagnosisKind::NotEnough;
        }
        AgreementKind::Agrees | AgreementKind::CantSay | AgreementKind::NothingYet | AgreementKind::DoesNotAgree => {}
    }
    let likeliest = worked.ranking.explanations.iter().find(|one| one.share > worked.ranking.unlisted);
    let Some(first) = likeliest.and_then(|_| worked.ranking.first()) else {
        return DiagnosisKind::Unexplained;
    };
    let enough = worked.taken.len() >= ENOUGH_READINGS;
    if enough && worked.at_work(first) >= SURE { DiagnosisKind::Found } else { DiagnosisKind::CantTellApart }
}

#[cfg(test)]
mod tests;
