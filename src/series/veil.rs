//! A veil: light laid evenly over a whole shot, seen where its series is darkest.
//!
//! Breath, flare, rain, dust: which of them it was cannot be known.

use super::luminance;
use crate::measure::TileGrid;
use crate::stages::as_set::median;

/// A shot's darkest places, against those of its series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Veil {
    /// Median luminance of the darkest tiles in the rest of the series, linear, 0..1.
    pub usual: f64,
    /// The same in this shot.
    pub seen: f64,
}

impl Veil {
    /// How far the darkest places are lifted, in stops; against the faintest light a JPEG holds where the series is
    /// blacker than that.
    #[must_use]
    pub fn stops(self) -> f64 {
        libm::log2(self.seen / self.usual.max(VISIBLE / 10.0))
    }
}

/// So many shots beside this one say what is usual.
const FEWEST: usize = 2;
/// The darkest part of each quarter's tiles, in which a veil shows.
const DARKEST: f64 = 0.2;
/// The lightest part, which says what the light itself did.
const LIGHTEST: f64 = 0.25;
/// A slope below this is a light that failed, and the dark then holds relatively more of what lasts: no veil by that.
const WEAKER: f64 = 0.9;
/// A lift below this, linear, is lost in a JPEG's last codes: code 5 of 255 in sRGB.
const VISIBLE: f64 = 0.0015;
/// A lift below this part of what is there is no veil but a flash that wandered (common practice, no source).
const NOTICED: f64 = 0.4;
/// A veil is even: in each quarter its faintest tenth has at least this part of the whole's middle.
const EVEN: f64 = 0.5;

/// The veil of a shot, told by other shots of its series; None where there is none, or nothing to tell it by.
///
/// What the shot has more than its light explains, where each quarter of the picture is darkest, must be there in nearly
/// all tiles alike: a cloud of chalk and a sitter who stepped aside are not even.
#[must_use]
pub fn find(shot: &TileGrid, others: &[&TileGrid]) -> Option<Veil> {
    let own = luminance(shot);
    let others: Vec<Vec<f64>> = others.iter().filter(|o| same_shape(o, shot)).map(|o| luminance(o)).collect();
    if others.len() < FEWEST || own.is_empty() {
        return None;
    }
    let usual: Vec<f64> =
        (0..own.len()).map(|tile| middle(others.iter().filter_map(|o| o.get(tile).copied()))).collect();
    let pair = |tile: usize| Some((*own.get(tile)?, *usual.get(tile)?));
    let all: Vec<(f64, f64)> = (0..own.len()).filter_map(pair).collect();
    let (columns, rows) = (usize::from(shot.columns), usize::from(shot.rows));
    let quarters = [(false, false), (true, false), (false, true), (true, true)].map(|(right, low)| {
        let inside = |tile: &usize| (tile % columns >= columns / 2) == right && (tile / columns >= rows / 2) == low;
        let own: Vec<(f64, f64)> = (0..all.len()).filter(inside).filter_map(pair).collect();
        part_of(&own, DARKEST, true)
    });
    let dark: Vec<(f64, f64)> = quarters.iter().flatten().copied().collect();
    let of = |part: &[(f64, f64)]| (middle(part.iter().map(|(o, _)| *o)), middle(part.iter().map(|(_, u)| *u)));
    let ((seen, usual_dark), (light, usual_light)) = (of(&dark), of(&part_of(&all, LIGHTEST, false)));
    let veil = Veil { usual: usual_dark, seen };
    // What the light itself did is the slope from the darkest tiles to the lightest; a veil moves both alike.
    let slope = (light - seen) / (usual_light - usual_dark).max(VISIBLE);
    let lifts = |part: &[(f64, f64)]| {
        let mut lifts: Vec<f64> = part.iter().map(|(o, u)| o - u * slope.max(WEAKER)).collect();
        lifts.sort_by(f64::total_cmp);
        lifts
    };
    let lift = middle(lifts(&dark).into_iter());
    let even = quarters.iter().all(|part| lifts(part).get(part.len() / 10).is_some_and(|faint| *faint > EVEN * lift));
    (lift > VISIBLE && lift > NOTICED * veil.usual && even).then_some(veil)
}

/// The darkest or lightest part of tiles, by what is usual there.
fn part_of(tiles: &[(f64, f64)], share: f64, darkest: bool) -> Vec<(f64, f64)> {
    let mut sorted = tiles.to_vec();
    sorted.sort_by(|a, b| if darkest { a.1.total_cmp(&b.1) } else { b.1.total_cmp(&a.1) });
    sorted.truncate(((tiles.len() as f64 * share) as usize).max(1));
    sorted
}

fn same_shape(a: &TileGrid, b: &TileGrid) -> bool {
    (a.columns, a.rows) == (b.columns, b.rows)
}

/// The middle value; 0 of none.
fn middle(values: impl Iterator<Item = f64>) -> f64 {
    median(values.collect()).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::super::made::tiles;
    use super::*;

    /// A lit patch before a wall near black; the wall's light, and what is laid over tile by tile.
    fn scene(flash: f64, over: impl Fn(usize, usize) -> f64) -> TileGrid {
        tiles(96, 64, |x, y| {
            let lit = if (30..60).contains(&x) && y > 20 { 0.3 } else { 0.002 + x as f64 * 1e-5 };
            lit * flash + over(x, y)
        })
    }

    fn veil(shot: &TileGrid) -> Option<Veil> {
        let plain = || scene(1.0, |_, _| 0.0);
        find(shot, &[&plain(), &scene(1.03, |_, _| 0.0), &plain()])
    }

    #[test]
    fn light_laid_evenly_over_the_picture_is_a_veil_and_its_figures_are_those_of_the_darkest_tiles() {
        let found = veil(&scene(1.0, |_, _| 0.004)).expect("a veil");
        assert!((found.seen - found.usual - 0.004).abs() < 1e-4, "{found:?}");
        assert!(veil(&scene(0.97, |x, _| 0.004 + x as f64 * 1e-5)).is_some(), "nearly even, a weaker flash");
    }

    #[test]
    fn a_stronger_flash_a_cloud_and_a_lift_nobody_sees_are_none() {
        assert_eq!(veil(&scene(1.0, |_, _| 0.0)), None);
        assert_eq!(veil(&scene(2.0, |_, _| 0.0)), None, "the light itself was stronger");
        assert_eq!(veil(&scene(1.0, |x, _| if x < 30 { 0.02 } else { 0.0 })), None, "chalk on one side");
        assert_eq!(veil(&scene(1.0, |_, _| 0.0006)), None, "below what a JPEG holds");
        assert_eq!(veil(&scene(1.0, |_, _| -0.001)), None, "darker");
    }

    #[test]
    fn one_shot_beside_it_is_too_few() {
        let shot = scene(1.0, |_, _| 0.004);
        let plain = scene(1.0, |_, _| 0.0);
        assert_eq!(find(&shot, &[&plain]), None);
        assert_eq!(find(&shot, &[&plain, &tiles(64, 96, |_, _| 0.002)]), None, "of another shape");
        assert!(find(&shot, &[&plain, &plain]).is_some());
    }
}
