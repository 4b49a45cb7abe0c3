//! Findings: what in the shoot deserves a look, with its evidence and how certain it is. One idea per file.
//!
//! Black that was intended, a light that is off, a shot that cannot be compared: none of them is ever a finding.

mod ambient_drift;
mod differs;
mod exposure_automatic;
mod gel_cast;
mod light_drift;
mod lit;
mod misfire;
mod note_late;
mod settings_slip;
mod short_flash;
mod spill;

use crate::light::LightLedger;
use crate::problem::Code;
use crate::shots::Sequence;
use crate::stages::Stages;
use lit::Lit;

/// Something to look at.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The frame it is about.
    pub frame: String,
    /// Its stage.
    pub stage: Option<u32>,
    /// The light it is about; empty for none.
    pub light: String,
    /// What.
    pub code: Code,
    /// The finding in this case, one sentence without a full stop.
    pub finding: String,
    /// Figures it rests on.
    pub evidence: String,
    /// How certain, and of what.
    pub certainty: String,
}

/// Looks through the stages and the lights of every camera.
#[must_use]
pub fn audit(sequences: &[Sequence], stages: &Stages, ledger: &LightLedger) -> Vec<Finding> {
    let mut findings = settings_slip::find(sequences, stages);
    findings.extend(exposure_automatic::find(sequences, stages));
    let cameras = sequences.iter().zip(&ledger.sequences).zip(&stages.shots);
    for ((sequence, light), places) in cameras {
        for index in 0..light.lights.len() {
            let Some(lit) = Lit::of(sequence, light, places, index) else { continue };
            findings.extend(misfire::find(&lit));
            findings.extend(short_flash::find(&lit));
            findings.extend(spill::find(&lit));
            findings.extend(gel_cast::find(&lit));
            findings.extend(light_drift::find(&lit));
            findings.extend(differs::find(&lit));
            findings.extend(note_late::find(&lit));
        }
        findings.extend(ambient_drift::find(sequence, light, places));
    }
    findings
}
