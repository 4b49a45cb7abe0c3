//! What a file says about itself: read from blocks and containers that hold one peculiarity each.

// A test that reaches past its own bytes is wrong: it stops.
#![allow(clippy::indexing_slicing, clippy::unwrap_used)]

#[path = "../support/tiff.rs"]
mod support;

mod containers;
mod damage;
mod embedded;
mod frame;
mod hostile;
mod lesser;
mod real;
mod settings;
mod time;
