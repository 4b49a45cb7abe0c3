//! What follows from a solved scene, in its order: wrong powers, late notes, twins, drifts, and what cannot be said.

use super::twins::Twins;
use super::{cannot, drift, late, runs};
use crate::light::SequenceLight;
use crate::shots::Sequence;

/// Fills in all that is worked out from the entries alone. `shots` are those the pictures could be compared in.
pub fn follow(ledger: &mut SequenceLight, sequence: &Sequence, shots: &[usize], twins: &Twins, seconds: &[f64]) {
    runs::settle(ledger, shots);
    late::mark(ledger, shots);
    let mut when = vec![None; sequence.shots.len()];
    for (&shot, &seconds) in shots.iter().zip(seconds) {
        if let Some(when) = when.get_mut(shot) {
            *when = Some(seconds);
        }
    }
    drift::fill(ledger, &when);
    twins.say(ledger);
    cannot::say(ledger, sequence);
}
