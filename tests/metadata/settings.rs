//! Aperture, exposure time and ISO: plain, by APEX, contradicted, out of range.

use stoptally::metadata::{ExposureMode, Lens, Marked, Orientation, WhiteBalance};
use stoptally::problem::Code;

use crate::frame::{complete, with, without};
use crate::support::{Entry, ascii, codes, long, rational, read_entries, short, signed};

#[test]
fn a_complete_block_is_read_whole_and_without_a_flaw() {
    let (main, exif) = complete();
    let metadata = read_entries(&main, &exif);
    assert_eq!(codes(&metadata), []);
    assert_eq!(metadata.make.as_deref(), Some("Tramshed Optical"));
    assert_eq!(metadata.model.as_deref(), Some("T-1"));
    assert_eq!(metadata.body_serial.as_deref(), Some("0042"));
    assert_eq!(metadata.lens, Lens::Named("50mm F1.4".to_owned()));
    assert_eq!(metadata.f_number, Some(Marked { num: 28, den: 5 }));
    assert_eq!(metadata.exposure_time_s, Some(Marked { num: 1, den: 200 }));
    assert_eq!(metadata.iso, Some(100));
    assert_eq!(metadata.focal_length_mm, Some(50.0));
    assert_eq!(metadata.exposure_compensation_stops, Some(-1.0 / 3.0));
    assert_eq!(metadata.white_balance, Some(WhiteBalance::Manual));
    assert_eq!(metadata.exposure_mode, Some(ExposureMode::Manual));
    assert_eq!(metadata.orientation, Orientation::RightTop);
    let taken = metadata.taken.unwrap();
    assert_eq!(taken.local.to_string(), "2024-03-09T19:30:05.05");
    assert_eq!((taken.fraction_digits, taken.offset_minutes), (2, Some(60)));
}

#[test]
fn an_aperture_that_is_none_is_absent_with_its_own_code() {
    // n/0 and 0/0 are unknown (common practice, no source); a zero and f/10000 are no apertures.
    for (num, den) in [(0, 0), (56, 0), (0, 10), (10_000, 1), (u32::MAX, 1), (1, u32::MAX)] {
        let metadata = with(0x829D, Some(rational(0x829D, &[(num, den)])));
        assert_eq!((metadata.f_number, codes(&metadata)), (None, vec![Code::ApertureInvalid]), "{num}/{den}");
        assert_eq!(metadata.flaws[0].detail.as_deref(), Some(format!("{num}/{den}").as_str()));
    }
    let wrong_type = with(0x829D, Some(ascii(0x829D, "5.6")));
    assert_eq!((wrong_type.f_number, codes(&wrong_type)), (None, vec![Code::ApertureInvalid]));
    let empty = with(0x829D, Some(rational(0x829D, &[])));
    assert_eq!((empty.f_number, codes(&empty)), (None, vec![Code::ApertureInvalid]));
}

#[test]
fn a_time_of_exposure_that_is_none_is_absent_with_its_own_code() {
    for (num, den) in [(0, 0), (1, 0), (0, 200), (100_000, 1), (1, u32::MAX)] {
        let metadata = with(0x829A, Some(rational(0x829A, &[(num, den)])));
        assert_eq!((metadata.exposure_time_s, codes(&metadata)), (None, vec![Code::ShutterInvalid]), "{num}/{den}");
    }
    let bulb = with(0x829A, Some(rational(0x829A, &[(120, 1)])));
    assert_eq!(bulb.exposure_time_s, Some(Marked { num: 120, den: 1 }));
}

