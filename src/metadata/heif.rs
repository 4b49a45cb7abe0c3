//! Reads the items of a HEIF `meta` box: where the Exif block lies, and how the picture is to be turned.
//!
//! `iloc`, `iinf`, `pitm`: ISO/IEC 14496-12 section 8.11; `ipma`, `irot`, `imir`: ISO/IEC 23008-12 sections 9.3 and
//! 6.5. From memory, checked on real files.

use std::ops::Range;

use super::Orientation;
use super::boxes::{Steps, boxes, first, full};
use super::bytes::{Order, position};

/// Most bytes gathered of one item; an Exif block holds about 64 KiB at most.
const MOST_GATHERED: usize = 1 << 20;

/// Identifiers of the items of one type, in the order of the file.
pub(super) fn items(bytes: &[u8], meta: Range<usize>, kind: &[u8; 4]) -> Vec<u32> {
    let Some((version, rest)) = first(bytes, meta, b"iinf").and_then(|body| full(bytes, body)) else { return Vec::new() };
    let count = if version == 0 { 2 } else { 4 };
    boxes(bytes, rest.start.saturating_add(count)..rest.end)
        .filter(|found| &found.kind == b"infe")
        .filter_map(|found| {
            let (version, rest) = full(bytes, found.body)?;
            let mut steps = Steps { bytes: bytes.get(..rest.end)?, at: rest.start };
            let id = steps.take(match version {
                2 => 2,
                3 => 4,
                _ => return None,
            })?;
            steps.take(2)?;
            (steps.take(4)? == u64::from(u32::from_be_bytes(*kind))).then_some(u32::try_from(id).ok()?)
        })
        .collect()
}

/// Where the bytes of an item lie in the file, extent by extent.
pub(super) fn extents(bytes: &[u8], meta: Range<usize>, item: u32) -> Option<Vec<Range<usize>>> {
    let (version, rest) = full(bytes, first(bytes, meta.clone(), b"iloc")?)?;
    let mut steps = Steps { bytes: bytes.get(..rest.end)?, at: rest.start };
    let sizes = steps.take(2)?;
    let size = |shift: u32| position((sizes >> shift) & 0xF);
    let (offset_size, length_size, base_size) = (size(12)?, size(8)?, size(4)?);
    let index_size = if version == 0 { 0 } else { size(0)? };
    let id_size = if version < 2 { 2 } else { 4 };
    let count = steps.take(id_size)?;
    for _ in 0..count {
        let id = steps.take(id_size)?;
        let method = if version == 0 { 0 } else { steps.take(2)? & 0xF };
        steps.take(2)?;
        let base = steps.take(base_size)?;
        let extent_count = steps.take(2)?;
        if id != u64::from(item) {
            let each = index_size + offset_size + length_size;
            steps.at = steps.at.checked_add(each.checked_mul(position(extent_count)?)?)?;
            continue;
        }
        // Method 0 counts from the start of the file, 1 from the `idat` box; 2 (another item) is not met in cameras.
        let holder = match method {
            0 => 0..bytes.len(),
            1 => first(bytes, meta, b"idat")?,
            _ => return None,
        };
        let mut found = Vec::new();
        for _ in 0..extent_count {
            steps.take(index_size)?;
            let offset = base.checked_add(steps.take(offset_size)?)?;
            let length = position(steps.take(length_size)?)?;
            let start = holder.start.checked_add(position(offset)?)?;
            let end = if length == 0 { holder.end } else { start.checked_add(length)? };
            found.push(start..end);
        }
        return Some(found);
    }
    None
}

/// The bytes of a small item, gathered; cut where the file is.
pub(super) fn gathered(bytes: &[u8], extents: &[Range<usize>]) -> Vec<u8> {
    let mut all = Vec::new();
    for extent in extents {
        let part = bytes.get(extent.start..extent.end.min(bytes.len())).unwrap_or_default();
        let room = MOST_GATHERED.saturating_sub(all.len());
        all.extend_from_slice(part.get(..room.min(part.len())).unwrap_or_default());
    }
    all
}

