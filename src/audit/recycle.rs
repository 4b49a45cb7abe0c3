//! A light that fails after short gaps: how long it needs at this power.

use super::Finding;
use crate::exposure::words;
use crate::problem::Code;
use crate::series::recycle::Recycle;
use crate::shots::{Sequence, Shot};
use crate::stages::InStage;

use super::lit::seconds;

/// One finding per light and power.
pub fn find(sequence: &Sequence, places: &[InStage], names: &[&str], rules: &[Recycle]) -> Vec<Finding> {
    rules.iter().filter_map(|rule| one(sequence, places, names, rule)).collect()
}

fn one(sequence: &Sequence, places: &[InStage], names: &[&str], rule: &Recycle) -> Option<Finding> {
    let name = *names.get(rule.light)?;
    let (first, _) = *rule.failed.first()?;
    let shot = sequence.shots.get(first)?;
    let gaps = || rule.failed.iter().map(|(_, gap)| *gap);
    let (low, high) = (gaps().min_by(f64::total_cmp)?, gaps().max_by(f64::total_cmp)?);
    let power = rule.power.map(|p| format!(" at {}", words::power(p))).unwrap_or_default();
    let between = if high - low < 0.05 {
        format!("a gap of {}", seconds(low))
    } else {
        format!("gaps of {low:.1} to {}", seconds(high))
    };
    let exact = |shot: &Shot| shot.taken.as_ref().is_some_and(|t| t.fraction_digits > 0);
    let clock = if sequence.shots.iter().all(exact) { "" } else { "; each gap is known to ±1 s" };
    let frames: Vec<&str> =
        rule.failed.iter().filter_map(|(shot, _)| Some(sequence.shots.get(*shot)?.frame.as_str())).collect();
    Some(Finding {
        frame: shot.frame.clone(),
        stage: places.get(first).and_then(|p| p.stage),
        light: name.to_owned(),
        code: Code::Recycle,
        finding: format!("{name}{power}: short or missing after {between}, full from {} on", seconds(rule.full_from_s)),
        evidence: format!(
            "failed in {}; in full in {} shots after at least {}{clock}",
            frames.join(", "),
            rule.full,
            seconds(rule.full_from_s)
        ),
        certainty: "chance alone sorts the gaps so well in at most 5 of 100 cases; what lies between the two gaps was not tried"
            .to_owned(),
    })
}
