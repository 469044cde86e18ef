//! What two places hear of a string, against a simulation of the string itself: the wave equation stepped through time
//! by finite differences after a pluck, listened to at both places, and analysed by a Fourier transform. The simulation
//! knows nothing of harmonics.

use realfft::RealFftPlanner;
use solderlast_core::physics::strings::{HARMONICS, Listening, PlaceView, compare_places};
use solderlast_core::record::body::{Body, ThingBody};
use solderlast_core::record::entry::Written;
use solderlast_core::record::guitar::Guitar;
use solderlast_core::record::mounting::Lie;
use solderlast_core::record::pickup::{CoilName, Construction, Pickup};
use solderlast_core::record::quantity::Millimetres;
use solderlast_core::record::rig::Faces;

/// How many periods are listened to.
const PERIODS: usize = 4;

/// A string of whole millimetres between two fixed ends, plucked: the velocity at each millimetre, step after step.
///
/// With one millimetre a step and a wave speed of one millimetre a step, central differences solve the wave equation
/// exactly on the grid; one period is twice the length.
fn plucked(length: usize, at: usize) -> Vec<Vec<f64>> {
    let shape = |x: usize| {
        if x <= at { x as f64 / at as f64 } else { (length - x) as f64 / (length - at) as f64 }
    };
    let start: Vec<f64> = (0..=length).map(shape).collect();
    // At rest at first, so the step before mirrors the step after.
    let mut now = start.clone();
    let mut before: Vec<f64> = (0..=length)
        .map(|x| if x == 0 || x == length { 0.0 } else { f64::midpoint(start[x - 1], start[x + 1]) })
        .collect();
    (0..2 * length * PERIODS)
        .map(|_| {
            let mut after = vec![0.0; length + 1];
            for x in 1..length {
                after[x] = now[x - 1] + now[x + 1] - before[x];
            }
            let velocity = after.iter().zip(&before).map(|(a, b)| (a - b) / 2.0).collect();
            before = std::mem::replace(&mut now, after);
            velocity
        })
        .collect()
}

/// The size of each harmonic in what is heard over `wide` millimetres round each of the places, whole or half ones.
fn heard(string: &[Vec<f64>], places: &[f64], wide: f64) -> Vec<f64> {
    let at = |velocity: &[f64], x: f64| {
        let (below, part) = (x.floor() as usize, x - x.floor());
        velocity[below] * (1.0 - part) + velocity[(below + 1).min(velocity.len() - 1)] * part
    };
    let parts = 40;
    let mut signal: Vec<f64> = string
        .iter()
        .map(|velocity| {
            let mut sum = 0.0;
            for place in places {
                for part in 0..parts {
                    sum += at(velocity, place - wide / 2.0 + wide * (part as f64 + 0.5) / parts as f64);
                }
            }
            sum / (places.len() * parts) as f64
        })
        .collect();
    let transform = RealFftPlanner::<f64>::new().plan_fft_forward(signal.len());
    let mut spectrum = transform.make_output_vec();
    transform.process(&mut signal, &mut spectrum).expect("the lengths fit");
    (0..=HARMONICS as usize).map(|n| spectrum[n * PERIODS].norm() / string.len() as f64 * 2.0).collect()
}

fn demo<T>(pick: fn(Body) -> Option<T>) -> Vec<T> {
    let bodies = solderlast_core::demo::entries().into_iter().filter_map(|entry| match entry.body {
        Written::Known(body) => pick(body),
        Written::Newer { .. } => None,
    });
    bodies.collect()
}

/// The invented guitar with a scale of 648 mm, and an invented pickup of this construction.
fn bench(construction: Construction) -> (Guitar, Pickup) {
    let guitars = demo(|body| match body {
        Body::Thing(ThingBody::GuitarDescribed { guitar }) => Some(guitar),
        _ => None,
    });
    let pickups = demo(|body| match body {
        Body::Thing(ThingBody::PickupDescribed { pickup }) => Some(pickup),
        _ => None,
    });
    let guitar = guitars.into_iter().find(|guitar| guitar.scale == Millimetres(648.0));
    let pickup = pickups.into_iter().find(|pickup| pickup.construction == construction);
    (guitar.expect("on the demo bench"), pickup.expect("on the demo bench"))
}

struct Case {
    what: &'static str,
    construction: Construction,
    /// From the saddle to the pole lines: in the rig, and installed.
    rig: f64,
    last: f64,
    fret: u8,
    coil: Option<CoilName>,
    aperture: f64,
    apart: f64,
    /// Where the simulation listens: each coil in the rig, and installed.
    rig_coils: &'static [f64],
    last_coils: &'static [f64],
}

