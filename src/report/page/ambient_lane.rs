//! The ambient of a rung: the floor that every light stands on, and how far it moved while the lighting stood.

use super::ladder::frames_span;
use super::lane::{Kind, Lane, Reading};
use super::light_lanes::brought;
use super::notes::Trace;
use crate::report::light_types::AmbientState;
use crate::report::{Report, StageRow, words};

/// A course of less than this many stops reads as standing still.
const COURSE: f64 = 0.1;

/// The floor of a run of stages: of the first in `stages` that tells it; beside it, the course over the run.
#[must_use]
pub fn lane(report: &Report, stages: &[&StageRow], run: &[StageRow]) -> Lane {
    let of = |stage: &StageRow| {
        let account = stage.detail.light_account.as_ref();
        of_stage(report, stage, account.map_or(&AmbientState::default(), |account| &account.ambient))
    };
    let figure = |lane: &Lane| matches!(lane.reading, Reading::At(_) | Reading::Within { .. });
    let mut lanes = stages.iter().map(|stage| of(stage));
    let first = lanes.next();
    let told = match first {
        Some(first) if !figure(&first) => Some(lanes.find(figure).unwrap_or(first)),
        first => first,
    };
    let mut told = told.unwrap_or_else(|| of(&StageRow::default()));
    let course: Vec<(u32, f64)> =
        run.iter().map(&of).filter(&figure).filter_map(|lane| Some((lane.stage, lane.reading.middle()?))).collect();
    if let (Some((from, first)), Some((to, last))) = (course.first(), course.last())
        && figure(&told)
        && (last - first).abs() >= COURSE
    {
        // The mark's own figure stands before it.
        let ends = [(*from, *first), (*to, *last)].into_iter().filter(|(stage, _)| *stage != told.stage);
        let said: Vec<String> = ends.map(|(stage, at)| format!("{} in stage {stage}", words::stops(at))).collect();
        told.beside = said.join(", ");
    }
    told
}

fn of_stage(report: &Report, stage: &StageRow, state: &AmbientState) -> Lane {
    let shift = stage.detail.level.zip(stage.mean_luminance_stops).map(|(level, mean)| level.ambient_stops - mean);
    let at = state.headroom_stops.map(|under| -under);
    let moved = at.zip(shift).map(|(at, shift)| at + shift).filter(|at| at.is_finite());
    let (reading, beside) = match (moved, at) {
        // The claim is about the picture as shot; at other settings it is another figure.
        (Some(most), Some(at)) if state.at_most && (most - at).abs() > 0.05 => {
            (Reading::Under { most, said: state.words.clone() }, format!("as shot, {} here", words::stops(most)))
        }
        (Some(most), _) if state.at_most => (Reading::Under { most, said: state.words.clone() }, String::new()),
        (None, Some(most)) if state.at_most => {
            (Reading::Under { most, said: state.words.clone() }, "as shot".to_owned())
        }
        (Some(at), _) => match (state.stops, state.stops_low, state.stops_high) {
            (Some(stops), Some(low), Some(high)) if low <= stops && stops <= high => {
                (Reading::Within { at, low: at + low - stops, high: at + high - stops }, String::new())
            }
            _ => (Reading::At(at), String::new()),
        },
        _ => {
            let why = "its share of the picture cannot be told".to_owned();
            let reading = match stage.detail.level {
                Some(level) => Reading::NotTold { most: level.ambient_stops, why },
                None => Reading::Unknown(why),
            };
            (reading, String::new())
        }
    };
    let share = state.share_percent.map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |percent| format!("{}{}", if state.at_most { "at most " } else { "" }, words::percent(percent)),
    );
    let from = Trace::by(
        format!(
            "Stage {}, ambient: {share} of the light of {}; as shot {}.",
            stage.stage,
            frames_span(&stage.first_frame, &stage.last_frame),
            state.words,
        ),
        format!(
            "Ambient: its share of the picture’s light in the shot whose ambient is nearest the stage’s median; its place is that \
             shot’s level{}, the shutter included, plus log2 of the share.",
            brought(report).replacen(" brought", ", brought", 1),
        ),
    );
    Lane {
        name: "ambient".to_owned(),
        kind: Kind::Ambient,
        stage: stage.stage,
        from,
        reading,
        beside,
        lights: Vec::new(),
    }
}
