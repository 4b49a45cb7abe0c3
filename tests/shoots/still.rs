//! What stays the same from shot to shot: the empty shed through one lens, seen and lit once.

use rayon::prelude::*;

use crate::camera::Camera;
use crate::light::LIGHTS;
use crate::math::V3;
use crate::render::{Moment, Pixel, SPOTS, Seen, spot_id};
use crate::room::Room;

/// By pixel, rows from the top.
pub struct Still {
    /// What the middle of the pixel sees.
    pub seen: Vec<Seen>,
    /// Whether something begins in it.
    pub edge: Vec<bool>,
    /// Light of its surfaces, without air and lens.
    pub lit: Vec<Pixel>,
}

impl Still {
    pub fn new(room: &Room, cam: &Camera) -> Still {
        let empty = Moment { room, dancer: None, dust: 0.0, seed: 0, wanted: [true; LIGHTS] };
        let ray = |i: usize, (sx, sy): (f32, f32)| cam.ray((i % cam.width) as f32 + sx, (i / cam.width) as f32 + sy);
        let pixels = 0..cam.width * cam.height;
        let seen: Vec<Seen> = pixels.clone().into_par_iter().map(|i| empty.meet(cam.pos, ray(i, (0.5, 0.5)))).collect();
        let edge: Vec<bool> = pixels
            .clone()
            .map(|i| around(i % cam.width, i / cam.width, cam).any(|n| seen[n].id != seen[i].id))
            .collect();
        let lit = pixels
            .into_par_iter()
            .map(|i| {
                if !edge[i] {
                    return empty.shade(&seen[i], ray(i, (0.5, 0.5)), spot_id(i, 0));
                }
                let mut sum = [V3::ZERO; LIGHTS];
                for (k, spot) in SPOTS.iter().enumerate() {
                    let d = ray(i, *spot);
                    let lit = empty.shade(&empty.meet(cam.pos, d), d, spot_id(i, k));
                    for (s, l) in sum.iter_mut().zip(lit) {
                        *s += l * 0.25;
                    }
                }
                sum
            })
            .collect();
        Still { seen, edge, lit }
    }
}

/// The pixels beside a pixel.
pub fn around(x: usize, y: usize, cam: &Camera) -> impl Iterator<Item = usize> {
    let (w, h) = (cam.width, cam.height);
    [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)]
        .into_iter()
        .filter(move |(x, y)| *x < w && *y < h)
        .map(move |(x, y)| y * w + x)
}
