//! Walks the boxes of an ISO base media file: the container of HEIC and of CR3 raws.
//!
//! Boxes: ISO/IEC 14496-12 section 4.2, from memory, checked on real files.

use std::ops::Range;

use super::bytes::{big_endian, position};

/// Most boxes read on one level: real files have a few dozen.
const MOST_BOXES: usize = 4096;

/// A box: its four-letter type and where its content lies, cut at the end of what holds it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Box {
    /// Type.
    pub(super) kind: [u8; 4],
    /// Content, header excluded.
    pub(super) body: Range<usize>,
}

/// The boxes within a stretch of the file.
pub(super) fn boxes(bytes: &[u8], within: Range<usize>) -> impl Iterator<Item = Box> {
    let mut at = within.start;
    let end = within.end.min(bytes.len());
    std::iter::from_fn(move || {
        if at >= end {
            return None;
        }
        let kind: [u8; 4] = bytes.get(at + 4..at + 8)?.try_into().ok()?;
        let (header, size) = match big_endian(bytes, at, 4)? {
            0 => (8, None),
            1 => (16, Some(big_endian(bytes, at + 8, 8)?)),
            size => (8, Some(size)),
        };
        let whole = size.map_or(end - at, |size| position(size).unwrap_or(usize::MAX));
        if whole < header {
            return None;
        }
        let body = at.saturating_add(header).min(end)..at.saturating_add(whole).min(end);
        at = at.saturating_add(whole);
        Some(Box { kind, body })
    })
    .take(MOST_BOXES)
}

/// The first box of this type within a stretch.
pub(super) fn first(bytes: &[u8], within: Range<usize>, kind: &[u8; 4]) -> Option<Range<usize>> {
    boxes(bytes, within).find(|found| &found.kind == kind).map(|found| found.body)
}

/// The content of a box that begins with a version byte and three flag bytes: the version and the rest.
pub(super) fn full(bytes: &[u8], body: Range<usize>) -> Option<(u8, Range<usize>)> {
    let version = *bytes.get(body.clone())?.first()?;
    let start = body.start.checked_add(4)?;
    (start <= body.end).then_some((version, start..body.end))
}

/// A reader that steps through big-endian numbers of a stretch.
pub(super) struct Steps<'a> {
    /// What is read.
    pub(super) bytes: &'a [u8],
    /// Where the next number begins.
    pub(super) at: usize,
}

impl Steps<'_> {
    /// The next number of `size` bytes.
    pub(super) fn take(&mut self, size: usize) -> Option<u64> {
        let value = big_endian(self.bytes, self.at, size)?;
        self.at += size;
        Some(value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(bytes: &[u8]) -> Vec<(String, Range<usize>)> {
        boxes(bytes, 0..bytes.len())
            .map(|found| (String::from_utf8_lossy(&found.kind).into_owned(), found.body))
            .collect()
    }

    #[test]
    fn sizes_of_every_form_are_followed_and_cut() {
        let mut bytes = b"\0\0\0\x0Cplainabcd".to_vec();
        bytes.truncate(8);
        bytes.extend(b"abcd");
        bytes.extend(b"\0\0\0\x01long\0\0\0\0\0\0\0\x12xy");
        bytes.extend(b"\0\0\0\0restzzz");
        assert_eq!(kinds(&bytes), [("plai".into(), 8..12), ("long".into(), 28..30), ("rest".into(), 38..41)]);
        // A size past the end gives what is there; a size smaller than its own header ends the walk.
        assert_eq!(kinds(b"\0\0\xFF\xFFhugeab"), [("huge".into(), 8..10)]);
        assert_eq!(kinds(b"\0\0\0\x07tinyab"), []);
        assert_eq!(kinds(b"\0\0\0\x01endl\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFFa"), [("endl".into(), 16..17)]);
    }
}
