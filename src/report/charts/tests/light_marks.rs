//! Lights and shares: every mark is where its figure says, off is a gap, what is not told has its reason and no figure.

use super::scenario::{As, LIGHTS, NIGHT, empty, light, lit_report, shoot, stage};
use super::{items, laid, words};
use crate::report::Report;
use crate::report::charts::sheet::{Item, Sheet};
use crate::report::charts::{draw, lay_out, lettering::Fonts};

const LANES: &str = "lights-over-the-build";
const SHARES: &str = "shares-per-lighting";

/// One stage of these shots of one light alone.
fn one_light(shots: &[As]) -> Report {
    let mut report = empty();
    shoot(&mut report, "Body A", "1", &[stage(NIGHT, shots.len(), -3.0, "")]);
    let shots: Vec<[As; 1]> = shots.iter().map(|shot| [*shot]).collect();
    let shots: Vec<&[As]> = shots.iter().map(<[As; 1]>::as_slice).collect();
    light(&mut report, &["key"], &shots, 0);
    report
}

/// Left edge, upper edge, width, height of every rectangle on a layer.
fn boxes(sheet: &Sheet, id: &str) -> Vec<(f64, f64, f64, f64)> {
    let one = |item: &&Item| match item {
        Item::Rect { x, y, width, height, .. } => Some((*x, *y, *width, *height)),
        _ => None,
    };
    items(sheet, id).iter().filter_map(one).collect()
}

#[test]
fn equal_stops_are_equal_heights_and_whiskers_reach_their_ends() {
    let sheet =
        laid(&one_light(&[As::At(-1.0, 0.5), As::At(0.0, 0.25), As::At(1.0, 0.5), As::At(2.0, 1.0)]), LANES).sheet;
    // The ambient's marks follow those of the light: one each.
    let middles: Vec<f64> = boxes(&sheet, "strengths").iter().take(4).map(|(_, y, _, h)| y + h / 2.0).collect();
    let stop = middles[0] - middles[1];
    assert!(stop > 5.0, "up must be brighter: {middles:?}");
    for pair in middles.windows(2) {
        assert!((pair[0] - pair[1] - stop).abs() < 1e-9);
    }
    for ((middle, reach), (_, y, _, height)) in
        middles.iter().zip([0.5, 0.25, 0.5, 1.0]).zip(boxes(&sheet, "intervals"))
    {
        assert!((middle - y - reach * stop).abs() < 1e-9, "upper end");
        assert!((y + height - middle - reach * stop).abs() < 1e-9, "lower end");
    }
}

#[test]
fn off_is_a_gap_and_a_misfire_has_its_own_mark_and_no_strength() {
    let report = one_light(&[As::At(0.0, 0.1), As::Off, As::Misfire, As::At(0.0, 0.1)]);
    let laid = laid(&report, LANES);
    // Four of the ambient, two of the light.
    assert_eq!(boxes(&laid.sheet, "strengths").len(), 6);
    let crosses = items(&laid.sheet, "misfires");
    assert_eq!(crosses.len(), 2, "two strokes of one cross: {crosses:?}");
    assert_eq!(laid.title, "1 light over 4 shots: key missed in 1 shot");
    let said = words(&laid.sheet, "key");
    assert!(said.contains(&"misfire".to_owned()) && !said.contains(&"not told".to_owned()), "{said:?}");
}

#[test]
fn what_is_not_told_is_hatched_with_the_letter_of_its_reason() {
    let (often, once) = (As::Unknown("the lens changed"), As::Unknown("clipped in every shot"));
    let laid = laid(&one_light(&[once, often, often, often, As::At(0.0, 0.1)]), LANES);
    assert_eq!(words(&laid.sheet, "not-told-letters"), ["b", "a"]);
    assert_eq!(
        words(&laid.sheet, "reasons"),
        ["a", "not told: the lens changed", "b", "not told: clipped in every shot"]
    );
    assert!(laid.detail.contains("Not told (a), 3 times: the lens changed."), "{}", laid.detail);
    assert_eq!(boxes(&laid.sheet, "strengths").len(), 6, "five of the ambient, one of the light");
    assert!(!items(&laid.sheet, "not-told").is_empty());
}

#[test]
fn more_reasons_than_letters_share_the_last() {
    let reasons = ["one", "two", "three", "four", "five", "six", "seven", "eight"];
    let laid = laid(&one_light(&reasons.map(As::Unknown)), LANES);
    let said = words(&laid.sheet, "reasons");
    assert_eq!(said.last().unwrap(), "not told: 3 other reasons, see light-ledger.csv");
    assert_eq!(said.iter().filter(|word| word.len() == 1).count(), 6);
}

