//! Lights over the build: one lane per light over the shots, and the ambient below.
//!
//! A mark is a light's strength in stops against its own reference frame, its bar the 90 % interval; a gap where it is off.

use super::super::{FrameRow, LedgerRow, Report};
use super::ink::{EDGE, FIRM, INK, PLOT_LEFT, PLOT_RIGHT, RULE, SMALL, SOFT, TEXT, WIDTH};
use super::lettering::{Anchor, Fonts};
use super::light_lane::{Lane, Mark, View};
use super::lit::{Reasons, names, places};
use super::shapes::{Key, cross, hatched, point_down};
use super::sheet::{Area, PLAIN, Sheet, Style};
use super::strip::Strip;
use super::wording::{count, stops};
use super::{Laid, heading};

/// Height that all lanes of lights together may take.
const ROOM: f64 = 620.0;
/// A lane is never lower than a line of text, nor higher than this.
const LOWEST: f64 = 34.0;
const HIGHEST: f64 = 116.0;
/// Room for the numbers of the lightings.
const NUMBERS: f64 = 34.0;

/// Lays the chart out; None while no light is told apart.
pub fn lay_out(report: &Report, fonts: &Fonts) -> Option<Laid> {
    let names = names(report);
    if names.is_empty() || report.light_ledger.is_empty() {
        return None;
    }
    let reasons = Reasons::of(report.light_ledger.iter().filter(|row| not_told(row)));
    let lanes = lanes(report, &names, &reasons);
    let ambient = Lane { name: "ambient".to_owned(), marks: report.frames.iter().map(ambient).collect() };
    let title = title(report, &names);
    let detail = detail(report, &reasons);
    let strip = Strip::new(report);
    let mut sheet = Sheet::new(WIDTH);

    let baseline = heading(&mut sheet, fonts, &title);
    let baseline = key(&mut sheet, fonts, baseline, &lanes, &ambient);
    let top = baseline + 18.0;
    let words = strip.bands(&mut Sheet::new(WIDTH), fonts, top, top);
    let height = (ROOM / lanes.len() as f64).clamp(LOWEST, HIGHEST);
    let first = words + NUMBERS;
    let below = first + height * lanes.len() as f64;
    let bottom = below + height.max(64.0);
    strip.bands(&mut sheet, fonts, top, bottom);
    lighting_numbers(&mut sheet, fonts, &strip, report, (words, bottom));

    let (low, high) = range(&lanes);
    for (place, lane) in lanes.iter().enumerate() {
        let top = first + height * place as f64;
        lane.draw(&mut sheet, fonts, &strip, &View { top, bottom: top + height, low, high });
    }
    let (low, high) = range(std::slice::from_ref(&ambient));
    sheet.layer("lane-edges");
    sheet.across((EDGE, PLOT_RIGHT), below, 2.0, INK);
    ambient.draw(&mut sheet, fonts, &strip, &View { top: below, bottom, low, high });
    sheet.across((EDGE, PLOT_RIGHT), bottom, 1.0, INK);
    let foot = strip.foot(&mut sheet, fonts, &report.frames, bottom);
    sheet.height = legend(&mut sheet, fonts, &reasons, foot).ceil();
    Some(Laid { name: "lights-over-the-build", title, detail, sheet })
}

fn not_told(row: &LedgerRow) -> bool {
    row.misfire != "yes" && (row.on == "unknown" || (row.on == "yes" && row.light_stops.is_none()))
}

fn lanes(report: &Report, names: &[String], reasons: &Reasons) -> Vec<Lane> {
    let places = places(report, names);
    let blank = |name: &String| Lane { name: name.clone(), marks: vec![Mark::None; report.frames.len()] };
    let mut lanes: Vec<Lane> = names.iter().map(blank).collect();
    for row in &report.light_ledger {
        let lane = places.get(row.light_index).copied().flatten().and_then(|place| lanes.get_mut(place));
        if let Some(mark) = lane.and_then(|lane| lane.marks.get_mut(row.frame_index)) {
            *mark = match row.light_stops.filter(|stops| stops.is_finite()) {
                _ if row.misfire == "yes" => Mark::Misfire,
                _ if not_told(row) => Mark::NotTold(reasons.letter(row)),
                Some(at) if row.on == "yes" => Mark::within(at, row.light_stops_low, row.light_stops_high),
                _ => Mark::None,
            };
        }
    }
    lanes
}

fn ambient(frame: &FrameRow) -> Mark {
    match (frame.ambient_stops.filter(|stops| stops.is_finite()), frame.ambient_headroom_stops) {
        (Some(at), _) => Mark::within(at, frame.ambient_stops_low, frame.ambient_stops_high),
        // Its height is known no better than "at most", so its course is not.
        (None, Some(_)) => Mark::AtMost,
        (None, None) => Mark::NotTold(""),
    }
}

/// Lowest and highest stop that the marks need; a very wide interval is cut at two stops from its figure.
fn range(lanes: &[Lane]) -> (f64, f64) {
    let marks = lanes.iter().flat_map(|lane| &lane.marks);
    let ends = marks.filter_map(|mark| match mark {
        Mark::Within { at, low, high } => Some((low.max(at - 2.0), high.min(at + 2.0))),
        _ => None,
    });
    ends.fold((-0.5, 0.5), |(low, high), (l, h)| (f64::min(low, l), f64::max(high, h)))
}

