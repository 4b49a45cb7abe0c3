//! A band that no flash reached, along one long edge of the picture: the shutter was not wholly open.
//!
//! A wall that is dark by itself looks the same in a single picture. So a shot is compared, row by row, with one of the
//! same scene taken at a slower shutter: what is dark there too is left out, and a band is a straight step of the ratio.

use super::alike::Sums;
use super::luminance;
use crate::measure::TileGrid;
use crate::stages::as_set::median;

/// The band of a shot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Part of the picture it takes, 0..1.
    pub share: f64,
    /// Which edge of the upright picture it lies at.
    pub edge: Edge,
    /// How much darker it is than the rest, against the slower shot, in stops, below 0.
    pub stops: f64,
}

/// A long edge of the upright picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// Above.
    Top,
    /// Below.
    Bottom,
    /// Left, of an upright frame.
    Left,
    /// Right, of an upright frame.
    Right,
}

impl Edge {
    /// The word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Bottom => "bottom",
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// Tiles darker than this in the slower shot, linear, tell nothing.
const DARK: f64 = 0.001;
/// The faintest light a JPEG's tile still holds.
const FAINT: f64 = 0.0003;
/// A smaller step is a light that moved, or the end of a modifier's reach.
const STEP: f64 = -0.7;
/// Rows count where so many of their tiles tell something.
const TELLING: f64 = 0.2;
/// On either side of the step so much of the picture must tell something.
const ROWS: usize = 2;
/// The step is straight where both halves of the picture, left and right, have it within so many rows.
const STRAIGHT: f64 = 2.0;
/// Beyond the step the ratio scatters from row to row by less than this part of it.
const LEVEL: f64 = 0.25;

/// Correlation of lightness from which two pictures show one scene in one light.
const ALIKE: f64 = 0.7;

/// The band of a shot against one of the same scene at a slower shutter; None where there is none to be proven.
#[must_use]
pub fn find(shot: &TileGrid, slower: &TileGrid) -> Option<Band> {
    if (shot.columns, shot.rows) != (slower.columns, slower.rows) {
        return None;
    }
    let ratios = Ratios::of(shot, slower);
    let wide = shot.columns >= shot.rows;
    let edges = if wide { [Edge::Top, Edge::Bottom] } else { [Edge::Left, Edge::Right] };
    let bands = edges.into_iter().filter_map(|edge| at(&ratios, edge));
    bands.min_by(|a, b| a.stops.total_cmp(&b.stops)).filter(|band| alike_beyond(shot, slower, *band))
}

/// Whether the two pictures are of one scene in one light where the band is not: otherwise the step may be where another
/// light's reach ends.
fn alike_beyond(shot: &TileGrid, slower: &TileGrid, band: Band) -> bool {
    let (columns, rows) = (usize::from(shot.columns), usize::from(shot.rows));
    let clear = |tile: usize| {
        let (x, y) = (tile % columns, tile / columns);
        let (depth, lines) = match band.edge {
            Edge::Top => (y, rows),
            Edge::Bottom => (rows - 1 - y, rows),
            Edge::Left => (x, columns),
            Edge::Right => (columns - 1 - x, columns),
        };
        depth as f64 > band.share * lines as f64 + STRAIGHT
    };
    let mut sums = Sums::default();
    let pairs = luminance(shot).into_iter().zip(luminance(slower)).enumerate();
    for (_, (own, slow)) in pairs.filter(|(tile, _)| clear(*tile)) {
        sums.add(libm::cbrt(own), libm::cbrt(slow));
    }
    sums.correlation().is_some_and(|c| c >= ALIKE)
}

/// Stops of shot against slower shot, tile by tile; None where the slower one is dark.
struct Ratios {
    columns: usize,
    rows: usize,
    stops: Vec<Option<f64>>,
}

impl Ratios {
    fn of(shot: &TileGrid, slower: &TileGrid) -> Self {
        let pairs = luminance(shot).into_iter().zip(luminance(slower));
        let stops = pairs.map(|(own, slow)| (slow >= DARK).then(|| libm::log2(own.max(FAINT) / slow))).collect();
        Self { columns: usize::from(shot.columns), rows: usize::from(shot.rows), stops }
    }

