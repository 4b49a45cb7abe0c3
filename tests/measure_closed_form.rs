//! Pictures whose figures can be worked out on paper.

#![allow(clippy::disallowed_methods, reason = "expected values are worked out apart from the crate's own functions")]

#[path = "support/pictures.rs"]
#[allow(dead_code, reason = "shared between test programs, each of which uses a part")]
mod pictures;

use image::ExtendedColorType as Colour;
use moxcms::ColorProfile;
use pictures::{Noise, encoded, figures, linear, measured, png, rgb, rgb_samples, rgb16};
use stoptally::measure::{FocusMap, Measurement, Scratch, measure};
use stoptally::metadata::Orientation;
use stoptally::problem::Code;
use stoptally::walk::Kind;

/// Rounding of the tables, 2^-25 for each of three channels, and of a published value to eight digits.
const TABLE: f64 = 1e-7;

fn uniform(code: [u8; 3]) -> Measurement {
    figures(Kind::Png, &rgb(40, 30, |_, _| code))
}

#[test]
fn uniform_greys_have_the_light_of_the_reference_table() {
    // References table 4.1: colour-science 0.4.7, `eotf_sRGB`. 10 is on the line, 11 on the curve.
    for (code, light) in [
        (0, 0.0),
        (1, 0.00030353),
        (10, 0.00303527),
        (11, 0.00334654),
        (50, 0.03189603),
        (64, 0.05126946),
        (100, 0.12743768),
        (117, 0.17788842),
        (118, 0.18116424),
        (119, 0.18447499),
        (127, 0.21223076),
        (128, 0.21586050),
        (162, 0.36130678),
        (188, 0.50288646),
        (200, 0.57758044),
        (240, 0.87136712),
        (250, 0.95597335),
        (254, 0.99110210),
        (255, 1.0),
    ] {
        let measured = uniform([code; 3]);
        assert!((measured.mean_luminance - light).abs() < TABLE, "{code}: mean {}", measured.mean_luminance);
        assert!((measured.median_luminance - light).abs() < 1e-8, "{code}: median {}", measured.median_luminance);
        let [r, g, b] = measured.tiles.means[0].map(|mean| f64::from(mean) / 65535.0);
        for channel in [r, g, b] {
            assert!((channel - light).abs() <= 0.6 / 65535.0, "{code}: tile {channel}");
        }
        assert!(measured.tiles.means.iter().all(|tile| *tile == measured.tiles.means[0]), "{code}: tiles differ");
    }
}

#[test]
fn colours_have_the_luminance_of_the_reference_table() {
    // References table 4.2: colour-science 0.4.7, `sRGB_to_XYZ`, rounded weights.
    for (code, luminance) in [
        ([255, 0, 0], 0.2126),
        ([0, 255, 0], 0.7152),
        ([0, 0, 255], 0.0722),
        ([255, 255, 255], 1.0),
        ([194, 150, 130], 0.348937),
        ([115, 82, 68], 0.100968),
        ([255, 128, 0], 0.366983),
    ] {
        let measured = uniform(code);
        // The table's last four rows carry unrounded weights: six digits agree within 1e-4 (its own tolerance).
        assert!((measured.mean_luminance - luminance).abs() < 1e-4, "{code:?}: {}", measured.mean_luminance);
        assert!((measured.median_luminance - measured.mean_luminance).abs() < TABLE, "{code:?}");
    }
}

#[test]
fn whole_stops_from_mid_grey_come_out_as_whole_stops() {
    for stop in -8..=2 {
        let light = 0.18 * 2_f64.powi(stop);
        // 16 bits, so that the code is exact enough at eight stops down.
        let code = (encoded(light) * 65535.0).round() as u16;
        let measured = figures(Kind::Png, &rgb16(24, 24, |_, _| [code; 3]));
        for figure in [measured.mean_luminance, measured.median_luminance] {
            let stops = (figure / 0.18).log2();
            assert!((stops - f64::from(stop)).abs() < 0.002, "{stop}: {stops}");
        }
    }
}

#[test]
fn light_is_averaged_not_codes() {
    // References 4.1, averaging trap: half black, half white is 0.5, not the 0.214 of code 127.5.
    let halves = figures(Kind::Png, &rgb(64, 32, |x, _| [if x < 32 { 0 } else { 255 }; 3]));
    assert!((halves.mean_luminance - 0.5).abs() < TABLE);
    // An even count: the mean of the two middle pixels, one black, one white.
    assert!((halves.median_luminance - 0.5).abs() < TABLE);
    assert_eq!((halves.clipping.highlights, halves.clipping.shadows), (1024, 1024));
    // The preview too: a checkerboard of single pixels, halved, is code 188 (187.516), not 128.
    let board = figures(Kind::Png, &rgb(960, 640, |x, y| [if (x + y) % 2 == 0 { 0 } else { 255 }; 3]));
    assert_eq!((board.preview.width, board.preview.height), (480, 320));
    let shown = image::load_from_memory(&board.preview.jpeg).expect("a JPEG").to_rgb8();
    assert!(shown.pixels().all(|pixel| pixel.0.iter().all(|&code| code.abs_diff(188) <= 1)));
}

