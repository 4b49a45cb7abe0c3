//! TIFF by the `tiff` crate itself: `image` would turn ink into RGB unseen and refuse JPEG inside TIFF.

use super::decoded::{Buffers, Decoded, Depth, Layout, rgb_of_ycc};
use super::limits::{Claim, MOST_MEMORY, Turn};
use crate::problem::{Code, Flaw};
use std::io::{Cursor, ErrorKind};
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::{SampleFormat, Tag};
use tiff::{ColorType, TiffError};

/// Bytes that a byte of any of the lossless methods can become, at most: LZW ends near 1300, DEFLATE at 1032.
const EXPANSION: u64 = 2048;
/// Largest tag, a profile for example, in bytes.
const MOST_TAG: usize = 64 << 20;

type Tiff<'a> = Decoder<Cursor<&'a [u8]>>;

/// Decodes the first picture of a TIFF with 1 to 8 or 16 bits, in grey, RGB or ink.
///
/// # Errors
/// `PictureTruncated`, `PictureDamaged`, `PictureVariant`, `PictureTooLarge`.
pub fn decode(bytes: &[u8], buffers: &mut Buffers) -> Result<(Decoded, Turn), Flaw> {
    let mut limits = Limits::default();
    limits.decoding_buffer_size = MOST_MEMORY as usize;
    limits.intermediate_buffer_size = MOST_MEMORY as usize;
    limits.ifd_value_size = MOST_TAG;
    let mut decoder = Decoder::new(Cursor::new(bytes))
        .map_err(flaw)?
        .with_limits(limits);
    let (width, height) = decoder.dimensions().map_err(flaw)?;
    let colour = decoder.colortype().map_err(flaw)?;
    let formats = decoder
        .find_tag_unsigned_vec::<u16>(Tag::SampleFormat)
        .map_err(flaw)?
        .unwrap_or_default();
    let unsigned = formats
        .iter()
        .all(|&format| SampleFormat::from_u16(format) == Some(SampleFormat::Uint));
    let variant = || Flaw::with(Code::PictureVariant, format!("TIFF with {colour:?}"));
    let (layout, bits) = match colour {
        _ if !unsigned => {
            return Err(Flaw::with(
                Code::PictureVariant,
                "TIFF with signed or floating-point samples",
            ));
        }
        ColorType::Gray(bits @ (1 | 2 | 4 | 8 | 16)) => (Layout::Grey, bits),
        ColorType::GrayA(bits @ (8 | 16)) => (Layout::GreyAlpha, bits),
        // Two samples of which the second is said to be nothing in particular.
        ColorType::Multiband {
            bit_depth: bits @ (8 | 16),
            num_samples: 2,
        } => (Layout::GreyAlpha, bits),
        ColorType::RGB(bits @ (8 | 16)) => (Layout::Rgb, bits),
        ColorType::YCbCr(8) => (Layout::Rgb, 8),
        ColorType::RGBA(bits @ (8 | 16)) => (Layout::Rgba, bits),
        ColorType::CMYK(bits @ (8 | 16)) => (Layout::Cmyk, bits),
        _ => return Err(variant()),
    };
    let stored_bits = u64::from(bits) * u64::from(colour.num_samples());
    let turn = Claim {
        width: width.into(),
        height: height.into(),
        memory_per_pixel: stored_bits.div_ceil(8),
        data: bytes.len() as u64,
        pixels_per_byte: (EXPANSION * 8).div_ceil(stored_bits),
    }
    .check()?;
    let (width, height) = (width as usize, height as usize);
    let read = Shape {
        width,
        height,
        bits,
        samples: usize::from(colour.num_samples()),
    };
    let depth = samples(&mut decoder, &read, buffers)?;
    if colour == ColorType::YCbCr(8) {
        for pixel in buffers.bytes.as_chunks_mut::<3>().0 {
            *pixel = rgb_of_ycc(*pixel);
        }
    }
    let profile = decoder.get_tag_u8_vec(Tag::IccProfile).ok();
    let notes = Vec::new();
    Ok((
        Decoded {
            decoder: "tiff",
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

/// What is stored.
struct Shape {
    width: usize,
    height: usize,
    bits: u8,
    samples: usize,
}

/// Reads samples as they are; fewer than 8 bits are unpacked and scaled to full range.
fn samples(decoder: &mut Tiff<'_>, shape: &Shape, buffers: &mut Buffers) -> Result<Depth, Flaw> {
    if shape.bits == 16 {
        let mut result = DecodingResult::U16(std::mem::take(&mut buffers.words));
        let planes = read(decoder, &mut result)?;
        let DecodingResult::U16(words) = result else {
            return Err(unexpected());
        };
        buffers.words = if planes > 1 {
            interleave(&words, shape)
        } else {
            words
        };
        return complete(buffers.words.len(), shape).map(|()| Depth::Sixteen);
    }
    let mut result = DecodingResult::U8(std::mem::take(&mut buffers.bytes));
    let planes = read(decoder, &mut result)?;
    let DecodingResult::U8(bytes) = result else {
        return Err(unexpected());
    };
    let bytes = if planes > 1 {
        interleave(&bytes, shape)
    } else {
        bytes
    };
    buffers.bytes = if shape.bits < 8 {
        unpack(&bytes, shape)
    } else {
        bytes
    };
    complete(buffers.bytes.len(), shape).map(|()| Depth::Eight)
}

fn read(decoder: &mut Tiff<'_>, result: &mut DecodingResult) -> Result<usize, Flaw> {
    let layout = decoder.read_image_to_buffer(result).map_err(flaw)?;
    if result.as_buffer(0).as_bytes().len() < layout.complete_len {
        return Err(Flaw::plain(Code::PictureTooLarge));
    }
    Ok(layout.planes)
}

/// Planes one after the other to samples side by side.
fn interleave<T: Copy + Default>(planes: &[T], shape: &Shape) -> Vec<T> {
    let pixels = shape.width * shape.height;
    let mut samples = vec![T::default(); pixels * shape.samples];
    for (channel, plane) in planes
        .chunks_exact(pixels.max(1))
        .take(shape.samples)
        .enumerate()
    {
        for (place, &sample) in samples
            .iter_mut()
            .skip(channel)
            .step_by(shape.samples)
            .zip(plane)
        {
            *place = sample;
        }
    }
    samples
}

/// Samples of 1, 2 or 4 bits, rows padded to bytes, to one byte each at full range.
fn unpack(packed: &[u8], shape: &Shape) -> Vec<u8> {
    let bits = usize::from(shape.bits);
    let row = (shape.width * shape.samples * bits).div_ceil(8);
    let mask = (1_u8 << bits) - 1;
    let scale = u8::MAX / mask;
    let unpack = move |byte: u8| {
        (0..8 / bits).map(move |index| ((byte >> (8 - bits * (index + 1))) & mask) * scale)
    };
    packed
        .chunks_exact(row.max(1))
        .flat_map(|row| {
            row.iter()
                .flat_map(move |&byte| unpack(byte))
                .take(shape.width * shape.samples)
        })
        .collect()
}

/// The pass relies on every sample being there.
fn complete(samples: usize, shape: &Shape) -> Result<(), Flaw> {
    let wanted = shape.width * shape.height * shape.samples;
    if samples < wanted {
        Err(Flaw::plain(Code::PictureTruncated))
    } else {
        Ok(())
    }
}

fn unexpected() -> Flaw {
    Flaw::with(
        Code::PictureVariant,
        "TIFF with samples of an unexpected type",
    )
}

fn flaw(error: TiffError) -> Flaw {
    match error {
        TiffError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => {
            Flaw::plain(Code::PictureTruncated)
        }
        TiffError::LimitsExceeded | TiffError::IntSizeError => Flaw::plain(Code::PictureTooLarge),
        TiffError::UnsupportedError(_) => Flaw::with(Code::PictureVariant, error.to_string()),
        _ => Flaw::with(Code::PictureDamaged, error.to_string()),
    }
}
