//! How alike two pictures are: by the signs of their coarse steps, and tile by tile once laid over each other.

use super::luminance;
use crate::measure::TileGrid;

/// Tiles of a look along the long side: coarse enough that a step of the sitter is a small thing.
const LONG: usize = 48;
/// How far one picture may be moved over the other, in tiles of a look: a hand-held camera's 6 %.
const REACH: usize = 3;

/// A picture reduced to what two shots of one series share.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    hash: u64,
    columns: usize,
    rows: usize,
    /// Cube root of luminance: near to how light a tile looks (CIE L*, without its straight foot), row-major.
    light: Vec<f32>,
}

impl Look {
    /// The look of a picture; None without tiles.
    #[must_use]
    pub fn of(tiles: &TileGrid) -> Option<Self> {
        let (across, down) = (usize::from(tiles.columns), usize::from(tiles.rows));
        if across < 2 || down < 2 || tiles.means.len() != across * down {
            return None;
        }
        let luminance = luminance(tiles);
        let long = across.max(down);
        let side = |tiles: usize| ((tiles * LONG + long / 2) / long).clamp(2, tiles);
        let (columns, rows) = (side(across), side(down));
        let light = shrunk(&luminance, (across, down), (columns, rows));
        let hash = signs(&shrunk(&luminance, (across, down), (9, 8)));
        Some(Self { hash, columns, rows, light: light.into_iter().map(|l| libm::cbrt(l) as f32).collect() })
    }

    /// Steps of the coarse picture that go the other way, 0..=64 (difference hash, references of near duplicates: up to
    /// 10 perhaps a variation, above that likely another picture).
    #[must_use]
    pub fn steps_apart(&self, other: &Self) -> u32 {
        (self.hash ^ other.hash).count_ones()
    }

    /// Correlation of the two pictures' lightness at the best of all small shifts, -1..=1: 1 for the same picture at any
    /// exposure of one contrast. None for pictures of different shape, or where one has no contrast at all.
    #[must_use]
    pub fn correlation(&self, other: &Self) -> Option<f64> {
        if (self.columns, self.rows) != (other.columns, other.rows) {
            return None;
        }
        let reach = REACH as isize;
        let shifts = (-reach..=reach).flat_map(|y| (-reach..=reach).map(move |x| (x, y)));
        shifts.filter_map(|shift| self.correlation_at(other, shift)).max_by(f64::total_cmp)
    }

    /// The correlation of the part of `self` that `other` covers once moved by (x, y) tiles.
    fn correlation_at(&self, other: &Self, (x, y): (isize, isize)) -> Option<f64> {
        // Where the common part begins in this look and in the other, and how long it is.
        let common = |by: isize, length: usize| {
            (by.max(0).unsigned_abs(), by.min(0).unsigned_abs(), length.saturating_sub(by.unsigned_abs()))
        };
        let (left, their_left, width) = common(x, self.columns);
        let (top, their_top, height) = common(y, self.rows);
        let mut sum = Sums::default();
        for row in 0..height {
            let own = self.stretch(row + top, left, width)?;
            let theirs = other.stretch(row + their_top, their_left, width)?;
            for (a, b) in own.iter().zip(theirs) {
                sum.add(f64::from(*a), f64::from(*b));
            }
        }
        sum.correlation()
    }

    fn stretch(&self, row: usize, from: usize, length: usize) -> Option<&[f32]> {
        let start = row * self.columns + from;
        self.light.get(start..start + length)
    }
}

/// Steps of the difference hash up to which two pictures are perhaps a variation of one another (references of near
/// duplicates, section 7).
const VARIATION: u32 = 10;
/// Correlation from which two pictures are near-identical: in made shoots the shots of one move lie at 0.88 to 0.95 when
/// two seconds apart, another move in the same place at 0.70 to 0.89.
const NEAR: f64 = 0.9;

