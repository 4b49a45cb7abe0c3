//! From what a file says about its colours to linear sRGB light.
//!
//! Profiles of curves and a matrix (Adobe RGB, Display P3, ProPhoto, cameras' own) and of one grey curve are evaluated
//! here, straight from their tags and unclipped (ICC.1:2010, 8.3, 10.5, 10.15, from memory; agreement with Little CMS
//! is tested). Ink and table profiles go through moxcms, which clips to sRGB.

use super::decoded::{Decoded, Layout};
use super::light::{Code, Colour, IDENTITY, curve};
use crate::problem::{Code as Problem, Flaw};
use moxcms::{
    ColorProfile, DataColorSpace, Layout as Order, RenderingIntent, ToneReprCurve, TransformExecutor, TransformOptions,
};
use std::sync::Arc;

/// XYZ at D50 to linear sRGB. Inverse of the sRGB primaries of IEC 61966-2-1 adapted to D50 by the Bradford matrix of
/// ICC.1:2010 annex E; computed with numpy 2.4.6.
const XYZ_D50_TO_SRGB: [[f64; 3]; 3] = [
    [3.134_186_364_2, -1.617_208_959_0, -0.490_694_064_0],
    [-0.978_748_504_2, 1.916_130_096_8, 0.033_433_399_2],
    [0.071_963_927_8, -0.228_993_873_5, 1.405_753_732_9],
];

/// Linear Adobe RGB (1998) to linear sRGB: the primaries share red and blue and the white point. Computed likewise.
const ADOBE_RGB_TO_SRGB: [[f64; 3]; 3] =
    [[1.398_355_744_0, -0.398_355_744_0, 0.0], [0.0, 1.0, 0.0], [0.0, -0.042_928_989_3, 1.042_928_989_3]];
/// Exponent of Adobe RGB (1998); from memory.
const ADOBE_RGB_GAMMA: f64 = 563.0 / 256.0;

/// A profile whose white misses a luminance of 1 by more is damaged: honest ones miss by the rounding of their fixed-point
/// numbers, some 1e-5, or by a scanner's own white, a few percent (common practice, no source).
const WHITE_MAY_MISS: f64 = 0.1;

/// A transform to 16-bit sRGB.
pub type Transform = Arc<dyn TransformExecutor<u16> + Send + Sync>;

/// How a picture's codes become light.
pub enum Path {
    /// They are sRGB, or nothing says otherwise.
    Srgb,
    /// By a curve per channel and a matrix.
    Curves(Box<Colour>),
    /// By a transform of whole pixels.
    Transform(Transform),
}

/// Finds the path for a picture whose samples are of type `C`; what could not be used is noted.
pub fn path<C: Code>(picture: &Decoded, notes: &mut Vec<Flaw>) -> Path {
    let path = picture.profile.as_deref().map(|profile| from_profile::<C>(profile, picture.layout));
    match path {
        Some(Ok(path)) => return path,
        Some(Err(reason)) => notes.push(Flaw::with(Problem::ProfileUnreadable, reason)),
        None if picture.adobe_rgb => return Path::Curves(Box::new(adobe_rgb::<C>())),
        None => {}
    }
    if picture.layout == Layout::Cmyk {
        notes.push(Flaw::plain(Problem::ProfileAssumed));
    }
    Path::Srgb
}

/// Adobe RGB (1998) without a profile, as cameras write it.
fn adobe_rgb<C: Code>() -> Colour {
    let curve = curve::<C>(|code| libm::pow(code, ADOBE_RGB_GAMMA));
    Colour { curves: [curve.clone(), curve.clone(), curve], to_srgb: ADOBE_RGB_TO_SRGB }
}

/// Whether Exif says Adobe RGB as DCF 2.0 has cameras say it: interoperability index R03 (from memory).
pub fn exif_says_adobe_rgb(exif: &[u8]) -> bool {
    let mut reader = exif::Reader::new();
    reader.continue_on_error(true);
    let read = reader.read_raw(exif.to_vec()).or_else(|error| error.distill_partial_result(|_| {}));
    let index = read.ok().and_then(|read| {
        let field = read.get_field(exif::Tag::InteroperabilityIndex, exif::In::PRIMARY)?;
        match &field.value {
            exif::Value::Ascii(texts) => texts.first().cloned(),
            _ => None,
        }
    });
    index.is_some_and(|index| index.starts_with(b"R03"))
}

fn from_profile<C: Code>(bytes: &[u8], layout: Layout) -> Result<Path, String> {
    let profile = ColorProfile::new_from_slice(bytes).map_err(|error| error.to_string())?;
    let inks = layout == Layout::Cmyk;
    match profile.color_space {
        DataColorSpace::Rgb if !inks => match matrix_colour::<C>(&profile)? {
            Some(colour) => Ok(Path::Curves(Box::new(colour))),
            None if matches!(layout, Layout::Rgb | Layout::Rgba) => transform(&profile, layout).map(Path::Transform),
            None => Err("a table for RGB on a grey picture".to_owned()),
        },
        DataColorSpace::Gray if matches!(layout, Layout::Grey | Layout::GreyAlpha) => {
            let trc = profile.gray_trc.as_ref().ok_or("a grey profile without a curve")?;
            let curve = tone_curve::<C>(trc)?;
            Ok(Path::Curves(Box::new(Colour { curves: [curve.clone(), curve.clone(), curve], to_srgb: IDENTITY })))
        }
        DataColorSpace::Cmyk if inks => transform(&profile, layout).map(Path::Transform),
        other => Err(format!("a profile for {other:?} on {layout:?}")),
    }
}

