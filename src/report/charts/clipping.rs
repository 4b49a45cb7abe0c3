//! Clipped pixels of every shot: highlights, and apart from them shadows, since a black picture may be meant.

use super::super::{FrameRow, Report};
use super::ink::{BLUE, EDGE, GREEN, INK, Ink, PAPER, PLOT_LEFT, PLOT_RIGHT, RED, RULE, SOFT, WIDTH};
use super::lettering::{Anchor, Fonts};
use super::shapes::{Key, grid_line, point_down, point_up, square};
use super::sheet::{PLAIN, Point, Sheet, Style};
use super::strip::Strip;
use super::wording::{count, percent};
use super::{Laid, heading};

/// Height of one tenfold of percent.
const TENFOLD: f64 = 54.0;
/// The axis figures; the scale is tenfold from step to step, and even from none to the first.
const TICKS: [(f64, &str); 6] =
    [(0.0, "none"), (0.01, "0.01 %"), (0.1, "0.1 %"), (1.0, "1 %"), (10.0, "10 %"), (100.0, "100 %")];

type MarkShape = fn(&mut Sheet, Point, f64, Ink);
type Channel = (&'static str, &'static str, Ink, MarkShape, f64, fn(&FrameRow) -> Option<f64>);

/// The channels: word, layer, colour, mark, place within the shot's column, figure.
const CHANNELS: [Channel; 3] = [
    ("red", "red", RED, point_up, -0.26, |f| f.highlights_clipped_r_percent),
    ("green", "green", GREEN, square, 0.0, |f| f.highlights_clipped_g_percent),
    ("blue", "blue", BLUE, point_down, 0.26, |f| f.highlights_clipped_b_percent),
];

fn known(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite() && *v >= 0.0)
}

/// Steps above "none" of a share in percent.
fn height_of(percent: f64) -> f64 {
    let percent = percent.min(100.0);
    if percent < 0.01 { percent / 0.01 } else { 1.0 + libm::log10(percent / 0.01) }
}

/// One panel's vertical scale.
struct Panel {
    floor: f64,
    step: f64,
    /// Steps above "none" that the panel shows.
    steps: f64,
}

impl Panel {
    fn y(&self, percent: f64) -> f64 {
        self.floor - height_of(percent) * self.step
    }
}

/// Lays the chart out.
pub fn lay_out(report: &Report, fonts: &Fonts) -> Laid {
    let frames = &report.frames;
    let highlights: Vec<Option<f64>> = frames.iter().map(|f| known(f.highlights_clipped_percent)).collect();
    let shadows: Vec<Option<f64>> = frames.iter().map(|f| known(f.shadows_clipped_percent)).collect();
    let title = title(frames, &highlights);
    let detail = detail(&highlights, &shadows);
    let strip = Strip::new(report);
    let mut sheet = Sheet::new(WIDTH);

    let baseline = heading(&mut sheet, fonts, &title);
    let top = key(&mut sheet, fonts, baseline) + 18.0;
    let words = strip.bands(&mut Sheet::new(WIDTH), fonts, top, top);
    // As high as the worst shot needs, and to 1 % at least, so that a trace does not look like a loss.
    let steps = highest(&highlights).map_or(5.0, |(_, v)| height_of(v).ceil().clamp(3.0, 5.0));
    let light = Panel { floor: words + 44.0 + 5.0 * TENFOLD, step: 5.0 * TENFOLD / steps, steps };
    let dark = Panel { floor: light.floor + 66.0 + 5.0 * TENFOLD * 0.5, step: TENFOLD * 0.5, steps: 5.0 };
    let bottom = dark.floor + 12.0;
    strip.bands(&mut sheet, fonts, top, bottom);

    grid(&mut sheet, &strip, &light, "highlights: any channel at 254 of 255 or above, share of the picture", 1);
    grid(&mut sheet, &strip, &dark, "shadows: all channels at 1 of 255 or below (a black picture may be meant)", 2);
    columns(&mut sheet, &strip, &light, &highlights, ("highlights-columns", "highlights"));
    channel_marks(&mut sheet, &strip, &light, frames);
    columns(&mut sheet, &strip, &dark, &shadows, ("shadows-columns", "shadows"));
    sheet.layer("grid");
    sheet.across((EDGE, PLOT_RIGHT), bottom, 1.0, INK);
    sheet.height = strip.foot(&mut sheet, fonts, frames, bottom).ceil();
    Laid { name: "clipping-per-frame", title, detail, sheet }
}

fn highest(values: &[Option<f64>]) -> Option<(usize, f64)> {
    let found = values.iter().enumerate().filter_map(|(index, value)| value.map(|v| (index, v)));
    found.reduce(|a, b| if b.1 > a.1 { b } else { a })
}

