//! From light to file: exposure, glare, shake, sensor noise, the camera's tone curve, JPEG.

use jpeg_encoder::{ColorType, Encoder, EncodingError, SamplingFactor};

use crate::camera::MARGIN;
use crate::light::LIGHTS;
use crate::math::{Rng, V3, cos, hash2, lerp, pow, rad, sin, v3};
use crate::render::Pixel;

/// The camera's tone curve: for linear light x, code / 255 = (1 + (S/W)^P) x^P / (x^P + S^P), clipped at x = W.
/// A logistic in log light: toe and shoulder from one formula, monotone by construction.
pub const CURVE_POWER: f32 = 0.95;
pub const CURVE_SCALE: f32 = 0.27;
pub const CURVE_WHITE: f32 = 2.4;

/// Electrons per unit of linear light at ISO 100, and read noise in electrons.
pub const ELECTRONS: f32 = 26_000.0;
pub const READ_NOISE: f32 = 5.0;
/// Share of the light that the lens spreads as glare.
const GLARE: f32 = 0.055;

pub fn tone(x: f32) -> f32 {
    let x = x.clamp(0.0, CURVE_WHITE);
    let top = pow(CURVE_SCALE / CURVE_WHITE, CURVE_POWER) + 1.0;
    let xp = pow(x, CURVE_POWER);
    top * xp / (xp + pow(CURVE_SCALE, CURVE_POWER))
}

/// An RGB picture, rows from the top.
pub struct Picture {
    pub width: usize,
    pub height: usize,
    pub rgb: Vec<u8>,
}

/// Handheld shake: shift in pixels, turn in degrees.
#[derive(Clone, Copy, Default)]
pub struct Shake {
    pub x: f32,
    pub y: f32,
    pub turn: f32,
}

/// Sum of the lights, each at its own gain.
pub fn add_up(pixels: &[Pixel], gains: &[V3; LIGHTS]) -> Vec<V3> {
    pixels.iter().map(|p| p.iter().zip(gains).fold(V3::ZERO, |s, (l, g)| s + l.mul(*g))).collect()
}

/// Spread a small share of the light widely, as dust on a lens and its glass do.
pub fn glare(light: &mut [V3], width: usize, height: usize) {
    const F: usize = 4;
    let (w, h) = (width.div_ceil(F), height.div_ceil(F));
    let mut small = vec![V3::ZERO; w * h];
    for (y, row) in light.chunks(width).enumerate() {
        for (x, p) in row.iter().enumerate() {
            small[y / F * w + x / F] += *p * (1.0 / (F * F) as f32);
        }
    }
    let narrow = blur(&small, w, h, (width.max(height) / 400).max(1));
    let wide = blur(&narrow, w, h, (width.max(height) / 56).max(2));
    for (y, row) in light.chunks_mut(width).enumerate() {
        for (x, p) in row.iter_mut().enumerate() {
            let at = |s: &[V3]| {
                let (fx, fy) = ((x as f32 + 0.5) / F as f32 - 0.5, (y as f32 + 0.5) / F as f32 - 0.5);
                let (ix, iy) = (fx.max(0.0) as usize, fy.max(0.0) as usize);
                let (jx, jy) = ((ix + 1).min(w - 1), (iy + 1).min(h - 1));
                let (tx, ty) = ((fx - ix as f32).max(0.0), (fy - iy as f32).max(0.0));
                s[iy * w + ix].lerp(s[iy * w + jx], tx).lerp(s[jy * w + ix].lerp(s[jy * w + jx], tx), ty)
            };
            *p = *p * (1.0 - GLARE) + at(&narrow) * (GLARE * 0.45) + at(&wide) * (GLARE * 0.55);
        }
    }
}

/// Three box passes each way: nearly a Gaussian.
fn blur(from: &[V3], w: usize, h: usize, r: usize) -> Vec<V3> {
    let mut a = from.to_vec();
    for _ in 0..3 {
        let mut b = a.clone();
        for y in 0..h {
            line(&a, &mut b, y * w, 1, w, r);
        }
        for x in 0..w {
            line(&b, &mut a, x, w, h, r);
        }
    }
    a
}

fn line(from: &[V3], to: &mut [V3], start: usize, stride: usize, n: usize, r: usize) {
    let at = |i: isize| from[start + stride * i.clamp(0, n as isize - 1) as usize];
    let mut sum = V3::ZERO;
    for i in -(r as isize)..=r as isize {
        sum += at(i);
    }
    let k = 1.0 / (2 * r + 1) as f32;
    for i in 0..n as isize {
        to[start + stride * i as usize] = sum * k;
        sum = sum + at(i + r as isize + 1) - at(i - r as isize);
    }
}

