use image::codecs::png::PngEncoder;
use image::codecs::webp::WebPEncoder;
use image::{ExtendedColorType, ImageEncoder, Rgba, RgbaImage};
use img_parts::jpeg::{Jpeg, JpegSegment};
use img_parts::{Bytes, ImageEXIF, ImageICC};
use proptest::prelude::*;

use super::*;

/// A picture whose top left quarter is red, so that its orientation can be told.
fn marked(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        if x < width / 2 && y < height / 2 { image::Rgb([220, 20, 20]) } else { image::Rgb([20, 20, 220]) }
    })
}

fn jpeg(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90).encode_image(picture).expect("writes to memory");
    bytes
}

fn png(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    PngEncoder::new(&mut bytes)
        .write_image(picture, picture.width(), picture.height(), ExtendedColorType::Rgb8)
        .expect("writes to memory");
    bytes
}

fn webp(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    WebPEncoder::new_lossless(&mut bytes)
        .write_image(picture, picture.width(), picture.height(), ExtendedColorType::Rgb8)
        .expect("writes to memory");
    bytes
}

/// EXIF with an orientation, a camera's name and a place on earth.
fn exif(orientation: u16) -> Vec<u8> {
    use exif::experimental::Writer;
    use exif::{Field, In, Rational, Tag, Value};
    let fields = [
        (Tag::Orientation, Value::Short(vec![orientation])),
        (Tag::Model, Value::Ascii(vec![b"An invented camera".to_vec()])),
        (Tag::GPSLatitudeRef, Value::Ascii(vec![b"N".to_vec()])),
        (Tag::GPSLatitude, Value::Rational([48, 51, 30].map(|num| Rational { num, denom: 1 }).to_vec())),
        (Tag::GPSLongitudeRef, Value::Ascii(vec![b"E".to_vec()])),
        (Tag::GPSLongitude, Value::Rational([2, 17, 40].map(|num| Rational { num, denom: 1 }).to_vec())),
    ]
    .map(|(tag, value)| Field { tag, ifd_num: In::PRIMARY, value });
    let mut writer = Writer::new();
    fields.iter().for_each(|field| writer.push_field(field));
    let mut out = Cursor::new(Vec::new());
    writer.write(&mut out, false).expect("writes to memory");
    out.into_inner()
}

fn with_exif(file: Vec<u8>, format: ImageFormat, orientation: u16) -> Vec<u8> {
    let note = Some(Bytes::from(exif(orientation)));
    let file = Bytes::from(file);
    match format {
        ImageFormat::Jpeg => {
            let mut parts = Jpeg::from_bytes(file).expect("a whole JPEG");
            parts.set_exif(note);
            parts.set_icc_profile(Some(Bytes::from_static(b"an invented colour profile")));
            parts
                .segments_mut()
                .insert(0, JpegSegment::new_with_contents(0xFE, Bytes::from_static(b"a secret comment")));
            parts.encoder().bytes().to_vec()
        }
        ImageFormat::Png => {
            let mut parts = img_parts::png::Png::from_bytes(file).expect("a whole PNG");
            parts.set_exif(note);
            parts.encoder().bytes().to_vec()
        }
        _ => {
            let mut parts = img_parts::webp::WebP::from_bytes(file).expect("a whole WebP");
            parts.set_exif(note);
            parts.encoder().bytes().to_vec()
        }
    }
}

fn location_in(file: &[u8]) -> bool {
    exif::Reader::new()
        .read_from_container(&mut Cursor::new(file))
        .is_ok_and(|found| found.fields().any(|field| field.tag == exif::Tag::GPSLatitude))
}

/// Nothing but the picture: a JFIF header and what the picture needs.
fn assert_bare(file: &[u8]) {
    assert!(exif::Reader::new().read_from_container(&mut Cursor::new(file)).is_err(), "EXIF is left");
    let parts = Jpeg::from_bytes(Bytes::copy_from_slice(file)).expect("a whole JPEG");
    for segment in parts.segments() {
        let marker = segment.marker();
        assert!(!(0xE1..=0xEF).contains(&marker) && marker != 0xFE, "segment {marker:#x} is left");
    }
    for secret in ["invented camera", "colour profile", "secret comment", "<script"] {
        assert!(!file.windows(secret.len()).any(|part| part == secret.as_bytes()), "{secret} is left");
    }
}

fn is_red(picture: &RgbImage, x: u32, y: u32) -> bool {
    let [red, _, blue] = picture.get_pixel(x, y).0;
    red > 150 && blue < 100
}

