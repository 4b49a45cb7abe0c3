//! One frame as a sum of lights: how strong each source is in it, and how sure that is.

use super::linalg::Normal;
use super::pose::Size;
use super::scene::Frame;

/// Extra unknowns for a weak veil over the frame (chalk, flare): one level a channel and a slope across and down.
const VEIL: usize = 5;
/// Expected size of that veil as a share of the frame's mean light.
const VEIL_SHARE: f64 = 0.02;
/// The frame is cut into this many blocks each way; leaving each out in turn shows how far the answer hangs on a part of
/// the picture (jackknife), which a sum over tiles that err together would hide.
const BLOCKS: usize = 4;
/// Rounds of reweighting.
const ROUNDS: usize = 4;
/// A frame must not excuse its own misfit: its scale of error grows at most to this.
const WORST_SCALE: f64 = 3.0;

/// A tile this many squared errors off loses three quarters of its weight; far ones lose nearly all (Geman and McClure).
const FAR: f64 = 6.0;
/// How much more it counts when neighbours err the same way: a shadow that moved, not noise.
const TOGETHER: f64 = 6.0;

/// What a light adds to the picture at gain 1: linear light per tile and channel. NaN where it is not known.
pub type Pattern = Vec<[f32; 3]>;

/// What is asked of one source in one frame.
#[derive(Clone, Copy, Debug)]
pub struct Column<'a> {
    /// Its picture.
    pub pattern: &'a Pattern,
    /// Channel factors on it: a gel's colour, or the shutter for ambient.
    pub colour: [f64; 3],
    /// Expected gain and its standard deviation, where there is a prior.
    pub prior: Option<(f64, f64)>,
    /// A likely gain, from which the search begins a second time; it has no other say.
    pub likely: Option<f64>,
}

/// The answer.
#[derive(Clone, Debug, Default)]
pub struct Fit {
    /// Gain of each column, never below zero.
    pub gain: Vec<f64>,
    /// Standard deviation of each gain, from leaving out parts of the picture; never below the formal one.
    pub sd: Vec<f64>,
    /// How much the weighted cost rises, per effective tile error, when the column is left out (a squared distance).
    pub needed: Vec<f64>,
    /// Scale of the frame's errors in units of the expected ones, 1 to 3.
    pub scale: f64,
    /// Robust weight of each tile, 0..1; 0 where it took no part.
    pub weight: Vec<f32>,
    /// Level and slopes of the veil.
    pub veil: [f64; VEIL],
    /// Median over the tiles of |picture - sum| / picture.
    pub misfit: f64,
    /// Tiles that took part.
    pub tiles: usize,
}

/// The veil's light at a tile.
pub fn veil_at(veil: &[f64; VEIL], plane: Size, index: usize) -> [f32; 3] {
    let [x, y] = tilt(plane, index);
    let slope = veil[3] * x + veil[4] * y;
    std::array::from_fn(|c| (veil[c] + slope) as f32)
}

/// Place of a tile across and down, -1..1.
fn tilt(plane: Size, index: usize) -> [f64; 2] {
    let (u, v) = plane.from_middle(index);
    [f64::from(u) * 2.0 / plane.columns as f64, f64::from(v) * 2.0 / plane.rows as f64]
}

fn block(plane: Size, index: usize) -> usize {
    let (x, y) = (index % plane.columns, index / plane.columns);
    y * BLOCKS / plane.rows * BLOCKS + x * BLOCKS / plane.columns
}

/// Errors of a tile: mean square, relative, signed.
type Wrong = (f64, f64, f64);

/// Everything the rounds share.
struct Work<'a> {
    frame: &'a Frame,
    columns: &'a [Column<'a>],
    plane: Size,
    n: usize,
    veil_prior: f64,
}

/// Tiles of one neighbourhood err together, some nine at a time (common practice, no source): so much less a sum over
/// tiles counts, and so much more beside it what is known of old.
fn count_of(fit: &Fit) -> f64 {
    9.0 * fit.scale * fit.scale
}

