//! A take as it is kept: FLAC with 24 bit at its own rate, written part after part, and heard again before anybody relies on it.

use std::io::{self, Read, Seek, SeekFrom, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};

use flac_codec::encode::{FlacSampleWriter, Options};
use sha2::{Digest, Sha256};

use crate::file::{Coding, Flaw, LARGEST, Recording, Shape, Unreadable};
use crate::told::{Asked, Told, heard};

/// The media type of every kept take.
pub const MEDIA_TYPE: &str = "audio/flac";
/// Bits of a kept sample.
const BITS: u32 = 24;
/// Full scale as a whole number.
const FULL_SCALE: f32 = 8_388_608.0;

/// Why a take was not kept.
#[derive(Debug)]
pub enum NotKept {
    /// No sound can be read from it, or too much or too little.
    Unreadable(Unreadable),
    /// The disk is full, or can't be used.
    Disk(io::Error),
    /// It would weigh more than a take may, though its file did not.
    GrowsTooLarge,
    /// What was written does not sound as what was read.
    Differs,
}

impl From<Unreadable> for NotKept {
    fn from(unreadable: Unreadable) -> Self {
        Self::Unreadable(unreadable)
    }
}

impl From<io::Error> for NotKept {
    fn from(error: io::Error) -> Self {
        Self::Disk(error)
    }
}

impl NotKept {
    /// What happened, and what to do; nothing for the disk, whose trouble is told elsewhere.
    #[must_use]
    pub fn sentence(&self) -> Option<String> {
        match self {
            Self::Unreadable(unreadable) => Some(unreadable.sentence()),
            Self::Disk(_) => None,
            Self::GrowsTooLarge => Some(format!(
                "Kept without loss it would have more than {} MB. Cut out the part that counts, or record at 48 kHz.",
                LARGEST / 1_000_000
            )),
            Self::Differs => Some("It could not be kept as it sounds. That is a fault of this program.".to_owned()),
        }
    }
}

/// A take that was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// How the file was laid out that it came from.
    pub from: Shape,
    /// Its length, in seconds.
    pub seconds: f64,
    /// What was wrong with that file.
    pub flaws: Vec<Flaw>,
    /// The sum of its samples, by which it is known when it is heard again.
    samples: [u8; 32],
}

/// Writes the sound of a recording as it is kept. However long it is, little of it is held at a time.
///
/// # Errors
/// [`NotKept`]; what was written by then is of no use.
pub fn keep<R, W>(source: R, into: W) -> Result<Written, NotKept>
where
    R: Read + Seek + Send + Sync + 'static,
    W: Write + Seek,
{
    let mut recording = Recording::open(source)?;
    let Shape { rate, channels, .. } = recording.shape();
    let into = io::BufWriter::with_capacity(1 << 16, Within { inner: into, at: 0, outgrown: false });
    let mut writer = guarded(|| FlacSampleWriter::new(into, Options::default(), rate, BITS, channels, None))?;
    let (mut sum, mut whole) = (Sum::default(), Vec::new());
    let mut failed = None;
    let read = recording.each_part(|samples| {
        sum.add(samples, &mut whole);
        match guarded(|| writer.write(&whole)) {
            Ok(()) => Ok(()),
            Err(error) => {
                failed = Some(error);
                // Only to come out of the reading.
                Err(Unreadable::Empty)
            }
        }
    });
    if failed.is_some() || read.is_err() {
        // It writes its end when it is let go.
        let _ = guarded(move || {
            drop(writer);
            Ok(())
        });
        return Err(failed.or_else(|| read.err().map(NotKept::from)).unwrap_or(NotKept::Differs));
    }
    guarded(move || writer.finalize())?;
    Ok(Written { from: recording.shape(), seconds: recording.length(), flaws: recording.flaws(), samples: sum.end() })
}

/// Hears a take that was just written: its samples have to be those that were read.
///
/// # Errors
/// [`NotKept::Differs`] when it sounds otherwise; else as [`crate::take`].
pub fn check<R>(kept: R, written: &Written, asked: &Asked) -> Result<Told, NotKept>
where
    R: Read + Seek + Send + Sync + 'static,
{
    let (mut sum, mut whole) = (Sum::default(), Vec::new());
    let told = heard(kept, asked, |samples| sum.add(samples, &mut whole))?;
    let as_it_was = sum.end() == written.samples && told.shape.coding == Coding::Flac;
    if as_it_was { Ok(told) } else { Err(NotKept::Differs) }
}

/// The sum of samples as they are kept.
#[derive(Default)]
struct Sum {
    sum: Sha256,
    bytes: Vec<u8>,
}

impl Sum {
    /// Adds samples, full scale being 1, and leaves them as whole numbers in `whole`.
    fn add(&mut self, samples: &[f32], whole: &mut Vec<i32>) {
        whole.clear();
        whole.extend(samples.iter().map(|sample| {
            // Exact for what has 24 bit or fewer.
            (sample * FULL_SCALE).round().clamp(-FULL_SCALE, FULL_SCALE - 1.0) as i32
        }));
        self.bytes.clear();
        self.bytes.extend(whole.iter().flat_map(|sample| sample.to_le_bytes()));
        self.sum.update(&self.bytes);
    }

    fn end(self) -> [u8; 32] {
        self.sum.finalize().into()
    }
}

/// The encoder is others' code: should it panic, the take is not kept.
fn guarded<T>(write: impl FnOnce() -> Result<T, flac_codec::Error>) -> Result<T, NotKept> {
    match catch_unwind(AssertUnwindSafe(write)) {
        Ok(Ok(done)) => Ok(done),
        Ok(Err(flac_codec::Error::Io(error))) if error.kind() == io::ErrorKind::FileTooLarge => {
            Err(NotKept::GrowsTooLarge)
        }
        Ok(Err(flac_codec::Error::Io(error))) => Err(NotKept::Disk(error)),
        Ok(Err(_)) | Err(_) => Err(NotKept::Differs),
    }
}

/// A file that grows no larger than a take may.
struct Within<W> {
    inner: W,
    at: u64,
    outgrown: bool,
}

impl<W: Write> Write for Within<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.outgrown || self.at + bytes.len() as u64 > LARGEST {
            self.outgrown = true;
            return Err(io::ErrorKind::FileTooLarge.into());
        }
        let written = self.inner.write(bytes)?;
        self.at += written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

impl<W: Seek> Seek for Within<W> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.at = self.inner.seek(to)?;
        Ok(self.at)
    }
}
