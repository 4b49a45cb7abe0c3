//! Where the lights of each lighting stand: from the notes' clock position and distance to metres seen from above.
//!
//! Sitter in the middle, camera at 6, so 12 is behind the sitter and 3 at the camera's right. One hour is 30 degrees.

use std::f64::consts::PI;

use crate::notes::{NotedSequence, Stand};
use crate::report::LightingRow;
use crate::report::light_types::LightStand;
use crate::report::words::{clock, metres as metres_in_words};

use super::Parts;

/// Lets every lighting say where its lights stand.
pub fn fill(parts: &Parts, lightings: &mut [LightingRow]) {
    let mut frames_before = 0;
    for (s, sequence) in parts.sequences.iter().enumerate() {
        let noted = parts.notes.of(sequence);
        for row in lightings.iter_mut().filter(|row| row.detail.sequence == s) {
            let shots: Vec<usize> = row.detail.stage_numbers.iter().flat_map(|n| parts.stages.members(*n)).collect();
            let typical = row.detail.typical_index.saturating_sub(frames_before);
            let states = row.detail.light_account.each_light.iter().filter(|state| state.on != "no");
            row.detail.stands = states
                .map(|state| LightStand {
                    light: state.light.clone(),
                    light_index: state.light_index,
                    ..of(&noted, &state.light, typical, &shots)
                })
                .collect();
        }
        frames_before += sequence.shots.len();
    }
}

/// One light's stand in the typical shot; that it moved is said where another shot of the lighting has another stand.
fn of(noted: &NotedSequence, light: &str, typical: usize, shots: &[usize]) -> LightStand {
    let Some(index) = noted.lights.iter().position(|l| l.name == light) else {
        return placed(Stand::default(), false);
    };
    let at = |shot: usize| noted.shots.get(shot).and_then(|lights| lights.get(index)).map(|said| said.stand);
    let stand = at(typical).unwrap_or_default();
    placed(stand, shots.iter().filter_map(|shot| at(*shot)).any(|other| other != stand))
}

fn placed(stand: Stand, moved: bool) -> LightStand {
    let place = stand.distance_m.zip(stand.clock_hours).map(|(metres, hours)| metres_of(metres, hours));
    let why_not_drawn = match (stand.distance_m, stand.clock_hours) {
        (Some(_), Some(_)) => "",
        (Some(_), None) => "no clock position is noted",
        (None, Some(_)) => "no distance is noted",
        (None, None) => "neither clock position nor distance is noted",
    };
    LightStand {
        distance_m: stand.distance_m,
        clock_hours: stand.clock_hours,
        height_m: stand.height_m,
        right_m: place.map(|(right, _)| right),
        towards_camera_m: place.map(|(_, towards)| towards),
        moved,
        words: in_words(&stand),
        why_not_drawn: why_not_drawn.to_owned(),
        ..LightStand::default()
    }
}

/// Metres to the camera's right and towards the camera.
fn metres_of(distance: f64, hours: f64) -> (f64, f64) {
    let angle = hours * PI / 6.0;
    (distance * libm::sin(angle), -distance * libm::cos(angle))
}

/// "3.9 m from the sitter at 7:30, 2.8 m high"; what is not noted is left out.
fn in_words(stand: &Stand) -> String {
    let place = match (stand.distance_m, stand.clock_hours) {
        (Some(metres), Some(hours)) => format!("{} from the sitter at {}", metres_in_words(metres), clock(hours)),
        (Some(metres), None) => format!("{} from the sitter", metres_in_words(metres)),
        (None, Some(hours)) => format!("at {}", clock(hours)),
        (None, None) => String::new(),
    };
    let height = stand.height_m.map(|metres| format!("{} high", metres_in_words(metres))).unwrap_or_default();
    [place, height].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sides of a right triangle, by hand: sin 45° = cos 45° = 0.707107, sin 30° = 0.5, cos 30° = 0.866025.
    #[test]
    fn a_clock_position_and_a_distance_are_a_place() {
        for (metres, hours, right, towards) in [
            (2.0, 12.0, 0.0, -2.0),
            (2.0, 3.0, 2.0, 0.0),
            (2.0, 6.0, 0.0, 2.0),
            (2.0, 9.0, -2.0, 0.0),
            (4.0, 7.5, -2.828_427, 2.828_427),
            (4.0, 1.5, 2.828_427, -2.828_427),
            (5.4, 10.0, -4.676_537, -2.7),
            (5.4, 2.5, 5.215_999, -1.397_623),
            (2.0, 0.5, 0.517_638, -1.931_852),
        ] {
            let (x, y) = metres_of(metres, hours);
            assert!((x - right).abs() < 2e-6 && (y - towards).abs() < 2e-6, "{metres} at {hours}: {x} {y}");
        }
    }

    #[test]
    fn what_is_noted_is_said_and_what_is_not_is_named() {
        let stand = |distance_m, clock_hours, height_m| placed(Stand { distance_m, clock_hours, height_m }, false);
        let plain = |text: &str| text.replace('\u{a0}', " ");
        let all = stand(Some(3.9), Some(7.5), Some(2.8));
        assert_eq!(
            (plain(&all.words).as_str(), all.why_not_drawn.as_str()),
            ("3.9 m from the sitter at 7:30, 2.8 m high", "")
        );
        let far = stand(Some(5.0), None, None);
        assert_eq!((plain(&far.words).as_str(), far.right_m), ("5 m from the sitter", None));
        assert_eq!(far.why_not_drawn, "no clock position is noted");
        let round = stand(None, Some(12.0), Some(-0.5));
        assert_eq!(plain(&round.words), "at 12, −0.5 m high");
        assert_eq!(round.why_not_drawn, "no distance is noted");
        assert_eq!(stand(None, None, None).words, "");
        assert_eq!((clock(0.5), clock(12.0), clock(10.999_9)), ("12:30".into(), "12".into(), "11".into()));
    }
}
