//! One press of the shutter: settings, lights as set and as burned, and the gain that each light gets from them.

use crate::camera::Lens;
use crate::light::{AMBIENT, DUST_LEFT, DUST_RIGHT, KEY, LIGHTS, RIM, RIM_OPEN};
use crate::math::{V3, v3};
use crate::poses::Move;

/// Hundredths of a second since midnight.
#[derive(Clone, Copy)]
pub struct Time(pub u32);

impl Time {
    fn hms(self) -> (u32, u32, u32) {
        let s = self.0 / 100;
        (s / 3600, s / 60 % 60, s % 60)
    }
    pub fn exif_date(self) -> String {
        let (h, m, s) = self.hms();
        format!("2026:11:07 {h:02}:{m:02}:{s:02}")
    }
    pub fn subsec(self) -> String {
        format!("{:02}", self.0 % 100)
    }
    pub fn iso8601(self) -> String {
        let (h, m, s) = self.hms();
        format!("2026-11-07T{h:02}:{m:02}:{s:02}.{:02}{}", self.0 % 100, crate::exif::OFFSET)
    }
}

/// Marked on the dial, and exact: N = 2^(stops / 2).
#[derive(Clone, Copy)]
pub struct Aperture {
    pub marked: (u32, u32),
    pub stops: i32,
}

/// Marked 1/x, and exact: t = 2^(-thirds / 3) seconds.
#[derive(Clone, Copy)]
pub struct Shutter {
    pub marked: u32,
    pub thirds: i32,
}

#[derive(Clone, Copy)]
pub struct Settings {
    pub aperture: Aperture,
    pub shutter: Shutter,
    /// As set; ISO 100 x 2^k only.
    pub iso: u32,
}

#[derive(Clone, Copy, PartialEq)]
pub struct Gel {
    pub name: &'static str,
    /// Share of light let through, per channel.
    pub rgb: V3,
}

pub const NO_GEL: Gel = Gel { name: "", rgb: v3(1.0, 1.0, 1.0) };
/// The four heads as the notes name them.
pub const HEADS: [&str; 4] = ["key", "rim", "dust-left", "dust-right"];

#[derive(Clone, Copy, PartialEq)]
pub struct Head {
    /// Stops below full power (3 is 1/8), or off.
    pub power: Option<i32>,
    pub gel: Gel,
    pub grid: bool,
}

impl Head {
    pub fn power_text(&self) -> String {
        self.power.map_or("off".to_string(), |p| format!("1/{}", 1u32 << p))
    }
}

/// What the picture is of; several shots may share one take.
pub struct Take {
    pub action: Move,
    pub t: f32,
    pub haze: f32,
    pub lens: &'static Lens,
    pub upright: bool,
    pub open_rim: bool,
    pub seed: u32,
}

pub struct Frame {
    pub name: String,
    pub taken: Time,
    pub lens: &'static Lens,
    pub settings: Settings,
    /// ISO that was really used (the slip differs from the dial).
    pub iso: u32,
    pub heads: [Head; 4],
    /// A head that was set and did not burn.
    pub misfire: Option<usize>,
    /// A head that came out weak, and by how many stops.
    pub short: Option<(usize, f32)>,
    pub series: u32,
    pub stage: u32,
    pub take: usize,
    pub note: &'static str,
    pub seed: u32,
}

impl Frame {
    pub fn upright(&self) -> bool {
        self.lens.focal_mm > 80.0
    }
    pub fn orientation(&self) -> u16 {
        if self.upright() { 8 } else { 1 }
    }
    /// Stops of a head against full power without gel; nothing if it did not burn.
    pub fn burned(&self, head: usize) -> Option<f32> {
        if self.misfire == Some(head) {
            return None;
        }
        let weak = self.short.filter(|s| s.0 == head).map_or(0.0, |s| s.1);
        self.heads[head].power.map(|p| -(p as f32) - weak)
    }
    /// Window light against the first frame, stops: two stops go over the evening.
    pub fn dusk_stops(&self) -> f32 {
        let minutes = (self.taken.0 as f32 - 16.0 * 360_000.0 - 20.0 * 6000.0) / 6000.0;
        -2.0 * minutes / 65.0
    }
    /// Gain of every light's unit picture in this frame, exposure included.
    pub fn gains(&self) -> [V3; LIGHTS] {
        let stops = |s: f32| libm::exp2f(s);
        let iso = (self.iso / 100).ilog2() as f32;
        let lens = iso - self.settings.aperture.stops as f32;
        let mut g = [V3::ZERO; LIGHTS];
        for (h, head) in self.heads.iter().enumerate() {
            let slot = match h {
                0 => KEY,
                1 if head.grid => RIM,
                1 => RIM_OPEN,
                2 => DUST_LEFT,
                _ => DUST_RIGHT,
            };
            if let Some(s) = self.burned(h) {
                g[slot] = head.gel.rgb * stops(s + lens);
            }
        }
        let time = -(self.settings.shutter.thirds as f32) / 3.0;
        let level = AMBIENT_LEVEL * stops(self.dusk_stops() + time + lens);
        g[AMBIENT] = v3(level, level, level);
        g
    }
}

/// Brightness of the sky in the windows at the start, in units in which flash strengths are given.
const AMBIENT_LEVEL: f32 = 640.0;
