//! Recordings whose content is known, as each was made for it.

use std::f64::consts::TAU;

use solderlast_record::take::Played;
use solderlast_samples::Chance;
use solderlast_samples::sound::{Plucked, Samples, Sound};

use super::{heard, sentences, told, usual_tuning};
use crate::repeats::{Quantity, differences, spread};
use crate::{Told, follows};

fn near(one: f64, other: f64, by: f64, what: &str) {
    assert!((one - other).abs() <= by, "{what}: {one}, not {other}");
}

/// Six open strings, two and a half seconds each; how each is plucked can be changed.
fn six_strings(change: impl Fn(usize, &mut Plucked)) -> Sound {
    // Four seconds of rest at the end.
    let mut sound = Sound::silence(48_000, 1, 19.5).noise(1e-9, &mut Chance(3));
    for (number, note) in usual_tuning().into_iter().enumerate() {
        let mut string = Plucked::at(0.5 + 2.5 * number as f64, note.pitch().get());
        string.stopped = 2.4;
        change(number, &mut string);
        sound = sound.pluck(&string);
    }
    sound
}

#[test]
fn six_open_strings_are_told_one_by_one() {
    let told = told(&six_strings(|_, _| {}), Played::OpenStrings);
    assert_eq!(told.plucks.len(), 6, "{:#?}", told.plucks);
    for (number, pluck) in told.plucks.iter().enumerate() {
        let what = format!("string {}", 6 - number);
        assert_eq!(pluck.string, Some(6 - number as u8), "{what}");
        near(pluck.at, 0.5 + 2.5 * number as f64, 0.005, &what);
        near(pluck.cents.unwrap(), 0.0, 3.0, &what);
        near(pluck.decay.unwrap().seconds, 2.0, 0.1, &what);
        assert!(pluck.decay.unwrap().heard && pluck.decay.unwrap().two_slopes.is_none(), "{pluck:?}");
        assert!(pluck.warble.is_none(), "{pluck:?}");
        assert!(pluck.rise < 3.0 + 1000.0 / pluck.pitch.get(), "{what}: {}", pluck.rise);
    }
    assert!(told.hum.is_none(), "{:?}", told.hum);
    assert!(told.clipped.is_none(), "{:?}", told.clipped);
    assert_eq!(sentences(&told), Vec::<String>::new());
}

#[test]
fn a_string_that_stands_out_is_named_with_its_side() {
    let loud = told(
        &six_strings(|number, string| {
            if number == 3 {
                string.height *= 10f64.powf(4.1 / 20.0);
            }
        }),
        Played::OpenStrings,
    );
    let said = sentences(&loud);
    assert!(said[0].starts_with("The 3rd string is 4.") && said[0].contains("over the others: lower"), "{said:?}");

    let bass = told(
        &six_strings(|number, string| string.height *= 10f64.powf(-1.5 * number as f64 / 20.0)),
        Played::OpenStrings,
    );
    let said = sentences(&bass);
    assert!(said[0].contains("the bass strings being louder: give the bass side"), "{said:?}");

    let flat = told(
        &six_strings(|number, string| {
            if number == 0 {
                string.hertz *= 2f64.powf(-20.0 / 1200.0);
            }
        }),
        Played::OpenStrings,
    );
    let said = sentences(&flat);
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].contains("The 6th string is 20 cents flat"), "{said:?}");
}

#[test]
fn a_string_pulled_by_magnets_warbles() {
    let pulled = told(
        &six_strings(|number, string| {
            if number == 1 {
                string.beats = Some((2.0, 0.6));
            }
        }),
        Played::OpenStrings,
    );
    let warbles: Vec<_> =
        pulled.plucks.iter().filter_map(|pluck| pluck.warble.map(|warble| (pluck.string, warble))).collect();
    assert_eq!(warbles.len(), 1, "{warbles:?}");
    let (string, warble) = warbles[0];
    assert_eq!(string, Some(5));
    // Two pitches 2 Hz apart at the first partial: the n-th swells 2n times a second. 0.6 beside 1: 12 dB.
    near(warble.rate.get(), 2.0 * f64::from(warble.partial), 0.2, "rate");
    near(warble.depth.get(), 12.0, 2.0, "depth");
    assert!(sentences(&pulled).iter().any(|said| said.contains("give it more gap")), "{:?}", sentences(&pulled));
}

