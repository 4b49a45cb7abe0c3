//! Stops of power left: up to full, and down to the lowest step where that is known.

use crate::exposure::words::{power, unit};
use crate::next_time::power::{COMMON_LOWEST, LowEnd, SAME_STOPS, down, up};
use crate::report::next_types::{PowerLeft, Statement};

use super::base::{Base, Lit};

/// A row per light that is set on.
pub fn powers(base: &Base) -> Vec<PowerLeft> {
    base.lights.iter().map(|lit| left(base, lit)).collect()
}

fn left(base: &Base, lit: &Lit) -> PowerLeft {
    let said = Statement {
        about: lit.state.light.clone(),
        lighting: Some(base.row.lighting),
        unit: "stops".to_owned(),
        how: how(base, lit),
        ..Statement::default()
    };
    let row = PowerLeft {
        light: lit.state.light.clone(),
        light_index: lit.state.light_index,
        lighting: base.row.lighting,
        noted_power: lit.power.map(power).unwrap_or_default(),
        power_stops: lit.power,
        lowest_noted_stops: lit.low.map(|low| low.tried),
        lowest_said_stops: lit.low.and_then(|low| low.said),
        ..PowerLeft::default()
    };
    match lit.power.zip(lit.low) {
        Some((at, low)) => PowerLeft { up: upward(at, said.clone()), down: downward(at, low, said), ..row },
        None => {
            let not = Statement {
                words: "not known".to_owned(),
                how: String::new(),
                why_unknown: "no power is noted".to_owned(),
                ..said
            };
            PowerLeft { up: not.clone(), down: not, ..row }
        }
    }
}

/// Where the noted power comes from, and whether the picture agrees with it.
fn how(base: &Base, lit: &Lit) -> String {
    let tested = match lit.state.agrees.as_str() {
        "as noted" => "the picture agrees with the note",
        "differs" => "the picture does not agree with the note, so look at that first",
        _ => "the picture could not test the note",
    };
    format!("power as noted for lighting {}; {tested}", base.row.lighting)
}

fn upward(at: f64, said: Statement) -> Statement {
    let left = up(at);
    let words =
        if left < SAME_STOPS { "none: it is at 1/1".to_owned() } else { format!("{left:.1} {} up to 1/1", unit(left)) };
    Statement { value: Some(left), words, ..said }
}

fn downward(at: f64, low: LowEnd, said: Statement) -> Statement {
    if let Some(lowest) = low.said {
        let left = down(at, lowest);
        let words = if left < SAME_STOPS {
            format!("none: it is at its lowest step, {}", power(lowest))
        } else {
            format!("{left:.1} {} down to {}, its lowest step", unit(left), power(lowest))
        };
        let how = format!("{}; lowest step as given by --lowest-power", said.how);
        return Statement { value: Some(left), words, how, ..said };
    }
    let left = down(at, low.tried);
    let tried = if left < SAME_STOPS {
        format!("{} is the lowest it was used at", power(at))
    } else {
        format!("{left:.1} {} down to {}, the lowest it was used at", unit(left), power(low.tried))
    };
    let further = if low.tried > COMMON_LOWEST + SAME_STOPS {
        format!("{:.1} if it goes to 1/128", down(at, COMMON_LOWEST))
    } else {
        "how much lower it goes is not known".to_owned()
    };
    Statement {
        value: Some(left),
        at_least: true,
        words: format!("{tried}; {further}"),
        how: format!(
            "{}; its lowest step is not known: most flashes go to 1/128, some to 1/256; --lowest-power says it",
            said.how
        ),
        ..said
    }
}
