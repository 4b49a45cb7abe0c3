//! Lights' own pictures as a shot sees them: from the common plane onto the shot's own grid, the way back of [`Place`].

use crate::light::{LightPicture, Place};

/// A share of one tile beyond the plane's outermost centres is still known: tiles are areas.
const EDGE: f32 = 0.5;

/// Where on the plane (tiles, from the centre of its first tile) a place of the shot (the same in its own tiles) lies.
#[must_use]
pub fn on_plane(place: &Place, (columns, rows): (usize, usize), (x, y): (f32, f32)) -> (f32, f32) {
    let middle = |tiles: u16| (f32::from(tiles) - 1.0) / 2.0;
    let dx = (x - middle(place.frame.0) - place.shift.0) / place.scale;
    let dy = (y - middle(place.frame.1) - place.shift.1) / place.scale;
    let (c, s) = (1.0 - place.turn * place.turn / 2.0, place.turn);
    let size = c * c + s * s;
    ((c * dx + s * dy) / size + (columns as f32 - 1.0) / 2.0, (c * dy - s * dx) / size + (rows as f32 - 1.0) / 2.0)
}

/// A light's picture on the grid of the shot. None for a picture whose parts do not fit together.
#[must_use]
pub fn seen(picture: &LightPicture, place: &Place) -> Option<LightPicture> {
    let size = (usize::from(picture.columns), usize::from(picture.rows));
    let tiles = size.0 * size.1;
    if tiles == 0 || picture.linear.len() != tiles || picture.missing.len() != tiles {
        return None;
    }
    let (columns, rows) = place.frame;
    let places = (0..rows).flat_map(|y| (0..columns).map(move |x| (f32::from(x), f32::from(y))));
    let light: Vec<Option<[f32; 3]>> = places.map(|at| between(picture, on_plane(place, size, at))).collect();
    Some(LightPicture {
        columns,
        rows,
        missing: light.iter().map(Option::is_none).collect(),
        linear: light.into_iter().map(Option::unwrap_or_default).collect(),
    })
}

/// Between the four tiles around a place, those that are known; None where the nearest is not, and outside.
fn between(picture: &LightPicture, (x, y): (f32, f32)) -> Option<[f32; 3]> {
    let (columns, rows) = (f32::from(picture.columns), f32::from(picture.rows));
    let inside = |at: f32, of: f32| (-EDGE..=of - 1.0 + EDGE).contains(&at);
    if !inside(x, columns) || !inside(y, rows) {
        return None;
    }
    let (x, y) = (x.clamp(0.0, columns - 1.0), y.clamp(0.0, rows - 1.0));
    let tile = |x: f32, y: f32| {
        let index = y as usize * usize::from(picture.columns) + x as usize;
        let known = picture.missing.get(index).is_some_and(|missing| !missing);
        picture.linear.get(index).filter(|_| known)
    };
    tile((x + 0.5).floor(), (y + 0.5).floor())?;
    let (left, top) = (x.floor(), y.floor());
    let (fx, fy) = (x - left, y - top);
    let (right, bottom) = ((left + 1.0).min(columns - 1.0), (top + 1.0).min(rows - 1.0));
    let corners = [
        (tile(left, top), (1.0 - fx) * (1.0 - fy)),
        (tile(right, top), fx * (1.0 - fy)),
        (tile(left, bottom), (1.0 - fx) * fy),
        (tile(right, bottom), fx * fy),
    ];
    let (mut sum, mut weights) = ([0.0; 3], 0.0);
    for (light, weight) in corners.into_iter().filter_map(|(tile, weight)| Some((tile?, weight))) {
        weights += weight;
        sum.iter_mut().zip(light).for_each(|(sum, light)| *sum += weight * light);
    }
    (weights > 0.0).then(|| sum.map(|sum| sum / weights))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::solve::pose::{Pose, Size};

    /// There by the solver's pose and back again.
    #[test]
    fn the_way_back_ends_where_the_way_there_began() {
        let (plane, frame) = (Size { columns: 96, rows: 64 }, Size { columns: 96, rows: 72 });
        let pose = Pose { shift: (3.25, -1.5), turn: 0.02, scale: 2.4 };
        let place = Place { frame: (96, 72), shift: pose.shift, turn: pose.turn, scale: pose.scale };
        for index in [0, 95, 3000, 6143] {
            let at = pose.place(plane.from_middle(index), frame);
            let (x, y) = on_plane(&place, (96, 64), at);
            let want = ((index % 96) as f32, (index / 96) as f32);
            assert!((x - want.0).abs() < 0.001 && (y - want.1).abs() < 0.001, "{x} {y} for {want:?}");
        }
    }

    #[test]
    fn a_shot_a_tile_to_the_right_sees_the_next_column_and_nothing_past_the_last() {
        let linear: Vec<[f32; 3]> = (0..12).map(|i| [(i % 4) as f32; 3]).collect();
        let picture = LightPicture { columns: 4, rows: 3, linear, missing: vec![false; 12] };
        let place = Place { frame: (4, 3), shift: (-1.0, 0.0), turn: 0.0, scale: 1.0 };
        let seen = seen(&picture, &place).unwrap();
        assert_eq!(seen.linear.iter().take(3).map(|l| l[0]).collect::<Vec<_>>(), [1.0, 2.0, 3.0]);
        assert_eq!(seen.missing.iter().take(4).copied().collect::<Vec<_>>(), [false, false, false, true]);
    }
}
