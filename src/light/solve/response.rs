//! The tone curve from the shoot itself: the curve under which frames are best explained as sums of their lights.
//!
//! With gains given, every tile is linear in its lights; their pictures are eliminated tile by tile (variable
//! projection), and what is left over, counted in code values, is least where the curve is right. The idea of finding a
//! response from exposures in known ratios is Debevec and Malik 1997 and Mitsunaga and Nayar 1999.

use rayon::prelude::*;

use super::curve::{BENDS, Curve};
use super::fit::{Fit, Pattern, veil_at};
use super::linalg::{Cholesky, Normal};
use super::patterns::Mix;
use super::scene::Scene;

/// Tiles asked, about; spread evenly.
const TILES: usize = 500;
/// Frames asked at most, spread evenly.
const FRAMES: usize = 60;
/// Errors of neighbouring tiles and frames go together: the data count this much.
const TRUST: f64 = 0.01;
/// Squared errors beyond this count less and less: what no curve explains (the sitter moved) must not bend it.
const FAR: f64 = 9.0;
/// Where bends of cameras' curves lie and how widely, from shadows to highlights: shadows and highlights are pressed
/// together, mid-tones keep their slope (common practice, no source; wide, so that data decide where there are any).
const USUAL: [(f64, f64); BENDS] =
    [(1.5, 4.0), (0.6, 1.0), (0.3, 0.5), (0.0, 0.3), (0.0, 0.3), (0.1, 0.35), (0.4, 0.5), (1.0, 0.9)];
/// How far each bend but the first and last may lie from a straight line between its neighbours, in stops: a raised black
/// or a toe, and the way to white, turn sharply, the mid-tones hardly (common practice, no source; wide).
const STRAIGHT: [f64; BENDS - 2] = [3.0, 0.7, 0.4, 0.4, 0.4, 1.0];
/// Bends beyond this many stops are cut off: no curve of a camera has them.
const FURTHEST: f64 = 8.0;
/// Errors of a tile in code values (0..1), beside the share of its light.
const CODE: f64 = 0.6 / 255.0;
const OWN: f64 = 0.02;

/// One tile and channel over all frames.
struct Series {
    code: Vec<f32>,
    /// The code value each should have by the account so far; errors are counted at it, for a flash that failed leaves a
    /// dark tile, and dark tiles would else count most.
    due: Vec<f32>,
    /// Rows of the design, frame by frame.
    rows: Vec<Vec<f64>>,
    /// Light per code unit of aperture and ISO.
    gain: Vec<f64>,
    /// Veil, in light with aperture and ISO taken out.
    veil: Vec<f64>,
    /// Weight and error in code values.
    weight: Vec<f64>,
    sd: Vec<f64>,
}

/// A camera's usual curve, to start from.
pub fn usual() -> Curve {
    Curve::bent(USUAL.map(|(mean, _)| mean))
}

/// The curve that explains the scene best, starting from `start`.
pub fn estimate(scene: &Scene, mixes: &[Mix], fits: &[Fit], patterns: &[Pattern], start: &Curve) -> Curve {
    let series = series(scene, mixes, fits, patterns, start);
    if series.len() < 50 {
        return start.clone();
    }
    let mut bends = start.bends;
    let mut damping = 1e-3;
    let mut now = system(&series, &bends);
    for _ in 0..3 {
        let mut trial = now.clone();
        for i in 0..BENDS {
            trial.a[i * BENDS + i] *= 1.0 + damping;
        }
        let Some(step) = Cholesky::of(&trial.a, BENDS).map(|c| c.solve(&trial.b)) else { break };
        let next: [f64; BENDS] =
            std::array::from_fn(|k| (bends[k] + step[k].clamp(-1.0, 1.0)).clamp(-FURTHEST, FURTHEST));
        let then = system(&series, &next);
        let gain = now.yy - then.yy;
        if gain > 0.0 {
            (bends, now) = (next, then);
            damping = f64::max(damping * 0.3, 1e-6);
            if gain < 1e-4 * now.yy {
                break;
            }
        } else {
            damping *= 10.0;
            if damping > 1e4 {
                break;
            }
        }
    }
    // The scale of the curve is free: hold it where the mid-tones are.
    let middle = super::curve::spline(&bends, 0.5);
    Curve::bent(bends.map(|b| b - middle))
}

