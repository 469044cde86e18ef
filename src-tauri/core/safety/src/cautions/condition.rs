//! When a caution applies: a typed condition over a [`Situation`].
//!
//! A condition answers yes, no, or not known (Kleene's three-valued logic): a fact nobody has told decides nothing by
//! itself, so each caution says what it does when the answer is not known.

use std::collections::BTreeSet;

use super::situation::{Situation, TimeOnFinish};
use crate::physics::gaps::Reach;
use crate::record::facts::{AmpKind, Solder};
use crate::record::guitar::{FinishKind, Surface};
use crate::record::pickup::Poles;
use crate::record::rig::Feet;

/// A yes-or-no fact of a [`Situation`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fact {
    /// The coil's wire is held.
    Potted,
    /// The finish is old or damaged.
    Aged,
    /// There is a battery in the guitar.
    Battery,
    /// Cloth, paper or card lies between.
    Barrier,
    /// A clinging film lies between.
    Film,
    /// What the rig stands on slides.
    Slides,
    /// Something holds it there.
    HeldFast,
    /// The rig stayed put.
    Steady,
    /// The plug is earthed.
    Earthed,
    /// The amplifier is double insulated.
    DoubleInsulated,
    /// A mains lead is damaged.
    Frayed,
    /// Wet hands or a damp room.
    Damp,
    /// Headphones are on.
    Headphones,
    /// Ears ring.
    Ringing,
    /// Somebody has an implanted device.
    Implant,
    /// Children or pets are near.
    LittleOnes,
    /// The guitar is unplugged.
    Unplugged,
    /// The battery is out.
    BatteryOut,
    /// The finish is covered.
    FinishCovered,
}

impl Fact {
    fn of(self, s: &Situation) -> Option<bool> {
        match self {
            Self::Potted => s.potted,
            Self::Aged => s.aged,
            Self::Battery => s.battery,
            Self::Barrier => s.barrier,
            Self::Film => s.film,
            Self::Slides => s.slides,
            Self::HeldFast => s.held_fast,
            Self::Steady => s.steady,
            Self::Earthed => s.earthed,
            Self::DoubleInsulated => s.double_insulated,
            Self::Frayed => s.frayed,
            Self::Damp => s.damp,
            Self::Headphones => s.headphones,
            Self::Ringing => s.ringing,
            Self::Implant => s.implant,
            Self::LittleOnes => s.little_ones,
            Self::Unplugged => s.unplugged,
            Self::BatteryOut => s.battery_out,
            Self::FinishCovered => s.finish_covered,
        }
    }

