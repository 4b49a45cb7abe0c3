//! Which shots were candidates: the photographer could have kept them, and would have for what the lighting did
//!
//! A picture that could not be kept says nothing against its lighting: a test of the build, a light that did not burn, a
//! shot nobody looked at.

use std::collections::BTreeSet;

use crate::keepers::{Choice, ShotId};
use crate::light::{LightLedger, Told};
use crate::shots::Sequence;
use crate::stages::Stages;

/// A run of at most so many shots at one lighting may be a test: one to read, one or two to correct (common practice, no
/// source).
pub const TEST_SHOTS: usize = 3;

/// Seconds within which another lighting follows a test: the walk to a stand and back (common practice, no source).
pub const TEST_GAP_S: f64 = 300.0;

/// Whether a shot was a candidate, or why not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It was.
    Candidate,
    /// Nobody judged it, where others were judged.
    NotJudged,
    /// No picture of it could be read.
    NoPicture,
    /// A light that was set on did not burn.
    Misfire,
    /// A test of the build.
    Test,
}

/// Whether ratings say which shots were looked at; otherwise the shape of the shoot has to. Stars given to keepers alone
/// do not: then every judged shot is kept, and a rate among them would say nothing.
#[must_use]
pub fn judged(choice: &Choice) -> bool {
    let kept = |id: &ShotId| choice.keepers.iter().any(|keeper| keeper.shots == [*id]);
    choice.judged.iter().any(|id| !kept(id))
}

/// Every shot's standing, by sequence and shot.
#[must_use]
pub fn standings(choice: &Choice, sequences: &[Sequence], stages: &Stages, ledger: &LightLedger) -> Vec<Vec<Standing>> {
    // What is kept, or may be, was a candidate, whatever else is said of it.
    let kept: BTreeSet<ShotId> = choice.keepers.iter().flat_map(|keeper| &keeper.shots).copied().collect();
    let judged = judged(choice);
    let looked_at: BTreeSet<ShotId> = choice.judged.iter().copied().collect();
    let one = |(sequence, shots): (usize, &Sequence)| {
        let tests = tests(sequence, shots, stages, &kept);
        let standing = |(shot, test): (usize, bool)| {
            let id = ShotId { sequence, shot };
            let picture = shots.shots.get(shot).is_some_and(|s| s.measurement.is_some());
            match () {
                () if kept.contains(&id) => Standing::Candidate,
                () if judged && looked_at.contains(&id) => Standing::Candidate,
                () if judged => Standing::NotJudged,
                () if !picture => Standing::NoPicture,
                () if misfired(ledger, sequence, shot) => Standing::Misfire,
                () if test => Standing::Test,
                () => Standing::Candidate,
            }
        };
        tests.into_iter().enumerate().map(standing).collect()
    };
    sequences.iter().enumerate().map(one).collect()
}

fn misfired(ledger: &LightLedger, sequence: usize, shot: usize) -> bool {
    ledger.shot(sequence, shot).is_some_and(|light| light.entries.iter().any(|entry| entry.misfire == Told::Yes))
}

/// Which shots of a camera are tests: a run at one lighting, short, none of it kept, with another lighting soon after.
/// Where a lighting or a time is not told, nothing is called a test.
fn tests(sequence: usize, shots: &Sequence, stages: &Stages, kept: &BTreeSet<ShotId>) -> Vec<bool> {
    let mut tests = vec![false; shots.shots.len()];
    let runs = runs(sequence, shots.shots.len(), stages);
    for (run, after) in runs.iter().zip(runs.iter().skip(1)) {
        let soon = after.shots.first().zip(run.shots.last()).is_some_and(|(first, last)| {
            let gaps = shots.shots.iter().take(first + 1).skip(last + 1).map(|s| s.seconds_since_previous);
            gaps.sum::<Option<f64>>().is_some_and(|seconds| seconds <= TEST_GAP_S)
        });
        let told = run.lighting.is_some() && after.lighting.is_some();
        let nothing_kept = !run.shots.iter().any(|shot| kept.contains(&ShotId { sequence, shot: *shot }));
        if told && soon && nothing_kept && run.shots.len() <= TEST_SHOTS {
            for shot in &run.shots {
                if let Some(test) = tests.get_mut(*shot) {
                    *test = true;
                }
            }
        }
    }
    tests
}

/// Consecutive shots of one camera at one lighting, whatever their settings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// The lighting; None where it is not told.
    pub lighting: Option<u32>,
    /// Indices of its shots in the sequence, in order.
    pub shots: Vec<usize>,
}

/// The runs of a camera in shooting order; shots without a stage take no part.
#[must_use]
pub fn runs(sequence: usize, shots: usize, stages: &Stages) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for shot in 0..shots {
        let number = stages.shots.get(sequence).and_then(|places| places.get(shot)?.stage);
        let stage = number.and_then(|n| stages.stages.get((n as usize).checked_sub(1)?));
        let Some(lighting) = stage.map(|stage| stage.lighting) else { continue };
        match runs.last_mut() {
            Some(run) if run.lighting == lighting => run.shots.push(shot),
            _ => runs.push(Run { lighting, shots: vec![shot] }),
        }
    }
    runs
}
