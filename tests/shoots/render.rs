//! One picture per light of a moment in the shed, in linear light: one ray per pixel, more where something begins.

use rayon::prelude::*;

use crate::camera::Camera;
use crate::dancer::{Dancer, Stuff};
use crate::haze::Haze;
use crate::light::{AMBIENT, Flash, LIGHTS};
use crate::math::{V3, hash2, unit_float, v3};
use crate::room::{Ground, HIGH, LOW, Room};
use crate::still::{Still, around};

pub type Pixel = [V3; LIGHTS];

/// The shed with or without the dancer, ready to be looked at.
pub struct Moment<'a> {
    pub room: &'a Room,
    pub dancer: Option<Dancer>,
    /// How much dust is in the air: 0.3 little, 1.5 a lot.
    pub dust: f32,
    pub seed: u32,
    /// Which lights' pictures are asked for.
    pub wanted: [bool; LIGHTS],
}

pub struct Seen {
    pub t: f32,
    p: V3,
    n: V3,
    albedo: V3,
    gloss: f32,
    wrap: f32,
    sky: f32,
    /// Which thing it is, to find edges by.
    pub id: u32,
    dancer: bool,
}

/// Where a pixel that holds an edge is looked at.
pub const SPOTS: [(f32, f32); 4] = [(0.375, 0.125), (0.875, 0.375), (0.125, 0.625), (0.625, 0.875)];

/// A number for a spot of a pixel, the same in every shot, so that what stays the same looks the same.
pub fn spot_id(pixel: usize, spot: usize) -> u32 {
    hash2(0x5e7, pixel as u32 * 4 + spot as u32)
}

