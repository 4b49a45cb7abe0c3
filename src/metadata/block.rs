//! Cuts the EXIF block out of whatever holds it and makes it safe to hand to the EXIF reader.
//!
//! Two habits of the reader are guarded: it allocates for any count a value claims, and it follows every pointer entry
//! of a directory, so that 60 KB of overlapping directories were seen to ask for 300 MB, growing with the square. Only directory 0 and one Exif directory are
//! used here, so every other pointer is blanked in the copy, and used values longer than any camera writes are left out.

use std::ops::Range;

use super::bytes::{Order, big_endian, clipped, position};
use super::embedded::Place;
use super::ifd::Tiff;
use super::tags::{self, USED};
use super::{boxes, chunks, heif, jpeg, sniff};
use crate::walk::Kind;

/// Longest value of a directory entry that is read: the longest used ones are names of a few hundred bytes.
const LONGEST_VALUE: usize = 64 * 1024;
/// Pointer to the Exif directory.
const EXIF_POINTER: u16 = 0x8769;
/// Entries the reader follows: Exif, GPS and interoperability directories. The last two are not used.
const POINTERS: [u16; 3] = [EXIF_POINTER, 0x8825, 0xA005];
/// How many directories of the chain the reader visits at most.
const READERS_CHAIN: usize = 8;
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
        // PNG third edition, section 11.3.4.6; RFC 9649, section 2.7.1.5.
        Kind::Png => vec![chunks::png(bytes, b"eXIf", b"").and_then(|range| unnamed(bytes, range))],
        Kind::Webp => vec![chunks::webp(bytes, b"EXIF").and_then(|range| unnamed(bytes, range))],
        Kind::Heic => return heic(bytes),
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

/// The Exif item of a HEIC. One that is named and not to be found is damage, not absence.
fn heic(bytes: &[u8]) -> Vec<Block> {
    match heif::exif(bytes) {
        heif::Exif::None => Vec::new(),
        heif::Exif::Lost => {
            vec![Block { bytes: Vec::new(), left_out: vec!["its place in the file cannot be found".to_owned()] }]
        }
        heif::Exif::Block(block) => vec![guarded(block)],
    }
}

/// The blocks CMT2 (Exif directory) and CMT1 (directory 0) of a CR3, each a TIFF block of its own inside `moov`'s
/// `uuid` box (layout from memory, checked on a real file).
fn cr3(bytes: &[u8]) -> Vec<Option<Vec<u8>>> {
    let Some(movie) = boxes::first(bytes, 0..bytes.len(), b"moov") else {
        return Vec::new();
    };
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
        let Some(tiff) = Tiff::open(&bytes) else {
            break;
        };
        let magic = if tiff.order == Order::Little { [42, 0] } else { [0, 42] };
        let blanks = unwanted(tiff, &mut left_out);
        if let Some(place) = bytes.get_mut(2..4) {
            place.copy_from_slice(&magic);
        }
        let mut changed = false;
        for stretch in blanks {
            let Some(stretch) = bytes.get_mut(stretch) else {
                continue;
            };
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

/// The entries to blank in the directories the reader visits: the chain that begins with directory 0, and the Exif
/// directory. Links between directories stay: some writers leave them out, and values stand in their place.
fn unwanted(tiff: Tiff<'_>, left_out: &mut Vec<String>) -> Vec<Range<usize>> {
    let chain = tiff.chain(READERS_CHAIN);
    let pointer =
        chain.first().and_then(|main| main.entry(EXIF_POINTER)).filter(|entry| tiff.claimed(*entry) <= Some(4));
    let exif = pointer.and_then(|entry| tiff.uint(entry, 0)).and_then(position).and_then(|at| tiff.directory(at));
    let mut blanks = Vec::new();
    for (index, directory) in chain.iter().chain(&exif).enumerate() {
        let used = index == 0 || index == chain.len();
        for &entry in &directory.entries {
            let claims = tiff.claimed(entry).unwrap_or(0);
            let too_long = used && claims > LONGEST_VALUE && USED.contains(&entry.tag);
            if too_long {
                left_out.push(format!("{} claims {claims} bytes", tags::name(entry.tag)));
            }
            let kept = pointer.is_some_and(|kept| kept.at == entry.at);
            if too_long || (POINTERS.contains(&entry.tag) && !kept) {
                blanks.push(entry.at..entry.at + 12);
            }
        }
    }
    blanks
}

#[cfg(test)]
mod tests {
    use super::{Block, guarded};

    /// A little-endian block of one directory: tag, type, count, value or offset of each entry.
    fn directory(entries: &[(u16, u16, u32, u32)]) -> Vec<u8> {
        let mut bytes = b"II*\0\x08\0\0\0".to_vec();
        bytes.extend((entries.len() as u16).to_le_bytes());
        for &(tag, kind, count, value) in entries {
            bytes.extend([tag.to_le_bytes(), kind.to_le_bytes()].concat());
            bytes.extend([count.to_le_bytes(), value.to_le_bytes()].concat());
        }
        bytes.extend([0; 4]);
        bytes
    }

    /// How many entries of the table at byte 8 still carry a tag.
    fn left(block: &Block) -> usize {
        block.bytes[10..block.bytes.len() - 4].chunks_exact(12).filter(|entry| entry[..2] != [0, 0]).count()
    }

    #[test]
    fn one_exif_pointer_is_kept_and_no_other() {
        let apart = directory(&[
            (0x8769, 4, 1, 9999),
            (0x8825, 4, 1, 8),
            (0x8769, 4, 1, 10),
            (0xA005, 4, 1, 8),
            (0x0110, 2, 4, 0),
        ]);
        assert_eq!(left(&guarded(apart)), 2);
        let many_values = directory(&[(0x8769, 4, 2, 8), (0x0110, 2, 4, 0)]);
        assert_eq!(left(&guarded(many_values)), 1);
        // Each pointer leads to a table that begins within another entry: what is kept leads to one table at most.
        let overlapping: Vec<_> = (0..1000).map(|index| (0x8769, 4, 1, 10 + index * 12)).collect();
        let block = guarded(directory(&overlapping));
        assert!(block.bytes.is_empty() || left(&block) <= 1);
    }

    #[test]
    fn used_values_beyond_any_camera_are_left_out_and_named() {
        let block = guarded(directory(&[(0x010F, 2, 1 << 30, 0), (0x927C, 7, 1 << 30, 0), (0x0110, 2, 4, 0)]));
        assert_eq!((left(&block), block.left_out), (2, vec!["Make claims 1073741824 bytes".to_owned()]));
    }

    #[test]
    fn other_magic_numbers_become_the_readers_own() {
        let mut orf = directory(&[(0x0110, 2, 4, 0)]);
        orf[2..4].copy_from_slice(b"RO");
        assert_eq!(guarded(orf).bytes, directory(&[(0x0110, 2, 4, 0)]));
    }
}
