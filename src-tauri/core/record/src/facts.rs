//! What a person tells of the bench: facts that cautions and sounds hang on and that no step asks for.

mod load;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use self::load::CABLE_SIZES;
pub use self::load::{Cable, InputLoad, LoadResistor};

/// A fact of the bench, as told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(tag = "fact", content = "is", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub enum BenchFact {
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
    /// What lies across the rig's output, in place of a guitar's pots.
    LoadResistor(LoadResistor),
    /// What the cable's capacitance is, as measured or stated, in picofarads.
    CablePicofarads(u16),
    /// What the input of the amplifier or interface comes to.
    Input(InputLoad),
    /// Nobody can tell; then all is as before anybody was asked.
    CantTell(Question),
}

/// What is asked about the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
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
    /// A resistor across the rig's output.
    LoadResistor,
    /// The cable's capacitance.
    CablePicofarads,
    /// The input of the amplifier or interface.
    Input,
}

/// The answer of who can't tell.
const CANT_TELL: &str = "Can't tell";

impl Question {
    /// All questions.
    pub const ALL: [Self; 17] = [
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
        Self::LoadResistor,
        Self::CablePicofarads,
        Self::Input,
    ];

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
            Self::LoadResistor => "Is there a resistor across the rig’s output, in place of the pots?",
            Self::CablePicofarads => "Do you know the cable’s capacitance?",
            Self::Input => "What input does it go into?",
        }
    }

    /// The answers to pick from, each with its words.
    #[must_use]
    pub fn answers(self) -> Vec<(BenchFact, &'static str)> {
        let yes_or_no = |told: fn(bool) -> BenchFact| vec![(told(false), "No"), (told(true), "Yes")];
        match self {
            Self::Amp => vec![
                (BenchFact::Amp(AmpKind::Valve), "a valve amp"),
                (BenchFact::Amp(AmpKind::SolidState), "a transistor amp"),
                (BenchFact::Amp(AmpKind::Battery), "a battery amp"),
                (BenchFact::Amp(AmpKind::Desk), "a desk or interface"),
                (BenchFact::CantTell(self), CANT_TELL),
            ],
            Self::Earthed => {
                let mut answers = yes_or_no(BenchFact::Earthed);
                answers.push((BenchFact::DoubleInsulated, "It needs none: a square in a square"));
                answers.push((BenchFact::CantTell(self), CANT_TELL));
                answers
            }
            Self::Damp => yes_or_no(BenchFact::Damp),
            Self::Potted | Self::Battery | Self::Implant => {
                let mut answers = yes_or_no(match self {
                    Self::Potted => BenchFact::Potted,
                    Self::Battery => BenchFact::Battery,
                    _ => BenchFact::Implant,
                });
                answers.push((BenchFact::CantTell(self), CANT_TELL));
                answers
            }
            Self::Frayed => yes_or_no(BenchFact::Frayed),
            Self::Headphones => yes_or_no(BenchFact::Headphones),
            Self::Ringing => yes_or_no(BenchFact::Ringing),
            Self::LittleOnes => yes_or_no(BenchFact::LittleOnes),
            Self::Solder => vec![
                (BenchFact::Solder(Solder::LeadFree), "free of lead"),
                (BenchFact::Solder(Solder::Leaded), "with lead"),
                (BenchFact::Solder(Solder::Unknown), "not known"),
            ],
            Self::Installed => {
                [Installed::NoneHere, Installed::Lowered, Installed::Left, Installed::Beside, Installed::TakenOut]
                    .map(|is| (BenchFact::Installed(is), is.in_words()))
                    .to_vec()
            }
            Self::Cable => {
                let lengths =
                    [Cable::Short, Cable::Middle, Cable::Long].map(|is| (BenchFact::Cable(is), is.in_words()));
                lengths.into_iter().chain([(BenchFact::CantTell(self), CANT_TELL)]).collect()
            }
            Self::StringGround => yes_or_no(BenchFact::StringGround),
            Self::LoadResistor => {
                let sizes = LoadResistor::ALL.map(|is| (BenchFact::LoadResistor(is), is.in_words()));
                sizes.into_iter().chain([(BenchFact::CantTell(self), CANT_TELL)]).collect()
            }
            Self::CablePicofarads => {
                let sizes = CABLE_SIZES.map(|(size, words)| (BenchFact::CablePicofarads(size), words));
                sizes.into_iter().chain([(BenchFact::CantTell(self), CANT_TELL)]).collect()
            }
            Self::Input => {
                let inputs = InputLoad::ALL.map(|is| (BenchFact::Input(is), is.in_words()));
                inputs.into_iter().chain([(BenchFact::CantTell(self), CANT_TELL)]).collect()
            }
        }
    }
}

impl BenchFact {
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
            Self::LoadResistor(_) => Question::LoadResistor,
            Self::CablePicofarads(_) => Question::CablePicofarads,
            Self::Input(_) => Question::Input,
            Self::CantTell(question) => question,
        }
    }

    /// Question and answer in a line, as in the logbook.
    #[must_use]
    pub fn in_words(self) -> String {
        let question = self.question();
        let answer = question.answers().into_iter().find(|(told, _)| *told == self).map_or("", |(_, words)| words);
        format!("{} {answer}", question.asked())
    }
}

/// What the guitar is played through.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum AmpKind {
    /// A valve amplifier, run from the mains.
    Valve,
    /// A transistor amplifier, run from the mains.
    SolidState,
    /// A small amplifier that runs from a battery.
    Battery,
    /// A mixing desk or a recording interface.
    Desk,
}

/// The solder in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum Solder {
    /// Its label says that it has lead in it, or it is old.
    Leaded,
    /// Its label says that it is free of lead.
    LeadFree,
    /// Its label is gone or says nothing.
    Unknown,
}

/// What became of the pickup that is fitted at the place while another one is auditioned over it.
///
/// Its magnets pull the strings too, and its field adds to that of the pickup on the rig or opposes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum Installed {
    /// No pickup is fitted there.
    NoneHere,
    /// It was lowered.
    Lowered,
    /// It was left as it is, under the rig.
    Left,
    /// The rig stands beside it.
    Beside,
    /// It was taken out.
    TakenOut,
}

impl Installed {
    /// In words, after "the fitted pickup".
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::NoneHere => "there is none",
            Self::Lowered => "lowered",
            Self::Left => "left as it is, under the rig",
            Self::Beside => "the rig stands beside it",
            Self::TakenOut => "taken out",
        }
    }
}

/// Whether a clip from the output's sleeve to the bridge grounds the strings while a pickup is auditioned, in words.
///
/// A rig on loose pickups joins nothing to the bridge, so without a clip the hands on the strings do not take the hum away.
#[must_use]
pub fn string_ground_in_words(is: bool) -> &'static str {
    if is { "clipped to the bridge" } else { "none" }
}