/// Face down and rolled, coil A lies on the bridge side of the pole line; installed it lies on the neck side.
const CASES: [Case; 6] = [
    Case {
        what: "one coil, neck place against bridge place",
        construction: Construction::SingleCoil,
        rig: 162.0,
        last: 41.0,
        fret: 0,
        coil: None,
        aperture: 10.0,
        apart: 18.0,
        rig_coils: &[162.0],
        last_coils: &[41.0],
    },
    Case {
        what: "the same at the 12th fret",
        construction: Construction::SingleCoil,
        rig: 162.0,
        last: 41.0,
        fret: 12,
        coil: None,
        aperture: 6.0,
        apart: 18.0,
        rig_coils: &[162.0],
        last_coils: &[41.0],
    },
    Case {
        what: "both coils, middle place against bridge place",
        construction: Construction::SideBySide,
        rig: 99.0,
        last: 44.0,
        fret: 0,
        coil: None,
        aperture: 10.0,
        apart: 18.0,
        rig_coils: &[90.0, 108.0],
        last_coils: &[35.0, 53.0],
    },
    Case {
        what: "both coils, 36 mm apart",
        construction: Construction::SideBySide,
        rig: 130.0,
        last: 60.0,
        fret: 0,
        coil: None,
        aperture: 4.0,
        apart: 36.0,
        rig_coils: &[112.0, 148.0],
        last_coils: &[42.0, 78.0],
    },
    Case {
        what: "coil A alone, the same pole line: rolled over it hears 18 mm nearer the bridge",
        construction: Construction::SideBySide,
        rig: 150.0,
        last: 150.0,
        fret: 0,
        coil: Some(CoilName::A),
        aperture: 10.0,
        apart: 18.0,
        rig_coils: &[141.0],
        last_coils: &[159.0],
    },
    Case {
        what: "coil B alone",
        construction: Construction::SideBySide,
        rig: 150.0,
        last: 38.0,
        fret: 0,
        coil: Some(CoilName::B),
        aperture: 8.0,
        apart: 18.0,
        rig_coils: &[159.0],
        last_coils: &[29.0],
    },
];

fn told(case: &Case) -> PlaceView {
    let (guitar, pickup) = bench(case.construction);
    let listening = Listening {
        rig: Millimetres(case.rig),
        last: Millimetres(case.last),
        aslant: [Millimetres(0.0); 2],
        lie: Lie::right(Faces::Down),
        coil: case.coil,
        apart: Some(Millimetres(case.apart)),
        aperture: Some(Millimetres(case.aperture)),
        string: 0,
        fret: case.fret,
        tuning: vec![None; 6],
    };
    compare_places(&guitar, &pickup, &listening).expect("both places are on the string")
}

#[test]
fn levels_of_harmonics_after_a_pluck() {
    for case in &CASES {
        let length = if case.fret == 12 { 324 } else { 648 };
        // Plucked where all of the first 20 harmonics are strong enough to be seen.
        let string = plucked(length, length * 83 / 648);
        let all = heard(&string, &[1.0], 0.0);
        let (rig, last) =
            (heard(&string, case.rig_coils, case.aperture), heard(&string, case.last_coils, case.aperture));
        let view = told(case);
        let mut compared = 0;
        for row in &view.rows {
            let n = row.harmonic as usize;
            // How strong the harmonic is in the string itself, from its movement one millimetre off the saddle.
            let in_string = all[n] / (n as f64 * std::f64::consts::PI / length as f64).sin();
            assert!(in_string > 1e-6, "harmonic {n} is in the pluck");
            for (place, simulated, told, silent) in [
                ("rig", rig[n] / in_string, row.rig.0, row.rig_silent),
                ("final place", last[n] / in_string, row.last.0, row.last_silent),
            ] {
                let simulated = 20.0 * simulated.max(1e-12).log10();
                if silent {
                    // A node within half a millimetre: sin(n·π·0.5/L) of the movement at the most.
                    assert!(
                        simulated < -20.0,
                        "{}: {n} in the {place} is silent, simulated {simulated:.1} dB",
                        case.what
                    );
                } else if told > -30.0 {
                    assert!(
                        (simulated - told).abs() < 0.2,
                        "{}: {n} in the {place} is told as {told:.2} dB, simulated {simulated:.2} dB",
                        case.what
                    );
                    compared += 1;
                }
            }
        }
        assert!(compared >= 24, "{}: only {compared} of 40 levels were compared", case.what);
    }
}

/// At a quarter of the string every fourth harmonic is gone, in the simulation as in what is told.
#[test]
fn a_quarter_of_the_string() {
    let string = plucked(648, 83);
    let heard = heard(&string, &[162.0], 0.0);
    let view = told(&CASES[0]);
    for row in &view.rows {
        let n = row.harmonic as usize;
        assert_eq!(heard[n] < 1e-9, n.is_multiple_of(4), "harmonic {n}: {}", heard[n]);
        assert_eq!(row.rig_silent, n.is_multiple_of(4), "harmonic {n}");
    }
}
