//! Shots whose exposure the camera chose, where most of the camera's shots were set by hand.

use super::Finding;
use crate::metadata::ExposureMode;
use crate::problem::Code;
use crate::shots::Sequence;
use crate::stages::Stages;

/// Shots whose exposure the camera chose, where most of the camera's shots were set by hand.
pub fn find(sequences: &[Sequence], stages: &Stages) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (sequence, places) in sequences.iter().zip(&stages.shots) {
        let of = |mode| sequence.shots.iter().filter(|s| s.metadata.exposure_mode == Some(mode)).count();
        let (by_hand, automatic) = (of(ExposureMode::Manual), of(ExposureMode::Automatic));
        if by_hand <= automatic {
            continue;
        }
        for (shot, place) in sequence.shots.iter().zip(places) {
            if shot.metadata.exposure_mode == Some(ExposureMode::Automatic) {
                findings.push(Finding {
                    frame: shot.frame.clone(),
                    stage: place.stage,
                    light: String::new(),
                    code: Code::ExposureProgramAuto,
                    finding: "exposure chosen by the camera".to_owned(),
                    evidence: format!(
                        "{by_hand} of {} shots of this camera are exposed by hand, this one is not",
                        sequence.shots.len()
                    ),
                    certainty: "certain, from the file".to_owned(),
                });
            }
        }
    }
    findings
}
