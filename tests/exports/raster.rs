//! A picture as code values 0 to 1, and what an export does to its shape: crop, straighten, turn, resize, border

use image::RgbImage;
use stoptally::metadata::Orientation;

#[derive(Clone)]
pub struct Raster {
    pub width: usize,
    pub height: usize,
    pub codes: Vec<[f64; 3]>,
}

/// What is cut out of the upright picture and how it is laid down again.
#[derive(Clone, Copy, Debug)]
pub struct Cut {
    /// Left, top, width, height in pixels of the upright picture, before it is straightened about its middle.
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
    /// Degrees.
    pub angle: f64,
    /// Quarter turns to the right.
    pub turns: usize,
    /// Pixels of the export per pixel of the picture.
    pub scale: f64,
}

impl Raster {
    /// The upright picture of decoded pixels.
    pub fn upright(stored: &RgbImage, orientation: Orientation) -> Self {
        let (w, h) = (stored.width() as usize, stored.height() as usize);
        let (width, height) = if orientation.swaps_sides() { (h, w) } else { (w, h) };
        let mut codes = Vec::with_capacity(w * h);
        for y in 0..height {
            for x in 0..width {
                let (sx, sy) = match orientation {
                    Orientation::TopLeft => (x, y),
                    Orientation::TopRight => (w - 1 - x, y),
                    Orientation::BottomRight => (w - 1 - x, h - 1 - y),
                    Orientation::BottomLeft => (x, h - 1 - y),
                    Orientation::LeftTop => (y, x),
                    Orientation::RightTop => (y, h - 1 - x),
                    Orientation::RightBottom => (w - 1 - y, h - 1 - x),
                    Orientation::LeftBottom => (w - 1 - y, x),
                };
                codes.push(stored.get_pixel(sx as u32, sy as u32).0.map(|c| f64::from(c) / 255.0));
            }
        }
        Self { width, height, codes }
    }

    fn code(&self, x: isize, y: isize) -> [f64; 3] {
        let (x, y) = (x.clamp(0, self.width as isize - 1), y.clamp(0, self.height as isize - 1));
        self.codes[y as usize * self.width + x as usize]
    }

    /// Between pixel centres, linearly.
    fn at(&self, x: f64, y: f64) -> [f64; 3] {
        let (x, y) = (x - 0.5, y - 0.5);
        let (ix, iy) = (x.floor(), y.floor());
        let (fx, fy) = (x - ix, y - iy);
        let (ix, iy) = (ix as isize, iy as isize);
        let [a, b, c, d] = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| self.code(ix + dx, iy + dy));
        std::array::from_fn(|i| (a[i] * (1.0 - fx) + b[i] * fx) * (1.0 - fy) + (c[i] * (1.0 - fx) + d[i] * fx) * fy)
    }

    /// Whether the cut's corners, straightened, lie inside.
    pub fn holds(&self, cut: &Cut) -> bool {
        [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)].into_iter().all(|(u, v)| {
            let (x, y) = cut.source(u, v);
            (0.0..=self.width as f64).contains(&x) && (0.0..=self.height as f64).contains(&y)
        })
    }

    pub fn cut(&self, cut: &Cut) -> Self {
        let (across, down) = ((cut.width * cut.scale).round().max(8.0), (cut.height * cut.scale).round().max(8.0));
        let (width, height) = if cut.turns % 2 == 1 { (down, across) } else { (across, down) };
        let (width, height) = (width as usize, height as usize);
        // As many samples per pixel as the picture has pixels there.
        let fine = (1.0 / cut.scale).ceil().max(1.0) as usize;
        let mut codes = Vec::with_capacity(width * height);
        for y in 0..height {
            for x in 0..width {
                let mut sum = [0.0; 3];
                for sub in 0..fine * fine {
                    let u = (x as f64 + ((sub % fine) as f64 + 0.5) / fine as f64) / width as f64;
                    let v = (y as f64 + ((sub / fine) as f64 + 0.5) / fine as f64) / height as f64;
                    let (u, v) = match cut.turns % 4 {
                        0 => (u, v),
                        1 => (v, 1.0 - u),
                        2 => (1.0 - u, 1.0 - v),
                        _ => (1.0 - v, u),
                    };
                    let (sx, sy) = cut.source(u, v);
                    let code = self.at(sx, sy);
                    sum = std::array::from_fn(|i| sum[i] + code[i]);
                }
                codes.push(sum.map(|s| s / (fine * fine) as f64));
            }
        }
        Self { width, height, codes }
    }

    /// With a border of one colour around it.
    pub fn framed(&self, wide: usize, colour: [f64; 3]) -> Self {
        let (width, height) = (self.width + 2 * wide, self.height + 2 * wide);
        let mut codes = vec![colour; width * height];
        for y in 0..self.height {
            let at = (y + wide) * width + wide;
            codes[at..at + self.width].copy_from_slice(&self.codes[y * self.width..][..self.width]);
        }
        Self { width, height, codes }
    }

    pub fn bytes(&self) -> Vec<u8> {
        self.codes.iter().flatten().map(|c| (c * 255.0 + 0.5).clamp(0.0, 255.0) as u8).collect()
    }
}

impl Cut {
    /// Where a place of the cut, 0 to 1 both ways, lies in the picture.
    fn source(&self, u: f64, v: f64) -> (f64, f64) {
        let (dx, dy) = ((u - 0.5) * self.width, (v - 0.5) * self.height);
        let (sin, cos) = self.angle.to_radians().sin_cos();
        let (x, y) = (self.left + self.width / 2.0, self.top + self.height / 2.0);
        (x + dx * cos - dy * sin, y + dx * sin + dy * cos)
    }
}
