//! Lays an export exactly over a shot: Gauss-Newton on locally normalised planes, from a place that is nearly right
//!
//! Inverse compositional (Baker and Matthews 2004): slopes are those of the export, so one factored matrix serves all
//! shots and all steps. Differences are cut off, so that a part that moved does not pull.

use super::place::Place;
use super::plane::Plane;
use crate::light::solve::linalg::Cholesky;

/// A difference larger than this, in local spreads, is another content and counts no more than this.
const CUT: f32 = 1.0;
/// A step that moves no corner of the export by more, in pixels, is the last.
const STILL: f64 = 0.01;

/// What may be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Free {
    /// Shift, turn and scale.
    Similar,
    /// Any linear map: a little more than a resize to whole pixels needs.
    Linear,
}

struct Point {
    x: f32,
    y: f32,
    value: f32,
    /// What the value changes by when each unknown grows.
    slopes: [f32; 6],
}

/// An export, prepared.
pub struct Target {
    points: Vec<Point>,
    solver: Option<Cholesky>,
    unknowns: usize,
    middle: (f64, f64),
    radius: f64,
}

impl Target {
    /// Takes the `share` pixels of every `block` by `block` pixels where the slope is largest.
    pub fn new(plane: &Plane, free: Free, block: usize, share: usize) -> Self {
        let (width, height) = (plane.width, plane.height);
        let middle = (width as f64 / 2.0, height as f64 / 2.0);
        let radius = (width.max(height) as f64 / 2.0).max(1.0);
        let unknowns = if free == Free::Similar { 4 } else { 6 };
        let mut points = Vec::new();
        let mut nearby = Vec::new();
        for top in (1..height.saturating_sub(1)).step_by(block) {
            for left in (1..width.saturating_sub(1)).step_by(block) {
                nearby.clear();
                for y in top..(top + block).min(height - 1) {
                    for x in left..(left + block).min(width - 1) {
                        let gx = 0.5 * (plane.at(x + 1, y) - plane.at(x - 1, y));
                        let gy = 0.5 * (plane.at(x, y + 1) - plane.at(x, y - 1));
                        nearby.push((gx * gx + gy * gy, y, x, gx, gy));
                    }
                }
                nearby.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
                for (_, y, x, gx, gy) in nearby.iter().take(share) {
                    let (px, py) = (*x as f32 + 0.5, *y as f32 + 0.5);
                    let (u, v) = ((px - middle.0 as f32) / radius as f32, (py - middle.1 as f32) / radius as f32);
                    let slopes = match free {
                        Free::Similar => [gx * u + gy * v, gy * u - gx * v, *gx, *gy, 0.0, 0.0],
                        Free::Linear => [gx * u, gx * v, *gx, gy * u, gy * v, *gy],
                    };
                    points.push(Point { x: px, y: py, value: plane.at(*x, *y), slopes });
                }
            }
        }
        let mut square = vec![0.0; unknowns * unknowns];
        for point in &points {
            for (row, a) in square.chunks_exact_mut(unknowns).zip(point.slopes) {
                row.iter_mut().zip(point.slopes).for_each(|(sum, b)| *sum += f64::from(a * b));
            }
        }
        // A little stiffness keeps a flat picture where it is.
        square.iter_mut().step_by(unknowns + 1).for_each(|sum| *sum += 1e-3 * points.len() as f64 + 1e-6);
        Self { solver: Cholesky::of(&square, unknowns), points, unknowns, middle, radius }
    }

    /// The place after at most `steps` steps.
    pub fn align(&self, shot: &Plane, start: Place, steps: usize) -> Place {
        let mut place = start;
        let Some(solver) = &self.solver else { return place };
        for _ in 0..steps {
            let mut pull = [0.0_f32; 6];
            let map = Single::of(&place);
            for point in &self.points {
                let (x, y) = map.at(point.x, point.y);
                let Some(value) = shot.sample(x, y) else { continue };
                let off = (value - point.value).clamp(-CUT, CUT);
                pull.iter_mut().zip(point.slopes).for_each(|(sum, slope)| *sum += slope * off);
            }
            let pull: Vec<f64> = pull.iter().take(self.unknowns).map(|p| f64::from(*p)).collect();
            let step = solver.solve(&pull);
            let Some(change) = self.change(&step) else { return place };
            place = change.undone_before(&place);
            if step.iter().all(|s| libm::fabs(*s) < STILL) {
                break;
            }
        }
        place
    }

    /// The small map of a step, in pixels of the export.
    fn change(&self, step: &[f64]) -> Option<Place> {
        let [a, b, c, d, e, f] = match *step {
            [p, q, u, v] => [p, -q, u, q, p, v],
            [a, b, c, d, e, f] => [a, b, c, d, e, f],
            _ => return None,
        };
        let (a, b, d, e) = (1.0 + a / self.radius, b / self.radius, d / self.radius, 1.0 + e / self.radius);
        let (mx, my) = self.middle;
        Some(Place { x: [a, b, c + mx - a * mx - b * my], y: [d, e, f + my - d * mx - e * my] })
    }

    /// How alike export and shot are at a place, -1 to 1, and the share of the export that lies on the shot.
    pub fn likeness(&self, shot: &Plane, place: &Place) -> (f64, f64) {
        let map = Single::of(place);
        let (mut both, mut own, mut other, mut inside) = (0.0_f64, 0.0_f64, 0.0_f64, 0_usize);
        for point in &self.points {
            let (x, y) = map.at(point.x, point.y);
            if let Some(value) = shot.sample(x, y) {
                both += f64::from(value * point.value);
                own += f64::from(point.value * point.value);
                other += f64::from(value * value);
                inside += 1;
            }
        }
        (both / libm::sqrt(own * other).max(1e-9), inside as f64 / self.points.len().max(1) as f64)
    }
}

/// A place in single precision, for inner loops.
#[derive(Clone, Copy)]
pub struct Single {
    x: [f32; 3],
    y: [f32; 3],
}

impl Single {
    pub fn of(place: &Place) -> Self {
        Self { x: place.x.map(|v| v as f32), y: place.y.map(|v| v as f32) }
    }

    #[inline]
    pub fn at(&self, x: f32, y: f32) -> (f32, f32) {
        let ([a, b, c], [d, e, f]) = (self.x, self.y);
        (a * x + b * y + c, d * x + e * y + f)
    }
}
