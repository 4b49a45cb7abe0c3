//! What this account cannot say, why, and what would make it known: first of the light, then of everything else.

use super::{Parts, not_known_light};
use crate::report::NotKnown;

/// The sentences, most general first.
pub fn list(parts: &Parts) -> Vec<NotKnown> {
    let mut list = not_known_light::list(parts.sequences, parts.ledger);
    let mut add = |what: &str, why: &str, remedy: &str| list.push(row(what, why, remedy));
    let open = parts.stages.stages.iter().filter(|stage| {
        let first = parts.stages.shots.get(stage.sequence).and_then(|s| s.get(stage.shots.start));
        first.and_then(|f| f.light_change).is_some_and(|l| l.stops.is_none())
    });
    if open.count() > 0 {
        add(
            "the exact light change where the shutter moved",
            "the shutter acts on ambient light and not on flash, and how much of the picture is ambient is not known",
            "take one frame with all flashes off when you change the shutter",
        );
    }
    // One clock may keep its own time; every other must be brought to it.
    if parts.sequences.iter().filter(|s| s.clock_offset_s.is_none()).count() > 1 {
        add(
            "the order of shots across cameras",
            "their clocks have no moment in common that the files show",
            "name two frames of one moment, --same-moment A=B, or the difference of a clock, --clock SERIAL=-192s; then compare the times in frames.csv",
        );
    }
    let unread = parts.sequences.iter().flat_map(|s| &s.shots).filter(|s| s.measurement.is_none()).count();
    if unread > 0 {
        let shots = if unread == 1 { "one shot".to_owned() } else { format!("{unread} shots") };
        add(
            &format!("the exposure of {shots}"),
            "no pixels could be read",
            "see the list of files that could not be read: each has its remedy",
        );
    }
    list
}

/// One sentence.
pub fn row(what: &str, why: &str, remedy: &str) -> NotKnown {
    NotKnown { what: what.to_owned(), why: why.to_owned(), remedy: remedy.to_owned() }
}
