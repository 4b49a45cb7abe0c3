//! Clipped highlights that matter: on the subject where a box says where that is, else where the colour is like skin.

use super::Finding;
use super::lit::span;
use crate::measure::{Measurement, TileGrid, in_box};
use crate::notes::SubjectBox;
use crate::problem::Code;
use crate::shots::Sequence;
use crate::stages::Stages;
use crate::stages::as_set::median;

/// On the subject clipping is named from this part of the box on, in percent (common practice, no source).
const ON_SUBJECT: f64 = 2.0;
/// Of skin-like colour it is named from this part of the picture on, in percent (common practice, no source).
const LIKE_SKIN: f64 = 0.5;
/// A tile counts where so much of it is clipped.
const OF_A_TILE: f64 = 0.2;

/// At most one finding per stage: when at least half of its measured shots show it.
pub fn find(sequences: &[Sequence], stages: &Stages, subjects: &[SubjectBox]) -> Vec<Finding> {
    let boxes: Vec<_> = sequences.iter().map(|s| SubjectBox::held(subjects, s)).collect();
    let numbered = stages.stages.iter().zip(1..);
    numbered
        .filter_map(|(stage, number)| {
            let sequence = sequences.get(stage.sequence)?;
            let boxes = boxes.get(stage.sequence)?;
            let members = stages.members(number);
            let figures = |index: &usize| sequence.shots.get(*index).and_then(|s| s.measurement.as_ref());
            let measured: Vec<usize> = members.into_iter().filter(|index| figures(index).is_some()).collect();
            let boxed = boxes.iter().any(Option::is_some);
            let percent = |index: &usize| {
                let figures = figures(index)?;
                let percent = match boxes.get(*index).copied().flatten() {
                    Some(percent) => inside(&figures.tiles, percent).filter(|p| *p >= ON_SUBJECT),
                    None if boxed => None,
                    None => like_skin(figures).filter(|p| *p >= LIKE_SKIN),
                };
                Some((*index, percent?))
            };
            let shown: Vec<(usize, f64)> = measured.iter().filter_map(percent).collect();
            if shown.is_empty() || 2 * shown.len() < measured.len() {
                return None;
            }
            let frame = |index: usize| sequence.shots.get(index).map(|s| s.frame.as_str());
            let ((first, _), (last, _)) = (*shown.first()?, *shown.last()?);
            let share = median(shown.iter().map(|(_, percent)| *percent).collect())?;
            let channels = channels(figures(&first)?);
            let (code, what, where_, certainty) = if boxed {
                (Code::ClippedSubject, "on the subject", "of the subject box", "within the subject box for certain")
            } else {
                let certainty = "the colour is like skin; that it is skin cannot be known: mark the subject";
                (Code::ClippedSkin, "where the colour is like skin", "of the picture", certainty)
            };
            Some(Finding {
                frame: frame(first)?.to_owned(),
                stage: Some(number),
                light: String::new(),
                code,
                finding: format!("{channels} clipped {what}"),
                evidence: format!(
                    "{share:.1} % {where_}, median of the {} of {} shots that show it; {}",
                    shown.len(),
                    measured.len(),
                    span(frame(first)?, frame(last)?, shown.len())
                ),
                certainty: certainty.to_owned(),
            })
        })
        .collect()
}

/// Percent of a box that is clipped, of the tiles whose middle lies inside; None where none does.
fn inside(tiles: &TileGrid, percent: [f64; 4]) -> Option<f64> {
    let size = (usize::from(tiles.columns), usize::from(tiles.rows));
    let own = tiles.clipped.iter().enumerate().filter(|(index, _)| in_box(*index, size, percent));
    let shares: Vec<f64> = own.map(|(_, clipped)| f64::from(*clipped) / 255.0).collect();
    (!shares.is_empty()).then(|| 100.0 * shares.iter().sum::<f64>() / shares.len() as f64)
}

/// Percent of the picture in which one channel alone is clipped and the colour is like skin. None where all channels
/// are clipped about alike: that is white, and no gel's doing.
fn like_skin(figures: &Measurement) -> Option<f64> {
    let [r, g, b] = figures.clipping.highlights_rgb;
    if r < 2 * g.max(b) {
        return None;
    }
    let tiles = figures.tiles.means.iter().zip(&figures.tiles.clipped);
    let shares = tiles.filter(|(mean, _)| skin_coloured(**mean)).map(|(_, clipped)| f64::from(*clipped) / 255.0);
    let sum: f64 = shares.filter(|share| *share >= OF_A_TILE).sum();
    Some(100.0 * sum / figures.tiles.means.len().max(1) as f64)
}

/// Whether linear light has the colour of skin: more red than green and more green than blue, by less than pure colours
/// have. The two skin patches of the 24-patch chart (published xyY of 2005, dark and light) have red to green 2.09 and
/// 1.94, green to blue 1.44 and 1.33; the bounds around them are common practice, no source.
fn skin_coloured(mean: [u16; 3]) -> bool {
    let [r, g, b] = mean.map(f64::from);
    r > 1.2 * g && r < 3.0 * g && g > 1.1 * b && g < 3.0 * b
}

/// "red and green": the channels clipped at least half as much as the most clipped one of the whole picture.
fn channels(figures: &Measurement) -> String {
    let counts = figures.clipping.highlights_rgb;
    let most = counts.iter().copied().max().unwrap_or(0);
    let names = ["red", "green", "blue"].iter().zip(counts).filter(|(_, count)| 2 * count >= most);
    let names: Vec<&str> = names.map(|(name, _)| *name).collect();
    match names.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::srgb_to_linear;

    #[test]
    fn the_skin_patches_of_the_chart_have_the_colour_of_skin_and_its_greys_do_not() {
        // sRGB of the 24-patch chart, from its published xyY by colour-science (CAT02); saturated patches from memory.
        for (code, skin) in [
            ([115.45, 80.90, 67.61], true),
            ([198.51, 147.18, 129.00], true),
            ([200.32, 202.22, 202.48], false),
            ([120.67, 121.18, 121.58], false),
            ([244.83, 245.23, 242.77], false),
            ([175.0, 54.0, 60.0], false),
            ([231.0, 199.0, 31.0], false),
            ([56.0, 61.0, 150.0], false),
        ] {
            let linear = code.map(|c: f64| (srgb_to_linear(c / 255.0) * 65535.0) as u16);
            assert_eq!(skin_coloured(linear), skin, "{code:?}");
        }
    }
}
