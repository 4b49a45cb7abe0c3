//! A frame with every field in order, to be spoilt one field at a time.

use stoptally::metadata::Metadata;

use crate::support::{Entry, ascii, rational, read_entries, short, signed};

/// A block with every field in order, as a camera writes it.
pub fn complete() -> (Vec<Entry>, Vec<Entry>) {
    let main = vec![
        ascii(0x010F, "Tramshed Optical "),
        ascii(0x0110, "T-1"),
        short(0x0112, &[6]),
        ascii(0x0132, "2024:03:09 19:30:05"),
    ];
    let exif = vec![
        rational(0x829A, &[(10, 2000)]),
        rational(0x829D, &[(56, 10)]),
        short(0x8822, &[1]),
        short(0x8827, &[100]),
        ascii(0x9003, "2024:03:09 19:30:05"),
        ascii(0x9004, "2024:03:09 19:30:05"),
        ascii(0x9011, "+01:00"),
        signed(0x9201, &[(7_643_856, 1_000_000)]),
        rational(0x9202, &[(497_085, 100_000)]),
        signed(0x9204, &[(-1, 3)]),
        rational(0x920A, &[(50, 1)]),
        ascii(0x9291, "05 "),
        short(0xA402, &[1]),
        short(0xA403, &[1]),
        ascii(0xA431, "0042"),
        ascii(0xA434, "50mm F1.4"),
    ];
    (main, exif)
}

/// The complete block with one Exif entry replaced, or left out where `entry` is None.
pub fn with(tag: u16, entry: Option<Entry>) -> Metadata {
    let (main, exif) = complete();
    let replace = |all: Vec<Entry>| -> Vec<Entry> {
        let mut all: Vec<_> = all.into_iter().filter(|old| old.tag != tag).collect();
        all.extend(entry.clone());
        all
    };
    if main.iter().any(|old| old.tag == tag) {
        read_entries(&replace(main), &exif)
    } else {
        read_entries(&main, &replace(exif))
    }
}

/// The complete block with Exif entries in place of all those of the given tags.
pub fn without(tags: &[u16], more: &[Entry]) -> Metadata {
    let (main, exif) = complete();
    let keep = |all: Vec<Entry>| all.into_iter().filter(|old| !tags.contains(&old.tag)).collect::<Vec<_>>();
    let (main, mut exif) = (keep(main), keep(exif));
    exif.extend_from_slice(more);
    read_entries(&main, &exif)
}