/// Fits a frame.
pub fn fit(frame: &Frame, columns: &[Column], plane: Size) -> Fit {
    let n = columns.len();
    let mut usable = vec![0.0f32; plane.len()];
    let (mut sum, mut count) = (0.0f64, 0usize);
    for (i, weight) in usable.iter_mut().enumerate() {
        let known = columns.iter().all(|c| !c.pattern[i][1].is_nan());
        if known && frame.variance[i].iter().any(|v| v.is_finite()) {
            *weight = 1.0;
            for (light, variance) in frame.light[i].iter().zip(&frame.variance[i]) {
                if variance.is_finite() {
                    sum += f64::from(*light) / 3.0;
                }
            }
            count += 1;
        }
    }
    let mean = (sum / count.max(1) as f64).max(1e-9);
    let work = Work { frame, columns, plane, n, veil_prior: 1.0 / (VEIL_SHARE * VEIL_SHARE * mean * mean) };
    let mut fit = Fit { gain: vec![0.0; n], scale: 1.0, weight: usable.clone(), tiles: count, ..Fit::default() };
    if count < plane.len() / 20 || n == 0 {
        fit.sd = vec![f64::INFINITY; n];
        fit.needed = vec![0.0; n];
        fit.misfit = f64::NAN;
        return fit;
    }
    // Weights that fall off far out have more than one resting place: a few tiles that are right may never be heard among
    // many that are wrong. The search begins once from all tiles alike and once from likely gains.
    let second = work.likely(&fit).map(|mut other| {
        work.reweight(&usable, &mut other);
        work.search(&usable, other)
    });
    let mut fit = work.search(&usable, fit);
    if let Some(other) = second
        && work.cost(&usable, &other) < work.cost(&usable, &fit)
    {
        fit = other;
    }
    work.certainty(&mut fit);
    fit
}

