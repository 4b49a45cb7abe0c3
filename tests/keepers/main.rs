//! The photographer's choice: every spelling of a name, exports that lie, ratings in every form, and ratings written back

#[path = "../support/mod.rs"]
mod support;

mod exports;
mod lists;
mod names;
mod program;
mod random;
mod ratings;
mod scene;
mod write;
