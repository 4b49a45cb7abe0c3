//! Where the camera stands, which lens is on it, and the rays it sends out.

use crate::math::{V3, cos, rad, sin, v3};

/// Pixels rendered beyond each edge, so that handheld shake has something to move into.
pub const MARGIN: usize = 14;
pub const LONG: usize = 1200;
pub const SHORT: usize = 800;

#[derive(Clone, Copy)]
pub struct Lens {
    pub model: &'static str,
    pub focal_mm: f32,
    pub widest: f32,
}

pub const LENS_35: Lens = Lens { model: "35mm F2", focal_mm: 35.0, widest: 2.0 };
pub const LENS_85: Lens = Lens { model: "85mm F1.8", focal_mm: 85.0, widest: 1.8 };
pub const LENS_24: Lens = Lens { model: "24mm F2.8", focal_mm: 24.0, widest: 2.8 };

#[derive(Clone, Copy)]
pub struct Camera {
    pub pos: V3,
    right: V3,
    up: V3,
    ahead: V3,
    /// Focal length in pixels of the rendered picture.
    f_px: f32,
    pub width: usize,
    pub height: usize,
    aperture: f32,
    pub focus: f32,
}

impl Camera {
    /// `scale` below 1 renders a preview. The long side of the frame is 36 mm.
    pub fn new(lens: &Lens, pos: V3, look: V3, roll: f32, upright: bool, scale: f32) -> Camera {
        let px = |n: usize| (n as f32 * scale) as usize + 2 * MARGIN;
        let (width, height) = if upright { (px(SHORT), px(LONG)) } else { (px(LONG), px(SHORT)) };
        let ahead = (look - pos).unit();
        let right0 = V3::UP.cross(ahead).unit();
        let up0 = ahead.cross(right0);
        let (c, s) = (cos(rad(roll)), sin(rad(roll)));
        Camera {
            pos,
            right: right0 * c + up0 * s,
            up: up0 * c - right0 * s,
            ahead,
            f_px: lens.focal_mm / 36.0 * LONG as f32 * scale,
            width,
            height,
            aperture: lens.focal_mm * 0.001 / (2.0 * 5.6) * 0.8,
            focus: (look - pos).dot(ahead),
        }
    }

    /// Origin and unit direction for a place in the picture and a place on the lens (unit disc).
    pub fn ray(&self, x: f32, y: f32, lens: (f32, f32)) -> (V3, V3) {
        let u = (x - self.width as f32 * 0.5) / self.f_px;
        let v = (self.height as f32 * 0.5 - y) / self.f_px;
        let to = (self.ahead + self.right * u + self.up * v) * self.focus;
        let off = self.right * (lens.0 * self.aperture) + self.up * (lens.1 * self.aperture);
        (self.pos + off, (to - off).unit())
    }

    /// Place in the picture and distance along the view axis.
    pub fn project(&self, p: V3) -> Option<(f32, f32, f32)> {
        let d = p - self.pos;
        let z = d.dot(self.ahead);
        (z > 0.25).then(|| {
            let x = self.width as f32 * 0.5 + d.dot(self.right) / z * self.f_px;
            let y = self.height as f32 * 0.5 - d.dot(self.up) / z * self.f_px;
            (x, y, z)
        })
    }

    /// Radius in pixels of the blur of a point at depth `z`.
    pub fn blur(&self, z: f32) -> f32 {
        (self.aperture * self.f_px * (1.0 / z - 1.0 / self.focus)).abs()
    }

    /// Fall-off of the lens towards the corners for a place in the picture.
    pub fn vignette(&self, x: f32, y: f32) -> f32 {
        let u = (x - self.width as f32 * 0.5) / self.f_px;
        let v = (self.height as f32 * 0.5 - y) / self.f_px;
        let c2 = 1.0 / (1.0 + 0.75 * (u * u + v * v));
        c2 * c2
    }
}

/// The places the photographer stood at.
pub fn stand(lens: &Lens, upright: bool, scale: f32) -> Camera {
    match lens.focal_mm as i32 {
        85 => Camera::new(lens, v3(-0.75, 0.92, -7.7), v3(-0.06, 1.36, 0.0), 0.2, upright, scale),
        24 => Camera::new(lens, v3(-0.55, 0.62, -4.3), v3(-0.10, 1.50, 0.0), -0.3, upright, scale),
        _ => Camera::new(lens, v3(-0.85, 0.72, -5.1), v3(-0.36, 1.36, 0.0), 0.3, upright, scale),
    }
}
