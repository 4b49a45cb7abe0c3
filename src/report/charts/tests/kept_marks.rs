//! Keepers per lighting: every mark is where its rate says, its interval reaches its ends, and what is not known has no mark

use super::scenario::lit_report;
use super::{items, laid, words};
use crate::keepers::proportion::{Of, Z95, wilson};
use crate::report::Report;
use crate::report::charts::sheet::{Item, Sheet};
use crate::report::charts::{draw, lay_out, lettering::Fonts};
use crate::report::keeper_types::KeeperCount;

const NAME: &str = "keepers-per-lighting";

/// Kept and candidate series of a lighting, and the seconds it was shot. None is not known.
pub type Given = (Option<(u32, u32)>, Option<f64>);

/// Gives every lighting its keepers.
pub fn keepers(report: &mut Report, of: &[Given]) {
    for (row, (series, seconds)) in report.lightings.iter_mut().zip(of) {
        let of = series.map(|(some, all)| Of { some, all });
        let ends = of.and_then(|of| wilson(of, Z95));
        row.keepers = Some(series.map_or(0, |s| s.0));
        (row.kept_series, row.candidate_series) = (series.map(|s| s.0), series.map(|s| s.1));
        row.keeper_rate = of.and_then(Of::rate);
        (row.keeper_rate_low, row.keeper_rate_high) = (ends.map(|e| e.low), ends.map(|e| e.high));
        row.seconds = *seconds;
    }
    report.keeper_count = Some(KeeperCount {
        summary: "lighting 3 gave 8 of the 9 keepers, from 7 of 12 series".into(),
        comparison: "no lighting can be called better".into(),
        ..KeeperCount::default()
    });
}

/// The shoot of lights with keepers: none of two, one of four, seven of twelve, no candidate.
pub fn kept_report() -> Report {
    let mut report = lit_report();
    let of =
        [(Some((0, 2)), Some(60.0)), (Some((1, 4)), Some(120.0)), (Some((7, 12)), Some(480.0)), (Some((0, 0)), None)];
    keepers(&mut report, &of);
    report
}

fn discs(sheet: &Sheet) -> Vec<(f64, f64)> {
    let one = |item: &&Item| match item {
        Item::Disc { centre, radius, .. } if *radius <= 8.0 => Some(*centre),
        _ => None,
    };
    items(sheet, "rates").iter().filter_map(one).collect()
}

/// Left edge, width and height of every rectangle on a layer.
fn boxes(sheet: &Sheet, id: &str) -> Vec<(f64, f64, f64)> {
    let one = |item: &&Item| match item {
        Item::Rect { x, width, height, .. } => Some((*x, *width, *height)),
        _ => None,
    };
    items(sheet, id).iter().filter_map(one).collect()
}

#[test]
fn marks_stand_at_their_rates_and_whiskers_reach_their_ends() {
    let mut report = lit_report();
    keepers(&mut report, &[(Some((4, 4)), Some(60.0)), (Some((0, 4)), Some(60.0)), (Some((2, 4)), Some(60.0))]);
    let sheet = laid(&report, NAME).sheet;
    let at = discs(&sheet);
    assert_eq!(at.len(), 3, "a lighting that is not known has no mark");
    let (none, all) = (at[1].0, at[0].0);
    assert!(all > none + 200.0, "more is further right");
    assert!((at[2].0 - f64::midpoint(none, all)).abs() < 1e-9, "half stands in the middle");
    // 2 of 4 by Wilson: 0.150036 to 0.849964 (derived from the formula); the line comes first of three per row.
    let (x, width, _) = boxes(&sheet, "intervals")[6];
    let rate = |x: f64| (x - none) / (all - none);
    assert!((rate(x) - 0.150_036).abs() < 1e-5 && (rate(x + width) - 0.849_964).abs() < 1e-5);
    // 4 of 4 ends at all, 0 of 4 begins at none.
    let (x, width, _) = boxes(&sheet, "intervals")[0];
    assert!((x + width - all).abs() < 1e-9);
    assert!((boxes(&sheet, "intervals")[3].0 - none).abs() < 1e-9);
}

