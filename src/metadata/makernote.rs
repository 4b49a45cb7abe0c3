//! Follows the one maker's note that hides the preview: ORF keeps its largest JPEG nowhere else.
//!
//! Layout from memory: the note begins "OLYMPUS\0II\x03\0" or "OM SYSTEM\0\0\0II", its directory follows the header, its
//! offsets count from the note's first byte; entry 2020 leads to the camera settings, where 0101 is the preview's
//! offset and 0102 its length.

use super::bytes::{Order, position};
use super::embedded::Place;
use super::ifd::Tiff;

/// Pointer to the Exif directory.
const EXIF_POINTER: u16 = 0x8769;
/// `MakerNote`.
const MAKER_NOTE: u16 = 0x927C;
/// Camera settings; preview's offset and length.
const CAMERA_SETTINGS: u16 = 0x2020;
const PREVIEW_START: u16 = 0x0101;
const PREVIEW_LENGTH: u16 = 0x0102;

/// Where the preview lies, in the offsets of the file.
pub(super) fn preview(tiff: Tiff<'_>) -> Option<Place> {
    let number = |tiff: Tiff<'_>, entry| tiff.uint(entry, 0).and_then(position);
    let exif = tiff.directory(number(tiff, tiff.directory(tiff.first)?.entry(EXIF_POINTER)?)?)?;
    let start = tiff.value_at(exif.entry(MAKER_NOTE)?)?;
    // Only the start of the note is sure, its length is not: previews lie past its end.
    let note = tiff.bytes.get(start..)?;
    let (order_at, first) = if note.starts_with(b"OLYMPUS\0") {
        (8, 12)
    } else if note.starts_with(b"OM SYSTEM\0\0\0") {
        (12, 16)
    } else {
        return None;
    };
    let order = match note.get(order_at..order_at + 2)? {
        b"II" => Order::Little,
        b"MM" => Order::Big,
        _ => return None,
    };
    let inner = Tiff { bytes: note, order, first };
    let settings = inner.directory(inner.first)?.entry(CAMERA_SETTINGS)?;
    // Written as IFD or LONG, an offset; older bodies give the directory itself as bytes, which begins at the value.
    let at = if settings.count == 1 { number(inner, settings)? } else { inner.value_at(settings)? };
    let settings = inner.directory(at)?;
    let place = Place {
        start: start.checked_add(number(inner, settings.entry(PREVIEW_START)?)?)?,
        length: number(inner, settings.entry(PREVIEW_LENGTH)?)?,
    };
    Some(place)
}
