//! What coils that are joined put out together: the sound of the strings and the hum, each told by itself.
//!
//! A coil's part in the output is its share (the current that one ampere into the tip sends through it) times its voltage. Hum
//! follows the turns of a coil, and its resistance stands in for them. Where more resistance comes of thinner wire and not of
//! more turns, it misleads; so hum is worked out for coils of as many turns as well, and what is said is the worse of both.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::pickup::{CoilName, Construction, Pickup, Polarity};

/// How the coils of a mode meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/leads.ts")]
pub enum Phase {
    /// No coil is heard.
    Silent,
    /// One coil alone.
    OneCoil,
    /// They add for the strings. Of a stack the upper coil is heard; the lower one adds a little, or takes a little away.
    InPhase,
    /// They work against each other: thin and weak.
    OutOfPhase,
}

/// Hum is called cancelled where no more than this share of it is left.
pub const CANCELLED: f64 = 0.25;
/// Where no less than this share is left, all coils catch hum the same way round; unlike coils against each other leave less,
/// however unlike they are.
const ALL: f64 = 1.0 - 1e-9;
/// A smaller share of the output is none.
const UNHEARD: f64 = 1e-6;

/// What a pickup puts out.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Sound {
    /// The coils that are heard.
    pub hears: Vec<CoilName>,
    pub strings: Phase,
    /// Whether its signal swings to plus when steel is pulled off; nothing where the coils disagree, or none is heard.
    pub plus: Option<bool>,
    pub hum: Hum,
}

/// Hum, once with turns as many as the resistance says and once with coils of as many turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Hum {
    /// What is left of it, of either sign; nothing where a pole is not known that matters.
    pub caught: Option<[f64; 2]>,
    /// What all coils catch, were none turned against another.
    pub all: [f64; 2],
    /// Whether the sign of what is caught is known, not only how much it is.
    pub sign_known: bool,
}

impl Hum {
    /// The share of it that is left; nothing where that is not known, or no coil is heard.
    pub fn left(&self) -> Option<f64> {
        let caught = self.caught?;
        (self.all[0] > 0.0 && self.all[1] > 0.0).then(|| worse(caught, self.all))
    }
}

/// Whether the hum of all coils adds, of which this share is left.
pub(crate) fn adds(left: f64) -> bool {
    left > ALL
}

/// The worse of two shares.
pub(crate) fn worse(caught: [f64; 2], all: [f64; 2]) -> f64 {
    (caught[0].abs() / all[0]).max(caught[1].abs() / all[1]).min(1.0)
}

/// Whether all coils of a pickup, or all parts of its winding, share their magnets.
pub(crate) fn shares_magnets(construction: Construction) -> bool {
    match construction {
        Construction::Stacked | Construction::TappedCoil => true,
        Construction::SingleCoil
        | Construction::SideBySide
        | Construction::SoapBar
        | Construction::Rail
        | Construction::Mini => false,
    }
}

/// What a pickup puts out whose coils have these shares in the output. `ohms` are the resistances of its coils, if they are
/// known; without them the coils are taken to be alike.
pub(crate) fn sound(pickup: &Pickup, shares: &[f64], ohms: Option<&[f64]>) -> Sound {
    let shared = shares_magnets(pickup.construction);
    let shared_pole = pickup.coils.iter().find_map(|coil| coil.magnet_up).filter(|_| shared);
    let alike = pickup.coils.iter().filter_map(|coil| coil.magnet_up).all(|pole| Some(pole) == shared_pole);
    let heard: Vec<Part> = pickup
        .coils
        .iter()
        .enumerate()
        .zip(shares)
        .filter(|(_, share)| share.abs() > UNHEARD)
        .map(|((at, coil), share)| Part {
            name: coil.name,
            // The coils of a stack share their pole, so one that is told counts for all.
            pole: if shared && alike { shared_pole } else { coil.magnet_up },
            share: *share,
            ohms: ohms.and_then(|ohms| ohms.get(at).copied()).unwrap_or(1.0),
        })
        .collect();
    let (strings, plus) = strings(pickup, &heard);
    Sound { hears: heard.iter().map(|part| part.name).collect(), strings, plus, hum: hum(&heard, shared) }
}

struct Part {
    name: CoilName,
    pole: Option<Polarity>,
    share: f64,
    ohms: f64,
}

