//! Notes that begin a frame late: the frame just before a noted change already shows the light as noted after it.

use super::runs::UNEXPLAINED;
use crate::light::{Agreement, Entry, SequenceLight, Setting, Stops, Told};

/// Steps of power smaller than this, in stops, are too small to be told late: one click of a dial of thirds.
const STEP: f64 = 0.3;
/// A picture this near a noted power, beyond its own uncertainty, holds it: half a click of a power dial.
const NEAR: f64 = 0.15;

/// Marks late notes of the lights in the shots given, which are those the pictures could be compared in.
pub fn mark(ledger: &mut SequenceLight, shots: &[usize]) {
    for light in 0..ledger.lights.len() {
        let entries: Vec<&Entry> =
            shots.iter().filter_map(|&shot| ledger.shots.get(shot)?.entries.get(light)).collect();
        let late: Vec<usize> = entries
            .windows(2)
            .zip(shots.windows(2))
            .enumerate()
            .filter(|(f, (pair, at))| {
                let [now, next] = pair else { return false };
                // A shot between the two that could not be compared may be where the change belongs.
                let neighbours = matches!(at, [a, b] if a + 1 == *b);
                let last = f.checked_sub(1).and_then(|b| entries.get(b));
                let before = last.filter(|b| b.setting == now.setting);
                neighbours
                    && shows(now, &next.setting)
                    && !before.is_some_and(|b| shows(b, &next.setting))
                    && holds(next)
                    && last.is_none_or(|b| near_its_note(b))
            })
            .filter_map(|(f, _)| shots.get(f).copied())
            .filter(|&shot| ledger.shots.get(shot).and_then(|s| s.misfit).is_some_and(|m| m <= UNEXPLAINED))
            .collect();
        for shot in late {
            if let Some(entry) = ledger.shots.get_mut(shot).and_then(|s| s.entries.get_mut(light)) {
                entry.late_note = true;
                entry.agrees = Agreement::Differs;
                // Whether it failed or was already switched off looks the same.
                if entry.misfire == Told::Yes {
                    entry.misfire = Told::Unknown;
                    "did not burn: it failed, or was already switched off as noted for the next shot"
                        .clone_into(&mut entry.reason);
                }
            }
        }
    }
}

/// Whether a picture shows a light as set in `other`, and not as its own note has it.
fn shows(entry: &Entry, other: &Setting) -> bool {
    if entry.setting.on == other.on && entry.setting.modifier != other.modifier {
        return false;
    }
    match (entry.setting.on, entry.on, other.on) {
        (Told::Yes, Told::No, Told::No) => entry.agrees == Agreement::Differs || entry.misfire == Told::Yes,
        (Told::No, Told::Yes, Told::Yes) => {
            let off = entry.power.zip(other.noted_power).map(|(seen, noted)| (seen - noted).abs());
            off.is_none_or(|off| off <= STEP + entry.stops.map_or(0.0, half))
        }
        (Told::Yes, Told::Yes, Told::Yes) => step(entry, other).is_some_and(|(against, step)| {
            let now = (against.value - step).abs();
            against.value.abs() > half(against) + NEAR
                && step.abs() >= STEP
                && now <= 1.5 * half(against) + NEAR
                && now < against.value.abs() / 2.0
        }),
        _ => false,
    }
}

/// How far the picture is from the note, and how far the other note is.
fn step(entry: &Entry, other: &Setting) -> Option<(Stops, f64)> {
    Some((entry.against_note?, other.noted_power? - entry.setting.noted_power?))
}

/// Whether the shot after the change bears its note out, or at least does not speak against it.
fn holds(next: &Entry) -> bool {
    next.on != Told::Unknown && next.agrees != Agreement::Differs && near_its_note(next)
}

/// Shots in a row that are all off are no slip of one shot: the account's scale does not hold there.
fn near_its_note(entry: &Entry) -> bool {
    entry.against_note.is_none_or(|a| a.value.abs() <= 1.5 * half(a) + NEAR)
}

