//! Plain statistics: middle, tail and worst of a list, and what counts say of a yes-or-no answer.

/// The value below which a share `p` (0..=1) of the values lies, straight between neighbours
/// (Hyndman and Fan 1996, definition 7); None for no values.
pub fn quantile(values: &[f64], p: f64) -> Option<f64> {
    let mut v: Vec<f64> = values.iter().copied().filter(|x| x.is_finite()).collect();
    v.sort_by(f64::total_cmp);
    let at = p * (v.len().checked_sub(1)? as f64);
    let (i, part) = (at.floor() as usize, at.fract());
    Some(v[i] + part * (v[(i + 1).min(v.len() - 1)] - v[i]))
}

pub fn median(values: &[f64]) -> Option<f64> {
    quantile(values, 0.5)
}

/// Correlation of two lists of one length; None where one of them does not vary or there are fewer than three pairs.
pub fn correlation(a: &[f64], b: &[f64]) -> Option<f64> {
    let n = a.len().min(b.len());
    if n < 3 {
        return None;
    }
    let mean = |v: &[f64]| v.iter().sum::<f64>() / n as f64;
    let (ma, mb) = (mean(a), mean(b));
    let sum = |f: &dyn Fn(f64, f64) -> f64| a.iter().zip(b).map(|(x, y)| f(x - ma, y - mb)).sum::<f64>();
    let (aa, bb, ab) = (sum(&|x, _| x * x), sum(&|_, y| y * y), sum(&|x, y| x * y));
    (aa > 1e-9 && bb > 1e-9).then(|| ab / (aa * bb).sqrt())
}

/// Counts of a yes-or-no answer; unknown is kept apart and counts neither for nor against.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    pub right_yes: usize,
    pub wrong_yes: usize,
    pub right_no: usize,
    pub wrong_no: usize,
    pub unknown: usize,
    pub unknown_without_reason: usize,
}

impl Counts {
    pub fn precision(&self) -> Option<f64> {
        share(self.right_yes, self.right_yes + self.wrong_yes)
    }
    pub fn recall(&self) -> Option<f64> {
        share(self.right_yes, self.right_yes + self.wrong_no)
    }
    /// Harmonic mean of the two; 0 where nothing was rightly found although there was something to find or to claim.
    pub fn f1(&self) -> Option<f64> {
        share(2 * self.right_yes, 2 * self.right_yes + self.wrong_yes + self.wrong_no)
    }
    pub fn unknown_share(&self) -> Option<f64> {
        let all = self.right_yes + self.wrong_yes + self.right_no + self.wrong_no + self.unknown;
        share(self.unknown, all)
    }
    pub fn add(&mut self, o: &Counts) {
        self.right_yes += o.right_yes;
        self.wrong_yes += o.wrong_yes;
        self.right_no += o.right_no;
        self.wrong_no += o.wrong_no;
        self.unknown += o.unknown;
        self.unknown_without_reason += o.unknown_without_reason;
    }
}

/// Part of a whole; None where there is no whole.
pub fn share(part: usize, whole: usize) -> Option<f64> {
    (whole > 0).then(|| part as f64 / whole as f64)
}