fn title(report: &Report, names: &[String]) -> String {
    let shots = count(report.frames.len(), "shot", "shots");
    let mut missed: Vec<(&str, usize)> = names
        .iter()
        .map(|name| {
            let rows = report.light_ledger.iter().filter(|row| row.light == *name && row.misfire == "yes");
            (name.as_str(), rows.count())
        })
        .filter(|(_, number)| *number > 0)
        .collect();
    missed.sort_by_key(|(_, number)| std::cmp::Reverse(*number));
    let over = format!("{} over {shots}", count(names.len(), "light", "lights"));
    match missed.as_slice() {
        [] => format!("{over}: no misfire seen"),
        [(name, number)] => format!("{over}: {name} missed in {}", count(*number, "shot", "shots")),
        [(name, number), rest @ ..] => {
            let others = count(rest.len(), "other light", "other lights");
            let all: usize = rest.iter().map(|(_, number)| number).sum();
            format!("{over}: {name} missed in {}, {others} {all} times", count(*number, "shot", "shots"))
                .replace("1 times", "once")
        }
    }
}

/// What the chart shows beyond its title, in words.
fn detail(report: &Report, reasons: &Reasons) -> String {
    let mut text =
        "A lane per light: its strength in stops against its own reference frame, settings taken out, with the 90 % \
                    interval; a gap where it is off; the ambient below."
            .to_owned();
    let strongest = report.light_ledger.iter().filter_map(|row| Some((row, row.light_stops?)));
    if let Some((row, at)) = strongest.reduce(|a, b| if b.1 > a.1 { b } else { a }) {
        text.push_str(&format!(
            " Strongest against its reference: {}, shot {}, {} stops.",
            row.light,
            row.frame_index + 1,
            stops(at, true)
        ));
    }
    for (letter, reason, number) in reasons.lines() {
        text.push_str(&format!(
            " Not told ({letter}), {}: {}.",
            count(number, "time", "times"),
            reason.trim_end_matches('.')
        ));
    }
    text
}

fn key(sheet: &mut Sheet, fonts: &Fonts, baseline: f64, lanes: &[Lane], ambient: &Lane) -> f64 {
    sheet.layer("key");
    let has = |wanted: fn(&Mark) -> bool| lanes.iter().chain([ambient]).flat_map(|lane| &lane.marks).any(wanted);
    let mut key = Key { fonts, x: EDGE, y: baseline };
    key.say(sheet, 14.0, "strength, 90 % interval", |sheet, (x, y)| {
        sheet.rect((x - 6.0, y - 11.0), 12.0, 22.0, FIRM);
        sheet.across((x - 7.0, x + 7.0), y, 4.0, INK);
    });
    if has(|mark| *mark == Mark::Misfire) {
        key.say(sheet, 18.0, "misfire", |sheet, at| cross(sheet, at, 8.0, INK));
    }
    if has(|mark| matches!(mark, Mark::NotTold(_))) {
        key.say(sheet, 36.0, "not told", |sheet, (x, y)| {
            hatched(sheet, Area { left: x - 18.0, top: y - 9.0, right: x + 18.0, bottom: y + 9.0 }, FIRM);
        });
    }
    if has(|mark| *mark == Mark::AtMost) {
        key.say(sheet, 16.0, "too dark to tell", |sheet, at| point_down(sheet, at, 8.0, INK));
    }
    key.say(sheet, 0.0, "nothing drawn: off", |_, _| {});
    key.y
}

/// Numbers of the lightings along the edge, over the shots that share them.
fn lighting_numbers(sheet: &mut Sheet, fonts: &Fonts, strip: &Strip, report: &Report, (top, bottom): (f64, f64)) {
    let mut runs: Vec<(Option<u32>, usize, usize)> = Vec::new();
    let firsts: Vec<usize> = strip.sequences.iter().map(|sequence| sequence.first).collect();
    for (index, frame) in report.frames.iter().enumerate() {
        match runs.last_mut() {
            Some((lighting, _, last)) if *lighting == frame.lighting && !firsts.contains(&index) => *last = index,
            _ => runs.push((frame.lighting, index, index)),
        }
    }
    sheet.layer("lighting-numbers");
    sheet.text((EDGE, top + 25.0), "lighting", Style { ink: SOFT, ..PLAIN });
    for (_, first, _) in &runs {
        sheet.down(strip.span(*first, *first).0, (top, bottom), 2.0, RULE);
    }
    let numbered: Vec<(u32, f64, f64)> = runs
        .iter()
        .filter_map(|(lighting, first, last)| {
            let (left, right) = strip.span(*first, *last);
            let number = (*lighting)?;
            Some((number, f64::midpoint(left, right), fonts.width(&number.to_string(), TEXT, true)))
        })
        .collect();
    let step = super::thin::step_that_fits(&numbered, (PLOT_LEFT - 20.0, PLOT_RIGHT + EDGE), 6.0);
    for (number, x, _) in numbered.iter().filter(|(number, _, _)| number.is_multiple_of(step)) {
        sheet.text((*x, top + 25.0), number.to_string(), Style { bold: true, anchor: Anchor::Middle, ..PLAIN });
    }
    sheet.across((EDGE, PLOT_RIGHT), top + NUMBERS, 1.0, RULE);
}

/// The letters of the reasons and what they mean. Returns where the sheet may end.
fn legend(sheet: &mut Sheet, fonts: &Fonts, reasons: &Reasons, top: f64) -> f64 {
    sheet.layer("reasons");
    let mut baseline = top + 12.0;
    for (letter, reason, _) in reasons.lines() {
        sheet.text((EDGE, baseline), letter, Style { bold: true, size: SMALL, ..PLAIN });
        for line in fonts.wrap(&format!("not told: {reason}"), SMALL, false, WIDTH - 2.0 * EDGE - 30.0, 2) {
            sheet.text((EDGE + 30.0, baseline), line, Style { size: SMALL, ink: SOFT, ..PLAIN });
            baseline += 29.0;
        }
    }
    if reasons.lines().is_empty() { top } else { baseline + EDGE - 18.0 }
}
