//! Frames on a coarser grid, flat: what discovery works on, where the same fit is made thousands of times.

use super::linalg::Normal;
use super::pose::Size;
use super::scene::Frame;

/// Squared errors beyond this count less and less: what no light explains (the sitter moved) is not to be a light.
pub const FAR: f32 = 9.0;

/// What a tone curve that is not quite right, and light that is not quite the same, do to a sum of lights.
const OWN: f32 = 0.05;

/// Light of one source, flat: tile by tile, channel by channel. NaN where it is not known.
pub type Atom = Vec<f32>;

/// One frame on the coarser grid.
#[derive(Clone, Debug)]
pub struct Small {
    /// Linear light, flat; 0 where not known.
    pub light: Vec<f32>,
    /// 1 / variance; 0 where not known.
    pub weight: Vec<f32>,
    /// What the shutter makes of ambient.
    pub shutter: f32,
}

/// Gains of one frame (the last one is the ambient's) and what they leave over.
#[derive(Clone, Debug, Default)]
pub struct SmallFit {
    /// Gains, never below zero.
    pub gain: Vec<f32>,
    /// Mean robust squared error, in expected errors, 0..[`FAR`].
    pub cost: f32,
}

/// Tiles that become one, each way.
const COARSE: usize = 3;
/// In the toe the curve is known worst: error as a share of the light, and the linear light (of white) where it ends.
const TOE: (f32, f32) = (0.4, 0.01);

/// Linear light (of white) that may drown in black: the first few codes tell nothing of their light.
const BLACK: f32 = 0.0015;

/// A tile is never taken to be more restless than this, as a square of its light: where every shot has another light, no
/// pair of neighbours is quiet.
const MOST_UNREST: f32 = 0.06;

/// Coarser frames; `exposure` is what aperture and ISO made of each one's light.
pub fn coarser(frames: &[Frame], exposure: &[f32], plane: Size) -> (Vec<Small>, Size) {
    let coarse = Size { columns: plane.columns / COARSE, rows: plane.rows / COARSE };
    let small = |(frame, exposure): (&Frame, &f32)| {
        let mut small = Small { light: Vec::new(), weight: Vec::new(), shutter: frame.shutter as f32 };
        for i in 0..coarse.len() {
            let (x, y) = (i % coarse.columns * COARSE, i / coarse.columns * COARSE);
            for c in 0..3 {
                let tiles = (0..COARSE * COARSE).map(|k| (y + k / COARSE) * plane.columns + x + k % COARSE);
                let mean = |of: &dyn Fn(usize) -> f32| tiles.clone().map(of).sum::<f32>() / (COARSE * COARSE) as f32;
                let light = mean(&|k| frame.light[k][c]);
                let variance = mean(&|k| frame.variance[k][c]);
                let known = light.is_finite() && variance.is_finite();
                small.light.push(if known { light } else { 0.0 });
                let black = BLACK / exposure;
                let own = (OWN + TOE.0 * libm::expf(-light.max(0.0) * exposure / TOE.1)) * light;
                small.weight.push(if known { 1.0 / (variance + own * own + black * black) } else { 0.0 });
            }
        }
        small
    };
    (frames.iter().zip(exposure).map(small).collect(), coarse)
}

/// Adds to each tile's expected error what it does from one shot to the next by itself: the sitter moves, the wall does
/// not. A change of light strikes few of the pairs of neighbours, so the quieter pairs tell.
pub fn unrest(frames: &mut [Small]) {
    let places = frames.first().map_or(0, |f| f.light.len());
    let quiet: Vec<f32> = (0..places / 3)
        .map(|t| {
            let mut swings: Vec<f32> = frames
                .iter()
                .zip(frames.iter().skip(1))
                .filter_map(|(a, b)| {
                    let of = (3 * t..3 * t + 3).filter(|&i| a.weight[i] > 0.0 && b.weight[i] > 0.0);
                    let swing = |i: usize| {
                        let off = a.light[i] - b.light[i];
                        let expected = 1.0 / a.weight[i] + 1.0 / b.weight[i];
                        (off * off - expected).max(0.0) / (0.5 * (a.light[i] * a.light[i] + b.light[i] * b.light[i]))
                    };
                    let (sum, count) = of.map(swing).fold((0.0, 0.0f32), |(s, n), v| (s + v, n + 1.0));
                    (count > 0.0).then(|| sum / count)
                })
                .collect();
            swings.sort_by(f32::total_cmp);
            swings.get(swings.len() * 3 / 10).map_or(0.0, |s| s.min(MOST_UNREST))
        })
        .collect();
    for frame in frames {
        for (i, weight) in frame.weight.iter_mut().enumerate().filter(|(_, w)| **w > 0.0) {
            *weight = 1.0 / (1.0 / *weight + quiet[i / 3] * frame.light[i] * frame.light[i]);
        }
    }
}

