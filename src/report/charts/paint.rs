//! Draws a sheet: one function for every target, then the two targets, an SVG text and a PNG file.

use std::fmt::Write as _;

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder};
use plotters::prelude::{BitMapBackend, DrawingBackend, SVGBackend};
use plotters_backend::{BackendColor, BackendCoord, BackendStyle, DrawingErrorKind};

use super::ChartError;
use super::ink::PAPER;
use super::lettering::{Fonts, Lettering};
use super::sheet::{Item, Point, Sheet, readable};

/// SVG units to a logical pixel: whole units then lie on half pixels.
const SVG_SCALE: f64 = 2.0;
/// Pixels of the PNG to a logical pixel.
const PNG_SCALE: f64 = 1.5;
/// The PNG is drawn this many times larger each way and averaged down, which smooths every edge.
const SMOOTH: u32 = 2;

struct Stroke {
    color: BackendColor,
    width: u32,
}

impl BackendStyle for Stroke {
    fn color(&self) -> BackendColor {
        self.color
    }
    fn stroke_width(&self) -> u32 {
        self.width
    }
}

fn whole(value: f64) -> i32 {
    value.round() as i32
}

/// Draws items on any target whose pixels are `scale` to the logical pixel.
fn paint<B: DrawingBackend>(
    items: &[Item],
    fonts: &Fonts,
    scale: f64,
    target: &mut B,
) -> Result<(), DrawingErrorKind<B::ErrorType>> {
    let at = |(x, y): Point| -> BackendCoord { (whole(x * scale), whole(y * scale)) };
    for item in items {
        match item {
            Item::Rect { x, y, width, height, ink } => {
                let (left, top) = at((*x, *y));
                let (right, bottom) = at((x + width, y + height));
                // A thin rule keeps at least one unit, wherever rounding puts its edges.
                target.draw_rect((left, top), (right.max(left + 1), bottom.max(top + 1)), &ink.at(1.0), true)?;
            }
            Item::Line { from, to, width, ink } => {
                let width = whole(width * scale).max(1).unsigned_abs();
                target.draw_line(at(*from), at(*to), &Stroke { color: ink.at(1.0), width })?;
            }
            Item::Polygon { points, ink } => {
                target.fill_polygon(points.iter().map(|p| at(*p)), &ink.at(1.0))?;
            }
            Item::Disc { centre, radius, ink } => {
                let radius = whole(radius * scale).max(1).unsigned_abs();
                target.draw_circle(at(*centre), radius, &ink.at(1.0), true)?;
            }
            Item::Text { at: place, text, style } => {
                let lettering = Lettering {
                    fonts,
                    em: style.size * scale,
                    bold: style.bold,
                    anchor: style.anchor,
                    color: style.ink.at(1.0),
                };
                target.draw_text(text, &lettering, at(*place))?;
            }
        }
    }
    Ok(())
}

/// The sheet as an SVG document: a picture with a title and a description, a group with an id per layer, no scripts.
///
/// # Errors
/// [`ChartError::Draw`] when the drawing library fails.
pub fn svg(sheet: &Sheet, fonts: &Fonts, name: &str, title: &str, alt: &str) -> Result<String, ChartError> {
    let (width, height) = (whole(sheet.width), whole(sheet.height));
    let (units_x, units_y) = (whole(sheet.width * SVG_SCALE), whole(sheet.height * SVG_SCALE));
    let mut document = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {units_x} {units_y}\" \
         role=\"img\" aria-labelledby=\"{name}-title {name}-desc\">\n\
         <title id=\"{name}-title\">{}</title>\n<desc id=\"{name}-desc\">{}</desc>\n\
         <rect width=\"{units_x}\" height=\"{units_y}\" fill=\"#{:02X}{:02X}{:02X}\"/>\n",
        escape(title),
        escape(alt),
        PAPER.0,
        PAPER.1,
        PAPER.2,
    );
    for layer in &sheet.layers {
        let mut drawn = String::new();
        {
            let size = (units_x.unsigned_abs(), units_y.unsigned_abs());
            let mut target = SVGBackend::with_string(&mut drawn, size);
            paint(&layer.items, fonts, SVG_SCALE, &mut target).map_err(ChartError::draw)?;
            target.present().map_err(ChartError::draw)?;
        }
        let _ = writeln!(document, "<g id=\"{name}-{}\">\n{}</g>", layer.id, inner(&drawn));
    }
    document.push_str("</svg>\n");
    Ok(document)
}

/// What the SVG backend wrote between its first and last line, tidied: a text stands on one line on its baseline,
/// and attributes that say nothing are left out.
fn inner(drawn: &str) -> String {
    let mut out = String::with_capacity(drawn.len());
    let mut lines = drawn.lines().filter(|l| !l.starts_with("<svg ") && *l != "</svg>");
    while let Some(line) = lines.next() {
        if line.starts_with("<text ") {
            out.push_str(&line.replacen(" dy=\"0.76em\"", "", 1).replacen(" opacity=\"1\"", "", 1));
            out.push_str(lines.next().unwrap_or_default());
            out.push_str(lines.next().unwrap_or_default());
        } else {
            out.push_str(&line.replacen(" opacity=\"1\"", "", 1).replacen(" stroke=\"none\"", "", 1));
        }
        out.push('\n');
    }
    out
}

fn escape(text: &str) -> String {
    readable(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// The sheet as a PNG file of twice its logical size.
///
/// # Errors
/// [`ChartError::Draw`] when the drawing library fails, [`ChartError::Encode`] when the PNG cannot be written.
pub fn png(sheet: &Sheet, fonts: &Fonts) -> Result<Vec<u8>, ChartError> {
    let width = whole(sheet.width * PNG_SCALE).unsigned_abs();
    let height = whole(sheet.height * PNG_SCALE).unsigned_abs();
    let (wide, high) = (width * SMOOTH, height * SMOOTH);
    let mut large: Vec<u8> = [PAPER.0, PAPER.1, PAPER.2].repeat(wide as usize * high as usize);
    {
        let mut target = BitMapBackend::with_buffer(&mut large, (wide, high));
        for layer in &sheet.layers {
            paint(&layer.items, fonts, PNG_SCALE * f64::from(SMOOTH), &mut target).map_err(ChartError::draw)?;
        }
        target.present().map_err(ChartError::draw)?;
    }
    let pixels = halved(&large, wide as usize);
    let mut file = Vec::new();
    PngEncoder::new_with_quality(&mut file, CompressionType::Fast, FilterType::Up)
        .write_image(&pixels, width, height, ExtendedColorType::Rgb8)
        .map_err(ChartError::Encode)?;
    Ok(file)
}

/// Means of two by two pixels of an RGB buffer `wide` pixels across, both sides even.
fn halved(large: &[u8], wide: usize) -> Vec<u8> {
    let mut small = Vec::with_capacity(large.len() / 4);
    for rows in large.chunks_exact(wide * 6) {
        let (upper, lower) = rows.split_at(wide * 3);
        for (a, b) in upper.chunks_exact(6).zip(lower.chunks_exact(6)) {
            let (a0, a1) = a.split_at(3);
            let (b0, b1) = b.split_at(3);
            for (((p, q), r), s) in a0.iter().zip(a1).zip(b0).zip(b1) {
                let sum = u16::from(*p) + u16::from(*q) + u16::from(*r) + u16::from(*s);
                small.push(((sum + 2) / 4) as u8);
            }
        }
    }
    small
}
