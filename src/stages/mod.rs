//! Splits each camera's shots into stages: runs with the same lens, settings and lighting.

pub mod as_set;
pub mod changed;
pub mod purpose;
pub mod relit;

use std::ops::Range;

use crate::exposure::account::{LightChange, SettingsChange};
use crate::exposure::marks::{self, Step};
use crate::exposure::{Settings, words};
use crate::light::LightLedger;
use crate::metadata::{Lens, Metadata};
use crate::shots::{Sequence, Shot};

/// Mid-grey in linear light, the zero of all levels in stops: 18 %.
pub const MID_GREY: f64 = 0.18;

/// Stops of a mean luminance from mid-grey; None for a picture without any light.
#[must_use]
pub fn level_stops(mean_luminance: f64) -> Option<f64> {
    (mean_luminance > 0.0).then(|| libm::log2(mean_luminance / MID_GREY))
}

/// A run of shots of one camera with the same lens, settings and lighting.
#[derive(Clone, Debug)]
pub struct Stage {
    /// Index of the sequence.
    pub sequence: usize,
    /// Indices of its shots in the sequence. Shots without any settings inside the range take no part.
    pub shots: Range<usize>,
    /// Its setup, from 1: the same camera, lens, settings and lighting have the same number.
    pub setup: u32,
    /// Number of the stage, from 1, where this setup was first met; None when that is this stage.
    pub first_met: Option<u32>,
    /// Lighting, where known.
    pub lighting: Option<u32>,
    /// Lens in words.
    pub lens: String,
    /// Settings.
    pub settings: Settings,
    /// What the lights as set did since the stage before of the same camera, one part each, in words; empty when
    /// nothing, or while the lights are not told apart.
    pub relit: Vec<String>,
}

/// Stages of all cameras, and what each shot's place in them means.
#[derive(Clone, Debug, Default)]
pub struct Stages {
    /// In order; the stage numbered n stands at n - 1.
    pub stages: Vec<Stage>,
    /// For every sequence and shot.
    pub shots: Vec<Vec<InStage>>,
}

/// A shot's place and its account against the shot before.
#[derive(Clone, Debug, Default)]
pub struct InStage {
    /// Stage number, from 1; None for a shot of which nothing is known.
    pub stage: Option<u32>,
    /// Exact settings.
    pub settings: Settings,
    /// Settings change against the shot before of the same camera.
    pub settings_change: Option<SettingsChange>,
    /// Picture change against the shot before, in stops.
    pub picture_change: Option<f64>,
    /// What the light or the scene did.
    pub light_change: Option<LightChange>,
}

/// Splits all sequences. `sync_time_s` is the shortest time at which the whole frame is open for a flash.
#[must_use]
pub fn split(sequences: &[Sequence], ledger: &LightLedger, sync_time_s: f64) -> Stages {
    let mut result = Stages::default();
    let mut setups: Vec<(usize, String, Settings, Option<u32>, u32)> = Vec::new();
    for (s, sequence) in sequences.iter().enumerate() {
        let step = dial(sequence);
        let mut places: Vec<InStage> = sequence.shots.iter().map(|shot| place(shot, step)).collect();
        let blind = places.iter().all(|place| place.settings.unknown());
        let lit = ledger.sequences.get(s).is_some_and(|light| !light.lights.is_empty());
        let lightings = bridged(ledger, s, sequence.shots.len());
        for (index, ((shot, place), lighting)) in sequence.shots.iter().zip(&mut places).zip(lightings).enumerate() {
            if nothing_known(&shot.metadata, &place.settings) && !blind {
                continue;
            }
            let lens = lens_words(&shot.metadata);
            let number = match result.stages.last_mut() {
                Some(last)
                    if last.sequence == s
                        && last.lens == lens
                        && last.settings == place.settings
                        && last.lighting == lighting =>
                {
                    last.shots.end = index + 1;
                    result.stages.len()
                }
                _ => {
                    // Lights that are not told here may be any: such a setup is never met again.
                    let known = setups
                        .iter()
                        .filter(|_| lighting.is_some() || !lit)
                        .position(|(a, b, c, d, _)| (*a, b, c, *d) == (s, &lens, &place.settings, lighting));
                    let first_met = known.and_then(|k| setups.get(k)).map(|setup| setup.4);
                    let next = count(result.stages.len() + 1);
                    if known.is_none() {
                        setups.push((s, lens.clone(), place.settings, lighting, next));
                    }
                    let setup = count(known.map_or(setups.len(), |k| k + 1));
                    result.stages.push(Stage {
                        sequence: s,
                        shots: index..index + 1,
                        setup,
                        first_met,
                        lighting,
                        lens,
                        settings: place.settings,
                        relit: Vec::new(),
                    });
                    result.stages.len()
                }
            };
            place.stage = Some(count(number));
        }
        account(&sequence.shots, &mut places, sync_time_s);
        result.shots.push(places);
    }
    relit::fill(&mut result, ledger);
    result
}

