//! What setting the lights anew does at each tile of the plane, and the shot's own detail.
//!
//! Where the shot's light is `l`, the lights that burned in it change by the factor `q`: their sum as set over their sum as
//! shot, so that what their sum does not explain changes with them. Lights that did not burn add their light `a`, with the
//! detail that the shot shows: `e = (l + d) / (m + d)`, where `m` is the shot's mean light around the place and `d` that of
//! a code value that is still noise, so that in the dark no noise is multiplied. Set anew, the light is `l q + a e`.

use super::Board;
use super::tone::Tone;

/// A share of one tile beyond the plane's outermost centres is still known: tiles are areas.
const EDGE: f32 = 0.5;

/// One tile's say on each channel.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tile {
    /// Factor on what burned.
    pub factor: [f32; 3],
    /// Light added.
    pub added: [f32; 3],
    /// Light of what burned, as shot.
    pub as_shot: [f32; 3],
}

/// What happens at each tile of the plane.
pub struct Fields {
    /// Tiles across and down.
    pub size: (usize, usize),
    tiles: Vec<Option<Tile>>,
}

impl Fields {
    /// None where pictures or factors do not belong together.
    pub fn of(board: &Board, factors: &[[f64; 3]]) -> Option<Self> {
        if factors.len() != board.sources.len() || factors.iter().flatten().any(|f| !f.is_finite() || *f < 0.0) {
            return None;
        }
        let first = board.sources.first()?.picture;
        let size = (usize::from(first.columns), usize::from(first.rows));
        let count = size.0 * size.1;
        let fits = |s: &super::Source| s.picture.linear.len() == count && s.picture.missing.len() == count;
        if count == 0 || !board.sources.iter().all(fits) {
            return None;
        }
        let even = even(board, factors);
        Some(Self { size, tiles: (0..count).map(|index| tile(board, factors, even, index)).collect() })
    }

    /// Between the four tiles around a place of the plane, those that are known; None where the nearest is not.
    pub fn at(&self, (x, y): (f32, f32)) -> Option<Tile> {
        let (columns, rows) = (self.size.0 as f32, self.size.1 as f32);
        let inside = |at: f32, of: f32| (-EDGE..=of - 1.0 + EDGE).contains(&at);
        if !inside(x, columns) || !inside(y, rows) {
            return None;
        }
        let (x, y) = (x.clamp(0.0, columns - 1.0), y.clamp(0.0, rows - 1.0));
        let tile = |x: f32, y: f32| self.tiles.get(y as usize * self.size.0 + x as usize).copied().flatten();
        tile(x.round(), y.round())?;
        let (left, top) = (x.floor(), y.floor());
        let (fx, fy) = (x - left, y - top);
        let (right, bottom) = ((left + 1.0).min(columns - 1.0), (top + 1.0).min(rows - 1.0));
        let corners = [
            (tile(left, top), (1.0 - fx) * (1.0 - fy)),
            (tile(right, top), fx * (1.0 - fy)),
            (tile(left, bottom), (1.0 - fx) * fy),
            (tile(right, bottom), fx * fy),
        ];
        let (mut sum, mut weights) = (Tile::default(), 0.0);
        for (known, weight) in corners.into_iter().filter_map(|(tile, weight)| Some((tile?, weight))) {
            weights += weight;
            add(&mut sum.factor, known.factor, weight);
            add(&mut sum.added, known.added, weight);
            add(&mut sum.as_shot, known.as_shot, weight);
        }
        let mean = |values: [f32; 3]| values.map(|value| value / weights);
        (weights > 0.0).then(|| Tile { factor: mean(sum.factor), added: mean(sum.added), as_shot: mean(sum.as_shot) })
    }
}

fn add(sum: &mut [f32; 3], values: [f32; 3], weight: f32) {
    sum.iter_mut().zip(values).for_each(|(sum, value)| *sum += weight * value);
}

/// None where a light that takes part in the change is not known at the tile.
fn tile(board: &Board, factors: &[[f64; 3]], even: Option<f64>, index: usize) -> Option<Tile> {
    let (mut as_shot, mut set, mut added) = ([0.0; 3], [0.0; 3], [0.0; 3]);
    for (source, factor) in board.sources.iter().zip(factors) {
        if *source.picture.missing.get(index)? {
            // Where all that burned changes alike, how much of it was whose does not matter.
            if (source.burns && even.is_none()) || (!source.burns && *factor != [0.0; 3]) {
                return None;
            }
            continue;
        }
        let own = source.picture.linear.get(index)?.iter().zip(source.gain).map(|(l, gain)| f64::from(*l) * gain);
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
        let known = if as_shot > 0.0 { set / as_shot } else { 0.0 };
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

/// The shot's mean light around each place, by the tiles of its own grid.
pub struct Around {
    size: (usize, usize),
    means: Vec<[f32; 3]>,
}

impl Around {
    /// Means over the tiles of the shot's grid.
    pub fn of(board: &Board) -> Self {
        let size = (usize::from(board.place.frame.0).max(1), usize::from(board.place.frame.1).max(1));
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
        // A picture smaller than its grid leaves tiles empty: there every pixel is its own surroundings.
        Self { size, means: sums.into_iter().map(|(sum, count)| sum.map(|sum| sum / count)).collect() }
    }

    /// Between the tiles around a pixel.
    pub fn at(&self, (x, y): (usize, usize), (width, height): (usize, usize)) -> [f32; 3] {
        let between = |at: usize, of: usize, tiles: usize| {
            let at = ((at as f32 + 0.5) / of as f32 * tiles as f32 - 0.5).clamp(0.0, (tiles - 1) as f32);
            (at as usize, (at as usize + 1).min(tiles - 1), at - at.floor())
        };
        let ((left, right, fx), (top, bottom, fy)) = (between(x, width, self.size.0), between(y, height, self.size.1));
        let mut mean = [0.0; 3];
        for (column, row, weight) in [
            (left, top, (1.0 - fx) * (1.0 - fy)),
            (right, top, fx * (1.0 - fy)),
            (left, bottom, (1.0 - fx) * fy),
            (right, bottom, fx * fy),
        ] {
            add(&mut mean, self.means.get(row * self.size.0 + column).copied().unwrap_or([f32::NAN; 3]), weight);
        }
        mean
    }
}

/// A pixel lit anew.
pub fn light(tone: &Tone, code: [u8; 3], tile: &Tile, around: [f32; 3]) -> [u8; 3] {
    let noise = tone.light_of(super::NOISE);
    let mut lit = code;
    let says = tile.factor.iter().zip(tile.added).zip(tile.as_shot).zip(around);
    for (code, (((factor, added), as_shot), around)) in lit.iter_mut().zip(says) {
        if *factor == 1.0 && added == 0.0 {
            continue;
        }
        let own = tone.light_of(*code);
        let around = if around.is_finite() { around } else { own };
        let detail = (own + noise) / (around + noise);
        // A clipped place is at least as bright as it shows; its lights' own pictures may know better.
        let own = if *code >= super::CLIPPED { own.max(as_shot) } else { own };
        *code = tone.code_of(own * factor + added * detail);
    }
    lit
}
