//! What the meter read, mode by mode, and what it comes to.

use super::terminals;
use crate::audition::fold::{Audition, MEASURED_AGAIN};
use crate::audition::judged::{agreement, beside, diagnosis, meter_verdict};
use crate::audition::kit::{Kit, hookup_or_meant};
use crate::audition::page::{MeterView, ModeReading, ProbedLine};
use crate::physics::meter::{self, ModeExpectation};
use crate::record::claim::Meter;
use crate::record::meter::{Care, Probe};
use crate::record::quantity::Reading;
use crate::record::rig::Mode;
use crate::record::verdict::{Verdict, VerdictKind};

/// Asks whether something was mended, where a mode reads other than the meter's claim allows against before.
fn mended(audition: &Audition, meter: &Meter) -> Option<String> {
    let apart = |a: Reading, b: Reading| match (a.ohms(), b.ohms()) {
        (Some(a), Some(b)) => (a.0 - b.0).abs() > meter.claim(a).0 + meter.claim(b).0,
        (None, None) => false,
        (Some(_), None) | (None, Some(_)) => true,
    };
    let (mode, old, new) = audition.readings.iter().find_map(|(mode, now)| {
        let was = audition.before.iter().rev().find(|saved| {
            saved.said.since == MEASURED_AGAIN
                && matches!(&saved.said.taken.probe, Probe::Output { mode: of, .. } if of == mode)
        })?;
        let (old, new) = (was.said.taken.reading, now.said.reading);
        let others = audition.readings.iter().any(|(other, taken)| other != mode && taken.at < now.at);
        // A slip of the pen that was put right is no repair.
        let ratio = old.ohms().zip(new.ohms()).map(|(old, new)| (old.0 / new.0).log10().abs());
        let slip = ratio.is_some_and(|ratio| ratio > 0.9 && (ratio - ratio.round()).abs() < 0.05);
        (others && !slip && apart(old, new)).then_some((mode, old, new))
    })?;
    Some(format!(
        "{} read {} before, and reads {} now. If something was mended in between, the other modes have to be measured again.",
        crate::record::words::capital(&mode.0),
        old.shown(),
        new.shown()
    ))
}

/// Whether the pickup's record says what a coil hardly has: then no reading is asked about for its sake.
fn record_doubted(kit: &Kit) -> bool {
    let mut stated = kit.pickup.iter().flat_map(|pickup| &pickup.coils).filter_map(|coil| coil.stated);
    stated.any(meter::is_doubtful)
}

/// Whether a reading agrees, in a word.
fn in_a_word(kind: meter::AgreementKind) -> (VerdictKind, &'static str) {
    match kind {
        meter::AgreementKind::Agrees => (VerdictKind::Good, "Agrees"),
        meter::AgreementKind::DoesNotAgree => (VerdictKind::Bad, "Does not agree"),
        meter::AgreementKind::CantSay | meter::AgreementKind::NothingYet => (VerdictKind::Unsure, "Can't say yet"),
    }
}

