//! Whether one lighting gave more keepers than the others: one comparison, with an interval, and nothing called better without
//!
//! The best lighting is picked after looking at all of them. So it is compared once, with all others together, and the
//! interval is widened as if each of them had been picked: 95 % then holds for whichever came out best.

use crate::keepers::proportion::{Interval, Of, difference, fisher, wilson, z_outside};

/// With fewer candidate series than this a lighting cannot be called better: four of four may be luck even where every
/// other series is kept (one half to the power of four is 6 %, above the 5 % that is asked).
pub const LEAST_SERIES: u32 = 5;

/// Where a table holds fewer than this many by its margins alone, the interval is not trusted without Fisher's exact test
/// (the usual rule for expected counts; common practice, no source).
const FEW: f64 = 5.0;

/// Share of cases in which an interval may miss.
const OUTSIDE: f64 = 0.05;

/// One lighting and its series.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lit {
    /// Its number.
    pub lighting: u32,
    /// Series with a keeper, of candidates.
    pub series: Of,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Comparison {
    /// The best lighting against the others together.
    Made(Difference),
    /// Lights or series are not told apart.
    NotTold,
    /// No lighting has enough candidate series to be called better.
    TooFew,
    /// The others have too few together: so many.
    TooFewOthers(u32),
}

/// The best lighting against the others together.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// The lighting whose interval begins highest.
    pub best: Lit,
    /// All others with a candidate series, together.
    pub rest: Of,
    /// Their numbers, in order, never empty.
    pub others: Vec<u32>,
    /// How many comparisons the pick stands for: one between two lightings, else one for each that might have been it.
    pub picked_from: usize,
    /// What the best rate is above the rate of the rest, -1..1, with the widened interval.
    pub interval: Interval,
    /// Fisher's exact test, two-sided, not yet widened.
    pub p: f64,
    /// Whether counts are so small that the exact test decides too.
    pub few: bool,
}

impl Difference {
    /// Whether the best may be called better: the interval leaves out no difference at all, and where counts are small
    /// the exact test says so too.
    #[must_use]
    pub fn better(&self) -> bool {
        self.interval.low > 0.0 && (self.exact_agrees() || !self.few)
    }

    /// Whether the exact test says so, for as many comparisons as the pick stands for.
    #[must_use]
    pub fn exact_agrees(&self) -> bool {
        self.p * self.picked_from as f64 <= OUTSIDE
    }
}

/// Compares the lightings of one camera.
#[must_use]
pub fn compare(lit: &[Lit]) -> Comparison {
    let low = |l: &Lit| wilson(l.series, z_outside(OUTSIDE)).map_or(0.0, |i| i.low);
    let may_be_best: Vec<&Lit> = lit.iter().filter(|l| l.series.all >= LEAST_SERIES).collect();
    // The first of equals.
    let Some(best) = may_be_best.iter().rev().max_by(|a, b| low(a).total_cmp(&low(b))).map(|l| **l) else {
        return Comparison::TooFew;
    };
    let others: Vec<&Lit> = lit.iter().filter(|l| l.lighting != best.lighting && l.series.all > 0).collect();
    let sum = |of: fn(&Lit) -> u32| others.iter().map(|l| of(l)).sum::<u32>();
    let rest = Of { some: sum(|l| l.series.some), all: sum(|l| l.series.all) };
    if rest.all < LEAST_SERIES {
        return Comparison::TooFewOthers(rest.all);
    }
    // Between two lightings one comparison is all there is, whichever came out best.
    let picked_from = if others.len() == 1 { 1 } else { may_be_best.len() };
    let z = z_outside(OUTSIDE / picked_from as f64);
    let Some((interval, p)) = difference(best.series, rest, z).zip(fisher(best.series, rest)) else {
        return Comparison::NotTold;
    };
    Comparison::Made(Difference {
        best,
        rest,
        others: others.iter().map(|l| l.lighting).collect(),
        picked_from,
        interval,
        p,
        few: few(best.series, rest),
    })
}

