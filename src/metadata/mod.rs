//! What a file says about itself: settings, time, camera, lens. Every field is either known or absent, never zero.

mod apex;
mod block;
mod boxes;
mod bytes;
mod camera;
mod chunks;
mod clock;
mod embedded;
mod exposure;
mod fields;
mod heif;
mod ifd;
mod jpeg;
mod makernote;
mod read;
mod sniff;
mod tags;
mod text;
mod time;
mod xmp;

use crate::problem::Flaw;
use crate::ratings::FileRating;

pub use embedded::{Embedded, embedded_picture};
pub use read::read;
pub use sniff::{content_kind, sniff};

/// A value as the camera marked it: the fraction in the file in lowest terms, already known to be finite and above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Marked {
    /// Numerator, above zero.
    pub num: u32,
    /// Denominator, above zero.
    pub den: u32,
}

impl Marked {
    /// The fraction in lowest terms, so that 10/2000 and 1/200 are one setting; None where either part is zero.
    #[must_use]
    pub fn reduced(num: u32, den: u32) -> Option<Self> {
        if num == 0 || den == 0 {
            return None;
        }
        let (mut divisor, mut rest) = (num, den);
        while rest != 0 {
            (divisor, rest) = (rest, divisor % rest);
        }
        Some(Self { num: num / divisor, den: den / divisor })
    }

    /// The value as a number.
    #[must_use]
    pub fn value(self) -> f64 {
        f64::from(self.num) / f64::from(self.den)
    }
}

/// Date and time of capture as the camera's clock showed it, with what is known beyond the second.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Taken {
    /// Local date and time to the nanosecond; the fraction is zero when `fraction_digits` is 0.
    pub local: jiff::civil::DateTime,
    /// How many digits of the second's fraction the file gives (0 = whole seconds only).
    pub fraction_digits: u8,
    /// Offset from UTC in minutes, where the file gives it (Exif 2.31 `OffsetTimeOriginal`).
    pub offset_minutes: Option<i16>,
}

/// White balance as set on the camera (Exif 41987).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhiteBalance {
    /// The camera chose colours by itself: no gel or cast can be claimed.
    Auto,
    /// Fixed by the photographer.
    Manual,
}

/// Who chose the exposure (Exif 34850 and 41986).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExposureMode {
    /// Set by hand.
    Manual,
    /// Chosen by the camera, in whole or in part.
    Automatic,
}

/// The lens, by the best name the file gives.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Lens {
    /// `LensModel`, trimmed.
    Named(String),
    /// From `LensSpecification` only, for example "24-70 mm f/2.8".
    Specified(String),
    /// No name; a focal length may be known.
    #[default]
    Unknown,
}

/// The eight orientations of Exif 274, named by where row 0 and column 0 of the stored picture lie when upright.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[allow(missing_docs)]
pub enum Orientation {
    #[default]
    TopLeft = 1,
    TopRight = 2,
    BottomRight = 3,
    BottomLeft = 4,
    LeftTop = 5,
    RightTop = 6,
    RightBottom = 7,
    LeftBottom = 8,
}

impl Orientation {
    /// The orientation of an Exif value, 1 to 8.
    #[must_use]
    pub fn from_exif(value: u32) -> Option<Self> {
        Some(match value {
            1 => Self::TopLeft,
            2 => Self::TopRight,
            3 => Self::BottomRight,
            4 => Self::BottomLeft,
            5 => Self::LeftTop,
            6 => Self::RightTop,
            7 => Self::RightBottom,
            8 => Self::LeftBottom,
            _ => return None,
        })
    }

    /// Whether rows of the stored picture become columns of the upright one.
    #[must_use]
    pub fn swaps_sides(self) -> bool {
        matches!(self, Self::LeftTop | Self::RightTop | Self::RightBottom | Self::LeftBottom)
    }
}

/// Everything read from one file's metadata.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Metadata {
    /// Maker, trimmed.
    pub make: Option<String>,
    /// Model, trimmed.
    pub model: Option<String>,
    /// Serial number of the body, trimmed.
    pub body_serial: Option<String>,
    /// The lens.
    pub lens: Lens,
    /// When.
    pub taken: Option<Taken>,
    /// Focal length in millimetres, as marked on the lens (not converted to another format).
    pub focal_length_mm: Option<f64>,
    /// F-number as marked.
    pub f_number: Option<Marked>,
    /// Exposure time in seconds as marked.
    pub exposure_time_s: Option<Marked>,
    /// ISO as marked (Exif 34855, or 8831 to 8833 hex when that reads 65535).
    pub iso: Option<u32>,
    /// Exposure compensation in stops.
    pub exposure_compensation_stops: Option<f64>,
    /// White balance.
    pub white_balance: Option<WhiteBalance>,
    /// Manual or automatic exposure.
    pub exposure_mode: Option<ExposureMode>,
    /// How the stored picture must be turned to stand upright. Of a HEIC by its own `irot` and `imir` properties, which
    /// a decoder may have applied already; of a raw it holds for the embedded picture too.
    pub orientation: Orientation,
    /// Ratings written into the file, XMP before Exif; of a shot, those of all its files.
    pub ratings: Vec<FileRating>,
    /// What was wrong, in the order met.
    pub flaws: Vec<Flaw>,
}
