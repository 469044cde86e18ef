//! Files as recorders, phones and cameras make them, by ffmpeg; and what breaks off.

use std::fs;
use std::path::Path;

use solderlast_core::record::take::Played;
use solderlast_core::takes::Told;
use solderlast_core::takes::file::{Coding, Flaw};
use solderlast_testkit::sound::{Plucked, Samples, Sound};

use super::{ffmpeg, heard, near, told};

/// A few notes.
fn notes() -> Sound {
    [0.2, 1.7, 3.2, 4.7].into_iter().fold(Sound::silence(48_000, 2, 6.5), |sound, at| {
        let mut string = Plucked::at(at, 110.0 * (1.0 + at));
        string.stopped = 1.4;
        sound.pluck(&string)
    })
}

/// Makes a file of the notes by ffmpeg.
fn made(folder: &Path, name: &str, how: &[&str]) -> std::path::PathBuf {
    let wav = folder.join("notes.wav");
    fs::write(&wav, notes().wav(Samples::Whole(24))).unwrap();
    let path = folder.join(name);
    let (wav, made) = (wav.to_string_lossy().into_owned(), path.to_string_lossy().into_owned());
    ffmpeg(&[&["-i", wav.as_str()], how, &[made.as_str()]].concat());
    path
}

fn flaws(told: &Told) -> Vec<Flaw> {
    told.flaws.iter().filter(|flaw| !matches!(flaw, Flaw::Lossy { .. })).cloned().collect()
}

/// Each kind of file tells the same as the WAV file it was made of; what loses something, nearly the same.
#[test]
fn all_kinds_of_files() {
    let folder = tempfile::tempdir().unwrap();
    let plain = told(&notes(), Played::Riff);
    for (name, how, coding) in [
        ("a.flac", &[][..], Coding::Flac),
        ("b.flac", &["-sample_fmt", "s16"], Coding::Flac),
        ("a.mp3", &["-b:a", "192k"], Coding::Mp3),
        ("b.mp3", &["-q:a", "4", "-write_xing", "0"], Coding::Mp3),
        ("a.ogg", &["-c:a", "libvorbis"], Coding::Vorbis),
        ("a.m4a", &["-c:a", "aac"], Coding::Aac),
        ("b.m4a", &["-c:a", "aac", "-movflags", "+faststart"], Coding::Aac),
        ("c.m4a", &["-c:a", "alac"], Coding::Alac),
        ("a.aac", &["-c:a", "aac"], Coding::Aac),
        ("a.wav", &["-c:a", "pcm_s16le"], Coding::Pcm),
        ("b.wav", &["-c:a", "pcm_f32le"], Coding::Pcm),
        ("c.wav", &["-c:a", "pcm_u8"], Coding::Pcm),
        ("d.wav", &["-ar", "192000"], Coding::Pcm),
    ] {
        let told =
            heard(&made(folder.path(), name, how), Played::Riff).unwrap_or_else(|error| panic!("{name}: {error:?}"));
        assert_eq!(told.shape.coding, coding, "{name}");
        near(told.length, 6.5, 0.1, name);
        // Encoders of MP3 turn what they are given down a little.
        let within = if coding == Coding::Mp3 { 0.6 } else { 0.1 };
        near(told.loudness.integrated.unwrap().get(), plain.loudness.integrated.unwrap().get(), within, name);
        let wanted = if name == "c.wav" { vec![Flaw::FewBits { bits: 8 }] } else { Vec::new() };
        assert_eq!(flaws(&told), wanted, "{name}");
        assert_eq!(told.flaws.iter().any(|flaw| matches!(flaw, Flaw::Lossy { .. })), !coding.is_lossless(), "{name}");
    }
}

