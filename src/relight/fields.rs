//! What setting the lights anew does at each tile of a shot.
//!
//! Where the shot's light is `l`, the lights that burned in it change by the factor `q`: their sum as set over their sum as
//! shot, so that what their sum does not explain changes with them. Lights that did not burn add their light `a`, with the
//! detail that the shot shows: `e = (l + d) / (m + d)`, where `m` is the shot's mean light around the place and `d` that of
//! a code value that is still noise, so that in the dark no noise is multiplied. Set anew, the light is `l q + a e`.

use super::tone::Tone;
use super::{Board, CLIPPING, NOISE};
use crate::light::LightPicture;

/// One tile's say on each channel.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tile {
    /// Factor on what burned.
    factor: [f32; 3],
    /// Light added.
    added: [f32; 3],
    /// Light of what burned, as shot.
    as_shot: [f32; 3],
    /// The shot's own mean light.
    mean: [f32; 3],
}

/// What happens at each tile of the shot's grid.
pub struct Fields {
    size: (usize, usize),
    /// Beside what is not known the nearest known tiles hold on, so that nothing bleeds out of a hole.
    tiles: Vec<Tile>,
    known: Vec<bool>,
}

impl Fields {
    /// `seen` holds the sources' pictures on the shot's grid. None where factors do not belong to them.
    pub fn of(board: &Board, seen: &[LightPicture], factors: &[[f64; 3]]) -> Option<Self> {
        let sound = factors.iter().flatten().all(|factor| factor.is_finite() && *factor >= 0.0);
        if factors.len() != board.sources.len() || seen.len() != factors.len() || !sound {
            return None;
        }
        let even = even(board, factors);
        let size = (usize::from(board.place.frame.0), usize::from(board.place.frame.1));
        let means = means(board, size);
        let told: Vec<Option<Tile>> = (0..means.len()).map(|index| tile(board, seen, factors, even, index)).collect();
        let tiles = means.iter().enumerate().map(|(index, mean)| Tile { mean: *mean, ..held(&told, size, index) });
        (size.0 > 0 && size.1 > 0).then(|| Self {
            size,
            tiles: tiles.collect(),
            known: told.iter().map(Option::is_some).collect(),
        })
    }

    /// Between the four tiles around a pixel; None where its own is not known.
    pub fn at(&self, (x, y): (usize, usize), (width, height): (usize, usize)) -> Option<Tile> {
        let ((left, right, fx), (top, bottom, fy)) = (around(x, width, self.size.0), around(y, height, self.size.1));
        let own = if fy < 0.5 { top } else { bottom } * self.size.0 + if fx < 0.5 { left } else { right };
        self.known.get(own).filter(|known| **known)?;
        let corners = [
            (left, top, (1.0 - fx) * (1.0 - fy)),
            (right, top, fx * (1.0 - fy)),
            (left, bottom, (1.0 - fx) * fy),
            (right, bottom, fx * fy),
        ];
        let mut sum = Tile::default();
        for (column, row, weight) in corners {
            let tile = self.tiles.get(row * self.size.0 + column)?;
            add(&mut sum.factor, tile.factor, weight);
            add(&mut sum.added, tile.added, weight);
            add(&mut sum.as_shot, tile.as_shot, weight);
            add(&mut sum.mean, tile.mean, weight);
        }
        Some(sum)
    }
}

/// A tile, or the mean of the known ones around it.
fn held(told: &[Option<Tile>], (columns, rows): (usize, usize), index: usize) -> Tile {
    if let Some(tile) = told.get(index).copied().flatten() {
        return tile;
    }
    let (x, y) = (index % columns, index / columns);
    let across = x.saturating_sub(1)..=(x + 1).min(columns - 1);
    let down = y.saturating_sub(1)..=(y + 1).min(rows - 1);
    let near = down.flat_map(|row| across.clone().map(move |column| row * columns + column));
    let known: Vec<Tile> = near.filter_map(|other| told.get(other).copied().flatten()).collect();
    let mut mean = Tile::default();
    for tile in &known {
        let weight = 1.0 / known.len() as f32;
        add(&mut mean.factor, tile.factor, weight);
        add(&mut mean.added, tile.added, weight);
        add(&mut mean.as_shot, tile.as_shot, weight);
    }
    mean
}

