//! What a shoot teaches for the next time, as arithmetic on plain values: no rows, no words, no pictures.
//!
//! Each file holds one rule with its worked examples. `assemble::next_time` asks them about the ledger's figures.

pub mod aperture;

pub mod distance;
pub mod gaps;
pub mod guide_number;
pub mod headroom;
pub mod heads;
pub mod power;

pub use heads::{GuideNumber, Heads, LowestPower};
