//! How something typed is understood, while it is being typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Refusal;
use crate::ask::forms::guitar::scale_can_be;
use crate::ask::forms::typed::{height_can_be, shown_pitch};
use crate::ask::load::meter_in_use;
use crate::ask::reply::Reply;
use crate::logbook::Log;
use crate::physics::lengths::{
    GAP, HEIGHT, PITCH, PLACE, SCALE, SIZE, SPREAD, Span, TRAVEL, length_asked, read_length_of,
};
use crate::physics::meter::{
    COIL, POT, Slip, slip, slip_by_letter_and_point, stated_of_both, stated_too_little_or_much, too_little_or_much,
};
use crate::record::gaps::possible;
use crate::record::quantity::{
    LengthUnit, Millimetres, Ohms, read_celsius, read_decibels, read_farads, read_gauge, read_length, read_ohms,
};
use crate::record::sound::level_shown;
use crate::record::words::Unclear;
use crate::safety::hearing::{read_level, read_time, time_shown};

/// So many proposals lead on to another at the most: letter, point and a coil's twin.
const MOST_PROPOSALS: usize = 3;
/// One coil of a pickup has at most so many times what another one has.
const TWINS: f64 = 5.0;

/// What something typed should be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/bench.ts")]
pub enum Quantity {
    /// A meter reading, over-limit allowed.
    Reading,
    /// A reading of coils, over-limit allowed; what is too little or too much for one is asked about.
    Coil,
    /// What is stated for a coil; more or less than one has is asked about.
    CoilStated,
    /// What is stated for one of two coils while nothing is for the other; also asked about where it is rather of both.
    CoilOfTwo,
    /// What is stated for both coils of a pickup in series; shown as half of it for each.
    CoilsTogether,
    /// A reading between two leads: next to nothing, a coil, or over-limit; what is none of them is asked about.
    Leads,
    /// A reading at a guitar's jack, over-limit allowed; what a slip of the pen explains is asked about.
    Jack,
    /// What a potentiometer has; a slip is asked about.
    Pot,
    /// A length.
    Length,
    /// A gap between pole and string; a slip is asked about, as for all lengths below.
    Gap,
    /// Between the last fret and an open string.
    Height,
    /// A scale length.
    Scale,
    /// From the saddle to a pole line.
    Place,
    /// A side of a pickup or of an opening.
    Size,
    /// From the first to the last of strings, poles or studs.
    Spread,
    /// What a stud rises with one turn.
    Pitch,
    /// How far a stud stands out.
    Travel,
    /// A string gauge.
    Gauge,
    /// A room temperature.
    Temperature,
    /// A capacitance.
    Capacitance,
    /// A sound level at the ear.
    Level,
    /// How long something lasted.
    Time,
    /// An output level as a meter shows it, in decibels.
    Output,
}

