//! Takes as they are kept: every sample as it was, at any rate, and nothing that can't be heard again.

use std::io::Cursor;

use solderlast_record::take::Played;
use solderlast_samples::Chance;
use solderlast_samples::sound::{Samples, Sound};

use super::asked;
use crate::file::Flaw;
use crate::keep::{NotKept, check, keep};
use crate::{Told, take};

/// What was told of a file as it was kept, and the kept file.
fn kept(file: Vec<u8>) -> Result<(Told, Vec<u8>), NotKept> {
    let mut into = Cursor::new(Vec::new());
    let written = keep(Cursor::new(file), &mut into)?;
    let flac = into.into_inner();
    let told = check(Cursor::new(flac.clone()), &written, &asked(Played::Riff))?;
    Ok((Told { flaws: written.flaws, ..told }, flac))
}

#[test]
fn a_take_tells_the_same_kept_as_it_did_when_it_came() {
    let mut chance = Chance(16);
    for (rate, channels, samples) in [
        (8_000, 1, Samples::Whole(16)),
        (22_050, 2, Samples::Whole(16)),
        (44_100, 1, Samples::Whole(24)),
        (48_000, 2, Samples::Whole(24)),
        (48_000, 1, Samples::Whole(8)),
        (96_000, 1, Samples::Whole(32)),
        (192_000, 2, Samples::Whole(24)),
        (37_800, 1, Samples::Float),
    ] {
        let tone = 200.0 + 100.0 * chance.between(0.0, 1.0);
        let sound = Sound::silence(rate, channels, 1.3).sine(tone, 0.4).noise(0.01, &mut chance);
        let file = sound.wav(samples);
        let came = take(Cursor::new(file.clone()), &asked(Played::Riff)).expect("it is heard");
        let (told, flac) = kept(file.clone()).expect("it is kept");
        assert_eq!((told.shape.rate, told.shape.channels), (came.shape.rate, came.shape.channels));
        assert_eq!((told.shape.bits, told.length.to_bits()), (Some(24), came.length.to_bits()), "{rate}");
        assert_eq!(told.flaws, came.flaws, "{rate}");
        let apart = |one: &Told, other: &Told| {
            let [one, other] = [one, other].map(|told| told.loudness.integrated.expect("it is loud").get());
            (one - other).abs()
        };
        assert!(apart(&told, &came) < 1e-3, "{rate} {samples:?}");
        // The same comes out again, to the bit.
        let (_, again) = kept(file).expect("it is kept");
        assert!(again == flac, "{rate}");
    }
}

#[test]
fn what_was_written_otherwise_is_not_taken_for_kept() {
    let sound = Sound::silence(48_000, 1, 1.0).sine(220.0, 0.3);
    let mut into = Cursor::new(Vec::new());
    let written = keep(Cursor::new(sound.wav(Samples::Whole(24))), &mut into).expect("written");
    let flac = into.into_inner();
    let mut chance = Chance(5);
    for _ in 0..40 {
        let mut damaged = flac.clone();
        // Past what is told of the whole, the padding after it, and the head of the first frame.
        let at = 8400 + (chance.between(0.0, 1.0) * (flac.len() - 8400) as f64) as usize;
        damaged[at] ^= 1 << ((chance.between(0.0, 1.0) * 8.0) as u8);
        assert!(check(Cursor::new(damaged), &written, &asked(Played::Riff)).is_err(), "byte {at}");
    }
    let other = sound.scaled(0.5, 0.5).wav(Samples::Whole(24));
    assert!(matches!(check(Cursor::new(other), &written, &asked(Played::Riff)), Err(NotKept::Differs)));
}

/// What is beyond full scale is cut off there, and told as clipped.
#[test]
fn what_is_beyond_full_scale_is_told() {
    let (told, _) = kept(Sound::silence(48_000, 1, 1.0).sine(220.0, 2.5).wav(Samples::Float)).expect("it is kept");
    assert!(told.clipped.is_some());
    let (told, _) = kept(Sound::silence(48_000, 1, 1.0).sine(220.0, 0.3).wav(Samples::Whole(8))).expect("it is kept");
    assert_eq!(told.flaws, [Flaw::FewBits { bits: 8 }]);
}

/// A disk that is full in the middle.
#[test]
fn a_full_disk_is_told_as_such() {
    struct Full(Cursor<Vec<u8>>, usize);
    impl std::io::Write for Full {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            if self.0.get_ref().len() + bytes.len() > self.1 {
                return Err(std::io::ErrorKind::StorageFull.into());
            }
            self.0.write(bytes)
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    impl std::io::Seek for Full {
        fn seek(&mut self, to: std::io::SeekFrom) -> std::io::Result<u64> {
            self.0.seek(to)
        }
    }
    let file = Sound::silence(48_000, 1, 3.0).sine(220.0, 0.3).noise(0.1, &mut Chance(3)).wav(Samples::Whole(16));
    for room in [0, 100, 70_000, 150_000] {
        match keep(Cursor::new(file.clone()), Full(Cursor::default(), room)) {
            Err(NotKept::Disk(error)) => assert_eq!(error.kind(), std::io::ErrorKind::StorageFull, "{room}"),
            other => panic!("{room}: {other:?}"),
        }
    }
}
