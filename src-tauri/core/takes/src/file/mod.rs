//! Reads the sound of a file, part after part: however long it is, one part is held at a time.
//!
//! A file is taken for what its bytes say, whatever its name is. What it claims of its length is believed of no file: sound is read
//! until there is none, and what was promised beyond that is told as cut off.

mod kinds;
mod unreadable;

use std::io::{self, Read, Seek, SeekFrom};
use std::panic::{AssertUnwindSafe, catch_unwind};

use serde::{Deserialize, Serialize};
use symphonia::core::codecs::CodecParameters;
use symphonia::core::codecs::audio::well_known::{
    CODEC_ID_AAC, CODEC_ID_ALAC, CODEC_ID_FLAC, CODEC_ID_MP3, CODEC_ID_OPUS, CODEC_ID_VORBIS,
};
use symphonia::core::codecs::audio::{AudioCodecId, AudioCodecParameters, AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::core::meta::MetadataOptions;
use ts_rs::TS;

use solderlast_record::take::RATES;
pub use solderlast_record::take::{Coding, Flaw, LARGEST, LONGEST};
pub use unreadable::Unreadable;

/// A sample beyond this, as a multiple of full scale, is no sound (60 dB over it).
const BEYOND_SOUND: f32 = 1000.0;
/// A recording that is shorter than promised by less than this, in seconds, is whole: encoders pad.
const PADDING: f64 = 0.1;

/// How the sound of a recording is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Shape {
    /// Samples a second in each channel, in hertz.
    pub rate: u32,
    /// One channel, or two.
    pub channels: u8,
    /// Bits of a sample, where the file has such.
    pub bits: Option<u32>,
    /// How it is kept.
    pub coding: Coding,
}

/// A file as symphonia wants it: with its length, which was looked up once.
struct Source<R> {
    inner: R,
    length: u64,
    /// Whether it is read from its beginning to its end, as it may break off.
    straight_on: bool,
}

impl<R: Read> Read for Source<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.inner.read(into)
    }
}

impl<R: Seek> Seek for Source<R> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.inner.seek(to)
    }
}

impl<R: Read + Seek + Send + Sync> MediaSource for Source<R> {
    fn is_seekable(&self) -> bool {
        !self.straight_on
    }

    fn byte_len(&self) -> Option<u64> {
        Some(self.length)
    }
}

/// A recording that is being read.
pub struct Recording {
    reader: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    track: u32,
    shape: Shape,
    promised: Option<u64>,
    video: bool,
    /// The part that was read last, channel beside channel.
    part: Vec<f32>,
    frames: u64,
    heard: bool,
    not_numbers: u64,
    /// How many parts can't be read, and how many frames were read before the first of them.
    damaged: (u32, u64),
    /// Ended before its end.
    broke_off: bool,
    over: bool,
}

/// The codecs are others' code, read by files that nobody knows: should one of them panic, the file is one that can't be read.
fn guarded<T>(read: impl FnOnce() -> Result<T, Error>) -> Result<T, Error> {
    catch_unwind(AssertUnwindSafe(read)).unwrap_or(Err(Error::DecodeError("gave up")))
}

