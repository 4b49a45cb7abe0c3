//! The measure step itself: bytes in, figures or a flaw out, whatever the bytes are.

use super::accumulate::{Sums, pass};
use super::colour::{self, Path};
use super::decoded::{Buffers, Decoded, Depth};
use super::grid::Grid;
use super::light::{Colour, Tables, UNIT, srgb8, srgb16};
use super::rows::{OwnRows, Rows, Sample, TransformedRows};
use super::{Measured, Measurement, PixelSource, Raster, jpeg, lossless, tiff, tiles};
use crate::metadata::Orientation;
use crate::problem::{Code, Flaw};
use crate::walk::Kind;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

/// A buffer larger than this, in bytes, is given back after its picture instead of kept: one per thread is held.
const KEPT: usize = 192 << 20;

/// Memory one thread works in, kept between pictures.
#[derive(Default)]
pub struct Scratch {
    buffers: Buffers,
    sums: Sums,
}

impl Scratch {
    /// Gives back what an unusually large picture needed.
    fn trim(&mut self) {
        let Buffers { bytes, words } = &mut self.buffers;
        if bytes.capacity() + 2 * words.capacity() > KEPT {
            self.buffers = Buffers::default();
        }
    }
}

/// Measures a picture of a kind known by its content, at full size.
///
/// Never panics: a decoder's panic becomes the flaw `DecoderFailed`.
pub fn measure(kind: Kind, bytes: &[u8], orientation: Orientation, scratch: &mut Scratch) -> Measured {
    guarded(kind, bytes, orientation, PixelSource::FullPicture, scratch)
}

/// Measures a JPEG that a camera embedded in a raw or HEIC file.
pub fn measure_jpeg_embedded(bytes: &[u8], orientation: Orientation, scratch: &mut Scratch) -> Measured {
    guarded(Kind::Jpeg, bytes, orientation, PixelSource::EmbeddedPicture, scratch)
}

/// The picture alone, upright, at most `side` pixels along its long side; decoded and averaged as [`measure`] does.
///
/// # Errors
/// What keeps it from being decoded. Never panics.
pub fn raster(
    kind: Kind,
    bytes: &[u8],
    orientation: Orientation,
    side: u16,
    scratch: &mut Scratch,
) -> Result<Raster, Flaw> {
    catching(scratch, |scratch| {
        let made = run(kind, bytes, orientation, Want::Raster(side.into()), scratch, &mut Vec::new())?;
        if let Made::Raster(raster) = made { Ok(raster) } else { Err(Flaw::plain(Code::DecoderFailed)) }
    })
}

fn guarded(kind: Kind, bytes: &[u8], orientation: Orientation, source: PixelSource, scratch: &mut Scratch) -> Measured {
    let mut notes = Vec::new();
    let result = catching(scratch, |scratch| {
        let made = run(kind, bytes, orientation, Want::Figures(source), scratch, &mut notes)?;
        if let Made::Figures(figures) = made { Ok(*figures) } else { Err(Flaw::plain(Code::DecoderFailed)) }
    });
    Measured { result, notes }
}

/// Runs a decoder; its panic becomes a flaw.
fn catching<T>(scratch: &mut Scratch, decode: impl FnOnce(&mut Scratch) -> Result<T, Flaw>) -> Result<T, Flaw> {
    let result = catch_unwind(AssertUnwindSafe(|| decode(scratch))).unwrap_or_else(|panic| {
        // What a panic left behind is not worth keeping.
        *scratch = Scratch::default();
        let text = panic.downcast_ref::<&str>().map(|text| (*text).to_owned());
        let text = text.or_else(|| panic.downcast_ref::<String>().cloned());
        Err(Flaw { code: Code::DecoderFailed, detail: text })
    });
    scratch.trim();
    result
}

/// What is to be made of a picture.
#[derive(Clone, Copy)]
enum Want {
    /// Everything that is measured.
    Figures(PixelSource),
    /// The picture itself, at most so many pixels along its long side.
    Raster(usize),
}

/// What was made of it.
enum Made {
    Figures(Box<Measurement>),
    Raster(Raster),
}

