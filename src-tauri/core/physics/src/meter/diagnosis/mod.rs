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
pub(crate) use words::how_sure;

use self::act::{Act, Acts, Hypothesis};
use self::belief::belief;
use self::forms::{Class, Forms, classes};
use self::probe::AtTheRig;
use super::circuit::{Circuit, Look, VALUES};
use super::evidence::{Fitted, Row, fit};
use super::expect::beforehand;
use super::{Agreement, AgreementKind, ImpliedCoil, Joined, NO_COIL_ABOVE, Shown, agree_as_written};
use crate::record::claim::Meter;
use crate::record::pickup::Pickup;
use crate::record::quantity::{Celsius, Ohms, Reading};
use crate::record::rig::{Mode, Rig};

/// What resistance can't show, to be said with every verdict.
pub const CANNOT_SHOW: &str = "Resistance can't show a shorted turn, a weak magnet, or a coil that is out of phase. A dull sound, a \
                               quiet one, or a thin one in series or parallel tells of those; taps with steel and a compass do too.";

/// More readings than this are not looked at.
const MOST_READINGS: usize = 24;
/// A cause with this share is named as the one.
const SURE: f64 = 0.9;
/// From fewer readings nothing is named as the one.
const ENOUGH_READINGS: usize = 2;
/// Readings that agree are all well unless the hookup as meant has less than this share.
const STILL_WELL: f64 = 0.05;
/// Nothing in the list, against nothing wrong (from memory: three things wrong at once are rare).
const UNLISTED_ODDS: f64 = 1e-5;
/// The most suspects that are shown, and the least share of one.
const MOST_SHOWN: usize = 4;
const LEAST_SHOWN: f64 = 0.01;

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
    pub ranked: Vec<Suspect>,
    /// The one measurement that tells most, when it is not sure.
    pub next: Option<NextMeasurement>,
    /// What is to be asked first, where a slip of the pen would explain the readings.
    pub slip: Option<SlipAt>,
    /// What resistance can't show.
    pub cannot_show: String,
}

/// One explanation of all readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct Suspect {
    /// One cause, or two at once; none when nothing is wrong.
    pub causes: Vec<Cause>,
    /// What is wrong, as a sentence.
    pub sentence: String,
    /// Why: what it predicts for each reading.
    pub why: String,
    /// What to do, a sentence a cause.
    pub what_to_do: Vec<String>,
    /// Its share among all explanations, 0 to 1, together with those alike.
    pub share: f64,
    /// The share in words: `almost sure`.
    pub how_sure: String,
    /// Other causes that would read the same everywhere so far, in words.
    pub alike: Vec<String>,
    /// The same causes as data.
    pub alike_causes: Vec<Vec<Cause>>,
}

/// A class with its share, and how it fits.
struct Weighed {
    class: usize,
    share: f64,
    fitted: Fitted<VALUES>,
}

/// All that was worked out of a case.
struct Worked<'a> {
    circuit: &'a Circuit,
    acts: Acts,
    hypotheses: Vec<Hypothesis>,
    taken: Vec<(Taken, Look)>,
    classes: Vec<Class>,
    /// Classes that explain the readings, that of the likeliest single explanation first.
    weighed: Vec<Weighed>,
    /// The share of nothing in the list.
    unlisted: f64,
}

impl Worked<'_> {
    /// Whether a hypothesis holds all that another one does.
    fn includes(&self, hypothesis: usize, other: usize) -> bool {
        let acts = |place: usize| self.hypotheses[place].acts;
        acts(other).iter().all(|act| *act == Act::Nothing || acts(hypothesis).contains(act))
    }

    /// The likeliest hypothesis.
    fn first(&self) -> Option<usize> {
        self.weighed.first().and_then(|first| self.classes[first.class].members.first().copied())
    }

    /// The share of all explanations in which what a hypothesis says is at work, alone or with another cause. Nothing
    /// wrong is only at work alone.
    fn at_work(&self, hypothesis: usize) -> f64 {
        self.weighed
            .iter()
            .map(|weighed| {
                let class = &self.classes[weighed.class];
                let members = class.members.iter().filter(|member| {
                    **member == hypothesis || (hypothesis != 0 && self.includes(**member, hypothesis))
                });
                weighed.share * members.map(|member| self.hypotheses[*member].odds).sum::<f64>() / class.odds
            })
            .sum()
    }
}

