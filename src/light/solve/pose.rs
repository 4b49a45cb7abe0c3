//! Where a frame lies on the common plane: shift, turn and scale in tiles, and reading a frame through it.

/// A grid of tiles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Tiles across.
    pub columns: usize,
    /// Tiles down.
    pub rows: usize,
}

// A plane is never empty.
#[allow(clippy::len_without_is_empty)]
impl Size {
    /// Tiles in all.
    pub fn len(self) -> usize {
        self.columns * self.rows
    }

    /// Offset of a tile from the middle.
    pub fn from_middle(self, index: usize) -> (f32, f32) {
        let (x, y) = (index % self.columns, index / self.columns);
        (x as f32 - (self.columns - 1) as f32 / 2.0, y as f32 - (self.rows - 1) as f32 / 2.0)
    }
}

/// Maps offsets from the plane's middle to offsets from the frame's middle, both in tiles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Shift across and down, in the frame's tiles.
    pub shift: (f32, f32),
    /// Turn in radians, small.
    pub turn: f32,
    /// Frame tiles per plane tile: above 1 for a longer lens.
    pub scale: f32,
}

impl Pose {
    /// Straight on, at a scale.
    pub fn at(scale: f32) -> Self {
        Self { shift: (0.0, 0.0), turn: 0.0, scale }
    }

    /// Where in the frame (tile coordinates from its first tile's centre) a tile of the plane lies.
    pub fn place(&self, (u, v): (f32, f32), frame: Size) -> (f32, f32) {
        let (c, s) = (1.0 - self.turn * self.turn / 2.0, self.turn);
        (
            (frame.columns - 1) as f32 / 2.0 + self.scale * (c * u - s * v) + self.shift.0,
            (frame.rows - 1) as f32 / 2.0 + self.scale * (s * u + c * v) + self.shift.1,
        )
    }

    /// The pose after a small step (shift, shift, turn, relative scale).
    pub fn moved(&self, step: &[f64]) -> Self {
        Self {
            shift: (self.shift.0 + step[0] as f32, self.shift.1 + step[1] as f32),
            turn: self.turn + step[2] as f32,
            scale: self.scale * (1.0 + step[3] as f32),
        }
    }
}

/// Value and gradient of a field at a place, by bilinear interpolation; None outside or beside a NaN.
pub fn sample(field: &[f32], size: Size, (x, y): (f32, f32)) -> Option<(f32, f32, f32)> {
    if !(x >= 0.0 && y >= 0.0 && x <= (size.columns - 1) as f32 && y <= (size.rows - 1) as f32) {
        return None;
    }
    let (i, j) = ((x as usize).min(size.columns - 2), (y as usize).min(size.rows - 2));
    let (fx, fy) = (x - i as f32, y - j as f32);
    let at = j * size.columns + i;
    let [a, b, c, d] = [field[at], field[at + 1], field[at + size.columns], field[at + size.columns + 1]];
    let value = a * (1.0 - fx) * (1.0 - fy) + b * fx * (1.0 - fy) + c * (1.0 - fx) * fy + d * fx * fy;
    let (gx, gy) = ((b - a) * (1.0 - fy) + (d - c) * fy, (c - a) * (1.0 - fx) + (d - b) * fx);
    (!value.is_nan()).then_some((value, gx, gy))
}

/// Four weights of the cubic through two neighbours on either side (Catmull and Rom): sharper than straight lines, so
/// that a shifted frame is not blurred against an unshifted one.
fn cubic(f: f32) -> [f32; 4] {
    let (f2, f3) = (f * f, f * f * f);
    [0.5 * (-f3 + 2.0 * f2 - f), 0.5 * (3.0 * f3 - 5.0 * f2 + 2.0), 0.5 * (-3.0 * f3 + 4.0 * f2 + f), 0.5 * (f3 - f2)]
}

