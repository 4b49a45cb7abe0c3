//! The camera's tone curve as two tables: light of a code value, and the code value that shows a light.

use crate::light::ToneCurve;
use crate::measure::srgb_to_linear;

/// Steps of the way back, over the square root of light: finer than code values from the deepest shadow on.
const STEPS: usize = 4096;

/// Light of code values and back.
#[derive(Clone, Debug)]
pub struct Tone {
    /// Linear light of each code value, 0..=255, rising; the scale of the lights' pictures.
    pub light: Vec<f32>,
    /// Code value at the square root of each light from 0 to that of code 255, in even steps.
    codes: Vec<u8>,
}

impl Tone {
    /// The tables of a curve; the file's own (sRGB) where none was found.
    ///
    /// Between the curve's points its factor on the file's own curve is what is smooth, so that is what is interpolated.
    #[must_use]
    pub fn of(curve: Option<&ToneCurve>) -> Self {
        let bends: Vec<(f64, f64)> = curve.map_or_else(Vec::new, bends);
        let light = |code: u8| srgb_to_linear(f64::from(code) / 255.0) * libm::exp2(between(&bends, f64::from(code)));
        Self::of_table((0..=255).map(|code| light(code) as f32).collect())
    }

    /// The way back of a table of light for code values 0..=255, rising.
    #[must_use]
    pub fn of_table(light: Vec<f32>) -> Self {
        let top = light.last().copied().unwrap_or(1.0);
        let codes = (0..=STEPS).map(|step| nearest(&light, top * (step as f32 / STEPS as f32).powi(2))).collect();
        Self { light, codes }
    }

    /// Linear light of a code value.
    #[must_use]
    pub fn light_of(&self, code: u8) -> f32 {
        self.light.get(usize::from(code)).copied().unwrap_or(0.0)
    }

    /// The same between code values.
    #[must_use]
    pub fn light_at(&self, code: f32) -> f32 {
        let below = code.clamp(0.0, 254.0) as u8;
        let (low, high) = (self.light_of(below), self.light_of(below + 1));
        low + (high - low) * (code.clamp(0.0, 255.0) - f32::from(below))
    }

    /// The code value whose light is nearest; 255 for all that is brighter.
    #[must_use]
    pub fn code_of(&self, light: f32) -> u8 {
        let step = ((light.max(0.0) / self.light_of(255)).sqrt() * STEPS as f32 + 0.5) as usize;
        self.codes.get(step.min(STEPS)).copied().unwrap_or(255)
    }
}

/// log2 of the curve over the file's own, at its points. Code 0 has no light under any curve, and no factor.
fn bends(curve: &ToneCurve) -> Vec<(f64, f64)> {
    let factor = |&(code, light): &(f64, f64)| {
        let own = srgb_to_linear(code / 255.0);
        (own > 0.0 && light > 0.0).then(|| (code, libm::log2(light / own)))
    };
    curve.points.iter().filter_map(factor).collect()
}

/// A broken line through points whose first parts rise; its ends go on as they are.
fn between(points: &[(f64, f64)], at: f64) -> f64 {
    let last = points.len().saturating_sub(2);
    let low = points.partition_point(|(code, _)| *code < at).saturating_sub(1).min(last);
    match (points.get(low), points.get(low + 1)) {
        (Some(a), Some(b)) => a.1 + (b.1 - a.1) * (at - a.0) / (b.0 - a.0),
        (Some(only), None) => only.1,
        (None, _) => 0.0,
    }
}

/// The code value whose light is nearest.
fn nearest(light: &[f32], wanted: f32) -> u8 {
    let above = light.partition_point(|l| *l < wanted).min(255);
    let below = above.saturating_sub(1);
    let off = |i: usize| light.get(i).map_or(f32::INFINITY, |l| (l - wanted).abs());
    (if off(below) < off(above) { below } else { above }) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::solve::curve::{BENDS, Curve};

    fn found(curve: &Curve) -> ToneCurve {
        ToneCurve { points: curve.points(), source: String::new() }
    }

    /// The tables against the curve that the points were taken from.
    #[test]
    fn the_table_is_the_curve_its_points_came_from() {
        for bends in [[0.0; BENDS], [-0.6, -0.5, -0.2, 0.0, 0.1, 0.3, 0.5, 0.4]] {
            let curve = Curve::bent(bends);
            let tone = Tone::of(Some(&found(&curve)));
            for code in 4..=255_u8 {
                let want = curve.light(f32::from(code) / 255.0);
                let off = libm::log2f(tone.light_of(code) / want).abs();
                assert!(off < 0.01, "code {code}: {off} stops from the curve");
            }
        }
    }

    #[test]
    fn every_code_comes_back_as_itself_and_what_is_brighter_is_white() {
        let bent = found(&Curve::bent([-0.6, -0.5, -0.2, 0.0, 0.1, 0.3, 0.5, 0.4]));
        for tone in [Tone::of(None), Tone::of(Some(&bent))] {
            for code in 0..=255_u8 {
                assert_eq!(tone.code_of(tone.light_of(code)), code);
            }
            assert_eq!(tone.code_of(40.0), 255);
            assert_eq!(tone.code_of(-1.0), 0);
        }
    }
}
