//! What a pickup's coils are to sound, folded from what was measured of them.

use chrono::{DateTime, TimeDelta, Utc};

use crate::physics::measured::{Against, Fault, Measured, Told, measured, shorted_turn};
use crate::physics::meter::{ImpliedCoil, digits};
use crate::physics::recent::Recent;
use crate::record::body::{Body, MeasuredBody};
use crate::record::entry::Entry;
use crate::record::measured::{ComponentValue, Metered, Swept};
use crate::record::pickup::{CoilName, Construction, Pickup};
use crate::record::quantity::Ohms;
use crate::record::things::Thing;

/// What was measured without such a pause was measured in one go.
const PAUSE: TimeDelta = TimeDelta::hours(6);

/// What was worked out lately, from all that it follows from.
static LATELY: Recent<(Vec<CoilName>, Vec<Told>), Option<Measured>> = Recent::new();

/// What was measured of a pickup, as far as it counts.
#[derive(Debug, Clone, PartialEq)]
pub struct OfPickup {
    /// What its coils are.
    pub measured: Measured,
    /// What is wrong, the fit's own faults among it.
    pub faults: Vec<Fault>,
    /// When the last of what counts was measured.
    pub at: DateTime<Utc>,
    /// All of what counts, with its time.
    pub told: Vec<(DateTime<Utc>, Told)>,
    /// Whether what was measured before that no longer counts, as a coil is no longer what it was.
    pub only_since: bool,
}

/// From the entries about a pickup, as [`crate::record::entry::in_order`] sorts them. All that was ever measured counts together,
/// unless turns of a coil look shorted since the last time; then what was measured before no longer does.
#[must_use]
pub fn of(ordered: &[(Entry, bool)]) -> Option<OfPickup> {
    let pickup = Thing::<Pickup>::fold(ordered)?.described;
    let coils: Vec<CoilName> = pickup.coils.iter().map(|coil| coil.name).collect();
    let told = told(ordered);
    // What somebody read counts, not what a record says beside it.
    let read = |coil: CoilName| {
        told.iter().any(|(_, one)| matches!(one, Told::Metered(Metered { coil: of, value: ComponentValue::Resistance { .. }, .. }) if *of == coil))
    };
    let stated = pickup.coils.iter().filter(|coil| !read(coil.name));
    let stated: Vec<Told> = stated.filter_map(|coil| Some(Told::Stated(coil.name, coil.stated?))).collect();
    let (at, _) = told.last()?;
    let began = told.windows(2).rposition(|pair| pair[1].0 - pair[0].0 > PAUSE).map(|pair| pair + 1);
    let of = |told: &[(DateTime<Utc>, Told)]| {
        let all: Vec<Told> = told.iter().map(|(_, one)| one.clone()).chain(stated.iter().cloned()).collect();
        LATELY.find_or((coils.clone(), all), |(coils, all)| measured(coils, all))
    };
    let earlier = began.map(|began| told.split_at(began)).and_then(|(before, counts)| {
        let (before, since) = (of(before)?, of(counts)?);
        let shorted = since.coils.iter().filter_map(|now| shorted_turn(now, before.coil(now.coil)?, Against::Earlier));
        let shorted: Vec<Fault> = shorted.collect();
        (!shorted.is_empty()).then_some((since, shorted, counts.to_vec()))
    });
    let only_since = earlier.is_some();
    let (found, mut faults, counts) = match earlier {
        Some(earlier) => earlier,
        None => (of(&told)?, Vec::new(), told.clone()),
    };
    if faults.is_empty()
        && matches!(pickup.construction, Construction::SideBySide | Construction::Rail | Construction::Mini)
    {
        faults.extend(twins(&found));
    }
    faults.extend(found.faults.iter().cloned());
    Some(OfPickup { measured: found, faults, at: *at, told: counts, only_since })
}

/// The resistance of each coil by what was measured of its sound, as far as that tells it within a tenth: for where no meter told it
/// at the leads.
#[must_use]
pub fn ohms_of(found: &Measured) -> Vec<ImpliedCoil> {
    let close = found.coils.iter().filter_map(|coil| {
        let ohms = coil.ohms?;
        let within = (ohms.high - ohms.value).max(ohms.value - ohms.low);
        (within <= 0.1 * ohms.value).then(|| ImpliedCoil {
            coil: coil.coil,
            ohms: Ohms(ohms.value),
            within: Ohms(within),
            at_20: false,
            shown: digits(ohms.value, 2),
        })
    });
    close.collect()
}

/// What the values of a coil rest on, in words: `2 sweeps, 1 of them with a capacitor; 1 value of a component meter`. `coils` is how many
/// the pickup has; of no coil in particular, what was swept through all of them counts.
#[must_use]
pub fn rests_on(told: &[(DateTime<Utc>, Told)], coil: Option<CoilName>, coils: usize) -> String {
    let through = |swept: &&Swept| match (coil, swept.coil) {
        (None, of) => of.is_none(),
        (Some(_), None) => true,
        (Some(coil), Some(of)) => of == coil,
    };
    let all = told.iter().filter_map(|(_, one)| match one {
        Told::Swept(swept) => Some(swept),
        Told::Metered(_) | Told::Rung(_) | Told::Stated(..) => None,
    });
    let swept: Vec<&Swept> = all.filter(through).collect();
    let count = |count: usize, one: &str| if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") };
    let mut parts = Vec::new();
    if !swept.is_empty() {
        let with = swept.iter().filter(|swept| swept.added.is_some()).count();
        let row = swept.iter().filter(|swept| swept.coil.is_none() && coils > 1).count();
        let mut words = count(swept.len(), "sweep");
        if with > 0 {
            words.push_str(&format!(", {with} of them with a capacitor"));
        }
        if row > 0 {
            words.push_str(&format!(", {row} of them through all coils"));
        }
        parts.push(words);
    }
    let rung =
        told.iter().filter(|(_, one)| matches!(one, Told::Rung(rung) if coil.is_some_and(|coil| coil == rung.coil)));
    match rung.count() {
        0 => {}
        rung => parts.push(count(rung, "ringing")),
    }
    let of_coil = |one: &&(DateTime<Utc>, Told)| matches!(&one.1, Told::Metered(metered) if Some(metered.coil) == coil);
    match told.iter().filter(of_coil).count() {
        0 => {}
        values => parts.push(format!("{} of a component meter", count(values, "value"))),
    }
    parts.join("; ")
}

