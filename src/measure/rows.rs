//! Rows of a decoded picture as code values of three channels, whatever the file stored.

use super::decoded::{Decoded, Layout};
use super::light::{Code, flags};
use crate::problem::{Code as Problem, Flaw};
use moxcms::TransformExecutor;
use std::sync::Arc;

/// One row.
pub struct Row<'a, C> {
    /// R, G, B of every pixel.
    pub codes: &'a [[C; 3]],
    /// Clipping flags of every pixel, where `codes` are not the file's own.
    pub flags: Option<&'a [u32]>,
}

/// Something that can be read row by row, in any order.
pub trait Rows<C: Code> {
    /// Row `y` of the stored picture.
    ///
    /// # Errors
    /// When a colour transform fails.
    fn row(&mut self, y: usize) -> Result<Row<'_, C>, Flaw>;
}

/// Rows of the file's own codes.
pub struct OwnRows<'a, C> {
    samples: &'a [C],
    width: usize,
    layout: Layout,
    buffer: Vec<[C; 3]>,
}

impl<'a, C: Sample> OwnRows<'a, C> {
    /// Rows of a picture whose samples are these.
    pub fn new(picture: &Decoded, samples: &'a [C]) -> Self {
        Self {
            samples,
            width: picture.width,
            layout: picture.layout,
            buffer: Vec::new(),
        }
    }

    /// The samples of row `y`, as stored.
    fn stored(&self, y: usize) -> &'a [C] {
        let length = self.width * self.layout.channels();
        self.samples
            .get(y * length..(y + 1) * length)
            .unwrap_or_default()
    }
}

impl<C: Sample> Rows<C> for OwnRows<'_, C> {
    fn row(&mut self, y: usize) -> Result<Row<'_, C>, Flaw> {
        let stored = self.stored(y);
        if self.layout == Layout::Rgb {
            return Ok(Row {
                codes: stored.as_chunks::<3>().0,
                flags: None,
            });
        }
        self.buffer.clear();
        match self.layout {
            Layout::Rgb => {}
            Layout::Grey => self.buffer.extend(stored.iter().map(|&grey| [grey; 3])),
            Layout::GreyAlpha => self
                .buffer
                .extend(stored.as_chunks::<2>().0.iter().map(|&[grey, _]| [grey; 3])),
            Layout::Rgba => self.buffer.extend(
                stored
                    .as_chunks::<4>()
                    .0
                    .iter()
                    .map(|&[r, g, b, _]| [r, g, b]),
            ),
            Layout::Cmyk => self.buffer.extend(
                stored
                    .as_chunks::<4>()
                    .0
                    .iter()
                    .map(|&ink| C::without_ink(ink)),
            ),
        }
        Ok(Row {
            codes: &self.buffer,
            flags: None,
        })
    }
}

/// Samples as the file stores them.
pub trait Sample: Code {
    /// R, G, B left when ink (0 none, full scale solid) is put on white paper by simple arithmetic:
    /// R = (1 - C)(1 - K) and so on. Common practice, no source; real inks are darker and less pure.
    fn without_ink(ink: [Self; 4]) -> [Self; 3];
    /// The sample at 16 bits, full scale to full scale.
    fn wide(self) -> u16;
}

fn paper_left(ink: u64, black: u64, full: u64) -> u64 {
    let left = (full - ink) * (full - black);
    (2 * left + full) / (2 * full)
}

impl Sample for u8 {
    fn without_ink([c, m, y, k]: [Self; 4]) -> [Self; 3] {
        [c, m, y].map(|ink| paper_left(ink.into(), k.into(), 255) as Self)
    }
    fn wide(self) -> u16 {
        u16::from(self) * 257
    }
}

impl Sample for u16 {
    fn without_ink([c, m, y, k]: [Self; 4]) -> [Self; 3] {
        [c, m, y].map(|ink| paper_left(ink.into(), k.into(), 65535) as Self)
    }
    fn wide(self) -> u16 {
        self
    }
}

/// Rows of 16-bit sRGB made by a colour transform, for profiles that are no curve and matrix (inks, tables).
pub struct TransformedRows<'a, C> {
    own: OwnRows<'a, C>,
    transform: Arc<dyn TransformExecutor<u16> + Send + Sync>,
    stored: Vec<u16>,
    codes: Vec<[u16; 3]>,
    flags: Vec<u32>,
}

impl<'a, C: Sample> TransformedRows<'a, C> {
    /// Rows of `own` through `transform`, whose layout must be that of the stored samples.
    pub fn new(
        own: OwnRows<'a, C>,
        transform: Arc<dyn TransformExecutor<u16> + Send + Sync>,
    ) -> Self {
        Self {
            own,
            transform,
            stored: Vec::new(),
            codes: Vec::new(),
            flags: Vec::new(),
        }
    }
}

impl<C: Sample> Rows<u16> for TransformedRows<'_, C> {
    fn row(&mut self, y: usize) -> Result<Row<'_, u16>, Flaw> {
        self.stored.clear();
        self.stored
            .extend(self.own.stored(y).iter().map(|sample| sample.wide()));
        self.codes.resize(self.own.width, [0; 3]);
        self.transform
            .transform(&self.stored, self.codes.as_flattened_mut())
            .map_err(|error| Flaw::with(Problem::ProfileUnreadable, error.to_string()))?;
        let own = self.own.row(y)?;
        self.flags.clear();
        self.flags
            .extend(own.codes.iter().map(|&pixel| flags(pixel)));
        Ok(Row {
            codes: &self.codes,
            flags: Some(&self.flags),
        })
    }
}
