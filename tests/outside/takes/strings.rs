//! Open strings against strings that were made: when they were plucked, what they sound, how loud they are, how they die.

use solderlast_core::record::take::Played;
use solderlast_testkit::sound::{PARTIALS, Plucked, Sound};
use solderlast_testkit::{Chance, number};

use super::{near, told, usual_tuning};

/// The power of a made string from 0.05 to 0.55 s, by its definition.
fn level(string: &Plucked, rate: f64) -> f64 {
    let partials = (1..=PARTIALS)
        .map(f64::from)
        .filter(|n| n * string.hertz * (1.0 + string.stretch * n * n).sqrt() < 0.45 * rate);
    let power: f64 = partials.map(|n| 0.5 * (string.height / n).powi(2)).sum();
    let slope = 2.0 * 10f64.ln() / string.loses_20;
    let mean = ((-slope * 0.05).exp() - (-slope * 0.55).exp()) / (slope * 0.5);
    10.0 * (power * mean).log10()
}

/// Takes of six strings (eight; `SOLDERLAST_TAKES` makes more) with random levels, decays, stiffness, tuning and noise: onsets within 5 ms, pitch within 3 cents,
/// levels within 0.5 dB, decays within 5 %.
#[test]
fn strings_that_were_made() {
    let mut chance = Chance::seeded(110);
    let mut worst = [0f64; 4];
    for number in 0..number("SOLDERLAST_TAKES", 8) as usize {
        let rate = *chance.pick(&[44_100, 48_000, 96_000]);
        let strings: Vec<Plucked> = usual_tuning()
            .iter()
            .enumerate()
            .map(|(place, note)| Plucked {
                at: 0.4 + 3.0 * place as f64 + chance.between(-0.2, 0.2),
                hertz: note.pitch().get() * 2f64.powf(chance.between(-40.0, 40.0) / 1200.0),
                height: 0.15 * 10f64.powf(chance.between(-6.0, 6.0) / 20.0),
                loses_20: chance.between(0.6, 4.0),
                rises: chance.between(0.0005, 0.004),
                stretch: chance.in_ratio(1e-6, 1e-4),
                beats: None,
                stopped: chance.between(2.2, 2.5),
            })
            .collect();
        let mut sound = Sound::silence(rate, 1 + number % 2, 19.0).noise(chance.in_ratio(1e-12, 1e-8), &mut chance);
        for string in &strings {
            sound = sound.pluck(string);
        }
        let plucks = told(&sound, Played::OpenStrings).plucks;
        assert_eq!(plucks.len(), 6, "take {number}: {plucks:#?}");
        for (pluck, string) in plucks.iter().zip(&strings) {
            let what = format!("take {number}, {string:?}, {pluck:?}");
            let cents = 1200.0 * (pluck.pitch.get() / string.hertz).log2();
            let decay = pluck.decay.unwrap().seconds / string.loses_20 - 1.0;
            let off = [pluck.at - string.at, cents, pluck.level.get() - level(string, f64::from(rate)), decay];
            for (place, within) in [0.005, 3.0, 0.5, 0.05].into_iter().enumerate() {
                near(off[place], 0.0, within, &what);
                worst[place] = worst[place].max(off[place].abs());
            }
            assert!(pluck.warble.is_none(), "{what}");
        }
    }
    println!(
        "furthest off: onset {:.1} ms, pitch {:.2} cents, level {:.2} dB, decay {:.1} %",
        1000.0 * worst[0],
        worst[1],
        worst[2],
        100.0 * worst[3]
    );
}

/// Strings of which two pitches beat: the rate and the depth of the partial that is named.
#[test]
fn warbles_that_were_made() {
    let mut chance = Chance::seeded(111);
    for number in 0..12 {
        let (apart, share) = (chance.between(0.8, 2.5), chance.between(0.25, 0.7));
        let mut string = Plucked::at(0.5, chance.in_ratio(80.0, 340.0));
        (string.beats, string.loses_20, string.stopped) = (Some((apart, share)), 3.0, 3.4);
        let plucks = told(&Sound::silence(48_000, 1, 5.0).pluck(&string), Played::OpenStrings).plucks;
        let warble = plucks[0].warble.unwrap_or_else(|| panic!("take {number}: none, {string:?}"));
        near(warble.rate.get() / (apart * f64::from(warble.partial)), 1.0, 0.08, &format!("take {number}: {warble:?}"));
        let depth = 20.0 * ((1.0 + share) / (1.0 - share)).log10();
        near(warble.depth.get(), depth, 0.25 * depth + 0.5, &format!("take {number}: {warble:?}"));
    }
}
