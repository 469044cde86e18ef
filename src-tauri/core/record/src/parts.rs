//! What is chosen between a guitar's pickups and its amplifier: pots, capacitors, a cable.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::quantity::{Farads, Ohms};

/// How far a pot's track has gone at half a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum PotTaper {
    /// Half of it.
    Linear,
    /// A tenth of it: the usual audio taper.
    #[default]
    Audio10,
    /// About a sixth of it.
    Audio15,
    /// Three tenths of it: an audio taper that comes on later.
    Audio30,
}

impl PotTaper {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Audio10, Self::Audio15, Self::Audio30, Self::Linear];

    /// In words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Linear => "linear: 50 % at half",
            Self::Audio10 => "audio: 10 % at half",
            Self::Audio15 => "audio: 15 % at half",
            Self::Audio30 => "audio: 30 % at half",
        }
    }
}

/// A capacitor past a volume, from the end of its track to its wiper, so that highs stay when it is turned down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct TrebleBleed {
    /// The capacitor, in farads.
    pub capacitor: Farads,
    /// A resistor in a row with it, in ohms.
    #[serde(default)]
    pub in_row: Option<Ohms>,
    /// A resistor across it, in ohms.
    #[serde(default)]
    pub across: Option<Ohms>,
}

/// The parts at the place of a new pickup: those of the whole guitar where it has one volume.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct CircuitParts {
    /// The volume pot, in ohms; nothing for none.
    pub volume: Option<Ohms>,
    /// Its taper.
    #[serde(default)]
    pub volume_taper: PotTaper,
    /// The tone pot, in ohms; nothing for none.
    pub tone: Option<Ohms>,
    /// Its taper.
    #[serde(default)]
    pub tone_taper: PotTaper,
    /// Its capacitor, in farads; without one there is no tone.
    pub capacitor: Option<Farads>,
    /// Whether the tone pot is out of the circuit at full.
    #[serde(default)]
    pub no_load: bool,
    /// A treble bleed at the volume.
    #[serde(default)]
    pub bleed: Option<TrebleBleed>,
    /// A blend pot that lets another pickup in beside the selector, in ohms.
    #[serde(default)]
    pub blend: Option<Ohms>,
    /// The cable, in farads.
    pub cable: Farads,
    /// The input of the amplifier, in ohms.
    pub input: Ohms,
}

impl CircuitParts {
    /// Pickups straight to a cable and an input.
    #[must_use]
    pub fn straight(cable: Farads, input: Ohms) -> Self {
        Self {
            volume: None,
            volume_taper: PotTaper::default(),
            tone: None,
            tone_taper: PotTaper::default(),
            capacitor: None,
            no_load: false,
            bleed: None,
            blend: None,
            cable,
            input,
        }
    }

    /// Why these can't be; nothing where they can.
    #[must_use]
    pub fn wrong(&self) -> Option<(&'static str, &'static str)> {
        let pot = |ohms: f64| (1e3..=2e7).contains(&ohms);
        let part = |farads: f64| (1e-12..=1e-5).contains(&farads);
        let over = |ohms: Option<Ohms>| ohms.is_none_or(|ohms| pot(ohms.0));
        let Self { volume, tone, capacitor, bleed, blend, cable, input, .. } = self;
        let resistors = bleed.is_none_or(|bleed| over(bleed.in_row) && over(bleed.across));
        [
            (over(*volume), "volume", "A volume pot has 1 kΩ to 20 MΩ. Take “none” where there is none."),
            (over(*tone), "tone", "A tone pot has 1 kΩ to 20 MΩ. Take “none” where there is none."),
            (over(*blend), "blend", "A blend pot has 1 kΩ to 20 MΩ. Take “none” where there is none."),
            (capacitor.is_none_or(|farads| part(farads.0)), "capacitor", "A tone capacitor has 1 pF to 10 µF."),
            (
                bleed.is_none_or(|bleed| part(bleed.capacitor.0)),
                "bleed",
                "A treble bleed's capacitor has 1 pF to 10 µF.",
            ),
            (resistors, "bleed", "A treble bleed's resistor has 1 kΩ to 20 MΩ."),
            ((0.0..=1e-7).contains(&cable.0), "cable", "A cable has 0 to 100 nF."),
            (pot(input.0), "input", "An input has 1 kΩ to 20 MΩ."),
        ]
        .into_iter()
        .find_map(|(fine, field, sentence)| (!fine).then_some((field, sentence)))
    }

    /// `volume 500 kΩ, tone 500 kΩ with 22 nF, cable 500 pF, input 1 MΩ`.
    #[must_use]
    pub fn in_words(&self) -> String {
        let mut words = vec![match self.volume {
            Some(pot) => format!("volume {} ({})", pot.shown(), self.volume_taper.in_words()),
            None => "no volume".to_owned(),
        }];
        words.push(match (self.tone, self.capacitor) {
            (Some(pot), Some(capacitor)) => format!(
                "tone {} ({}) with {}{}",
                pot.shown(),
                self.tone_taper.in_words(),
                capacitor.shown(),
                if self.no_load { ", out of the circuit at full" } else { "" }
            ),
            _ => "no tone".to_owned(),
        });
        if let Some(bleed) = self.bleed {
            let mut with = format!("treble bleed {}", bleed.capacitor.shown());
            if let Some(ohms) = bleed.in_row {
                with.push_str(&format!(" in a row with {}", ohms.shown()));
            }
            if let Some(ohms) = bleed.across {
                with.push_str(&format!(" beside {}", ohms.shown()));
            }
            words.push(with);
        }
        words.extend(self.blend.map(|pot| format!("blend {}", pot.shown())));
        words.push(format!("cable {}", self.cable.shown()));
        words.push(format!("input {}", self.input.shown()));
        words.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_that_can_not_be_are_named() {
        let fine = CircuitParts {
            volume: Some(Ohms(5e5)),
            tone: Some(Ohms(5e5)),
            capacitor: Some(Farads(22e-9)),
            ..CircuitParts::straight(Farads(5e-10), Ohms(1e6))
        };
        let bleed = TrebleBleed { capacitor: Farads(1e-9), in_row: None, across: None };
        assert_eq!(fine.wrong(), None);
        for (parts, field) in [
            (CircuitParts { volume: Some(Ohms(0.0)), ..fine }, "volume"),
            (CircuitParts { volume: Some(Ohms(f64::NAN)), ..fine }, "volume"),
            (CircuitParts { tone: Some(Ohms(-5e5)), ..fine }, "tone"),
            (CircuitParts { blend: Some(Ohms(0.0)), ..fine }, "blend"),
            (CircuitParts { capacitor: Some(Farads(0.0)), ..fine }, "capacitor"),
            (CircuitParts { cable: Farads(-1e-12), ..fine }, "cable"),
            (CircuitParts { cable: Farads(f64::INFINITY), ..fine }, "cable"),
            (CircuitParts { input: Ohms(0.0), ..fine }, "input"),
            (CircuitParts { bleed: Some(TrebleBleed { capacitor: Farads(0.0), ..bleed }), ..fine }, "bleed"),
            (CircuitParts { bleed: Some(TrebleBleed { in_row: Some(Ohms(0.0)), ..bleed }), ..fine }, "bleed"),
        ] {
            assert_eq!(parts.wrong().map(|(field, _)| field), Some(field), "{parts:?}");
        }
        let words = CircuitParts { bleed: Some(bleed), ..fine }.in_words();
        assert!(words.contains("volume 500 kΩ") && words.contains("22 nF") && words.contains("bleed 1 nF"), "{words}");
    }
}
