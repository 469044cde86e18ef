//! The health of a pickup over its life: its coils at 20 °C from every audition, and whether one has drifted.
//!
//! Two visits differ for a reason only where their bands do not meet: each band is the meter's claim at its worst, and where
//! the room was not measured, 10 °C either way (copper, 0.00393 per °C, IEC 60028).

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{Agreement, AgreementKind, COPPER_PER_DEGREE, ImpliedCoil, ROOM_WITHIN};
use crate::record::pickup::CoilName;
use crate::record::quantity::Ohms;

/// What one audition found, or what was read between the leads in one go.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// When.
    pub at: DateTime<Utc>,
    /// What the readings came to.
    pub agreement: Agreement,
}

/// A pickup over its life.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct Health {
    /// The verdict.
    pub kind: HealthKind,
    /// The verdict in words.
    pub sentence: String,
    /// One a coil that was ever told.
    pub coils: Vec<CoilHealth>,
    /// How many auditions were left out, because their readings did not agree or told no coil.
    pub left_out: u32,
}

/// How a pickup has fared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/meter.ts")]
pub enum HealthKind {
    /// Fewer than two readings of any coil.
    TooFew,
    /// No coil has left its band.
    Steady,
    /// A coil has left its band, and was still out of it at the last visit.
    Drifted,
    /// A coil was out of its band once, but is back in it.
    OnceOff,
}

/// One coil over its life.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct CoilHealth {
    /// Which coil.
    pub coil: CoilName,
    /// Its visits, the oldest first.
    pub points: Vec<HealthPoint>,
    /// The band of its first visit, in ohms: what later ones are held against.
    pub band: [Ohms; 2],
    /// How it has fared.
    pub kind: HealthKind,
    /// In words.
    pub sentence: String,
}

/// One visit of a coil.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct HealthPoint {
    /// When.
    pub at: DateTime<Utc>,
    /// At 20 °C, in ohms.
    pub ohms: Ohms,
    /// The least and the most that it may have been, in ohms.
    pub band: [Ohms; 2],
    /// Shown.
    pub shown: String,
    /// How far it lies from the first visit, in times of what meter and room allow; above one has drifted.
    pub times_the_band: f64,
}

/// How far a coil at 20 °C may lie from what was found, in ohms: with the room, where nobody measured that.
#[must_use]
pub fn within_at_20(coil: &ImpliedCoil) -> f64 {
    coil.within.0 + if coil.at_20 { 0.0 } else { coil.ohms.0 * COPPER_PER_DEGREE * ROOM_WITHIN }
}

/// A coil at 20 °C in words, as all that tells of its life tells it: `4.04 kΩ ± 240 Ω`.
#[must_use]
pub fn shown_at_20(coil: &ImpliedCoil) -> String {
    shown(coil.ohms.0, within_at_20(coil))
}

fn shown(ohms: f64, within: f64) -> String {
    format!("{} ± {}", super::agree::digits(ohms, 2), super::agree::digits(within, 1))
}

/// Draws a pickup's readings together over time.
#[must_use]
pub fn health(visits: &[Visit]) -> Health {
    let mut visits: Vec<&Visit> = visits.iter().collect();
    visits.sort_by_key(|visit| visit.at);
    let tells =
        |visit: &&&Visit| visit.agreement.kind != AgreementKind::DoesNotAgree && !visit.agreement.implied.is_empty();
    let left_out = visits.iter().filter(|visit| !tells(visit)).count();
    let coils: Vec<CoilHealth> = CoilName::ALL
        .into_iter()
        .filter_map(|name| {
            let seen = visits.iter().filter(tells).filter_map(|visit| {
                let coil = visit.agreement.implied.iter().find(|coil| coil.coil == name)?;
                Some((visit.at, coil.ohms.0, within_at_20(coil)))
            });
            one_coil(name, &seen.collect::<Vec<_>>())
        })
        .collect();
    let kind = coils.iter().map(|coil| coil.kind).max_by_key(|kind| gravity(*kind)).unwrap_or(HealthKind::TooFew);
    let worst: Vec<&str> = coils.iter().filter(|coil| coil.kind == kind).map(|coil| coil.sentence.as_str()).collect();
    let sentence = match kind {
        HealthKind::TooFew => "Too few readings yet to say how this pickup fares.".to_owned(),
        HealthKind::Steady => {
            "Steady: every coil reads as it did at first, as far as meter and room can tell.".to_owned()
        }
        HealthKind::Drifted | HealthKind::OnceOff => worst.join(" "),
    };
    Health { kind, sentence, coils, left_out: u32::try_from(left_out).unwrap_or(u32::MAX) }
}

fn gravity(kind: HealthKind) -> u8 {
    match kind {
        HealthKind::TooFew => 0,
        HealthKind::Steady => 1,
        HealthKind::OnceOff => 2,
        HealthKind::Drifted => 3,
    }
}

