//! A shoot with a known answer: lights with their strengths, shots with their settings, what was noted and what burned.

use std::fmt::Write;

use super::fields::{Falls, Field, HEIGHT, WIDTH, field};
use super::files;
use super::support::pictures::encoded;

/// Settings as marked and what they mean: whole stops of Exif 2.2, annex C, table 48.
#[derive(Clone, Copy, Debug)]
pub struct Settings {
    pub f_number: (u32, u32),
    pub av: f64,
    pub time: (u32, u32),
    pub tv: f64,
    pub iso: u16,
    pub sv: f64,
}

/// f/5.6, 1/125, ISO 100.
pub const USUAL: Settings = Settings { f_number: (56, 10), av: 5.0, time: (1, 125), tv: 7.0, iso: 100, sv: 0.0 };

impl Settings {
    pub fn time(self, per_second: u32) -> Self {
        let tv = [(8, 3.0), (15, 4.0), (30, 5.0), (60, 6.0), (125, 7.0), (250, 8.0), (500, 9.0)];
        let tv = tv.iter().find(|t| t.0 == per_second).expect("a whole stop").1;
        Self { time: (1, per_second), tv, ..self }
    }

    pub fn iso(self, iso: u16) -> Self {
        Self { iso, sv: (f64::from(iso) / 100.0).log2(), ..self }
    }

    pub fn f8(self) -> Self {
        Self { f_number: (8, 1), av: 6.0, ..self }
    }

    /// What the settings make of a flash and of light that lasts, against the usual ones, linear.
    pub fn factors(self) -> (f64, f64) {
        let flash = USUAL.av - self.av + self.sv;
        (flash.exp2(), (flash + USUAL.tv - self.tv).exp2())
    }
}

/// One light in one shot.
#[derive(Clone, Copy, Debug, Default)]
pub struct Burn {
    /// Noted power: stops below full; None for off.
    pub noted: Option<i32>,
    /// What burned really, stops against full; None for nothing.
    pub real: Option<f64>,
    /// Which gel: 0 none, 1 amber.
    pub gel: usize,
}

/// Amber: linear factors of R, G, B (made up, strong enough to be seen).
pub const AMBER: [f64; 3] = [1.0, 0.62, 0.22];

#[derive(Clone, Debug)]
pub struct Shot {
    pub settings: Settings,
    pub burns: Vec<Burn>,
    pub ambient: f64,
    /// Seconds since the first.
    pub second: f64,
    /// What befell the picture.
    pub befell: Befell,
    /// Whether the camera says that it chose the exposure.
    pub exposed_by_camera: bool,
}

/// What befalls a picture apart from its lights.
#[allow(dead_code, reason = "shared between test programs, each of which uses a part")]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Befell {
    /// Nothing.
    #[default]
    Nothing,
    /// So much linear light over all of it.
    Veil(f64),
    /// So much linear light over its right third.
    Cloud(f64),
    /// No flash in this part of its height, from below.
    Band(f64),
    /// Blurred over so many pixels either way.
    Soft(usize),
}

pub struct Shoot {
    pub names: Vec<&'static str>,
    /// Mean linear luminance each light adds at full power and the usual settings.
    pub full: Vec<f64>,
    fields: Vec<Field>,
    ambient_field: Field,
    /// Mean linear luminance of the ambient at the usual settings.
    pub ambient: f64,
    pub shots: Vec<Shot>,
    /// Whether the camera balances white by itself, and how it says so.
    pub automatic_white: bool,
    /// Whether powers are noted; else only that a light is on.
    pub powers_noted: bool,
    /// Whether gels are noted.
    pub gels_noted: bool,
    /// Whether the camera says that it was exposed by hand.
    pub by_hand: bool,
    /// Whether pictures may clip, so that parts of them cannot be known.
    pub may_clip: bool,
}

