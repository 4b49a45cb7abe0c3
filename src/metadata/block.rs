//! Cuts the EXIF block out of whatever holds it and makes it safe to hand to the EXIF reader.
//!
//! Two readings of the reader are guarded: it allocates for any count a value claims, and it follows every pointer
//! entry of a directory, so that a block of 64 KiB can ask for gigabytes. Only directory 0 and one Exif directory are
//! used here, so every other pointer is blanked in the copy, and values longer than any camera writes are left out.

use std::ops::Range;

use super::bytes::{Order, big_endian, clipped, position};
use super::embedded::Place;
use super::ifd::Tiff;
use super::tags::USED;
use super::{boxes, heif, jpeg, sniff};
use crate::walk::Kind;

/// Longest value of a directory entry that is read: the longest used ones are names of a few hundred bytes.
const LONGEST_VALUE: usize = 64 * 1024;
/// Pointer to the Exif directory.
const EXIF_POINTER: u16 = 0x8769;
/// Entries the reader follows: Exif, GPS and interoperability directories. The last two are not used.
const POINTERS: [u16; 3] = [EXIF_POINTER, 0x8825, 0xA005];
/// How often a block is looked through before it is given up; an honest one needs two looks.
const MOST_LOOKS: usize = 4;

/// An EXIF block ready for the reader, with what had to be left out of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Block {
    /// TIFF block, magic number 42.
    pub(super) bytes: Vec<u8>,
    /// What was left out, in words.
    pub(super) left_out: Vec<String>,
}

/// The EXIF blocks of a file, the Exif directory's before directory 0's where a container keeps them apart (CR3).
/// Empty when the file carries none.
pub(super) fn blocks(kind: Kind, bytes: &[u8]) -> Vec<Block> {
    let found = match kind {
        Kind::Jpeg => vec![part(bytes, jpeg::exif(bytes))],
        Kind::Png => vec![png(bytes).and_then(|range| unnamed(bytes, range))],
        Kind::Webp => vec![webp(bytes).and_then(|range| unnamed(bytes, range))],
        Kind::Heic => vec![heif::exif(bytes)],
        Kind::Raw if sniff::is_cr3(bytes) => cr3(bytes),
        Kind::Raw if sniff::is_raf(bytes) => vec![raf(bytes)],
        Kind::Raw | Kind::Tiff => vec![Tiff::open(bytes).map(|tiff| tiff.bytes.to_vec())],
    };
    found.into_iter().flatten().map(guarded).collect()
}

fn part(bytes: &[u8], range: Option<Range<usize>>) -> Option<Vec<u8>> {
    bytes.get(range?).map(<[u8]>::to_vec)
}

/// Content of a chunk; some writers put JPEG's "Exif\0\0" before the TIFF header here too.
fn unnamed(bytes: &[u8], range: Range<usize>) -> Option<Vec<u8>> {
    let body = bytes.get(range)?;
    Some(body.strip_prefix(b"Exif\0\0").unwrap_or(body).to_vec())
}

/// The `eXIf` chunk of a PNG (PNG third edition, section 11.3.4.6), cut where the file is.
fn png(bytes: &[u8]) -> Option<Range<usize>> {
    let mut at = 8_usize;
    loop {
        let length = position(Order::Big.u32(bytes, at)?)?;
        let start = at.checked_add(8)?;
        let end = start.checked_add(length)?;
        if bytes.get(at + 4..start)? == b"eXIf" {
            return Some(start..end.min(bytes.len()));
        }
        at = end.checked_add(4)?;
    }
}

/// The `EXIF` chunk of a WebP (RFC 9649 section 2.7.1.5), cut where the file is.
fn webp(bytes: &[u8]) -> Option<Range<usize>> {
    let mut at = 12_usize;
    loop {
        let length = position(Order::Little.u32(bytes, at + 4)?)?;
        let start = at.checked_add(8)?;
        let end = start.checked_add(length)?;
        if bytes.get(at..at + 4)? == b"EXIF" {
            return Some(start..end.min(bytes.len()));
        }
        at = end.checked_add(length % 2)?;
    }
}

