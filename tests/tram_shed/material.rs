//! What each surface looks like at a point: colour, small relief, wetness. All of it computed, nothing scanned.

use crate::math::{V3, fbm, hash3, lerp, noise, smoothstep, unit_float, v3};
use crate::mesh::Material;
use crate::scene::{HALF_GAUGE, SLEEPERS_FROM, TRACKS};

/// The optical facts the shader needs.
#[derive(Clone, Copy)]
pub struct Surface {
    pub albedo: V3,
    pub normal: V3,
    /// Strength of the highlight (0 matt) and its exponent.
    pub gloss: f32,
    pub exponent: u32,
    /// How much a mirror image shows at grazing incidence (a wet floor).
    pub mirror: f32,
    /// Part of the light from behind that comes through (cloth).
    pub through: f32,
    /// Softening of the terminator (skin, cloth).
    pub wrap: f32,
    /// Radiance of dusk sky seen through glass, per unit of window light.
    pub sky: V3,
}

fn matt(albedo: V3, normal: V3) -> Surface {
    Surface { albedo, normal, gloss: 0.0, exponent: 20, mirror: 0.0, through: 0.0, wrap: 0.0, sky: V3::ZERO }
}

/// `n` faces the viewer; `tone` is the mesh's own 0..1 blend.
pub fn surface(m: Material, p: V3, n: V3, tone: f32) -> Surface {
    match m {
        Material::Brick => brick(p, n),
        Material::Floor => floor(p, n),
        Material::Steel | Material::Mullion => steel(p, n),
        Material::Rail => {
            let top = smoothstep(0.5, 0.9, n.y);
            let rust = v3(0.16, 0.08, 0.05).lerp(v3(0.34, 0.33, 0.32), top);
            let mut s = matt(rust * lerp(0.7, 1.1, noise(p * 9.0)), n);
            s.gloss = 0.15 + 0.85 * top;
            s.exponent = 60;
            s.mirror = 0.55 * top;
            s
        }
        Material::Timber => timber(p, n),
        Material::Roof => matt(v3(0.045, 0.045, 0.05) * lerp(0.6, 1.3, fbm(p * 1.3, 3)), n),
        Material::Tram => {
            let dirt = fbm(v3(p.x * 2.0, p.y * 0.8, p.z * 2.0), 4);
            let paint = if p.y > 1.5 { v3(0.34, 0.31, 0.24) } else { v3(0.16, 0.05, 0.04) };
            let rust = smoothstep(0.52, 0.68, dirt);
            let mut s = matt(paint.lerp(v3(0.13, 0.075, 0.05), rust) * lerp(0.6, 1.1, dirt), n);
            s.gloss = 0.25 * (1.0 - rust);
            s.exponent = 40;
            s
        }
        Material::Glass => {
            let pane = hash3(
                (p.x * 2.777).floor() as i32,
                ((p.y - 1.25) * 2.222).floor() as i32,
                (p.z * 2.777).floor() as i32,
            );
            let h = unit_float(pane);
            let grime = lerp(0.55, 1.0, fbm(p * 3.1, 3));
            let level = if h < 0.09 { 0.12 } else { lerp(0.72, 1.0, h) };
            let up = smoothstep(1.2, 3.8, p.y);
            let sky = v3(1.15, 0.92, 0.86).lerp(v3(0.62, 0.92, 1.35), up);
            let mut s = matt(v3(0.02, 0.022, 0.025), n);
            s.gloss = 0.4;
            s.exponent = 120;
            s.sky = sky * (level * grime);
            s
        }
        Material::Skin => {
            let base = v3(0.50, 0.335, 0.255).lerp(v3(0.56, 0.43, 0.37), tone);
            let mut s = matt(base, n);
            s.gloss = 0.10;
            s.exponent = 18;
            s.wrap = 0.12;
            s
        }
        Material::Hair => {
            let strand = noise(v3(p.x * 160.0, p.y * 60.0, p.z * 40.0)) - 0.5;
            let mut s = matt(v3(0.042, 0.028, 0.02) * (1.0 + strand), (n + v3(strand, 0.0, 0.0) * 0.25).unit());
            s.gloss = 0.28;
            s.exponent = 22;
            s
        }
        Material::Bodice => {
            let mut s = matt(v3(0.19, 0.046, 0.05), n);
            s.gloss = 0.14;
            s.exponent = 12;
            s
        }
        Material::Cloth => {
            let mut s = matt(v3(0.45, 0.425, 0.41) * lerp(0.9, 1.0, tone), n);
            s.through = 0.42;
            s.wrap = 0.15;
            s.gloss = 0.05;
            s.exponent = 10;
            s
        }
    }
}

