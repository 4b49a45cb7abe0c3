//! Small dense systems: Cholesky, and least squares whose first unknowns may not be negative.
//!
//! At most about a dozen unknowns: plain loops are shorter and faster here than a linear algebra crate.

/// A symmetric matrix of normal equations with its right-hand side and the sum of squares of what is explained.
#[derive(Clone, Debug)]
pub struct Normal {
    /// Unknowns.
    pub n: usize,
    /// `n * n`, row-major, symmetric.
    pub a: Vec<f64>,
    /// `n`.
    pub b: Vec<f64>,
    /// Weighted sum of squares of the data.
    pub yy: f64,
}

impl Normal {
    /// No data yet.
    pub fn new(n: usize) -> Self {
        Self { n, a: vec![0.0; n * n], b: vec![0.0; n], yy: 0.0 }
    }

    /// One observation `y` with weight `w` of the linear form `x`.
    pub fn add(&mut self, x: &[f64], y: f64, w: f64) {
        for (i, &xi) in x.iter().enumerate() {
            let wx = w * xi;
            if wx != 0.0 {
                for (j, &xj) in x.iter().enumerate().skip(i) {
                    self.a[i * self.n + j] += wx * xj;
                }
                self.b[i] += wx * y;
            }
        }
        self.yy += w * y * y;
    }

    /// Fills the lower half from the upper one, after the last [`Normal::add`].
    pub fn mirror(&mut self) {
        for i in 0..self.n {
            for j in 0..i {
                self.a[i * self.n + j] = self.a[j * self.n + i];
            }
        }
    }

    /// Adds or, with `sign` -1, takes away another system of the same size.
    pub fn combine(&mut self, other: &Self, sign: f64) {
        for (a, b) in self.a.iter_mut().zip(&other.a) {
            *a += sign * b;
        }
        for (a, b) in self.b.iter_mut().zip(&other.b) {
            *a += sign * b;
        }
        self.yy += sign * other.yy;
    }

    /// A prior: unknown `i` is near `value` with weight `w` (1 / variance).
    pub fn prior(&mut self, i: usize, value: f64, w: f64) {
        self.a[i * self.n + i] += w;
        self.b[i] += w * value;
        self.yy += w * value * value;
    }

    /// Eliminates the unknowns from `keep` on, which may take any sign (Schur complement).
    pub fn eliminate(&self, keep: usize) -> Self {
        let mut work = self.clone();
        for k in (keep..self.n).rev() {
            let pivot = work.a[k * self.n + k];
            if pivot <= 1e-300 {
                continue;
            }
            for i in 0..k {
                let f = work.a[i * self.n + k] / pivot;
                for j in 0..k {
                    work.a[i * self.n + j] -= f * work.a[k * self.n + j];
                }
                work.b[i] -= f * work.b[k];
            }
            work.yy -= work.b[k] * work.b[k] / pivot;
        }
        let mut small = Self::new(keep);
        for i in 0..keep {
            small.a[i * keep..(i + 1) * keep].copy_from_slice(&work.a[i * self.n..i * self.n + keep]);
        }
        small.b.copy_from_slice(&work.b[..keep]);
        small.yy = work.yy;
        small
    }

    /// Sum of squares that remains at `x`.
    pub fn cost(&self, x: &[f64]) -> f64 {
        let mut sum = self.yy;
        for (i, &xi) in x.iter().enumerate() {
            let row: f64 = x.iter().enumerate().map(|(j, &xj)| self.a[i * self.n + j] * xj).sum();
            sum += xi * (row - 2.0 * self.b[i]);
        }
        sum.max(0.0)
    }