#[test]
fn location_and_all_else_goes() {
    let picture = marked(64, 48);
    for (format, file) in
        [(ImageFormat::Jpeg, jpeg(&picture)), (ImageFormat::Png, png(&picture)), (ImageFormat::WebP, webp(&picture))]
    {
        let dirty = with_exif(file, format, 1);
        assert!(location_in(&dirty), "{format:?}: the test's own photo has a place in it");
        let photo = clean(&dirty).expect("a good photo");
        assert_bare(&photo.bytes);
        assert_eq!((photo.width, photo.height), (64, 48));
        assert!(photo.name.names(&photo.bytes));
    }
}

/// Where the red quarter stands after each of the eight orientations of EXIF (tag 0x0112), upright: x and y in
/// quarters. From the EXIF standard: 1 as it is, 2 mirrored, 3 half turn, 4 flipped, 5 to 8 with a quarter turn.
#[test]
fn every_orientation_stands_upright() {
    let picture = marked(64, 48);
    for (orientation, size, right, bottom) in [
        (1, (64, 48), false, false),
        (2, (64, 48), true, false),
        (3, (64, 48), true, true),
        (4, (64, 48), false, true),
        (5, (48, 64), false, false),
        (6, (48, 64), true, false),
        (7, (48, 64), true, true),
        (8, (48, 64), false, true),
    ] {
        for (format, file) in [
            (ImageFormat::Jpeg, jpeg(&picture)),
            (ImageFormat::Png, png(&picture)),
            (ImageFormat::WebP, webp(&picture)),
        ] {
            let photo = clean(&with_exif(file, format, orientation)).expect("a good photo");
            assert_eq!((photo.width, photo.height), size, "{format:?} {orientation}");
            let seen = image::load_from_memory(&photo.bytes).expect("a good JPEG").into_rgb8();
            for (x, y) in [(false, false), (true, false), (false, true), (true, true)] {
                let place = |far: bool, length: u32| if far { length * 3 / 4 } else { length / 4 };
                let red = is_red(&seen, place(x, size.0), place(y, size.1));
                assert_eq!(red, (x, y) == (right, bottom), "{format:?} orientation {orientation}, quarter {x} {y}");
            }
        }
    }
}

