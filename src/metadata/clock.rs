//! Reads the three spellings of time that EXIF knows: date and time, fraction of the second, zone.
//!
//! Layouts: Exif 2.2 (JEITA CP-3451) printed p. 30-31; zone fields: Exif 2.31.

use jiff::civil::DateTime;

use super::fields::Found;

/// Reads "YYYY:MM:DD HH:MM:SS". Hyphens or slashes in the date and a T before the time, which some phones write, leave
/// no doubt and are read too. Blanks or zeros in all places mean that the clock was never set.
pub(super) fn date_time(text: &str) -> Found<DateTime> {
    if text.chars().all(|letter| matches!(letter, ' ' | ':' | '0' | '-' | '/')) {
        return Found::Blank;
    }
    let read = || -> Option<DateTime> {
        let bytes = text.as_bytes();
        let shape = bytes.len() == 19
            && [4, 7].iter().all(|&at| matches!(bytes.get(at), Some(b':' | b'-' | b'/')))
            && matches!(bytes.get(10), Some(b' ' | b'T'))
            && [13, 16].iter().all(|&at| bytes.get(at) == Some(&b':'));
        let number = |from: usize, to: usize| -> Option<i16> {
            let digits = bytes.get(from..to)?;
            digits
                .iter()
                .all(u8::is_ascii_digit)
                .then(|| digits.iter().fold(0, |sum, digit| sum * 10 + i16::from(digit - b'0')))
        };
        let small = |from: usize| number(from, from + 2).and_then(|value| i8::try_from(value).ok());
        if !shape {
            return None;
        }
        DateTime::new(number(0, 4)?, small(5)?, small(8)?, small(11)?, small(14)?, small(17)?, 0).ok()
    };
    read().map_or_else(|| Found::Malformed(format!("{text:?}")), Found::Value)
}

/// A decimal fraction as text, left-aligned: "13" is 0.13 s, "05" is 0.05 s. Digits beyond the ninth are dropped.
pub(super) fn fraction(text: &str) -> Option<(i32, u8)> {
    if text.is_empty() || !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let mut nanoseconds = 0;
    let mut digits = text.bytes();
    for _ in 0..9 {
        nanoseconds = nanoseconds * 10 + digits.next().map_or(0, |digit| i32::from(digit - b'0'));
    }
    Some((nanoseconds, u8::try_from(text.len().min(9)).ok()?))
}

/// Reads "+HH:MM", from -12:00 to +14:00: the zones in use (IANA time zone database).
pub(super) fn offset(text: &str) -> Option<i16> {
    let (sign, digits) = match text.split_at_checked(1)? {
        ("+", digits) => (1, digits),
        ("-", digits) => (-1, digits),
        _ => return None,
    };
    let (hours, minutes) = digits.split_once(':')?;
    let number = |digits: &str| -> Option<i16> {
        (digits.len() == 2 && digits.bytes().all(|byte| byte.is_ascii_digit())).then(|| digits.parse().ok())?
    };
    let (hours, minutes) = (number(hours)?, number(minutes)?);
    let total = sign * (hours * 60 + minutes);
    (minutes < 60 && (-720..=840).contains(&total)).then_some(total)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_left_aligned_text() {
        // Exif 2.2 printed p. 31: "130", "130 " and "130     " all mean 0.130 s (blanks are trimmed before).
        for (text, expected) in [
            ("130", Some((130_000_000, 3))),
            ("13", Some((130_000_000, 2))),
            ("05", Some((50_000_000, 2))),
            ("5", Some((500_000_000, 1))),
            ("000", Some((0, 3))),
            ("1234567899", Some((123_456_789, 9))),
            ("1.3", None),
            ("-1", None),
            ("", None),
        ] {
            assert_eq!(fraction(text), expected, "{text:?}");
        }
    }

    #[test]
    fn dates_are_set_blank_or_malformed() {
        let set = Found::Value(DateTime::constant(2024, 2, 29, 23, 59, 58, 0));
        for text in ["2024:02:29 23:59:58", "2024-02-29T23:59:58", "2024/02/29 23:59:58"] {
            assert_eq!(date_time(text), set, "{text:?}");
        }
        // Blanks in all places, colons may stay: Exif 2.2 printed p. 30. Zeros: common practice, no source.
        for text in ["    :  :     :  :  ", "0000:00:00 00:00:00", "0000-00-00 00:00:00", ":  :     :  :"] {
            assert_eq!(date_time(text), Found::Blank, "{text:?}");
        }
        for text in [
            "2023:02:29 12:00:00",
            "2024:13:01 12:00:00",
            "2024:02:29 24:00:00",
            "2024:02:29 12:00:60",
            "2024:02:29",
            "2024:02:29 12:00:00Z",
            "yesterday evening..",
            "2024:02:2é 12:00:00",
            "+024:02:29 12:00:00",
        ] {
            assert_eq!(date_time(text), Found::Malformed(format!("{text:?}")), "{text:?}");
        }
    }

    #[test]
    fn zones_are_whole_or_nothing() {
        for (text, expected) in [
            ("+09:00", Some(540)),
            ("-03:30", Some(-210)),
            ("+00:00", Some(0)),
            ("+14:00", Some(840)),
            ("-12:00", Some(-720)),
            ("+14:01", None),
            ("-12:01", None),
            ("+9:00", None),
            ("09:00", None),
            ("+09:60", None),
            ("+0900", None),
            ("é", None),
            ("", None),
        ] {
            assert_eq!(offset(text), expected, "{text:?}");
        }
    }
}
