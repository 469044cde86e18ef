//! Simulated installs: random pickups, guitars and switches, one mistake or none, and a meter that errs within its claim,
//! against what the proof says.

pub mod guitar;
mod oracle;

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use guitar::Guitar;
use solderlast_core::physics::meter::DiagnosisKind;
use solderlast_core::physics::wiring::{
    InstallCause, JackTaken, Proof, install_causes, install_outcomes, install_probes, prove,
};
use solderlast_core::record::wiring::JackProbe;

use crate::Chance;
use crate::simulated_bench::processor;

/// After this many measurements beside the positions, one gives up.
const MOST_MORE: usize = 10;

/// What a run counted.
#[derive(Debug, Default)]
pub struct Tally {
    /// Installs with nothing wrong.
    pub good: usize,
    /// Installs with one mistake.
    pub bad: usize,
    /// Good installs in which something was said to be wrong.
    pub false_alarms: usize,
    /// Installs whose readings leave the band.
    pub off: usize,
    /// Of those, the ones that were passed.
    pub passed: usize,
    /// Mistakes that the readings tell apart from every other cause.
    pub told_apart: usize,
    /// Of those, the ones ranked first.
    pub right: usize,
    /// Mistakes off the band whose cause is among the first suspect and those alike.
    pub among_first: usize,
    /// Mistakes that need a measurement more.
    pub open: usize,
    /// Measurements taken as suggested; causes named in the end; those of them that are right.
    pub suggested: [usize; 3],
    /// The same with measurements by chance.
    pub random: [usize; 3],
    /// Mistakes within the band: no reading at the jack can show them.
    pub unseen: usize,
    /// By how sure the first suspect was said to be, after the positions and at the end of each chain of measurements: how
    /// often, and how often it was right.
    pub sure: BTreeMap<String, [usize; 2]>,
    /// Wrong verdicts with their installs, for looking into.
    pub wrong: Vec<String>,
    /// Times of one whole proof.
    pub times: Vec<Duration>,
    /// The same by the processor.
    pub processor: Vec<Duration>,
    /// Times of finding one wiring.
    pub wiring_times: Vec<Duration>,
}

/// Runs this many installs, each in a guitar that `make` makes.
pub fn run(make: fn(&mut Chance) -> Guitar, count: usize, seed: u64) -> Tally {
    let mut chance = Chance(seed);
    let mut tally = Tally::default();
    for _ in 0..count {
        let mut guitar = make(&mut chance);
        tally.wiring_times.push(guitar.wiring_took);
        if chance.below(3) > 0 {
            let wrong = draw(&mut chance, &guitar);
            guitar.spoil(&mut chance, wrong);
        }
        one(&mut tally, &mut chance, &guitar);
    }
    tally
}

/// One cause: kinds are drawn evenly, so that the many wrong lugs are not all there is.
fn draw(chance: &mut Chance, guitar: &Guitar) -> InstallCause {
    let mut kinds: Vec<Vec<InstallCause>> = Vec::new();
    for cause in install_causes(&guitar.install()) {
        let same = |kind: &&mut Vec<InstallCause>| std::mem::discriminant(&kind[0]) == std::mem::discriminant(&cause);
        match kinds.iter_mut().find(same) {
            Some(kind) => kind.push(cause),
            None => kinds.push(vec![cause]),
        }
    }
    let kind = chance.below(kinds.len());
    chance.pick(&kinds[kind]).clone()
}

