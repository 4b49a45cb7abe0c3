//! Agreement with values measured apart from this crate: `tests/reference/measure.csv`, made by
//! `tests/reference/measure.py` with Pillow, libtiff, libwebp, libjpeg-turbo, Little CMS and numpy.
//!
//! Tolerances: 0.005 stop for mean and median, the larger of 0.05 points and 1 % of the value for shares. A JPEG is
//! also given twice what the choice of decoder alone moves, as measured by djpeg with other settings, where the table says so:
//! ITU-T T.81 leaves inverse DCT and chroma interpolation to the decoder.
//!
//! `FRAMES_DIR=... cargo test --test measure_agreement` measures the whole collection the table was made from.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stoptally::measure::{Measured, Measurement, Scratch, measure};
use stoptally::metadata::Orientation;
use stoptally::problem::Code;
use stoptally::walk::Kind;

fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(path)
}

type Row = BTreeMap<String, String>;

fn table() -> Vec<Row> {
    let mut reader = csv::Reader::from_path(here("reference/measure.csv")).expect("the reference table");
    let header: Vec<String> = reader.headers().expect("a header").iter().map(str::to_owned).collect();
    let row = |record: csv::StringRecord| header.iter().cloned().zip(record.iter().map(str::to_owned)).collect();
    reader.records().map(|record| row(record.expect("a row"))).collect()
}

/// The kind a file is by its first bytes.
fn kind(bytes: &[u8]) -> Option<Kind> {
    match bytes {
        [0xff, 0xd8, ..] => Some(Kind::Jpeg),
        [0x89, b'P', b'N', b'G', ..] => Some(Kind::Png),
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => Some(Kind::Tiff),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some(Kind::Webp),
        _ => None,
    }
}

/// Exif orientation as a library reads it: the metadata step has tests of its own.
fn orientation(bytes: &[u8]) -> Orientation {
    let mut reader = exif::Reader::new();
    reader.continue_on_error(true);
    let read =
        reader.read_from_container(&mut std::io::Cursor::new(bytes)).or_else(|e| e.distill_partial_result(|_| {}));
    let value = read.ok().and_then(|exif| {
        exif.get_field(exif::Tag::Orientation, exif::In::PRIMARY).and_then(|field| field.value.get_uint(0))
    });
    value.and_then(Orientation::from_exif).unwrap_or_default()
}

/// What is different between a row and a measurement, in words.
fn differences(row: &Row, measured: &Measurement) -> Vec<String> {
    let number = |column: &str| row[column].parse::<f64>().unwrap_or_else(|_| panic!("{column} of {}", row["file"]));
    let spread = |column: &str| row[column].parse::<f64>().unwrap_or(0.0) * 2.0;
    let mut found = Vec::new();
    let mut stops = |name: &str, ours: f64| {
        let reference = number(name);
        // Below code 1 everywhere there is no meaningful ratio: compare the light itself with a tenth of code 1.
        let off = if reference < 3e-5 || ours < 3e-5 {
            if (ours - reference).abs() < 3e-5 { 0.0 } else { f64::INFINITY }
        } else {
            (ours / reference).log2().abs()
        };
        if off > 0.005 + spread("spread_mean_stops") {
            found.push(format!("{name} {ours:.6} is {off:.4} stop from {reference}"));
        }
    };
    stops("mean_luminance", measured.mean_luminance);
    stops("median_luminance", measured.median_luminance);
    let percent = |count: u64| 100.0 * count as f64 / measured.pixels() as f64;
    let [r, g, b] = measured.clipping.highlights_rgb;
    for (name, count, spread_of) in [
        ("highlights_clipped_percent", measured.clipping.highlights, "spread_highlights_points"),
        ("highlights_clipped_r_percent", r, "spread_highlights_points"),
        ("highlights_clipped_g_percent", g, "spread_highlights_points"),
        ("highlights_clipped_b_percent", b, "spread_highlights_points"),
        ("shadows_clipped_percent", measured.clipping.shadows, "spread_shadows_points"),
    ] {
        let (ours, reference) = (percent(count), number(name));
        if (ours - reference).abs() > f64::max(0.05, 0.01 * reference) + spread(spread_of) {
            found.push(format!("{name} {ours:.4} against {reference}"));
        }
    }
    if (number("width"), number("height")) != (f64::from(measured.width), f64::from(measured.height)) {
        found.push(format!("size {}x{} against {}x{}", measured.width, measured.height, row["width"], row["height"]));
    }
    found
}

