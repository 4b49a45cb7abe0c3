//! The rows of lighting.csv: the lights as set, over all stages that share them.

use crate::exposure::words;
use crate::light::{LightLedger, Told};
use crate::report::light_types::{LightAccount, LightingDetail, Without};
use crate::report::{LightingRow, StageRow};
use crate::stages::as_set::{AsSet, as_set, cell};
use crate::stages::relit;

use super::{Parts, light_account};

/// A row per lighting, in the order of their numbers.
pub fn rows(parts: &Parts, stages: &[StageRow]) -> Vec<LightingRow> {
    let mut numbers: Vec<u32> = stages.iter().filter_map(|s| s.lighting).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let mut rows = Vec::new();
    let mut before: Option<(usize, Vec<AsSet>)> = None;
    for number in numbers {
        let own: Vec<&StageRow> = stages.iter().filter(|s| s.lighting == Some(number)).collect();
        let Some((row, lights)) = row(parts, number, &own, before.as_ref()) else { continue };
        before = Some((row.detail.sequence, lights));
        rows.push(row);
    }
    rows
}

fn row(
    parts: &Parts,
    number: u32,
    own: &[&StageRow],
    before: Option<&(usize, Vec<AsSet>)>,
) -> Option<(LightingRow, Vec<AsSet>)> {
    let first = own.first()?;
    let sequence = parts.stages.stages.get(first.stage.checked_sub(1)? as usize)?.sequence;
    let shots: Vec<usize> = own.iter().flat_map(|s| parts.stages.members(s.stage)).collect();
    let lights = as_set(parts.ledger, sequence, &shots);
    // The stage that tells most lights, of those the one with most shots, of those the first.
    let told = |stage: &StageRow| stage.detail.light_account.as_ref().map_or(0, LightAccount::told);
    let typical = own.iter().rev().max_by_key(|s| (told(s), s.frames))?;
    let stage_numbers: Vec<u32> = own.iter().map(|s| s.stage).collect();
    let mut account = typical.detail.light_account.clone().unwrap_or_default();
    count_over_all(&mut account, parts.ledger, sequence, &shots);
    let changed = match before.filter(|(s, _)| *s == sequence) {
        Some((_, was)) => relit::changes(was, &lights),
        None => relit::opening(&lights),
    };
    let without = without(&account);
    let row = LightingRow {
        lighting: number,
        stages: stage_numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(";"),
        frames: own.iter().map(|s| s.frames).sum(),
        lights: cell(&lights),
        changed: changed.join(", "),
        camera: first.camera.clone(),
        first_frame: first.first_frame.clone(),
        misfires: account.each_light.iter().map(|l| l.misfires).sum(),
        detail: LightingDetail {
            sequence,
            typical_stage: typical.stage,
            typical_index: typical.detail.typical_index,
            stage_numbers,
            light_account: account,
            whole_picture: None,
            set_anew_index: None,
            why_no_board: String::new(),
            without,
            stands: Vec::new(),
            shows: String::new(),
        },
        ..LightingRow::default()
    };
    Some((row, lights))
}

/// Misfires and shots not told belong to the lighting, not to its most shot stage alone.
fn count_over_all(account: &mut LightAccount, ledger: &LightLedger, sequence: usize, shots: &[usize]) {
    let Some(light) = ledger.sequences.get(sequence) else { return };
    for (index, state) in account.each_light.iter_mut().enumerate() {
        let entries = light_account::entries(light, index, shots);
        state.misfires = entries.iter().filter(|e| e.misfire == Told::Yes).count();
        state.frames_unknown = entries.iter().filter(|e| e.on == Told::Unknown).count();
    }
}

/// What goes with each light that is on.
fn without(account: &LightAccount) -> Vec<Without> {
    let left = |share: Option<f64>| {
        share.map(|percent| libm::log2((1.0 - percent / 100.0).max(0.0))).filter(|stops| stops.is_finite())
    };
    let burning = account.each_light.iter().filter(|l| l.on == "yes");
    burning
        .map(|light| {
            let (frame, subject) = (left(light.share_of_frame_percent), left(light.share_of_subject_percent));
            let loses = |what: &str, share: Option<f64>, stops: Option<f64>| match (share, stops) {
                (None, _) => None,
                // Ten stops down nothing is left to see.
                (Some(_), Some(stops)) if stops > -10.0 => Some(format!("{what} {} darker", darker(stops))),
                (Some(_), _) => Some(format!("{what} without light")),
            };
            let parts = [
                loses("the frame", light.share_of_frame_percent, frame),
                loses("the subject", light.share_of_subject_percent, subject),
            ];
            let said: Vec<String> = parts.into_iter().flatten().collect();
            let what = if said.is_empty() { "not known what goes".to_owned() } else { said.join(", ") };
            Without {
                light: light.light.clone(),
                light_index: light.light_index,
                frame_stops: frame,
                subject_stops: subject,
                words: format!("without {}: {what}", light.light),
                shows: String::new(),
                picture: None,
                print: None,
                preview: None,
                print_hatched_percent: 0.0,
            }
        })
        .collect()
}

/// "0.2 stop", "2.0 stops", of a loss.
fn darker(stops: f64) -> String {
    format!("{:.1} {}", stops.abs(), words::unit(stops))
}