fn strings(pickup: &Pickup, heard: &[Part]) -> (Phase, Option<bool>) {
    let upper =
        heard.iter().find(|part| part.name == CoilName::A).filter(|_| pickup.construction == Construction::Stacked);
    match (heard, upper) {
        ([], _) => (Phase::Silent, None),
        ([one], _) => (Phase::OneCoil, Some(one.share > 0.0)),
        // In a stack the upper coil hears the strings, whichever way the lower one is hooked up.
        (_, Some(upper)) => (Phase::InPhase, Some(upper.share > 0.0)),
        ([first, rest @ ..], None) if rest.iter().all(|part| (part.share > 0.0) == (first.share > 0.0)) => {
            (Phase::InPhase, Some(first.share > 0.0))
        }
        _ => (Phase::OutOfPhase, None),
    }
}

/// The sense of a winding is the sign of its swing times that of its magnet. Poles that are not known are tried both ways: where
/// what is left does not hang on them, it is known.
fn hum(heard: &[Part], shared: bool) -> Hum {
    let all = heard
        .iter()
        .fold([0.0; 2], |[turns, alike], part| [turns + part.share.abs() * part.ohms, alike + part.share.abs()]);
    let unknown: Vec<usize> =
        heard.iter().enumerate().filter(|(_, part)| part.pole.is_none()).map(|(at, _)| at).collect();
    let caught = |south: u32| {
        heard.iter().enumerate().fold([0.0; 2], |[turns, alike], (at, part)| {
            let pole = match part.pole {
                Some(Polarity::North) => 1.0,
                Some(Polarity::South) => -1.0,
                None => {
                    let bit = unknown.iter().position(|other| *other == at).unwrap_or(0);
                    if south >> bit & 1 == 1 { -1.0 } else { 1.0 }
                }
            };
            [turns + pole * part.share * part.ohms, alike + pole * part.share]
        })
    };
    // Coils that share their magnets have one pole between them, whichever it is.
    let ways = if shared && unknown.len() == heard.len() { 1 } else { 1_u32 << unknown.len().min(8) };
    let first = caught(0);
    let same = |other: [f64; 2]| all[0] <= 0.0 || (worse(other, all) - worse(first, all)).abs() < 1e-9;
    let known = (1..ways).all(|south| same(caught(south)));
    Hum { caught: known.then_some(first), all, sign_known: unknown.is_empty() }
}

/// Whether so little hum is left that anybody would say it cancels, at least in part.
pub(crate) fn cancels(left: f64) -> bool {
    left < 0.9
}

/// How much hum is left, in words.
pub(crate) fn hum_in_words(left: Option<f64>) -> String {
    let Some(left) = left else { return "hum not known without a compass".to_owned() };
    // Rounded up, as it is the most that is left; the level is that of the share as it is written.
    let finest = if left < 0.1 { 10.0 } else { 1.0 };
    let percent = (100.0 * left * finest - 1e-6).ceil() / finest;
    let level = -20.0 * (percent / 100.0).log10();
    let share = format!("up to {percent} % of it is left (−{level:.0} dB)");
    if left < 0.005 {
        "hum cancelled".to_owned()
    } else if left <= CANCELLED {
        format!("hum cancelled: {share}")
    } else if cancels(left) {
        format!("hum partly cancelled: {share}")
    } else {
        "hum not cancelled".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_share_of_hum_and_its_level_are_one_figure() {
        let told = |left: f64| hum_in_words(Some(left));
        assert_eq!(told(0.0246), "hum cancelled: up to 2.5 % of it is left (−32 dB)");
        assert_eq!(told(0.02), "hum cancelled: up to 2 % of it is left (−34 dB)");
        for tenths in 50..9000 {
            let left = f64::from(tenths) / 10_000.0;
            let words = told(left);
            let between = |from: &str, to: &str| -> f64 {
                let (_, after) = words.split_once(from).expect("it is in the sentence");
                after.split_once(to).and_then(|(figure, _)| figure.parse().ok()).expect("it is a figure")
            };
            let (percent, level) = (between("up to ", " %"), -between("(−", " dB"));
            assert!((20.0 * (percent / 100.0).log10() - level).abs() <= 0.5, "{words}");
            // Never less than what is left, and no more than rounding adds.
            let above = percent - 100.0 * left;
            assert!((-1e-5..if left < 0.1 { 0.1 } else { 1.0 }).contains(&above), "{left}: {words}");
        }
    }
}
