//! Settings as people read them: f/5.6, 1/200, ISO 100; never 0.005 s.

use super::Settings;

/// "f/5.6", "f/8".
#[must_use]
pub fn aperture(f_number: f64) -> String {
    format!("f/{}", short(f_number))
}

/// "1/200", "0.4 s", "2 s".
#[must_use]
pub fn shutter(seconds: f64) -> String {
    if seconds >= 0.29 {
        return format!("{} s", short(seconds));
    }
    let inverse = 1.0 / seconds;
    format!("1/{}", short(if inverse >= 10.0 { libm::round(inverse) } else { inverse }))
}

/// "ISO 100".
#[must_use]
pub fn iso(value: f64) -> String {
    format!("ISO {value:.0}")
}

/// "f/5.6, 1/200, ISO 100"; a setting that is not known is named as such.
#[must_use]
pub fn settings(settings: &Settings) -> String {
    if settings.unknown() {
        return "settings not known".to_owned();
    }
    [
        settings.aperture.map_or_else(|| "aperture not known".to_owned(), |m| aperture(m.marked)),
        settings.shutter.map_or_else(|| "shutter not known".to_owned(), |m| shutter(m.marked)),
        settings.iso.map_or_else(|| "ISO not known".to_owned(), |m| iso(m.marked)),
    ]
    .join(", ")
}

/// Stops with sign and one decimal: "+0.6", "-1.0", "0.0".
#[must_use]
pub fn stops(value: f64) -> String {
    let rounded = libm::round(value * 10.0) / 10.0;
    if rounded == 0.0 { "0.0".to_owned() } else { format!("{rounded:+.1}") }
}

/// "+0.6", or "-1.3 to +0.4" when the two ends differ once rounded.
#[must_use]
pub fn stops_between(low: f64, high: f64) -> String {
    let (a, b) = (stops(low), stops(high));
    if a == b { a } else { format!("{a} to {b}") }
}

/// "0.0 stop", "-0.9 stop", "+2.0 stops".
#[must_use]
pub fn stops_unit(value: f64) -> String {
    format!("{} {}", stops(value), unit(value))
}

/// "stop" up to what reads as 1.0, "stops" above.
#[must_use]
pub fn unit(value: f64) -> &'static str {
    if value.abs() < 1.05 { "stop" } else { "stops" }
}

/// "-1.0 ± 0.1": a figure with half the width of its interval, rounded up to a tenth so that it never reads as exact.
#[must_use]
pub fn plus_minus(value: f64, low: f64, high: f64) -> String {
    let half = (libm::ceil((high - low).abs() * 5.0 - 1e-9) / 10.0).max(0.1);
    format!("{} ± {half:.1}", stops(value))
}

/// A power in stops against full as flashes mark it: 0 is "1/1", -3 "1/8", -3.3 "1/8 -0.3", -2.7 "1/8 +0.3".
///
/// The nearer whole stop is the fraction; half way between two the stronger one is. Empty for what no flash has.
#[must_use]
pub fn power(stops_against_full: f64) -> String {
    if !stops_against_full.is_finite() || libm::fabs(stops_against_full) > 20.0 {
        return String::new();
    }
    let whole = libm::ceil(-stops_against_full - 0.5 - 1e-9).max(0.0);
    let rest = libm::round((stops_against_full + whole) * 10.0) / 10.0;
    let fraction = format!("1/{:.0}", libm::exp2(whole));
    if rest == 0.0 { fraction } else { format!("{fraction} {rest:+.1}") }
}

/// At most two decimals, no trailing zeros.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_read_as_on_the_dial() {
        for (t, text) in [
            (0.005, "1/200"),
            (1.0 / 60.0, "1/60"),
            (0.4, "0.4 s"),
            (2.0, "2 s"),
            (1.3, "1.3 s"),
            (0.5, "0.5 s"),
            (0.25, "1/4"),
            (0.000125, "1/8000"),
            (1.0 / 2.0, "0.5 s"),
            (0.3, "0.3 s"),
            (1.0 / 3.0, "0.33 s"),
        ] {
            assert_eq!(shutter(t), text);
        }
        assert_eq!(aperture(5.6), "f/5.6");
        assert_eq!(aperture(8.0), "f/8");
        assert_eq!(aperture(0.95), "f/0.95");
        assert_eq!(iso(100.0), "ISO 100");
    }

    /// A flash's marks: every whole stop halves the power (1/8 is 2^-3); offsets are tenths or thirds of a stop.
    #[test]
    fn powers_read_as_on_the_flash() {
        let rows = [
            (0.0, "1/1"),
            (-1.0, "1/2"),
            (-3.0, "1/8"),
            (-10.0 / 3.0, "1/8 -0.3"),
            (-8.0 / 3.0, "1/8 +0.3"),
            (-3.5, "1/8 -0.5"),
            (-3.04, "1/8"),
            (-8.0, "1/256"),
            (0.4, "1/1 +0.4"),
            (f64::NAN, ""),
            (-40.0, ""),
        ];
        for (stops, text) in rows {
            assert_eq!(power(stops), text, "{stops}");
        }
    }

    #[test]
    fn an_interval_is_never_written_as_nothing() {
        assert_eq!(plus_minus(-1.0, -1.1, -0.9), "-1.0 ± 0.1");
        assert_eq!(plus_minus(-1.0, -1.0, -1.0), "-1.0 ± 0.1");
        assert_eq!(plus_minus(0.62, 0.4, 0.9), "+0.6 ± 0.3");
        assert_eq!((stops_unit(-1.04), stops_unit(1.3)), ("-1.0 stop".to_owned(), "+1.3 stops".to_owned()));
    }

    #[test]
    fn stops_have_a_sign_and_no_minus_zero() {
        assert_eq!(stops(-0.04), "0.0");
        assert_eq!(stops(0.04), "0.0");
        assert_eq!(stops(-1.0), "-1.0");
        assert_eq!(stops(0.65), "+0.7");
        assert_eq!(stops_between(-1.3, 0.4), "-1.3 to +0.4");
        assert_eq!(stops_between(0.61, 0.63), "+0.6");
    }
}
