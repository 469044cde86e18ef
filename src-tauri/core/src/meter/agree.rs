//! Whether readings agree: first with each other, then with what is stated.
//!
//! The coils are found by least squares from all readings at once, each weighted by the meter's claim. What the coils
//! can't explain is held against the most that the meter's claim allows, so a good hookup is never called wrong for the
//! meter's sake.

use nalgebra::{DMatrix, DVector};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::circuit::Hookup;
use super::{COPPER_PER_DEGREE, Joined, Meter, ModeExpectation, expected};
use crate::pickup::{CoilName, Pickup};
use crate::quantity::{Celsius, Ohms, Reading};
use crate::rig::{Mode, Rig};

/// Below this a coil reading is a short (common practice: no pickup coil has so little wire), in ohms.
const SHORT_BELOW: f64 = 100.0;
/// A coil value that the readings leave this uncertain is not told.
const TELLABLE: f64 = 0.25;

/// What readings come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum AgreementKind {
    /// There is no reading yet.
    NothingYet,
    /// There is nothing to hold the reading against.
    CantSay,
    /// They agree.
    Agrees,
    /// They don't.
    DoesNotAgree,
}

/// What all readings together come to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct Agreement {
    /// The verdict.
    pub kind: AgreementKind,
    /// The verdict in words, with what to do.
    pub sentence: String,
    /// One verdict a reading.
    pub per_mode: Vec<ModeAgreement>,
    /// The coils that the readings imply, as far as they do.
    pub implied: Vec<ImpliedCoil>,
    /// How many times the allowed misfit the readings lie apart; nothing when they can't be held against each other.
    pub times_the_band: Option<f64>,
    /// Whether nothing is left that needs an explanation before the sound comes up.
    pub explained: bool,
}

/// What one reading comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ModeAgreement {
    /// The mode.
    pub mode: Mode,
    /// The verdict.
    pub kind: AgreementKind,
    /// In words.
    pub sentence: String,
}

/// A coil as the readings imply it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ImpliedCoil {
    /// Which coil.
    pub coil: CoilName,
    /// Its resistance at 20 °C where the room was measured, else as it was, in ohms.
    pub ohms: Ohms,
    /// How far it may lie from the truth, in ohms.
    pub within: Ohms,
    /// Shown to the digits that mean something.
    pub shown: String,
}

/// Holds readings against each other and against what is stated.
#[must_use]
pub fn agree(
    readings: &[(Mode, Reading)],
    pickup: &Pickup,
    rig: &Rig,
    joined: &[Joined],
    meter: &Meter,
    room: Option<Celsius>,
) -> Agreement {
    let expectations = expected(pickup, joined, rig, meter, room);
    let expectation = |mode: &Mode| expectations.iter().find(|expectation| &expectation.mode == mode);
    let hookup = Hookup::new(pickup, joined, rig);
    let usable: Vec<(&Mode, f64)> = readings
        .iter()
        .filter(|(mode, _)| expectation(mode).is_some_and(|e| e.silent.is_none()))
        .filter_map(|(mode, reading)| reading.ohms().filter(|ohms| ohms.0 >= SHORT_BELOW).map(|ohms| (mode, ohms.0)))
        .collect();
    let fit = Fit::of(&usable, pickup, rig, &hookup, meter);
    let apart = fit.as_ref().and_then(|fit| fit.times_the_band);
    let per_mode: Vec<ModeAgreement> =
        readings.iter().map(|(mode, reading)| one_mode(mode, *reading, expectation(mode), apart)).collect();
    let warm = room.map_or(1.0, |room| 1.0 + COPPER_PER_DEGREE * (room.0 - 20.0));
    let implied = fit.as_ref().map_or_else(Vec::new, |fit| fit.implied(pickup, warm, room.is_some()));
    let (kind, sentence) = overall(&per_mode, apart, &implied, &usable, readings.is_empty());
    let explained = !per_mode.iter().zip(readings).any(|(verdict, (_, reading))| {
        verdict.kind == AgreementKind::DoesNotAgree && reading.ohms().is_none_or(|ohms| ohms.0 < SHORT_BELOW)
    });
    Agreement { kind, sentence, per_mode, implied, times_the_band: apart, explained }
}

