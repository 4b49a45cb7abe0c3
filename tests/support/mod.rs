//! What several tests share: small EXIF blocks, small shoots and the program run on them, reports made by hand.

#![allow(dead_code, missing_docs)]

pub mod builder;
pub mod drawing;
pub mod extremes;
pub mod kept;
pub mod lit;
pub mod pictures;
pub mod prints;
pub mod sample_report;
pub mod shoot;
pub mod tiff;
