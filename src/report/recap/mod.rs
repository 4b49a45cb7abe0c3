//! The recap for publishing: `recap.md`, `recap.html` and the pictures of both, a chapter to each lighting.
//!
//! `document` holds what is said and shown; `markdown` and `html` spell it. Nothing is worked out here.

mod change;
mod chapter;
mod closing;
mod document;
mod html;
mod lights;
mod markdown;
mod method;
mod next_time;
mod one_by_one;
mod opening;
mod pictures;
mod stands;

use std::sync::Arc;

use super::Report;
use document::Document;
use pictures::Gallery;

pub use html::BUDGET;

/// The write-up in both spellings, and the files that the first of them shows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recap {
    /// CommonMark text.
    pub markdown: String,
    /// The same as one page with its pictures in it.
    pub html: String,
    /// Paths relative to the write-up, as it names them (`recap/lighting-01.jpg`), with JPEG or SVG bytes.
    pub pictures: Vec<(String, Arc<[u8]>)>,
}

/// Writes the recap.
#[must_use]
pub fn render(report: &Report) -> Recap {
    let mut gallery = Gallery::default();
    let document = document(report, &mut gallery);
    Recap {
        markdown: markdown::write(&document),
        html: html::write(&document, &gallery),
        pictures: gallery.images.into_iter().map(|(name, image)| (name, image.bytes)).collect(),
    }
}

fn document(report: &Report, gallery: &mut Gallery) -> Document {
    let mut chapters = chapter::all(report, gallery);
    chapters.extend(closing::chapters(report));
    Document { title: report.shoot.clone(), opening: opening::blocks(report), chapters }
}
