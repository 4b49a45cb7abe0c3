//! The pictures of the recap: each file once, under a name that says which lighting and what it shows.
//!
//! A lighting's picture is its large print where there is one, and its preview beside it for pairs; without a print the
//! preview stands alone. What stands for a lighting without a light is its print, else the small picture of sums.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::measure::Picture;
use crate::report::Report;
use crate::report::light_types::Without;

/// One file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Image {
    /// Its bytes.
    pub bytes: Arc<[u8]>,
    /// Width in pixels.
    pub width: u16,
    /// Height in pixels.
    pub height: u16,
    /// `image/jpeg` or `image/svg+xml`.
    pub kind: &'static str,
}

impl From<&Picture> for Image {
    fn from(picture: &Picture) -> Self {
        Self { bytes: picture.jpeg.clone(), width: picture.width, height: picture.height, kind: "image/jpeg" }
    }
}

/// Every file of the recap by its name, relative to the write-up.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Gallery {
    /// Name and image.
    pub images: BTreeMap<String, Image>,
}

/// The name of a picture, and of a smaller one of the same where there is one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// The larger or only one.
    pub file: String,
    /// The smaller one.
    pub small: Option<String>,
}

impl Named {
    /// The smaller one, else the only one.
    pub fn smallest(&self) -> String {
        self.small.clone().unwrap_or_else(|| self.file.clone())
    }
}

impl Gallery {
    /// The picture of a shot, by its index in `Report::frames`, under `recap/<name>.jpg`; None where it has none.
    pub fn shot(&mut self, report: &Report, frame: usize, name: &str) -> Option<Named> {
        let print = report.prints.get(&frame);
        let preview = report.pictures.get(frame).and_then(Option::as_ref).map(|pictures| &pictures.preview);
        self.two(name, print, preview)
    }

    /// The small picture of a shot that no lighting is shown by, under `recap/<name>.jpg`.
    pub fn preview(&mut self, report: &Report, frame: usize, name: &str) -> Option<Named> {
        let preview = report.pictures.get(frame).and_then(Option::as_ref).map(|pictures| &pictures.preview);
        self.two(name, None, preview)
    }

    /// The picture of a lighting without one of its lights; None where it has none.
    pub fn without(&mut self, report: &Report, without: &Without, name: &str) -> Option<Named> {
        let sum = || without.picture.and_then(|index| report.light_pictures.get(index)).map(|lit| &lit.picture);
        match &without.print {
            Some(print) => self.two(name, Some(print), without.preview.as_ref()),
            None => self.two(name, None, sum()),
        }
    }

    /// A light by itself, or another picture that has one size only.
    pub fn add(&mut self, name: &str, image: Image) -> String {
        let ending = if image.kind == "image/jpeg" { "jpg" } else { "svg" };
        let file = format!("recap/{name}.{ending}");
        self.images.insert(file.clone(), image);
        file
    }

    fn two(&mut self, name: &str, print: Option<&Picture>, small: Option<&Picture>) -> Option<Named> {
        match (print, small) {
            (Some(print), small) => {
                let file = self.add(name, print.into());
                Some(Named { file, small: small.map(|small| self.add(&format!("{name}-small"), small.into())) })
            }
            (None, Some(only)) => Some(Named { file: self.add(name, only.into()), small: None }),
            (None, None) => None,
        }
    }
}
