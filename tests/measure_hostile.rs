//! Files that break off, lie or are damaged: one flaw each, no figures from a part, no panic.

#[path = "support/pictures.rs"]
#[allow(dead_code, reason = "shared between test programs, each of which uses a part")]
mod pictures;

use image::ExtendedColorType as Colour;
use jpeg_encoder::SamplingFactor;
use pictures::{Noise, figures, jpeg, measured, png, rgb};
use std::path::{Path, PathBuf};
use stoptally::measure::{Scratch, measure, measure_jpeg_embedded};
use stoptally::metadata::Orientation;
use stoptally::problem::Code;
use stoptally::walk::Kind;

fn flaw(kind: Kind, bytes: &[u8]) -> Code {
    measured(kind, bytes).result.expect_err("no figures").code
}

/// A picture with detail everywhere, so that every part of its data matters.
fn busy(x: usize, y: usize) -> [u8; 3] {
    let mut noise = Noise((x * 7919 + y * 104_729) as u64);
    [0; 3].map(|_: u8| (noise.next() * 120.0) as u8 + (x / 3) as u8 % 100)
}

/// Baseline, progressive, with restart markers, with every chroma sampling: name and bytes.
fn jpegs() -> Vec<(&'static str, Vec<u8>)> {
    let make = |setup: &dyn Fn(&mut jpeg_encoder::Encoder<&mut Vec<u8>>)| jpeg(203, 117, setup, busy);
    vec![
        ("4:4:4", make(&|encoder| encoder.set_sampling_factor(SamplingFactor::F_1_1))),
        ("4:2:2", make(&|encoder| encoder.set_sampling_factor(SamplingFactor::F_2_1))),
        ("4:2:0", make(&|encoder| encoder.set_sampling_factor(SamplingFactor::F_2_2))),
        ("restarts", make(&|encoder| encoder.set_restart_interval(5))),
        ("progressive", make(&|encoder| encoder.set_progressive(true))),
    ]
}

#[test]
fn a_jpeg_that_breaks_off_has_no_figures() {
    let outcome = |bytes: &[u8]| measured(Kind::Jpeg, bytes).result.err().map(|flaw| flaw.code);
    for (name, bytes) in jpegs() {
        assert_eq!(outcome(&bytes), None, "{name}, whole");
        for eighths in 1..8 {
            let cut = &bytes[..bytes.len() * eighths / 8];
            assert_eq!(outcome(cut), Some(Code::PictureTruncated), "{name} cut at {eighths}/8");
        }
        // Also where a single byte of data is missing, besides the end marker.
        for missing in [3, 5, 20, 60, 200] {
            let cut = &bytes[..bytes.len() - missing];
            assert_eq!(outcome(cut), Some(Code::PictureTruncated), "{name} without its last {missing} bytes");
        }
    }
}

#[test]
fn an_end_marker_put_behind_half_a_baseline_jpeg_deceives_nobody() {
    for (name, bytes) in jpegs().into_iter().filter(|(name, _)| *name != "progressive") {
        let mut cut = bytes[..bytes.len() / 2].to_vec();
        cut.extend([0xff, 0xd9]);
        let code = flaw(Kind::Jpeg, &cut);
        assert!(matches!(code, Code::PictureTruncated | Code::PictureDamaged), "{name}: {code:?}");
    }
}

#[test]
fn what_follows_the_end_of_a_jpeg_does_not_matter() {
    for (name, bytes) in jpegs() {
        let plain = figures(Kind::Jpeg, &bytes);
        let rubbish: Vec<u8> = (0..5000_u32).map(|index| (index * 37 % 251) as u8).collect();
        let second = jpeg(16, 16, |_| {}, |_, _| [9, 200, 30]);
        for tail in [rubbish, second, vec![0; 3]] {
            assert!(figures(Kind::Jpeg, &[bytes.clone(), tail].concat()) == plain, "{name}");
        }
    }
}

