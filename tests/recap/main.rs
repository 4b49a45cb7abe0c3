//! What must hold of the recap: what its chapters say, how it renders, what it draws, what it weighs.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod chapters;
mod page;
mod plan;
mod prints;
mod ratios;
mod renderers;
#[path = "../support/mod.rs"]
mod support;
mod words;