#[test]
fn counts_are_written_and_no_candidate_is_no_rate() {
    let laid = laid(&kept_report(), NAME);
    let said = words(&laid.sheet, "counts");
    for text in ["0 of 2", "1 of 4", "7 of 12", "–", "no candidate", "60 s", "2 min", "8 min", "not known"] {
        assert!(said.contains(&text.to_owned()), "{text}: {said:?}");
    }
    assert_eq!(discs(&laid.sheet).len(), 3);
    assert_eq!(laid.title, "Lighting 3 gave 8 of the 9 keepers, from 7 of 12 series");
    for text in ["Lighting 3: 7 of 12 series (32 to 81 %), 8 min.", "Lighting 4: no candidate, time not known."] {
        assert!(laid.detail.contains(text), "{}", laid.detail);
    }
}

#[test]
fn bars_of_time_are_as_long_as_the_time_and_hatched_where_it_is_not_known() {
    let sheet = laid(&kept_report(), NAME).sheet;
    // Of a bar the first rectangle is its body.
    let widths: Vec<f64> = boxes(&sheet, "minutes").iter().step_by(4).map(|(_, width, _)| *width).collect();
    assert_eq!(widths.len(), 3);
    assert!((widths[1] - 2.0 * widths[0]).abs() < 1e-9 && (widths[2] - 8.0 * widths[0]).abs() < 1e-9, "{widths:?}");
    assert!(items(&sheet, "not-known").iter().any(|item| matches!(item, Item::Line { .. })), "hatching");
}

#[test]
fn a_lighting_of_one_shot_says_so_and_has_no_bar() {
    let mut report = kept_report();
    let bars = boxes(&laid(&report, NAME).sheet, "minutes").len();
    (report.lightings[0].frames, report.lightings[0].seconds) = (1, Some(0.0));
    let laid = laid(&report, NAME);
    let said = words(&laid.sheet, "counts");
    assert!(said.contains(&"one shot".to_owned()) && !said.iter().any(|text| text.contains("0.0")), "{said:?}");
    assert!(laid.detail.contains(", one shot.") && !laid.detail.contains("0.0 s"), "{}", laid.detail);
    assert_eq!(boxes(&laid.sheet, "minutes").len(), bars - 4, "the rectangles of one bar");
}

#[test]
fn long_words_take_the_room_the_marks_can_spare_and_no_more() {
    let whole = "rim 1/16 to 1/8, modifier of rim reflector to reflector with grid";
    let mut report = kept_report();
    report.lightings[3].changed = whole.to_owned();
    let sheet = laid(&report, NAME).sheet;
    assert!(words(&sheet, "words").contains(&whole.to_owned()), "{:?}", words(&sheet, "words"));
    let short = laid(&kept_report(), NAME).sheet;
    // The second mark, at a quarter, and the third, at seven twelfths: a third of the scale lies between them.
    let scale = |sheet: &Sheet| 3.0 * (discs(sheet)[2].0 - discs(sheet)[1].0);
    assert!(scale(&sheet) < scale(&short) && scale(&sheet) > 180.0, "{} {}", scale(&sheet), scale(&short));
    report.lightings[3].changed = whole.repeat(9);
    let longest = laid(&report, NAME).sheet;
    assert!(scale(&longest) > 180.0 && words(&longest, "words").iter().any(|text| text.ends_with('…')));
}

#[test]
fn without_keepers_or_candidates_there_is_no_chart() {
    let fonts = Fonts::load().unwrap();
    let has = |report: &Report| lay_out(report, &fonts).iter().any(|l| l.name == NAME);
    assert!(has(&kept_report()) && !has(&lit_report()));
    let mut none = lit_report();
    keepers(&mut none, &[(Some((0, 0)), Some(9.0)); 4]);
    assert!(!has(&none), "no candidate anywhere");
    keepers(&mut none, &[(None, Some(9.0)); 4]);
    assert!(!has(&none), "series not told apart");
    let names: Vec<_> = draw(&kept_report()).unwrap().iter().map(|c| c.name).collect();
    assert_eq!(names.last(), Some(&NAME));
}