/// A frame's channels read at the tiles of a plane. NaN where the frame does not reach, and in a channel that is NaN in
/// one of the four tiles around the place.
pub fn read(frame: &[[f32; 3]], size: Size, plane: Size, pose: &Pose) -> Vec<[f32; 3]> {
    if pose.scale > 1.5 {
        return read_areas(frame, size, plane, pose);
    }
    let edge = 0.25;
    (0..plane.len())
        .map(|index| {
            let (x, y) = pose.place(plane.from_middle(index), size);
            if !(x >= -edge
                && y >= -edge
                && x <= (size.columns - 1) as f32 + edge
                && y <= (size.rows - 1) as f32 + edge)
            {
                return [f32::NAN; 3];
            }
            let (i, j) = (x.floor(), y.floor());
            let (wx, wy) = (cubic(x - i), cubic(y - j));
            let clamp = |v: f32, n: usize| v.clamp(0.0, (n - 1) as f32) as usize;
            let mut sum = [0.0f32; 3];
            let mut near_nan = [false; 3];
            for (dy, wy) in (-1i32..).zip(wy) {
                let row = clamp(j + dy as f32, size.rows) * size.columns;
                for (dx, wx) in (-1i32..).zip(wx) {
                    let tile = frame[row + clamp(i + dx as f32, size.columns)];
                    let inner = (dx == 0 || dx == 1) && (dy == 0 || dy == 1);
                    for c in 0..3 {
                        if tile[c].is_nan() {
                            // An outer neighbour only sharpens; an inner one is the value itself.
                            near_nan[c] |= inner || (wx * wy).abs() > 0.01;
                        } else {
                            sum[c] += wx * wy * tile[c];
                        }
                    }
                }
            }
            std::array::from_fn(|c| if near_nan[c] { f32::NAN } else { sum[c].max(0.0) })
        })
        .collect()
}

/// A much larger frame (a longer lens): the mean of the frame's tiles that fall into each tile of the plane.
fn read_areas(frame: &[[f32; 3]], size: Size, plane: Size, pose: &Pose) -> Vec<[f32; 3]> {
    let steps = (pose.scale.ceil() as i32).clamp(2, 8);
    (0..plane.len())
        .map(|index| {
            let (u, v) = plane.from_middle(index);
            let (mut sum, mut count) = ([0.0f32; 3], 0);
            for a in 0..steps {
                for b in 0..steps {
                    let offset = |k: i32| (k as f32 + 0.5) / steps as f32 - 0.5;
                    let (x, y) = pose.place((u + offset(a), v + offset(b)), size);
                    let (x, y) = (x.round(), y.round());
                    if x < 0.0 || y < 0.0 || x >= size.columns as f32 || y >= size.rows as f32 {
                        return [f32::NAN; 3];
                    }
                    let tile = frame[y as usize * size.columns + x as usize];
                    for c in 0..3 {
                        sum[c] += tile[c];
                    }
                    count += 1;
                }
            }
            sum.map(|s| s / count as f32)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_whole_tile_of_shift_reads_the_neighbour_and_a_ramp_stays_a_ramp() {
        let size = Size { columns: 12, rows: 8 };
        let ramp: Vec<[f32; 3]> = (0..size.len()).map(|i| [(i % 12) as f32; 3]).collect();
        for shift in [1.0, 0.37] {
            let pose = Pose { shift: (shift, 0.0), ..Pose::at(1.0) };
            let read = read(&ramp, size, size, &pose);
            for x in 2..9 {
                assert!((read[3 * 12 + x][0] - x as f32 - shift).abs() < 1e-5);
            }
        }
    }

    #[test]
    fn what_lies_outside_is_not_known() {
        let size = Size { columns: 12, rows: 8 };
        let frame = vec![[1.0; 3]; size.len()];
        let read = read(&frame, size, size, &Pose { shift: (-3.0, 0.0), ..Pose::at(1.0) });
        assert!(read[0][0].is_nan() && !read[5][0].is_nan());
    }
}