    /// Medians of the lines from an edge inwards, over the part `from..to` (0..1) of each line; None where a line tells
    /// too little.
    fn lines(&self, edge: Edge, from: f64, to: f64) -> Vec<Option<f64>> {
        let along_rows = matches!(edge, Edge::Top | Edge::Bottom);
        let (lines, length) = if along_rows { (self.rows, self.columns) } else { (self.columns, self.rows) };
        let part = (length as f64 * from) as usize..(length as f64 * to) as usize;
        let line = |depth: usize| {
            let line = if matches!(edge, Edge::Top | Edge::Left) { depth } else { lines - 1 - depth };
            let tile = |at: usize| if along_rows { line * self.columns + at } else { at * self.columns + line };
            let known: Vec<f64> = part.clone().filter_map(|at| *self.stops.get(tile(at))?).collect();
            (known.len() as f64 >= TELLING * part.len() as f64).then(|| median(known)).flatten()
        };
        (0..lines).map(line).collect()
    }
}

fn at(ratios: &Ratios, edge: Edge) -> Option<Band> {
    let all = step(&ratios.lines(edge, 0.0, 1.0))?;
    let halves = [(0.0, 0.5), (0.5, 1.0)].map(|(from, to)| step(&ratios.lines(edge, from, to)));
    let [Some(one), Some(other)] = halves else { return None };
    let lines = if matches!(edge, Edge::Top | Edge::Bottom) { ratios.rows } else { ratios.columns } as f64;
    let straight = (one.depth - other.depth).abs() <= STRAIGHT;
    straight.then_some(Band { share: all.depth / lines, edge, stops: all.stops })
}

/// A step of the ratio: how many lines from the edge, in lines, and how high.
struct Step {
    depth: f64,
    stops: f64,
}

/// The step between darkness at the edge and light beyond it; None where the lines show none.
fn step(lines: &[Option<f64>]) -> Option<Step> {
    let known: Vec<(usize, f64)> =
        lines.iter().enumerate().filter_map(|(line, stops)| Some((line, (*stops)?))).collect();
    let best = (ROWS..known.len().saturating_sub(ROWS)).filter_map(|cut| {
        let (near, far) = known.split_at_checked(cut)?;
        let (inside, outside) = (middle(near)?, middle(far)?);
        let scatter = near.iter().map(|(_, s)| (s - inside).abs()).chain(far.iter().map(|(_, s)| (s - outside).abs()));
        Some((cut, inside, outside, scatter.sum::<f64>()))
    });
    let (cut, inside, outside, _) = best.min_by(|a, b| a.3.total_cmp(&b.3))?;
    let (stops, (near, far)) = (inside - outside, known.split_at_checked(cut)?);
    // The lines beside the step are lit in part.
    let level = |part: &[(usize, f64)], at: f64| {
        let off: Vec<f64> = part.iter().map(|(_, s)| (s - at).abs()).collect();
        median(off).is_some_and(|off| off < LEVEL * -stops)
    };
    if stops > STEP || !level(near, inside) || !level(far, outside) {
        return None;
    }
    // In linear light a line lit in part lies between both: the band's depth is the sum of what the lines lack.
    let (dark, lit) = (libm::exp2(inside), libm::exp2(outside));
    let lacks = |s: f64| ((lit - libm::exp2(s)) / (lit - dark)).clamp(0.0, 1.0);
    let first = known.first()?.0 as f64;
    let edge = known.get(cut)?.0;
    let beside = |line: usize| line + 4 >= edge && line < edge + 4;
    let sure = known.iter().filter(|(line, _)| *line + 4 < edge).count() as f64;
    let partly: f64 = known.iter().filter(|(line, _)| beside(*line)).map(|(_, s)| lacks(*s)).sum();
    Some(Step { depth: first + sure + partly, stops })
}

fn middle(part: &[(usize, f64)]) -> Option<f64> {
    median(part.iter().map(|(_, stops)| *stops).collect())
}

#[cfg(test)]
mod tests {
    use super::super::made::tiles;
    use super::*;

    fn bell(x: f64) -> f64 {
        libm::exp(-x * x)
    }