fn brick(p: V3, n: V3) -> Surface {
    let u = if n.x.abs() > n.z.abs() { p.z } else { p.x };
    let (w, h, joint) = (0.245, 0.082, 0.011);
    let row = (p.y / h).floor();
    let shift = if row as i32 % 2 == 0 { 0.0 } else { 0.5 };
    let column = (u / w + shift).floor();
    let fu = (u / w + shift - column) * w;
    let fv = p.y - row * h;
    let id = hash3(column as i32, row as i32, n.x.abs() as i32 + 7);
    let r = unit_float(id);
    let edge = fu.min(w - fu).min(fv.min(h - fv));
    let mortar = 1.0 - smoothstep(joint * 0.5, joint * 1.1, edge);
    let warm = v3(0.33, 0.135, 0.088).lerp(v3(0.42, 0.215, 0.14), unit_float(id.wrapping_mul(31)));
    let face = if r < 0.16 { v3(0.135, 0.085, 0.075) } else { warm };
    let grain = lerp(0.78, 1.15, fbm(v3(u * 22.0, p.y * 22.0, 0.0), 2)) * lerp(0.8, 1.15, r);
    let mut colour = (face * grain).lerp(v3(0.30, 0.275, 0.25), mortar);
    let q = v3(u * 0.55, p.y * 0.55, n.x * 5.0);
    let soot = smoothstep(0.38, 0.7, fbm(q + v3(9.0, 0.0, 0.0), 4));
    colour = colour * lerp(1.0, 0.45, soot);
    let wash = smoothstep(0.54, 0.60, fbm(q * 1.9, 5)) * smoothstep(0.5, 1.6, p.y);
    colour = colour.lerp(v3(0.47, 0.45, 0.41) * grain, wash * 0.62 * (1.0 - 0.5 * mortar));
    let streak = smoothstep(0.55, 0.8, fbm(v3(u * 3.0, p.y * 0.25, 3.0), 3));
    colour = colour * lerp(1.0, 0.55, streak) * lerp(0.55, 1.0, smoothstep(0.0, 0.7, p.y));
    // Brick edges lean outwards into the joint: that is what raking light shows.
    let lean = |f: f32, size: f32| {
        let d = f.min(size - f);
        let k = 1.0 - smoothstep(joint * 0.3, joint * 1.6, d);
        if f < size - f { -k } else { k }
    };
    let (bu, bv) = (lean(fu, w) * 0.55, lean(fv, h) * 0.55);
    let tilt = (unit_float(id ^ 0x55aa) - 0.5) * 0.14;
    let along = if n.x.abs() > n.z.abs() { v3(0.0, 0.0, 1.0) } else { v3(1.0, 0.0, 0.0) };
    let normal = (n + along * (bu + tilt) + V3::UP * (bv + tilt * 0.6)).unit();
    matt(colour, normal)
}