fn one_coil(coil: CoilName, seen: &[(DateTime<Utc>, f64, f64)]) -> Option<CoilHealth> {
    let (first_at, first, first_within) = *seen.first()?;
    let points: Vec<HealthPoint> = seen
        .iter()
        .map(|(at, ohms, within)| HealthPoint {
            at: *at,
            ohms: Ohms(*ohms),
            band: [Ohms(ohms - within), Ohms(ohms + within)],
            shown: shown(*ohms, *within),
            times_the_band: (ohms - first).abs() / (first_within + within).max(f64::MIN_POSITIVE),
        })
        .collect();
    let letter = coil.letter();
    let off = points.iter().rev().find(|point| point.times_the_band > 1.0);
    let last = points.last()?;
    let day = |at: DateTime<Utc>| at.format("%-d %b %Y").to_string();
    let (kind, sentence) = match off {
        _ if points.len() < 2 => (
            HealthKind::TooFew,
            format!("Coil {letter}: one reading so far, {} on {}.", points[0].shown, day(first_at)),
        ),
        None => (
            HealthKind::Steady,
            format!("Coil {letter}: steady over {} readings since {}.", points.len(), day(first_at)),
        ),
        Some(off) if off.at == last.at => {
            let more = off.ohms.0 > first;
            let why = if more {
                "A joint or a lead that goes bad reads higher."
            } else {
                "Turns that touch each other, or a coil end that touches the shield, read lower."
            };
            let sentence = format!(
                "Coil {letter} has drifted: {} on {}, {} on {}. That is {:+.1} %, {:.1} times what meter and room allow. {why} \
                 Measure it again on its bare leads.",
                points[0].shown,
                day(first_at),
                off.shown,
                day(off.at),
                (off.ohms.0 / first - 1.0) * 100.0,
                off.times_the_band
            );
            (HealthKind::Drifted, sentence)
        }
        Some(off) => (
            HealthKind::OnceOff,
            format!(
                "Coil {letter} read {} on {}, off its {}; it has been back since. A clamp or a joint may come and go.",
                off.shown,
                day(off.at),
                points[0].shown
            ),
        ),
    };
    Some(CoilHealth { coil, band: [Ohms(first - first_within), Ohms(first + first_within)], points, kind, sentence })
}

#[cfg(test)]
mod tests {
    use chrono::TimeDelta;
    use proptest::prelude::*;

    use super::*;

    fn visit(day: i64, coils: &[(CoilName, f64, bool)], kind: AgreementKind) -> Visit {
        let implied = coils
            .iter()
            .map(|(coil, ohms, at_20)| ImpliedCoil {
                coil: *coil,
                ohms: Ohms(*ohms),
                within: Ohms(ohms * 0.015),
                at_20: *at_20,
                shown: String::new(),
            })
            .collect();
        let start = DateTime::from_timestamp(1_700_000_000, 0).unwrap_or_default();
        Visit {
            at: start + TimeDelta::days(day),
            agreement: Agreement {
                kind,
                sentence: String::new(),
                per_mode: Vec::new(),
                implied,
                times_the_band: None,
                explained: true,
            },
        }
    }

    fn of(readings: &[(f64, bool)]) -> Health {
        let visits: Vec<Visit> = (0..)
            .zip(readings)
            .map(|(day, (ohms, at_20))| visit(day, &[(CoilName::A, *ohms, *at_20)], AgreementKind::Agrees))
            .collect();
        health(&visits)
    }

    #[test]
    fn bench_cases() {
        use HealthKind::{Drifted, OnceOff, Steady, TooFew};
        for (what, readings, kind, part) in [
            ("nothing", &[][..], TooFew, "Too few"),
            ("one", &[(6660.0, true)], TooFew, "Too few"),
            ("the same", &[(6660.0, true), (6680.0, true), (6600.0, true)], Steady, "Steady"),
            ("at the edge of both bands", &[(6660.0, true), (6860.0, true)], Steady, "Steady"),
            ("a joint goes bad", &[(6660.0, true), (6670.0, true), (7100.0, true)], Drifted, "reads higher"),
            ("turns touch", &[(6660.0, true), (5900.0, true)], Drifted, "read lower"),
            ("once off", &[(6660.0, true), (7100.0, true), (6650.0, true)], OnceOff, "back since"),
            ("a room nobody measured", &[(6660.0, false), (7000.0, false)], Steady, "Steady"),
            ("more than a room can do", &[(6660.0, false), (7700.0, false)], Drifted, "+15.6 %"),
        ] {
            let health = of(readings);
            assert_eq!(health.kind, kind, "{what}: {health:?}");
            assert!(health.sentence.contains(part), "{what}: {}", health.sentence);
        }
    }

    #[test]
    fn readings_that_do_not_agree_are_left_out_and_counted() {
        let visits = [
            visit(3, &[(CoilName::A, 9000.0, true)], AgreementKind::DoesNotAgree),
            visit(0, &[(CoilName::A, 6660.0, true), (CoilName::B, 6700.0, true)], AgreementKind::Agrees),
            visit(5, &[], AgreementKind::CantSay),
            visit(9, &[(CoilName::A, 6650.0, true)], AgreementKind::CantSay),
        ];
        let health = health(&visits);
        assert_eq!((health.kind, health.left_out, health.coils.len()), (HealthKind::Steady, 2, 2));
        assert_eq!(health.coils[0].points.len(), 2);
    }

    proptest! {
        /// The order in which auditions come in does not matter.
        #[test]
        fn any_order_of_visits(days in prop::collection::hash_set(0_i64..1000, 1..8), seed in any::<u32>()) {
            let mut visits: Vec<Visit> = days
                .iter()
                .map(|day| {
                    let ohms = 6000.0 + f64::from((seed ^ *day as u32) % 900);
                    visit(*day, &[(CoilName::A, ohms, true)], AgreementKind::Agrees)
                })
                .collect();
            let one = health(&visits);
            visits.reverse();
            prop_assert_eq!(one, health(&visits));
        }
    }
}
