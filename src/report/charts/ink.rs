//! The few colours and sizes all charts share, chosen to stay apart in grey and to be read on a phone.

use plotters_backend::BackendColor;

/// A colour as red, green, blue in sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ink(pub u8, pub u8, pub u8);

impl Ink {
    /// The same colour at a share of its strength, as the drawing library wants it.
    pub fn at(self, alpha: f64) -> BackendColor {
        BackendColor { alpha, rgb: (self.0, self.1, self.2) }
    }
}

/// The figure's own paper, so that it reads on light and dark pages alike.
pub const PAPER: Ink = Ink(0xf2, 0xf5, 0xee);
/// Every second stage band.
pub const BAND: Ink = Ink(0xe5, 0xeb, 0xe0);
/// Text, marks and the mid-grey line.
pub const INK: Ink = Ink(0x1b, 0x21, 0x1d);
/// Second text and second marks.
pub const SOFT: Ink = Ink(0x4a, 0x55, 0x4d);
/// Grid lines.
pub const RULE: Ink = Ink(0xc3, 0xcf, 0xc0);
/// Bars and firm lines.
pub const FIRM: Ink = Ink(0x8b, 0x9a, 0x8b);
/// The red channel's marks; like green and blue below told apart by shape first, by colour second.
pub const RED: Ink = Ink(0x8c, 0x2f, 0x22);
/// The green channel's marks.
pub const GREEN: Ink = Ink(0x2f, 0x66, 0x38);
/// The blue channel's marks.
pub const BLUE: Ink = Ink(0x27, 0x45, 0x7e);

/// Width of every chart in logical pixels. The PNG has twice as many.
pub const WIDTH: f64 = 1200.0;
/// Space kept free at the left, right and bottom edge.
pub const EDGE: f64 = 24.0;
/// Where plots begin: right of the row headings and the axis figures.
pub const PLOT_LEFT: f64 = 152.0;
/// Where plots end.
pub const PLOT_RIGHT: f64 = 1164.0;

/// Size of the finding at the top.
pub const TITLE: f64 = 32.0;
/// Size of everything else: 24 of 1200 is 7.8 pixels on a phone 390 wide and 9.6 pt on a page 170 mm wide.
pub const TEXT: f64 = 24.0;
/// Size of the smallest text.
pub const SMALL: f64 = 22.0;
