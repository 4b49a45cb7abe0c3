//! Rates of small counts: Wilson's interval, Newcombe's for the difference of two rates, Fisher's exact test
//!
//! Only sums, products and square roots of whole numbers, so that every machine gives the same bits. What a statistics
//! crate has of it is a two-sided test by search, with a wider tolerance than is wanted here, and no interval.

/// z of a two-sided interval of 95 %.
pub const Z95: f64 = 1.959_963_984_540_054;

/// Tables whose probability exceeds the seen one's by no more than this part of it are as likely: equal probabilities
/// must not be told apart by rounding.
const AS_LIKELY: f64 = 1e-7;

/// So many of so many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Of {
    /// How many have it, 0..=`all`.
    pub some: u32,
    /// How many there are.
    pub all: u32,
}

/// Lower and upper end of what a rate (0..1) or a difference of rates (-1..1) may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Of {
    /// The rate, 0..1; None of nothing, and where there are more than all.
    #[must_use]
    pub fn rate(self) -> Option<f64> {
        (self.all > 0 && self.some <= self.all).then(|| f64::from(self.some) / f64::from(self.all))
    }
}

/// Wilson's score interval of a rate (Wilson 1927). None of nothing. Exactly 0 below none, exactly 1 above all.
#[must_use]
pub fn wilson(of: Of, z: f64) -> Option<Interval> {
    let (p, n) = (of.rate()?, f64::from(of.all));
    let shrink = 1.0 + z * z / n;
    let centre = (p + z * z / (2.0 * n)) / shrink;
    let half = z * libm::sqrt(p * (1.0 - p) / n + z * z / (4.0 * n * n)) / shrink;
    Some(Interval {
        low: if of.some == 0 { 0.0 } else { (centre - half).max(0.0) },
        high: if of.some == of.all { 1.0 } else { (centre + half).min(1.0) },
    })
}

/// What the first rate is above the second: Newcombe's hybrid score interval (Newcombe 1998, part 2, method 10), from the
/// two rates' own Wilson intervals. None where one of them is of nothing.
#[must_use]
pub fn difference(first: Of, second: Of, z: f64) -> Option<Interval> {
    let (p, q) = (first.rate()?, second.rate()?);
    let (of_p, of_q) = (wilson(first, z)?, wilson(second, z)?);
    let reach = |a: f64, b: f64| libm::sqrt(a * a + b * b);
    Some(Interval { low: p - q - reach(p - of_p.low, of_q.high - q), high: p - q + reach(of_p.high - p, q - of_q.low) })
}

/// Fisher's exact test, two-sided: how probable a table as unlikely as this one, or less likely, is where both rates are
/// the same, 0..1. None where one of them is of nothing.
#[must_use]
pub fn fisher(first: Of, second: Of) -> Option<f64> {
    first.rate().zip(second.rate())?;
    let (one, two) = (u64::from(first.all), u64::from(second.all));
    let (seen, some) = (u64::from(first.some), u64::from(first.some) + u64::from(second.some));
    let (least, most) = (some.saturating_sub(two), some.min(one));
    // Each table's weight follows from the one before it; from the likeliest outwards none overflows.
    let peak = ((one + 1) * (some + 1) / (one + two + 2)).clamp(least, most);
    let up = |x: u64| ((one - x) * (some - x)) as f64 / ((x + 1) * (two + x + 1 - some)) as f64;
    let upward = (peak..most).scan(1.0, |weight, x| {
        *weight *= up(x);
        Some((x + 1, *weight))
    });
    let downward = (least..peak).rev().scan(1.0, |weight, x| {
        *weight /= up(x);
        Some((x, *weight))
    });
    let tables: Vec<(u64, f64)> = downward.chain([(peak, 1.0)]).chain(upward).collect();
    let own = tables.iter().find(|(x, _)| *x == seen).map(|(_, weight)| *weight)?;
    let sum = |of: &dyn Fn(f64) -> bool| tables.iter().map(|(_, w)| *w).filter(|w| of(*w)).fold(0.0, |s, w| s + w);
    Some((sum(&|w| w <= own * (1.0 + AS_LIKELY)) / sum(&|_| true)).min(1.0))
}