    /// The thing the fact is about; a fact of another guitar is another cause.
    fn about(self) -> About {
        match self {
            Self::Potted => About::Pickup,
            Self::Aged | Self::Battery | Self::BatteryOut | Self::FinishCovered => About::Guitar,
            Self::Barrier | Self::Film | Self::Slides | Self::HeldFast | Self::Steady => About::RigOnGuitar,
            Self::Earthed
            | Self::DoubleInsulated
            | Self::Frayed
            | Self::Damp
            | Self::Headphones
            | Self::Ringing
            | Self::Implant
            | Self::LittleOnes
            | Self::Unplugged => About::Bench,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum About {
    Pickup,
    Guitar,
    RigOnGuitar,
    Bench,
}

/// When a caution applies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Condition {
    /// On every bench.
    Always,
    /// The fact is told, and it is yes.
    Is(Fact),
    /// The poles are one of these.
    PolesAre(&'static [Poles]),
    /// The finish is one of these.
    FinishIs(&'static [FinishKind]),
    /// The surface is one of these.
    SurfaceIs(&'static [Surface]),
    /// The rig stands on one of these.
    FeetAre(&'static [Feet]),
    /// It is played through one of these.
    AmpIs(&'static [AmpKind]),
    /// The solder is one of these.
    SolderIs(&'static [Solder]),
    /// The gaps reach this far.
    ReachIs(&'static [Reach]),
    /// The time on the finish is one of these.
    TimeOnFinishIs(&'static [TimeOnFinish]),
    /// Today's hearing is spent from this share on, and below that one.
    SpentBetween {
        /// The smallest share that counts.
        from: f64,
        /// The share from which on another caution speaks.
        below: f64,
    },
    /// The level at the ear is at least this, in dB(A).
    LevelFrom(f64),
    /// All of these hold.
    All(&'static [Condition]),
    /// One of these holds.
    Any(&'static [Condition]),
    /// This does not hold.
    Not(&'static Condition),
    /// This is known to hold: what nobody has told counts as not so, and the other conditions decide.
    Known(&'static Condition),
}

fn among<T: PartialEq>(value: Option<T>, list: &[T]) -> Option<bool> {
    value.map(|value| list.contains(&value))
}

impl Condition {
    /// Yes, no, or nothing when what is known does not decide it.
    #[must_use]
    pub fn holds(&self, s: &Situation) -> Option<bool> {
        match self {
            Self::Always => Some(true),
            Self::Is(fact) => fact.of(s),
            Self::PolesAre(list) => among(s.poles, list),
            Self::FinishIs(list) => among(s.finish, list),
            Self::SurfaceIs(list) => among(s.surface, list),
            Self::FeetAre(list) => among(s.feet, list),
            Self::AmpIs(list) => among(s.amp, list),
            Self::SolderIs(list) => among(s.solder, list),
            Self::ReachIs(list) => among(s.reach, list),
            Self::TimeOnFinishIs(list) => among(s.time_on_finish, list),
            Self::SpentBetween { from, below } => s.hearing_spent.map(|spent| spent >= *from && spent < *below),
            Self::LevelFrom(from) => s.level.map(|level| level.get() >= *from),
            Self::All(parts) => {
                let answers: Vec<_> = parts.iter().map(|part| part.holds(s)).collect();
                if answers.contains(&Some(false)) {
                    Some(false)
                } else if answers.contains(&None) {
                    None
                } else {
                    Some(true)
                }
            }
            Self::Any(parts) => {
                let answers: Vec<_> = parts.iter().map(|part| part.holds(s)).collect();
                if answers.contains(&Some(true)) {
                    Some(true)
                } else if answers.contains(&None) {
                    None
                } else {
                    Some(false)
                }
            }
            Self::Not(part) => part.holds(s).map(|answer| !answer),
            Self::Known(part) => Some(part.holds(s) == Some(true)),
        }
    }

    /// The facts this condition looks at, as they are now: `feet=suction finish=lacquer guitar=…`.
    ///
    /// Equal text means the same cause. Numbers are told as the answer they give, so that a level that moves by a
    /// decibel is not a new cause.
    #[must_use]
    pub fn cause(&self, s: &Situation) -> String {
        let mut facts = BTreeSet::new();
        self.gather(s, &mut facts);
        if facts.is_empty() { "always".to_owned() } else { facts.into_iter().collect::<Vec<_>>().join(" ") }
    }

    fn gather(&self, s: &Situation, facts: &mut BTreeSet<String>) {
        let about = |facts: &mut BTreeSet<String>, about: About| match about {
            About::Pickup => drop(facts.insert(named("pickup", s.pickup.map(|id| id.0)))),
            About::Guitar => drop(facts.insert(named("guitar", s.guitar.map(|id| id.0)))),
            About::RigOnGuitar => {
                facts.insert(named("guitar", s.guitar.map(|id| id.0)));
                facts.insert(named("rig", s.rig.map(|id| id.0)));
            }
            About::Bench => {}
        };
        match self {
            Self::Always => {}
            Self::Is(fact) => {
                facts.insert(named(&format!("{fact:?}"), fact.of(s)));
                about(facts, fact.about());
            }
            Self::PolesAre(_) => {
                facts.insert(named("poles", s.poles));
                about(facts, About::Pickup);
            }
            Self::FinishIs(_) => {
                facts.insert(named("finish", s.finish));
                about(facts, About::Guitar);
            }
            Self::SurfaceIs(_) => {
                facts.insert(named("surface", s.surface));
                about(facts, About::Guitar);
            }
            Self::FeetAre(_) => {
                facts.insert(named("feet", s.feet));
                about(facts, About::RigOnGuitar);
            }
            Self::AmpIs(_) => drop(facts.insert(named("amp", s.amp))),
            Self::SolderIs(_) => drop(facts.insert(named("solder", s.solder))),
            Self::ReachIs(_) => {
                facts.insert(named("reach", s.reach));
                about(facts, About::Pickup);
                about(facts, About::RigOnGuitar);
            }
            Self::TimeOnFinishIs(_) => drop(facts.insert(named("time_on_finish", s.time_on_finish))),
            Self::SpentBetween { from, .. } => drop(facts.insert(named(&format!("spent_from_{from}"), self.holds(s)))),
            Self::LevelFrom(from) => drop(facts.insert(named(&format!("level_from_{from}"), self.holds(s)))),
            Self::All(parts) | Self::Any(parts) => parts.iter().for_each(|part| part.gather(s, facts)),
            Self::Not(part) | Self::Known(part) => part.gather(s, facts),
        }
    }
}

fn named<T: std::fmt::Debug>(name: &str, value: Option<T>) -> String {
    match value {
        Some(value) => format!("{name}={value:?}"),
        None => format!("{name}=?"),
    }
}