/// Whether a cell of the table would hold fewer than five if both rates were the same.
fn few(first: Of, second: Of) -> bool {
    let [a, b, some] = [first.all, second.all, first.some + second.some].map(f64::from);
    let none = a + b - some;
    a.min(b) * some.min(none) / (a + b) < FEW
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lit(lighting: u32, some: u32, all: u32) -> Lit {
        Lit { lighting, series: Of { some, all } }
    }

    fn made(lit: &[Lit]) -> Difference {
        match compare(lit) {
            Comparison::Made(difference) => difference,
            other => panic!("{other:?}"),
        }
    }

    /// Between two there is one comparison, with the 95 % interval as published: 56/70 against 48/80, .0524 to .3339
    /// (Newcombe 1998 part 2, from memory, reproduced by statsmodels 0.15.0).
    #[test]
    fn two_lightings_are_one_comparison() {
        let found = made(&[lit(3, 48, 80), lit(5, 56, 70)]);
        assert_eq!((found.best.lighting, found.others.as_slice(), found.picked_from), (5, &[3][..], 1));
        assert!((found.interval.low - 0.0524).abs() < 5e-5 && (found.interval.high - 0.3339).abs() < 5e-5);
        assert!(found.better() && !found.few);
    }

    #[test]
    fn nothing_is_better_while_the_interval_holds_no_difference() {
        let found = made(&[lit(1, 3, 12), lit(2, 4, 20)]);
        assert!(found.interval.low < 0.0 && !found.better());
        let same = made(&[lit(1, 4, 12), lit(2, 4, 12)]);
        assert_eq!(same.best.lighting, 1, "of equals the first");
        assert!(!same.better());
    }

    /// 9 of 20 against 9 of 60 stands alone, and does not where the best was picked from seven: z goes from 1.96 to 2.69.
    #[test]
    fn a_best_one_picked_from_many_needs_more() {
        let alone = made(&[lit(1, 9, 60), lit(2, 9, 20)]);
        assert!(alone.better(), "{alone:?}");
        let spread: Vec<Lit> = [(1, 2), (2, 1), (3, 2), (4, 1), (5, 2), (6, 1)].map(|(l, k)| lit(l, k, 10)).to_vec();
        let picked = made(&[spread, vec![lit(7, 9, 20)]].concat());
        assert_eq!((picked.best.lighting, picked.rest, picked.picked_from), (7, Of { some: 9, all: 60 }, 7));
        assert!(picked.interval.low < alone.interval.low && picked.interval.high > alone.interval.high);
        assert!(!picked.better(), "{picked:?}");
    }

    /// Both intervals leave out no difference; only the exact test, worked out on paper, tells them apart.
    #[test]
    fn where_counts_are_small_the_exact_test_decides_too() {
        // 4 of 5 against 0 of 6, margins 4 and 7 of 11: C(5,4)/C(11,4) = 5/330 for the table seen; as unlikely or less is
        // only the other end, C(6,4) = 15/330, which is likelier. So p = 5/330 = 0.0152 (derived).
        let found = made(&[lit(1, 4, 5), lit(2, 0, 6)]);
        assert!((found.p - 5.0 / 330.0).abs() < 1e-12 && found.few && found.better());
        // 3 of 5 against 0 of 6: C(5,3)/C(11,3) = 10/165; the other end C(6,3) = 20/165 is likelier: p = 0.0606 (derived).
        let found = made(&[lit(1, 3, 5), lit(2, 0, 6)]);
        assert!((found.p - 10.0 / 165.0).abs() < 1e-12 && found.interval.low > 0.0 && !found.better(), "{found:?}");
    }

    #[test]
    fn a_lighting_with_few_series_counts_among_the_others_and_is_never_the_best() {
        let found = made(&[lit(1, 4, 4), lit(2, 1, 9), lit(3, 5, 9)]);
        assert_eq!((found.best.lighting, found.others.as_slice(), found.picked_from), (3, &[1, 2][..], 2));
        assert_eq!(found.rest, Of { some: 5, all: 13 });
        let one = made(&[lit(1, 1, 4), lit(2, 7, 12), lit(3, 0, 4), lit(4, 0, 0)]);
        assert_eq!((one.best.lighting, one.others.as_slice(), one.picked_from), (2, &[1, 3][..], 1));
        assert_eq!(compare(&[lit(1, 4, 4), lit(2, 1, 4)]), Comparison::TooFew);
        assert_eq!(compare(&[lit(1, 4, 4), lit(2, 1, 9)]), Comparison::TooFewOthers(4));
        assert_eq!(compare(&[]), Comparison::TooFew);
    }

    /// All equal at a third, three lightings of 12 series: how often chance alone has one called better. Every outcome is
    /// gone through with its binomial probability; the promise is at most 5 %.
    #[test]
    fn chance_alone_is_called_better_no_more_often_than_promised() {
        let n = 12_u32;
        let choose = |k: u32| (0..k).fold(1.0, |c, i| c * f64::from(n - i) / f64::from(i + 1));
        for rate in [0.1_f64, 1.0 / 3.0, 0.5] {
            let p = |k: u32| choose(k) * libm::pow(rate, f64::from(k)) * libm::pow(1.0 - rate, f64::from(n - k));
            let mut wrong = 0.0;
            for (a, b, c) in (0..=n).flat_map(|a| (0..=n).flat_map(move |b| (0..=n).map(move |c| (a, b, c)))) {
                if made(&[lit(1, a, n), lit(2, b, n), lit(3, c, n)]).better() {
                    wrong += p(a) * p(b) * p(c);
                }
            }
            assert!(wrong < 0.05 && wrong > 0.0, "{rate}: {wrong}");
        }
    }
}