/// Each coil held against the others of its pickup.
fn twins(found: &Measured) -> Option<Fault> {
    let pairs = found.coils.iter().flat_map(|one| found.coils.iter().map(move |other| (one, other)));
    pairs.filter(|(one, other)| one.coil != other.coil).find_map(|(one, other)| shorted_turn(one, other, Against::Twin))
}

/// All that was measured, with its time.
pub(crate) fn told(ordered: &[(Entry, bool)]) -> Vec<(DateTime<Utc>, Told)> {
    let standing = ordered.iter().filter(|(_, struck)| !struck);
    standing
        .filter_map(|(entry, _)| {
            let Some(Body::Measured(body)) = entry.body.known() else { return None };
            let told = match body {
                MeasuredBody::CoilSwept { swept } => Told::Swept(swept.clone()),
                MeasuredBody::CoilRung { rung } => Told::Rung(*rung),
                MeasuredBody::ComponentMetered { metered, .. } => Told::Metered(*metered),
            };
            Some((entry.at, told))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::record::body::{StrikeBody, ThingBody};
    use crate::record::entry::{About, Written, in_order};
    use crate::record::names::{BenchId, EntryId};
    use crate::record::pickup::{Coil, PickupId};
    use crate::record::quantity::{Henries, Hertz, Ohms};

    fn entry(number: u128, hours: i64, body: Body) -> Entry {
        Entry {
            id: EntryId(Uuid::from_u128(number)),
            at: DateTime::from_timestamp(hours * 3600, 0).unwrap_or_default(),
            bench: BenchId(Uuid::from_u128(9)),
            about: About::Pickup(PickupId(Uuid::from_u128(5))),
            body: Written::Known(body),
        }
    }

    fn metered(coil: CoilName, henries: f64) -> [Body; 2] {
        let inductance = ComponentValue::Inductance { henries: Henries(henries), at: Hertz(1000.0) };
        let resistance = ComponentValue::Resistance { ohms: Ohms(7000.0) };
        [inductance, resistance].map(|value| {
            let metered = Metered { coil, value, within: 0.005 };
            Body::Measured(MeasuredBody::ComponentMetered { metered, typed: String::new() })
        })
    }

    fn two_coils() -> Body {
        let mut pickup = Pickup::new("Marsh bell", Construction::SideBySide);
        pickup.coils = [CoilName::A, CoilName::B].map(|name| Coil { name, stated: None, magnet_up: None }).to_vec();
        Body::Thing(ThingBody::PickupDescribed { pickup })
    }

    fn of_all(bodies: &[(i64, Body)]) -> Option<OfPickup> {
        let entries = (1..).zip(bodies).map(|(number, (hours, body))| entry(number, *hours, body.clone()));
        of(&in_order(entries))
    }

    #[test]
    fn a_coil_that_lost_inductance_is_named_and_only_the_new_values_count() {
        let mut bodies = vec![(0, two_coils())];
        bodies.extend(metered(CoilName::A, 2.5).map(|body| (1, body)));
        let before = of_all(&bodies).expect("it is measured");
        assert!(before.faults.is_empty() && !before.only_since, "{before:?}");
        // The same a day later, the same less a chance, and less by more than that.
        for (henries, named) in [(2.5, false), (2.48, false), (2.2, true)] {
            let mut later = bodies.clone();
            later.extend(metered(CoilName::A, henries).map(|body| (30, body)));
            let now = of_all(&later).expect("it is measured");
            assert_eq!(now.only_since, named, "{henries}: {now:?}");
            let [against] = now.faults.as_slice() else {
                assert!(!named, "{now:?}");
                continue;
            };
            assert!(matches!(against, Fault::ShortedTurn { against: Against::Earlier, coil: CoilName::A, .. }));
            // Struck out, it never was.
            let first = EntryId(Uuid::from_u128(4));
            later.push((31, Body::Strike(StrikeBody::StruckOut { entry: first, why: String::new() })));
            assert!(!of_all(&later).expect("it is measured").only_since);
        }
    }

    #[test]
    fn a_coil_is_held_against_its_twin() {
        for (other, named) in [(2.5, false), (2.45, false), (2.2, true)] {
            let mut bodies = vec![(0, two_coils())];
            bodies
                .extend(metered(CoilName::A, 2.5).into_iter().chain(metered(CoilName::B, other)).map(|body| (1, body)));
            let found = of_all(&bodies).expect("it is measured");
            assert_eq!(found.faults.len(), usize::from(named), "{other}: {found:?}");
            assert!(
                found.measured.coil(CoilName::B).is_some_and(|coil| (coil.henries.value / other - 1.0).abs() < 0.02)
            );
        }
    }

    #[test]
    fn nothing_is_known_of_what_was_not_measured() {
        assert!(of(&[]).is_none());
        assert!(of_all(&[(0, two_coils())]).is_none());
        let bodies: Vec<_> = metered(CoilName::A, 2.5).into_iter().map(|body| (0, body)).collect();
        assert!(of_all(&bodies).is_none(), "nobody described the pickup");
    }
}
