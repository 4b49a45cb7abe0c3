//! Lays frames over each other by their texture, which stays when the light changes.

use super::linalg::{Cholesky, Normal};
use super::pose::{Pose, Size, sample};

/// Texture below this correlation is no match at all.
pub const NO_MATCH: f32 = 0.25;
/// How far the first search goes in tiles, at the same focal length.
const NEAR: i32 = 7;
/// Local means are taken over squares of this half side.
const AROUND: usize = 3;

/// A field with the light taken out: log of luminance minus its mean around; NaN where not known.
#[derive(Clone, Debug)]
pub struct Texture {
    /// Its grid.
    pub size: Size,
    /// Row-major.
    pub field: Vec<f32>,
}

impl Texture {
    /// Of a frame's linear light. `floor` is the light below which there is only noise.
    pub fn of(light: &[[f32; 3]], size: Size, floor: f32) -> Self {
        let log: Vec<f32> = light
            .iter()
            .map(|p| {
                // A clipped channel is taken as white: for the outline of things that is good enough.
                let [r, g, b] = p.map(|v| if v.is_nan() { 1.0 } else { v });
                (0.2126 * r + 0.7152 * g + 0.0722 * b + floor).max(1e-9)
            })
            .map(libm::logf)
            .collect();
        let sums = summed(&log, size);
        let field = (0..size.len())
            .map(|i| {
                let (x, y) = (i % size.columns, i / size.columns);
                let (x0, x1) = (x.saturating_sub(AROUND), (x + AROUND + 1).min(size.columns));
                let (y0, y1) = (y.saturating_sub(AROUND), (y + AROUND + 1).min(size.rows));
                let w = size.columns + 1;
                let sum = sums[y1 * w + x1] - sums[y0 * w + x1] - sums[y1 * w + x0] + sums[y0 * w + x0];
                log[i] - (sum / ((x1 - x0) * (y1 - y0)) as f64) as f32
            })
            // One bright speck must not carry the whole match.
            .map(|t| t.clamp(-1.0, 1.0))
            .collect();
        Self { size, field }
    }
}

/// Sums over all rectangles from the first tile.
fn summed(field: &[f32], size: Size) -> Vec<f64> {
    let w = size.columns + 1;
    let mut sums = vec![0.0; w * (size.rows + 1)];
    for y in 0..size.rows {
        let mut row = 0.0;
        for x in 0..size.columns {
            row += f64::from(field[y * size.columns + x]);
            sums[(y + 1) * w + x + 1] = sums[y * w + x + 1] + row;
        }
    }
    sums
}

/// Correlation of two textures under a pose, over the tiles of `plane` that both know; with their number.
fn correlation(plane: &Texture, frame: &Texture, pose: &Pose, stride: usize) -> (f32, usize) {
    let (mut ab, mut aa, mut bb, mut n) = (0.0f32, 0.0f32, 0.0f32, 0);
    for index in (0..plane.size.len()).step_by(stride) {
        let (x, y) = pose.place(plane.size.from_middle(index), frame.size);
        let (x, y) = (x.round(), y.round());
        if x < 0.0 || y < 0.0 || x >= frame.size.columns as f32 || y >= frame.size.rows as f32 {
            continue;
        }
        let (a, b) = (plane.field[index], frame.field[y as usize * frame.size.columns + x as usize]);
        if !a.is_nan() && !b.is_nan() {
            ab += a * b;
            aa += a * a;
            bb += b * b;
            n += 1;
        }
    }
    (ab / (aa * bb).sqrt().max(1e-12), n)
}

/// The pose of `frame` on `plane`, starting from `start`, and how well the textures then agree (-1..1). `far` searches
/// half the picture in every direction, for another focal length.
pub fn align(plane: &Texture, frame: &Texture, start: Pose, far: bool) -> (Pose, f32) {
    let smaller = plane.size.len().min((frame.size.len() as f32 / (start.scale * start.scale)) as usize);
    let least = smaller / 3;
    let reach = if far { (frame.size.columns.max(frame.size.rows) / 2) as i32 } else { NEAR };
    // A coprime stride visits all rows and columns evenly.
    let (stride, step) = if far { (7, 2) } else { (5, 1) };
    let mut best = (start, f32::MIN);
    for dy in (-reach..=reach).step_by(step) {
        for dx in (-reach..=reach).step_by(step) {
            let pose = Pose { shift: (start.shift.0 + dx as f32, start.shift.1 + dy as f32), ..start };
            let (r, n) = correlation(plane, frame, &pose, stride);
            // Far shifts must win clearly: frames move little between one press and the next.
            let penalty = if far { 0.003 } else { 0.004 } * ((dx * dx + dy * dy) as f32).sqrt();
            if n * stride > least && r - penalty > best.1 {
                best = (pose, r - penalty);
            }
        }
    }
    let mut pose = best.0;
    for _ in 0..8 {
        let Some(step) = newton(plane, frame, &pose) else { break };
        let size = step.iter().take(2).fold(0.0, |m: f64, s| m.max(s.abs()));
        let limited = if size > 1.0 { step.map(|s| s / size) } else { step };
        pose = pose.moved(&limited);
        if size < 0.005 {
            break;
        }
    }
    let (before, after) = (fine(plane, frame, &best.0), fine(plane, frame, &pose));
    if after >= before { (pose, after) } else { (best.0, before) }
}

