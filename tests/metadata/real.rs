//! Pictures embedded in real raws, against a plain search of the bytes for FF D8 FF and the frame header after it.

use std::path::Path;

use stoptally::metadata::{Orientation, embedded_picture, read};
use stoptally::walk::Kind;

use crate::support::file;

fn fixture(name: &str) -> Option<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    std::fs::read(folder.join(name)).ok()
}

#[test]
fn the_largest_of_all_pictures_in_the_bytes_is_found() {
    // Start, width and height of the largest picture that is no lossless one; the files are broken off behind it.
    for (name, expected) in [
        ("raw/sample.arw", Some((32_770, 160, 120))),
        ("raw/sample.cr2", Some((18_944, 1600, 1200))),
        ("raw/sample.cr3", Some((99_008, 1620, 1080))),
        ("raw/sample.dng", None),
        ("raw/sample.nef", None),
    ] {
        let bytes = fixture(name).unwrap();
        let found = embedded_picture(Kind::Raw, &bytes);
        assert_eq!(found.as_ref().map(|found| (found.range.start, found.width, found.height)), expected, "{name}");
        assert!(found.is_none_or(|found| found.cut), "{name} is broken off");
    }
}

#[test]
fn the_preview_of_a_cr3_is_whole_and_decodes() {
    let bytes = fixture("raw/sample.cr3").unwrap();
    let found = embedded_picture(Kind::Raw, &bytes).unwrap();
    let stream = &bytes[found.range];
    let picture = image::load_from_memory_with_format(stream, image::ImageFormat::Jpeg).unwrap();
    assert_eq!((picture.width(), picture.height()), (1620, 1080));
}

#[test]
fn a_turned_heic_is_turned_by_its_container() {
    let bytes = fixture("good/rotated.heic").unwrap();
    let metadata = read(&file(Kind::Heic), &bytes);
    assert_eq!(metadata.orientation, Orientation::RightTop);
}
