//! One picture per light of a moment in the shed, in linear light: rays for surfaces, a view-aligned grid for dust.

use rayon::prelude::*;

use crate::bvh::Bvh;
use crate::camera::Camera;
use crate::dust::Dust;
use crate::face;
use crate::figure::Axes;
use crate::light::{AMBIENT, FLASHES, Flash, LIGHTS, RIM, RIM_OPEN, phase};
use crate::material::{Surface, surface};
use crate::math::{V3, exp, hash2, lerp, unit_float, v3};
use crate::mesh::{Material, Mesh};
use crate::scene::Window;

pub type Pixel = [V3; LIGHTS];

/// What never moves during the evening.
pub struct Shed {
    pub mesh: Mesh,
    pub tree: Bvh,
    /// What stands in the room and can throw a shadow; the hull itself cannot, all lights are inside.
    pub blockers: Bvh,
    pub windows: Vec<Window>,
}

/// A dancer in the shed, ready to be looked at.
pub struct Moment<'a> {
    pub shed: &'a Shed,
    /// Middle and axes of the dancer's head.
    pub head: (V3, Axes),
    pub chest: (V3, Axes),
    pub body: Mesh,
    pub body_tree: Bvh,
    pub cloth: Mesh,
    pub cloth_tree: Bvh,
    pub dust: Dust,
    pub seed: u32,
    /// Whether the rim is also wanted without its grid (costs time).
    pub open_rim: bool,
}

struct Point {
    t: f32,
    p: V3,
    /// Geometric normal, towards the viewer.
    flat: V3,
    look: Surface,
    /// Whether it belongs to the dancer.
    dancer: bool,
}

const SAMPLES: u32 = 4;
/// Of the light that meets one sheet of the skirt, what goes on to the next thing.
const SHEET: f32 = 0.34;
/// Light too weak for its shadow to be seen (a code value or two at the powers used here).
const FAINT: f32 = 2.0;

