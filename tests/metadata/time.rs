//! When the frame was taken, and the ways in which a file does not say.

use stoptally::problem::Code;

use crate::frame::{complete, with, without};
use crate::support::{Entry, ascii, codes, read_entries, short};

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
    assert_eq!(time(std::slice::from_ref(&blank)), (None, vec![Code::TimeBlank]));
    assert_eq!(time(&[zero]), (None, vec![Code::TimeBlank]));
    assert_eq!(time(std::slice::from_ref(&bad)), (None, vec![Code::TimeMalformed]));
    assert_eq!(time(&[short(0x9003, &[2024])]), (None, vec![Code::TimeMalformed]));
    // The fraction 0.05 s belongs to the original and is not borrowed for the other field.
    let from_digitized = Some("2024-03-09T19:30:06".to_owned());
    for first in [vec![], vec![blank], vec![bad]] {
        let entries = [first, vec![digitized.clone()]].concat();
        assert_eq!(time(&entries), (from_digitized.clone(), vec![Code::TimeDigitized]));
    }
    // The time of the last change is told, and not taken.
    let changed = without(&[0x9003, 0x9004], &[]);
    assert!(
        changed.flaws[0].detail.as_deref().is_some_and(|words| words.contains("2024-03-09T19:30:05")),
        "{changed:?}"
    );
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
