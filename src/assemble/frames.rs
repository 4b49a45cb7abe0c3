//! The rows of frames.csv.

use std::collections::BTreeSet;

use crate::exposure::words;
use crate::light::{LightLedger, SequenceLight, Told};
use crate::measure::{Measurement, PixelSource};
use crate::metadata::{Taken, WhiteBalance};
use crate::report::FrameRow;
use crate::series::AllSeries;
use crate::shots::{Sequence, Shot};
use crate::stages::{InStage, Stages, lens_words, level_stops};

use super::{ambient, lights};

/// A row per shot, cameras one after the other.
pub fn rows(sequences: &[Sequence], stages: &Stages, series: &AllSeries, ledger: &LightLedger) -> Vec<FrameRow> {
    let mut rows = Vec::new();
    for (s, (sequence, places)) in sequences.iter().zip(&stages.shots).enumerate() {
        let light = ledger.sequences.get(s).filter(|light| !lights::nothing(light));
        for (index, (shot, place)) in sequence.shots.iter().zip(places).enumerate() {
            let mut row = FrameRow {
                camera: sequence.camera.clone(),
                body_serial: shot
                    .metadata
                    .body_serial
                    .clone()
                    .or_else(|| sequence.body_serial.clone())
                    .unwrap_or_default(),
                clock_offset_s: sequence.clock_offset_s,
                ..file_cells(shot)
            };
            stage_cells(&mut row, place, stages);
            row.series = series.shots.get(s).and_then(|shots| *shots.get(index)?);
            if let Some(measurement) = &shot.measurement {
                measured_cells(&mut row, measurement);
            }
            if let Some(light) = light {
                light_cells(&mut row, shot, light, index);
            }
            rows.push(row);
        }
    }
    rows
}

fn file_cells(shot: &Shot) -> FrameRow {
    let metadata = &shot.metadata;
    let codes: BTreeSet<_> = shot.problems.iter().map(|problem| problem.code).collect();
    FrameRow {
        frame: shot.frame.clone(),
        companion: shot.companions.join(";"),
        lens: lens_words(metadata),
        taken: shot.taken.as_ref().map(iso8601).unwrap_or_default(),
        focal_length_mm: metadata.focal_length_mm,
        f_number: metadata.f_number.map(|m| m.value()),
        exposure_time_s: metadata.exposure_time_s.map(|m| m.value()),
        iso: metadata.iso,
        exposure_compensation_stops: metadata.exposure_compensation_stops,
        white_balance: match metadata.white_balance {
            Some(WhiteBalance::Auto) => "auto".to_owned(),
            Some(WhiteBalance::Manual) => "manual".to_owned(),
            None => String::new(),
        },
        seconds_since_previous: shot.seconds_since_previous,
        problems: codes.iter().map(|code| code.entry().name).collect::<Vec<_>>().join(";"),
        ..FrameRow::default()
    }
}

fn stage_cells(row: &mut FrameRow, place: &InStage, stages: &Stages) {
    let stage = place.stage.and_then(|n| stages.stages.get(n as usize - 1));
    row.stage = place.stage;
    row.setup = stage.map(|s| s.setup);
    row.lighting = stage.and_then(|s| s.lighting);
    row.ev100 = place.settings.ev100();
    row.settings = words::settings(&place.settings);
    row.settings_change_flash_stops = place.settings_change.and_then(|c| c.flash());
    row.settings_change_ambient_stops = place.settings_change.map(|c| c.ambient());
    row.picture_change_stops = place.picture_change;
    row.light_change_stops = place.light_change.and_then(|l| l.stops);
    row.light_change_stops_low = place.light_change.map(|l| l.low);
    row.light_change_stops_high = place.light_change.map(|l| l.high);
}

fn measured_cells(row: &mut FrameRow, m: &Measurement) {
    let percent = |count: u64| Some(100.0 * count as f64 / m.pixels().max(1) as f64);
    let [r, g, b] = m.clipping.highlights_rgb;
    row.mean_luminance = Some(m.mean_luminance);
    row.mean_luminance_stops = level_stops(m.mean_luminance);
    row.median_luminance = Some(m.median_luminance);
    row.highlights_clipped_percent = percent(m.clipping.highlights);
    row.highlights_clipped_r_percent = percent(r);
    row.highlights_clipped_g_percent = percent(g);
    row.highlights_clipped_b_percent = percent(b);
    row.shadows_clipped_percent = percent(m.clipping.shadows);
    row.sharpness = m.sharpness;
    row.width = Some(m.width);
    row.height = Some(m.height);
    row.measured_from = match m.source {
        PixelSource::FullPicture => "full picture",
        PixelSource::EmbeddedPicture => "embedded picture",
    }
    .to_owned();
}

fn light_cells(row: &mut FrameRow, shot: &Shot, light: &SequenceLight, index: usize) {
    let Some(own) = light.shots.get(index) else { return };
    let names = |wanted: fn(&crate::light::Entry) -> bool| {
        let all = light.lights.iter().zip(&own.entries).filter(|(_, entry)| wanted(entry));
        all.map(|(light, _)| light.name.replace(';', ",")).collect::<Vec<_>>().join(";")
    };
    let on = names(|entry| entry.on == Told::Yes);
    let all_off = !own.entries.is_empty() && own.entries.iter().all(|entry| entry.on == Told::No);
    row.lights = if all_off { "none".to_owned() } else { on };
    row.misfires = names(|entry| entry.misfire == Told::Yes);
    let ambient = ambient::state(shot, own);
    row.ambient_stops = ambient.stops;
    row.ambient_stops_low = ambient.stops_low;
    row.ambient_stops_high = ambient.stops_high;
    row.ambient_share_percent = ambient.share_percent;
    row.ambient_headroom_stops = ambient.headroom_stops;
    row.ambient = ambient.words;
}

/// ISO 8601 with the fraction's own digits and the offset where known: "2026-11-07T16:20:01.35+01:00".
pub fn iso8601(taken: &Taken) -> String {
    let t = taken.local;
    let mut text =
        format!("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", t.year(), t.month(), t.day(), t.hour(), t.minute(), t.second());
    let nanos = format!("{:09}", t.subsec_nanosecond());
    if let Some(fraction) = nanos.get(..usize::from(taken.fraction_digits.min(9))).filter(|f| !f.is_empty()) {
        text.push('.');
        text.push_str(fraction);
    }
    if let Some(offset) = taken.offset_minutes {
        let sign = if offset < 0 { '-' } else { '+' };
        text.push_str(&format!("{sign}{:02}:{:02}", offset.unsigned_abs() / 60, offset.unsigned_abs() % 60));
    }
    text
}
