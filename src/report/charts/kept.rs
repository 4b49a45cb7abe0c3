//! Keepers per lighting: series kept of those that were candidates, with the interval, beside how long each lighting was shot

use super::super::{LightingRow, Report, words as spelled};
use super::ink::{BAND, EDGE, FIRM, INK, PAPER, PLOT_RIGHT, RULE, SMALL, SOFT, WIDTH};
use super::lettering::{Anchor, Fonts};
use super::shapes::{Key, hatched};
use super::sheet::{Area, PLAIN, Sheet, Style, readable};
use super::thin::step_that_fits;
use super::{Laid, heading};

/// Up to this many lightings have words and figures beside their marks; beyond it rows only get lower.
const WORDED: usize = 32;
/// Right edge of the column of counts, with words as short as may be.
const COUNTS: f64 = 516.0;
/// From the counts to the scale of rates, and from its end to the bars of time.
const BEFORE: f64 = 48.0;
const BETWEEN: f64 = 40.0;
/// The right edge of the scale of rates on a sheet without words.
const ALL: f64 = 860.0;
/// Widths of the scale of rates and of the longest bar of time, and the part of each that long words may take.
const RATES: f64 = 296.0;
const RATES_GIVE: f64 = 110.0;
const BARS: f64 = 140.0;
const BARS_GIVE: f64 = 70.0;

/// The columns of a sheet: narrower words leave more room for marks.
struct Columns {
    counts: f64,
    none: f64,
    all: f64,
    time: f64,
    longest: f64,
}

impl Columns {
    /// Long words take room from the marks, as much as they need and the marks can spare.
    fn worded(rows: &[LightingRow], fonts: &Fonts) -> Self {
        let wanted = |row: &LightingRow| {
            let taken = fonts.width(&said(row), PLAIN.size, false) + GAP;
            words_start(fonts) + fonts.width(&change(row), SMALL, false).ceil() + taken - COUNTS
        };
        let more = rows.iter().map(wanted).fold(0.0, f64::max).min(RATES_GIVE + BARS_GIVE);
        let given = |most: f64| most * more / (RATES_GIVE + BARS_GIVE);
        let none = COUNTS + more + BEFORE;
        let all = none + RATES - given(RATES_GIVE);
        let time = all + BETWEEN;
        Self { counts: COUNTS + more, none, all, time, longest: time + BARS - given(BARS_GIVE) }
    }

    fn rate(&self, rate: f64) -> f64 {
        self.none + (self.all - self.none) * rate.clamp(0.0, 1.0)
    }
}

/// Lays the chart out; None where no keepers were asked for, or no lighting has a candidate.
pub fn lay_out(report: &Report, fonts: &Fonts) -> Option<Laid> {
    let count = report.keeper_count.as_ref()?;
    let rows = &report.lightings;
    if !rows.iter().any(|row| row.candidate_series.is_some_and(|series| series > 0)) {
        return None;
    }
    let title = spelled::capital(&count.summary);
    let detail = detail(rows, &count.comparison);
    let mut sheet = Sheet::new(WIDTH);
    let baseline = heading(&mut sheet, fonts, &title);
    let top = key(&mut sheet, fonts, baseline, rows) + 52.0;
    let worded = rows.len() <= WORDED;
    let row = if worded { 46.0 } else { (1400.0 / rows.len() as f64).clamp(2.0, 20.0) };
    let columns = if worded {
        Columns::worded(rows, fonts)
    } else {
        Columns { counts: COUNTS, none: EDGE + 136.0, all: ALL, time: ALL + BETWEEN, longest: PLOT_RIGHT }
    };
    let bottom = top + row * rows.len() as f64;
    axis(&mut sheet, &columns, (top, bottom), worded);
    for layer in ["minutes", "not-known", "intervals", "rates", "counts"] {
        sheet.layer(layer);
    }
    let longest = rows.iter().filter_map(|r| r.seconds).filter(|s| s.is_finite()).fold(0.0, f64::max);
    let mut numbers = Vec::new();
    for (place, lighting) in rows.iter().enumerate() {
        let area = Area {
            left: columns.none,
            right: columns.all,
            top: top + row * place as f64,
            bottom: top + row * (place + 1) as f64,
        };
        if worded {
            words(&mut sheet, fonts, lighting, (&area, columns.counts));
        } else {
            numbers.push((lighting.lighting, f64::midpoint(area.top, area.bottom), PLAIN.size));
        }
        rate(&mut sheet, &columns, lighting, &area, worded);
        time(&mut sheet, &columns, lighting, &area, (longest, worded));
    }
    let step = step_that_fits(&numbers, (top - PLAIN.size, bottom + PLAIN.size), 2.0);
    sheet.layer("lighting-numbers");
    for (number, y, _) in numbers.iter().filter(|(number, _, _)| number.is_multiple_of(step)) {
        sheet.text((EDGE, y + 8.0), number.to_string(), Style { bold: true, ..PLAIN });
    }
    sheet.height = (bottom + EDGE).ceil();
    Some(Laid { name: "keepers-per-lighting", title, detail, sheet })
}

