//! Vectors, hashing and noise: everything the picture needs that must give the same bits on every machine.

use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// Three numbers: a place or direction in metres, or a linear RGB triple.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct V3 {
    pub x: f32,
    pub y: f32,
    pub z: f32,
}

pub const fn v3(x: f32, y: f32, z: f32) -> V3 {
    V3 { x, y, z }
}

impl V3 {
    pub const ZERO: V3 = v3(0.0, 0.0, 0.0);
    pub const UP: V3 = v3(0.0, 1.0, 0.0);

    pub fn dot(self, o: V3) -> f32 {
        self.x * o.x + self.y * o.y + self.z * o.z
    }
    pub fn cross(self, o: V3) -> V3 {
        v3(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }
    pub fn len(self) -> f32 {
        self.dot(self).sqrt()
    }
    /// Unit vector, or zero for a zero vector.
    pub fn unit(self) -> V3 {
        let l = self.len();
        if l > 1e-12 { self * (1.0 / l) } else { V3::ZERO }
    }
    pub fn mul(self, o: V3) -> V3 {
        v3(self.x * o.x, self.y * o.y, self.z * o.z)
    }
    pub fn lerp(self, o: V3, t: f32) -> V3 {
        self + (o - self) * t
    }
    pub fn min(self, o: V3) -> V3 {
        v3(self.x.min(o.x), self.y.min(o.y), self.z.min(o.z))
    }
    pub fn max(self, o: V3) -> V3 {
        v3(self.x.max(o.x), self.y.max(o.y), self.z.max(o.z))
    }
    pub fn axis(self, i: usize) -> f32 {
        match i {
            0 => self.x,
            1 => self.y,
            _ => self.z,
        }
    }
    /// Two unit vectors that complete a unit vector to a right-handed frame.
    pub fn frame(self) -> (V3, V3) {
        let helper = if self.y.abs() < 0.9 { V3::UP } else { v3(1.0, 0.0, 0.0) };
        let a = helper.cross(self).unit();
        (a, self.cross(a))
    }
}

impl Add for V3 {
    type Output = V3;
    fn add(self, o: V3) -> V3 {
        v3(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}
impl AddAssign for V3 {
    fn add_assign(&mut self, o: V3) {
        *self = *self + o;
    }
}
impl Sub for V3 {
    type Output = V3;
    fn sub(self, o: V3) -> V3 {
        v3(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}
impl Mul<f32> for V3 {
    type Output = V3;
    fn mul(self, k: f32) -> V3 {
        v3(self.x * k, self.y * k, self.z * k)
    }
}
impl Neg for V3 {
    type Output = V3;
    fn neg(self) -> V3 {
        v3(-self.x, -self.y, -self.z)
    }
}

pub fn lerp(a: f32, b: f32, t: f32) -> f32 {
    a + (b - a) * t
}

/// 0 below `lo`, 1 above `hi`, a cubic between.
pub fn smoothstep(lo: f32, hi: f32, x: f32) -> f32 {
    let t = ((x - lo) / (hi - lo)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

pub fn sin(x: f32) -> f32 {
    libm::sinf(x)
}
pub fn cos(x: f32) -> f32 {
    libm::cosf(x)
}
pub fn exp(x: f32) -> f32 {
    libm::expf(x)
}
pub fn pow(x: f32, p: f32) -> f32 {
    libm::powf(x, p)
}
pub fn rad(degrees: f32) -> f32 {
    degrees * (std::f32::consts::PI / 180.0)
}

/// A 32-bit finaliser: neighbouring inputs give unrelated outputs.
pub fn hash(mut x: u32) -> u32 {
    x ^= x >> 16;
    x = x.wrapping_mul(0x7feb_352d);
    x ^= x >> 15;
    x = x.wrapping_mul(0x846c_a68b);
    x ^ (x >> 16)
}
pub fn hash2(a: u32, b: u32) -> u32 {
    hash(a.wrapping_mul(0x9e37_79b9) ^ hash(b.wrapping_add(0x85eb_ca6b)))
}
pub fn hash3(a: i32, b: i32, c: i32) -> u32 {
    hash2(hash2(a as u32, b as u32), c as u32)
}
/// Uniform in 0..1 from the upper 24 bits.
pub fn unit_float(h: u32) -> f32 {
    (h >> 8) as f32 * (1.0 / 16_777_216.0)
}

/// A small counter-based generator; each use owns its seed, so order never matters.
pub struct Rng(u32, u32);

impl Rng {
    pub fn new(seed: u32) -> Rng {
        Rng(hash(seed), 0)
    }
    pub fn next(&mut self) -> f32 {
        self.1 = self.1.wrapping_add(1);
        unit_float(hash2(self.0, self.1))
    }
    pub fn range(&mut self, lo: f32, hi: f32) -> f32 {
        lerp(lo, hi, self.next())
    }
    /// Nearly Gaussian, mean 0, deviation 1 (sum of four uniforms: no transcendental function needed).
    pub fn gauss(&mut self) -> f32 {
        (self.next() + self.next() + self.next() + self.next() - 2.0) * 1.732_050_8
    }
    pub fn ball(&mut self) -> V3 {
        v3(self.gauss(), self.gauss(), self.gauss())
    }
}

/// Smooth lattice noise in 0..1 with period-free integer lattice.
pub fn noise(p: V3) -> f32 {
    let (fx, fy, fz) = (p.x.floor(), p.y.floor(), p.z.floor());
    let (ix, iy, iz) = (fx as i32, fy as i32, fz as i32);
    let ease = |t: f32| t * t * t * (t * (t * 6.0 - 15.0) + 10.0);
    let (tx, ty, tz) = (ease(p.x - fx), ease(p.y - fy), ease(p.z - fz));
    let at = |dx: i32, dy: i32, dz: i32| {
        let h = (ix + dx) as u32;
        let h = h.wrapping_mul(0x8da6_b343)
            ^ ((iy + dy) as u32).wrapping_mul(0xd816_3841)
            ^ ((iz + dz) as u32).wrapping_mul(0xcb1a_b31f);
        unit_float(hash(h))
    };
    let x00 = lerp(at(0, 0, 0), at(1, 0, 0), tx);
    let x10 = lerp(at(0, 1, 0), at(1, 1, 0), tx);
    let x01 = lerp(at(0, 0, 1), at(1, 0, 1), tx);
    let x11 = lerp(at(0, 1, 1), at(1, 1, 1), tx);
    lerp(lerp(x00, x10, ty), lerp(x01, x11, ty), tz)
}

/// Sum of octaves of `noise`, about 0..1 around 0.5.
pub fn fbm(mut p: V3, octaves: u32) -> f32 {
    let (mut sum, mut amp, mut total) = (0.0, 0.5, 0.0);
    for _ in 0..octaves {
        sum += amp * noise(p);
        total += amp;
        amp *= 0.5;
        p = v3(p.x * 2.03 + 17.1, p.y * 2.01 + 3.7, p.z * 2.02 + 9.2);
    }
    sum / total
}
