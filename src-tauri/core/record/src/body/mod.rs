//! What an entry says, by topic.
//!
//! An entry is written as its topic's: an object whose field `kind` names it. So a topic may be told apart from others without
//! a trace of that in a log or a bundle.

mod audition;
mod bench;
mod blind;
mod comparison;
mod install;
mod leads;
mod listening;
mod measured;
mod stay;
mod strike;
mod take;
mod thing;

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize};
use strum::{EnumDiscriminants, EnumIter, IntoEnumIterator, VariantNames};

pub use audition::AuditionBody;
pub use bench::BenchBody;
pub use blind::BlindBody;
pub use comparison::ComparisonBody;
pub use install::InstallBody;
pub use leads::LeadsBody;
pub use listening::ListeningBody;
pub use measured::MeasuredBody;
pub use stay::StayBody;
pub use strike::StrikeBody;
pub use take::TakeBody;
pub use thing::ThingBody;

/// What an entry says.
#[derive(Debug, Clone, PartialEq, Serialize, EnumDiscriminants)]
#[strum_discriminants(name(Topic), vis(pub(self)), derive(EnumIter))]
#[serde(untagged)]
pub enum Body {
    /// Of a pickup, a guitar, a rig or the meter.
    Thing(ThingBody),
    /// Of the leads of a pickup.
    Leads(LeadsBody),
    /// Of what its coils are to sound.
    Measured(MeasuredBody),
    /// Of an audition.
    Audition(AuditionBody),
    /// Of what was heard.
    Listening(ListeningBody),
    /// Of auditions together.
    Comparison(ComparisonBody),
    /// Of what is done at the bench.
    Bench(BenchBody),
    /// Of a permanent install.
    Install(InstallBody),
    /// Of recordings.
    Take(TakeBody),
    /// Of where a pickup lives.
    Stay(StayBody),
    /// Of takes heard blind.
    Blind(BlindBody),
    /// Of what no longer counts.
    Strike(StrikeBody),
}

/// What tells which kind a body is of.
#[derive(Deserialize)]
struct Kind {
    kind: String,
}

impl Body {
    /// The kind as it is written in the log.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Thing(body) => body.into(),
            Self::Leads(body) => body.into(),
            Self::Measured(body) => body.into(),
            Self::Audition(body) => body.into(),
            Self::Listening(body) => body.into(),
            Self::Comparison(body) => body.into(),
            Self::Bench(body) => body.into(),
            Self::Install(body) => body.into(),
            Self::Take(body) => body.into(),
            Self::Stay(body) => body.into(),
            Self::Blind(body) => body.into(),
            Self::Strike(body) => body.into(),
        }
    }

    /// All kinds, topic by topic.
    pub fn kinds() -> impl Iterator<Item = &'static str> {
        Topic::iter().flat_map(|topic| topic.kinds().iter().copied())
    }

    /// Reads the JSON text of a body of this kind.
    ///
    /// # Errors
    /// When this version does not know the kind, or a field.
    pub fn read(kind: &str, text: &str) -> Result<Self, serde_json::Error> {
        if let Some(Ok(body)) = Topic::of(kind).map(|topic| topic.read_text(text)) {
            return Ok(body);
        }
        // What the text says of its kind counts.
        let Kind { kind } = serde_json::from_str(text)?;
        Topic::of(&kind).ok_or_else(|| unknown(&kind))?.read_text(text)
    }
}

impl<'de> Deserialize<'de> for Body {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let whole = serde_json::Value::deserialize(deserializer)?;
        let Kind { kind } = Kind::deserialize(&whole).map_err(D::Error::custom)?;
        match Topic::of(&kind) {
            Some(topic) => topic.read(whole).map_err(D::Error::custom),
            None => Err(unknown(&kind)),
        }
    }
}

fn unknown<E: serde::de::Error>(kind: &str) -> E {
    E::custom(format_args!("unknown variant `{kind}`; no entry is of this kind"))
}

