//! How much memory a photo takes at most, measured by the allocator itself.

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder, RgbImage};
use solderlast_core::logbook::photos::{PhotoRefusal, clean};

use super::{ALLOCATOR, alone};

/// The bound, in MiB: the decoded picture's limit of 192, the smaller copy, and what a decoder needs beside it.
const BOUND: f32 = 300.0;

fn memory_for(file: &[u8]) -> (f32, Result<(u32, u32), PhotoRefusal>) {
    ALLOCATOR.reset_peak_usage();
    let before = ALLOCATOR.current_usage_as_mb();
    let answer = clean(file).map(|photo| (photo.width, photo.height));
    (ALLOCATOR.peak_usage_as_mb() - before, answer)
}

#[test]
fn bounded() {
    let _turn = alone();
    let plain = |width, height| RgbImage::from_pixel(width, height, image::Rgb([200, 180, 120]));
    let png = |picture: &RgbImage| {
        let mut file = Vec::new();
        PngEncoder::new_with_quality(&mut file, CompressionType::Best, FilterType::Up)
            .write_image(picture, picture.width(), picture.height(), ExtendedColorType::Rgb8)
            .expect("writes to memory");
        file
    };

    // The largest that is taken: 50 million pixels.
    let mut largest = Vec::new();
    JpegEncoder::new_with_quality(&mut largest, 90).encode_image(&plain(8165, 6123)).expect("writes to memory");
    let (mib, answer) = memory_for(&largest);
    println!("50 million pixels, JPEG of {} kB: {mib:.0} MiB", largest.len() / 1000);
    assert_eq!(answer, Ok((2400, 1800)));
    assert!(mib < BOUND, "{mib} MiB");
    assert!(mib > 100.0, "the measurement itself: {mib} MiB");

    let flat = png(&plain(8165, 6123));
    let (mib, answer) = memory_for(&flat);
    println!("50 million pixels, PNG of {} kB: {mib:.0} MiB", flat.len() / 1000);
    assert_eq!(answer, Ok((2400, 1800)));
    assert!(mib < BOUND, "{mib} MiB");

    // Progressive pictures take three times as much a pixel, so they may have fewer.
    let progressive = |width: u16, height: u16| {
        let mut file = Vec::new();
        let mut encoder = jpeg_encoder::Encoder::new(&mut file, 80);
        encoder.set_progressive(true);
        encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::R_4_4_4);
        let picture = plain(width.into(), height.into());
        encoder.encode(picture.as_raw(), width, height, jpeg_encoder::ColorType::Rgb).expect("writes to memory");
        file
    };
    let passes = progressive(5160, 3870);
    let (mib, answer) = memory_for(&passes);
    println!("20 million pixels, progressive JPEG of {} kB: {mib:.0} MiB", passes.len() / 1000);
    assert_eq!(answer, Ok((2400, 1800)));
    assert!(mib < BOUND, "{mib} MiB");
    let too_many = progressive(8000, 6000);
    let (mib, answer) = memory_for(&too_many);
    assert_eq!(answer, Err(PhotoRefusal::TooManyPixels(8000, 6000)));
    // The decoder copies the file before it looks at it; no more than that.
    assert!(mib < too_many.len() as f32 / 1e6 + 1.0, "{mib} MiB");

    // A bomb: half a megabyte that unpacks to 75 million pixels.
    let bomb = png(&plain(10_000, 7_500));
    let (mib, answer) = memory_for(&bomb);
    println!("75 million pixels, PNG of {} kB: {mib:.1} MiB", bomb.len() / 1000);
    assert_eq!(answer, Err(PhotoRefusal::TooManyPixels(10_000, 7_500)));
    assert!(mib < 2.0, "{mib} MiB");

    // Bytes without a picture take no memory at all.
    let (mib, answer) = memory_for(&vec![7; 20_000_000]);
    assert_eq!(answer, Err(PhotoRefusal::NoPicture));
    assert!(mib < 0.1, "{mib} MiB");
}
