//! JPEG by zune-jpeg, told where the data must end and to be strict about it.

use super::decoded::{Buffers, Decoded, Depth, Layout, rgb_of_ycc};
use super::limits::{Claim, Turn};
use super::markers::{self, Markers};
use crate::problem::{Code, Flaw};
use std::cell::Cell;
use zune_core::bytestream::{ZByteIoError, ZByteReaderTrait, ZSeekFrom};
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;

/// The least data a picture can have: one bit for every 8x8 block of a progressive first scan, luminance only.
const PIXELS_PER_BYTE: u64 = 512;
/// Bytes the decoder may read past the last bit it needs: it fills its bit buffer, 64 bits, ahead of need.
const READ_AHEAD: usize = 16;

/// Decodes a JPEG of 8 bits, baseline, extended or progressive, in grey, RGB or ink.
///
/// # Errors
/// `PictureTruncated`, `PictureDamaged`, `PictureVariant`, `PictureTooLarge`.
pub fn decode(bytes: &[u8], buffers: &mut Buffers) -> Result<(Decoded, Turn), Flaw> {
    let Some(found) = markers::walk(bytes) else {
        return Err(headless(bytes));
    };
    check_variant(&found)?;
    let turn = Claim {
        width: found.width.into(),
        height: found.height.into(),
        // Coefficients of a progressive picture are kept, 16 bits each, until the last scan has come.
        memory_per_pixel: u64::from(found.components) * if found.progressive() { 3 } else { 1 },
        data: (found.end - found.data) as u64,
        pixels_per_byte: PIXELS_PER_BYTE,
    }
    .check()?;
    let (decoded, ink) = run(bytes, &found, &mut buffers.bytes)?;
    if let Some(ink) = ink {
        to_ink(&mut buffers.bytes, ink);
    }
    Ok((decoded, turn))
}

/// A file that starts like a JPEG, but whose frame or scan was not found.
fn headless(bytes: &[u8]) -> Flaw {
    if bytes.starts_with(&[0xff, 0xd8]) {
        Flaw::with(Code::PictureTruncated, "it ends before the picture begins")
    } else {
        Flaw::with(Code::PictureDamaged, "no JPEG begins here")
    }
}

/// Frame types by ITU-T T.81 table B.1.
fn check_variant(found: &Markers) -> Result<(), Flaw> {
    let variant = |what: &str| Err(Flaw::with(Code::PictureVariant, format!("{what} JPEG")));
    match found.frame {
        0..=2 if found.precision == 8 => Ok(()),
        0..=2 => variant(&format!("{}-bit", found.precision)),
        3 | 7 | 11 | 15 => variant("lossless"),
        5 | 6 => variant("hierarchical"),
        _ => variant("arithmetic-coded"),
    }
}

fn run(bytes: &[u8], found: &Markers, buffer: &mut Vec<u8>) -> Result<(Decoded, Option<ColorSpace>), Flaw> {
    let ran_out = Cell::new(false);
    let flaw = |error: DecodeErrors| flaw(&error, ran_out.get());
    // Strictness about stray bytes between headers would turn away sound pictures, so it starts behind them.
    let limit = usize::from(u16::MAX);
    let headers = DecoderOptions::default().set_max_width(limit).set_max_height(limit).set_strict_mode(false);
    let mut decoder = JpegDecoder::new_with_options(Data::new(bytes, found, &ran_out), headers);
    decoder.decode_headers().map_err(flaw)?;
    let space = decoder.input_colorspace().unwrap_or(ColorSpace::Unknown);
    let (out, layout) = match space {
        ColorSpace::Luma => (ColorSpace::Luma, Layout::Grey),
        ColorSpace::YCbCr | ColorSpace::RGB => (ColorSpace::RGB, Layout::Rgb),
        ColorSpace::CMYK | ColorSpace::YCCK => (space, Layout::Cmyk),
        other => {
            return Err(Flaw::with(Code::PictureVariant, format!("JPEG with channels {other:?}")));
        }
    };
    decoder.set_options(headers.jpeg_set_out_colorspace(out).set_strict_mode(true));
    let size = decoder.output_buffer_size().unwrap_or(0);
    buffer.resize(size, 0);
    decoder.decode_into(buffer).map_err(flaw)?;
    let profile = decoder.icc_profile();
    let mut notes = Vec::new();
    if found.profile && profile.is_none() {
        notes.push(Flaw::with(Code::ProfileUnreadable, "parts of it are missing"));
    }
    let adobe_rgb = profile.is_none() && decoder.exif().is_some_and(|exif| super::colour::exif_says_adobe_rgb(exif));
    let decoded = Decoded {
        decoder: "zune-jpeg",
        width: found.width.into(),
        height: found.height.into(),
        layout,
        depth: Depth::Eight,
        profile,
        adobe_rgb,
        notes,
    };
    Ok((decoded, (layout == Layout::Cmyk).then_some(space)))
}

fn flaw(error: &DecodeErrors, ran_out: bool) -> Flaw {
    match error {
        DecodeErrors::Unsupported(_) => Flaw::with(Code::PictureVariant, error.to_string()),
        DecodeErrors::LargeDimensions(_) => Flaw::with(Code::PictureTooLarge, error.to_string()),
        DecodeErrors::ExhaustedData | DecodeErrors::IoErrors(_) => Flaw::plain(Code::PictureTruncated),
        _ if ran_out => Flaw::plain(Code::PictureTruncated),
        _ => Flaw::with(Code::PictureDamaged, error.to_string()),
    }
}