fn one(tally: &mut Tally, chance: &mut Chance, guitar: &Guitar) {
    let install = guitar.install();
    let probes: Vec<JackProbe> = prove(&install, &[]).left.into_iter().map(|set| JackProbe::Jack { set }).collect();
    let taken: Vec<JackTaken> = probes.iter().map(|probe| guitar.read(chance, probe, false)).collect();
    let (start, before) = (Instant::now(), processor());
    let found = prove(&install, &taken);
    tally.times.push(start.elapsed());
    tally.processor.push(processor().saturating_sub(before));
    let off = found.readings.iter().any(|line| line.agrees == Some(false));
    let passed = found.kind == DiagnosisKind::AllWell || found.kind == DiagnosisKind::NotEnough;
    tally.off += usize::from(off);
    if off && passed {
        tally.passed += 1;
        tally.wrong.push(format!("passed: {:?}", guitar.wrong));
    }
    let Some(wrong) = &guitar.wrong else {
        tally.good += 1;
        if !passed {
            tally.false_alarms += 1;
            tally.wrong.push(format!("false alarm: {:?} {:#?}", guitar.given, found));
        }
        return;
    };
    tally.bad += 1;
    if !off {
        tally.unseen += 1;
        return;
    }
    weigh(tally, &found, guitar);
    let first = found.ranked.first();
    let is_first = first.is_some_and(|first| first.causes.first() == Some(wrong));
    let exact: Vec<Option<f64>> = probes.iter().map(|probe| guitar.exact(guitar.wrong.as_ref(), probe)).collect();
    let others = install_outcomes(&install, &probes);
    let could_be = |(other, seen): &(Option<InstallCause>, Vec<_>)| {
        other.as_ref() != Some(wrong) && oracle::could_be(guitar, other.as_ref(), seen, &exact)
    };
    if !others.iter().any(could_be) {
        tally.told_apart += 1;
        if is_first {
            tally.right += 1;
        } else {
            tally.wrong.push(format!(
                "ranked wrongly: {wrong:?} {:?} {:?}: {:?}",
                guitar.given,
                taken.iter().map(|taken| taken.reading).collect::<Vec<_>>(),
                first.map(|first| (&first.causes, first.share))
            ));
        }
    }
    let one = vec![wrong.clone()];
    tally.among_first +=
        usize::from(first.is_some_and(|first| first.causes == one || first.alike_causes.contains(&one)));
    if found.kind == DiagnosisKind::CantTellApart {
        tally.open += 1;
        let end = follow(&mut tally.suggested, chance, guitar, &taken, &found, |found, _| {
            found.next.as_ref().map(|next| next.probe.clone())
        });
        weigh(tally, &end, guitar);
        let all = install_probes(&install);
        follow(&mut tally.random, chance, guitar, &taken, &found, |_, chance| Some(chance.pick(&all).clone()));
    }
}

/// Measures on until a cause is named.
fn follow(
    counts: &mut [usize; 3],
    chance: &mut Chance,
    guitar: &Guitar,
    taken: &[JackTaken],
    found: &Proof,
    mut next: impl FnMut(&Proof, &mut Chance) -> Option<JackProbe>,
) -> Proof {
    let (mut taken, mut found) = (taken.to_vec(), found.clone());
    for _ in 0..MOST_MORE {
        if found.kind == DiagnosisKind::Found {
            break;
        }
        let Some(probe) = next(&found, chance) else { break };
        counts[0] += 1;
        taken.push(guitar.read(chance, &probe, true));
        found = prove(&guitar.install(), &taken);
    }
    if found.kind == DiagnosisKind::Found {
        counts[1] += 1;
        let named = found.ranked.first().and_then(|first| first.causes.first());
        counts[2] += usize::from(named.is_some_and(|named| guitar.is(named)));
    } else if guitar.is_a_slip() && matches!(found.kind, DiagnosisKind::AllWell | DiagnosisKind::NotEnough) {
        // Measured again, all is well: that is the end of it.
        counts[1] += 1;
        counts[2] += 1;
    }
    found
}

/// Counts whether the first suspect is right, by how sure it was said to be.
fn weigh(tally: &mut Tally, found: &Proof, guitar: &Guitar) {
    let Some(first) = found.ranked.first().filter(|first| !first.causes.is_empty()) else { return };
    let right = first.causes.first().is_some_and(|first| guitar.is(first));
    let counts = tally.sure.entry(first.how_sure.clone()).or_default();
    counts[0] += 1;
    counts[1] += usize::from(right);
    if !right && first.how_sure == "almost sure" {
        tally.wrong.push(format!("surely wrong: {:?}: {:?}", guitar.wrong, first.causes));
    }
}
