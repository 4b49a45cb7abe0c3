//! Runs of shots at one note, weighed as a whole: a wrong power holds for all of a run, an odd picture for one shot.

use super::late;
use crate::light::{Agreement, Entry, SequenceLight, Stops, Told};

/// A run this far from its note, beyond its own uncertainty, differs: half a click of a power dial, in stops.
const BEYOND: f64 = 0.15;
/// A single shot must stand out of a run that agrees by this much more: the least that is no odd picture, in stops.
const ODD: f64 = 0.3;
/// Deviations of a normal distribution have their median here, in 90 % intervals: 0.674 of 1.645 standard deviations.
const MEDIAN_TO_NINETY: f64 = 1.645 / 0.6745;

/// A run: its shots, the middle of what the pictures say against the note, and the noted power.
struct Run {
    shots: Vec<usize>,
    middle: Stops,
    power: Option<f64>,
    differs: bool,
}

/// Settles `agrees` for shots that stand in one run. `shots` are those the pictures could be compared in.
pub fn settle(ledger: &mut SequenceLight, shots: &[usize]) {
    for light in 0..ledger.lights.len() {
        let runs = runs(ledger, shots, light);
        let pair = pair(&runs);
        for run in &runs {
            for &shot in &run.shots {
                let Some(entry) = ledger.shots.get_mut(shot).and_then(|s| s.entries.get_mut(light)) else { continue };
                let Some(own) = entry.against_note else { continue };
                entry.agrees = if agrees(run, own) { Agreement::AsNoted } else { Agreement::Differs };
                if let Some(reason) = pair.as_ref().filter(|_| run.differs && entry.agrees == Agreement::Differs) {
                    reason.clone_into(&mut entry.reason);
                }
            }
        }
    }
}

fn agrees(run: &Run, own: Stops) -> bool {
    if run.differs {
        // With the run, or away from the note by itself.
        let with = own.low <= run.middle.high && run.middle.low <= own.high && own.value * run.middle.value > 0.0;
        return !with && own.value.abs() <= late::half(own) + BEYOND;
    }
    match run.shots.len() {
        1 | 2 => own.value.abs() <= late::half(own) + BEYOND,
        _ => own.value.abs() <= 2.0 * late::half(own) + ODD,
    }
}

fn runs(ledger: &SequenceLight, shots: &[usize], light: usize) -> Vec<Run> {
    let mut groups: Vec<Vec<(usize, &Entry)>> = Vec::new();
    let mut open = false;
    for &shot in shots {
        let Some(entry) = ledger.shots.get(shot).and_then(|s| s.entries.get(light)) else { continue };
        if entry.setting.on != Told::Yes {
            open = false;
            continue;
        }
        let goes_on = groups.last().and_then(|g| g.last()).is_some_and(|(_, last)| last.setting == entry.setting);
        match groups.last_mut().filter(|_| open && goes_on) {
            Some(group) => group.push((shot, entry)),
            None => groups.push(vec![(shot, entry)]),
        }
        open = true;
    }
    groups.iter().filter_map(|group| run(group)).collect()
}

fn run(group: &[(usize, &Entry)]) -> Option<Run> {
    let told: Vec<(usize, Stops)> = group.iter().filter_map(|(s, e)| Some((*s, e.against_note?))).collect();
    let value = middle(told.iter().map(|(_, s)| s.value))?;
    let own = middle(told.iter().map(|(_, s)| late::half(*s)))?;
    // How the shots scatter is a second opinion on how sure each of them is.
    let scatter = MEDIAN_TO_NINETY * middle(told.iter().map(|(_, s)| (s.value - value).abs()))?;
    let half = own.max(scatter);
    Some(Run {
        shots: told.iter().map(|(s, _)| *s).collect(),
        middle: Stops { value, low: value - half, high: value + half },
        power: group.first().and_then(|(_, e)| e.setting.noted_power),
        differs: value.abs() > half + BEYOND,
    })
}

/// Where a light was noted at two powers and the pictures do not bear out the step between them, either may be wrong.
fn pair(runs: &[Run]) -> Option<String> {
    let mut powers: Vec<f64> = runs.iter().filter_map(|r| r.power).collect();
    powers.sort_by(f64::total_cmp);
    powers.dedup_by(|a, b| (*a - *b).abs() < 0.05);
    let [low, high] = powers.as_slice() else { return None };
    let at =
        |power: &f64| runs.iter().filter(|r| r.power.is_some_and(|p| (p - power).abs() < 0.05)).collect::<Vec<_>>();
    // A power that agrees elsewhere is vouched for.
    let all = |runs: &[&Run]| runs.iter().all(|r| r.differs);
    let (of_low, of_high) = (at(low), at(high));
    if all(&of_low) == all(&of_high) {
        return None;
    }
    let seen =
        middle(of_high.iter().map(|r| r.middle.value))? - middle(of_low.iter().map(|r| r.middle.value))? + high - low;
    let words = crate::exposure::words::power;
    Some(format!(
        "noted at {} and {}, and the pictures have {seen:.1} stop between them: which of the two is wrong cannot be known",
        words(*low),
        words(*high)
    ))
}

/// Middle value; of an even number the mean of the two. None for none.
fn middle(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    super::drift::median(&values)
}
