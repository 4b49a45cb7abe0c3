//! Charts of a finished report: its rows and words laid out on paper. Nothing is measured or worked out here.
//!
//! A chart is laid out once as a sheet of plain shapes and painted twice, as SVG and as PNG. The same report gives the
//! same bytes.

mod account;
mod account_axis;
mod account_marks;
mod account_row;
mod clipping;
mod exposure;
mod exposure_words;
mod ink;
mod kept;
mod lanes;
mod lettering;
mod light_lane;
mod lights;
mod lit;
mod paint;
mod shapes;
mod shares;
mod sheet;
mod strip;
mod thin;
mod wording;

#[cfg(test)]
mod tests;

use super::Report;
use lettering::Fonts;
use sheet::Sheet;

/// A finished chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chart {
    /// File name without its ending, also the beginning of every id in the SVG.
    pub name: &'static str,
    /// What the chart shows, as a finding where there is one. Plain text: escape it before it goes into markup.
    pub title: String,
    /// What it shows beyond its title, in words. Plain text, as the title.
    pub detail: String,
    /// The whole chart in words for those who cannot see it: title and detail. Plain text.
    pub alt: String,
    /// An SVG document 1200 logical pixels wide.
    pub svg: String,
    /// A PNG file of the same picture, 1800 pixels wide.
    pub png: Vec<u8>,
}

/// Why a chart could not be made. None of these depends on the photographer's files.
#[derive(Debug, thiserror::Error)]
pub enum ChartError {
    /// The embedded font cannot be read.
    #[error("the font for the charts cannot be read")]
    Font,
    /// The drawing library failed.
    #[error("a chart could not be drawn: {0}")]
    Draw(String),
    /// The PNG could not be written.
    #[error("a chart could not be written as PNG: {0}")]
    Encode(#[source] image::ImageError),
}

impl ChartError {
    fn draw(error: impl std::fmt::Display) -> Self {
        Self::Draw(error.to_string())
    }
}

/// A chart laid out and not yet painted.
struct Laid {
    name: &'static str,
    title: String,
    detail: String,
    sheet: Sheet,
}

/// Draws the charts that the report has something for, in a fixed order.
///
/// A report without shots has no chart, one whose stages never change no account of changes, one whose lights are not told
/// apart no chart of lights, one without keepers none of keepers.
///
/// # Errors
/// See [`ChartError`].
pub fn draw(report: &Report) -> Result<Vec<Chart>, ChartError> {
    let fonts = Fonts::load()?;
    lay_out(report, &fonts).into_iter().map(|laid| finish(laid, &fonts)).collect()
}

fn lay_out(report: &Report, fonts: &Fonts) -> Vec<Laid> {
    if report.frames.is_empty() {
        return Vec::new();
    }
    let mut laid = vec![exposure::lay_out(report, fonts), clipping::lay_out(report, fonts)];
    laid.extend(account::lay_out(report, fonts));
    laid.extend(lights::lay_out(report, fonts));
    laid.extend(shares::lay_out(report, fonts));
    laid.extend(kept::lay_out(report, fonts));
    laid
}

fn finish(laid: Laid, fonts: &Fonts) -> Result<Chart, ChartError> {
    // Names of lights and reasons come from the notes: on one line, and nothing in them turns the words around.
    let (title, detail) = (sheet::readable(&laid.title), sheet::readable(&laid.detail));
    let alt = format!("Chart. {title}. {detail}");
    let svg = paint::svg(&laid.sheet, fonts, laid.name, &title, &alt)?;
    let png = paint::png(&laid.sheet, fonts)?;
    Ok(Chart { name: laid.name, title, detail, alt, svg, png })
}

/// Writes the finding at the top. Returns the baseline for the key below it.
fn heading(sheet: &mut Sheet, fonts: &Fonts, title: &str) -> f64 {
    use ink::{EDGE, TITLE, WIDTH};
    sheet.layer("heading");
    let style = sheet::Style { size: TITLE, bold: true, ..sheet::PLAIN };
    let mut baseline = EDGE + 26.0;
    // Lines of much the same length: as narrow as the number of lines allows.
    let room = WIDTH - 2.0 * EDGE;
    let wrap = |width: f64| fonts.wrap(title, TITLE, true, width, 3);
    let mut lines = wrap(room);
    for narrower in (1..12).map(|i| room * (1.0 - f64::from(i) / 24.0)) {
        let tried = wrap(narrower);
        if tried.len() != lines.len() || tried.last().is_some_and(|l| l.ends_with('…')) {
            break;
        }
        lines = tried;
    }
    for line in lines {
        sheet.text((EDGE, baseline), line, style);
        baseline += 38.0;
    }
    baseline
}
