//! Whether readings agree: first with each other, then with what is stated.
//!
//! Readings agree when there are coils for which each of them lies within the meter's claim. Whether there are is found for
//! sure (`least`), so a good hookup is never called wrong for the meter's sake, and readings that no coils have never well.
//! What the coils are is told by least squares from all readings at once, each weighed by the meter's claim.

mod fit;
mod least;
mod two;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use self::fit::Fit;
use self::least::Weighed;
use super::circuit::{RigCircuit, RigLook};
use super::{Joined, ModeExpectation, NO_COIL_ABOVE, SHORT_BELOW, copper, expected};
use crate::network::Seen;
use crate::record::claim::Meter;
use crate::record::pickup::{CoilName, Pickup};
use crate::record::quantity::{Celsius, Ohms, Reading};
use crate::record::rig::{Mode, Rig};
use crate::record::verdict::{Verdict, VerdictKind};

/// Readings that agree, where they can be held against each other, and where only against what is stated.
const WITH_EACH_OTHER: &str = "The readings agree with each other.";
const AS_THEY_SHOULD_BE: &str = "The readings are as they should be.";

/// A coil value that the readings leave this uncertain is not told.
const TELLABLE: f64 = 0.25;

/// What readings come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/meter.ts")]
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
#[ts(export_to = "contract/meter.ts")]
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

impl From<&Agreement> for Verdict {
    fn from(agreement: &Agreement) -> Self {
        let (kind, word) = match agreement.kind {
            AgreementKind::Agrees => (VerdictKind::Good, "Agree"),
            AgreementKind::DoesNotAgree => (VerdictKind::Bad, "Don't agree"),
            AgreementKind::CantSay | AgreementKind::NothingYet => (VerdictKind::Unsure, "Can't say yet"),
        };
        Self::new(kind, word, agreement.sentence.clone())
    }
}

impl Agreement {
    /// The verdict while these modes are still to be measured: it says no more than that nothing is wrong so far.
    #[must_use]
    pub fn so_far(&self, left: &[Mode]) -> Verdict {
        let verdict = Verdict::from(self);
        if self.kind != AgreementKind::Agrees || left.is_empty() {
            return verdict;
        }
        let left: Vec<String> = left.iter().map(|mode| mode.0.clone()).collect();
        let coils = [WITH_EACH_OTHER, AS_THEY_SHOULD_BE].into_iter().find_map(|said| self.sentence.strip_prefix(said));
        let coils = coils.unwrap_or_default();
        let sentence =
            format!("The readings agree so far.{coils} Not measured yet: {}.", crate::record::words::listed(&left));
        Verdict::new(verdict.kind, "Agree so far", sentence)
    }
}

/// What one reading comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct ModeAgreement {
    /// The mode.
    pub mode: Mode,
    /// The verdict.
    pub kind: AgreementKind,
    /// In words.
    pub sentence: String,
    /// How many times the allowed band it lies off: of what was to be expected, or of what the other readings say where
    /// nothing is stated. One or less agrees.
    pub times_the_band: Option<f64>,
}

/// A coil as the readings imply it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct ImpliedCoil {
    /// Which coil.
    pub coil: CoilName,
    /// Its resistance at 20 °C where the room was measured, else as it was, in ohms.
    pub ohms: Ohms,
    /// How far it may lie from that by the meter's claim, in ohms.
    pub within: Ohms,
    /// Whether the room was measured, so that it is the value at 20 °C.
    pub at_20: bool,
    /// Shown to the digits that mean something.
    pub shown: String,
}

/// What the meter showed in a mode, as it was written down.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// The mode.
    pub mode: Mode,
    /// The reading.
    pub reading: Reading,
    /// What its last digit stands for, if that is known.
    pub last_digit: Option<Ohms>,
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
    let shown = |(mode, reading): &(Mode, Reading)| Shown { mode: mode.clone(), reading: *reading, last_digit: None };
    agree_as_written(&readings.iter().map(shown).collect::<Vec<_>>(), pickup, rig, joined, meter, room)
}