/// The colour of a profile of curves and matrix; none where it has no such tags.
fn matrix_colour<C: Code>(profile: &ColorProfile) -> Result<Option<Colour>, String> {
    let (Some(red), Some(green), Some(blue)) = (&profile.red_trc, &profile.green_trc, &profile.blue_trc) else {
        return Ok(None);
    };
    let columns = [profile.red_colorant, profile.green_colorant, profile.blue_colorant];
    if columns.iter().any(|column| column.x == 0.0 && column.y == 0.0 && column.z == 0.0) {
        return Ok(None);
    }
    let curves = [tone_curve::<C>(red)?, tone_curve::<C>(green)?, tone_curve::<C>(blue)?];
    let to_srgb = XYZ_D50_TO_SRGB.map(|[x, y, z]| columns.map(|column| x * column.x + y * column.y + z * column.z));
    let colour = Colour { curves, to_srgb };
    // Each primary's luminance, and white's, their sum: a primary brighter than white is no light that exists.
    let parts = colour.luminance_weights();
    let white: f64 = parts.iter().sum();
    let possible = -WHITE_MAY_MISS..=1.0 + WHITE_MAY_MISS;
    if (white - 1.0).abs() > WHITE_MAY_MISS || !parts.iter().all(|part| possible.contains(part)) {
        return Err(format!("its primaries have luminances of {parts:.3?}"));
    }
    Ok(Some(colour))
}

/// Linear light of every code by a profile's curve, which must stay between black and white.
fn tone_curve<C: Code>(trc: &ToneReprCurve) -> Result<Vec<f64>, String> {
    let light = tone_values::<C>(trc)?;
    let sound = |value: &f64| (-WHITE_MAY_MISS..=1.0 + WHITE_MAY_MISS).contains(value);
    if light.iter().all(sound) { Ok(light) } else { Err("a curve that leaves black and white".to_owned()) }
}

fn tone_values<C: Code>(trc: &ToneReprCurve) -> Result<Vec<f64>, String> {
    match trc {
        ToneReprCurve::Lut(table) => match table.as_slice() {
            [] => Ok(curve::<C>(|x| x)),
            // A single value is an exponent, u8Fixed8Number.
            &[exponent] => Ok(curve::<C>(|x| libm::pow(x, f64::from(exponent) / 256.0))),
            table => Ok(curve::<C>(|x| interpolate(table, x))),
        },
        ToneReprCurve::Parametric(parameters) => {
            let parameters: Vec<f64> = parameters.iter().map(|&parameter| f64::from(parameter)).collect();
            if parameters.iter().any(|parameter| !parameter.is_finite()) {
                return Err("a curve that is not finite".to_owned());
            }
            parametric(&parameters).map(curve::<C>)
        }
    }
}

fn interpolate(table: &[u16], x: f64) -> f64 {
    let place = x * (table.len() - 1) as f64;
    let index = (place as usize).min(table.len() - 2);
    let value = |index: usize| f64::from(table.get(index).copied().unwrap_or(0)) / 65535.0;
    let (low, high) = (value(index), value(index + 1));
    low + (high - low) * (place - index as f64)
}

/// The five functions of parametricCurveType, told apart by their number of parameters.
fn parametric(parameters: &[f64]) -> Result<impl Fn(f64) -> f64 + use<>, String> {
    // Y = (a X + b)^g + e from X >= d, else c X + f.
    let (g, a, b, c, d, e, f) = match *parameters {
        [g] => (g, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0),
        [g, a, b] => (g, a, b, 0.0, -b / a, 0.0, 0.0),
        [g, a, b, c] => (g, a, b, 0.0, -b / a, c, c),
        [g, a, b, c, d] => (g, a, b, c, d, 0.0, 0.0),
        [g, a, b, c, d, e, f] => (g, a, b, c, d, e, f),
        _ => return Err("a curve of an unknown kind".to_owned()),
    };
    Ok(move |x: f64| if x >= d { libm::pow((a * x + b).max(0.0), g) + e } else { c * x + f })
}

fn transform(profile: &ColorProfile, layout: Layout) -> Result<Transform, String> {
    // moxcms lays ink out as it does RGBA.
    let order = if matches!(layout, Layout::Rgba | Layout::Cmyk) { Order::Rgba } else { Order::Rgb };
    let options =
        TransformOptions { rendering_intent: RenderingIntent::RelativeColorimetric, ..TransformOptions::default() };
    let transform = profile
        .create_transform_16bit(order, &ColorProfile::new_srgb(), Order::Rgb, options)
        .map_err(|error| error.to_string())?;
    // One pixel first: an error in the middle of a picture would come too late to fall back to sRGB.
    let (pixel, mut out) = (vec![0; layout.channels()], [0; 3]);
    transform.transform(&pixel, &mut out).map_err(|error| error.to_string())?;
    Ok(transform)
}
