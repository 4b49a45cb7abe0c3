//! Light with a known answer: scenes added up in linear light, written as a camera's files, and told by the whole program

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod adding;
mod bracket;
mod fields;
mod files;
mod misfires;
mod refused;
mod settings;
mod shoot;
#[path = "../support/mod.rs"]
mod support;
