//! The lights of a rung as marks on the stop scale: each where its share of the picture puts it, the ambient as the floor.
//!
//! A rung of several stages takes each mark from the stage that tells most; where another of its stages does not tell a light,
//! that is a hatched gap of its own, with the reason.
//!
//! The report gives shares in linear light; the scale is their logarithm. Marks are brought to the settings all rungs share,
//! flash by aperture and ISO, ambient by the shutter too, so that a mark moves only when its light does.

use std::collections::BTreeSet;

use super::ambient_lane as ambient;
use super::ladder::{Rung, Shot, frames_span};
use super::lane::{Kind, Lane, Reading};
use super::notes::Trace;
use super::picture_lanes::as_shot;
use crate::report::light_types::{LightAccount, LightDetail, LightState};
use crate::report::{Report, StageRow, words};

/// Names of frames that a mark lists before it only counts.
const NAMES: usize = 3;

/// The stages of a run, those that tell most lights first, then those with most shots.
#[must_use]
pub fn by_what_is_told(run: &[StageRow]) -> Vec<&StageRow> {
    let told = |stage: &StageRow| stage.detail.light_account.as_ref().map_or(0, LightAccount::told);
    let mut stages: Vec<&StageRow> = run.iter().collect();
    stages.sort_by_key(|stage| (std::cmp::Reverse(told(stage)), std::cmp::Reverse(stage.frames)));
    stages
}

/// The marks of a run of stages of one lighting; None while the lights of their camera are not told apart.
#[must_use]
pub fn lanes(report: &Report, lights: &[&LightDetail], run: &[StageRow], shots: &[Shot<'_>]) -> Option<Vec<Lane>> {
    let stages = by_what_is_told(run);
    let base = stages.first()?;
    let account = base.detail.light_account.as_ref()?;
    let (mut lanes, mut gaps): (Vec<Lane>, Vec<Lane>) = (Vec::new(), Vec::new());
    for place in 0..account.each_light.len() {
        // Another lens or focal length shows another part of the scene: its shares are no figure for this one.
        let same = |stage: &&&StageRow| stage.lens == base.lens && stage.focal_length_mm == base.focal_length_mm;
        let tells = |stage: &&&StageRow| state(stage, place).is_some_and(LightState::is_told);
        let stage = stages.iter().filter(same).find(tells).unwrap_or(base);
        let Some(own) = state(stage, place) else { continue };
        let Some(lane) = lane(report, lights.get(place).copied(), stage, shots, (place, own)) else { continue };
        if !matches!(lane.reading, Reading::NotTold { .. } | Reading::Unknown(_)) {
            gaps.extend(run.iter().filter_map(|other| gap(other, place)));
        }
        join(&mut lanes, lane);
    }
    let ambient = ambient::lane(report, &stages, run);
    let told = lanes.iter().chain([&ambient]).any(|lane| lane.reading.ends().is_some());
    lanes.push(ambient);
    gaps.sort_by_key(|gap| gap.stage);
    let mut later = Vec::new();
    gaps.into_iter().for_each(|gap| join(&mut later, gap));
    lanes.extend(later);
    if !told {
        lanes.push(as_shot(base, shots, Kind::Picture));
    }
    Some(lanes)
}

fn state(stage: &StageRow, place: usize) -> Option<&LightState> {
    stage.detail.light_account.as_ref()?.each_light.get(place)
}

/// A light that is told on the rung, but not on this one of its stages.
fn gap(stage: &StageRow, place: usize) -> Option<Lane> {
    let state = state(stage, place).filter(|state| state.on == "unknown" && !state.reason.is_empty())?;
    let why = format!("in stage {}: {}", stage.stage, state.reason);
    let reading = match stage.detail.level {
        Some(level) => Reading::NotTold { most: level.flash_stops, why },
        None => Reading::Unknown(why),
    };
    Some(Lane {
        name: state.light.clone(),
        kind: Kind::Light(place),
        stage: stage.stage,
        from: Trace::default(),
        reading,
        beside: String::new(),
        // The light's own lane carries its thread.
        lights: Vec::new(),
    })
}

/// Lights that are not told for one reason share a lane.
fn join(lanes: &mut Vec<Lane>, lane: Lane) {
    match lanes.last_mut() {
        Some(last) if same_reason(&last.reading, &lane.reading) => {
            last.name = format!("{}, {}", last.name, lane.name);
            last.lights.extend(lane.lights);
        }
        _ => lanes.push(lane),
    }
}

/// Gives a light that never burned on a rung the place where it stood before, so that its gap is seen where it is missed.
pub fn place_gaps(rungs: &mut [Rung<'_>], lights: usize) {
    for light in 0..lights {
        let mut stood = None;
        for lane in rungs.iter_mut().flat_map(|rung| rung.lanes.iter_mut().filter(|lane| lane.lights.contains(&light)))
        {
            match &mut lane.reading {
                Reading::Missed(place @ None) => *place = stood,
                reading => stood = reading.middle().or(stood),
            }
        }
    }
}

fn same_reason(a: &Reading, b: &Reading) -> bool {
    match (a, b) {
        (Reading::NotTold { why: a, .. }, Reading::NotTold { why: b, .. })
        | (Reading::Unknown(a), Reading::Unknown(b)) => a == b,
        _ => false,
    }
}

/// One light's mark; None where it is set off.
fn lane(
    report: &Report,
    light: Option<&LightDetail>,
    stage: &StageRow,
    shots: &[Shot<'_>],
    (place, state): (usize, &LightState),
) -> Option<Lane> {
    if state.on == "no" {
        return None;
    }
    let missed = missed(report, state, shots);
    let level = stage.detail.level.map(|level| level.flash_stops);
    let share = state.share_of_frame_percent.filter(|percent| *percent > 0.0);
    let at = level.zip(share).map(|(level, percent)| level + libm::log2(percent / 100.0)).filter(|at| at.is_finite());
    // Whatever it did, it gave no more than the whole picture.
    let not_told = |why: &str| match level {
        Some(most) => Reading::NotTold { most, why: why.to_owned() },
        None => Reading::Unknown(why.to_owned()),
    };
    let reading = match (state.on.as_str(), at) {
        ("yes", _) if !shots.is_empty() && missed.len() >= shots.len() => Reading::Missed(at),
        ("yes", Some(at)) => match (state.stops, state.stops_low, state.stops_high) {
            (Some(stops), Some(low), Some(high)) if low <= stops && stops <= high => {
                Reading::Within { at, low: at + low - stops, high: at + high - stops }
            }
            _ => Reading::At(at),
        },
        ("yes", None) if level.is_none() => Reading::Unknown("a setting of this stage is not known".to_owned()),
        _ => not_told(reason(state)),
    };
    let beside = match (&reading, missed.len()) {
        (Reading::Missed(_), _) => format!("in any of {}, set on", words::count(shots.len(), "shot", "shots")),
        (_, 0) => String::new(),
        (_, number) => {
            format!("missed in {} of {}: {}", number, words::count(shots.len(), "shot", "shots"), names(&missed))
        }
    };
    Some(Lane {
        name: state.light.clone(),
        kind: Kind::Light(place),
        stage: stage.stage,
        from: from(report, light, stage, state, &missed),
        reading,
        beside,
        lights: vec![place],
    })
}

fn reason(state: &LightState) -> &str {
    match state.on.as_str() {
        _ if !state.reason.is_empty() => &state.reason,
        "yes" => "its share of the picture is not known",
        _ => "the pictures do not tell whether it burned",
    }
}

/// Shots of the rung in which a light was set on and did not burn.
fn missed<'a>(report: &Report, state: &LightState, shots: &[Shot<'a>]) -> Vec<Shot<'a>> {
    let own = report.light_ledger.iter().filter(|row| row.light_index == state.light_index && row.misfire == "yes");
    let frames: BTreeSet<usize> = own.map(|row| row.frame_index).collect();
    shots.iter().filter(|shot| frames.contains(&shot.place)).copied().collect()
}

