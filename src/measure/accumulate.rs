//! The pass over the pixels: sums and counts in integers, so that no result depends on scheduling or vector width.
//!
//! Per pixel three lookups give the sums of its cell and one luminance word (luminance and clipping flags); the words
//! of a strip of cells, still in the fastest cache, then serve clipping and median, and two rows of them sharpness.

use super::Clipping;
use super::grid::Grid;
use super::light::{Code, Entry, HIGH, HIGH_ANY, LUMA_MASK, SHADOW_ALL, Tables};
use super::median::Histogram;
use super::rows::Rows;
use super::sharpness::Sharpness;
use crate::problem::Flaw;

/// Cells worked on at a time: with cells of 8 pixels, 512 luminance words, 2 kB.
const STRIP: usize = 64;

/// What the pass leaves behind; kept between pictures so that memory is asked for once.
#[derive(Default)]
pub struct Sums {
    /// Light of each stored cell in lanes 1 to 3, in table units; lane 0 is of no use.
    pub cells: Vec<Entry>,
    /// Pixels of each stored cell with any channel clipped.
    pub clipped: Vec<u8>,
    /// Clipped pixels of the whole picture.
    pub clipping: Clipping,
    /// Luminance of all pixels.
    pub histogram: Histogram,
    /// Detail of all pixels.
    pub sharpness: Sharpness,
    luma: [Vec<u32>; 2],
}

impl Sums {
    fn start(&mut self, grid: &Grid) {
        let cells = grid.x.cells * grid.y.cells;
        self.cells.clear();
        self.cells.resize(cells, Entry::default());
        self.clipped.clear();
        self.clipped.resize(cells, 0);
        self.clipping = Clipping::default();
        self.histogram.clear();
        self.sharpness.start(grid.x.pixels, grid.y.pixels);
        for row in &mut self.luma {
            row.clear();
            row.resize(grid.x.pixels, 0);
        }
    }
}

/// Runs over all rows of a picture.
///
/// # Errors
/// What `rows` cannot deliver.
pub fn pass<C: Code>(rows: &mut impl Rows<C>, tables: &Tables<C>, grid: &Grid, sums: &mut Sums) -> Result<(), Flaw> {
    match grid.cell {
        1 => pass_of::<C, 1>(rows, tables, grid, sums),
        2 => pass_of::<C, 2>(rows, tables, grid, sums),
        4 => pass_of::<C, 4>(rows, tables, grid, sums),
        _ => pass_of::<C, 8>(rows, tables, grid, sums),
    }
}

fn pass_of<C: Code, const K: usize>(
    rows: &mut impl Rows<C>,
    tables: &Tables<C>,
    grid: &Grid,
    sums: &mut Sums,
) -> Result<(), Flaw> {
    sums.start(grid);
    let strips = strips::<K>(grid);
    let Sums { cells, clipped, clipping, histogram, sharpness, luma: [even, odd] } = sums;
    for y in 0..grid.y.pixels {
        let row = rows.row(y)?;
        let start = grid.y.cell_of(y, K) * grid.x.cells;
        let mut cells = cells.get_mut(start..).unwrap_or_default();
        let mut clipped = clipped.get_mut(start..).unwrap_or_default();
        let (mut codes, mut flags) = (row.codes, row.flags);
        let mut words: &mut [u32] = if y % 2 == 0 { even } else { odd };
        for strip in &strips {
            let now = take_mut(&mut words, strip.pixels);
            light::<C, K>(tables, take(&mut codes, strip.pixels), take_mut(&mut cells, strip.cells), now);
            if let Some(flags) = &mut flags {
                for (word, flag) in now.iter_mut().zip(take(flags, strip.pixels)) {
                    *word |= flag;
                }
            }
            count_clipped::<K>(now, take_mut(&mut clipped, strip.cells), clipping);
            histogram.add(now);
        }
        if y % 2 == 1 {
            sharpness.add(even, odd);
        }
    }
    Ok(())
}

/// A stretch of a row: so many cells, so many pixels.
struct Strip {
    cells: usize,
    pixels: usize,
}

