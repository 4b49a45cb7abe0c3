//! A light that was set on and did not burn.

use super::Finding;
use super::lit::{Lit, seconds};
use crate::exposure::words;
use crate::light::{Evidence, Told};
use crate::problem::Code;
use crate::stages::as_set::{median, median_stops};

/// One finding per shot.
pub fn find(lit: &Lit) -> Vec<Finding> {
    let missed = lit.shots.iter().enumerate().filter(|(_, (_, _, e))| e.misfire == Told::Yes && !e.late_note);
    missed
        .filter_map(|(index, (shot, _, entry))| {
            let run = lit.runs().into_iter().find(|run| run.contains(&index)).unwrap_or(index..index + 1);
            let usual: Vec<_> = lit.within(run.clone()).filter_map(|(_, _, e)| e.stops).collect();
            let burned = lit.within(run.clone()).filter(|(_, _, e)| e.on == Told::Yes).count();
            let gaps: Vec<f64> = lit.within(run).skip(1).filter_map(|(_, s, _)| s.seconds_since_previous).collect();
            let strength = median_stops(&usual)
                .map(|s| format!(", at {} {}", words::plus_minus(s.value, s.low, s.high), words::unit(s.value)))
                .unwrap_or_default();
            let around = match burned {
                0 => "set on by the notes".to_owned(),
                1 => format!("it burned in one other shot of this run{strength}"),
                many => format!("it burned in {many} other shots of this run{strength}"),
            };
            let gap = match (shot.seconds_since_previous, median(gaps)) {
                (Some(gap), Some(usual)) => {
                    format!("; {} after the shot before, usually {}", seconds(gap), seconds(usual))
                }
                (Some(gap), None) => format!("; {} after the shot before", seconds(gap)),
                _ => String::new(),
            };
            let certainty = if entry.evidence == Evidence::Noted {
                "from the notes; the picture alone does not prove it"
            } else {
                "the picture shows none of its light; whether flash, trigger or cell failed cannot be known"
            };
            let finding = format!("{} did not burn", lit.light.name);
            lit.finding(index, Code::Misfire, [finding, format!("{around}{gap}"), certainty.to_owned()])
        })
        .collect()
}
