//! A plane of one value per pixel: sampling, box means, resizing, and local normalisation that a grade cannot undo

/// Row-major values; the middle of the pixel in column x and row y lies at (x + 0.5, y + 0.5).
#[derive(Clone, Debug, Default)]
pub struct Plane {
    pub width: usize,
    pub height: usize,
    pub values: Vec<f32>,
}

impl Plane {
    /// The value of a pixel, 0 outside.
    pub fn at(&self, x: usize, y: usize) -> f32 {
        self.values.get(y * self.width + x).copied().unwrap_or(0.0)
    }

    /// The value at a place, linear between the middles of pixels; None beyond the middles of the outermost pixels.
    #[inline]
    pub fn sample(&self, x: f32, y: f32) -> Option<f32> {
        let (x, y) = (x - 0.5, y - 0.5);
        // NaN and negative places fail here.
        if !(x >= 0.0 && y >= 0.0) {
            return None;
        }
        let (ix, iy) = (x as usize, y as usize);
        if ix + 1 >= self.width || iy + 1 >= self.height {
            return None;
        }
        let (fx, fy) = (x - ix as f32, y - iy as f32);
        let start = iy * self.width + ix;
        let &[a, b] = self.values.get(start..)?.first_chunk::<2>()?;
        let &[c, d] = self.values.get(start + self.width..)?.first_chunk::<2>()?;
        let (top, bottom) = (a + (b - a) * fx, c + (d - c) * fx);
        Some(top + (bottom - top) * fy)
    }

    pub fn map(&self, f: impl Fn(f32) -> f32) -> Self {
        Self { width: self.width, height: self.height, values: self.values.iter().map(|v| f(*v)).collect() }
    }

    /// Both planes, which have one size, pixel by pixel.
    pub fn with(&self, other: &Self, f: impl Fn(f32, f32) -> f32) -> Self {
        let values = self.values.iter().zip(&other.values).map(|(a, b)| f(*a, *b)).collect();
        Self { width: self.width, height: self.height, values }
    }

    /// The mean over the square of `2 radius + 1` pixels around each pixel, as far as it lies inside.
    pub fn boxed(&self, radius: usize) -> Self {
        if self.width == 0 || self.height == 0 {
            return self.clone();
        }
        // Along rows by running sums, then down columns by a running row.
        let mut across = Vec::with_capacity(self.values.len());
        let mut sums = Vec::with_capacity(self.width + 1);
        for row in self.values.chunks_exact(self.width) {
            sums.clear();
            let mut sum = 0.0_f32;
            sums.push(sum);
            for value in row {
                sum += value;
                sums.push(sum);
            }
            let ends = (0..self.width).map(|x| (x.saturating_sub(radius), (x + radius + 1).min(self.width)));
            across.extend(ends.map(|(from, to)| {
                let (a, b) = (sums.get(from).copied().unwrap_or(0.0), sums.get(to).copied().unwrap_or(0.0));
                (b - a) / (to - from) as f32
            }));
        }
        let mut values = Vec::with_capacity(self.values.len());
        let mut running = vec![0.0_f32; self.width];
        let row = |y: usize| across.get(y * self.width..(y + 1) * self.width).unwrap_or_default();
        for y in 0..radius.min(self.height) {
            running.iter_mut().zip(row(y)).for_each(|(sum, value)| *sum += value);
        }
        for y in 0..self.height {
            if y + radius < self.height {
                running.iter_mut().zip(row(y + radius)).for_each(|(sum, value)| *sum += value);
            }
            if y > radius {
                running.iter_mut().zip(row(y - radius - 1)).for_each(|(sum, value)| *sum -= value);
            }
            let rows = (y + radius + 1).min(self.height) - y.saturating_sub(radius);
            values.extend(running.iter().map(|sum| sum / rows as f32));
        }
        Self { width: self.width, height: self.height, values }
    }

    /// Each value against the mean around it, in units of the spread around it: what is left when light and contrast
    /// are changed smoothly. `floor` is the spread of noise, which is not raised to the size of detail.
    pub fn normalised(&self, radius: usize, floor: f32) -> Self {
        let mean = self.boxed(radius);
        let off = self.with(&mean, |value, mean| value - mean);
        let power = off.map(|v| v * v).boxed(radius);
        off.with(&power, |off, power| off / (power.max(0.0) + floor * floor).sqrt())
    }

    /// Resized; each new pixel is a mean under a triangle as wide as both samplings ask for.
    pub fn resized(&self, width: usize, height: usize) -> Self {
        if (width, height) == (self.width, self.height) || self.width == 0 || self.height == 0 {
            return self.clone();
        }
        let (columns, rows) = (Taps::new(self.width, width), Taps::new(self.height, height));
        let mut across = Vec::with_capacity(width * self.height);
        for row in self.values.chunks_exact(self.width) {
            across.extend(columns.taps.iter().map(|(start, weights)| {
                weights.iter().zip(row.get(*start..).unwrap_or_default()).map(|(w, v)| w * v).sum::<f32>()
            }));
        }
        let mut values = Vec::with_capacity(width * height);
        let mut sum = vec![0.0_f32; width];
        for (start, weights) in &rows.taps {
            sum.fill(0.0);
            for (row, weight) in across.chunks_exact(width.max(1)).skip(*start).zip(weights) {
                sum.iter_mut().zip(row).for_each(|(sum, value)| *sum += weight * value);
            }
            values.extend_from_slice(&sum);
        }
        Self { width, height, values }
    }

    /// Resized by a factor, at least 1 pixel each way.
    pub fn scaled(&self, factor: f64) -> Self {
        let side = |length: usize| ((length as f64 * factor + 0.5) as usize).max(1);
        self.resized(side(self.width), side(self.height))
    }
}

/// Which old pixels make each new pixel, and with what weights, along one axis.
struct Taps {
    taps: Vec<(usize, Vec<f32>)>,
}

impl Taps {
    fn new(from: usize, to: usize) -> Self {
        let step = from as f64 / to.max(1) as f64;
        let reach = step.max(1.0);
        let taps = (0..to).map(|i| {
            let middle = (i as f64 + 0.5) * step;
            let first = libm::floor(middle - reach).max(0.0) as usize;
            let last = (libm::ceil(middle + reach).max(0.0) as usize).min(from);
            let weight = |x: usize| (1.0 - libm::fabs(x as f64 + 0.5 - middle) / reach).max(0.0);
            let sum: f64 = (first..last).map(weight).sum();
            (first, (first..last).map(|x| (weight(x) / sum.max(1e-12)) as f32).collect())
        });
        Self { taps: taps.collect() }
    }
}
