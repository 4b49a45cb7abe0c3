//! Corners of a picture with binary descriptors: what is found again when it is cropped, turned and graded
//!
//! Corners by the smaller eigenvalue of the structure tensor (Shi and Tomasi 1994), turned by their intensity centroid
//! and described by 256 comparisons of places around them (Rublee et al. 2011), all on locally normalised planes, so
//! that corners in the dark count like corners in the light.

use super::plane::Plane;

/// Long side of the largest plane that corners are looked for on, in pixels.
const LONG: usize = 320;
/// From one plane of the pyramid to the next.
const STEP: f64 = 1.25;
/// Corners on the largest plane; fewer on smaller ones, in proportion to their area.
const CORNERS: usize = 150;
/// Cells, across and down, that share the corners of a plane, so that the brightest spot does not take all.
const CELLS: (usize, usize) = (6, 4);
/// Spread of noise in a preview, in code values: JPEG at the preview's quality.
const NOISE: f32 = 1.5;
/// How far around a corner places are compared, in pixels.
const REACH: f32 = 11.0;
/// Directions that the comparisons were turned to beforehand.
const TURNS: usize = 32;
/// Pixels next to the edge that hold no corner.
const MARGIN: usize = 13;

/// 256 comparisons.
pub type Bits = [u64; 4];

/// One corner.
#[derive(Clone, Copy, Debug)]
pub struct Feature {
    /// Place in the picture, in pixels of the preview.
    pub x: f32,
    pub y: f32,
    /// Direction, radians.
    pub angle: f32,
    /// Pixels of the preview per pixel of the plane it was found on.
    pub size: f32,
    pub bits: Bits,
}

/// Comparisons that differ, 0 to 256.
pub fn distance(a: &Bits, b: &Bits) -> u32 {
    a.iter().zip(b).map(|(a, b)| (a ^ b).count_ones()).sum()
}

/// Pairs of places, turned to every direction.
pub struct Pattern {
    turned: Vec<Vec<[i32; 4]>>,
}

impl Pattern {
    pub fn new() -> Self {
        let mut state = 0x5eed_0f2a_77d1_u64;
        let mut unit = move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f32 / (1_u64 << 24) as f32
        };
        // The sum of three is close enough to a bell; places beyond the reach are drawn again.
        let mut place = || loop {
            let mut bell = || (unit() + unit() + unit() - 1.5) * REACH;
            let (x, y) = (bell(), bell());
            if x * x + y * y <= REACH * REACH {
                return (x, y);
            }
        };
        let pairs: Vec<_> = (0..256).map(|_| (place(), place())).collect();
        let turned = (0..TURNS).map(|turn| {
            let angle = turn as f64 * std::f64::consts::TAU / TURNS as f64;
            let (sin, cos) = (libm::sin(angle) as f32, libm::cos(angle) as f32);
            let round = |v: f32| libm::roundf(v) as i32;
            let turn = |(x, y): (f32, f32)| (round(x * cos - y * sin), round(x * sin + y * cos));
            let both = |(a, b): &((f32, f32), (f32, f32))| {
                let ((ax, ay), (bx, by)) = (turn(*a), turn(*b));
                [ax, ay, bx, by]
            };
            pairs.iter().map(both).collect()
        });
        Self { turned: turned.collect() }
    }

    fn describe(&self, smooth: &Plane, x: usize, y: usize, angle: f32) -> Bits {
        let turn = libm::roundf(angle / std::f32::consts::TAU * TURNS as f32) as i32;
        let turn = turn.rem_euclid(TURNS as i32) as usize;
        let mut bits = [0_u64; 4];
        let pairs = self.turned.get(turn).map_or(&[][..], Vec::as_slice);
        for (word, pairs) in bits.iter_mut().zip(pairs.chunks(64)) {
            for (bit, [ax, ay, bx, by]) in pairs.iter().enumerate() {
                // The margin keeps places inside.
                let at = |dx: i32, dy: i32| smooth.at((x as i32 + dx) as usize, (y as i32 + dy) as usize);
                *word |= u64::from(at(*ax, *ay) < at(*bx, *by)) << bit;
            }
        }
        bits
    }
}

