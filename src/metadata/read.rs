//! Puts a file's metadata together, field by field, keeping whatever can be read.

use super::block;
use super::fields::{Fields, Found};
use super::sniff::content_kind;
use super::{Metadata, Orientation, camera, exposure, heif, tags, time};
use crate::problem::{Code, Flaw};
use crate::walk::{Kind, PhotoFile};

/// Reads the metadata of a file from its bytes, all of them; the file itself is not opened.
///
/// Never fails: what is wrong stands in [`Metadata::flaws`], one flaw per defect, and everything else is kept. A file
/// that holds no bytes ([`Code::FileEmpty`]) or no picture this tool reads ([`Code::NotThisFormat`]) has that one flaw
/// and needs no measuring.
#[must_use]
pub fn read(file: &PhotoFile, bytes: &[u8]) -> Metadata {
    let mut metadata = Metadata::default();
    if bytes.is_empty() {
        metadata.flaws.push(Flaw::plain(Code::FileEmpty));
        return metadata;
    }
    let Some(kind) = content_kind(file.kind, bytes) else {
        metadata.flaws.push(Flaw::plain(Code::NotThisFormat));
        return metadata;
    };
    if !agrees(file.kind, kind) {
        metadata.flaws.push(Flaw::with(Code::NameDiffers, format!("the content is {}", in_words(kind))));
    }
    let blocks = block::blocks(kind, bytes);
    if blocks.is_empty() {
        metadata.flaws.push(Flaw::plain(Code::ExifMissing));
    } else {
        let (fields, damage) = Fields::read(blocks);
        metadata.flaws.extend(damage.into_iter().map(|words| Flaw::with(Code::ExifDamaged, words)));
        fill(&mut metadata, &fields);
    }
    if kind == Kind::Heic {
        metadata.orientation = heif::orientation(bytes).unwrap_or_default();
    }
    metadata
}

/// Fills every field from the EXIF.
fn fill(metadata: &mut Metadata, fields: &Fields) {
    let flaws = &mut metadata.flaws;
    metadata.make = camera::name(fields, tags::MAKE, flaws);
    metadata.model = camera::name(fields, tags::MODEL, flaws);
    metadata.body_serial = camera::body_serial(fields, flaws);
    metadata.lens = camera::lens(fields, flaws);
    metadata.taken = time::read(fields, flaws);
    metadata.focal_length_mm = exposure::focal_length_mm(fields, flaws);
    metadata.f_number = exposure::f_number(fields, flaws);
    metadata.exposure_time_s = exposure::time(fields, flaws);
    metadata.iso = exposure::iso(fields, flaws);
    metadata.exposure_compensation_stops = exposure::compensation_stops(fields, flaws);
    metadata.white_balance = exposure::white_balance(fields, flaws);
    metadata.exposure_mode = exposure::mode(fields, flaws);
    metadata.orientation = orientation(fields, flaws);
}

/// The orientation (Exif 274); upright where there is none, which is its default.
fn orientation(fields: &Fields, flaws: &mut Vec<Flaw>) -> Orientation {
    let words = match fields.uint(tags::ORIENTATION) {
        Found::Absent => return Orientation::default(),
        Found::Blank => "it is blank".to_owned(),
        Found::Malformed(words) => words,
        Found::Value(value) => match Orientation::from_exif(value) {
            Some(orientation) => return orientation,
            None => value.to_string(),
        },
    };
    flaws.push(Flaw::with(Code::OrientationInvalid, words));
    Orientation::default()
}

/// Whether name and content say the same. A raw built on TIFF and a TIFF are not told apart by every maker, in either
/// direction, so these two never disagree.
fn agrees(named: Kind, content: Kind) -> bool {
    let tiff_like = |kind| matches!(kind, Kind::Raw | Kind::Tiff);
    named == content || (tiff_like(named) && tiff_like(content))
}

fn in_words(kind: Kind) -> &'static str {
    match kind {
        Kind::Jpeg => "JPEG",
        Kind::Png => "PNG",
        Kind::Tiff => "TIFF",
        Kind::Webp => "WebP",
        Kind::Heic => "HEIC",
        Kind::Raw => "camera raw",
    }
}
