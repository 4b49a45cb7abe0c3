//! Findings: what in the shoot deserves a look, with its evidence and how certain it is. One idea per file.
//!
//! Black that was intended, a light that is off, a shot that cannot be compared: none of them is ever a finding.

mod ambient_drift;
mod automatic;
mod banding;
mod clipped;
mod differs;
mod exposure_automatic;
mod gel_cast;
mod light_drift;
mod lit;
mod misfire;
mod note_late;
mod recycle;
mod settings_slip;
mod short_flash;
mod soft_series;
mod spill;
mod veil;

use crate::light::{LightLedger, SequenceLight};
use crate::notes::SubjectBox;
use crate::problem::Code;
use crate::series::{self, Cull};
use crate::shots::Sequence;
use crate::stages::{InStage, Stages};
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

/// Everything the steps before found.
#[derive(Clone, Copy, Debug)]
pub struct Shoot<'a> {
    /// Shots by camera.
    pub sequences: &'a [Sequence],
    /// Stages.
    pub stages: &'a Stages,
    /// Which light did what.
    pub ledger: &'a LightLedger,
    /// Series, and how each shot stands in its own.
    pub cull: &'a Cull,
    /// Subject boxes of the settled notes.
    pub subjects: &'a [SubjectBox],
    /// The shortest exposure time, in seconds, at which the whole frame is open for a flash.
    pub sync_time_s: f64,
}

/// Looks through the stages, the series and the lights of every camera.
#[must_use]
pub fn audit(shoot: &Shoot) -> Vec<Finding> {
    let Shoot { sequences, stages, ledger, cull, .. } = *shoot;
    let mut findings = settings_slip::find(sequences, stages);
    findings.extend(exposure_automatic::find(sequences, stages));
    for (index, (sequence, places)) in sequences.iter().zip(&stages.shots).enumerate() {
        findings.extend(automatic::find(sequence, places));
        if let (Some(light), Some(standings)) = (ledger.sequences.get(index), cull.standings.get(index)) {
            of_lights(sequence, light, places, &mut findings);
            let names: Vec<&str> = light.lights.iter().map(|l| l.name.as_str()).collect();
            let rules = cull.firings.get(index).map(|f| series::recycle::find(f)).unwrap_or_default();
            findings.extend(recycle::find(sequence, places, &names, &rules));
            findings.extend(banding::find(sequence, places, standings, shoot.sync_time_s));
            findings.extend(veil::find(sequence, places, standings));
        }
    }
    findings.extend(soft_series::find(sequences, stages, cull));
    findings.extend(clipped::find(sequences, stages, shoot.subjects));
    findings
}

fn of_lights(sequence: &Sequence, light: &SequenceLight, places: &[InStage], findings: &mut Vec<Finding>) {
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
