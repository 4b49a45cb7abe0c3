//! How far a light's power can still go: up to full, down to its lowest step, and whether a wanted change fits.
//!
//! Powers are in stops against full power, so 1/1 is 0 and every halving takes one off.

/// Powers nearer than this are one power: half the finest step of a flash, a tenth of a stop.
pub const SAME_STOPS: f64 = 0.05;

/// 1/128: the lowest step in printed lists of guide numbers by power (Olympus FL-50 manual, p. 16).
pub const COMMON_LOWEST: f64 = -7.0;

/// 1/256: the lowest step that heads are commonly built with (common practice, no source).
pub const SELDOM_LOWEST: f64 = -8.0;

/// Stops left up to full power.
#[must_use]
pub fn up(power: f64) -> f64 {
    (-power).max(0.0)
}

/// Stops left down to `lowest`, 0 where it is there already.
#[must_use]
pub fn down(power: f64, lowest: f64) -> f64 {
    (power - lowest).max(0.0)
}

/// What is known of the low end of a light's power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowEnd {
    /// Its lowest step, where the photographer said so.
    pub said: Option<f64>,
    /// The lowest power it was noted at, so that it certainly goes there.
    pub tried: f64,
}

/// Whether a light goes to a power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fit {
    /// It does.
    Yes,
    /// So many stops more than full power are wanted.
    Above(f64),
    /// So many stops less than its lowest step are wanted.
    Below(f64),
    /// Lower than it was tried; most flashes go there.
    Untried,
    /// Lower than 1/128; some flashes go there.
    Seldom,
    /// Lower than 1/256; hardly a flash goes there.
    Hardly,
}

/// Whether a light goes to `wanted`.
#[must_use]
pub fn fit(wanted: f64, low: LowEnd) -> Fit {
    if wanted > SAME_STOPS {
        return Fit::Above(wanted);
    }
    if let Some(said) = low.said {
        return if wanted < said - SAME_STOPS { Fit::Below(said - wanted) } else { Fit::Yes };
    }
    match wanted {
        w if w >= low.tried - SAME_STOPS => Fit::Yes,
        w if w >= COMMON_LOWEST - SAME_STOPS => Fit::Untried,
        w if w >= SELDOM_LOWEST - SAME_STOPS => Fit::Seldom,
        _ => Fit::Hardly,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stops of 1/1 to 1/128 from a printed list of guide numbers: full over part is the square root of the power, so
    /// twice log2 of it is the way up. Olympus FL-50 manual, p. 16, columns 24 and 85 mm, metres at ISO 100; print rounds
    /// to two figures, at most 4 % of a guide number, 0.12 stop.
    #[test]
    fn the_way_up_is_that_of_a_printed_list() {
        let lists = [[28.0, 20.0, 14.0, 9.9, 7.0, 4.9, 3.5, 2.5], [50.0, 35.0, 25.0, 18.0, 13.0, 8.8, 6.3, 4.4]];
        for list in lists {
            for (steps, number) in (0..).map(f64::from).zip(list) {
                let printed = 2.0 * libm::log2(list[0] / number);
                assert!((up(-steps) - printed).abs() < 0.12, "1/{}: {printed}", libm::exp2(steps));
                assert!((down(0.0, -steps) - printed).abs() < 0.12);
            }
        }
    }

    #[test]
    fn nothing_is_left_beyond_the_ends() {
        assert_eq!((up(0.0), up(-3.0), down(-3.0, -7.0), down(-7.0, -7.0)), (0.0, 3.0, 4.0, 0.0));
        assert_eq!(down(-8.0, -7.0), 0.0, "noted below what was said to be the lowest");
    }

    #[test]
    fn a_change_fits_or_the_stops_missing_are_told() {
        let tried = LowEnd { said: None, tried: -5.0 };
        for (wanted, fits) in [
            (0.0, Fit::Yes),
            (0.04, Fit::Yes),
            (1.0, Fit::Above(1.0)),
            (-5.0, Fit::Yes),
            (-6.0, Fit::Untried),
            (-7.0, Fit::Untried),
            (-8.0, Fit::Seldom),
            (-9.0, Fit::Hardly),
        ] {
            assert_eq!(fit(wanted, tried), fits, "{wanted}");
        }
        let said = LowEnd { said: Some(-6.0), tried: -5.0 };
        assert_eq!((fit(-6.0, said), fit(-7.5, said)), (Fit::Yes, Fit::Below(1.5)));
    }
}