fn run(
    kind: Kind,
    bytes: &[u8],
    orientation: Orientation,
    want: Want,
    scratch: &mut Scratch,
    notes: &mut Vec<Flaw>,
) -> Result<Made, Flaw> {
    let Scratch { buffers, sums } = scratch;
    // The turn of a large picture ends with this function.
    let (mut picture, _turn) = match kind {
        Kind::Jpeg => jpeg::decode(bytes, buffers)?,
        Kind::Png => lossless::decode_png(bytes, buffers)?,
        Kind::Webp => lossless::decode_webp(bytes, buffers)?,
        Kind::Tiff => tiff::decode(bytes, buffers)?,
        Kind::Heic | Kind::Raw => return Err(Flaw::plain(Code::NoPicture)),
    };
    notes.append(&mut picture.notes);
    let job = Job { picture: &picture, orientation, want };
    match picture.depth {
        Depth::Eight => job.by_path::<u8>(&buffers.bytes, srgb8, sums, notes),
        Depth::Sixteen => job.by_path::<u16>(&buffers.words, srgb16, sums, notes),
    }
}

/// One decoded picture on its way to figures.
struct Job<'a> {
    picture: &'a Decoded,
    orientation: Orientation,
    want: Want,
}

impl Job<'_> {
    fn by_path<C: Sample>(
        &self,
        samples: &[C],
        srgb: fn() -> Arc<Tables<C>>,
        sums: &mut Sums,
        notes: &mut Vec<Flaw>,
    ) -> Result<Made, Flaw> {
        let mut own = OwnRows::new(self.picture, samples);
        match colour::path::<C>(self.picture, notes) {
            Path::Srgb => self.make(&mut own, &srgb(), sums),
            Path::Curves(colour) => self.make(&mut own, &Tables::new(*colour, true), sums),
            Path::Transform(transform) => {
                let tables = Tables::new(Colour::srgb::<u16>(), false);
                self.make(&mut TransformedRows::new(own, transform), &tables, sums)
            }
        }
    }

    fn make<C: super::light::Code>(
        &self,
        rows: &mut impl Rows<C>,
        tables: &Tables<C>,
        sums: &mut Sums,
    ) -> Result<Made, Flaw> {
        match self.want {
            Want::Figures(source) => Ok(Made::Figures(Box::new(self.figures(source, rows, tables, sums)?))),
            Want::Raster(side) => {
                let grid = Grid::fine(self.picture.width, self.picture.height, self.orientation, side);
                pass(rows, tables, &grid, sums)?;
                Ok(Made::Raster(Raster::of(sums, &grid, &tables.colour, side)))
            }
        }
    }

    fn figures<C: super::light::Code>(
        &self,
        source: PixelSource,
        rows: &mut impl Rows<C>,
        tables: &Tables<C>,
        sums: &mut Sums,
    ) -> Result<Measurement, Flaw> {
        let (width, height) = (self.picture.width, self.picture.height);
        let grid = Grid::new(width, height, self.orientation);
        pass(rows, tables, &grid, sums)?;
        let (across, down) = grid.upright();
        let (tiles, preview, thumbnail) = tiles::reduce(sums, &grid, &tables.colour)?;
        Ok(Measurement {
            source,
            decoder: self.picture.decoder,
            width: across.pixels as u32,
            height: down.pixels as u32,
            mean_luminance: mean_luminance(sums, &tables.colour, width * height),
            median_luminance: sums.histogram.median(rows, tables, width, height)?.clamp(0.0, 1.0),
            clipping: sums.clipping,
            sharpness: sums.sharpness.figure(),
            focus: sums.sharpness.map(&grid),
            tiles,
            preview,
            thumbnail,
        })
    }
}

/// Mean luminance of the sums over all cells: integers up to the very last step.
fn mean_luminance(sums: &Sums, colour: &Colour, pixels: usize) -> f64 {
    let mut totals = [0_u64; 3];
    for cell in &sums.cells {
        let [_, light @ ..] = cell.to_array();
        for (total, light) in totals.iter_mut().zip(light) {
            *total += u64::from(light);
        }
    }
    let [wr, wg, wb] = colour.luminance_weights();
    let [r, g, b] = totals.map(|total| total as f64 / (pixels as f64 * f64::from(UNIT)));
    // A profile's fixed-point numbers can put its white a few millionths above 1.
    (wr * r + wg * g + wb * b).clamp(0.0, 1.0)
}
