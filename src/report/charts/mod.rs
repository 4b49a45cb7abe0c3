//! The charts of a shoot, each as one SVG for page and print and one PNG for everywhere else.

/// One chart, drawn and described.
#[derive(Clone, Debug)]
pub struct Chart {
    /// File name without ending, for example `exposure-over-time`.
    pub name: &'static str,
    /// What the chart shows, as a caption.
    pub title: String,
    /// The chart in words, for readers who cannot see it.
    pub alt: String,
    /// A complete SVG document.
    pub svg: String,
    /// The same drawing as a PNG file's bytes.
    pub png: Vec<u8>,
}
