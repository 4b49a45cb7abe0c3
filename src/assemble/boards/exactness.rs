//! How far a board can be trusted: what the sum of lights says of the shot as it is.

use crate::exposure::words;
use crate::relight::Board;
use crate::shots::Shot;
use crate::stages::as_set::median;

/// A tile whose light is this many stops from the sum of its lights shows something that they do not.
const ODD_STOPS: f64 = 0.25;
/// Clipped areas up to this share of the picture are not worth a sentence.
const FEW_PERCENT: f64 = 0.1;

/// Sentences, most telling first.
pub fn sentences(shot: &Shot, board: &Board, ambient: bool) -> Vec<String> {
    let Some(measured) = &shot.measurement else { return Vec::new() };
    let mut said = Vec::new();
    let off = board.against_sum(&measured.tiles);
    let odd = off.iter().filter(|off| libm::fabs(**off) > ODD_STOPS).count() as f64 / off.len().max(1) as f64;
    match median(off.iter().map(|off| libm::fabs(*off)).collect()) {
        Some(typical) => {
            let within = (libm::ceil(typical * 20.0) / 20.0).max(0.05);
            let unit = words::unit(within);
            said.push(format!(
                "Over half of what can be tested the lights’ own pictures add up to this shot within {within:.2} {unit}."
            ));
        }
        None => said.push(
            "Whether the lights’ own pictures add up to this shot could not be tested: it is clipped or too dark."
                .to_owned(),
        ),
    }
    if odd >= 0.01 {
        said.push(format!(
            "Over {:.0} % of it they are more than a quarter of a stop off: something moved, or other light takes part, and \
             the picture there is an estimate.",
            odd * 100.0
        ));
    }
    if !ambient {
        said.push("The ambient is not known here, so neither it nor the shutter can be moved.".to_owned());
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