#[test]
fn a_jpeg_whose_data_are_whole_needs_no_end_marker() {
    for (name, bytes) in jpegs().into_iter().filter(|(name, _)| *name != "progressive") {
        let plain = figures(Kind::Jpeg, &bytes);
        assert!(figures(Kind::Jpeg, &bytes[..bytes.len() - 2]) == plain, "{name}");
    }
}

#[test]
fn small_flat_jpegs_are_not_mistaken_for_broken_ones() {
    // Rows of blocks of a few bits each: the decoder reads ahead past several of them.
    for (width, height) in [(1, 1), (8, 64), (3, 200), (16, 16), (17, 90)] {
        for sampling in [SamplingFactor::F_1_1, SamplingFactor::F_2_2, SamplingFactor::F_2_1, SamplingFactor::F_1_2] {
            let bytes = jpeg(width, height, |encoder| encoder.set_sampling_factor(sampling), |_, _| [118; 3]);
            let measured = figures(Kind::Jpeg, &bytes);
            assert!((measured.mean_luminance / 0.18116424 - 1.0).abs() < 0.02, "{width}x{height} {sampling:?}");
        }
    }
}

#[test]
fn a_header_that_claims_more_than_the_file_can_hold_costs_one_flaw() {
    let claim = |width: u16, height: u16| {
        let mut bytes = jpeg(64, 64, |_| {}, busy);
        let frame = bytes.windows(2).position(|pair| pair == [0xff, 0xc0]).expect("a frame header");
        bytes[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
        bytes[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
        flaw(Kind::Jpeg, &bytes)
    };
    assert_eq!(claim(60_000, 3_000), Code::PictureTruncated);
    assert_eq!(claim(60_000, 60_000), Code::PictureTooLarge);
    assert_eq!(claim(6_000, 4_000), Code::PictureTruncated);
    // A PNG's header with its own checksum put right (CRC-32 of ISO 3309, as PNG uses it).
    let claim = |width: u32, height: u32| {
        let mut bytes = rgb(64, 64, busy);
        bytes[16..20].copy_from_slice(&width.to_be_bytes());
        bytes[20..24].copy_from_slice(&height.to_be_bytes());
        let crc = bytes[12..29].iter().fold(!0_u32, |crc, &byte| {
            (0..8).fold(crc ^ u32::from(byte), |crc, _| if crc & 1 == 1 { crc >> 1 ^ 0xedb8_8320 } else { crc >> 1 })
        });
        bytes[29..33].copy_from_slice(&(!crc).to_be_bytes());
        flaw(Kind::Png, &bytes)
    };
    assert_eq!(claim(60_000, 3_000), Code::PictureTruncated);
    assert_eq!(claim(60_000, 60_000), Code::PictureTooLarge);
}

#[test]
fn a_png_or_tiff_that_breaks_off_has_no_figures() {
    let bytes = rgb(203, 117, busy);
    for eighths in 1..8 {
        let code = flaw(Kind::Png, &bytes[..bytes.len() * eighths / 8]);
        assert_eq!(code, Code::PictureTruncated, "PNG cut at {eighths}/8");
    }
    let mut cursor = std::io::Cursor::new(Vec::new());
    let samples = pictures::rgb_samples(203, 117, busy);
    let mut encoder = tiff::encoder::TiffEncoder::new(&mut cursor).expect("a TIFF");
    encoder.write_image::<tiff::encoder::colortype::RGB8>(203, 117, &samples).expect("a TIFF");
    let bytes = cursor.into_inner();
    figures(Kind::Tiff, &bytes);
    for eighths in 1..8 {
        let code = flaw(Kind::Tiff, &bytes[..bytes.len() * eighths / 8]);
        assert!(matches!(code, Code::PictureTruncated | Code::PictureDamaged), "TIFF cut at {eighths}/8: {code:?}");
    }
}

#[test]
fn empty_foreign_and_headless_bytes_are_flaws() {
    for kind in [Kind::Jpeg, Kind::Png, Kind::Tiff, Kind::Webp] {
        for bytes in [&b""[..], b"\xff\xd8", b"\xff\xd8\xff\xd9", b"GIF89a", &[0; 64], &[0xff; 64]] {
            let code = flaw(kind, bytes);
            assert!(matches!(code, Code::PictureTruncated | Code::PictureDamaged), "{kind:?} {bytes:?}: {code:?}");
        }
    }
    // Floating-point pixels are a variant, by name.
    let mut cursor = std::io::Cursor::new(Vec::new());
    let mut encoder = tiff::encoder::TiffEncoder::new(&mut cursor).expect("a TIFF");
    encoder.write_image::<tiff::encoder::colortype::RGB32Float>(4, 4, &[0.5; 48]).expect("a TIFF");
    assert_eq!(flaw(Kind::Tiff, &cursor.into_inner()), Code::PictureVariant);
}

#[test]
fn an_embedded_picture_says_where_its_figures_are_from() {
    let bytes = jpeg(40, 40, |_| {}, busy);
    let embedded =
        measure_jpeg_embedded(&bytes, Orientation::TopLeft, &mut Scratch::default()).result.expect("figures");
    assert_eq!(embedded.source, stoptally::measure::PixelSource::EmbeddedPicture);
    assert_eq!(figures(Kind::Jpeg, &bytes).source, stoptally::measure::PixelSource::FullPicture);
    assert_eq!(png(&[0; 4], 2, 2, Colour::L8, None)[1..4], *b"PNG");
}

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() { files(&path, found) } else { found.push(path) }
    }
}

