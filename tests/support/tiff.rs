//! Small EXIF blocks and containers built by hand, so that each defect stands alone in its file.
#![allow(dead_code)]

use std::path::PathBuf;

use stoptally::metadata::{Metadata, read};
use stoptally::problem::Code;
use stoptally::walk::{Kind, PhotoFile};

/// Both byte orders, by their TIFF mark.
pub const ORDERS: [&[u8; 2]; 2] = [b"II", b"MM"];

/// One directory entry: tag, TIFF type, count and the bytes of its values.
#[derive(Clone, Debug)]
pub struct Entry {
    pub tag: u16,
    pub kind: u16,
    pub count: u32,
    pub value: Value,
}

/// Values before they have a byte order.
#[derive(Clone, Debug)]
pub enum Value {
    Bytes(Vec<u8>),
    Shorts(Vec<u16>),
    Longs(Vec<u32>),
}

/// Text with its closing NUL.
pub fn ascii(tag: u16, text: &str) -> Entry {
    let bytes = [text.as_bytes(), b"\0"].concat();
    Entry { tag, kind: 2, count: bytes.len() as u32, value: Value::Bytes(bytes) }
}

/// SHORT values.
pub fn short(tag: u16, values: &[u16]) -> Entry {
    Entry { tag, kind: 3, count: values.len() as u32, value: Value::Shorts(values.to_vec()) }
}

/// LONG values.
pub fn long(tag: u16, values: &[u32]) -> Entry {
    Entry { tag, kind: 4, count: values.len() as u32, value: Value::Longs(values.to_vec()) }
}

/// RATIONAL values.
pub fn rational(tag: u16, values: &[(u32, u32)]) -> Entry {
    let longs = values.iter().flat_map(|&(num, den)| [num, den]).collect();
    Entry { tag, kind: 5, count: values.len() as u32, value: Value::Longs(longs) }
}

/// SRATIONAL values.
pub fn signed(tag: u16, values: &[(i32, i32)]) -> Entry {
    let longs = values.iter().flat_map(|&(num, den)| [num as u32, den as u32]).collect();
    Entry { tag, kind: 10, count: values.len() as u32, value: Value::Longs(longs) }
}

/// A TIFF block being written.
pub struct Block {
    little: bool,
    bytes: Vec<u8>,
}

impl Block {
    pub fn new(order: &[u8; 2]) -> Self {
        let mut block = Self { little: order == b"II", bytes: order.to_vec() };
        block.u16(42);
        block.u32(8);
        block
    }

    pub fn u16(&mut self, value: u16) {
        self.bytes.extend(if self.little { value.to_le_bytes() } else { value.to_be_bytes() });
    }

    pub fn u32(&mut self, value: u32) {
        self.bytes.extend(if self.little { value.to_le_bytes() } else { value.to_be_bytes() });
    }

    /// Writes a directory at the present end, values after it, and `next` as the offset of the one that follows.
    pub fn directory(&mut self, entries: &[Entry], next: u32) {
        let start = self.bytes.len() + 2 + entries.len() * 12 + 4;
        let mut values = Self { little: self.little, bytes: Vec::new() };
        self.u16(entries.len() as u16);
        for entry in entries {
            let mut value = Self { little: self.little, bytes: Vec::new() };
            match &entry.value {
                Value::Bytes(bytes) => value.bytes.clone_from(bytes),
                Value::Shorts(all) => all.iter().for_each(|&one| value.u16(one)),
                Value::Longs(all) => all.iter().for_each(|&one| value.u32(one)),
            }
            self.u16(entry.tag);
            self.u16(entry.kind);
            self.u32(entry.count);
            if value.bytes.len() <= 4 {
                value.bytes.resize(4, 0);
                self.bytes.extend(value.bytes);
            } else {
                self.u32((start + values.bytes.len()) as u32);
                values.bytes.extend(value.bytes);
            }
        }
        self.u32(next);
        self.bytes.extend(values.bytes);
    }

    /// The block's length so far: where the next directory would begin.
    pub fn len(&self) -> u32 {
        self.bytes.len() as u32
    }

    pub fn finish(self) -> Vec<u8> {
        self.bytes
    }
}

/// A block with directory 0 and, in it, a pointer to the Exif directory.
pub fn block(order: &[u8; 2], main: &[Entry], exif: &[Entry]) -> Vec<u8> {
    let with_pointer = |at| [main, &[long(0x8769, &[at])]].concat();
    let mut measure = Block::new(order);
    measure.directory(&with_pointer(0), 0);
    let mut block = Block::new(order);
    block.directory(&with_pointer(measure.len()), 0);
    block.directory(exif, 0);
    block.finish()
}

/// A JPEG stream that holds an EXIF block and a frame header, and no scan.
pub fn jpeg(exif: &[u8]) -> Vec<u8> {
    with_exif(&picture(0xC0, 16, 8), exif)
}

/// A JPEG stream with an EXIF block put in behind its start.
pub fn with_exif(jpeg: &[u8], exif: &[u8]) -> Vec<u8> {
    let mut bytes = vec![0xFF, 0xD8, 0xFF, 0xE1];
    bytes.extend(((exif.len() + 8) as u16).to_be_bytes());
    bytes.extend(b"Exif\0\0");
    bytes.extend(exif);
    bytes.extend(jpeg.get(2..).unwrap_or_default());
    bytes
}

/// A JPEG stream without EXIF: SOI, a frame header of this kind and size, EOI.
pub fn picture(sof: u8, width: u16, height: u16) -> Vec<u8> {
    let mut bytes = vec![0xFF, 0xD8, 0xFF, sof, 0, 17, 8];
    bytes.extend(height.to_be_bytes());
    bytes.extend(width.to_be_bytes());
    bytes.extend([3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1, 0xFF, 0xD9]);
    bytes
}

/// A box of an ISO base media file.
pub fn a_box(kind: &[u8; 4], content: &[u8]) -> Vec<u8> {
    [&(content.len() as u32 + 8).to_be_bytes(), &kind[..], content].concat()
}

/// A file of the shoot as the walk would name it.
pub fn file(kind: Kind) -> PhotoFile {
    PhotoFile { path: PathBuf::from("frame"), name: "frame".to_owned(), kind, bytes: 0 }
}

/// Reads a JPEG that holds these entries, in both byte orders; the two must agree.
pub fn read_entries(main: &[Entry], exif: &[Entry]) -> Metadata {
    let [little, big] = ORDERS.map(|order| read(&file(Kind::Jpeg), &jpeg(&block(order, main, exif))));
    assert_eq!(little, big, "byte orders disagree");
    little
}

/// The codes of a file's flaws, in the order met.
pub fn codes(metadata: &Metadata) -> Vec<Code> {
    metadata.flaws.iter().map(|flaw| flaw.code).collect()
}