#[test]
fn apex_stands_in_only_where_the_plain_value_is_left_out() {
    // Exif 2.2 (JEITA CP-3451) table 48: Av 5 is f/5.6, Tv 8 is 1/250 s.
    let stands_in =
        without(&[0x829A, 0x829D, 0x9201, 0x9202], &[signed(0x9201, &[(8, 1)]), rational(0x9202, &[(5, 1)])]);
    assert_eq!(stands_in.f_number, Some(Marked { num: 28, den: 5 }));
    assert_eq!(stands_in.exposure_time_s, Some(Marked { num: 1, den: 250 }));
    assert_eq!(codes(&stands_in), [Code::ApexUsed, Code::ApexUsed]);
    // A zero is what writers leave who do not know, 0/0 is unknown: neither is f/1.0 or 1 s.
    for unknown in [(0, 1), (0, 0), (5, 0)] {
        let more = [signed(0x9201, &[unknown]), signed(0x9202, &[unknown])];
        let metadata = without(&[0x829A, 0x829D, 0x9201, 0x9202], &more);
        assert_eq!((metadata.f_number, metadata.exposure_time_s), (None, None));
        assert_eq!(codes(&metadata), [Code::ApertureMissing, Code::ShutterMissing], "{unknown:?}");
    }
    let unknown_lens = with(0x829D, Some(rational(0x829D, &[(0, 0)])));
    assert_eq!(unknown_lens.f_number, None);
}

#[test]
fn apex_that_contradicts_by_more_than_a_third_of_a_stop_is_told() {
    // The plain values are f/5.6 (Av 4.9709) and 1/200 s (Tv 7.6439).
    for (tag, value, told) in [
        (0x9202, (53, 10), None),
        (0x9202, (54, 10), Some(Code::ApertureContradicts)),
        (0x9202, (4, 1), Some(Code::ApertureContradicts)),
        (0x9201, (79, 10), None),
        (0x9201, (8, 1), Some(Code::ShutterContradicts)),
        (0x9201, (-1, 1), Some(Code::ShutterContradicts)),
    ] {
        let metadata = with(tag, Some(signed(tag, &[value])));
        assert_eq!(codes(&metadata), Vec::from_iter(told), "{tag:X} {value:?}");
        assert_eq!(metadata.f_number, Some(Marked { num: 28, den: 5 }));
        assert_eq!(metadata.exposure_time_s, Some(Marked { num: 1, den: 200 }));
    }
}

#[test]
fn iso_above_its_old_field_is_read_from_the_long_ones() {
    // 65535 stands for that or more: XMP specification part 3 (January 2020) p. 64. SensitivityType as in ExifRead 3.5.1.
    let iso = |entries: &[Entry]| {
        let metadata = without(&[0x8827], entries);
        (metadata.iso, codes(&metadata))
    };
    let capped = short(0x8827, &[65535]);
    let [output, index, speed] = [long(0x8831, &[204_800]), long(0x8832, &[102_400]), long(0x8833, &[409_600])];
    let kind = |value| short(0x8830, &[value]);
    let all = |value| vec![capped.clone(), kind(value), output.clone(), index.clone(), speed.clone()];
    assert_eq!(iso(&all(1)), (Some(204_800), vec![]));
    assert_eq!(iso(&all(2)), (Some(102_400), vec![]));
    assert_eq!(iso(&all(3)), (Some(409_600), vec![]));
    // Several meant, but they differ, or nothing says which is meant.
    for undecided in [0, 4, 5, 6, 7, 99] {
        assert_eq!(iso(&all(undecided)), (None, vec![Code::IsoCapped]), "{undecided}");
    }
    let same = vec![capped.clone(), kind(4), long(0x8831, &[102_400]), index.clone()];
    assert_eq!(iso(&same), (Some(102_400), vec![]));
    assert_eq!(iso(&[capped.clone(), index.clone()]), (Some(102_400), vec![]));
    assert_eq!(iso(std::slice::from_ref(&capped)), (None, vec![Code::IsoCapped]));
    // A long value below the limit cannot be what the short one stands for.
    assert_eq!(iso(&[capped, kind(2), long(0x8832, &[800])]), (None, vec![Code::IsoCapped]));
    assert_eq!(iso(&[kind(2), index]), (Some(102_400), vec![]));
    assert_eq!(iso(&[]), (None, vec![Code::IsoMissing]));
    // The field may hold several values; the first counts (Exif 2.2 printed p. 32).
    assert_eq!(iso(&[short(0x8827, &[400, 0, 0])]), (Some(400), vec![]));
    assert_eq!(iso(&[short(0x8827, &[0])]), (None, vec![Code::IsoInvalid]));
    assert_eq!(iso(&[long(0x8827, &[u32::MAX])]), (None, vec![Code::IsoInvalid]));
    assert_eq!(iso(&[ascii(0x8827, "400")]), (None, vec![Code::IsoInvalid]));
}
