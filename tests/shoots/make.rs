//! A whole shoot by class and seed, as named bytes: pictures, notes and tables of the truth.

use std::collections::BTreeMap;
use std::error::Error;

use crate::camera::{Camera, Format, LENSES, Lens};
use crate::class::Knobs;
use crate::curve::Curve;
use crate::dancer::Dancer;
use crate::develop::{self, ELECTRONS, Picture, READ_NOISE, Shake};
use crate::light::{AMBIENT, LIGHTS};
use crate::math::{Rng, V3, cos, hash2, lerp, sin, v3};
use crate::notes;
use crate::poses;
use crate::render::{Moment, Pixel};
use crate::room::Room;
use crate::shot::Frame;
use crate::still::Still;
use crate::story::{self, Story, Take};
use crate::{exif, tables};

/// Paths below the shoot's folder with their bytes.
pub type Files = Vec<(String, Vec<u8>)>;

/// A take as rendered.
pub struct Rendered {
    pub pixels: Vec<Pixel>,
    /// Box around the dancer, percent of the picture: left, top, width, height.
    pub subject: Option<[f32; 4]>,
}

/// A shoot before it is rendered.
pub struct Shoot {
    pub knobs: Knobs,
    pub story: Story,
    pub planted: Vec<notes::Planted>,
    pub curve: Curve,
    pub room: Room,
    /// Strength of every light's unit picture, scaled so that the shoot is exposed as a photographer would.
    pub strengths: [f32; LIGHTS],
    seed: u32,
}

impl Shoot {
    pub fn plan(class: &str, seed: u32) -> Option<Shoot> {
        let knobs = Knobs::draw(class, seed)?;
        let seed = hash2(seed, class.bytes().fold(7, |h, b| hash2(h, u32::from(b))));
        let mut story = story::tell(&knobs, seed);
        let planted = notes::write_down(&mut story.frames, knobs.note_errors, seed);
        story::number_stages(&mut story.frames);
        let curve = Curve::draw(seed, knobs.strange);
        let room = Room::new(&story.names, seed);
        let mut shoot = Shoot { knobs, story, planted, curve, room, strengths: [0.0; LIGHTS], seed };
        shoot.strengths = shoot.scaled();
        Some(shoot)
    }

    pub fn camera(&self, lens: &Lens, format: Format) -> Camera {
        let mut rng = Rng::new(self.seed ^ 0xca3e);
        let pos = v3(rng.range(-1.0, 1.0), rng.range(0.7, 1.5), -rng.range(4.4, 5.8));
        let look = v3(rng.range(-0.4, 0.4), rng.range(1.05, 1.3), 0.0);
        Camera::new(lens, pos, look, rng.range(-0.4, 0.4), self.knobs.upright, format)
    }

    /// The lights are scaled on a small picture of the standing dancer at the working settings and powers.
    fn scaled(&self) -> [f32; LIGHTS] {
        let mut rng = Rng::new(self.seed ^ 0x5ca1);
        let small = Format { long: 96, short: 96 * self.knobs.format.short / self.knobs.format.long };
        let cam = self.camera(self.story.frames.first().map_or(&LENSES[1], |f| f.lens), small);
        let dust = (self.knobs.dust.0 + self.knobs.dust.1) * 0.5;
        let dancer = Some(Dancer::new(&poses::arms_down().skeleton(0.0)));
        let m = Moment { room: &self.room, dancer, dust, seed: self.seed, wanted: [true; LIGHTS] };
        let means = means(&m.render(&cam, &Still::new(&self.room, &cam)));
        let exposure = self.story.working.flash_stops();
        let key = rng.range(0.07, 0.13);
        let mut out = [0.0; LIGHTS];
        for (h, name) in self.story.names.iter().enumerate() {
            let weak = rng.next() < if *name == "rim" { 0.7 } else { 0.4 };
            let part = match (*name, weak) {
                ("key", _) => 1.0,
                ("fill", _) => rng.range(0.10, 0.35),
                ("rim", true) => rng.range(0.025, 0.075),
                ("rim", false) => rng.range(0.06, 0.18),
                (_, true) => rng.range(0.03, 0.09),
                _ => rng.range(0.10, 0.45),
            };
            out[h] = key * part / means[h].max(1e-9) * libm::exp2f(self.story.base[h] as f32 / 3.0 - exposure);
        }
        let ambient = if self.knobs.lights == 0 { 0.08 } else { key * libm::exp2f(-self.knobs.ambient_below) };
        out[AMBIENT] = ambient / means[AMBIENT].max(1e-9) * libm::exp2f(-exposure - self.story.working.time_stops());
        out
    }

    /// Pictures of a take's lights, unit strength each, and the box around the dancer in percent.
    pub fn render(&self, take: &Take, wanted: [bool; LIGHTS], cam: &Camera, still: &Still) -> Rendered {
        let dancer = take.action.as_ref().map(|a| Dancer::new(&a.skeleton(take.t)));
        let subject = dancer.as_ref().map(|d| around(d, cam));
        let m = Moment { room: &self.room, dancer, dust: take.dust, seed: take.seed, wanted };
        Rendered { pixels: m.render(cam, still), subject }
    }

