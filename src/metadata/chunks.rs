//! Walks the chunks of PNG and WebP: where the one of a given name lies.

use std::ops::Range;

use super::bytes::{Order, position};

/// The body of the first PNG chunk of a name that begins with these bytes (PNG third edition, section 5.3), cut where
/// the file is.
pub(super) fn png(bytes: &[u8], name: &[u8; 4], begins: &[u8]) -> Option<Range<usize>> {
    let mut at = 8_usize;
    loop {
        let length = position(Order::Big.u32(bytes, at)?)?;
        let start = at.checked_add(8)?;
        let end = start.checked_add(length)?;
        let body = start..end.min(bytes.len());
        if bytes.get(at + 4..start)? == name && bytes.get(body.clone())?.starts_with(begins) {
            return Some(body);
        }
        at = end.checked_add(4)?;
    }
}

/// The body of the first WebP chunk of a name (RFC 9649, section 2.3), cut where the file is.
pub(super) fn webp(bytes: &[u8], name: &[u8; 4]) -> Option<Range<usize>> {
    let mut at = 12_usize;
    loop {
        let length = position(Order::Little.u32(bytes, at + 4)?)?;
        let start = at.checked_add(8)?;
        let end = start.checked_add(length)?;
        if bytes.get(at..at + 4)? == name {
            return Some(start..end.min(bytes.len()));
        }
        at = end.checked_add(length % 2)?;
    }
}