/// Half the width of an interval.
pub fn half(stops: Stops) -> f64 {
    (stops.high - stops.low) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Light, ShotLight};

    /// One light in some shots: noted power (None for off), and what the picture shows in stops against the note (None for
    /// no light), each within 0.1 stop.
    fn ledger(shots: &[(Option<f64>, Option<f64>)]) -> SequenceLight {
        let entry = |&(noted, seen): &(Option<f64>, Option<f64>)| {
            let on = if seen.is_some() { Told::Yes } else { Told::No };
            let set = if noted.is_some() { Told::Yes } else { Told::No };
            let against = noted.and(seen).map(|value| Stops { value, low: value - 0.1, high: value + 0.1 });
            let agrees = match (set, on) {
                (a, b) if a != b => Agreement::Differs,
                _ if against.is_some_and(|a| a.value.abs() > 0.25) => Agreement::Differs,
                _ => Agreement::AsNoted,
            };
            Entry {
                on,
                agrees,
                against_note: against,
                power: noted.or(Some(0.0)).zip(seen).map(|(n, s)| n + s),
                setting: Setting { on: set, noted_power: noted, ..Setting::default() },
                ..Entry::default()
            }
        };
        SequenceLight {
            lights: vec![Light::default()],
            shots: shots
                .iter()
                .map(|s| ShotLight { entries: vec![entry(s)], misfit: Some(0.02), ..ShotLight::default() })
                .collect(),
            ..SequenceLight::default()
        }
    }

    fn late(shots: &[(Option<f64>, Option<f64>)]) -> Vec<usize> {
        let mut ledger = ledger(shots);
        mark(&mut ledger, &(0..shots.len()).collect::<Vec<_>>());
        ledger.shots.iter().enumerate().filter(|(_, s)| s.entries[0].late_note).map(|(i, _)| i).collect()
    }

    const LOW: Option<f64> = Some(-4.0);
    const HIGH: Option<f64> = Some(-3.0);
    const FITS: Option<f64> = Some(0.02);

    #[test]
    fn a_step_on_and_off_that_begin_a_shot_early_are_late_notes() {
        assert_eq!(late(&[(LOW, FITS), (LOW, FITS), (LOW, Some(1.05)), (HIGH, FITS), (HIGH, FITS)]), [2]);
        assert_eq!(late(&[(HIGH, FITS), (HIGH, Some(-1.05)), (LOW, FITS)]), [1]);
        assert_eq!(late(&[(None, None), (None, Some(-3.0)), (HIGH, FITS)]), [1], "power -3 is seen, as noted next");
        assert_eq!(late(&[(HIGH, FITS), (HIGH, None), (None, None)]), [1]);
    }

    #[test]
    fn what_fits_neither_note_or_lasts_longer_or_holds_its_own_is_none() {
        assert_eq!(late(&[(LOW, FITS), (LOW, Some(0.5)), (HIGH, FITS)]), [0; 0], "half way");
        assert_eq!(late(&[(LOW, FITS), (LOW, Some(-1.0)), (HIGH, FITS)]), [0; 0], "the other way");
        assert_eq!(late(&[(LOW, FITS), (LOW, FITS), (HIGH, FITS)]), [0; 0], "as noted");
        assert_eq!(late(&[(LOW, Some(1.0)), (LOW, Some(1.0)), (HIGH, FITS)]), [0; 0], "a wrong power of the whole run");
        assert_eq!(
            late(&[(LOW, FITS), (LOW, Some(1.0)), (HIGH, Some(1.0))]),
            [0; 0],
            "the next note does not hold either"
        );
        assert_eq!(late(&[(LOW, FITS), (LOW, Some(1.0)), (LOW, FITS)]), [0; 0], "no change of the note");
        let ladder = [(Some(-5.0), Some(1.0)), (LOW, Some(1.0)), (HIGH, FITS)];
        assert_eq!(late(&ladder), [0; 0], "every step of a ladder off by the same");
    }

    #[test]
    fn dark_before_noted_off_is_no_sure_misfire() {
        let mut ledger = ledger(&[(HIGH, FITS), (HIGH, None), (None, None)]);
        ledger.shots[1].entries[0].misfire = Told::Yes;
        mark(&mut ledger, &[0, 1, 2]);
        assert_eq!(ledger.shots[1].entries[0].misfire, Told::Unknown);
        assert!(!ledger.shots[1].entries[0].reason.is_empty());
    }

    #[test]
    fn a_shot_left_out_between_is_where_the_change_may_belong() {
        let mut ledger = ledger(&[(LOW, FITS), (LOW, Some(1.0)), (LOW, None), (HIGH, FITS)]);
        mark(&mut ledger, &[0, 1, 3]);
        assert!(ledger.shots.iter().all(|s| !s.entries[0].late_note));
    }

    #[test]
    fn a_picture_that_is_not_explained_moves_no_note() {
        let mut ledger = ledger(&[(LOW, FITS), (LOW, Some(1.0)), (HIGH, FITS)]);
        ledger.shots[1].misfit = Some(0.2);
        mark(&mut ledger, &[0, 1, 2]);
        assert!(!ledger.shots[1].entries[0].late_note);
    }
}