/// Ranks what may be wrong, and names the one next measurement.
#[must_use]
pub fn diagnose(case: &Case) -> Diagnosis {
    let agreement = agreement(case);
    let circuit = Circuit::new(case.pickup, case.joined, case.rig);
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

fn work_out<'a>(case: &Case, circuit: &'a Circuit, agreement: &Agreement, forms: &mut Forms) -> Worked<'a> {
    let taken: Vec<(Taken, Look)> = case
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
    let mut weighed: Vec<(Weighed, f64)> = Vec::new();
    if !taken.is_empty() {
        for (place, class) in classes.iter().enumerate() {
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
            if let Some(fitted) = fit(&rows, &beliefs[usize::from(class.not_stated)], case.meter) {
                let weight = class.odds.ln() + fitted.log_evidence;
                weighed.push((Weighed { class: place, share: 0.0, fitted }, weight));
            }
        }
    }
    let none_of_these = UNLISTED_ODDS.ln() + taken.iter().map(|(taken, _)| anything(taken.reading)).sum::<f64>();
    let most = weighed.iter().map(|(_, weight)| *weight).fold(none_of_these, f64::max);
    let all = (none_of_these - most).exp() + weighed.iter().map(|(_, weight)| (weight - most).exp()).sum::<f64>();
    for (class, weight) in &mut weighed {
        class.share = (*weight - most).exp() / all;
    }
    let mut weighed: Vec<Weighed> = weighed.into_iter().map(|(class, _)| class).collect();
    // A class is ranked by its commonest cause: many rare ones that read alike don't push a common one down.
    let of_commonest = |weighed: &Weighed| {
        let class = &classes[weighed.class];
        weighed.share * class.members.first().map_or(0.0, |first| hypotheses[*first].odds / class.odds)
    };
    weighed.sort_by(|a, b| of_commonest(b).total_cmp(&of_commonest(a)));
    let unlisted = (none_of_these - most).exp() / all;
    Worked { circuit, acts, hypotheses, taken, classes, weighed, unlisted }
}

/// The logarithm of the density of a reading of which nothing is known.
pub(crate) fn anything(reading: Reading) -> f64 {
    match reading {
        Reading::OverLimit => 0.2_f64.ln(),
        Reading::Ohms(Ohms(ohms)) if ohms > 0.0 && ohms.is_finite() => {
            let off = (ohms.ln() - 8000_f64.ln()) / 1.5;
            0.7_f64.ln() - 0.5 * off * off - (1.5 * std::f64::consts::TAU.sqrt()).ln()
        }
        Reading::Ohms(_) => 0.1_f64.ln(),
    }
}

fn kind(case: &Case, agreement: &Agreement, worked: &Worked) -> DiagnosisKind {
    if worked.taken.is_empty() {
        return DiagnosisKind::NothingYet;
    }
    let nothing_wrong: f64 = worked
        .weighed
        .iter()
        .filter(|weighed| worked.classes[weighed.class].members.contains(&0))
        .map(|weighed| weighed.share)
        .sum();
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
    let likeliest = worked.weighed.iter().find(|weighed| weighed.share > worked.unlisted);
    let Some(first) = likeliest.and_then(|_| worked.first()) else {
        return DiagnosisKind::Unexplained;
    };
    let enough = worked.taken.len() >= ENOUGH_READINGS;
    if enough && worked.at_work(first) >= SURE { DiagnosisKind::Found } else { DiagnosisKind::CantTellApart }
}

#[cfg(test)]
mod tests;
