//! Marks and fillings made of plain shapes: what tells one thing from another when the colour is gone.

use super::ink::{FIRM, INK, Ink, PAPER, RULE, SOFT};
use super::sheet::{Area, Item, Point, Sheet};

/// A triangle of half-width `r` with its point up.
pub fn point_up(sheet: &mut Sheet, (x, y): Point, r: f64, ink: Ink) {
    sheet.add(Item::Polygon { points: vec![(x - r, y + 0.8 * r), (x, y - r), (x + r, y + 0.8 * r)], ink });
}

/// A triangle of half-width `r` with its point down.
pub fn point_down(sheet: &mut Sheet, (x, y): Point, r: f64, ink: Ink) {
    sheet.add(Item::Polygon { points: vec![(x - r, y - 0.8 * r), (x, y + r), (x + r, y - 0.8 * r)], ink });
}

/// A square of half-width `r`.
pub fn square(sheet: &mut Sheet, (x, y): Point, r: f64, ink: Ink) {
    sheet.rect((x - r, y - r), 2.0 * r, 2.0 * r, ink);
}

/// A ring: a disc with paper inside.
pub fn ring(sheet: &mut Sheet, centre: Point, radius: f64, ink: Ink) {
    sheet.disc(centre, radius, ink);
    sheet.disc(centre, (radius - 3.0).max(radius * 0.5), PAPER);
}

/// A cross of half-width `r`.
pub fn cross(sheet: &mut Sheet, (x, y): Point, r: f64, ink: Ink) {
    sheet.line((x - r, y - r), (x + r, y + r), 3.0, ink);
    sheet.line((x - r, y + r), (x + r, y - r), 3.0, ink);
}

/// How a line is broken so that it is known in grey: lengths drawn and left out, in pixels. Empty is unbroken.
pub type Dashes = (f64, f64);

/// Unbroken.
pub const SOLID: Dashes = (f64::INFINITY, 0.0);
/// Long dashes.
pub const DASHED: Dashes = (14.0, 6.0);
/// Short dashes.
pub const DOTTED: Dashes = (4.0, 4.0);

/// A horizontal line broken by `dashes`.
pub fn broken_line(sheet: &mut Sheet, (from, to): (f64, f64), y: f64, thick: f64, dashes: Dashes, ink: Ink) {
    let mut x = from;
    while x < to {
        sheet.across((x, (x + dashes.0).min(to)), y, thick, ink);
        x += dashes.0 + dashes.1;
    }
}

/// An area that is not filled because its place in it is not known: outlined, with slanted lines.
pub fn hatched(sheet: &mut Sheet, area: Area, ink: Ink) {
    let Area { left, top, right, bottom } = area;
    sheet.rect((left, top), right - left, bottom - top, PAPER);
    let rise = bottom - top;
    let mut foot = left - rise + 4.0;
    while foot < right {
        // The line from (foot, bottom) to (foot + rise, top), kept between left and right.
        let (x0, x1) = (foot.max(left), (foot + rise).min(right));
        sheet.line((x0, bottom - (x0 - foot)), (x1, bottom - (x1 - foot)), 1.5, ink);
        foot += 8.0;
    }
    sheet.across((left, right), top, 1.5, ink);
    sheet.across((left, right), bottom, 1.5, ink);
    sheet.down(left, (top, bottom), 2.0, ink);
    sheet.down(right, (top, bottom), 2.0, ink);
}

/// A filled area told apart by grey and by pattern, so that it is known without colour and on poor print: four greys, each
/// plain, with upright lines, with level lines, with dots. Slanted lines are kept for what is not known.
pub fn patterned(sheet: &mut Sheet, area: Area, place: usize) {
    // Grey, ink of the pattern. Neighbours in the order differ in both.
    const GREYS: [(Ink, Ink); 4] = [(INK, PAPER), (FIRM, PAPER), (RULE, INK), (SOFT, PAPER)];
    let (grey, over) = GREYS.get(place % 4).copied().unwrap_or((INK, PAPER));
    let Area { left, top, right, bottom } = area;
    sheet.rect((left, top), right - left, bottom - top, grey);
    match (place + place / 4) % 4 {
        1 => {
            let mut x = left + 5.0;
            while x < right - 2.0 {
                sheet.down(x, (top, bottom), 2.0, over);
                x += 8.0;
            }
        }
        2 => {
            let mut y = top + 4.0;
            while y < bottom - 2.0 {
                sheet.across((left, right), y, 2.0, over);
                y += 7.0;
            }
        }
        3 => {
            // Sparse: each dot is an element of the SVG.
            let (mut y, mut shift) = (top + 6.0, 0.0);
            while y < bottom - 3.0 {
                let mut x = left + 6.0 + shift;
                while x < right - 3.0 {
                    sheet.disc((x, y), 2.5, over);
                    x += 15.0;
                }
                shift = 7.5 - shift;
                y += 9.0;
            }
        }
        _ => {}
    }
}

/// A grid line, or the strong one that everything is measured from.
pub fn grid_line(sheet: &mut Sheet, span: (f64, f64), y: f64, strong: bool) {
    if strong {
        sheet.across(span, y, 2.0, INK);
    } else {
        sheet.across(span, y, 1.0, RULE);
    }
}

/// Sign, then its meaning, one after the other from the left; goes to a further line when one is full.
pub struct Key<'a> {
    /// Where text widths come from.
    pub fonts: &'a super::lettering::Fonts,
    /// Where the next sign begins.
    pub x: f64,
    /// Baseline of the current line.
    pub y: f64,
}

impl Key<'_> {
    /// Adds one sign of `width`, drawn by `sign` about the point it is given (its middle), and its meaning.
    pub fn say(&mut self, sheet: &mut Sheet, width: f64, meaning: &str, sign: impl FnOnce(&mut Sheet, Point)) {
        use super::ink::{EDGE, SOFT, TEXT, WIDTH};
        let text = self.fonts.width(meaning, TEXT, false);
        let end = self.x + width + 10.0 + text;
        if end > WIDTH - EDGE && self.x > EDGE {
            self.x = EDGE;
            self.y += 32.0;
        }
        if width > 0.0 {
            sign(sheet, (self.x + width / 2.0, self.y - 8.0));
            self.x += width + 10.0;
        }
        sheet.text((self.x, self.y), meaning, super::sheet::Style { ink: SOFT, ..super::sheet::PLAIN });
        self.x += text + 34.0;
    }
}
