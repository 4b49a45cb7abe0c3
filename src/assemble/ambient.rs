//! The ambient in one shot: its course against its reference frame, its share, and how far it stays under mid-grey.

use crate::exposure::words;
use crate::light::ShotLight;
use crate::report::light_types::AmbientState;
use crate::shots::Shot;
use crate::stages::level;

use super::ledger::percent;

/// Under a picture too dark to tell, no more than this is claimed: five stops under mid-grey a JPEG holds next to
/// nothing, and the camera's curve hides how much less (common practice, no source).
const MOST_CLAIMED_STOPS: f64 = 5.0;

/// What is known of the ambient in this shot.
pub fn state(shot: &Shot, light: &ShotLight) -> AmbientState {
    let ambient = &light.ambient;
    let under = headroom(shot, light);
    AmbientState {
        stops: ambient.stops.map(|s| s.value),
        stops_low: ambient.stops.map(|s| s.low),
        stops_high: ambient.stops.map(|s| s.high),
        share_percent: ambient.share_of_frame.map(percent),
        at_most: ambient.at_most,
        headroom_stops: under,
        words: in_words(under, ambient.at_most),
    }
}

/// Stops that the ambient alone stays under mid-grey: level of the picture and ambient's share of it, turned round.
fn headroom(shot: &Shot, light: &ShotLight) -> Option<f64> {
    let share = light.ambient.share_of_frame?;
    shot.measurement.as_ref()?;
    // A picture without any light has no level in stops; its ambient lies under whatever can be claimed.
    let ambient = level(shot).map_or(f64::NEG_INFINITY, |l| l + libm::log2(share));
    let under = if light.ambient.at_most { (-ambient).min(MOST_CLAIMED_STOPS) } else { -ambient };
    under.is_finite().then_some(under)
}

/// "3.2 stops under mid-grey", "at least 5 stops under mid-grey", "0.5 stop above mid-grey", "not known".
fn in_words(under: Option<f64>, at_least: bool) -> String {
    let Some(under) = under else { return "not known".to_owned() };
    let size = libm::round(under.abs() * 10.0) / 10.0;
    let unit = words::unit(size);
    match (at_least, size == 0.0) {
        (_, true) if !at_least => "at mid-grey".to_owned(),
        (true, _) if under > 0.0 => format!("at least {size} {unit} under mid-grey"),
        (true, _) => "not known".to_owned(),
        _ if under > 0.0 => format!("{size:.1} {unit} under mid-grey"),
        _ => format!("{size:.1} {unit} above mid-grey"),
    }
}
