//! The lights of a stage as marks on the stop scale: each where its share of the picture puts it, the ambient as the floor.
//!
//! The report gives shares in linear light; the scale is their logarithm. Marks are brought to the settings all rungs share,
//! flash by aperture and ISO, ambient by the shutter too, so that a mark moves only when its light does.

use super::ladder::{Rung, Shot, as_shot, frames_span};
use super::lane::{Kind, Lane, Reading};
use crate::report::light_types::{AmbientState, LightDetail, LightState};
use crate::report::{Report, StageRow, words};

/// Names of frames that a mark lists before it only counts.
const NAMES: usize = 3;

/// The marks of a stage; None while the lights of its camera are not told apart.
#[must_use]
pub fn lanes(report: &Report, lights: &[&LightDetail], stage: &StageRow, shots: &[Shot<'_>]) -> Option<Vec<Lane>> {
    let account = stage.detail.light_account.as_ref()?;
    let mut lanes: Vec<Lane> = Vec::new();
    for (place, state) in account.each_light.iter().enumerate() {
        let Some(lane) = lane(report, lights.get(place).copied(), stage, shots, (place, state)) else { continue };
        // Lights that are not told for one reason share a lane.
        match lanes.last_mut() {
            Some(last) if same_reason(&last.reading, &lane.reading) => {
                last.name = format!("{}, {}", last.name, lane.name);
                last.lights.extend(lane.lights);
            }
            _ => lanes.push(lane),
        }
    }
    let ambient = ambient(report, stage, &account.ambient);
    let told = lanes.iter().chain([&ambient]).any(|lane| lane.reading.ends().is_some());
    lanes.push(ambient);
    if !told {
        lanes.push(as_shot(stage, shots, Kind::Picture));
    }
    Some(lanes)
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

/// Shots of the stage in which a light was set on and did not burn.
fn missed<'a>(report: &Report, state: &LightState, shots: &[Shot<'a>]) -> Vec<Shot<'a>> {
    if state.misfires == 0 {
        return Vec::new();
    }
    let rows = || report.light_ledger.iter().filter(|r| r.light_index == state.light_index && r.misfire == "yes");
    shots.iter().filter(|shot| rows().any(|row| row.frame_index == shot.place)).copied().collect()
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
) -> String {
    let mut parts = vec![format!("Stage {}, {}.", stage.stage, state.light)];
    if !missed.is_empty() {
        parts.push(format!("Set on and did not burn in {}.", names(missed)));
    }
    if let Some(percent) = state.share_of_frame_percent {
        parts.push(format!(
            "Its share of the picture’s light, {}, is the median over the shots of {} in which it burned; its place is the stage’s \
             level{} plus log2 of that share.",
            words::percent(percent),
            frames_span(&stage.first_frame, &stage.last_frame),
            brought(report),
        ));
    }
    let reference = light.map_or("", |light| light.reference_frame.as_str());
    if let (Some(low), Some(high)) = (state.stops_low, state.stops_high) {
        let against = if reference.is_empty() { "its reference frame" } else { words::file_name(reference) };
        parts.push(format!(
            "Whiskers: the 90 % interval of its strength, {} against {against}.",
            words::stops_between(low, high)
        ));
    }
    parts.join(" ")
}

fn brought(report: &Report) -> String {
    report.reference.as_ref().map(|reference| format!(" brought to {}", reference.marked)).unwrap_or_default()
}

fn ambient(report: &Report, stage: &StageRow, state: &AmbientState) -> Lane {
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
    let from = format!(
        "Stage {}, ambient: its share of the picture’s light, {share}, in the shot of {} whose ambient is nearest the median; its \
         place is that shot’s level plus log2 of the share{}, the shutter included. As shot: {}.",
        stage.stage,
        frames_span(&stage.first_frame, &stage.last_frame),
        brought(report).replacen(" brought", ", brought", 1),
        state.words,
    );
    Lane { name: "ambient".to_owned(), kind: Kind::Ambient, from, reading, beside, lights: Vec::new() }
}
