//! From a pixel of a shot to the tiles of the plane: the way back of [`Place`].

use crate::light::Place;

/// Where on the plane (tiles, from the centre of its first tile) the middle of a pixel lies.
pub fn on_plane(
    place: &Place,
    (columns, rows): (usize, usize),
    (x, y): (usize, usize),
    (width, height): (usize, usize),
) -> (f32, f32) {
    let tiles = |at: usize, of: usize, tiles: u16| ((at as f32 + 0.5) / of as f32 - 0.5) * f32::from(tiles);
    let dx = (tiles(x, width, place.frame.0) - place.shift.0) / place.scale;
    let dy = (tiles(y, height, place.frame.1) - place.shift.1) / place.scale;
    let (c, s) = (1.0 - place.turn * place.turn / 2.0, place.turn);
    let size = c * c + s * s;
    ((c * dx + s * dy) / size + (columns as f32 - 1.0) / 2.0, (c * dy - s * dx) / size + (rows as f32 - 1.0) / 2.0)
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
            let (u, v) = plane.from_middle(index);
            let (x, y) = pose.place((u, v), frame);
            // A pixel a thousandth of a tile wide, so that its number may stand for a place.
            let pixel = |at: f32| ((f64::from(at) + 0.5) * 1000.0) as usize;
            if x < -0.5 || y < -0.5 {
                continue;
            }
            let (px, py) = on_plane(&place, (96, 64), (pixel(x), pixel(y)), (96_000, 72_000));
            let want = ((index % 96) as f32, (index / 96) as f32);
            assert!((px - want.0).abs() < 0.01 && (py - want.1).abs() < 0.01, "{px} {py} for {want:?}");
        }
    }
}
