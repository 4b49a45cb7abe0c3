//! How long a light needs between two flashes, as the shoot shows it: by light and noted power.

use super::firing::{Firing, Outcome};

/// What the gaps of one light at one power show.
#[derive(Clone, Debug, PartialEq)]
pub struct Recycle {
    /// Index of the light.
    pub light: usize,
    /// Noted power in stops against 1/1; None where none was noted.
    pub power: Option<f64>,
    /// Shots in which it was short or missing, with their gaps in seconds, in shooting order.
    pub failed: Vec<(usize, f64)>,
    /// The shortest gap from which on it never failed, seconds.
    pub full_from_s: f64,
    /// Shots in which it burned in full after at least that gap.
    pub full: usize,
}

/// A rule of gaps is told where chance alone would sort them so well in at most this part of cases.
const CHANCE: f64 = 0.05;

/// What the gaps show; nothing of lights whose failures have nothing to do with them, or are too few to tell.
///
/// Whether failures follow the shorter gaps is asked by the exact rank-sum test of Wilcoxon, Mann and Whitney, one-sided,
/// ties counted against it.
#[must_use]
pub fn find(firings: &[Firing]) -> Vec<Recycle> {
    let mut seen: Vec<(usize, Option<f64>)> = Vec::new();
    for group in firings.iter().map(|f| (f.light, f.power)) {
        if !seen.contains(&group) {
            seen.push(group);
        }
    }
    seen.into_iter().filter_map(|(light, power)| one(firings, light, power)).collect()
}

fn one(firings: &[Firing], light: usize, power: Option<f64>) -> Option<Recycle> {
    let own = firings.iter().filter(|f| f.light == light && f.power == power);
    let timed: Vec<(&Firing, f64)> = own.filter_map(|f| Some((f, f.gap_s?))).collect();
    let failed: Vec<(usize, f64)> =
        timed.iter().filter(|(f, _)| f.outcome != Outcome::Full).map(|(f, gap)| (f.shot, *gap)).collect();
    let full: Vec<f64> = timed.iter().filter(|(f, _)| f.outcome == Outcome::Full).map(|(_, gap)| *gap).collect();
    let longest_failed = failed.iter().map(|(_, gap)| *gap).max_by(f64::total_cmp)?;
    let beyond: Vec<f64> = full.iter().copied().filter(|gap| *gap > longest_failed).collect();
    let full_from_s = beyond.iter().copied().min_by(f64::total_cmp)?;
    let gaps: Vec<f64> = failed.iter().map(|(_, gap)| *gap).collect();
    (chance(&gaps, &full) <= CHANCE).then_some(Recycle { light, power, failed, full_from_s, full: beyond.len() })
}

/// Part of all ways to deal the gaps to failures and full flashes in which the failures lie at least as low, 0..=1.
fn chance(failed: &[f64], full: &[f64]) -> f64 {
    // Pairs in which the full flash had the shorter gap, or the same.
    let above = failed.iter().map(|f| full.iter().filter(|g| *g <= f).count()).sum::<usize>();
    let (m, n) = (failed.len(), full.len());
    // ways[k][u]: how many ways to deal k failures among the gaps so far have u such pairs; after Mann and Whitney 1947.
    let mut ways = vec![vec![0.0; m * n + 1]; m + 1];
    if let Some(first) = ways.first_mut().and_then(|w| w.first_mut()) {
        *first = 1.0;
    }
    for placed in 0..m + n {
        for k in (0..m.min(placed + 1)).rev() {
            // One more failure after `placed` gaps has all full flashes among them below it.
            let below = placed - k;
            let from = ways.get(k).cloned().unwrap_or_default();
            if let Some(to) = ways.get_mut(k + 1).filter(|_| below <= n) {
                for (u, count) in from.iter().enumerate() {
                    if let Some(place) = to.get_mut(u + below) {
                        *place += count;
                    }
                }
            }
        }
    }
    let all = ways.last().cloned().unwrap_or_default();
    let total: f64 = all.iter().sum();
    all.iter().take(above + 1).sum::<f64>() / total
}

#[cfg(test)]
mod tests {
    use super::*;

    fn firing(shot: usize, gap: f64, outcome: Outcome) -> Firing {
        Firing { light: 0, shot, power: Some(-3.0), gap_s: Some(gap), outcome }
    }

    #[test]
    fn chance_is_that_of_the_exact_rank_sum_test() {
        // Closed form: all of m failures below all of n full flashes, one way among n + m over m.
        for (m, n, ways) in [(1, 3, 4.0), (2, 5, 21.0), (3, 4, 35.0), (2, 2, 6.0)] {
            let failed: Vec<f64> = (0..m).map(f64::from).collect();
            let full: Vec<f64> = (0..n).map(|k| 10.0 + f64::from(k)).collect();
            assert!((chance(&failed, &full) - 1.0 / ways).abs() < 1e-12, "{m} {n}");
            assert!((chance(&full, &failed) - 1.0).abs() < 1e-12);
        }
        // By counting: 3 of 8 in 56 ways, of which one has no and one has one full flash below a failure.
        assert!((chance(&[1.0, 4.0, 2.0], &[3.0, 5.0, 6.0, 7.0, 8.0]) - 2.0 / 56.0).abs() < 1e-12);
    }

    #[test]
    fn a_rule_is_told_with_the_gaps_it_rests_on() {
        let mut firings: Vec<Firing> =
            [0.8, 1.2, 1.6].iter().zip(0..).map(|(g, s)| firing(s, *g, Outcome::Short(-1.0))).collect();
        firings.extend([2.4, 3.0, 5.0, 9.0].iter().zip(3..).map(|(g, s)| firing(s, *g, Outcome::Full)));
        let found = find(&firings);
        assert_eq!(
            found,
            [Recycle {
                light: 0,
                power: Some(-3.0),
                failed: vec![(0, 0.8), (1, 1.2), (2, 1.6)],
                full_from_s: 2.4,
                full: 4
            }]
        );
    }

    #[test]
    fn failures_that_follow_no_gap_and_single_ones_are_no_rule() {
        let full = |gaps: &[f64]| gaps.iter().zip(10..).map(|(g, s)| firing(s, *g, Outcome::Full)).collect::<Vec<_>>();
        let mut random = full(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0]);
        random.extend([firing(0, 1.5, Outcome::Missed), firing(1, 5.5, Outcome::Missed)]);
        assert_eq!(find(&random), []);
        let mut single = full(&[2.0, 3.0, 4.0]);
        single.push(firing(0, 0.9, Outcome::Short(-0.8)));
        assert_eq!(find(&single), [], "one of four: a chance of one in four");
        assert_eq!(find(&full(&[1.0, 2.0])), [], "nothing failed");
    }
}
