//! One pretended bench: a random pickup, something wrong or nothing, and a meter that errs within its claim.

use solderlast_core::physics::meter::{Case, Cause, Given, Joined, Taken, copper, would_read};
use solderlast_core::record::claim::Meter;
use solderlast_core::record::meter::{Care, Probe};
use solderlast_core::record::pickup::Pickup;
use solderlast_core::record::quantity::{Celsius, Ohms, Reading};
use solderlast_core::record::rig::{Mode, Rig};

use crate::Chance;
use crate::pickups::{hooked_up, side_by_side};

/// A bench and the truth about it.
pub struct PretendedBench {
    /// What is tried.
    pub pickup: Pickup,
    /// Its leads, as they are said to be hooked up.
    pub joined: Vec<Joined>,
    /// The usual rig.
    pub rig: Rig,
    /// A plain meter.
    pub meter: Meter,
    /// As the person knows it.
    pub room: Option<Celsius>,
    /// What is really wrong.
    pub wrong: Vec<Cause>,
    /// What everything really has, in ohms.
    pub given: Given,
}

impl PretendedBench {
    /// A bench with this wrong; half of the pickups have stated coils, half of the rooms are measured.
    pub fn new(chance: &mut Chance, stated: bool, wrong: Vec<Cause>) -> Self {
        let first = chance.in_ratio(3000.0, 14_000.0);
        let ratio = if chance.below(10) < 7 { chance.between(0.9, 1.1) } else { chance.between(0.5, 1.6) };
        let made = [first, first * ratio];
        let celsius = Celsius(chance.between(10.0, 30.0));
        let other_than_stated = wrong.contains(&Cause::NotAsStated);
        let off = if chance.below(2) == 0 { chance.in_ratio(0.4, 0.8) } else { chance.in_ratio(1.25, 2.5) };
        let coils = made.map(|ohms| {
            let wound = ohms * (1.0 + chance.between(-0.1, 0.1)) * copper(celsius);
            Ohms(if other_than_stated { wound * off } else { wound })
        });
        let load = *chance.pick(&[250e3, 500e3, 1e6]) * chance.between(0.8, 1.0);
        Self {
            pickup: side_by_side(&made.map(|ohms| stated.then_some(ohms)), true),
            joined: hooked_up(),
            rig: Rig::four_terminal("pretended"),
            meter: Meter::plain(),
            room: (chance.below(2) == 0).then_some(celsius),
            wrong,
            given: Given {
                coils: coils.to_vec(),
                body: Ohms(chance.in_ratio(1e5, 1e6)),
                load: Ohms(load),
                contact: Ohms(chance.in_ratio(1.0, 3e5)),
            },
        }
    }

    /// The same bench with other things wrong.
    pub fn with(&self, wrong: Vec<Cause>) -> Self {
        Self {
            pickup: self.pickup.clone(),
            joined: self.joined.clone(),
            rig: self.rig.clone(),
            meter: self.meter.clone(),
            room: self.room,
            wrong,
            given: self.given.clone(),
        }
    }

    /// What an exact meter would show.
    pub fn exact(&self, probe: &Probe) -> Option<f64> {
        would_read(&self.pickup, &self.joined, &self.rig, &self.wrong, &self.given, probe).map(|ohms| ohms.0)
    }

    /// What the meter shows: anywhere within its claim, to its last digit.
    pub fn read(&self, chance: &mut Chance, probe: &Probe) -> Taken {
        let reading = match self.exact(probe) {
            None => Reading::OverLimit,
            Some(0.0) => Reading::Ohms(Ohms((chance.between(0.0, 0.6) * 10.0).round() / 10.0)),
            Some(ohms) => loop {
                let power = 10_f64.powi(i32::from(self.power_of(probe)));
                let really = ohms / power;
                let claim = self.meter.claim(Ohms(really)).0;
                let digit =
                    self.meter.ranges.iter().find(|range| really <= range.top.0).map_or(1e4, |range| range.digit.0);
                let shown = ((really + chance.between(-1.0, 1.0) * claim) / digit).round() * digit;
                if (shown - really).abs() <= self.meter.claim(Ohms(shown)).0 {
                    break Reading::Ohms(Ohms(shown * power));
                }
            },
        };
        Taken::new(probe.clone(), reading)
    }

    /// A reading that is written down ten times too large erred before it was written.
    fn power_of(&self, probe: &Probe) -> i8 {
        let Probe::Output { mode, care } = probe else { return 0 };
        self.wrong
            .iter()
            .map(|cause| match cause {
                Cause::WrongRange { mode: Some(of), power } if of == mode && *care == Care::AsUsual => *power,
                Cause::WrongRange { mode: None, power } if *care != Care::SwitchAndRange => *power,
                _ => 0,
            })
            .sum()
    }

    /// Every mode once, as usual.
    pub fn modes(&self, chance: &mut Chance) -> Vec<Taken> {
        let probes: Vec<Probe> = self.rig.positions.iter().map(|position| usual(position.mode.clone())).collect();
        probes.iter().map(|probe| self.read(chance, probe)).collect()
    }

    /// What the diagnosis is asked.
    pub fn case<'a>(&'a self, taken: &'a [Taken]) -> Case<'a> {
        Case {
            pickup: &self.pickup,
            joined: &self.joined,
            rig: &self.rig,
            meter: &self.meter,
            room: self.room,
            measured: &[],
            modes: &[],
            taken,
        }
    }
}

/// At the output in a mode, as usual.
pub fn usual(mode: Mode) -> Probe {
    Probe::Output { mode, care: Care::AsUsual }
}
