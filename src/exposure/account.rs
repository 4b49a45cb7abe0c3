//! The account between two neighbouring shots: what the settings did, what the picture did, what is left for the light.
//!
//! Aperture and ISO act on flash and on ambient light; the shutter acts on ambient light alone, at and below sync
//! speed (N14: US Navy course Photography (Basic), NAVEDTRA 14209: below sync the shutter time does not enter the flash
//! exposure). Above sync speed nothing is claimed.

use super::{Mark, Settings};

/// Stops that the settings put on the picture, + is brighter. Exact values, not marked ones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SettingsChange {
    /// Aperture's part: Av before minus Av after.
    pub aperture: f64,
    /// Shutter's part, on ambient light: Tv before minus Tv after.
    pub shutter: f64,
    /// ISO's part.
    pub iso: f64,
    /// Whether a shutter time above sync speed takes part in a change of shutter: then nothing is claimed for flash.
    pub above_sync: bool,
}

impl SettingsChange {
    /// The change from one shot's settings to the next one's. None when any setting of either is not known.
    /// `sync_time_s` is the shortest time at which the whole frame is open for a flash, for example 1/250 s.
    #[must_use]
    pub fn between(before: &Settings, after: &Settings, sync_time_s: f64) -> Option<Self> {
        let down = |a: Option<Mark>, b: Option<Mark>| Some(a?.stops - b?.stops);
        let shutter = down(before.shutter, after.shutter)?;
        Some(Self {
            aperture: down(before.aperture, after.aperture)?,
            shutter,
            iso: -down(before.iso, after.iso)?,
            above_sync: shutter != 0.0
                && [before, after].iter().any(|s| s.shutter.is_some_and(|m| above_sync(m.marked, sync_time_s))),
        })
    }

    /// Stops on light that lasts only for the flash. None above sync speed.
    #[must_use]
    pub fn flash(&self) -> Option<f64> {
        (!self.above_sync).then_some(self.aperture + self.iso)
    }

    /// Stops on light that lasts.
    #[must_use]
    pub fn ambient(&self) -> f64 {
        self.aperture + self.shutter + self.iso
    }
}

/// Whether a marked time is shorter than sync speed, with two percent for rounding of marks.
#[must_use]
pub fn above_sync(marked_s: f64, sync_time_s: f64) -> bool {
    marked_s < sync_time_s * 0.98
}

/// The two accounts may differ by this much and still be one: finer than any dial step, coarser than rounding.
pub const ACCOUNTS_AGREE_STOPS: f64 = 0.05;

/// What the lights or the scene did beyond the settings, in stops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LightChange {
    /// The change, when it does not depend on how much of the picture is ambient.
    pub stops: Option<f64>,
    /// If all light were of the kind the settings brightened most.
    pub low: f64,
    /// If all light were of the other kind.
    pub high: f64,
}

