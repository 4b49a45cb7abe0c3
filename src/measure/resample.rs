//! From cells to fewer, larger areas: every pixel's light is kept and shared by overlap.

use super::accumulate::Sums;
use super::grid::{Axis, Grid};
use super::light::Entry;
use wide::f32x4;

/// Sums over areas: clipped pixels in lane 0, light of R, G, B in lanes 1 to 3.
pub struct Areas {
    /// Areas across.
    pub columns: usize,
    /// Areas down.
    pub rows: usize,
    /// Row-major sums.
    pub sums: Vec<f32x4>,
    /// Pixels in each area (a fraction where edges cut pixels).
    pub pixels: f64,
}

/// Where one cell goes along one side: the share `here` to area `to`, the rest to the next.
#[derive(Clone, Copy)]
struct Share {
    to: usize,
    here: f32,
}

/// Shares of pieces cut at `edges` (pixels, ascending, from 0 to the length) among `areas` equal areas.
fn shares(edges: &[usize], areas: usize) -> Vec<Share> {
    let length = edges.last().copied().unwrap_or(0);
    edges
        .windows(2)
        .filter_map(|pair| if let &[from, to] = pair { Some((from, to)) } else { None })
        .map(|(from, to)| {
            // The area of the first pixel; its end, in pixels times the number of areas, to stay in integers.
            let area = from * areas / length.max(1);
            let end = (area + 1) * length;
            let inside = (end.min(to * areas) - from * areas) as f32;
            Share { to: area, here: inside / ((to - from) * areas) as f32 }
        })
        .collect()
}

/// Edges of the cells of the upright picture along one side.
fn edges(axis: Axis, cell: usize) -> Vec<usize> {
    (0..axis.cells).map(|index| index * cell).chain([axis.pixels]).collect()
}

/// A side's number of areas: `wanted`, or fewer so that each holds at least one cell of `cell` pixels.
#[must_use]
pub fn at_most(wanted: usize, axis: Axis, cell: usize) -> usize {
    wanted.min(axis.pixels / cell).max(1)
}

/// Shares the cells of a picture among areas of the upright picture, for several sizes (columns, rows) at once.
///
/// Each area must be at least as large as a cell (see [`at_most`]).
#[must_use]
pub fn from_cells<const N: usize>(sums: &Sums, grid: &Grid, sizes: [(usize, usize); N]) -> [Areas; N] {
    let (across, down) = grid.upright();
    let (start, step_across, step_down) = grid.walk();
    let (edges_across, edges_down) = (edges(across, grid.cell), edges(down, grid.cell));
    let mut collectors = sizes.map(|(columns, rows)| Collector::new(&edges_across, &edges_down, columns, rows));
    let mut row = Vec::with_capacity(across.cells);
    for index in 0..down.cells {
        row.clear();
        let mut place = start + step_down * index as isize;
        for _ in 0..across.cells {
            let at = usize::try_from(place).unwrap_or(usize::MAX);
            if let (Some(&cell), Some(&clipped)) = (sums.cells.get(at), sums.clipped.get(at)) {
                row.push(light_and_clipped(cell, clipped));
            }
            place += step_across;
        }
        for collector in &mut collectors {
            collector.add(index, &row);
        }
    }
    collectors.map(Collector::finish)
}

/// A cell as floats: clipped pixels in lane 0. Sums of at most 64 pixels are below 2^31, so they may pass as signed,
/// which is the conversion every processor has.
#[inline(always)]
fn light_and_clipped(cell: Entry, clipped: u8) -> f32x4 {
    let light = (cell & Entry::new([0, u32::MAX, u32::MAX, u32::MAX])) | Entry::new([u32::from(clipped), 0, 0, 0]);
    f32x4::from_i32x4(wide::i32x4::new(light.to_array().map(|lane| lane as i32)))
}

/// Shares areas among fewer areas.
#[must_use]
pub fn from_areas(source: &Areas, columns: usize, rows: usize) -> Areas {
    let unit = |count: usize| (0..=count).collect::<Vec<usize>>();
    let mut areas = Collector::new(&unit(source.columns), &unit(source.rows), columns, rows);
    for (index, row) in source.sums.chunks(source.columns.max(1)).enumerate() {
        areas.add(index, row);
    }
    let mut areas = areas.finish();
    areas.pixels *= source.pixels;
    areas
}

struct Collector {
    across: Vec<Share>,
    down: Vec<Share>,
    line: Vec<f32x4>,
    areas: Areas,
}

impl Collector {
    fn new(across: &[usize], down: &[usize], columns: usize, rows: usize) -> Self {
        let length = |edges: &[usize]| edges.last().copied().unwrap_or(0) as f64;
        let pixels = length(across) / columns as f64 * (length(down) / rows as f64);
        // One more than needed each way: the last piece has a next area too, whose share is nothing.
        Self {
            across: shares(across, columns),
            down: shares(down, rows),
            line: vec![f32x4::ZERO; columns + 1],
            areas: Areas { columns, rows, sums: vec![f32x4::ZERO; columns * (rows + 1)], pixels },
        }
    }

    fn add(&mut self, index: usize, row: &[f32x4]) {
        self.line.fill(f32x4::ZERO);
        for (&piece, share) in row.iter().zip(&self.across) {
            if let Some([here, next]) = self.line.get_mut(share.to..share.to + 2) {
                let kept = piece * f32x4::splat(share.here);
                *here += kept;
                *next += piece - kept;
            }
        }
        let Some(share) = self.down.get(index) else {
            return;
        };
        let columns = self.areas.columns;
        let Some(two) = self.areas.sums.get_mut(share.to * columns..(share.to + 2) * columns) else {
            return;
        };
        let (here, next) = two.split_at_mut(columns);
        for ((&piece, here), next) in self.line.iter().zip(here).zip(next) {
            let kept = piece * f32x4::splat(share.here);
            *here += kept;
            *next += piece - kept;
        }
    }

    fn finish(mut self) -> Areas {
        self.areas.sums.truncate(self.areas.columns * self.areas.rows);
        self.areas
    }
}
