//! Chalk dust: a haze, a layer over the floor, and what hands, feet and cloth threw within the last second.

use crate::figure::Skeleton;
use crate::math::{Rng, V3, exp, fbm, noise, smoothstep, v3};
use crate::poses::Move;

#[derive(Clone, Copy)]
struct Puff {
    c: V3,
    r: f32,
    amount: f32,
}

pub struct Dust {
    puffs: Vec<Puff>,
    lo: V3,
    hi: V3,
    drift: V3,
    haze: f32,
}

/// How far something thrown has travelled after `age` seconds in still air that brakes it at rate `k`.
fn travelled(v: V3, k: f32, age: f32) -> V3 {
    v * ((1.0 - exp(-k * age)) / k)
}

impl Dust {
    /// `haze` is how much dust already hangs in the shed (it builds up over the evening).
    pub fn new(m: &Move, t: f32, hem: &[(V3, V3)], haze: f32, seed: u32) -> Dust {
        let mut rng = Rng::new(seed ^ 0xd057);
        let mut puffs = Vec::new();
        let mut throw = |p: V3, v: V3, age: f32, r0: f32, amount: f32, rng: &mut Rng| {
            let brake = rng.range(2.2, 4.5);
            let swirl = rng.ball() * (0.10 * age);
            let mut c = p + travelled(v, brake, age) + swirl + v3(0.0, -0.10 * age, 0.0);
            c.y = c.y.max(0.03);
            let young = smoothstep(0.0, 0.16, age);
            let r = r0 + rng.range(0.16, 0.30) * age.sqrt() * (0.4 + age);
            puffs.push(Puff { c, r, amount: amount * (0.25 + 0.75 * young) * (r0 / r) * (r0 / r).sqrt() });
        };
        let memory = 0.85;
        let steps = 34;
        let mut last: Option<Skeleton> = None;
        for k in 0..=steps {
            let age = memory * (1.0 - k as f32 / steps as f32);
            let s = m.skeleton(t - age);
            if let Some(l) = last {
                let dt = memory / steps as f32;
                let speed = |a: V3, b: V3| (b - a) * (1.0 / dt);
                for i in 0..2 {
                    for _ in 0..3 {
                        let f = rng.next();
                        let hand = speed(l.fingertips[i], s.fingertips[i]);
                        let amount = m.chalk * (0.15 + 0.34 * hand.len().min(5.0)) * rng.range(0.2, 1.3);
                        let from = l.fingertips[i].lerp(s.fingertips[i], f);
                        throw(from, hand * rng.range(0.2, 0.7) + rng.ball() * 0.26, age, 0.045, amount, &mut rng);
                        let foot = speed(l.toes[i], s.toes[i]);
                        let amount = m.chalk * 0.30 * foot.len().min(5.0) * rng.range(0.1, 1.2);
                        let from = l.toes[i].lerp(s.toes[i], f);
                        throw(from, foot * 0.35 + rng.ball() * 0.12, age, 0.034, amount * 0.8, &mut rng);
                    }
                }
            }
            last = Some(s);
        }
        for (p, v) in hem {
            for _ in 0..2 {
                let age = rng.range(0.02, 0.3);
                let back = *v * -0.6 * age;
                throw(*p + back, *v * 0.3, age, 0.05, m.chalk * 0.35 * v.len().min(5.0), &mut rng);
            }
        }
        if m.jump > 0.0 {
            let since = t + m.rise();
            let foot = m.skeleton(-m.rise()).toes;
            for k in 0..70 {
                let from = foot[k % 2] + rng.ball().mul(v3(0.10, 0.01, 0.10));
                let out = rng.ball();
                let v = v3(out.x * 1.5, out.y.abs() * 0.9 + 0.25, out.z * 1.5) + m.travel * 0.45;
                throw(from, v, since.max(0.02), 0.07, m.chalk * rng.range(0.8, 2.6), &mut rng);
            }
        } else {
            for k in 0..30 {
                let foot = m.skeleton(t).toes[k % 2];
                let out = rng.ball();
                let v = v3(out.x * 0.8, out.y.abs() * 0.3, out.z * 0.8);
                throw(v3(foot.x, 0.04, foot.z), v, rng.range(0.2, 0.8), 0.06, m.chalk * 0.8, &mut rng);
            }
        }
        let mut lo = v3(1e3, 1e3, 1e3);
        let mut hi = -lo;
        for p in &puffs {
            let m = v3(p.r, p.r, p.r);
            lo = lo.min(p.c - m);
            hi = hi.max(p.c + m);
        }
        Dust { puffs, lo, hi, drift: rng.ball() * 20.0, haze }
    }

