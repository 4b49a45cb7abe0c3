//! The sRGB transfer curve, both ways, so that every average is taken in linear light.
//!
//! Source: IEC 61966-2-1 (constants from memory; values checked against colour-science 0.4.7 in
//! `tests/measure_closed_form.rs`).

use std::sync::OnceLock;

/// Linear light, 0..1, of an sRGB value 0..1.
#[must_use]
pub fn srgb_to_linear(value: f64) -> f64 {
    if value <= 0.04045 {
        value / 12.92
    } else {
        libm::pow((value + 0.055) / 1.055, 2.4)
    }
}

/// sRGB value 0..1 of linear light; what lies outside 0..1 is clipped.
#[must_use]
pub fn linear_to_srgb(light: f64) -> f64 {
    let light = light.clamp(0.0, 1.0);
    if light <= 0.003_130_8 {
        light * 12.92
    } else {
        1.055 * libm::pow(light, 1.0 / 2.4) - 0.055
    }
}

/// 8-bit sRGB codes of linear light in steps of 1/65535: fine enough that code 1 spans twenty steps.
pub struct Encoder(Box<[u8]>);

impl Encoder {
    /// The table, made once.
    pub fn shared() -> &'static Self {
        static TABLE: OnceLock<Encoder> = OnceLock::new();
        TABLE.get_or_init(|| {
            Self(
                (0..=u16::MAX)
                    .map(|step| {
                        let code = linear_to_srgb(f64::from(step) / 65535.0) * 255.0;
                        (code + 0.5) as u8
                    })
                    .collect(),
            )
        })
    }

    /// The code of linear light; what lies outside 0..1 is clipped.
    #[must_use]
    pub fn code(&self, light: f32) -> u8 {
        // A float cast saturates, and not-a-number becomes 0.
        let step = (light * 65535.0 + 0.5) as u16;
        self.0.get(usize::from(step)).copied().unwrap_or(u8::MAX)
    }
}
