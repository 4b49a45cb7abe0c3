//! Aperture, shutter and ISO as steps under the exposure panel: one lane each, one scale for all three.

use super::super::FrameRow;
use super::ink::{EDGE, INK, PLOT_LEFT, PLOT_RIGHT, RULE, SMALL, SOFT};
use super::lettering::{Anchor, Fonts};
use super::shapes::{DASHED, DOTTED, Dashes, SOLID, broken_line};
use super::sheet::{Area, PLAIN, Point, Sheet, Style, text_area};
use super::strip::Strip;
use super::wording::Setting;

/// Room for a lane's words above its highest step.
const HEAD: f64 = 30.0;
/// Room below its lowest step.
const FOOT: f64 = 12.0;
/// Height all steps together may take.
const ROOM: f64 = 150.0;

/// Consecutive shots with one value.
struct Run {
    span: (f64, f64),
    /// Stops against the first known value of the same camera, and the value as marked.
    value: Option<(f64, String)>,
    /// Whether a camera's shots begin here.
    first: bool,
}

struct Lane {
    setting: Setting,
    dashes: Dashes,
    runs: Vec<Run>,
    high: f64,
    low: f64,
}

/// The three lanes.
pub struct Lanes {
    lanes: Vec<Lane>,
    top: f64,
    stop: f64,
    /// Where they end.
    pub bottom: f64,
}

impl Lanes {
    /// Lays the settings of all shots out below `top`.
    pub fn new(frames: &[FrameRow], strip: &Strip, top: f64) -> Self {
        let kinds = [(Setting::Aperture, SOLID), (Setting::Shutter, DASHED), (Setting::Iso, DOTTED)];
        let lanes: Vec<Lane> = kinds.into_iter().map(|(s, d)| Lane::new(s, d, frames, strip)).collect();
        let range: f64 = lanes.iter().map(|l| l.high - l.low).sum();
        let stop = (ROOM / range.max(1.0)).min(20.0);
        let top = top + 44.0;
        let bottom = top + lanes.iter().map(|l| HEAD + (l.high - l.low) * stop + FOOT).sum::<f64>();
        Self { lanes, top, stop, bottom }
    }

    /// Draws them.
    pub fn draw(&self, sheet: &mut Sheet, fonts: &Fonts) {
        let rule = [1.0, 2.0, 5.0, 10.0].into_iter().find(|r| r * self.stop >= 8.0).unwrap_or(20.0);
        sheet.layer("settings");
        let stops = if rule > 1.0 { format!("a rule is {rule:.0} stops") } else { "a rule is one stop".to_owned() };
        let text = format!("settings against the first shot of the camera: up is brighter, {stops}");
        sheet.text((PLOT_LEFT + 8.0, self.top - 14.0), text, Style { ink: SOFT, ..PLAIN });
        let mut top = self.top;
        for lane in &self.lanes {
            let bottom = top + HEAD + (lane.high - lane.low) * self.stop + FOOT;
            sheet.across((EDGE, PLOT_RIGHT), top, 1.0, RULE);
            let view = View { top, bottom, high: lane.high, stop: self.stop };
            lane.draw(sheet, fonts, &view, rule);
            top = bottom;
        }
        sheet.across((EDGE, PLOT_RIGHT), self.bottom, 1.0, INK);
    }
}

/// Where a lane lies.
struct View {
    top: f64,
    bottom: f64,
    high: f64,
    stop: f64,
}

impl View {
    fn y(&self, stops: f64) -> f64 {
        self.top + HEAD + (self.high - stops) * self.stop
    }
}

