//! The questions a page, a phone or a script may put, sorted by topic.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize};
use strum::{EnumDiscriminants, EnumIter, IntoEnumIterator, VariantNames};
use ts_rs::TS;

use crate::ask::at_bench::BenchAsk;
use crate::ask::audition::asks::{AuditionAct, AuditionAsk};
use crate::ask::blind::{BlindAct, BlindAsk};
use crate::ask::carrying::CarryAsk;
use crate::ask::comparison::asks::{ComparisonAct, ComparisonAsk};
use crate::ask::install::asks::{InstallAct, InstallAsk};
use crate::ask::leads::asks::{LeadsAct, LeadsAsk};
use crate::ask::log::LogAsk;
use crate::ask::measuring::{MeasureAct, MeasureAsk};
use crate::ask::takes::{TakeAct, TakeAsk};
use crate::ask::things::asks::{ThingAct, ThingAsk};

/// A question, or something to be written down. It is written as its topic's ask: an object whose field `ask` names it.
///
/// Whatever writes carries `entry`, a version-7 UUID made by the asker. Asking again with the same `entry` writes
/// nothing more and answers the same, so an ask may be repeated after a dropped connection.
#[derive(Debug, Clone, PartialEq, Serialize, TS, EnumDiscriminants)]
#[strum_discriminants(name(Topic), vis(pub(self)), derive(EnumIter))]
#[serde(untagged)]
#[ts(export_to = "contract/ask.ts")]
#[expect(clippy::large_enum_variant, reason = "an ask is made, sorted and answered once, so a box would only cost")]
pub enum Ask {
    /// Of the bench.
    Bench(BenchAsk),
    /// Of the log.
    Log(LogAsk),
    /// Of the bundle that is carried.
    Carry(CarryAsk),
    /// Of pickups, guitars, rigs and the meter.
    Thing(ThingAsk),
    /// Written about them.
    ThingAct(ThingAct),
    /// Of the leads of a pickup.
    Leads(LeadsAsk),
    /// Found out about them.
    LeadsAct(LeadsAct),
    /// Of what its coils are to sound.
    Measure(MeasureAsk),
    /// Measured of them.
    MeasureAct(MeasureAct),
    /// Of an audition.
    Audition(AuditionAsk),
    /// Written about one.
    AuditionAct(AuditionAct),
    /// Of several auditions.
    Comparison(ComparisonAsk),
    /// Written of one beside others.
    ComparisonAct(ComparisonAct),
    /// Of recordings.
    Take(TakeAsk),
    /// Written about them.
    TakeAct(TakeAct),
    /// Of takes that are heard beside each other.
    Blind(BlindAsk),
    /// Written of a blind test.
    BlindAct(BlindAct),
    /// Of permanent installs.
    Install(InstallAsk),
    /// Written about one.
    InstallAct(InstallAct),
}

impl Ask {
    /// Whether it takes something out of the log for good, which no other ask can bring back.
    #[must_use]
    pub fn erases(&self) -> bool {
        matches!(self, Self::Log(LogAsk::Erase { .. }) | Self::Bench(BenchAsk::RemoveDemo {}))
    }

    /// Reads the ask of this name as its topic reads it, which knows its fields.
    ///
    /// # Errors
    /// As its topic's asks are read; a name that no topic has is an unknown variant.
    pub(super) fn named<'de, D: Deserializer<'de>>(name: &str, whole: D) -> Result<Self, D::Error> {
        match Topic::iter().find(|topic| topic.names().contains(&name)) {
            Some(topic) => topic.read(whole),
            None => Err(D::Error::custom(format_args!("unknown variant `{name}`; no ask has this name"))),
        }
    }
}

impl Topic {
    /// The names of its asks.
    fn names(self) -> &'static [&'static str] {
        match self {
            Self::Bench => BenchAsk::VARIANTS,
            Self::Log => LogAsk::VARIANTS,
            Self::Carry => CarryAsk::VARIANTS,
            Self::Thing => ThingAsk::VARIANTS,
            Self::ThingAct => ThingAct::VARIANTS,
            Self::Leads => LeadsAsk::VARIANTS,
            Self::LeadsAct => LeadsAct::VARIANTS,
            Self::Measure => MeasureAsk::VARIANTS,
            Self::MeasureAct => MeasureAct::VARIANTS,
            Self::Audition => AuditionAsk::VARIANTS,
            Self::AuditionAct => AuditionAct::VARIANTS,
            Self::Comparison => ComparisonAsk::VARIANTS,
            Self::ComparisonAct => ComparisonAct::VARIANTS,
            Self::Take => TakeAsk::VARIANTS,
            Self::TakeAct => TakeAct::VARIANTS,
            Self::Blind => BlindAsk::VARIANTS,
            Self::BlindAct => BlindAct::VARIANTS,
            Self::Install => InstallAsk::VARIANTS,
            Self::InstallAct => InstallAct::VARIANTS,
        }
    }

    fn read<'de, D: Deserializer<'de>>(self, whole: D) -> Result<Ask, D::Error> {
        match self {
            Self::Bench => BenchAsk::deserialize(whole).map(Ask::Bench),
            Self::Log => LogAsk::deserialize(whole).map(Ask::Log),
            Self::Carry => CarryAsk::deserialize(whole).map(Ask::Carry),
            Self::Thing => ThingAsk::deserialize(whole).map(Ask::Thing),
            Self::ThingAct => ThingAct::deserialize(whole).map(Ask::ThingAct),
            Self::Leads => LeadsAsk::deserialize(whole).map(Ask::Leads),
            Self::LeadsAct => LeadsAct::deserialize(whole).map(Ask::LeadsAct),
            Self::Measure => MeasureAsk::deserialize(whole).map(Ask::Measure),
            Self::MeasureAct => MeasureAct::deserialize(whole).map(Ask::MeasureAct),
            Self::Audition => AuditionAsk::deserialize(whole).map(Ask::Audition),
            Self::AuditionAct => AuditionAct::deserialize(whole).map(Ask::AuditionAct),
            Self::Comparison => ComparisonAsk::deserialize(whole).map(Ask::Comparison),
            Self::ComparisonAct => ComparisonAct::deserialize(whole).map(Ask::ComparisonAct),
            Self::Take => TakeAsk::deserialize(whole).map(Ask::Take),
            Self::TakeAct => TakeAct::deserialize(whole).map(Ask::TakeAct),
            Self::Blind => BlindAsk::deserialize(whole).map(Ask::Blind),
            Self::BlindAct => BlindAct::deserialize(whole).map(Ask::BlindAct),
            Self::Install => InstallAsk::deserialize(whole).map(Ask::Install),
            Self::InstallAct => InstallAct::deserialize(whole).map(Ask::InstallAct),
        }
    }
}

/// The names of all asks, topic by topic.
pub fn names() -> impl Iterator<Item = &'static str> {
    Topic::iter().flat_map(|topic| topic.names().iter().copied())
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    /// The names are told to what sorts by one derive and to what reads by another.
    #[test]
    fn a_topic_sorts_by_the_names_that_it_reads() {
        for topic in Topic::iter() {
            let Err(error) = topic.read(json!({"ask": ""})) else {
                unreachable!("{topic:?} has an ask without a name")
            };
            let told = error.to_string();
            let names: Vec<&str> = told.split('`').skip(1).step_by(2).filter(|name| !name.is_empty()).collect();
            assert_eq!(names, topic.names(), "{told}");
        }
    }
}
