//! How well the sum of its lights explains a shot, tile by tile.

use super::Board;
use crate::light::LightPicture;
use crate::measure::{LUMINANCE_WEIGHTS, TileGrid, linear_to_srgb};

/// Tiles darker than this code value are noise.
const NOISE: f64 = 12.0;

impl Board<'_> {
    /// log2 of the light of the shot's tiles over the sum of its burning lights, where both are known, unclipped and above
    /// noise. Empty for tiles of another grid than the shot's.
    #[must_use]
    pub fn against_sum(&self, tiles: &TileGrid) -> Vec<f64> {
        let seen = self.seen().filter(|_| (tiles.columns, tiles.rows) == self.place.frame);
        let Some(seen) = seen else { return Vec::new() };
        let off = |(index, mean): (usize, &[u16; 3])| {
            let code = |mean: u16| 255.0 * linear_to_srgb(f64::from(mean) / 65535.0);
            let bright = mean.iter().map(|m| code(*m)).fold(0.0, f64::max);
            if bright < NOISE || tiles.clipped.get(index).is_some_and(|clipped| *clipped > 0) {
                return None;
            }
            let light = |mean: u16| f64::from(self.tone.light_at(code(mean) as f32));
            let shot: f64 = mean.iter().zip(LUMINANCE_WEIGHTS).map(|(m, weight)| light(*m) * weight).sum();
            Some(libm::log2(shot / self.luminance(&seen, index)?)).filter(|off| off.is_finite())
        };
        tiles.means.iter().enumerate().filter_map(off).collect()
    }

    /// Luminance of the burning lights at a tile of the shot; None where one of them is missing.
    fn luminance(&self, seen: &[LightPicture], tile: usize) -> Option<f64> {
        let burning = self.sources.iter().zip(seen).filter(|(source, _)| source.burns);
        burning
            .map(|(source, picture)| {
                let light = picture.linear.get(tile)?;
                let missing = picture.missing.get(tile).copied().unwrap_or(true);
                let own = light.iter().zip(source.gain).zip(LUMINANCE_WEIGHTS);
                (!missing).then(|| own.map(|((l, gain), weight)| f64::from(*l) * gain * weight).sum::<f64>())
            })
            .sum()
    }
}
