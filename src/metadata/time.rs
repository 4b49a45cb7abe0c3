//! When the frame was taken: date and time as the camera's clock showed it, fraction of the second, zone.
//!
//! `DateTime` is never taken for the time of capture: it is the time the file was last changed (Exif 2.2, JEITA CP-3451,
//! printed p. 30-31), and an edited frame would move to the end of the shoot without anyone noticing. No time at all is seen; a wrong one is not.

use jiff::civil::DateTime;

use super::Taken;
use super::clock::{date_time, fraction, offset};
use super::fields::{Fields, Found};
use super::tags;
use crate::problem::{Code, Flaw};

/// Reads the time of capture, else the time of digitising.
pub(super) fn read(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<Taken> {
    let original = clock(fields, tags::DATE_TIME_ORIGINAL);
    let digitized = clock(fields, tags::DATE_TIME_DIGITIZED);
    let (local, fraction_tag, offset_tag) = match (original, digitized) {
        (Found::Value(local), _) => (local, tags::SUB_SEC_TIME_ORIGINAL, tags::OFFSET_TIME_ORIGINAL),
        (first, Found::Value(local)) => {
            flaws.push(Flaw { code: Code::TimeDigitized, detail: in_words(first, tags::DATE_TIME_ORIGINAL) });
            (local, tags::SUB_SEC_TIME_DIGITIZED, tags::OFFSET_TIME_DIGITIZED)
        }
        (first, second) => {
            flaws.push(not_known(fields, first, second));
            return None;
        }
    };
    let (nanosecond, fraction_digits) = sub_second(fields, fraction_tag, flaws);
    let local = local.with().subsec_nanosecond(nanosecond).build().unwrap_or(local);
    Some(Taken { local, fraction_digits, offset_minutes: zone(fields, offset_tag, local, flaws) })
}

/// Why a date field gives no time, in words.
fn in_words(found: Found<DateTime>, tag: u16) -> Option<String> {
    match found {
        Found::Blank => Some(format!("{} is blank", tags::name(tag))),
        Found::Malformed(words) => Some(words),
        Found::Absent | Found::Value(_) => None,
    }
}

/// The flaw of a file that gives no time: the worst that was met, malformed before blank before missing.
fn not_known(fields: &Fields, original: Found<DateTime>, digitized: Found<DateTime>) -> Flaw {
    let malformed = |clock: &Found<DateTime>| matches!(clock, Found::Malformed(_));
    let (code, detail) = if malformed(&original) {
        (Code::TimeMalformed, in_words(original, tags::DATE_TIME_ORIGINAL))
    } else if malformed(&digitized) {
        (Code::TimeMalformed, in_words(digitized, tags::DATE_TIME_DIGITIZED))
    } else if original == Found::Blank {
        (Code::TimeBlank, in_words(original, tags::DATE_TIME_ORIGINAL))
    } else if digitized == Found::Blank {
        (Code::TimeBlank, in_words(digitized, tags::DATE_TIME_DIGITIZED))
    } else {
        let changed = match clock(fields, tags::DATE_TIME) {
            Found::Value(at) => Some(format!("the file was last changed {at:.0}, which is not the time of capture")),
            _ => None,
        };
        (Code::TimeMissing, changed)
    };
    Flaw { code, detail }
}

/// Reads a date field.
fn clock(fields: &Fields, tag: u16) -> Found<DateTime> {
    match fields.text(tag) {
        Found::Absent => Found::Absent,
        Found::Blank => Found::Blank,
        Found::Malformed(words) => Found::Malformed(words),
        Found::Value(found) => match date_time(&found.text) {
            Found::Malformed(quoted) => Found::Malformed(format!("{} reads {quoted}", tags::name(tag))),
            read => read,
        },
    }
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

/// Offset from UTC in minutes. `OffsetTime` belongs to `DateTime`; it speaks for the capture only while both fields
/// still show one moment, because a program that edits the file writes its own zone there.
fn zone(fields: &Fields, tag: u16, local: DateTime, flaws: &mut Vec<Flaw>) -> Option<i16> {
    let untouched = matches!(clock(fields, tags::DATE_TIME), Found::Value(at) if at == local.with().subsec_nanosecond(0).build().unwrap_or(local));
    for (tag, speaks) in [(tag, true), (tags::OFFSET_TIME, untouched)] {
        let words = match fields.text(tag) {
            _ if !speaks => continue,
            Found::Absent | Found::Blank => continue,
            Found::Malformed(words) => words,
            Found::Value(found) if found.text.chars().all(|letter| matches!(letter, ' ' | ':')) => {
                continue;
            }
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