/// "7 of 12", "none of 12"; where series are not told apart the keepers alone.
fn said(row: &LightingRow) -> String {
    match (row.kept_series, row.candidate_series, row.keepers) {
        (Some(_), Some(0), _) => "–".to_owned(),
        (Some(kept), Some(of), _) => format!("{kept} of {of}"),
        (_, _, Some(keepers)) => keepers.to_string(),
        _ => "–".to_owned(),
    }
}

/// The chart in words: every lighting, as long as that can be listened to.
fn detail(rows: &[LightingRow], comparison: &str) -> String {
    let mut text = format!(
        "{}. A row per lighting: series with a keeper, of the series that were candidates, with the 95 % interval of the rate, and how long it was shot.",
        spelled::capital(comparison)
    );
    for row in rows.iter().take(12) {
        let counts = match (row.kept_series, row.candidate_series) {
            (Some(_), Some(0)) => "no candidate".to_owned(),
            (Some(kept), Some(of)) => format!("{kept} of {of} series"),
            _ => "series not told apart".to_owned(),
        };
        let ends = match (row.keeper_rate_low, row.keeper_rate_high) {
            (Some(low), Some(high)) => {
                format!(" ({:.0} to {:.0} %)", 100.0 * low, 100.0 * high)
            }
            _ => String::new(),
        };
        text.push_str(&format!(" Lighting {}: {counts}{ends}, {}.", row.lighting, lasted(row)));
    }
    if rows.len() > 12 {
        text.push_str(&format!(" {} more in lighting.csv.", rows.len() - 12));
    }
    text
}

fn lasted(row: &LightingRow) -> String {
    match row.seconds {
        None if row.frames != 1 => "time not known".to_owned(),
        _ => spelled::shot_for(row).replace('\u{a0}', " "),
    }
}

fn key(sheet: &mut Sheet, fonts: &Fonts, baseline: f64, rows: &[LightingRow]) -> f64 {
    sheet.layer("key");
    let mut key = Key { fonts, x: EDGE, y: baseline };
    key.say(sheet, 20.0, "share of series kept", |sheet, at| sheet.disc(at, 8.0, INK));
    key.say(sheet, 44.0, "95 % interval", |sheet, (x, y)| whisker(sheet, (x - 22.0, x + 22.0), y, (8.0, 3.0)));
    key.say(sheet, 36.0, "how long it was shot", |sheet, (x, y)| bar(sheet, (x - 18.0, x + 18.0), (y - 8.0, y + 8.0)));
    if rows.iter().any(|row| row.seconds.is_none()) {
        key.say(sheet, 36.0, "not known", |sheet, (x, y)| {
            hatched(sheet, Area { left: x - 18.0, right: x + 18.0, top: y - 9.0, bottom: y + 9.0 }, FIRM);
        });
    }
    key.y
}

fn axis(sheet: &mut Sheet, columns: &Columns, (top, bottom): (f64, f64), worded: bool) {
    sheet.layer("axis");
    for quarter in 0..=4_u8 {
        let x = columns.rate(f64::from(quarter) / 4.0);
        let (thick, ink) = if quarter == 0 { (2.0, FIRM) } else { (1.0, RULE) };
        sheet.down(x, (top, bottom), thick, ink);
        if quarter % 2 == 0 {
            let style = Style { anchor: Anchor::Middle, ink: SOFT, ..PLAIN };
            sheet.text((x, top - 12.0), format!("{} %", quarter * 25), style);
        }
    }
    sheet.down(columns.time, (top, bottom), 2.0, FIRM);
    sheet.text((EDGE, top - 12.0), "lighting", Style { ink: SOFT, ..PLAIN });
    if worded {
        sheet.text((columns.counts, top - 12.0), "series", Style { ink: SOFT, anchor: Anchor::End, ..PLAIN });
    }
    sheet.text((PLOT_RIGHT, top - 12.0), "shot for", Style { ink: SOFT, anchor: Anchor::End, ..PLAIN });
    sheet.across((EDGE, PLOT_RIGHT), top, 1.0, FIRM);
    sheet.across((EDGE, PLOT_RIGHT), bottom, 1.0, FIRM);
}

