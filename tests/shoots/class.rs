//! The classes of shoots: what is drawn by seed, and what each class makes difficult.

use crate::camera::Format;
use crate::math::{Rng, hash2};

pub const CLASSES: [&str; 19] = [
    "usual-solos",
    "usual-no-rim-solo",
    "two-lights",
    "five-lights",
    "one-light",
    "no-flash",
    "gels",
    "misfires",
    "drift",
    "dusk",
    "dust",
    "sitter-enters",
    "sitter-moves",
    "handheld",
    "lens-change",
    "portrait",
    "four-thirds",
    "note-errors",
    "strange-curve",
];

/// What a shoot is made of.
pub struct Knobs {
    pub lights: usize,
    /// Frames aimed at.
    pub frames: usize,
    /// Whether the rim is shown alone.
    pub rim_solo: bool,
    pub gels: bool,
    /// Chance of an accident for a shot that follows another closely, and for any shot.
    pub accidents: (f32, f32),
    /// Stops one light loses over the shoot.
    pub drift: f32,
    /// Stops the ambient loses over the shoot.
    pub dusk: f32,
    /// Dust at the first and the last frame.
    pub dust: (f32, f32),
    /// Whether the dancer comes after the solos.
    pub enters: bool,
    /// How far from the middle the dancer goes, metres.
    pub roams: f32,
    /// Shake, share of the long side.
    pub shake: (f32, f32),
    /// Whether other lenses are put on.
    pub lenses: bool,
    pub upright: bool,
    pub format: Format,
    pub note_errors: bool,
    pub strange: bool,
    /// Ambient below key at the working settings, stops.
    pub ambient_below: f32,
    pub quality: u8,
}

impl Knobs {
    /// Nothing for a class that does not exist.
    pub fn draw(class: &str, seed: u32) -> Option<Knobs> {
        let which = CLASSES.iter().position(|c| *c == class)? as u32;
        let mut rng = Rng::new(hash2(seed, which ^ 0x0c1a));
        let start = rng.range(0.2, 0.7);
        let black = rng.next() < 0.2;
        let mut k = Knobs {
            lights: if rng.next() < 0.5 { 3 } else { 4 },
            frames: 26 + (rng.next() * 12.0) as usize,
            rim_solo: true,
            gels: rng.next() < 0.15,
            accidents: (0.10, 0.01),
            drift: 0.0,
            dusk: 0.0,
            dust: (start, start + rng.range(0.0, 0.3)),
            enters: false,
            roams: 0.12,
            shake: (0.003, 0.008),
            lenses: false,
            upright: false,
            format: Format { long: 720, short: 480 },
            note_errors: false,
            strange: false,
            ambient_below: if black { 9.0 } else { rng.range(1.0, 5.0) },
            quality: 85 + (rng.next() * 11.0) as u8,
        };
        match class {
            "usual-no-rim-solo" => k.rim_solo = false,
            "two-lights" => k.lights = 2,
            "five-lights" => k.lights = 5,
            "one-light" => k.lights = 1,
            "no-flash" => k.lights = 0,
            "gels" => k.gels = true,
            "misfires" => {
                k.accidents = (0.5, 0.02);
                k.frames = k.frames.max(34);
            }
            "drift" => k.drift = rng.range(0.6, 1.2),
            "dusk" => {
                k.dusk = 1.5;
                k.ambient_below = rng.range(0.8, 3.0);
            }
            "dust" => k.dust = (rng.range(0.1, 0.3), rng.range(1.5, 2.5)),
            "sitter-enters" => k.enters = true,
            "sitter-moves" => k.roams = 1.1,
            "handheld" => k.shake = (0.012, 0.024),
            "lens-change" => k.lenses = true,
            "portrait" => k.upright = true,
            "four-thirds" => k.format = Format { long: 720, short: 540 },
            "note-errors" => k.note_errors = true,
            "strange-curve" => k.strange = true,
            _ => {}
        }
        Some(k)
    }
}
