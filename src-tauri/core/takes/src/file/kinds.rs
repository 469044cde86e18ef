//! What a file is by its first bytes.

use std::io::{self, Read, Seek, SeekFrom};

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Wav,
    Flac,
    Ogg,
    M4a,
    Mp3,
    Picture,
    OtherVideo,
    Document,
    Archive,
    Program,
    Text,
}

/// The kind that these first bytes are known for.
pub(super) fn of(head: &[u8]) -> Option<Kind> {
    let at = |from: usize, what: &[u8]| head.get(from..).is_some_and(|rest| rest.starts_with(what));
    let riff = at(0, b"RIFF");
    let kinds = [
        (riff && at(8, b"WAVE"), Kind::Wav),
        (at(0, b"fLaC"), Kind::Flac),
        (at(0, b"OggS"), Kind::Ogg),
        (at(4, b"ftypheic") || at(4, b"ftypmif1") || at(4, b"ftypavif"), Kind::Picture),
        (at(4, b"ftyp"), Kind::M4a),
        (at(0, b"ID3") || (at(0, b"\xff") && head.get(1).is_some_and(|next| next & 0xe6 == 0xe2)), Kind::Mp3),
        (at(0, b"\x89PNG") || at(0, b"\xff\xd8\xff") || at(0, b"GIF8") || at(0, b"BM"), Kind::Picture),
        ((riff && at(8, b"WEBP")) || at(0, b"II*\0") || at(0, b"MM\0*") || at(0, b"<svg"), Kind::Picture),
        ((riff && at(8, b"AVI ")) || at(0, b"\x1a\x45\xdf\xa3") || at(0, b"FLV\x01"), Kind::OtherVideo),
        (
            at(0, b"\0\0\x01\xba") || at(0, b"\0\0\x01\xb3") || at(0, b"\x30\x26\xb2\x75\x8e\x66\xcf\x11"),
            Kind::OtherVideo,
        ),
        (at(0, b"%PDF") || at(0, b"\xd0\xcf\x11\xe0"), Kind::Document),
        (at(0, b"PK\x03\x04") || at(0, b"\x1f\x8b") || at(0, b"Rar!") || at(0, b"7z\xbc\xaf"), Kind::Archive),
        (at(0, b"\x7fELF") || at(0, b"MZ"), Kind::Program),
        (!head.is_empty() && head.iter().all(|byte| matches!(byte, b'\t' | b'\n' | b'\r' | 0x20..=0x7e)), Kind::Text),
    ];
    kinds.into_iter().find(|(is, _)| *is).map(|(_, kind)| kind)
}

/// Whether an M4A file has its index (`moov`) before its sound (`mdat`). The source is left at its beginning.
pub(super) fn index_first<R: Read + Seek>(source: &mut R) -> io::Result<bool> {
    let mut at = 0u64;
    let mut first = false;
    // Few boxes stand before these.
    for _ in 0..16 {
        source.seek(SeekFrom::Start(at))?;
        let mut head = Vec::new();
        Read::by_ref(source).take(8).read_to_end(&mut head)?;
        let (Some(size), Some(name)) = (head.first_chunk::<4>(), head.get(4..8)) else { break };
        let size = u64::from(u32::from_be_bytes(*size));
        first = name == b"moov";
        // A size below that of the head means another one, that is longer than these files are.
        if first || name == b"mdat" || size < 8 {
            break;
        }
        at += size;
    }
    source.seek(SeekFrom::Start(0))?;
    Ok(first)
}

impl Kind {
    /// What it is, if there is no sound in such a file that is read here.
    pub(super) fn no_sound(self) -> Option<&'static str> {
        match self {
            Self::Wav | Self::Flac | Self::Ogg | Self::M4a | Self::Mp3 => None,
            _ => Some(self.in_words()),
        }
    }

    pub(super) fn may_be_video(self) -> bool {
        matches!(self, Self::M4a | Self::Ogg)
    }

    pub(super) fn in_words(self) -> &'static str {
        match self {
            Self::Wav => "a WAV file",
            Self::Flac => "a FLAC file",
            Self::Ogg => "an Ogg file",
            Self::M4a => "an M4A file",
            Self::Mp3 => "an MP3 file",
            Self::Picture => "a picture",
            Self::OtherVideo => "a video of a kind that is not read here",
            Self::Document => "a document",
            Self::Archive => "a packed archive",
            Self::Program => "a program",
            Self::Text => "text",
        }
    }
}
