//! Notes that begin a frame late: the frame just before a noted change already shows the light as noted after it.

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
                let before = f.checked_sub(1).and_then(|b| entries.get(b)).filter(|b| b.setting == now.setting);
                neighbours
                    && shows(now, &next.setting)
                    && !before.is_some_and(|b| shows(b, &next.setting))
                    && holds(next)
            })
            .filter_map(|(f, _)| shots.get(f).copied())
            .collect();
        for shot in late {
            if let Some(entry) = ledger.shots.get_mut(shot).and_then(|s| s.entries.get_mut(light)) {
                entry.late_note = true;
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
            entry.agrees == Agreement::Differs
                && step.abs() >= STEP
                && now <= half(against) + NEAR
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
    next.on != Told::Unknown && (next.agrees != Agreement::Differs)
}

/// Half the width of an interval.
pub fn half(stops: Stops) -> f64 {
    (stops.high - stops.low) / 2.0
}
