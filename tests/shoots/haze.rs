//! Chalk in the air: what each light adds between camera and things, and what the dust takes away.

use rayon::prelude::*;

use crate::camera::Camera;
use crate::light::{AMBIENT, LIGHTS, phase};
use crate::math::{V3, exp, fbm, lerp, smoothstep, v3};
use crate::render::{Moment, Pixel};

/// Size of a cell in pixels, number of distances, and the last of them in metres.
const CELL: f32 = 12.0;
const SLICES: usize = 22;
const FAR: f32 = 14.0;

pub struct Haze {
    w: usize,
    /// Light added up to each distance, per light, and the share that passes.
    cells: Vec<[f32; LIGHTS + 1]>,
}

fn end(k: usize) -> f32 {
    0.6 + (FAR - 0.6) * k as f32 / SLICES as f32
}

/// Extinction per metre.
fn density(m: &Moment, p: V3) -> f32 {
    let drift = V3::UP * (m.seed % 1000) as f32;
    let cloud = smoothstep(0.35, 0.75, fbm((p + drift) * 0.8, 3));
    let (cx, cy, cz) = ((p.x.abs() - 2.6) / 2.2, (p.y - 1.0) / 1.6, (p.z - 1.2) / 2.0);
    let side = (1.0 - cx * cx - cy * cy - cz * cz).max(0.0);
    m.dust * (0.002 + 0.007 * cloud + 0.05 * side * side * cloud)
}

impl Haze {
    pub fn new(m: &Moment, cam: &Camera) -> Haze {
        let cells_in = |n: usize| (n as f32 / CELL) as usize + 2;
        let (w, h) = (cells_in(cam.width), cells_in(cam.height));
        let mut cells = vec![[0.0f32; LIGHTS + 1]; w * h * (SLICES + 1)];
        cells.par_chunks_mut(w * (SLICES + 1)).enumerate().for_each(|(y, row)| {
            for x in 0..w {
                let d = cam.ray(x as f32 * CELL, y as f32 * CELL);
                let mut acc = [0.0f32; LIGHTS + 1];
                acc[LIGHTS] = 1.0;
                for k in 0..=SLICES {
                    if k > 0 {
                        let step = end(k) - end(k - 1);
                        let p = cam.pos + d * (end(k) - step * 0.5);
                        let tau = if p.y > 0.0 { density(m, p) * step } else { 0.0 };
                        let open = acc[LIGHTS] * exp(-0.5 * tau);
                        for (i, f) in m.room.flashes.iter().enumerate().filter(|(i, _)| m.wanted[*i]) {
                            let to = f.pos - p;
                            let d2 = to.dot(to).max(0.2);
                            let l = to.unit();
                            let beam = 0.25 * f.towards(-l) / d2 * phase(-l, -d);
                            let seen = if beam > 1e-4 { m.clear(p, f.pos) } else { 1.0 };
                            acc[i] += (beam * seen + f.fill * 0.3) * tau * open;
                        }
                        acc[AMBIENT] += 0.03 * tau * open;
                        acc[LIGHTS] = open * exp(-0.5 * tau);
                    }
                    row[x * (SLICES + 1) + k] = acc;
                }
            }
        });
        Haze { w, cells }
    }

    /// Add a share of a seen point at distance `t`, dimmed and veiled by the dust before it.
    pub fn add(&self, sum: &mut Pixel, seen: &Pixel, px: f32, py: f32, t: f32, share: f32) {
        let (gx, gy) = (px / CELL, py / CELL);
        let (ix, iy) = (gx as usize, gy as usize);
        let (fx, fy) = (gx - ix as f32, gy - iy as f32);
        let s = ((t - 0.6) / (FAR - 0.6) * SLICES as f32).clamp(0.0, SLICES as f32 - 0.001);
        let (k, fk) = (s as usize, s.fract());
        let mut v = [0.0f32; LIGHTS + 1];
        for (dx, dy, wt) in
            [(0, 0, (1.0 - fx) * (1.0 - fy)), (1, 0, fx * (1.0 - fy)), (0, 1, (1.0 - fx) * fy), (1, 1, fx * fy)]
        {
            let base = ((iy + dy) * self.w + ix + dx) * (SLICES + 1) + k;
            for (o, (a, b)) in v.iter_mut().zip(self.cells[base].iter().zip(&self.cells[base + 1])) {
                *o += wt * lerp(*a, *b, fk);
            }
        }
        for (i, (o, s)) in sum.iter_mut().zip(seen).enumerate() {
            let veil = if i == AMBIENT { v3(0.76, 1.0, 1.28) } else { v3(1.0, 0.99, 0.97) };
            *o += (*s * v[LIGHTS] + veil * v[i]) * share;
        }
    }
}
