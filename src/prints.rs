//! Opens again the few shots that page and recap show large: the first reading keeps small pictures of every shot only.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::measure::{self, Raster, Scratch};
use crate::metadata::{self, Orientation};
use crate::read;
use crate::walk::{Kind, PhotoFile};

/// One shot to be opened again.
#[derive(Clone, Debug)]
pub struct Again<'a> {
    /// Index into the report's frames.
    pub index: usize,
    /// Its file.
    pub file: &'a PhotoFile,
    /// How it is turned.
    pub orientation: Orientation,
    /// Upright width and height in pixels as measured the first time.
    pub size: (u32, u32),
}

/// The pictures, at most `side` pixels along their long side. A file that went, or whose picture
/// has another shape now, has none: its row and
/// its small pictures are those of the first reading.
#[must_use]
pub fn open(wanted: &[Again], side: u16) -> BTreeMap<usize, Raster> {
    let opened = wanted.par_iter().map_init(Scratch::default, |scratch, again| {
        let raster = raster(again, side, scratch)?;
        same_shape(again.size, &raster).then_some((again.index, raster))
    });
    opened.flatten().collect()
}

/// Whether the sides stand to each other as they did, within a pixel of the smaller picture.
fn same_shape((width, height): (u32, u32), raster: &Raster) -> bool {
    let crossed = f64::from(raster.width) * f64::from(height) - f64::from(raster.height) * f64::from(width);
    libm::fabs(crossed) <= f64::from(width.max(height))
}

fn raster(again: &Again, side: u16, scratch: &mut Scratch) -> Option<Raster> {
    let bytes = read::bytes_of(again.file).ok()?;
    let kind = metadata::content_kind(again.file.kind, &bytes)?;
    let (kind, picture) = match kind {
        Kind::Raw | Kind::Heic => {
            let found = metadata::embedded_picture(kind, &bytes).filter(|picture| !picture.cut)?;
            (Kind::Jpeg, bytes.get(found.range)?)
        }
        _ => (kind, bytes.as_slice()),
    };
    measure::raster(kind, picture, again.orientation, side, scratch).ok()
}
