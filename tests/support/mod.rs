//! What several tests share: small EXIF blocks, small shoots, and running the program on them.

pub mod shoot;
#[allow(dead_code)]
pub mod tiff;