/// As [`agree`], with the digits as they were written down: near the top of a range they say which range it was.
#[must_use]
pub fn agree_as_written(
    readings: &[Shown],
    pickup: &Pickup,
    rig: &Rig,
    joined: &[Joined],
    meter: &Meter,
    room: Option<Celsius>,
) -> Agreement {
    let expectations = expected(pickup, joined, rig, meter, room);
    let expectation = |mode: &Mode| expectations.iter().find(|expectation| &expectation.mode == mode);
    let circuit = RigCircuit::new(pickup, joined, rig);
    let seen = |mode: &Mode| circuit.seen(&circuit.meant, &RigLook::output(circuit.position(mode)?));
    let usable: Vec<Option<(Seen, f64, f64)>> = readings
        .iter()
        .map(|Shown { mode, reading, last_digit }| {
            let ohms = reading.ohms().filter(|ohms| could_be_coils(*ohms))?;
            expectation(mode).filter(|expectation| expectation.silent.is_none())?;
            Some((seen(mode)?, ohms.0, meter.claim_as_written(ohms, *last_digit).0.max(1e-9)))
        })
        .collect();
    let rows: Vec<Weighed> =
        usable.iter().flatten().map(|(seen, ohms, claim)| Weighed { seen, ohms: *ohms, claim: *claim }).collect();
    let likely: Vec<Option<f64>> = circuit
        .coils
        .iter()
        .map(|name| pickup.coils.iter().find(|coil| coil.name == *name).and_then(|coil| coil.stated))
        .map(|stated| stated.map(|ohms| ohms.0).filter(|ohms| *ohms >= 1.0 && ohms.is_finite()))
        .collect();
    let fit = Fit::of(&rows, &likely);
    let apart = fit.as_ref().and_then(Fit::times_the_band);
    let mut times = fit.as_ref().map_or_else(Vec::new, |fit| fit.times.clone()).into_iter();
    let mut place = 0..;
    let per_mode: Vec<ModeAgreement> = readings
        .iter()
        .zip(&usable)
        .map(|(Shown { mode, reading, .. }, usable)| {
            let beside_others = usable.as_ref().and_then(|_| times.next().flatten());
            let row = usable.as_ref().and_then(|_| place.next());
            let wrong = apart.is_some_and(|apart| apart > 1.0);
            let stated = expectation(mode).is_some_and(|expectation| expectation.nominal.is_some());
            let others = row.filter(|_| wrong && !stated).and_then(|row| by_the_others(&rows, row, &likely));
            one_mode(mode, *reading, expectation(mode), beside_others, apart, others, circuit.has_switch())
        })
        .collect();
    let implied = fit.as_ref().map_or_else(Vec::new, |fit| implied(fit, &circuit, room));
    let several = |mode: &Mode| matches!(seen(mode), Some(Seen::Series(_) | Seen::Parallel(_)));
    let (kind, sentence) = overall(&per_mode, apart, &implied, readings, circuit.has_switch(), several);
    let explained = !per_mode.iter().zip(readings).any(|(verdict, shown)| {
        verdict.kind == AgreementKind::DoesNotAgree && shown.reading.ohms().is_none_or(|ohms| ohms.0 < SHORT_BELOW)
    });
    Agreement { kind, sentence, per_mode, implied, times_the_band: apart, explained }
}

fn could_be_coils(ohms: Ohms) -> bool {
    (SHORT_BELOW..=NO_COIL_ABOVE).contains(&ohms.0)
}

