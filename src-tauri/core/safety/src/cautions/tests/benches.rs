//! What whole benches are shown, kept as text that a person reads in review, and how much of it there may be.

use std::collections::BTreeSet;

use crate::cautions::*;
use crate::record::facts::{AmpKind, Solder};
use crate::record::guitar::{FinishKind, Surface};
use crate::record::pickup::Poles;
use crate::record::quantity::Decibels;
use crate::record::rig::Feet;

/// Benches a person reads through in review.
fn benches() -> Vec<(&'static str, Situation)> {
    let plain = Situation {
        poles: Some(Poles::Rods),
        potted: Some(true),
        finish: Some(FinishKind::Poly),
        surface: Some(Surface::FlatGloss),
        aged: Some(false),
        finish_asked: Some(true),
        battery: Some(false),
        feet: Some(Feet::Suction),
        barrier: Some(false),
        film: Some(false),
        steady: Some(true),
        amp: Some(AmpKind::SolidState),
        earthed: Some(true),
        frayed: Some(false),
        damp: Some(false),
        headphones: Some(false),
        ringing: Some(false),
        level: Some(Decibels(75.0)),
        hearing_spent: Some(0.1),
        implant: Some(false),
        little_ones: Some(false),
        solder: Some(Solder::LeadFree),
        unplugged: Some(true),
        battery_out: Some(true),
        finish_covered: Some(true),
        ..Situation::default()
    };
    vec![
        ("Nothing is known yet", Situation::default()),
        ("A sound bench: polyester top, transistor amp", plain.clone()),
        (
            "An old lacquered guitar on suction feet, a valve amp",
            Situation {
                finish: Some(FinishKind::Lacquer),
                aged: Some(true),
                amp: Some(AmpKind::Valve),
                poles: Some(Poles::Hidden),
                solder: Some(Solder::Leaded),
                ..plain.clone()
            },
        ),
        (
            "The same with cotton between",
            Situation {
                finish: Some(FinishKind::Lacquer),
                aged: Some(true),
                amp: Some(AmpKind::Valve),
                slides: Some(true),
                barrier: Some(true),
                ..plain.clone()
            },
        ),
        (
            "A carved, oiled top on tape, headphones at a desk",
            Situation {
                finish: Some(FinishKind::OilOrWax),
                surface: Some(Surface::Carved),
                feet: Some(Feet::Tape),
                amp: Some(AmpKind::Desk),
                headphones: Some(true),
                ..plain.clone()
            },
        ),
        (
            "A loud afternoon at home with children, active electronics",
            Situation {
                level: Some(Decibels(101.0)),
                hearing_spent: Some(0.6),
                little_ones: Some(true),
                battery: Some(true),
                battery_out: Some(false),
                potted: Some(false),
                time_on_finish: Some(TimeOnFinish::NearlyOver),
                ..plain
            },
        ),
    ]
}

/// What each bench is shown, moment by moment, as text.
fn snapshot() -> String {
    let mut text = String::from(
        "What each bench is shown at each moment. A star waits for \"read\". Read this in review: is anything missing, is \
         anything there for nothing?\n",
    );
    for (name, bench) in benches() {
        text.push_str(&format!("\n# {name}\n"));
        for moment in Moment::ALL {
            text.push_str(&format!("{}\n", moment.name()));
            for caution in at(&Situation { moment: Some(moment), ..bench.clone() }) {
                let star = if caution.must_acknowledge { "*" } else { " " };
                text.push_str(&format!("  {star} {:<8} {}: {}\n", caution.word.shown(), caution.id, caution.hazard));
            }
        }
    }
    text
}

#[test]
fn what_each_bench_is_shown() {
    let now = snapshot();
    if std::env::var_os("WRITE_SNAPSHOTS").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/cautions/benches.txt");
        return std::fs::write(path, &now).expect("the source folder can be written");
    }
    // What is built in, so that it is there in WebAssembly as well.
    assert_eq!(
        include_str!("../benches.txt"),
        now,
        "the cautions changed: read the difference, then keep it with WRITE_SNAPSHOTS=1 cargo test -p solderlast-safety"
    );
}

/// The most cautions a sample bench may be shown at one moment, and the most of them that wait for "read".
fn most(moment: Moment) -> (usize, usize) {
    match moment {
        // Heat, fume, eyes and poison meet here, so more is said.
        Moment::Iron => (8, 6),
        Moment::Fit => (7, 3),
        _ => (6, 5),
    }
}

#[test]
fn few_at_a_time() {
    for (name, bench) in benches() {
        for moment in Moment::ALL {
            let list = at(&Situation { moment: Some(moment), ..bench.clone() });
            let (shown, waiting) = most(moment);
            let wait = list.iter().filter(|caution| caution.must_acknowledge).count();
            let ids: Vec<_> = list.iter().map(|caution| caution.id).collect();
            assert!(list.len() <= shown, "{name}, {}: {ids:?}", moment.name());
            assert!(wait <= waiting, "{name}, {}: {wait} wait of {ids:?}", moment.name());
        }
    }
}

#[test]
fn a_whole_audition_on_a_sound_bench_waits_few_times() {
    let (_, bench) = benches().remove(1);
    let waiting: BTreeSet<_> = Moment::ALL
        .into_iter()
        .take_while(|moment| *moment != Moment::Fit)
        .flat_map(|moment| at(&Situation { moment: Some(moment), ..bench.clone() }))
        .filter(|caution| caution.must_acknowledge)
        .map(|caution| caution.id)
        .collect();
    assert_eq!(Vec::from_iter(waiting), ["amp-closed", "bang", "coil-wire", "loud-sound"]);
}
