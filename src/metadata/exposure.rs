//! How the frame was exposed: f-number, exposure time, ISO, focal length, compensation, and who chose them.

use super::fields::{Fields, Found, Fraction};
use super::{ExposureMode, Marked, WhiteBalance, apex, tags};
use crate::problem::{Code, Flaw};

/// F-numbers a lens or a pinhole can have (common practice, no source).
const F_NUMBERS: std::ops::RangeInclusive<f64> = 0.5..=512.0;
/// Exposure times in seconds, from an electronic shutter's shortest to a day (common practice, no source).
const TIMES_S: std::ops::RangeInclusive<f64> = 1e-6..=86_400.0;
/// ISO values of any camera (common practice, no source).
const ISOS: std::ops::RangeInclusive<u32> = 1..=10_000_000;
/// Focal lengths in millimetres, from a fisheye's to an astronomer's (common practice, no source).
const FOCAL_LENGTHS_MM: std::ops::RangeInclusive<f64> = 0.1..=20_000.0;
/// Compensation beyond this is no setting of any camera (common practice, no source).
const WIDEST_COMPENSATION: f64 = 15.0;
/// What the SHORT field reads when the ISO is this or more (XMP specification part 3, January 2020, p. 64).
const CAPPED: u32 = 65_535;

/// One of the two settings that are written as a plain fraction and once more in APEX units.
struct Setting {
    plain: u16,
    apex: u16,
    range: std::ops::RangeInclusive<f64>,
    to_apex: fn(f64) -> f64,
    from_apex: fn(f64) -> Option<Marked>,
    missing: Code,
    invalid: Code,
    contradicts: Code,
}

