//! What follows from a filled light ledger: lightings, stages, rows, words, findings, pictures, on shoots made by hand

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod accounts;
mod findings;
mod keepers;
mod known;
mod lightings;
mod made;
mod next_time;
mod pictures;
mod rows;
mod stands;
mod words;
