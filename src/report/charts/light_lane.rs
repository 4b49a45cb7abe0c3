//! One lane of the chart of lights: marks with their intervals, gaps, misfires, and hatching for what is not told.

use super::ink::{EDGE, FIRM, INK, Ink, PAPER, PLOT_LEFT, PLOT_RIGHT, RULE, SMALL, SOFT};
use super::lettering::{Anchor, Fonts};
use super::shapes::{cross, hatched, point_down};
use super::sheet::{Area, Item, PLAIN, Sheet, Style, readable, text_area};
use super::strip::Strip;
use super::thin::Line;
use super::wording::stops;

/// Shots nearer than this many pixels are drawn as bands.
const BANDS_UNDER: f64 = 4.0;
/// Shots in one shape at most.
const LONGEST_RUN: usize = 120;
/// Levels nearer than this are written once.
const SAME: f64 = 0.15;

/// What a lane shows of one shot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mark {
    /// Off, or not of this camera.
    None,
    /// A figure with its interval.
    Within {
        /// Stops against the reference.
        at: f64,
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// Set on and did not burn.
    Misfire,
    /// Not told, with the letter of the reason's class; empty for none.
    NotTold(&'static str),
    /// No more than an upper end is known.
    AtMost,
}

impl Mark {
    /// A figure with the ends that are known; a missing end is the figure itself.
    pub fn within(at: f64, low: Option<f64>, high: Option<f64>) -> Self {
        let end = |end: Option<f64>| end.filter(|e| e.is_finite()).unwrap_or(at);
        Self::Within { at, low: end(low).min(at), high: end(high).max(at) }
    }
}

/// One light, or the ambient, over all shots.
pub struct Lane {
    /// What stands at its left.
    pub name: String,
    /// One per shot of the report.
    pub marks: Vec<Mark>,
}

/// Where a lane lies, and which stops it spans.
pub struct View {
    /// Upper edge.
    pub top: f64,
    /// Lower edge.
    pub bottom: f64,
    /// Stops at the foot.
    pub low: f64,
    /// Stops at the head.
    pub high: f64,
}

impl View {
    /// Height of some stops, kept inside the lane.
    fn y(&self, stops: f64) -> f64 {
        let air = (0.14 * (self.bottom - self.top)).min(10.0);
        let (top, bottom) = (self.top + air, self.bottom - air);
        (top + (self.high - stops) / (self.high - self.low) * (bottom - top)).clamp(self.top + 2.0, self.bottom - 2.0)
    }
}

impl Lane {
    /// Draws the lane.
    pub fn draw(&self, sheet: &mut Sheet, fonts: &Fonts, strip: &Strip, view: &View) {
        sheet.layer("lane-edges");
        sheet.across((EDGE, PLOT_RIGHT), view.top, 1.0, RULE);
        let mut stop = view.low.ceil();
        let room = (view.bottom - view.top) / (view.high - view.low);
        while stop <= view.high {
            // Lines nearer than eight pixels would be a grey field; the reference's own line always stands.
            if stop == 0.0 || room >= 8.0 {
                for part in strip.parts() {
                    sheet.across(part, view.y(stop), 1.0, if stop == 0.0 { FIRM } else { RULE });
                }
            }
            stop += 1.0;
        }
        sheet.layer("lane-names");
        let name = fonts.cut(&readable(&self.name), SMALL, true, PLOT_LEFT - EDGE - 10.0);
        let middle = f64::midpoint(view.top, view.bottom) + 8.0;
        sheet.text((EDGE, middle), name, Style { size: SMALL, bold: true, ..PLAIN });
        // Layers lie over each other in the order they are begun.
        for layer in ["not-told", "not-told-letters", "intervals", "strengths", "misfires"] {
            sheet.layer(layer);
        }
        let taken = self.draw_not_told(sheet, fonts, strip, view);
        self.draw_marks(sheet, strip, view);
        self.figures(sheet, fonts, strip, view, taken);
    }

    fn draw_not_told(&self, sheet: &mut Sheet, fonts: &Fonts, strip: &Strip, view: &View) -> Vec<Area> {
        let mut taken = Vec::new();
        let mut index = 0;
        while let Some(mark) = self.marks.get(index) {
            let run = self.marks.iter().skip(index).take_while(|other| *other == mark).count();
            if let Mark::NotTold(letter) = mark {
                // A run may reach into the next camera's shots, but never over the gap between them.
                for sequence in &strip.sequences {
                    let (first, last) = (index.max(sequence.first), (index + run - 1).min(sequence.last));
                    if first > last {
                        continue;
                    }
                    let (left, right) = strip.span(first, last);
                    let area = Area { left, right, top: view.top + 4.0, bottom: view.bottom - 4.0 };
                    sheet.layer("not-told");
                    hatched(sheet, area, FIRM);
                    let at = (f64::midpoint(left, right), f64::midpoint(view.top, view.bottom) + 8.0);
                    let style = Style { size: SMALL, bold: true, anchor: Anchor::Middle, ..PLAIN };
                    let word = text_area(fonts, at, letter, style);
                    if !letter.is_empty() && word.right - word.left + 8.0 <= right - left {
                        sheet.layer("not-told-letters");
                        sheet.rect(
                            (word.left - 4.0, word.top - 3.0),
                            word.right - word.left + 8.0,
                            word.bottom - word.top + 3.0,
                            PAPER,
                        );
                        sheet.text(at, letter, style);
                    }
                    taken.push(area);
                }
            }
            index += run;
        }
        taken
    }

    fn draw_marks(&self, sheet: &mut Sheet, strip: &Strip, view: &View) {
        let half = (strip.pitch * 0.36).clamp(0.75, 9.0);
        for (index, mark) in self.marks.iter().enumerate() {
            let x = strip.x(index);
            match mark {
                Mark::Misfire => {
                    sheet.layer("misfires");
                    let radius = (view.bottom - view.top) * 0.2;
                    cross(sheet, (x, f64::midpoint(view.top, view.bottom)), radius.clamp(6.0, 9.0), INK);
                }
                Mark::AtMost => {
                    sheet.layer("at-most");
                    point_down(sheet, (x, view.bottom - 12.0), half.clamp(3.0, 8.0), INK);
                }
                Mark::Within { .. } | Mark::None | Mark::NotTold(_) => {}
            }
        }
        if strip.pitch < BANDS_UNDER {
            self.draw_bands(sheet, strip, view);
            return;
        }
        for (index, mark) in self.marks.iter().enumerate() {
            if let Mark::Within { at, low, high } = mark {
                let (x, y) = (strip.x(index), view.y(*at));
                let (top, bottom) = (view.y(*high), view.y(*low));
                sheet.layer("intervals");
                sheet.rect((x - half, top), 2.0 * half, (bottom - top).max(1.0), FIRM);
                sheet.layer("strengths");
                sheet.across((x - half - 1.0, x + half + 1.0), y, 3.0, INK);
            }
        }
    }

    /// Many shots: a band and a line per run of shots in which the light burned, one shape each, so that the file stays small.
    fn draw_bands(&self, sheet: &mut Sheet, strip: &Strip, view: &View) {
        let mut run: Vec<(f64, f64, f64, f64)> = Vec::new();
        for index in 0..=self.marks.len() {
            let starts = strip.sequences.iter().any(|sequence| sequence.first == index);
            let mark = self.marks.get(index);
            if run.len() >= LONGEST_RUN || starts || !matches!(mark, Some(Mark::Within { .. })) {
                band(sheet, "intervals", &run, strip.pitch, FIRM, |(_, at, high, low)| {
                    (high.min(at - 0.5), low.max(at + 0.5))
                });
                band(sheet, "strengths", &run, strip.pitch, INK, |(_, at, _, _)| (at - 1.5, at + 1.5));
                run.clear();
            }
            if let Some(Mark::Within { at, low, high }) = mark {
                run.push((strip.x(index), view.y(*at), view.y(*high), view.y(*low)));
            }
        }
    }

    /// Writes the figure at each change of strength, where there is room over or under the marks.
    fn figures(&self, sheet: &mut Sheet, fonts: &Fonts, strip: &Strip, view: &View, mut taken: Vec<Area>) {
        if view.bottom - view.top < 60.0 {
            return;
        }
        for (index, mark) in self.marks.iter().enumerate() {
            let x = strip.x(index);
            let half = strip.pitch.max(3.0) / 2.0;
            match mark {
                Mark::Within { low, high, .. } => {
                    taken.push(Area {
                        left: x - half,
                        right: x + half,
                        top: view.y(*high) - 2.0,
                        bottom: view.y(*low) + 2.0,
                    });
                }
                Mark::Misfire | Mark::AtMost => {
                    taken.push(Area { left: x - 9.0, right: x + 9.0, top: view.top, bottom: view.bottom });
                }
                Mark::None | Mark::NotTold(_) => {}
            }
        }
        sheet.layer("figures");
        let mut line = Line::new((PLOT_LEFT, PLOT_RIGHT + EDGE), 6.0);
        let mut said: Option<f64> = None;
        for (index, mark) in self.marks.iter().enumerate() {
            let Mark::Within { at, low, high } = mark else {
                said = said.filter(|_| *mark == Mark::Misfire);
                continue;
            };
            if said.is_some_and(|said| (said - at).abs() < SAME) {
                continue;
            }
            said = Some(*at);
            let text = stops(*at, true);
            let style = Style { size: SMALL, ink: SOFT, ..PLAIN };
            let left = strip.span(index, index).0 + 2.0;
            for baseline in [view.y(*high) - 8.0, view.y(*low) + 20.0] {
                let area = text_area(fonts, (left, baseline), &text, style);
                let inside = area.top >= view.top + 2.0 && area.bottom <= view.bottom - 1.0;
                if inside && !taken.iter().any(|t| t.meets(&area)) && line.take(area.left, area.right) {
                    sheet.text((left, baseline), text, style);
                    break;
                }
            }
        }
    }
}

/// One shape around the places of a run: x, figure, upper and lower end. `edges` says which two heights it lies between.
fn band(
    sheet: &mut Sheet,
    layer: &'static str,
    run: &[(f64, f64, f64, f64)],
    pitch: f64,
    ink: Ink,
    edges: impl Fn((f64, f64, f64, f64)) -> (f64, f64),
) {
    if run.is_empty() {
        return;
    }
    let half = pitch / 2.0;
    let corners = |one: &(f64, f64, f64, f64), y: f64| [(one.0 - half, y), (one.0 + half, y)];
    let upper = run.iter().flat_map(|one| corners(one, edges(*one).0));
    let lower = run.iter().rev().flat_map(|one| {
        let [left, right] = corners(one, edges(*one).1);
        [right, left]
    });
    sheet.layer(layer);
    sheet.add(Item::Polygon { points: upper.chain(lower).collect(), ink });
}