#[test]
fn clipping_starts_exactly_at_its_thresholds() {
    let counts = |code: [u8; 3]| uniform(code).clipping;
    assert_eq!(counts([253; 3]).highlights, 0);
    assert_eq!(counts([254; 3]).highlights, 1200);
    assert_eq!(counts([254, 10, 10]).highlights_rgb, [1200, 0, 0]);
    assert_eq!(counts([10, 254, 10]).highlights_rgb, [0, 1200, 0]);
    assert_eq!(counts([10, 10, 255]).highlights_rgb, [0, 0, 1200]);
    assert_eq!(counts([10, 10, 255]).highlights, 1200, "any channel");
    assert_eq!(counts([1; 3]).shadows, 1200);
    assert_eq!(counts([1, 1, 2]).shadows, 0, "all three channels");
    assert_eq!(counts([2; 3]).shadows, 0);
    // 16 bits: the same shares of full scale.
    let counts = |code: u16| figures(Kind::Png, &rgb16(10, 10, |_, _| [code; 3])).clipping;
    assert_eq!((counts(65277).highlights, counts(65278).highlights), (0, 100));
    assert_eq!((counts(257).shadows, counts(258).shadows), (100, 0));
}

#[test]
fn every_pixel_is_counted_whatever_the_width() {
    // Widths around the cell, strip and vector lengths; one marked pixel in the last corner must not be lost.
    for width in [1, 2, 3, 5, 8, 63, 64, 65, 479, 480, 481, 961, 1025, 1921, 3841, 4105] {
        let height = if width > 100 { 3 } else { 19 };
        let last = (width - 1, height - 1);
        let measured =
            figures(Kind::Png, &rgb(width, height, |x, y| if (x, y) == last { [255, 0, 0] } else { [0; 3] }));
        let pixels = (width * height) as u64;
        assert_eq!(measured.clipping.highlights_rgb, [1, 0, 0], "{width}");
        assert_eq!(measured.clipping.shadows, pixels - 1, "{width}");
        assert!((measured.mean_luminance * pixels as f64 - 0.2126).abs() < 1e-6, "{width}");
        assert!(measured.tiles.clipped.last().is_some_and(|&share| share > 0), "{width}");
        assert_eq!(measured.tiles.clipped.iter().filter(|&&share| share > 0).count(), 1, "{width}");
        assert_eq!(measured.tiles.means.len(), usize::from(measured.tiles.columns) * usize::from(measured.tiles.rows));
    }
}

#[test]
fn a_gradient_of_light_has_its_mean_its_median_and_its_tiles() {
    let (width, height) = (1920, 1280);
    let light = |x: usize| (x as f64 + 0.5) / width as f64;
    let measured = figures(Kind::Png, &rgb16(width, height, |x, _| [(encoded(light(x)) * 65535.0).round() as u16; 3]));
    assert!((measured.mean_luminance - 0.5).abs() < 1e-5);
    assert!((measured.median_luminance / 0.5).log2().abs() < 0.0015);
    assert_eq!((measured.tiles.columns, measured.tiles.rows), (96, 64));
    for (index, tile) in measured.tiles.means.iter().enumerate() {
        let expected = ((index % 96) as f64 + 0.5) / 96.0;
        for channel in tile {
            assert!((f64::from(*channel) / 65535.0 - expected).abs() < 3e-5, "tile {index}: {channel}");
        }
    }
}

#[test]
fn the_median_of_many_colours_is_within_its_bound() {
    // Larger than what is looked at twice, so the bins and the sample both play.
    let (width, height) = (1500, 800);
    let mut noise = Noise(7);
    for reach in [255.0, 40.0] {
        let samples: Vec<u8> = (0..width * height * 3).map(|_| (noise.next() * reach) as u8).collect();
        let mut luminance: Vec<f64> = samples
            .chunks_exact(3)
            .map(|pixel| {
                let [r, g, b] = [0, 1, 2].map(|channel| linear(f64::from(pixel[channel]) / 255.0));
                0.2126 * r + 0.7152 * g + 0.0722 * b
            })
            .collect();
        luminance.sort_by(f64::total_cmp);
        let exact = (luminance[luminance.len() / 2 - 1] + luminance[luminance.len() / 2]) / 2.0;
        let measured = figures(Kind::Png, &png(&samples, width, height, Colour::Rgb8, None));
        let off = (measured.median_luminance / exact).log2().abs();
        assert!(off < 0.0015, "{off} stop");
        let mean = luminance.iter().sum::<f64>() / luminance.len() as f64;
        assert!((measured.mean_luminance / mean).log2().abs() < 1e-5);
    }
}

