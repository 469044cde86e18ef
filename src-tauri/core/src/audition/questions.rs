//! What a person tells of the bench: the facts that cautions hang on and that no step asks for.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::facts::{BenchFact, Question};
use crate::safety::cautions::{Moment, Situation};

/// The questions that are put at a moment of the work.
#[must_use]
pub fn asked_at(moment: Moment) -> &'static [Question] {
    match moment {
        // No audition is begun while it is chosen: what is asked there would be met by nobody.
        Moment::Choose => &[],
        Moment::WhichWay => &[Question::Implant, Question::LittleOnes, Question::Potted],
        Moment::SoundUp => &[
            Question::StringGround,
            Question::Amp,
            Question::Earthed,
            Question::Headphones,
            Question::Ringing,
            Question::LittleOnes,
            Question::Damp,
            Question::Frayed,
        ],
        Moment::Gaps => &[Question::Installed],
        Moment::Listen => &[
            Question::StringGround,
            Question::Headphones,
            Question::Ringing,
            Question::Cable,
            Question::CablePicofarads,
            Question::Input,
            Question::LoadResistor,
        ],
        Moment::TakeDown => &[Question::Ringing],
        Moment::Iron => &[Question::Battery, Question::Solder, Question::LittleOnes, Question::Damp, Question::Frayed],
        Moment::Leads | Moment::Meter | Moment::Seat | Moment::Fit | Moment::Proof => &[],
    }
}

/// Enters a fact that was told into what is known of the bench.
pub fn enter(told: BenchFact, s: &mut Situation) {
    match told {
        BenchFact::Amp(amp) => s.amp = Some(amp),
        BenchFact::Earthed(is) => s.earthed = Some(is),
        BenchFact::DoubleInsulated => s.double_insulated = Some(true),
        BenchFact::Damp(is) => s.damp = Some(is),
        BenchFact::Frayed(is) => s.frayed = Some(is),
        BenchFact::Headphones(is) => s.headphones = Some(is),
        BenchFact::Ringing(is) => s.ringing = Some(is),
        BenchFact::Implant(is) => s.implant = Some(is),
        BenchFact::LittleOnes(is) => s.little_ones = Some(is),
        BenchFact::Potted(is) => s.potted = Some(is),
        BenchFact::Battery(is) => s.battery = Some(is),
        BenchFact::Solder(solder) => s.solder = Some(solder),
        BenchFact::Installed(is) => s.installed = Some(is),
        BenchFact::Cable(is) => s.cable = Some(is),
        BenchFact::StringGround(is) => s.string_ground = Some(is),
        BenchFact::LoadResistor(is) => s.load = Some(is),
        BenchFact::CablePicofarads(is) => s.cable_picofarads = Some(is),
        BenchFact::Input(is) => s.input = Some(is),
        // What nobody can tell is as dangerous as what nobody has told.
        BenchFact::CantTell(_) => {}
    }
}

/// A question about the bench, as a page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct QuestionView {
    /// Which.
    pub question: Question,
    /// As it is asked.
    pub asked: String,
    /// What the record of the guitar says to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub hint: Option<String>,
    /// The answers to pick from.
    pub answers: Vec<AnswerView>,
}

/// An answer to pick.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct AnswerView {
    /// What is told by picking it.
    pub told: BenchFact,
    /// In words.
    pub words: String,
    /// Whether it is what was told.
    pub chosen: bool,
}

/// The questions of a moment, with what was told; `said` answers what was told to a question.
#[must_use]
pub fn questions(moment: Moment, said: impl Fn(Question) -> Option<BenchFact>) -> Vec<QuestionView> {
    asked_at(moment)
        .iter()
        .map(|question| QuestionView {
            question: *question,
            asked: question.asked().to_owned(),
            hint: None,
            answers: question
                .answers()
                .into_iter()
                .map(|(told, words)| AnswerView {
                    told,
                    words: words.to_owned(),
                    chosen: said(*question) == Some(told),
                })
                .collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_question_is_put_somewhere_and_answered_by_itself() {
        for question in Question::ALL {
            assert!(Moment::ALL.into_iter().any(|moment| asked_at(moment).contains(&question)), "{question:?}");
            let answers = question.answers();
            assert!(answers.len() > 1);
            for (told, words) in answers {
                assert_eq!(told.question(), question);
                assert!(told.in_words().ends_with(words) && !words.is_empty());
                let text = serde_json::to_string(&told).expect("it is JSON");
                assert_eq!(serde_json::from_str::<BenchFact>(&text).ok(), Some(told), "{text}");
            }
        }
    }

    #[test]
    fn what_is_told_is_known_and_nothing_else_changes() {
        for question in Question::ALL {
            let mut changed = std::collections::BTreeSet::new();
            for (told, _) in question.answers() {
                let mut s = Situation::default();
                enter(told, &mut s);
                changed.insert(format!("{s:?}"));
                // Who can't tell is taken for one who was not asked.
                let cant_tell = matches!(told, BenchFact::CantTell(_));
                assert_eq!(s == Situation::default(), cant_tell, "{told:?}");
            }
            assert_eq!(changed.len(), question.answers().len(), "{question:?}: each answer is another fact");
        }
    }
}