/// Every file of the fixtures (and of `FRAMES_DIR`) as every kind, whole, cut and with bytes changed: an outcome, never
/// a panic, not even one that is caught.
#[test]
fn no_file_makes_a_decoder_panic() {
    let mut found = Vec::new();
    files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures"), &mut found);
    if let Some(frames) = std::env::var_os("FRAMES_DIR") {
        files(Path::new(&frames), &mut found);
    }
    let mut scratch = Scratch::default();
    let mut panics = Vec::new();
    for path in found {
        let bytes = std::fs::read(&path).expect("readable");
        if bytes.len() > 300_000 {
            continue;
        }
        let mut noise = Noise(bytes.len() as u64);
        let mut changed = bytes.clone();
        for _ in 0..20 {
            let at = (noise.next() * changed.len() as f64) as usize;
            if let Some(byte) = changed.get_mut(at) {
                *byte = (noise.next() * 256.0) as u8;
            }
        }
        let cut = &bytes[..bytes.len() * 2 / 3];
        for (what, bytes) in [("whole", &bytes[..]), ("changed", &changed), ("cut", cut)] {
            for kind in [Kind::Jpeg, Kind::Png, Kind::Tiff, Kind::Webp] {
                let measured = measure(kind, bytes, Orientation::RightTop, &mut scratch);
                if let Err(flaw) = measured.result
                    && flaw.code == Code::DecoderFailed
                {
                    panics.push(format!("{} {what} as {kind:?}: {:?}", path.display(), flaw.detail));
                }
            }
        }
    }
    assert!(panics.is_empty(), "{}", panics.join("\n"));
}

/// A profile whose white is right while its red alone is three times as bright as white: no light that exists, so the
/// picture is read as sRGB and the row says so. Code 230 is not clipped.
#[test]
fn a_primary_brighter_than_white_makes_a_profile_unreadable() {
    let bytes =
        std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/found/red-weighs-three.png")).unwrap();
    let measured = measure(Kind::Png, &bytes, Orientation::TopLeft, &mut Scratch::default());
    assert_eq!(measured.notes.iter().map(|note| note.code).collect::<Vec<_>>(), [Code::ProfileUnreadable]);
    let figures = measured.result.unwrap();
    assert_eq!(figures.clipping.highlights, 0);
    // (230, 0, 0) in sRGB: 0.2126 of the light of code 230 (IEC 61966-2-1).
    assert!((figures.mean_luminance - 0.2126 * ((230.0 / 255.0 + 0.055_f64) / 1.055).powf(2.4)).abs() < 1e-6);
}
