//! Drawings that stand in for photographs: beams of light on a dark floor.

use std::collections::BTreeMap;
use std::sync::Mutex;

use stoptally::measure::Picture;
use stoptally::report::FramePictures;

/// A drawing that stands in for a photograph: beams on a dark floor.
pub fn pictures(tone: u8, seed: u8) -> FramePictures {
    static DRAWN: Mutex<BTreeMap<(u8, u8), FramePictures>> = Mutex::new(BTreeMap::new());
    let seed = seed % 3;
    DRAWN.lock().unwrap().entry((tone, seed)).or_insert_with(|| drawn(tone, seed)).clone()
}

fn drawn(tone: u8, seed: u8) -> FramePictures {
    FramePictures { preview: drawing(480, 320, tone, seed), thumbnail: drawing(128, 85, tone, seed) }
}

fn drawing(width: u16, height: u16, tone: u8, seed: u8) -> Picture {
    let mut pixels = Vec::with_capacity(usize::from(width) * usize::from(height) * 3);
    for y in 0..height {
        for x in 0..width {
            let (u, v) = (f64::from(x) / f64::from(width), f64::from(y) / f64::from(height));
            let grain = f64::from((u32::from(x) * 7919 + u32::from(y) * 104_729 + u32::from(seed) * 31) % 97) / 97.0;
            let pool =
                (1.0 - ((u - 0.5) * 2.2).abs() - ((v - 0.6) * 1.8).abs()).max(0.0) * f64::from(tone.min(5)) / 5.0;
            let beam = (1.0 - ((v - 0.2 - u * 0.5) * 6.0).abs()).max(0.0) * if tone > 2 { 0.6 } else { 0.0 };
            let light = (0.03 + pool * 0.8 + beam * 0.5 + grain * 0.04).min(1.0);
            pixels.extend([light, light * 0.94, light * 0.85].map(|c| (c * 255.0) as u8));
        }
    }
    let mut jpeg = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut jpeg, 80);
    encoder.encode(&pixels, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    Picture { width, height, jpeg: jpeg.into() }
}

/// The same size, hatched all over: stands in for a light's picture of which nothing is known.
pub fn hatched(like: &Picture) -> Picture {
    let (width, height) = (like.width, like.height);
    let line = |x: u16, y: u16| if (x + y) % 8 < 2 { 190 } else { 12 };
    let pixels: Vec<u8> = (0..height).flat_map(|y| (0..width).flat_map(move |x| [line(x, y); 3])).collect();
    let mut jpeg = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut jpeg, 80);
    encoder.encode(&pixels, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    Picture { width, height, jpeg: jpeg.into() }
}

/// Pictures of one shot that weigh what photographs do: texture at every scale, and grain; no two shots alike.
pub fn like_photographs(shot: u32) -> FramePictures {
    FramePictures { preview: textured(480, 320, shot), thumbnail: textured(128, 85, shot) }
}

fn textured(width: u16, height: u16, shot: u32) -> Picture {
    // Two products of large odd numbers and shifts: enough to look like chance.
    let chance = |x: u32, y: u32| {
        let mixed = (x.wrapping_mul(0x9e37_79b1) ^ y.wrapping_mul(0x85eb_ca77) ^ shot.wrapping_mul(0xc2b2_ae3d))
            .rotate_left(13);
        f64::from((mixed.wrapping_mul(0x27d4_eb2f) >> 16) & 0xff) / 255.0
    };
    let mut pixels = Vec::with_capacity(usize::from(width) * usize::from(height) * 3);
    for y in 0..height {
        for x in 0..width {
            // In units of a 480th of the width, so that both sizes show the same picture.
            let (u, v) = (u32::from(x) * 480 / u32::from(width), u32::from(y) * 480 / u32::from(width));
            let scales = [(64, 0.34), (24, 0.24), (9, 0.18), (3, 0.07)];
            let light: f64 = scales.iter().map(|(size, part)| part * chance(u / size, v / size + size * 1000)).sum();
            pixels.extend([light, light * 0.93, light * 0.82].map(|c| (c * 255.0) as u8));
        }
    }
    let mut jpeg = Vec::new();
    jpeg_encoder::Encoder::new(&mut jpeg, 72).encode(&pixels, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    Picture { width, height, jpeg: jpeg.into() }
}
