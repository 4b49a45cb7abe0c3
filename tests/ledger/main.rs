//! What follows from a filled light ledger: lightings, stages, rows, words, findings, pictures, on shoots made by hand

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod findings;
mod lightings;
mod made;
mod rows;
mod words;
