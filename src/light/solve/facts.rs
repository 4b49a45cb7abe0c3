//! What follows from a solved scene, in its order: wrong powers, late notes, twins, drifts, and what cannot be said.

use super::twins::Twins;
use super::{cannot, drift, late, runs};
use crate::light::SequenceLight;
use crate::shots::{Sequence, Shot};

/// Fills in all that is worked out from the entries alone. `shots` are those the pictures could be compared in.
pub fn follow(ledger: &mut SequenceLight, sequence: &Sequence, shots: &[usize], twins: &Twins, seconds: &[f64]) {
    runs::settle(ledger, shots, &stages(ledger, sequence));
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

/// Numbers the shots: a new number wherever a light was set otherwise or the camera was.
fn stages(ledger: &SequenceLight, sequence: &Sequence) -> Vec<usize> {
    let lights = drift::conditions(ledger);
    let mut number = 0;
    let changed = |a: &Shot, b: &Shot| {
        let (a, b) = (&a.metadata, &b.metadata);
        a.f_number != b.f_number || a.iso != b.iso || a.exposure_time_s != b.exposure_time_s || a.lens != b.lens
    };
    let pairs = sequence.shots.windows(2).zip(lights.windows(2)).map(|(shots, lights)| {
        let camera = matches!(shots, [a, b] if changed(a, b));
        number += usize::from(camera || matches!(lights, [a, b] if a != b));
        number
    });
    std::iter::once(0).chain(pairs).collect()
}