fn catmull(t: f32) -> [f32; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [0.5 * (-t + 2.0 * t2 - t3), 0.5 * (2.0 - 5.0 * t2 + 3.0 * t3), 0.5 * (t + 4.0 * t2 - 3.0 * t3), 0.5 * (t3 - t2)]
}

/// Cut the frame out of the wider render, moved by the shake.
pub fn frame(light: &[V3], width: usize, height: usize, shake: Shake) -> (Vec<V3>, usize, usize) {
    let (w, h) = (width - 2 * MARGIN, height - 2 * MARGIN);
    let (c, s) = (cos(rad(shake.turn)), sin(rad(shake.turn)));
    let mut out = Vec::with_capacity(w * h);
    for y in 0..h {
        for x in 0..w {
            let (ox, oy) = (x as f32 - w as f32 * 0.5, y as f32 - h as f32 * 0.5);
            let fx = ox * c - oy * s + width as f32 * 0.5 + shake.x;
            let fy = ox * s + oy * c + height as f32 * 0.5 + shake.y;
            let (ix, iy) = (fx.floor(), fy.floor());
            let (wx, wy) = (catmull(fx - ix), catmull(fy - iy));
            let mut sum = V3::ZERO;
            for (j, b) in wy.iter().enumerate() {
                let py = (iy as isize + j as isize - 1).clamp(0, height as isize - 1) as usize;
                for (i, a) in wx.iter().enumerate() {
                    let px = (ix as isize + i as isize - 1).clamp(0, width as isize - 1) as usize;
                    sum += light[py * width + px] * (a * b);
                }
            }
            out.push(sum.max(V3::ZERO));
        }
    }
    (out, w, h)
}

/// Sensor and camera: noise that grows with ISO, tone curve, 8 bits. `light` holds exposed linear light.
pub fn expose(light: &[V3], width: usize, height: usize, iso: f32, seed: u32) -> Picture {
    let gain = iso / 100.0;
    let electrons = ELECTRONS / gain;
    const N: usize = 8192;
    let table: Vec<f32> = (0..=N + 1)
        .map(|i| {
            let r = i as f32 / N as f32;
            tone(r * r * CURVE_WHITE) * 255.0
        })
        .collect();
    let mut rgb = Vec::with_capacity(light.len() * 3);
    for (i, p) in light.iter().enumerate() {
        let mut rng = Rng::new(hash2(seed, i as u32));
        let shared = rng.gauss();
        let mut noisy = |x: f32| {
            let sigma = ((x * electrons).max(0.0) + READ_NOISE * READ_NOISE).sqrt() / electrons;
            x + sigma * (0.75 * shared + 0.66 * rng.gauss())
        };
        let p = v3(noisy(p.x), noisy(p.y), noisy(p.z));
        for x in [p.x, p.y, p.z] {
            let r = (x.clamp(0.0, CURVE_WHITE) / CURVE_WHITE).sqrt() * N as f32;
            let k = r as usize;
            let code = lerp(table[k], table[k + 1], r - k as f32);
            rgb.push((code + 0.5) as u8);
        }
    }
    Picture { width, height, rgb }
}

impl Picture {
    /// As a camera stores an upright picture: turned a quarter so that orientation 8 sets it right.
    pub fn turned(&self) -> Picture {
        let (w, h) = (self.height, self.width);
        let mut rgb = Vec::with_capacity(self.rgb.len());
        for y in 0..h {
            for x in 0..w {
                // Shown by a quarter turn to the left: stored (x, y) appears at (y, w - 1 - x).
                let i = ((w - 1 - x) * self.width + y) * 3;
                rgb.extend_from_slice(&self.rgb[i..i + 3]);
            }
        }
        Picture { width: w, height: h, rgb }
    }

    /// Smaller by averaging blocks of `f` pixels.
    pub fn small(&self, f: usize) -> Picture {
        let (w, h) = (self.width / f, self.height / f);
        let mut rgb = Vec::with_capacity(w * h * 3);
        for y in 0..h {
            for x in 0..w {
                for c in 0..3 {
                    let mut s = 0u32;
                    for j in 0..f {
                        for i in 0..f {
                            s += u32::from(self.rgb[((y * f + j) * self.width + x * f + i) * 3 + c]);
                        }
                    }
                    rgb.push((s / (f * f) as u32) as u8);
                }
            }
        }
        Picture { width: w, height: h, rgb }
    }

    pub fn jpeg(&self, quality: u8) -> Result<Vec<u8>, EncodingError> {
        let mut bytes = Vec::new();
        let mut e = Encoder::new(&mut bytes, quality);
        e.set_sampling_factor(SamplingFactor::R_4_2_0);
        e.encode(&self.rgb, self.width as u16, self.height as u16, ColorType::Rgb)?;
        Ok(bytes)
    }
}
