//! What a person answers in a permanent install: its steps, its acts, what was heard and seen.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use crate::audition::AuditionId;
use crate::guitar::GuitarId;
use crate::leads::Swing;
use crate::pickup::PickupId;
use crate::rig::Mode;

/// Names one permanent install for good, across benches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallId(pub Uuid);

/// The steps of a permanent install, in their order: first what the guitar was like, then what is planned, then what is done, then what is proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum InstallStep {
    /// Readings at the jack and photos, before anything is unsoldered.
    AsItWas,
    /// One mode for good, or a switch.
    Plan,
    /// Which end to the bass strings, which edge to the bridge.
    WayRound,
    /// Polarity and hum against the pickups that stay.
    Phase,
    /// Which lead goes where.
    Hookup,
    /// Opening, depth, spacing, heights.
    Room,
    /// What to expect at the jack.
    Jack,
    /// Parts and tools.
    Parts,
    /// The stop list before the iron.
    Iron,
    /// The joints.
    Solder,
    /// Readings at the jack, taps, phase and hum.
    Proof,
    /// A listen against the audition's notes.
    Listen,
    /// Done, in ink.
    Done,
}

impl InstallStep {
    /// All steps, in order.
    pub const ALL: [Self; 13] = [
        Self::AsItWas,
        Self::Plan,
        Self::WayRound,
        Self::Phase,
        Self::Hookup,
        Self::Room,
        Self::Jack,
        Self::Parts,
        Self::Iron,
        Self::Solder,
        Self::Proof,
        Self::Listen,
        Self::Done,
    ];

    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::AsItWas => "As it was",
            Self::Plan => "Plan",
            Self::WayRound => "Which way round",
            Self::Phase => "Phase and hum",
            Self::Hookup => "Hookup",
            Self::Room => "Will it fit",
            Self::Jack => "At the jack",
            Self::Parts => "Parts and tools",
            Self::Iron => "Before the iron",
            Self::Solder => "Solder",
            Self::Proof => "Proof",
            Self::Listen => "Listen",
            Self::Done => "Done",
        }
    }

    /// Why there is such a step, in a sentence.
    #[must_use]
    pub fn reason(self) -> &'static str {
        match self {
            Self::AsItWas => "Read the guitar and take its picture before you unsolder. Nobody can do it later.",
            Self::Plan => "Say once how it is to be wired. All the rest follows from it.",
            Self::WayRound => "The rig turned the pickup over. Installed, it lies the other way.",
            Self::Phase => "Two pickups together can sound full or thin. Know which before you solder.",
            Self::Hookup => "One list, one joint a line, in your own lead colours.",
            Self::Room => "Look at the opening before anything is unsoldered.",
            Self::Jack => "These are the readings that a good install shows.",
            Self::Parts => "Have it all on the bench before the iron is hot.",
            Self::Iron => "Most marks and burns come in the first minute.",
            Self::Solder => "One act after the other, each ticked when it is done.",
            Self::Proof => "Measure before you close it up. A wrong joint is found now, not on stage.",
            Self::Listen => "Close it up, string it, and hear whether it is what you chose.",
            Self::Done => "Save the install for good; both pickups' records then say where they are.",
        }
    }
}

/// What is installed where, and what that rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallBasis {
    /// The audition in which the pickup was heard.
    pub audition: AuditionId,
    /// The pickup that goes in.
    pub pickup: PickupId,
    /// The guitar it goes into.
    pub guitar: GuitarId,
    /// The place, by its name in the guitar's record.
    pub place: String,
}

/// One act of the install, in the order in which they are done.
///
/// What each says, why, and what can go wrong is told where the acts are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum InstallTask {
    /// The old wiring is in a picture.
    OldPictured,
    /// The old pickup is out.
    OldOut,
    /// Bare ends are tinned.
    Tinned,
    /// The new pickup sits in its opening.
    SetIn,
    /// Each joint of the hookup list is made.
    Joined,
    /// The joints have cooled by themselves.
    Cooled,
    /// Each joint held when it was tugged.
    Tugged,
    /// Bare joints and unused ends are insulated.
    Insulated,
    /// The cavity is closed again.
    Closed,
    /// New or old strings are on and tuned.
    Strung,
    /// The pickup stands at its starting heights.
    HeightsSet,
}

impl InstallTask {
    /// The acts at the guitar as it was, before an iron is lit: all that is done cold and can't be done later.
    pub const OPEN: [Self; 1] = [Self::OldPictured];
    /// The acts at the open guitar, from the lit iron up to the proof.
    pub const SOLDER: [Self; 7] =
        [Self::OldOut, Self::Tinned, Self::SetIn, Self::Joined, Self::Cooled, Self::Tugged, Self::Insulated];
    /// The acts after the proof.
    pub const CLOSE: [Self; 3] = [Self::Closed, Self::Strung, Self::HeightsSet];