/// What the other readings make of one, the least and the most; nothing where they don't fix it.
fn by_the_others(rows: &[Weighed], row: usize, likely: &[Option<f64>]) -> Option<[Ohms; 2]> {
    let others: Vec<Weighed> = rows.iter().enumerate().filter(|(at, _)| *at != row).map(|(_, one)| *one).collect();
    let fit = Fit::of(&others, likely)?;
    let told = (0..fit.coils.len()).all(|coil| !rows[row].seen.has(coil as u8) || fit.within[coil] < TELLABLE);
    let fits = fit.times_the_band().is_none_or(|times| times <= 1.0);
    let at = |side: f64| {
        let coils = fit.coils.iter().zip(&fit.within).map(|(ohms, within)| ohms * (1.0 + side * within.min(1.0)));
        let ohms = rows[row].seen.ohms(&coils.collect::<Vec<f64>>());
        Ohms((ohms + side * rows[row].claim).max(0.0))
    };
    (told && fits).then(|| [at(-1.0), at(1.0)])
}

/// What a reading is beside what was to be expected: how far off it is as a multiple of what meter and winding allow.
fn beside_expected(
    ohms: Ohms,
    nominal: Ohms,
    [low, high]: [Ohms; 2],
    fits_others: bool,
) -> (AgreementKind, String, f64) {
    let room = if ohms.0 < nominal.0 { nominal.0 - low.0 } else { high.0 - nominal.0 };
    let times = (ohms.0 - nominal.0).abs() / room.max(f64::MIN_POSITIVE);
    let off = (ohms.0 / nominal.0 - 1.0) * 100.0;
    if times > 1.0 {
        let side = if ohms.0 < nominal.0 { "less" } else { "more" };
        // Rounded, but where that would put the reading within.
        let limit = |limit: Ohms| {
            let about = rounded(limit.0, 2);
            let still = ohms.0.partial_cmp(&limit.0) == ohms.0.partial_cmp(&about);
            if still { Ohms(about).shown() } else { limit.shown() }
        };
        let times_off = if times < 10.0 { format!("{times:.1}") } else { format!("{times:.0}") };
        let sentence = format!(
            "{} is {side} than this pickup can have here: {} to {} was to be expected. It is {off:+.0} %, {times_off} times as far \
             off as meter and winding allow.",
            ohms.shown(),
            limit(low),
            limit(high)
        );
        return (AgreementKind::DoesNotAgree, sentence, times);
    }
    if !fits_others {
        let sentence = "By itself it could be right, but the readings do not fit each other.";
        return (AgreementKind::CantSay, sentence.to_owned(), times);
    }
    let side = if ohms.0 < nominal.0 { "below" } else { "above" };
    // Less than the last digit shown is no difference.
    let sentence = if off.abs() < 0.05 {
        format!("Just what was to be expected: {}.", ohms.shown())
    } else {
        let (off, allowed) = (off.abs(), room / nominal.0 * 100.0);
        let allowed = if allowed < 10.0 { format!("{allowed:.1}") } else { format!("{allowed:.0}") };
        format!("{off:.1} % {side} the {} to be expected. Meter and winding allow {allowed} %.", digits(nominal.0, 2))
    };
    (AgreementKind::Agrees, sentence, times)
}

/// What a reading that agrees with what the record states is beside this narrower expectation, by coils that were measured.
#[must_use]
pub fn beside_measured(reading: Reading, expectation: &ModeExpectation) -> Option<String> {
    let ohms = reading.ohms()?;
    let (nominal, (low, high)) = expectation.nominal.zip(expectation.low.zip(expectation.high))?;
    let off = (ohms.0 / nominal.0 - 1.0) * 100.0;
    let shown = digits(nominal.0, 2);
    let beside = if off.abs() < 0.05 {
        format!("Just the {shown}")
    } else {
        format!("{:.1} % {} the {shown}", off.abs(), if off < 0.0 { "below" } else { "above" })
    };
    let more = if (low.0..=high.0).contains(&ohms.0) {
        ""
    } else {
        " That is farther off than the meter allows. By what the record states it agrees."
    };
    Some(format!("{beside} to be expected by the coils as they were measured.{more}"))
}