/// z of a two-sided interval that leaves `outside` (0..1) of all cases out: 1.96 for 0.05.
#[must_use]
pub fn z_outside(outside: f64) -> f64 {
    // erfc falls all the way: halving finds its place. Sixty halvings of 0..10 end below the last digit.
    let (mut low, mut high) = (0.0, 10.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if libm::erfc(middle * std::f64::consts::FRAC_1_SQRT_2) > outside { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Marks of the sources: [S] seen in the named source, [C] computed with the named library, [D] derived from the formula,
    // [M] from memory, the source itself not seen, reproduced by [C].

    fn of(some: u32, all: u32) -> Of {
        Of { some, all }
    }

    fn holds(name: &str, found: Option<Interval>, low: f64, high: f64, within: f64) {
        let found = found.unwrap();
        let near = (found.low - low).abs() <= within && (found.high - high).abs() <= within;
        assert!(near, "{name}: {found:?} for {low} to {high}");
    }

    #[test]
    fn wilson_gives_the_published_intervals() {
        let rows = [
            // R package binom, quoted in the test data of statsmodels [S]; statsmodels 0.15.0 proportion_confint(k, n, 0.05,
            // 'wilson'), agreeing with scipy 1.17.1 binomtest(k, n).proportion_ci(method='wilson') [C]
            (18, 20, 0.698_966_354_8, 0.972_133_518_8, 1e-10),
            (4, 20, 0.080_657_662_6, 0.416_017_432_3, 1e-10),
            (4, 200, 0.007_804_426_4, 0.050_287_086_9, 1e-10),
            (190, 200, 0.910_421_851_9, 0.972_617_354_4, 1e-10),
            (1, 30, 0.005_908_59, 0.166_703_91, 1e-8),
            (0, 30, 0.0, 0.113_513_39, 1e-8),
            (30, 30, 0.886_486_6, 1.0, 1e-7),
            // R 4.3.3 DescTools BinomCI, quoted in the tests of statsmodels [S]; [C] as above
            (100, 200, 0.431_360_9, 0.568_639_1, 1e-7),
            // Newcombe 1998, table [M]: .2553 .3662, .0624 .1605, 0 .1611, .0061 .1718; [C] as above
            (81, 263, 0.255_288_5, 0.366_209_6, 1e-7),
            (15, 148, 0.062_386_4, 0.160_487_2, 1e-7),
            (0, 20, 0.0, 0.161_125_2, 1e-7),
            (1, 29, 0.006_113_2, 0.171_755_2, 1e-7),
            // [C] as above
            (0, 10, 0.0, 0.277_532_8, 1e-7),
            (9, 10, 0.595_850_0, 0.982_123_8, 1e-7),
            (10, 10, 0.722_467_2, 1.0, 1e-7),
        ];
        for (some, all, low, high, within) in rows {
            holds(&format!("{some}/{all}"), wilson(of(some, all), Z95), low, high, within);
        }
    }

    /// codegolf.stackexchange.com/questions/105389, with z = 1.96 [S].
    #[test]
    fn wilson_gives_the_test_cases_of_a_public_exercise() {
        let rows = [
            (0, 1, 0.0, 0.793_456_708_5),
            (1, 2, 0.094_528_654_8, 0.905_471_345_2),
            (1, 11, 0.016_231_752_3, 0.377_364_625_5),
            (10, 100, 0.055_228_541_6, 0.174_367_304_4),
            (25, 100, 0.175_450_940_0, 0.343_046_463_7),
            (0, 100, 0.0, 0.036_994_807_5),
        ];
        for (some, all, low, high) in rows {
            holds(&format!("{some}/{all}"), wilson(of(some, all), 1.96), low, high, 1e-9);
        }
    }

    /// The ends are exact, not nearly so (0/77 and 38/38: statsmodels issue 7386 [S]).
    #[test]
    fn none_and_all_end_exactly_at_0_and_1() {
        for all in [1, 10, 20, 30, 38, 77, 100, 1_000_003] {
            assert_eq!(wilson(of(0, all), Z95).unwrap().low, 0.0, "0/{all}");
            assert_eq!(wilson(of(all, all), Z95).unwrap().high, 1.0, "{all}/{all}");
            assert!(wilson(of(0, all), Z95).unwrap().high > 0.0);
        }
        assert_eq!((wilson(of(0, 0), Z95), wilson(of(3, 2), Z95)), (None, None));
    }

    #[test]
    fn an_interval_holds_its_rate_and_mirrors() {
        for all in 1..60 {
            for some in 0..=all {
                let (one, other) = (wilson(of(some, all), Z95).unwrap(), wilson(of(all - some, all), Z95).unwrap());
                let rate = of(some, all).rate().unwrap();
                assert!(one.low <= rate && rate <= one.high, "{some}/{all}");
                assert!((one.low + other.high - 1.0).abs() < 1e-14, "{some}/{all}");
            }
        }
    }

    /// Newcombe 1998 part 2 [M]; statsmodels confint_proportions_2indep(k1, n1, k2, n2, method='newcomb',
    /// compare='diff') [C].
    #[test]
    fn a_difference_has_the_published_interval() {
        let rows = [
            ((56, 70), (48, 80), 0.0524, 0.3339),
            ((9, 10), (3, 10), 0.1705, 0.8090),
            ((6, 7), (2, 7), 0.0582, 0.8062),
            ((5, 56), (0, 29), -0.0381, 0.1926),
            ((0, 10), (0, 20), -0.1611, 0.2775),
            ((10, 10), (0, 20), 0.6791, 1.0),
            ((10, 10), (0, 10), 0.6075, 1.0),
        ];
        for ((a, b), (c, d), low, high) in rows {
            let name = format!("{a}/{b} - {c}/{d}");
            holds(&name, difference(of(a, b), of(c, d), Z95), low, high, 0.000_05);
            // The other way round it is the same with its sign turned [D].
            holds(&name, difference(of(c, d), of(a, b), Z95), -high, -low, 0.000_05);
        }
        assert_eq!(difference(of(1, 2), of(0, 0), Z95), None);
    }

    #[test]
    fn fisher_gives_the_published_probabilities() {
        let rows = [
            // Two-sided 34/70 by hand: of the tables 1, 16, 36, 16, 1 of 70 those with 16 or less [D]; scipy.stats.fisher_exact
            // 1.17.1 [C]
            ((3, 4), (1, 4), 0.485_714_285_7),
            // scipy.stats.fisher_exact 1.17.1 [C]
            ((8, 10), (1, 6), 0.034_965_035_0),
            ((6, 8), (1, 5), 0.102_564_102_6),
            ((1, 10), (11, 14), 0.002_759_456_2),
            // Everything the same: certain [D]
            ((0, 10), (0, 20), 1.0),
            ((5, 10), (5, 10), 1.0),
            ((10, 10), (20, 20), 1.0),
        ];
        for ((a, b), (c, d), p) in rows {
            let found = fisher(of(a, b), of(c, d)).unwrap();
            assert!((found - p).abs() < 5e-11, "{a}/{b} against {c}/{d}: {found}");
            let turned = fisher(of(c, d), of(a, b)).unwrap();
            assert!((found - turned).abs() < 1e-12, "{a}/{b} against {c}/{d}: {turned} the other way round");
        }
        assert_eq!(fisher(of(0, 0), of(1, 2)), None);
    }

    /// The slow way, by binomials [D], itself held against one-sided figures: 17/70 for 3 of 4 and more (tea tasting [S]),
    /// 0.0862470862 for 6 of 8 and more against 1 of 5 (scipy.stats.fisher_exact 1.17.1 [C]).
    #[test]
    fn fisher_agrees_with_the_slow_way() {
        let choose = |n: u64, k: u64| (0..k).fold(1.0, |c, i| c * (n - i) as f64 / (i + 1) as f64);
        let one_sided = |seen: u64, one: u64, two: u64, some: u64| -> f64 {
            (seen..=some.min(one)).map(|x| choose(one, x) * choose(two, some - x) / choose(one + two, some)).sum()
        };
        assert!((one_sided(3, 4, 4, 4) - 0.242_857_142_9).abs() < 1e-10);
        assert!((one_sided(6, 8, 5, 7) - 0.086_247_086_2).abs() < 1e-10);
        for (a, b, c, d) in [(3, 4, 1, 4), (6, 8, 1, 5), (2, 31, 9, 28), (0, 9, 7, 22), (40, 300, 12, 250)] {
            let (one, two, some) = (u64::from(b), u64::from(d), u64::from(a + c));
            let p = |x: u64| choose(one, x) * choose(two, some - x) / choose(one + two, some);
            let own = p(u64::from(a));
            let all = (some.saturating_sub(two)..=some.min(one)).map(p).filter(|p| *p <= own * 1.000_000_1);
            let (slow, fast) = (all.sum::<f64>(), fisher(of(a, b), of(c, d)).unwrap());
            assert!((slow - fast).abs() < 1e-10, "{a}/{b}, {c}/{d}: {slow} {fast}");
        }
        // Too large for any product of binomials, and still a number.
        let large = fisher(of(4_000, 10_000), of(3_000, 90_000)).unwrap();
        assert!((0.0..1e-300).contains(&large));
    }

    /// 1.959963985 for 5 % (the z of the Wilson table [S]); 2.575829304 for 1 % and 2.241402728 for 2.5 % [M].
    #[test]
    fn z_is_that_of_the_normal_distribution() {
        for (outside, z) in [(0.05, Z95), (0.01, 2.575_829_304), (0.025, 2.241_402_728)] {
            assert!((z_outside(outside) - z).abs() < 1e-9, "{outside}");
        }
    }
}
