//! The tile grid, the preview and the thumbnail: means in linear light over areas of the upright picture.

use super::accumulate::Sums;
use super::grid::{Grid, PREVIEW_SIDE};
use super::light::{Colour, UNIT};
use super::resample::{Areas, at_most, from_areas, from_cells};
use super::{Picture, Raster, TileGrid};
use crate::problem::{Code, Flaw};

/// Tiles along the long side: fine enough to tell lights apart, coarse enough to shrug off noise and dust.
const TILES: usize = 96;
/// Tiles hold at least this many pixels a side.
const SMALLEST_TILE: usize = 4;
/// The thumbnail's long side in pixels.
const THUMBNAIL_SIDE: usize = 128;
/// JPEG quality of preview and thumbnail: no visible blocks at these sizes, some 40 kB and 4 kB.
const PREVIEW_QUALITY: u8 = 78;
const THUMBNAIL_QUALITY: u8 = 72;

/// Lengths of both sides when the long one is `long`, never below 1.
pub(super) fn proportional(width: usize, height: usize, long: usize) -> (usize, usize) {
    let longest = width.max(height).max(1);
    let scaled = |side: usize| ((2 * side * long + longest) / (2 * longest)).max(1);
    (scaled(width), scaled(height))
}

/// Tiles, preview and thumbnail of the upright picture.
///
/// # Errors
/// Never seen: an encoder that cannot write to memory.
pub fn reduce(sums: &Sums, grid: &Grid, colour: &Colour) -> Result<(TileGrid, Picture, Picture), Flaw> {
    let (across, down) = grid.upright();
    let size = |long: usize, smallest: usize| {
        let (columns, rows) = proportional(across.pixels, down.pixels, long);
        (at_most(columns, across, smallest), at_most(rows, down, smallest))
    };
    let long = across.pixels.max(down.pixels);
    let sizes = [size(TILES, grid.cell.max(SMALLEST_TILE)), size(long.min(PREVIEW_SIDE), grid.cell)];
    let [tiles, preview] = from_cells(sums, grid, sizes);
    let (columns, rows) = size(long.min(THUMBNAIL_SIDE), grid.cell);
    let thumbnail = from_areas(&preview, columns.min(preview.columns), rows.min(preview.rows));
    Ok((
        tile_grid(&tiles, colour),
        encode(&preview, colour, PREVIEW_QUALITY)?,
        encode(&thumbnail, colour, THUMBNAIL_QUALITY)?,
    ))
}

fn tile_grid(areas: &Areas, colour: &Colour) -> TileGrid {
    let means = areas.sums.iter().map(|sum| {
        let [_, light @ ..] = sum.to_array();
        linear(light, areas, colour).map(|light| (light * 65535.0 + 0.5).clamp(0.0, 65535.0) as u16)
    });
    let clipped = areas.sums.iter().map(|sum| {
        let [clipped, ..] = sum.to_array();
        let share = (f64::from(clipped) / areas.pixels).min(1.0);
        // Less than a millionth of a tile is rounding of shares, not a clipped pixel.
        libm::ceil(share * 255.0 - 1e-3).max(if share > 1e-6 { 1.0 } else { 0.0 }) as u8
    });
    TileGrid {
        columns: areas.columns as u16,
        rows: areas.rows as u16,
        means: means.collect(),
        clipped: clipped.collect(),
    }
}

/// Mean linear sRGB of an area's sums.
pub(super) fn linear(light: [f32; 3], areas: &Areas, colour: &Colour) -> [f64; 3] {
    colour.linear_srgb(light.map(|sum| f64::from(sum) / (areas.pixels * f64::from(UNIT))))
}

fn encode(areas: &Areas, colour: &Colour, quality: u8) -> Result<Picture, Flaw> {
    let picture = Raster::of_areas(areas, colour).jpeg(quality);
    picture.ok_or_else(|| Flaw::with(Code::DecoderFailed, "the preview could not be made".to_owned()))
}