pub(super) fn meter_view(audition: &Audition, kit: &Kit) -> MeterView {
    let room = audition.readings.values().filter_map(|taken| taken.said.room).next_back();
    let mut modes = Vec::new();
    let agreement = agreement(audition, kit);
    if let (Some(rig), Some(choice)) = (&kit.rig, &audition.choice) {
        let joined = hookup_or_meant(audition, kit);
        let expected = |mode: &Mode| {
            let (claim, beside) = (&kit.meter.claim, beside(audition, kit, mode));
            let pickup = kit.pickup.as_ref()?;
            let all = meter::expected_beside(pickup, &joined, rig, claim, room, &kit.measured, &beside);
            all.into_iter().find(|expectation| &expectation.mode == mode)
        };
        let stated = kit.pickup.iter().flat_map(|pickup| meter::expected(pickup, &joined, rig, &kit.meter.claim, room));
        let stated: Vec<ModeExpectation> = stated.collect();
        // What is shown as expected is what a reading is told beside, also where coils that were measured tell it closer.
        let closer = |expected: &ModeExpectation| {
            let stated = stated.iter().find(|stated| stated.mode == expected.mode);
            stated.is_some_and(|stated| stated.shown.is_some() && stated.shown != expected.shown)
        };
        for position in rig.positions.iter().filter(|position| choice.said.modes.contains(&position.mode)) {
            let taken = audition.readings.get(&position.mode);
            let expected = expected(&position.mode);
            let verdict = agreement
                .as_ref()
                .filter(|_| taken.is_some())
                .and_then(|agreement| agreement.per_mode.iter().find(|verdict| verdict.mode == position.mode))
                .map(|verdict| {
                    let measured = expected
                        .as_ref()
                        .filter(|expected| verdict.kind == meter::AgreementKind::Agrees && closer(expected))
                        .and_then(|expected| meter::beside_measured(taken?.said.reading, expected));
                    let (kind, word) = in_a_word(verdict.kind);
                    Verdict::new(kind, word, measured.unwrap_or_else(|| verdict.sentence.clone()))
                });
            modes.push(ModeReading {
                plausible: expected
                    .as_ref()
                    .filter(|_| !record_doubted(kit))
                    .and_then(|one| one.low.zip(one.high))
                    .map(|(low, high)| [low, high]),
                mode: position.mode.clone(),
                bonds: position.bonds.clone(),
                output: position.output,
                expected,
                reading: taken.map(|taken| taken.said.reading.shown()),
                entry: taken.map(|taken| taken.entry),
                verdict,
            });
        }
    }
    MeterView {
        verdict: meter_verdict(audition, kit, agreement.as_ref()),
        modes,
        diagnosis: diagnosis(audition, kit),
        probed: audition
            .evidence
            .iter()
            .filter(|saved| !matches!(saved.said.probe, Probe::Output { care: Care::AsUsual, .. }))
            .map(|saved| ProbedLine {
                entry: saved.entry,
                words: saved.said.probe.in_words_with(terminals(kit)),
                reading: saved.said.reading.shown(),
            })
            .collect(),
        before: audition
            .before
            .iter()
            .map(|saved| ProbedLine {
                entry: saved.entry,
                words: format!("{}, before {}", saved.said.taken.probe.in_words_with(terminals(kit)), saved.said.since),
                reading: saved.said.taken.reading.shown(),
            })
            .collect(),
        mended: mended(audition, &kit.meter.claim),
        meter: format!("{}, {}", kit.meter.label, kit.meter.claim.shown()),
        cannot_show: meter::CANNOT_SHOW.to_owned(),
        room: room.map(|room| room.shown()),
    }
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;
    use uuid::Uuid;

    use super::*;
    use crate::audition::Saved;
    use crate::audition::fold::MeterRead;
    use crate::comparison::invented::{day, usual};
    use crate::physics::meter::ImpliedCoil;
    use crate::record::names::EntryId;
    use crate::record::pickup::{CoilName, Construction};
    use crate::record::quantity::Ohms;
    use crate::record::rig::Rig;
    use solderlast_testkit::invented;

    /// Whatever was stated, measured and read, a reading that agrees is told beside the figure that is shown as expected.
    #[test]
    fn one_expectation_for_one_mode() {
        let mut told_closer = 0;
        for (stated, measured, read) in [
            (Some(4100.0), Some(4140.0), 8250.0),
            (Some(4100.0), Some(4140.0), 8900.0),
            (Some(4100.0), Some(4100.0), 8250.0),
            (Some(4100.0), None, 8250.0),
            (None, Some(4140.0), 8250.0),
        ] {
            let mut pickup = invented::pickup(Construction::SideBySide);
            pickup.coils.iter_mut().for_each(|coil| coil.stated = stated.map(Ohms));
            let measured = measured.into_iter().flat_map(|ohms| {
                [CoilName::A, CoilName::B].map(|coil| ImpliedCoil {
                    coil,
                    ohms: Ohms(ohms),
                    within: Ohms(40.0),
                    at_20: true,
                    shown: String::new(),
                })
            });
            let kit = Kit {
                pickup: Some(pickup),
                rig: Some(Rig::four_terminal("Shelf rig")),
                measured: measured.collect(),
                ..Kit::default()
            };
            let (entry, at) = (EntryId(Uuid::nil()), DateTime::UNIX_EPOCH);
            let reading = MeterRead { reading: Reading::Ohms(Ohms(read)), typed: String::new(), room: None };
            let audition = Audition {
                choice: usual(1, day(0)).choice.map(|said| Saved { entry, at, said }),
                readings: [(Mode::new("series"), Saved { entry, at, said: reading })].into(),
                ..Audition::default()
            };
            let view = meter_view(&audition, &kit);
            let series = view.modes.iter().find(|mode| mode.mode == Mode::new("series")).expect("it was chosen");
            let sentence = series.verdict.as_ref().map(|verdict| verdict.sentence.clone()).unwrap_or_default();
            if sentence.contains("to be expected") {
                let shown = series.expected.as_ref().and_then(|expected| expected.shown.clone()).unwrap_or_default();
                assert!(sentence.contains(&shown), "{stated:?} {read}: expected {shown}. {sentence}");
                told_closer += usize::from(sentence.contains("as they were measured"));
            }
        }
        assert_eq!(told_closer, 2);
    }
}