/// Correlation with sub-tile reading.
fn fine(plane: &Texture, frame: &Texture, pose: &Pose) -> f32 {
    let (mut ab, mut aa, mut bb) = (0.0f64, 1e-12f64, 1e-12f64);
    for index in 0..plane.size.len() {
        let place = pose.place(plane.size.from_middle(index), frame.size);
        if let Some((b, _, _)) = sample(&frame.field, frame.size, place) {
            let (a, b) = (f64::from(plane.field[index]), f64::from(b));
            ab += a * b;
            aa += a * a;
            bb += b * b;
        }
    }
    (ab / (aa * bb).sqrt()) as f32
}

/// One robust Gauss-Newton step of shift, shift, turn and scale.
fn newton(plane: &Texture, frame: &Texture, pose: &Pose) -> Option<[f64; 4]> {
    let mut normal = Normal::new(5);
    for index in 0..plane.size.len() {
        let middle = plane.size.from_middle(index);
        let place = pose.place(middle, frame.size);
        let Some((value, gx, gy)) = sample(&frame.field, frame.size, place) else { continue };
        let target = plane.field[index];
        let rest = f64::from(target - value);
        let (u, v) = (middle.0 * pose.scale, middle.1 * pose.scale);
        let weight = 1.0 / (1.0 + (rest / 0.1) * (rest / 0.1));
        let row = [gx, gy, gy * u - gx * v, gx * u + gy * v, value].map(f64::from);
        normal.add(&row, rest, weight);
    }
    normal.mirror();
    solve_step(normal)
}

/// Solves for a step of the pose; turn and scale are held near what they are, for they hardly ever change.
pub fn solve_step(mut normal: Normal) -> Option<[f64; 4]> {
    let firm = normal.a[0].max(normal.a[normal.n + 1]);
    normal.prior(0, 0.0, 1e-6 * firm + 1e-12);
    normal.prior(1, 0.0, 1e-6 * firm + 1e-12);
    normal.prior(2, 0.0, 5.0 * firm + 1e-12);
    normal.prior(3, 0.0, 50.0 * firm + 1e-12);
    let x = Cholesky::of(&normal.a, normal.n)?.solve(&normal.b);
    Some([x[0], x[1], x[2], x[3]])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A made scene at any place, so that the true shift is known to a fraction of a tile.
    fn scene(size: Size, shift: (f32, f32), light: impl Fn(f32, f32) -> f32) -> Texture {
        let tiles: Vec<[f32; 3]> = (0..size.len())
            .map(|i| {
                let (x, y) = ((i % size.columns) as f32 - shift.0, (i / size.columns) as f32 - shift.1);
                // Waves that grow shorter never fit themselves anywhere else.
                let detail =
                    1.0 + 0.3 * libm::sinf(0.012 * x * x + 0.3 * y) + 0.3 * libm::cosf(0.015 * y * y - 0.2 * x);
                [0.1 * detail * light(x, y); 3]
            })
            .collect();
        Texture::of(&tiles, size, 0.001)
    }

    #[test]
    fn a_known_shift_is_found_under_another_light() {
        let size = Size { columns: 60, rows: 40 };
        let plane = scene(size, (0.0, 0.0), |x, _| 1.0 + x / 30.0);
        let frame = scene(size, (1.3, -0.6), |_, y| 2.0 - y / 30.0);
        let (pose, r) = align(&plane, &frame, Pose::at(1.0), false);
        assert!((pose.shift.0 - 1.3).abs() < 0.05 && (pose.shift.1 + 0.6).abs() < 0.05, "{pose:?}");
        assert!(r > 0.9);
    }
}