pub(super) fn understand(
    log: &Log,
    quantity: Quantity,
    text: &str,
    unit: LengthUnit,
    plausible: Option<[Ohms; 2]>,
    beside: Option<&str>,
) -> Result<Reply, Refusal> {
    let shown = match quantity {
        Quantity::CoilsTogether => read_ohms(text).map(|reading| match reading.ohms() {
            Some(whole) => format!("{} each", Ohms(whole.0 / 2.0).shown()),
            None => "OL, over the meter's limit".to_owned(),
        }),
        Quantity::Reading
        | Quantity::Coil
        | Quantity::CoilStated
        | Quantity::CoilOfTwo
        | Quantity::Leads
        | Quantity::Jack
        | Quantity::Pot => read_ohms(text).map(|reading| match reading.ohms() {
            Some(_) => reading.shown(),
            None => "OL, over the meter's limit".to_owned(),
        }),
        Quantity::Length
        | Quantity::Gap
        | Quantity::Height
        | Quantity::Scale
        | Quantity::Place
        | Quantity::Size
        | Quantity::Spread
        | Quantity::Travel => read(quantity, text, unit).map(|length| length.shown(unit)),
        Quantity::Pitch => read(quantity, text, unit).map(|pitch| shown_pitch(Some(pitch), unit)),
        Quantity::Gauge => read_gauge(text).map(|gauge| gauge.shown(LengthUnit::DecimalInch)),
        Quantity::Temperature => read_celsius(text).map(|room| room.shown()),
        Quantity::Capacitance => read_farads(text).map(|farads| farads.shown()),
        Quantity::Level => read_level(text).map(level_shown),
        Quantity::Time => read_time(text).map(|time| time_shown(time.num_seconds() as f64)),
        Quantity::Output => read_decibels(text).map(|level| level.shown()),
    };
    let asked = match quantity {
        _ if shown.is_err() && span(quantity).is_none() => None,
        Quantity::Pot
        | Quantity::CoilStated
        | Quantity::CoilOfTwo
        | Quantity::CoilsTogether
        | Quantity::Reading
        | Quantity::Coil
        | Quantity::Leads
        | Quantity::Jack => {
            let counts = meter_in_use(log, None)?.claim.most_counts();
            let plausible = plausible.map(|[low, high]| (low.0, high.0));
            Where { quantity, plausible, beside, counts }.ohms_asked(text)
        }
        _ => span(quantity).and_then(|span| length_asked(text, unit, &span)),
    };
    // What is too long to be read is offered in the other unit all the same.
    let shown = match (shown, &asked) {
        (Err(_), Some(_)) => Ok(text.trim().to_owned()),
        (shown, _) => shown,
    };
    let never = asked.is_some() && never(quantity, text, unit);
    let (query, instead) = asked.map(|asked| (asked.sentence, asked.instead)).unzip();
    let instead = instead.filter(|instead| !instead.is_empty());
    shown
        .map(|shown| Reply::Understood { shown, query, instead, never })
        .map_err(|unclear| Refusal::unclear("text", unclear.sentence))
}

/// Where a resistance is typed.
struct Where<'a> {
    quantity: Quantity,
    /// The least and the most that it can be here, in ohms, where that is known.
    plausible: Option<(f64, f64)>,
    /// What was typed for another coil of the same pickup.
    beside: Option<&'a str>,
    /// The counts of the meter in use.
    counts: f64,
}

impl Where<'_> {
    /// Asks about a resistance. What it proposes instead is never asked about itself: where the first proposal would be, it is the one
    /// that this leads to.
    fn ohms_asked(&self, text: &str) -> Option<Slip> {
        let ask = |text: &str| self.slip(text);
        let Some(asked) = ask(text) else {
            return if self.quantity == Quantity::CoilOfTwo { stated_of_both(text) } else { None };
        };
        let mut meant = asked.instead.clone();
        for _ in 0..MOST_PROPOSALS {
            let Some(next) = ask(&meant) else { break };
            meant = next.instead;
        }
        if meant == asked.instead {
            return Some(asked);
        }
        if ask(&meant).is_some() {
            meant.clear();
        }
        let look = "Look at the letter and the point";
        let shown = read_ohms(text).ok()?.shown();
        let is_it = if meant.is_empty() { ".".to_owned() } else { format!(": is it {meant}?") };
        Some(Slip { sentence: format!("{shown} does not fit here. {look}{is_it}"), instead: meant })
    }

    /// What a slip of the pen may have made of a resistance of this kind.
    fn slip(&self, text: &str) -> Option<Slip> {
        let Self { quantity, plausible, beside, counts } = *self;
        // Two leads in one point read next to nothing.
        let joined = read_ohms(text).is_ok_and(|reading| reading.ohms().is_some_and(|ohms| ohms.0 < MOST_OF_A_JOIN))
            && plausible.is_none_or(|(low, _)| low < MOST_OF_A_JOIN);
        match quantity {
            Quantity::Pot => slip(text, POT, counts),
            Quantity::CoilStated | Quantity::CoilOfTwo => {
                stated_too_little_or_much(text, counts).or_else(|| unlike_its_twin(text, beside?, counts))
            }
            Quantity::Coil => {
                too_little_or_much(text, plausible, counts).or_else(|| unlike_its_twin(text, beside?, counts))
            }
            Quantity::CoilsTogether => too_little_or_much(text, None, counts),
            // A lone 1 may be over limit here too.
            Quantity::Leads if joined => slip(text, COIL, counts).filter(|asked| asked.instead == "OL"),
            Quantity::Leads => too_little_or_much(text, plausible, counts),
            Quantity::Jack => slip_by_letter_and_point(text, plausible.unwrap_or(AT_A_JACK), counts),
            Quantity::Reading => plausible.and_then(|plausible| slip_by_letter_and_point(text, plausible, counts)),
            _ => None,
        }
    }
}

