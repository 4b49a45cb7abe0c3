//! What the pixels say: figures of one picture, at full size, from one decode.
//!
//! `decode -> colour -> accumulate -> figures`: a decoder fills a buffer with the file's own codes, the colour of the
//! file becomes one table per channel, one pass sums and counts in integers, and everything reported is made of sums.

mod accumulate;
mod colour;
mod decoded;
mod grid;
mod jpeg;
mod light;
mod limits;
mod lossless;
mod markers;
mod median;
mod raster;
mod resample;
mod rows;
mod run;
mod sharpness;
mod tiff;
mod tiles;
pub(crate) mod transfer;

use std::sync::Arc;

use crate::problem::Flaw;
pub use light::LUMINANCE_WEIGHTS;
pub use raster::Raster;
pub use run::{Scratch, measure, measure_jpeg_embedded, raster};
pub use sharpness::FocusMap;
pub use transfer::{linear_to_srgb, srgb_to_linear};

/// Whether the middle of one of `columns` by `rows` equal areas, row-major, lies inside a box (left, top, width, height in
/// percent of the upright picture).
#[must_use]
pub fn in_box(index: usize, (columns, rows): (usize, usize), [x, y, w, h]: [f64; 4]) -> bool {
    let middle = |at: usize, of: usize| (at as f64 + 0.5) / of as f64 * 100.0;
    let (u, v) = (middle(index % columns, columns), middle(index / columns, rows));
    u >= x && u <= x + w && v >= y && v <= y + h
}

/// Which pixels were measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PixelSource {
    /// The file's own picture at full size.
    FullPicture,
    /// The largest picture the camera embedded in a raw or HEIC file.
    EmbeddedPicture,
}

/// A grid of linear-light means over the upright picture.
///
/// Row-major, `columns * rows` tiles; about 96x64 in the picture's own proportions, fewer for small pictures.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TileGrid {
    /// Tiles across.
    pub columns: u16,
    /// Tiles down.
    pub rows: u16,
    /// Mean linear light of each tile and channel (R, G, B), 0..=65535 for 0..1 of linear sRGB.
    pub means: Vec<[u16; 3]>,
    /// Share of pixels in each tile with any channel clipped, 0..=255 for 0..100 %, rounded up so that 0 means none.
    pub clipped: Vec<u8>,
}

/// A small upright JPEG in sRGB, made by averaging in linear light.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Width in pixels.
    pub width: u16,
    /// Height in pixels.
    pub height: u16,
    /// The JPEG file's bytes, without metadata; shared, since page and recap show the same pictures.
    pub jpeg: Arc<[u8]>,
}

/// Counts of clipped pixels over the whole picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Clipping {
    /// Pixels with any channel at 254 of 255 or above.
    pub highlights: u64,
    /// Pixels with this channel (R, G, B) at 254 of 255 or above.
    pub highlights_rgb: [u64; 3],
    /// Pixels with all three channels at 1 of 255 or below.
    pub shadows: u64,
}

/// The outcome of one picture: figures or the flaw that prevented them, and what was remarkable on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The figures, or why there are none.
    pub result: Result<Measurement, Flaw>,
    /// What the reader of the figures should know.
    pub notes: Vec<Flaw>,
}

/// Everything measured from one picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurement {
    /// Which pixels.
    pub source: PixelSource,
    /// The decoder the figures come from, for example `zune-jpeg`.
    pub decoder: &'static str,
    /// Upright width in pixels.
    pub width: u32,
    /// Upright height in pixels.
    pub height: u32,
    /// Mean luminance in linear light, 0..1: ITU-R BT.709 weights over all pixels.
    pub mean_luminance: f64,
    /// Median luminance in linear light, 0..1, within 0.0015 stop of the exact median.
    pub median_luminance: f64,
    /// Clipped pixels.
    pub clipping: Clipping,
    /// Detail relative to local brightness; independent of exposure. Compare shots of one series only.
    /// None where the picture is too small or too dark to say.
    pub sharpness: Option<f64>,
    /// The same by place.
    pub focus: FocusMap,
    /// Linear-light tile means.
    pub tiles: TileGrid,
    /// Upright preview, 480 pixels on the long side.
    pub preview: Picture,
    /// Upright thumbnail, 128 pixels on the long side.
    pub thumbnail: Picture,
}

impl Measurement {
    /// Pixels in the picture.
    #[must_use]
    pub fn pixels(&self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }
}
