//! Reads the items of a HEIF `meta` box: where the Exif block lies, and how the picture is to be turned.
//!
//! `iloc`, `iinf`, `pitm`: ISO/IEC 14496-12 section 8.11; `ipma`, `irot`, `imir`: ISO/IEC 23008-12 sections 9.3 and
//! 6.5. From memory, checked on real files.

use std::ops::Range;

use super::Orientation;
use super::boxes::{Steps, boxes, first, full};
use super::bytes::{Order, big_endian, position};

/// Most bytes gathered of one item; an Exif block holds about 64 KiB at most.
const MOST_GATHERED: usize = 1 << 20;

/// The items of one type that a file lists.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Items {
    /// Their identifiers, in the order of the file.
    pub(super) ids: Vec<u32>,
    /// Whether the list holds as many entries of any type as it says it does.
    pub(super) whole: bool,
}

/// Reads the item list of a `meta` box.
pub(super) fn items(bytes: &[u8], meta: Range<usize>, kind: &[u8; 4]) -> Items {
    let Some((version, rest)) = first(bytes, meta, b"iinf").and_then(|body| full(bytes, body)) else {
        return Items::default();
    };
    let count_size = if version == 0 { 2 } else { 4 };
    let entries: Vec<_> = boxes(bytes, rest.start.saturating_add(count_size)..rest.end)
        .filter(|found| &found.kind == b"infe")
        .map_while(|found| entry(bytes, found.body))
        .collect();
    let count = big_endian(bytes, rest.start, count_size).and_then(position);
    Items {
        ids: entries.iter().filter(|(_, found)| found == kind).map(|&(id, _)| id).collect(),
        whole: count.is_some_and(|count| entries.len() >= count),
    }
}

/// Identifier and type of one entry of the item list.
fn entry(bytes: &[u8], body: Range<usize>) -> Option<(u32, [u8; 4])> {
    let (version, rest) = full(bytes, body)?;
    let id_size = match version {
        2 => 2,
        3 => 4,
        _ => return None,
    };
    let mut steps = Steps { bytes: bytes.get(..rest.end)?, at: rest.start };
    let id = steps.take(id_size)?;
    steps.take(2)?;
    let kind = u32::try_from(steps.take(4)?).ok()?;
    Some((u32::try_from(id).ok()?, kind.to_be_bytes()))
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

/// What a file says of its Exif item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Exif {
    /// It has none.
    None,
    /// It names one that cannot be found, or its list breaks off.
    Lost,
    /// The TIFF block.
    Block(Vec<u8>),
}

/// The TIFF block of the Exif item.
pub(super) fn exif(bytes: &[u8]) -> Exif {
    let Some(meta) = meta(bytes) else {
        return Exif::None;
    };
    let listed = items(bytes, meta.clone(), b"Exif");
    match listed.ids.first() {
        None if listed.whole => Exif::None,
        None => Exif::Lost,
        Some(&item) => block(bytes, meta, item).map_or(Exif::Lost, Exif::Block),
    }
}

/// The item's bytes from the TIFF header on; a distance of four bytes to it comes first (ISO/IEC 23008-12 annex A).
fn block(bytes: &[u8], meta: Range<usize>, item: u32) -> Option<Vec<u8>> {
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
        let Some(property) = index.checked_sub(1).and_then(|index| all.get(index)) else {
            continue;
        };
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
        let indices: Option<Vec<_>> =
            (0..count).map(|_| steps.take(size).and_then(|index| position(index & mask))).collect();
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
