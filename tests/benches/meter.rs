//! The meter bench: how long a whole diagnosis with its next measurement takes, how long it takes to say what leads are, and
//! how soon an audition answers in which something is wrong.
//!
//! Computing waits for nothing, so it is judged by the time that the processor spent on it; the time by the clock, which other
//! programs make longer, stands beside it.

use std::path::Path;
use std::time::Duration;

use rustix::time::{ClockId, clock_gettime};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::physics::meter::{Cause, causes, diagnose};
use solderlast_core::record::rig::Rig;
use solderlast_serve::machine::{SystemClock, SystemDice};
use solderlast_testkit::Chance;
use solderlast_testkit::pickups::{hooked_up, side_by_side};
use solderlast_testkit::simulated_bench::bench::PretendedBench as Pretended;

use crate::generated::name;
use crate::timing::{Report, Timings};
use crate::write::stock;

/// How many benches are pretended.
const BENCHES: usize = 600;
/// How many measurements are followed beside the three modes.
const FOLLOWED: usize = 4;
/// The budget for a diagnosis with its next measurement, in milliseconds.
const DIAGNOSIS: f64 = 5.0;
/// The budget for an ask without a diagnosis to work out, in milliseconds.
const ASK: f64 = 1.0;

pub fn measure(folder: &Path, report: &mut Report) {
    report.title(&format!("The meter bench, {BENCHES} pretended benches"));
    diagnoses(report);
    let bench = Bench::open(&folder.join("meter"), Box::new(SystemClock), &SystemDice).unwrap();
    let choice = stock(&bench);
    leads(&bench, &choice["pickup"], report);
    auditions(&bench, &choice, report);
}

/// The same work by the clock and by the processor.
struct Both {
    clock: Timings,
    processor: Timings,
}

impl Both {
    fn new() -> Self {
        Self { clock: Timings::new(), processor: Timings::new() }
    }

    fn time<T>(&mut self, doing: impl FnOnce() -> T) -> T {
        let spent = || {
            let time = clock_gettime(ClockId::ThreadCPUTime);
            Duration::new(time.tv_sec.try_into().unwrap_or(0), time.tv_nsec.try_into().unwrap_or(0))
        };
        let before = spent();
        let done = self.clock.time(doing);
        self.processor.push(spent().saturating_sub(before));
        done
    }

    fn report(&self, what: &str, most: f64, report: &mut Report) {
        report.timings(&format!("{what}, processor"), &self.processor, most, f64::INFINITY);
        report.note(&format!("{what}, clock"), &self.distribution());
    }

    fn distribution(&self) -> String {
        let at = |part: f64| {
            format!("{:.3} by the clock, {:.3} by the processor", self.clock.at(part), self.processor.at(part))
        };
        format!("half {}; 99 % {}; longest {} ms", at(0.5), at(0.99), at(1.0))
    }
}

/// Nothing wrong, one thing or two; then what the diagnosis asks for, measurement after measurement.
fn diagnoses(report: &mut Report) {
    let mut chance = Chance(11);
    let (mut first, mut further) = (Both::new(), Both::new());
    for _ in 0..BENCHES {
        let stated = chance.below(2) == 1;
        let record = side_by_side(&[stated.then_some(7000.0); 2], true);
        let all = causes(&record, &hooked_up(), &Rig::four_terminal("pretended"));
        let wrong: Vec<Cause> = (0..chance.below(3)).map(|_| chance.pick(&all).clone()).collect();
        let pretended = Pretended::new(&mut chance, stated, wrong);
        let mut taken = pretended.modes(&mut chance);
        let mut found = first.time(|| diagnose(&pretended.case(&taken)));
        for _ in 0..FOLLOWED {
            let Some(next) = found.next.as_ref() else { break };
            taken.push(pretended.read(&mut chance, &next.probe));
            found = further.time(|| diagnose(&pretended.case(&taken)));
        }
    }
    first.report("a diagnosis and its next measurement", DIAGNOSIS, report);
    further.report("the same with more readings", DIAGNOSIS, report);
}

/// What is known of the leads, asked after each reading, until all is known.
fn leads(bench: &Bench, pickup: &Value, report: &mut Report) {
    let answered = |ask: &Value| -> Value {
        let answer: Value = serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).unwrap();
        assert!(answer.get("ok").is_some(), "{ask}: {answer}");
        answer["ok"].clone()
    };
    let mut entry = 0;
    for (count, shield, frame) in [(4_usize, true, false), (5, true, true)] {
        let names: Vec<String> = (1..=count).map(|lead| format!("lead {lead}")).collect();
        let ask = json!({"ask": "find_leads", "pickup": pickup, "rig": null}).to_string().into_bytes();
        let mut timings = Both::new();
        for _ in 0..20 {
            entry += 1;
            let mut found =
                answered(&json!({"ask": "begin_leads", "entry": name(31, entry), "pickup": pickup, "leads": names,
                "shield": shield, "frame": frame}));
            loop {
                for _ in 0..5 {
                    timings.time(|| bench.answer(&ask));
                }
                let next = found["search"]["next"]["between"].clone();
                let [Some(one), Some(other)] = [next[0].as_str(), next[1].as_str()] else { break };
                // Two coils, lead 1 to 2 and 3 to 4; nothing else touches anything.
                let coil = matches!((one, other), ("lead 1", "lead 2") | ("lead 3", "lead 4"));
                entry += 1;
                found = answered(&json!({"ask": "measure_leads", "entry": name(31, entry), "pickup": pickup,
                    "between": next, "reading": if coil { "6.66k" } else { "OL" }, "out_of_reach": false}));
            }
        }
        let nodes = count + usize::from(shield) + usize::from(frame);
        timings.report(&format!("what is known of {nodes} leads, shield and frame"), ASK, report);
    }
}

/// An audition with a bad reading: looked at again, and looked at for the first time.
fn auditions(bench: &Bench, choice: &Value, report: &mut Report) {
    let (mut fresh, mut again) = (Both::new(), Both::new());
    for number in 0..100_u64 {
        let audition = name(32, number);
        let mut asks =
            vec![json!({"ask": "choose", "entry": name(33, number * 8), "audition": audition, "choice": choice})];
        let single = format!("{}", 6600 + number);
        for (place, (mode, reading)) in
            (1_u64..).zip([("parallel", "3.334k"), ("single", single.as_str()), ("series", "6.66k")])
        {
            asks.push(
                json!({"ask": "take_reading", "entry": name(33, number * 8 + place), "audition": audition, "mode": mode,
                "reading": reading, "room": ""}),
            );
        }
        let last = asks.pop().unwrap();
        for ask in asks {
            assert!(bench.answer(ask.to_string().as_bytes()).starts_with(b"{\"ok\""), "{ask}");
        }
        let last = last.to_string().into_bytes();
        let answer = fresh.time(|| bench.answer(&last));
        assert!(String::from_utf8_lossy(&answer).contains("cant_tell_apart"), "{}", String::from_utf8_lossy(&answer));
        let look = json!({"ask": "audition", "id": audition}).to_string().into_bytes();
        for _ in 0..4 {
            again.time(|| bench.answer(&look));
        }
    }
    // Written, synced and worked out: the disk is part of it, so only the processor's part has a budget.
    fresh.report("a bad reading, written and diagnosed", DIAGNOSIS + ASK, report);
    again.report("an audition with a bad reading", ASK, report);
}
