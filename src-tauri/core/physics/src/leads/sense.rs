//! Which end of a coil is which, from taps with steel and from a compass.
//!
//! A meter on DC millivolts, its plus probe on one lead: steel is laid on the poles and pulled off sharply. The first swing
//! has the sign s. With the compass mark m of the pole that is up, the winding's sense is w = s·m: coils add for strings
//! when their s agree, and cancel hum when their w are opposite.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::sound::{CANCELLED, hum_in_words, worse};
use crate::record::leads::{CoilLeads, Contact, LeadName, Tap};
use crate::record::pickup::{CoilEnd, CoilName, Construction, End, Lead, Polarity};
use crate::record::quantity::Ohms;
use crate::record::words::listed;

/// What was tapped and held a compass to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/leads.ts")]
pub struct Marks {
    /// How the pickup is built.
    pub construction: Construction,
    /// The leads of each coil, as the ohm readings say; the shield where a braid is one of them.
    pub coils: Vec<CoilLeads>,
    /// Taps, in any order.
    pub taps: Vec<Tap>,
    /// Compass marks, in any order.
    pub compass: Vec<CompassMark>,
    /// The resistance of each coil, in the order of `coils`, in ohms; empty where they are not known.
    #[serde(default)]
    pub ohms: Vec<Ohms>,
}

/// The pole that a compass says is up.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/leads.ts")]
pub struct CompassMark {
    /// The coil it was held to.
    pub coil: CoilName,
    /// The pole that faces the strings.
    pub up: Polarity,
}

/// What the marks come to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct SensesFound {
    /// One a coil.
    pub coils: Vec<CoilSense>,
    /// The leads with their ends, as far as they are known: ready for the pickup's record.
    pub leads: Vec<Lead>,
    /// Whether every coil's ends are known.
    pub sure: bool,
    /// Whether the coils, joined so that they add for strings, cancel hum; nothing when a mark is missing.
    pub cancels_hum: Option<bool>,
    /// Which rule leads when both can't hold, and what that means here.
    pub rule: String,
    /// Answers that can't all be true, in words.
    pub contradictions: Vec<String>,
    /// What is still to be done, in words.
    pub missing: Vec<String>,
}

/// The sense of one coil.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct CoilSense {
    /// Which coil.
    pub coil: CoilName,
    /// Its leads, in any order.
    pub between: [Contact; 2],
    /// The lead that swings to plus.
    pub plus: Option<Contact>,
    /// The other one.
    pub minus: Option<Contact>,
    /// The pole that is up.
    pub magnet_up: Option<Polarity>,
    /// Whether its swing was small, as that of the lower coil of a stack is.
    pub small: bool,
    /// In words.
    pub sentence: String,
}

/// Reads the sense of each coil off the marks.
#[must_use]
pub fn senses(marks: &Marks) -> SensesFound {
    let mut contradictions = Vec::new();
    let mut coils: Vec<CoilSense> = marks.coils.iter().map(|coil| one_coil(coil, marks, &mut contradictions)).collect();
    let tapped = marks.construction == Construction::TappedCoil;
    if tapped {
        one_winding(&mut coils, &mut contradictions);
    }
    across_two(marks, &coils, &mut contradictions);
    let stacked = marks.construction == Construction::Stacked;
    if stacked {
        stack(&coils, &mut contradictions);
    }
    let mut missing = Vec::new();
    for coil in &coils {
        let letter = coil.coil.letter();
        if coil.plus.is_none() {
            missing.push(format!(
                "Tap coil {letter}: clip the meter on its leads, on DC millivolts. Lay steel on its poles, pull it off sharply, and \
                 note the first swing."
            ));
        }
        if coil.magnet_up.is_none() && !(tapped && coil.coil != CoilName::A) {
            missing.push(format!("Hold a compass over coil {letter} and note which pole is up."));
        }
    }
    let hum_left = if contradictions.is_empty() { left(marks, &coils) } else { None };
    let cancels_hum = hum_left.map(|left| left <= CANCELLED);
    SensesFound {
        leads: if contradictions.is_empty() { leads(&coils) } else { Vec::new() },
        sure: contradictions.is_empty() && !coils.is_empty() && coils.iter().all(|coil| coil.plus.is_some()),
        cancels_hum,
        rule: rule(marks.construction, &coils, hum_left),
        coils,
        contradictions,
        missing,
    }
}

