//! What a picture shows, as far as figures tell it: where in the frame its light is strongest, and where most of it goes.
//!
//! A picture without its words is lost to whoever cannot see it. What an arm or a face does in it nobody here knows; in
//! which ninth of the frame the light lies is measured.

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

    fn known(&self) -> impl Iterator<Item = (&'static str, f64)> + '_ {
        PLACES.into_iter().zip(self.means).filter_map(|(place, mean)| Some((place, mean?)))
    }

    /// "strongest in the upper left of the frame"; None where no light is known. `word` is strongest or brightest.
    pub fn strongest(&self, word: &str) -> Option<String> {
        let (place, most) = self.known().max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, mean)| *mean > 0.0)?;
        let mean = self.known().map(|(_, mean)| mean).sum::<f64>() / self.known().count() as f64;
        let said = if libm::log2(most / mean) < EVEN_STOPS {
            "nearly even over the frame".to_owned()
        } else {
            format!("{word} {place} of the frame")
        };
        Some(self.as_far_as_known(said))
    }

    /// "most at the right of the frame, 1.3 stops there": where `self` loses most stops when it becomes `less`.
    pub fn loses_most(&self, less: &Self) -> Option<String> {
        let both = PLACES.into_iter().zip(self.means.into_iter().zip(less.means));
        let losses: Vec<(&str, f64)> = both
            .filter_map(|(place, (all, less))| Some((place, libm::log2(less? / all?))))
            .filter(|(_, stops)| !stops.is_nan())
            .collect();
        let (place, most) = losses.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let least = losses.iter().map(|(_, stops)| *stops).fold(f64::NEG_INFINITY, f64::max);
        let said = match most {
            stops if *stops < -10.0 => format!("most {place} of the frame, where no light is left"),
            stops if least - stops < EVEN_STOPS => "nearly the same all over the frame".to_owned(),
            stops => {
                let size = stops.abs();
                format!("most {place} of the frame, {size:.1} {} there", crate::exposure::words::unit(size))
            }
        };
        Some(self.as_far_as_known(said))
    }

    fn as_far_as_known(&self, said: String) -> String {
        if self.means.contains(&None) { format!("as far as it is known, {said}") } else { said }
    }
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
        assert_eq!(
            ninths.loses_most(&Ninths::of(&picture(less))).unwrap(),
            "nearly the same all over the frame"
        );
        less[3] = 0.0;
        let said = ninths.loses_most(&Ninths::of(&picture(less))).unwrap();
        assert_eq!(said, "most at the left of the frame, where no light is left");
    }

    /// Two tiles of a seven by five grid: the thirds of both sides.
    #[test]
    fn grids_of_any_size_are_cut_in_thirds() {
        let mut picture =
            LightPicture { columns: 7, rows: 5, linear: vec![[0.1; 3]; 35], missing: vec![false; 35] };
        picture.linear[34] = [2.0; 3];
        assert_eq!(Ninths::of(&picture).strongest("strongest").unwrap(), "strongest in the lower right of the frame");
    }
}
