//! The ambient's course over the shoot: dusk, dawn, clouds.

use super::Finding;
use super::lit::span;
use crate::exposure::words;
use crate::light::SequenceLight;
use crate::problem::Code;
use crate::shots::Sequence;
use crate::stages::InStage;

/// Fewer figures than this show no course.
const FEWEST: usize = 6;

/// At most one finding per camera.
pub fn find(sequence: &Sequence, light: &SequenceLight, places: &[InStage]) -> Option<Finding> {
    let drift = light.ambient_drift?;
    let known = sequence.shots.iter().zip(&light.shots).zip(places).filter(|((_, l), _)| l.ambient.stops.is_some());
    let known: Vec<_> = known.map(|((shot, _), place)| (shot, place)).collect();
    let ((first, place), (last, _)) = (*known.first()?, *known.last()?);
    if known.len() < FEWEST {
        return None;
    }
    let way = if drift < 0.0 { "fell" } else { "rose" };
    // A jump of the clock leaves the length unknown.
    let length = first.taken.as_ref().zip(last.taken.as_ref()).map(|(a, b)| a.local.duration_until(b.local));
    let minutes = length.map(|d| d.as_secs_f64() / 60.0).filter(|m| *m >= 0.5);
    let over = minutes.map_or_else(
        || "over the shoot".to_owned(),
        |m| format!("over {m:.0} {}", if m < 1.5 { "minute" } else { "minutes" }),
    );
    // A rate over less than a few minutes is a ratio of two small numbers.
    let rate = minutes.filter(|m| *m >= 5.0).map(|m| {
        let rate = drift.abs() / m * 10.0;
        format!(", {rate:.1} {} in ten minutes", words::unit(rate))
    });
    Some(Finding {
        frame: first.frame.clone(),
        stage: place.stage,
        light: String::new(),
        code: Code::AmbientDrift,
        finding: format!(
            "the ambient {way} by {:.1} {} {over}{}",
            drift.abs(),
            words::unit(drift),
            rate.unwrap_or_default()
        ),
        evidence: format!("{}, with shutter, aperture and ISO taken out", span(&first.frame, &last.frame, known.len())),
        certainty: "proven beyond the error of the figures; dusk, dawn or clouds are not told apart".to_owned(),
    })
}
