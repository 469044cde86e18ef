//! A simulated bench: random pickups, something wrong or nothing, and a meter that errs within its claim, against what
//! the diagnosis says.

pub mod bench;
mod oracle;
mod retired;
mod tally;

use std::time::{Duration, Instant};
use tally::is_part;
pub use tally::{Follow, Tally};

use bench::PretendedBench;
use rustix::time::{ClockId, clock_gettime};
use solderlast_core::physics::meter::{Cause, Diagnosis, DiagnosisKind, Taken, candidate_probes, causes, diagnose};
use solderlast_core::record::meter::Probe;
use solderlast_core::record::rig::Rig;

use crate::Chance;
use crate::figures::{self, share, times};
use crate::pickups::{hooked_up, side_by_side};

/// After this many measurements beside the three modes, one gives up.
const MOST_MORE: usize = 12;

/// Runs this many benches.
pub fn run(count: usize, seed: u64) -> Tally {
    let mut chance = Chance(seed);
    let outcomes = [false, true].map(oracle::outcomes);
    let kinds = [false, true].map(by_kind);
    let mut tally = Tally::default();
    for _ in 0..count {
        let stated = chance.below(2) == 1;
        let how_many = chance.below(3);
        let wrong = draw(&mut chance, &kinds[usize::from(stated)], &outcomes[usize::from(stated)], how_many);
        let bench = PretendedBench::new(&mut chance, stated, wrong);
        let taken = bench.modes(&mut chance);
        tally.benches[how_many] += 1;
        one(&mut tally, &mut chance, &bench, &taken, &outcomes[usize::from(stated)]);
        if how_many == 1 {
            retired::mended(&mut tally, &mut chance, &bench, &taken);
        }
    }
    tally
}

/// Every single cause, by what kind it is: kinds are drawn evenly, so that the many orders of leads are not all there is.
fn by_kind(stated: bool) -> Vec<Vec<Cause>> {
    let pickup = side_by_side(&[stated.then_some(7000.0); 2], true);
    let mut kinds: Vec<Vec<Cause>> = Vec::new();
    for cause in causes(&pickup, &hooked_up(), &Rig::four_terminal("pretended")) {
        let same = |kind: &&mut Vec<Cause>| std::mem::discriminant(&kind[0]) == std::mem::discriminant(&cause);
        match kinds.iter_mut().find(same) {
            Some(kind) => kind.push(cause),
            None => kinds.push(vec![cause]),
        }
    }
    kinds
}

fn draw(chance: &mut Chance, kinds: &[Vec<Cause>], outcomes: &[oracle::Outcome], how_many: usize) -> Vec<Cause> {
    loop {
        let mut drawn: Vec<Cause> = (0..how_many)
            .map(|_| {
                let kind = &kinds[chance.below(kinds.len())];
                chance.pick(kind).clone()
            })
            .collect();
        for _ in 0..2 {
            if outcomes.iter().any(|outcome| outcome.causes.contains(&drawn)) {
                return drawn;
            }
            drawn.reverse();
        }
    }
}

fn one(tally: &mut Tally, chance: &mut Chance, bench: &PretendedBench, taken: &[Taken], outcomes: &[oracle::Outcome]) {
    let (start, before) = (Instant::now(), processor());
    let found = diagnose(&bench.case(taken));
    tally.times.push(start.elapsed());
    tally.processor.push(processor().saturating_sub(before));
    tally.called(&found, &bench.wrong);
    let well = found.kind == DiagnosisKind::AllWell;
    let beyond = oracle::beyond_the_band(bench, taken);
    tally.beyond += usize::from(beyond);
    if beyond && well {
        tally.misses += 1;
        let stated: Vec<_> = bench.pickup.coils.iter().map(|coil| coil.stated).collect();
        tally.wrong.push(format!("missed: {:?} stated {stated:?} room {:?} {taken:?}", bench.wrong, bench.room));
    }
    if bench.wrong.is_empty() {
        if !well {
            tally.false_alarms += 1;
            tally.wrong.push(format!("false alarm: {:?} {taken:?}: {}", bench.pickup.coils, found.sentence));
        }
        return;
    }
    let first = found.ranked.first();
    // By parsimony, what is at work and nothing beside it: more than that is not asked for, less must be impossible.
    let adds = |causes: &&Vec<Cause>| bench.wrong.iter().all(|cause| causes.contains(cause));
    if oracle::possible(bench, outcomes).iter().all(adds) {
        tally.told_apart += 1;
        if first.is_some_and(|first| same(&first.causes, &bench.wrong)) {
            tally.right += 1;
        } else {
            let said = first.map(|first| first.sentence.clone());
            tally.wrong.push(format!("ranked wrongly: {:?} {:?} {taken:?}: {said:?}", bench.wrong, bench.given));
        }
    }
    if !beyond {
        return;
    }
    tally.faults += 1;
    let among = |causes: &[Cause]| is_part(causes, &bench.wrong);
    if first.is_some_and(|first| among(&first.causes) || first.alike_causes.iter().any(|causes| among(causes))) {
        tally.among_first += 1;
    }
    if found.kind == DiagnosisKind::CantTellApart {
        tally.open += 1;
        let suggested = follow(tally, chance, bench, taken, &found, |found, _, _| {
            found.next.as_ref().map(|next| next.probe.clone())
        });
        tally.suggested.add(suggested, &bench.wrong);
        let mut uncounted = Tally::default();
        let random = follow(&mut uncounted, chance, bench, taken, &found, |_, chance, taken| {
            let probes = candidate_probes(&bench.case(taken));
            (!probes.is_empty()).then(|| chance.pick(&probes).clone())
        });
        tally.random.add(random, &bench.wrong);
    }
}