fn title(frames: &[FrameRow], highlights: &[Option<f64>]) -> String {
    let shots = count(frames.len(), "shot", "shots");
    let measured = highlights.iter().flatten().count();
    let of = if measured == frames.len() { shots.clone() } else { format!("{measured} measured of {shots}") };
    match highest(highlights) {
        None => format!("Clipping over {shots}: not known, no picture could be measured"),
        Some((_, value)) if value <= 0.0 => format!("No highlights clipped in {of}"),
        Some((index, value)) => {
            let stage = frames.get(index).and_then(|f| f.stage);
            let place = stage.map_or_else(String::new, |s| format!(" (stage {s})"));
            let touched = highlights.iter().flatten().filter(|v| **v > 0.0).count();
            format!("Highlights clipped in {touched} of {of}; most in shot {}{place}: {}", index + 1, percent(value))
        }
    }
}

/// What the chart shows beyond its title, in words.
fn detail(highlights: &[Option<f64>], shadows: &[Option<f64>]) -> String {
    let unmeasured = highlights.iter().filter(|v| v.is_none()).count();
    let mut text = "A column per shot in shooting order, with red, green and blue apart.".to_owned();
    if let Some((index, value)) = highest(shadows) {
        let most = percent(value);
        text.push_str(&format!(
            " Shadows in a panel of their own: at most {most} of a picture, in shot {}.",
            index + 1
        ));
    }
    if unmeasured > 0 {
        text.push_str(&format!(" {} not measured and left empty.", count(unmeasured, "shot", "shots")));
    }
    text
}

fn key(sheet: &mut Sheet, fonts: &Fonts, baseline: f64) -> f64 {
    sheet.layer("key");
    let mut key = Key { fonts, x: EDGE, y: baseline };
    key.say(sheet, 20.0, "any channel", |sheet, (x, y)| {
        sheet.rect((x - 10.0, y - 10.0), 20.0, 20.0, RULE);
        sheet.across((x - 10.0, x + 10.0), y - 10.0, 4.0, INK);
    });
    for (word, _, ink, mark, _, _) in CHANNELS {
        key.say(sheet, 16.0, word, |sheet, at| mark(sheet, at, 8.0, ink));
    }
    key.say(sheet, 0.0, "nothing drawn: not measured", |_, _| {});
    key.y
}

fn grid(sheet: &mut Sheet, strip: &Strip, panel: &Panel, heading: &str, every: usize) {
    sheet.layer("grid");
    let parts: Vec<(f64, f64)> = strip.parts().collect();
    for (index, (value, word)) in TICKS.into_iter().enumerate() {
        let y = panel.y(value);
        if height_of(value) > panel.steps {
            continue;
        }
        for part in &parts {
            grid_line(sheet, *part, y, false);
        }
        if index.is_multiple_of(every) {
            let style = Style { anchor: Anchor::End, ink: SOFT, ..PLAIN };
            sheet.text((PLOT_LEFT - 12.0, y + 8.0), word, style);
        }
    }
    sheet.text((PLOT_LEFT + 8.0, panel.floor - panel.steps * panel.step - 14.0), heading, Style { ink: SOFT, ..PLAIN });
}

fn columns(
    sheet: &mut Sheet,
    strip: &Strip,
    panel: &Panel,
    values: &[Option<f64>],
    (bodies, tops): (&'static str, &'static str),
) {
    let half = (strip.pitch * 0.42).clamp(0.75, 26.0);
    let shown = || values.iter().enumerate().filter_map(|(index, value)| value.map(|v| (strip.x(index), v)));
    sheet.layer(bodies);
    for (x, value) in shown().filter(|(_, v)| *v > 0.0) {
        let y = panel.y(value);
        sheet.rect((x - half, y), 2.0 * half, panel.floor - y, RULE);
    }
    sheet.layer(tops);
    for (x, value) in shown() {
        sheet.across((x - half, x + half), panel.y(value), 4.0, INK);
    }
}

fn channel_marks(sheet: &mut Sheet, strip: &Strip, panel: &Panel, frames: &[FrameRow]) {
    let apart = strip.pitch.min(60.0);
    let radius = (strip.pitch * 0.25).clamp(2.0, 8.0);
    sheet.layer("channel-edges");
    for (_, layer, ink, mark, place, figure) in CHANNELS {
        for (index, frame) in frames.iter().enumerate() {
            if let Some(value) = known(figure(frame)).filter(|v| *v > 0.0) {
                let at = (strip.x(index) + place * apart, panel.y(value));
                // An edge of paper keeps marks apart from each other and from the column's top.
                if radius > 2.0 {
                    sheet.layer("channel-edges");
                    mark(sheet, at, radius + 2.0, PAPER);
                }
                sheet.layer(layer);
                mark(sheet, at, radius, ink);
            }
        }
    }
}
