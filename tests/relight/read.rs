//! From a report's pictures back to pixels, and from its boards to boards that can be set.

use std::path::Path;

use stoptally::light::Place;
use stoptally::measure::{Picture, Raster};
use stoptally::read::Watch;
use stoptally::relight::place::on_plane;
use stoptally::relight::tone::Tone;
use stoptally::relight::{Board, Source};
use stoptally::report::Report;
use stoptally::report::board_types;

/// The pixels of a JPEG.
pub fn pixels(picture: &Picture) -> Raster {
    let image = image::load_from_memory(&picture.jpeg).unwrap().into_rgb8();
    assert_eq!(image.dimensions(), (picture.width.into(), picture.height.into()));
    Raster { width: picture.width, height: picture.height, codes: image.pixels().map(|p| p.0).collect() }
}

/// The pixels of a camera's own file that lies upright.
pub fn file(path: &Path) -> Raster {
    let image = image::open(path).unwrap().into_rgb8();
    let (width, height) = image.dimensions();
    Raster { width: width as u16, height: height as u16, codes: image.pixels().map(|p| p.0).collect() }
}

/// A report's board over `shot`.
pub fn board<'a>(report: &'a Report, of: &board_types::Board, shot: &'a Raster, tone: &'a Tone) -> Board<'a> {
    let source =
        |s: &board_types::BoardSource| Source { picture: &report.boards.own[s.own], gain: s.gain, burns: s.burns };
    Board { shot, place: of.place, tone, sources: of.sources.iter().map(source).collect() }
}

/// Luminance in linear light at each tile of the plane that a picture covers with at least 12 pixels, and the largest code
/// value there; two shots may not lie quite alike, the plane is the same for both.
pub fn tiles(raster: &Raster, tone: &Tone, place: &Place, size: (usize, usize)) -> Vec<Option<(f64, u8)>> {
    let (width, height) = (usize::from(raster.width), usize::from(raster.height));
    let mut tiles = vec![(0.0, 0_u8, 0_usize); size.0 * size.1];
    for (i, code) in raster.codes.iter().enumerate() {
        let own = |at: usize, of: usize, tiles: u16| (at as f32 + 0.5) / of as f32 * f32::from(tiles) - 0.5;
        let at = (own(i % width, width, place.frame.0), own(i / width, height, place.frame.1));
        let (x, y) = on_plane(place, size, at);
        let (x, y) = (x.round(), y.round());
        if x >= 0.0 && y >= 0.0 && x < size.0 as f32 && y < size.1 as f32 {
            let tile = &mut tiles[y as usize * size.0 + x as usize];
            for (code, weight) in code.iter().zip([0.2126, 0.7152, 0.0722]) {
                tile.0 += weight * f64::from(tone.light_of(*code));
                tile.1 = tile.1.max(*code);
            }
            tile.2 += 1;
        }
    }
    tiles.into_iter().map(|(sum, most, count)| (count >= 12).then(|| (sum / count as f64, most))).collect()
}

pub fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// How far two pictures lie apart in light, tile by tile, where neither is clipped or black: |log2|.
pub fn apart(a: &[Option<(f64, u8)>], b: &[Option<(f64, u8)>], black: f64) -> Vec<f64> {
    let pairs = a.iter().zip(b).filter_map(|(a, b)| Some(((*a)?, (*b)?)));
    let seen = pairs.filter(|pair| [pair.0, pair.1].iter().all(|tile| tile.1 < 245 && tile.0 > black));
    seen.map(|(a, b)| (a.0 / b.0).log2().abs()).collect()
}

/// Nobody waits for the run.
pub struct Quiet;

impl Watch for Quiet {
    fn files_found(&self, _count: usize) {}
    fn file_done(&self) {}
    fn stop(&self) -> bool {
        false
    }
}
