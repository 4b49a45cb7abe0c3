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
