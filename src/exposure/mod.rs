//! Exposure in stops: exact values behind the marks, and what a change of settings does to flash and to ambient.

pub mod account;
pub mod dial;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metadata::Marked;

    fn settings(f_number: (u32, u32), time: (u32, u32), iso: u32) -> Settings {
        let marked = |(num, den)| Some(Marked { num, den });
        let metadata = Metadata {
            f_number: marked(f_number),
            exposure_time_s: marked(time),
            iso: Some(iso),
            ..Metadata::default()
        };
        Settings::of(&metadata, Step::Third)
    }

    /// Exposure values at ISO 100. f/1.0 at 1 s to f/16 at 1/2000: encyclopaedia text "Exposure value"; f/16 at 1/125 and
    /// f/1.0 at 60 to 4 s: two later editions of it. Their cells are nominal; exact values meet all of them to the
    /// digit, except 60 s, which is no exact mark of a dial (log2 60 = 5.907, printed 6: tolerance 0.15).
    #[test]
    fn exposure_values_of_published_tables() {
        let rows = [
            ((1, 1), (1, 1), 0.0),
            ((14, 10), (1, 1), 1.0),
            ((56, 10), (1, 60), 11.0),
            ((8, 1), (1, 60), 12.0),
            ((56, 10), (1, 125), 12.0),
            ((8, 1), (1, 125), 13.0),
            ((56, 10), (1, 250), 13.0),
            ((8, 1), (1, 250), 14.0),
            ((16, 1), (1, 2000), 19.0),
            ((16, 1), (1, 125), 15.0),
            ((1, 1), (30, 1), -5.0),
            ((1, 1), (15, 1), -4.0),
            ((1, 1), (8, 1), -3.0),
            ((1, 1), (4, 1), -2.0),
        ];
        for (f_number, time, ev) in rows {
            let found = settings(f_number, time, 100).ev100().unwrap();
            assert!((found - ev).abs() < 1e-9, "{f_number:?} {time:?}: {found} against {ev}");
        }
        assert!((settings((1, 1), (60, 1), 100).ev100().unwrap() + 6.0).abs() < 0.15);
    }

    /// Bright sun is f/16 at 1/ISO s, cloudy f/8 (US Navy course Photography (Basic), NAVEDTRA 14209, p. 4-21): the same
    /// EV100 at every ISO, and two stops between the two skies.
    #[test]
    fn the_sixteen_rule_holds_at_every_iso() {
        let sun = |n: u32, iso: u32| settings((n, 1), (1, iso), iso).ev100().unwrap();
        for iso in [100, 200, 400, 800] {
            assert!((sun(16, iso) - 14.644).abs() < 0.15, "ISO {iso}: {}", sun(16, iso));
            assert!((sun(16, iso) - sun(8, iso) - 2.0).abs() < 1e-9);
        }
    }

    #[test]
    fn one_unknown_setting_leaves_no_exposure_value() {
        assert_eq!(Settings { iso: None, ..settings((8, 1), (1, 60), 100) }.ev100(), None);
    }
}
