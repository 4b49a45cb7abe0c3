//! Words: none overlaps another or leaves the sheet, however long or many; figures are written as people read them.

use super::documents::shoots;
use super::scenario::evening_report;
use super::{laid, words};
use crate::report::FrameRow;
use crate::report::charts::lay_out;
use crate::report::charts::lettering::Fonts;
use crate::report::charts::sheet::{Area, Item, text_area};
use crate::report::charts::wording::{Setting, clock, percent, stops};

#[test]
fn no_text_meets_another_or_leaves_the_sheet() {
    let fonts = Fonts::load().unwrap();
    for (shoot, report) in shoots() {
        for chart in lay_out(&report, &fonts) {
            let sheet = Area { left: 0.0, top: 0.0, right: chart.sheet.width, bottom: chart.sheet.height };
            let mut seen: Vec<(Area, &str)> = Vec::new();
            for item in chart.sheet.layers.iter().flat_map(|l| &l.items) {
                let Item::Text { at, text, style } = item else {
                    continue;
                };
                let area = text_area(&fonts, *at, text, *style);
                assert!(area.inside(&sheet), "{shoot}, {}: {text:?} leaves the sheet", chart.name);
                assert!(style.size >= 22.0, "{shoot}, {}: {text:?} is too small for a phone", chart.name);
                if let Some((_, other)) = seen.iter().find(|(a, _)| a.meets(&area)) {
                    panic!("{shoot}, {}: {text:?} lies over {other:?}", chart.name);
                }
                seen.push((area, text));
            }
            assert!(seen.len() > 5, "{shoot}, {}", chart.name);
        }
    }
}

#[test]
fn many_stages_keep_some_numbers_and_few_keep_all() {
    let (_, large) = shoots().into_iter().find(|(name, _)| *name == "600 shots").unwrap();
    let kept = words(&laid(&large, "exposure-over-the-build").sheet, "stage-numbers");
    assert!(kept.len() > 10 && kept.len() < 60, "{kept:?}");
    let all = words(&laid(&evening_report(), "exposure-over-the-build").sheet, "stage-numbers");
    assert_eq!(all, ["stage", "1", "2", "3", "4", "5", "6", "7", "8"]);
}

#[test]
fn stops_have_a_true_minus_sign_and_no_signed_zero() {
    assert_eq!(stops(-9.14, false), "\u{2212}9.1");
    assert_eq!(stops(0.62, true), "+0.6");
    assert_eq!(stops(0.62, false), "0.6");
    assert_eq!(stops(-0.04, true), "0.0");
    assert_eq!(stops(0.0, true), "0.0");
}

#[test]
fn percent_never_rounds_something_to_nothing_or_not_all_to_all() {
    let said = [0.0, 0.000_004, 0.04, 0.994, 0.995, 4.06, 99.94, 99.99, 100.0].map(percent);
    let want = ["0 %", "under 0.01 %", "0.04 %", "0.99 %", "1.0 %", "4.1 %", "99.9 %", "over 99.9 %", "100 %"];
    assert_eq!(said, want);
}

#[test]
fn a_clock_time_is_read_only_from_a_time() {
    assert_eq!(clock("2024-11-02T19:02:13.250+01:00"), Some("19:02"));
    for none in ["", "2024-11-02", "2024-11-02T", "2024-11-02Tab:cd", "2024-11-02T1\u{e9}:02"] {
        assert_eq!(clock(none), None, "{none}");
    }
}

#[test]
fn settings_are_written_as_the_report_marks_them() {
    let marked = FrameRow { f_number: Some(5.6), settings: "f/5.6, 1/200, ISO 100".into(), ..FrameRow::default() };
    assert_eq!(Setting::Aperture.marked(&marked).as_deref(), Some("f/5.6"));
    assert_eq!(Setting::Shutter.marked(&marked), None);
    let bare = FrameRow { f_number: Some(1.2), exposure_time_s: Some(0.005), iso: Some(64), ..FrameRow::default() };
    assert_eq!(Setting::Aperture.marked(&bare).as_deref(), Some("f/1.2"));
    assert_eq!(Setting::Shutter.marked(&bare).as_deref(), Some("1/200"));
    assert_eq!(Setting::Iso.marked(&bare).as_deref(), Some("ISO 64"));
    let slow = FrameRow { exposure_time_s: Some(1.3), ..FrameRow::default() };
    assert_eq!(Setting::Shutter.marked(&slow).as_deref(), Some("1.3 s"));
    // A setting that no exposure can have is not known rather than infinitely bright.
    assert_eq!(Setting::Aperture.level(&FrameRow { f_number: Some(0.0), ..FrameRow::default() }), None);
    assert_eq!(Setting::Shutter.level(&FrameRow { exposure_time_s: Some(-1.0), ..FrameRow::default() }), None);
}

#[test]
fn long_words_are_cut_with_an_ellipsis_and_wrapped_between_words() {
    let fonts = Fonts::load().unwrap();
    let long = "a light more, a wide softbox from high at the left of the dancer and some way behind";
    let cut = fonts.cut(long, 22.0, false, 200.0);
    assert!(cut.ends_with('…') && fonts.width(&cut, 22.0, false) <= 200.0 && cut.len() > 12);
    let lines = fonts.wrap(long, 22.0, false, 400.0, 2);
    assert_eq!(lines.len(), 2);
    assert!(lines.iter().all(|l| fonts.width(l, 22.0, false) <= 400.0));
    assert!(long.starts_with(&lines[0]) && lines[1].ends_with('…'));
    assert_eq!(fonts.wrap("rim on", 22.0, false, 400.0, 2), ["rim on"]);
    assert_eq!(fonts.cut("rim", 22.0, false, 1.0), "");
}

#[test]
fn widths_are_those_of_the_fonts_an_svg_falls_back_to() {
    // Advance widths of Arial, in 1/2048 em (from memory; Arimo is drawn to them): 0 is 1139, m is 1706, i is 455.
    let fonts = Fonts::load().unwrap();
    for (text, units) in [("0", 1139.0), ("m", 1706.0), ("i", 455.0), ("0m", 2845.0)] {
        assert!((fonts.width(text, 2048.0, false) - units).abs() < 1e-9, "{text}");
    }
}