fn one_mode(mode: &Mode, reading: Reading, expectation: Option<&ModeExpectation>, apart: Option<f64>) -> ModeAgreement {
    use AgreementKind::{Agrees, CantSay, DoesNotAgree};
    let silent = expectation.and_then(|expectation| expectation.silent.as_ref());
    let open_expected = silent.is_some_and(|silent| silent.ends_with("OL."));
    let (kind, sentence) = match (reading, silent) {
        (Reading::OverLimit, Some(_)) if open_expected => (Agrees, "OL, as it must be: no path joins the output in this mode.".to_owned()),
        (Reading::OverLimit, _) => (
            DoesNotAgree,
            "Over limit means open: a lead is not clamped, or clamped on its insulation, or a coil is broken. Tug the leads and measure again."
                .to_owned(),
        ),
        (Reading::Ohms(ohms), Some(_)) if ohms.0 < SHORT_BELOW && !open_expected => {
            (Agrees, "Next to nothing, as it must be: the switch shorts it in this mode.".to_owned())
        }
        (Reading::Ohms(ohms), _) if ohms.0 < SHORT_BELOW => (
            DoesNotAgree,
            "Next to nothing is a short: both ends of a coil on one terminal, a hair of wire across two, or the probes touching. Look, then measure again."
                .to_owned(),
        ),
        (Reading::Ohms(_), Some(_)) => (
            DoesNotAgree,
            "There should be no path in this mode. A lead sits in another terminal than written, or the switch stands elsewhere.".to_owned(),
        ),
        (Reading::Ohms(ohms), None) => match expectation.and_then(|e| Some((e.nominal?, e.low?, e.high?))) {
            Some((nominal, low, high)) if ohms.0 < low.0 || ohms.0 > high.0 => {
                let side = if ohms.0 < low.0 { "less" } else { "more" };
                let times = (ohms.0 - nominal.0).abs() / (high.0 - nominal.0);
                (
                    DoesNotAgree,
                    format!(
                        "{} is {side} than this pickup can have here: {} to {} was to be expected. That is {times:.1} times the band.",
                        ohms.shown(),
                        low.shown(),
                        high.shown()
                    ),
                )
            }
            Some(_) if apart.is_some_and(|apart| apart > 1.0) => {
                (CantSay, "By itself it could be right, but it does not fit the other readings.".to_owned())
            }
            Some((nominal, ..)) => {
                let off = (ohms.0 / nominal.0 - 1.0) * 100.0;
                (Agrees, format!("{off:+.1} % beside the {} to be expected.", nominal.shown()))
            }
            None => match apart {
                Some(apart) if apart > 1.0 => (CantSay, "One of the readings is wrong; which one can't be said from them alone.".to_owned()),
                Some(_) => (Agrees, "It fits the other readings.".to_owned()),
                None => (CantSay, "Nothing is stated to hold it against. Another mode will tell more.".to_owned()),
            },
        },
    };
    ModeAgreement { mode: mode.clone(), kind, sentence }
}

fn overall(
    per_mode: &[ModeAgreement],
    apart: Option<f64>,
    implied: &[ImpliedCoil],
    usable: &[(&Mode, f64)],
    nothing_yet: bool,
) -> (AgreementKind, String) {
    if nothing_yet {
        return (AgreementKind::NothingYet, "No reading yet.".to_owned());
    }
    let coils: Vec<&str> = implied.iter().map(|coil| coil.shown.as_str()).collect();
    let coils = match coils.as_slice() {
        [] => String::new(),
        [one] => format!(" They imply a coil of {one}."),
        [rest @ .., last] => format!(" They imply coils of {} and {last}.", rest.join(", ")),
    };
    let wrong: Vec<&str> =
        per_mode.iter().filter(|v| v.kind == AgreementKind::DoesNotAgree).map(|v| v.mode.0.as_str()).collect();
    if !wrong.is_empty() {
        let hint = hint(usable, &wrong);
        return (AgreementKind::DoesNotAgree, format!("Look at {}.{hint}", wrong.join(" and ")));
    }
    if let Some(apart) = apart.filter(|apart| *apart > 1.0) {
        return (
            AgreementKind::DoesNotAgree,
            format!(
                "These readings can't all be right: they lie {apart:.1} times farther apart than the meter allows. Check the switch and the \
                 clamps, and measure again."
            ),
        );
    }
    if per_mode.iter().all(|verdict| verdict.kind == AgreementKind::Agrees) {
        let with =
            if apart.is_some() { "The readings agree with each other." } else { "The readings are as they should be." };
        (AgreementKind::Agrees, format!("{with}{coils}"))
    } else {
        (
            AgreementKind::CantSay,
            format!("Not enough yet to hold the readings against each other. Measure another mode.{coils}"),
        )
    }
}

/// What a wrong reading looks like beside the others.
fn hint(usable: &[(&Mode, f64)], wrong: &[&str]) -> &'static str {
    let find = |name: &str| usable.iter().find(|(mode, _)| mode.0 == name).map(|(_, ohms)| *ohms);
    let same = |a: Option<f64>, b: Option<f64>| matches!((a, b), (Some(a), Some(b)) if (a / b - 1.0).abs() < 0.05);
    if wrong.contains(&"series") && same(find("series"), find("single")) {
        " Series reads like one coil alone: the other coil is shorted or left out. Check its two leads, and that the switch stands in series."
    } else if wrong.contains(&"parallel") && same(find("parallel"), find("single")) {
        " Parallel reads like one coil alone: the other coil is not joined in. Check its two leads."
    } else {
        " Check the terminals and the switch, and measure again."
    }
}

