//! The scale of stops on which settings and light are compared, its figures and its numbered rows.

use super::super::{StageAccount, StageRow};
use super::account_row::Shown;
use super::ink::{EDGE, FIRM, INK, PLOT_LEFT, PLOT_RIGHT, RULE, SOFT};
use super::lettering::Anchor;
use super::sheet::{PLAIN, Sheet, Style};
use super::thin::{step_that_fits, whole_step};
use super::wording::whole_stops;

/// The horizontal scale in stops.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    /// Left edge of the plot.
    pub left: f64,
    /// Right edge of the plot.
    pub right: f64,
    low: f64,
    high: f64,
    margin: f64,
}

impl Scale {
    /// Where a number of stops stands.
    pub fn x(&self, stops: f64) -> f64 {
        let width = self.right - self.left - 2.0 * self.margin;
        self.left + self.margin + (stops - self.low) / (self.high - self.low) * width
    }
}

/// A scale that holds everything the changes have to show, with room for words beside it.
pub fn scale(changes: &[(&StageRow, &StageAccount)], shown: Shown) -> Scale {
    let values = changes.iter().flat_map(|(_, a)| {
        [a.settings_flash_stops, a.settings_ambient_stops, a.light_stops, a.light_stops_low, a.light_stops_high]
    });
    let (low, high) =
        values.flatten().filter(|v| v.is_finite()).fold((0.0_f64, 0.0_f64), |(low, high), v| (low.min(v), high.max(v)));
    let (left, margin) = match shown {
        Shown::Bare { .. } => (PLOT_LEFT, 90.0),
        _ => (480.0, 120.0),
    };
    Scale { left, right: PLOT_RIGHT, low: low.min(-1.0).floor(), high: high.max(1.0).ceil(), margin }
}

/// Draws the scale from `top` to `bottom`, its figures above.
pub fn axis(sheet: &mut Sheet, scale: &Scale, (top, bottom): (f64, f64)) {
    sheet.layer("axis");
    let step = whole_step(scale.high - scale.low, 10.0);
    let mut value = (scale.low / step).ceil() * step;
    while value <= scale.high + 1e-9 {
        let zero = value.abs() < 1e-9;
        let (thick, ink) = if zero { (2.0, INK) } else { (1.0, RULE) };
        sheet.down(scale.x(value), (top, bottom), thick, ink);
        let text = if value > 0.0 && !zero { format!("+{}", whole_stops(value)) } else { whole_stops(value) };
        let style = Style { anchor: Anchor::Middle, ink: if zero { INK } else { SOFT }, ..PLAIN };
        sheet.text((scale.x(value), top - 12.0), text, style);
        value += step;
    }
    let worded = scale.margin > 100.0;
    let corner = if worded { "stage and what began it" } else { "stage" };
    sheet.text((EDGE, top - 12.0), corner, Style { ink: SOFT, ..PLAIN });
    let unit = Style { anchor: Anchor::End, ink: SOFT, ..PLAIN };
    sheet.text((PLOT_RIGHT, top - 12.0), "stops", unit);
    sheet.across((EDGE, PLOT_RIGHT), top, 1.0, FIRM);
    sheet.across((EDGE, PLOT_RIGHT), bottom, 1.0, FIRM);
}

/// Stage numbers where rows are lower than a line of text.
pub fn bare_numbers(sheet: &mut Sheet, numbers: &[(u32, f64)], row: f64, (top, bottom): (f64, f64)) {
    sheet.layer("stage-numbers");
    let labels: Vec<(u32, f64, f64)> = numbers.iter().map(|(stage, y)| (*stage, y + row / 2.0, PLAIN.size)).collect();
    let step = step_that_fits(&labels, (top - PLAIN.size, bottom + PLAIN.size), 2.0);
    for (stage, y, _) in labels.iter().filter(|(stage, _, _)| stage.is_multiple_of(step)) {
        sheet.text((EDGE, y + 8.0), stage.to_string(), Style { bold: true, ..PLAIN });
    }
}