    /// Extinction per metre.
    pub fn density(&self, p: V3) -> f32 {
        let q = p + self.drift;
        let slow = fbm(v3(q.x * 0.55, q.y * 0.8, q.z * 0.55), 3);
        let mut d = self.haze * (0.0012 + 0.0045 * smoothstep(0.35, 0.75, slow) * exp(-p.y * 0.45));
        // Chalk was thrown in front of the two side lights: a cloud each side, the middle stays clear.
        let (cx, cy, cz) = ((p.x.abs() - 4.1) / 2.3, (p.y - 1.2) / 1.7, (p.z - 1.6) / 2.1);
        let side = 1.0 - (cx * cx + cy * cy + cz * cz);
        if side > 0.0 {
            let curl = fbm(q * 1.7 + v3(slow, -slow, slow) * 2.5, 4);
            d += self.haze * 0.075 * side * side * smoothstep(0.30, 0.72, curl);
        }
        d += self.haze * 0.035 * exp(-p.y * 4.5) * smoothstep(0.3, 0.8, noise(v3(q.x * 1.3, 0.0, q.z * 1.3)));
        let inside = p.x > self.lo.x
            && p.x < self.hi.x
            && p.y > self.lo.y
            && p.y < self.hi.y
            && p.z > self.lo.z
            && p.z < self.hi.z;
        if inside {
            let mut envelope = 0.0;
            for puff in &self.puffs {
                let o = p - puff.c;
                let x = o.dot(o) / (puff.r * puff.r);
                if x < 1.0 {
                    envelope += puff.amount * (1.0 - x) * (1.0 - x);
                }
            }
            if envelope > 0.004 {
                d += envelope * self.wisps(q, envelope);
            }
        }
        d
    }

    /// Curls and holes, 0..about 2: dust thrown by hand is never smooth.
    fn wisps(&self, q: V3, envelope: f32) -> f32 {
        let w = v3(noise(q * 4.1), noise(q * 4.1 + v3(31.0, 0.0, 0.0)), noise(q * 4.1 + v3(0.0, 47.0, 0.0)));
        let p = v3(q.x * 6.4, q.y * 5.0, q.z * 6.4) + (w - v3(0.5, 0.5, 0.5)) * 5.0;
        let f = fbm(p, 5);
        // Where little was thrown only the crests of the noise are dust: edges fray.
        let cover = envelope / (envelope + 0.7);
        let body = smoothstep(0.44 - 0.34 * cover, 0.98 - 0.22 * cover, f);
        let fine = noise(q * 21.0);
        body * (0.6 + 0.9 * f + 0.5 * fine)
    }

    /// Single grains big enough to see: a place, a size factor.
    pub fn grains(&self, seed: u32, count: usize) -> Vec<(V3, f32)> {
        let mut rng = Rng::new(seed ^ 0x6ea1);
        (0..count)
            .map(|k| {
                let p = if k % 4 == 0 || self.puffs.is_empty() {
                    v3(rng.range(-4.0, 4.0), rng.range(0.05, 3.2), rng.range(-4.5, 3.5))
                } else {
                    let i = ((rng.next() * self.puffs.len() as f32) as usize).min(self.puffs.len() - 1);
                    let puff = self.puffs[i];
                    puff.c + rng.ball() * (puff.r * 0.9 + 0.03)
                };
                let h = rng.next();
                (p, 0.2 + 3.2 * h * h * h * h * h)
            })
            .filter(|g| g.0.y > 0.01)
            .collect()
    }
}
