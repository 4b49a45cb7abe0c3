//! Lens, names, focal length, compensation, white balance, orientation and who chose the exposure.

use stoptally::metadata::{ExposureMode, Lens, WhiteBalance};
use stoptally::problem::Code;

use crate::frame::{with, without};
use crate::support::{Entry, ascii, codes, rational, short, signed};

#[test]
fn lens_by_name_by_specification_or_not_at_all() {
    let specification = rational(0xA432, &[(24, 1), (70, 1), (28, 10), (28, 10)]);
    let lens = |entries: &[Entry]| without(&[0xA434], entries).lens;
    assert_eq!(lens(&[ascii(0xA434, "A lens"), specification.clone()]), Lens::Named("A lens".to_owned()));
    for name in ["", "   ", "----"] {
        let entries = [ascii(0xA434, name), specification.clone()];
        assert_eq!(lens(&entries), Lens::Specified("24-70 mm f/2.8".to_owned()), "{name:?}");
    }
    assert_eq!(lens(&[rational(0xA432, &[(0, 0); 4])]), Lens::Unknown);
    assert_eq!(lens(&[]), Lens::Unknown);
}

#[test]
fn lesser_fields_that_make_no_sense_are_not_known() {
    for (entry, code) in [
        (signed(0x9204, &[(0, 0)]), Code::FieldInvalid),
        (signed(0x9204, &[(99, 1)]), Code::FieldInvalid),
        (rational(0x920A, &[(0, 1)]), Code::FocalLengthInvalid),
        (rational(0x920A, &[(50, 0)]), Code::FocalLengthInvalid),
        (short(0xA403, &[7]), Code::FieldInvalid),
        (short(0x0112, &[0]), Code::OrientationInvalid),
        (short(0x0112, &[9]), Code::OrientationInvalid),
        (ascii(0x0112, "up"), Code::OrientationInvalid),
        (ascii(0x010F, "a\x1b[2Jb"), Code::FieldInvalid),
        (ascii(0x010F, "\0after a NUL"), Code::FieldInvalid),
        (ascii(0xA431, "\x10\x15`"), Code::FieldInvalid),
    ] {
        let metadata = with(entry.tag, Some(entry.clone()));
        assert_eq!(codes(&metadata), [code], "{entry:?}");
    }
    let metadata = with(0x9204, Some(signed(0x9204, &[(0, 0)])));
    assert_eq!(metadata.exposure_compensation_stops, None);
    assert_eq!(with(0x9204, Some(signed(0x9204, &[(0, 6)]))).exposure_compensation_stops, Some(0.0));
    assert_eq!(with(0xA403, Some(short(0xA403, &[7]))).white_balance, None);
    assert_eq!(with(0xA403, Some(short(0xA403, &[0]))).white_balance, Some(WhiteBalance::Auto));
    assert_eq!(with(0x920A, Some(rational(0x920A, &[(50, 0)]))).focal_length_mm, None);
    assert_eq!(with(0x010F, Some(ascii(0x010F, "a\x1b[2Jb"))).make.as_deref(), Some("a\u{FFFD}[2Jb"));
    assert_eq!(with(0xA431, Some(ascii(0xA431, "00000"))).body_serial, None);
    assert_eq!(with(0xA431, Some(ascii(0xA431, "\x10\x15`"))).body_serial, None);
    assert_eq!(with(0x010F, Some(ascii(0x010F, "before\0after"))).make.as_deref(), Some("before"));
}

#[test]
fn exposure_mode_needs_two_fields_that_agree() {
    // Exif 2.2 printed p. 32 (34850) and p. 42 (41986).
    let mode = |program: Option<u16>, mode: Option<u16>| {
        let entries =
            program.map(|value| short(0x8822, &[value])).into_iter().chain(mode.map(|value| short(0xA402, &[value])));
        without(&[0x8822, 0xA402], &entries.collect::<Vec<_>>()).exposure_mode
    };
    use ExposureMode::{Automatic, Manual};
    for (program, mode_field, expected) in [
        (Some(1), Some(1), Some(Manual)),
        (Some(1), None, Some(Manual)),
        (None, Some(1), Some(Manual)),
        (Some(0), Some(1), Some(Manual)),
        (Some(3), Some(0), Some(Automatic)),
        (Some(2), None, Some(Automatic)),
        (None, Some(0), Some(Automatic)),
        (Some(1), Some(2), Some(Manual)),
        (Some(1), Some(0), None),
        (Some(0), Some(2), None),
        (None, None, None),
    ] {
        assert_eq!(mode(program, mode_field), expected, "{program:?} {mode_field:?}");
    }
}
