//! Sharpness: detail relative to local luminance, so that it says the same at any exposure.
//!
//! Luminance is averaged over 2x2 pixels (h), which quarters the noise of rounding to 8 bits and loses only detail
//! that a camera's own colour interpolation does not resolve. Its Laplacian, 4 h minus the four neighbours, is squared
//! and averaged over blocks of 16x16 (E), as is h itself (L). Then
//!
//! > sharpness = sqrt( sum(L * E / L^2) / sum(L) )
//!
//! E / L^2 does not change when all light is multiplied, so neither does the sum; a plain variance of the Laplacian
//! scales with the square of exposure and would measure the light (references table, computed with OpenCV and SciPy).
//! The weight is L because noise is relatively strongest where it is dark: with photon noise E grows like L, and every
//! block then brings the same noise floor, E / L; a black backdrop cannot outvote the sitter. Own construction from
//! the variance of the Laplacian (Pech-Pacheco 2000).

use super::grid::Grid;
use super::in_box;
use super::light::{LUMA_MASK, UNIT};
use wide::f32x4;

/// Side of a block in halved pixels.
const BLOCK: usize = 16;
/// Mean luminance below which nothing can be said: nearly all pixels are at codes 0 and 1, and rounding is all
/// there is to see.
const TOO_DARK: f64 = 0.0005;

/// Areas of the focus map along the picture's long side, at most: an eye or a hand, not a hair.
const AREAS: usize = 24;

/// Sums of one block so far.
#[derive(Clone, Copy, Default)]
struct Block {
    energy: f32,
    light: f32,
}

/// Sums over the blocks of one area.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Area {
    /// Sum of E / L.
    detail: f64,
    /// Sum of L.
    light: f64,
    blocks: u32,
}

/// The figure of all these areas together; none without a block, or where they are all but black.
fn sharpness(areas: impl Iterator<Item = Area>) -> Option<f64> {
    let mut sum = Area::default();
    for area in areas {
        sum.detail += area.detail;
        sum.light += area.light;
        sum.blocks += area.blocks;
    }
    let mean = sum.light / f64::from(sum.blocks);
    (sum.blocks > 0 && mean >= TOO_DARK).then(|| libm::sqrt(sum.detail / sum.light))
}

/// Detail by place: areas of equal numbers of blocks over the upright picture, at most 24 along its long side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FocusMap {
    columns: usize,
    rows: usize,
    areas: Vec<Area>,
}

impl FocusMap {
    /// Sharpness inside a box (left, top, width, height in percent of the upright picture): of all areas whose middle
    /// lies inside, as for a whole picture. None where no middle does, or where it is all but black there.
    #[must_use]
    pub fn within(&self, percent: [f64; 4]) -> Option<f64> {
        let inside = |index: usize| in_box(index, (self.columns, self.rows), percent);
        sharpness(self.areas.iter().enumerate().filter(|(index, _)| inside(*index)).map(|(_, area)| *area))
    }
}

/// Takes pairs of rows, gives one figure.
#[derive(Default)]
pub struct Sharpness {
    /// Three halved rows, the newest last.
    rows: [Vec<f32>; 3],
    halved: usize,
    blocks: Vec<Block>,
    in_blocks: usize,
    /// Sums over areas of blocks, a row of areas after the other, as stored.
    areas: Vec<Area>,
    /// Rows of blocks so far.
    rows_of_blocks: usize,
    /// Blocks that an area spans each way.
    span: usize,
}

impl Sharpness {
    fn clear(&mut self) {
        let rows = std::mem::take(&mut self.rows);
        let blocks = std::mem::take(&mut self.blocks);
        *self = Self { rows, blocks, ..Self::default() };
        self.blocks.clear();
    }

    /// Begins a picture of this many pixels.
    pub fn start(&mut self, width: usize, height: usize) {
        let blocks = |pixels: usize| (pixels / 2).saturating_sub(2) / BLOCK;
        self.clear();
        self.span = blocks(width).max(blocks(height)).div_ceil(AREAS).max(1);
    }

    /// Takes the luminance words of two neighbouring rows of equal length.
    pub fn add(&mut self, first: &[u32], second: &[u32]) {
        self.rows.rotate_left(1);
        let [above, here, below] = &mut self.rows;
        halve(first, second, below);
        self.halved += 1;
        if self.halved < 3 {
            return;
        }
        let blocks = below.len().saturating_sub(2) / BLOCK;
        self.blocks.resize(blocks, Block::default());
        laplacian(above, here, below, &mut self.blocks);
        self.in_blocks += 1;
        if self.in_blocks == BLOCK {
            self.close();
        }
    }

