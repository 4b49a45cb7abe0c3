//! What an export does to light and colour: exposure, contrast, matte, colours, grey, tone, vignette, dodging, grain

use crate::raster::Raster;
use crate::rng::Rng;
use stoptally::measure::{linear_to_srgb, srgb_to_linear};

/// A grade, each part of it neutral where it was not asked for.
#[derive(Clone, Debug, Default)]
pub struct Grade {
    pub exposure_stops: f64,
    pub contrast: f64,
    pub lift: f64,
    pub balance: [f64; 3],
    pub saturation: f64,
    /// Shares of R, G and B in grey.
    pub grey: Option<[f64; 3]>,
    /// Added to grey in shadows and lights.
    pub toned: Option<[[f64; 3]; 2]>,
    /// Stops in the corners.
    pub vignette: f64,
    /// Middle and radius in shares of the long side, stops.
    pub dodge: Option<[f64; 4]>,
    /// Spread in codes of 255.
    pub grain: f64,
    pub sharpen: f64,
}

impl Grade {
    pub fn neutral() -> Self {
        Self { balance: [1.0; 3], saturation: 1.0, ..Self::default() }
    }

    pub fn by(rng: &mut Rng) -> Self {
        let mut grade = Self::neutral();
        if rng.chance(0.7) {
            grade.exposure_stops = rng.range(-0.7, 1.2);
        }
        if rng.chance(0.6) {
            grade.contrast = rng.range(-0.3, 0.5);
        }
        if rng.chance(0.25) {
            grade.lift = rng.range(0.01, 0.08);
        }
        if rng.chance(0.5) {
            grade.balance = [rng.range(0.88, 1.14), 1.0, rng.range(0.85, 1.18)];
        }
        if rng.chance(0.4) {
            grade.saturation = rng.range(0.4, 1.4);
        }
        if rng.chance(0.25) {
            let shares = [rng.range(0.1, 0.6), rng.range(0.3, 0.8), rng.range(0.0, 0.3)];
            let sum: f64 = shares.iter().sum();
            grade.grey = Some(shares.map(|s| s / sum));
        }
        if rng.chance(0.15) {
            grade.toned = Some([
                [rng.range(-0.02, 0.04), rng.range(-0.01, 0.02), rng.range(-0.02, 0.06)],
                [rng.range(0.0, 0.05), rng.range(0.0, 0.02), rng.range(-0.06, 0.0)],
            ]);
        }
        if rng.chance(0.25) {
            grade.vignette = rng.range(-1.2, -0.2);
        }
        if rng.chance(0.2) {
            let stops = if rng.chance(0.7) { rng.range(0.2, 0.6) } else { rng.range(-0.6, -0.2) };
            grade.dodge = Some([rng.range(0.2, 0.8), rng.range(0.2, 0.8), rng.range(0.1, 0.25), stops]);
        }
        if rng.chance(0.1) {
            grade.grain = rng.range(1.0, 4.0);
        }
        if rng.chance(0.4) {
            grade.sharpen = rng.range(0.2, 0.8);
        }
        grade
    }

    pub fn words(&self) -> Vec<String> {
        let mut words = Vec::new();
        let mut say = |said: bool, word: String| {
            if said {
                words.push(word);
            }
        };
        say(self.exposure_stops != 0.0, format!("exposure {:+.2}", self.exposure_stops));
        say(self.contrast != 0.0, format!("contrast {:+.2}", self.contrast));
        say(self.lift != 0.0, format!("lift {:.2}", self.lift));
        say(self.balance != [1.0; 3], format!("balance {:.2} {:.2}", self.balance[0], self.balance[2]));
        say(self.saturation != 1.0, format!("saturation {:.2}", self.saturation));
        say(self.grey.is_some(), "grey".into());
        say(self.toned.is_some(), "toned".into());
        say(self.vignette != 0.0, format!("vignette {:.2}", self.vignette));
        say(self.dodge.is_some(), "dodge".into());
        say(self.grain != 0.0, format!("grain {:.1}", self.grain));
        say(self.sharpen != 0.0, format!("sharpen {:.1}", self.sharpen));
        words
    }

    pub fn apply(&self, picture: &mut Raster, rng: &mut Rng) {
        let (w, h) = (picture.width as f64, picture.height as f64);
        let long = w.max(h);
        for (i, code) in picture.codes.iter_mut().enumerate() {
            let (x, y) = ((i % picture.width) as f64, (i / picture.width) as f64);
            let (dx, dy) = ((x - w / 2.0) / w, (y - h / 2.0) / h);
            let mut stops = self.exposure_stops + self.vignette * (2.0 * (dx * dx + dy * dy)).powf(1.3);
            if let Some([mx, my, radius, by]) = self.dodge {
                let (dx, dy) = ((x - mx * w) / (radius * long), (y - my * h) / (radius * long));
                stops += by * (-(dx * dx + dy * dy)).exp();
            }
            let light = stops.exp2();
            let mut out: [f64; 3] = std::array::from_fn(|c| {
                let linear = srgb_to_linear(code[c]) * light * self.balance[c];
                // Lights roll off instead of clipping hard.
                let rolled = if linear > 0.8 { 0.8 + 0.2 * (1.0 - (-(linear - 0.8) / 0.2).exp()) } else { linear };
                self.curve(linear_to_srgb(rolled))
            });
            let [r, g, b] = out;
            let luma = 0.2126 * r + 0.7152 * g + 0.0722 * b;
            out = out.map(|c| luma + (c - luma) * self.saturation);
            if let Some([sr, sg, sb]) = self.grey {
                out = [sr * r + sg * g + sb * b; 3];
            }
            if let Some([dark, bright]) = self.toned {
                out = std::array::from_fn(|c| out[c] + dark[c] * (1.0 - luma) + bright[c] * luma);
            }
            *code = out.map(|c| c.clamp(0.0, 1.0));
        }
        if self.sharpen > 0.0 {
            self.sharpened(picture);
        }
        if self.grain > 0.0 {
            for code in &mut picture.codes {
                let grain = rng.bell() * self.grain / 255.0;
                *code = code.map(|c| (c + grain).clamp(0.0, 1.0));
            }
        }
    }

    fn curve(&self, code: f64) -> f64 {
        // A bend about the middle that keeps black and white: smoothstep, or less of it.
        let bend = code * code * (3.0 - 2.0 * code) - code;
        self.lift + (1.0 - self.lift) * (code + self.contrast * bend)
    }

    /// Unsharp mask over the eight neighbours.
    fn sharpened(&self, picture: &mut Raster) {
        let (w, h) = (picture.width, picture.height);
        let old = picture.codes.clone();
        for y in 1..h - 1 {
            for x in 1..w - 1 {
                let mut mean = [0.0; 3];
                for (dx, dy) in (0..9).map(|i| (i % 3, i / 3)) {
                    let near = old[(y + dy - 1) * w + x + dx - 1];
                    mean = std::array::from_fn(|c| mean[c] + near[c] / 9.0);
                }
                let code = old[y * w + x];
                picture.codes[y * w + x] =
                    std::array::from_fn(|c| (code[c] + self.sharpen * (code[c] - mean[c])).clamp(0.0, 1.0));
            }
        }
    }
}
