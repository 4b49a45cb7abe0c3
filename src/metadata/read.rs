//! Puts a file's metadata together, field by field, keeping whatever can be read.

use super::block;
use super::fields::{Fields, Found};
use super::sniff::content_kind;
use super::{Metadata, Orientation, camera, exposure, heif, tags, time, xmp};
use crate::problem::{Code, Flaw};
use crate::walk::{Kind, PhotoFile};

/// Reads the metadata of a file from its bytes, all of them; the file itself is not opened.
///
/// Never fails: what is wrong stands in [`Metadata::flaws`], one flaw per defect, and everything else is kept. Of bytes
/// that are no picture this tool reads nothing is known; telling so is the caller's, who asks [`content_kind`] too.
#[must_use]
pub fn read(file: &PhotoFile, bytes: &[u8]) -> Metadata {
    let mut metadata = Metadata::default();
    let Some(kind) = content_kind(file.kind, bytes) else {
        return metadata;
    };
    let blocks = block::blocks(kind, bytes);
    if blocks.is_empty() {
        metadata.flaws.push(Flaw::plain(Code::ExifMissing));
        metadata.ratings = xmp::ratings(&file.name, kind, bytes, None);
    } else {
        let (fields, damage) = Fields::read(blocks);
        let whole = damage.is_empty();
        metadata.flaws.extend(damage.into_iter().map(|words| Flaw::with(Code::ExifDamaged, words)));
        fill(&mut metadata, &fields);
        metadata.ratings = xmp::ratings(&file.name, kind, bytes, Some(&fields));
        if whole {
            gather_missing(&mut metadata.flaws);
        }
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

/// A block that holds neither time nor settings is a stripped file, one cause and one flaw: a TIFF without an Exif
/// directory, or an export that kept the orientation alone.
fn gather_missing(flaws: &mut Vec<Flaw>) {
    const MISSING: [Code; 4] = [Code::TimeMissing, Code::ApertureMissing, Code::ShutterMissing, Code::IsoMissing];
    if MISSING.iter().all(|code| flaws.iter().any(|flaw| flaw.code == *code)) {
        flaws.retain(|flaw| !MISSING.contains(&flaw.code));
        flaws.push(Flaw::with(Code::ExifMissing, "neither time nor settings are left in it"));
    }
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
