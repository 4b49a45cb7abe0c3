//! PNG and WebP by the `image` crate, into the shared buffers.

use super::decoded::{Buffers, Decoded, Depth, Layout};
use super::limits::{Claim, LONGEST_SIDE, MOST_MEMORY, Turn};
use crate::problem::{Code, Flaw};
use image::codecs::{png::PngDecoder, webp::WebPDecoder};
use image::error::ImageError;
use image::{ColorType, ImageDecoder, Limits};
use std::io::{Cursor, ErrorKind};

/// DEFLATE makes at most 1032 bytes of one (RFC 1951: 258 bytes for two bits), and a pixel has at least one bit.
const PNG_PIXELS_PER_BYTE: u64 = 1032 * 8;
/// WebP writes a uniform picture of any size in a few dozen bytes: its length says nothing.
const WEBP_PIXELS_PER_BYTE: u64 = u64::MAX;

/// Decodes a PNG.
///
/// # Errors
/// `PictureTruncated`, `PictureDamaged`, `PictureVariant`, `PictureTooLarge`.
pub fn decode_png(bytes: &[u8], buffers: &mut Buffers) -> Result<(Decoded, Turn), Flaw> {
    let decoder = PngDecoder::with_limits(Cursor::new(bytes), limits()).map_err(flaw)?;
    decode(
        decoder,
        "image-png",
        bytes.len(),
        PNG_PIXELS_PER_BYTE,
        buffers,
    )
}

/// Decodes a WebP; of an animation the first picture.
///
/// # Errors
/// `PictureTruncated`, `PictureDamaged`, `PictureVariant`, `PictureTooLarge`.
pub fn decode_webp(bytes: &[u8], buffers: &mut Buffers) -> Result<(Decoded, Turn), Flaw> {
    let mut decoder = WebPDecoder::new(Cursor::new(bytes)).map_err(flaw)?;
    decoder.set_limits(limits()).map_err(flaw)?;
    decode(
        decoder,
        "image-webp",
        bytes.len(),
        WEBP_PIXELS_PER_BYTE,
        buffers,
    )
}

fn limits() -> Limits {
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE as u32);
    limits.max_image_height = Some(LONGEST_SIDE as u32);
    limits.max_alloc = Some(MOST_MEMORY);
    limits
}

fn decode(
    mut decoder: impl ImageDecoder,
    name: &'static str,
    length: usize,
    pixels_per_byte: u64,
    buffers: &mut Buffers,
) -> Result<(Decoded, Turn), Flaw> {
    let (width, height) = decoder.dimensions();
    let colour = decoder.color_type();
    let (layout, depth) = match colour {
        ColorType::L8 => (Layout::Grey, Depth::Eight),
        ColorType::La8 => (Layout::GreyAlpha, Depth::Eight),
        ColorType::Rgb8 => (Layout::Rgb, Depth::Eight),
        ColorType::Rgba8 => (Layout::Rgba, Depth::Eight),
        ColorType::L16 => (Layout::Grey, Depth::Sixteen),
        ColorType::La16 => (Layout::GreyAlpha, Depth::Sixteen),
        ColorType::Rgb16 => (Layout::Rgb, Depth::Sixteen),
        ColorType::Rgba16 => (Layout::Rgba, Depth::Sixteen),
        other => return Err(Flaw::with(Code::PictureVariant, format!("{other:?}"))),
    };
    let turn = Claim {
        width: width.into(),
        height: height.into(),
        memory_per_pixel: colour.bytes_per_pixel().into(),
        data: length as u64,
        pixels_per_byte,
    }
    .check()?;
    // A profile that cannot even be taken out is as good as a damaged one.
    let (profile, notes) = match decoder.icc_profile() {
        Ok(profile) => (profile, Vec::new()),
        Err(error) => (
            None,
            vec![Flaw::with(Code::ProfileUnreadable, error.to_string())],
        ),
    };
    let samples = width as usize * height as usize * layout.channels();
    match depth {
        Depth::Eight => {
            buffers.bytes.resize(samples, 0);
            decoder.read_image(&mut buffers.bytes).map_err(flaw)?;
        }
        Depth::Sixteen => {
            buffers.words.resize(samples, 0);
            decoder
                .read_image(bytemuck::cast_slice_mut(&mut buffers.words))
                .map_err(flaw)?;
        }
    }
    let (width, height) = (width as usize, height as usize);
    Ok((
        Decoded {
            decoder: name,
            width,
            height,
            layout,
            depth,
            profile,
            adobe_rgb: false,
            notes,
        },
        turn,
    ))
}

fn flaw(error: ImageError) -> Flaw {
    let text = error.to_string();
    match error {
        ImageError::Limits(_) => Flaw::with(Code::PictureTooLarge, text),
        ImageError::Unsupported(_) => Flaw::with(Code::PictureVariant, text),
        ImageError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => {
            Flaw::plain(Code::PictureTruncated)
        }
        // The decoders wrap an early end of the file in errors of their own.
        _ if ended_early(&error) => Flaw::plain(Code::PictureTruncated),
        _ => Flaw::with(Code::PictureDamaged, text),
    }
}

/// Whether an early end of the file is at the bottom of an error.
fn ended_early(error: &(dyn std::error::Error + 'static)) -> bool {
    let mut error = Some(error);
    while let Some(here) = error {
        let eof = here
            .downcast_ref::<std::io::Error>()
            .is_some_and(|io| io.kind() == ErrorKind::UnexpectedEof);
        if eof {
            return true;
        }
        error = here.source();
    }
    false
}
