//! Cuts the XMP out of whatever holds it, and reads the rating from it and from the Exif tag of that name.
//!
//! Where XMP lies in each format: XMP specification part 3. Extended XMP (a second kind of JPEG segment) holds what did
//! not fit into the first; a rating is short and stands in the first (common practice, no source).

use std::ops::Range;

use super::fields::{Fields, Found};
use super::ifd::Tiff;
use super::{block, boxes, chunks, heif, jpeg, sniff, tags};
use crate::ratings::{FileRating, Place, Said, packet, sidecar};
use crate::walk::Kind;

/// No camera and no program puts more XMP into a picture; larger is not read.
const LONGEST: usize = 16 << 20;
/// `XMP`, tag 700.
const XMP_TAG: u16 = 0x02BC;
/// The identifier of the box that holds XMP in files of the ISO base media family.
const UUID: [u8; 16] = [0xBE, 0x7A, 0xCF, 0xCB, 0x97, 0xA9, 0x42, 0xE8, 0x9C, 0x71, 0x99, 0x94, 0x91, 0xE3, 0xAF, 0xAC];

/// What a file says of its picture's rating, in XMP and in Exif.
pub(super) fn ratings(file: &str, kind: Kind, bytes: &[u8], fields: Option<&Fields>) -> Vec<FileRating> {
    let xmp = packet(kind, bytes).map_or(Said::Nothing, |found| packet::said(&sidecar::text(found)));
    let exif = fields.map_or(Said::Nothing, exif);
    [(Place::Xmp, xmp), (Place::Exif, exif)]
        .into_iter()
        .filter(|(_, said)| *said != Said::Nothing)
        .map(|(place, said)| FileRating { file: file.to_owned(), place, said })
        .collect()
}

/// The Exif tag `Rating`, a whole number 0 to 5 (common practice, no source).
fn exif(fields: &Fields) -> Said {
    match fields.uint(tags::RATING) {
        Found::Absent | Found::Blank => Said::Nothing,
        Found::Malformed(words) => Said::Unreadable(words),
        Found::Value(number) => crate::ratings::value(&number.to_string()),
    }
}

/// The bytes of a file's XMP, where it has some that may hold a rating.
fn packet(kind: Kind, bytes: &[u8]) -> Option<&[u8]> {
    let found = match kind {
        Kind::Jpeg => jpeg::xmp(bytes),
        Kind::Png => png(bytes),
        // RFC 9649, section 2.7.1.5.
        Kind::Webp => chunks::webp(bytes, b"XMP "),
        Kind::Heic => heic(bytes).or_else(|| uuid_box(bytes)),
        Kind::Raw if sniff::is_cr3(bytes) => uuid_box(bytes),
        Kind::Raw if sniff::is_raf(bytes) => raf(bytes),
        Kind::Raw | Kind::Tiff => tiff(bytes),
    };
    found.filter(|range| range.len() <= LONGEST).and_then(|range| bytes.get(range))
}

/// An uncompressed `iTXt` chunk with the keyword `XML:com.adobe.xmp` (PNG third edition, section 11.3.3.4).
fn png(bytes: &[u8]) -> Option<Range<usize>> {
    const KEYWORD: &[u8] = b"XML:com.adobe.xmp\0\0\0";
    let chunk = chunks::png(bytes, b"iTXt", KEYWORD)?;
    // Behind the keyword and the two bytes about compression stand a language and a translation, each with a NUL.
    let text = chunk.start + KEYWORD.len();
    let rest = bytes.get(text..chunk.end)?;
    let language = memchr::memchr(0, rest)? + 1;
    let translation = memchr::memchr(0, rest.get(language..)?)? + 1;
    Some(text + language + translation..chunk.end)
}

/// The first item of type `mime` in one piece that holds RDF (ISO/IEC 23008-12 annex A).
fn heic(bytes: &[u8]) -> Option<Range<usize>> {
    let meta = heif::meta(bytes)?;
    let listed = heif::items(bytes, meta.clone(), b"mime");
    listed.ids.iter().take(16).find_map(|item| {
        let extents = heif::extents(bytes, meta.clone(), *item)?;
        let [one] = extents.as_slice() else { return None };
        let body = bytes.get(one.clone())?;
        memchr::memmem::find(body, b"rdf:RDF").map(|_| one.clone())
    })
}

/// The box of type `uuid` with XMP's identifier.
fn uuid_box(bytes: &[u8]) -> Option<Range<usize>> {
    boxes::boxes(bytes, 0..bytes.len()).filter(|found| &found.kind == b"uuid").find_map(|found| {
        let start = found.body.start.checked_add(UUID.len())?;
        (bytes.get(found.body.start..start)? == UUID).then_some(start..found.body.end.max(start))
    })
}

/// The XMP of the JPEG inside a RAF.
fn raf(bytes: &[u8]) -> Option<Range<usize>> {
    let place = block::raf_place(bytes)?;
    let found = jpeg::xmp(bytes.get(place.start..place.start.checked_add(place.length)?)?)?;
    Some(found.start + place.start..found.end + place.start)
}

/// Tag 700 in a directory of the main chain.
fn tiff(bytes: &[u8]) -> Option<Range<usize>> {
    let tiff = Tiff::open(bytes)?;
    tiff.chain(8).iter().find_map(|directory| {
        let entry = directory.entry(XMP_TAG)?;
        let (start, length) = (tiff.value_at(entry)?, tiff.claimed(entry)?);
        Some(start..start.checked_add(length)?)
    })
}
