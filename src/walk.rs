//! Finds the photographer's files: natural order, sub-folders, links followed once.

use std::path::PathBuf;

/// What a file's ending says it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// JPEG (`.jpg`, `.jpeg`, `.jpe`, `.jfif`).
    Jpeg,
    /// PNG.
    Png,
    /// TIFF (`.tif`, `.tiff`).
    Tiff,
    /// WebP.
    Webp,
    /// HEIC (`.heic`, `.heif`, `.hif`).
    Heic,
    /// A camera raw file of any maker.
    Raw,
}

/// One file of the shoot that ends like a picture this tool reads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoFile {
    /// Where it is.
    pub path: PathBuf,
    /// Path relative to the shoot, `/` separated; bytes that are no UTF-8 are written `\xNN`.
    pub name: String,
    /// What its ending says.
    pub kind: Kind,
    /// Size in bytes.
    pub bytes: u64,
}
