//! What one take tells.

use std::io::{Read, Seek};

use serde::{Deserialize, Serialize};
use solderlast_record::note::Note;
use solderlast_record::quantity::Decibels;
use solderlast_record::take::Played;
use ts_rs::TS;

use crate::clipping::{Clipped, Tops};
use crate::file::{Flaw, Recording, Shape, Unreadable};
use crate::hum::{Heard, Hum, hum};
use crate::level::{Level, Levels};
use crate::loudness::{Aside, Loudness};
use crate::spectrum::{Spectra, Spectrum};
use crate::strings::{Pluck, Strings};

/// What was played in a take, and on what.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// What was played.
    pub played: Played,
    /// The notes of the open strings, bass side first; none where they are not known.
    pub tuning: Vec<Note>,
}

/// What a take tells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Told {
    /// What was played.
    pub played: Played,
    /// How its sound is laid out.
    pub shape: Shape,
    /// Its length, in seconds.
    pub length: f64,
    /// What was wrong with the file.
    pub flaws: Vec<Flaw>,
    /// How loud it is.
    pub loudness: Loudness,
    /// Levels of the playing and of the rest.
    pub level: Level,
    /// Where it is clipped, if it is.
    pub clipped: Option<Clipped>,
    /// Whether there is a rest of two seconds or so, in which hum can be heard.
    pub rests: bool,
    /// Mains hum, if any was found in a rest.
    pub hum: Option<Hum>,
    /// What it sounds like over its whole length.
    pub spectrum: Spectrum,
    /// Each pluck of an open string; none where something else was played.
    pub plucks: Vec<Pluck>,
}

/// Listens to a take, part after part.
struct Listener {
    loudness: Aside,
    levels: Levels,
    tops: Tops,
    spectra: Spectra,
    strings: Option<Strings>,
}

impl Listener {
    fn new(shape: Shape, asked: &Asked) -> Result<Self, ebur128::Error> {
        let Shape { rate, channels, .. } = shape;
        Ok(Self {
            loudness: Aside::new(channels, rate)?,
            levels: Levels::new(channels, rate),
            tops: Tops::new(channels, rate),
            spectra: Spectra::new(channels, rate),
            strings: (asked.played == Played::OpenStrings).then(|| Strings::new(channels, rate, &asked.tuning)),
        })
    }

    fn hear(&mut self, samples: &[f32]) -> Result<(), ebur128::Error> {
        self.loudness.hear(samples)?;
        self.levels.hear(samples);
        self.tops.hear(samples);
        self.spectra.hear(samples);
        if let Some(strings) = &mut self.strings {
            strings.hear(samples);
        }
        Ok(())
    }
}

/// Reads a recording from its beginning to its end and tells what is in it. However long it is, little of it is held at a time.
///
/// # Errors
/// [`Unreadable`], with a sentence, when no sound can be read from it, or too much or too little.
pub fn take<R: Read + Seek + Send + Sync + 'static>(source: R, asked: &Asked) -> Result<Told, Unreadable> {
    heard(source, asked, |_| ())
}

/// The same, for who wants the samples as well.
pub(crate) fn heard<R: Read + Seek + Send + Sync + 'static>(
    source: R,
    asked: &Asked,
    mut also: impl FnMut(&[f32]),
) -> Result<Told, Unreadable> {
    let unmeasured = |error: ebur128::Error| Unreadable::Unread { why: error.to_string() };
    let mut recording = Recording::open(source)?;
    let shape = recording.shape();
    let mut listener = Listener::new(shape, asked).map_err(unmeasured)?;
    recording.each_part(|samples| {
        also(samples);
        listener.hear(samples).map_err(unmeasured)
    })?;
    let level = listener.levels.told();
    let (spectrum, quiet) = listener.spectra.told();
    let nobody_plays = asked.played.is_hum();
    let heard = hum(&quiet, nobody_plays);
    let rests = heard != Heard::CantTell;
    let hum = if let Heard::Hum(hum) = heard { Some(hum) } else { None };
    let hum = hum.map(|hum| {
        let playing = level.playing.filter(|_| !nobody_plays);
        Hum { against_playing: playing.map(|playing| Decibels(hum.level.get() - playing.get())), ..hum }
    });
    Ok(Told {
        played: asked.played,
        shape,
        length: recording.length(),
        flaws: recording.flaws(),
        loudness: listener.loudness.told().map_err(unmeasured)?,
        level,
        clipped: listener.tops.told(),
        rests,
        hum,
        spectrum,
        plucks: listener.strings.map(Strings::told).unwrap_or_default(),
    })
}
