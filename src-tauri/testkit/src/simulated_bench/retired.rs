//! Benches on which something is mended, or said to be, after it was measured: what was read before is retired.

use chrono::{DateTime, TimeDelta, Utc};
use solderlast_core::audition::Audition;
use solderlast_core::physics::meter::{Cause, DiagnosisKind, Taken, diagnose};
use solderlast_core::record::audition::AuditionId;
use solderlast_core::record::body::{AuditionBody, Body};
use solderlast_core::record::entry::{About, Entry, Written, in_order};
use solderlast_core::record::meter::Probe;
use solderlast_core::record::names::{BenchId, EntryId};
use uuid::Uuid;

use super::bench::PretendedBench;
use super::oracle;
use super::tally::Tally;
use crate::Chance;

/// Everything that is written of one audition.
#[derive(Default)]
struct Ink(Vec<Entry>);

impl Ink {
    fn write(&mut self, body: Body) {
        let number = self.0.len() as u128 + 1;
        self.0.push(Entry {
            id: EntryId(Uuid::from_u128(number)),
            at: DateTime::<Utc>::UNIX_EPOCH + TimeDelta::seconds(self.0.len() as i64),
            bench: BenchId(Uuid::from_u128(7)),
            about: About::Audition(AuditionId(Uuid::from_u128(9))),
            body: Written::Known(body),
        });
    }

    fn read(&mut self, taken: &Taken) {
        let Probe::Output { mode, .. } = &taken.probe else { return };
        let (mode, reading) = (mode.clone(), taken.reading);
        self.write(Body::Audition(AuditionBody::ReadingTaken {
            mode,
            reading,
            typed: String::new(),
            room: None,
            sure: false,
        }));
    }

    /// What still counts of it.
    fn evidence(&self) -> Vec<Taken> {
        let audition = Audition::fold(&in_order(self.0.clone()));
        audition.evidence.into_iter().map(|saved| saved.said).collect()
    }
}

/// Reads the modes, mends what is wrong or only says so, and reads them again one by one.
pub fn mended(tally: &mut Tally, chance: &mut Chance, bench: &PretendedBench, before: &[Taken]) {
    // A reading that was taken wrongly is taken anew, and needs no repair.
    let on_the_rig = |cause: &Cause| {
        !matches!(
            cause,
            Cause::OtherPosition { .. }
                | Cause::WrongRange { .. }
                | Cause::RangeTooLow { .. }
                | Cause::Fingers { .. }
                | Cause::NotAsStated
        )
    };
    if !bench.wrong.iter().all(on_the_rig) {
        return;
    }
    let really = chance.below(2) == 0;
    let after = bench.with(if really { Vec::new() } else { bench.wrong.clone() });
    let mut ink = Ink::default();
    before.iter().for_each(|taken| ink.read(taken));
    ink.write(Body::Audition(AuditionBody::Mended { what: String::new() }));
    let anew = after.modes(chance);
    for (count, taken) in anew.iter().enumerate() {
        ink.read(taken);
        let evidence = ink.evidence();
        if evidence != anew[..=count] {
            tally.from_before += 1;
        }
        let found = diagnose(&after.case(&evidence));
        if found.kind == DiagnosisKind::AllWell && count + 1 < anew.len() {
            tally.from_before += 1;
        }
        if count + 1 == anew.len() {
            let well = found.kind == DiagnosisKind::AllWell;
            if really {
                tally.mended[0] += usize::from(well);
                tally.mended[1] += 1;
            } else if oracle::beyond_the_band(&after, &anew) {
                tally.mended_badly += 1;
                tally.mended_missed += usize::from(well);
            }
        }
    }
}