/// The f-number.
pub(super) fn f_number(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<Marked> {
    setting(
        fields,
        flaws,
        &Setting {
            plain: tags::F_NUMBER,
            apex: tags::APERTURE_VALUE,
            range: F_NUMBERS,
            to_apex: apex::aperture,
            from_apex: apex::f_number,
            missing: Code::ApertureMissing,
            invalid: Code::ApertureInvalid,
            contradicts: Code::ApertureContradicts,
        },
    )
}

/// The exposure time in seconds.
pub(super) fn time(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<Marked> {
    setting(
        fields,
        flaws,
        &Setting {
            plain: tags::EXPOSURE_TIME,
            apex: tags::SHUTTER_SPEED_VALUE,
            range: TIMES_S,
            to_apex: apex::shutter,
            from_apex: apex::exposure_time,
            missing: Code::ShutterMissing,
            invalid: Code::ShutterInvalid,
            contradicts: Code::ShutterContradicts,
        },
    )
}

/// The plain value; the APEX value only where there is no plain one at all. A plain value that makes no sense is a
/// camera that does not know (a lens without contacts), and its APEX value is then no better.
fn setting(fields: &Fields, flaws: &mut Vec<Flaw>, setting: &Setting) -> Option<Marked> {
    let written = fields.fraction(setting.apex).value().and_then(apex::known);
    let refused = match fields.fraction(setting.plain) {
        Found::Absent => match written.and_then(setting.from_apex) {
            Some(stand_in) => {
                flaws.push(Flaw::with(Code::ApexUsed, tags::name(setting.apex)));
                return Some(stand_in);
            }
            None => {
                flaws.push(Flaw::plain(setting.missing));
                return None;
            }
        },
        Found::Blank => blank(setting.plain),
        Found::Malformed(words) => words,
        Found::Value(fraction) => match marked(fraction, &setting.range) {
            Some(plain) => {
                if let Some(written) =
                    written.filter(|&written| apex::contradicts((setting.to_apex)(plain.value()), written))
                {
                    let words = format!("{}/{} against APEX {written:.2}", plain.num, plain.den);
                    flaws.push(Flaw::with(setting.contradicts, words));
                }
                return Some(plain);
            }
            None => fraction.to_string(),
        },
    };
    flaws.push(Flaw::with(setting.invalid, refused));
    None
}

/// A fraction above zero and within a range, in lowest terms.
fn marked(fraction: Fraction, range: &std::ops::RangeInclusive<f64>) -> Option<Marked> {
    let within = fraction.value().is_some_and(|value| range.contains(&value));
    let (num, den) = (fraction.num.unsigned_abs(), fraction.den.unsigned_abs());
    within.then(|| Marked::reduced(u32::try_from(num).ok()?, u32::try_from(den).ok()?)).flatten()
}

/// The ISO: the SHORT field, or the LONG ones of Exif 2.3 where that is at its limit or absent.
pub(super) fn iso(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<u32> {
    let (code, detail) = match fields.uint(tags::PHOTOGRAPHIC_SENSITIVITY) {
        Found::Value(CAPPED) => match long_iso(fields).filter(|&value| value >= CAPPED) {
            Some(iso) if ISOS.contains(&iso) => return Some(iso),
            Some(iso) => (Code::IsoInvalid, Some(iso.to_string())),
            None => (Code::IsoCapped, None),
        },
        Found::Value(iso) if ISOS.contains(&iso) => return Some(iso),
        Found::Value(iso) => (Code::IsoInvalid, Some(iso.to_string())),
        Found::Absent => match long_iso(fields) {
            Some(iso) if ISOS.contains(&iso) => return Some(iso),
            Some(iso) => (Code::IsoInvalid, Some(iso.to_string())),
            None => (Code::IsoMissing, None),
        },
        Found::Blank => (Code::IsoInvalid, Some(blank(tags::PHOTOGRAPHIC_SENSITIVITY))),
        Found::Malformed(words) => (Code::IsoInvalid, Some(words)),
    };
    flaws.push(Flaw { code, detail });
    None
}

/// The LONG value that says what the SHORT one stands for. `SensitivityType`: 1 standard output sensitivity,
/// 2 recommended exposure index, 3 ISO speed, 4 to 7 several of them with one value (Exif 2.3, table as in ExifRead
/// 3.5.1). Where the type is not given, or the values differ that should be one, only an undisputed value counts.
fn long_iso(fields: &Fields) -> Option<u32> {
    const ALL: [u16; 3] = [tags::STANDARD_OUTPUT_SENSITIVITY, tags::RECOMMENDED_EXPOSURE_INDEX, tags::ISO_SPEED];
    let [output, index, speed] = ALL;
    let meant: &[u16] = match fields.uint(tags::SENSITIVITY_TYPE).value() {
        Some(1) => &[output],
        Some(2) => &[index],
        Some(3) => &[speed],
        Some(4) => &[output, index],
        Some(5) => &[output, speed],
        Some(6) => &[index, speed],
        _ => &ALL,
    };
    let mut values: Vec<u32> =
        meant.iter().filter_map(|&tag| fields.uint(tag).value()).filter(|&value| value > 0).collect();
    values.dedup();
    match values.as_slice() {
        &[only] => Some(only),
        _ => None,
    }
}

/// The focal length in millimetres.
pub(super) fn focal_length_mm(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<f64> {
    let words = match fields.fraction(tags::FOCAL_LENGTH) {
        Found::Absent => return None,
        Found::Blank => blank(tags::FOCAL_LENGTH),
        Found::Malformed(words) => words,
        Found::Value(fraction) => match fraction.value().filter(|value| FOCAL_LENGTHS_MM.contains(value)) {
            Some(length) => return Some(length),
            None => fraction.to_string(),
        },
    };
    flaws.push(Flaw::with(Code::FocalLengthInvalid, words));
    None
}

/// Exposure compensation in stops; 0 is a value like any other here.
pub(super) fn compensation_stops(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<f64> {
    let words = match fields.fraction(tags::EXPOSURE_BIAS_VALUE) {
        Found::Absent => return None,
        Found::Blank => blank(tags::EXPOSURE_BIAS_VALUE),
        Found::Malformed(words) => words,
        Found::Value(fraction) => match fraction.value().filter(|value| value.abs() <= WIDEST_COMPENSATION) {
            Some(stops) => return Some(stops),
            None => format!("{} reads {fraction}", tags::name(tags::EXPOSURE_BIAS_VALUE)),
        },
    };
    flaws.push(Flaw::with(Code::FieldInvalid, words));
    None
}

/// White balance (41987): 0 automatic, 1 manual.
pub(super) fn white_balance(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<WhiteBalance> {
    match choice(fields, tags::WHITE_BALANCE, 1, flaws)? {
        0 => Some(WhiteBalance::Auto),
        _ => Some(WhiteBalance::Manual),
    }
}

/// Who chose the exposure: 34850 (0 not defined, 1 manual, 2 to 8 programs) and 41986 (0 auto, 1 manual, 2 automatic
/// bracket, which goes with either), Exif 2.2 printed p. 32 and 42. Two that disagree say nothing.
pub(super) fn mode(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<ExposureMode> {
    let program = choice(fields, tags::EXPOSURE_PROGRAM, 8, flaws).filter(|&value| value > 0);
    let mode = choice(fields, tags::EXPOSURE_MODE, 2, flaws).filter(|&value| value < 2);
    match (program.map(|value| value == 1), mode.map(|value| value == 1)) {
        (Some(true), Some(true) | None) | (None, Some(true)) => Some(ExposureMode::Manual),
        (Some(false), Some(false) | None) | (None, Some(false)) => Some(ExposureMode::Automatic),
        (Some(true), Some(false)) | (Some(false), Some(true)) | (None, None) => None,
    }
}

/// A number out of a short list that begins at 0; others are flawed and not known.
fn choice(fields: &Fields, tag: u16, highest: u32, flaws: &mut Vec<Flaw>) -> Option<u32> {
    let words = match fields.uint(tag) {
        Found::Absent => return None,
        Found::Blank => blank(tag),
        Found::Malformed(words) => words,
        Found::Value(value) if value <= highest => return Some(value),
        Found::Value(value) => format!("{} reads {value}", tags::name(tag)),
    };
    flaws.push(Flaw::with(Code::FieldInvalid, words));
    None
}

fn blank(tag: u16) -> String {
    format!("{} is blank", tags::name(tag))
}