/// Asks about a coil that is far from another one of its pickup. Two of a humbucker are alike; the lower of a stack, or the part beyond
/// a tap, may have a third of the other's (common practice, no source). A point in the wrong place makes ten times of it, in either.
fn unlike_its_twin(text: &str, beside: &str, counts: f64) -> Option<Slip> {
    let twin = read_ohms(beside).ok()?.ohms()?;
    // What is no coil's is asked about where it was typed.
    if !(COIL.0..=COIL.1).contains(&twin.0) {
        return None;
    }
    let asked = slip(text, (twin.0 / TWINS, twin.0 * TWINS), counts)?;
    let shown = read_ohms(text).ok()?.shown();
    let sentence = format!(
        "{shown} beside {}? Coils of one pickup are more alike. Look at the letter and the point in both.",
        twin.shown()
    );
    Some(Slip { sentence, ..asked })
}

/// What a length of this kind can be; nothing for what is no length, and for one that may be any.
fn span(quantity: Quantity) -> Option<Span> {
    match quantity {
        Quantity::Gap => Some(GAP),
        Quantity::Height => Some(HEIGHT),
        Quantity::Scale => Some(SCALE),
        Quantity::Place => Some(PLACE),
        Quantity::Size => Some(SIZE),
        Quantity::Spread => Some(SPREAD),
        Quantity::Pitch => Some(PITCH),
        Quantity::Travel => Some(TRAVEL),
        Quantity::Reading
        | Quantity::Coil
        | Quantity::CoilStated
        | Quantity::CoilOfTwo
        | Quantity::CoilsTogether
        | Quantity::Leads
        | Quantity::Jack
        | Quantity::Pot
        | Quantity::Length
        | Quantity::Gauge
        | Quantity::Temperature
        | Quantity::Capacitance
        | Quantity::Level
        | Quantity::Time
        | Quantity::Output => None,
    }
}

/// A length as what is measured makes it out.
fn read(quantity: Quantity, text: &str, unit: LengthUnit) -> Result<Millimetres, Unclear> {
    match span(quantity) {
        Some(span) => read_length_of(text, unit, &span),
        None => read_length(text, unit),
    }
}

/// Whether the bench will not have it, whoever says that it is so.
fn never(quantity: Quantity, text: &str, unit: LengthUnit) -> bool {
    if span(quantity).is_none() {
        return false;
    }
    let Ok(length) = read(quantity, text, unit) else { return true };
    match quantity {
        Quantity::Gap => possible(length).is_err(),
        Quantity::Height => !height_can_be(length),
        Quantity::Scale => !scale_can_be(length),
        Quantity::Place => length.0 <= 0.0,
        _ => false,
    }
}

/// What a pickup reads through the controls of a guitar (common practice): a pot of a megohm and nothing else at the most, in ohms.
const AT_A_JACK: (f64, f64) = (500.0, 1.2e6);

/// Two leads that are one point read up to this with thin wire and probes (common practice), in ohms.
const MOST_OF_A_JOIN: f64 = 3.0;
