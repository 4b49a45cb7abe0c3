//! The photographer's light notes: every spelling read or named, what holds from which shot, and the draft that comes back

#[path = "../support/mod.rs"]
mod support;

mod scene;
mod spellings;