fn floor(p: V3, n: V3) -> Surface {
    let q = v3(p.x, 0.0, p.z);
    let track = TRACKS.map(|t| p.x - t);
    let open = track.iter().any(|d| d.abs() < 1.3) && p.z > SLEEPERS_FROM + 0.25 * (noise(q * 2.3) - 0.5);
    if open {
        return ballast(p, n);
    }
    let broad = fbm(q * 0.62, 4);
    let fine = fbm(q * 6.5, 4);
    let wet = smoothstep(0.41, 0.57, broad + 0.16 * (fine - 0.5));
    let mut colour = v3(0.165, 0.158, 0.148) * lerp(0.62, 1.25, fine);
    let crack = (fbm(q * 1.1 + v3(4.0, 0.0, 8.0), 4) - 0.5).abs();
    colour = colour * lerp(0.45, 1.0, smoothstep(0.0, 0.012, crack));
    let slab = |x: f32, size: f32| ((x / size) - (x / size).floor() - 0.5).abs() * size;
    let seam = (2.6 * 0.5 - slab(p.z + 0.7, 2.6)).min(4.1 * 0.5 - slab(p.x + 0.65, 4.1));
    colour = colour * lerp(0.4, 1.0, smoothstep(0.004, 0.014, seam));
    for d in track {
        let inside = HALF_GAUGE - 0.034 - d.abs();
        if (0.0..0.055).contains(&inside) {
            return matt(v3(0.012, 0.011, 0.01), n);
        }
        let near = (d.abs() - HALF_GAUGE).abs();
        let stain = v3(0.13, 0.085, 0.06) * lerp(0.6, 1.2, fine);
        colour = colour.lerp(stain, 0.6 * (1.0 - smoothstep(0.03, 0.22, near)));
    }
    // Chalk has settled where the dancer works.
    let chalk = exp_fall(p.x * p.x + p.z * p.z, 1.9) * smoothstep(0.40, 0.72, fbm(q * 3.4 + v3(2.0, 0.0, 5.0), 4));
    colour = colour.lerp(v3(0.55, 0.54, 0.52), 0.42 * chalk * (1.0 - 0.6 * wet));
    colour = colour * lerp(1.0, 0.5, wet);
    let (a, b) = (fbm(q * 9.0, 3) - 0.5, fbm(q * 9.0 + v3(50.0, 0.0, 0.0), 3) - 0.5);
    let rough = lerp(0.22, 0.018, wet);
    let mut s = matt(colour, (n + v3(a, 0.0, b) * rough).unit());
    s.gloss = lerp(0.12, 0.9, wet);
    s.exponent = lerp(14.0, 130.0, wet) as u32;
    s.mirror = lerp(0.10, 0.85, wet);
    s
}

fn exp_fall(r2: f32, size: f32) -> f32 {
    1.0 / (1.0 + r2 / (size * size)) - 0.12
}

fn ballast(p: V3, n: V3) -> Surface {
    let f = p.z / 0.62 - (p.z / 0.62).floor();
    let jitter = 0.04 * (noise(v3((p.z / 0.62).floor() * 3.0, 0.0, 0.0)) - 0.5);
    if (0.28 + jitter..0.68 + jitter).contains(&f) {
        let mut s = timber(v3(p.z, p.y, p.x), n);
        s.albedo = s.albedo * 0.8;
        return s;
    }
    let stones = noise(p * 16.0);
    let (a, b) = (noise(p * 16.0 + v3(0.3, 0.0, 0.0)) - stones, noise(p * 16.0 + v3(0.0, 0.0, 0.3)) - stones);
    let colour = v3(0.15, 0.14, 0.13) * lerp(0.35, 1.4, stones);
    matt(colour, (n + v3(-a, 0.0, -b) * 2.6).unit())
}

fn timber(p: V3, n: V3) -> Surface {
    let grain = fbm(v3(p.x * 24.0, p.y * 24.0, p.z * 1.6), 4);
    let colour = v3(0.15, 0.115, 0.09) * lerp(0.4, 1.5, grain);
    let mut s = matt(colour, (n + v3(0.0, grain - 0.5, 0.0) * 0.3).unit());
    s.gloss = 0.1;
    s
}

fn steel(p: V3, n: V3) -> Surface {
    let rust = smoothstep(0.45, 0.62, fbm(p * 4.0, 4));
    let paint = v3(0.085, 0.095, 0.10);
    let mut s = matt(paint.lerp(v3(0.17, 0.085, 0.05), rust) * lerp(0.7, 1.2, noise(p * 20.0)), n);
    s.gloss = 0.30 * (1.0 - rust);
    s.exponent = 24;
    s
}
