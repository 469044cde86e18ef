//! Photos of a finish, before and after: cleaned, made smaller, and named by their content.
//!
//! A photo carries more than its picture: where it was taken, on which phone, sometimes a script. So nothing of the
//! file is kept. It is decoded within limits, turned upright, made smaller, and written anew as a plain JPEG.

use std::fmt;
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};

use crate::record::photo::PhotoName;

use crate::shelf::{self, Sort};

/// The photos beside a log.
pub type Shelf = shelf::Shelf<PhotoName>;

impl Sort for PhotoName {
    const FOLDER: &str = "photos";
    const ENDING: &str = "jpg";
    const BY_PARTS: bool = false;
}

/// The most a file may weigh, in bytes: 24 MiB.
pub const MOST_BYTES: usize = 24 * 1024 * 1024;
/// The most pixels a picture may have: 50 million.
pub const MOST_PIXELS: u64 = 50_000_000;
/// The most pixels a progressive JPEG may have, since its decoder holds three times as much: 20 million.
pub const MOST_PIXELS_PROGRESSIVE: u64 = 20_000_000;
/// The most memory the decoded pixels may take, in bytes: 192 MiB. Decoders need some beside it.
const MOST_MEMORY: u64 = 192 * 1024 * 1024;
/// The longest edge of a picture as it is kept, in pixels: enough to see a hairline on a guitar's top.
pub const LONGEST_EDGE: u32 = 2400;
/// Quality of the kept JPEG, of 100.
const QUALITY: u8 = 88;

/// A photo as it is kept: a JPEG with nothing in it but the picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Its name.
    pub name: PhotoName,
    /// The file.
    pub bytes: Vec<u8>,
    /// Width, in pixels, upright.
    pub width: u32,
    /// Height, in pixels, upright.
    pub height: u32,
}

/// The media type of every kept photo.
pub const MEDIA_TYPE: &str = "image/jpeg";

/// Why a photo was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhotoRefusal {
    /// The file weighs too much; its size in bytes.
    TooHeavy(usize),
    /// It has too many pixels, or takes too much memory; width and height.
    TooManyPixels(u32, u32),
    /// A kind of picture this app does not read, by its usual name.
    OtherKind(&'static str),
    /// It is no picture, whatever it is called.
    NoPicture,
    /// It begins like a picture, but can't be read to its end.
    Broken,
}

impl PhotoRefusal {
    /// A stable name of the reason.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::TooHeavy(_) => "photo_too_heavy",
            Self::TooManyPixels(..) => "photo_too_many_pixels",
            Self::OtherKind(_) => "photo_other_kind",
            Self::NoPicture => "photo_no_picture",
            Self::Broken => "photo_broken",
        }
    }

    /// What happened, what was kept, and what to do.
    #[must_use]
    pub fn sentence(self) -> String {
        match self {
            Self::TooHeavy(bytes) => format!(
                "This photo has {} MB, and {} MB fit. Nothing was kept. Take it with fewer pixels, or send a smaller copy.",
                bytes.div_ceil(1_000_000),
                MOST_BYTES / 1_000_000
            ),
            Self::TooManyPixels(width, height) => format!(
                "This photo has {width} by {height} pixels, which is too large. Nothing was kept. Take it with fewer pixels."
            ),
            Self::OtherKind(kind) => {
                format!("This is a {kind} file. Nothing was kept. Save it as JPEG, PNG or WebP, and add it again.")
            }
            Self::NoPicture => {
                "This file is not a picture, whatever its name says. Nothing was kept. Add a JPEG, PNG or WebP photo."
                    .to_owned()
            }
            Self::Broken => {
                "This photo is damaged and can't be read to its end. Nothing was kept. Take it again.".to_owned()
            }
        }
    }
}

impl fmt::Display for PhotoRefusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence())
    }
}

impl std::error::Error for PhotoRefusal {}

/// Cleans a photo for keeping. What it is goes by its content; its name and what a sender says of it do not count.
///
/// The same file always gives the same photo. Location, camera, comments, colour profiles and whatever hangs on the
/// end of the file are gone; the picture stands upright without a note that says how to turn it.
///
/// # Errors
/// [`PhotoRefusal`] for a file that is too heavy, too large, of another kind, no picture, or broken.
pub fn clean(file: &[u8]) -> Result<Photo, PhotoRefusal> {
    if file.len() > MOST_BYTES {
        return Err(PhotoRefusal::TooHeavy(file.len()));
    }
    let format = kind_of(file)?;
    let mut most_pixels = MOST_PIXELS;
    if format == ImageFormat::Jpeg {
        let markers = markers(file);
        if !markers.whole {
            return Err(PhotoRefusal::Broken);
        }
        if markers.progressive {
            most_pixels = MOST_PIXELS_PROGRESSIVE;
        }
    }
    // Decoders are other people's code on other people's files: a panic in one is an answer, not the end of the app.
    let picture =
        catch_unwind(AssertUnwindSafe(|| decode(file, format, most_pixels))).unwrap_or(Err(PhotoRefusal::Broken))?;
    let (width, height) = picture.dimensions();
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, QUALITY).encode_image(&picture).map_err(|_| PhotoRefusal::Broken)?;
    Ok(Photo { name: PhotoName::of(&bytes), bytes, width, height })
}

