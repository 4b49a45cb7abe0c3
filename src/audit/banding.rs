//! A band along a long edge that no flash reached: one finding for consecutive shots of a stage.

use super::Finding;
use super::lit::span;
use crate::exposure::words;
use crate::problem::Code;
use crate::series::standing::Standing;
use crate::shots::Sequence;
use crate::stages::InStage;
use crate::stages::as_set::median;

/// One finding per run of shots.
pub fn find(sequence: &Sequence, places: &[InStage], standings: &[Standing], sync_time_s: f64) -> Vec<Finding> {
    let mut runs: Vec<Vec<usize>> = Vec::new();
    let stage = |index: usize| places.get(index).and_then(|p| p.stage);
    let edge = |index: usize| standings.get(index).and_then(|s| s.band).map(|b| b.edge);
    for index in (0..standings.len()).filter(|index| edge(*index).is_some()) {
        match runs.last_mut() {
            Some(run)
                if run.last().is_some_and(|last| {
                    last + 1 == index && stage(*last) == stage(index) && edge(*last) == edge(index)
                }) =>
            {
                run.push(index);
            }
            _ => runs.push(vec![index]),
        }
    }
    runs.iter().filter_map(|run| one(sequence, places, standings, run, sync_time_s)).collect()
}

fn one(
    sequence: &Sequence,
    places: &[InStage],
    standings: &[Standing],
    run: &[usize],
    sync_time_s: f64,
) -> Option<Finding> {
    let (first, last) = (*run.first()?, *run.last()?);
    let frame = |index: usize| sequence.shots.get(index).map(|s| s.frame.as_str());
    let bands: Vec<_> = run.iter().filter_map(|index| standings.get(*index)?.band).collect();
    let place = places.get(first)?;
    let shutter = place.settings.shutter.map(|s| words::shutter(s.marked)).unwrap_or_default();
    let share = 100.0 * median(bands.iter().map(|b| b.share).collect())?;
    let stops = median(bands.iter().map(|b| b.stops).collect())?;
    Some(Finding {
        frame: frame(first)?.to_owned(),
        stage: place.stage,
        light: String::new(),
        code: Code::Banding,
        finding: format!("dark band at the {}, {share:.0} % of the picture", bands.first()?.edge.word()),
        evidence: format!(
            "{} at {shutter}, sync speed {}; {:.1} {} darker there than in slower shots of the scene",
            span(frame(first)?, frame(last)?, run.len()),
            words::shutter(sync_time_s),
            stops.abs(),
            words::unit(stops)
        ),
        certainty: "its edge is straight and slower shots are lit there: no wall that is dark by itself; whether the \
                    shutter was too fast or the trigger late cannot be known"
            .to_owned(),
    })
}
