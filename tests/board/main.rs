//! The light board in a browser: what it shows against shots that were really taken, and against the same sums in Rust

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]
#![allow(dead_code)]

#[path = "../browser/driver.rs"]
mod driver;
#[path = "../relight/read.rs"]
mod read;

mod bracket;
mod moved;
mod seen;