#[test]
fn all_eight_orientations_of_one_picture_give_the_same_figures() {
    // Sides that no cell size divides; an asymmetric pattern; a clipped corner.
    for (width, height) in [(53, 31), (1003, 701), (3851, 1203)] {
        let pixel = |x: usize, y: usize| {
            let corner = x < width / 7 && y < height / 5;
            if corner { [255, 40, 3] } else { [(x * 200 / width) as u8, (y * 230 / height) as u8, (x ^ y) as u8 / 2] }
        };
        let mut expected: Option<Measurement> = None;
        for value in 1..=8 {
            let (stored_width, stored_height) = if value > 4 { (height, width) } else { (width, height) };
            let stored = rgb(stored_width, stored_height, |x, y| {
                let (x, y) = pictures::upright(value, x, y, width, height);
                pixel(x, y)
            });
            let orientation = Orientation::from_exif(value).expect("one of eight");
            let mut measured =
                measure(Kind::Png, &stored, orientation, &mut Scratch::default()).result.expect("figures");
            // Blocks of sharpness follow the stored rows, so it may differ in what is left over at the edges.
            measured.sharpness = None;
            measured.focus = FocusMap::default();
            assert_eq!((measured.width, measured.height), (width as u32, height as u32));
            match &expected {
                None => expected = Some(measured),
                Some(expected) => {
                    // Of large pictures some stored rows are looked at twice for the median: within its bound.
                    let off = (measured.median_luminance / expected.median_luminance).log2().abs();
                    assert!(off < 0.0015, "orientation {value} of {width}x{height}: median {off}");
                    measured.median_luminance = expected.median_luminance;
                    assert!(*expected == measured, "orientation {value} of {width}x{height} differs");
                }
            }
        }
    }
}

#[test]
fn depth_alpha_and_grey_do_not_change_the_figures() {
    let (width, height) = (90, 50);
    let code = |x: usize, y: usize| ((x * 5 + y * 3) % 256) as u8;
    let plain = figures(Kind::Png, &rgb(width, height, |x, y| [code(x, y); 3]));
    let same = |name: &str, bytes: Vec<u8>| {
        let mut other = figures(Kind::Png, &bytes);
        other.decoder = plain.decoder;
        assert!(other == plain, "{name}: mean {} against {}", other.mean_luminance, plain.mean_luminance);
    };
    same("16 bits", rgb16(width, height, |x, y| [u16::from(code(x, y)) * 257; 3]));
    let codes: Vec<u8> = rgb_samples(width, height, |x, y| [code(x, y); 3]).chunks(3).map(|pixel| pixel[0]).collect();
    same("grey", png(&codes, width, height, Colour::L8, None));
    let alpha: Vec<u8> = codes.iter().flat_map(|&code| [code, code / 2]).collect();
    same("grey and alpha", png(&alpha, width, height, Colour::La8, None));
    let alpha: Vec<u8> = codes.iter().flat_map(|&code| [code, code, code, 255 - code]).collect();
    same("RGB and alpha", png(&alpha, width, height, Colour::Rgba8, None));
}

fn with_profile(code: [u8; 3], profile: &ColorProfile) -> Measurement {
    let bytes =
        png(&rgb_samples(20, 20, |_, _| code), 20, 20, Colour::Rgb8, Some(profile.encode().expect("a profile")));
    let measured = measured(Kind::Png, &bytes);
    assert!(measured.notes.is_empty(), "{:?}", measured.notes);
    measured.result.expect("figures")
}

