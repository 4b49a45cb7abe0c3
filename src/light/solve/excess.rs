//! How much light a frame has beyond what is known to burn in it, counted where neighbouring tiles agree.

use super::pose::Size;
use super::small::{Atom, Small, SmallFit};

/// Errors beyond this, in expected errors, count no more: bright spots shall not outvote an evenly lit floor.
const MOST: f32 = 3.0;

/// Light beyond an account, and light short of it: mean squares in expected errors, 0..9.
#[derive(Clone, Copy, Debug, Default)]
pub struct Excess {
    /// Beyond.
    pub more: f32,
    /// Short of.
    pub less: f32,
}

/// What `fit` leaves over in a frame. Tiles are averaged with their neighbours and over the channels: light falls on
/// more than one tile, and the sitter's moves brighten some and darken others.
pub fn excess(frame: &Small, atoms: &[&Atom], fit: &SmallFit, size: Size) -> Excess {
    let rest = |i: usize| (frame.light[i] - frame.sum(atoms, &fit.gain, i)) * frame.weight[i].sqrt();
    coherent(&rest, |i| frame.weight[i] > 0.0, size)
}

/// The same of any field of errors in expected errors, tile by tile and channel by channel.
pub fn coherent(rest: &dyn Fn(usize) -> f32, known: impl Fn(usize) -> bool, size: Size) -> Excess {
    let tile: Vec<f32> = (0..size.len())
        .map(|t| {
            let of = (3 * t..3 * t + 3).filter(|&i| known(i)).map(rest).filter(|z| !z.is_nan());
            let (sum, count) = of.fold((0.0, 0.0), |(s, n), z| (s + z.clamp(-2.0 * MOST, 2.0 * MOST), n + 1.0f32));
            if count > 0.0 { sum / count } else { f32::NAN }
        })
        .collect();
    let (mut found, mut count) = (Excess::default(), 1e-6);
    for t in 0..tile.len() {
        let (x, y) = (t % size.columns, t / size.columns);
        let (mut sum, mut near) = (0.0, 0.0);
        for v in y.saturating_sub(1)..(y + 2).min(size.rows) {
            for u in x.saturating_sub(1)..(x + 2).min(size.columns) {
                let z = tile[v * size.columns + u];
                if !z.is_nan() {
                    sum += z;
                    near += 1.0;
                }
            }
        }
        if near >= 3.0 {
            let z = (sum / near).clamp(-MOST, MOST);
            *(if z > 0.0 { &mut found.more } else { &mut found.less }) += z * z;
            count += 1.0;
        }
    }
    Excess { more: found.more / count, less: found.less / count }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: Size = Size { columns: 12, rows: 8 };

    #[test]
    fn what_all_tiles_agree_on_counts_in_full_and_what_neighbours_contradict_does_not() {
        let even = coherent(&|_| 2.0, |_| true, SIZE);
        assert!((even.more - 4.0).abs() < 1e-4 && even.less == 0.0);
        let short = coherent(&|_| -1.0, |_| true, SIZE);
        assert!((short.less - 1.0).abs() < 1e-4 && short.more == 0.0);
        let board =
            coherent(&|i| if (i / 3 + i / 3 / SIZE.columns).is_multiple_of(2) { 2.0 } else { -2.0 }, |_| true, SIZE);
        assert!(board.more < 0.3 && board.less < 0.3, "{board:?}");
        // Across and down alike: of three stripes two are of one sign, a third of the error is left.
        for stripes in [|t: usize| t % SIZE.columns, |t: usize| t / SIZE.columns] {
            let left = coherent(&|i| if stripes(i / 3).is_multiple_of(2) { 2.0 } else { -2.0 }, |_| true, SIZE);
            assert!(left.more < 0.5 && left.less < 0.5, "{left:?}");
        }
    }

    #[test]
    fn places_that_are_not_known_take_no_part() {
        let known = |i: usize| i < 12 * SIZE.columns;
        for nothing in [f32::NAN, -6.0, 0.0] {
            let half = coherent(&|i| if known(i) { 2.0 } else { nothing }, known, SIZE);
            assert!((half.more - 4.0).abs() < 1e-4 && half.less == 0.0, "{nothing}: {half:?}");
        }
    }
}
