//! What was done to light and colour, undone: the export's grey as a sum of one smooth curve per channel of the shot
//!
//! Covers exposure, contrast, matte, white balance, saturation, grey by any mix of channels. What a grade does
//! differently from place to place (vignette, dodging) is left to the comparison block by block.

use super::plane::Plane;
use crate::light::solve::linalg::Cholesky;

/// Code values where the curves may bend: closer in the dark, where most of a dark picture lies.
const KNOTS: [f32; 7] = [0.0, 8.0, 22.0, 50.0, 95.0, 160.0, 255.0];
const UNKNOWNS: usize = 3 * KNOTS.len();
/// How stiff the curves are, as a share of the pixels.
const STIFF: f64 = 2e-4;

/// The hats of a value: which knot is below it, and how far it is on the way to the next.
fn hat(value: f32) -> (usize, f32) {
    let mut pairs = KNOTS.iter().zip(KNOTS.iter().skip(1)).enumerate();
    let last = KNOTS.len() - 2;
    let found = pairs.find(|(number, (_, to))| value < **to || *number == last);
    found.map_or((last, 1.0), |(number, (from, to))| (number, ((value - from) / (to - from)).clamp(0.0, 1.0)))
}

/// The shot in the export's grade; `shot` are its channels where the export's pixels lie. `used` says which pixels do.
pub fn undone(export: &Plane, shot: &[Plane; 3], used: &[bool]) -> Option<Plane> {
    let table: Vec<(usize, f32)> = (0..=1020).map(|i| hat(i as f32 / 4.0)).collect();
    let look = |value: f32| table.get((value * 4.0 + 0.5) as usize).copied().unwrap_or((KNOTS.len() - 2, 1.0));
    let [red, green, blue] = shot;
    let pixels = || red.values.iter().zip(&green.values).zip(&blue.values).map(|((r, g), b)| [*r, *g, *b]);
    let mut square = vec![0.0_f64; UNKNOWNS * UNKNOWNS];
    let mut right = vec![0.0_f64; UNKNOWNS];
    let mut count = 0_usize;
    // Every pixel says about the same as its neighbours; a step that shares no divisor with the width visits all columns.
    let step = (export.values.len() / 6000).max(1) | 1;
    for ((colours, wanted), _) in pixels().zip(&export.values).zip(used).step_by(step).filter(|(_, used)| **used) {
        count += 1;
        let mut terms = [(0_usize, 0.0_f64); 6];
        for ((pair, value), channel) in terms.as_chunks_mut::<2>().0.iter_mut().zip(colours).zip(0..) {
            let (knot, share) = look(value);
            let first = channel * KNOTS.len() + knot;
            *pair = [(first, f64::from(1.0 - share)), (first + 1, f64::from(share))];
        }
        for (i, a) in terms {
            if let Some(sum) = right.get_mut(i) {
                *sum += a * f64::from(*wanted);
            }
            for (j, b) in terms {
                if let Some(sum) = square.get_mut(i * UNKNOWNS + j) {
                    *sum += a * b;
                }
            }
        }
    }
    if count < 100 {
        return None;
    }
    stiffen(&mut square, STIFF * count as f64);
    let heights = Cholesky::of(&square, UNKNOWNS)?.solve(&right);
    // One table per channel, a quarter of a code apart.
    let curves: Vec<Vec<f32>> = heights
        .chunks_exact(KNOTS.len())
        .map(|heights| {
            let height = |knot: usize| heights.get(knot).copied().unwrap_or(0.0);
            table.iter().map(|(k, s)| (height(*k) + (height(k + 1) - height(*k)) * f64::from(*s)) as f32).collect()
        })
        .collect();
    let values = pixels().map(|colours| {
        let one = |(curve, value): (&Vec<f32>, f32)| curve.get((value * 4.0 + 0.5) as usize).copied().unwrap_or(0.0);
        curves.iter().zip(colours).map(one).sum()
    });
    Some(Plane { width: export.width, height: export.height, values: values.collect() })
}

/// Prefers curves without bends, and, hardly at all, low ones: grey pictures leave open which channel made the grey.
fn stiffen(square: &mut [f64], stiff: f64) {
    let mut add = |i: usize, j: usize, value: f64| {
        if let Some(sum) = square.get_mut(i * UNKNOWNS + j) {
            *sum += value;
        }
    };
    for channel in 0..3 {
        let first = channel * KNOTS.len();
        for (knot, window) in KNOTS.windows(3).enumerate() {
            let &[a, b, c] = window else { continue };
            // Second difference on uneven knots, in units of the neighbouring steps.
            let (left, right) = (1.0 / f64::from(b - a), 1.0 / f64::from(c - b));
            let sum = left + right;
            let bend = [left / sum, -1.0, right / sum];
            for (i, x) in bend.iter().enumerate() {
                for (j, y) in bend.iter().enumerate() {
                    add(first + knot + i, first + knot + j, stiff * 10.0 * x * y);
                }
            }
        }
        for knot in 0..KNOTS.len() {
            add(first + knot, first + knot, stiff * 0.01);
        }
    }
}