fn names(shots: &[Shot<'_>]) -> String {
    let said: Vec<&str> = shots.iter().take(NAMES).map(|shot| words::file_name(&shot.row.frame)).collect();
    match shots.len().saturating_sub(NAMES) {
        0 => words::and_list(&said),
        rest => format!("{} and {rest} more", said.join(", ")),
    }
}

/// From which frames and by which rule.
fn from(
    report: &Report,
    light: Option<&LightDetail>,
    stage: &StageRow,
    state: &LightState,
    missed: &[Shot<'_>],
) -> Trace {
    let mut parts = vec![format!("Stage {}, {}.", stage.stage, state.light)];
    if !missed.is_empty() {
        parts.push(format!("Set on and did not burn in {}.", names(missed)));
    }
    if let Some(percent) = state.share_of_frame_percent {
        let frames = frames_span(&stage.first_frame, &stage.last_frame);
        parts.push(format!("{} of the light of {frames}.", words::percent(percent)));
    }
    let reference = light.map_or("", |light| light.reference_frame.as_str());
    if let (Some(low), Some(high)) = (state.stops_low, state.stops_high) {
        let against = if reference.is_empty() { "its reference frame" } else { words::file_name(reference) };
        parts.push(format!("Strength {} against {against}.", words::stops_between(low, high)));
    }
    let rule = format!(
        "A light: its share of the picture’s light is the median over the stage’s shots in which it burned; its place is the stage’s \
         level{} plus log2 of that share; its whiskers are the 90 % interval of its strength.",
        brought(report),
    );
    Trace::by(parts.join(" "), rule)
}

/// " brought to f/5.6, 1/200, ISO 100"; nothing where no settings are shared.
pub fn brought(report: &Report) -> String {
    report.reference.as_ref().map(|reference| format!(" brought to {}", reference.marked)).unwrap_or_default()
}