/// Where the words of a row begin, and what is kept free between them and the counts.
fn words_start(fonts: &Fonts) -> f64 {
    EDGE + fonts.width("000", PLAIN.size, true) + 12.0
}
const GAP: f64 = 20.0;

/// What began a lighting, in words.
fn change(lighting: &LightingRow) -> String {
    spelled::true_minus(&readable(&lighting.changed))
}

fn words(sheet: &mut Sheet, fonts: &Fonts, lighting: &LightingRow, (area, right): (&Area, f64)) {
    sheet.layer("words");
    let baseline = f64::midpoint(area.top, area.bottom) + 8.0;
    let counts = said(lighting);
    let start = words_start(fonts);
    let room = right - fonts.width(&counts, PLAIN.size, false) - GAP - start;
    sheet.text((EDGE, baseline), lighting.lighting.to_string(), Style { bold: true, ..PLAIN });
    sheet.text((start, baseline), fonts.cut(&change(lighting), SMALL, false, room), Style { size: SMALL, ..PLAIN });
    sheet.layer("counts");
    sheet.text((right, baseline), counts, Style { anchor: Anchor::End, ..PLAIN });
}

/// The mark of a rate with its interval; words where there is none.
fn rate(sheet: &mut Sheet, columns: &Columns, lighting: &LightingRow, area: &Area, worded: bool) {
    let middle = f64::midpoint(area.top, area.bottom);
    let height = area.bottom - area.top;
    let ends = lighting.keeper_rate_low.zip(lighting.keeper_rate_high);
    match (lighting.keeper_rate, ends) {
        (Some(rate), Some((low, high))) => {
            sheet.layer("intervals");
            let thick = (height * 0.3).clamp(1.0, 3.0);
            whisker(sheet, (columns.rate(low), columns.rate(high)), middle, ((height * 0.35).min(8.0), thick));
            sheet.layer("rates");
            // A ring of paper keeps the mark apart from the line it stands on.
            let radius = (height * 0.4).min(8.0);
            if worded {
                sheet.disc((columns.rate(rate), middle), radius + 2.0, PAPER);
            }
            sheet.disc((columns.rate(rate), middle), radius, INK);
        }
        _ if worded => {
            sheet.layer("counts");
            let why = match lighting.candidate_series {
                Some(_) => "no candidate",
                None => "series not told apart",
            };
            sheet.text((columns.none + 12.0, middle + 8.0), why, Style { ink: SOFT, size: SMALL, ..PLAIN });
        }
        _ => {}
    }
}

fn time(sheet: &mut Sheet, columns: &Columns, lighting: &LightingRow, area: &Area, (longest, worded): (f64, bool)) {
    let height = area.bottom - area.top;
    let (top, bottom) = (area.top + height * 0.28, area.bottom - height * 0.28);
    match lighting.seconds.filter(|s| s.is_finite()) {
        // One shot takes no time: no bar, and no hatching either.
        _ if lighting.frames == 1 => {}
        Some(seconds) => {
            sheet.layer("minutes");
            let share = if longest > 0.0 { seconds.max(0.0) / longest } else { 0.0 };
            let right = columns.time + (columns.longest - columns.time) * share;
            bar(sheet, (columns.time, right.max(columns.time + 2.0)), (top, bottom));
        }
        None => {
            sheet.layer("not-known");
            let left = columns.time + 1.0;
            hatched(sheet, Area { left, right: left + 36.0, top, bottom: bottom.max(top + 1.0) }, FIRM);
        }
    }
    if worded {
        sheet.layer("counts");
        let baseline = f64::midpoint(area.top, area.bottom) + 8.0;
        let text = spelled::shot_for(lighting).replace('\u{a0}', " ");
        sheet.text((PLOT_RIGHT, baseline), text, Style { anchor: Anchor::End, size: SMALL, ..PLAIN });
    }
}

/// A line with upright ends.
fn whisker(sheet: &mut Sheet, (from, to): (f64, f64), y: f64, (reach, thick): (f64, f64)) {
    sheet.across((from, to.max(from + 1.0)), y, thick, SOFT);
    sheet.down(from, (y - reach, y + reach), thick.min(2.0), SOFT);
    sheet.down(to, (y - reach, y + reach), thick.min(2.0), SOFT);
}

/// A length of time.
fn bar(sheet: &mut Sheet, (from, to): (f64, f64), (top, bottom): (f64, f64)) {
    sheet.rect((from, top), to - from, bottom - top, BAND);
    sheet.across((from, to), top, 1.5, SOFT);
    sheet.across((from, to), bottom, 1.5, SOFT);
    sheet.down(to, (top, bottom), 2.0, SOFT);
}
