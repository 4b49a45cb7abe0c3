//! When the frame was taken: date and time as the camera's clock showed it, fraction of the second, zone.
//!
//! Layouts: Exif 2.2 (JEITA CP-3451) printed p. 30-31; zone fields: Exif 2.31. `DateTime` is never taken for the time
//! of capture: it is the time the file was last changed (same page), and an edited frame would move to the end of the
//! shoot without anyone noticing. No time at all is seen; a wrong one is not.

use jiff::civil::DateTime;

use super::Taken;
use super::fields::{Fields, Found};
use super::tags;
use crate::problem::{Code, Flaw};

/// Reads the time of capture, else the time of digitising.
pub(super) fn read(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<Taken> {
    let original = clock(fields, tags::DATE_TIME_ORIGINAL);
    let digitized = clock(fields, tags::DATE_TIME_DIGITIZED);
    let (local, fraction, offset) = match (original, digitized) {
        (Clock::Set(local), _) => (local, tags::SUB_SEC_TIME_ORIGINAL, tags::OFFSET_TIME_ORIGINAL),
        (first, Clock::Set(local)) => {
            flaws.push(Flaw { code: Code::TimeDigitized, detail: first.in_words(tags::DATE_TIME_ORIGINAL) });
            (local, tags::SUB_SEC_TIME_DIGITIZED, tags::OFFSET_TIME_DIGITIZED)
        }
        (first, second) => {
            flaws.push(not_known(fields, first, second));
            return None;
        }
    };
    let (nanosecond, fraction_digits) = sub_second(fields, fraction, flaws);
    let local = local.with().subsec_nanosecond(nanosecond).build().unwrap_or(local);
    Some(Taken { local, fraction_digits, offset_minutes: zone(fields, offset, local, flaws) })
}

/// What a date field says.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Clock {
    Missing,
    Blank,
    Malformed(String),
    Set(DateTime),
}

impl Clock {
    /// Why this field gives no time, in words.
    fn in_words(self, tag: u16) -> Option<String> {
        let name = tags::name(tag);
        match self {
            Self::Blank => Some(format!("{name} is blank")),
            Self::Malformed(words) => Some(format!("{name} reads {words:?}")),
            Self::Missing | Self::Set(_) => None,
        }
    }
}

/// The flaw of a file that gives no time: the worst that was met, malformed before blank before missing.
fn not_known(fields: &Fields, original: Clock, digitized: Clock) -> Flaw {
    let malformed = |clock: &Clock| matches!(clock, Clock::Malformed(_));
    let (code, detail) = if malformed(&original) {
        (Code::TimeMalformed, original.in_words(tags::DATE_TIME_ORIGINAL))
    } else if malformed(&digitized) {
        (Code::TimeMalformed, digitized.in_words(tags::DATE_TIME_DIGITIZED))
    } else if original == Clock::Blank {
        (Code::TimeBlank, original.in_words(tags::DATE_TIME_ORIGINAL))
    } else if digitized == Clock::Blank {
        (Code::TimeBlank, digitized.in_words(tags::DATE_TIME_DIGITIZED))
    } else {
        let changed = match clock(fields, tags::DATE_TIME) {
            Clock::Set(at) => Some(format!("the file was last changed {at:.0}, which is not the time of capture")),
            _ => None,
        };
        (Code::TimeMissing, changed)
    };
    Flaw { code, detail }
}

/// Reads a date field.
fn clock(fields: &Fields, tag: u16) -> Clock {
    match fields.text(tag) {
        Found::Absent => Clock::Missing,
        Found::Blank => Clock::Blank,
        Found::Malformed(words) => Clock::Malformed(words),
        Found::Value(found) => parse(&found.text),
    }
}

/// Reads "YYYY:MM:DD HH:MM:SS". Hyphens or slashes in the date and a T before the time, which some phones write, leave
/// no doubt and are read too. Blanks or zeros in all places mean that the clock was never set.
fn parse(text: &str) -> Clock {
    if text.chars().all(|letter| matches!(letter, ' ' | ':' | '0' | '-' | '/')) {
        return Clock::Blank;
    }
    let read = || -> Option<DateTime> {
        let bytes = text.as_bytes();
        let shape = bytes.len() == 19
            && [4, 7].iter().all(|&at| matches!(bytes.get(at), Some(b':' | b'-' | b'/')))
            && matches!(bytes.get(10), Some(b' ' | b'T'))
            && [13, 16].iter().all(|&at| bytes.get(at) == Some(&b':'));
        let number = |from: usize, to: usize| -> Option<i16> {
            let digits = bytes.get(from..to)?;
            digits.iter().all(u8::is_ascii_digit).then(|| digits.iter().fold(0, |sum, digit| sum * 10 + i16::from(digit - b'0')))
        };
        let small = |from: usize| number(from, from + 2).and_then(|value| i8::try_from(value).ok());
        if !shape {
            return None;
        }
        DateTime::new(number(0, 4)?, small(5)?, small(8)?, small(11)?, small(14)?, small(17)?, 0).ok()
    };
    read().map_or_else(|| Clock::Malformed(text.to_owned()), Clock::Set)
}

