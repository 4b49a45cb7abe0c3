//! Frames at half the tiles each way, flat: what discovery works on, where the same fit is made thousands of times.

use super::linalg::Normal;
use super::pose::Size;
use super::scene::Frame;

/// Squared errors beyond this count less and less: what no light explains (the sitter moved) is not to be a light.
pub const FAR: f32 = 9.0;

/// What a tone curve that is not quite right, and light that is not quite the same, do to a sum of lights.
const OWN: f32 = 0.05;

/// Light of one source, flat: tile by tile, channel by channel. NaN where it is not known.
pub type Atom = Vec<f32>;

/// One frame at half size.
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

/// Halves frames. Where hardly anything shows, the curve is known worst and errors are taken twice as large.
pub fn halve(frames: &[Frame], plane: Size) -> (Vec<Small>, Size) {
    let half = Size { columns: plane.columns / 2, rows: plane.rows / 2 };
    let small = |frame: &Frame| {
        let mut small = Small { light: Vec::new(), weight: Vec::new(), shutter: frame.shutter as f32 };
        for i in 0..half.len() {
            let (x, y) = (i % half.columns * 2, i / half.columns * 2);
            for c in 0..3 {
                let four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(a, b)| (y + b) * plane.columns + x + a);
                let light = four.iter().map(|&k| frame.light[k][c]).sum::<f32>() / 4.0;
                let variance = four.iter().map(|&k| frame.variance[k][c]).sum::<f32>() / 4.0;
                let known = light.is_finite() && variance.is_finite();
                small.light.push(if known { light } else { 0.0 });
                let own = OWN * light;
                let dark = if variance.sqrt() > 0.1 * light { 4.0 } else { 1.0 };
                small.weight.push(if known { 1.0 / (dark * variance + own * own) } else { 0.0 });
            }
        }
        small
    };
    (frames.iter().map(small).collect(), half)
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
            swings.get(swings.len() * 3 / 10).map_or(0.0, |s| s.min(1.0))
        })
        .collect();
    for frame in frames {
        for (i, weight) in frame.weight.iter_mut().enumerate().filter(|(_, w)| **w > 0.0) {
            *weight = 1.0 / (1.0 / *weight + quiet[i / 3] * frame.light[i] * frame.light[i]);
        }
    }
}

impl Small {
    /// Robust squared error of a value at a place.
    pub fn loss(&self, i: usize, sum: f32) -> f32 {
        let rest = self.light[i] - sum;
        let square = rest * rest * self.weight[i];
        square / (1.0 + square / FAR)
    }

    /// Fits sums of atoms; the last atom is the ambient's, whose gain is near `course`. Places where an atom is not known
    /// cost what they cost `before`.
    pub fn fit(&self, atoms: &[&Atom], course: f32, before: Option<&[f32]>) -> SmallFit {
        let n = atoms.len();
        let mut gain = vec![0.0f32; n];
        let colour = |k: usize| if k + 1 == n { self.shutter } else { 1.0 };
        let mut row = vec![0.0f64; n];
        for round in 0..3 {
            let mut normal = Normal::new(n);
            for (i, &weight) in self.weight.iter().enumerate() {
                if weight <= 0.0 {
                    continue;
                }
                let mut sum = 0.0;
                for (k, atom) in atoms.iter().enumerate() {
                    let v = atom[i] * colour(k);
                    row[k] = f64::from(v);
                    sum += v * gain[k];
                }
                if sum.is_nan() {
                    continue;
                }
                let w = if round == 0 {
                    weight
                } else {
                    let rest = self.light[i] - sum;
                    let square = 1.0 + rest * rest * weight / FAR;
                    weight / (square * square)
                };
                normal.add(&row, f64::from(self.light[i]), f64::from(w));
            }
            normal.mirror();
            // The ambient is held near its course, or it would take what a light not yet found should explain.
            normal.prior(n - 1, f64::from(course), 0.7 * normal.a[n * n - 1] + 1e-9);
            for k in 0..n {
                normal.a[k * n + k] = normal.a[k * n + k] * (1.0 + 1e-6) + 1e-9;
            }
            gain = normal.nnls().iter().map(|g| *g as f32).collect();
        }
        let (mut cost, mut count) = (0.0, 1e-6);
        for (i, &weight) in self.weight.iter().enumerate() {
            if weight > 0.0 {
                let sum: f32 = atoms.iter().enumerate().map(|(k, a)| a[i] * colour(k) * gain[k]).sum();
                cost += if sum.is_nan() { before.map_or(0.0, |b| b[i]) } else { self.loss(i, sum) };
                count += 1.0;
            }
        }
        SmallFit { gain, cost: cost / count }
    }

    /// Gains that leave as little as they can of the frame but hardly any place with less light than they give: errors
    /// above count by their robust weight, errors below in full.
    pub fn under(&self, atoms: &[&Atom], course: f32) -> Vec<f32> {
        let n = atoms.len();
        let colour = |k: usize| if k + 1 == n { self.shutter } else { 1.0 };
        let mut gain = vec![0.0f32; n];
        let mut row = vec![0.0f64; n];
        for round in 0..8 {
            let mut normal = Normal::new(n);
            for (i, &weight) in self.weight.iter().enumerate().filter(|(_, w)| **w > 0.0) {
                let mut sum = 0.0;
                for (k, atom) in atoms.iter().enumerate() {
                    let v = atom[i] * colour(k);
                    row[k] = f64::from(v);
                    sum += v * gain[k];
                }
                if sum.is_nan() {
                    continue;
                }
                let z = (self.light[i] - sum) * weight.sqrt();
                let w = if round == 0 { weight } else if z < 0.0 { 4.0 * weight } else { weight / (1.0 + z * z).powi(2) };
                normal.add(&row, f64::from(self.light[i]), f64::from(w));
            }
            normal.mirror();
            normal.prior(n - 1, f64::from(course), 0.7 * normal.a[n * n - 1] + 1e-9);
            for k in 0..n {
                normal.a[k * n + k] = normal.a[k * n + k] * (1.0 + 1e-6) + 1e-9;
            }
            gain = normal.nnls().iter().map(|g| *g as f32).collect();
        }
        gain
    }

    /// The robust errors, place by place.
    pub fn losses(&self, atoms: &[&Atom], fit: &SmallFit) -> Vec<f32> {
        let n = atoms.len();
        (0..self.light.len())
            .map(|i| {
                let sum: f32 = atoms
                    .iter()
                    .zip(&fit.gain)
                    .enumerate()
                    .map(|(k, (a, g))| a[i] * g * if k + 1 == n { self.shutter } else { 1.0 })
                    .sum();
                if sum.is_nan() || self.weight[i] <= 0.0 { 0.0 } else { self.loss(i, sum) }
            })
            .collect()
    }
}