impl Moment<'_> {
    /// `still` is the empty shed through the same camera: what the dancer neither hides nor shades is taken from there.
    pub fn render(&self, cam: &Camera, still: &Still) -> Vec<Pixel> {
        let haze = Haze::new(self, cam);
        let bodies: Vec<Option<Seen>> = (0..cam.width * cam.height)
            .into_par_iter()
            .map(|i| {
                let d = cam.ray((i % cam.width) as f32 + 0.5, (i / cam.width) as f32 + 0.5);
                self.meet_dancer(cam.pos, d, still.seen[i].t)
            })
            .collect();
        let outline =
            |x: usize, y: usize| around(x, y, cam).any(|n| bodies[n].is_some() != bodies[y * cam.width + x].is_some());
        let mut picture = vec![[V3::ZERO; LIGHTS]; cam.width * cam.height];
        picture.par_chunks_mut(cam.width).enumerate().for_each(|(y, row)| {
            for (x, out) in row.iter_mut().enumerate() {
                let i = y * cam.width + x;
                let whole = cam.vignette(x as f32, y as f32);
                let (px, py) = (x as f32 + 0.5, y as f32 + 0.5);
                let shaded = self.shaded(&still.seen[i]);
                if let Some(body) = bodies[i].as_ref().filter(|_| !outline(x, y)) {
                    haze.add(out, &self.shade(body, cam.ray(px, py), spot_id(i, 0)), px, py, body.t, whole);
                } else if outline(x, y) || (still.edge[i] && shaded.contains(&true)) {
                    for (k, (sx, sy)) in SPOTS.iter().enumerate() {
                        let (px, py) = (x as f32 + sx, y as f32 + sy);
                        let d = cam.ray(px, py);
                        let s = self.meet(cam.pos, d);
                        haze.add(out, &self.shade(&s, d, spot_id(i, k)), px, py, s.t, whole * 0.25);
                    }
                } else {
                    let s = &still.seen[i];
                    let mut lit = still.lit[i];
                    for (light, l) in lit.iter_mut().enumerate().filter(|(light, _)| shaded[*light]) {
                        *l = self.by_light(light, s, cam.ray(px, py), spot_id(i, 0));
                    }
                    haze.add(out, &lit, px, py, s.t, whole);
                }
            }
        });
        picture
    }

    /// Which of the wanted lights the dancer may keep from a place.
    fn shaded(&self, s: &Seen) -> [bool; LIGHTS] {
        let mut out = [false; LIGHTS];
        if let Some(b) = &self.dancer {
            for (o, f) in out.iter_mut().zip(&self.room.flashes) {
                *o = b.may_shade(s.p, f.pos, f.radius);
            }
            out[AMBIENT] = self.room.windows.iter().any(|w| b.may_shade(s.p, w.middle, w.half.0 + w.half.1));
        }
        for (o, wanted) in out.iter_mut().zip(self.wanted) {
            *o &= wanted;
        }
        out
    }

    /// The first thing on a ray from inside the room.
    pub fn meet(&self, o: V3, d: V3) -> Seen {
        let (mut t, mut n, mut ground, mut id) = inside(o, d);
        for (k, b) in self.room.blocks.iter().enumerate() {
            if let Some((near, normal)) = slabs(o, d, b.low, b.high, t) {
                (t, n, ground, id) = (near, normal, b.ground, 100 + k as u32 * 8 + axis_id(normal));
            }
        }
        if let Some(body) = self.meet_dancer(o, d, t) {
            return body;
        }
        let p = o + d * t;
        let mut sky = 0.0;
        if ground == Ground::Brick
            && let Some(w) = self.room.windows.iter().find(|w| {
                let to = p - w.middle;
                let across = if w.facing.x == 0.0 { to.x } else { to.z };
                w.facing.dot(n) > 0.9 && across.abs() < w.half.0 && to.y.abs() < w.half.1
            })
        {
            let bars = ((p.y - w.middle.y) * 2.5).rem_euclid(1.0) < 0.08;
            (ground, sky, id) = (Ground::Glass, if bars { 0.0 } else { 1.0 }, 50 + u32::from(bars));
        }
        let (albedo, gloss) = self.room.look(ground, p, n);
        Seen { t, p, n, albedo, gloss, wrap: 0.0, sky, id, dancer: false }
    }

    fn meet_dancer(&self, o: V3, d: V3, far: f32) -> Option<Seen> {
        let (t, n, stuff) = self.dancer.as_ref()?.nearest(o, d, far)?;
        let p = o + d * t;
        let (albedo, gloss, wrap) = match stuff {
            Stuff::Skin => (v3(0.52, 0.36, 0.28), 0.5, 0.12),
            Stuff::Hair => (v3(0.07, 0.05, 0.04), 1.2, 0.0),
            Stuff::Bodice => (v3(0.13, 0.05, 0.09), 0.4, 0.0),
            Stuff::Skirt => (v3(0.55, 0.50, 0.47), 0.1, 0.4),
        };
        let weave = 0.85 + 0.3 * crate::math::noise(p * 31.0);
        Some(Seen { t, p, n, albedo: albedo * weave, gloss, wrap, sky: 0.0, id: 9, dancer: true })
    }

    /// Share of light that passes between two places.
    pub fn clear(&self, from: V3, to: V3) -> f32 {
        let d = to - from;
        let far = d.len();
        let d = d * (1.0 / far);
        let k = v3(1.0 / nudged(d.x), 1.0 / nudged(d.y), 1.0 / nudged(d.z));
        if self.room.blockers.iter().any(|(low, high)| stands_between(from, k, *low, *high, far)) {
            return 0.0;
        }
        self.dancer.as_ref().map_or(1.0, |b| b.lets_through(from, d, far))
    }

    pub fn shade(&self, s: &Seen, d: V3, id: u32) -> Pixel {
        let mut out = [V3::ZERO; LIGHTS];
        for (i, o) in out.iter_mut().enumerate().filter(|(i, _)| self.wanted[*i]) {
            *o = self.by_light(i, s, d, id);
        }
        out
    }

    fn by_light(&self, light: usize, s: &Seen, d: V3, id: u32) -> V3 {
        let off = s.p + s.n * 0.004;
        match self.room.flashes.get(light) {
            Some(f) => self.by_flash(f, s, off, d, hash2(id, light as u32)).mul(f.tint),
            None if light == AMBIENT => self.by_windows(s, off, id),
            None => V3::ZERO,
        }
    }

    fn by_flash(&self, f: &Flash, s: &Seen, off: V3, d: V3, id: u32) -> V3 {
        let room = s.albedo * (f.fill * (0.8 - 0.35 * s.n.y));
        let to = f.pos - s.p;
        let d2 = to.dot(to);
        let l = to * (1.0 / d2.sqrt());
        let c = (s.n.dot(l) + s.wrap) / (1.0 + s.wrap);
        let power = f.towards(-l) / d2;
        if c <= 0.0 || power < 1e-5 {
            return room;
        }
        let rays = if f.radius < 0.2 { 1 } else { 2 + 4 * u32::from(s.dancer) };
        let turn = unit_float(hash2(id, 3));
        let seen: f32 = (0..rays)
            .map(|k| {
                let a = (unit_float(hash2(id, 1)) + k as f32 / rays as f32).fract();
                let b = (turn + k as f32 * 0.618_034).fract();
                self.clear(off, f.point(a, b))
            })
            .sum::<f32>()
            / rays as f32;
        let h = (l - d).unit();
        let facing = s.n.dot(h).max(0.0);
        let (f2, rim) = (facing * facing, 1.0 - (-d).dot(s.n).max(0.0));
        let (f8, fresnel) = (f2 * f2 * f2 * f2, 0.05 + 0.5 * rim * rim * rim * rim);
        let shine = s.gloss * f8 * f8 * fresnel * s.n.dot(l).max(0.0);
        (s.albedo * c + v3(1.0, 1.0, 1.0) * shine) * (power * seen) + room
    }

    fn by_windows(&self, s: &Seen, off: V3, id: u32) -> V3 {
        let colour = v3(0.72, 0.95, 1.22);
        let mut sum = s.albedo * (0.02 + 0.01 * s.n.y);
        for (k, w) in self.room.windows.iter().enumerate() {
            let (a, b) = (unit_float(hash2(id, 60 + k as u32)) - 0.5, unit_float(hash2(id, 70 + k as u32)) - 0.5);
            let side = V3::UP.cross(w.facing);
            let at = w.middle + side * (2.0 * a * w.half.0) + V3::UP * (2.0 * b * w.half.1) + w.facing * 0.05;
            let to = at - s.p;
            let d2 = to.dot(to).max(0.3);
            let l = to * (1.0 / d2.sqrt());
            let c = s.n.dot(l).max(0.0) * w.facing.dot(-l).max(0.0);
            if c > 0.01 {
                let area = 4.0 * w.half.0 * w.half.1;
                sum += s.albedo * (area * c / (d2 * std::f32::consts::PI) * self.clear(off, at));
            }
        }
        (sum + v3(1.0, 1.0, 1.0) * (s.sky * 0.6)).mul(colour)
    }
}

