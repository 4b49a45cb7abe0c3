//! A chart before it is drawn: named layers of plain shapes and texts, in logical pixels from the top left corner.
//!
//! Layout writes a sheet, painting reads it. So the SVG and the PNG show the same thing, and a test can ask where things are.

use super::ink::{INK, Ink, TEXT};
use super::lettering::{Anchor, Fonts};

/// A point, x to the right and y down.
pub type Point = (f64, f64);

/// One thing on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A filled rectangle.
    Rect { x: f64, y: f64, width: f64, height: f64, ink: Ink },
    /// A straight line.
    Line { from: Point, to: Point, width: f64, ink: Ink },
    /// A filled polygon.
    Polygon { points: Vec<Point>, ink: Ink },
    /// A filled disc.
    Disc { centre: Point, radius: f64, ink: Ink },
    /// A text; `at` is on its baseline.
    Text { at: Point, text: String, style: Style },
}

/// How a text looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Logical pixels to the em.
    pub size: f64,
    /// Bold or regular.
    pub bold: bool,
    /// Which end stands at the position.
    pub anchor: Anchor,
    /// Colour.
    pub ink: Ink,
}

/// Ordinary text, from which others differ.
pub const PLAIN: Style = Style { size: TEXT, bold: false, anchor: Anchor::Start, ink: INK };

/// Shapes that mean the same thing; becomes a group with an id in the SVG.
#[derive(Clone, Debug)]
pub struct Layer {
    /// What they mean, for example `mean`.
    pub id: &'static str,
    /// In drawing order.
    pub items: Vec<Item>,
}

/// The whole chart.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Logical width.
    pub width: f64,
    /// Logical height.
    pub height: f64,
    /// In drawing order.
    pub layers: Vec<Layer>,
    current: usize,
}

impl Sheet {
    /// An empty sheet; the height is set when the layout knows it.
    pub fn new(width: f64) -> Self {
        Self { width, height: 0.0, layers: Vec::new(), current: 0 }
    }

    /// Begins a layer, or goes on with the one of this id: layers lie over each other in the order they were begun.
    pub fn layer(&mut self, id: &'static str) {
        self.current = self.layers.iter().position(|l| l.id == id).unwrap_or_else(|| {
            self.layers.push(Layer { id, items: Vec::new() });
            self.layers.len() - 1
        });
    }

    /// Adds to the current layer.
    pub fn add(&mut self, item: Item) {
        if self.layers.is_empty() {
            self.layer("ground");
        }
        if let Some(layer) = self.layers.get_mut(self.current) {
            layer.items.push(item);
        }
    }

    /// Adds a filled rectangle.
    pub fn rect(&mut self, (x, y): Point, width: f64, height: f64, ink: Ink) {
        self.add(Item::Rect { x, y, width, height, ink });
    }

    /// Adds a horizontal line of `thick` pixels centred on `y`.
    pub fn across(&mut self, (from, to): (f64, f64), y: f64, thick: f64, ink: Ink) {
        if to <= from {
            return;
        }
        self.rect((from, y - thick / 2.0), to - from, thick, ink);
    }

    /// Adds a vertical line of `thick` pixels centred on `x`.
    pub fn down(&mut self, x: f64, (from, to): (f64, f64), thick: f64, ink: Ink) {
        self.rect((x - thick / 2.0, from.min(to)), thick, (to - from).abs(), ink);
    }

    /// Adds a line in any direction.
    pub fn line(&mut self, from: Point, to: Point, width: f64, ink: Ink) {
        self.add(Item::Line { from, to, width, ink });
    }

    /// Adds a filled disc.
    pub fn disc(&mut self, centre: Point, radius: f64, ink: Ink) {
        self.add(Item::Disc { centre, radius, ink });
    }

    /// Adds a text with its baseline at `at`. Characters that cannot stand in an SVG become spaces.
    pub fn text(&mut self, at: Point, text: impl AsRef<str>, style: Style) {
        let text = readable(text.as_ref());
        if !text.trim().is_empty() {
            self.add(Item::Text { at, text, style });
        }
    }
}

/// A rectangle that something covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f64,
    /// Top edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Bottom edge.
    pub bottom: f64,
}

impl Area {
    /// Whether two areas share more than an edge.
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// Whether this area lies inside another.
    pub fn inside(&self, other: &Self) -> bool {
        self.left >= other.left && self.right <= other.right && self.top >= other.top && self.bottom <= other.bottom
    }
}

/// What a text covers, from the top of its capitals to the bottom of its descenders.
pub fn text_area(fonts: &Fonts, (x, baseline): Point, text: &str, style: Style) -> Area {
    let width = fonts.width(text, style.size, style.bold);
    let left = match style.anchor {
        Anchor::Start => x,
        Anchor::Middle => x - width / 2.0,
        Anchor::End => x - width,
    };
    // Capitals of this font are 0.73 em high, its descenders 0.21 em deep.
    Area { left, top: baseline - 0.73 * style.size, right: left + width, bottom: baseline + 0.21 * style.size }
}

/// `text` on one line, with every character that XML forbids or that would turn the line around made a space.
pub fn readable(text: &str) -> String {
    let odd = |c: char| {
        c.is_control()
            || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fffe}' | '\u{ffff}')
    };
    text.chars().map(|c| if odd(c) { ' ' } else { c }).collect()
}
