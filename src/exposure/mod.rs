//! Exposure in stops: exact values behind the marks, and what a change of settings does to flash and to ambient.

pub mod account;
pub mod marks;
pub mod words;

use marks::Step;

use crate::metadata::Metadata;

/// Aperture, shutter and ISO of one shot: as marked for people, and exact in stops for calculation.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Settings {
    /// F-number.
    pub aperture: Option<Mark>,
    /// Exposure time.
    pub shutter: Option<Mark>,
    /// ISO.
    pub iso: Option<Mark>,
}

/// One setting: what the camera shows and what it means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// As marked: f-number, seconds, or ISO.
    pub marked: f64,
    /// Exact APEX value in stops: Av = 2 log2 N, Tv = -log2 t, or Sv' = log2(ISO / 100).
    /// Source of Av and Tv: Exif 2.2 (JEITA CP-3451) annex C.
    pub stops: f64,
}

impl Settings {
    /// The settings in a file's metadata, read with the dial step of its camera.
    #[must_use]
    pub fn of(metadata: &Metadata, step: Step) -> Self {
        Self {
            aperture: metadata
                .f_number
                .map(|m| m.value())
                .map(|n| Mark { marked: n, stops: marks::aperture_stops(n, step) }),
            shutter: metadata
                .exposure_time_s
                .map(|m| m.value())
                .map(|t| Mark { marked: t, stops: marks::shutter_stops(t, step) }),
            iso: metadata.iso.map(f64::from).map(|s| Mark { marked: s, stops: marks::iso_stops(s, step) }),
        }
    }

    /// Whether nothing at all is known.
    #[must_use]
    pub fn unknown(&self) -> bool {
        self.aperture.is_none() && self.shutter.is_none() && self.iso.is_none()
    }

    /// Exposure value at ISO 100: log2(N^2 / t) - log2(ISO / 100), from exact values. None when one is not known.
    #[must_use]
    pub fn ev100(&self) -> Option<f64> {
        Some(self.aperture?.stops + self.shutter?.stops - self.iso?.stops)
    }
}