impl Small {
    /// Light that these gains of these pictures (the last the ambient's) give at a place; a light that does not burn need
    /// not be known there.
    pub fn sum(&self, atoms: &[&Atom], gain: &[f32], i: usize) -> f32 {
        let shutter = |k: usize| if k + 1 == atoms.len() { self.shutter } else { 1.0 };
        let burns = atoms.iter().zip(gain).enumerate().filter(|(_, (_, g))| **g > 0.0);
        burns.map(|(k, (a, g))| a[i] * g * shutter(k)).sum()
    }

    /// Robust squared error of a value at a place.
    pub fn loss(&self, i: usize, sum: f32) -> f32 {
        let rest = self.light[i] - sum;
        let square = rest * rest * self.weight[i];
        square / (1.0 + square / FAR)
    }

    /// Fits sums of atoms from the given gains on (from plain least squares without); the last atom is the ambient's,
    /// whose gain is near `course`.
    pub fn fit(&self, atoms: &[&Atom], course: f32, start: Option<&[f32]>) -> SmallFit {
        let n = atoms.len();
        let mut gain = start.map_or(vec![0.0f32; n], <[f32]>::to_vec);
        let colour = |k: usize| if k + 1 == n { self.shutter } else { 1.0 };
        // Far errors count less and less from round to round, so that the sitter's place in another frame does not catch
        // the answer on its way (graduated non-convexity: Blake and Zisserman 1987).
        let schedule: &[f32] = if start.is_some() { &[4.0, 1.0, 1.0] } else { &[0.0, 64.0, 16.0, 4.0, 1.0, 1.0] };
        for &wide in schedule {
            let far = FAR * wide;
            gain = self.step(atoms, course, &gain, |rest, weight| {
                let square = if wide == 0.0 { 1.0 } else { 1.0 + rest * rest * weight / far };
                weight / (square * square)
            });
        }
        let (mut cost, mut count) = (0.0, 1e-6);
        for (i, &weight) in self.weight.iter().enumerate() {
            if weight > 0.0 {
                let sum: f32 = atoms.iter().enumerate().map(|(k, a)| a[i] * colour(k) * gain[k]).sum();
                if !sum.is_nan() {
                    cost += self.loss(i, sum);
                    count += 1.0;
                }
            }
        }
        SmallFit { gain, cost: cost / count }
    }

    /// Gains that leave as little as they can of the frame but hardly any place with less light than they give: errors
    /// above count by their robust weight, errors below in full.
    pub fn under(&self, atoms: &[&Atom], course: f32) -> Vec<f32> {
        let mut gain = vec![0.0f32; atoms.len()];
        for round in 0..5 {
            gain = self.step(atoms, course, &gain, |rest, weight| {
                let z = rest * weight.sqrt();
                if round == 0 {
                    weight
                } else if z < 0.0 {
                    4.0 * weight
                } else {
                    weight / (1.0 + z * z).powi(2)
                }
            });
        }
        gain
    }

    /// Least squares once, each place weighed by what the last gains leave over there (and its own weight).
    fn step(&self, atoms: &[&Atom], course: f32, last: &[f32], weigh: impl Fn(f32, f32) -> f32) -> Vec<f32> {
        let n = atoms.len();
        let mut row = vec![0.0f64; n];
        let mut normal = Normal::new(n);
        for (i, &weight) in self.weight.iter().enumerate().filter(|(_, w)| **w > 0.0) {
            let mut sum = 0.0;
            for (k, atom) in atoms.iter().enumerate() {
                let v = atom[i] * if k + 1 == n { self.shutter } else { 1.0 };
                row[k] = f64::from(v);
                sum += v * last[k];
            }
            if !sum.is_nan() {
                normal.add(&row, f64::from(self.light[i]), f64::from(weigh(self.light[i] - sum, weight)));
            }
        }
        normal.mirror();
        // The ambient is held near its course, or it would take what a light not yet found should explain.
        normal.prior(n - 1, f64::from(course), 0.7 * normal.a[n * n - 1] + 1e-9);
        for k in 0..n {
            normal.a[k * n + k] = normal.a[k * n + k] * (1.0 + 1e-6) + 1e-9;
        }
        normal.nnls().iter().map(|g| *g as f32).collect()
    }
}
