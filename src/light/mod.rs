//! The room of the light ledger: which light did what in which shot, told from the pictures and the notes.
//!
//! [`ledger`] holds the types that stages, audit, assemble and report read; everything else of this room fills them.

pub mod ledger;
pub mod lightings;
pub mod solve;

pub use ledger::{
    Agreement, AmbientEntry, Entry, Evidence, Light, LightLedger, LightPicture, Place, SequenceLight, Setting,
    ShotLight, Stops, Told, ToneCurve,
};
pub use solve::account::Method;

use crate::notes::LightNotes;
use crate::shots::Sequence;

/// Tells the lights of every camera's shots. `sync_time_s` is the shortest time at which the whole frame is open for a
/// flash. `method` leaves parts of the computation out where something other than the default is asked for.
#[must_use]
pub fn tell(sequences: &[Sequence], notes: &LightNotes, sync_time_s: f64, method: Method) -> LightLedger {
    let of = |sequence: &Sequence| solve::tell(sequence, &notes.of(sequence), &notes.subjects, sync_time_s, method);
    let mut ledger = LightLedger { sequences: sequences.iter().map(of).collect() };
    let mut next = 1;
    for light in &mut ledger.sequences {
        next = lightings::number(light, next);
    }
    ledger
}
