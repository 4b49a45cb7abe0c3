//! Whether something moved: blocks that a shot does not explain, taken together where they touch
//!
//! A grade changes light everywhere; another moment changes a part, and where the dancer was and is, blocks lie together.
//! A line of text near the edge, a watermark, is no other moment.

use super::blocks::{Block, Blocks};
use super::decide::Noise;

/// A block is changed when what is left of it is so many times the noise, and so large a share of what it shows.
const CHANGED: f32 = 9.0;
const SHARE: f32 = 0.3;
/// Fewer blocks together may be noise at a sharp edge.
const TOGETHER: usize = 3;
/// A watermark is at most so high, as a share of the rows, and so wide, as a share of the columns.
const MARK: (f64, f64) = (0.12, 0.34);

/// Blocks in patches that no watermark explains.
pub fn changed(blocks: &Blocks, noise: &Noise) -> usize {
    let columns = blocks.columns.max(1);
    let rows = blocks.blocks.len().div_ceil(columns);
    let odd = |block: &Option<Block>| {
        block.is_some_and(|b| b.left > CHANGED * noise.at(&b) && b.left > SHARE * b.own.max(b.detail))
    };
    let mut open: Vec<bool> = blocks.blocks.iter().map(odd).collect();
    let mut patches = Vec::new();
    for start in 0..open.len() {
        let patch = patch(&mut open, start, columns, rows);
        if !patch.is_empty() {
            patches.push(patch);
        }
    }
    let marks: Vec<usize> = mark(&patches, columns, rows);
    let rest = patches.iter().enumerate().filter(|(number, patch)| !marks.contains(number) && patch.len() >= TOGETHER);
    rest.map(|(_, patch)| patch.len()).sum()
}

/// Blocks that touch each other, from one on; they are closed.
fn patch(open: &mut [bool], start: usize, columns: usize, rows: usize) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut next = vec![(start % columns, start / columns)];
    while let Some((x, y)) = next.pop() {
        let Some(here) = open.get_mut(y * columns + x).filter(|here| **here) else { continue };
        *here = false;
        found.push((x, y));
        for ny in y.saturating_sub(1)..(y + 2).min(rows) {
            next.extend((x.saturating_sub(1)..(x + 2).min(columns)).map(|nx| (nx, ny)));
        }
    }
    found
}

/// The patches of the one watermark there may be: in a flat box, above or below the middle, around the largest flat patch.
fn mark(patches: &[Vec<(usize, usize)>], columns: usize, rows: usize) -> Vec<usize> {
    let high = (MARK.0 * rows as f64) as usize + 1;
    let wide = (MARK.1 * columns as f64) as usize + 1;
    let edge = rows.div_ceil(5);
    let mut best = (0, Vec::new());
    for seed in patches {
        let ys = || seed.iter().map(|(_, y)| *y);
        let (Some(top), Some(bottom)) = (ys().min(), ys().max()) else { continue };
        if bottom - top >= high || (bottom >= edge && top + edge < rows) {
            continue;
        }
        let Some(left) = seed.iter().map(|(x, _)| *x).min() else { continue };
        // All patches inside a box as high as a mark that begins or ends here.
        for first in [left, (left + 1).saturating_sub(wide / 2), (left + 1).saturating_sub(wide)] {
            let inside = |(x, y): &(usize, usize)| {
                (first..first + wide).contains(x) && *y + 1 >= top && *y <= top.max(bottom) + 1
            };
            let within = patches.iter().enumerate().filter(|(_, patch)| patch.iter().all(inside));
            let within: Vec<usize> = within.map(|(number, _)| number).collect();
            let size = within.iter().filter_map(|number| patches.get(*number)).map(Vec::len).sum();
            if size > best.0 {
                best = (size, within);
            }
        }
    }
    best.1
}
