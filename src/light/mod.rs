//! The room of the light ledger: which light did what in which shot, told from the pictures and the notes.
//!
//! [`ledger`] holds the types that stages, audit, assemble and report read; everything else of this room fills them.

pub mod ledger;
pub mod solve;

pub use ledger::{
    Agreement, AmbientEntry, Entry, Evidence, Light, LightLedger, LightPicture, SequenceLight, Setting, ShotLight,
    Stops, Told, ToneCurve,
};

use crate::notes::LightNotes;
use crate::shots::Sequence;

/// Tells the lights of every camera's shots. `sync_time_s` is the shortest time at which the whole frame is open for a
/// flash.
#[must_use]
pub fn tell(sequences: &[Sequence], notes: &LightNotes, sync_time_s: f64) -> LightLedger {
    let of = |sequence: &Sequence| {
        solve::tell(sequence, &notes.of(sequence), &notes.subjects, sync_time_s, solve::account::Method::default())
    };
    LightLedger { sequences: sequences.iter().map(of).collect() }
}