#[test]
fn wide_gamut_profiles_give_the_luminance_of_their_primaries() {
    // Second row of each space's RGB to XYZ matrix at D65: Adobe RGB (1998), annex B, and Display P3; from memory.
    // 16-bit numbers in the profile and the rounded BT.709 weights leave 3e-4.
    for (profile, weights) in [
        (ColorProfile::new_adobe_rgb(), [0.29734, 0.62736, 0.07529]),
        (ColorProfile::new_display_p3(), [0.22897, 0.69174, 0.07929]),
        (ColorProfile::new_srgb(), [0.2126, 0.7152, 0.0722]),
    ] {
        for (channel, weight) in weights.into_iter().enumerate() {
            let mut code = [0; 3];
            code[channel] = 255;
            let measured = with_profile(code, &profile);
            assert!((measured.mean_luminance - weight).abs() < 4e-4, "{channel}: {} {weight}", measured.mean_luminance);
        }
        assert!((with_profile([255; 3], &profile).mean_luminance - 1.0).abs() < 4e-4);
    }
    // Grey of code 118: sRGB's curve in P3, a power of 563/256 in Adobe RGB.
    let p3 = with_profile([118; 3], &ColorProfile::new_display_p3()).mean_luminance;
    assert!((p3 - 0.18116424).abs() < 2e-4, "{p3}");
    let adobe = with_profile([118; 3], &ColorProfile::new_adobe_rgb()).mean_luminance;
    assert!((adobe - (118.0_f64 / 255.0).powf(563.0 / 256.0)).abs() < 2e-4, "{adobe}");
    // Clipping is judged on the file's own codes: P3 red is beyond sRGB, and not clipped at 250.
    assert_eq!(with_profile([250, 0, 0], &ColorProfile::new_display_p3()).clipping.highlights, 0);
}

#[test]
fn a_profile_that_cannot_be_used_is_noted_and_the_picture_read_as_srgb() {
    let plain = uniform([118; 3]).mean_luminance;
    let grey = ColorProfile::new_gray_with_gamma(1.0).encode().expect("a profile");
    for profile in [b"no profile at all".to_vec(), vec![0; 200], grey] {
        let bytes = png(&rgb_samples(40, 30, |_, _| [118; 3]), 40, 30, Colour::Rgb8, Some(profile));
        let measured = measured(Kind::Png, &bytes);
        let codes: Vec<Code> = measured.notes.iter().map(|note| note.code).collect();
        assert_eq!(codes, [Code::ProfileUnreadable]);
        assert_eq!(measured.result.expect("figures").mean_luminance, plain);
    }
}

#[test]
fn a_grey_profile_is_obeyed() {
    let profile = ColorProfile::new_gray_with_gamma(1.0).encode().expect("a profile");
    let measured = measured(Kind::Png, &png(&[51; 400], 20, 20, Colour::L8, Some(profile)));
    assert!(measured.notes.is_empty(), "{:?}", measured.notes);
    assert!((measured.result.expect("figures").mean_luminance - 0.2).abs() < 1e-4);
}

#[test]
fn ink_without_a_profile_is_read_by_simple_arithmetic_and_noted() {
    use tiff::encoder::{TiffEncoder, colortype};
    let ink = |pixel: [u8; 4]| {
        let mut bytes = std::io::Cursor::new(Vec::new());
        let data: Vec<u8> = std::iter::repeat_n(pixel, 24 * 16).flatten().collect();
        let mut encoder = TiffEncoder::new(&mut bytes).expect("a TIFF");
        encoder.write_image::<colortype::CMYK8>(24, 16, &data).expect("a TIFF");
        measured(Kind::Tiff, &bytes.into_inner())
    };
    // No ink is white, full black is black, half of one ink leaves code 127 or 128 of the others' 255.
    for (pixel, luminance) in [
        ([0, 0, 0, 0], 1.0),
        ([0, 0, 0, 255], 0.0),
        ([0, 255, 0, 0], 0.2126 + 0.0722),
        ([0, 0, 0, 127], 0.21586050),
        ([127, 0, 0, 0], 0.2126 * 0.21586050 + 0.7152 + 0.0722),
    ] {
        let measured = ink(pixel);
        assert_eq!(measured.notes.iter().map(|note| note.code).collect::<Vec<_>>(), [Code::ProfileAssumed]);
        let mean = measured.result.expect("figures").mean_luminance;
        assert!((mean - luminance).abs() < TABLE, "{pixel:?}: {mean}");
    }
}

#[test]
fn memory_used_before_changes_nothing() {
    let first = rgb(700, 500, |x, y| [x as u8, y as u8, 255]);
    let second = rgb(61, 47, |x, y| [(x * y) as u8, 3, y as u8]);
    let mut scratch = Scratch::default();
    let alone = figures(Kind::Png, &second);
    for bytes in [&second, &first, &second] {
        let again = measure(Kind::Png, bytes, Orientation::TopLeft, &mut scratch).result.expect("figures");
        if bytes == &second {
            assert!(again == alone);
        }
    }
}

#[test]
fn formats_without_pixels_of_their_own_say_so() {
    for kind in [Kind::Heic, Kind::Raw] {
        assert_eq!(measured(kind, b"whatever").result.expect_err("no pixels").code, Code::NoPicture);
    }
}
