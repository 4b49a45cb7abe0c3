//! What a picture shows, as far as figures tell it: where in the frame its light is strongest, and where most of it goes.
//!
//! A picture without its words is lost to whoever cannot see it. What an arm or a face does in it nobody here knows; in
//! which ninth of the frame the light lies is measured.

use crate::exposure::words;
use crate::light::LightPicture;
use crate::measure::TileGrid;

/// The ninths of a frame, row by row.
const PLACES: [&str; 9] = [
    "in the upper left",
    "at the top",
    "in the upper right",
    "at the left",
    "in the middle",
    "at the right",
    "in the lower left",
    "at the bottom",
    "in the lower right",
];

/// Its rows and columns.
const ROWS: [&str; 3] = ["along the top", "across the middle", "along the bottom"];
const COLUMNS: [&str; 3] = ["along the left", "down the middle", "along the right"];

/// A loss of so many stops leaves nothing to see.
const NOTHING_LEFT: f64 = 10.0;

/// Light within this many stops of its mean everywhere is even: less than a third of a stop nobody sees.
const EVEN_STOPS: f64 = 1.0 / 3.0;

/// Mean luminance of each ninth.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ninths {
    /// None where less than half of the ninth is known.
    means: [Option<f64>; 9],
}

impl Ninths {
    /// Of a light's picture, or of a sum of them.
    pub fn of(picture: &LightPicture) -> Self {
        let light = picture.linear.iter().zip(&picture.missing);
        let known = light.map(|(tile, missing)| (!missing).then(|| luminance(tile.map(f64::from))));
        Self::of_tiles(picture.columns, picture.rows, known)
    }

    /// Of a measured shot.
    pub fn of_shot(tiles: &TileGrid) -> Self {
        Self::of_tiles(tiles.columns, tiles.rows, tiles.means.iter().map(|tile| Some(luminance(tile.map(f64::from)))))
    }

    fn of_tiles(columns: u16, rows: u16, tiles: impl Iterator<Item = Option<f64>>) -> Self {
        let (columns, rows) = (usize::from(columns).max(1), usize::from(rows).max(1));
        let mut sums = [(0.0, 0_usize, 0_usize); 9];
        for (index, tile) in tiles.enumerate() {
            let third = |place: usize, of: usize| (place * 3 / of).min(2);
            let ninth = third(index / columns, rows) * 3 + third(index % columns, columns);
            let Some((sum, known, all)) = sums.get_mut(ninth) else { continue };
            *all += 1;
            if let Some(light) = tile {
                *sum += light;
                *known += 1;
            }
        }
        Self { means: sums.map(|(sum, known, all)| (known > 0 && 2 * known >= all).then(|| sum / known as f64)) }
    }

    /// "strongest in the upper left of the frame"; None where no light is known. `word` is strongest or brightest.
    pub fn strongest(&self, word: &str) -> Option<String> {
        if !self.means.iter().flatten().any(|mean| *mean > 0.0) {
            return None;
        }
        // A dark ninth is known too: it is as far down as anything can be.
        let stops = self.means.map(|mean| mean.map(|mean| libm::log2(mean.max(f64::MIN_POSITIVE))));
        let said = match place(&stops)? {
            None => "nearly even over the frame".to_owned(),
            Some(place) => format!("{word} {place} of the frame"),
        };
        Some(self.as_far_as_known(said))
    }

    /// "most at the right of the frame, 1.3 stops there": where `self` loses most stops when it becomes `less`.
    pub fn loses_most(&self, less: &Self) -> Option<String> {
        let mut lost = [None; 9];
        for (lost, (all, less)) in lost.iter_mut().zip(self.means.into_iter().zip(less.means)) {
            // Ten stops down nothing is left to see.
            *lost = all.zip(less).map(|(all, less)| libm::log2(all / less).min(NOTHING_LEFT)).filter(|s| !s.is_nan());
        }
        let most = lost.into_iter().flatten().fold(f64::NEG_INFINITY, f64::max);
        let said = match place(&lost)? {
            None => "nearly the same all over the frame".to_owned(),
            Some(place) if most >= NOTHING_LEFT => format!("most {place} of the frame, where no light is left"),
            Some(place) => format!("most {place} of the frame, {most:.1} {} there", words::unit(most)),
        };
        Some(self.as_far_as_known(said))
    }

    fn as_far_as_known(&self, said: String) -> String {
        if self.means.contains(&None) { format!("as far as it is known, {said}") } else { said }
    }
}

