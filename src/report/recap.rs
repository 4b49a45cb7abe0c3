//! `recap.md`: the write-up of a shoot, lighting for lighting, in CommonMark, with its pictures.

/// The write-up and the pictures it shows.
#[derive(Clone, Debug, Default)]
pub struct Recap {
    /// CommonMark text.
    pub markdown: String,
    /// Paths relative to the write-up, as it names them (`recap/stage-01.jpg`), with JPEG bytes.
    pub pictures: Vec<(String, Vec<u8>)>,
}

/// Writes the recap.
#[must_use]
pub fn render(_report: &crate::report::Report) -> Recap {
    Recap::default()
}
