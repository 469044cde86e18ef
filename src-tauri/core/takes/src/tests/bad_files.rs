//! What is no take, or not quite: a clear sentence each time.

use solderlast_record::take::Played;
use solderlast_samples::Chance;
use solderlast_samples::sound::{Samples, Sound, wav_of};

use super::{heard, sentences};
use crate::file::Flaw;

fn tone(rate: u32, channels: usize, seconds: f64) -> Sound {
    Sound::silence(rate, channels, seconds).sine(220.0, 0.3)
}

/// What is said of this file when nothing of it can be told.
fn refused(file: Vec<u8>) -> String {
    match heard(file, Played::Riff) {
        Ok(told) => format!("taken for {} s of sound", told.length),
        Err(unreadable) => unreadable.sentence(),
    }
}

#[test]
fn what_is_no_take_is_refused_with_a_sentence() {
    let one_sample = wav_of(Samples::Whole(16), 1, 48_000, &[1, 2], 2);
    let six = tone(48_000, 6, 1.0).wav(Samples::Whole(16));
    let no_numbers = Sound::silence(48_000, 1, 1.0).scaled(1.0, f64::NAN).wav(Samples::Float);
    let mut adpcm = tone(48_000, 1, 1.0).wav(Samples::Whole(16));
    adpcm[20] = 0x50;
    for (what, file, said) in [
        ("nothing", Vec::new(), "is empty"),
        ("a picture named .wav", b"\x89PNG\r\n\x1a\n and so on".to_vec(), "This is a picture"),
        ("a photo", b"\xff\xd8\xff\xe0\0\x10JFIF".to_vec(), "This is a picture"),
        ("a video", b"\x1a\x45\xdf\xa3\0\0".to_vec(), "This is a video of a kind"),
        ("words", b"I am a take, believe me.\n".to_vec(), "This is text"),
        ("zeros", vec![0; 5000], "not known here"),
        ("no sample", wav_of(Samples::Whole(16), 1, 48_000, &[], 0), "no sound in this file"),
        ("one sample", one_sample, "one sample"),
        ("a tenth of a second", tone(48_000, 1, 0.1).wav(Samples::Whole(16)), "0.10 s of sound"),
        ("silence", Sound::silence(48_000, 1, 2.0).wav(Samples::Whole(16)), "silent from end to end"),
        ("nothing but NaN", no_numbers, "silent from end to end"),
        ("5.1 channels", six, "6 channels"),
        ("a coding of its own", adpcm, "Save it as WAV or FLAC"),
        ("a head alone", b"RIFF\xff\0\0\0WAVEfmt ".to_vec(), "breaks off before its sound"),
        ("no head", b"RIFF\xff\0\0\0WAVEnonsense and more of that, on and on".to_vec(), "a WAV file"),
        ("384 kHz", tone(384_000, 1, 0.5).wav(Samples::Whole(16)), "384000 samples a second"),
    ] {
        let sentence = refused(file);
        assert!(sentence.contains(said), "{what}: {sentence}");
    }
}

#[test]
fn what_is_unusual_is_taken_and_named() {
    let two = |samples| tone(48_000, 2, 1.0).wav(samples);
    let flaws = |file| heard(file, Played::Riff).map(|told| (told.flaws.clone(), sentences(&told)));
    for samples in [Samples::Whole(16), Samples::Whole(24), Samples::Whole(32), Samples::Float] {
        assert_eq!(flaws(two(samples)).unwrap().0, [], "{samples:?}");
    }
    assert_eq!(flaws(tone(192_000, 2, 1.0).wav(Samples::Whole(24))).unwrap().0, [], "192 kHz");
    let (found, said) = flaws(two(Samples::Whole(8))).unwrap();
    assert_eq!(found, [Flaw::FewBits { bits: 8 }]);
    assert!(said[0].contains("8 bit"), "{said:?}");

    let mut some_nan = tone(48_000, 1, 1.0);
    for (at, wrong) in [(100, f64::NAN), (200, f64::INFINITY), (300, 1e30)] {
        some_nan.channels[0][at] = wrong;
    }
    let told = heard(some_nan.wav(Samples::Float), Played::Riff).unwrap();
    assert_eq!(told.flaws, [Flaw::NotNumbers { samples: 3 }]);
    assert!((told.loudness.true_peak.unwrap().get() + 10.46).abs() < 0.2, "{:?}", told.loudness);
}

#[test]
fn what_breaks_off_is_kept_and_said() {
    let whole = tone(48_000, 1, 4.0).wav(Samples::Whole(16));
    let half = heard(whole[..whole.len() / 2].to_vec(), Played::Riff).unwrap();
    assert!((half.length - 2.0).abs() < 0.03, "{}", half.length);
    assert!(matches!(half.flaws[..], [Flaw::CutOff { promised: Some(4.0), .. }]), "{:?}", half.flaws);
    assert!(sentences(&half)[0].contains("promised 4.0 s"), "{:?}", sentences(&half));

    // The head claims as many bytes as it can; a second of sound is there.
    let sound = &tone(48_000, 1, 1.0).wav(Samples::Whole(16))[44..];
    for promised in [u32::MAX, u32::MAX - 36, 0x7fff_ffff] {
        let told = heard(wav_of(Samples::Whole(16), 1, 48_000, sound, promised), Played::Riff).unwrap();
        assert!((told.length - 1.0).abs() < 0.03, "{promised}: {}", told.length);
        if promised != u32::MAX {
            assert!(matches!(told.flaws[..], [Flaw::CutOff { .. }]), "{promised}: {:?}", told.flaws);
        }
    }
}

#[test]
fn more_than_a_take_may_be_is_refused() {
    let long = tone(8000, 1, 601.0).wav(Samples::Whole(8));
    assert!(refused(long).contains("longer than 10 min."));
    // As large as can be, without the bytes: only the length is asked for.
    struct Huge;
    impl std::io::Read for Huge {
        fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
            Ok(0)
        }
    }
    impl std::io::Seek for Huge {
        fn seek(&mut self, _: std::io::SeekFrom) -> std::io::Result<u64> {
            Ok(4 << 30)
        }
    }
    let sentence = crate::take(Huge, &super::asked(Played::Riff)).unwrap_err().sentence();
    assert!(sentence.contains("4295 MB"), "{sentence}");
}

/// Files changed by chance are told or refused, and nothing stops.
#[test]
fn no_change_of_a_file_stops_it() {
    let mut chance = Chance::seeded(16);
    let good = [
        tone(44_100, 2, 0.6).wav(Samples::Whole(16)),
        tone(48_000, 1, 0.6).wav(Samples::Float),
        tone(8000, 1, 0.6).wav(Samples::Whole(8)),
    ];
    for _ in 0..solderlast_samples::number("SOLDERLAST_FUZZ", 150) {
        let mut file = chance.of(&good);
        let head_only = chance.flip();
        for _ in 0..chance.whole(1, 8) {
            let reach = if head_only { 60 } else { file.len() };
            let at = chance.below(reach.min(file.len()));
            file[at] = chance.next() as u8;
        }
        if chance.below(4_u8) == 0 {
            file.truncate(chance.below(file.len()));
        }
        if let Ok(told) = heard(file, Played::OpenStrings) {
            serde_json::to_string(&told).unwrap();
        }
    }
}