/// What the processor has spent on this thread: what else the machine does is not in it.
pub(crate) fn processor() -> Duration {
    let time = clock_gettime(ClockId::ThreadCPUTime);
    Duration::new(time.tv_sec.try_into().unwrap_or(0), time.tv_nsec.try_into().unwrap_or(0))
}

/// Measures on until a cause is named; answers how many measurements it took, and the cause.
fn follow(
    tally: &mut Tally,
    chance: &mut Chance,
    bench: &PretendedBench,
    taken: &[Taken],
    found: &Diagnosis,
    mut next: impl FnMut(&Diagnosis, &mut Chance, &[Taken]) -> Option<Probe>,
) -> (usize, Option<Vec<Cause>>) {
    let mut taken = taken.to_vec();
    let mut found = found.clone();
    let start = taken.len();
    while found.kind != DiagnosisKind::Found && taken.len() < start + MOST_MORE {
        let Some(probe) = next(&found, chance, &taken) else { break };
        let reading = bench.read(chance, &probe);
        taken.push(reading);
        let before = std::mem::replace(&mut found, diagnose(&bench.case(&taken)));
        tally.called(&found, &bench.wrong);
        for (promise, counted) in ["measurement tells.", "measurement may tell."].iter().zip(&mut tally.promised) {
            if before.sentence.contains(promise) {
                counted[0] += 1;
                counted[1] += usize::from(found.kind == DiagnosisKind::Found);
            }
        }
    }
    let named = found.kind == DiagnosisKind::Found;
    (taken.len() - start, found.ranked.into_iter().next().filter(|_| named).map(|first| first.causes))
}

fn same(a: &[Cause], b: &[Cause]) -> bool {
    a.len() == b.len() && a.iter().all(|cause| b.contains(cause))
}

/// What a run counted, as a table.
pub fn table(count: usize, tally: &Tally) -> String {
    let [none, one, two] = tally.benches;
    let mut rows: Vec<(String, String, &str)> = vec![
        (format!("benches: nothing wrong, one thing, two ({count} in all)"), format!("{none}, {one}, {two}"), ""),
        (
            "good hookups not called well".to_owned(),
            format!("{} of {none}: {:.2} %", tally.false_alarms, share(tally.false_alarms, none)),
            "under 0.5 %",
        ),
        (
            "readings beyond the band, called all well".to_owned(),
            format!("{} of {}", tally.misses, tally.beyond),
            "none",
        ),
        (
            "cause ranked first, where three readings tell it apart".to_owned(),
            format!("{} of {}: {:.2} %", tally.right, tally.told_apart, share(tally.right, tally.told_apart)),
            "99 %",
        ),
        (
            "cause, or one of two, among the first and those alike, over all faults beyond the band".to_owned(),
            format!("{} of {}: {:.1} %", tally.among_first, tally.faults, share(tally.among_first, tally.faults)),
            "",
        ),
        ("faults that need one measurement more or several".to_owned(), tally.open.to_string(), ""),
    ];
    for (how, follow) in [("suggested", &tally.suggested), ("random", &tally.random)] {
        let Follow { measurements, named, right } = follow;
        rows.push((
            format!("measurements more, the next one {how}"),
            format!("{:.2} a bench", *measurements as f64 / tally.open.max(1) as f64),
            "",
        ));
        rows.push((
            format!("cause named in the end, the next one {how}"),
            format!("{:.1} % of them, {:.1} % of those right", share(*named, tally.open), share(*right, *named)),
            "",
        ));
    }
    let [good, mended] = tally.mended;
    rows.extend([
        ("mended and measured anew: called well".to_owned(), format!("{good} of {mended}"), ""),
        (
            "said to be mended and not, still beyond the band: called well".to_owned(),
            format!("{} of {}", tally.mended_missed, tally.mended_badly),
            "none",
        ),
        ("verdicts that rest on what was read before a repair".to_owned(), tally.from_before.to_string(), "none"),
    ]);
    for (promise, [said, did]) in ["“One more measurement tells”", "“may tell”"].iter().zip(tally.promised) {
        rows.push((format!("{promise}, and did"), format!("{did} of {said}: {:.1} %", share(did, said)), ""));
    }
    for (word, goal) in [("almost sure", "97 %"), ("very likely", "85 %"), ("likely", ""), ("possible", "")] {
        let [said, right] = tally.sure.get(word).copied().unwrap_or_default();
        rows.push((format!("“{word}”, and right"), format!("{right} of {said}: {:.1} %", share(right, said)), goal));
    }
    for (what, spent) in [("the processor", &tally.processor), ("the clock", &tally.times)] {
        rows.push((format!("one diagnosis with its next measurement, by {what}"), times(spent), "under 5 ms"));
    }
    figures::table(&rows)
}