/// What one reading is beside what was to be expected, and beside the other readings.
fn one_mode(
    mode: &Mode,
    reading: Reading,
    expectation: Option<&ModeExpectation>,
    beside_others: Option<f64>,
    apart: Option<f64>,
    others: Option<[Ohms; 2]>,
    switch: bool,
) -> ModeAgreement {
    use AgreementKind::{Agrees, CantSay, DoesNotAgree};
    let verdict =
        |kind, sentence: String, times_the_band| ModeAgreement { mode: mode.clone(), kind, sentence, times_the_band };
    let Some(expectation) = expectation else {
        return verdict(CantSay, "This rig has no such mode.".to_owned(), None);
    };
    let silent = expectation.silent.is_some();
    let open_expected = silent && expectation.sentence.ends_with("OL.");
    let ohms = match reading {
        Reading::OverLimit if open_expected => {
            return verdict(Agrees, "OL, as it must be: no path joins the output in this mode.".to_owned(), None);
        }
        Reading::OverLimit => {
            return verdict(
                DoesNotAgree,
                "Over limit means open: a lead is not clamped, or clamped on its insulation, or a coil is broken. Tug the \
                 leads and measure again."
                    .to_owned(),
                None,
            );
        }
        Reading::Ohms(ohms) => ohms,
    };
    if !(ohms.0 >= 0.0 && ohms.0.is_finite()) {
        let sentence =
            "A resistance can't be less than nothing. Write it as the meter shows it, and turn the probes round.";
        return verdict(DoesNotAgree, sentence.to_owned(), None);
    }
    if ohms.0 < SHORT_BELOW && silent && !open_expected {
        return verdict(Agrees, "Next to nothing, as it must be: it is shorted in this mode.".to_owned(), None);
    }
    if ohms.0 < SHORT_BELOW {
        return verdict(
            DoesNotAgree,
            "Next to nothing is a short: both ends of a coil on one terminal, a hair of wire across two, or the probes \
             touching. Look, then measure again."
                .to_owned(),
            None,
        );
    }
    if silent {
        let switch = if switch { ", or the switch stands elsewhere" } else { "" };
        let sentence = "There should be no such reading in this mode. A lead sits in another terminal than written";
        return verdict(DoesNotAgree, format!("{sentence}{switch}."), None);
    }
    let fits_others = !apart.is_some_and(|apart| apart > 1.0);
    match expectation.nominal.zip(expectation.low.zip(expectation.high)) {
        Some((nominal, (low, high))) => {
            let (kind, sentence, times) = beside_expected(ohms, nominal, [low, high], fits_others);
            verdict(kind, sentence, Some(times))
        }
        _ if ohms.0 > NO_COIL_ABOVE => {
            let sentence = "No pickup coil has that much. Fingers on the probes with a lead open can read like this. Hands off, \
                            tug the leads, and measure again.";
            verdict(DoesNotAgree, sentence.to_owned(), None)
        }
        _ if !fits_others => {
            let sentence = "One of the readings is wrong; which one can't be said from them alone.";
            let others = others.filter(|[low, high]| !(low.0..=high.0).contains(&ohms.0)).map(|[low, high]| {
                let low = digits(low.0, 2);
                format!("{} does not fit the others, which make it {low} to {}. ", ohms.shown(), digits(high.0, 2))
            });
            verdict(CantSay, format!("{}{sentence}", others.unwrap_or_default()), beside_others)
        }
        _ if beside_others.is_some() => verdict(Agrees, "It fits the other readings.".to_owned(), beside_others),
        _ => verdict(CantSay, "Nothing is stated to hold it against. Another mode will tell more.".to_owned(), None),
    }
}

