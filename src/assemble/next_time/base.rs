//! The lightings that the next time is told for, with what is noted of their lights.

use crate::exposure::Settings;
use crate::exposure::account::above_sync;
use crate::light::{SequenceLight, Told};
use crate::next_time::aperture::Dials;
use crate::next_time::power::LowEnd;
use crate::notes::NotedSequence;
use crate::report::light_types::LightState;
use crate::report::{LightingRow, Report};
use crate::stages::as_set::as_set;

use super::super::Parts;

/// A lighting, the settings of its most shot stage, and its lights that are set on.
pub struct Base<'a> {
    /// Its row.
    pub row: &'a LightingRow,
    /// `most shot`, `last`, or `most shot and last`.
    pub chosen: &'static str,
    /// Settings of its most shot stage.
    pub settings: Settings,
    /// Whether it was shot above sync speed, where nothing is claimed about flash.
    pub above_sync: bool,
    /// The lowest ISO its camera was used at, in stops above ISO 100.
    pub lowest_iso: Option<f64>,
    /// Lights set on, in the camera's order.
    pub lights: Vec<Lit<'a>>,
}

/// A light that is set on.
pub struct Lit<'a> {
    /// Its account.
    pub state: &'a LightState,
    /// Noted power, in stops against full.
    pub power: Option<f64>,
    /// What is known of the low end of its power; None without a single noted power.
    pub low: Option<LowEnd>,
    /// Metres from the sitter, as noted.
    pub distance_m: Option<f64>,
}

impl Base<'_> {
    /// Where the dials stand; None where one of them is not known.
    pub fn dials(&self) -> Option<Dials> {
        let Settings { aperture, shutter, iso } = self.settings;
        Some(Dials { av: aperture?.stops, tv: shutter?.stops, sv: iso?.stops })
    }
}

/// Each camera's most shot lighting with a light on (of equals the first), and its last one.
pub fn bases<'a>(parts: &Parts, report: &'a Report) -> Vec<Base<'a>> {
    let mut bases = Vec::new();
    for (sequence, light) in parts.ledger.sequences.iter().enumerate() {
        let burns = |row: &&LightingRow| row.detail.light_account.each_light.iter().any(|l| l.on == "yes");
        let own = || report.lightings.iter().filter(|row| row.detail.sequence == sequence).filter(burns);
        let Some(most) = own().rev().max_by_key(|row| row.frames) else { continue };
        let Some(last) = own().max_by_key(|row| row.detail.stage_numbers.iter().max()) else { continue };
        let noted = parts.sequences.get(sequence).map(|s| parts.notes.of(s)).unwrap_or_default();
        let mut add = |row, chosen| bases.push(base(parts, sequence, light, &noted, row, chosen));
        if most.lighting == last.lighting {
            add(most, "most shot and last");
        } else {
            add(most, "most shot");
            add(last, "last");
        }
    }
    bases
}

fn base<'a>(
    parts: &Parts,
    sequence: usize,
    light: &SequenceLight,
    noted: &NotedSequence,
    row: &'a LightingRow,
    chosen: &'static str,
) -> Base<'a> {
    let shots: Vec<usize> = row.detail.stage_numbers.iter().flat_map(|n| parts.stages.members(*n)).collect();
    let typical = parts.stages.members(row.detail.typical_stage);
    let set = as_set(parts.ledger, sequence, &shots);
    let states = row.detail.light_account.each_light.iter().zip(&set).enumerate();
    let lit = |(index, (state, set)): (usize, (&'a LightState, &crate::stages::as_set::AsSet))| Lit {
        state,
        power: set.setting.noted_power,
        low: lowest(light, index).map(|tried| LowEnd { said: parts.heads.lowest(&state.light), tried }),
        distance_m: distance(noted, &state.light, &typical),
    };
    let places = parts.stages.shots.get(sequence).into_iter().flatten();
    let stage = (row.detail.typical_stage as usize).checked_sub(1).and_then(|n| parts.stages.stages.get(n));
    let settings = stage.map(|s| s.settings).unwrap_or_default();
    Base {
        row,
        chosen,
        settings,
        above_sync: settings.shutter.is_some_and(|shutter| above_sync(shutter.marked, parts.sync_time_s)),
        lowest_iso: places.filter_map(|p| Some(p.settings.iso?.stops)).min_by(f64::total_cmp),
        lights: states.filter(|(_, (state, _))| state.on == "yes").map(lit).collect(),
    }
}

/// The lowest power a light is noted at while set on.
fn lowest(light: &SequenceLight, index: usize) -> Option<f64> {
    let entries = light.shots.iter().filter_map(|shot| shot.entries.get(index));
    let powers = entries.filter(|e| e.setting.on == Told::Yes).filter_map(|e| e.setting.noted_power);
    powers.min_by(f64::total_cmp)
}

/// How far a light stood from the sitter in these shots; None where that is not noted or changes.
fn distance(noted: &NotedSequence, light: &str, shots: &[usize]) -> Option<f64> {
    let index = noted.lights.iter().position(|l| l.name == light)?;
    let mut all = shots.iter().filter_map(|shot| noted.shots.get(*shot)?.get(index)).map(|said| said.stand.distance_m);
    let first = all.next()??;
    all.all(|other| other == Some(first)).then_some(first)
}
