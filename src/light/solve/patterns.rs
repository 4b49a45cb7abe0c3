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

/// One frame's say on one tile and channel.
struct Say {
    row: Vec<f64>,
    light: f64,
    variance: f64,
    trust: f64,
}

/// Share of a tile's light that its sum may be off by.
const OWN: f64 = 0.02;
/// A frame this many expected errors off at a tile loses half of its say there.
const FAR: f64 = 8.0;

fn tile(frames: &[Frame], mixes: &[Mix], fits: &[Fit], plane: Size, sources: usize, i: usize) -> Vec<[f32; 3]> {
    let mut found = vec![[f32::NAN; 3]; sources];
    for c in 0..3 {
        let mut says = Vec::with_capacity(frames.len());
        for (f, (frame, mix)) in frames.iter().zip(mixes).enumerate() {
            let variance = f64::from(frame.variance[i][c]);
            if !variance.is_finite() || mix.trust <= 0.0 {
                continue;
            }
            let (mut trust, mut veil) = (mix.trust, 0.0);
            if let Some(fit) = fits.get(f) {
                trust *= f64::from(fit.weight[i]).max(0.02) / (fit.scale * fit.scale);
                veil = f64::from(veil_at(&fit.veil, plane, i)[c]);
            }
            let row = mix.gain.iter().zip(&mix.colour).map(|(g, colour)| g * colour[c]).collect();
            says.push(Say { row, light: f64::from(frame.light[i][c]) - veil, variance, trust });
        }
        for (s, light) in solve(&says, sources).into_iter().enumerate() {
            if says.iter().any(|say| say.row[s] > 0.0) {
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

/// Light that counts for all frames alike at first, as a share of the mean square light at the tile: once so much that
/// bright frames lead, once so little that dark ones do.
const STARTS: [f64; 2] = [1e-3, 1e-6];

/// The sources' light that explains what the frames say best. Weights that fall off far out have more than one resting
/// place: bright frames alone cannot tell ambient from a curve that is a little off, and dark frames alone cannot tell a
/// flash that failed from one that was never there.
fn solve(says: &[Say], sources: usize) -> Vec<f64> {
    let mean = says.iter().map(|s| s.light).sum::<f64>() / says.len().max(1) as f64;
    let found = STARTS.map(|floor| rest(says, sources, floor * mean * mean));
    let [bright, dark] = found;
    if cost(says, &dark) < cost(says, &bright) { dark } else { bright }
}

/// Robust cost of a tile's light.
fn cost(says: &[Say], light: &[f64]) -> f64 {
    let one = |say: &Say| {
        let sum: f64 = say.row.iter().zip(light).map(|(r, l)| r * l).sum();
        say.trust * libm::log1p((say.light - sum) * (say.light - sum) / (say.variance * FAR * FAR))
    };
    says.iter().map(one).sum()
}

/// Where reweighting comes to rest from one start. A frame is weighed by the light it should have, not by the light it
/// has: a flash that failed leaves a dark frame, and dark frames would else count most.
fn rest(says: &[Say], sources: usize, floor: f64) -> Vec<f64> {
    let mut light: Option<Vec<f64>> = None;
    for _ in 0..4 {
        let mut normal = Normal::new(sources);
        for say in says {
            let weight = match &light {
                None => say.trust / (say.variance + floor),
                Some(light) => {
                    let sum: f64 = say.row.iter().zip(light).map(|(r, l)| r * l).sum();
                    let variance = say.variance + OWN * OWN * sum * sum;
                    let square = (say.light - sum) * (say.light - sum) / (variance * FAR * FAR);
                    say.trust / variance / (1.0 + square)
                }
            };
            normal.add(&say.row, say.light, weight);
        }
        normal.mirror();
        for s in 0..sources {
            // A trace of pull to zero decides what frames leave open, such as two lights that always burn together.
            normal.a[s * sources + s] *= 1.0 + 1e-6;
        }
        light = Some(normal.nnls());
    }
    light.unwrap_or_default()
}