/// Measures the file of every row that `locate` finds; returns how many agree, and what does not.
fn compare(locate: impl Fn(&Row) -> Option<PathBuf>) -> (usize, Vec<String>) {
    let mut scratch = Scratch::default();
    let (mut agree, mut complaints) = (0, Vec::new());
    for row in table() {
        let Some(path) = locate(&row) else { continue };
        let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let Some(kind) = kind(&bytes) else { continue };
        let Measured { result, notes } = measure(kind, &bytes, orientation(&bytes), &mut scratch);
        let certain = row["certainty"] == "certain";
        let differ = DECODERS_DIFFER.contains(&row["file"].as_str());
        match result {
            Ok(measurement) => {
                let mut found = differences(&row, &measurement);
                found.retain(|difference| !differ || difference.starts_with("mean_luminance"));
                if found.is_empty() {
                    agree += 1;
                } else if certain {
                    complaints.push(format!("{}: {} {notes:?}", row["file"], found.join("; ")));
                } else {
                    println!("ambiguous {}: {} {notes:?} ({})", row["file"], found.join("; "), row["note"]);
                }
            }
            Err(flaw) if !certain => {
                println!("ambiguous {}: {flaw:?} ({})", row["file"], row["note"])
            }
            Err(flaw) if REFUSED.contains(&(row["file"].as_str(), flaw.code)) => {}
            Err(flaw) => complaints.push(format!("{}: {flaw:?}", row["file"])),
        }
    }
    (agree, complaints)
}

/// Files the reference's libraries read and this crate refuses by name: fax and palette TIFFs and lossless JPEGs are no
/// photographs of a shoot, and of damaged TIFFs no figures are given from a part.
const REFUSED: &[(&str, Code)] = &[
    ("1_exif/sharp/G31D.TIF", Code::PictureVariant),
    ("1_exif/sharp/G31D_MULTI.TIF", Code::PictureVariant),
    ("1_exif/sharp/testimgl.jpg", Code::PictureVariant),
    ("3_hostile/image-tiff/palette-1c-1b.tiff", Code::PictureVariant),
    // A fax, 1 by 65537.
    ("3_hostile/image-tiff/big_g4.tif", Code::PictureTooLarge),
    ("3_hostile/pillow/crash-0da013a13571cc8eb457a39fee8db18f8a3c7127.tif", Code::PictureTruncated),
    ("3_hostile/pillow/crash-74d2a78403a5a59db1fb0a2b8735ac068a75f6e3.tif", Code::PictureDamaged),
];

/// Files on which decoders of equal standing differ by more than the tolerance. A dark 4:2:0 JPEG: its median lies at
/// code 2, where one code in one channel is 0.05 stop, and djpeg's own two ways of interpolating chroma differ by 0.08
/// points in its green clipping; and JPEG inside TIFF, for which the table has no such spread, where channels differ by
/// 0.13 points of 3.5. Their mean must agree all the same.
const DECODERS_DIFFER: &[&str] =
    &["1_exif/metadata-extractor-images/Casio EX-S1.jpg", "3_hostile/image-tiff/tiled-jpeg-ycbcr.tif"];

#[test]
fn fixtures_agree_with_the_reference() {
    let locate = |row: &Row| (!row["fixture"].is_empty()).then(|| here("fixtures").join(&row["fixture"]));
    let (agree, complaints) = compare(locate);
    assert!(complaints.is_empty(), "{agree} agree\n{}", complaints.join("\n"));
    assert!(agree >= 70, "only {agree} fixtures were compared");
}

#[test]
fn the_whole_collection_agrees_where_it_is_at_hand() {
    let Some(frames) = std::env::var_os("FRAMES_DIR").map(PathBuf::from) else {
        return;
    };
    let (agree, complaints) = compare(|row| Some(frames.join(&row["file"])).filter(|path| path.exists()));
    println!("{agree} agree");
    assert!(complaints.is_empty(), "{agree} agree\n{}", complaints.join("\n"));
}