#[test]
fn the_same_file_gives_the_same_photo() {
    let file = jpeg(&marked(64, 48));
    let (one, two) = (clean(&file).expect("good"), clean(&file).expect("good"));
    assert_eq!(one, two);
    // SHA-256 of the empty text, FIPS 180-4 test vector.
    assert_eq!(PhotoName::of(b"").as_str(), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    let other = clean(&jpeg(&marked(64, 50))).expect("good");
    assert_ne!(one.name, other.name);
    assert!(!one.name.names(&other.bytes));
}

#[test]
fn a_photo_name_is_never_a_path() {
    let good = PhotoName::of(b"x");
    let json = serde_json::to_string(&good).expect("plain text");
    assert_eq!(serde_json::from_str::<PhotoName>(&json).expect("its own name"), good);
    let capitals = good.as_str().to_uppercase();
    let long = format!("{good}0");
    for bad in ["", "../../etc/passwd", "a", &capitals, &long, &"/".repeat(64), &"é".repeat(32)] {
        assert!(serde_json::from_value::<PhotoName>(bad.into()).is_err(), "{bad}");
    }
}

#[test]
fn a_large_photo_is_made_smaller() {
    let photo = clean(&jpeg(&marked(4000, 3000))).expect("a good photo");
    assert_eq!((photo.width, photo.height), (2400, 1800));
    let tall = clean(&with_exif(jpeg(&marked(4000, 3000)), ImageFormat::Jpeg, 6)).expect("a good photo");
    assert_eq!((tall.width, tall.height), (1800, 2400));
    let strip = clean(&png(&marked(20_000, 3))).expect("a thin strip is a picture too");
    assert_eq!((strip.width, strip.height), (2400, 1));
}

#[test]
fn transparency_becomes_white() {
    let mut bytes = Vec::new();
    let picture = RgbaImage::from_pixel(16, 16, Rgba([0, 0, 0, 0]));
    PngEncoder::new(&mut bytes).write_image(&picture, 16, 16, ExtendedColorType::Rgba8).expect("writes to memory");
    let seen = image::load_from_memory(&clean(&bytes).expect("good").bytes).expect("good").into_rgb8();
    assert!(seen.get_pixel(8, 8).0.iter().all(|c| *c > 250));
}

#[test]
fn what_hangs_on_the_end_goes() {
    let mut file = jpeg(&marked(64, 48));
    file.extend_from_slice(b"<script>alert(1)</script>");
    assert_bare(&clean(&file).expect("the picture itself is good").bytes);
}

#[test]
fn refused_with_clear_words() {
    let heavy = vec![0; 30_000_000];
    let mut heavy_photo = jpeg(&marked(64, 48));
    heavy_photo.resize(30_000_000, 0);
    let whole = jpeg(&marked(200, 200));
    let whole_png = png(&marked(200, 200));
    let whole_webp = webp(&marked(200, 200));
    // A thumbnail's end mark inside the notes must not pass for the picture's own.
    let mut parts = Jpeg::from_bytes(Bytes::from(whole.clone())).expect("a whole JPEG");
    parts.segments_mut().insert(0, JpegSegment::new_with_contents(0xE1, Bytes::from_static(b"thumb \xFF\xD9 nail")));
    let with_thumbnail = parts.encoder().bytes().to_vec();
    for (what, file, refusal, words) in [
        ("a 30 MB file", heavy.as_slice(), PhotoRefusal::TooHeavy(30_000_000), "30 MB, and 25 MB fit"),
        ("a 30 MB photo", &heavy_photo, PhotoRefusal::TooHeavy(30_000_000), "Nothing was kept"),
        ("nothing", b"", PhotoRefusal::NoPicture, "not a picture"),
        ("a script", b"#!/bin/sh\nrm -rf /\n", PhotoRefusal::NoPicture, "whatever its name says"),
        ("a page", b"<html><script>alert(1)</script></html>", PhotoRefusal::NoPicture, "not a picture"),
        ("a drawing with a script", b"<svg onload='alert(1)'/>", PhotoRefusal::NoPicture, "not a picture"),
        ("a program", b"\x7FELF\x02\x01\x01", PhotoRefusal::NoPicture, "not a picture"),
        ("a GIF", b"GIF89a\x01\x00\x01\x00", PhotoRefusal::OtherKind("GIF"), "JPEG, PNG or WebP"),
        ("a HEIC", b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00", PhotoRefusal::OtherKind("HEIC"), "HEIC"),
        ("a film", b"\x00\x00\x00\x18ftypisom\x00\x00\x00\x00", PhotoRefusal::OtherKind("video"), "video"),
        ("only a beginning", &whole[..4], PhotoRefusal::Broken, "damaged"),
        ("half a JPEG", &whole[..whole.len() / 2], PhotoRefusal::Broken, "damaged"),
        ("half a JPEG with a thumbnail", &with_thumbnail[..with_thumbnail.len() / 2], PhotoRefusal::Broken, "again"),
        ("half a PNG", &whole_png[..whole_png.len() / 2], PhotoRefusal::Broken, "damaged"),
        ("half a WebP", &whole_webp[..whole_webp.len() / 2], PhotoRefusal::Broken, "damaged"),
    ] {
        let refused = clean(file).expect_err(what);
        assert_eq!(refused, refusal, "{what}");
        assert!(refused.sentence().contains(words), "{what}: {refused}");
    }
}

/// A few bytes that claim to be a picture of four thousand million pixels.
#[test]
fn a_picture_that_claims_to_be_huge() {
    let mut file = png(&marked(4, 4));
    file[16..20].copy_from_slice(&65_535_u32.to_be_bytes());
    file[20..24].copy_from_slice(&65_535_u32.to_be_bytes());
    let header_sum = crc32(&file[12..29]);
    file[29..33].copy_from_slice(&header_sum.to_be_bytes());
    assert_eq!(clean(&file), Err(PhotoRefusal::TooManyPixels(65_535, 65_535)));
}

/// The checksum of a PNG chunk (ISO 3309), bit by bit.
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| if sum & 1 == 1 { (sum >> 1) ^ 0xEDB8_8320 } else { sum >> 1 })
    })
}

proptest! {
    /// Whatever bytes are changed: refused, or cleaned to the bone.
    #[test]
    fn damaged_files(kind in 0_usize..3, changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20)) {
        let picture = marked(24, 16);
        let (format, file) = [
            (ImageFormat::Jpeg, jpeg(&picture)),
            (ImageFormat::Png, png(&picture)),
            (ImageFormat::WebP, webp(&picture)),
        ][kind].clone();
        let mut file = with_exif(file, format, 6);
        for (place, byte) in changes {
            let place = place.index(file.len());
            file[place] = byte;
        }
        if let Ok(photo) = clean(&file) {
            assert_bare(&photo.bytes);
            prop_assert!(photo.width.max(photo.height) <= LONGEST_EDGE);
        }
    }

    /// Bytes of any kind never break it.
    #[test]
    fn any_bytes(file in proptest::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(clean(&file).is_err());
    }
}
