//! Compares every field with what two independent readers, ExifRead 3.5.1 and Pillow 13.0.0, see in real files.
//!
//! `tests/reference/exif.csv` holds their answers; only rows on which they agree count. Files come from
//! `tests/fixtures`, and from the whole collection the table was made of where `FRAMES_DIR` names its folder.

// A test without its table or its files has nothing to say: it stops.
#![allow(clippy::indexing_slicing, clippy::unwrap_used)]

#[path = "support/tiff.rs"]
mod support;

use std::path::{Path, PathBuf};

use stoptally::metadata::{Lens, Marked, Metadata, WhiteBalance, content_kind, read};
use stoptally::problem::Code;
use stoptally::walk::Kind;

/// A file whose boxes lead nowhere: the other readers were handed its block, which had been found by its own mark.
const BOXES_BROKEN: &str = "1_exif/nom-exif/oom_large_box.heic";

/// One answer of both readers.
#[derive(Debug, serde::Deserialize)]
struct Row {
    file: String,
    field: String,
    exifread: String,
    agree: String,
    #[serde(rename = "where")]
    directory: String,
    fixture: String,
}

fn rows() -> Vec<Row> {
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/exif.csv");
    csv::Reader::from_path(table)
        .unwrap()
        .deserialize()
        .map(Result::unwrap)
        .filter(|row: &Row| row.agree == "yes")
        .collect()
}

/// Compares the rows whose file is found; the number of comparisons and the disagreements.
fn compare(locate: impl Fn(&Row) -> Option<PathBuf>) -> (usize, Vec<String>) {
    let mut compared = 0;
    let mut disagreements = Vec::new();
    let mut last: Option<(String, Metadata, bool)> = None;
    for row in rows() {
        let Some(path) = locate(&row) else { continue };
        if last.as_ref().is_none_or(|(file, ..)| *file != row.file) {
            let bytes = std::fs::read(&path).unwrap();
            let named = kind_of_ending(&path);
            let heic = content_kind(named, &bytes) == Some(Kind::Heic);
            last = Some((row.file.clone(), read(&support::file(named), &bytes), heic));
        }
        let (_, metadata, heic) = last.as_ref().unwrap();
        if *heic && row.field == "Orientation" {
            // Of a HEIC the `irot` property counts, not the Exif copy; see the test of containers.
            continue;
        }
        if row.file == BOXES_BROKEN {
            let lost = metadata.make.is_none() && metadata.flaws.iter().any(|flaw| flaw.code == Code::ExifDamaged);
            assert!(lost, "{metadata:?}");
            continue;
        }
        compared += 1;
        if let Err(ours) = agrees(metadata, &row) {
            let Row { file, field, exifread, directory, .. } = &row;
            disagreements.push(format!(
                "{file}: {field} in {directory} is {exifread:?}, we read {ours}; flaws {:?}",
                metadata.flaws
            ));
        }
    }
    (compared, disagreements)
}

fn kind_of_ending(path: &Path) -> Kind {
    let ending = path.extension().unwrap_or_default().to_string_lossy().to_lowercase();
    match ending.as_str() {
        "png" => Kind::Png,
        "tif" | "tiff" => Kind::Tiff,
        "webp" => Kind::Webp,
        "heic" => Kind::Heic,
        "cr2" | "cr3" | "nef" | "arw" | "dng" => Kind::Raw,
        _ => Kind::Jpeg,
    }
}

