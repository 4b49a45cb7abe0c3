//! Any bytes to metadata: no panic, no hang, nothing known without a value and nothing missing without a flaw.

#![no_main]

use libfuzzer_sys::fuzz_target;
use std::path::PathBuf;
use stoptally::metadata::{self, Metadata};
use stoptally::walk::{Kind, PhotoFile};

const KINDS: [Kind; 6] = [Kind::Jpeg, Kind::Png, Kind::Tiff, Kind::Webp, Kind::Heic, Kind::Raw];

fn named(kind: Kind, bytes: &[u8]) -> PhotoFile {
    PhotoFile { path: PathBuf::from("frame"), name: "frame".to_owned(), kind, bytes: bytes.len() as u64 }
}

/// A value is finite and above zero or it is not there; what is not there has a flaw that says why.
fn check(read: &Metadata) {
    let marked = [read.f_number, read.exposure_time_s];
    assert!(marked.iter().flatten().all(|m| m.num > 0 && m.den > 0 && m.value().is_finite() && m.value() > 0.0));
    assert!(read.iso != Some(0));
    assert!(read.focal_length_mm.is_none_or(|mm| mm.is_finite() && mm > 0.0));
    assert!(read.exposure_compensation_stops.is_none_or(f64::is_finite));
    for text in [&read.make, &read.model, &read.body_serial].into_iter().flatten() {
        assert!(!text.is_empty() && text.trim() == text, "{text:?}");
    }
    let complete =
        read.taken.is_some() && read.f_number.is_some() && read.exposure_time_s.is_some() && read.iso.is_some();
    assert!(complete || !read.flaws.is_empty(), "something is missing and nothing says why: {read:?}");
}

fuzz_target!(|bytes: &[u8]| {
    let found = metadata::sniff(bytes);
    // The name decides one thing alone: whether a plain TIFF is a raw.
    for kind in [Kind::Jpeg, Kind::Raw] {
        let read = metadata::read(&named(kind, bytes), bytes);
        match metadata::content_kind(kind, bytes) {
            Some(_) => check(&read),
            None => {
                assert_eq!(found, None);
                assert_eq!(read, Metadata::default());
            }
        }
    }
    for kind in KINDS {
        if let Some(picture) = metadata::embedded_picture(kind, bytes) {
            let jpeg = bytes.get(picture.range.clone()).expect("the picture lies in the file");
            assert!(jpeg.starts_with(&[0xFF, 0xD8]));
            assert!(picture.width > 0 && picture.height > 0, "{picture:?}");
        }
    }
});