    /// What it reads as in the logbook.
    #[must_use]
    pub fn done(self) -> &'static str {
        match self {
            Self::OldPictured => "Old wiring recorded",
            Self::OldOut => "Old pickup out",
            Self::Tinned => "Lead ends tinned",
            Self::SetIn => "New pickup set in",
            Self::Joined => "Joints made",
            Self::Insulated => "Joints insulated",
            Self::Cooled => "Joints cooled and looked at",
            Self::Tugged => "Joints held when tugged",
            Self::Closed => "Cavity closed",
            Self::Strung => "Strung and tuned",
            Self::HeightsSet => "Heights set",
        }
    }

    /// Whether it is done with a hot iron.
    #[must_use]
    pub fn needs_iron(self) -> bool {
        match self {
            Self::OldOut | Self::Tinned | Self::Joined => true,
            Self::OldPictured
            | Self::SetIn
            | Self::Insulated
            | Self::Cooled
            | Self::Tugged
            | Self::Closed
            | Self::Strung
            | Self::HeightsSet => false,
        }
    }
}

/// What was found out by ear or by eye at the finished wiring, with the question it answers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(tag = "check", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub enum InstallAnswer {
    /// Steel tapped on the poles at a place, with the selector in a position that uses it.
    Tap {
        /// The place that is tapped.
        place: String,
        /// What came out.
        heard: TapHeard,
    },
    /// The first swing of the meter when steel is pulled off a pickup that stays, plus probe on the tip of the plug.
    Swing {
        /// The place of the pickup that stays.
        place: String,
        /// Which way it went.
        swing: Swing,
    },
    /// Which pole a compass finds at the strings' side of a pickup that stays.
    Poles {
        /// The place of the pickup that stays.
        place: String,
        /// Which.
        up: PolesUp,
    },
    /// Whether a pickup sits at a place of which the guitar's record says nothing.
    Sits {
        /// The place.
        place: String,
        /// Whether one does.
        sits: bool,
    },
    /// Nobody can tell whether a pickup sits at a place of which the guitar's record says nothing.
    SitsUnknown {
        /// The place.
        place: String,
    },
    /// Two pickups together, beside each alone.
    Phase {
        /// The selector's position.
        position: String,
        /// How it sounds.
        heard: PhaseHeard,
    },
    /// Hum with nobody touching the strings, in one mode.
    Hum {
        /// The mode.
        mode: Mode,
        /// How much there is.
        heard: HumHeard,
    },
    /// The sound beside what was noted in the audition, in one mode.
    Sound {
        /// The mode.
        mode: Mode,
        /// Whether it is what was chosen.
        heard: SoundHeard,
        /// Words; may be empty.
        #[serde(default)]
        words: String,
    },
}

/// What an answer is about: a later answer to the same question stands.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum InstallCheck {
    /// A tap at a place.
    Tap(String),
    /// The first swing of a pickup that stays.
    Swing(String),
    /// The poles of a pickup that stays.
    Poles(String),
    /// Whether a pickup sits at a place.
    Sits(String),
    /// Two pickups in a position of the selector.
    Phase(String),
    /// Hum in a mode.
    Hum(Mode),
    /// The sound in a mode.
    Sound(Mode),
}

impl InstallAnswer {
    /// The question it answers.
    #[must_use]
    pub fn check(&self) -> InstallCheck {
        match self {
            Self::Tap { place, .. } => InstallCheck::Tap(place.clone()),
            Self::Swing { place, .. } => InstallCheck::Swing(place.clone()),
            Self::Poles { place, .. } => InstallCheck::Poles(place.clone()),
            Self::Sits { place, .. } | Self::SitsUnknown { place } => InstallCheck::Sits(place.clone()),
            Self::Phase { position, .. } => InstallCheck::Phase(position.clone()),
            Self::Hum { mode, .. } => InstallCheck::Hum(mode.clone()),
            Self::Sound { mode, .. } => InstallCheck::Sound(mode.clone()),
        }
    }

    /// Whether it takes an amplifier with the sound up.
    #[must_use]
    pub fn is_by_ear(&self) -> bool {
        match self {
            Self::Tap { .. } | Self::Phase { .. } | Self::Hum { .. } | Self::Sound { .. } => true,
            Self::Swing { .. } | Self::Poles { .. } | Self::Sits { .. } | Self::SitsUnknown { .. } => false,
        }
    }

    /// Whether it is a fact about a pickup that stays, which no other wiring of the new one makes worthless.
    #[must_use]
    pub fn of_what_stays(&self) -> bool {
        match self {
            Self::Swing { .. } | Self::Poles { .. } | Self::Sits { .. } | Self::SitsUnknown { .. } => true,
            Self::Tap { .. } | Self::Phase { .. } | Self::Hum { .. } | Self::Sound { .. } => false,
        }
    }
}

