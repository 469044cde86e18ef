//! A sweep of ten seconds: how long it takes from the file to what the coil is.

use std::io::Cursor;

use solderlast_core::physics::measured::{Told, measured};
use solderlast_core::record::measured::{Driven, KnownFarads, KnownOhms, Swept};
use solderlast_core::record::pickup::CoilName;
use solderlast_core::record::quantity::{Farads, Ohms};
use solderlast_core::takes::sweep::{RATE, answer, sent};
use solderlast_testkit::sound::{Samples, Sound};

use crate::timing::{Report, Timings};

const TIMES: usize = 10;
/// The budget, in milliseconds.
const MOST: f64 = 500.0;

/// The answer of a resonance at 4 kHz.
fn recording() -> Vec<u8> {
    let step = 1.0 / f64::from(RATE);
    let (mut volts, mut current) = (0.0, 0.0);
    let mut sound = Sound::silence(RATE, 1, 0.2);
    for sample in sent(RATE) {
        for _ in 0..8 {
            current += 0.125 * step * (volts - 7000.0 * current) / 2.6;
            volts += 0.125 * step * ((sample - volts) / 100e3 - volts / 375e3 - current) / 600e-12;
        }
        sound.channels[0].push(0.8 * volts);
    }
    sound.wav(Samples::Whole(24))
}

pub fn measure(report: &mut Report) {
    report.title("A sweep of ten seconds, from the file to what the coil is");
    let file = recording();
    let timings = Timings::of(TIMES, |_| {
        let points = answer(Cursor::new(file.clone())).unwrap().points;
        let swept = Swept {
            coil: Some(CoilName::A),
            driven: Driven::Resistor { resistor: KnownOhms { ohms: Ohms(100e3), within: 0.01 } },
            added: None,
            input: KnownOhms { ohms: Ohms(1e6), within: 0.05 },
            cable: KnownFarads { farads: Farads(300e-12), within: 0.1 },
            take: None,
            turned: None,
            points,
        };
        assert!(measured(&[CoilName::A], &[Told::Swept(swept)]).is_some());
    });
    report.timings("deconvolved and fitted", &timings, MOST, f64::INFINITY);
}