impl Moment<'_> {
    fn meet(&self, o: V3, d: V3) -> Option<Point> {
        let mut far = 60.0;
        let mut found = None;
        for (k, mesh, tree) in [
            (0, &self.shed.mesh, &self.shed.tree),
            (1, &self.body, &self.body_tree),
            (2, &self.cloth, &self.cloth_tree),
        ] {
            if let Some(h) = tree.nearest(o, d, far) {
                far = h.t;
                found = Some((k, mesh, h));
            }
        }
        let (k, mesh, h) = found?;
        let f = mesh.faces[h.id as usize].map(|i| i as usize);
        let mix = |a: V3, b: V3, c: V3| a * (1.0 - h.u - h.v) + b * h.u + c * h.v;
        let mut n = mix(mesh.normals[f[0]], mesh.normals[f[1]], mesh.normals[f[2]]).unit();
        let tone = mesh.tone[f[0]] * (1.0 - h.u - h.v) + mesh.tone[f[1]] * h.u + mesh.tone[f[2]] * h.v;
        let (a, b, c) = (mesh.points[f[0]], mesh.points[f[1]], mesh.points[f[2]]);
        let mut flat = (b - a).cross(c - a).unit();
        if flat.dot(d) > 0.0 {
            flat = -flat;
        }
        if n.dot(flat) < 0.0 {
            n = -n;
        }
        let p = o + d * h.t;
        let material = mesh.materials[h.id as usize];
        let mut look = surface(material, p, n, tone);
        if matches!(material, Material::Skin | Material::Bodice) {
            let cut = face::neckline(material, p, self.chest.0, &self.chest.1);
            if cut != material {
                look = surface(cut, p, n, 0.0);
            } else if material == Material::Skin {
                face::paint(&mut look, p, self.head.0, &self.head.1);
            }
        }
        Some(Point { t: h.t, p, flat, look, dancer: k > 0 })
    }

    /// Share of light that passes between two places: none through solids, some through cloth.
    fn clear(&self, from: V3, to: V3) -> f32 {
        let d = to - from;
        let far = d.len();
        let dir = d * (1.0 / far);
        if self.body_tree.blocked(from, dir, far) || self.shed.blockers.blocked(from, dir, far) {
            return 0.0;
        }
        match self.cloth_tree.layers(from, dir, far, 4) {
            0 => 1.0,
            1 => SHEET,
            2 => SHEET * SHEET,
            _ => 0.03,
        }
    }

    /// Share of a flash that reaches a place. A large source is asked again where its shadow edge is soft.
    fn seen(&self, p: V3, at: V3, flash: &Flash, rnd: [f32; 2], dancer: bool) -> f32 {
        let first = self.clear(p, at);
        if flash.radius < 0.3 {
            return first;
        }
        let frac = |v: f32| v - v.floor();
        let point =
            |k: u32| flash.point(frac(rnd[0] + k as f32 * 0.618_034), frac(rnd[1] + k as f32 * 0.381_966 + 0.5));
        let second = self.clear(p, point(1));
        if first == second && (!dancer || (first == self.clear(p, point(2)) && first == self.clear(p, point(3)))) {
            return first;
        }
        let sum: f32 = (2..12).map(|k| self.clear(p, point(k))).sum();
        (first + second + sum) / 12.0
    }

    fn wanted(&self, light: usize) -> bool {
        light != RIM_OPEN || self.open_rim
    }

    /// Light that leaves a point towards `-d`, per light.
    fn shade(&self, s: &Point, d: V3, rnd: [f32; 2]) -> Pixel {
        let mut out = [V3::ZERO; LIGHTS];
        let look = &s.look;
        let n = look.normal;
        let off = s.p + s.flat * 0.0015;
        let behind = s.p - s.flat * 0.0015;
        for (i, flash) in FLASHES.iter().enumerate().filter(|(i, _)| self.wanted(*i)) {
            let at = flash.point(rnd[0], rnd[1]);
            let to = at - s.p;
            let d2 = to.dot(to);
            let l = to * (1.0 / d2.sqrt());
            let power = flash.strength / d2 * flash.towards(-l);
            let lit_front = s.flat.dot(l) > 0.0;
            let c = (n.dot(l) + look.wrap) / (1.0 + look.wrap);
            let mut e = V3::ZERO;
            if power > 1e-3 {
                let faint = power < FAINT;
                if lit_front && c > 0.0 {
                    let v = if faint { 1.0 } else { self.seen(off, at, flash, rnd, s.dancer) };
                    let h = (l - d).unit();
                    let facing = n.dot(h).max(0.0);
                    let shine = look.gloss * whole_power(facing, look.exponent) * (look.exponent as f32 + 8.0) * 0.04;
                    let rim = 1.0 - (-d).dot(n).max(0.0);
                    let fresnel = 0.04 + 0.5 * rim * rim * rim * rim;
                    e = (look.albedo * c + v3(1.0, 1.0, 1.0) * (shine * fresnel * n.dot(l).max(0.0))) * (v * power);
                } else if !lit_front && look.through > 0.0 {
                    let v = if faint { 1.0 } else { self.seen(behind, at, flash, rnd, s.dancer) };
                    let c = 0.35 + 0.65 * s.flat.dot(l).abs();
                    e = look.albedo * (look.through * c * v * power);
                }
            }
            let room = flash.strength * flash.fill * (0.8 - 0.35 * n.y);
            out[i] = (e + look.albedo * room).mul(flash.tint);
        }
        out[AMBIENT] = look.sky + look.albedo.mul(self.dusk(off, n, rnd));
        out
    }

    /// Window light on a point: one window picked by what it would give, then asked whether it is seen.
    fn dusk(&self, p: V3, n: V3, rnd: [f32; 2]) -> V3 {
        let mut total = 0.0;
        let mut gives = [0.0f32; 12];
        for (g, w) in gives.iter_mut().zip(&self.shed.windows) {
            let to = w.middle - p;
            let d2 = to.dot(to).max(0.3);
            let l = to * (1.0 / d2.sqrt());
            let c = (n.dot(l) + 0.1).max(0.0) * w.facing.dot(-l).max(0.0);
            *g = w.area * c / (d2 * std::f32::consts::PI);
            total += *g;
        }
        let sky = v3(0.72, 0.95, 1.22);
        let even = sky * (0.016 + 0.012 * n.y.max(-0.5));
        let mut pick = rnd[0] * total;
        for (w, g) in self.shed.windows.iter().zip(&gives) {
            if pick < *g {
                let a = rnd[1] - 0.5;
                let b = unit_float(hash2((rnd[1] * 65536.0) as u32, 77)) - 0.5;
                let side = V3::UP.cross(w.facing);
                let at = w.middle + side * (a * 1.3) + V3::UP * (b * 2.0) + w.facing * 0.3;
                return even + sky * (2.2 * total * self.clear(p, at));
            }
            pick -= g;
        }
        even
    }

    fn look(&self, o: V3, d: V3, rnd: [f32; 2]) -> (Pixel, f32, bool) {
        let Some(s) = self.meet(o, d) else {
            return ([V3::ZERO; LIGHTS], 60.0, false);
        };
        let mut out = self.shade(&s, d, rnd);
        let n = s.look.normal;
        let grazing = 1.0 - (-d).dot(n).clamp(0.0, 1.0);
        let k = s.look.mirror * (0.03 + 0.97 * grazing * grazing * grazing * grazing * grazing);
        if k > 0.012 {
            let r = (d - n * (2.0 * d.dot(n))).unit();
            let r = if r.dot(s.flat) < 0.02 { (r + s.flat * 0.05).unit() } else { r };
            if let Some(m) = self.meet(s.p + s.flat * 0.002, r) {
                let seen = self.shade(&m, r, rnd);
                for (o, s) in out.iter_mut().zip(seen) {
                    *o = *o * (1.0 - k) + s * k;
                }
            }
        }
        (out, s.t, s.dancer)
    }

    pub fn render(&self, cam: &Camera) -> Vec<Pixel> {
        let t0 = std::time::Instant::now();
        let air = Air::new(self, cam);
        eprintln!("air {:?}", t0.elapsed());
        let mut depth = vec![0.0f32; cam.width * cam.height];
        let mut picture = vec![[V3::ZERO; LIGHTS]; cam.width * cam.height];
        picture.par_chunks_mut(cam.width).zip(depth.par_chunks_mut(cam.width)).enumerate().for_each(
            |(y, (row, depths))| {
                for x in 0..cam.width {
                    let id = hash2(self.seed, (y * cam.width + x) as u32);
                    let spin = [unit_float(hash2(id, 1)), unit_float(hash2(id, 2)), unit_float(hash2(id, 3))];
                    let mut sum = [V3::ZERO; LIGHTS];
                    let mut used = 0.0;
                    let mut calm = true;
                    let mut first = [V3::ZERO; LIGHTS];
                    for k in 0..SAMPLES {
                        if k == 2 && calm {
                            break;
                        }
                        let frac = |v: f32| v - v.floor();
                        // Rotated grid for the pixel, a spun stratified set for lens and lights.
                        let (sx, sy) = [(0.375, 0.125), (0.875, 0.375), (0.125, 0.625), (0.625, 0.875)][k as usize % 4];
                        let a = frac(spin[0] + k as f32 * 0.25);
                        let b = frac(spin[1] + [0.0, 0.5, 0.25, 0.75][k as usize % 4]);
                        let r = frac(spin[2] + [0.125, 0.625, 0.875, 0.375][k as usize % 4]).sqrt();
                        let w = a * std::f32::consts::TAU;
                        let lens = (r * crate::math::cos(w), r * crate::math::sin(w));
                        let (px, py) = (x as f32 + sx, y as f32 + sy);
                        let (o, d) = cam.ray(px, py, lens);
                        let (seen, t, dancer) = self.look(o, d, [b, a]);
                        used += 1.0;
                        depths[x] += t;
                        if k == 0 {
                            first = seen;
                        }
                        calm &= !dancer && alike(&first, &seen) && (t * used - depths[x]).abs() < 0.03 * t;
                        air.add(&mut sum, &seen, px, py, t);
                    }
                    depths[x] *= 1.0 / used;
                    let v = cam.vignette(x as f32 + 0.5, y as f32 + 0.5) / used;
                    row[x] = sum.map(|s| s * v);
                }
            },
        );
        self.grains(cam, &depth, &mut picture);
        picture
    }

    /// Bright grains: small discs as large as the lens blurs them.
    fn grains(&self, cam: &Camera, depth: &[f32], picture: &mut [Pixel]) {
        let unit = (cam.width.max(cam.height) as f32) / 1228.0;
        for (p, size) in self.dust.grains(self.seed, 5200) {
            let Some((x, y, z)) = cam.project(p) else { continue };
            let blur = cam.blur(z) + 0.40 * unit.max(0.8);
            let (w, h) = (cam.width as f32, cam.height as f32);
            if x < 1.0 || y < 1.0 || x > w - 2.0 || y > h - 2.0 {
                continue;
            }
            if depth[y as usize * cam.width + x as usize] < (p - cam.pos).len() {
                continue;
            }
            let light = self.scatter(p, (cam.pos - p).unit(), 1.0);
            let spread = 1.0 / (blur * blur);
            let strength = 0.014 * size * spread * unit * unit * (6.0 / z) * (6.0 / z);
            let reach = blur.ceil() as i32 + 1;
            for dy in -reach..=reach {
                for dx in -reach..=reach {
                    let (qx, qy) = (x as i32 + dx, y as i32 + dy);
                    if qx < 0 || qy < 0 || qx >= cam.width as i32 || qy >= cam.height as i32 {
                        continue;
                    }
                    let (ox, oy) = (qx as f32 + 0.5 - x, qy as f32 + 0.5 - y);
                    let cover = (blur + 0.5 - (ox * ox + oy * oy).sqrt()).clamp(0.0, 1.0);
                    if cover > 0.0 {
                        let px = &mut picture[qy as usize * cam.width + qx as usize];
                        for (o, l) in px.iter_mut().zip(&light) {
                            *o += *l * (cover * strength);
                        }
                    }
                }
            }
        }
    }

    /// Light that dust at a place sends towards the camera, per light and unit of optical depth; `tau` is the
    /// depth it will be used for, so that shadows nobody can see need not be looked for.
    fn scatter(&self, p: V3, to_camera: V3, tau: f32) -> Pixel {
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

/// Whether two samples of a pixel look the same under every light, at the powers lights usually burn with.
fn alike(a: &Pixel, b: &Pixel) -> bool {
    a.iter().zip(b).all(|(a, b)| (a.y - b.y).abs() < 0.5 * a.y.max(b.y) + 3.0)
}

/// x to a whole power by squaring.
fn whole_power(x: f32, mut n: u32) -> f32 {
    let (mut r, mut b) = (1.0, x);
    while n > 0 {
        if n & 1 == 1 {
            r *= b;
        }
        b *= b;
        n >>= 1;
    }
    r
}

const TILE: f32 = 5.0;
const SLICES: usize = 46;

/// Dust between camera and things: what it adds and what it lets through, by picture tile and distance.
struct Air {
    w: usize,
    ends: Vec<f32>,
    cells: Vec<[f32; LIGHTS + 1]>,
}

impl Air {
    fn new(m: &Moment, cam: &Camera) -> Air {
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
    fn add(&self, sum: &mut Pixel, seen: &Pixel, px: f32, py: f32, t: f32) {
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