/// Corners of a preview on so many planes of the pyramid.
pub fn features(preview: &Plane, planes: i32, pattern: &Pattern) -> Vec<Feature> {
    let long = preview.width.max(preview.height).max(1);
    let base = (LONG as f64 / long as f64).min(1.0);
    let mut found = Vec::new();
    for level in 0..planes {
        let factor = base / libm::pow(STEP, f64::from(level));
        let plane = preview.scaled(factor);
        if plane.width.min(plane.height) <= 2 * MARGIN + 2 {
            break;
        }
        let size = (preview.width as f32 / plane.width as f32, preview.height as f32 / plane.height as f32);
        let normal = plane.normalised(8, NOISE);
        let smooth = normal.boxed(1).boxed(1);
        let share = factor / base;
        for (x, y) in corners(&smooth, (CORNERS as f64 * share * share) as usize + 8) {
            let angle = direction(&smooth, x, y);
            found.push(Feature {
                x: (x as f32 + 0.5) * size.0,
                y: (y as f32 + 0.5) * size.1,
                angle,
                size: size.0,
                bits: pattern.describe(&smooth, x, y, angle),
            });
        }
    }
    found
}

/// The strongest corners, shared among cells.
fn corners(plane: &Plane, count: usize) -> Vec<(usize, usize)> {
    let (width, height) = (plane.width, plane.height);
    let gradient = |dx: usize, dy: usize| {
        let mut values = vec![0.0_f32; width * height];
        let ahead = plane.values.iter().skip(2 * (dx + dy * width));
        for (value, (back, ahead)) in values.iter_mut().skip(dx + dy * width).zip(plane.values.iter().zip(ahead)) {
            *value = ahead - back;
        }
        Plane { width, height, values }
    };
    let (gx, gy) = (gradient(1, 0), gradient(0, 1));
    let xx = gx.map(|g| g * g).boxed(2);
    let yy = gy.map(|g| g * g).boxed(2);
    let xy = gx.with(&gy, |x, y| x * y).boxed(2);
    let mut strength = xx.with(&yy, |xx, yy| xx + yy);
    for ((value, (xx, yy)), xy) in strength.values.iter_mut().zip(xx.values.iter().zip(&yy.values)).zip(&xy.values) {
        *value = 0.5 * (xx + yy - ((xx - yy) * (xx - yy) + 4.0 * xy * xy).sqrt());
    }
    let mut cells = vec![Vec::new(); CELLS.0 * CELLS.1];
    for y in MARGIN..height - MARGIN {
        for x in MARGIN..width - MARGIN {
            let here = strength.at(x, y);
            // Nothing but noise is far below this: normalised noise below the floor has little spread.
            if here < 0.002 {
                continue;
            }
            let before = [(x - 1, y - 1), (x, y - 1), (x + 1, y - 1), (x - 1, y)];
            let after = [(x + 1, y), (x - 1, y + 1), (x, y + 1), (x + 1, y + 1)];
            let top = before.iter().all(|(x, y)| strength.at(*x, *y) < here)
                && after.iter().all(|(x, y)| strength.at(*x, *y) <= here);
            let cell = (y * CELLS.1 / height) * CELLS.0 + x * CELLS.0 / width;
            if let Some(cell) = cells.get_mut(cell).filter(|_| top) {
                cell.push((here, x, y));
            }
        }
    }
    let share = count.div_ceil(CELLS.0 * CELLS.1);
    let mut found = Vec::new();
    for cell in &mut cells {
        cell.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.2, a.1).cmp(&(b.2, b.1))));
        found.extend(cell.iter().take(share).map(|(_, x, y)| (*x, *y)));
    }
    found
}

/// From the corner to the centre of weight around it.
fn direction(plane: &Plane, x: usize, y: usize) -> f32 {
    const RADIUS: i32 = 9;
    let (mut mx, mut my) = (0.0_f32, 0.0_f32);
    for dy in -RADIUS..=RADIUS {
        for dx in -RADIUS..=RADIUS {
            if dx * dx + dy * dy <= RADIUS * RADIUS {
                let value = plane.at((x as i32 + dx) as usize, (y as i32 + dy) as usize);
                mx += dx as f32 * value;
                my += dy as f32 * value;
            }
        }
    }
    libm::atan2f(my, mx)
}
