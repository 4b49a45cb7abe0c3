//! Cells: small squares of pixels, summed once, from which tiles, preview and thumbnail are all made.
//!
//! The squares are laid out from the upright picture's top left corner whatever the file's orientation, so the same
//! picture stored in any of the eight ways gives the same sums.

use crate::metadata::Orientation;

/// Widest cell in pixels.
pub const LARGEST_CELL: usize = 8;
/// Cells along the long side are at least this many where the picture has the pixels: the preview's width.
pub const PREVIEW_SIDE: usize = 480;

/// One side of the stored picture, cut into cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Axis {
    /// Length in pixels.
    pub pixels: usize,
    /// Pixels of the partial cell at the start; 0 if there is none.
    pub lead: usize,
    /// Cells, partial ones included.
    pub cells: usize,
    /// Whether the upright picture runs the other way.
    pub flipped: bool,
}

impl Axis {
    fn new(pixels: usize, cell: usize, flipped: bool) -> Self {
        let lead = if flipped { pixels % cell } else { 0 };
        Self { pixels, lead, cells: pixels.div_ceil(cell), flipped }
    }

    /// The cell of a pixel.
    #[must_use]
    pub fn cell_of(&self, pixel: usize, cell: usize) -> usize {
        if pixel < self.lead { 0 } else { (pixel - self.lead) / cell + usize::from(self.lead > 0) }
    }
}

/// How a stored picture is cut into cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grid {
    /// Side of a cell: 1, 2, 4 or 8 pixels.
    pub cell: usize,
    /// Along the stored rows.
    pub x: Axis,
    /// Down the stored rows.
    pub y: Axis,
    /// Whether stored rows are upright columns.
    pub swapped: bool,
}

impl Grid {
    /// The grid of a picture of `width` by `height` stored pixels.
    #[must_use]
    pub fn new(width: usize, height: usize, orientation: Orientation) -> Self {
        Self::fine(width, height, orientation, PREVIEW_SIDE)
    }

    /// The same with at least `side` cells along the long side, where the picture has the pixels.
    #[must_use]
    pub fn fine(width: usize, height: usize, orientation: Orientation, side: usize) -> Self {
        use Orientation as O;
        let wanted = (width.max(height) / side.max(1)).clamp(1, LARGEST_CELL);
        let cell = 1 << wanted.ilog2();
        // Exif 2.2, tag 274: where stored row 0 and column 0 lie in the upright picture.
        let (flip_x, flip_y) = match orientation {
            O::TopLeft | O::LeftTop => (false, false),
            O::TopRight | O::LeftBottom => (true, false),
            O::BottomRight | O::RightBottom => (true, true),
            O::BottomLeft | O::RightTop => (false, true),
        };
        Self {
            cell,
            x: Axis::new(width, cell, flip_x),
            y: Axis::new(height, cell, flip_y),
            swapped: orientation.swaps_sides(),
        }
    }

    /// The side that runs across the upright picture, and the side that runs down.
    #[must_use]
    pub fn upright(&self) -> (Axis, Axis) {
        if self.swapped { (self.y, self.x) } else { (self.x, self.y) }
    }

    /// Where upright cell `(0, 0)` is among the stored cells, and the steps to the next one across and down.
    #[must_use]
    pub fn walk(&self) -> (isize, isize, isize) {
        let (columns, rows) = (self.x.cells as isize, self.y.cells as isize);
        let step_x = if self.x.flipped { -1 } else { 1 };
        let step_y = if self.y.flipped { -columns } else { columns };
        let start =
            if self.x.flipped { columns - 1 } else { 0 } + if self.y.flipped { (rows - 1) * columns } else { 0 };
        if self.swapped { (start, step_y, step_x) } else { (start, step_x, step_y) }
    }
}
