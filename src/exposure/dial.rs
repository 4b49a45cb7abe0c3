//! The marks a setting can be turned to, in third stops, with their exact distance from where it stands.

use super::Settings;
use super::marks::{self, Step};
use super::words;

/// The widest of apertures and the smallest that lenses for such cameras commonly have (common practice, no source).
const APERTURES: std::ops::RangeInclusive<f64> = 1.2..=32.0;
/// The same of ISO values: beyond, noise is all that is seen.
const ISOS: std::ops::RangeInclusive<f64> = 50.0..=25_600.0;

/// One mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Turn {
    /// As people read it: "f/5.6", "1/200", "ISO 100".
    pub marked: String,
    /// What it makes of the light against the setting as shot, in stops; exact.
    pub stops: f64,
}

/// The three dials of a camera, from less light to more; the setting as shot is among them, at 0 stops.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Dials {
    /// Acts on flash and on light that lasts.
    pub aperture: Vec<Turn>,
    /// Acts on light that lasts alone; none shorter than sync speed, where a flash is cut.
    pub shutter: Vec<Turn>,
    /// Acts on both.
    pub iso: Vec<Turn>,
}

/// Dials around these settings. None where one of the settings is not known.
#[must_use]
pub fn around(settings: &Settings, sync_time_s: f64) -> Option<Dials> {
    let (aperture, shutter, iso) = (settings.aperture?, settings.shutter?, settings.iso?);
    let apertures = marks::APERTURE_THIRD.iter().filter(|mark| APERTURES.contains(*mark));
    let times = marks::SHUTTER_THIRD.iter().filter(|mark| !super::account::above_sync(**mark, sync_time_s));
    let isos = marks::ISO_THIRD.iter().filter(|mark| ISOS.contains(*mark));
    let third = Step::Third;
    Some(Dials {
        aperture: dial(apertures, (aperture.marked, aperture.stops), words::aperture, |n| {
            -marks::aperture_stops(n, third)
        }),
        shutter: dial(times, (shutter.marked, shutter.stops), words::shutter, |t| -marks::shutter_stops(t, third)),
        // Of the three only ISO grows with the light.
        iso: dial(isos, (iso.marked, -iso.stops), words::iso, |iso| marks::iso_stops(iso, third)),
    })
}

/// `light` is a mark's light in stops, `as_shot` the setting as marked and the negative of its light.
fn dial<'a>(
    marks: impl Iterator<Item = &'a f64>,
    as_shot: (f64, f64),
    words: impl Fn(f64) -> String,
    light: impl Fn(f64) -> f64,
) -> Vec<Turn> {
    let mut turns: Vec<Turn> =
        marks.map(|mark| Turn { marked: words(*mark), stops: light(*mark) + as_shot.1 }).collect();
    // A camera set by half stops stands between two marks.
    turns.retain(|turn| libm::fabs(turn.stops) > 0.1);
    turns.push(Turn { marked: words(as_shot.0), stops: 0.0 });
    turns.sort_by(|a, b| a.stops.total_cmp(&b.stops));
    turns
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exposure::Mark;

    fn settings(f: f64, t: f64, iso: f64) -> Settings {
        let third = Step::Third;
        Settings {
            aperture: Some(Mark { marked: f, stops: marks::aperture_stops(f, third) }),
            shutter: Some(Mark { marked: t, stops: marks::shutter_stops(t, third) }),
            iso: Some(Mark { marked: iso, stops: marks::iso_stops(iso, third) }),
        }
    }

    fn stops(dial: &[Turn], marked: &str) -> f64 {
        dial.iter().find(|turn| turn.marked == marked).unwrap_or_else(|| panic!("{marked} in {dial:?}")).stops
    }

    /// Full stops are factors of two (ISO 2720:1974 and every handbook): f/5.6 to f/2.8 two stops more, 1/200 to 1/25
    /// three more, ISO 100 to 3200 five more.
    #[test]
    fn turning_a_dial_counts_exact_stops() {
        let dials = around(&settings(5.6, 0.005, 100.0), 1.0 / 200.0).unwrap();
        assert!((stops(&dials.aperture, "f/2.8") - 2.0).abs() < 1e-9);
        assert!((stops(&dials.aperture, "f/8") + 1.0).abs() < 1e-9);
        assert!((stops(&dials.aperture, "f/5") - 1.0 / 3.0).abs() < 1e-9);
        assert!((stops(&dials.shutter, "1/25") - 3.0).abs() < 1e-9);
        assert!((stops(&dials.iso, "ISO 3200") - 5.0).abs() < 1e-9);
        for (dial, here) in [(&dials.aperture, "f/5.6"), (&dials.shutter, "1/200"), (&dials.iso, "ISO 100")] {
            assert_eq!(stops(dial, here), 0.0);
            assert!(dial.windows(2).all(|pair| pair[0].stops < pair[1].stops), "{dial:?}");
        }
    }

    #[test]
    fn no_time_is_shorter_than_sync_speed() {
        let dials = around(&settings(8.0, 0.02, 100.0), 1.0 / 200.0).unwrap();
        assert_eq!(dials.shutter.first().unwrap().marked, "1/200");
        assert!((dials.shutter.first().unwrap().stops + 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_mark_of_half_stops_stands_once_and_nothing_is_said_of_unknown_settings() {
        let mut half = settings(5.6, 0.005, 100.0);
        half.aperture = Some(Mark { marked: 6.7, stops: 5.5 });
        let dials = around(&half, 1.0 / 200.0).unwrap();
        assert_eq!(dials.aperture.iter().filter(|turn| turn.stops == 0.0).count(), 1);
        half.iso = None;
        assert_eq!(around(&half, 1.0 / 200.0), None);
    }
}
