//! The camera's tone curve, backwards: from code value to light, as the file's own curve times a smooth factor.

use crate::measure::srgb_to_linear;

/// How many bends the factor may have: enough for toe, mid-tones and shoulder, too few to follow noise.
pub const BENDS: usize = 8;
/// Entries of the table: finer than an 8-bit code by far, so that straight lines between them do not show.
const STEPS: usize = 1024;

/// A rising curve from code value (0..1) to linear light (0..1, relative).
#[derive(Clone, Debug)]
pub struct Curve {
    /// log2 of the factor on the file's own curve, at evenly spaced code values.
    pub bends: [f64; BENDS],
    light: Vec<f32>,
    slope: Vec<f32>,
}

impl Curve {
    /// The file's own transfer curve.
    pub fn own() -> Self {
        Self::bent([0.0; BENDS])
    }

    /// The file's own curve (sRGB) times 2^(quadratic B-spline of the code value with these coefficients).
    pub fn bent(bends: [f64; BENDS]) -> Self {
        let mut light: Vec<f32> = (0..=STEPS)
            .map(|i| {
                let z = i as f64 / STEPS as f64;
                (srgb_to_linear(z) * libm::exp2(spline(&bends, z))) as f32
            })
            .collect();
        // More light never gives a lower code: where the bends would say so the curve stays level.
        for i in 1..light.len() {
            light[i] = light[i].max(light[i - 1] * 1.000_1);
        }
        let slope = (0..=STEPS)
            .map(|i| {
                let (a, b) = (i.saturating_sub(2), (i + 2).min(STEPS));
                (light[b] - light[a]) * STEPS as f32 / (b - a) as f32
            })
            .collect();
        Self { bends, light, slope }
    }

    /// Linear light of a code value 0..1.
    pub fn light(&self, code: f32) -> f32 {
        lerp(&self.light, code)
    }

    /// Light per code value (0..1) at a code value.
    pub fn slope(&self, code: f32) -> f32 {
        lerp(&self.slope, code)
    }

    /// Pairs of 8-bit code and light, for showing.
    pub fn points(&self) -> Vec<(f64, f64)> {
        (0..=32).map(|i| i as f64 * 255.0 / 32.0).map(|c| (c, f64::from(self.light((c / 255.0) as f32)))).collect()
    }
}

fn lerp(table: &[f32], code: f32) -> f32 {
    let at = code.clamp(0.0, 1.0) * STEPS as f32;
    let i = (at as usize).min(STEPS - 1);
    let f = at - i as f32;
    table[i] * (1.0 - f) + table[i + 1] * f
}

/// A quadratic B-spline with uniform knots over 0..1; each coefficient acts near its own place.
pub fn spline(bends: &[f64; BENDS], z: f64) -> f64 {
    let spans = (BENDS - 2) as f64;
    let at = (z.clamp(0.0, 1.0) * spans).min(spans - 1e-9);
    let i = at as usize;
    let u = at - i as f64;
    let (a, b, c) = (0.5 * (1.0 - u) * (1.0 - u), 0.5 + u * (1.0 - u), 0.5 * u * u);
    a * bends[i] + b * bends[i + 1] + c * bends[i + 2]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_bends_are_the_files_own_curve_and_equal_bends_a_plain_factor() {
        let (own, twice) = (Curve::own(), Curve::bent([1.0; BENDS]));
        for code in 1..=255u8 {
            let z = f32::from(code) / 255.0;
            let want = srgb_to_linear(f64::from(z)) as f32;
            assert!((own.light(z) / want - 1.0).abs() < 1e-3, "code {code}");
            assert!((twice.light(z) / own.light(z) - 2.0).abs() < 1e-5, "code {code}");
        }
    }

    #[test]
    fn the_curve_never_falls() {
        let wild = Curve::bent([0.0, 3.0, -3.0, 3.0, -3.0, 3.0, -3.0, 0.0]);
        assert!((1..=255u8).all(|c| wild.light(f32::from(c) / 255.0) > wild.light(f32::from(c - 1) / 255.0)));
    }
}
