//! A series whose sharpest shot is far softer than those of the other series of its setup.

use super::Finding;
use super::lit::span;
use crate::problem::Code;
use crate::series::Cull;
use crate::shots::Sequence;
use crate::stages::Stages;
use crate::stages::as_set::median;

/// So many other series of the setup say what is usual.
const FEWEST: usize = 3;
/// A series is soft below this part of the usual detail: a sitter who turns changes it by less (common practice, no
/// source).
const SOFT: f64 = 0.6;

/// One finding per soft series. A series of one shot is no series to judge by.
pub fn find(sequences: &[Sequence], stages: &Stages, cull: &Cull) -> Vec<Finding> {
    let setup = |stage: u32| stages.stages.get((stage as usize).checked_sub(1)?).map(|s| s.setup);
    let best: Vec<Option<f64>> = cull.series.series.iter().map(|series| sharpest(sequences, cull, series)).collect();
    let all = || cull.series.series.iter().zip(&best);
    let one = |(index, (series, own)): (usize, (&crate::series::Series, &Option<f64>))| {
        let own = (*own)?;
        let others: Vec<f64> = all()
            .enumerate()
            .filter(|(other, (s, _))| *other != index && setup(s.stage) == setup(series.stage))
            .filter_map(|(_, (_, best))| *best)
            .collect();
        let count = others.len();
        let usual = median(others).filter(|_| count >= FEWEST)?;
        if own >= SOFT * usual {
            return None;
        }
        let shots = &sequences.get(series.sequence)?.shots;
        let frame = |index: &usize| shots.get(*index).map(|s| s.frame.as_str());
        let (first, last) = (frame(series.shots.first()?)?, frame(series.shots.last()?)?);
        Some(Finding {
            frame: first.to_owned(),
            stage: Some(series.stage),
            light: String::new(),
            code: Code::SoftSeries,
            finding: format!("a soft series: its sharpest shot has {:.0} % of the usual detail", 100.0 * own / usual),
            evidence: format!(
                "{}; usual is the median of the sharpest shots of {count} other series with this lens, these settings and \
                 this lighting",
                span(first, last, series.shots.len())
            ),
            certainty: "less detail for certain; focus, movement or a picture with less in it are not told apart"
                .to_owned(),
        })
    };
    all().enumerate().filter_map(one).collect()
}

/// The most detail in a series of several shots, of those whose lights all burned.
fn sharpest(sequences: &[Sequence], cull: &Cull, series: &crate::series::Series) -> Option<f64> {
    let standings = cull.standings.get(series.sequence)?;
    let sound = |index: &&usize| standings.get(**index).is_some_and(|s| s.missed.is_empty() && s.short.is_empty());
    let shots = &sequences.get(series.sequence)?.shots;
    let figures = series.shots.iter().filter(sound);
    let figures = figures.filter_map(|index| shots.get(*index)?.measurement.as_ref()?.sharpness);
    figures.max_by(f64::total_cmp).filter(|_| series.shots.len() > 1)
}
