//! What was found out by ear or by eye at a wiring, and the words for it.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::leads::Swing;
use crate::rig::Mode;

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
