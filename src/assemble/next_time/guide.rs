//! What the photographer's own guide numbers say of the lights of one lighting.

use crate::exposure::words::{aperture, iso, power, unit};
use crate::next_time::Heads;
use crate::next_time::guide_number::{f_number, reach, to_spare};
use crate::report::next_types::Statement;

use super::base::{Base, Lit};

/// A statement per light that is set on and has a guide number.
pub fn guide_numbers(base: &Base, heads: &Heads) -> Vec<Statement> {
    let lights = base.lights.iter().filter_map(|lit| Some((lit, heads.guide_number(&lit.state.light)?)));
    lights.map(|(lit, metres)| statement(base, lit, metres)).collect()
}

fn statement(base: &Base, lit: &Lit, metres: f64) -> Statement {
    let light = &lit.state.light;
    let blank = Statement {
        about: light.clone(),
        lighting: Some(base.row.lighting),
        unit: "f-number".to_owned(),
        ..Statement::default()
    };
    let not_known =
        |why: &str| Statement { words: "not known".to_owned(), why_unknown: why.to_owned(), ..blank.clone() };
    if base.above_sync {
        return not_known("shot above sync speed, where a guide number does not hold");
    }
    let Some(at) = lit.power else { return not_known("no power is noted") };
    let Some(distance) = lit.distance_m else { return not_known("no distance is noted") };
    let (Some(used), Some(sensitivity)) = (base.settings.aperture, base.settings.iso) else {
        return not_known("aperture or ISO is not known");
    };
    // The f-number behind the mark: a dial at f/5.6 stands at 2^(5/2).
    let exact = libm::exp2(used.stops / 2.0);
    let found = f_number(metres, at, sensitivity.stops, distance);
    let spare = to_spare(found, exact);
    let size = spare.abs();
    let against = match () {
        () if size < 0.05 => "just that".to_owned(),
        () if spare > 0.0 => format!("{size:.1} {} to spare for modifier and gel", unit(size)),
        () => format!("{size:.1} {} short, before modifier and gel", unit(size)),
    };
    Statement {
        value: Some(found),
        words: format!(
            "{light} at {} and {distance:.1} m: f/{found:.1} by its guide number, used at {}: {against}; at {} it reaches {:.1} m",
            power(at),
            aperture(used.marked),
            aperture(used.marked),
            reach(metres, at, sensitivity.stops, exact),
        ),
        how: format!(
            "guide number {metres} m at ISO 100 and 1/1, as you gave it, times the root of power and of ISO/100, over the noted distance; {}",
            iso(sensitivity.marked)
        ),
        ..blank
    }
}
