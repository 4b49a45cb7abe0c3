//! Keepers in words: with the series they are counted over, and their rate with its interval

use super::{NOT_KNOWN, count, duration, percent};
use crate::report::{LightingRow, StageRow};

/// Counted keepers, whatever they are counted over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kept {
    /// Kept shots.
    pub keepers: u32,
    /// Series with a keeper and series with a candidate; None while series are not told apart.
    pub series: Option<(u32, u32)>,
    /// The rate of the two, 0..1, with its interval.
    pub rate: Option<[f64; 3]>,
}

impl Kept {
    /// Of a stage; None where no keepers were asked for.
    #[must_use]
    pub fn of(stage: &StageRow) -> Option<Self> {
        Some(Self {
            keepers: stage.keepers?,
            series: stage.kept_series.zip(stage.candidate_series),
            rate: all(stage.keeper_rate, stage.keeper_rate_low, stage.keeper_rate_high),
        })
    }

    /// Of a lighting; None where no keepers were asked for.
    #[must_use]
    pub fn of_lighting(row: &LightingRow) -> Option<Self> {
        Some(Self {
            keepers: row.keepers?,
            series: row.kept_series.zip(row.candidate_series),
            rate: all(row.keeper_rate, row.keeper_rate_low, row.keeper_rate_high),
        })
    }

    /// Whether nothing was kept and nothing could be: a test of the build.
    #[must_use]
    pub fn nothing(&self) -> bool {
        self.keepers == 0 && self.series.is_some_and(|(_, of)| of == 0)
    }

    /// "7 keepers of 12 series", "9 keepers in 7 of 12 series", "no keeper of 12 series", "2 keepers".
    #[must_use]
    pub fn words(&self) -> String {
        let keepers = match self.keepers {
            0 => "no keeper".to_owned(),
            many => count(many as usize, "keeper", "keepers"),
        };
        match self.series {
            None => keepers,
            Some((_, 0)) => format!("{keepers}; no series was a candidate"),
            Some((kept, of)) if kept == self.keepers => format!("{keepers} of {of}\u{a0}series"),
            Some((kept, of)) => format!("{keepers} in {kept} of {of}\u{a0}series"),
        }
    }

    /// "58 % (32 to 81 %)".
    #[must_use]
    pub fn rate_words(&self) -> Option<String> {
        let [rate, low, high] = self.rate?.map(|share| 100.0 * share);
        let (low, high) = (percent(low).replace("\u{a0}%", ""), percent(high));
        Some(format!("{} ({low} to {high})", percent(rate)))
    }
}

/// How long a lighting was shot: "3 min"; "one shot", which lasts no time.
#[must_use]
pub fn shot_for(lighting: &LightingRow) -> String {
    if lighting.frames == 1 {
        return "one shot".to_owned();
    }
    lighting.seconds.map_or_else(|| NOT_KNOWN.to_owned(), duration)
}

/// Three figures, or none.
#[must_use]
pub fn all(rate: Option<f64>, low: Option<f64>, high: Option<f64>) -> Option<[f64; 3]> {
    Some([rate?, low?, high?])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keepers_are_said_with_what_they_are_counted_over() {
        let kept = |keepers, series| Kept { keepers, series, rate: None }.words().replace('\u{a0}', " ");
        assert_eq!(kept(7, Some((7, 12))), "7 keepers of 12 series");
        assert_eq!(kept(1, Some((1, 1))), "1 keeper of 1 series");
        assert_eq!(kept(9, Some((7, 12))), "9 keepers in 7 of 12 series");
        assert_eq!(kept(0, Some((0, 12))), "no keeper of 12 series");
        assert_eq!(kept(0, Some((0, 0))), "no keeper; no series was a candidate");
        assert_eq!(kept(2, None), "2 keepers");
        let rate = Kept { keepers: 7, series: Some((7, 12)), rate: Some([7.0 / 12.0, 0.3195, 0.8067]) };
        assert_eq!(rate.rate_words().unwrap().replace('\u{a0}', " "), "58 % (32 to 81 %)");
    }
}
