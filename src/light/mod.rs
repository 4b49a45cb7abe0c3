//! The room of the light ledger: which light did what in which shot.
//!
//! Lights are not told apart yet, so every shot's lighting is unknown; stages then split by lens and settings alone.
//! Whatever fills the ledger later, stages, audit and report read it through this type.

use crate::shots::Sequence;

/// What is known of the light in every shot.
#[derive(Clone, Debug, Default)]
pub struct LightLedger {
    /// Number of the lighting of each shot, sequence by sequence, from 1; None where it is not known.
    lighting: Vec<Vec<Option<u32>>>,
}

impl LightLedger {
    /// A ledger that knows nothing about these shots.
    #[must_use]
    pub fn unknown(sequences: &[Sequence]) -> Self {
        Self { lighting: sequences.iter().map(|s| vec![None; s.shots.len()]).collect() }
    }

    /// The lighting of one shot; None when not known.
    #[must_use]
    pub fn lighting(&self, sequence: usize, shot: usize) -> Option<u32> {
        self.lighting.get(sequence)?.get(shot).copied().flatten()
    }
}
