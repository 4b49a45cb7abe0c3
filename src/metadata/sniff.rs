//! Tells what a file is by its first bytes, because names lie: a phone's JPEG called `.heic`, an export called `.png`.

use super::bytes::Order;
use super::ifd::Tiff;
use crate::walk::Kind;

/// `NewSubfileType` does not tell a raw from a TIFF; these two do: colour filter array, linear raw (TIFF/EP, DNG 1.4).
const SENSOR_PHOTOMETRIC: [u32; 2] = [32803, 34892];
/// `DNGVersion`.
const DNG_VERSION: u16 = 0xC612;
/// `PhotometricInterpretation`.
const PHOTOMETRIC: u16 = 0x0106;

/// What the content says it is; None for anything this tool does not read.
///
/// A raw built on TIFF that carries no sign of a sensor in its directories answers [`Kind::Tiff`].
#[must_use]
pub fn sniff(bytes: &[u8]) -> Option<Kind> {
    match bytes {
        [0xFF, 0xD8, 0xFF, ..] => Some(Kind::Jpeg),
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Some(Kind::Png),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some(Kind::Webp),
        [_, _, _, _, b'f', b't', b'y', b'p', ..] => brands(bytes),
        // TIFF, and BigTIFF with 43 in place of 42.
        [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => {
            Some(if shows_a_sensor(bytes) { Kind::Raw } else { Kind::Tiff })
        }
        // ORF, RW2, RAF, then raws whose metadata is not read: CIFF, MRW, X3F.
        [b'I', b'I', b'R', b'O' | b'S', ..] | [b'M', b'M', b'O', b'R', ..] | [b'I', b'I', 0x55, 0, ..] => {
            Some(Kind::Raw)
        }
        _ if is_raf(bytes) => Some(Kind::Raw),
        [b'I', b'I', 0x1A, 0, 0, 0, b'H', b'E', b'A', b'P', ..]
        | [0, b'M', b'R', b'M', ..]
        | [b'F', b'O', b'V', b'b', ..] => Some(Kind::Raw),
        _ => None,
    }
}

/// What to read a file as: its content, where that is known. A file named as a raw stays one when its content is
/// plain TIFF, since many raws show no more than that.
#[must_use]
pub fn content_kind(named: Kind, bytes: &[u8]) -> Option<Kind> {
    Some(match (named, sniff(bytes)?) {
        (Kind::Raw, Kind::Tiff) => Kind::Raw,
        (_, found) => found,
    })
}

/// RAF, the raw that wraps a whole JPEG: "FUJIFILMCCD-RAW".
pub(super) fn is_raf(bytes: &[u8]) -> bool {
    bytes.starts_with(b"FUJIFILMCCD-RAW")
}

/// Whether this is the raw built on ISO base media (CR3).
pub(super) fn is_cr3(bytes: &[u8]) -> bool {
    bytes.get(4..12) == Some(b"ftypcrx ")
}

/// HEIC or CR3 by the brands of its `ftyp` box (ISO/IEC 23008-12 section 10). AVIF shares the container but no decoder.
fn brands(bytes: &[u8]) -> Option<Kind> {
    const HEIC: [&[u8]; 8] = [b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1"];
    const AVIF: [&[u8]; 2] = [b"avif", b"avis"];
    if is_cr3(bytes) {
        return Some(Kind::Raw);
    }
    let size = usize::try_from(Order::Big.u32(bytes, 0)?).ok()?.clamp(16, 256);
    let listed = bytes.get(8..size.min(bytes.len()))?;
    let mut brands = listed.chunks_exact(4).enumerate().filter(|&(index, _)| index != 1).map(|(_, brand)| brand);
    let is_heic = brands.clone().any(|brand| HEIC.contains(&brand));
    (is_heic && !brands.any(|brand| AVIF.contains(&brand))).then_some(Kind::Heic)
}

/// Whether a TIFF-based file holds a sensor's own data: CR2 by its mark at byte 8, others by their directories.
fn shows_a_sensor(bytes: &[u8]) -> bool {
    if bytes.get(8..10) == Some(b"CR") {
        return true;
    }
    let Some(tiff) = Tiff::open(bytes) else {
        return false;
    };
    tiff.directories().iter().any(|directory| {
        directory.entry(DNG_VERSION).is_some()
            || directory
                .entry(PHOTOMETRIC)
                .and_then(|entry| tiff.uint(entry, 0))
                .is_some_and(|value| SENSOR_PHOTOMETRIC.contains(&value))
    })
}
