//! A picture as sRGB code values, upright and no larger than asked: what is shown large, or lit anew.

use jpeg_encoder::{ColorType, SamplingFactor};

use super::Picture;
use super::grid::Grid;
use super::light::{Colour, UNIT};
use super::resample::{Areas, at_most, from_areas, from_cells};
use super::transfer::{Encoder, srgb_to_linear};
use super::{accumulate::Sums, tiles};

/// JPEG qualities that are tried, best first; the first two with colour at full size, which dark pictures can afford and
/// need most. Below the last one blocks show, whatever the budget.
const QUALITIES: [u8; 10] = [97, 94, 91, 88, 84, 80, 75, 70, 62, 55];
const FULL_COLOUR: u8 = 94;

/// Code values of an upright picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Raster {
    /// Width in pixels.
    pub width: u16,
    /// Height in pixels.
    pub height: u16,
    /// R, G, B of each pixel, row-major, sRGB (IEC 61966-2-1), 0..=255.
    pub codes: Vec<[u8; 3]>,
}

impl Raster {
    /// As a JPEG without metadata. None only for a picture without pixels.
    #[must_use]
    pub fn jpeg(&self, quality: u8) -> Option<Picture> {
        let mut jpeg = Vec::new();
        let mut encoder = jpeg_encoder::Encoder::new(&mut jpeg, quality);
        encoder.set_sampling_factor(if quality < FULL_COLOUR { SamplingFactor::F_2_2 } else { SamplingFactor::F_1_1 });
        encoder.encode(self.codes.as_flattened(), self.width, self.height, ColorType::Rgb).ok()?;
        Some(Picture { width: self.width, height: self.height, jpeg: jpeg.into() })
    }

    /// The best JPEG of at most `bytes`, or the smallest that still looks like a photograph.
    #[must_use]
    pub fn within(&self, bytes: usize) -> Option<Picture> {
        let mut last = None;
        for quality in QUALITIES {
            last = self.jpeg(quality);
            if last.as_ref().is_none_or(|picture| picture.jpeg.len() <= bytes) {
                break;
            }
        }
        last
    }

    /// The same picture at most `side` pixels along its long side, averaged in linear light.
    #[must_use]
    pub fn shrunk(&self, side: u16) -> Self {
        let (width, height) = (usize::from(self.width), usize::from(self.height));
        if width.max(height) <= usize::from(side) || self.codes.len() != width * height {
            return self.clone();
        }
        let (columns, rows) = tiles::proportional(width, height, side.into());
        let light = |code: u8| srgb_to_linear(f64::from(code) / 255.0) as f32 * UNIT as f32;
        let sums = self.codes.iter().map(|[r, g, b]| wide::f32x4::new([0.0, light(*r), light(*g), light(*b)]));
        let pixels = Areas { columns: width, rows: height, sums: sums.collect(), pixels: 1.0 };
        Self::of_areas(&from_areas(&pixels, columns, rows), &Colour::srgb::<u8>())
    }

    /// Sums of light over cells as a picture of at most `side` pixels along its long side.
    pub(super) fn of(sums: &Sums, grid: &Grid, colour: &Colour, side: usize) -> Self {
        let (across, down) = grid.upright();
        let (columns, rows) = tiles::proportional(across.pixels, down.pixels, side.min(across.pixels.max(down.pixels)));
        let [areas] = from_cells(sums, grid, [(at_most(columns, across, grid.cell), at_most(rows, down, grid.cell))]);
        Self::of_areas(&areas, colour)
    }

    /// Means of light over areas as code values.
    pub(super) fn of_areas(areas: &Areas, colour: &Colour) -> Self {
        let encoder = Encoder::shared();
        let code = |sum: &wide::f32x4| {
            let [_, light @ ..] = sum.to_array();
            tiles::linear(light, areas, colour).map(|light| encoder.code(light as f32))
        };
        Self { width: areas.columns as u16, height: areas.rows as u16, codes: areas.sums.iter().map(code).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four pixels of black and white in equal parts give as much light as one of code 188 (half of white's light), not
    /// the grey of half the code.
    #[test]
    fn shrinking_averages_light_and_not_code_values() {
        let check = |i: usize| if (i % 8 + i / 8).is_multiple_of(2) { [255; 3] } else { [0; 3] };
        let board = Raster { width: 8, height: 4, codes: (0..32).map(check).collect() };
        let small = board.shrunk(4);
        assert_eq!((small.width, small.height), (4, 2));
        assert!(small.codes.iter().flatten().all(|code| *code == 188), "{:?}", small.codes);
        assert_eq!(board.shrunk(8), board);
    }

    /// Noise takes far more bytes than a grey field: the budget lowers the quality of the one and not of the other.
    #[test]
    fn the_budget_decides_the_quality() {
        let mut state = 7_u32;
        let mut noise = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        };
        let noisy =
            Raster { width: 64, height: 48, codes: (0..64 * 48).map(|_| [noise(), noise(), noise()]).collect() };
        let grey = Raster { width: 64, height: 48, codes: vec![[119; 3]; 64 * 48] };
        let best = |raster: &Raster| raster.jpeg(QUALITIES[0]).unwrap().jpeg;
        assert_eq!(grey.within(4_000).unwrap().jpeg, best(&grey));
        let large = best(&noisy).len();
        assert_eq!(noisy.within(large).unwrap().jpeg.len(), large);
        let smaller = noisy.within(large - 1).unwrap().jpeg.len();
        assert!(smaller < large && smaller > large / 2, "{smaller} of {large}: one step down, not to the last");
        assert_eq!(noisy.within(1).unwrap().jpeg, noisy.jpeg(QUALITIES[9]).unwrap().jpeg, "never below the last");
        assert!(Raster { width: 0, height: 0, codes: vec![] }.within(1).is_none());
    }
}
