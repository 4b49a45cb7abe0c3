//! The median of luminance, from a histogram whose bins are equally wide in relative terms.
//!
//! The bin of a luminance is the top of its floating-point form: the exponent and ten bits of the fraction. That is
//! 1024 bins to a doubling, each at most 1/1024 of its luminance wide, which is 0.0014 stop. A second look at some of
//! the pixels then says where in its bin the median lies: exactly, where the picture is small or uniform.

use super::light::{Code, LUMA_MASK, Tables, UNIT};
use super::rows::Rows;
use crate::problem::Flaw;

/// As many as 16 bits can say, so that no count needs a check of its index. Those above a luminance of 1 stay empty.
const BINS: usize = 1 << 16;
const FRACTION_BITS: u32 = 23 - 10;
/// The top of the floating-point form of 1, one table unit: the bin of that luminance is 0.
const FIRST: i32 = 127 << 10;
/// Pixels looked at again: all of a picture up to this size, evenly spread rows of a larger one.
const SECOND_LOOK: usize = 1 << 18;

/// The bin of a luminance word: from 0 up, and the lowest of all for black.
#[inline(always)]
fn bin(word: u32) -> i16 {
    // Below 2^25: the conversion from signed integers is the one every processor has. So is the saturation.
    let bits = ((word & LUMA_MASK) as i32 as f32).to_bits();
    ((bits >> FRACTION_BITS) as i32 - FIRST).clamp(i16::MIN.into(), i16::MAX.into()) as i16
}

/// The middle of a bin, 0..1.
fn middle(bin: i16) -> f64 {
    if bin < 0 {
        return 0.0;
    }
    let edge = |bin: i32| f64::from(f32::from_bits(((bin + FIRST) as u32) << FRACTION_BITS));
    (edge(bin.into()) + edge(i32::from(bin) + 1)) / 2.0 / f64::from(UNIT)
}

/// Counts of luminance.
pub struct Histogram {
    /// Two counts of each bin, side by side, used in turn: neighbouring pixels tend to fall into the same bin, and an
    /// addition that must wait for the one just before takes three times as long.
    counts: Box<[[u32; 2]; BINS]>,
    bins: Vec<i16>,
}

impl Default for Histogram {
    fn default() -> Self {
        let counts = vec![[0; 2]; BINS];
        Self { counts: counts.try_into().unwrap_or_else(|_| unreachable!("as many as bins")), bins: Vec::new() }
    }
}

/// One of the two middle pixels: its bin, its place in the bin from 0, and how many the bin holds.
#[derive(Clone, Copy)]
struct Place {
    bin: i16,
    at: u64,
    of: u64,
}

impl Histogram {
    /// Forgets everything counted.
    pub fn clear(&mut self) {
        self.counts.fill([0; 2]);
    }

    /// Counts a run of luminance words.
    // Sixteen bits cannot reach past the array: no panic, and no check in the machine code either.
    #[allow(clippy::indexing_slicing)]
    pub fn add(&mut self, words: &[u32]) {
        self.bins.resize(words.len(), 0);
        for (place, &word) in self.bins.iter_mut().zip(words) {
            *place = bin(word);
        }
        let (pairs, last) = self.bins.as_chunks::<2>();
        for &[first, second] in pairs {
            self.counts[usize::from(first as u16)][0] += 1;
            self.counts[usize::from(second as u16)][1] += 1;
        }
        for &bin in last {
            self.counts[usize::from(bin as u16)][0] += 1;
        }
    }

    fn place(&self, rank: u64) -> Place {
        let mut before = 0;
        // Negative bins, which is to say black, are the upper half of the array.
        let (positive, negative) = self.counts.split_at(BINS / 2);
        for (bin, &[first, second]) in (i16::MIN..=i16::MAX).zip(negative.iter().chain(positive)) {
            let count = u64::from(first) + u64::from(second);
            if rank < before + count {
                return Place { bin, at: rank - before, of: count };
            }
            before += count;
        }
        Place { bin: 0, at: 0, of: 0 }
    }

    /// The median, 0..1: the mean of the two middle values where the count is even.
    ///
    /// # Errors
    /// What `rows` cannot deliver.
    pub fn median<C: Code>(
        &self,
        rows: &mut impl Rows<C>,
        tables: &Tables<C>,
        width: usize,
        height: usize,
    ) -> Result<f64, Flaw> {
        let pixels = (width * height) as u64;
        let places = [self.place(pixels.saturating_sub(1) / 2), self.place(pixels / 2)];
        let mut seen = [Vec::new(), Vec::new()];
        let step = (width * height).div_ceil(SECOND_LOOK).max(1);
        for y in (0..height).step_by(step) {
            for &pixel in rows.row(y)?.codes {
                let (word, luminance) = of_pixel(tables, pixel);
                for (place, seen) in places.iter().zip(&mut seen) {
                    if bin(word) == place.bin {
                        seen.push(luminance);
                    }
                }
            }
        }
        let ([low, high], [seen_low, seen_high]) = (places, seen);
        Ok((within(low, seen_low) + within(high, seen_high)) / 2.0)
    }
}

/// The luminance at a place in a bin, from those of the bin's pixels that were seen.
fn within(place: Place, mut seen: Vec<f64>) -> f64 {
    seen.sort_unstable_by(f64::total_cmp);
    // Where all were seen this is the place itself; of a part, the same share.
    let index = (2 * place.at + 1) * seen.len() as u64 / (2 * place.of.max(1));
    usize::try_from(index).ok().and_then(|index| seen.get(index)).copied().unwrap_or_else(|| middle(place.bin))
}

fn of_pixel<C: Code>(tables: &Tables<C>, [r, g, b]: [C; 3]) -> (u32, f64) {
    let ([er, eg, eb], [lr, lg, lb]) = (&tables.entries, &tables.luminance);
    let [word, ..] = (r.pick(er) + g.pick(eg) + b.pick(eb)).to_array();
    let of = |table: &[f64], code: C| table.get(code.into() as usize).copied().unwrap_or(0.0);
    (word, of(lr, r) + of(lg, g) + of(lb, b))
}