impl LightChange {
    /// Picture change minus settings change. None where the settings' effect on flash is not claimed.
    #[must_use]
    pub fn beyond(settings: &SettingsChange, picture_stops: f64) -> Option<Self> {
        let (flash, ambient) = (settings.flash()?, settings.ambient());
        let (low, high) = (picture_stops - flash.max(ambient), picture_stops - flash.min(ambient));
        let agree = (flash - ambient).abs() <= ACCOUNTS_AGREE_STOPS;
        Some(Self { stops: agree.then_some((low + high) / 2.0), low, high })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exposure::marks::{self, Step};

    fn nominal(n: f64, t: f64, s: f64) -> Settings {
        // Rows of the table are computed from the printed numbers, so no snapping here.
        Settings {
            aperture: Some(Mark { marked: n, stops: 2.0 * libm::log2(n) }),
            shutter: Some(Mark { marked: t, stops: -libm::log2(t) }),
            iso: Some(Mark { marked: s, stops: libm::log2(s / 100.0) }),
        }
    }

    fn exact(n: f64, t: f64, s: f64) -> Settings {
        Settings {
            aperture: Some(Mark { marked: n, stops: marks::aperture_stops(n, Step::Third) }),
            shutter: Some(Mark { marked: t, stops: marks::shutter_stops(t, Step::Third) }),
            iso: Some(Mark { marked: s, stops: marks::iso_stops(s, Step::Third) }),
        }
    }

    const SYNC: f64 = 1.0 / 250.0;

    /// Worked rows: aperture = -2 log2(N2/N1), shutter = log2(t2/t1), ISO = log2(S2/S1) (derived).
    #[test]
    fn worked_rows_of_exposure_accounting() {
        type Exposure = (f64, f64, f64);
        let rows: [(Exposure, Exposure, f64, f64); 7] = [
            ((8.0, 1.0 / 200.0, 100.0), (5.6, 1.0 / 200.0, 100.0), 1.0291, 1.0291),
            ((8.0, 1.0 / 200.0, 100.0), (11.0, 1.0 / 200.0, 100.0), -0.9189, -0.9189),
            ((2.8, 1.0 / 200.0, 100.0), (8.0, 1.0 / 200.0, 100.0), -3.0291, -3.0291),
            ((8.0, 1.0 / 200.0, 100.0), (8.0, 1.0 / 200.0, 400.0), 2.0, 2.0),
            ((8.0, 1.0 / 200.0, 100.0), (8.0, 1.0 / 60.0, 100.0), 1.7370, 0.0),
            ((4.0, 1.0 / 160.0, 200.0), (5.6, 1.0 / 125.0, 100.0), -1.6147, -1.9709),
            ((11.0, 1.0 / 200.0, 100.0), (16.0, 1.0 / 100.0, 400.0), 1.9189, 0.9189),
        ];
        for (from, to, ambient, flash) in rows {
            let change =
                SettingsChange::between(&nominal(from.0, from.1, from.2), &nominal(to.0, to.1, to.2), SYNC).unwrap();
            assert!((change.ambient() - ambient).abs() < 5e-5, "{from:?} to {to:?}: {change:?}");
            assert!((change.flash().unwrap() - flash).abs() < 5e-5, "{from:?} to {to:?}: {change:?}");
        }
    }

    #[test]
    fn whole_stops_on_the_dial_are_whole_stops() {
        let change =
            SettingsChange::between(&exact(5.6, 1.0 / 200.0, 100.0), &exact(8.0, 1.0 / 50.0, 125.0), SYNC).unwrap();
        assert!((change.flash().unwrap() - (-1.0 + 1.0 / 3.0)).abs() < 1e-12);
        assert!((change.ambient() - (-1.0 + 1.0 / 3.0 + 2.0)).abs() < 1e-12);
    }

    /// A frame compared with itself at another ISO: the picture follows the settings, nothing is left for the light.
    #[test]
    fn nothing_is_left_when_only_iso_moved() {
        let change =
            SettingsChange::between(&exact(5.6, 1.0 / 200.0, 100.0), &exact(5.6, 1.0 / 200.0, 400.0), SYNC).unwrap();
        let light = LightChange::beyond(&change, 2.0).unwrap();
        assert!(light.stops.unwrap().abs() < 1e-12);
    }

    #[test]
    fn a_shutter_change_leaves_an_interval() {
        let change =
            SettingsChange::between(&exact(5.6, 1.0 / 200.0, 100.0), &exact(5.6, 1.0 / 50.0, 100.0), SYNC).unwrap();
        let light = LightChange::beyond(&change, 0.5).unwrap();
        assert_eq!(light.stops, None);
        assert!((light.low - -1.5).abs() < 1e-12 && (light.high - 0.5).abs() < 1e-12);
    }

    #[test]
    fn above_sync_nothing_is_claimed() {
        let change =
            SettingsChange::between(&exact(5.6, 1.0 / 200.0, 100.0), &exact(5.6, 1.0 / 1000.0, 100.0), SYNC).unwrap();
        assert_eq!(change.flash(), None);
        assert_eq!(LightChange::beyond(&change, 0.0), None);
        // The same time in both shots changes nothing, however short it is.
        let same =
            SettingsChange::between(&exact(5.6, 1.0 / 1000.0, 100.0), &exact(8.0, 1.0 / 1000.0, 100.0), SYNC).unwrap();
        assert_eq!(same.flash(), Some(-1.0));
    }

    #[test]
    fn a_setting_not_known_is_no_zero() {
        let blind = Settings { iso: None, ..exact(5.6, 0.005, 100.0) };
        assert_eq!(SettingsChange::between(&blind, &exact(5.6, 0.005, 100.0), SYNC), None);
    }
}
