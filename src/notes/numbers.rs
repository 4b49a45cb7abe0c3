//! Distances, heights and places on the clock face as people type them.

/// Metres: `3.9`, `3,9 m`, `390 cm`. None when it is no length within `range`, in metres.
#[must_use]
pub fn metres(typed: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
    let text = typed.trim().to_lowercase();
    let (number, unit) = match (text.strip_suffix("cm"), text.strip_suffix('m')) {
        (Some(number), _) => (number, 100.0),
        (_, Some(number)) => (number, 1.0),
        _ => (text.as_str(), 1.0),
    };
    decimal(number).map(|n| n / unit).filter(|m| range.contains(m))
}

/// Hours of a clock face, above 0 to 12: `7:30`, `10`, `2.5`, `10 o'clock`. `7.30` may be 7:30 or 7.3 and is refused.
#[must_use]
pub fn clock_hours(typed: &str) -> Option<f64> {
    let text = typed.trim().to_lowercase().replace('’', "'");
    let text = text.strip_suffix("o'clock").unwrap_or(&text).trim_end();
    let hours = match text.split_once([':', 'h']) {
        Some((hour, rest)) => {
            // A spreadsheet adds seconds: 07:30:00.
            let minute = rest.strip_suffix(":00").unwrap_or(rest);
            let whole =
                |t: &str| decimal(t).filter(|_| !t.is_empty() && t.len() <= 2 && t.bytes().all(|b| b.is_ascii_digit()));
            let minute = if minute.is_empty() { 0.0 } else { whole(minute).filter(|m| *m < 60.0)? };
            whole(hour)? + minute / 60.0
        }
        None => decimal(text).filter(|_| text.split(['.', ',']).nth(1).is_none_or(|part| part.len() == 1))?,
    };
    (hours > 0.0 && hours < 13.0).then_some(if hours > 12.0 { hours - 12.0 } else { hours })
}

/// Digits, an optional minus, and at most one decimal point or comma.
pub(super) fn decimal(typed: &str) -> Option<f64> {
    let text = typed.trim().replace(',', ".").replace('\u{2212}', "-");
    let digits = text.strip_prefix('-').unwrap_or(&text);
    let plain = digits.len() <= 12 && digits.bytes().any(|b| b.is_ascii_digit());
    (plain && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.')).then(|| text.parse().ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_and_places() {
        for (text, metre) in [
            ("3.9", Some(3.9)),
            ("3,9 m", Some(3.9)),
            ("390 cm", Some(3.9)),
            ("-1", None),
            ("3'6", None),
            ("12 ft", None),
            ("", None),
        ] {
            assert_eq!(metres(text, 0.01..=1000.0), metre, "{text}");
        }
        for (text, hours) in [
            ("7:30", Some(7.5)),
            ("07:30:00", Some(7.5)),
            ("10", Some(10.0)),
            ("2.5", Some(2.5)),
            ("12", Some(12.0)),
            ("12:30", Some(0.5)),
            ("10 o'clock", Some(10.0)),
            ("7.30", None),
            ("13", None),
            ("0", None),
            ("7:75", None),
            ("left", None),
        ] {
            assert_eq!(clock_hours(text), hours, "{text}");
        }
    }
}
