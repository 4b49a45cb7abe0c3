//! Exposure: every mark is where its figure says, and a shot without a figure has no mark.

use super::scenario::{NIGHT, Set, empty, evening_report, shoot, stage};
use super::{items, laid, words};
use crate::report::Report;
use crate::report::charts::sheet::{Item, Sheet};

const NAME: &str = "exposure-over-the-build";

fn discs(sheet: &Sheet) -> Vec<(f64, f64)> {
    items(sheet, "mean")
        .iter()
        .map(|i| if let Item::Disc { centre, .. } = i { *centre } else { panic!("{i:?}") })
        .collect()
}

fn levels(values: &[Option<f64>]) -> Report {
    let mut report = empty();
    shoot(&mut report, "Body A", "1", &[stage(NIGHT, values.len(), 0.0, "")]);
    for (frame, value) in report.frames.iter_mut().zip(values) {
        frame.mean_luminance_stops = *value;
        frame.mean_luminance = value.map(|v| 0.18 * libm::exp2(v));
        frame.median_luminance = frame.mean_luminance;
    }
    report
}

/// Middle of the mid-grey line in an SVG, in logical pixels.
fn mid_grey_in_svg(svg: &str) -> (f64, Vec<f64>) {
    let document = roxmltree::Document::parse(svg).unwrap();
    let number = |node: &roxmltree::Node, name: &str| node.attribute(name).unwrap().parse::<f64>().unwrap();
    let group = |id: &str| document.descendants().find(|n| n.attribute("id") == Some(id)).unwrap();
    let line = group("exposure-over-the-build-mid-grey").children().find(|n| n.has_tag_name("rect")).unwrap();
    let middle = number(&line, "y") + number(&line, "height") / 2.0;
    let marks = group("exposure-over-the-build-mean");
    let marks = marks.children().filter(|n| n.has_tag_name("circle")).map(|n| number(&n, "cy") / 2.0).collect();
    (middle / 2.0, marks)
}

#[test]
fn a_shot_at_mid_grey_stands_on_the_mid_grey_line() {
    let charts = crate::report::charts::draw(&levels(&[Some(0.0), Some(-6.3), Some(1.7)])).unwrap();
    let (line, marks) = mid_grey_in_svg(&charts[0].svg);
    assert!((marks[0] - line).abs() <= 0.5, "{} against {line}", marks[0]);
    assert!(marks[1] > line + 50.0 && marks[2] < line - 10.0);
}

#[test]
fn equal_stops_are_equal_heights_and_equal_shots_equal_widths() {
    let values = [-8.0, -6.0, -4.0, -2.0, 0.0, 2.0].map(Some);
    let marks = discs(&laid(&levels(&values), NAME).sheet);
    let (dx, dy) = (marks[1].0 - marks[0].0, marks[0].1 - marks[1].1);
    assert!(dx > 0.0 && dy > 0.0);
    for pair in marks.windows(2) {
        assert!((pair[1].0 - pair[0].0 - dx).abs() < 1e-9);
        assert!((pair[0].1 - pair[1].1 - dy).abs() < 1e-9);
    }
}

#[test]
fn the_median_is_drawn_where_its_stops_are() {
    // Mean and median are the same figure here: 0.18 * 2^v and v.
    let sheet = laid(&levels(&[Some(-3.0), Some(1.5)]), NAME).sheet;
    for (disc, bar) in discs(&sheet).iter().zip(items(&sheet, "median")) {
        let Item::Rect { y, height, .. } = bar else { panic!("{bar:?}") };
        assert!((disc.1 - (y + height / 2.0)).abs() < 1e-9);
    }
}

#[test]
fn there_is_a_mark_for_each_measured_shot_and_none_for_others() {
    let values = [Some(-3.0), None, Some(f64::NAN), Some(f64::NEG_INFINITY), Some(-2.0), Some(f64::INFINITY)];
    let laid = laid(&levels(&values), NAME);
    assert_eq!(discs(&laid.sheet).len(), 2);
    assert_eq!(items(&laid.sheet, "black").len(), 1);
    // The line is broken at what is not known: no piece joins the two marks over the gap.
    assert!(items(&laid.sheet, "mean-line").is_empty());
    assert_eq!(
        laid.title,
        "Mean luminance over 3 of 6 shots: from \u{2212}3.0 to \u{2212}2.0 stops from mid-grey, one picture black"
    );
}