    /// Ends a row of blocks.
    fn close(&mut self) {
        let whole = 4.0 * f64::from(UNIT);
        let pixels = (BLOCK * BLOCK) as f64;
        let span = self.span.max(1);
        let columns = self.blocks.len().div_ceil(span);
        let start = self.rows_of_blocks / span * columns;
        self.areas.resize(start + columns, Area::default());
        let areas = self.areas.get_mut(start..).unwrap_or_default();
        for (blocks, area) in self.blocks.chunks_mut(span).zip(areas) {
            for block in blocks {
                let energy = f64::from(block.energy) / (whole * whole * pixels);
                let light = f64::from(block.light) / (whole * pixels);
                if light > 0.0 {
                    area.detail += energy / light;
                    area.light += light;
                }
                area.blocks += 1;
                *block = Block::default();
            }
        }
        self.rows_of_blocks += 1;
        self.in_blocks = 0;
    }

    /// The figure of the whole picture; none where not a single block fits (34x34 pixels) or it is all but black.
    #[must_use]
    pub fn figure(&self) -> Option<f64> {
        sharpness(self.areas.iter().copied())
    }

    /// The areas of the upright picture.
    #[must_use]
    pub fn map(&self, grid: &Grid) -> FocusMap {
        let across = self.blocks.len().div_ceil(self.span.max(1));
        let down = self.areas.len().checked_div(across).unwrap_or(0);
        let at = |x: usize, y: usize| {
            let x = if grid.x.flipped { across - 1 - x } else { x };
            let y = if grid.y.flipped { down - 1 - y } else { y };
            self.areas.get(y * across + x).copied().unwrap_or_default()
        };
        let (columns, rows) = if grid.swapped { (down, across) } else { (across, down) };
        let places = (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row)));
        let areas = places.map(|(column, row)| if grid.swapped { at(row, column) } else { at(column, row) });
        FocusMap { columns, rows, areas: areas.collect() }
    }
}

/// Sums of 2x2 pixels: four times their mean, in table units.
fn halve(first: &[u32], second: &[u32], halved: &mut Vec<f32>) {
    halved.resize(first.len() / 2, 0.0);
    let pairs = first.as_chunks::<2>().0.iter().zip(second.as_chunks::<2>().0);
    for (place, (&[a, b], &[c, d])) in halved.iter_mut().zip(pairs) {
        let sum = (a & LUMA_MASK) + (b & LUMA_MASK) + (c & LUMA_MASK) + (d & LUMA_MASK);
        *place = (sum as i32) as f32;
    }
}

/// Adds one row's squared Laplacian, and the row itself, to the blocks.
fn laplacian(above: &[f32], here: &[f32], below: &[f32], blocks: &mut [Block]) {
    let neighbours = chunks(above, 1).iter().zip(chunks(below, 1)).zip(chunks(here, 0).iter().zip(chunks(here, 2)));
    for ((block, centre), ((up, down), (left, right))) in blocks.iter_mut().zip(chunks(here, 1)).zip(neighbours) {
        let (mut energy, mut light) = (f32x4::ZERO, f32x4::ZERO);
        let sides = quads(up).zip(quads(down)).zip(quads(left).zip(quads(right)));
        for (centre, ((up, down), (left, right))) in quads(centre).zip(sides) {
            let laplacian = centre * f32x4::splat(4.0) - up - down - left - right;
            energy += laplacian * laplacian;
            light += centre;
        }
        let ([a, b, c, d], [p, q, r, s]) = (energy.to_array(), light.to_array());
        block.energy += (a + b) + (c + d);
        block.light += (p + q) + (r + s);
    }
}

/// A block's row, four pixels at a time: always four, so that the order of sums never depends on the machine.
fn quads(row: &[f32; BLOCK]) -> impl Iterator<Item = f32x4> {
    row.as_chunks::<4>().0.iter().map(|&quad| f32x4::new(quad))
}

/// A row in blocks, from a pixel on.
fn chunks(row: &[f32], from: usize) -> &[[f32; BLOCK]] {
    row.get(from..).unwrap_or_default().as_chunks().0
}