    /// Every file of the shoot. `watch` hears of every frame done.
    pub fn files(&self, watch: &dyn Fn(usize, usize)) -> Result<Files, Box<dyn Error>> {
        let Story { frames, names, takes, .. } = &self.story;
        let (mut out, mut boxes, mut shares) = (Vec::new(), Vec::new(), Vec::new());
        let mut stills = BTreeMap::new();
        for (i, f) in frames.iter().enumerate() {
            let mut wanted = [false; LIGHTS];
            wanted[AMBIENT] = true;
            for (h, head) in f.heads.iter().enumerate() {
                wanted[h] = head.power.is_some();
            }
            let (cam, still) = stills.entry(f.lens.model).or_insert_with(|| {
                let cam = self.camera(f.lens, self.knobs.format);
                let still = Still::new(&self.room, &cam);
                (cam, still)
            });
            let Rendered { pixels, subject } = self.render(&takes[f.take], wanted, cam, still);
            let gains = f.gains(&self.strengths);
            boxes.push(subject);
            shares.push(shares_of(&pixels, &gains));
            out.push((format!("frames/{}", f.name), self.develop(f, &pixels, &gains, cam)?));
            watch(i + 1, frames.len());
        }
        out.push(("frames/light-notes.csv".into(), notes::file(frames, names, self.seed).into()));
        out.push(("truth/lights.csv".into(), tables::lights(frames, names, &shares).into()));
        out.push(("truth/frames.csv".into(), tables::frames(frames, &boxes).into()));
        out.push(("truth/note-errors.csv".into(), tables::note_errors(frames, names, &self.planted).into()));
        out.push(("truth/tone-curve.csv".into(), tables::curve(&self.curve).into()));
        Ok(out)
    }

    fn develop(
        &self,
        f: &Frame,
        pixels: &[Pixel],
        gains: &[V3; LIGHTS],
        cam: &Camera,
    ) -> Result<Vec<u8>, Box<dyn Error>> {
        let light = compose(pixels, gains, cam);
        let (light, w, h) = develop::frame(&light, cam.width, cam.height, self.shake(f));
        let upright = expose(&light, w, h, f.iso as f32, &self.curve, f.seed);
        let stored = if f.upright { upright.turned() } else { upright };
        let thumbnail = stored.small((stored.width / 160).max(1)).jpeg(75)?;
        let jpeg = stored.jpeg(self.knobs.quality)?;
        Ok(exif::wrap(f, &jpeg, (stored.width, stored.height), &thumbnail))
    }

    fn shake(&self, f: &Frame) -> Shake {
        let mut rng = Rng::new(f.seed ^ 0x5a4e);
        let a = rng.range(0.0, std::f32::consts::TAU);
        let r = rng.range(self.knobs.shake.0, self.knobs.shake.1) * self.knobs.format.long as f32;
        let turn = self.knobs.shake.1 * 18.0;
        Shake { x: r * cos(a), y: r * sin(a), turn: rng.range(-turn, turn) }
    }
}

/// Sum of the lights in linear light, with the lens's glare.
pub fn compose(pixels: &[Pixel], gains: &[V3; LIGHTS], cam: &Camera) -> Vec<V3> {
    let mut light = develop::add_up(pixels, gains);
    develop::glare(&mut light, cam.width, cam.height);
    light
}

fn luminance(p: V3) -> f32 {
    0.2126 * p.x + 0.7152 * p.y + 0.0722 * p.z
}

fn means(pixels: &[Pixel]) -> [f32; LIGHTS] {
    let mut sums = [0.0f64; LIGHTS];
    for p in pixels {
        for (s, l) in sums.iter_mut().zip(p) {
            *s += f64::from(luminance(*l));
        }
    }
    sums.map(|s| (s / pixels.len() as f64) as f32)
}

fn shares_of(pixels: &[Pixel], gains: &[V3; LIGHTS]) -> [f32; LIGHTS] {
    let mut sums = [0.0f64; LIGHTS];
    for p in pixels {
        for (s, (l, g)) in sums.iter_mut().zip(p.iter().zip(gains)) {
            *s += f64::from(luminance(l.mul(*g)));
        }
    }
    let total: f64 = sums.iter().sum::<f64>().max(1e-12);
    sums.map(|s| (s / total) as f32)
}

fn around(d: &Dancer, cam: &Camera) -> [f32; 4] {
    let mut b = [100.0f32, 100.0, 0.0, 0.0];
    for (x, y) in d.corners().into_iter().filter_map(|p| cam.percent(p)) {
        let (x, y) = (x.clamp(0.0, 100.0), y.clamp(0.0, 100.0));
        b = [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)];
    }
    [b[0], b[1], (b[2] - b[0]).max(0.0), (b[3] - b[1]).max(0.0)]
}

/// Sensor and camera: noise that grows with ISO, tone curve, 8 bits. `light` holds exposed linear light.
pub fn expose(light: &[V3], width: usize, height: usize, iso: f32, curve: &Curve, seed: u32) -> Picture {
    const N: usize = 8192;
    let electrons = ELECTRONS * 100.0 / iso;
    let table: Vec<f32> = (0..=N + 1)
        .map(|i| {
            let r = i as f32 / N as f32;
            curve.at(r * r * curve.white) * 255.0
        })
        .collect();
    let mut rgb = Vec::with_capacity(light.len() * 3);
    for (i, p) in light.iter().enumerate() {
        let mut rng = Rng::new(hash2(seed, i as u32));
        let shared = rng.gauss();
        for x in [p.x, p.y, p.z] {
            let sigma = ((x * electrons).max(0.0) + READ_NOISE * READ_NOISE).sqrt() / electrons;
            let x = x + sigma * (0.75 * shared + 0.66 * rng.gauss());
            let r = (x.clamp(0.0, curve.white) / curve.white).sqrt() * N as f32;
            let code = lerp(table[r as usize], table[r as usize + 1], r.fract());
            rgb.push((code + 0.5) as u8);
        }
    }
    Picture { width, height, rgb }
}