impl Recording {
    /// Looks into a file and finds the sound in it.
    ///
    /// # Errors
    /// [`Unreadable`], with a sentence, when there is none that can be read.
    pub fn open<R: Read + Seek + Send + Sync + 'static>(mut source: R) -> Result<Self, Unreadable> {
        let unread = |error: io::Error| Unreadable::Unread { why: error.to_string() };
        let length = source.seek(SeekFrom::End(0)).map_err(unread)?;
        source.seek(SeekFrom::Start(0)).map_err(unread)?;
        if length == 0 {
            return Err(Unreadable::Empty);
        }
        if length > LARGEST {
            return Err(Unreadable::TooLarge { bytes: length });
        }
        let mut head = Vec::new();
        Read::by_ref(&mut source).take(64).read_to_end(&mut head).map_err(unread)?;
        source.seek(SeekFrom::Start(0)).map_err(unread)?;
        let kind = kinds::of(&head);
        if let Some(what) = kind.and_then(kinds::Kind::no_sound) {
            return Err(Unreadable::NotSound { what: what.to_owned() });
        }
        // With its index in front, an M4A file that breaks off can be read up to there, if nobody looks for its end.
        let straight_on = kind == Some(kinds::Kind::M4a) && kinds::index_first(&mut source).map_err(unread)?;
        let source = Source { inner: source, length, straight_on };
        let stream = MediaSourceStream::new(Box::new(source), Default::default());
        let probe = || {
            symphonia::default::get_probe().probe(
                &Hint::new(),
                stream,
                FormatOptions::default(),
                MetadataOptions::default(),
            )
        };
        let reader = guarded(probe).map_err(|error| match (error, kind) {
            (Error::IoError(error), _) if error.kind() != io::ErrorKind::UnexpectedEof => unread(error),
            // Its index stands at its end as a rule.
            (_, Some(kind @ kinds::Kind::M4a)) | (Error::IoError(_), Some(kind)) => {
                Unreadable::OnlyBegun { kind: kind.in_words().to_owned() }
            }
            (_, Some(kind)) => Unreadable::BadHead { kind: kind.in_words().to_owned() },
            (_, None) => Unreadable::Unknown,
        })?;
        let video = reader.first_track(TrackType::Video).is_some();
        let Some(track) = reader.default_track(TrackType::Audio).or_else(|| reader.first_track(TrackType::Audio))
        else {
            return Err(if kind.is_some_and(kinds::Kind::may_be_video) {
                Unreadable::OnlyVideo
            } else {
                Unreadable::NoTrack
            });
        };
        let Some(CodecParameters::Audio(params)) = &track.codec_params else { return Err(Unreadable::NoTrack) };
        let decoder = || symphonia::default::get_codecs().make_audio_decoder(params, &AudioDecoderOptions::default());
        let decoder = guarded(decoder).map_err(|_| Unreadable::Coding { opus: params.codec == CODEC_ID_OPUS })?;
        let shape = shape(decoder.codec_params());
        // Without its tag, which names a delay as well, the length of an MP3 file is guessed by its first part.
        let promises = shape.coding != Coding::Mp3 || track.delay.is_some();
        let (track, promised) = (track.id, track.num_frames.filter(|_| promises));
        let mut recording = Self {
            reader,
            shape,
            decoder,
            track,
            promised,
            video,
            part: Vec::new(),
            frames: 0,
            heard: false,
            not_numbers: 0,
            damaged: (0, 0),
            broke_off: false,
            over: false,
        };
        // Some files say only with their first sound how it is laid out.
        recording.next()?;
        if recording.frames == 0 {
            return Err(match recording.damaged.0 {
                0 => Unreadable::NoSamples,
                _ => Unreadable::AllDamaged,
            });
        }
        if !RATES.contains(&recording.shape.rate) {
            return Err(Unreadable::Rate { rate: recording.shape.rate });
        }
        Ok(recording)
    }

    /// How the sound is laid out.
    #[must_use]
    pub fn shape(&self) -> Shape {
        self.shape
    }

    /// Hands every part on, one after the other: the samples of all channels beside each other, full scale being 1.
    ///
    /// # Errors
    /// When it is longer than a take may be, too short to tell anything, or has no sound but silence.
    pub fn each_part(&mut self, mut hear: impl FnMut(&[f32]) -> Result<(), Unreadable>) -> Result<(), Unreadable> {
        while !self.part.is_empty() {
            hear(&self.part)?;
            self.next()?;
        }
        if self.length() < SHORTEST {
            return Err(Unreadable::TooShort { frames: self.frames, rate: self.shape.rate });
        }
        if !self.heard {
            return Err(Unreadable::Silent);
        }
        Ok(())
    }

    /// What was read so far, in seconds.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.frames as f64 / f64::from(self.shape.rate.max(1))
    }

    /// What was wrong with what was read.
    #[must_use]
    pub fn flaws(&self) -> Vec<Flaw> {
        let rate = f64::from(self.shape.rate.max(1));
        let promised = self.promised.map(|frames| frames as f64 / rate);
        let lacking = promised.is_some_and(|promised| promised - self.length() > PADDING);
        let (parts, before) = self.damaged;
        let mut flaws = Vec::new();
        if self.broke_off || (lacking && parts == 0) {
            let promised = promised.filter(|_| lacking);
            flaws.push(Flaw::CutOff { read: self.length(), promised });
        }
        if parts > 0 {
            flaws.push(Flaw::Damaged { parts, at: before as f64 / rate });
        }
        if self.not_numbers > 0 {
            flaws.push(Flaw::NotNumbers { samples: self.not_numbers });
        }
        if let Some(bits) = self.shape.bits.filter(|bits| *bits < 16) {
            flaws.push(Flaw::FewBits { bits });
        }
        if !self.shape.coding.is_lossless() {
            flaws.push(Flaw::Lossy { coding: self.shape.coding });
        }
        if self.video {
            flaws.push(Flaw::FromVideo);
        }
        flaws
    }

    /// Reads the next part that has any sound; an empty one at the end.
    fn next(&mut self) -> Result<(), Unreadable> {
        self.part.clear();
        while self.part.is_empty() && !self.over {
            match guarded(|| self.reader.next_packet()) {
                Ok(Some(packet)) if packet.track_id == self.track => self.decode(&packet)?,
                Ok(Some(_)) => {}
                Ok(None) => self.over = true,
                Err(Error::IoError(error)) if error.kind() != io::ErrorKind::UnexpectedEof => {
                    return Err(Unreadable::Unread { why: error.to_string() });
                }
                Err(_) => {
                    self.broke_off = true;
                    self.over = true;
                }
            }
        }
        self.frames += (self.part.len() / usize::from(self.shape.channels.max(1))) as u64;
        if self.length() > LONGEST {
            return Err(Unreadable::TooLong);
        }
        for sample in &mut self.part {
            // Also false for what is no number.
            if sample.abs() <= BEYOND_SOUND {
                self.heard |= *sample != 0.0;
            } else {
                self.not_numbers += 1;
                *sample = 0.0;
            }
        }
        Ok(())
    }

    fn decode(&mut self, packet: &symphonia::core::packet::Packet) -> Result<(), Unreadable> {
        let Self { decoder, part, frames, shape, damaged, broke_off, over, .. } = self;
        let decoded = guarded(|| {
            let sound = decoder.decode(packet)?;
            sound.copy_to_vec_interleaved(part);
            Ok((sound.spec().rate(), sound.spec().channels().count()))
        });
        match decoded {
            Ok((rate, channels)) if *frames == 0 => {
                shape.rate = rate;
                shape.channels = match channels {
                    1 | 2 => channels as u8,
                    0 => return Err(Unreadable::NoTrack),
                    _ => return Err(Unreadable::Channels { channels }),
                };
            }
            // It goes on as another recording.
            Ok((rate, channels)) if (rate, channels) != (shape.rate, usize::from(shape.channels)) => {
                part.clear();
                *broke_off = true;
                *over = true;
            }
            Ok(_) => {}
            Err(Error::DecodeError(_) | Error::IoError(_)) => {
                part.clear();
                if damaged.0 == 0 {
                    damaged.1 = *frames;
                }
                damaged.0 = damaged.0.saturating_add(1);
            }
            Err(_) => {
                part.clear();
                *broke_off = true;
                *over = true;
            }
        }
        Ok(())
    }
}

/// How it is kept, by the name of its codec; nothing for plain samples.
fn coding(codec: AudioCodecId) -> Option<Coding> {
    match codec {
        CODEC_ID_FLAC => Some(Coding::Flac),
        CODEC_ID_ALAC => Some(Coding::Alac),
        CODEC_ID_MP3 => Some(Coding::Mp3),
        CODEC_ID_VORBIS => Some(Coding::Vorbis),
        CODEC_ID_AAC => Some(Coding::Aac),
        _ => None,
    }
}

/// The shortest take of which anything can be told, in seconds: one block of loudness (ITU-R BS.1770).
const SHORTEST: f64 = 0.4;

fn shape(params: &AudioCodecParameters) -> Shape {
    let coding = coding(params.codec).unwrap_or(Coding::Pcm);
    Shape {
        rate: params.sample_rate.unwrap_or_default(),
        channels: params.channels.as_ref().map_or(0, |channels| channels.count().min(255) as u8),
        bits: params.bits_per_sample.filter(|_| coding.is_lossless()),
        coding,
    }
}
