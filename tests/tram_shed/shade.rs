//! Light on surfaces: what each flash and the windows give to a point, and what stands between.

use crate::light::{AMBIENT, FLASHES, Flash, LIGHTS, RIM_OPEN};
use crate::math::{V3, hash2, unit_float, v3};
use crate::render::{Moment, Pixel, Point};

/// How closely shadows are looked at.
#[derive(Clone, Copy)]
struct Care {
    /// The pixel is known to hold an edge of something.
    edge: bool,
    dancer: bool,
}

/// Of the light that meets one sheet of the skirt, what goes on to the next thing.
const SHEET: f32 = 0.34;
/// Light too weak for its shadow to be seen (a code value or two at the powers used here).
pub const FAINT: f32 = 2.0;

impl Moment<'_> {
    /// Share of light that passes between two places: none through solids, some through cloth.
    pub fn clear(&self, from: V3, to: V3) -> f32 {
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
    fn seen(&self, p: V3, at: V3, flash: &Flash, rnd: [f32; 2], care: Care) -> f32 {
        let first = self.clear(p, at);
        if flash.radius < 0.3 && !care.edge {
            return first;
        }
        let frac = |v: f32| v - v.floor();
        let point =
            |k: u32| flash.point(frac(rnd[0] + k as f32 * 0.618_034), frac(rnd[1] + k as f32 * 0.381_966 + 0.5));
        let second = self.clear(p, point(1));
        if flash.radius < 0.3 {
            return (first + second + self.clear(p, point(2)) + self.clear(p, point(3))) * 0.25;
        }
        if first == second && (!care.dancer || (first == self.clear(p, point(2)) && first == self.clear(p, point(3)))) {
            return first;
        }
        let sum: f32 = (2..12).map(|k| self.clear(p, point(k))).sum();
        (first + second + sum) / 12.0
    }

    /// Whether a light's picture is asked for.
    pub fn wanted(&self, light: usize) -> bool {
        light != RIM_OPEN || self.open_rim
    }

    /// Light that leaves a point towards `-d`, per light.
    pub fn shade(&self, s: &Point, d: V3, rnd: [f32; 2], edge: bool) -> Pixel {
        let care = Care { edge, dancer: s.dancer };
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
                    let v = if faint { 1.0 } else { self.seen(off, at, flash, rnd, care) };
                    let h = (l - d).unit();
                    let facing = n.dot(h).max(0.0);
                    let shine = look.gloss * whole_power(facing, look.exponent) * (look.exponent as f32 + 8.0) * 0.04;
                    let rim = 1.0 - (-d).dot(n).max(0.0);
                    let fresnel = 0.04 + 0.5 * rim * rim * rim * rim;
                    e = (look.albedo * c + v3(1.0, 1.0, 1.0) * (shine * fresnel * n.dot(l).max(0.0))) * (v * power);
                } else if !lit_front && look.through > 0.0 {
                    let v = if faint { 1.0 } else { self.seen(behind, at, flash, rnd, care) };
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