impl Topic {
    /// The topic that has this kind.
    fn of(kind: &str) -> Option<Self> {
        Self::iter().find(|topic| topic.kinds().contains(&kind))
    }

    /// Its kinds.
    fn kinds(self) -> &'static [&'static str] {
        match self {
            Self::Thing => ThingBody::VARIANTS,
            Self::Leads => LeadsBody::VARIANTS,
            Self::Measured => MeasuredBody::VARIANTS,
            Self::Audition => AuditionBody::VARIANTS,
            Self::Listening => ListeningBody::VARIANTS,
            Self::Comparison => ComparisonBody::VARIANTS,
            Self::Bench => BenchBody::VARIANTS,
            Self::Install => InstallBody::VARIANTS,
            Self::Take => TakeBody::VARIANTS,
            Self::Stay => StayBody::VARIANTS,
            Self::Blind => BlindBody::VARIANTS,
            Self::Strike => StrikeBody::VARIANTS,
        }
    }

    fn read_text(self, text: &str) -> Result<Body, serde_json::Error> {
        let mut letters = serde_json::Deserializer::from_str(text);
        let body = self.read(&mut letters)?;
        letters.end().map(|()| body)
    }

    fn read<'de, D: Deserializer<'de>>(self, whole: D) -> Result<Body, D::Error> {
        match self {
            Self::Thing => ThingBody::deserialize(whole).map(Body::Thing),
            Self::Leads => LeadsBody::deserialize(whole).map(Body::Leads),
            Self::Measured => MeasuredBody::deserialize(whole).map(Body::Measured),
            Self::Audition => AuditionBody::deserialize(whole).map(Body::Audition),
            Self::Listening => ListeningBody::deserialize(whole).map(Body::Listening),
            Self::Comparison => ComparisonBody::deserialize(whole).map(Body::Comparison),
            Self::Bench => BenchBody::deserialize(whole).map(Body::Bench),
            Self::Install => InstallBody::deserialize(whole).map(Body::Install),
            Self::Take => TakeBody::deserialize(whole).map(Body::Take),
            Self::Stay => StayBody::deserialize(whole).map(Body::Stay),
            Self::Blind => BlindBody::deserialize(whole).map(Body::Blind),
            Self::Strike => StrikeBody::deserialize(whole).map(Body::Strike),
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    /// The kinds are told to what sorts by one derive and to what reads by another.
    #[test]
    fn a_topic_sorts_by_the_kinds_that_it_reads() {
        for topic in Topic::iter() {
            let Err(error) = topic.read(json!({"kind": ""})) else {
                unreachable!("{topic:?} has a kind without a name")
            };
            let told = error.to_string();
            let kinds: Vec<&str> = told.split('`').skip(1).step_by(2).filter(|kind| !kind.is_empty()).collect();
            assert_eq!(kinds, topic.kinds(), "{told}");
        }
        let all: std::collections::BTreeSet<&str> = Topic::iter().flat_map(|topic| topic.kinds()).copied().collect();
        assert_eq!(all.len(), Topic::iter().map(|topic| topic.kinds().len()).sum::<usize>(), "two kinds have one name");
    }

    /// Whatever the column beside a body says of its kind.
    #[test]
    fn a_body_is_of_the_kind_that_its_text_says() {
        let text = r#"{"kind":"retired","why":"sold"}"#;
        let retired = Body::Thing(ThingBody::Retired { why: "sold".to_owned() });
        for column in ["retired", "brought_back", "iron_lit", "spoon", ""] {
            assert_eq!(Body::read(column, text).expect("it is known"), retired, "{column}");
        }
        assert_eq!(
            (retired.kind(), serde_json::to_string(&retired).expect("it is written")),
            ("retired", text.to_owned())
        );
        for unknown in [
            r#"{"kind":"spoon"}"#,
            r#"{"kind":"retired","why":"","more":1}"#,
            r#"{"kind":"retired"}"#,
            r#"{"kind":"retired","why":""} x"#,
            "",
            "{}",
        ] {
            assert!(Body::read("retired", unknown).is_err(), "{unknown}");
        }
    }
}