/// Where a ray from inside leaves the room.
fn inside(o: V3, d: V3) -> (f32, V3, Ground, u32) {
    let wall = |o: f32, d: f32, low: f32, high: f32| {
        if d > 0.0 {
            (high - o) / d
        } else if d < 0.0 {
            (low - o) / d
        } else {
            f32::MAX
        }
    };
    let x = wall(o.x, d.x, LOW.x, HIGH.x);
    let y = wall(o.y, d.y, LOW.y, HIGH.y);
    let z = wall(o.z, d.z, LOW.z, HIGH.z);
    if y <= x && y <= z {
        let up = -d.y.signum();
        return if up > 0.0 {
            (y, v3(0.0, 1.0, 0.0), Ground::Floor, 1)
        } else {
            (y, v3(0.0, -1.0, 0.0), Ground::Roof, 2)
        };
    }
    if x <= z {
        (x, v3(-d.x.signum(), 0.0, 0.0), Ground::Brick, if d.x > 0.0 { 3 } else { 4 })
    } else {
        (z, v3(0.0, 0.0, -d.z.signum()), Ground::Brick, if d.z > 0.0 { 5 } else { 6 })
    }
}

fn axis_id(n: V3) -> u32 {
    if n.x != 0.0 { 0 } else { 1 + u32::from(n.y != 0.0) }
}

/// Never zero, so that it can be divided by.
fn nudged(d: f32) -> f32 {
    if d.abs() < 1e-9 { 1e-9f32.copysign(d) } else { d }
}

/// Whether a ray from outside meets a block before `far`; `k` is one over the direction.
fn stands_between(o: V3, k: V3, low: V3, high: V3, far: f32) -> bool {
    let (a, b) = ((low - o).mul(k), (high - o).mul(k));
    let (near, out) = (a.min(b), a.max(b));
    let near = near.x.max(near.y).max(near.z);
    near > 1e-3 && near < out.x.min(out.y).min(out.z).min(far)
}

/// Entry into an axis-parallel block before `far`, with its normal.
fn slabs(o: V3, d: V3, low: V3, high: V3, far: f32) -> Option<(f32, V3)> {
    let (mut near, mut out, mut normal) = (1e-3f32, far, V3::ZERO);
    for i in 0..3 {
        let (o, d) = (o.axis(i), d.axis(i));
        let k = 1.0 / nudged(d);
        let (a, b) = ((low.axis(i) - o) * k, (high.axis(i) - o) * k);
        let (a, b) = (a.min(b), a.max(b));
        if a > near {
            near = a;
            let s = -d.signum();
            normal = v3(if i == 0 { s } else { 0.0 }, if i == 1 { s } else { 0.0 }, if i == 2 { s } else { 0.0 });
        }
        out = out.min(b);
    }
    (near < out && normal != V3::ZERO).then_some((near, normal))
}