/// Whether two pictures are near-identical.
#[must_use]
pub fn alike(a: &Look, b: &Look) -> bool {
    a.steps_apart(b) <= VARIATION && a.correlation(b).is_some_and(|c| c >= NEAR)
}

/// Sums of pairs for Pearson's correlation.
#[derive(Default)]
pub(super) struct Sums {
    n: f64,
    a: f64,
    b: f64,
    aa: f64,
    bb: f64,
    ab: f64,
}

impl Sums {
    pub(super) fn add(&mut self, a: f64, b: f64) {
        self.n += 1.0;
        self.a += a;
        self.b += b;
        self.aa += a * a;
        self.bb += b * b;
        self.ab += a * b;
    }

    pub(super) fn correlation(&self) -> Option<f64> {
        let spread = |x: f64, xx: f64| self.n * xx - x * x;
        let both = spread(self.a, self.aa) * spread(self.b, self.bb);
        (both > 1e-12 * self.n).then(|| (self.n * self.ab - self.a * self.b) / libm::sqrt(both))
    }
}

/// Means over equal areas, shared by overlap.
fn shrunk(values: &[f64], (across, down): (usize, usize), (columns, rows): (usize, usize)) -> Vec<f64> {
    let weights = |from: usize, to: usize| -> Vec<Vec<(usize, f64)>> {
        let area = |index: usize| {
            let (start, end) = (index * from, (index + 1) * from);
            let pieces = start / to..end.div_ceil(to).min(from);
            pieces
                .map(|piece| {
                    let inside = end.min((piece + 1) * to) - start.max(piece * to);
                    (piece, inside as f64 / from as f64)
                })
                .collect()
        };
        (0..to).map(area).collect()
    };
    let (x, y) = (weights(across, columns), weights(down, rows));
    let mean = |over_y: &[(usize, f64)], over_x: &[(usize, f64)]| {
        let at = |row: usize, column: usize| values.get(row * across + column).copied().unwrap_or(0.0);
        over_y.iter().map(|(row, v)| over_x.iter().map(|(column, u)| u * v * at(*row, *column)).sum::<f64>()).sum()
    };
    y.iter().flat_map(|over_y| x.iter().map(|over_x| mean(over_y, over_x))).collect()
}

/// One bit for each of eight steps in eight rows of nine: whether it goes up (Krawetz, "Kind of Like That").
fn signs(nine_by_eight: &[f64]) -> u64 {
    let rows = nine_by_eight.chunks_exact(9);
    let steps = rows.flat_map(|row| row.windows(2).map(|pair| matches!(pair, [a, b] if b > a)));
    steps.fold(0, |hash, up| hash << 1 | u64::from(up))
}

#[cfg(test)]
mod tests {
    use super::super::made::tiles;
    use super::*;

    #[test]
    fn signs_of_exact_arrays() {
        // Table of 9x8 arrays computed with ImageHash's dhash (the project's references, section 7).
        let rows = |value: fn(usize, usize) -> f64| -> Vec<f64> {
            (0..8).flat_map(|y| (0..9).map(move |x| value(x, y))).collect()
        };
        assert_eq!(signs(&rows(|x, _| 10.0 * x as f64)), 0xffff_ffff_ffff_ffff);
        assert_eq!(signs(&rows(|x, _| 80.0 - 10.0 * x as f64)), 0);
        assert_eq!(
            signs(&rows(|x, y| if y == 0 { 80.0 - 10.0 * x as f64 } else { 10.0 * x as f64 })),
            0x00ff_ffff_ffff_ffff
        );
        assert_eq!(signs(&rows(|x, _| if x % 2 == 1 { 50.0 } else { 0.0 })), 0xaaaa_aaaa_aaaa_aaaa);
        assert_eq!(signs(&rows(|_, _| 50.0)), 0, "strictly above");
    }