fn overall(
    per_mode: &[ModeAgreement],
    apart: Option<f64>,
    implied: &[ImpliedCoil],
    readings: &[Shown],
    switch: bool,
    several: impl Fn(&Mode) -> bool,
) -> (AgreementKind, String) {
    if readings.is_empty() {
        return (AgreementKind::NothingYet, "No reading yet.".to_owned());
    }
    let coils: Vec<String> = implied.iter().map(|coil| coil.shown.clone()).collect();
    let coils = match coils.as_slice() {
        [] => String::new(),
        [one] => format!(" They imply a coil of {one}."),
        _ => format!(" They imply coils of {}.", crate::record::words::listed(&coils)),
    };
    let wrong: Vec<String> =
        per_mode.iter().filter(|v| v.kind == AgreementKind::DoesNotAgree).map(|v| v.mode.0.clone()).collect();
    if !wrong.is_empty() {
        let hint = hint(readings, &wrong, switch, several);
        return (AgreementKind::DoesNotAgree, format!("Look at {}.{hint}", crate::record::words::listed(&wrong)));
    }
    if let Some(apart) = apart.filter(|apart| *apart > 1.0) {
        return (
            AgreementKind::DoesNotAgree,
            format!(
                "These readings can't all be right: they lie {apart:.1} times farther apart than the meter allows. Check the \
                 switch and the clamps, and measure again."
            ),
        );
    }
    if per_mode.iter().all(|verdict| verdict.kind == AgreementKind::Agrees) {
        let with = if apart.is_some() { WITH_EACH_OTHER } else { AS_THEY_SHOULD_BE };
        (AgreementKind::Agrees, format!("{with}{coils}"))
    } else {
        (
            AgreementKind::CantSay,
            format!("Not enough yet to hold the readings against each other. Measure another mode.{coils}"),
        )
    }
}

/// What a wrong reading looks like beside the others; `several` says in which modes more than one coil is put out.
fn hint(readings: &[Shown], wrong: &[String], switch: bool, several: impl Fn(&Mode) -> bool) -> &'static str {
    let find = |name: &str| {
        readings.iter().find(|shown| shown.mode.0 == name).and_then(|shown| shown.reading.ohms()).map(|ohms| ohms.0)
    };
    let same = |a: Option<f64>, b: Option<f64>| matches!((a, b), (Some(a), Some(b)) if (a / b - 1.0).abs() < 0.05);
    let is_wrong = |name: &str| wrong.iter().any(|wrong| wrong == name) && several(&Mode::new(name));
    if is_wrong("series") && same(find("series"), find("single")) {
        " Series reads like one coil alone: the other coil is shorted or left out. Check its two leads, and that the switch \
         stands in series."
    } else if is_wrong("parallel") && same(find("parallel"), find("single")) {
        " Parallel reads like one coil alone: the other coil is not joined in. Check its two leads."
    } else if !switch {
        " Check the terminals, and measure again."
    } else {
        " Check the terminals and the switch, and measure again."
    }
}

fn implied(fit: &Fit, circuit: &RigCircuit, room: Option<Celsius>) -> Vec<ImpliedCoil> {
    let warm = room.map_or(1.0, copper);
    circuit
        .coils
        .iter()
        .zip(fit.coils.iter().zip(&fit.within))
        .filter(|(_, (_, within))| **within < TELLABLE)
        .map(|(name, (ohms, within))| {
            let ohms = ohms / warm;
            let when = if room.is_some() { " at 20 °C" } else { "" };
            ImpliedCoil {
                coil: *name,
                ohms: Ohms(ohms),
                within: Ohms(ohms * within),
                at_20: room.is_some(),
                shown: format!("{} ± {}{when}", digits(ohms, 2), digits(ohms * within, 1)),
            }
        })
        .collect()
}

/// A resistance in words, rounded to this many digits after the first.
#[must_use]
pub fn digits(ohms: f64, after: usize) -> String {
    Ohms(rounded(ohms, after)).shown()
}

fn rounded(ohms: f64, after: usize) -> f64 {
    format!("{ohms:.after$e}").parse().unwrap_or(ohms)
}

#[cfg(test)]
mod reference;
#[cfg(test)]
mod tests;
