//! One picture per light of a moment in the shed, in linear light: rays for surfaces, a view-aligned grid for dust.

use rayon::prelude::*;

use crate::air::Air;
use crate::bvh::Bvh;
use crate::camera::Camera;
use crate::dust::Dust;
use crate::face;
use crate::figure::Axes;
use crate::light::{AMBIENT, LIGHTS};
use crate::material::{Surface, surface};
use crate::math::{V3, hash2, unit_float};
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

pub struct Point {
    pub t: f32,
    pub p: V3,
    /// Geometric normal, towards the viewer.
    pub flat: V3,
    pub look: Surface,
    /// Whether it belongs to the dancer.
    pub dancer: bool,
}

/// Rays per pixel where something changes; half of them on calm ground.
const SAMPLES: u32 = 4;
impl Moment<'_> {
    /// The first thing on a ray.
    pub fn meet(&self, o: V3, d: V3) -> Option<Point> {
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

    fn look(&self, o: V3, d: V3, rnd: [f32; 2], edge: bool) -> (Pixel, f32, bool) {
        let Some(s) = self.meet(o, d) else {
            return ([V3::ZERO; LIGHTS], 60.0, false);
        };
        let mut out = self.shade(&s, d, rnd, edge);
        let n = s.look.normal;
        let grazing = 1.0 - (-d).dot(n).clamp(0.0, 1.0);
        let k = s.look.mirror * (0.03 + 0.97 * grazing * grazing * grazing * grazing * grazing);
        if k > 0.012 {
            let r = (d - n * (2.0 * d.dot(n))).unit();
            let r = if r.dot(s.flat) < 0.02 { (r + s.flat * 0.05).unit() } else { r };
            if let Some(m) = self.meet(s.p + s.flat * 0.002, r) {
                let seen = self.shade(&m, r, rnd, edge);
                for (o, s) in out.iter_mut().zip(seen) {
                    *o = *o * (1.0 - k) + s * k;
                }
            }
        }
        (out, s.t, s.dancer)
    }

    pub fn render(&self, cam: &Camera) -> Vec<Pixel> {
        let air = Air::new(self, cam);
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
                        let (seen, t, dancer) = self.look(o, d, [b, a], k >= 2);
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
            let Some((x, y, z)) = cam.project(p) else {
                continue;
            };
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
}

/// Whether two samples of a pixel look the same under every light, at the levels lights usually burn with.
fn alike(a: &Pixel, b: &Pixel) -> bool {
    a.iter().zip(b).enumerate().all(|(i, (a, b))| {
        let unit = if i == AMBIENT { 24.0 } else { 1.0 };
        (a.y - b.y).abs() < 0.5 * a.y.max(b.y) + 3.0 / unit
    })
}