/// The tiles before and after a pixel along one side, and how far it is from the first to the second.
fn around(pixel: usize, pixels: usize, tiles: usize) -> (usize, usize, f32) {
    let at = ((pixel as f32 + 0.5) / pixels as f32 * tiles as f32 - 0.5).clamp(0.0, (tiles - 1) as f32);
    (at as usize, (at as usize + 1).min(tiles - 1), at - at.floor())
}

fn add(sum: &mut [f32; 3], values: [f32; 3], weight: f32) {
    sum.iter_mut().zip(values).for_each(|(sum, value)| *sum += weight * value);
}

/// None where a light that takes part in the change is not known at the tile.
fn tile(board: &Board, seen: &[LightPicture], factors: &[[f64; 3]], even: Option<f64>, index: usize) -> Option<Tile> {
    let (mut as_shot, mut set, mut added) = ([0.0; 3], [0.0; 3], [0.0; 3]);
    for ((source, picture), factor) in board.sources.iter().zip(seen).zip(factors) {
        if *picture.missing.get(index)? {
            // Where all that burned changes alike, how much of it was whose does not matter.
            if (source.burns && even.is_none()) || (!source.burns && *factor != [0.0; 3]) {
                return None;
            }
            continue;
        }
        let own = picture.linear.get(index)?.iter().zip(source.gain).map(|(l, gain)| f64::from(*l) * gain);
        for (channel, own) in own.enumerate() {
            let factor = factor.get(channel)?;
            if source.burns {
                *as_shot.get_mut(channel)? += own;
                *set.get_mut(channel)? += own * factor;
            } else {
                *added.get_mut(channel)? += own * factor;
            }
        }
    }
    let mut tile = Tile { as_shot: as_shot.map(|l| l as f32), added: added.map(|l| l as f32), ..Tile::default() };
    for ((factor, as_shot), set) in tile.factor.iter_mut().zip(as_shot).zip(set) {
        // Where the sum has no light there is nothing to change.
        let known = if as_shot > 0.0 { set / as_shot } else { 1.0 };
        *factor = even.unwrap_or(known) as f32;
    }
    Some(tile)
}

/// The one factor that all burning lights have in all channels.
fn even(board: &Board, factors: &[[f64; 3]]) -> Option<f64> {
    let mut burning = board.sources.iter().zip(factors).filter(|(source, _)| source.burns).map(|(_, factor)| *factor);
    let first = *burning.clone().next()?.first()?;
    burning.all(|factor| factor == [first; 3]).then_some(first)
}

/// The shot's mean light over each tile of its grid; a picture smaller than that leaves tiles without a figure.
fn means(board: &Board, size: (usize, usize)) -> Vec<[f32; 3]> {
    let (width, height) = (usize::from(board.shot.width), usize::from(board.shot.height));
    let mut sums = vec![([0.0_f32; 3], 0.0_f32); size.0 * size.1];
    for (y, row) in board.shot.codes.chunks(width.max(1)).enumerate() {
        let line = y * size.1 / height.max(1) * size.0;
        for (x, code) in row.iter().enumerate() {
            if let Some((sum, count)) = sums.get_mut(line + x * size.0 / width.max(1)) {
                add(sum, code.map(|code| board.tone.light_of(code)), 1.0);
                *count += 1.0;
            }
        }
    }
    sums.into_iter().map(|(sum, count)| sum.map(|sum| sum / count)).collect()
}

/// A pixel lit anew.
pub fn light(tone: &Tone, code: [u8; 3], tile: &Tile) -> [u8; 3] {
    let noise = tone.light_of(NOISE);
    let mut lit = code;
    let says = tile.factor.iter().zip(tile.added).zip(tile.as_shot).zip(tile.mean);
    for (code, (((factor, added), as_shot), mean)) in lit.iter_mut().zip(says) {
        if *factor == 1.0 && added == 0.0 {
            continue;
        }
        let own = tone.light_of(*code);
        let mean = if mean.is_finite() { mean } else { own };
        let detail = (own + noise) / (mean + noise);
        // A clipped place is at least as bright as it shows; its lights' own pictures may know better.
        let clipped = f32::from(code.saturating_sub(CLIPPING.0)) / f32::from(CLIPPING.1 - CLIPPING.0);
        let own = own + clipped.min(1.0) * (as_shot - own).max(0.0);
        *code = tone.code_of(own * factor + added * detail);
    }
    lit
}
