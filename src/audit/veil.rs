//! Light laid evenly over a whole shot, against its series.

use super::Finding;
use crate::exposure::words;
use crate::problem::Code;
use crate::series::standing::Standing;
use crate::shots::Sequence;
use crate::stages::InStage;

/// One finding per shot.
pub fn find(sequence: &Sequence, places: &[InStage], standings: &[Standing]) -> Vec<Finding> {
    let shots = sequence.shots.iter().zip(places).zip(standings);
    shots
        .filter_map(|((shot, place), standing)| {
            let veil = standing.veil?;
            let percent = |light: f64| 100.0 * light;
            Some(Finding {
                frame: shot.frame.clone(),
                stage: place.stage,
                light: String::new(),
                code: Code::Veil,
                finding: format!(
                    "a veil: the darkest places stand {:.1} {} above those of the series",
                    veil.stops(),
                    words::unit(veil.stops())
                ),
                evidence: format!(
                    "median of the darkest fifth of each quarter: {:.2} % of full light, in the series {:.2} %; nearly all of it is \
                     lifted alike",
                    percent(veil.seen),
                    percent(veil.usual)
                ),
                certainty: "that light was added evenly is certain; breath, flare, rain or dust: its cause is not recorded"
                    .to_owned(),
            })
        })
        .collect()
}
