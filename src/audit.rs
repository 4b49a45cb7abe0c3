//! Findings: what in the shoot deserves a look, with its evidence and how certain it is.

use crate::exposure::words;
use crate::light::LightLedger;
use crate::metadata::ExposureMode;
use crate::problem::Code;
use crate::shots::Sequence;
use crate::stages::Stages;

/// Something to look at.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The frame it is about.
    pub frame: String,
    /// Its stage.
    pub stage: Option<u32>,
    /// What.
    pub code: Code,
    /// The finding in this case, one sentence without a full stop.
    pub finding: String,
    /// Figures it rests on.
    pub evidence: String,
    /// How certain, and of what.
    pub certainty: String,
}

/// Looks through the stages of every camera.
#[must_use]
pub fn audit(sequences: &[Sequence], stages: &Stages, _ledger: &LightLedger) -> Vec<Finding> {
    let mut findings = settings_slips(sequences, stages);
    findings.extend(automatic_exposure(sequences, stages));
    findings
}

/// A stage of one shot between two stages of one setup.
fn settings_slips(sequences: &[Sequence], stages: &Stages) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, three) in (2..).zip(stages.stages.windows(3)) {
        let [before, slip, after] = three else { continue };
        let one_camera = before.sequence == slip.sequence && slip.sequence == after.sequence;
        if !one_camera || slip.shots.len() != 1 || before.setup != after.setup || slip.lens != before.lens {
            continue;
        }
        let Some(shot) = sequences.get(slip.sequence).and_then(|s| s.shots.get(slip.shots.start)) else { continue };
        let change = stages.shots.get(slip.sequence).and_then(|s| s.get(slip.shots.start));
        let turned = super::stages::changed::turned(before, slip, change.and_then(|c| c.settings_change.as_ref()));
        let what: Vec<String> =
            turned.iter().map(|t| format!("{} {} instead of {}", t.setting, t.to, t.from)).collect();
        let picture = change
            .and_then(|c| c.picture_change)
            .map_or_else(|| "not measured".to_owned(), |p| format!("{} stops", words::stops(p)));
        findings.push(Finding {
            frame: shot.frame.clone(),
            stage: Some(number),
            code: Code::SettingsSlip,
            finding: what.join(", "),
            evidence: format!(
                "the shots before and after agree on {}; the picture against the shot before: {picture}",
                before.marked()
            ),
            certainty: "the settings differ for certain; whether that was meant cannot be known".to_owned(),
        });
    }
    findings
}

/// Shots whose exposure the camera chose, where most of the camera's shots were set by hand.
fn automatic_exposure(sequences: &[Sequence], stages: &Stages) -> Vec<Finding> {
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
