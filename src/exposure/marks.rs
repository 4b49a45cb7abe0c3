//! Marked values and the exact ones behind them: a dial marked f/5.6 stands at 2^(5/2), one marked 1/60 at 1/64 s.
//!
//! Source: nominal and exact series as in ISO 2720 practice; the sixth-root-of-two f-number series and the errors of
//! the marks are tabled with their sources in the tests. f/1.2, f/13 and a few times are marks of both dials with
//! different exact values, so the step of the camera's dial matters.

/// The step a camera's dials move in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Step {
    /// Third stops: what nearly all cameras are set to (common practice, no source), so the default.
    #[default]
    Third,
    /// Half stops, when the shoot shows marks that only half-stop dials have and none that only third-stop dials have.
    Half,
}

/// Marks of f-numbers in third stops from f/1.0 (Av 0).
pub(super) const APERTURE_THIRD: [f64; 37] = [
    1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0, 9.0, 10.0, 11.0,
    13.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 29.0, 32.0, 36.0, 40.0, 45.0, 51.0, 57.0, 64.0,
];
/// Marks of f-numbers in half stops from f/1.0 (Av 0).
const APERTURE_HALF: [f64; 25] = [
    1.0, 1.2, 1.4, 1.7, 2.0, 2.4, 2.8, 3.3, 4.0, 4.8, 5.6, 6.7, 8.0, 9.5, 11.0, 13.0, 16.0, 19.0, 22.0, 27.0, 32.0,
    38.0, 45.0, 54.0, 64.0,
];
/// Marks of exposure times in third stops from 30 s (exactly 32 s, Tv -5), in seconds.
pub(super) const SHUTTER_THIRD: [f64; 55] = [
    30.0,
    25.0,
    20.0,
    15.0,
    13.0,
    10.0,
    8.0,
    6.0,
    5.0,
    4.0,
    3.2,
    2.5,
    2.0,
    1.6,
    1.3,
    1.0,
    0.8,
    0.6,
    0.5,
    0.4,
    0.3,
    0.25,
    0.2,
    1.0 / 6.0,
    0.125,
    0.1,
    1.0 / 13.0,
    1.0 / 15.0,
    0.05,
    0.04,
    1.0 / 30.0,
    0.025,
    0.02,
    1.0 / 60.0,
    0.0125,
    0.01,
    0.008,
    1.0 / 160.0,
    0.005,
    0.004,
    1.0 / 320.0,
    0.0025,
    0.002,
    1.0 / 640.0,
    0.00125,
    0.001,
    0.0008,
    1.0 / 1600.0,
    0.0005,
    0.0004,
    1.0 / 3200.0,
    0.00025,
    0.0002,
    1.0 / 6400.0,
    0.000125,
];
/// Marks of exposure times in half stops from 30 s (exactly 32 s, Tv -5), in seconds.
const SHUTTER_HALF: [f64; 37] = [
    30.0,
    20.0,
    15.0,
    10.0,
    8.0,
    6.0,
    4.0,
    3.0,
    2.0,
    1.5,
    1.0,
    0.7,
    0.5,
    1.0 / 3.0,
    0.25,
    1.0 / 6.0,
    0.125,
    0.1,
    1.0 / 15.0,
    0.05,
    1.0 / 30.0,
    1.0 / 45.0,
    1.0 / 60.0,
    1.0 / 90.0,
    0.008,
    1.0 / 180.0,
    0.004,
    1.0 / 350.0,
    0.002,
    1.0 / 750.0,
    0.001,
    1.0 / 1500.0,
    0.0005,
    1.0 / 3000.0,
    0.00025,
    1.0 / 6000.0,
    0.000125,
];
/// Marks of ISO in third stops from ISO 50 (log2(ISO / 100) = -1).
pub(super) const ISO_THIRD: [f64; 40] = [
    50.0, 64.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 320.0, 400.0, 500.0, 640.0, 800.0, 1000.0, 1250.0, 1600.0,
    2000.0, 2500.0, 3200.0, 4000.0, 5000.0, 6400.0, 8000.0, 10000.0, 12800.0, 16000.0, 20000.0, 25600.0, 32000.0,
    40000.0, 51200.0, 64000.0, 80000.0, 102_400.0, 128_000.0, 160_000.0, 204_800.0, 256_000.0, 320_000.0, 409_600.0,
];
/// Marks of ISO in half stops from ISO 50.
const ISO_HALF: [f64; 21] = [
    50.0, 70.0, 100.0, 140.0, 200.0, 280.0, 400.0, 560.0, 800.0, 1100.0, 1600.0, 2200.0, 3200.0, 4500.0, 6400.0,
    9000.0, 12800.0, 18000.0, 25600.0, 36000.0, 51200.0,
];