impl Lane {
    fn new(setting: Setting, dashes: Dashes, frames: &[FrameRow], strip: &Strip) -> Self {
        let mut runs: Vec<Run> = Vec::new();
        for sequence in &strip.sequences {
            let shots = || frames.iter().enumerate().take(sequence.last + 1).skip(sequence.first);
            let base = shots().find_map(|(_, f)| setting.level(f));
            for (index, frame) in shots() {
                let level = setting.level(frame).zip(base).map(|(level, base)| level - base);
                let value = level.zip(setting.marked(frame));
                let span = strip.span(index, index);
                let first = index == sequence.first;
                match runs.last_mut() {
                    Some(run) if !first && run.value == value => run.span.1 = span.1,
                    _ => runs.push(Run { span, value, first }),
                }
            }
        }
        let levels = || runs.iter().filter_map(|r| r.value.as_ref().map(|v| v.0));
        let (high, low) = (levels().fold(0.0, f64::max), levels().fold(0.0, f64::min));
        Self { setting, dashes, runs, high, low }
    }

    fn draw(&self, sheet: &mut Sheet, fonts: &Fonts, view: &View, rule: f64) {
        sheet.layer("settings");
        sheet.text((EDGE, view.top + 29.0), self.setting.word(), Style { ink: SOFT, ..PLAIN });
        let mut stops = (self.low / rule).ceil() * rule;
        while stops <= self.high + 1e-9 {
            sheet.across((PLOT_LEFT, PLOT_RIGHT), view.y(stops), 1.0, RULE);
            stops += rule;
        }
        sheet.layer(match self.setting {
            Setting::Aperture => "aperture",
            Setting::Shutter => "shutter",
            Setting::Iso => "iso",
        });
        let mut taken: Vec<Area> = Vec::new();
        let mut before: Option<(f64, f64)> = None;
        for run in &self.runs {
            let here = run.value.as_ref().map(|v| view.y(v.0));
            if let Some(y) = here {
                broken_line(sheet, run.span, y, 3.0, self.dashes, INK);
                taken.push(Area { left: run.span.0, top: y - 2.0, right: run.span.1, bottom: y + 2.0 });
                if let Some((_, from)) = before.filter(|_| !run.first) {
                    sheet.down(run.span.0, (from, y), 1.5, INK);
                    let (top, bottom) = (from.min(y), from.max(y));
                    taken.push(Area { left: run.span.0 - 1.0, top, right: run.span.0 + 1.0, bottom });
                }
            }
            before = here.map(|y| (run.span.1, y));
        }
        self.labels(sheet, fonts, view, &mut taken);
    }

    /// Writes the marked value at each change where it touches neither a line nor another label.
    fn labels(&self, sheet: &mut Sheet, fonts: &Fonts, view: &View, taken: &mut Vec<Area>) {
        let lane = Area { left: PLOT_LEFT, top: view.top, right: PLOT_RIGHT + EDGE, bottom: view.bottom };
        for run in &self.runs {
            let (text, y, ink) = match &run.value {
                Some((stops, marked)) => (marked.as_str(), view.y(*stops), INK),
                None => ("not known", view.y(self.high) + 8.0, SOFT),
            };
            // The lane is headed ISO: where "ISO 100" does not fit, "100" may.
            let short = text.strip_prefix("ISO ").unwrap_or(text);
            let middle = f64::midpoint(run.span.0, run.span.1);
            let above = y - 8.0;
            let below = y + 22.0;
            let places: [(Point, Anchor); 6] = [
                ((run.span.0 + 4.0, above), Anchor::Start),
                ((middle, above), Anchor::Middle),
                ((run.span.1 - 4.0, above), Anchor::End),
                ((run.span.0 + 4.0, below), Anchor::Start),
                ((middle, below), Anchor::Middle),
                ((run.span.1 - 4.0, below), Anchor::End),
            ];
            let wordings = if short == text { vec![text] } else { vec![text, short] };
            let tries = wordings.iter().flat_map(|w| places.iter().map(move |(at, anchor)| (*w, *at, *anchor)));
            for (text, at, anchor) in tries {
                let style = Style { size: SMALL, anchor, ink, ..PLAIN };
                let area = text_area(fonts, at, text, style);
                let near = Area { left: area.left - 4.0, right: area.right + 4.0, ..area };
                if area.inside(&lane) && !taken.iter().any(|t| t.meets(&near)) {
                    sheet.text(at, text, style);
                    taken.push(area);
                    break;
                }
            }
        }
    }
}