    /// Least squares with no unknown below zero (Lawson and Hanson 1974, chapter 23, on the normal equations).
    pub fn nnls(&self) -> Vec<f64> {
        let n = self.n;
        let scale: Vec<f64> = (0..n).map(|i| self.a[i * n + i].max(0.0).sqrt()).collect();
        let tolerance = 1e-11 * self.yy.max(0.0).sqrt();
        let mut x = vec![0.0; n];
        let mut free = vec![false; n];
        for _ in 0..(3 * n + 3) {
            let gradient = |i: usize, x: &[f64]| {
                self.b[i] - x.iter().enumerate().map(|(j, &xj)| self.a[i * n + j] * xj).sum::<f64>()
            };
            let best = (0..n)
                .filter(|&i| !free[i] && scale[i] > 0.0)
                .map(|i| (i, gradient(i, &x) / scale[i]))
                .max_by(|a, b| a.1.total_cmp(&b.1));
            let Some((enter, rise)) = best else { break };
            if rise <= tolerance {
                break;
            }
            free[enter] = true;
            loop {
                let set: Vec<usize> = (0..n).filter(|&i| free[i]).collect();
                let Some(z) = self.solve_on(&set) else {
                    free[enter] = false;
                    break;
                };
                if z.iter().all(|&v| v > 0.0) {
                    x.fill(0.0);
                    for (&i, &v) in set.iter().zip(&z) {
                        x[i] = v;
                    }
                    break;
                }
                // Go towards z only until the first unknown reaches zero, and hold that one there.
                let step = set
                    .iter()
                    .zip(&z)
                    .filter(|(_, v)| **v <= 0.0)
                    .map(|(&i, &v)| x[i] / (x[i] - v))
                    .fold(1.0, f64::min);
                for (&i, &v) in set.iter().zip(&z) {
                    x[i] += step * (v - x[i]);
                    if x[i] <= 1e-14 * scale[i].recip().min(1.0) || (v <= 0.0 && x[i] <= 0.0) {
                        x[i] = 0.0;
                        free[i] = false;
                    }
                }
                if !free.iter().any(|f| *f) {
                    break;
                }
            }
        }
        x
    }

    /// Solves for the unknowns of `set`, the others zero; None when they cannot be told apart.
    fn solve_on(&self, set: &[usize]) -> Option<Vec<f64>> {
        let m = set.len();
        let a: Vec<f64> = set.iter().flat_map(|&i| set.iter().map(move |&j| self.a[i * self.n + j])).collect();
        let b: Vec<f64> = set.iter().map(|&i| self.b[i]).collect();
        Some(Cholesky::of(&a, m)?.solve(&b))
    }
}

/// The lower factor of a positive definite matrix.
#[derive(Clone, Debug)]
pub struct Cholesky {
    n: usize,
    l: Vec<f64>,
}

