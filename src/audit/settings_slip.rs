//! A stage of one shot with other settings between two stages of one setup.

use super::Finding;
use crate::exposure::words;
use crate::problem::Code;
use crate::shots::Sequence;
use crate::stages::{Stages, changed};

/// A stage of one shot between two stages of one setup.
pub fn find(sequences: &[Sequence], stages: &Stages) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, three) in (2..).zip(stages.stages.windows(3)) {
        let [before, slip, after] = three else { continue };
        let one_camera = before.sequence == slip.sequence && slip.sequence == after.sequence;
        // Another lighting for one shot is a test, and its settings go with it.
        let all_else_equal = slip.lens == before.lens && slip.lighting == before.lighting;
        if !one_camera || slip.shots.len() != 1 || before.setup != after.setup || !all_else_equal {
            continue;
        }
        let Some(shot) = sequences.get(slip.sequence).and_then(|s| s.shots.get(slip.shots.start)) else { continue };
        let change = stages.shots.get(slip.sequence).and_then(|s| s.get(slip.shots.start));
        let turned = changed::turned(before, slip, change.and_then(|c| c.settings_change.as_ref()));
        let what: Vec<String> =
            turned.iter().map(|t| format!("{} {} instead of {}", t.setting, t.to, t.from)).collect();
        let picture = change
            .and_then(|c| c.picture_change)
            .map_or_else(|| "not measured".to_owned(), |p| format!("{} stops", words::stops(p)));
        findings.push(Finding {
            frame: shot.frame.clone(),
            stage: Some(number),
            light: String::new(),
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
