//! One stage change as a row: its words at the left, on the scale what the settings did and, below it, what the light did.

use super::super::{StageAccount, StageRow};
use super::account_axis::Scale;
use super::account_marks::Pen;
use super::ink::{EDGE, Ink, SMALL};
use super::lettering::Fonts;
use super::sheet::{PLAIN, Sheet, Style, readable};

/// How much of a row there is room for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shown {
    /// Two lines of words, all figures.
    Roomy,
    /// One line of words, all figures.
    Close,
    /// Marks only, in rows of this height.
    Bare {
        /// Height of a row.
        row: f64,
    },
}

impl Shown {
    /// Height of a row.
    pub fn height(self) -> f64 {
        match self {
            Self::Roomy => 70.0,
            Self::Close => 58.0,
            Self::Bare { row } => row,
        }
    }
}

/// What a row is drawn from.
pub struct Row<'a> {
    /// The stage that begins.
    pub stage: &'a StageRow,
    /// Its account against the stage before.
    pub account: &'a StageAccount,
    /// Upper edge.
    pub top: f64,
    /// How much is shown.
    pub shown: Shown,
    /// The colour it lies on.
    pub ground: Ink,
}

/// Draws one row.
pub fn draw_row(sheet: &mut Sheet, fonts: &Fonts, scale: &Scale, row: &Row) {
    let (upper, lower, thick) = match row.shown {
        Shown::Roomy => (row.top + 22.0, row.top + 49.0, 10.0),
        Shown::Close => (row.top + 17.0, row.top + 41.0, 9.0),
        Shown::Bare { row: height } => (row.top + height * 0.3, row.top + height * 0.72, (height * 0.28).min(4.0)),
    };
    let worded = !matches!(row.shown, Shown::Bare { .. });
    if worded {
        words(sheet, fonts, scale, row);
    }
    let pen = Pen { fonts, scale, worded, thick, ground: row.ground };
    pen.settings(sheet, row.account, upper);
    pen.light(sheet, row.account, lower);
}

fn words(sheet: &mut Sheet, fonts: &Fonts, scale: &Scale, row: &Row) {
    sheet.layer("words");
    let (first, lines) = if row.shown == Shown::Roomy { (row.top + 30.0, 2) } else { (row.top + 37.0, 1) };
    let number = row.stage.stage.to_string();
    let left = EDGE + fonts.width("000", PLAIN.size, true) + 12.0;
    let said = readable(&row.stage.detail.headline);
    let said = fonts.wrap(&said, SMALL, false, scale.left - left - 16.0, lines);
    let first = if said.len() < lines { first + 13.0 } else { first };
    sheet.text((EDGE, first), number, Style { bold: true, ..PLAIN });
    for (line, text) in said.iter().enumerate() {
        sheet.text((left, first + 26.0 * line as f64), text, Style { size: SMALL, ..PLAIN });
    }
}
