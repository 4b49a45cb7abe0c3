//! Which labels are written when not all fit: a label never overlaps another and never leaves its bounds.

/// What is already written along one line.
pub struct Line {
    bounds: (f64, f64),
    gap: f64,
    taken: Vec<(f64, f64)>,
}

impl Line {
    /// An empty line between two bounds, with at least `gap` between labels.
    pub fn new(bounds: (f64, f64), gap: f64) -> Self {
        Self { bounds, gap, taken: Vec::new() }
    }

    /// Takes the place from `left` to `right` and says whether it was free.
    pub fn take(&mut self, left: f64, right: f64) -> bool {
        let free = left >= self.bounds.0
            && right <= self.bounds.1
            && self.taken.iter().all(|(l, r)| right + self.gap <= *l || left >= r + self.gap);
        if free {
            self.taken.push((left, right));
        }
        free
    }

    /// Takes the place of a label `width` wide centred on `x`, as [`Line::take`].
    pub fn take_about(&mut self, x: f64, width: f64) -> bool {
        self.take(x - width / 2.0, x + width / 2.0)
    }
}

/// Round steps at which numbered things are labelled when not every one is.
pub const STEPS: [u32; 11] = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000];

/// The smallest round step at which labels for numbered places all fit, given as (number, centre, width).
pub fn step_that_fits(labels: &[(u32, f64, f64)], bounds: (f64, f64), gap: f64) -> u32 {
    for step in STEPS {
        let mut line = Line::new(bounds, gap);
        let mut due = labels.iter().filter(|(number, _, _)| number.is_multiple_of(step));
        if due.all(|(_, x, width)| line.take_about(*x, *width)) {
            return step;
        }
    }
    u32::MAX
}

/// A step of whole stops that divides `range` into at most `most` parts.
pub fn whole_step(range: f64, most: f64) -> f64 {
    for step in [1.0, 2.0, 4.0, 5.0, 10.0, 20.0, 50.0] {
        if range / step <= most {
            return step;
        }
    }
    (range / most).ceil()
}
