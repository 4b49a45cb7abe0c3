//! The camera's note in the file: a TIFF structure (EXIF 2.32, CIPA DC-008) put before the JPEG data.

use crate::shot::Frame;

pub const MAKE: &str = "Testcam";
pub const MODEL: &str = "T1";
pub const SERIAL: &str = "TS-0417";
pub const OFFSET: &str = "+01:00";

enum Value {
    Ascii(String),
    Short(u16),
    Long(u32),
    Rational(Vec<(u32, u32)>),
    Signed(i32, i32),
    Bytes([u8; 4]),
}

impl Value {
    /// TIFF type, number of values, little-endian bytes.
    fn parts(&self) -> (u16, u32, Vec<u8>) {
        match self {
            Value::Ascii(s) => {
                let mut b = s.as_bytes().to_vec();
                b.push(0);
                (2, b.len() as u32, b)
            }
            Value::Short(v) => (3, 1, v.to_le_bytes().to_vec()),
            Value::Long(v) => (4, 1, v.to_le_bytes().to_vec()),
            Value::Rational(v) => {
                let b = v.iter().flat_map(|(n, d)| [n.to_le_bytes(), d.to_le_bytes()]).flatten().collect();
                (5, v.len() as u32, b)
            }
            Value::Signed(n, d) => (10, 1, [n.to_le_bytes(), d.to_le_bytes()].concat()),
            Value::Bytes(b) => (7, 4, b.to_vec()),
        }
    }
}

type Entries = Vec<(u16, Value)>;

/// Bytes of one directory that starts at `at`, with `next` as link to the directory after it.
fn directory(entries: &Entries, at: usize, next: u32) -> Vec<u8> {
    let mut head = (entries.len() as u16).to_le_bytes().to_vec();
    let mut data = Vec::new();
    let data_at = at + 2 + entries.len() * 12 + 4;
    for (tag, value) in entries {
        let (kind, count, mut bytes) = value.parts();
        head.extend(tag.to_le_bytes());
        head.extend(kind.to_le_bytes());
        head.extend(count.to_le_bytes());
        if bytes.len() <= 4 {
            bytes.resize(4, 0);
            head.extend(bytes);
        } else {
            head.extend(((data_at + data.len()) as u32).to_le_bytes());
            data.extend(bytes);
            if data.len() % 2 == 1 {
                data.push(0);
            }
        }
    }
    head.extend(next.to_le_bytes());
    head.extend(data);
    head
}

fn tiff(f: &Frame, stored: (usize, usize), thumbnail: &[u8]) -> Vec<u8> {
    let text = |s: &str| Value::Ascii(s.to_string());
    let one = |n: u32, d: u32| Value::Rational(vec![(n, d)]);
    let taken = f.taken.exif_date();
    let subsec = f.taken.subsec();
    let (fnum, fden) = f.settings.aperture.marked;
    let lens = f.lens;
    let focal = lens.focal_mm as u32;
    let widest = ((lens.widest * 10.0 + 0.5) as u32, 10);
    let exif: Entries = vec![
        (0x829a, one(1, f.settings.shutter.marked)),
        (0x829d, one(fnum, fden)),
        (0x8822, Value::Short(1)),
        (0x8827, Value::Short(f.iso as u16)),
        (0x8830, Value::Short(2)),
        (0x8832, Value::Long(f.iso)),
        (0x9000, Value::Bytes(*b"0232")),
        (0x9003, text(&taken)),
        (0x9004, text(&taken)),
        (0x9010, text(OFFSET)),
        (0x9011, text(OFFSET)),
        (0x9012, text(OFFSET)),
        (0x9101, Value::Bytes([1, 2, 3, 0])),
        (0x9201, Value::Signed(f.settings.shutter.thirds, 3)),
        (0x9202, one(f.settings.aperture.stops as u32, 1)),
        (0x9204, Value::Signed(0, 3)),
        (0x9207, Value::Short(3)),
        (0x9209, Value::Short(16)),
        (0x920a, one(focal, 1)),
        (0x9290, text(&subsec)),
        (0x9291, text(&subsec)),
        (0x9292, text(&subsec)),
        (0xa000, Value::Bytes(*b"0100")),
        (0xa001, Value::Short(1)),
        (0xa002, Value::Long(stored.0 as u32)),
        (0xa003, Value::Long(stored.1 as u32)),
        (0xa402, Value::Short(1)),
        (0xa403, Value::Short(1)),
        (0xa405, Value::Short(focal as u16)),
        (0xa406, Value::Short(0)),
        (0xa431, text(SERIAL)),
        (0xa432, Value::Rational(vec![(focal, 1), (focal, 1), widest, widest])),
        (0xa434, text(lens.model)),
    ];
    let main = |exif_at: u32| -> Entries {
        vec![
            (0x010f, text(MAKE)),
            (0x0110, text(MODEL)),
            (0x0112, Value::Short(f.orientation())),
            (0x011a, one(300, 1)),
            (0x011b, one(300, 1)),
            (0x0128, Value::Short(2)),
            (0x0132, text(&taken)),
            (0x0213, Value::Short(1)),
            (0x8769, Value::Long(exif_at)),
        ]
    };
    let small = |at: u32| -> Entries {
        vec![
            (0x0103, Value::Short(6)),
            (0x011a, one(300, 1)),
            (0x011b, one(300, 1)),
            (0x0128, Value::Short(2)),
            (0x0201, Value::Long(at)),
            (0x0202, Value::Long(thumbnail.len() as u32)),
        ]
    };
    let start = 8;
    let main_len = directory(&main(0), start, 0).len();
    let exif_at = start + main_len;
    let exif_bytes = directory(&exif, exif_at, 0);
    let small_at = exif_at + exif_bytes.len();
    let small_len = directory(&small(0), small_at, 0).len();
    let mut out = b"II*\0".to_vec();
    out.extend((start as u32).to_le_bytes());
    out.extend(directory(&main(exif_at as u32), start, small_at as u32));
    out.extend(exif_bytes);
    out.extend(directory(&small((small_at + small_len) as u32), small_at, 0));
    out.extend(thumbnail);
    out
}

/// A camera's JPEG: EXIF directly after the start marker, no JFIF segment.
pub fn wrap(f: &Frame, jpeg: &[u8], stored: (usize, usize), thumbnail: &[u8]) -> Vec<u8> {
    let tiff = tiff(f, stored, thumbnail);
    let mut out = jpeg[..2].to_vec();
    out.extend([0xff, 0xe1]);
    out.extend(((tiff.len() + 8) as u16).to_be_bytes());
    out.extend(b"Exif\0\0");
    out.extend(tiff);
    let rest = &jpeg[2..];
    let jfif = rest.starts_with(&[0xff, 0xe0]);
    let skip = if jfif { 2 + usize::from(u16::from_be_bytes([rest[2], rest[3]])) } else { 0 };
    out.extend(&rest[skip..]);
    out
}
