//! From linear light per tile to a small picture a person can look at, with what is not known hatched.

use jpeg_encoder::{ColorType, SamplingFactor};

use crate::light::LightPicture;
use crate::measure::Picture;
use crate::measure::transfer::Encoder;
use crate::report::light_types::LitPicture;

/// Pixels of the long side, at least: tiles are doubled until they reach it.
const LONG_SIDE: usize = 160;

/// Tiles as bright as the brightest hundredth are shown at this linear light: bright, and not yet clipped.
const SHOWN_AT: f64 = 0.6;

/// Light, dark, and the ground between: the hatching shows on white paper and on black.
const HATCH: [u8; 3] = [210, 60, 128];

/// Width in pixels of a stroke of the hatching, and of the ground between two.
const STROKE: usize = 2;

/// JPEG quality: tiles are smooth, the hatching's edges are not.
const QUALITY: u8 = 85;

/// The factor on linear light at which the brightest hundredth of what is known shows well.
pub fn shows_well(picture: &LightPicture) -> f64 {
    brightest(picture).map_or(1.0, |b| SHOWN_AT / b)
}

/// One where the picture shows well as it was shot, else as [`shows_well`].
pub fn as_shot_or_shows_well(picture: &LightPicture) -> f64 {
    let as_shot = brightest(picture).is_some_and(|b| (0.18..=1.0).contains(&b));
    if as_shot { 1.0 } else { shows_well(picture) }
}

/// The 99th percentile of the brightest channel over tiles that are known; None where that is no light.
fn brightest(picture: &LightPicture) -> Option<f64> {
    let known = picture.linear.iter().zip(&picture.missing).filter(|(_, missing)| !**missing);
    let mut tiles: Vec<f64> = known.map(|([r, g, b], _)| f64::from(r.max(*g).max(*b))).collect();
    tiles.sort_by(f64::total_cmp);
    tiles.get(tiles.len().checked_sub(1)? * 99 / 100).copied().filter(|b| b.is_finite() && *b > 0.0)
}

/// The picture, `scale` times as bright. None for a grid that does not hold together.
pub fn develop(picture: &LightPicture, scale: f64, caption: String) -> Option<LitPicture> {
    let (columns, rows) = (usize::from(picture.columns), usize::from(picture.rows));
    let tiles = columns * rows;
    if tiles == 0 || picture.linear.len() != tiles || picture.missing.len() != tiles || !scale.is_finite() {
        return None;
    }
    let times = LONG_SIDE.div_ceil(columns.max(rows));
    let (width, height) = (columns * times, rows * times);
    let mut codes = Vec::with_capacity(width * height * 3);
    for y in 0..height {
        for x in 0..width {
            match mixed(picture, x, y, times) {
                Some(light) => codes.extend(light.map(|l| Encoder::shared().code((f64::from(l) * scale) as f32))),
                None => codes.extend([hatch(x, y); 3]),
            }
        }
    }
    let mut jpeg = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut jpeg, QUALITY);
    // Colour at full size too: its edges are the tiles', not the eye's.
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    let (width, height) = (u16::try_from(width).ok()?, u16::try_from(height).ok()?);
    encoder.encode(&codes, width, height, ColorType::Rgb).ok()?;
    let missing = picture.missing.iter().filter(|m| **m).count();
    Some(LitPicture {
        caption,
        picture: Picture { width, height, jpeg: jpeg.into() },
        brightened_stops: libm::log2(scale),
        hatched_percent: 100.0 * missing as f64 / tiles as f64,
    })
}

/// Light between the four tiles around a pixel, those that are known; None where its own tile is not.
fn mixed(picture: &LightPicture, x: usize, y: usize, times: usize) -> Option<[f32; 3]> {
    let (columns, rows) = (usize::from(picture.columns), usize::from(picture.rows));
    let tile = |column: usize, row: usize| {
        let index = row * columns + column;
        let known = picture.missing.get(index).is_some_and(|missing| !missing);
        picture.linear.get(index).filter(|_| known)
    };
    tile(x / times, y / times)?;
    let (left, part_x) = between(x, times, columns);
    let (top, part_y) = between(y, times, rows);
    let (mut sum, mut weights) = ([0.0_f32; 3], 0.0_f32);
    let corners = [
        (left, top, (1.0 - part_x) * (1.0 - part_y)),
        (left + 1, top, part_x * (1.0 - part_y)),
        (left, top + 1, (1.0 - part_x) * part_y),
        (left + 1, top + 1, part_x * part_y),
    ];
    for (column, row, weight) in corners {
        let inside = (column.min(columns - 1), row.min(rows - 1));
        if let Some(light) = tile(inside.0, inside.1) {
            sum.iter_mut().zip(light).for_each(|(sum, light)| *sum += weight * light);
            weights += weight;
        }
    }
    (weights > 0.0).then(|| sum.map(|s| s / weights))
}

/// The tile whose centre lies before a pixel's, and how far towards the next the pixel is, 0..1.
fn between(pixel: usize, times: usize, tiles: usize) -> (usize, f32) {
    let at = ((pixel as f32 + 0.5) / times as f32 - 0.5).max(0.0);
    let tile = (at as usize).min(tiles - 1);
    (tile, (at - tile as f32).clamp(0.0, 1.0))
}

/// Diagonal strokes, light and dark in turn on a grey ground.
fn hatch(x: usize, y: usize) -> u8 {
    let [light, dark, ground] = HATCH;
    match (x + y) / STROKE % 4 {
        0 => light,
        2 => dark,
        _ => ground,
    }
}