/// The coils that fit the readings best.
struct Fit {
    coils: Vec<f64>,
    /// Uncertainty of each coil as a share of it; infinite where the readings don't tell.
    within: Vec<f64>,
    times_the_band: Option<f64>,
}

impl Fit {
    fn of(usable: &[(&Mode, f64)], pickup: &Pickup, rig: &Rig, hookup: &Hookup, meter: &Meter) -> Option<Self> {
        let positions: Vec<_> = usable.iter().map(|(mode, _)| rig.position(mode)).collect::<Option<_>>()?;
        let measured: Vec<f64> = usable.iter().map(|(_, ohms)| *ohms).collect();
        if measured.is_empty() || pickup.coils.is_empty() {
            return None;
        }
        let claims: Vec<f64> = measured.iter().map(|ohms| meter.claim(Ohms(*ohms)).0).collect();
        let mean = measured.iter().sum::<f64>() / measured.len() as f64;
        // Logarithms keep every coil above zero.
        let mut logs: Vec<f64> = pickup.coils.iter().map(|coil| coil.stated.map_or(mean, |ohms| ohms.0).ln()).collect();
        let model = |logs: &[f64]| -> Option<DVector<f64>> {
            let coils: Vec<f64> = logs.iter().map(|log| log.exp()).collect();
            let seen: Option<Vec<f64>> =
                positions.iter().map(|position| hookup.reading(pickup, position, &coils)).collect();
            Some(DVector::from_vec(seen?.iter().zip(&claims).map(|(ohms, claim)| ohms / claim).collect()))
        };
        let weighted = DVector::from_vec(measured.iter().zip(&claims).map(|(ohms, claim)| ohms / claim).collect());
        let slopes = |logs: &[f64]| -> Option<DMatrix<f64>> {
            const STEP: f64 = 1e-5;
            let mut slopes = DMatrix::zeros(measured.len(), logs.len());
            for coil in 0..logs.len() {
                let (mut up, mut down) = (logs.to_vec(), logs.to_vec());
                up[coil] += STEP;
                down[coil] -= STEP;
                slopes.set_column(coil, &((model(&up)? - model(&down)?) / (2.0 * STEP)));
            }
            Some(slopes)
        };
        for _ in 0..40 {
            let inverse = slopes(&logs)?.pseudo_inverse(1e-6).ok()?;
            let step = inverse * (&weighted - model(&logs)?);
            for (log, step) in logs.iter_mut().zip(step.iter()) {
                *log = (*log + step.clamp(-1.0, 1.0)).clamp(0.0, 20.0);
            }
            if step.amax() < 1e-10 {
                break;
            }
        }
        let slopes = slopes(&logs)?;
        let rank = slopes.rank(1e-6);
        let inverse = slopes.clone().pseudo_inverse(1e-6).ok()?;
        // What the coils can't take up of the readings, and the most the meter's claim lets that be.
        let left = DMatrix::identity(measured.len(), measured.len()) - &slopes * &inverse;
        let residual = &weighted - model(&logs)?;
        let times_the_band = (measured.len() > rank).then(|| {
            (0..measured.len())
                .filter_map(|row| {
                    let allowed: f64 = left.row(row).iter().map(|share| share.abs()).sum();
                    (allowed > 1e-6).then(|| residual[row].abs() / allowed)
                })
                .fold(0.0, f64::max)
        });
        // A coil is told only if the readings alone fix it: moving along it must move a reading.
        let resolved = &inverse * &slopes;
        let within = (0..logs.len())
            .map(|coil| {
                let fixed = (resolved[(coil, coil)] - 1.0).abs() < 1e-6;
                if fixed { inverse.row(coil).iter().map(|share| share.abs()).sum() } else { f64::INFINITY }
            })
            .collect();
        Some(Self { coils: logs.iter().map(|log| log.exp()).collect(), within, times_the_band })
    }

    fn implied(&self, pickup: &Pickup, warm: f64, room_known: bool) -> Vec<ImpliedCoil> {
        pickup
            .coils
            .iter()
            .zip(self.coils.iter().zip(&self.within))
            .filter(|(_, (_, within))| **within < TELLABLE)
            .map(|(coil, (ohms, within))| {
                let at_20 = ohms / warm;
                let when = if room_known { " at 20 °C" } else { "" };
                ImpliedCoil {
                    coil: coil.name,
                    ohms: Ohms(at_20),
                    within: Ohms(at_20 * within),
                    shown: format!("{} ± {}{when}", three_digits(at_20), two_digits(at_20 * within)),
                }
            })
            .collect()
    }
}

fn three_digits(ohms: f64) -> String {
    Ohms(format!("{ohms:.2e}").parse().unwrap_or(ohms)).shown()
}

fn two_digits(ohms: f64) -> String {
    Ohms(format!("{ohms:.1e}").parse().unwrap_or(ohms)).shown()
}

#[cfg(test)]
mod tests;
