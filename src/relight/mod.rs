//! A shot lit anew: its own detail, under its lights' own pictures summed at other strengths.
//!
//! Light adds in linear values (P. Haeberli, Synthetic Lighting for Photography), so what a shot would have been with
//! one light weaker is a sum. The lights' pictures are coarse, a shot is fine: each place of the shot keeps its detail and
//! is brightened or darkened by what the sum of lights does there. With every light as it was, that is the shot itself.
//!
//! The page repeats this arithmetic while the reader moves a light; `src/report/page/board.js` says so too.

mod check;
mod fields;
pub mod place;
pub mod tone;

use rayon::prelude::*;

use crate::light::{LightPicture, Place};
use crate::measure::Raster;
use tone::Tone;

/// What is drawn where the light is not known: light and dark strokes and the ground between, see [`hatch`].
const HATCH: [u8; 3] = [210, 60, 128];
/// Width in pixels of a stroke.
const STROKE: usize = 3;
/// Light below that of this code value is noise.
const NOISE: u8 = 6;
/// Between these code values a channel passes from telling its light to being clipped.
const CLIPPING: (u8, u8) = (240, 254);

/// One of the lights a shot can be set anew with.
#[derive(Clone, Copy, Debug)]
pub struct Source<'a> {
    /// Its own picture on the plane.
    pub picture: &'a LightPicture,
    /// What it takes to bring that picture to the shot's settings and to the light's strength in the shot; for a light
    /// that did not burn, to its strength in its own reference shot.
    pub gain: [f64; 3],
    /// Whether it burned in the shot.
    pub burns: bool,
}

/// A shot and everything it can be set anew with.
#[derive(Clone, Debug)]
pub struct Board<'a> {
    /// The shot.
    pub shot: &'a Raster,
    /// Where it lies on the plane.
    pub place: Place,
    /// The camera's tone curve.
    pub tone: &'a Tone,
    /// The lights and the ambient. All pictures have one grid.
    pub sources: Vec<Source<'a>>,
}

/// A shot set anew.
#[derive(Clone, Debug)]
pub struct Relit {
    /// The picture, hatched where it is not known.
    pub raster: Raster,
    /// Share of its area that is hatched, 0..=1.
    pub unknown: f64,
}

impl Board<'_> {
    /// The factors under which nothing changes: one for what burned, nothing for what did not.
    #[must_use]
    pub fn as_shot(&self) -> Vec<[f64; 3]> {
        self.sources.iter().map(|source| [if source.burns { 1.0 } else { 0.0 }; 3]).collect()
    }

    /// The sources' pictures as the shot sees them. None where a picture's parts do not fit together.
    fn seen(&self) -> Option<Vec<LightPicture>> {
        self.sources.iter().map(|source| place::seen(source.picture, &self.place)).collect()
    }

    /// The shot with each source `factors` times as strong, channel by channel. None where pictures and factors do not
    /// belong together.
    #[must_use]
    pub fn set(&self, factors: &[[f64; 3]]) -> Option<Relit> {
        let fields = fields::Fields::of(self, &self.seen()?, factors)?;
        let (width, height) = (usize::from(self.shot.width), usize::from(self.shot.height));
        if width == 0 || self.shot.codes.len() != width * height {
            return None;
        }
        let rows: Vec<(Vec<[u8; 3]>, usize)> = self
            .shot
            .codes
            .par_chunks(width)
            .enumerate()
            .map(|(y, row)| {
                let mut unknown = 0;
                let lit = row.iter().enumerate().map(|(x, code)| {
                    let Some(tile) = fields.at((x, y), (width, height)) else {
                        unknown += 1;
                        return [hatch(x, y); 3];
                    };
                    fields::light(self.tone, *code, &tile)
                });
                (lit.collect(), unknown)
            })
            .collect();
        let unknown: usize = rows.iter().map(|(_, unknown)| unknown).sum();
        let codes = rows.into_iter().flat_map(|(row, _)| row).collect();
        let raster = Raster { width: self.shot.width, height: self.shot.height, codes };
        Some(Relit { raster, unknown: unknown as f64 / (width * height) as f64 })
    }
}

/// Diagonal strokes, light and dark in turn on a grey ground: they show on white and on black.
#[must_use]
pub fn hatch(x: usize, y: usize) -> u8 {
    let [light, dark, ground] = HATCH;
    match (x + y) / STROKE % 4 {
        0 => light,
        2 => dark,
        _ => ground,
    }
}