/// Cuts a row: the partial cell at the start by itself, then up to [`STRIP`] cells at a time.
fn strips<const K: usize>(grid: &Grid) -> Vec<Strip> {
    let mut strips = Vec::new();
    if grid.x.lead > 0 {
        strips.push(Strip { cells: 1, pixels: grid.x.lead });
    }
    let mut left = grid.x.pixels - grid.x.lead;
    while left > 0 {
        let pixels = left.min(STRIP * K);
        strips.push(Strip { cells: pixels.div_ceil(K), pixels });
        left -= pixels;
    }
    strips
}

fn take<'a, T>(slice: &mut &'a [T], count: usize) -> &'a [T] {
    let (first, rest) = slice.split_at_checked(count).unwrap_or((slice, &[]));
    *slice = rest;
    first
}

fn take_mut<'a, T>(slice: &mut &'a mut [T], count: usize) -> &'a mut [T] {
    let whole = std::mem::take(slice);
    let count = count.min(whole.len());
    let (first, rest) = whole.split_at_mut(count);
    *slice = rest;
    first
}

/// Sums the light of a strip into its cells and writes its luminance words.
fn light<C: Code, const K: usize>(tables: &Tables<C>, codes: &[[C; 3]], cells: &mut [Entry], words: &mut [u32]) {
    let (codes, codes_left) = codes.as_chunks::<K>();
    let (words, words_left) = words.as_chunks_mut::<K>();
    let mut cells = cells.iter_mut();
    for ((codes, words), cell) in codes.iter().zip(words).zip(cells.by_ref()) {
        *cell += cell_light(tables, codes, words);
    }
    if let Some(cell) = cells.next() {
        *cell += cell_light(tables, codes_left, words_left);
    }
}

#[inline(always)]
fn cell_light<C: Code>(tables: &Tables<C>, codes: &[[C; 3]], words: &mut [u32]) -> Entry {
    let [reds, greens, blues] = &tables.entries;
    let mut sum = Entry::default();
    for (&[r, g, b], word) in codes.iter().zip(words) {
        let pixel = r.pick(reds) + g.pick(greens) + b.pick(blues);
        let [first, ..] = pixel.to_array();
        *word = first;
        sum += pixel;
    }
    sum
}

/// Bits of each of five counters in one word: a strip has at most 512 pixels.
const FIELD: u32 = 12;

/// What each combination of flags adds to the counters: any highlight, R, G, B, shadow.
const COUNTS: [u64; 128] = {
    let [red, green, blue] = HIGH;
    let mut table = [0_u64; 128];
    let mut flags = 0;
    while flags < 128 {
        let word = (flags as u32) << 25;
        let count = (word & HIGH_ANY != 0) as u64
            | ((word & red != 0) as u64) << FIELD
            | ((word & green != 0) as u64) << (2 * FIELD)
            | ((word & blue != 0) as u64) << (3 * FIELD)
            | ((word & SHADOW_ALL == SHADOW_ALL) as u64) << (4 * FIELD);
        // Evaluated by the compiler: an index outside the table would not compile.
        #[allow(clippy::indexing_slicing)]
        {
            table[flags] = count;
        }
        flags += 1;
    }
    table
};

/// Counts the clipped pixels of a strip. Most strips have none and are passed over.
fn count_clipped<const K: usize>(words: &[u32], cells: &mut [u8], counts: &mut Clipping) {
    if !any_flag(words) {
        return;
    }
    let mut total = 0;
    for (words, cell) in words.chunks(K).zip(cells) {
        if any_flag(words) {
            // The top seven bits of a word cannot reach past 128 entries.
            #[allow(clippy::indexing_slicing)]
            let here: u64 = words.iter().map(|word| COUNTS[(word >> 25) as usize]).sum();
            *cell += (here & 0xff) as u8;
            total += here;
        }
    }
    let field = |index: u32| (total >> (index * FIELD)) & ((1 << FIELD) - 1);
    counts.highlights += field(0);
    for (count, index) in counts.highlights_rgb.iter_mut().zip(1..) {
        *count += field(index);
    }
    counts.shadows += field(4);
}

#[inline(always)]
fn any_flag(words: &[u32]) -> bool {
    words.iter().fold(0, |all, word| all | word) & !LUMA_MASK != 0
}