fn series(scene: &Scene, mixes: &[Mix], fits: &[Fit], patterns: &[Pattern], start: &Curve) -> Vec<Series> {
    let frames: Vec<usize> = {
        let useful: Vec<usize> = (0..mixes.len()).filter(|&f| mixes[f].trust > 0.0 && scene.laid[f]).collect();
        let step = useful.len().div_ceil(FRAMES).max(1);
        useful.into_iter().step_by(step).collect()
    };
    let codes: Vec<Vec<[f32; 3]>> = frames.par_iter().map(|&f| scene.codes(f)).collect();
    let stride = (scene.plane.len() / TILES).max(1) | 1;
    (0..scene.plane.len())
        .step_by(stride)
        .flat_map(|i| (0..3).map(move |c| (i, c)))
        .filter_map(|(i, c)| {
            let mut s = Series {
                code: vec![],
                due: vec![],
                rows: vec![],
                gain: vec![],
                veil: vec![],
                weight: vec![],
                sd: vec![],
            };
            for (code, &f) in codes.iter().zip(&frames) {
                let z = code[i][c];
                if z.is_nan() {
                    continue;
                }
                let (fit, mix) = (&fits[f], &mixes[f]);
                let row: Vec<f64> = mix.gain.iter().zip(&mix.colour).map(|(g, colour)| g * colour[c]).collect();
                let gain = libm::exp2(-scene.views[f].flash_stops);
                let veil = f64::from(veil_at(&fit.veil, scene.plane, i)[c]);
                let sum: f64 =
                    row.iter().zip(patterns).map(|(r, p)| if *r > 0.0 { r * f64::from(p[i][c]) } else { 0.0 }).sum();
                let due = start.code(((sum + veil) / gain) as f32);
                if due.is_nan() {
                    continue;
                }
                let own = OWN * f64::from(start.light(due)) / f64::from(start.slope(due));
                let sd = (CODE * CODE + own * own).sqrt();
                let off = f64::from(z - due) / sd;
                s.code.push(z);
                s.due.push(due);
                s.rows.push(row);
                s.gain.push(gain);
                s.veil.push(veil);
                s.weight.push(f64::from(fit.weight[i]).max(0.01) / (1.0 + off * off / 64.0));
                s.sd.push(sd);
            }
            (s.code.len() > mixes.first().map_or(0, |m| m.gain.len())).then_some(s)
        })
        .collect()
}

/// Cost, gradient and curvature at these bends, by differences; the cost is in `yy`, `b` points downhill.
fn system(series: &[Series], bends: &[f64; BENDS]) -> Normal {
    const STEP: f64 = 0.02;
    let curves: Vec<Curve> = (0..=BENDS)
        .map(|k| {
            let mut moved = *bends;
            if let Some(bend) = moved.get_mut(k.wrapping_sub(1)) {
                *bend += STEP;
            }
            Curve::bent(moved)
        })
        .collect();
    let parts: Vec<Normal> = series
        .par_chunks(64)
        .map(|chunk| {
            let mut normal = Normal::new(BENDS);
            for s in chunk {
                let rests: Vec<Vec<f64>> = curves.iter().map(|curve| rests(s, curve)).collect();
                for (j, &rest) in rests[0].iter().enumerate() {
                    let slope: [f64; BENDS] = std::array::from_fn(|k| (rests[k + 1][j] - rest) / STEP);
                    // Robust: what no curve explains (the sitter moved) must not bend it.
                    let w = TRUST / (1.0 + rest * rest / FAR);
                    normal.add(&slope, -rest, w);
                    normal.yy += TRUST * FAR * libm::log1p(rest * rest / FAR) - w * rest * rest;
                }
            }
            normal.mirror();
            normal
        })
        .collect();
    let mut total = Normal::new(BENDS);
    for part in &parts {
        total.combine(part, 1.0);
    }
    priors(&mut total, bends);
    total
}

/// Bends are near the usual ones and near straight.
fn priors(normal: &mut Normal, bends: &[f64; BENDS]) {
    let mut add = |form: &[(usize, f64)], mean: f64, sd: f64| {
        let value: f64 = form.iter().map(|&(k, f)| f * bends[k]).sum::<f64>() - mean;
        let w = 1.0 / (sd * sd);
        for &(i, a) in form {
            for &(j, b) in form {
                normal.a[i * BENDS + j] += w * a * b;
            }
            normal.b[i] -= w * a * value;
        }
        normal.yy += w * value * value;
    };
    for (k, (mean, sd)) in USUAL.into_iter().enumerate() {
        add(&[(k, 1.0)], mean, sd);
    }
    for (k, straight) in STRAIGHT.into_iter().enumerate() {
        add(&[(k, 1.0), (k + 1, -2.0), (k + 2, 1.0)], 0.0, straight);
    }
}

/// What is left of one tile's light after its sources are fitted, in expected errors of its code value.
fn rests(s: &Series, curve: &Curve) -> Vec<f64> {
    let n = s.rows[0].len();
    let mut normal = Normal::new(n);
    let mut light = Vec::with_capacity(s.code.len());
    let mut unit = Vec::with_capacity(s.code.len());
    for (j, &z) in s.code.iter().enumerate() {
        let y = f64::from(curve.light(z)) * s.gain[j] - s.veil[j];
        let u = f64::from(curve.slope(s.due[j])) * s.sd[j] * s.gain[j];
        normal.add(&s.rows[j], y, s.weight[j] / (u * u));
        light.push(y);
        unit.push(u);
    }
    normal.mirror();
    for i in 0..n {
        normal.a[i * n + i] = normal.a[i * n + i] * (1.0 + 1e-6) + 1e-12;
    }
    let picture = Cholesky::of(&normal.a, n).map(|c| c.solve(&normal.b)).unwrap_or_else(|| vec![0.0; n]);
    (0..light.len())
        .map(|j| {
            let sum: f64 = s.rows[j].iter().zip(&picture).map(|(r, p)| r * p).sum();
            (light[j] - sum) / unit[j] * s.weight[j].sqrt()
        })
        .collect()
}
