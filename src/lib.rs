//! stoptally reads the folder of a shoot that was lit in stages and accounts, in stops, for every change of light.
//!
//! Data flows one way, one type per step:
//! `walk -> metadata -> measure -> shots -> light -> stages -> series -> keepers -> audit -> report`.
//! Only [`walk`], [`metadata`], [`measure`], [`notes`], [`keepers::given`] and [`ratings`] open the photographer's files;
//! [`report`] never computes. [`compare`] is a small pipeline of its own, on what earlier runs wrote.

// Where a file's bytes decide nothing may panic, and no result may depend on hash order or on the platform's maths
// library (see .clippy.toml). Tests, examples and benches are free of this.
#![deny(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![deny(clippy::iter_over_hash_type, clippy::disallowed_methods, clippy::disallowed_types)]

pub mod assemble;
pub mod audit;
pub mod compare;
pub mod exposure;
pub mod keepers;
pub mod light;
pub mod measure;
pub mod metadata;
pub mod next_time;
pub mod notes;
pub mod pipeline;
pub mod prints;
pub mod problem;
pub mod ratings;
pub mod read;
pub mod relight;
pub mod report;
pub mod series;
pub mod shots;
pub mod stages;
pub mod walk;