impl Work<'_> {
    /// A fit at the likely gains, where there are any.
    fn likely(&self, fit: &Fit) -> Option<Fit> {
        let known = self.columns.iter().filter(|c| c.prior.is_none());
        if known.clone().count() == 0 || known.clone().any(|c| c.likely.is_none()) {
            return None;
        }
        let gain = self.columns.iter().map(|c| c.likely.or(c.prior.map(|p| p.0)).unwrap_or(0.0)).collect();
        Some(Fit { gain, ..fit.clone() })
    }

    fn search(&self, usable: &[f32], mut fit: Fit) -> Fit {
        for round in 0..ROUNDS {
            let normal = self.normal(&fit);
            self.solve(&normal, &mut fit);
            if round + 1 < ROUNDS {
                self.reweight(usable, &mut fit);
            }
        }
        fit
    }

    /// Robust cost of a fit, at one scale for all fits of a frame.
    fn cost(&self, usable: &[f32], fit: &Fit) -> f64 {
        let errors = self.errors(usable, fit);
        let squares = self.squares(&errors).into_iter().flatten();
        let scale = FAR * WORST_SCALE * WORST_SCALE;
        squares.map(|s| s / (s + scale)).sum()
    }

    fn errors(&self, usable: &[f32], fit: &Fit) -> Vec<Option<Wrong>> {
        usable.iter().enumerate().map(|(i, &w)| (w > 0.0).then(|| self.error(fit, i))).collect()
    }

    /// Squared error of each tile, with what it shares with its neighbours.
    fn squares(&self, errors: &[Option<Wrong>]) -> Vec<Option<f64>> {
        let together = self.coherent(errors);
        errors.iter().zip(together).map(|(e, t)| e.map(|e| e.0 + TOGETHER * t * t)).collect()
    }

    /// Normal equations under the tile weights found so far.
    fn normal(&self, fit: &Fit) -> Normal {
        let mut total = Normal::new(self.n + VEIL);
        for b in &self.blocks(fit) {
            total.combine(b, 1.0);
        }
        self.add_priors(&mut total, count_of(fit));
        total
    }

    fn add_priors(&self, normal: &mut Normal, count: f64) {
        for k in 0..VEIL {
            normal.prior(self.n + k, 0.0, count * self.veil_prior);
        }
        for (i, column) in self.columns.iter().enumerate() {
            if let Some((value, sd)) = column.prior {
                normal.prior(i, value, count / (sd * sd));
            }
        }
    }

    /// Normal equations of each block, without priors.
    fn blocks(&self, fit: &Fit) -> Vec<Normal> {
        let mut blocks = vec![Normal::new(self.n + VEIL); BLOCKS * BLOCKS];
        let mut row = vec![0.0; self.n + VEIL];
        for (i, &w) in fit.weight.iter().enumerate() {
            if w <= 0.0 {
                continue;
            }
            let [x, y] = tilt(self.plane, i);
            let normal = &mut blocks[block(self.plane, i)];
            for c in 0..3 {
                let variance = self.frame.variance[i][c];
                if !variance.is_finite() {
                    continue;
                }
                for (r, column) in row.iter_mut().zip(self.columns) {
                    *r = column.colour[c] * f64::from(column.pattern[i][c]);
                }
                row[self.n..].copy_from_slice(&[0.0, 0.0, 0.0, x, y]);
                row[self.n + c] = 1.0;
                normal.add(&row, f64::from(self.frame.light[i][c]), f64::from(w / variance));
            }
        }
        for b in &mut blocks {
            b.mirror();
        }
        blocks
    }

    fn solve(&self, normal: &Normal, fit: &mut Fit) {
        let small = normal.eliminate(self.n);
        fit.gain = small.nnls();
        // The veil that goes with these gains.
        let mut rest = Normal::new(VEIL);
        for i in 0..VEIL {
            for j in 0..VEIL {
                rest.a[i * VEIL + j] = normal.a[(self.n + i) * normal.n + self.n + j];
            }
            let taken: f64 = fit.gain.iter().enumerate().map(|(l, g)| normal.a[(self.n + i) * normal.n + l] * g).sum();
            rest.b[i] = normal.b[self.n + i] - taken;
        }
        let veil = super::linalg::Cholesky::of(&rest.a, VEIL).map(|c| c.solve(&rest.b)).unwrap_or_default();
        for (v, found) in fit.veil.iter_mut().zip(veil) {
            *v = found;
        }
    }

    /// Errors of a tile: mean square over its channels in units of the expected, and relative error of its luminance.
    fn error(&self, fit: &Fit, i: usize) -> Wrong {
        let veil = veil_at(&fit.veil, self.plane, i);
        let (mut square, mut known, mut rest_y, mut light_y, mut signed) = (0.0, 0.0, 0.0, 1e-12, 0.0);
        for c in 0..3 {
            let variance = self.frame.variance[i][c];
            if variance.is_finite() {
                let sum: f64 =
                    self.columns.iter().zip(&fit.gain).map(|(k, g)| g * k.colour[c] * f64::from(k.pattern[i][c])).sum();
                let light = f64::from(self.frame.light[i][c]);
                let rest = light - sum - f64::from(veil[c]);
                square += rest * rest / f64::from(variance);
                known += 1.0;
                signed += rest / f64::from(variance).sqrt();
                rest_y += rest.abs();
                light_y += light;
            }
        }
        (square / f64::max(known, 1.0), rest_y / light_y, signed / f64::max(known, 1.0))
    }

    fn reweight(&self, usable: &[f32], fit: &mut Fit) {
        let errors = self.errors(usable, fit);
        let mut squares: Vec<f64> = errors.iter().flatten().map(|e| e.0).collect();
        // Median of a mean of three squared normals is 0.79.
        fit.scale = (median(&mut squares) / 0.79).sqrt().clamp(1.0, WORST_SCALE);
        let mut relative: Vec<f64> = errors.iter().flatten().map(|e| e.1).collect();
        fit.misfit = median(&mut relative);
        for (weight, square) in fit.weight.iter_mut().zip(self.squares(&errors)) {
            *weight = square.map_or(0.0, |square| {
                let square = square / (FAR * fit.scale * fit.scale);
                (1.0 / ((1.0 + square) * (1.0 + square))) as f32
            });
        }
    }

    /// Mean signed error of each tile and its neighbours, in expected errors: what is wrong there together.
    fn coherent(&self, errors: &[Option<Wrong>]) -> Vec<f64> {
        let (w, h) = (self.plane.columns, self.plane.rows);
        (0..self.plane.len())
            .map(|i| {
                let (x, y) = (i % w, i / w);
                let (mut sum, mut count) = (0.0, 1e-9);
                for b in y.saturating_sub(1)..(y + 2).min(h) {
                    for a in x.saturating_sub(1)..(x + 2).min(w) {
                        if let Some(e) = errors[b * w + a] {
                            sum += e.2;
                            count += 1.0;
                        }
                    }
                }
                sum / count
            })
            .collect()
    }

    /// How sure each gain is, and how much each column is needed.
    fn certainty(&self, fit: &mut Fit) {
        let blocks = self.blocks(fit);
        let mut total = Normal::new(self.n + VEIL);
        for b in &blocks {
            total.combine(b, 1.0);
        }
        let unit = count_of(fit);
        let mut whole = total.clone();
        self.add_priors(&mut whole, unit);
        let small = whole.eliminate(self.n);
        let cost = small.cost(&fit.gain);
        fit.needed = (0..self.n)
            .map(|out| {
                let mut without = small.clone();
                for k in 0..self.n {
                    without.a[out * self.n + k] = 0.0;
                    without.a[k * self.n + out] = 0.0;
                }
                without.b[out] = 0.0;
                (without.cost(&without.nnls()) - cost).max(0.0) / unit
            })
            .collect();
        let formal = super::linalg::Cholesky::of(&regular(&small), self.n).map(|c| c.inverse()).unwrap_or_default();
        let mut spread = vec![0.0; self.n];
        let parts: Vec<&Normal> = blocks.iter().filter(|b| b.yy > 0.0).collect();
        let m = parts.len().max(2) as f64;
        for part in &parts {
            let mut left = total.clone();
            left.combine(part, -1.0);
            self.add_priors(&mut left, unit);
            for ((s, g), whole) in spread.iter_mut().zip(left.eliminate(self.n).nnls()).zip(&fit.gain) {
                *s += (g - whole) * (g - whole);
            }
        }
        fit.sd = (0..self.n)
            .map(|i| {
                let own = formal.get(i * self.n + i).map_or(0.0, |v| v.max(0.0) * unit);
                ((m - 1.0) / m * spread[i]).max(own).sqrt()
            })
            .collect();
    }
}

