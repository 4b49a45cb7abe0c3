//! Finds the largest JPEG the camera embedded in a raw or HEIC file: the picture the photographer saw on the back.
//!
//! The sensor data of raws is often JPEG too, but lossless; a candidate counts only when its own frame header says
//! that an ordinary decoder reads it.

use std::ops::Range;

use super::bytes::{big_endian, clipped, position};
use super::ifd::{Directory, Entry, Tiff};
use super::{block, boxes, heif, jpeg, makernote, sniff};
use crate::walk::Kind;

/// `JPEGInterchangeFormat` and its length (TIFF 6.0 section 22).
const JPEG_OFFSET: u16 = 0x0201;
const JPEG_LENGTH: u16 = 0x0202;
/// `Compression`: 6 old JPEG, 7 JPEG (TIFF 6.0 section 22, TIFF technical note 2).
const COMPRESSION: u16 = 0x0103;
const JPEG_COMPRESSIONS: [u32; 2] = [6, 7];
/// `StripOffsets` and `StripByteCounts`.
const STRIP_OFFSETS: u16 = 0x0111;
const STRIP_LENGTHS: u16 = 0x0117;
/// A whole JPEG as the value of one entry of an RW2 (from memory).
const RW2_PICTURES: [u16; 2] = [0x002E, 0x0127];
/// How far into a CR3 preview box its JPEG may begin; the headers before it are 8 to 16 bytes long.
const CR3_HEADER: usize = 64;

/// A JPEG inside a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Embedded {
    /// Where it lies in the file; begins with FF D8.
    pub range: Range<usize>,
    /// Width in pixels as its own frame header says, before it is turned upright.
    pub width: u16,
    /// Height in pixels as its own frame header says.
    pub height: u16,
    /// The file ends before this picture does, or before a larger one even begins: the file is broken off.
    pub cut: bool,
}

/// A place where a file says a JPEG lies.
pub(super) struct Place {
    /// First byte.
    pub(super) start: usize,
    /// Length in bytes.
    pub(super) length: usize,
}

/// The largest embedded JPEG by pixels, the first of several equals. None where there is none an ordinary decoder
/// reads; many HEIC files embed HEVC alone.
#[must_use]
pub fn embedded_picture(kind: Kind, bytes: &[u8]) -> Option<Embedded> {
    let places = match kind {
        Kind::Heic => heic(bytes),
        Kind::Raw if sniff::is_cr3(bytes) => cr3(bytes),
        Kind::Raw if sniff::is_raf(bytes) => block::raf_place(bytes).into_iter().collect(),
        Kind::Raw | Kind::Tiff => Tiff::open(bytes).map(tiff).unwrap_or_default(),
        Kind::Jpeg | Kind::Png | Kind::Webp => Vec::new(),
    };
    // A place that begins past the end can only be told from a wrong one by its length: it counts as lost when it
    // would have held more bytes than the best that is there.
    let lost = places.iter().filter(|place| place.start >= bytes.len()).map(|place| place.length).max().unwrap_or(0);
    let found = places.iter().filter_map(|place| picture(bytes, place));
    let best = found.reduce(|best, next| if area(&next) > area(&best) { next } else { best })?;
    let cut = best.cut || lost > best.range.len();
    Some(Embedded { cut, ..best })
}

fn area(picture: &Embedded) -> u32 {
    u32::from(picture.width) * u32::from(picture.height)
}

/// Checks that an ordinary JPEG lies at a place.
fn picture(bytes: &[u8], place: &Place) -> Option<Embedded> {
    let (range, cut) = clipped(place.start, place.length, bytes.len())?;
    let frame = jpeg::frame(bytes.get(range.clone())?)?;
    Some(Embedded { range, width: frame.width, height: frame.height, cut })
}

/// Places in the directories of a TIFF-based raw.
fn tiff(tiff: Tiff<'_>) -> Vec<Place> {
    let mut places: Vec<Place> =
        tiff.directories().iter().flat_map(|directory| in_directory(tiff, directory)).collect();
    places.extend(makernote::preview(tiff));
    places
}

