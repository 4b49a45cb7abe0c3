//! What a file says about itself, checked on EXIF blocks that hold one peculiarity each.

#[path = "support/tiff.rs"]
mod support;

use stoptally::metadata::{ExposureMode, Lens, Marked, Metadata, Orientation, WhiteBalance, read};
use stoptally::problem::Code;
use stoptally::walk::Kind;
use support::{Block, Entry, Value, ascii, block, codes, file, jpeg, long, rational, read_entries, short, signed};

/// A block with every field in order, as a camera writes it.
fn complete() -> (Vec<Entry>, Vec<Entry>) {
    let main = vec![
        ascii(0x010F, "Tramshed Optical "), ascii(0x0110, "T-1"), short(0x0112, &[6]),
        ascii(0x0132, "2024:03:09 19:30:05"),
    ];
    let exif = vec![
        rational(0x829A, &[(10, 2000)]), rational(0x829D, &[(56, 10)]), short(0x8822, &[1]), short(0x8827, &[100]),
        ascii(0x9003, "2024:03:09 19:30:05"), ascii(0x9004, "2024:03:09 19:30:05"), ascii(0x9011, "+01:00"),
        signed(0x9201, &[(7_643_856, 1_000_000)]), rational(0x9202, &[(497_085, 100_000)]), signed(0x9204, &[(-1, 3)]),
        rational(0x920A, &[(50, 1)]), ascii(0x9291, "05 "), short(0xA402, &[1]), short(0xA403, &[1]),
        ascii(0xA431, "0042"), ascii(0xA434, "50mm F1.4"),
    ];
    (main, exif)
}

/// The complete block with one Exif entry replaced, or left out where `entry` is None.
fn with(tag: u16, entry: Option<Entry>) -> Metadata {
    let (main, exif) = complete();
    let replace = |all: Vec<Entry>| -> Vec<Entry> {
        let mut all: Vec<_> = all.into_iter().filter(|old| old.tag != tag).collect();
        all.extend(entry.clone());
        all
    };
    if main.iter().any(|old| old.tag == tag) { read_entries(&replace(main), &exif) } else { read_entries(&main, &replace(exif)) }
}

/// The complete block with Exif entries in place of all those of the given tags.
fn without(tags: &[u16], more: &[Entry]) -> Metadata {
    let (main, exif) = complete();
    let keep = |all: Vec<Entry>| all.into_iter().filter(|old| !tags.contains(&old.tag)).collect::<Vec<_>>();
    let (main, mut exif) = (keep(main), keep(exif));
    exif.extend_from_slice(more);
    read_entries(&main, &exif)
}

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
    let stands_in = without(&[0x829A, 0x829D, 0x9201, 0x9202], &[signed(0x9201, &[(8, 1)]), rational(0x9202, &[(5, 1)])]);
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
    assert_eq!(iso(&[capped.clone()]), (None, vec![Code::IsoCapped]));
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

#[test]
fn missing_blank_and_malformed_times_are_three_things() {
    let time = |entries: &[Entry]| {
        let metadata = without(&[0x9003, 0x9004], entries);
        (metadata.taken.as_ref().map(|taken| taken.local.to_string()), codes(&metadata))
    };
    let blank = ascii(0x9003, "    :  :     :  :  ");
    let zero = ascii(0x9003, "0000:00:00 00:00:00");
    let bad = ascii(0x9003, "2024:02:30 12:00:00");
    let digitized = ascii(0x9004, "2024:03:09 19:30:06");
    assert_eq!(time(&[]), (None, vec![Code::TimeMissing]));
    assert_eq!(time(&[blank.clone()]), (None, vec![Code::TimeBlank]));
    assert_eq!(time(&[zero]), (None, vec![Code::TimeBlank]));
    assert_eq!(time(&[bad.clone()]), (None, vec![Code::TimeMalformed]));
    assert_eq!(time(&[short(0x9003, &[2024])]), (None, vec![Code::TimeMalformed]));
    // The fraction 0.05 s belongs to the original and is not borrowed for the other field.
    let from_digitized = Some("2024-03-09T19:30:06".to_owned());
    for first in [vec![], vec![blank], vec![bad]] {
        let entries = [first, vec![digitized.clone()]].concat();
        assert_eq!(time(&entries), (from_digitized.clone(), vec![Code::TimeDigitized]));
    }
    // The time of the last change is told, and not taken.
    let changed = without(&[0x9003, 0x9004], &[]);
    assert!(changed.flaws[0].detail.as_deref().is_some_and(|words| words.contains("2024-03-09T19:30:05")), "{changed:?}");
}