/// The matrix with a trace of the identity: columns without any light do not spoil the others.
fn regular(normal: &Normal) -> Vec<f64> {
    let mut a = normal.a.clone();
    for i in 0..normal.n {
        a[i * normal.n + i] = a[i * normal.n + i] * (1.0 + 1e-9) + 1e-12;
    }
    a
}

/// Middle value; of an even number the upper of the two. NaN for none.
pub fn median(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return f64::NAN;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A light of gain 1 on a plane of 12 by 8 tiles: `right` columns of tiles show it as it is, the others lie in shadows
    /// of several depths.
    fn shaded(right: usize, likely: Option<f64>) -> Fit {
        let plane = Size { columns: 12, rows: 8 };
        let pattern: Pattern = (0..plane.len()).map(|i| [0.2 + 0.05 * (i / 12 % 3) as f32; 3]).collect();
        let depth = |x: usize| if x < right { 1.0 } else { 0.3 + 0.03 * (x - right) as f32 };
        let light: Vec<[f32; 3]> = pattern.iter().enumerate().map(|(i, p)| p.map(|p| p * depth(i % 12))).collect();
        let variance = light.iter().map(|l| l.map(|l| 0.0004 * l * l)).collect();
        let frame = Frame { light, variance, shutter: 1.0 };
        fit(&frame, &[Column { pattern: &pattern, colour: [1.0; 3], prior: None, likely }], plane)
    }

    #[test]
    fn tiles_that_are_right_are_heard_among_wrong_ones_where_a_likely_gain_points_to_them() {
        let gain = |right, likely| shaded(right, likely).gain[0];
        assert!(gain(6, None) < 0.5, "six columns in shadow outvote six in the light: {}", gain(6, None));
        for likely in [0.8, 1.0] {
            assert!((gain(6, Some(likely)) - 1.0).abs() < 1e-3, "{likely}: {}", gain(6, Some(likely)));
        }
    }

    #[test]
    fn a_likely_gain_has_no_other_say() {
        let gain = |right, likely| shaded(right, Some(likely)).gain[0];
        assert!((gain(12, 3.0) - 1.0).abs() < 1e-3, "all tiles say 1, not 3: {}", gain(12, 3.0));
        assert!((gain(10, 0.4) - 1.0).abs() < 1e-3, "nearly all say 1, not 0.4: {}", gain(10, 0.4));
        assert!(gain(1, 1.0) < 0.7, "a twelfth of the picture is no proof: {}", gain(1, 1.0));
    }
}
