//! Previews back to pixels: the JPEG that the measuring pass made, as code values 0 to 255

use super::plane::Plane;
use crate::measure::{Picture, TileGrid};
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

fn samples(picture: &Picture, space: ColorSpace) -> Option<Vec<u8>> {
    let options = DecoderOptions::default().jpeg_set_out_colorspace(space);
    let samples = JpegDecoder::new_with_options(ZCursor::new(&*picture.jpeg), options).decode().ok()?;
    let pixels = usize::from(picture.width) * usize::from(picture.height);
    (samples.len() == pixels * space.num_components()).then_some(samples)
}

fn plane(picture: &Picture, values: impl Iterator<Item = f32>) -> Plane {
    Plane { width: picture.width.into(), height: picture.height.into(), values: values.collect() }
}

/// Luma alone.
pub fn grey(picture: &Picture) -> Option<Plane> {
    let samples = samples(picture, ColorSpace::Luma)?;
    Some(plane(picture, samples.iter().map(|s| f32::from(*s))))
}

/// R, G and B.
pub fn colours(picture: &Picture) -> Option<[Plane; 3]> {
    let samples = samples(picture, ColorSpace::RGB)?;
    let pixels = samples.as_chunks::<3>().0;
    let red = plane(picture, pixels.iter().map(|[r, _, _]| f32::from(*r)));
    let green = plane(picture, pixels.iter().map(|[_, g, _]| f32::from(*g)));
    let blue = plane(picture, pixels.iter().map(|[_, _, b]| f32::from(*b)));
    Some([red, green, blue])
}

/// Luma of three channels (ITU-R BT.601, the weights of JFIF).
pub fn luma([r, g, b]: &[Plane; 3]) -> Plane {
    r.with(g, |r, g| 0.299 * r + 0.587 * g).with(b, |rg, b| rg + 0.114 * b)
}

/// The tile grid as something like code values, 0 to 255: the root of luminance.
pub fn tiles(grid: &TileGrid) -> Plane {
    let root = |[r, g, b]: &[u16; 3]| {
        let light = 0.2126 * f32::from(*r) + 0.7152 * f32::from(*g) + 0.0722 * f32::from(*b);
        (light / 65535.0).sqrt() * 255.0
    };
    Plane { width: grid.columns.into(), height: grid.rows.into(), values: grid.means.iter().map(root).collect() }
}