fn one_coil(coil: &CoilLeads, marks: &Marks, contradictions: &mut Vec<String>) -> CoilSense {
    let letter = coil.coil.letter();
    let [first, second] = &coil.between;
    // The sign with the plus probe on the first lead.
    let signs = marks.taps.iter().filter_map(|tap| {
        let turned = if (&tap.plus, &tap.minus) == (first, second) {
            1
        } else if (&tap.plus, &tap.minus) == (second, first) {
            -1
        } else {
            return None;
        };
        Some((tap.swing.sign().map(|sign| sign * turned), tap.swing.small()))
    });
    let known: Vec<i8> = signs.clone().filter_map(|(sign, _)| sign).collect();
    let small = signs.clone().next().is_some() && signs.clone().all(|(_, small)| small);
    let mut sign = known.first().copied();
    if known.iter().any(|other| Some(*other) != sign) {
        contradictions.push(format!(
            "Two taps of coil {letter} swing opposite ways with the probes on the same leads. Tap it again: the first swing counts, \
             when the steel comes off."
        ));
        sign = None;
    }
    let poles: Vec<Polarity> = marks.compass.iter().filter(|mark| mark.coil == coil.coil).map(|mark| mark.up).collect();
    let mut magnet_up = poles.first().copied();
    if poles.iter().any(|other| Some(*other) != magnet_up) {
        contradictions.push(format!("The compass says both north and south for coil {letter}. Hold it there again."));
        magnet_up = None;
    }
    let (plus, minus) = match sign {
        Some(1) => (Some(first.clone()), Some(second.clone())),
        Some(_) => (Some(second.clone()), Some(first.clone())),
        None => (None, None),
    };
    let tap = match (&plus, &minus) {
        (Some(plus), Some(minus)) => {
            format!(
                "Coil {letter}: {plus} is plus, {minus} is minus{}.",
                if small { ", with a small swing" } else { "" }
            )
        }
        _ => format!("Coil {letter}: {first} and {second}; which is plus is not known yet."),
    };
    let pole = match magnet_up {
        Some(Polarity::North) => " North is up.",
        Some(Polarity::South) => " South is up.",
        None => "",
    };
    CoilSense {
        coil: coil.coil,
        between: coil.between.clone(),
        plus,
        minus,
        magnet_up,
        small,
        sentence: format!("{tap}{pole}"),
    }
}

/// Coils that share a lead: a tap across both must agree with the taps of each, where those agree.
fn across_two(marks: &Marks, coils: &[CoilSense], contradictions: &mut Vec<String>) {
    for tap in &marks.taps {
        let Some(sign) = tap.swing.sign() else { continue };
        let has = |coil: &CoilSense, lead: &Contact| {
            [&coil.plus, &coil.minus].into_iter().any(|end| end.as_ref() == Some(lead))
        };
        for one in coils.iter().filter(|coil| has(coil, &tap.plus)) {
            for other in coils.iter().filter(|other| other.coil != one.coil && has(other, &tap.minus)) {
                let of = |coil: &CoilSense, lead: &Contact| if coil.plus.as_ref() == Some(lead) { 1 } else { -1 };
                let shared = [&one.plus, &one.minus]
                    .into_iter()
                    .any(|lead| lead.as_ref() != Some(&tap.plus) && (lead == &other.plus || lead == &other.minus));
                let (first, second) = (of(one, &tap.plus), -of(other, &tap.minus));
                if shared && first == second && !one.small && !other.small && sign != first {
                    contradictions.push(format!(
                        "Coil {} and coil {} each swing one way, but both together, between {} and {}, swing the other way. Tap all \
                         three again.",
                        one.coil.letter(),
                        other.coil.letter(),
                        tap.plus,
                        tap.minus
                    ));
                }
            }
        }
    }
}

/// The parts of one winding go on from each other: where A ends, B begins.
fn one_winding(coils: &mut [CoilSense], contradictions: &mut Vec<String>) {
    let [first, rest @ ..] = coils else { return };
    let mut before = first.clone();
    for part in rest {
        let (Some(plus), Some(minus)) = (&before.plus, &before.minus) else { return };
        let between = part.between.clone();
        let Some(tap) = between.iter().find(|lead| *lead == plus || *lead == minus) else { return };
        let Some(other) = between.iter().find(|lead| *lead != tap) else { return };
        let goes_on = if tap == plus { [other.clone(), tap.clone()] } else { [tap.clone(), other.clone()] };
        if part.plus.as_ref().is_some_and(|told| *told != goes_on[0]) {
            contradictions.push(format!(
                "Coils {} and {} are parts of one winding, so both must swing the same way along it. Tap both again.",
                before.coil.letter(),
                part.coil.letter()
            ));
            return;
        }
        let [plus, minus] = goes_on;
        part.sentence = format!("Coil {}: {plus} is plus, {minus} is minus.", part.coil.letter());
        (part.plus, part.minus, part.magnet_up) = (Some(plus), Some(minus), part.magnet_up.or(before.magnet_up));
        before = part.clone();
    }
}

