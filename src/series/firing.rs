//! Every time a light was set to burn: after what gap, and whether it burned in full, short or not at all.

use crate::light::lightings::same_setting;
use crate::light::{Entry, SequenceLight, Stops, Told};
use crate::shots::Shot;
use crate::stages::as_set::median;

/// What came of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// As strong as this light usually is at this setting.
    Full,
    /// Weaker, by so many stops against the median at this setting, below 0.
    Short(f64),
    /// Not at all.
    Missed,
}

/// One time a light was set to burn and it is known what came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Firing {
    /// Index of the light.
    pub light: usize,
    /// Index of the shot in its sequence.
    pub shot: usize,
    /// Its noted power in stops against 1/1; None where none was noted.
    pub power: Option<f64>,
    /// Seconds since it last burned; None where that is not known, or at its first time.
    pub gap_s: Option<f64>,
    /// What came of it.
    pub outcome: Outcome,
}

/// A flash short by less than this is within what units scatter from shot to shot (common practice, no source).
const SHORT_STOPS: f64 = 0.4;
/// So many figures say what is usual.
const FEWEST: usize = 3;

/// Every firing of one camera's lights, light by light, in shooting order.
#[must_use]
pub fn all(shots: &[Shot], light: &SequenceLight) -> Vec<Firing> {
    (0..light.lights.len()).flat_map(|index| of_light(shots, light, index)).collect()
}

fn of_light(shots: &[Shot], light: &SequenceLight, index: usize) -> Vec<Firing> {
    let entries: Vec<Option<&Entry>> = light.shots.iter().map(|shot| shot.entries.get(index)).collect();
    let mut since: Option<f64> = None;
    let mut firings = Vec::new();
    for (shot, entry) in entries.iter().enumerate() {
        since = since.zip(shots.get(shot).and_then(|s| s.seconds_since_previous)).map(|(a, b)| a + b);
        let Some(entry) = entry else { continue };
        let outcome = match (entry.misfire, entry.on, entry.stops) {
            (Told::Yes, _, _) if !entry.late_note => Some(Outcome::Missed),
            (_, Told::Yes, Some(stops)) => usual(&entries, entry).map(|usual| burned(stops, usual)),
            _ => None,
        };
        if let Some(outcome) = outcome.filter(|_| entry.setting.on == Told::Yes) {
            firings.push(Firing { light: index, shot, power: entry.setting.noted_power, gap_s: since, outcome });
        }
        match entry.on {
            Told::Yes => since = Some(0.0),
            // It may have burned: since when it rests is not known.
            Told::Unknown => since = None,
            Told::No => {}
        }
    }
    firings
}

fn burned(stops: Stops, usual: f64) -> Outcome {
    if stops.value <= usual - SHORT_STOPS && stops.high < usual {
        Outcome::Short(stops.value - usual)
    } else {
        Outcome::Full
    }
}

/// The median strength of a light at one setting; None where too few figures say.
fn usual(entries: &[Option<&Entry>], at: &Entry) -> Option<f64> {
    let same = |entry: &&&Entry| same_setting(&entry.setting, &at.setting) && entry.on == Told::Yes;
    let stops: Vec<f64> = entries.iter().flatten().filter(same).filter_map(|e| Some(e.stops?.value)).collect();
    median(stops.clone()).filter(|_| stops.len() >= FEWEST)
}

#[cfg(test)]
mod tests {
    use super::super::made::{burning, shots_after};
    use super::*;

    #[test]
    fn the_gap_runs_from_the_last_time_it_burned() {
        let shots = shots_after(&[0.0, 10.0, 1.0, 1.5, 10.0]);
        let light = burning(&[Some(0.0), Some(0.1), None, Some(-0.9), Some(0.0)]);
        let found: Vec<_> = all(&shots, &light).into_iter().map(|f| (f.shot, f.gap_s, f.outcome)).collect();
        assert_eq!(
            found,
            [
                (0, None, Outcome::Full),
                (1, Some(10.0), Outcome::Full),
                (2, Some(1.0), Outcome::Missed),
                (3, Some(2.5), Outcome::Short(-0.9)),
                (4, Some(10.0), Outcome::Full),
            ]
        );
    }

    #[test]
    fn what_is_not_told_leaves_the_gap_open_and_two_figures_are_no_usage() {
        let shots = shots_after(&[0.0, 5.0, 5.0, 5.0]);
        let mut light = burning(&[Some(0.0), Some(0.0), Some(0.0), Some(0.0)]);
        light.shots[1].entries[0].on = Told::Unknown;
        let gaps: Vec<_> = all(&shots, &light).into_iter().map(|f| f.gap_s).collect();
        assert_eq!(gaps, [None, None, Some(5.0)]);
        let two = burning(&[Some(0.0), Some(-1.0)]);
        assert_eq!(all(&shots_after(&[0.0, 5.0]), &two), []);
    }

    #[test]
    fn within_its_interval_a_flash_is_full() {
        let shots = shots_after(&[0.0, 5.0, 5.0, 5.0]);
        let mut light = burning(&[Some(0.0), Some(0.0), Some(0.0), Some(-0.6)]);
        assert_eq!(all(&shots, &light)[3].outcome, Outcome::Short(-0.6));
        light.shots[3].entries[0].stops = Some(Stops { value: -0.6, low: -1.3, high: 0.1 });
        assert_eq!(all(&shots, &light)[3].outcome, Outcome::Full);
    }
}