impl Shoot {
    pub fn new(ambient: f64, lights: &[(&'static str, Falls, f64)]) -> Self {
        Self {
            names: lights.iter().map(|l| l.0).collect(),
            full: lights.iter().map(|l| l.2).collect(),
            fields: lights.iter().map(|l| field(l.1)).collect(),
            ambient_field: field(Falls::Windows),
            ambient,
            shots: Vec::new(),
            automatic_white: false,
            powers_noted: true,
            gels_noted: true,
            by_hand: false,
            may_clip: false,
        }
    }

    /// One more shot, ten seconds after the last: the lights by name with their power in stops below full, as noted and
    /// as it was.
    pub fn shot(&mut self, settings: Settings, on: &[(&str, i32)]) -> &mut Shot {
        let mut burns = vec![Burn::default(); self.names.len()];
        for (name, power) in on {
            let l = self.light(name);
            burns[l] = Burn { noted: Some(*power), real: Some(f64::from(*power)), gel: 0 };
        }
        let second = self.shots.last().map_or(0.0, |last| last.second + 10.0);
        let (befell, exposed_by_camera) = (Befell::Nothing, false);
        self.shots.push(Shot { settings, burns, ambient: self.ambient, second, befell, exposed_by_camera });
        self.shots.last_mut().unwrap()
    }

    pub fn light(&self, name: &str) -> usize {
        self.names.iter().position(|n| *n == name).expect("a light of this shoot")
    }

    pub fn frame(i: usize) -> String {
        format!("TS_{:04}.JPG", i + 1)
    }

    /// Mean linear luminance of one light in one shot as it falls on the sensor; 0 where it did not burn.
    pub fn falls(&self, shot: usize, light: usize) -> f64 {
        let s = &self.shots[shot];
        let tint = [[1.0; 3], AMBER][s.burns[light].gel];
        let luminance = 0.2126 * tint[0] + 0.7152 * tint[1] + 0.0722 * tint[2];
        s.burns[light].real.map_or(0.0, |r| self.full[light] * r.exp2() * luminance * s.settings.factors().0)
    }

    /// The same for the ambient.
    pub fn ambient_falls(&self, shot: usize) -> f64 {
        self.shots[shot].ambient * self.shots[shot].settings.factors().1
    }

    /// A light's true part of a frame's luminance, percent.
    pub fn share(&self, shot: usize, light: usize) -> f64 {
        let all: f64 = (0..self.names.len()).map(|l| self.falls(shot, l)).sum::<f64>() + self.ambient_falls(shot);
        100.0 * self.falls(shot, light) / all
    }

    /// The picture's linear light, R G B.
    fn light_of(&self, shot: usize) -> Vec<[f64; 3]> {
        let s = &self.shots[shot];
        let (flash, lasting) = s.settings.factors();
        let gains: Vec<[f64; 3]> = s
            .burns
            .iter()
            .zip(&self.full)
            .map(|(b, full)| [[1.0; 3], AMBER][b.gel].map(|t| t * b.real.map_or(0.0, |r| full * r.exp2()) * flash))
            .collect();
        let mut light: Vec<[f64; 3]> = (0..WIDTH * HEIGHT)
            .map(|p| {
                let reached = match s.befell {
                    Befell::Band(part) => ((p / WIDTH) as f64) < (1.0 - part) * HEIGHT as f64,
                    _ => true,
                };
                let over = match s.befell {
                    Befell::Veil(more) => more,
                    Befell::Cloud(more) if p % WIDTH > 2 * WIDTH / 3 => more,
                    _ => 0.0,
                };
                std::array::from_fn(|c| {
                    let flashes: f64 = gains.iter().zip(&self.fields).map(|(g, f)| g[c] * f[p]).sum();
                    let lasting = s.ambient * lasting * self.ambient_field[p];
                    over + lasting + if reached { flashes } else { 0.0 }
                })
            })
            .collect();
        if let Befell::Soft(reach) = s.befell {
            light = blurred(&light, reach);
        }
        if self.automatic_white {
            let mean = |c: usize| light.iter().map(|p| p[c]).sum::<f64>() / light.len() as f64;
            let grey: [f64; 3] = std::array::from_fn(|c| mean(1) / mean(c));
            light.iter_mut().for_each(|p| *p = std::array::from_fn(|c| p[c] * grey[c]));
        }
        light
    }

    /// A shot's file.
    pub fn jpeg(&self, shot: usize) -> Vec<u8> {
        let light = self.light_of(shot);
        let brightest = light.iter().flatten().copied().fold(0.0, f64::max);
        assert!(self.may_clip || brightest < 0.95, "shot {shot} clips ({brightest}): its parts could not be known");
        let code = |l: f64| (encoded(l.min(1.0)) * 255.0 + 0.5) as u8;
        let pixels: Vec<u8> = light.iter().flatten().map(|l| code(*l)).collect();
        files::jpeg(&pixels, (WIDTH, HEIGHT), &self.shots[shot], self)
    }

    /// The notes: a row where something of a light changes.
    pub fn notes(&self) -> String {
        let mut text = String::from("from,light,power,gel\n");
        let mut last: Vec<Option<(Option<i32>, usize)>> = vec![None; self.names.len()];
        for (i, shot) in self.shots.iter().enumerate() {
            for (l, burn) in shot.burns.iter().enumerate() {
                let now = (burn.noted, if self.gels_noted { burn.gel } else { 0 });
                if last[l] == Some(now) {
                    continue;
                }
                let power = match burn.noted {
                    None => "off".to_owned(),
                    Some(_) if !self.powers_noted => "on".to_owned(),
                    Some(power) => format!("1/{}", 1 << -power),
                };
                let _ = writeln!(text, "{},{},{power},{}", Self::frame(i), self.names[l], ["", "amber"][now.1]);
                last[l] = Some(now);
            }
        }
        text
    }
}

/// Means over a square of pixels around each.
fn blurred(light: &[[f64; 3]], reach: usize) -> Vec<[f64; 3]> {
    let pass = |light: &[[f64; 3]], across: bool| -> Vec<[f64; 3]> {
        (0..light.len())
            .map(|p| {
                let (x, y) = (p % WIDTH, p / WIDTH);
                let (at, end) = if across { (x, WIDTH) } else { (y, HEIGHT) };
                let around = at.saturating_sub(reach)..(at + reach + 1).min(end);
                let place = |at: usize| if across { y * WIDTH + at } else { at * WIDTH + x };
                std::array::from_fn(|c| around.clone().map(|at| light[place(at)][c]).sum::<f64>() / around.len() as f64)
            })
            .collect()
    };
    pass(&pass(light, true), false)
}
