//! Pickups that this job is not made for: those with an amplifier inside, and those of low impedance. A meter at their leads says
//! nothing that can be held against a coil, so nothing is judged, and no reading of theirs is called a short.

use super::SHORT_BELOW;
use crate::record::pickup::Pickup;
use crate::record::quantity::{Ohms, Reading};
use crate::record::verdict::{Verdict, VerdictKind};

/// Coils of a low-impedance pickup have less than this, those of any other more (from memory), in ohms.
pub const LOW_IMPEDANCE_BELOW: f64 = 500.0;
/// Less than this is no coil either but a short: probes, clamps and leads have as much (from memory), in ohms.
const LEAST_COIL: f64 = 4.0;

/// Why a pickup is not covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NotCovered {
    /// Its record says that it needs a battery.
    Active,
    /// Its record says that its coils have so few ohms.
    LowImpedance,
    /// Its readings look like it.
    LooksLow,
}

impl NotCovered {
    /// What it means and what to do.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Active => {
                "A pickup that needs a battery has an amplifier inside. A meter can't see its coils, and the rig gives it no \
                 power, so it is not covered here. Follow its maker's sheet, or ask a technician."
            }
            Self::LowImpedance => {
                "A pickup with so few ohms is of low impedance. It wants a transformer or a preamp of its own, so it is not \
                 covered here. Follow its maker's sheet, or ask a technician."
            }
            Self::LooksLow => {
                "So few ohms in every mode look like a low-impedance pickup, which is not covered here. Does it need a battery, a \
                 transformer or a preamp? If it is an ordinary one, look for a short, and write its stated resistance into its \
                 record."
            }
        }
    }
}

impl From<NotCovered> for Verdict {
    fn from(why: NotCovered) -> Self {
        Self::new(VerdictKind::Unsure, "Not covered", why.sentence())
    }
}

/// Why a pickup with these readings at the rig is not covered; nothing for one that is.
#[must_use]
pub fn not_covered(pickup: &Pickup, readings: impl IntoIterator<Item = Reading>) -> Option<NotCovered> {
    if pickup.active == Some(true) {
        return Some(NotCovered::Active);
    }
    let low = |ohms: Ohms| (LEAST_COIL..LOW_IMPEDANCE_BELOW).contains(&ohms.0);
    let stated: Vec<Ohms> = pickup.coils.iter().filter_map(|coil| coil.stated).collect();
    if !stated.is_empty() {
        // A coil that reads as an ordinary one was stated with a slip of the pen: that is asked about.
        let ordinary = readings.into_iter().filter_map(Reading::ohms).any(|ohms| ohms.0 >= LOW_IMPEDANCE_BELOW);
        return (stated.into_iter().all(low) && !ordinary).then_some(NotCovered::LowImpedance);
    }
    let readings: Vec<Option<Ohms>> = readings.into_iter().map(Reading::ohms).collect();
    let looks = readings.iter().all(|ohms| ohms.is_some_and(low));
    // Above what is called a short one coil of few ohms is judged like any other.
    let short = readings.iter().flatten().any(|ohms| ohms.0 < SHORT_BELOW);
    (looks && short).then_some(NotCovered::LooksLow)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::pickup::Construction;
    use solderlast_samples::invented as bench;

    /// For each: whether it needs a battery, what its coils are stated as, what the meter showed, and why it is not covered.
    #[test]
    fn bench_cases() {
        let ohms = |values: &[f64]| values.iter().map(|ohms| Reading::Ohms(Ohms(*ohms))).collect::<Vec<_>>();
        let over = vec![Reading::OverLimit];
        for (active, stated, readings, why) in [
            (None, None, ohms(&[]), None),
            (Some(true), None, ohms(&[]), Some(NotCovered::Active)),
            (Some(true), Some(6660.0), ohms(&[6660.0]), Some(NotCovered::Active)),
            (Some(false), Some(6660.0), ohms(&[20.0, 40.0]), None),
            (None, Some(6660.0), ohms(&[20.0]), None),
            (None, Some(45.0), ohms(&[]), Some(NotCovered::LowImpedance)),
            (None, Some(499.0), over.clone(), Some(NotCovered::LowImpedance)),
            (None, Some(6.66), ohms(&[6660.0]), None),
            (None, None, ohms(&[22.0, 45.0, 91.0]), Some(NotCovered::LooksLow)),
            (None, None, ohms(&[90.0, 180.0, 360.0]), Some(NotCovered::LooksLow)),
            (Some(false), None, ohms(&[45.0]), Some(NotCovered::LooksLow)),
            // A real short, one mode that is a coil, one that is open, and coils that are small and no more.
            (None, None, ohms(&[0.3]), None),
            (None, None, ohms(&[0.3, 45.0]), None),
            (None, None, ohms(&[45.0, 6660.0]), None),
            (None, None, [ohms(&[45.0]), over].concat(), None),
            (None, None, ohms(&[180.0, 360.0]), None),
        ] {
            let mut pickup = bench::pickup(Construction::SideBySide);
            pickup.active = active;
            pickup.coils.iter_mut().for_each(|coil| coil.stated = stated.map(Ohms));
            assert_eq!(not_covered(&pickup, readings.clone()), why, "{active:?} {stated:?} {readings:?}");
        }
    }
}
