//! How well the sum of its lights explains a shot, tile by tile.

use super::{Board, place};
use crate::measure::{LUMINANCE_WEIGHTS, TileGrid, linear_to_srgb};

/// Tiles darker than this code value are noise.
const NOISE: f64 = 12.0;

impl Board<'_> {
    /// log2 of the light of the shot's tiles over the sum of its burning lights, where both are known, unclipped and above
    /// noise.
    #[must_use]
    pub fn against_sum(&self, tiles: &TileGrid) -> Vec<f64> {
        let Some(first) = self.sources.first() else { return Vec::new() };
        let size = (usize::from(first.picture.columns), usize::from(first.picture.rows));
        let grid = (usize::from(tiles.columns), usize::from(tiles.rows));
        let off = |(index, mean): (usize, &[u16; 3])| {
            let code = |mean: u16| 255.0 * linear_to_srgb(f64::from(mean) / 65535.0);
            let bright = mean.iter().map(|m| code(*m)).fold(0.0, f64::max);
            if bright < NOISE || tiles.clipped.get(index).is_some_and(|clipped| *clipped > 0) {
                return None;
            }
            let (x, y) = place::on_plane(&self.place, size, (index % grid.0.max(1), index / grid.0.max(1)), grid);
            let inside = x >= -0.5 && y >= -0.5 && x < size.0 as f32 - 0.5 && y < size.1 as f32 - 0.5;
            let at = (y + 0.5).max(0.0) as usize * size.0 + (x + 0.5).max(0.0) as usize;
            let sum = inside.then(|| self.luminance(at)).flatten()?;
            let light = |mean: u16| f64::from(self.tone.light_at(code(mean) as f32));
            let shot: f64 = mean.iter().zip(LUMINANCE_WEIGHTS).map(|(m, weight)| light(*m) * weight).sum();
            Some(libm::log2(shot / sum)).filter(|off| off.is_finite())
        };
        tiles.means.iter().enumerate().filter_map(off).collect()
    }

    /// Luminance of the burning lights at a tile of the plane; None where one of them is missing.
    fn luminance(&self, tile: usize) -> Option<f64> {
        let burning = self.sources.iter().filter(|source| source.burns);
        burning
            .map(|source| {
                let light = source.picture.linear.get(tile)?;
                let missing = source.picture.missing.get(tile).copied().unwrap_or(true);
                let own = light.iter().zip(source.gain).zip(LUMINANCE_WEIGHTS);
                (!missing).then(|| own.map(|((l, gain), weight)| f64::from(*l) * gain * weight).sum::<f64>())
            })
            .sum()
    }
}
