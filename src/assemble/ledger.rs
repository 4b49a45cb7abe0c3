//! The rows of light-ledger.csv: a frame and a light.

use crate::exposure::words;
use crate::light::{Agreement, Entry, Evidence, Light, LightLedger, Told};
use crate::report::LedgerRow;
use crate::shots::{Sequence, Shot};
use crate::stages::Stages;

/// A row per shot and light, cameras one after the other. Cameras whose lights are not told apart have none.
pub fn rows(sequences: &[Sequence], stages: &Stages, ledger: &LightLedger) -> Vec<LedgerRow> {
    let mut rows = Vec::new();
    let (mut frames_before, mut lights_before) = (0, 0);
    for (s, (sequence, light)) in sequences.iter().zip(&ledger.sequences).enumerate() {
        for (index, (shot, shot_light)) in sequence.shots.iter().zip(&light.shots).enumerate() {
            let stage = stages.shots.get(s).and_then(|p| p.get(index)).and_then(|p| p.stage);
            for (l, (entry, name)) in shot_light.entries.iter().zip(&light.lights).enumerate() {
                rows.push(LedgerRow {
                    stage,
                    frame_index: frames_before + index,
                    light_index: lights_before + l,
                    ..row(sequence, shot, name, entry, &shot_light.not_comparable)
                });
            }
        }
        frames_before += sequence.shots.len();
        lights_before += light.lights.len();
    }
    rows
}

fn row(sequence: &Sequence, shot: &Shot, light: &Light, entry: &Entry, not_comparable: &str) -> LedgerRow {
    let gain = |channel: fn([f64; 3]) -> f64| entry.gain.map(channel).filter(|g| g.is_finite());
    // The shot's own reason stands where the light has none of its own.
    let reason = if entry.reason.is_empty() { not_comparable } else { &entry.reason };
    LedgerRow {
        frame: shot.frame.clone(),
        light: light.name.clone(),
        on: told(entry.on).to_owned(),
        misfire: told(entry.misfire).to_owned(),
        light_stops: entry.stops.map(|s| s.value),
        light_stops_low: entry.stops.map(|s| s.low),
        light_stops_high: entry.stops.map(|s| s.high),
        reference_frame: reference(sequence, light),
        power: entry.power.map(words::power).unwrap_or_default(),
        gain_r: gain(|[r, _, _]| r),
        gain_g: gain(|[_, g, _]| g),
        gain_b: gain(|[_, _, b]| b),
        share_of_frame_percent: entry.share_of_frame.map(percent),
        share_of_subject_percent: entry.share_of_subject.map(percent),
        evidence: evidence(entry.evidence).to_owned(),
        noted_power: entry.setting.noted_power.map(words::power).unwrap_or_default(),
        agrees: agreement(entry.agrees).to_owned(),
        noted_gel: entry.setting.gel.clone(),
        noted_modifier: entry.setting.modifier.clone(),
        against_note_stops: entry.against_note.map(|s| s.value),
        against_note_low: entry.against_note.map(|s| s.low),
        against_note_high: entry.against_note.map(|s| s.high),
        reason: reason.to_owned(),
        ..LedgerRow::default()
    }
}

/// The frame a light's strengths are told against; empty for none.
pub fn reference(sequence: &Sequence, light: &Light) -> String {
    light.reference_shot.and_then(|r| sequence.shots.get(r)).map(|s| s.frame.clone()).unwrap_or_default()
}

/// A share 0..1 in percent.
pub fn percent(share: f64) -> f64 {
    100.0 * share
}

/// "yes", "no", "unknown".
pub fn told(told: Told) -> &'static str {
    match told {
        Told::Yes => "yes",
        Told::No => "no",
        Told::Unknown => "unknown",
    }
}

fn evidence(evidence: Evidence) -> &'static str {
    match evidence {
        Evidence::Solo => "solo",
        Evidence::WorkedOut => "worked out",
        Evidence::Noted => "noted",
        Evidence::NotComparable => "not comparable",
    }
}

/// "as noted", "differs", "not tested".
pub fn agreement(agreement: Agreement) -> &'static str {
    match agreement {
        Agreement::AsNoted => "as noted",
        Agreement::Differs => "differs",
        Agreement::NotTested => "not tested",
    }
}
