//! One press of the shutter: settings, lights as set, as noted and as burned, and the gain each light gets from them.

use crate::camera::Lens;
use crate::light::{AMBIENT, LIGHTS};
use crate::math::{V3, v3};

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
#[derive(Clone, Copy, PartialEq)]
pub struct Aperture {
    pub marked: (u32, u32),
    pub stops: i32,
}

/// Marked 1/x, and exact: t = 2^(-thirds / 3) seconds.
#[derive(Clone, Copy, PartialEq)]
pub struct Shutter {
    pub marked: u32,
    pub thirds: i32,
}

/// Marked, and exact: 100 x 2^(thirds / 3).
#[derive(Clone, Copy, PartialEq)]
pub struct Iso {
    pub marked: u32,
    pub thirds: i32,
}

const fn f(n: u32, d: u32, stops: i32) -> Aperture {
    Aperture { marked: (n, d), stops }
}
pub const APERTURES: [Aperture; 6] =
    [f(20, 10, 2), f(28, 10, 3), f(40, 10, 4), f(56, 10, 5), f(80, 10, 6), f(11, 1, 7)];

const fn t(marked: u32, thirds: i32) -> Shutter {
    Shutter { marked, thirds }
}
pub const SHUTTERS: [Shutter; 8] =
    [t(30, 15), t(40, 16), t(50, 17), t(60, 18), t(80, 19), t(100, 20), t(125, 21), t(200, 23)];

const fn iso(marked: u32, thirds: i32) -> Iso {
    Iso { marked, thirds }
}
pub const ISOS: [Iso; 13] = [
    iso(100, 0),
    iso(125, 1),
    iso(160, 2),
    iso(200, 3),
    iso(250, 4),
    iso(320, 5),
    iso(400, 6),
    iso(500, 7),
    iso(640, 8),
    iso(800, 9),
    iso(1000, 10),
    iso(1250, 11),
    iso(1600, 12),
];

/// As indices into the three dials above.
#[derive(Clone, Copy, PartialEq)]
pub struct Dials {
    pub aperture: usize,
    pub shutter: usize,
    pub iso: usize,
}

#[derive(Clone, Copy)]
pub struct Settings {
    pub aperture: Aperture,
    pub shutter: Shutter,
}

impl Dials {
    /// Stops of exposure that flash gets from aperture and ISO; ambient gets `time` besides.
    pub fn flash_stops(&self) -> f32 {
        ISOS[self.iso].thirds as f32 / 3.0 - APERTURES[self.aperture].stops as f32
    }
    pub fn time_stops(&self) -> f32 {
        -(SHUTTERS[self.shutter].thirds as f32) / 3.0
    }
}

#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Gel {
    pub name: &'static str,
    /// Share of light let through, per channel.
    pub rgb: V3,
}

pub const NO_GEL: Gel = Gel { name: "", rgb: v3(1.0, 1.0, 1.0) };

#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Head {
    /// Third stops below full power (9 is 1/8), or off.
    pub power: Option<i32>,
    pub gel: Gel,
}

impl Head {
    pub const OFF: Head = Head { power: None, gel: NO_GEL };
    /// As typed: `1/8`, `1/8+1/3`, `1/8 -0.3`. `hand` picks the spelling.
    pub fn power_text(&self, hand: u32) -> String {
        let Some(p) = self.power else { return "off".to_string() };
        let (whole, rest) = (p.div_euclid(3), p.rem_euclid(3));
        match (rest, hand % 2) {
            (0, _) => format!("1/{}", 1u32 << whole),
            (1, 0) => format!("1/{}-1/3", 1u32 << whole),
            (1, _) => format!("1/{} -0.3", 1u32 << whole),
            (_, 0) => format!("1/{}+1/3", 1u32 << (whole + 1)),
            _ => format!("1/{} +0.3", 1u32 << (whole + 1)),
        }
    }
}

/// What went wrong with a head in one shot.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Accident {
    Misfire,
    /// Not recycled: so many stops short.
    Short(f32),
}

#[derive(Clone)]
pub struct Frame {
    pub name: String,
    pub taken: Time,
    pub lens: &'static Lens,
    pub dials: Dials,
    pub settings: Settings,
    /// As marked.
    pub iso: u32,
    /// As really set.
    pub heads: Vec<Head>,
    /// As the photographer typed it.
    pub noted: Vec<Head>,
    pub accidents: Vec<(usize, Accident)>,
    /// Stops each head has lost by drift.
    pub sag: Vec<f32>,
    /// Ambient against the start of the shoot, stops.
    pub ambient_stops: f32,
    pub upright: bool,
    pub take: usize,
    pub series: u32,
    pub stage: u32,
    pub pose: &'static str,
    pub note: &'static str,
    pub seed: u32,
}

impl Frame {
    pub fn orientation(&self) -> u16 {
        if self.upright { 8 } else { 1 }
    }
    pub fn accident(&self, head: usize) -> Option<Accident> {
        self.accidents.iter().find(|a| a.0 == head).map(|a| a.1)
    }
    pub fn shortfall(&self, head: usize) -> f32 {
        if let Some(Accident::Short(s)) = self.accident(head) { s } else { 0.0 }
    }
    /// Stops of a head against full power without gel; nothing if it did not burn.
    pub fn burned(&self, head: usize) -> Option<f32> {
        if self.accident(head) == Some(Accident::Misfire) {
            return None;
        }
        self.heads[head].power.map(|p| -(p as f32) / 3.0 - self.shortfall(head) - self.sag[head])
    }
    /// Gain of every light's unit picture in this frame, exposure included. `strengths` as scaled for the shoot.
    pub fn gains(&self, strengths: &[f32; LIGHTS]) -> [V3; LIGHTS] {
        let lens = self.dials.flash_stops();
        let mut g = [V3::ZERO; LIGHTS];
        for (h, head) in self.heads.iter().enumerate() {
            if let Some(s) = self.burned(h) {
                g[h] = head.gel.rgb * (strengths[h] * libm::exp2f(s + lens));
            }
        }
        let level = strengths[AMBIENT] * libm::exp2f(self.ambient_stops + self.dials.time_stops() + lens);
        g[AMBIENT] = v3(level, level, level);
        g
    }
}