#[test]
fn hum_is_found_with_its_mains_and_its_level() {
    let mut chance = Chance(8);
    for (mains, hands) in [(50.0, Played::HumHandsOff), (60.0, Played::HumHandsOn), (49.95, Played::HumHandsOff)] {
        let heights = [1e-3, 3e-4, 8e-4, 2e-4, 4e-4];
        let mut sound = Sound::silence(48_000, 2, 10.0).noise(1e-10, &mut chance);
        for (number, height) in heights.iter().enumerate() {
            sound = sound.sine(mains * (number + 1) as f64, *height);
        }
        let hum = told(&sound, hands).hum.unwrap();
        let power: f64 = heights.iter().map(|height| height * height).sum();
        // Half for a sine, twice for two channels.
        near(hum.level.get(), 10.0 * power.log10(), 0.3, "level");
        near(hum.exact.get(), mains, 0.05, "mains");
        assert_eq!(hum.lines.iter().map(|line| line.harmonic).collect::<Vec<_>>(), [1, 2, 3, 4, 5]);
    }
    let noise = Sound::silence(48_000, 1, 10.0).noise(1e-8, &mut chance);
    assert!(told(&noise, Played::HumHandsOff).hum.is_none());
}

#[test]
fn hum_under_the_playing_is_told_against_it() {
    let hum = 10f64.powf(-40.0 / 20.0);
    let told = told(&six_strings(|_, _| {}).sine(60.0, 0.1 * hum).sine(180.0, 0.05 * hum), Played::OpenStrings);
    let found = told.hum.unwrap();
    near(found.level.get(), 10.0 * (0.5 * (0.1f64.powi(2) + 0.05f64.powi(2)) * hum * hum).log10(), 0.5, "level");
    near(found.against_playing.unwrap().get(), found.level.get() - told.level.playing.unwrap().get(), 1e-9, "against");
}

/// Notes of one pitch, the last of which rings on to the end; or it is stopped, and three seconds of rest follow.
fn notes(hertz: f64, loses_20: f64, rest: bool) -> Sound {
    let mut sound = Sound::silence(12_000, 1, 13.0).noise(1e-12, &mut Chance(5));
    for (at, stopped) in [(3.0, 2.9), (6.0, if rest { 3.0 } else { 7.0 })] {
        sound = sound.pluck(&Plucked { loses_20, stopped, ..Plucked::at(at, hertz) });
    }
    sound
}

#[test]
fn a_note_beside_the_mains_is_no_hum() {
    for loses_20 in [1.5, 4.0, 8.0] {
        for quarter in 0..=20 {
            let hertz = 58.0 + 0.25 * f64::from(quarter);
            let what = format!("{hertz} Hz, 20 dB in {loses_20} s");
            let rung = told(&cut(notes(hertz, loses_20, false), 3.0), Played::Riff);
            assert_eq!(rung.hum, None, "{what}");
            let rested = told(&notes(hertz, loses_20, true), Played::Riff);
            assert_eq!((rested.hum, rested.rests), (None, true), "{what}, with a rest");
        }
    }
    // The note on the mains itself, with no rest: whether there is hum can't be told, and that is said.
    let rung = told(&cut(notes(60.0, 4.0, false), 3.0), Played::Riff);
    let hum = rung.figures().into_iter().find(|figure| figure.name == "hum");
    assert!(hum.is_some_and(|hum| hum.shown.starts_with("can't be told")), "{:?}", rung.figures());
    // A soft note after loud ones is no hum either: mains would have been there before it.
    let soft = |time: f64| if time < 6.0 { 0.0 } else { 0.02 };
    let mut sound = Sound::silence(12_000, 1, 12.0).sine(196.0, 0.2);
    for (number, sample) in sound.channels[0].iter_mut().enumerate() {
        let time = number as f64 / 12_000.0;
        *sample *= f64::from(u8::from(time < 6.0));
        *sample += soft(time) * (TAU * 60.0 * time).sin();
    }
    assert_eq!(told(&sound, Played::Riff).hum, None);
}

