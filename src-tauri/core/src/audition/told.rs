//! What a person tells of the bench: the facts that cautions hang on and that no step asks for.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::cautions::{AmpKind, Moment, Situation, Solder};
use crate::listening::{Cable, Installed};

/// A fact of the bench, as told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(tag = "fact", content = "is", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum Told {
    /// What it is played through.
    Amp(AmpKind),
    /// Whether the plug has its earth pin and goes into an earthed outlet, without an adapter.
    Earthed(bool),
    /// It needs no earth pin, as it is double insulated (class II of IEC 61140): marked by a square in a square.
    DoubleInsulated,
    /// Whether hands, floor or room are wet or damp.
    Damp(bool),
    /// Whether a mains lead or plug is frayed, cracked or loose.
    Frayed(bool),
    /// Whether one listens on headphones.
    Headphones(bool),
    /// Whether ears ring or sounds are dull.
    Ringing(bool),
    /// Whether anyone at the bench has an implanted medical device.
    Implant(bool),
    /// Whether children or pets can reach the bench.
    LittleOnes(bool),
    /// Whether the coil's wire is held by wax or tape.
    Potted(bool),
    /// Whether the guitar has a battery inside.
    Battery(bool),
    /// The solder in use.
    Solder(Solder),
    /// What became of the pickup that is fitted at the place.
    Installed(Installed),
    /// How long the cable is.
    Cable(Cable),
    /// Whether a clip runs from the sleeve of the rig's output to the bridge.
    StringGround(bool),
}

/// What is asked about the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Question {
    /// What it is played through.
    Amp,
    /// Its earth.
    Earthed,
    /// Wet hands or a damp room.
    Damp,
    /// Damaged mains leads.
    Frayed,
    /// Headphones.
    Headphones,
    /// Ringing ears.
    Ringing,
    /// Implanted devices.
    Implant,
    /// Children and pets.
    LittleOnes,
    /// A potted coil.
    Potted,
    /// A battery in the guitar.
    Battery,
    /// The solder.
    Solder,
    /// The pickup that is fitted at the place.
    Installed,
    /// The cable.
    Cable,
    /// The string ground.
    StringGround,
}

impl Question {
    /// All questions.
    pub const ALL: [Self; 14] = [
        Self::Amp,
        Self::Earthed,
        Self::Damp,
        Self::Frayed,
        Self::Headphones,
        Self::Ringing,
        Self::Implant,
        Self::LittleOnes,
        Self::Potted,
        Self::Battery,
        Self::Solder,
        Self::Installed,
        Self::Cable,
        Self::StringGround,
    ];

    /// The questions that are put at a moment of the work.
    #[must_use]
    pub fn at(moment: Moment) -> &'static [Self] {
        match moment {
            Moment::Choose => &[Self::Implant, Self::LittleOnes],
            Moment::WhichWay => &[Self::Potted],
            Moment::SoundUp => &[
                Self::StringGround,
                Self::Amp,
                Self::Earthed,
                Self::Headphones,
                Self::Ringing,
                Self::LittleOnes,
                Self::Damp,
                Self::Frayed,
            ],
            Moment::Gaps => &[Self::Installed],
            Moment::Listen => &[Self::StringGround, Self::Headphones, Self::Ringing, Self::Cable],
            Moment::TakeDown => &[Self::Ringing],
            Moment::Iron => &[Self::Battery, Self::Solder, Self::LittleOnes, Self::Damp, Self::Frayed],
            Moment::Leads | Moment::Meter | Moment::Seat | Moment::Fit | Moment::Proof => &[],
        }
    }

    /// As it is asked.
    #[must_use]
    pub fn asked(self) -> &'static str {
        match self {
            Self::Amp => "What do you play through?",
            Self::Earthed => "Is its plug earthed, without an adapter?",
            Self::Damp => "Are hands, floor or room damp?",
            Self::Frayed => "Is a mains lead frayed or loose?",
            Self::Headphones => "Do you listen on headphones?",
            Self::Ringing => "Do your ears ring, or are sounds dull?",
            Self::Implant => "Does anyone here have an implanted medical device?",
            Self::LittleOnes => "Can children or pets reach the bench?",
            Self::Potted => "Is the coil held by wax or tape?",
            Self::Battery => "Is there a battery in the guitar?",
            Self::Solder => "Which solder is it?",
            Self::Installed => "What about the pickup that is fitted here?",
            Self::Cable => "How long is the cable?",
            Self::StringGround => "Is a clip on from the sleeve of the rig’s output to the bridge?",
        }
    }

    /// The answers to pick from, each with its words.
    #[must_use]
    pub fn answers(self) -> Vec<(Told, &'static str)> {
        let yes_or_no = |told: fn(bool) -> Told| vec![(told(false), "No"), (told(true), "Yes")];
        match self {
            Self::Amp => vec![
                (Told::Amp(AmpKind::Valve), "a valve amp"),
                (Told::Amp(AmpKind::SolidState), "a transistor amp"),
                (Told::Amp(AmpKind::Battery), "a battery amp"),
                (Told::Amp(AmpKind::Desk), "a desk or interface"),
            ],
            Self::Earthed => {
                let mut answers = yes_or_no(Told::Earthed);
                answers.push((Told::DoubleInsulated, "It needs none: a square in a square"));
                answers
            }
            Self::Damp => yes_or_no(Told::Damp),
            Self::Frayed => yes_or_no(Told::Frayed),
            Self::Headphones => yes_or_no(Told::Headphones),
            Self::Ringing => yes_or_no(Told::Ringing),
            Self::Implant => yes_or_no(Told::Implant),
            Self::LittleOnes => yes_or_no(Told::LittleOnes),
            Self::Potted => yes_or_no(Told::Potted),
            Self::Battery => yes_or_no(Told::Battery),
            Self::Solder => vec![
                (Told::Solder(Solder::LeadFree), "free of lead"),
                (Told::Solder(Solder::Leaded), "with lead"),
                (Told::Solder(Solder::Unknown), "not known"),
            ],
            Self::Installed => {
                [Installed::NoneHere, Installed::Lowered, Installed::Left, Installed::Beside, Installed::TakenOut]
                    .map(|is| (Told::Installed(is), is.in_words()))
                    .to_vec()
            }
            Self::Cable => {
                [Cable::Short, Cable::Middle, Cable::Long].map(|is| (Told::Cable(is), is.in_words())).to_vec()
            }
            Self::StringGround => yes_or_no(Told::StringGround),
        }
    }
}