    #[test]
    fn areas_hold_the_mean_of_what_they_cover() {
        // Thirds of 4 in 3: each area holds one whole value and a third of the next.
        let thirds = shrunk(&[3.0, 6.0, 9.0, 12.0], (4, 1), (3, 1));
        for (found, expected) in
            thirds.iter().zip([(3.0 + 6.0 / 3.0) / (4.0 / 3.0), 7.5, (9.0 / 3.0 + 12.0) / (4.0 / 3.0)])
        {
            assert!((found - expected).abs() < 1e-12, "{thirds:?}");
        }
        assert_eq!(shrunk(&[1.0, 2.0, 3.0, 4.0], (2, 2), (2, 2)), [1.0, 2.0, 3.0, 4.0]);
    }

    /// Two blobs over a slope, moved by whole tiles.
    fn scene(by: (f64, f64)) -> TileGrid {
        tiles(96, 64, move |x, y| {
            let blob = |cx: f64, cy: f64| {
                let (u, v) = (x as f64 - by.0 - cx, y as f64 - by.1 - cy);
                0.5 * libm::exp(-(u * u + v * v) / 120.0)
            };
            0.02 + blob(30.0, 20.0) + blob(66.0, 44.0)
        })
    }

    #[test]
    fn a_picture_correlates_with_itself_moved_or_darker_and_not_with_another() {
        let look = |by| Look::of(&scene(by)).unwrap();
        let still = look((0.0, 0.0));
        let at = |by| still.correlation(&look(by)).unwrap();
        assert!((at((0.0, 0.0)) - 1.0).abs() < 1e-12);
        for by in [(4.0, 0.0), (-4.0, 0.0), (0.0, 4.0), (0.0, -4.0), (6.0, -6.0), (-2.0, 4.0)] {
            assert!(at(by) > 0.99, "{by:?}: {}", at(by));
        }
        assert!(at((20.0, 0.0)) < 0.8, "beyond what a hand does: {}", at((20.0, 0.0)));
        let darker = tiles(96, 64, |x, y| f64::from(scene((0.0, 0.0)).means[y * 96 + x][1]) / 65535.0 / 4.0);
        assert!(still.correlation(&Look::of(&darker).unwrap()).unwrap() > 0.999);
        assert!(still.steps_apart(&Look::of(&darker).unwrap()) <= 2, "rounding may turn a level step");
    }

    #[test]
    fn near_identical_are_pictures_whose_coarse_steps_and_whose_tiles_agree() {
        let look = |light: fn(usize) -> f64| Look::of(&tiles(96, 64, |x, _| light(x))).unwrap();
        // Every step goes up in both, early in one and late in the other: like steps, unlike tiles.
        let early = look(|x| 0.1 + 0.3 * libm::sqrt(x as f64 / 96.0));
        let late = look(|x| 0.1 + 0.3 * libm::pow(x as f64 / 96.0, 4.0) + 2e-4 * x as f64);
        assert_eq!(early.steps_apart(&late), 0);
        assert!(early.correlation(&late).unwrap() < NEAR && !alike(&early, &late));
        // A bright half tells the tiles, a hint of a slope on either side the steps.
        let rising = look(|x| if x < 48 { 0.02 } else { 0.5 } + 2e-4 * x as f64);
        let falling = look(|x| if x < 48 { 0.02 } else { 0.5 } + 2e-4 * (96 - x) as f64);
        assert!(rising.correlation(&falling).unwrap() > 0.99);
        assert!(rising.steps_apart(&falling) > VARIATION && !alike(&rising, &falling));
        assert!(alike(&rising, &rising));
    }

    #[test]
    fn black_pictures_and_pictures_of_another_shape_do_not_correlate() {
        let still = Look::of(&scene((0.0, 0.0))).unwrap();
        assert_eq!(still.correlation(&Look::of(&tiles(96, 64, |_, _| 0.0)).unwrap()), None);
        assert_eq!(still.correlation(&Look::of(&tiles(64, 96, |x, _| x as f64 / 64.0)).unwrap()), None);
        assert_eq!(Look::of(&tiles(1, 1, |_, _| 0.5)), None);
    }
}