/// Stored samples to ink. Four-channel JPEGs hold ink upside down, 0 for solid, as Adobe's programs began to write
/// them (common practice, no source); YCCK holds the first three inks, right way up, as luminance and chroma.
fn to_ink(samples: &mut [u8], space: ColorSpace) {
    for [c, m, y, k] in samples.as_chunks_mut::<4>().0 {
        [*c, *m, *y] = match space {
            ColorSpace::YCCK => rgb_of_ycc([*c, *m, *y]),
            _ => [255 - *c, 255 - *m, 255 - *y],
        };
        *k = 255 - *k;
    }
}

/// The bytes of the picture: all up to its end, then one-bits for the decoder to read ahead into, then nothing.
///
/// A baseline picture ends where its data do, without its EOI marker: seeing one the decoder would go on for ever with
/// zeros, which are codes like any other. But no code is all ones (ITU-T T.81, annex C), so a picture that breaks off is
/// an error at the first code that is missing. A progressive one needs the marker to know that no further scan comes.
struct Data<'a> {
    bytes: &'a [u8],
    length: usize,
    at: usize,
    /// Set when more is asked for than the file has.
    ran_out: &'a Cell<bool>,
}

impl<'a> Data<'a> {
    fn new(bytes: &'a [u8], found: &Markers, ran_out: &'a Cell<bool>) -> Self {
        let (marker, ahead) = if found.progressive() { (2, 0) } else { (0, READ_AHEAD) };
        let end = (found.end + marker).min(bytes.len());
        let bytes = bytes.get(..end).unwrap_or(bytes);
        Self { bytes, length: bytes.len() + ahead, at: 0, ran_out }
    }

    /// A byte behind the end: ones, each followed by the zero that marks it as data.
    ///
    /// Kept out of the decoder's innermost loop, into which the reader is copied a dozen times.
    #[cold]
    #[inline(never)]
    fn ahead(&self, at: usize) -> u8 {
        self.ran_out.set(true);
        if at < self.length && (at - self.bytes.len()).is_multiple_of(2) { 0xff } else { 0 }
    }

    #[cold]
    #[inline(never)]
    fn peek_past_the_end(&self, buffer: &mut [u8]) -> Result<(), ZByteIoError> {
        if self.at + buffer.len() > self.length {
            self.ran_out.set(true);
            return Err(ZByteIoError::NotEnoughBytes(buffer.len(), self.length.saturating_sub(self.at)));
        }
        for (at, byte) in (self.at..).zip(buffer) {
            *byte = self.bytes.get(at).copied().unwrap_or_else(|| self.ahead(at));
        }
        Ok(())
    }
}

impl ZByteReaderTrait for Data<'_> {
    #[inline(always)]
    fn read_byte_no_error(&mut self) -> u8 {
        let at = self.at;
        self.at += 1;
        match self.bytes.get(at) {
            Some(&byte) => byte,
            None => self.ahead(at),
        }
    }

    #[inline(always)]
    fn read_exact_bytes(&mut self, buffer: &mut [u8]) -> Result<(), ZByteIoError> {
        self.peek_exact_bytes(buffer)?;
        self.at += buffer.len();
        Ok(())
    }

    fn read_bytes(&mut self, buffer: &mut [u8]) -> Result<usize, ZByteIoError> {
        let read = self.peek_bytes(buffer)?;
        self.at += read;
        Ok(read)
    }

    fn peek_bytes(&mut self, buffer: &mut [u8]) -> Result<usize, ZByteIoError> {
        let count = buffer.len().min(self.length.saturating_sub(self.at));
        let (wanted, _) = buffer.split_at_mut(count);
        self.peek_exact_bytes(wanted)?;
        Ok(count)
    }

    #[inline(always)]
    fn peek_exact_bytes(&mut self, buffer: &mut [u8]) -> Result<(), ZByteIoError> {
        if let Some(bytes) = self.bytes.get(self.at..self.at + buffer.len()) {
            buffer.copy_from_slice(bytes);
            return Ok(());
        }
        self.peek_past_the_end(buffer)
    }

    fn z_seek(&mut self, from: ZSeekFrom) -> Result<u64, ZByteIoError> {
        let to = match from {
            ZSeekFrom::Current(by) => (self.at as u64).checked_add_signed(by),
            ZSeekFrom::Start(to) => Some(to),
            ZSeekFrom::End(by) => (self.length as u64).checked_add_signed(by),
        };
        let to = to.ok_or(ZByteIoError::SeekError("before the first byte"))?;
        self.at = to.min(self.length as u64) as usize;
        Ok(self.at as u64)
    }

    #[inline(always)]
    fn is_eof(&mut self) -> Result<bool, ZByteIoError> {
        Ok(self.at >= self.length)
    }

    fn z_position(&mut self) -> Result<u64, ZByteIoError> {
        Ok(self.at as u64)
    }

    fn read_remaining(&mut self, sink: &mut Vec<u8>) -> Result<usize, ZByteIoError> {
        let left = self.bytes.get(self.at..).unwrap_or_default();
        sink.extend_from_slice(left);
        self.at = self.length;
        Ok(left.len())
    }
}
