//! Lighting a shot anew: sums with a known answer, lightings that were really shot later, and truth from the renderer

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod known;
mod later;
mod read;
