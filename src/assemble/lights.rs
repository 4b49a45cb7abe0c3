//! Every light as a whole: what it is for, its reference frame, how often it burned; and what holds for a camera's shots.

use crate::light::{LightLedger, SequenceLight, Told};
use crate::report::light_types::{CameraLight, LightDetail};
use crate::shots::Sequence;
use crate::stages::purpose::purpose;

use super::ledger::reference;

/// One row per light, cameras one after the other.
pub fn details(sequences: &[Sequence], ledger: &LightLedger) -> Vec<LightDetail> {
    let mut rows = Vec::new();
    let mut frames_before = 0;
    for (s, (sequence, light)) in sequences.iter().zip(&ledger.sequences).enumerate() {
        for (index, one) in light.lights.iter().enumerate() {
            let entries = || light.shots.iter().filter_map(|shot| shot.entries.get(index));
            rows.push(LightDetail {
                light: one.name.clone(),
                camera: sequence.camera.clone(),
                sequence: s,
                noted: one.noted,
                role: one.role.clone(),
                purpose: purpose(one).unwrap_or_default().to_owned(),
                reference_frame: reference(sequence, one),
                reference_index: one.reference_shot.map(|r| frames_before + r),
                has_solo: one.has_solo,
                drift_stops_per_hour: one.drift,
                frames_on: entries().filter(|e| e.on == Told::Yes).count(),
                frames_unknown: entries().filter(|e| e.on == Told::Unknown).count(),
                misfires: entries().filter(|e| e.misfire == Told::Yes).count(),
                shows: String::new(),
                print: None,
                picture: None,
            });
        }
        frames_before += sequence.shots.len();
    }
    rows
}

/// One row per camera; none at all while no camera's lights are told apart.
pub fn by_camera(sequences: &[Sequence], ledger: &LightLedger) -> Vec<CameraLight> {
    if ledger.sequences.iter().all(nothing) {
        return Vec::new();
    }
    let mut frames_before = 0;
    let mut rows = Vec::new();
    for (sequence, light) in sequences.iter().zip(&ledger.sequences) {
        let shot = light.ambient_reference;
        rows.push(CameraLight {
            camera: sequence.camera.clone(),
            noted: light.noted,
            curve: light.curve.as_ref().map(|c| c.source.clone()).unwrap_or_default(),
            ambient_reference_frame: shot
                .and_then(|r| sequence.shots.get(r))
                .map(|s| s.frame.clone())
                .unwrap_or_default(),
            ambient_reference_index: shot.map(|r| frames_before + r),
            ambient_drift_stops: light.ambient_drift,
            ambient_picture: None,
        });
        frames_before += sequence.shots.len();
    }
    rows
}

/// Whether nothing at all is told of this camera's light.
pub fn nothing(light: &SequenceLight) -> bool {
    light.lights.is_empty() && light.curve.is_none() && light.ambient_reference.is_none()
}
