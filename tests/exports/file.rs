//! An export as a file: JPEG, with all, a part or none of what the camera wrote, under a new or an old name

#[path = "../support/tiff.rs"]
mod tiff;

use crate::raster::Raster;
use jpeg_encoder::{ColorType, Encoder};
use stoptally::metadata::Metadata;

/// What is left of the camera's notes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kept {
    All,
    Time,
    Serial,
    Nothing,
}

impl Kept {
    pub fn word(self) -> &'static str {
        match self {
            Self::All => "exif kept",
            Self::Time => "exif time only",
            Self::Serial => "exif serial only",
            Self::Nothing => "exif stripped",
        }
    }
}

pub fn jpeg(picture: &Raster, quality: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    Encoder::new(&mut bytes, quality)
        .encode(&picture.bytes(), picture.width as u16, picture.height as u16, ColorType::Rgb)
        .expect("into memory");
    bytes
}

/// The file with what is kept of its source's notes. The picture is upright, and no orientation is written.
pub fn noted(jpeg: &[u8], source: &Metadata, kept: Kept) -> Vec<u8> {
    let (mut main, mut exif) = (Vec::new(), Vec::new());
    if kept == Kept::All {
        main.extend(source.make.as_deref().map(|make| tiff::ascii(0x010f, make)));
        main.extend(source.model.as_deref().map(|model| tiff::ascii(0x0110, model)));
        exif.extend(source.exposure_time_s.map(|t| tiff::rational(0x829a, &[(t.num, t.den)])));
        exif.extend(source.f_number.map(|n| tiff::rational(0x829d, &[(n.num, n.den)])));
        exif.extend(source.iso.and_then(|iso| u16::try_from(iso).ok()).map(|iso| tiff::short(0x8827, &[iso])));
    }
    if let (Kept::All | Kept::Time, Some(taken)) = (kept, &source.taken) {
        exif.push(tiff::ascii(0x9003, &taken.local.strftime("%Y:%m:%d %H:%M:%S").to_string()));
        if taken.fraction_digits > 0 {
            let nanos = format!("{:09}", taken.local.subsec_nanosecond());
            exif.push(tiff::ascii(0x9291, &nanos[..usize::from(taken.fraction_digits)]));
        }
    }
    if matches!(kept, Kept::All | Kept::Serial) {
        exif.extend(source.body_serial.as_deref().map(|serial| tiff::ascii(0xa431, serial)));
    }
    if main.is_empty() && exif.is_empty() {
        return jpeg.to_vec();
    }
    tiff::with_exif(jpeg, &tiff::block(b"II", &main, &exif))
}
