//! Light in the dust: what it adds between camera and things, and what it takes away.

use rayon::prelude::*;

use crate::camera::Camera;
use crate::light::{AMBIENT, FLASHES, LIGHTS, RIM, phase};
use crate::math::{V3, exp, lerp, v3};
use crate::render::{Moment, Pixel};
use crate::shade::FAINT;

impl Moment<'_> {
    /// Light that dust at a place sends towards the camera, per light and unit of optical depth; `tau` is the
    /// depth it will be used for, so that shadows nobody can see need not be looked for.
    pub fn scatter(&self, p: V3, to_camera: V3, tau: f32) -> Pixel {
        let mut out = [V3::ZERO; LIGHTS];
        for (i, flash) in FLASHES.iter().enumerate().filter(|(i, _)| self.wanted(*i)) {
            let to = flash.pos - p;
            let d2 = to.dot(to).max(0.3);
            let l = to.unit();
            // The beam seems to start a little behind the head, so that its first centimetres are as wide as the head.
            let apex = flash.pos - (flash.aim - flash.pos).unit() * 0.3;
            let aim = flash.towards((p - apex).unit());
            if aim > 2e-3 {
                let e = 0.25 * flash.strength * aim / d2 * phase(-l, to_camera);
                if e > 1e-3 {
                    let v = if e * tau < 0.12 * FAINT { 1.0 } else { self.clear(p, flash.pos) };
                    out[i] = flash.tint * (e * v);
                }
            }
            out[i] += flash.tint * (flash.strength * flash.fill * if i == RIM { 0.2 } else { 0.3 });
        }
        out[AMBIENT] = v3(0.72, 0.95, 1.22) * 0.02;
        out
    }
}

/// Size of a picture tile in pixels and number of distances: the grid in which dust is summed.
const TILE: f32 = 5.0;
const SLICES: usize = 46;

/// Dust between camera and things: what it adds and what it lets through, by picture tile and distance.
pub struct Air {
    w: usize,
    ends: Vec<f32>,
    cells: Vec<[f32; LIGHTS + 1]>,
}

impl Air {
    pub fn new(m: &Moment, cam: &Camera) -> Air {
        let tile = |n: usize| (n as f32 / TILE) as usize + 2;
        let (w, h) = (tile(cam.width), tile(cam.height));
        let (near, far) = (0.6, 16.0);
        let fine = (cam.focus - 1.5, cam.focus + 1.7);
        let ends: Vec<f32> = (0..=SLICES)
            .map(|k| match k {
                0..=9 => lerp(near, fine.0, k as f32 / 10.0),
                10..=37 => lerp(fine.0, fine.1, (k - 10) as f32 / 28.0),
                _ => lerp(fine.1, far, (k - 38) as f32 / (SLICES - 38) as f32),
            })
            .collect();
        let mut cells = vec![[0.0f32; LIGHTS + 1]; w * h * (SLICES + 1)];
        cells.par_chunks_mut(w * (SLICES + 1)).enumerate().for_each(|(ty, row)| {
            for tx in 0..w {
                let (o, d) = cam.ray(tx as f32 * TILE, ty as f32 * TILE, (0.0, 0.0));
                let solid = m.meet(o, d).map_or(60.0, |s| s.t);
                let mut acc = [0.0f32; LIGHTS + 1];
                acc[LIGHTS] = 1.0;
                for k in 0..=SLICES {
                    if k > 0 && ends[k - 1] < solid + 0.8 {
                        let t = (ends[k - 1] + ends[k]) * 0.5;
                        let p = o + d * t;
                        let step = ends[k] - ends[k - 1];
                        if p.y > 0.0 && p.z < crate::scene::BACK {
                            let tau = m.dust.density(p) * step;
                            let light = m.scatter(p, -d, tau);
                            let open = acc[LIGHTS] * exp(-0.5 * tau);
                            for (a, l) in acc.iter_mut().zip(&light) {
                                *a += l.y * tau * open;
                            }
                            acc[LIGHTS] = open * exp(-0.5 * tau);
                        }
                    }
                    row[tx * (SLICES + 1) + k] = acc;
                }
            }
        });
        Air { w, ends, cells }
    }

    /// Add a seen point at distance `t`, dimmed and veiled by the dust before it.
    pub fn add(&self, sum: &mut Pixel, seen: &Pixel, px: f32, py: f32, t: f32) {
        let (gx, gy) = (px / TILE, py / TILE);
        let (ix, iy) = (gx as usize, gy as usize);
        let (fx, fy) = (gx - ix as f32, gy - iy as f32);
        let k = self.ends.partition_point(|&e| e <= t).clamp(1, SLICES);
        let fk = ((t - self.ends[k - 1]) / (self.ends[k] - self.ends[k - 1])).clamp(0.0, 1.0);
        let mut v = [0.0f32; LIGHTS + 1];
        for (dx, dy, wt) in
            [(0, 0, (1.0 - fx) * (1.0 - fy)), (1, 0, fx * (1.0 - fy)), (0, 1, (1.0 - fx) * fy), (1, 1, fx * fy)]
        {
            let base = ((iy + dy) * self.w + ix + dx) * (SLICES + 1);
            let (a, b) = (&self.cells[base + k - 1], &self.cells[base + k]);
            for (o, (a, b)) in v.iter_mut().zip(a.iter().zip(b)) {
                *o += wt * lerp(*a, *b, fk);
            }
        }
        for (i, (o, s)) in sum.iter_mut().zip(seen).enumerate() {
            let veil = if i == AMBIENT { v3(0.76, 1.0, 1.28) } else { v3(1.0, 0.99, 0.97) };
            *o += *s * v[LIGHTS] + veil * v[i];
        }
    }
}
