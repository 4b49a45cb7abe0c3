//! APEX values (Exif 2.2, JEITA CP-3451, annex C): the exposure written a second time, as logarithms.
//!
//! They check the plain values, and stand in for them where those are absent.

use super::Marked;
use super::fields::Fraction;

/// Widest disagreement with the plain value that rounding explains: a third of a stop. Marked values lie within 0.15
/// stop of the exact ones, and cameras round APEX values to eighths of a stop or finer.
const WIDEST_AGREEMENT: f64 = 1.0 / 3.0;
/// How near a whole stop a value must lie to be read as that row of the table: closer than any camera's own rounding.
const AT_A_WHOLE_STOP: f64 = 0.01;

/// Table 48: F numbers for Av 0 to 10. The table is nominal, what stands on the dial: Av 5 is f/5.6, not f/5.657.
const F_NUMBERS: [(u32, u32); 11] =
    [(1, 1), (7, 5), (2, 1), (14, 5), (4, 1), (28, 5), (8, 1), (11, 1), (16, 1), (22, 1), (32, 1)];
/// Table 48: exposure times for Tv -5 to 10.
const TIMES: [(u32, u32); 16] = [
    (30, 1),
    (15, 1),
    (8, 1),
    (4, 1),
    (2, 1),
    (1, 1),
    (1, 2),
    (1, 4),
    (1, 8),
    (1, 15),
    (1, 30),
    (1, 60),
    (1, 125),
    (1, 250),
    (1, 500),
    (1, 1000),
];

/// Aperture in APEX units of an f-number: Av = 2 log2 N.
pub(super) fn aperture(f_number: f64) -> f64 {
    2.0 * libm::log2(f_number)
}

/// Shutter in APEX units of an exposure time in seconds: Tv = -log2 t.
pub(super) fn shutter(seconds: f64) -> f64 {
    -libm::log2(seconds)
}

/// An APEX value; None over zero, and for zero itself: writers that do not know leave 0, and no shoot is lost by
/// not believing f/1.0 or 1 s from this field alone.
pub(super) fn known(written: Fraction) -> Option<f64> {
    written.value().filter(|&value| value != 0.0)
}

/// Whether a plain value, in APEX units, and the written APEX value cannot both be true.
pub(super) fn contradicts(plain: f64, written: f64) -> bool {
    (plain - written).abs() > WIDEST_AGREEMENT
}

/// The f-number an APEX aperture stands for, for values from f/0.7 to f/91.
pub(super) fn f_number(value: f64) -> Option<Marked> {
    if !(-1.0..=13.0).contains(&value) {
        return None;
    }
    row(&F_NUMBERS, value, 0.0).or_else(|| hundredths(libm::exp2(value / 2.0)))
}

/// The exposure time in seconds an APEX shutter value stands for, for values from 1024 s to 1/65536 s.
pub(super) fn exposure_time(value: f64) -> Option<Marked> {
    if !(-10.0..=16.0).contains(&value) {
        return None;
    }
    row(&TIMES, value, -5.0).or_else(|| {
        let seconds = libm::exp2(-value);
        // From a third of a second on, times are marked as one over a whole number.
        if seconds > 0.3 {
            hundredths(seconds)
        } else {
            hundredths(1.0 / seconds).map(whole).map(|den| Marked { num: 1, den })
        }
    })
}

/// The table's row for a value that is a whole number of stops.
fn row(table: &[(u32, u32)], value: f64, first: f64) -> Option<Marked> {
    let stops = libm::round(value);
    let index = stops - first;
    if (value - stops).abs() > AT_A_WHOLE_STOP || index < 0.0 {
        return None;
    }
    table.get(index as usize).map(|&(num, den)| Marked { num, den })
}

/// A positive number below a million, to two decimals.
fn hundredths(value: f64) -> Option<Marked> {
    Marked::reduced(libm::round(value * 100.0) as u32, 100)
}

/// Rounded to a whole number, at least 1.
fn whole(value: Marked) -> u32 {
    (libm::round(value.value()) as u32).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_stops_follow_table_48() {
        // Exif 2.2 (JEITA CP-3451) annex C, table 48, printed p. 122.
        for (av, f) in [(0.0, 1.0), (1.0, 1.4), (3.0, 2.8), (5.0, 5.6), (7.0, 11.0), (9.0, 22.0), (10.0, 32.0)] {
            assert_eq!(f_number(av).map(Marked::value), Some(f), "Av {av}");
        }
        for (tv, num, den) in [(-5.0, 30, 1), (-4.0, 15, 1), (0.0, 1, 1), (4.0, 1, 15), (6.0, 1, 60), (10.0, 1, 1000)] {
            assert_eq!(exposure_time(tv), Some(Marked { num, den }), "Tv {tv}");
        }
    }

    #[test]
    fn between_whole_stops_the_formula_speaks() {
        // Tv of 1/200 s is 7.6438562, Av of f/6.3 is 5.3107; computed with GNU units 2.22 and from the formula.
        assert!((shutter(1.0 / 200.0) - 7.643_856_2).abs() < 1e-7);
        assert!((aperture(5.6) - 4.970_853_7).abs() < 1e-7);
        assert!((shutter(60.0) + 5.906_890_6).abs() < 1e-7);
        assert_eq!(exposure_time(7.643_856_2), Some(Marked { num: 1, den: 200 }));
        assert_eq!(f_number(aperture(6.3)), Some(Marked { num: 63, den: 10 }));
        assert_eq!(exposure_time(-2.585), Some(Marked { num: 6, den: 1 }));
        assert_eq!(f_number(f64::NAN), None);
        assert_eq!(f_number(40.0), None);
        assert_eq!(exposure_time(99.0), None);
    }

    #[test]
    fn rounding_is_no_contradiction_but_a_stop_is() {
        // The nominal table itself: f/11 is Av 6.9189, f/22 8.9189; 1/60 s is Tv 5.9069, 30 s is -4.9069.
        for (plain, written) in
            [(aperture(11.0), 7.0), (aperture(22.0), 9.0), (shutter(1.0 / 60.0), 6.0), (shutter(30.0), -5.0)]
        {
            assert!(!contradicts(plain, written));
        }
        assert!(contradicts(aperture(5.6), 6.0));
        assert!(contradicts(shutter(1.0 / 200.0), 8.0));
        assert!(!contradicts(shutter(1.0 / 200.0), 7.9));
    }
}
