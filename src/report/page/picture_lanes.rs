//! The marks of a stage whose lights are not told apart: the picture as shot, and brought to the settings all marks share.

use super::ladder::{Shot, frames_span};
use super::lane::{Kind, Lane, ONE_FIGURE, Reading};
use super::notes::Trace;
use crate::report::{Report, StageRow, words};

/// The picture as shot, as its mean luminance says.
pub fn as_shot(stage: &StageRow, shots: &[Shot<'_>], kind: Kind) -> Lane {
    let black = shots.iter().any(|shot| shot.row.mean_luminance == Some(0.0));
    let reading = match stage.mean_luminance_stops {
        Some(stops) if stops.is_finite() => Reading::At(stops),
        Some(_) => Reading::Black,
        None if black => Reading::Black,
        None => Reading::Unknown("no picture of this stage could be measured".to_owned()),
    };
    let from = Trace::by(
        format!(
            "Stage {}, as shot: {}, {}.",
            stage.stage,
            words::count(stage.frames, "shot", "shots"),
            frames_span(&stage.first_frame, &stage.last_frame),
        ),
        "As shot: the median of the mean luminance of the stage’s shots, as log2(Y / 0.18). Y is the mean over all pixels in \
         linear light, ITU-R BT.709 weights.",
    );
    Lane::of_picture("as shot", kind, stage.stage, from, reading)
}

/// As shot and brought; one mark where they are the same.
pub fn lanes(report: &Report, stage: &StageRow, shots: &[Shot<'_>]) -> Vec<Lane> {
    let first = as_shot(stage, shots, Kind::AsShot);
    let as_shot = first.reading.clone();
    let mut lanes = vec![first];
    if let Some(reference) = &report.reference {
        let reading = match (&stage.detail.level, as_shot) {
            (Some(level), Reading::At(_)) => Reading::Open { flash: level.flash_stops, ambient: level.ambient_stops },
            (_, Reading::Black) => Reading::Unknown("a black picture cannot be brought to other settings".to_owned()),
            (_, Reading::Unknown(_)) => return lanes,
            _ => Reading::Unknown("a setting of this stage is not known".to_owned()),
        };
        let same = |ends: (f64, f64)| {
            let shot = stage.mean_luminance_stops.unwrap_or(f64::NAN);
            (ends.0 - shot).abs() < ONE_FIGURE && (ends.1 - shot).abs() < ONE_FIGURE
        };
        if let (Some(lane), true) = (lanes.first_mut(), reading.ends().is_some_and(same)) {
            (lane.kind, lane.name) = (Kind::Both, "level".to_owned());
            return lanes;
        }
        let from = Trace::by(
            format!("Stage {}, brought from {} to {}.", stage.stage, stage.settings, reference.marked),
            "Brought: the level as shot plus the settings’ effect. Aperture and ISO act on all light, shutter on ambient \
             alone; so the two ends differ where the shutter does.",
        );
        lanes.push(Lane::of_picture("brought", Kind::Brought, stage.stage, from, reading));
    }
    lanes
}
