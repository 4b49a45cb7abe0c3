//! What several test targets share.

#![allow(dead_code, missing_docs)]
// Test code: a sample that cannot be built must stop the test.
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

pub mod builder;
pub mod drawing;
pub mod extremes;
pub mod sample_report;
