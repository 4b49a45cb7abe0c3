//! The dancer as round limbs: quick to meet with a ray, with edges that catch a rim light.

use crate::figure::Skeleton;
use crate::math::{V3, v3};

#[derive(Clone, Copy, PartialEq)]
pub enum Stuff {
    Skin,
    Hair,
    Bodice,
    Skirt,
}

/// A limb with round ends; `squash` below 1 flattens it upwards and downwards (the skirt).
#[derive(Clone, Copy)]
pub struct Limb {
    a: V3,
    b: V3,
    radius: f32,
    squash: f32,
    pub stuff: Stuff,
}

pub struct Dancer {
    pub limbs: Vec<Limb>,
    middle: V3,
    reach: f32,
}

impl Dancer {
    pub fn new(s: &Skeleton) -> Dancer {
        let mut limbs = Vec::new();
        let mut limb = |a: V3, b: V3, radius: f32, stuff: Stuff| {
            limbs.push(Limb { a, b, radius, squash: 1.0, stuff });
        };
        limb(s.head, s.head + s.head_axes.u * 0.02, 0.105, Stuff::Skin);
        let back = s.head_axes.f * -0.035 + s.head_axes.u * 0.035;
        limb(s.head + back, s.head + back, 0.108, Stuff::Hair);
        limb(s.head + back * 3.6, s.head + back * 3.6, 0.05, Stuff::Hair);
        limb(s.neck, s.head, 0.05, Stuff::Skin);
        let wide = s.chest_axes.r * 0.075;
        limb(s.chest - wide, s.chest + wide, 0.115, Stuff::Bodice);
        limb(s.waist, s.chest, 0.115, Stuff::Bodice);
        limb(s.pelvis, s.waist, 0.125, Stuff::Bodice);
        for i in 0..2 {
            limb(s.neck, s.shoulders[i], 0.055, Stuff::Skin);
            limb(s.shoulders[i], s.elbows[i], 0.045, Stuff::Skin);
            limb(s.elbows[i], s.wrists[i], 0.036, Stuff::Skin);
            limb(s.wrists[i], s.fingertips[i], 0.028, Stuff::Skin);
            limb(s.hips[i], s.knees[i], 0.078, Stuff::Skin);
            limb(s.knees[i], s.ankles[i], 0.052, Stuff::Skin);
            limb(s.ankles[i], s.toes[i], 0.036, Stuff::Bodice);
        }
        let hem = s.pelvis - s.pelvis_axes.u * 0.10;
        limbs.push(Limb { a: hem, b: hem, radius: 0.37, squash: 0.55, stuff: Stuff::Skirt });
        let middle = s.pelvis;
        let reach = limbs.iter().map(|l| (l.a - middle).len().max((l.b - middle).len()) + l.radius).fold(0.0, f32::max);
        Dancer { limbs, middle, reach }
    }

    /// Corners of a box around the dancer.
    pub fn corners(&self) -> Vec<V3> {
        let mut out = Vec::new();
        for l in &self.limbs {
            for c in [l.a, l.b] {
                for (x, y) in [(-1.0, 0.0), (1.0, 0.0), (0.0, -l.squash), (0.0, l.squash)] {
                    out.push(c + v3(x * l.radius, y * l.radius, 0.0));
                }
            }
        }
        out
    }

    /// Whether the dancer may stand between a place and a light of so much radius.
    pub fn may_shade(&self, from: V3, light: V3, radius: f32) -> bool {
        let (to, d) = (self.middle - from, (light - from).unit());
        let along = to.dot(d);
        let reach = self.reach + radius;
        to.dot(to) - along * along < reach * reach && along > -reach
    }

    fn near(&self, o: V3, d: V3) -> bool {
        let to = self.middle - o;
        let along = to.dot(d);
        to.dot(to) - along * along < self.reach * self.reach && along > -self.reach
    }

    pub fn nearest(&self, o: V3, d: V3, far: f32) -> Option<(f32, V3, Stuff)> {
        if !self.near(o, d) {
            return None;
        }
        let mut best = far;
        let mut found = None;
        for l in &self.limbs {
            if let Some(t) = l.meet(o, d).filter(|t| *t < best) {
                best = t;
                found = Some(l);
            }
        }
        found.map(|l| (best, l.normal(o + d * best), l.stuff))
    }

    /// Share of light that passes: none through the body, a third through the skirt.
    pub fn lets_through(&self, o: V3, d: V3, far: f32) -> f32 {
        if !self.near(o, d) {
            return 1.0;
        }
        let mut share = 1.0;
        for l in &self.limbs {
            if l.meet(o, d).is_some_and(|t| t < far) {
                if l.stuff != Stuff::Skirt {
                    return 0.0;
                }
                share = 0.3;
            }
        }
        share
    }
}

impl Limb {
    fn squashed(&self, p: V3) -> V3 {
        v3(p.x, (p.y - self.a.y) / self.squash + self.a.y, p.z)
    }

    /// Distance along a ray from outside (Quilez, "Capsule - intersection": a cylinder and two balls).
    fn meet(&self, o: V3, d: V3) -> Option<f32> {
        let (o, d) = if self.squash == 1.0 { (o, d) } else { (self.squashed(o), v3(d.x, d.y / self.squash, d.z)) };
        let (ba, oa) = (self.b - self.a, o - self.a);
        let dd = d.dot(d);
        let (baba, bard, baoa) = (ba.dot(ba), ba.dot(d), ba.dot(oa));
        let (rdoa, oaoa) = (d.dot(oa), oa.dot(oa));
        let r2 = self.radius * self.radius;
        let ball = |c: V3| {
            let oc = o - c;
            let (b, c) = (d.dot(oc), oc.dot(oc) - r2);
            let h = b * b - dd * c;
            (h > 0.0).then(|| (-b - h.sqrt()) / dd).filter(|t| *t > 1e-3)
        };
        if baba < 1e-8 {
            return ball(self.a);
        }
        let a = baba * dd - bard * bard;
        let b = baba * rdoa - baoa * bard;
        let c = baba * oaoa - baoa * baoa - r2 * baba;
        let h = b * b - a * c;
        if h < 0.0 {
            return None;
        }
        let t = (-b - h.sqrt()) / a;
        let y = baoa + t * bard;
        if y > 0.0 && y < baba {
            return (t > 1e-3).then_some(t);
        }
        ball(if y <= 0.0 { self.a } else { self.b })
    }

    fn normal(&self, p: V3) -> V3 {
        let p = if self.squash == 1.0 { p } else { self.squashed(p) };
        let ba = self.b - self.a;
        let h = if ba.dot(ba) < 1e-8 { 0.0 } else { ((p - self.a).dot(ba) / ba.dot(ba)).clamp(0.0, 1.0) };
        let n = p - self.a - ba * h;
        v3(n.x, n.y / self.squash, n.z).unit()
    }
}
