//! A light whose strength wandered over the shoot at one setting.

use super::Finding;
use super::lit::{Lit, span};
use crate::exposure::words;
use crate::light::Told;
use crate::problem::Code;

/// Fewer figures than this show no drift.
const FEWEST: usize = 6;

/// At most one finding per light.
pub fn find(lit: &Lit) -> Option<Finding> {
    let drift = lit.light.drift?;
    let burned = lit.shots.iter().enumerate().filter(|(_, (_, _, e))| e.on == Told::Yes && e.stops.is_some());
    let burned: Vec<usize> = burned.map(|(index, _)| index).collect();
    let (first, last) = (*burned.first()?, *burned.last()?);
    if burned.len() < FEWEST {
        return None;
    }
    let way = if drift < 0.0 { "weaker" } else { "stronger" };
    let size = format!("{:.1} {}", drift.abs(), words::unit(drift));
    lit.finding(
        first,
        Code::LightDrift,
        [
            format!("{} grew {way} by {size} per hour at one setting", lit.light.name),
            span(lit.frame(first), lit.frame(last), burned.len()),
            "the drift is proven beyond the error of the figures; its cause is not known".to_owned(),
        ],
    )
}
