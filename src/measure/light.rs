//! What each code value of a file is worth in light: one table per channel, made once per file.
//!
//! A picture's luminance is a sum over its three channels of a curve of one code value, for sRGB and for any
//! matrix profile alike, because the luminance weights can be carried back through the profile's matrix. So one
//! lookup per channel gives a pixel's light and luminance together, and no pixel is ever multiplied by a matrix.

use super::transfer::srgb_to_linear;
use std::sync::{Arc, OnceLock};

/// Luminance weights of linear sRGB: ITU-R BT.709, as rounded there.
pub const LUMINANCE_WEIGHTS: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// Linear light 1.0 in table units: a cell of 255 pixels still sums in a `u32`, code 1 of 16-bit sRGB is still 20
/// units, and every luminance is exact as an `f32`.
pub const UNIT: u32 = 1 << 24;

/// Bits of an entry's first lane that hold luminance: 0 to [`UNIT`], and a unit or two of rounding above it.
pub const LUMA_MASK: u32 = (1 << 25) - 1;
/// Flags in the first lane: this channel (R, G, B) is clipped in the highlights.
pub const HIGH: [u32; 3] = [1 << 25, 1 << 26, 1 << 27];
/// All highlight flags.
pub const HIGH_ANY: u32 = 7 << 25;
/// Every channel at or below the shadow code adds one here.
const SHADOW_ONE: u32 = 1 << 28;
/// The sum of the three channels that makes a clipped shadow.
pub const SHADOW_ALL: u32 = 3 << 28;

/// One code of one channel: luminance and flags in the first lane, light in that of R, G or B.
///
/// Four lanes added at once: left to itself the compiler adds them one by one, at twice the cost of the whole pass.
pub type Entry = wide::u32x4;

/// A sample of 8 or 16 bits, unsigned.
pub trait Code: Copy + Into<u32> + 'static {
    /// The largest code.
    const FULL: u32;
    /// One entry per code.
    type Table;
    /// Fills a table, code by code.
    fn table(entry: impl FnMut(u32) -> Entry) -> Box<Self::Table>;
    /// The entry of a code.
    fn pick(self, table: &Self::Table) -> Entry;

    /// The lowest code that counts as clipped in the highlights: 254 of 255 of full scale.
    const HIGHLIGHT: u32 = (Self::FULL * 254).div_ceil(255);
    /// The highest code that counts as clipped in the shadows: 1 of 255 of full scale.
    const SHADOW: u32 = Self::FULL / 255;
}

macro_rules! code {
    ($sample:ty, $codes:literal) => {
        impl Code for $sample {
            const FULL: u32 = $codes - 1;
            type Table = [Entry; $codes];

            fn table(entry: impl FnMut(u32) -> Entry) -> Box<[Entry; $codes]> {
                let entries: Vec<Entry> = (0..$codes).map(entry).collect();
                entries
                    .try_into()
                    .unwrap_or_else(|_| unreachable!("as many entries as codes"))
            }

            // The sample's type cannot reach past the table: no panic, and no check in the machine code either.
            #[allow(clippy::indexing_slicing)]
            #[inline(always)]
            fn pick(self, table: &[Entry; $codes]) -> Entry {
                table[usize::from(self)]
            }
        }
    };
}
code!(u8, 256);
code!(u16, 65536);

/// How codes become linear light: a curve per channel, then a matrix to the primaries of sRGB.
#[derive(Clone, Debug, PartialEq)]
pub struct Colour {
    /// Linear light 0..1 of every code, for R, G, B; 256 or 65536 values each.
    pub curves: [Vec<f64>; 3],
    /// From the file's own linear R, G, B to linear sRGB; nothing is clipped.
    pub to_srgb: [[f64; 3]; 3],
}

/// The matrix that changes nothing.
pub const IDENTITY: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

impl Colour {
    /// sRGB for samples of type `C`.
    #[must_use]
    pub fn srgb<C: Code>() -> Self {
        let curve = curve::<C>(srgb_to_linear);
        Self {
            curves: [curve.clone(), curve.clone(), curve],
            to_srgb: IDENTITY,
        }
    }