/// Places one directory names.
fn in_directory(tiff: Tiff<'_>, directory: &Directory) -> Vec<Place> {
    let number = |tag| directory.entry(tag).and_then(|entry| position(tiff.uint(entry, 0)?));
    let pair = |start: u16, length: u16| Some(Place { start: number(start)?, length: number(length)? });
    let is_jpeg = directory
        .entry(COMPRESSION)
        .and_then(|entry| tiff.uint(entry, 0))
        .is_some_and(|value| JPEG_COMPRESSIONS.contains(&value));
    // Several strips are several JPEGs, each a slice of the picture: not one that can be handed on.
    let one_strip = directory.entry(STRIP_OFFSETS).is_some_and(|entry| entry.count == 1);
    let whole_value = |entry: Entry| Some(Place { start: tiff.value_at(entry)?, length: tiff.claimed(entry)? });
    let mut places: Vec<Place> = pair(JPEG_OFFSET, JPEG_LENGTH).into_iter().collect();
    if is_jpeg && one_strip {
        places.extend(pair(STRIP_OFFSETS, STRIP_LENGTHS));
    }
    places.extend(RW2_PICTURES.iter().filter_map(|&tag| whole_value(directory.entry(tag)?)));
    places
}

/// Places in a CR3: the preview box, the thumbnail box, and the samples of its tracks, of which one holds the
/// full-size JPEG (layout from memory, checked on a real file).
fn cr3(bytes: &[u8]) -> Vec<Place> {
    let whole = 0..bytes.len();
    let movie = boxes::first(bytes, whole.clone(), b"moov").unwrap_or(0..0);
    let mut places = Vec::new();
    for found in boxes::boxes(bytes, whole).chain(boxes::boxes(bytes, movie.clone())) {
        if &found.kind != b"uuid" {
            continue;
        }
        // The identifier of 16 bytes; the preview's box comes 8 bytes later still.
        for skipped in [16, 24] {
            let inside = found.body.start.saturating_add(skipped)..found.body.end;
            for preview in boxes::boxes(bytes, inside).filter(|inner| matches!(&inner.kind, b"PRVW" | b"THMB")) {
                places.extend(start_of_jpeg(bytes, preview.body));
            }
        }
    }
    let tracks = boxes::boxes(bytes, movie).filter(|found| &found.kind == b"trak");
    places.extend(tracks.filter_map(|track| track_sample(bytes, track.body)));
    places
}

/// The JPEG that begins near the start of a box and fills the rest of it.
fn start_of_jpeg(bytes: &[u8], body: Range<usize>) -> Option<Place> {
    let head = bytes.get(body.start..body.end.min(body.start.saturating_add(CR3_HEADER)))?;
    let start = body.start + head.windows(3).position(|three| three == [0xFF, 0xD8, 0xFF])?;
    Some(Place { start, length: body.end - start })
}

/// The first sample of a track: its size from `stsz`, its place from `co64` or `stco` (ISO/IEC 14496-12 section 8.7).
fn track_sample(bytes: &[u8], track: Range<usize>) -> Option<Place> {
    let table =
        [b"mdia", b"minf", b"stbl"].into_iter().try_fold(track, |within, kind| boxes::first(bytes, within, kind))?;
    let (_, sizes) = boxes::full(bytes, boxes::first(bytes, table.clone(), b"stsz")?)?;
    let length = match big_endian(bytes, sizes.start, 4)? {
        0 => big_endian(bytes, sizes.start.checked_add(8)?, 4)?,
        every => every,
    };
    let offset = match boxes::first(bytes, table.clone(), b"co64") {
        Some(wide) => big_endian(bytes, boxes::full(bytes, wide)?.1.start.checked_add(4)?, 8)?,
        None => {
            big_endian(bytes, boxes::full(bytes, boxes::first(bytes, table, b"stco")?)?.1.start.checked_add(4)?, 4)?
        }
    };
    Some(Place { start: position(offset)?, length: position(length)? })
}

/// Places of the JPEG items of a HEIC; an item in several pieces cannot be handed on as one stretch.
fn heic(bytes: &[u8]) -> Vec<Place> {
    let Some(meta) = heif::meta(bytes) else {
        return Vec::new();
    };
    let items = heif::items(bytes, meta.clone(), b"jpeg").ids;
    let single = items.into_iter().filter_map(|item| match heif::extents(bytes, meta.clone(), item)?.as_slice() {
        [only] => Some(Place { start: only.start, length: only.end.checked_sub(only.start)? }),
        _ => None,
    });
    single.collect()
}