impl Told {
    /// What it answers.
    #[must_use]
    pub fn question(self) -> Question {
        match self {
            Self::Amp(_) => Question::Amp,
            Self::Earthed(_) | Self::DoubleInsulated => Question::Earthed,
            Self::Damp(_) => Question::Damp,
            Self::Frayed(_) => Question::Frayed,
            Self::Headphones(_) => Question::Headphones,
            Self::Ringing(_) => Question::Ringing,
            Self::Implant(_) => Question::Implant,
            Self::LittleOnes(_) => Question::LittleOnes,
            Self::Potted(_) => Question::Potted,
            Self::Battery(_) => Question::Battery,
            Self::Solder(_) => Question::Solder,
            Self::Installed(_) => Question::Installed,
            Self::Cable(_) => Question::Cable,
            Self::StringGround(_) => Question::StringGround,
        }
    }

    /// Question and answer in a line, as in the logbook.
    #[must_use]
    pub fn in_words(self) -> String {
        let question = self.question();
        let answer = question.answers().into_iter().find(|(told, _)| *told == self).map_or("", |(_, words)| words);
        format!("{} {answer}", question.asked())
    }

    /// Enters the fact into what is known of the bench.
    pub fn enter(self, s: &mut Situation) {
        match self {
            Self::Amp(amp) => s.amp = Some(amp),
            Self::Earthed(is) => s.earthed = Some(is),
            Self::DoubleInsulated => s.double_insulated = Some(true),
            Self::Damp(is) => s.damp = Some(is),
            Self::Frayed(is) => s.frayed = Some(is),
            Self::Headphones(is) => s.headphones = Some(is),
            Self::Ringing(is) => s.ringing = Some(is),
            Self::Implant(is) => s.implant = Some(is),
            Self::LittleOnes(is) => s.little_ones = Some(is),
            Self::Potted(is) => s.potted = Some(is),
            Self::Battery(is) => s.battery = Some(is),
            Self::Solder(solder) => s.solder = Some(solder),
            Self::Installed(is) => s.installed = Some(is),
            Self::Cable(is) => s.cable = Some(is),
            Self::StringGround(is) => s.string_ground = Some(is),
        }
    }
}

/// A question about the bench, as a page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct QuestionView {
    /// Which.
    pub question: Question,
    /// As it is asked.
    pub asked: String,
    /// The answers to pick from.
    pub answers: Vec<AnswerView>,
}

/// An answer to pick.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct AnswerView {
    /// What is told by picking it.
    pub told: Told,
    /// In words.
    pub words: String,
    /// Whether it is what was told.
    pub chosen: bool,
}

/// The questions of a moment, with what was told; `said` answers what was told to a question.
#[must_use]
pub fn questions(moment: Moment, said: impl Fn(Question) -> Option<Told>) -> Vec<QuestionView> {
    Question::at(moment)
        .iter()
        .map(|question| QuestionView {
            question: *question,
            asked: question.asked().to_owned(),
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
            assert!(Moment::ALL.into_iter().any(|moment| Question::at(moment).contains(&question)), "{question:?}");
            let answers = question.answers();
            assert!(answers.len() > 1);
            for (told, words) in answers {
                assert_eq!(told.question(), question);
                assert!(told.in_words().ends_with(words) && !words.is_empty());
                let text = serde_json::to_string(&told).expect("it is JSON");
                assert_eq!(serde_json::from_str::<Told>(&text).ok(), Some(told), "{text}");
            }
        }
    }

    #[test]
    fn what_is_told_is_known_and_nothing_else_changes() {
        for question in Question::ALL {
            let mut changed = std::collections::BTreeSet::new();
            for (told, _) in question.answers() {
                let mut s = Situation::default();
                told.enter(&mut s);
                changed.insert(format!("{s:?}"));
                assert_ne!(s, Situation::default());
            }
            assert_eq!(changed.len(), question.answers().len(), "{question:?}: each answer is another fact");
        }
    }
}