/// The blocks CMT2 (Exif directory) and CMT1 (directory 0) of a CR3, each a TIFF block of its own inside `moov`'s
/// `uuid` box (layout from memory, checked on a real file).
fn cr3(bytes: &[u8]) -> Vec<Option<Vec<u8>>> {
    let Some(movie) = boxes::first(bytes, 0..bytes.len(), b"moov") else { return Vec::new() };
    [b"CMT2", b"CMT1"]
        .into_iter()
        .map(|name| {
            boxes::boxes(bytes, movie.clone())
                .filter(|found| &found.kind == b"uuid")
                // The sixteen bytes of the identifier come before the boxes inside.
                .find_map(|found| boxes::first(bytes, found.body.start.checked_add(16)?..found.body.end, name))
                .and_then(|body| part(bytes, Some(body)))
        })
        .collect()
}

/// The EXIF of the JPEG inside a RAF.
fn raf(bytes: &[u8]) -> Option<Vec<u8>> {
    let place = raf_place(bytes)?;
    let picture = bytes.get(clipped(place.start, place.length, bytes.len())?.0)?;
    part(picture, jpeg::exif(picture))
}

/// Where the JPEG of a RAF lies: offset and length at bytes 84 and 88, most significant byte first (from memory).
pub(super) fn raf_place(bytes: &[u8]) -> Option<Place> {
    let number = |at| big_endian(bytes, at, 4).and_then(position);
    Some(Place { start: number(84)?, length: number(88)? })
}

/// Makes a block safe for the reader. A block that is no TIFF stays as it is: the reader refuses it by itself.
fn guarded(mut bytes: Vec<u8>) -> Block {
    let mut left_out = Vec::new();
    // In a hostile file the two directories overlap and blanking in one changes the other, so look again until it holds.
    for _ in 0..MOST_LOOKS {
        let Some(tiff) = Tiff::open(&bytes) else { break };
        let magic = if tiff.order == Order::Little { [42, 0] } else { [0, 42] };
        let blanks = unwanted(tiff, &mut left_out);
        if let Some(place) = bytes.get_mut(2..4) {
            place.copy_from_slice(&magic);
        }
        let mut changed = false;
        for stretch in blanks {
            let Some(stretch) = bytes.get_mut(stretch) else { continue };
            changed |= stretch.iter().any(|&byte| byte != 0);
            stretch.fill(0);
        }
        if !changed {
            return Block { bytes, left_out };
        }
    }
    left_out.push("its directories overlap or are no directories".to_owned());
    Block { bytes: Vec::new(), left_out }
}

/// The stretches to blank in the two directories that are used: entries of 12 bytes and links to a next directory.
fn unwanted(tiff: Tiff<'_>, left_out: &mut Vec<String>) -> Vec<Range<usize>> {
    let Some(main) = tiff.directory(tiff.first) else { return Vec::new() };
    let pointer = main.entry(EXIF_POINTER);
    let exif = pointer.and_then(|entry| tiff.uint(entry, 0)).and_then(position).and_then(|at| tiff.directory(at));
    let mut blanks = Vec::new();
    for directory in [Some(main), exif].into_iter().flatten() {
        for &entry in &directory.entries {
            let claims = tiff.claimed(entry).unwrap_or(0);
            let too_long = claims > LONGEST_VALUE && USED.contains(&entry.tag);
            if too_long {
                left_out.push(format!("the value of tag {:04X} claims {claims} bytes", entry.tag));
            }
            let kept = pointer.is_some_and(|kept| kept.at == entry.at) && claims <= 4;
            if too_long || (POINTERS.contains(&entry.tag) && !kept) {
                blanks.push(entry.at..entry.at + 12);
            }
        }
        // The next directory describes a thumbnail, which is not used.
        blanks.extend(directory.next_at.map(|at| at..at + 4));
    }
    blanks
}