#[test]
fn lightings_are_numbered_along_the_edge_and_the_ambient_has_a_lane() {
    let sheet = laid(&lit_report(), LANES).sheet;
    assert_eq!(words(&sheet, "lighting-numbers"), ["lighting", "1", "2", "3", "4"]);
    assert_eq!(words(&sheet, "lane-names"), ["key", "rim", "dust-left", "dust-right", "ambient"]);
    // A picture too dark to tell the ambient has a mark of its own, never a figure.
    let mut dark = lit_report();
    dark.frames.iter_mut().for_each(|f| (f.ambient_stops, f.ambient_headroom_stops) = (None, Some(5.0)));
    let laid = laid(&dark, LANES);
    assert_eq!(items(&laid.sheet, "at-most").len(), dark.frames.len());
    assert!(words(&laid.sheet, "key").contains(&"too dark to tell".to_owned()));
}

#[test]
fn pieces_of_a_bar_are_as_wide_as_their_shares() {
    // Lighting 2 of the scenario: key 60 %, rim 20 %, ambient 12 %; the rest, 8 %, is not told.
    let sheet = laid(&lit_report(), SHARES).sheet;
    let (left, _, width, _) = boxes(&sheet, "ambient")[0];
    let whole = width + 2.0;
    // The lines of the axis, each a pixel wide: 0 %, 25 %, … 100 %.
    let lines: Vec<f64> = boxes(&sheet, "axis").iter().filter(|b| b.2 == 1.0).map(|b| b.0 + 0.5).collect();
    assert!(
        (lines[0] - left).abs() < 1e-9 && (lines[4] - left - whole).abs() < 1e-9,
        "100 % reaches from end to end: {lines:?}"
    );
    let lights: Vec<f64> = boxes(&sheet, "lights").iter().map(|(_, _, width, _)| width + 2.0).collect();
    assert!((lights[0] - 0.6 * whole).abs() < 1e-6, "{lights:?} of {whole}");
    assert!(lights.iter().any(|width| (width - 0.2 * whole).abs() < 1e-6), "{lights:?}");
    let hatched = boxes(&sheet, "not-told").iter().map(|(_, _, width, _)| width + 2.0).fold(0.0, f64::max);
    assert!((hatched - 0.3 * whole).abs() < 1e-6, "lighting 4 does not tell 30 %: {hatched} of {whole}");
    let said = words(&sheet, "bar-words");
    for wanted in ["ambient 100 %", "key 60 %", "rim 20 %", "not told 30 %"] {
        assert!(said.contains(&wanted.to_owned()), "{wanted}: {said:?}");
    }
}

#[test]
fn shares_over_the_whole_are_brought_to_it_and_an_upper_end_is_hatched() {
    let mut report = lit_report();
    let account = &mut report.lightings[1].detail.light_account;
    account.each_light[0].share_of_frame_percent = Some(90.0);
    account.each_light[1].share_of_frame_percent = Some(30.0);
    account.ambient.share_percent = None;
    let laid_out = laid(&report, SHARES);
    assert!(laid_out.detail.contains("Lighting 2: key 75 %, rim 25 %."), "{}", laid_out.detail);
    report.lightings[1].detail.light_account.each_light[0].share_of_frame_percent = Some(68.0);
    let ambient = &mut report.lightings[1].detail.light_account.ambient;
    (ambient.share_percent, ambient.at_most) = (Some(5.0), true);
    let laid_out = laid(&report, SHARES);
    assert!(laid_out.detail.contains("Lighting 2: key 68 %, rim 30 %, ambient at most 2.0 %."), "{}", laid_out.detail);
}

#[test]
fn without_lights_there_is_no_chart_of_them() {
    let fonts = Fonts::load().unwrap();
    let names = |report: &Report| lay_out(report, &fonts).iter().map(|laid| laid.name).collect::<Vec<_>>();
    let mut report = lit_report();
    assert!(names(&report).contains(&LANES) && names(&report).contains(&SHARES));
    for lighting in &mut report.lightings {
        lighting.detail.light_account.each_light.iter_mut().for_each(|l| l.share_of_frame_percent = None);
        lighting.detail.light_account.ambient.share_percent = None;
    }
    assert!(!names(&report).contains(&SHARES), "no share is known");
    (report.lights, report.light_ledger, report.lightings) = (Vec::new(), Vec::new(), Vec::new());
    assert!(!names(&report).contains(&LANES));
}

#[test]
fn many_lights_over_many_shots_stay_small() {
    let (_, report) = super::documents::shoots().into_iter().find(|(name, _)| *name == "600 shots, 14 lights").unwrap();
    assert!(report.frames.len() >= 600 && report.lights.len() == 14);
    for chart in draw(&report).unwrap().iter().filter(|chart| [LANES, SHARES].contains(&chart.name)) {
        assert!(chart.svg.len() < 900_000, "{}: {} bytes", chart.name, chart.svg.len());
        let height: f64 = chart.svg.split("height=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
        assert!(height < 1800.0, "{}: {height} pixels high", chart.name);
    }
    let lanes = laid(&report, LANES).sheet;
    assert!(items(&lanes, "strengths").iter().all(|item| matches!(item, Item::Polygon { .. })));
    assert_eq!(LIGHTS.len(), 4);
}