    /// A sitter in light before a wall that is dark in its lower third; `open` says how much of the flash reaches the
    /// depth (0 top, 1 bottom), `ambient` what stays without it.
    fn scene(columns: u16, rows: u16, ambient: f64, open: impl Fn(f64, f64) -> f64) -> TileGrid {
        tiles(columns, rows, |x, y| {
            let (u, v) = (x as f64 / f64::from(columns), y as f64 / f64::from(rows));
            let wall = if v > 0.66 { 0.004 } else { 0.05 + 0.1 * u };
            let sitter = 0.4 * bell((u - 0.5) / 0.15);
            // The middle of a tile says how far down it lies; a tile on the edge is lit in part.
            (wall + sitter) * (open(u, v) + ambient)
        })
    }

    /// A curtain that covers the part `share` from the bottom, its edge within a tile told by the tile's part.
    fn covered(share: f64, rows: f64) -> impl Fn(f64, f64) -> f64 {
        move |_, v| ((1.0 - share - v) * rows).clamp(0.0, 1.0)
    }

    #[test]
    fn the_band_takes_the_part_of_the_picture_that_the_curtain_covered() {
        let slow = scene(96, 64, 0.02, |_, _| 1.0);
        for share in [0.05, 0.1, 0.137, 0.25, 0.4, 0.6] {
            let found = find(&scene(96, 64, 0.02, covered(share, 64.0)), &slow).expect("a band");
            assert_eq!(found.edge, Edge::Bottom);
            assert!((found.share - share).abs() < 0.01, "{share}: {found:?}");
            assert!((found.stops - libm::log2(0.02 / 1.02)).abs() < 0.2, "{found:?}");
        }
        // A flash as long as the curtain's own travel over a twentieth of the frame: a soft edge.
        let soft = scene(96, 64, 0.02, |_, v| ((0.7 - v) / 0.05 + 0.5).clamp(0.0, 1.0));
        let found = find(&soft, &slow).expect("a band");
        assert!((found.share - 0.3).abs() < 0.02, "{found:?}");
    }

    #[test]
    fn of_an_upright_frame_it_lies_at_the_side() {
        let turned = |share: f64| scene(64, 96, 0.02, move |u, _| ((u - share) * 64.0 + 1.0).clamp(0.0, 1.0));
        let found = find(&turned(0.2), &scene(64, 96, 0.02, |_, _| 1.0)).expect("a band");
        assert_eq!(found.edge, Edge::Left);
        assert!((found.share - 0.2).abs() < 0.02, "{found:?}");
    }

    #[test]
    fn a_wall_that_is_dark_by_itself_is_none() {
        let wall = || scene(96, 64, 0.0, |_, _| 1.0);
        assert_eq!(find(&wall(), &wall()), None);
        assert_eq!(find(&scene(96, 64, 0.0, |_, _| 0.3), &wall()), None, "less of all");
        // Nothing of the lower third is ever seen: whether the curtain covered it cannot be known.
        let black = |open: f64| tiles(96, 64, move |_, y| if y > 42 { 0.0 } else { 0.2 * open });
        assert_eq!(find(&black(0.9), &black(1.0)), None);
    }

    #[test]
    fn a_slanted_or_gradual_fall_of_the_light_is_none() {
        let slow = scene(96, 64, 0.02, |_, _| 1.0);
        let slanted = scene(96, 64, 0.02, |u, v| if v > 0.9 - 0.5 * u { 0.0 } else { 1.0 });
        assert_eq!(find(&slanted, &slow), None, "a flag's or a wall's own shadow");
        // A flash that lights the upper part alone, against the room by itself.
        let room = tiles(96, 64, |x, y| 0.02 + 0.02 * f64::from(u8::from((x / 9 + y / 7) % 2 == 0)));
        let lit = tiles(96, 64, |x, y| {
            let flash = if y < 44 { 0.3 * bell((x as f64 - 40.0) / 20.0) + 0.05 } else { 0.0 };
            0.02 + 0.02 * f64::from(u8::from((x / 9 + y / 7) % 2 == 0)) + flash
        });
        assert_eq!(find(&lit, &room), None, "another light's reach");
        let gradual = scene(96, 64, 0.02, |_, v| 1.0 - 0.9 * v);
        assert_eq!(find(&gradual, &slow), None, "a light that was turned");
    }
}
