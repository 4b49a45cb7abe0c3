//! Settles an export on a shot once more, by what is left after its grade is undone: the very figure shots are compared by
//!
//! Gauss-Newton on code values, each pixel weighed by its noise, differences beyond it cut off (Huber 1964).

use super::place::Place;
use super::plane::Plane;
use crate::light::solve::linalg::Cholesky;

/// Pixels around, each way, whose mean difference is light, not place.
const LIGHT: usize = 12;
/// Noise of a pixel in code values, and as a share of the slope there.
const FLOOR: f32 = 1.2;
const SHARE: f32 = 0.35;
/// Differences count up to so many times the noise.
const CUT: f32 = 2.0;
/// A step beyond so many pixels is no settling.
const FAR: f64 = 1.5;

/// The place moved by one step; None where the picture does not tell.
pub fn settled(export: &Plane, predicted: &Plane, used: &[bool], place: &Place) -> Option<Place> {
    let (width, height) = (export.width, export.height);
    let off = export.with(predicted, |e, p| e - p);
    let off = off.with(&off.boxed(LIGHT), |off, light| off - light);
    let middle = (width as f64 / 2.0, height as f64 / 2.0);
    let radius = (width.max(height) as f64 / 2.0).max(1.0);
    let mut square = [0.0_f64; 36];
    let mut pull = [0.0_f64; 6];
    for y in 1..height.saturating_sub(1) {
        let mut row = [[0.0_f32; 6]; 6];
        let mut row_pull = [0.0_f32; 6];
        let v = (y as f32 + 0.5 - middle.1 as f32) / radius as f32;
        // Every other pixel: neighbours say much the same.
        for x in (1 + y % 2..width.saturating_sub(1)).step_by(2) {
            let at = y * width + x;
            if !used.get(at).copied().unwrap_or(false) {
                continue;
            }
            let gx = 0.5 * (predicted.at(x + 1, y) - predicted.at(x - 1, y));
            let gy = 0.5 * (predicted.at(x, y + 1) - predicted.at(x, y - 1));
            let slope = gx * gx + gy * gy;
            let noise = FLOOR * FLOOR + SHARE * SHARE * slope;
            if slope < 0.25 {
                continue;
            }
            let u = (x as f32 + 0.5 - middle.0 as f32) / radius as f32;
            let slopes = [gx * u, gx * v, gx, gy * u, gy * v, gy];
            let most = CUT * noise.sqrt();
            let by = off.at(x, y).clamp(-most, most) / noise;
            for ((row, pull), a) in row.iter_mut().zip(&mut row_pull).zip(slopes) {
                row.iter_mut().zip(slopes).for_each(|(sum, b)| *sum += a * b / noise);
                *pull += a * by;
            }
        }
        square.iter_mut().zip(row.iter().flatten()).for_each(|(sum, row)| *sum += f64::from(*row));
        pull.iter_mut().zip(row_pull).for_each(|(sum, row)| *sum += f64::from(row));
    }
    square.iter_mut().step_by(7).for_each(|sum| *sum += 1.0);
    let step = Cholesky::of(&square, 6)?.solve(&pull);
    let &[a, b, c, d, e, f] = step.as_slice() else { return None };
    if step.iter().any(|s| libm::fabs(*s) > FAR) {
        return None;
    }
    let (a, b, d, e) = (1.0 + a / radius, b / radius, d / radius, 1.0 + e / radius);
    let (mx, my) = middle;
    let change = Place { x: [a, b, c + mx - a * mx - b * my], y: [d, e, f + my - d * mx - e * my] };
    Some(change.then(place))
}
