//! A decoded picture: the file's own code values, and what the file says about their colour.

use crate::problem::Flaw;

/// Channels per pixel, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layout {
    /// One channel.
    Grey,
    /// Grey, then alpha, which is ignored.
    GreyAlpha,
    /// Red, green, blue.
    Rgb,
    /// Red, green, blue, then alpha, which is ignored.
    Rgba,
    /// Ink: cyan, magenta, yellow, black; 0 is none.
    Cmyk,
}

impl Layout {
    /// Samples per pixel.
    #[must_use]
    pub fn channels(self) -> usize {
        match self {
            Self::Grey => 1,
            Self::GreyAlpha => 2,
            Self::Rgb => 3,
            Self::Rgba | Self::Cmyk => 4,
        }
    }
}

/// Which buffer the samples are in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// 8 bits, in [`Buffers::bytes`].
    Eight,
    /// 16 bits, in [`Buffers::words`].
    Sixteen,
}

/// What a decoder found; the samples themselves are in the [`Buffers`] it was given.
#[derive(Clone, Debug)]
pub struct Decoded {
    /// The decoder's name.
    pub decoder: &'static str,
    /// Stored width in pixels, above zero.
    pub width: usize,
    /// Stored height in pixels, above zero.
    pub height: usize,
    /// Channels.
    pub layout: Layout,
    /// Bits per sample.
    pub depth: Depth,
    /// The ICC profile's bytes, where the file carries one.
    pub profile: Option<Vec<u8>>,
    /// Whether Exif says Adobe RGB the way cameras without a profile do (DCF: interoperability index R03).
    pub adobe_rgb: bool,
    /// What was remarkable on the way.
    pub notes: Vec<Flaw>,
}

/// Memory for samples, kept between pictures: asking for it anew costs up to a quarter of the time.
#[derive(Default)]
pub struct Buffers {
    /// 8-bit samples.
    pub bytes: Vec<u8>,
    /// 16-bit samples.
    pub words: Vec<u16>,
}

/// RGB of luminance and chroma at full range (ITU-T T.871).
#[must_use]
pub fn rgb_of_ycc([luma, blue, red]: [u8; 3]) -> [u8; 3] {
    let (luma, blue, red) = (
        f32::from(luma),
        f32::from(blue) - 128.0,
        f32::from(red) - 128.0,
    );
    let rgb = [
        luma + 1.402 * red,
        luma - 0.344_136 * blue - 0.714_136 * red,
        luma + 1.772 * blue,
    ];
    // A float cast saturates.
    rgb.map(|value| (value + 0.5) as u8)
}
