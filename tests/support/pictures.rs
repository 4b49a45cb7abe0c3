//! Pictures made in tests: encoders for every format that is read, and the eight ways to store one picture.

use image::{ExtendedColorType, ImageEncoder};
use stoptally::measure::{Measured, Measurement, Scratch, measure};
use stoptally::metadata::Orientation;
use stoptally::walk::Kind;

/// Encodes a PNG of any colour type; 16-bit samples in the machine's own order.
pub fn png(
    samples: &[u8],
    width: usize,
    height: usize,
    colour: ExtendedColorType,
    profile: Option<Vec<u8>>,
) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = image::codecs::png::PngEncoder::new(&mut bytes);
    if let Some(profile) = profile {
        encoder.set_icc_profile(profile).expect("PNG carries profiles");
    }
    encoder.write_image(samples, width as u32, height as u32, colour).expect("a PNG");
    bytes
}

/// An 8-bit RGB PNG of a function of the pixel.
pub fn rgb(width: usize, height: usize, pixel: impl Fn(usize, usize) -> [u8; 3]) -> Vec<u8> {
    png(&rgb_samples(width, height, pixel), width, height, ExtendedColorType::Rgb8, None)
}

/// 8-bit RGB samples of a function of the pixel.
pub fn rgb_samples(width: usize, height: usize, pixel: impl Fn(usize, usize) -> [u8; 3]) -> Vec<u8> {
    (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).flat_map(|(x, y)| pixel(x, y)).collect()
}

/// A 16-bit RGB PNG of a function of the pixel.
pub fn rgb16(width: usize, height: usize, pixel: impl Fn(usize, usize) -> [u16; 3]) -> Vec<u8> {
    let samples: Vec<u8> = (0..height)
        .flat_map(|y| (0..width).map(move |x| (x, y)))
        .flat_map(|(x, y)| pixel(x, y))
        .flat_map(u16::to_ne_bytes)
        .collect();
    png(&samples, width, height, ExtendedColorType::Rgb16, None)
}

/// A JPEG of a function of the pixel.
pub fn jpeg(
    width: usize,
    height: usize,
    setup: impl Fn(&mut jpeg_encoder::Encoder<&mut Vec<u8>>),
    pixel: impl Fn(usize, usize) -> [u8; 3],
) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, 95);
    setup(&mut encoder);
    let samples = rgb_samples(width, height, pixel);
    encoder.encode(&samples, width as u16, height as u16, jpeg_encoder::ColorType::Rgb).expect("a JPEG");
    bytes
}

/// Measures upright with memory of its own.
pub fn measured(kind: Kind, bytes: &[u8]) -> Measured {
    measure(kind, bytes, Orientation::TopLeft, &mut Scratch::default())
}

/// The figures of a picture that must have them.
pub fn figures(kind: Kind, bytes: &[u8]) -> Measurement {
    measured(kind, bytes).result.unwrap_or_else(|flaw| panic!("{flaw:?}"))
}

/// sRGB to linear light, written again for tests: IEC 61966-2-1, from memory.
pub fn linear(code: f64) -> f64 {
    if code <= 0.04045 { code / 12.92 } else { ((code + 0.055) / 1.055).powf(2.4) }
}

/// Linear light to sRGB, 0..1.
pub fn encoded(light: f64) -> f64 {
    if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

/// Where stored pixel `(x, y)` lies in an upright picture of `width` by `height` (Exif 2.2, tag 274).
pub fn upright(orientation: u32, x: usize, y: usize, width: usize, height: usize) -> (usize, usize) {
    match orientation {
        1 => (x, y),
        2 => (width - 1 - x, y),
        3 => (width - 1 - x, height - 1 - y),
        4 => (x, height - 1 - y),
        5 => (y, x),
        6 => (width - 1 - y, x),
        7 => (width - 1 - y, height - 1 - x),
        _ => (y, height - 1 - x),
    }
}

/// A sequence of numbers that look random and are always the same (constants of Knuth's MMIX generator).
pub struct Noise(pub u64);

impl Noise {
    /// The next number, 0..1.
    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}
