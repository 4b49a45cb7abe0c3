//! What a shot leaves unexplained of an export, block by block, where light and contrast may differ smoothly from place to place

use super::align::Single;
use super::grade;
use super::place::Place;
use super::plane::Plane;

/// Side of a block in pixels.
pub const SIDE: usize = 8;
/// A block needs so many of its pixels on the shot.
const ENOUGH: f32 = 40.0;

/// One block of the export against the shot, in squared code values per pixel.
#[derive(Clone, Copy, Debug, Default)]
pub struct Block {
    /// Left after grade, local contrast and local brightness.
    pub left: f32,
    /// Detail the shot shows there, in the export's grade.
    pub detail: f32,
    /// Detail the export shows there.
    pub own: f32,
}

/// Blocks of an export against one shot, row by row; None where the shot does not reach or a border lies.
#[derive(Clone, Debug, Default)]
pub struct Blocks {
    /// Blocks across.
    pub columns: usize,
    /// Row by row.
    pub blocks: Vec<Option<Block>>,
}

#[derive(Clone, Copy, Default)]
struct Sums {
    n: f32,
    e: f32,
    p: f32,
    ee: f32,
    pp: f32,
    ep: f32,
}

impl Sums {
    fn add(&mut self, o: &Self) {
        self.n += o.n;
        self.e += o.e;
        self.p += o.p;
        self.ee += o.ee;
        self.pp += o.pp;
        self.ep += o.ep;
    }
}

/// A shot laid under the export, in the export's grade.
pub struct Laid {
    pub predicted: Plane,
    /// Pixels of the export that lie on the shot.
    pub used: Vec<bool>,
}

/// Lays a shot under the export, which is given at the shot's scale, at a place.
pub fn laid(export: &Plane, shot: &[Plane; 3], place: &Place) -> Option<Laid> {
    let map = Single::of(place);
    let (width, height) = (export.width, export.height);
    let empty = || Plane { width, height, values: Vec::with_capacity(width * height) };
    let mut laid = [empty(), empty(), empty()];
    let mut used = Vec::with_capacity(width * height);
    for y in 0..height {
        for x in 0..width {
            let (sx, sy) = map.at(x as f32 + 0.5, y as f32 + 0.5);
            let mut inside = true;
            for (laid, shot) in laid.iter_mut().zip(shot) {
                let value = shot.sample(sx, sy);
                inside &= value.is_some();
                laid.values.push(value.unwrap_or(0.0));
            }
            used.push(inside);
        }
    }
    let predicted = grade::undone(export, &laid, &used)?;
    Some(Laid { predicted, used })
}

/// Compares block by block.
pub fn compare(export: &Plane, laid: &Laid) -> Blocks {
    blocks(export, &laid.predicted, &laid.used)
}

fn blocks(export: &Plane, predicted: &Plane, used: &[bool]) -> Blocks {
    let (columns, rows) = (export.width.div_ceil(SIDE), export.height.div_ceil(SIDE));
    let mut sums = vec![Sums::default(); columns * rows];
    let width = export.width.max(1);
    let lines =
        export.values.chunks_exact(width).zip(predicted.values.chunks_exact(width)).zip(used.chunks_exact(width));
    for (y, ((export, predicted), used)) in lines.enumerate() {
        let row = sums.iter_mut().skip(y / SIDE * columns);
        for (sum, ((export, predicted), used)) in
            row.zip(export.chunks(SIDE).zip(predicted.chunks(SIDE)).zip(used.chunks(SIDE)))
        {
            for ((e, p), _) in export.iter().zip(predicted).zip(used).filter(|(_, used)| **used) {
                sum.add(&Sums { n: 1.0, e: *e, p: *p, ee: e * e, pp: p * p, ep: e * p });
            }
        }
    }
    let near = |x: usize, y: usize, reach: usize| {
        let mut all = Sums::default();
        for by in y.saturating_sub(reach)..(y + reach + 1).min(rows) {
            for bx in x.saturating_sub(reach)..(x + reach + 1).min(columns) {
                if let Some(sum) = sums.get(by * columns + bx) {
                    all.add(sum);
                }
            }
        }
        all
    };
    let mut found = Vec::with_capacity(sums.len());
    for (index, s) in sums.iter().enumerate() {
        if s.n < ENOUGH {
            found.push(None);
            continue;
        }
        let (x, y) = (index % columns, index / columns);
        let (wide, close) = (near(x, y, 2), near(x, y, 1));
        let variance = (wide.pp - wide.p * wide.p / wide.n).max(0.0) / wide.n;
        let covariance = (wide.ep - wide.e * wide.p / wide.n) / wide.n;
        // Contrast is 1 where there is nothing to tell it by, and never far from it.
        let slope = ((covariance + 4.0) / (variance + 4.0)).clamp(0.5, 2.0);
        let offset = (close.e - slope * close.p) / close.n;
        let left = s.ee - 2.0 * slope * s.ep + slope * slope * s.pp - 2.0 * offset * (s.e - slope * s.p)
            + offset * offset * s.n;
        let detail = slope * slope * (s.pp - s.p * s.p / s.n).max(0.0);
        let own = (s.ee - s.e * s.e / s.n).max(0.0);
        found.push(Some(Block { left: left.max(0.0) / s.n, detail: detail / s.n, own: own / s.n }));
    }
    Blocks { columns, blocks: found }
}
