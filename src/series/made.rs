//! Tile grids made by hand, for the tests of this folder.

use crate::measure::TileGrid;

/// A grid of grey tiles from a function of the place; light 0..1.
pub fn tiles(columns: u16, rows: u16, light: impl Fn(usize, usize) -> f64) -> TileGrid {
    let places = (0..usize::from(rows)).flat_map(|y| (0..usize::from(columns)).map(move |x| (x, y)));
    let means: Vec<[u16; 3]> = places.map(|(x, y)| [(light(x, y) * 65535.0).clamp(0.0, 65535.0) as u16; 3]).collect();
    TileGrid { columns, rows, clipped: vec![0; means.len()], means }
}
