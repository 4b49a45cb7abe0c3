//! What several test targets share.

#![allow(dead_code, missing_docs)]

pub mod extremes;
pub mod sample_report;
