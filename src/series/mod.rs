//! Series: near-identical shots taken seconds apart within a stage, and how each shot stands among its own.

use crate::shots::Sequence;
use crate::stages::Stages;

/// Near-identical shots of one stage, seconds apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Series {
    /// Index of the sequence.
    pub sequence: usize,
    /// Number of the stage, from 1.
    pub stage: u32,
    /// Indices of its shots in the sequence, in shooting order; one shot alone is a series too.
    pub shots: Vec<usize>,
}

/// All series, cameras one after the other, in shooting order; the series numbered n stands at n - 1.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AllSeries {
    /// In order.
    pub series: Vec<Series>,
    /// For every sequence and shot the number of its series, from 1; None for a shot of no stage or without a picture.
    pub shots: Vec<Vec<Option<u32>>>,
}

/// Finds the series of every stage.
#[must_use]
pub fn split(sequences: &[Sequence], stages: &Stages) -> AllSeries {
    let _ = stages;
    AllSeries { series: Vec::new(), shots: sequences.iter().map(|s| vec![None; s.shots.len()]).collect() }
}