/// What came out of the amplifier when poles were tapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum TapHeard {
    /// A clear knock, and only there.
    Clear,
    /// Much weaker than at the others.
    Weak,
    /// Nothing.
    Nothing,
    /// It knocks where another place is tapped.
    Elsewhere,
    /// Nobody can tell.
    CantTell,
}

/// Which poles of a pickup face the strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum PolesUp {
    /// North poles only.
    North,
    /// South poles only.
    South,
    /// A row or a half of each, so that it cancels hum by itself.
    Both,
    /// Nobody can tell.
    CantTell,
}

/// How two pickups sound together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum PhaseHeard {
    /// Full, as loud as each alone or louder.
    Full,
    /// Thin and weak.
    Thin,
    /// Nobody can tell.
    CantTell,
}

/// How much hum there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum HumHeard {
    /// Hardly any.
    Quiet,
    /// As much as one coil alone makes, the same whether strings are touched or not.
    OneCoil,
    /// Some, and less when the strings are touched: the ground of the strings works.
    LessWhenTouched,
    /// Loud, and more when the strings are touched.
    MoreWhenTouched,
    /// Nobody can tell.
    CantTell,
}

/// Whether the installed sound is the one that was chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum SoundHeard {
    /// It is.
    AsHeard,
    /// It differs a little.
    Near,
    /// It is another sound.
    Different,
    /// Nobody can tell.
    CantTell,
}

impl InstallAnswer {
    /// As it reads in the logbook.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::Tap { place, heard } => format!("Tapped at {place}: {}", heard.in_words()),
            Self::Swing { place, swing } => format!("Steel pulled off at {place}: {}", swing_in_words(*swing)),
            Self::Poles { place, up } => format!("Poles up at {place}: {}", up.in_words()),
            Self::Sits { place, sits: true } => format!("A pickup sits at {place}"),
            Self::SitsUnknown { place } => format!("Nobody can tell whether a pickup sits at {place}"),
            Self::Sits { place, sits: false } => format!("No pickup sits at {place}"),
            Self::Phase { position, heard } => format!("Together in {position}: {}", heard.in_words()),
            Self::Hum { mode, heard } => format!("Hum in {}: {}", mode.0, heard.in_words()),
            Self::Sound { mode, heard, words } => {
                let words = if words.is_empty() { String::new() } else { format!(": “{words}”") };
                format!("Heard in {}, {}{words}", mode.0, heard.in_words())
            }
        }
    }
}

/// The answer of who can't tell.
const CANT_TELL: &str = "can't tell";

impl TapHeard {
    /// All answers, the good one first.
    pub const ALL: [Self; 5] = [Self::Clear, Self::Weak, Self::Nothing, Self::Elsewhere, Self::CantTell];

    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Clear => "a clear knock",
            Self::Weak => "much weaker than the others",
            Self::Nothing => "nothing",
            Self::Elsewhere => "only another place knocks",
            Self::CantTell => CANT_TELL,
        }
    }
}

/// Which way a first swing went.
#[must_use]
pub fn swing_in_words(swing: Swing) -> &'static str {
    match swing {
        Swing::Up => "to plus",
        Swing::UpSmall => "to plus, hardly",
        Swing::Down => "to minus",
        Swing::DownSmall => "to minus, hardly",
        Swing::Nothing => "no swing to be seen",
    }
}

impl PolesUp {
    /// All answers.
    pub const ALL: [Self; 4] = [Self::North, Self::South, Self::Both, Self::CantTell];

    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::North => "north",
            Self::South => "south",
            Self::Both => "both, so it cancels hum",
            Self::CantTell => CANT_TELL,
        }
    }
}

impl PhaseHeard {
    /// All answers, the good one first.
    pub const ALL: [Self; 3] = [Self::Full, Self::Thin, Self::CantTell];

    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Full => "full",
            Self::Thin => "thin and weak",
            Self::CantTell => CANT_TELL,
        }
    }
}

impl HumHeard {
    /// All answers, the good ones first.
    pub const ALL: [Self; 5] =
        [Self::Quiet, Self::OneCoil, Self::LessWhenTouched, Self::MoreWhenTouched, Self::CantTell];

    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Quiet => "hardly any",
            Self::OneCoil => "some, as of one coil",
            Self::LessWhenTouched => "some, less when strings are touched",
            Self::MoreWhenTouched => "loud, more when strings are touched",
            Self::CantTell => CANT_TELL,
        }
    }
}

impl SoundHeard {
    /// All answers, the good one first.
    pub const ALL: [Self; 4] = [Self::AsHeard, Self::Near, Self::Different, Self::CantTell];

    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::AsHeard => "as in the audition",
            Self::Near => "a little other than in the audition",
            Self::Different => "another sound than in the audition",
            Self::CantTell => CANT_TELL,
        }
    }
}