impl Cholesky {
    /// Factors `a` (`n * n`, symmetric); None when it is not positive definite to rounding.
    pub fn of(a: &[f64], n: usize) -> Option<Self> {
        let mut l = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..=i {
                let dot: f64 = (0..j).map(|k| l[i * n + k] * l[j * n + k]).sum();
                let rest = a[i * n + j] - dot;
                if i == j {
                    if rest <= 1e-12 * a[i * n + i].abs() || rest <= 0.0 {
                        return None;
                    }
                    l[i * n + i] = rest.sqrt();
                } else {
                    l[i * n + j] = rest / l[j * n + j];
                }
            }
        }
        Some(Self { n, l })
    }

    /// Solves `a x = b`.
    pub fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.n;
        let mut x = b.to_vec();
        for i in 0..n {
            let dot: f64 = (0..i).map(|k| self.l[i * n + k] * x[k]).sum();
            x[i] = (x[i] - dot) / self.l[i * n + i];
        }
        for i in (0..n).rev() {
            let dot: f64 = (i + 1..n).map(|k| self.l[k * n + i] * x[k]).sum();
            x[i] = (x[i] - dot) / self.l[i * n + i];
        }
        x
    }

    /// The inverse, `n * n`.
    pub fn inverse(&self) -> Vec<f64> {
        let n = self.n;
        let mut inverse = vec![0.0; n * n];
        for j in 0..n {
            let unit: Vec<f64> = (0..n).map(|i| f64::from(u8::from(i == j))).collect();
            for (i, v) in self.solve(&unit).into_iter().enumerate() {
                inverse[i * n + j] = v;
            }
        }
        inverse
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn system(rows: &[&[f64]], b: &[f64]) -> Normal {
        let mut normal = Normal::new(rows[0].len());
        for (row, &y) in rows.iter().zip(b) {
            normal.add(row, y, 1.0);
        }
        normal.mirror();
        normal
    }

    /// Non-negative least squares of published examples: the first two from the documentation of scipy 1.x
    /// (`scipy.optimize.nnls`), the third from that of another numerics package (lsqnonneg), the others computed with
    /// scipy.
    #[test]
    #[allow(clippy::approx_constant, clippy::type_complexity, reason = "printed figures are kept as they were printed")]
    fn published_examples() {
        let first: &[&[f64]] = &[&[1., 0.], &[1., 0.], &[0., 1.]];
        let third: &[&[f64]] = &[&[0.0372, 0.2869], &[0.6861, 0.7071], &[0.6233, 0.6245], &[0.6344, 0.6170]];
        let fifth: &[&[f64]] = &[&[1., 0., 0.], &[0., 1., 0.], &[0., 0., 1.], &[1., 1., 1.]];
        let seventh: &[&[f64]] = &[&[73., 71., 52.], &[87., 74., 46.], &[72., 2., 7.], &[80., 89., 71.]];
        let rows: [(&[&[f64]], &[f64], &[f64], f64); 7] = [
            (first, &[2., 1., 1.], &[1.5, 1.], std::f64::consts::FRAC_1_SQRT_2),
            (first, &[-1., -1., -1.], &[0., 0.], 1.732_050_807_568_877_2),
            (third, &[0.8587, 0.1781, 0.0747, 0.8405], &[0., 0.692_934_4], 0.911_842_064_9),
            (&[&[1., 1.], &[1., 2.], &[1., 3.]], &[1., 2., 3.5], &[0., 1.107_142_857_143], 0.298_807_152_334),
            (fifth, &[1., 2., -1., 1.], &[1. / 3., 4. / 3., 0.], 1.527_525_231_652),
            (&[&[1., 2.], &[3., 4.], &[5., 6.]], &[7., 8., 9.], &[0., 1.785_714_285_714], 3.927_922_024_248),
            (seventh, &[49., 67., 68., 20.], &[0.649_538_436_402, 0., 0.], 39.812_558_123_428),
        ];
        for (a, b, x, residual) in rows {
            let normal = system(a, b);
            let found = normal.nnls();
            for (f, w) in found.iter().zip(x) {
                assert!((f - w).abs() < 1e-6, "{found:?} against {x:?}");
            }
            assert!((normal.cost(&found).sqrt() - residual).abs() < 1e-6);
        }
    }

    /// scipy's own rank-deficient test: x is not unique, so only A x = b is checked.
    #[test]
    fn a_rank_deficient_system_is_still_solved() {
        let rows: Vec<Vec<f64>> = (0..5).map(|i| (0..5).map(|j| f64::from(5 * i + j)).collect()).collect();
        let rows: Vec<&[f64]> = rows.iter().map(Vec::as_slice).collect();
        let b = [30., 80., 130., 180., 230.];
        let x = system(&rows, &b).nnls();
        for (row, b) in rows.iter().zip(b) {
            let ax: f64 = row.iter().zip(&x).map(|(a, x)| a * x).sum();
            assert!((ax - b).abs() < 1e-4, "{ax} against {b}");
        }
    }

    proptest::proptest! {
        /// The optimality conditions (Karush, Kuhn, Tucker): x >= 0, the gradient is 0 where x > 0 and not uphill elsewhere.
        #[test]
        fn optimality_conditions(values in proptest::collection::vec(0.0..1.0f64, 40), b in proptest::collection::vec(-1.0..1.0f64, 10)) {
            let rows: Vec<&[f64]> = values.chunks(4).collect();
            let normal = system(&rows, &b);
            let x = normal.nnls();
            for i in 0..4 {
                let w = normal.b[i] - (0..4).map(|j| normal.a[i * 4 + j] * x[j]).sum::<f64>();
                proptest::prop_assert!(x[i] >= 0.0);
                proptest::prop_assert!(w <= 1e-8, "gradient {w}");
                proptest::prop_assert!(x[i] == 0.0 || w.abs() <= 1e-8, "gradient {w} at {}", x[i]);
            }
        }

        /// Eliminating unknowns changes neither the others nor the cost.
        #[test]
        fn elimination_agrees_with_the_whole(values in proptest::collection::vec(0.1..1.0f64, 60)) {
            let mut normal = Normal::new(4);
            for row in values.chunks(5) {
                normal.add(&row[..4], row[4], 1.0);
            }
            normal.mirror();
            for i in 0..4 {
                normal.prior(i, 0.3, 0.5);
            }
            let whole = Cholesky::of(&normal.a, 4).unwrap().solve(&normal.b);
            let small = normal.eliminate(2);
            let part = Cholesky::of(&small.a, 2).unwrap().solve(&small.b);
            proptest::prop_assert!((whole[0] - part[0]).abs() < 1e-8 && (whole[1] - part[1]).abs() < 1e-8);
            proptest::prop_assert!((normal.cost(&whole) - small.cost(&part)).abs() < 1e-8);
        }
    }
}