#[test]
fn what_is_not_read_says_why() {
    let folder = tempfile::tempdir().unwrap();
    for (name, how, said) in [
        ("a.opus", &["-c:a", "libopus"][..], "kept as Opus"),
        ("a.mp4", &["-c:a", "ac3"], "locked, or kept in a way that is not read"),
        ("a.mkv", &["-c:a", "aac"], "a video of a kind that is not read"),
        ("six.wav", &["-af", "pan=5.1|c0=c0|c1=c1|c2=c0|c3=c0|c4=c0|c5=c1"], "6 channels"),
        ("six.flac", &["-af", "pan=5.1|c0=c0|c1=c1|c2=c0|c3=c0|c4=c0|c5=c1"], "6 channels"),
    ] {
        let refused = heard(&made(folder.path(), name, how), Played::Riff).unwrap_err().sentence();
        assert!(refused.contains(said), "{name}: {refused}");
    }
    let picture = ["-f", "lavfi", "-i", "testsrc=d=2:s=64x64"];
    let mute = folder.path().join("mute.mp4").to_string_lossy().into_owned();
    ffmpeg(&[&picture[..], &[&mute]].concat());
    assert_eq!(heard(Path::new(&mute), Played::Riff).unwrap_err().sentence(), "This is a video without sound.");

    let video = made(folder.path(), "video.mp4", &[&picture[..], &["-shortest"]].concat());
    let told = heard(&video, Played::Riff).unwrap();
    assert_eq!(flaws(&told), [Flaw::FromVideo]);
}

/// Half a file of each kind: what is there is told and said to be cut off, or what is to be done is said.
#[test]
fn half_a_file_of_each_kind() {
    let folder = tempfile::tempdir().unwrap();
    for (name, how) in [
        ("a.wav", &[][..]),
        ("a.flac", &[]),
        ("a.mp3", &["-b:a", "192k"]),
        ("a.ogg", &["-c:a", "libvorbis"]),
        ("a.m4a", &["-c:a", "aac", "-movflags", "+faststart"]),
        ("c.m4a", &["-c:a", "alac", "-movflags", "+faststart"]),
    ] {
        let path = made(folder.path(), name, how);
        let whole = fs::read(&path).unwrap();
        fs::write(&path, &whole[..whole.len() / 2]).unwrap();
        let told = heard(&path, Played::Riff).unwrap_or_else(|error| panic!("{name}: {error:?}"));
        assert!((0.5..6.3).contains(&told.length), "{name}: {} s", told.length);
        // An Ogg file promises no length.
        assert!(name == "a.ogg" || matches!(flaws(&told)[..], [Flaw::CutOff { .. }]), "{name}: {:?}", told.flaws);
    }
    let path = made(folder.path(), "b.m4a", &["-c:a", "aac"]);
    let whole = fs::read(&path).unwrap();
    fs::write(&path, &whole[..whole.len() / 2]).unwrap();
    let refused = heard(&path, Played::Riff).unwrap_err().sentence();
    assert!(refused.contains("lacks the index at its end"), "{refused}");
}

/// Files of each kind changed by chance are told or refused, and nothing stops. `SOLDERLAST_FUZZ` tries more.
#[test]
fn no_change_of_any_file_stops_it() {
    let folder = tempfile::tempdir().unwrap();
    let mut chance = solderlast_testkit::Chance::seeded(17);
    let good: Vec<Vec<u8>> = [
        ("a.flac", &["-t", "1"][..]),
        ("a.mp3", &["-t", "1"]),
        ("a.ogg", &["-t", "1", "-c:a", "libvorbis"]),
        ("a.m4a", &["-t", "1", "-c:a", "aac", "-movflags", "+faststart"]),
        ("c.m4a", &["-t", "1", "-c:a", "alac"]),
    ]
    .map(|(name, how)| fs::read(made(folder.path(), name, how)).unwrap())
    .to_vec();
    for _ in 0..solderlast_testkit::number("SOLDERLAST_FUZZ", 100) {
        let mut file = chance.of(&good);
        let reach = if chance.flip() { 600.min(file.len()) } else { file.len() };
        for _ in 0..chance.whole(1, 8) {
            let at = chance.below(reach);
            file[at] = chance.next() as u8;
        }
        let path = folder.path().join("changed");
        fs::write(&path, file).unwrap();
        match heard(&path, Played::OpenStrings) {
            Ok(told) => assert!(told.length > 0.0),
            Err(unreadable) => assert!(unreadable.sentence().ends_with('.')),
        }
    }
}
