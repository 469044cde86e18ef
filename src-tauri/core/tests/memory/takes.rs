//! How much memory a recording takes while it is taken in, measured by the allocator itself.

use std::fs::File;
use std::io::{BufWriter, Seek as _, Write as _};

use solderlast_core::record::take::Played;
use solderlast_core::takes::Asked;
use solderlast_core::takes::keep::{check, keep};
use solderlast_testkit::sound::{Samples, wav_of};

use super::{ALLOCATOR, alone};

/// The bound, in MiB.
const BOUND: f32 = 64.0;
const RATE: u32 = 48_000;

/// A stereo file of so many seconds with 24 bit, written part after part: a saw whose pitch goes up.
fn recorded(seconds: u32) -> File {
    let mut file = BufWriter::new(tempfile::tempfile().expect("a file"));
    let head = wav_of(Samples::Whole(24), 2, RATE, &[], seconds * RATE * 6);
    file.write_all(&head).expect("room");
    let mut at = 0u32;
    for frame in 0..seconds * RATE {
        at = at.wrapping_add(10_000_000 + frame);
        let sample = (at.cast_signed() >> 12).to_le_bytes();
        file.write_all(&sample[..3]).and_then(|()| file.write_all(&sample[..3])).expect("room");
    }
    let mut file = file.into_inner().expect("room");
    file.rewind().expect("from its beginning");
    file
}

/// What keeping and telling it takes at most, in MiB, beside what is allocated already.
fn memory_for(seconds: u32) -> f32 {
    let (from, into) = (recorded(seconds), tempfile::tempfile().expect("a file"));
    ALLOCATOR.reset_peak_usage();
    let before = ALLOCATOR.current_usage_as_mb();
    let written = keep(from, into.try_clone().expect("the same file")).expect("it is kept");
    let mut kept = into;
    kept.rewind().expect("from its beginning");
    let told = check(kept, &written, &Asked { played: Played::Riff, tuning: Vec::new() }).expect("it is heard again");
    assert!(told.loudness.integrated.is_some());
    ALLOCATOR.peak_usage_as_mb() - before
}

/// However long it is.
#[test]
fn a_take_is_taken_in_part_after_part() {
    let _turn = alone();
    let [short, long] = [15, 120].map(memory_for);
    println!("15 s of stereo: {short:.1} MiB, 120 s: {long:.1} MiB");
    assert!(long < BOUND, "{long} MiB");
    assert!(long < short + 8.0, "{short} MiB, {long} MiB");
}