/// Whether these bytes are a photo as [`clean`] leaves one: a plain JPEG that is whole, not larger than photos are kept,
/// and has nothing in it but the picture. A photo from another log is kept as it is, by its name, so it is looked at
/// before.
#[must_use]
pub fn is_as_kept(file: &[u8]) -> bool {
    let Some(scan) = only_the_picture(file) else { return false };
    // The first end mark is the end: nothing hangs on it.
    let ends = scan.windows(2).position(|pair| pair == [0xFF, 0xD9]) == Some(scan.len().saturating_sub(2));
    let size = ImageReader::with_format(Cursor::new(file), ImageFormat::Jpeg).into_dimensions();
    ends && size.is_ok_and(|(width, height)| width.max(height) <= LONGEST_EDGE && width.min(height) > 0)
}

/// What follows the head of a JPEG that has nothing but tables and a picture in one pass; nothing for any other file.
fn only_the_picture(file: &[u8]) -> Option<&[u8]> {
    let mut rest = file.strip_prefix(&[0xFF, 0xD8])?;
    loop {
        let [0xFF, marker, high, low, ..] = rest else { return None };
        match marker {
            // Start of scan.
            0xDA => return Some(rest),
            // JFIF's own head, tables, the frame, a restart interval: no comment, no other application's words.
            0xE0 | 0xDB | 0xC4 | 0xC0 | 0xC1 | 0xDD => {}
            _ => return None,
        }
        rest = rest.get(2 + usize::from(u16::from_be_bytes([*high, *low])).max(2)..)?;
    }
}

fn kind_of(file: &[u8]) -> Result<ImageFormat, PhotoRefusal> {
    match image::guess_format(file) {
        Ok(format @ (ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP)) => return Ok(format),
        Ok(ImageFormat::Gif) => return Err(PhotoRefusal::OtherKind("GIF")),
        Ok(ImageFormat::Tiff) => return Err(PhotoRefusal::OtherKind("TIFF")),
        Ok(ImageFormat::Avif) => return Err(PhotoRefusal::OtherKind("AVIF")),
        Ok(ImageFormat::Bmp) => return Err(PhotoRefusal::OtherKind("BMP")),
        // The list of formats may grow, and weak marks match by chance: what is not known above is no photo.
        _ => {}
    }
    // ISO base media files say "ftyp" and then who they are for; many phones write HEIC that way.
    match (file.get(4..8), file.get(8..12)) {
        (Some(b"ftyp"), Some(b"heic" | b"heix" | b"hevc" | b"mif1" | b"msf1")) => Err(PhotoRefusal::OtherKind("HEIC")),
        (Some(b"ftyp"), _) => Err(PhotoRefusal::OtherKind("video")),
        _ => Err(PhotoRefusal::NoPicture),
    }
}

/// What the markers of a JPEG say before any of it is decoded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Markers {
    /// Whether its picture comes in several passes.
    progressive: bool,
    /// Whether there is an end mark after its picture begins. The decoder fills a cut-off picture with grey, and half a
    /// finish is no proof of anything.
    whole: bool,
}

fn markers(file: &[u8]) -> Markers {
    let mut progressive = false;
    let mut at = 2;
    loop {
        match (file.get(at), file.get(at + 1)) {
            // Fill bytes may stand before a marker.
            (Some(0xFF), Some(0xFF)) => at += 1,
            // Start of scan: within the scan, the end mark can't occur by chance.
            (Some(0xFF), Some(0xDA)) => {
                return Markers { progressive, whole: file[at..].windows(2).any(|pair| pair == [0xFF, 0xD9]) };
            }
            (Some(0xFF), Some(0x01 | 0xD0..=0xD8)) => at += 2,
            (Some(0xFF), Some(marker)) => match (file.get(at + 2), file.get(at + 3)) {
                (Some(&high), Some(&low)) => {
                    progressive |= *marker == 0xC2;
                    at += 2 + usize::from(u16::from_be_bytes([high, low])).max(2);
                }
                _ => return Markers { progressive, whole: false },
            },
            _ => return Markers { progressive, whole: false },
        }
    }
}

fn decode(file: &[u8], format: ImageFormat, most_pixels: u64) -> Result<RgbImage, PhotoRefusal> {
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    let mut reader = ImageReader::with_format(Cursor::new(file), format);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|_| PhotoRefusal::Broken)?;
    let (width, height) = decoder.dimensions();
    if width == 0 || height == 0 {
        return Err(PhotoRefusal::Broken);
    }
    if u64::from(width) * u64::from(height) > most_pixels || decoder.total_bytes() > MOST_MEMORY {
        return Err(PhotoRefusal::TooManyPixels(width, height));
    }
    // A damaged note about the orientation is not a damaged picture.
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let picture = DynamicImage::from_decoder(decoder).map_err(|_| PhotoRefusal::Broken)?;
    let mut picture = if width.max(height) > LONGEST_EDGE {
        // Averages without a large working copy, unlike the finer filters.
        picture.thumbnail(LONGEST_EDGE, LONGEST_EDGE)
    } else {
        picture
    };
    picture.apply_orientation(orientation);
    Ok(on_white(picture))
}

/// Without transparency: what is seen through is white.
fn on_white(picture: DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.into_rgb8();
    }
    let seen_through = picture.into_rgba8();
    RgbImage::from_fn(seen_through.width(), seen_through.height(), |x, y| {
        let [red, green, blue, alpha] = seen_through.get_pixel(x, y).0;
        image::Rgb([red, green, blue].map(|c| {
            let mixed = (u16::from(c) * u16::from(alpha) + 255 * (255 - u16::from(alpha))) / 255;
            u8::try_from(mixed).unwrap_or(u8::MAX)
        }))
    })
}

#[cfg(test)]
mod tests;
