//! What a pickup's voltage goes through and into: pots, a tone capacitor, a cable, an input.

use crate::network::Network;
use crate::record::quantity::{Farads, Ohms};

/// What hangs on a rig's output, or on a guitar's jack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// The cable, in farads.
    pub cable: Farads,
    /// The amplifier's or interface's input, in ohms.
    pub input: Ohms,
    /// A resistor across a rig's output that stands for a guitar's pots, in ohms.
    pub across: Option<Ohms>,
    /// What the rig or the guitar's own wiring adds to the cable, in farads.
    pub stray: Farads,
}

impl Load {
    pub(crate) fn across(&self, network: &mut Network, tip: usize, ground: usize) {
        network.capacitance(tip, ground, self.cable.0 + self.stray.0);
        for ohms in [Some(self.input), self.across].into_iter().flatten() {
            network.resistance(tip, ground, ohms.0);
        }
    }
}

/// How far a pot's track has gone at half a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taper {
    /// Half of it.
    Linear,
    /// A tenth of it, along two straight parts, as audio pots are made (common practice).
    Audio,
    /// The same with 15 % at half.
    Audio15,
    /// The same with 30 % at half.
    Audio30,
}

impl Taper {
    /// The part of the track below the wiper, 0 to 1, at a part of the turn, 0 to 1; beyond them it stays there.
    ///
    /// ```
    /// use solderlast_physics::response::Taper;
    /// assert_eq!(Taper::Linear.part(0.5), 0.5);
    /// assert!((Taper::Audio.part(0.5) - 0.1).abs() < 1e-12);
    /// assert_eq!([0.0, 1.0, 7.0].map(|turn| Taper::Audio.part(turn)), [0.0, 1.0, 1.0]);
    /// ```
    #[must_use]
    pub fn part(self, turn: f64) -> f64 {
        let turn = if turn.is_finite() { turn.clamp(0.0, 1.0) } else { 1.0 };
        let half = match self {
            Self::Linear => 0.5,
            Self::Audio => 0.1,
            Self::Audio15 => 0.15,
            Self::Audio30 => 0.3,
        };
        if turn <= 0.5 { 2.0 * half * turn } else { half + 2.0 * (1.0 - half) * (turn - 0.5) }
    }
}

/// A pot and where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pot {
    /// Its whole track, in ohms.
    pub ohms: Ohms,
    /// The part of the track below the wiper, 0 to 1: 1 is full.
    pub part: f64,
}

impl From<Ohms> for Pot {
    /// At full.
    fn from(ohms: Ohms) -> Self {
        Self { ohms, part: 1.0 }
    }
}

impl Pot {
    fn below(self) -> f64 {
        self.ohms.0 * if self.part.is_finite() { self.part.clamp(0.0, 1.0) } else { 1.0 }
    }

    fn above(self) -> f64 {
        self.ohms.0 - self.below()
    }
}

/// The pots between a pickup and the jack, the usual way: the pickup across the whole track of the volume, its wiper to the jack;
/// a tone pot and its capacitor in a row across the pickup, or across the jack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pots {
    /// The volume.
    pub volume: Option<Pot>,
    /// The tone pot and its capacitor, in farads. With a part of 1 all of its track lies before the capacitor.
    pub tone: Option<(Pot, Farads)>,
    /// Whether the tone is at the jack's side of the volume.
    pub tone_after: bool,
    /// A capacitor past the volume, from its end to its wiper, in farads, and what lies in a row or across it, in ohms.
    pub bleed: Option<Bleed>,
}

/// Highs that are led past a volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bleed {
    /// Its capacitor, in farads.
    pub farads: Farads,
    /// A resistor in a row with it, in ohms.
    pub in_row: Option<Ohms>,
    /// A resistor across it, in ohms.
    pub across: Option<Ohms>,
}

impl Pots {
    /// A pickup straight to its output.
    #[must_use]
    pub fn none() -> Self {
        Self { volume: None, tone: None, tone_after: false, bleed: None }
    }

    /// Puts them behind a pickup; answers the node at the jack.
    pub(super) fn behind(&self, network: &mut Network, hot: usize, ground: usize) -> usize {
        let wiper = network.node();
        self.between(network, [hot, wiper], ground, [hot, wiper]);
        wiper
    }

    /// Puts them on the nodes of a volume: the end of its track and its wiper, and where its track is at ground. `ways` are the
    /// pickup's side and the jack's side of it, which are either way round.
    pub(crate) fn between(
        &self,
        network: &mut Network,
        [top, wiper]: [usize; 2],
        ground: usize,
        [pickup, jack]: [usize; 2],
    ) {
        match self.volume {
            None => network.bond(top, wiper),
            Some(volume) => {
                network.resistance(top, wiper, volume.above());
                network.resistance(wiper, ground, volume.below());
                if let Some(bleed) = self.bleed {
                    let end = match bleed.in_row {
                        None => wiper,
                        Some(ohms) => {
                            let end = network.node();
                            network.resistance(end, wiper, ohms.0);
                            end
                        }
                    };
                    network.capacitance(top, end, bleed.farads.0);
                    if let Some(ohms) = bleed.across {
                        network.resistance(top, end, ohms.0);
                    }
                }
            }
        }
        if let Some((tone, farads)) = self.tone {
            let before = network.node();
            network.resistance(if self.tone_after { jack } else { pickup }, before, tone.below());
            network.capacitance(before, ground, farads.0);
        }
    }
}