/// Without so many seconds of its beginning.
fn cut(mut sound: Sound, seconds: f64) -> Sound {
    let frames = (seconds * f64::from(sound.rate)) as usize;
    sound.channels.iter_mut().for_each(|channel| drop(channel.drain(..frames)));
    sound
}

#[test]
fn steady_hum_is_told_under_any_note_where_there_are_rests() {
    for mains in [50.0, 59.98] {
        for hertz in [48.99, 61.74, 82.41] {
            for under in [-70.0, -55.0, -40.0, -30.0, -20.0] {
                let quiet = notes(hertz, 4.0, true);
                let playing = told(&quiet, Played::Riff).level.playing.unwrap().get();
                // Two lines, the second half as high: 10·log10(0.5 + 0.125) above the height of the first.
                let height = 10f64.powf((playing + under + 2.04) / 20.0);
                let hum = told(&quiet.sine(mains, height).sine(3.0 * mains, height / 2.0), Played::Riff).hum;
                let what = format!("{under} dB of {mains} Hz under {hertz} Hz");
                let hum = hum.unwrap_or_else(|| panic!("{what} is not found"));
                near(hum.against_playing.unwrap().get(), under, 2.0, &what);
                near(hum.exact.get(), mains, 0.1, &what);
            }
        }
    }
}

#[test]
fn a_low_level_is_remarked_on_once() {
    for (peak, said) in
        [(-8.0, None), (-14.0, None), (-18.0, Some("It serves")), (-26.0, Some("It serves")), (-40.0, Some("only"))]
    {
        let riff = told(&Sound::silence(48_000, 1, 2.0).sine(220.0, 10f64.powf(peak / 20.0)), Played::Riff);
        let sentences = sentences(&riff);
        assert_eq!(sentences.len(), usize::from(said.is_some()), "{peak}: {sentences:?}");
        assert!(said.is_none_or(|said| sentences[0].contains(said)), "{peak}: {sentences:?}");
    }
}

#[test]
fn hum_with_hands_on_the_strings() {
    let mut chance = Chance(9);
    let mut hum = |height: f64, played| {
        let sound = Sound::silence(48_000, 1, 10.0).noise(1e-11, &mut chance);
        told(&sound.sine(50.0, height).sine(150.0, height / 2.0), played)
    };
    let mut said =
        |on: f64| follows::from_hands(&hum(1e-2, Played::HumHandsOff), &hum(on, Played::HumHandsOn)).unwrap().sentence;
    assert_eq!(
        said(2e-3),
        "Hum falls 14 dB with hands on the strings: that is the usual sign of a working string ground."
    );
    assert!(said(3e-2).starts_with("Hum rises 9.5 dB"));
    assert!(said(1.1e-2).starts_with("Hum is the same"));
}

