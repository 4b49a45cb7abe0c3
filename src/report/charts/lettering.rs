//! Text in the embedded font: how wide it is, how it is cut to fit, how it becomes pixels.
//!
//! The drawing library's own text places each glyph without its side bearing, which shows in print. Here glyphs
//! are placed to a fraction of a pixel. In an SVG text stays text; the font list below names fonts of equal widths.

use std::convert::Infallible;

use ab_glyph::{Font, FontRef, GlyphId, point};
use plotters_backend::text_anchor::{HPos, Pos, VPos};
use plotters_backend::{BackendColor, BackendCoord, BackendTextStyle, FontFamily, FontStyle};

use super::ChartError;

/// Fonts an SVG asks for, all with the widths of the embedded one.
const FAMILY: &str = "Arimo, 'Liberation Sans', Arial, Helvetica, sans-serif";
/// The SVG backend divides a text's size by this to get the em.
const SIZE_PER_EM: f64 = 1.24;

/// The embedded font in its two weights.
pub struct Fonts {
    regular: FontRef<'static>,
    bold: FontRef<'static>,
}

impl Fonts {
    /// Reads the embedded fonts.
    ///
    /// # Errors
    /// [`ChartError::Font`] when the bytes built into the program are no font.
    pub fn load() -> Result<Self, ChartError> {
        let read = |bytes: &'static [u8]| FontRef::try_from_slice(bytes).map_err(|_| ChartError::Font);
        Ok(Self {
            regular: read(include_bytes!("font/Arimo-Regular.ttf"))?,
            bold: read(include_bytes!("font/Arimo-Bold.ttf"))?,
        })
    }

    fn weight(&self, bold: bool) -> &FontRef<'static> {
        if bold { &self.bold } else { &self.regular }
    }

    /// Width of `text` in logical pixels at `size` logical pixels to the em.
    pub fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        let font = self.weight(bold);
        let units = f64::from(font.units_per_em().unwrap_or(2048.0));
        text.chars().map(|c| f64::from(font.h_advance_unscaled(font.glyph_id(c)))).sum::<f64>() * size / units
    }

    /// `text`, or as much of its beginning as fits `width` with an ellipsis. Empty when not even that fits.
    pub fn cut(&self, text: &str, size: f64, bold: bool, width: f64) -> String {
        if self.width(text, size, bold) <= width {
            return text.to_owned();
        }
        let mut kept: Vec<char> = text.chars().collect();
        while kept.pop().is_some() {
            let shorter: String = kept.iter().collect();
            let shorter = format!("{}…", shorter.trim_end());
            if kept.is_empty() {
                break;
            }
            if self.width(&shorter, size, bold) <= width {
                return shorter;
            }
        }
        String::new()
    }

    /// `text` broken between words into at most `lines` lines of `width`; the last is cut if more would follow.
    pub fn wrap(&self, text: &str, size: f64, bold: bool, width: f64, lines: usize) -> Vec<String> {
        let mut done: Vec<String> = Vec::new();
        let mut line = String::new();
        let mut words = text.split_whitespace().peekable();
        while let Some(word) = words.next() {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if line.is_empty() || self.width(&longer, size, bold) <= width {
                line = longer;
                continue;
            }
            if done.len() + 1 >= lines {
                let rest: Vec<&str> = std::iter::once(word).chain(words.by_ref()).collect();
                line = format!("{line} {}", rest.join(" "));
                break;
            }
            done.push(std::mem::replace(&mut line, word.to_owned()));
        }
        if !line.is_empty() {
            done.push(line);
        }
        done.iter().map(|l| self.cut(l, size, bold, width)).collect()
    }
}

/// Which end of a text stands at its position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The text begins there.
    Start,
    /// The text is centred there.
    Middle,
    /// The text ends there.
    End,
}

/// One text as the drawing library asks for it. Positions given with it are the baseline.
pub struct Lettering<'a> {
    /// Where widths and outlines come from.
    pub fonts: &'a Fonts,
    /// Pixels to the em in the target's own pixels.
    pub em: f64,
    /// Bold or regular.
    pub bold: bool,
    /// Which end stands at the position.
    pub anchor: Anchor,
    /// Colour.
    pub color: BackendColor,
}

impl BackendTextStyle for Lettering<'_> {
    type FontError = Infallible;

    fn color(&self) -> BackendColor {
        self.color
    }

    fn size(&self) -> f64 {
        self.em * SIZE_PER_EM
    }

    fn style(&self) -> FontStyle {
        if self.bold { FontStyle::Bold } else { FontStyle::Normal }
    }

    fn anchor(&self) -> Pos {
        let h_pos = match self.anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        Pos::new(h_pos, VPos::Top)
    }

    fn family(&self) -> FontFamily<'_> {
        FontFamily::Name(FAMILY)
    }

    fn layout_box(&self, text: &str) -> Result<((i32, i32), (i32, i32)), Self::FontError> {
        let width = self.fonts.width(text, self.em, self.bold).round();
        Ok(((0, 0), (width as i32, self.em.round() as i32)))
    }

    fn draw<E, DrawFunc: FnMut(i32, i32, BackendColor) -> Result<(), E>>(
        &self,
        text: &str,
        (left, baseline): BackendCoord,
        mut draw: DrawFunc,
    ) -> Result<Result<(), E>, Self::FontError> {
        let font = self.fonts.weight(self.bold);
        let per_unit = self.em / f64::from(font.units_per_em().unwrap_or(2048.0));
        let scale = (f64::from(font.height_unscaled()) * per_unit) as f32;
        let mut pen = 0.0_f64;
        for c in text.chars() {
            let id: GlyphId = font.glyph_id(c);
            let glyph = id.with_scale_and_position(scale, point(pen as f32, 0.0));
            pen += f64::from(font.h_advance_unscaled(id)) * per_unit;
            let Some(outline) = font.outline_glyph(glyph) else {
                continue;
            };
            let corner = outline.px_bounds().min;
            let (x0, y0) = (left + corner.x as i32, baseline + corner.y as i32);
            let mut outcome = Ok(());
            outline.draw(|x, y, coverage| {
                if outcome.is_ok() && coverage > 0.0 {
                    let ink = self.color.mix(f64::from(coverage.min(1.0)));
                    outcome = draw(x0 + x as i32, y0 + y as i32, ink);
                }
            });
            if outcome.is_err() {
                return Ok(outcome);
            }
        }
        Ok(Ok(()))
    }
}
