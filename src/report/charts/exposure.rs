//! Brightness of every shot in shooting order, mean and median in stops from mid-grey, over the settings it was shot at.

use super::super::Report;
use super::exposure_words::{Level, detail, mean, median, title};
use super::ink::{EDGE, INK, PLOT_LEFT, PLOT_RIGHT, SOFT, TEXT, WIDTH};
use super::lettering::{Anchor, Fonts};
use super::shapes::{Key, grid_line, point_down};
use super::sheet::{PLAIN, Sheet, Style};
use super::strip::Strip;
use super::thin::whole_step;
use super::wording::whole_stops;
use super::{Laid, heading, lanes};

/// Height of the panel.
const PANEL: f64 = 280.0;

/// The vertical scale of the panel.
struct Scale {
    top: f64,
    bottom: f64,
    high: f64,
    low: f64,
    step: f64,
}

impl Scale {
    fn new(values: &[f64], top: f64) -> Self {
        let high = values.iter().copied().fold(0.0_f64, f64::max);
        let low = values.iter().copied().fold(0.0_f64, f64::min);
        let step = whole_step((high - low).max(1.0), 7.0);
        // Air above and below, so that no mark sits on the frame; mid-grey is always on the scale.
        let (high, low) = (high + 0.6 * step, low - 0.6 * step);
        Self { top, bottom: top + PANEL, high, low, step }
    }

    fn y(&self, stops: f64) -> f64 {
        self.top + (self.high - stops) / (self.high - self.low) * (self.bottom - self.top)
    }
}

/// Lays the chart out.
pub fn lay_out(report: &Report, fonts: &Fonts) -> Laid {
    let means: Vec<Level> = report.frames.iter().map(mean).collect();
    let medians: Vec<Option<f64>> = report.frames.iter().map(median).collect();
    let title = title(&means);
    let detail = detail(report, &means);
    let strip = Strip::new(report);
    let mut sheet = Sheet::new(WIDTH);

    let baseline = heading(&mut sheet, fonts, &title);
    let top = key(&mut sheet, fonts, baseline, means.contains(&Level::Black)) + 18.0;

    // How high the words along the bands are is known first, so that the bands can go behind everything.
    let panel = strip.bands(&mut Sheet::new(WIDTH), fonts, top, top);
    let values: Vec<f64> = means.iter().filter_map(|l| l.stops()).chain(medians.iter().filter_map(|m| *m)).collect();
    let scale = Scale::new(&values, panel);
    let lanes = lanes::Lanes::new(&report.frames, &strip, scale.bottom);
    strip.bands(&mut sheet, fonts, top, lanes.bottom);

    grid(&mut sheet, &strip, &scale);
    draw_medians(&mut sheet, &strip, &scale, &medians);
    draw_means(&mut sheet, &strip, &scale, &means);
    if values.is_empty() && !means.contains(&Level::Black) {
        let middle = (f64::midpoint(PLOT_LEFT, PLOT_RIGHT), scale.y(0.0) - 14.0);
        sheet.text(middle, "not known: no picture could be measured", Style { anchor: Anchor::Middle, ..PLAIN });
    }
    lanes.draw(&mut sheet, fonts);
    sheet.height = strip.foot(&mut sheet, fonts, &report.frames, lanes.bottom).ceil();
    Laid { name: "exposure-over-the-build", title, detail, sheet }
}

fn key(sheet: &mut Sheet, fonts: &Fonts, baseline: f64, black: bool) -> f64 {
    sheet.layer("key");
    let mut key = Key { fonts, x: EDGE, y: baseline };
    key.say(sheet, 34.0, "mean", |sheet, (x, y)| {
        sheet.across((x - 17.0, x + 17.0), y, 2.0, INK);
        sheet.disc((x, y), 6.0, INK);
    });
    key.say(sheet, 16.0, "median", |sheet, (x, y)| sheet.across((x - 8.0, x + 8.0), y, 4.0, SOFT));
    if black {
        key.say(sheet, 16.0, "black picture, below the scale", |sheet, at| point_down(sheet, at, 8.0, INK));
    }
    key.say(sheet, 0.0, "in stops from mid-grey", |_, _| {});
    key.y
}

fn grid(sheet: &mut Sheet, strip: &Strip, scale: &Scale) {
    sheet.layer("grid");
    let parts: Vec<(f64, f64)> = strip.parts().collect();
    let (first, last) = ((scale.low / scale.step).ceil() as i32, (scale.high / scale.step).floor() as i32);
    for tick in first..=last {
        let value = scale.step * f64::from(tick);
        let y = scale.y(value);
        let zero = tick == 0;
        sheet.layer(if zero { "mid-grey" } else { "grid" });
        for part in &parts {
            grid_line(sheet, *part, y, zero);
        }
        let text = if zero { "mid-grey 0".to_owned() } else { whole_stops(value) };
        let ink = if zero { INK } else { SOFT };
        sheet.text((PLOT_LEFT - 12.0, y + 8.0), text, Style { anchor: Anchor::End, size: TEXT, ink, ..PLAIN });
    }
}

fn draw_medians(sheet: &mut Sheet, strip: &Strip, scale: &Scale, medians: &[Option<f64>]) {
    sheet.layer("median");
    let half = (strip.pitch * 0.42).clamp(0.75, 12.0);
    for (index, value) in medians.iter().enumerate() {
        if let Some(value) = value {
            let x = strip.x(index);
            sheet.across((x - half, x + half), scale.y(*value), 4.0, SOFT);
        }
    }
}

fn draw_means(sheet: &mut Sheet, strip: &Strip, scale: &Scale, means: &[Level]) {
    sheet.layer("mean-line");
    for sequence in &strip.sequences {
        let shots = means.iter().enumerate().take(sequence.last + 1).skip(sequence.first);
        let mut before: Option<(f64, f64)> = None;
        for (index, level) in shots {
            let here = level.stops().map(|value| (strip.x(index), scale.y(value)));
            if let (Some(from), Some(to)) = (before, here) {
                sheet.line(from, to, 1.5, INK);
            }
            before = here;
        }
    }
    let radius = (strip.pitch * 0.34).clamp(1.5, 6.0);
    for (index, level) in means.iter().enumerate() {
        match level {
            Level::Stops(value) => {
                sheet.layer("mean");
                sheet.disc((strip.x(index), scale.y(*value)), radius, INK);
            }
            Level::Black => {
                sheet.layer("black");
                point_down(sheet, (strip.x(index), scale.bottom - 10.0), radius.max(4.0) + 2.0, INK);
            }
            Level::Unknown => {}
        }
    }
}
