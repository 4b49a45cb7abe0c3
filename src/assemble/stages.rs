//! The rows of stages.csv and their accounts.

use std::collections::BTreeMap;

use crate::exposure::Settings;
use crate::light::{LightLedger, Told};
use crate::report::{AccountLine, BroughtLevel, StageAccount, StageDetail, StageRow};
use crate::shots::{Sequence, Shot};
use crate::stages::as_set::{as_set, cell, median};
use crate::stages::{InStage, Stage, Stages, changed, level, level_stops};

use super::frames::iso8601;
use super::light_account;

/// The settings used by most shots, by which marks of all stages can be compared; the earlier of two equals.
pub fn reference(stages: &Stages) -> Option<Settings> {
    let mut used: BTreeMap<u32, (usize, Settings)> = BTreeMap::new();
    for stage in stages.stages.iter().filter(|s| s.settings.ev100().is_some()) {
        // Setups differ by lens too; shots at the same settings count together under the first of them.
        let first = stages.stages.iter().find(|s| s.settings == stage.settings).map_or(stage.setup, |s| s.setup);
        used.entry(first).or_insert((0, stage.settings)).0 += stage.shots.len();
    }
    let most = used.values().map(|(count, _)| *count).max()?;
    used.values().find(|(count, _)| *count == most).map(|(_, settings)| *settings)
}

/// A row per stage.
pub fn rows(
    sequences: &[Sequence],
    stages: &Stages,
    ledger: &LightLedger,
    reference: Option<&Settings>,
) -> Vec<StageRow> {
    let offsets: Vec<usize> = sequences
        .iter()
        .scan(0, |total, sequence| {
            let here = *total;
            *total += sequence.shots.len();
            Some(here)
        })
        .collect();
    let mut rows = Vec::new();
    let mut before: Option<&Stage> = None;
    for (number, stage) in (1..).zip(&stages.stages) {
        let own = before.filter(|b| b.sequence == stage.sequence);
        if let (Some(sequence), Some(places), Some(offset)) =
            (sequences.get(stage.sequence), stages.shots.get(stage.sequence), offsets.get(stage.sequence))
        {
            let mut row = Rung { number, stage, before: own, sequence, places, offset: *offset }.row(reference);
            lights(&mut row, sequences, stages, ledger, stage.sequence);
            rows.push(row);
        }
        before = Some(stage);
    }
    rows
}

/// Fills what a row says of the lights.
fn lights(row: &mut StageRow, sequences: &[Sequence], stages: &Stages, ledger: &LightLedger, sequence: usize) {
    let shots = stages.members(row.stage);
    let lights_before = ledger.sequences.iter().take(sequence).map(|s| s.lights.len()).sum();
    row.detail.light_account = light_account::account(sequences, ledger, sequence, &shots, lights_before);
    row.lights = cell(&as_set(ledger, sequence, &shots));
    row.misfires = ledger.sequences.get(sequence).filter(|light| !light.lights.is_empty()).map(|light| {
        let entries = shots.iter().filter_map(|s| light.shots.get(*s)).flat_map(|shot| &shot.entries);
        u32::try_from(entries.filter(|e| e.misfire == Told::Yes).count()).unwrap_or(u32::MAX)
    });
}

/// Everything one row is made from.
struct Rung<'a> {
    number: u32,
    stage: &'a Stage,
    before: Option<&'a Stage>,
    sequence: &'a Sequence,
    places: &'a [InStage],
    /// Index of the sequence's first shot in the report's frames.
    offset: usize,
}