#[test]
fn fractions_of_the_second_are_text_with_blanks() {
    // Exif 2.2 (JEITA CP-3451) printed p. 31.
    for (text, local, digits, flaws) in [
        ("130", "2024-03-09T19:30:05.13", 3, vec![]),
        ("130     ", "2024-03-09T19:30:05.13", 3, vec![]),
        ("5", "2024-03-09T19:30:05.5", 1, vec![]),
        ("00", "2024-03-09T19:30:05", 2, vec![]),
        ("     ", "2024-03-09T19:30:05", 0, vec![]),
        ("x1", "2024-03-09T19:30:05", 0, vec![Code::FieldInvalid]),
    ] {
        let metadata = with(0x9291, Some(ascii(0x9291, text)));
        assert_eq!(codes(&metadata), flaws, "{text:?}");
        let taken = metadata.taken.unwrap();
        assert_eq!((taken.local.to_string().as_str(), taken.fraction_digits), (local, digits), "{text:?}");
    }
}

#[test]
fn the_zone_is_the_captures_own_or_an_untouched_files() {
    let zone = |changed: &str, entries: &[Entry]| {
        let (main, exif) = complete();
        let main: Vec<_> = main.into_iter().filter(|old| old.tag != 0x0132).chain([ascii(0x0132, changed)]).collect();
        let exif: Vec<_> = exif.into_iter().filter(|old| old.tag != 0x9011).chain(entries.iter().cloned()).collect();
        let metadata = read_entries(&main, &exif);
        (metadata.taken.clone().unwrap().offset_minutes, codes(&metadata))
    };
    let (as_taken, edited) = ("2024:03:09 19:30:05", "2024:03:10 08:00:00");
    assert_eq!(zone(as_taken, &[ascii(0x9010, "-03:30")]), (Some(-210), vec![]));
    assert_eq!(zone(edited, &[ascii(0x9010, "-03:30")]), (None, vec![]));
    assert_eq!(zone(edited, &[ascii(0x9010, "-03:30"), ascii(0x9011, "+09:00")]), (Some(540), vec![]));
    assert_eq!(zone(edited, &[ascii(0x9011, "   :  ")]), (None, vec![]));
    assert_eq!(zone(as_taken, &[ascii(0x9011, "   :  "), ascii(0x9010, "+02:00")]), (Some(120), vec![]));
    assert_eq!(zone(as_taken, &[ascii(0x9011, "Europe")]), (None, vec![Code::OffsetMalformed]));
    assert_eq!(zone(as_taken, &[ascii(0x9011, "+25:00")]), (None, vec![Code::OffsetMalformed]));
}

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
}

#[test]
fn exposure_mode_needs_two_fields_that_agree() {
    // Exif 2.2 printed p. 32 (34850) and p. 42 (41986).
    let mode = |program: Option<u16>, mode: Option<u16>| {
        let entries = program.map(|value| short(0x8822, &[value])).into_iter().chain(mode.map(|value| short(0xA402, &[value])));
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

#[test]
fn a_broken_block_gives_what_can_be_read() {
    let (main, exif) = complete();
    for order in support::ORDERS {
        let whole = block(order, &main, &exif);
        // Breaks off inside the values of the Exif directory: directory 0 and inline values are still there.
        let cut = &whole[..whole.len() - 60];
        let metadata = read(&file(Kind::Jpeg), &jpeg(cut));
        assert!(codes(&metadata).contains(&Code::ExifDamaged), "{metadata:?}");
        assert_eq!(metadata.model.as_deref(), Some("T-1"));
        assert_eq!(metadata.iso, Some(100));
        let garbage = read(&file(Kind::Jpeg), &jpeg(b"no TIFF header at all"));
        assert!(codes(&garbage).contains(&Code::ExifDamaged));
        assert_eq!(garbage.taken, None);
    }
}

#[test]
fn no_exif_is_one_flaw_and_not_six() {
    assert_eq!(codes(&read(&file(Kind::Jpeg), &support::picture(0xC0, 8, 8))), [Code::ExifMissing]);
    assert_eq!(codes(&read(&file(Kind::Jpeg), &[])), [Code::FileEmpty]);
    assert_eq!(codes(&read(&file(Kind::Jpeg), b"Dear diary, today")), [Code::NotThisFormat]);
}

#[test]
fn hostile_directories_cost_nothing() {
    for order in support::ORDERS {
        // A directory full of Exif pointers, each to another overlapping table: quadratic for a trusting reader.
        let mut hostile = Block::new(order);
        let pointers: Vec<_> = (0..5000).map(|index| long(0x8769, &[8 + index * 12])).collect();
        hostile.directory(&pointers, 8);
        let metadata = read(&file(Kind::Tiff), &hostile.finish());
        assert_eq!(metadata.taken, None);
        // A text that claims to fill a file of a megabyte with empty strings.
        let mut greedy = Block::new(order);
        let nul = Entry { tag: 0x010F, kind: 2, count: 1 << 20, value: Value::Bytes(vec![0; 1 << 20]) };
        greedy.directory(&[nul, ascii(0x0110, "T-1")], 0);
        let metadata = read(&file(Kind::Tiff), &greedy.finish());
        assert_eq!((metadata.make.as_deref(), metadata.model.as_deref()), (None, Some("T-1")));
        assert_eq!(codes(&metadata)[0], Code::ExifDamaged);
    }
}