/// The content of the file's `meta` box after its version and flags.
pub(super) fn meta(bytes: &[u8]) -> Option<Range<usize>> {
    full(bytes, first(bytes, 0..bytes.len(), b"meta")?).map(|(_, rest)| rest)
}

/// The TIFF block of the Exif item. It begins with a four-byte distance to the TIFF header (ISO/IEC 23008-12 annex A).
pub(super) fn exif(bytes: &[u8]) -> Option<Vec<u8>> {
    let meta = meta(bytes)?;
    let item = items(bytes, meta.clone(), b"Exif").first().copied()?;
    let block = gathered(bytes, &extents(bytes, meta, item)?);
    let distance = position(Order::Big.u32(&block, 0)?)?;
    block.get(distance.checked_add(4)?..).map(<[u8]>::to_vec)
}

/// How the picture of this file is to be turned, by the properties of its primary item. The Exif tag is only a copy
/// for information and must not be applied a second time (ISO/IEC 23008-12 annex A).
pub(super) fn orientation(bytes: &[u8]) -> Option<Orientation> {
    let meta = meta(bytes)?;
    let (version, rest) = full(bytes, first(bytes, meta.clone(), b"pitm")?)?;
    let primary = Steps { bytes: bytes.get(..rest.end)?, at: rest.start }.take(if version == 0 { 2 } else { 4 })?;
    let properties = first(bytes, meta, b"iprp")?;
    let all: Vec<_> = boxes(bytes, first(bytes, properties.clone(), b"ipco")?).collect();
    let mut turn = Turn::default();
    for index in associated(bytes, first(bytes, properties, b"ipma")?, primary)? {
        let Some(property) = index.checked_sub(1).and_then(|index| all.get(index)) else { continue };
        let value = bytes.get(property.body.clone()).and_then(<[u8]>::first).copied().unwrap_or(0);
        match &property.kind {
            b"irot" => turn.quarter_turns_clockwise += 4 - (value & 3),
            b"imir" => turn.mirror(value & 1 == 0),
            _ => {}
        }
    }
    Some(turn.orientation())
}

/// The properties of an item, as numbers counted from 1, in the order they apply.
fn associated(bytes: &[u8], ipma: Range<usize>, item: u64) -> Option<Vec<usize>> {
    let wide = bytes.get(ipma.start.checked_add(3)?)? & 1 == 1;
    let (version, rest) = full(bytes, ipma)?;
    let mut steps = Steps { bytes: bytes.get(..rest.end)?, at: rest.start };
    for _ in 0..steps.take(4)? {
        let id = steps.take(if version == 0 { 2 } else { 4 })?;
        let count = steps.take(1)?;
        let (size, mask) = if wide { (2, 0x7FFF) } else { (1, 0x7F) };
        let indices: Option<Vec<_>> = (0..count).map(|_| steps.take(size).and_then(|index| position(index & mask))).collect();
        let indices = indices?;
        if id == item {
            return Some(indices);
        }
    }
    None
}

/// A turn of the picture: mirrored left to right first, then turned clockwise.
#[derive(Clone, Copy, Debug, Default)]
struct Turn {
    mirrored: bool,
    quarter_turns_clockwise: u8,
}

impl Turn {
    /// Mirrors what has been turned so far; `upside_down` exchanges top and bottom, else left and right.
    fn mirror(&mut self, upside_down: bool) {
        // A mirror after a turn equals the opposite turn after the mirror.
        self.mirrored = !self.mirrored;
        self.quarter_turns_clockwise = 8 - self.quarter_turns_clockwise % 4 + if upside_down { 2 } else { 0 };
    }

    /// The same as one of the eight orientations of Exif 274.
    fn orientation(self) -> Orientation {
        match (self.mirrored, self.quarter_turns_clockwise % 4) {
            (false, 0) => Orientation::TopLeft,
            (false, 1) => Orientation::RightTop,
            (false, 2) => Orientation::BottomRight,
            (false, _) => Orientation::LeftBottom,
            (true, 0) => Orientation::TopRight,
            (true, 1) => Orientation::RightBottom,
            (true, 2) => Orientation::BottomLeft,
            (true, _) => Orientation::LeftTop,
        }
    }
}