impl Rung<'_> {
    fn row(&self, reference: Option<&Settings>) -> StageRow {
        let Self { stage, sequence, .. } = self;
        let members = self.members();
        let (first, last) = (members.first().map(|(_, shot)| *shot), members.last().map(|(_, shot)| *shot));
        let focal = |shot: &&Shot| shot.metadata.focal_length_mm;
        let one_focal = first.as_ref().and_then(focal).filter(|mm| members.iter().all(|(_, s)| focal(s) == Some(*mm)));
        let place = self.places.get(stage.shots.start).cloned().unwrap_or_default();
        let mean_luminance_stops = self.median_level();
        StageRow {
            stage: self.number,
            setup: stage.setup,
            lighting: stage.lighting,
            camera: sequence.camera.clone(),
            first_frame: first.map(|s| s.frame.clone()).unwrap_or_default(),
            last_frame: last.map(|s| s.frame.clone()).unwrap_or_default(),
            frames: members.len(),
            started: first.and_then(|s| s.taken.as_ref()).map(iso8601).unwrap_or_default(),
            seconds: self.seconds(),
            lens: stage.lens.clone(),
            focal_length_mm: one_focal,
            f_number: stage.settings.aperture.map(|m| m.marked),
            exposure_time_s: stage.settings.shutter.map(|m| m.marked),
            iso: first.and_then(|s| s.metadata.iso),
            changed: changed::sentence(self.before, stage, &place),
            mean_luminance_stops,
            light_change_stops: place.light_change.and_then(|l| l.stops),
            settings: stage.marked(),
            detail: StageDetail {
                headline: changed::headline(self.before, stage),
                first_index: self.offset + stage.shots.start,
                typical_index: self.typical(),
                first_met_in_stage: stage.first_met,
                account: self.before.map(|before| self.account(before, &place)),
                level: mean_luminance_stops.zip(reference).and_then(|(level, r)| brought(level, &stage.settings, r)),
                light_account: None,
            },
            ..StageRow::default()
        }
    }

    /// The stage's shots with their index in the sequence; shots of which nothing is known are not members.
    fn members(&self) -> Vec<(usize, &Shot)> {
        let range = self.stage.shots.clone();
        let within = self.sequence.shots.iter().enumerate().zip(self.places).take(range.end).skip(range.start);
        within.filter(|(_, place)| place.stage == Some(self.number)).map(|((index, shot), _)| (index, shot)).collect()
    }

    /// Median over the stage's shots of the mean luminance in stops: of the two in the middle, their mean.
    fn median_level(&self) -> Option<f64> {
        median(self.members().iter().filter_map(|(_, shot)| level(shot)).collect())
    }

    /// Index in the report's frames of the shot nearest the median level; the first shot when none was measured.
    fn typical(&self) -> usize {
        let median = self.median_level().unwrap_or(f64::INFINITY);
        let away = |shot: &Shot| level(shot).map_or(f64::INFINITY, |l| (l - median).abs());
        let nearest = self.members().into_iter().min_by(|a, b| away(a.1).total_cmp(&away(b.1)));
        self.offset + nearest.map_or(self.stage.shots.start, |(index, _)| index)
    }

    fn seconds(&self) -> Option<f64> {
        // A gap that is not known inside the stage (a jump of the clock) makes its length unknown.
        let members = self.members();
        members.first().filter(|(_, shot)| shot.taken.is_some())?;
        let gaps = members.iter().skip(1).map(|(_, shot)| shot.seconds_since_previous);
        let total = gaps.collect::<Option<Vec<f64>>>()?.iter().fold(0.0, |sum, gap| sum + gap);
        // Cameras give at most nanoseconds; anything finer is the sum's own rounding.
        Some(libm::round(total * 1e9) / 1e9)
    }

    fn account(&self, before: &Stage, place: &InStage) -> StageAccount {
        let start = self.stage.shots.start;
        let at = |index: usize| {
            self.sequence
                .shots
                .get(index)
                .and_then(|s| s.measurement.as_ref())
                .and_then(|m| level_stops(m.mean_luminance))
        };
        let lines = changed::turned(before, self.stage, place.settings_change.as_ref());
        StageAccount {
            brought_forward_stops: start.checked_sub(1).and_then(at),
            lines: lines
                .into_iter()
                .map(|t| AccountLine {
                    setting: t.setting.to_owned(),
                    from: t.from,
                    to: t.to,
                    flash_stops: t.flash,
                    ambient_stops: t.ambient,
                })
                .collect(),
            settings_flash_stops: place.settings_change.and_then(|c| c.flash()),
            settings_ambient_stops: place.settings_change.map(|c| c.ambient()),
            picture_stops: place.picture_change,
            light_stops: place.light_change.and_then(|l| l.stops),
            light_stops_low: place.light_change.map(|l| l.low),
            light_stops_high: place.light_change.map(|l| l.high),
            stands_at_stops: at(start),
            why_unknown: why_unknown(place).to_owned(),
        }
    }
}

/// Why the light's part is not one number, in words; empty when it is.
fn why_unknown(place: &InStage) -> &'static str {
    match (&place.settings_change, place.picture_change, &place.light_change) {
        (None, _, _) => "a setting of this shot or the one before is not known",
        (Some(change), _, _) if change.above_sync => {
            "the shutter moved above sync speed, where its effect on flash is not claimed"
        }
        (_, None, _) => "this shot or the one before has no measured light",
        (_, _, Some(light)) if light.stops.is_none() => {
            "the shutter moved, and how much of the picture is ambient is not known"
        }
        _ => "",
    }
}

/// A level brought to the reference settings: if all of its light were flash, and if all were ambient.
fn brought(level: f64, own: &Settings, reference: &Settings) -> Option<BroughtLevel> {
    let gain = |s: &Settings| Some(s.iso?.stops - s.aperture?.stops);
    let flash = level + gain(reference)? - gain(own)?;
    let shutter = own.shutter?.stops - reference.shutter?.stops;
    Some(BroughtLevel { flash_stops: flash, ambient_stops: flash + shutter })
}
