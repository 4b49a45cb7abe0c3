//! The charts of invented reports: where marks stand, what is written, what an SVG and a PNG hold.

mod documents;
mod exposure_marks;
mod kept_marks;
mod light_marks;
mod other_marks;
mod scenario;
mod texts;

use super::lettering::Fonts;
use super::sheet::{Item, Sheet};
use super::{Laid, lay_out};
use crate::report::Report;

/// One chart of a report, laid out.
fn laid(report: &Report, name: &str) -> Laid {
    let fonts = Fonts::load().unwrap();
    lay_out(report, &fonts).into_iter().find(|l| l.name == name).unwrap()
}

/// Everything on the layers with this id.
fn items<'a>(sheet: &'a Sheet, id: &str) -> Vec<&'a Item> {
    sheet.layers.iter().filter(|l| l.id == id).flat_map(|l| &l.items).collect()
}

/// The texts on the layers with this id.
fn words(sheet: &Sheet, id: &str) -> Vec<String> {
    let text = |item: &&Item| {
        if let Item::Text { text, .. } = item { Some(text.clone()) } else { None }
    };
    items(sheet, id).iter().filter_map(text).collect()
}