/// Where the highest of these figures in stops lie: the ninth, or the row or column of ninths that stand about as high.
/// Some(None) where all stand about as high; None where none is known.
fn place(stops: &[Option<f64>; 9]) -> Option<Option<&'static str>> {
    let most = stops.iter().flatten().copied().max_by(f64::total_cmp)?;
    let high = |ninth: &usize| stops.get(*ninth).copied().flatten().is_some_and(|s| most - s < EVEN_STOPS);
    let highest: Vec<usize> = (0..9).filter(high).collect();
    if highest.len() == stops.iter().flatten().count() && highest.len() > 1 {
        return Some(None);
    }
    let same = |part: fn(usize) -> usize| {
        let first = highest.first().copied().map(part)?;
        highest.iter().all(|ninth| part(*ninth) == first).then_some(first)
    };
    let line = match (same(|ninth| ninth / 3), same(|ninth| ninth % 3)) {
        (Some(row), None) => ROWS.get(row),
        (None, Some(column)) => COLUMNS.get(column),
        _ => None,
    };
    let one = (0..9).find(|ninth| stops.get(*ninth) == Some(&Some(most)));
    Some(line.or_else(|| PLACES.get(one?)).copied())
}

/// ITU-R BT.709 weights.
fn luminance([r, g, b]: [f64; 3]) -> f64 {
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nine tiles, one to a ninth; negative is not known.
    fn picture(light: [f32; 9]) -> LightPicture {
        LightPicture {
            columns: 3,
            rows: 3,
            linear: light.iter().map(|l| [l.max(0.0); 3]).collect(),
            missing: light.iter().map(|l| *l < 0.0).collect(),
        }
    }

    #[test]
    fn each_ninth_is_named_by_where_it_lies() {
        for (ninth, place) in PLACES.iter().enumerate() {
            let mut light = [0.1; 9];
            light[ninth] = 0.4;
            let said = Ninths::of(&picture(light)).strongest("strongest");
            assert_eq!(said.unwrap(), format!("strongest {place} of the frame"));
        }
    }

    #[test]
    fn a_row_or_column_of_about_the_same_light_is_named_as_one() {
        for (lit, place) in [
            ([0, 3, 6], "along the left"),
            ([1, 4, 7], "down the middle"),
            ([2, 5, 8], "along the right"),
            ([0, 1, 2], "along the top"),
            ([3, 4, 5], "across the middle"),
            ([6, 7, 8], "along the bottom"),
        ] {
            let mut light = [0.1; 9];
            for (ninth, bright) in lit.into_iter().zip([0.4, 0.42, 0.38]) {
                light[ninth] = bright;
            }
            let said = Ninths::of(&picture(light)).strongest("strongest");
            assert_eq!(said.unwrap(), format!("strongest {place} of the frame"));
        }
    }

    #[test]
    fn even_light_dark_pictures_and_what_is_not_known_are_said() {
        assert_eq!(Ninths::of(&picture([0.2; 9])).strongest("strongest").unwrap(), "nearly even over the frame");
        assert_eq!(Ninths::of(&picture([0.0; 9])).strongest("strongest"), None);
        assert_eq!(Ninths::of(&picture([-1.0; 9])).strongest("strongest"), None);
        let mut light = [0.1; 9];
        (light[0], light[5]) = (-1.0, 0.4);
        let said = Ninths::of(&picture(light)).strongest("strongest").unwrap();
        assert_eq!(said, "as far as it is known, strongest at the right of the frame");
    }

    /// 0.8 becoming 0.2 is two stops; 0.4 becoming 0.2 is one.
    #[test]
    fn the_loss_is_told_where_most_stops_go() {
        let (mut whole, mut less) = ([0.4; 9], [0.2; 9]);
        (whole[8], less[8]) = (0.8, 0.2);
        let ninths = Ninths::of(&picture(whole));
        let said = ninths.loses_most(&Ninths::of(&picture(less))).unwrap();
        assert_eq!(said, "most in the lower right of the frame, 2.0 stops there");
        less = whole.map(|l| l / 2.0);
        assert_eq!(ninths.loses_most(&Ninths::of(&picture(less))).unwrap(), "nearly the same all over the frame");
        less[3] = 0.0;
        let said = ninths.loses_most(&Ninths::of(&picture(less))).unwrap();
        assert_eq!(said, "most at the left of the frame, where no light is left");
    }

    /// Two tiles of a seven by five grid: the thirds of both sides.
    #[test]
    fn grids_of_any_size_are_cut_in_thirds() {
        let mut picture = LightPicture { columns: 7, rows: 5, linear: vec![[0.1; 3]; 35], missing: vec![false; 35] };
        picture.linear[34] = [2.0; 3];
        assert_eq!(Ninths::of(&picture).strongest("strongest").unwrap(), "strongest in the lower right of the frame");
    }
}
