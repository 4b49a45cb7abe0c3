//! Clipping and the account of changes: every mark is where its figure says.

use super::scenario::{NIGHT, Set, empty, evening_report, shoot, stage};
use super::{items, laid, words};
use crate::report::Report;
use crate::report::charts::sheet::Item;

fn clipped(values: &[Option<f64>]) -> Report {
    let mut report = empty();
    shoot(&mut report, "Body A", "1", &[stage(NIGHT, values.len(), -3.0, "")]);
    for (frame, value) in report.frames.iter_mut().zip(values) {
        frame.highlights_clipped_percent = *value;
        frame.highlights_clipped_r_percent = *value;
        frame.highlights_clipped_g_percent = Some(0.0);
        frame.highlights_clipped_b_percent = None;
    }
    report
}

fn tops(report: &Report) -> Vec<f64> {
    let sheet = laid(report, "clipping-per-frame").sheet;
    let middle = |i: &&Item| {
        if let Item::Rect { y, height, .. } = i { y + height / 2.0 } else { panic!("{i:?}") }
    };
    items(&sheet, "highlights").iter().map(middle).collect()
}

#[test]
fn clipping_rises_one_step_per_tenfold_and_none_is_a_line_on_the_floor() {
    let y = tops(&clipped(&[0.0, 0.01, 0.1, 1.0, 10.0, 100.0].map(Some)));
    assert_eq!(y.len(), 6);
    for pair in y.windows(2) {
        assert!((pair[0] - pair[1] - 54.0).abs() < 1e-9);
    }
}

#[test]
fn a_shot_without_figures_has_no_mark_and_zero_has_one() {
    let report = clipped(&[Some(0.0), None, Some(2.0), Some(f64::NAN)]);
    assert_eq!(tops(&report).len(), 2);
    let laid = laid(&report, "clipping-per-frame");
    assert_eq!(items(&laid.sheet, "highlights-columns").len(), 1);
    assert_eq!(items(&laid.sheet, "red").len(), 1);
    assert!(items(&laid.sheet, "green").is_empty() && items(&laid.sheet, "blue").is_empty());
    assert_eq!(laid.title, "Highlights clipped in 1 of 2 measured of 4 shots; most in shot 3 (stage 1): 2.0 %");
    assert_eq!(super::laid(&clipped(&[Some(0.0)]), "clipping-per-frame").title, "No highlights clipped in 1 shot");
}

/// Left and right edge of the first rectangle on a layer.
fn edges(report: &Report, id: &str) -> (f64, f64) {
    let sheet = laid(report, "settings-and-light").sheet;
    let all = items(&sheet, id);
    let Some(Item::Rect { x, width, .. }) = all.first() else { panic!("{all:?}") };
    (*x, x + width)
}

fn one_change(to: Set, light: [Option<f64>; 3], why: &str) -> Report {
    let mut report = empty();
    let mut second = stage(to, 3, -3.0, "a light more");
    second.light = light;
    second.why = why.into();
    shoot(&mut report, "Body A", "1", &[stage(NIGHT, 3, -4.0, ""), second]);
    report
}

#[test]
fn bars_are_as_long_as_their_stops() {
    let open = Set { f_number: 4.0, ..NIGHT };
    let settings = edges(&one_change(open, [Some(1.0); 3], ""), "settings");
    let light = edges(&one_change(open, [Some(1.0); 3], ""), "light");
    // f/8 to f/4 is two stops, the light did one, both from the same zero.
    assert!((settings.0 - light.0).abs() < 1e-9);
    assert!((settings.1 - settings.0 - 2.0 * (light.1 - light.0)).abs() < 1e-9);
    let darker = edges(&one_change(open, [Some(-1.0); 3], ""), "light");
    assert!((darker.1 - darker.0) > 50.0);
}

#[test]
fn an_open_change_is_hatched_from_low_to_high_and_never_a_bar() {
    let report = one_change(Set { f_number: 4.0, ..NIGHT }, [None, Some(1.0), Some(2.0)], "");
    let sheet = laid(&report, "settings-and-light").sheet;
    assert!(items(&sheet, "light").is_empty());
    let (left, right) = edges(&report, "light-between");
    let (zero, two) = edges(&report, "settings");
    assert!((two - right).abs() < 1e-9 && (f64::midpoint(zero, two) - left).abs() < 1e-9);
    assert_eq!(words(&sheet, "light-between"), ["+1.0 to +2.0"]);
}

#[test]
fn one_end_alone_is_open_to_its_side() {
    for (light, said) in [([None, Some(0.5), None], "+0.5 or more"), ([None, None, Some(-0.5)], "\u{2212}0.5 or less")]
    {
        let sheet = laid(&one_change(NIGHT, light, ""), "settings-and-light").sheet;
        assert_eq!(words(&sheet, "light-between"), [said]);
    }
}

#[test]
fn what_is_not_known_has_its_reason_and_no_mark() {
    let laid = laid(&one_change(NIGHT, [None; 3], "the lens changed"), "settings-and-light");
    assert!(items(&laid.sheet, "light").is_empty() && items(&laid.sheet, "light-between").is_empty());
    assert_eq!(words(&laid.sheet, "light-unknown"), ["not known: the lens changed"]);
    assert!(laid.title.ends_with("at any of them"));
}

#[test]
fn the_title_names_the_largest_change_of_light() {
    let title = laid(&evening_report(), "settings-and-light").title;
    assert_eq!(
        title,
        "Beyond the settings, the light changed most at the start of stage 4: +1.1 stops (known at 4 of 7 stage changes)"
    );
}

#[test]
fn flash_and_ambient_are_told_apart_where_they_differ() {
    let long = Set { time: ("1/50", 1.0 / 50.0), ..NIGHT };
    let sheet = laid(&one_change(long, [Some(0.0); 3], ""), "settings-and-light").sheet;
    assert_eq!(words(&sheet, "settings"), ["0.0 flash, +2.0 ambient"]);
    // A change of nothing is a visible line on zero, told apart from what is not known.
    assert_eq!(words(&sheet, "light"), ["0.0"]);
    assert_eq!(items(&sheet, "light").len(), 2);
}
