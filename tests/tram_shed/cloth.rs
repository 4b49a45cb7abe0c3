//! The skirt: a sheet of particles that follows the dancer through the move, so its folds come from the movement.

use crate::figure::Skeleton;
use crate::math::{Rng, V3, cos, lerp, sin, smoothstep, v3};
use crate::mesh::{Material, Mesh};

const AROUND: usize = 132;
const DOWN: usize = 34;
const LENGTH: f32 = 0.74;
/// 1 would be cut from a full circle.
const FLARE: f32 = 0.86;
const WAIST: [f32; 2] = [0.124, 0.099];
const STEP: f32 = 1.0 / 150.0;
const ROUNDS: usize = 9;

struct Link {
    a: u32,
    b: u32,
    rest: f32,
    stiff: f32,
}

/// A limb the cloth may not enter.
struct Bone {
    a: V3,
    b: V3,
    ra: f32,
    rb: f32,
}

pub struct Skirt {
    pos: Vec<V3>,
    vel: Vec<V3>,
    links: Vec<Link>,
}

fn id(row: usize, col: usize) -> usize {
    row * AROUND + col % AROUND
}

fn waist_point(s: &Skeleton, col: usize, drop: f32, out: f32) -> V3 {
    let a = col as f32 / AROUND as f32 * std::f32::consts::TAU;
    let (x, z) = (cos(a), sin(a));
    let local = v3(x * (WAIST[0] + out), 0.085 - drop, z * (WAIST[1] + out));
    s.pelvis + s.pelvis_axes.at(local)
}

impl Skirt {
    pub fn new(s: &Skeleton, seed: u32) -> Skirt {
        let mut rng = Rng::new(seed ^ 0x51f1);
        let mut pos = Vec::with_capacity(AROUND * DOWN);
        for row in 0..DOWN {
            let along = LENGTH * row as f32 / (DOWN - 1) as f32;
            for col in 0..AROUND {
                let ripple = 0.10 * along * sin(col as f32 / AROUND as f32 * std::f32::consts::TAU * 13.0);
                let out = along * 0.55 + ripple;
                pos.push(waist_point(s, col, along * 0.83, out) + rng.ball() * (0.004 * along));
            }
        }
        let mut links = Vec::new();
        let spacing = LENGTH / (DOWN - 1) as f32;
        let mean = (WAIST[0] + WAIST[1]) * 0.5;
        let ring = |row: f32| std::f32::consts::TAU * (mean + FLARE * spacing * row) / AROUND as f32;
        for row in 0..DOWN {
            for col in 0..AROUND {
                let mut tie = |r: usize, c: usize, rest: f32, stiff: f32| {
                    if r < DOWN {
                        links.push(Link { a: id(row, col) as u32, b: id(r, c) as u32, rest, stiff });
                    }
                };
                let side = ring(row as f32);
                let diagonal = (spacing * spacing + ring(row as f32 + 0.5) * ring(row as f32 + 0.5)).sqrt();
                tie(row + 1, col, spacing, 1.0);
                if row > 0 {
                    tie(row, col + 1, side, 1.0);
                    tie(row, col + 3, side * 3.0, 0.035);
                }
                tie(row + 1, col + 1, diagonal, 0.25);
                tie(row + 1, col + AROUND - 1, diagonal, 0.25);
                tie(row + 3, col, spacing * 3.0, 0.06);
            }
        }
        let vel = vec![V3::ZERO; pos.len()];
        Skirt { pos, vel, links }
    }

    /// Advance by `STEP` with the waist where the skeleton has it.
    fn step(&mut self, s: &Skeleton, time: f32) {
        let bones = bones(s);
        let before = self.pos.clone();
        for row in 0..DOWN {
            for col in 0..AROUND {
                let i = id(row, col);
                if row == 0 {
                    self.pos[i] = waist_point(s, col, 0.0, 0.0);
                    continue;
                }
                let right = self.pos[id(row, col + 1)] - self.pos[id(row, col + AROUND - 1)];
                let down = self.pos[id((row + 1).min(DOWN - 1), col)] - self.pos[id(row - 1, col)];
                let n = right.cross(down).unit();
                let p = self.pos[i];
                let draught = v3(sin(p.y * 5.0 + time * 7.0) * 0.15, 0.0, sin(p.x * 6.0 - time * 5.0) * 0.15);
                let rel = self.vel[i] - draught;
                let through = n * rel.dot(n);
                let drag = through * 9.0 + (rel - through) * 0.9;
                let mut a = v3(0.0, -9.81, 0.0) - drag;
                let limit = 140.0;
                let l = a.len();
                if l > limit {
                    a = a * (limit / l);
                }
                self.vel[i] += a * STEP;
                self.pos[i] += self.vel[i] * STEP;
            }
        }
        for round in 0..ROUNDS {
            self.relax();
            if round % 3 != 2 {
                continue;
            }
            for p in self.pos.iter_mut().skip(AROUND) {
                for b in &bones {
                    push_out(p, b);
                }
                p.y = p.y.max(0.012);
            }
        }
        for (i, old) in before.iter().enumerate() {
            self.vel[i] = (self.pos[i] - *old) * (0.999 / STEP);
        }
    }

