//! Settles frames on the plane a second time, by the light itself: where the sum of lights is known, a frame is moved to
//! where it fits that sum best.

use rayon::prelude::*;

use super::fit::Pattern;
use super::linalg::Normal;
use super::patterns::Mix;
use super::register::solve_step;
use super::scene::{Frame, Scene};

/// A step of more tiles than this is no correction but a mistake.
const FURTHEST: f64 = 1.0;

/// Moves every frame by one robust Gauss-Newton step towards the sum of its lights.
pub fn settle(scene: &mut Scene, frames: &[Frame], patterns: &[Pattern], mixes: &[Mix]) {
    let steps: Vec<Option<[f64; 4]>> =
        frames.par_iter().zip(mixes).map(|(frame, mix)| step(scene, frame, patterns, mix)).collect();
    for ((pose, step), view) in scene.poses.iter_mut().zip(steps).zip(&scene.views) {
        // Through another lens the picture is another size; the texture's answer stands.
        let same =
            (view.size.0, view.size.1) == (scene.plane.columns, scene.plane.rows) && (pose.scale - 1.0).abs() < 0.1;
        if let Some(step) = step.filter(|s| same && s[0] * s[0] + s[1] * s[1] <= FURTHEST * FURTHEST) {
            *pose = pose.moved(&step);
        }
    }
}

fn step(scene: &Scene, frame: &Frame, patterns: &[Pattern], mix: &Mix) -> Option<[f64; 4]> {
    let plane = scene.plane;
    let sum: Vec<f32> = (0..plane.len())
        .map(|i| {
            let parts = patterns.iter().zip(mix.gain.iter().zip(&mix.colour));
            parts.filter(|(_, (g, _))| **g > 0.0).map(|(p, (g, colour))| (g * colour[1]) as f32 * p[i][1]).sum()
        })
        .collect();
    let mut normal = Normal::new(5);
    for (i, &value) in sum.iter().enumerate() {
        let (x, y) = (i % plane.columns, i / plane.columns);
        if x == 0 || y == 0 || x + 1 >= plane.columns || y + 1 >= plane.rows {
            continue;
        }
        let (light, variance) = (frame.light[i][1], frame.variance[i][1]);
        let (gx, gy) = ((sum[i + 1] - sum[i - 1]) / 2.0, (sum[i + plane.columns] - sum[i - plane.columns]) / 2.0);
        if !variance.is_finite() || !(gx + gy + value).is_finite() {
            continue;
        }
        let rest = f64::from(value - light);
        let square = rest * rest / f64::from(variance);
        let (u, v) = plane.from_middle(i);
        // The frame shows at its place what the plane shows here: moving the pose by d brings in gradient times d.
        let row = [gx, gy, gy * u - gx * v, gx * u + gy * v, value].map(f64::from);
        normal.add(&row, rest, 1.0 / f64::from(variance) / (1.0 + square / 4.0));
    }
    normal.mirror();
    solve_step(normal)
}
