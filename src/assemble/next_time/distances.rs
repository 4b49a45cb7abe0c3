//! What moving a light of one lighting does: by the inverse square, from noted distances, with the rule's limit.

use crate::exposure::words::{power, unit};
use crate::next_time::distance::{at, disc_stops, size_m, stops};
use crate::next_time::power::fit;
use crate::report::next_types::{Move, Moving};

use super::apertures::remark;
use super::base::{Base, Lit};

/// Changes of light that places are given for.
const CHANGES: [f64; 4] = [2.0, 1.0, -1.0, -2.0];
/// A source's size that takes more than this from the rule is told, in stops.
const TOLD: f64 = 0.1;

/// A row per light that is set on.
pub fn distances(base: &Base) -> Vec<Moving> {
    base.lights.iter().map(|lit| moving(base, lit)).collect()
}

fn moving(base: &Base, lit: &Lit) -> Moving {
    let row = Moving {
        light: lit.state.light.clone(),
        light_index: lit.state.light_index,
        lighting: base.row.lighting,
        distance_m: lit.distance_m,
        ..Moving::default()
    };
    let Some(from) = lit.distance_m else {
        return Moving { why_unknown: "no distance is noted, or not one for all these shots".to_owned(), ..row };
    };
    let size = size_m(&lit.state.modifier);
    let moves = CHANGES.map(|change| to_move(lit, from, change, size)).to_vec();
    Moving { moves, limit: limit(from, size), ..row }
}

fn to_move(lit: &Lit, from: f64, change: f64, size: Option<f64>) -> Move {
    let to = at(from, change);
    let near = size.map(|size| (size, disc_stops(from, to, size) - stops(from, to)));
    let place = match near {
        Some((size, _)) if to < size => Some("nearer than it is wide: the rule ends here".to_owned()),
        Some((_, off)) if off < -TOLD => Some(format!("its width takes {:.1} {} off", -off, unit(off))),
        _ => None,
    };
    let new = lit.power.zip(lit.low).map(|(at, low)| (at - change, remark(fit(at - change, low)).1));
    let (same_light_at, of_power) = new.map_or((String::new(), String::new()), |(at, said)| (power(at), said));
    let remarks: Vec<String> = place.into_iter().chain((!of_power.is_empty()).then_some(of_power)).collect();
    Move { to_m: to, stops: change, same_light_at, remark: remarks.join("; ") }
}

fn limit(from: f64, size: Option<f64>) -> String {
    match size {
        Some(size) if size >= from => {
            format!("noted as {size:.2} m wide and {from:.1} m away: so near the rule of a point does not hold")
        }
        Some(size) => {
            let off = stops(from, size) - disc_stops(from, size, size);
            format!("noted as {size:.2} m wide: {size:.2} m away it would give {off:.1} stop less than the rule says")
        }
        None => "its width is not noted: the rule holds for a source small against the distance".to_owned(),
    }
}