    /// What each of the file's own channels adds to luminance: the BT.709 weights carried back through the matrix.
    #[must_use]
    pub fn luminance_weights(&self) -> [f64; 3] {
        let [r, g, b] = self.to_srgb;
        let [wr, wg, wb] = LUMINANCE_WEIGHTS;
        let mut weights = [0.0; 3];
        for (weight, ((r, g), b)) in weights.iter_mut().zip(r.into_iter().zip(g).zip(b)) {
            *weight = wr * r + wg * g + wb * b;
        }
        weights
    }

    /// Linear sRGB of the file's own linear light.
    #[must_use]
    pub fn linear_srgb(&self, light: [f64; 3]) -> [f64; 3] {
        let [r, g, b] = light;
        self.to_srgb.map(|[mr, mg, mb]| mr * r + mg * g + mb * b)
    }
}

/// Linear light of every code of type `C` by a curve over 0..1.
pub fn curve<C: Code>(curve: impl Fn(f64) -> f64) -> Vec<f64> {
    (0..=C::FULL)
        .map(|code| curve(f64::from(code) / f64::from(C::FULL)).clamp(0.0, 1.0))
        .collect()
}

/// The lookup tables of one kind of file.
pub struct Tables<C: Code> {
    /// Entries of R, G, B.
    pub entries: [Box<C::Table>; 3],
    /// The colour they were made from.
    pub colour: Colour,
    /// Luminance of every code of R, G, B before rounding to table units.
    pub luminance: [Vec<f64>; 3],
}

impl<C: Code> Tables<C> {
    /// Makes the tables of a colour; with `flags`, clipping is judged on these very codes.
    #[must_use]
    pub fn new(colour: Colour, flags: bool) -> Self {
        let [wr, wg, wb] = colour.luminance_weights();
        let [cr, cg, cb] = &colour.curves;
        let luminance = [(cr, wr), (cg, wg), (cb, wb)].map(|(curve, weight)| {
            curve
                .iter()
                .map(|light| (light * weight).max(0.0))
                .collect::<Vec<f64>>()
        });
        let make = |channel: usize| {
            let (curve, luma) = (colour.curves.get(channel), luminance.get(channel));
            C::table(|code| {
                let at = |table: Option<&Vec<f64>>| {
                    table
                        .and_then(|t| t.get(code as usize))
                        .map_or(0, |&x| units(x))
                };
                let flag = if flags {
                    flags_of::<C>(channel, code)
                } else {
                    0
                };
                let mut entry = [at(luma) | flag, 0, 0, 0];
                if let Some(lane) = entry.get_mut(channel + 1) {
                    *lane = at(curve);
                }
                Entry::new(entry)
            })
        };
        Self {
            entries: [make(0), make(1), make(2)],
            luminance,
            colour,
        }
    }
}

fn units(light: f64) -> u32 {
    (light * f64::from(UNIT) + 0.5) as u32
}

fn flags_of<C: Code>(channel: usize, code: u32) -> u32 {
    let high = if code >= C::HIGHLIGHT {
        HIGH.get(channel).copied().unwrap_or(0)
    } else {
        0
    };
    high | if code <= C::SHADOW { SHADOW_ONE } else { 0 }
}

/// The clipping flags of a pixel, for files whose light does not come from their own codes.
#[must_use]
pub fn flags<C: Code>(pixel: [C; 3]) -> u32 {
    let [r, g, b] = pixel.map(Into::into);
    flags_of::<C>(0, r) + flags_of::<C>(1, g) + flags_of::<C>(2, b)
}

/// sRGB tables for 8-bit codes, made once: nearly every file of a shoot uses them.
pub fn srgb8() -> Arc<Tables<u8>> {
    static TABLES: OnceLock<Arc<Tables<u8>>> = OnceLock::new();
    TABLES
        .get_or_init(|| Arc::new(Tables::new(Colour::srgb::<u8>(), true)))
        .clone()
}

/// sRGB tables for 16-bit codes, made once.
pub fn srgb16() -> Arc<Tables<u16>> {
    static TABLES: OnceLock<Arc<Tables<u16>>> = OnceLock::new();
    TABLES
        .get_or_init(|| Arc::new(Tables::new(Colour::srgb::<u16>(), true)))
        .clone()
}