/// A value within this factor of a mark is that mark: half of the coarsest rounding cameras use (0.3 s for 0.3175 s is
/// a mark of its own; 1/203 for 1/200 is the exact value, see [`NEAR_EXACT`]).
const NEAR_MARK: f64 = 0.004;
/// A value within this factor of an exact step is that step: cameras that write 1/203 or f/5.66 mean it.
const NEAR_EXACT: f64 = 0.012;

struct Series<'a> {
    marks: &'a [f64],
    first_stops: f64,
    per_stop: f64,
}

impl Series<'_> {
    /// The exact stops of `value`, when it is a mark of this series or stands on one of its exact values.
    fn exact(&self, value: f64, stops: f64) -> Option<f64> {
        let at = |index: usize| self.first_stops + index as f64 / self.per_stop;
        let near = |mark: &f64| (value / mark - 1.0).abs() <= NEAR_MARK;
        if let Some(index) = self.marks.iter().position(near) {
            return Some(at(index));
        }
        let step = libm::round((stops - self.first_stops) * self.per_stop);
        let inside = step >= 0.0 && step < self.marks.len() as f64;
        let exact = self.first_stops + step / self.per_stop;
        (inside && (stops - exact).abs() <= libm::log2(1.0 + NEAR_EXACT)).then_some(exact)
    }
}

/// The series of the dial first, then of the other dial, else the value as it stands.
fn snap(value: f64, stops: f64, third: Series, half: Series, step: Step) -> f64 {
    let (own, other) = match step {
        Step::Third => (third, half),
        Step::Half => (half, third),
    };
    own.exact(value, stops).or_else(|| other.exact(value, stops)).unwrap_or(stops)
}

/// Exact aperture value Av = 2 log2 N in stops of a marked f-number (above zero).
#[must_use]
pub fn aperture_stops(f_number: f64, step: Step) -> f64 {
    let third = Series { marks: &APERTURE_THIRD, first_stops: 0.0, per_stop: 3.0 };
    let half = Series { marks: &APERTURE_HALF, first_stops: 0.0, per_stop: 2.0 };
    // Half the relative tolerance in stops would be wrong here: Av counts the square of the f-number, which `exact`
    // allows for by the coarser NEAR_EXACT.
    snap(f_number, 2.0 * libm::log2(f_number), third, half, step)
}

/// Exact time value Tv = -log2 t in stops of a marked exposure time in seconds (above zero).
#[must_use]
pub fn shutter_stops(seconds: f64, step: Step) -> f64 {
    let third = Series { marks: &SHUTTER_THIRD, first_stops: -5.0, per_stop: 3.0 };
    let half = Series { marks: &SHUTTER_HALF, first_stops: -5.0, per_stop: 2.0 };
    snap(seconds, -libm::log2(seconds), third, half, step)
}

/// Exact sensitivity in stops above ISO 100 of a marked ISO (above zero).
#[must_use]
pub fn iso_stops(iso: f64, step: Step) -> f64 {
    let third = Series { marks: &ISO_THIRD, first_stops: -1.0, per_stop: 3.0 };
    let half = Series { marks: &ISO_HALF, first_stops: -1.0, per_stop: 2.0 };
    snap(iso, libm::log2(iso / 100.0), third, half, step)
}

/// A value so near an exact step, in stops, is at that step.
const AT_STEP: f64 = 1.0 / 24.0;

impl Series<'_> {
    /// The mark that stands at `stops`; None beside the steps and beyond the ends of the dial.
    fn mark(&self, stops: f64) -> Option<f64> {
        let place = (stops - self.first_stops) * self.per_stop;
        let step = libm::round(place);
        let near = (place - step).abs() <= AT_STEP * self.per_stop;
        (near && step >= 0.0).then(|| self.marks.get(step as usize).copied()).flatten()
    }
}

/// The f-number marked where a dial stands at this exact aperture value; None where no mark is.
#[must_use]
pub fn aperture_mark(stops: f64) -> Option<f64> {
    let third = Series { marks: &APERTURE_THIRD, first_stops: 0.0, per_stop: 3.0 };
    third.mark(stops).or_else(|| Series { marks: &APERTURE_HALF, first_stops: 0.0, per_stop: 2.0 }.mark(stops))
}

/// The exposure time in seconds marked where a dial stands at this exact time value; None where no mark is.
#[must_use]
pub fn shutter_mark(stops: f64) -> Option<f64> {
    let third = Series { marks: &SHUTTER_THIRD, first_stops: -5.0, per_stop: 3.0 };
    third.mark(stops).or_else(|| Series { marks: &SHUTTER_HALF, first_stops: -5.0, per_stop: 2.0 }.mark(stops))
}

