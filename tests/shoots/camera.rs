//! Where the camera stands, which lens is on it, and the rays it sends out.

use crate::math::{V3, cos, rad, sin};

/// Pixels rendered beyond each edge, so that handheld shake has something to move into.
pub const MARGIN: usize = 20;

#[derive(Clone, Copy)]
pub struct Lens {
    pub model: &'static str,
    pub focal_mm: f32,
    pub widest: f32,
}

pub const LENSES: [Lens; 4] = [
    Lens { model: "28mm F2.8", focal_mm: 28.0, widest: 2.8 },
    Lens { model: "35mm F2", focal_mm: 35.0, widest: 2.0 },
    Lens { model: "50mm F1.8", focal_mm: 50.0, widest: 1.8 },
    Lens { model: "85mm F1.8", focal_mm: 85.0, widest: 1.8 },
];

/// Size of the frame in pixels, long side first.
#[derive(Clone, Copy)]
pub struct Format {
    pub long: usize,
    pub short: usize,
}

pub struct Camera {
    pub pos: V3,
    right: V3,
    up: V3,
    ahead: V3,
    /// Focal length in pixels of the rendered picture.
    f_px: f32,
    /// Size with the margin.
    pub width: usize,
    pub height: usize,
}

impl Camera {
    /// The long side of the frame is 36 mm.
    pub fn new(lens: &Lens, pos: V3, look: V3, roll: f32, upright: bool, format: Format) -> Camera {
        let (long, short) = (format.long + 2 * MARGIN, format.short + 2 * MARGIN);
        let (width, height) = if upright { (short, long) } else { (long, short) };
        let ahead = (look - pos).unit();
        let right0 = V3::UP.cross(ahead).unit();
        let up0 = ahead.cross(right0);
        let (c, s) = (cos(rad(roll)), sin(rad(roll)));
        let f_px = lens.focal_mm / 36.0 * format.long as f32;
        Camera { pos, right: right0 * c + up0 * s, up: up0 * c - right0 * s, ahead, f_px, width, height }
    }

    /// Unit direction for a place in the picture.
    pub fn ray(&self, x: f32, y: f32) -> V3 {
        let u = (x - self.width as f32 * 0.5) / self.f_px;
        let v = (self.height as f32 * 0.5 - y) / self.f_px;
        (self.ahead + self.right * u + self.up * v).unit()
    }

    /// Place in the picture without its margin, in percent of it.
    pub fn percent(&self, p: V3) -> Option<(f32, f32)> {
        let d = p - self.pos;
        let z = d.dot(self.ahead);
        (z > 0.25).then(|| {
            let (w, h) = ((self.width - 2 * MARGIN) as f32, (self.height - 2 * MARGIN) as f32);
            let x = w * 0.5 + d.dot(self.right) / z * self.f_px;
            let y = h * 0.5 - d.dot(self.up) / z * self.f_px;
            (x / w * 100.0, y / h * 100.0)
        })
    }

    /// Fall-off of the lens towards the corners.
    pub fn vignette(&self, x: f32, y: f32) -> f32 {
        let u = (x - self.width as f32 * 0.5) / self.f_px;
        let v = (self.height as f32 * 0.5 - y) / self.f_px;
        let c2 = 1.0 / (1.0 + 0.75 * (u * u + v * v));
        c2 * c2
    }
}