    fn relax(&mut self) {
        for l in &self.links {
            let (a, b) = (l.a as usize, l.b as usize);
            let d = self.pos[b] - self.pos[a];
            let len = d.len();
            if len < 1e-7 {
                continue;
            }
            let (wa, wb) = (if a < AROUND { 0.0 } else { 1.0 }, if b < AROUND { 0.0 } else { 1.0 });
            let w: f32 = wa + wb;
            if w == 0.0 {
                continue;
            }
            let c = d * (l.stiff * (len - l.rest) / (len * w));
            self.pos[a] += c * wa;
            self.pos[b] = self.pos[b] - c * wb;
        }
    }

    /// Let the skirt live through the move from `from` to `to` seconds, after `settle` seconds of standing still.
    pub fn follow(&mut self, at: &dyn Fn(f32) -> Skeleton, from: f32, to: f32, settle: f32) {
        let first = at(from);
        let still = (settle / STEP) as usize;
        for k in 0..still {
            self.step(&first, k as f32 * STEP);
            let calm = smoothstep(0.0, 1.0, k as f32 / still as f32);
            for v in &mut self.vel {
                *v = *v * lerp(0.96, 0.995, calm);
            }
        }
        let n = ((to - from) / STEP) as usize;
        for k in 1..=n {
            let t = from + (to - from) * k as f32 / n as f32;
            self.step(&at(t), t);
        }
    }

    /// Twice as fine as the particles, with smooth normals.
    pub fn mesh(&self) -> Mesh {
        let (w, h) = (AROUND * 2, DOWN * 2 - 1);
        let cubic = |a: V3, b: V3, c: V3, d: V3| (b + c) * 0.5625 - (a + d) * 0.0625;
        let fine_row = |row: usize, k: usize| -> V3 {
            let c = k / 2;
            let p = |o: usize| self.pos[id(row, c + AROUND + o - 1)];
            if k.is_multiple_of(2) { p(1) } else { cubic(p(0), p(1), p(2), p(3)) }
        };
        let mut m = Mesh::default();
        for j in 0..h {
            for k in 0..w {
                let r = j / 2;
                let p = if j % 2 == 0 {
                    fine_row(r, k)
                } else {
                    let (a, d) = (r.saturating_sub(1), (r + 2).min(DOWN - 1));
                    cubic(fine_row(a, k), fine_row(r, k), fine_row(r + 1, k), fine_row(d, k))
                };
                m.points.push(p);
                m.tone.push(j as f32 / (h - 1) as f32);
            }
        }
        let at = |j: usize, k: usize| j * w + k % w;
        m.normals = vec![V3::ZERO; m.points.len()];
        for j in 0..h {
            for k in 0..w {
                let right = m.points[at(j, k + 1)] - m.points[at(j, k + w - 1)];
                let down = m.points[at((j + 1).min(h - 1), k)] - m.points[at(j.saturating_sub(1), k)];
                m.normals[at(j, k)] = right.cross(down).unit();
            }
        }
        for j in 0..h - 1 {
            for k in 0..w {
                let q = [at(j, k), at(j, k + 1), at(j + 1, k + 1), at(j + 1, k)].map(|i| i as u32);
                m.faces.extend([[q[0], q[1], q[2]], [q[0], q[2], q[3]]]);
                m.materials.extend([Material::Cloth, Material::Cloth]);
            }
        }
        m
    }

    /// Points of the hem, for dust that the cloth throws.
    pub fn hem(&self) -> impl Iterator<Item = (V3, V3)> + '_ {
        (0..AROUND).step_by(6).map(|c| (self.pos[id(DOWN - 1, c)], self.vel[id(DOWN - 1, c)]))
    }
}

fn bones(s: &Skeleton) -> Vec<Bone> {
    let gap = 0.013;
    let mut out = Vec::new();
    let mut add = |a: V3, b: V3, ra: f32, rb: f32| out.push(Bone { a, b, ra: ra + gap, rb: rb + gap });
    for i in 0..2 {
        let x = if i == 0 { -1.0 } else { 1.0 };
        add(s.hips[i], s.hips[i].lerp(s.knees[i], 0.5), 0.090, 0.080);
        add(s.hips[i].lerp(s.knees[i], 0.5), s.knees[i], 0.080, 0.058);
        add(s.knees[i], s.knees[i].lerp(s.ankles[i], 0.45), 0.053, 0.056);
        add(s.knees[i].lerp(s.ankles[i], 0.45), s.ankles[i], 0.054, 0.034);
        add(s.ankles[i], s.toes[i], 0.033, 0.02);
        let seat = s.pelvis + s.pelvis_axes.at(v3(0.068 * x, -0.06, -0.046));
        add(seat, seat + s.pelvis_axes.u * 0.03, 0.082, 0.07);
        let side = s.pelvis + s.pelvis_axes.at(v3(0.045 * x, 0.0, 0.0));
        add(side, side + s.pelvis_axes.u * 0.06, 0.110, 0.092);
        add(s.elbows[i], s.wrists[i], 0.034, 0.024);
        add(s.wrists[i], s.fingertips[i], 0.03, 0.02);
    }
    out
}

fn push_out(p: &mut V3, b: &Bone) {
    let ab = b.b - b.a;
    let t = ((*p - b.a).dot(ab) / ab.dot(ab)).clamp(0.0, 1.0);
    let c = b.a + ab * t;
    let d = *p - c;
    let r = lerp(b.ra, b.rb, t);
    let l2 = d.dot(d);
    if l2 < r * r && l2 > 1e-10 {
        *p = c + d * (r / l2.sqrt());
    }
}