/// A stack shares its magnets, and its upper coil swings more.
fn stack(coils: &[CoilSense], contradictions: &mut Vec<String>) {
    let mut poles = coils.iter().filter_map(|coil| coil.magnet_up);
    if let Some(first) = poles.next()
        && poles.any(|other| other != first)
    {
        contradictions.push(
            "Stacked coils share their magnets, so the compass must say the same for both. Hold it over the poles again, from \
             above only."
                .to_owned(),
        );
    }
    if let [upper, lower, ..] = coils
        && upper.plus.is_some()
        && lower.plus.is_some()
        && upper.small
        && !lower.small
    {
        contradictions.push(
            "The coil called A swings less than the coil called B. In a stack A is the upper one and swings more: exchange their names, \
             or tap again."
                .to_owned(),
        );
    }
}

/// The share of the hum that is left at most when all coils add for the strings in a row; of a stack, when they are turned against
/// each other. Each is weighed by its resistance, which stands in for its turns, and as one of as many turns.
fn left(marks: &Marks, coils: &[CoilSense]) -> Option<f64> {
    let stacked = marks.construction == Construction::Stacked;
    if coils.len() < 2 || marks.construction == Construction::TappedCoil {
        return Some(1.0);
    }
    if stacked && coils.iter().any(|coil| coil.plus.is_none()) {
        return None;
    }
    let (mut caught, mut all) = ([0.0; 2], [0.0; 2]);
    for (at, coil) in coils.iter().enumerate() {
        let north = if stacked { at % 2 == 0 } else { coil.magnet_up? == Polarity::North };
        let ohms = marks.ohms.get(at).filter(|_| marks.ohms.len() == coils.len()).map_or(1.0, |ohms| ohms.0);
        for (model, turns) in [ohms, 1.0].into_iter().enumerate() {
            caught[model] += if north { turns } else { -turns };
            all[model] += turns;
        }
    }
    all.iter().all(|all| *all > 0.0).then(|| worse(caught, all))
}

fn rule(construction: Construction, coils: &[CoilSense], left: Option<f64>) -> String {
    let hum = left.filter(|left| (0.005..0.9).contains(left)).map(|left| hum_in_words(Some(left)));
    let text = if construction == Construction::TappedCoil {
        "One winding does not cancel hum, whichever part of it is heard."
    } else if coils.len() < 2 {
        "One coil alone does not cancel hum."
    } else if construction == Construction::Stacked {
        "Hum leads here. The coils share their magnets, so the lower one is hooked up the other way round: it cancels hum and takes \
         a little of the string's sound with it."
    } else {
        match left {
            Some(left) if left < 0.005 => {
                "Strings lead here: all coils swing the same way. Their magnets are opposite, so they cancel hum too."
            }
            Some(left) if left < 0.9 => {
                "Strings lead here: all coils swing the same way. Some magnets are opposite, so they cancel hum too, as far as they \
                 are alike."
            }
            Some(_) => {
                "Strings lead here: all coils swing the same way. Their magnets are alike, so they do not cancel hum."
            }
            None => {
                "Strings lead here: all coils are hooked up to swing the same way. Whether they cancel hum, the compass will tell."
            }
        }
    };
    match hum {
        Some(hum) => format!("{text} In a row: {hum}."),
        None => text.to_owned(),
    }
}

/// The ends by lead. A lead that two coils share has two.
fn leads(coils: &[CoilSense]) -> Vec<Lead> {
    let mut leads: Vec<Lead> = Vec::new();
    for sense in coils {
        for (name, end) in [(&sense.minus, End::Minus), (&sense.plus, End::Plus)] {
            let Some(name) = name else { continue };
            let name = match name {
                Contact::Shield => LeadName::braid(),
                Contact::Lead(_) | Contact::Frame => name.as_str().into(),
            };
            let end = CoilEnd { coil: sense.coil, end };
            match leads.iter_mut().find(|lead| lead.name == name) {
                Some(lead) => lead.ends.push(end),
                None => leads.push(Lead { name, ends: vec![end] }),
            }
        }
    }
    leads
}

impl SensesFound {
    /// All of it in words, for reading aloud.
    #[must_use]
    pub fn in_words(&self) -> String {
        let coils: Vec<String> = self.coils.iter().map(|coil| coil.sentence.clone()).collect();
        let rest = if self.contradictions.is_empty() { &self.missing } else { &self.contradictions };
        [coils.join(" "), self.rule.clone(), listed(rest)]
            .into_iter()
            .filter(|t| !t.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
    }
}

#[cfg(test)]
mod tests;