/// The lighting of every shot, a gap between two shots of one lighting closed: a shot that nobody can tell does not
/// cut a stage in two.
fn bridged(ledger: &LightLedger, sequence: usize, shots: usize) -> Vec<Option<u32>> {
    let mut lightings: Vec<Option<u32>> = (0..shots).map(|index| ledger.lighting(sequence, index)).collect();
    let known: Vec<usize> = lightings.iter().enumerate().filter(|(_, l)| l.is_some()).map(|(index, _)| index).collect();
    for pair in known.windows(2) {
        let [from, to] = *pair else { continue };
        let lighting = lightings.get(from).copied().flatten();
        if lighting == lightings.get(to).copied().flatten() {
            lightings.iter_mut().take(to).skip(from).for_each(|l| *l = lighting);
        }
    }
    lightings
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// The dial step that a camera's marks show.
fn dial(sequence: &Sequence) -> Step {
    let all = || sequence.shots.iter().map(|shot| &shot.metadata);
    marks::dial_step(
        all().filter_map(|m| m.f_number).map(|m| m.value()),
        all().filter_map(|m| m.exposure_time_s).map(|m| m.value()),
        all().filter_map(|m| m.iso).map(f64::from),
    )
}

fn place(shot: &Shot, step: Step) -> InStage {
    InStage { settings: Settings::of(&shot.metadata, step), ..InStage::default() }
}

fn nothing_known(metadata: &Metadata, settings: &Settings) -> bool {
    settings.unknown() && metadata.lens == Lens::Unknown && metadata.focal_length_mm.is_none()
}

/// Fills the accounts between neighbours of one camera. A neighbour without figures is stepped over for nothing: the
/// account is always against the very shot before, so that the numbers of a column add up.
fn account(shots: &[Shot], places: &mut [InStage], sync_time_s: f64) {
    let levels: Vec<Option<f64>> = shots.iter().map(level).collect();
    let settings: Vec<Settings> = places.iter().map(|p| p.settings).collect();
    let pairs = levels.windows(2).zip(settings.windows(2)).zip(places.iter_mut().skip(1));
    for ((level, setting), place) in pairs {
        let ([before, now], [from, to]) = (level, setting) else { continue };
        place.settings_change = SettingsChange::between(from, to, sync_time_s);
        place.picture_change = now.zip(*before).map(|(now, before)| now - before);
        place.light_change =
            place.settings_change.zip(place.picture_change).and_then(|(s, p)| LightChange::beyond(&s, p));
    }
}

/// A shot's mean luminance in stops from mid-grey.
#[must_use]
pub fn level(shot: &Shot) -> Option<f64> {
    shot.measurement.as_ref().and_then(|m| level_stops(m.mean_luminance))
}

/// The lens in words: its name, its range, or "unknown lens, 50 mm".
#[must_use]
pub fn lens_words(metadata: &Metadata) -> String {
    match (&metadata.lens, metadata.focal_length_mm) {
        (Lens::Named(name) | Lens::Specified(name), _) => name.clone(),
        (Lens::Unknown, Some(mm)) => format!("unknown lens, {} mm", libm::round(mm * 10.0) / 10.0),
        (Lens::Unknown, None) => "unknown lens".to_owned(),
    }
}

impl Stages {
    /// Indices in the sequence of a stage's own shots; those of which nothing is known are not members.
    #[must_use]
    pub fn members(&self, number: u32) -> Vec<usize> {
        let Some(stage) = (number as usize).checked_sub(1).and_then(|n| self.stages.get(n)) else { return Vec::new() };
        let places = self.shots.get(stage.sequence);
        let own = |index: &usize| places.and_then(|p| p.get(*index)).is_some_and(|p| p.stage == Some(number));
        stage.shots.clone().filter(own).collect()
    }
}

impl Stage {
    /// The settings as people read them.
    #[must_use]
    pub fn marked(&self) -> String {
        words::settings(&self.settings)
    }
}
