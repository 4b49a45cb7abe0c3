//! A light that burned weaker than in the rest of its run, after a gap shorter than usual: it had not recycled.

use super::Finding;
use super::lit::{Lit, seconds};
use crate::exposure::words;
use crate::light::{Stops, Told};
use crate::problem::Code;
use crate::stages::as_set::median;

/// A flash short by less than this is within what units scatter from shot to shot (common practice, no source).
const SHORT_STOPS: f64 = 0.4;

/// A gap counts as short below this part of the run's usual gap: the hand's own unsteadiness is no reason.
const SHORT_GAP: f64 = 0.8;

/// A run says what is usual from so many figures on.
const FEWEST: usize = 3;

/// One finding per short shot.
pub fn find(lit: &Lit) -> Vec<Finding> {
    lit.runs().into_iter().flat_map(|run| in_run(lit, run)).collect()
}

fn in_run(lit: &Lit, run: std::ops::Range<usize>) -> Vec<Finding> {
    let burned: Vec<(usize, Option<f64>, Stops)> = lit
        .within(run.clone())
        .filter(|(_, _, e)| e.on == Told::Yes)
        .filter_map(|(index, shot, e)| Some((index, shot.seconds_since_previous, e.stops?)))
        .collect();
    let gaps: Vec<f64> = lit.within(run).skip(1).filter_map(|(_, s, _)| s.seconds_since_previous).collect();
    let usual = median(burned.iter().map(|(_, _, s)| s.value).collect());
    let (Some(usual), Some(usual_gap)) = (usual.filter(|_| burned.len() >= FEWEST), median(gaps)) else {
        return Vec::new();
    };
    let short = burned.iter().filter(|(_, _, s)| s.value <= usual - SHORT_STOPS && s.high < usual);
    short
        .filter_map(|(index, gap, stops)| {
            let gap = gap.filter(|gap| *gap < SHORT_GAP * usual_gap)?;
            let by = stops.value - usual;
            let against = words::plus_minus(by, stops.low - usual, stops.high - usual);
            lit.finding(
                *index,
                Code::ShortFlash,
                [
                    format!("{} short after a gap of {}", lit.light.name, seconds(gap)),
                    format!(
                        "{against} {} against the median of its run of {} shots; the usual gap there is {}",
                        words::unit(by),
                        burned.len(),
                        seconds(usual_gap)
                    ),
                    "that it was weaker is certain within the interval; that it had not recycled is likely, not proven"
                        .to_owned(),
                ],
            )
        })
        .collect()
}