/// The fraction of the second in nanoseconds and how many digits it was given with (9 at most).
fn sub_second(fields: &Fields, tag: u16, flaws: &mut Vec<Flaw>) -> (i32, u8) {
    let words = match fields.text(tag) {
        Found::Absent | Found::Blank => return (0, 0),
        Found::Malformed(words) => words,
        Found::Value(found) => match fraction(&found.text) {
            Some(known) => return known,
            None => format!("{} reads {:?}", tags::name(tag), found.text),
        },
    };
    flaws.push(Flaw::with(Code::FieldInvalid, words));
    (0, 0)
}

/// A decimal fraction as text, left-aligned: "13" is 0.13 s, "05" is 0.05 s. Digits beyond the ninth are dropped.
fn fraction(text: &str) -> Option<(i32, u8)> {
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

/// Offset from UTC in minutes. `OffsetTime` belongs to `DateTime`; it speaks for the capture only while both fields
/// still show one moment, because a program that edits the file writes its own zone there.
fn zone(fields: &Fields, tag: u16, local: DateTime, flaws: &mut Vec<Flaw>) -> Option<i16> {
    let untouched = matches!(clock(fields, tags::DATE_TIME), Clock::Set(at) if at == local.with().subsec_nanosecond(0).build().unwrap_or(local));
    for (tag, speaks) in [(tag, true), (tags::OFFSET_TIME, untouched)] {
        let words = match fields.text(tag) {
            _ if !speaks => continue,
            Found::Absent | Found::Blank => continue,
            Found::Malformed(words) => words,
            Found::Value(found) if found.text.chars().all(|letter| matches!(letter, ' ' | ':')) => continue,
            Found::Value(found) => match offset(&found.text) {
                Some(minutes) => return Some(minutes),
                None => format!("{} reads {:?}", tags::name(tag), found.text),
            },
        };
        flaws.push(Flaw::with(Code::OffsetMalformed, words));
        return None;
    }
    None
}

/// Reads "+HH:MM", from -12:00 to +14:00: the zones in use (IANA time zone database).
fn offset(text: &str) -> Option<i16> {
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
        let set = Clock::Set(DateTime::constant(2024, 2, 29, 23, 59, 58, 0));
        for text in ["2024:02:29 23:59:58", "2024-02-29T23:59:58", "2024/02/29 23:59:58"] {
            assert_eq!(parse(text), set, "{text:?}");
        }
        // Blanks in all places, colons may stay: Exif 2.2 printed p. 30. Zeros: common practice, no source.
        for text in ["    :  :     :  :  ", "0000:00:00 00:00:00", "0000-00-00 00:00:00", ":  :     :  :"] {
            assert_eq!(parse(text), Clock::Blank, "{text:?}");
        }
        for text in [
            "2023:02:29 12:00:00", "2024:13:01 12:00:00", "2024:02:29 24:00:00", "2024:02:29 12:00:60", "2024:02:29",
            "2024:02:29 12:00:00Z", "yesterday evening..", "2024:02:2é 12:00:00", "+024:02:29 12:00:00",
        ] {
            assert_eq!(parse(text), Clock::Malformed(text.to_owned()), "{text:?}");
        }
    }

    #[test]
    fn zones_are_whole_or_nothing() {
        for (text, expected) in [
            ("+09:00", Some(540)), ("-03:30", Some(-210)), ("+00:00", Some(0)), ("+14:00", Some(840)), ("-12:00", Some(-720)),
            ("+14:01", None), ("-12:01", None), ("+9:00", None), ("09:00", None), ("+09:60", None), ("+0900", None), ("é", None), ("", None),
        ] {
            assert_eq!(offset(text), expected, "{text:?}");
        }
    }
}
