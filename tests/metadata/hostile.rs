//! Whatever the bytes: no panic, no endless loop, no picture outside the file.

use std::path::{Path, PathBuf};

use crate::support::{ORDERS, ascii, block, file, jpeg, rational, short, signed};
use proptest::prelude::*;
use stoptally::metadata::{Metadata, embedded_picture, read, sniff};
use stoptally::walk::Kind;

const KINDS: [Kind; 6] = [Kind::Jpeg, Kind::Png, Kind::Tiff, Kind::Webp, Kind::Heic, Kind::Raw];

/// Reads bytes as every kind and checks what must hold of any answer.
fn try_all(bytes: &[u8]) {
    let found = sniff(bytes);
    for kind in KINDS {
        let metadata = read(&file(kind), bytes);
        assert!(found.is_some() || metadata == Metadata::default(), "{metadata:?}");
        for value in [metadata.f_number, metadata.exposure_time_s].into_iter().flatten() {
            assert!(value.num > 0 && value.den > 0);
        }
        assert_ne!(metadata.iso, Some(0));
        for text in [&metadata.make, &metadata.model, &metadata.body_serial].into_iter().flatten() {
            assert!(!text.is_empty() && !text.chars().any(char::is_control), "{text:?}");
        }
        if let Some(picture) = embedded_picture(kind, bytes) {
            assert!(bytes[picture.range].starts_with(&[0xFF, 0xD8]) && picture.width > 0 && picture.height > 0);
        }
    }
}

/// Starts of files that get past the first look.
fn starts() -> impl Strategy<Value = Vec<u8>> {
    prop::sample::select(vec![
        &b""[..],
        b"\xFF\xD8\xFF\xE1\0\x40Exif\0\0II*\0\x08\0\0\0",
        b"II*\0\x08\0\0\0\x02\0",
        b"MM\0*\0\0\0\x08\0\x02",
        b"IIRO\x08\0\0\0",
        b"IIU\0\x08\0\0\0",
        b"\x89PNG\r\n\x1a\n\0\0\0\x20eXIfMM\0*\0\0\0\x08",
        b"RIFF\xFF\0\0\0WEBPEXIF\x40\0\0\0II*\0\x08\0\0\0",
        b"\0\0\0\x10ftypheic\0\0\0\0\0\0\x01\0meta\0\0\0\0",
        b"\0\0\0\x10ftypcrx \0\0\0\0\0\0\x01\0moov",
        b"FUJIFILMCCD-RAW ",
    ])
    .prop_map(<[u8]>::to_vec)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn arbitrary_bytes_are_read_calmly(start in starts(), rest in prop::collection::vec(any::<u8>(), 0..600)) {
        try_all(&[start, rest].concat());
    }

    #[test]
    fn a_good_block_with_bytes_changed_is_read_calmly(
        order in 0..2_usize,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        keep in any::<prop::sample::Index>(),
        whole in any::<bool>(),
    ) {
        let exif = [
            rational(0x829A, &[(1, 200)]), rational(0x829D, &[(56, 10)]), short(0x8827, &[100]), ascii(0x9003, "2024:03:09 19:30:05"),
            signed(0x9201, &[(7, 1)]), rational(0xA432, &[(24, 1), (70, 1), (28, 10), (28, 10)]), ascii(0x9291, "13"),
        ];
        let mut bytes = block(ORDERS[order], &[ascii(0x010F, "Tramshed Optical"), short(0x0112, &[6])], &exif);
        for (index, value) in changes {
            let at = index.index(bytes.len());
            bytes[at] = value;
        }
        if !whole {
            bytes.truncate(keep.index(bytes.len()));
        }
        try_all(&bytes);
        try_all(&jpeg(&bytes));
    }
}

#[test]
fn every_file_at_hand_is_read_calmly_whole_and_broken_off() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let more = std::env::var_os("FRAMES_DIR").map(PathBuf::from);
    if more.is_none() {
        println!("FRAMES_DIR is not set: only the fixtures were read");
    }
    let mut read = 0;
    for root in std::iter::once(fixtures).chain(more) {
        for entry in walkdir::WalkDir::new(root).into_iter().flatten().filter(|entry| entry.file_type().is_file()) {
            let bytes = std::fs::read(entry.path()).unwrap();
            try_all(&bytes);
            for part in [1, 2, 3] {
                try_all(&bytes[..bytes.len() * part / 4]);
            }
            read += 1;
        }
    }
    assert!(read > 20, "only {read} files: fixtures are missing");
}