/// The ISO marked where a dial stands at these exact stops above ISO 100; None where no mark is.
#[must_use]
pub fn iso_mark(stops: f64) -> Option<f64> {
    let third = Series { marks: &ISO_THIRD, first_stops: -1.0, per_stop: 3.0 };
    third.mark(stops).or_else(|| Series { marks: &ISO_HALF, first_stops: -1.0, per_stop: 2.0 }.mark(stops))
}

/// The dial step that a camera's marks show, from all its f-numbers, times (s) and ISO values.
///
/// Marks of one dial only decide; f/1.2, f/1.7, f/2.4 and f/3.3 do not count, for they are also the widest apertures of
/// lenses and say nothing about a dial (common practice, no source).
#[must_use]
pub fn dial_step(
    f_numbers: impl Iterator<Item = f64>,
    times: impl Iterator<Item = f64>,
    isos: impl Iterator<Item = f64>,
) -> Step {
    let mut only_half = false;
    let mut only_third = false;
    let mut count = |value: f64, third: &[f64], half: &[f64]| {
        let on = |series: &[f64]| series.iter().any(|mark| (value / mark - 1.0).abs() <= NEAR_MARK);
        only_half |= on(half) && !on(third);
        only_third |= on(third) && !on(half);
    };
    f_numbers.filter(|n| *n > 3.4).for_each(|n| count(n, &APERTURE_THIRD, &APERTURE_HALF));
    times.for_each(|t| count(t, &SHUTTER_THIRD, &SHUTTER_HALF));
    isos.for_each(|s| count(s, &ISO_THIRD, &ISO_HALF));
    if only_half && !only_third { Step::Half } else { Step::Third }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn third_f(n: f64) -> f64 {
        aperture_stops(n, Step::Third)
    }

    /// Exif 2.2 (JEITA CP-3451) annex C, table 48: the marks that stand at whole stops.
    #[test]
    fn whole_stops_have_the_marks_of_the_apex_table() {
        let f_numbers = [1.0, 1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0, 16.0, 22.0, 32.0];
        for (av, mark) in (0..).map(f64::from).zip(f_numbers) {
            assert_eq!(aperture_mark(av), Some(mark));
        }
        let inverse = [15.0, 30.0, 60.0, 125.0, 250.0, 500.0, 1000.0];
        for (tv, mark) in (4..).map(f64::from).zip(inverse) {
            assert_eq!(shutter_mark(tv), Some(1.0 / mark));
        }
        assert_eq!((iso_mark(0.0), iso_mark(1.0), iso_mark(-1.0)), (Some(100.0), Some(200.0), Some(50.0)));
    }

    #[test]
    fn every_mark_is_found_again_and_nothing_beside_them() {
        for mark in APERTURE_THIRD {
            assert_eq!(aperture_mark(aperture_stops(mark, Step::Third)), Some(mark));
        }
        for mark in SHUTTER_HALF {
            let found = shutter_mark(shutter_stops(mark, Step::Half)).unwrap();
            // Where both dials have a mark, the third-stop dial's is given: 1/3 s and 0.3 s differ, 1/60 does not.
            assert!((found / mark - 1.0).abs() < 0.13, "{mark}: {found}");
        }
        for mark in ISO_THIRD {
            assert_eq!(iso_mark(iso_stops(mark, Step::Third)), Some(mark));
        }
        assert_eq!((aperture_mark(5.15), aperture_mark(-1.0), aperture_mark(12.4)), (None, None, None));
        assert_eq!(aperture_mark(2.5), Some(2.4), "a half stop");
    }

    /// Full and third-stop marks with the error of the mark in stops, nominal minus exact (derived from the
    /// sixth-root-of-two series printed in a large-format forum's "Intermediate f stop computation").
    #[test]
    fn third_stop_marks_stand_on_exact_values() {
        let rows = [
            (1.1, -0.058),
            (1.2, -0.141),
            (1.4, -0.029),
            (1.8, 0.029),
            (2.2, -0.058),
            (2.8, -0.029),
            (3.5, -0.052),
            (5.6, -0.029),
            (6.3, -0.023),
            (7.1, -0.011),
            (9.0, 0.007),
            (10.0, -0.023),
            (11.0, -0.081),
            (13.0, 0.068),
            (14.0, -0.052),
            (22.0, -0.081),
        ];
        for (mark, error) in rows {
            let found = 2.0 * libm::log2(mark) - third_f(mark);
            assert!((found - error).abs() < 0.0011, "f/{mark}: {found} against {error}");
        }
    }

    /// The same for half stops.
    #[test]
    fn half_stop_marks_stand_on_exact_values() {
        let rows = [
            (1.2, 0.026),
            (1.7, 0.031),
            (2.4, 0.026),
            (3.3, -0.055),
            (4.8, 0.026),
            (6.7, -0.012),
            (9.5, -0.004),
            (13.0, -0.099),
            (19.0, -0.004),
            (27.0, 0.010),
        ];
        for (mark, error) in rows {
            let found = 2.0 * libm::log2(mark) - aperture_stops(mark, Step::Half);
            assert!((found - error).abs() < 0.0011, "f/{mark}: {found} against {error}");
        }
    }

    /// Exact 1/t of marked times, and exact ISO of marked ISO (same table).
    #[test]
    fn times_and_iso_stand_on_exact_values() {
        for (mark, exact) in [
            (15.0, 16.0),
            (30.0, 32.0),
            (60.0, 64.0),
            (125.0, 128.0),
            (250.0, 256.0),
            (500.0, 512.0),
            (1000.0, 1024.0),
            (160.0, 161.27),
            (320.0, 322.54),
            (200.0, 203.19),
            (100.0, 101.59),
            (6.0, 6.3496),
            (13.0, 12.699),
        ] {
            let found = libm::exp2(shutter_stops(1.0 / mark, Step::Third));
            assert!((found / exact - 1.0).abs() < 1e-4, "1/{mark}: 1/{found}");
        }
        assert_eq!(shutter_stops(30.0, Step::Third), -5.0);
        assert_eq!(shutter_stops(15.0, Step::Third), -4.0);
        for (mark, exact) in [
            (64.0, 62.996),
            (125.0, 125.992),
            (160.0, 158.740),
            (250.0, 251.984),
            (1250.0, 1269.92),
            (2000.0, 2015.87),
            (25600.0, 25600.0),
        ] {
            let found = 100.0 * libm::exp2(iso_stops(mark, Step::Third));
            assert!((found / exact - 1.0).abs() < 1e-5, "ISO {mark}: {found}");
        }
    }

    /// Exif 2.2 annex C, table 48: the marks of whole stops are whole APEX values.
    #[test]
    fn apex_table_of_whole_stops() {
        for (av, n) in [1.0, 1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0, 16.0, 22.0, 32.0].into_iter().enumerate() {
            assert_eq!(third_f(n), av as f64, "f/{n}");
            assert_eq!(aperture_stops(n, Step::Half), av as f64, "f/{n}");
        }
        let times = [
            30.0,
            15.0,
            8.0,
            4.0,
            2.0,
            1.0,
            0.5,
            0.25,
            0.125,
            1.0 / 15.0,
            1.0 / 30.0,
            1.0 / 60.0,
            0.008,
            0.004,
            0.002,
            0.001,
        ];
        for (index, t) in times.into_iter().enumerate() {
            assert!((shutter_stops(t, Step::Third) - (index as f64 - 5.0)).abs() < 1e-12, "{t} s");
        }
    }

    #[test]
    fn every_mark_stays_near_itself_and_rises() {
        for (marks, stops) in
            [(&APERTURE_THIRD[..], third_f as fn(f64) -> f64), (&ISO_THIRD[..], |s| iso_stops(s, Step::Third))]
        {
            for pair in marks.windows(2) {
                assert!((stops(pair[1]) - stops(pair[0]) - 1.0 / 3.0).abs() < 1e-9, "{pair:?}");
            }
        }
        for pair in SHUTTER_THIRD.windows(2) {
            assert!(
                (shutter_stops(pair[1], Step::Third) - shutter_stops(pair[0], Step::Third) - 1.0 / 3.0).abs() < 1e-9,
                "{pair:?}"
            );
        }
        for pair in SHUTTER_HALF.windows(2) {
            assert!(
                (shutter_stops(pair[1], Step::Half) - shutter_stops(pair[0], Step::Half) - 0.5).abs() < 1e-9,
                "{pair:?}"
            );
        }
        for t in SHUTTER_THIRD {
            assert!((shutter_stops(t, Step::Third) + libm::log2(t)).abs() < 0.1, "{t}");
        }
    }

    #[test]
    fn values_between_marks_stay_as_they_are() {
        assert_eq!(third_f(1.85), 2.0 * libm::log2(1.85));
        assert_eq!(iso_stops(720.0, Step::Third), libm::log2(7.2));
        assert_eq!(shutter_stops(1.0 / 137.0, Step::Third), libm::log2(137.0));
    }

    #[test]
    fn the_dial_shows_its_step() {
        let none = std::iter::empty;
        assert_eq!(dial_step([6.7, 8.0].into_iter(), none(), none()), Step::Half);
        assert_eq!(dial_step([6.7, 6.3].into_iter(), none(), none()), Step::Third);
        assert_eq!(dial_step([1.7, 5.6].into_iter(), none(), none()), Step::Third);
        assert_eq!(dial_step([13.0].into_iter(), [1.0 / 90.0].into_iter(), none()), Step::Half);
        assert_eq!(dial_step(none(), none(), none()), Step::Third);
    }
}
