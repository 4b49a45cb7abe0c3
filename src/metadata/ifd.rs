//! Walks the directories of a TIFF-based file, sub-directories included, without trusting a single offset in it.
//!
//! The EXIF reader follows neither `SubIFDs` nor the other magic numbers of camera raws, and the embedded pictures live
//! there. Layout: TIFF 6.0 section 2; `SubIFDs`: TIFF/EP (ISO 12234-2).

use std::collections::BTreeSet;

use super::bytes::{Order, position};

/// Most directories followed in one file: real raws have about ten.
const MOST_DIRECTORIES: usize = 32;
/// `SubIFDs`.
const SUB_IFDS: u16 = 0x014A;

/// A TIFF block: its bytes, its byte order, and where its first directory lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tiff<'a> {
    /// The block; offsets count from its first byte.
    pub(super) bytes: &'a [u8],
    /// Its byte order.
    pub(super) order: Order,
    /// Offset of directory 0.
    pub(super) first: usize,
}

/// One entry of a directory.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry {
    /// Tag number.
    pub(super) tag: u16,
    /// Type number as written in the file.
    pub(super) kind: u16,
    /// How many values.
    pub(super) count: u32,
    /// Where the twelve bytes of this entry lie.
    pub(super) at: usize,
}

/// One directory.
#[derive(Clone, Debug)]
pub(super) struct Directory {
    /// Its entries, in the order of the file.
    pub(super) entries: Vec<Entry>,
    /// Where the offset of the next directory is written, if the table is whole.
    pub(super) next_at: Option<usize>,
}

impl Directory {
    /// The first entry of this tag.
    pub(super) fn entry(&self, tag: u16) -> Option<Entry> {
        self.entries.iter().copied().find(|entry| entry.tag == tag)
    }
}

/// Bytes of one value of a TIFF type (TIFF 6.0 section 2; 13 is IFD of the TIFF technical note 1).
fn unit(kind: u16) -> usize {
    match kind {
        1 | 2 | 6 | 7 => 1,
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 => 8,
        _ => 0,
    }
}

impl<'a> Tiff<'a> {
    /// Opens a block that begins with a TIFF header or with the header of a raw that differs from it in the magic
    /// number alone: "RO", "RS", "OR" (ORF) and 55 hex (RW2).
    pub(super) fn open(bytes: &'a [u8]) -> Option<Self> {
        let order = match bytes.get(..4)? {
            [b'I', b'I', 42, 0] | [b'I', b'I', b'R', b'O' | b'S'] | [b'I', b'I', 0x55, 0] => Order::Little,
            [b'M', b'M', 0, 42] | [b'M', b'M', b'O', b'R'] => Order::Big,
            _ => return None,
        };
        Some(Self { bytes, order, first: position(order.u32(bytes, 4)?)? })
    }

    /// The directory at an offset; a table that runs past the end gives the entries that are there.
    pub(super) fn directory(self, offset: usize) -> Option<Directory> {
        let count = self.order.u16(self.bytes, offset)?;
        let table = offset.checked_add(2)?;
        let entries = (0..count).map_while(|index| {
            let at = table.checked_add(usize::from(index) * 12)?;
            self.bytes.get(at..at.checked_add(12)?)?;
            Some(Entry {
                tag: self.order.u16(self.bytes, at)?,
                kind: self.order.u16(self.bytes, at + 2)?,
                count: self.order.u32(self.bytes, at + 4)?,
                at,
            })
        });
        let next_at = table.checked_add(usize::from(count) * 12).filter(|&at| self.order.u32(self.bytes, at).is_some());
        Some(Directory { entries: entries.collect(), next_at })
    }

    /// The directory after this one.
    fn next(self, directory: &Directory) -> Option<usize> {
        position(self.order.u32(self.bytes, directory.next_at?)?).filter(|&offset| offset != 0)
    }

    /// The chain that begins with directory 0, at most so many, none twice.
    pub(super) fn chain(self, most: usize) -> Vec<Directory> {
        let mut seen = BTreeSet::new();
        let mut at = Some(self.first);
        std::iter::from_fn(|| {
            let directory = self.directory(at.filter(|&offset| seen.insert(offset))?)?;
            at = self.next(&directory);
            Some(directory)
        })
        .take(most)
        .collect()
    }

    /// Every directory reachable through the chain and through `SubIFDs`, each once, in a fixed order.
    pub(super) fn directories(self) -> Vec<Directory> {
        let mut seen = BTreeSet::new();
        let mut waiting = vec![self.first];
        let mut found = Vec::new();
        while let Some(offset) = waiting.pop() {
            if found.len() >= MOST_DIRECTORIES || !seen.insert(offset) {
                continue;
            }
            let Some(directory) = self.directory(offset) else {
                continue;
            };
            waiting.extend(self.next(&directory));
            if let Some(subs) = directory.entry(SUB_IFDS) {
                let most = MOST_DIRECTORIES.min(position(subs.count).unwrap_or(0));
                waiting.extend((0..most).rev().filter_map(|index| position(self.uint(subs, index)?)));
            }
            found.push(directory);
        }
        found
    }

    /// How many bytes the values of an entry claim; None when the type is unknown.
    pub(super) fn claimed(self, entry: Entry) -> Option<usize> {
        let unit = unit(entry.kind);
        (unit > 0).then(|| position(entry.count).unwrap_or(usize::MAX).saturating_mul(unit))
    }

    /// Where the values of an entry begin.
    pub(super) fn value_at(self, entry: Entry) -> Option<usize> {
        match self.claimed(entry)? {
            0..=4 => Some(entry.at + 8),
            _ => position(self.order.u32(self.bytes, entry.at + 8)?),
        }
    }

    /// One whole-number value (BYTE, SHORT, LONG, IFD, UNDEFINED of one byte) of an entry.
    pub(super) fn uint(self, entry: Entry, index: usize) -> Option<u32> {
        if index >= position(entry.count)? {
            return None;
        }
        let at = self.value_at(entry)?.checked_add(index.checked_mul(unit(entry.kind))?)?;
        match entry.kind {
            1 | 7 => self.bytes.get(at).copied().map(u32::from),
            3 => self.order.u16(self.bytes, at).map(u32::from),
            4 | 13 => self.order.u32(self.bytes, at),
            _ => None,
        }
    }
}
