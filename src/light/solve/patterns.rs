//! Each light's own picture, worked out tile by tile from all frames and the gains found so far.

use rayon::prelude::*;

use super::fit::{Fit, Pattern, veil_at};
use super::linalg::Normal;
use super::pose::Size;
use super::scene::Frame;

/// Gain and channel factors of every source in one frame; the last source is the ambient.
#[derive(Clone, Debug)]
pub struct Mix {
    /// Gains, 0 for off.
    pub gain: Vec<f64>,
    /// Channel factors.
    pub colour: Vec<[f64; 3]>,
    /// How far the frame counts, 0..1.
    pub trust: f64,
}

/// The pictures of all sources. `before` holds a tile's light where frames say nothing of it.
pub fn update(frames: &[Frame], mixes: &[Mix], fits: &[Fit], plane: Size, sources: usize) -> Vec<Pattern> {
    let tiles: Vec<Vec<[f32; 3]>> =
        (0..plane.len()).into_par_iter().map(|i| tile(frames, mixes, fits, plane, sources, i)).collect();
    (0..sources).map(|s| tiles.iter().map(|t| t[s]).collect()).collect()
}

fn tile(frames: &[Frame], mixes: &[Mix], fits: &[Fit], plane: Size, sources: usize, i: usize) -> Vec<[f32; 3]> {
    let mut found = vec![[f32::NAN; 3]; sources];
    let mut row = vec![0.0; sources];
    for c in 0..3 {
        let mut normal = Normal::new(sources);
        for (f, (frame, mix)) in frames.iter().zip(mixes).enumerate() {
            let variance = f64::from(frame.variance[i][c]);
            if !variance.is_finite() || mix.trust <= 0.0 {
                continue;
            }
            let (mut weight, mut veil) = (mix.trust / variance, 0.0);
            if let Some(fit) = fits.get(f) {
                weight *= f64::from(fit.weight[i]).max(0.02) / (fit.scale * fit.scale);
                veil = f64::from(veil_at(&fit.veil, plane, i)[c]);
            }
            for (r, (g, colour)) in row.iter_mut().zip(mix.gain.iter().zip(&mix.colour)) {
                *r = g * colour[c];
            }
            normal.add(&row, f64::from(frame.light[i][c]) - veil, weight);
        }
        normal.mirror();
        for s in 0..sources {
            let own = normal.a[s * sources + s];
            if own > 0.0 {
                // A trace of pull to zero decides what frames leave open, such as two lights that always burn together.
                normal.a[s * sources + s] = own * (1.0 + 1e-6);
            }
        }
        for (s, light) in normal.nnls().into_iter().enumerate() {
            if normal.a[s * sources + s] > 0.0 {
                found[s][c] = light as f32;
            }
        }
    }
    // A source known in one channel and not in another is not known: no light is half a colour.
    for tile in &mut found {
        if tile.iter().any(|v| v.is_nan()) {
            *tile = [f32::NAN; 3];
        }
    }
    found
}