/// Whether our reading says what the row says; a value that means nothing must be absent and flawed.
fn agrees(metadata: &Metadata, row: &Row) -> Result<(), String> {
    let value = row.exifread.as_str();
    let flawed = |code| metadata.flaws.iter().any(|flaw| flaw.code == code);
    let text = |ours: Option<&str>| check(ours == Some(value).filter(|value| !value.is_empty()), &ours);
    // Both readers print what stands there; out of range is ours to say (f/512 and a day are the limits).
    let marked = |ours: Option<Marked>, invalid, highest| match fraction(value) {
        Some((num, den)) if num > 0 && den > 0 && num / den <= highest => {
            check(ours.is_some_and(|ours| (i64::from(ours.num), i64::from(ours.den)) == (num, den)), &ours)
        }
        _ => check(ours.is_none() && flawed(invalid), &ours),
    };
    let number = |ours: Option<f64>, invalid, range: std::ops::RangeInclusive<f64>| match fraction(value) {
        Some((num, den)) if den != 0 && range.contains(&(num as f64 / den as f64)) => {
            check(ours == Some(num as f64 / den as f64), &ours)
        }
        _ => check(ours.is_none() && flawed(invalid), &ours),
    };
    match row.field.as_str() {
        "Make" => text(metadata.make.as_deref()),
        "Model" => text(metadata.model.as_deref()),
        "BodySerialNumber" => text(metadata.body_serial.as_deref()),
        "LensModel" => match &metadata.lens {
            Lens::Named(name) => check(name == value, name),
            other => check(!value.chars().any(char::is_alphanumeric), other),
        },
        "LensSpecification" => check(specification_agrees(&metadata.lens, value), &metadata.lens),
        "Orientation" => match value.parse() {
            Ok(1..=8) => check(Ok(metadata.orientation as u8) == value.parse(), &metadata.orientation),
            _ => check(metadata.orientation as u8 == 1 && flawed(Code::OrientationInvalid), &metadata.orientation),
        },
        "ExposureTime" => marked(metadata.exposure_time_s, Code::ShutterInvalid, 86_400),
        "FNumber" => marked(metadata.f_number, Code::ApertureInvalid, 512),
        "ISO" if value == "0" => check(metadata.iso.is_none() && flawed(Code::IsoInvalid), &metadata.iso),
        "ISO" => check(metadata.iso == value.parse().ok(), &metadata.iso),
        "ExposureBiasValue" => number(metadata.exposure_compensation_stops, Code::FieldInvalid, -15.0..=15.0),
        "FocalLength" => number(metadata.focal_length_mm, Code::FocalLengthInvalid, 0.1..=20_000.0),
        "WhiteBalance" => {
            let expected = match value {
                "0" => Some(WhiteBalance::Auto),
                "1" => Some(WhiteBalance::Manual),
                _ => None,
            };
            check(metadata.white_balance == expected, &metadata.white_balance)
        }
        "DateTimeOriginal" => {
            let ours = metadata.taken.as_ref().map(|taken| taken.local.strftime("%Y:%m:%d %H:%M:%S").to_string());
            match &ours {
                Some(ours) if !flawed(Code::TimeDigitized) => check(ours == value, ours),
                _ => check(value.bytes().all(|byte| b" :0".contains(&byte)), &ours),
            }
        }
        "SubSecTimeOriginal" => {
            let ours = metadata.taken.as_ref().map(|taken| {
                let digits = format!("{:09}", taken.local.subsec_nanosecond());
                digits[..usize::from(taken.fraction_digits)].to_owned()
            });
            check(ours.as_deref().is_none_or(|ours| ours == &value[..value.len().min(9)]), &ours)
        }
        "OffsetTimeOriginal" => {
            let ours = metadata.taken.as_ref().and_then(|taken| taken.offset_minutes).map(|minutes| {
                format!("{}{:02}:{:02}", if minutes < 0 { '-' } else { '+' }, minutes.abs() / 60, minutes.abs() % 60)
            });
            check(ours.as_deref() == Some(value).filter(|value| value.len() == 6), &ours)
        }
        other => Err(format!("nothing: field {other} is not compared")),
    }
}

fn check(holds: bool, ours: &dyn std::fmt::Debug) -> Result<(), String> {
    if holds { Ok(()) } else { Err(format!("{ours:?}")) }
}

/// "n/d", already in lowest terms.
fn fraction(value: &str) -> Option<(i64, i64)> {
    let (num, den) = value.split_once('/')?;
    Some((num.parse().ok()?, den.parse().ok()?))
}

/// The specification is used only for a lens without a name; then its numbers must stand in our words.
fn specification_agrees(lens: &Lens, value: &str) -> bool {
    let numbers: Vec<f64> = value
        .split(' ')
        .filter_map(fraction)
        .filter(|&(num, den)| num > 0 && den > 0)
        .map(|(num, den)| num as f64 / den as f64)
        .collect();
    match lens {
        Lens::Named(_) => true,
        Lens::Unknown => numbers.is_empty() || value.split(' ').count() != 4,
        Lens::Specified(words) => {
            let separators = |letter: char| !(letter.is_ascii_digit() || letter == '.');
            let ours: Vec<f64> = words.split(separators).filter_map(|number| number.parse().ok()).collect();
            !ours.is_empty()
                && ours.iter().all(|ours| numbers.iter().any(|number| (number - ours).abs() < 0.051))
                && numbers.iter().all(|number| ours.iter().any(|ours| (number - ours).abs() < 0.051))
        }
    }
}

#[test]
fn fixtures_read_as_two_other_readers_read_them() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let (compared, disagreements) =
        compare(|row| Some(fixtures.join(&row.fixture)).filter(|path| !row.fixture.is_empty() && path.is_file()));
    assert!(disagreements.is_empty(), "{} of {compared}:\n{}", disagreements.len(), disagreements.join("\n"));
    assert!(compared > 200, "only {compared} comparisons: fixtures or table are incomplete");
}

#[test]
fn the_whole_collection_reads_as_two_other_readers_read_it() {
    let Some(frames) = std::env::var_os("FRAMES_DIR").map(PathBuf::from) else {
        println!("FRAMES_DIR is not set: only the fixtures were compared");
        return;
    };
    let (compared, disagreements) = compare(|row| Some(frames.join(&row.file)).filter(|path| path.is_file()));
    println!("{compared} fields compared, {} disagreements", disagreements.len());
    assert!(disagreements.is_empty(), "{} of {compared}:\n{}", disagreements.len(), disagreements.join("\n"));
}