#[test]
fn flat_tops_are_clipped_and_round_ones_are_not() {
    let burst = |height: f64| {
        let mut sound = Sound::silence(48_000, 1, 6.0).noise(1e-9, &mut Chance(4));
        for at in [1.0, 3.0, 5.0] {
            for (number, sample) in sound.channels[0].iter_mut().enumerate() {
                let time = number as f64 / 48_000.0 - at;
                *sample += height * (-200.0 * time * time).exp() * (TAU * 196.0 * time).cos();
            }
        }
        sound
    };
    let clipped = |sound: &Sound, samples| heard(sound.wav(samples), Played::Riff).unwrap().clipped;
    for samples in [Samples::Whole(16), Samples::Whole(24), Samples::Float] {
        let full = clipped(&burst(2.0).clipped(1.0), samples).unwrap();
        assert_eq!((full.places, full.below_full_scale), (3, false), "{samples:?} {full:?}");
        near(full.at[1], 2.97, 0.05, "the second");
        let below = clipped(&burst(1.0).clipped(0.5), samples).unwrap();
        assert_eq!((below.places, below.below_full_scale), (3, true), "{samples:?} {below:?}");
        near(below.ceiling.unwrap().get(), -6.02, 0.01, "ceiling");
        assert_eq!(clipped(&burst(0.99), samples), None, "{samples:?}");
    }
    // The slowest strings, large and small, at every rate: their tops stand still for some samples and are round.
    for rate in [8000, 44_100, 96_000, 192_000] {
        for height in [0.06, 0.3, 0.999] {
            let low = Sound::silence(rate, 1, 2.0).sine(30.9, height);
            assert_eq!(clipped(&low, Samples::Whole(16)), None, "{rate} {height}");
        }
    }
}

#[test]
fn an_offset_is_told() {
    let told = told(&Sound::silence(48_000, 2, 2.0).sine(200.0, 0.2).scaled(1.0, 0.021), Played::Riff);
    near(told.level.offset[1], 0.021, 1e-4, "offset");
    near(told.level.playing.unwrap().get(), 10.0 * 0.04f64.log10(), 0.01, "the offset is no sound");
    assert!(sentences(&told)[0].contains("2.1 %"), "{:?}", sentences(&told));
}

#[test]
fn a_sine_is_in_its_third_octave() {
    for channels in [1, 2] {
        let told = told(&Sound::silence(48_000, channels, 5.0).sine(1000.0, 0.1), Played::Riff);
        let of = |name: f64| {
            told.spectrum
                .thirds
                .iter()
                .find(|band| band.name.get() == name)
                .unwrap()
                .level
                .map_or(-200.0, |level| level.get())
        };
        near(of(1000.0), 10.0 * (0.005 * channels as f64).log10(), 0.05, "1 kHz");
        assert!(of(800.0) < of(1000.0) - 40.0 && of(1250.0) < of(1000.0) - 40.0, "{:?}", told.spectrum.thirds);
        near(told.spectrum.middle.unwrap().get(), 1000.0, 1.0, "middle");
    }
}

fn riffs(loud: f64, count: u64, seed: u64) -> Vec<Told> {
    let mut chance = Chance(seed);
    (0..count)
        .map(|_| {
            let by = loud * 10f64.powf(chance.between(-0.8, 0.8) / 20.0);
            told(
                &Sound::silence(48_000, 1, 2.0).sine(220.0, 0.1 * by).sine(880.0, 0.02 * by * chance.between(0.9, 1.1)),
                Played::Riff,
            )
        })
        .collect()
}

#[test]
fn a_difference_inside_the_spread_is_none() {
    let of = |takes: &[Told], other: &[Told]| {
        let (one, other): (Vec<&Told>, Vec<&Told>) = (takes.iter().collect(), other.iter().collect());
        *differences(&one, &other).iter().find(|difference| difference.of == Quantity::Loudness).unwrap()
    };
    let one = riffs(1.0, 4, 1);
    assert_eq!(of(&one, &riffs(1.0, 4, 2)).differs(), Some(false));
    let louder = of(&one, &riffs(10f64.powf(3.8 / 20.0), 4, 2));
    assert_eq!(louder.differs(), Some(true), "{louder:?}");
    assert_eq!(of(&one, &riffs(3.0, 2, 2)).differs(), None, "two takes tell nothing of the player");
    let told: Vec<&Told> = one.iter().collect();
    let spread = spread(&told);
    assert!(spread.iter().all(|one| one.takes == 4 && one.deviation.is_some()), "{spread:?}");

    let said = follows::from_two(&one[0], &riffs(2.0, 1, 1)[0]).unwrap().sentence;
    assert_eq!(
        said,
        "These two differ by 6 dB in level, which is a result of its own. For listening the second is turned down by 6 dB."
    );
}
