//! How far a board can be trusted: what the sum of lights says of the shot as it is.

use crate::exposure::words;
use crate::measure::TileGrid;
use crate::relight::Board;
use crate::shots::Shot;
use crate::stages::as_set::median;

/// A tile whose light is this many stops from the sum of its lights shows something that they do not.
const ODD_STOPS: f64 = 0.25;
/// Clipped areas up to this share of the picture are not worth a sentence.
const FEW_PERCENT: f64 = 0.1;

/// Sentences, most telling first.
pub fn sentences(shot: &Shot, board: &Board) -> Vec<String> {
    let Some(measured) = &shot.measurement else { return Vec::new() };
    let mut said = Vec::new();
    let off = differences(&measured.tiles, board);
    let odd = off.iter().filter(|off| libm::fabs(**off) > ODD_STOPS).count() as f64 / off.len().max(1) as f64;
    let sizes = off.iter().map(|off| libm::fabs(*off)).collect();
    if let Some(typical) = median(sizes) {
        let within = (libm::ceil(typical * 20.0) / 20.0).max(0.05);
        said.push(format!("The lights’ own pictures add up to this shot within {within:.2} {}.", words::unit(within)));
    }
    if odd >= 0.01 {
        said.push(format!(
            "Over {:.0} % of it they are more than a quarter of a stop off: something moved, or other light takes part, and the picture there is an estimate.",
            odd * 100.0
        ));
    }
    let pixels = measured.pixels() as f64;
    let clipped = 100.0 * measured.clipping.highlights as f64 / pixels;
    if clipped > FEW_PERCENT {
        said.push(format!(
            "{clipped:.1} % of it is clipped: what is brighter there than white is known from other shots, or not at all."
        ));
    }
    said
}

/// log2 of the shot over its sum of lights, for tiles in which both are known and well above noise.
fn differences(tiles: &TileGrid, board: &Board) -> Vec<f64> {
    board.against_sum(tiles)
}