#[test]
fn nothing_measured_is_said_in_words_and_not_drawn_as_zero() {
    let laid = laid(&levels(&[None, None]), NAME);
    assert!(discs(&laid.sheet).is_empty() && items(&laid.sheet, "median").is_empty());
    assert_eq!(laid.title, "Mean luminance over 2 shots: not known, no picture could be measured");
    let all: Vec<String> = laid.sheet.layers.iter().flat_map(|l| words(&laid.sheet, l.id)).collect();
    assert!(all.iter().any(|t| t == "not known: no picture could be measured"));
}

#[test]
fn the_title_states_both_ends() {
    let report = levels(&[Some(-9.1), Some(-5.0), Some(-2.4)]);
    assert_eq!(
        laid(&report, NAME).title,
        "Mean luminance over 3 shots: from \u{2212}9.1 to \u{2212}2.4 stops from mid-grey"
    );
    let one = levels(&[Some(-3.12)]);
    assert_eq!(laid(&one, NAME).title, "Mean luminance over 1 shot: \u{2212}3.1 stops from mid-grey");
    assert!(
        laid(&report, NAME)
            .detail
            .contains("Darkest: shot 1 in stage 1, \u{2212}9.1 stops. Brightest: shot 3 in stage 1")
    );
}

/// Left and upper-middle of the pieces of a step line, one per height.
fn heights(sheet: &Sheet, id: &str) -> Vec<f64> {
    let mut found: Vec<f64> = Vec::new();
    for item in items(sheet, id) {
        let Item::Rect { y, height, .. } = item else {
            continue;
        };
        if (*height - 3.0).abs() < 1e-9 && found.last() != Some(y) {
            found.push(*y);
        }
    }
    found
}

#[test]
fn settings_step_by_their_stops_with_brighter_up() {
    // f/8 to f/4 is +2 stops, ISO 100 to 400 is +2, 1/200 to 1/50 is +2: closed form, f-number squared and ratios.
    let open = Set { f_number: 4.0, ..NIGHT };
    let long = Set { time: ("1/50", 1.0 / 50.0), ..open };
    let high = Set { iso: 400, ..long };
    let mut report = empty();
    let stages =
        [stage(NIGHT, 5, -5.0, ""), stage(open, 5, -4.0, ""), stage(long, 5, -4.0, ""), stage(high, 5, -4.0, "")];
    shoot(&mut report, "Body A", "1", &stages);
    let sheet = laid(&report, NAME).sheet;
    let step = |id: &str| {
        let y = heights(&sheet, id);
        assert_eq!(y.len(), 2, "{id}");
        y[0] - y[1]
    };
    let (aperture, shutter, iso) = (step("aperture"), step("shutter"), step("iso"));
    assert!(aperture > 20.0, "{aperture}");
    assert!((aperture - shutter).abs() < 1e-9 && (aperture - iso).abs() < 1e-9);
    assert_eq!(words(&sheet, "aperture"), ["f/8", "f/4"]);
    assert_eq!(words(&sheet, "shutter"), ["1/200", "1/50"]);
    assert_eq!(words(&sheet, "iso"), ["ISO 100", "ISO 400"]);
}

#[test]
fn a_setting_that_is_not_known_leaves_a_gap() {
    let mut report = evening_report();
    report.frames.iter_mut().for_each(|f| f.f_number = None);
    let sheet = laid(&report, NAME).sheet;
    assert!(heights(&sheet, "aperture").is_empty());
    assert_eq!(words(&sheet, "aperture"), ["not known"]);
}

#[test]
fn cameras_stand_apart_and_each_begins_at_its_own_settings() {
    let mut report = empty();
    shoot(&mut report, "Body A", "1", &[stage(NIGHT, 6, -4.0, "")]);
    shoot(&mut report, "Body A", "2", &[stage(Set { iso: 800, ..NIGHT }, 6, -2.0, "")]);
    let sheet = laid(&report, NAME).sheet;
    assert_eq!(words(&sheet, "cameras"), ["Body A", "Body A, body 2"]);
    let marks = discs(&sheet);
    let (within, between) = (marks[1].0 - marks[0].0, marks[6].0 - marks[5].0);
    assert!((between - within - 44.0).abs() < 1e-9);
    // Eleven shots have a neighbour, ten of them of the same camera.
    assert_eq!(items(&sheet, "mean-line").len(), 10);
    // ISO 800 on a second body is where that body began, not three stops above the first one.
    assert_eq!(heights(&sheet, "iso").len(), 1);
}
