//! Counts keepers per stage, setup, lighting, lens and light, by series, and says which shots were candidates

pub mod candidates;
pub mod compare;
pub mod tally;

use std::collections::BTreeMap;

use crate::keepers::{Choice, Match, ShotId};
use crate::light::{LightLedger, Told};
use crate::series::AllSeries;
use crate::shots::Sequence;
use crate::stages::{Stage, Stages};

use candidates::{judged, runs, standings};
use compare::{Comparison, Lit, compare};
use tally::{Counted, Tally};

/// Everything that was counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    /// Whether ratings said which shots were looked at; otherwise the shape of the shoot did.
    pub judged: bool,
    /// Keepers given.
    pub given: usize,
    /// Of these, keepers that are no shot of this shoot.
    pub not_found: usize,
    /// The whole shoot.
    pub whole: Tally,
    /// By stage; the stage numbered n stands at n - 1.
    pub stages: Vec<Tally>,
    /// By setup.
    pub setups: BTreeMap<u32, Tally>,
    /// By lighting; empty while lights are not told apart.
    pub lightings: BTreeMap<u32, Tally>,
    /// Seconds each lighting was shot, first shot to last, over all its runs. None where a time is not known.
    pub lighting_seconds: BTreeMap<u32, Option<f64>>,
    /// By lens in words, in order of first use.
    pub lenses: Vec<(String, Tally)>,
    /// By light set on, in the ledger's order; a light of one name on two cameras is one light.
    pub lights: Vec<(String, Tally)>,
    /// Camera whose lightings are compared, where there are several.
    pub compared_camera: Option<String>,
    /// Whether one lighting gave more.
    pub comparison: Comparison,
}

/// Counts the keepers. None where none were asked for: then nothing is counted, which is not zero.
#[must_use]
pub fn count(
    choice: Option<&Choice>,
    series: &AllSeries,
    sequences: &[Sequence],
    stages: &Stages,
    ledger: &LightLedger,
) -> Option<Count> {
    let choice = choice?;
    let standings = standings(choice, sequences, stages, ledger);
    let counted = Counted { choice, series, standings: &standings };
    let of = |wanted: &dyn Fn(&Stage) -> bool| counted.tally(&|id| stage_of(stages, id).is_some_and(|s| wanted(s.1)));
    let lightings = by(stages, |s| s.lighting, &of);
    let (compared_camera, comparison) = compared(sequences, stages, &lightings);
    Some(Count {
        judged: judged(choice),
        given: choice.keepers.len(),
        not_found: choice.keepers.iter().filter(|k| k.matched == Match::None).count(),
        whole: counted.tally(&|_| true),
        stages: (1..)
            .zip(&stages.stages)
            .map(|(n, _)| counted.tally(&|id| stage_of(stages, id).is_some_and(|s| s.0 == n)))
            .collect(),
        setups: by(stages, |s| Some(s.setup), &of),
        lighting_seconds: seconds(sequences, stages, &lightings),
        lightings,
        lenses: lenses(stages, &of),
        lights: lights(ledger, &counted),
        compared_camera,
        comparison,
    })
}

/// A shot's stage with its number.
fn stage_of(stages: &Stages, id: ShotId) -> Option<(u32, &Stage)> {
    let number = stages.shots.get(id.sequence)?.get(id.shot)?.stage?;
    Some((number, stages.stages.get((number as usize).checked_sub(1)?)?))
}

/// Makes the tally of the stages that are wanted.
type Tallied<'a> = &'a dyn Fn(&dyn Fn(&Stage) -> bool) -> Tally;

/// A tally for every number that the stages have.
fn by(stages: &Stages, number: fn(&Stage) -> Option<u32>, of: Tallied) -> BTreeMap<u32, Tally> {
    let mut tallies = BTreeMap::new();
    for own in stages.stages.iter().filter_map(number) {
        tallies.entry(own).or_insert_with(|| of(&|stage| number(stage) == Some(own)));
    }
    tallies
}

fn lenses(stages: &Stages, of: Tallied) -> Vec<(String, Tally)> {
    let mut tallies: Vec<(String, Tally)> = Vec::new();
    for stage in &stages.stages {
        if !tallies.iter().any(|(lens, _)| *lens == stage.lens) {
            tallies.push((stage.lens.clone(), of(&|other| other.lens == stage.lens)));
        }
    }
    tallies
}

fn lights(ledger: &LightLedger, counted: &Counted) -> Vec<(String, Tally)> {
    let mut tallies: Vec<(String, Tally)> = Vec::new();
    for light in ledger.sequences.iter().flat_map(|s| &s.lights) {
        if tallies.iter().any(|(name, _)| *name == light.name) {
            continue;
        }
        let set_on = |id: ShotId| {
            let Some(own) = ledger.sequences.get(id.sequence) else { return false };
            let entries = own.shots.get(id.shot).map_or(&[][..], |shot| &shot.entries);
            own.lights.iter().zip(entries).any(|(l, entry)| l.name == light.name && entry.setting.on == Told::Yes)
        };
        tallies.push((light.name.clone(), counted.tally(&set_on)));
    }
    tallies
}

/// How long each lighting was shot.
fn seconds(sequences: &[Sequence], stages: &Stages, lightings: &BTreeMap<u32, Tally>) -> BTreeMap<u32, Option<f64>> {
    let mut total: BTreeMap<u32, Option<f64>> = lightings.keys().map(|lighting| (*lighting, Some(0.0))).collect();
    for (index, sequence) in sequences.iter().enumerate() {
        for run in runs(index, sequence.shots.len(), stages) {
            let (Some(lighting), Some(first), Some(last)) = (run.lighting, run.shots.first(), run.shots.last()) else {
                continue;
            };
            let timed = sequence.shots.get(*first).is_some_and(|s| s.taken.is_some());
            let gaps = sequence.shots.iter().take(last + 1).skip(first + 1).map(|s| s.seconds_since_previous);
            let own = gaps.sum::<Option<f64>>().filter(|_| timed);
            if let Some(sum) = total.get_mut(&lighting) {
                // Cameras give at most nanoseconds; anything finer is the sum's own rounding.
                *sum = sum.zip(own).map(|(a, b)| libm::round((a + b) * 1e9) / 1e9);
            }
        }
    }
    total
}

/// Compares the lightings of the camera with most candidate series: two bodies have their own lightings, though the
/// lights may be the same ones.
fn compared(sequences: &[Sequence], stages: &Stages, lightings: &BTreeMap<u32, Tally>) -> (Option<String>, Comparison) {
    let of_camera = |index: usize| -> Vec<Lit> {
        let own = |lighting: u32| stages.stages.iter().any(|s| s.sequence == index && s.lighting == Some(lighting));
        let series = lightings.iter().filter(|(lighting, _)| own(**lighting));
        series.filter_map(|(lighting, tally)| Some(Lit { lighting: *lighting, series: tally.series? })).collect()
    };
    let size = |lit: &[Lit]| lit.iter().map(|l| l.series.all).sum::<u32>();
    let cameras = (0..sequences.len()).map(|index| (index, of_camera(index)));
    // The first of equals.
    let Some((index, lit)) = cameras.rev().max_by_key(|(_, lit)| size(lit)) else { return (None, Comparison::NotTold) };
    let camera = sequences.get(index).filter(|_| sequences.len() > 1).map(|s| s.camera.clone());
    if lit.is_empty() { (None, Comparison::NotTold) } else { (camera, compare(&lit)) }
}
