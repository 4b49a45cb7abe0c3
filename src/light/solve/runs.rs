//! Runs of shots at one note, weighed as a whole: a wrong power holds for all of a run, an odd picture for one shot.

use super::late;
use crate::light::{Agreement, Entry, SequenceLight, Setting, Stops, Told};

/// A run this far from its note, beyond its own uncertainty, differs: over half a click of a power dial, in stops.
const BEYOND: f64 = 0.2;
/// A single shot must stand out of a run that agrees by this much more: the least that is no odd picture, in stops.
const ODD: f64 = 0.5;
/// A shot whose account leaves over more of the picture than this, 0..1, as a median over its tiles, says nothing of notes.
pub const UNEXPLAINED: f64 = 0.1;
/// A light that gives less than this of the frame's light, 0..1, says nothing of notes either.
const FAINT: f64 = 0.05;
/// A light that gives less than this of the frame's light, 0..1, in most of its shots is weak.
const WEAK: f64 = 0.1;
/// Deviations of a normal distribution have their median here, in 90 % intervals: 0.674 of 1.645 standard deviations.
const MEDIAN_TO_NINETY: f64 = 1.645 / 0.6745;

/// A run: its shots, the middle of what the pictures say against the note, and the noted power.
struct Run {
    shots: Vec<usize>,
    middle: Stops,
    power: Option<f64>,
    setting: Setting,
    weak: bool,
    differs: bool,
}

/// Settles `agrees` for shots that stand in one run. `shots` are those the pictures could be compared in, `stage` numbers
/// all shots by settings and notes: whoever forgets to turn a head forgets it where something else changed.
pub fn settle(ledger: &mut SequenceLight, shots: &[usize], stage: &[usize]) {
    for light in 0..ledger.lights.len() {
        if hardly_known(ledger, light) {
            for &shot in shots {
                if let Some(entry) = ledger.shots.get_mut(shot).and_then(|s| s.entries.get_mut(light)) {
                    doubt(entry);
                }
            }
            continue;
        }
        let runs = runs(ledger, shots, stage, light);
        let pair = pair(&runs);
        for &shot in shots {
            let Some(of) = ledger.shots.get_mut(shot) else { continue };
            let explained = of.misfit.is_some_and(|m| m <= UNEXPLAINED);
            let Some(entry) = of.entries.get_mut(light) else { continue };
            if !explained || faint(entry) {
                doubt(entry);
            }
        }
        for (index, run) in runs.iter().enumerate() {
            let adrift = index.checked_sub(1).and_then(|i| runs.get(i)).is_some_and(|other| run.adrift_with(other))
                || runs.get(index + 1).is_some_and(|other| run.adrift_with(other));
            for &shot in &run.shots {
                let Some(entry) = ledger.shots.get_mut(shot).and_then(|s| s.entries.get_mut(light)) else { continue };
                let Some(own) = entry.against_note else { continue };
                let same = |other: Option<&Run>| other.is_some_and(|o| !o.differs && o.setting == run.setting);
                let odd = run.shots.len() == 1
                    && (same(index.checked_sub(1).and_then(|i| runs.get(i))) || same(runs.get(index + 1)));
                entry.agrees = match agrees(run, own, odd) {
                    true => Agreement::AsNoted,
                    false if adrift || (run.weak && run.shots.len() == 1) => Agreement::NotTested,
                    false => Agreement::Differs,
                };
                if let Some(reason) = pair.as_ref().filter(|_| run.differs && entry.agrees == Agreement::Differs) {
                    reason.clone_into(&mut entry.reason);
                }
            }
        }
    }
}

/// A light of which next to nothing is seen, or no strength told.
fn faint(entry: &Entry) -> bool {
    entry.on == Told::Yes && (entry.stops.is_none() || entry.share_of_frame.is_some_and(|share| share < FAINT))
}

/// A light that never burns alone and is weak: its picture is what the account of the others leaves over.
pub fn hardly_known(ledger: &SequenceLight, light: usize) -> bool {
    let shares = ledger.shots.iter().filter_map(|s| s.entries.get(light)).filter(|e| e.on == Told::Yes);
    let weak = middle(shares.filter_map(|e| e.share_of_frame)).is_some_and(|share| share < WEAK);
    weak && ledger.lights.get(light).is_some_and(|l| !l.has_solo)
}

/// A picture that the account does not explain speaks neither for nor against a note.
fn doubt(entry: &mut Entry) {
    if entry.agrees == Agreement::Differs {
        entry.agrees = Agreement::NotTested;
        if entry.reason.is_empty() {
            "the picture is not explained well enough to hold it against the note".clone_into(&mut entry.reason);
        }
    }
}

impl Run {
    /// Two runs in a row at different powers that are off by the same: not two wrong notes, but a scale that does not hold
    /// from where a light stands alone to where it stands among others.
    fn adrift_with(&self, other: &Self) -> bool {
        let powers = self.power.zip(other.power).is_some_and(|(a, b)| (a - b).abs() > 0.05);
        let overlap = self.middle.low - BEYOND <= other.middle.high && other.middle.low <= self.middle.high + BEYOND;
        self.differs && other.differs && powers && overlap && self.middle.value * other.middle.value > 0.0
    }
}

fn agrees(run: &Run, own: Stops, odd: bool) -> bool {
    if odd {
        return own.value.abs() <= 2.0 * late::half(own) + ODD;
    }
    if run.differs {
        // With the run, or away from the note by itself.
        let with = own.low <= run.middle.high && run.middle.low <= own.high && own.value * run.middle.value > 0.0;
        return !with && own.value.abs() <= late::half(own) + BEYOND;
    }
    let bar = 2.0 * late::half(own) + ODD;
    match run.shots.len() {
        1 | 2 => own.value.abs() <= bar,
        // A flash may be short once; stronger than set it never is.
        _ => own.value.max(own.value - run.middle.value) >= -bar,
    }
}

fn runs(ledger: &SequenceLight, shots: &[usize], stage: &[usize], light: usize) -> Vec<Run> {
    let mut groups: Vec<Vec<(usize, &Entry)>> = Vec::new();
    let mut open = false;
    for &shot in shots {
        let Some(of) = ledger.shots.get(shot) else { continue };
        let Some(entry) = of.entries.get(light) else { continue };
        if entry.setting.on != Told::Yes {
            open = false;
            continue;
        }
        let goes_on = groups
            .last()
            .and_then(|g| g.last())
            .is_some_and(|(before, last)| last.setting == entry.setting && stage.get(*before) == stage.get(shot));
        if !(open && goes_on) {
            groups.push(Vec::new());
        }
        open = true;
        if let Some(group) = groups.last_mut() {
            group.push((shot, entry));
        }
    }
    let told = |shot: usize, entry: &Entry| {
        ledger.shots.get(shot).and_then(|s| s.misfit).is_some_and(|m| m <= UNEXPLAINED) && !faint(entry)
    };
    groups.iter().filter_map(|group| run(group, &told)).collect()
}

fn run(group: &[(usize, &Entry)], told: &dyn Fn(usize, &Entry) -> bool) -> Option<Run> {
    let told: Vec<(usize, Stops)> =
        group.iter().filter(|(s, e)| told(*s, e)).filter_map(|(s, e)| Some((*s, e.against_note?))).collect();
    let value = middle(told.iter().map(|(_, s)| s.value))?;
    let own = middle(told.iter().map(|(_, s)| late::half(*s)))?;
    // How the shots scatter is a second opinion on how sure each of them is.
    let scatter = MEDIAN_TO_NINETY * middle(told.iter().map(|(_, s)| (s.value - value).abs()))?;
    let half = own.max(scatter);
    let share = middle(group.iter().filter_map(|(_, e)| e.share_of_frame));
    // The account's own intervals are too narrow where a light gives little beside others.
    let weak = share.is_some_and(|share| share < WEAK);
    Some(Run {
        weak,
        shots: told.iter().map(|(s, _)| *s).collect(),
        middle: Stops { value, low: value - half, high: value + half },
        setting: group.first().map(|(_, e)| e.setting.clone()).unwrap_or_default(),
        power: group.first().and_then(|(_, e)| e.setting.noted_power),
        differs: value.abs() > if weak { 2.0 * half } else { half } + BEYOND,
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
    // A power that agrees in one run and not in another is vouched for: there the slip is the run's.
    let mixed = |runs: &[&Run]| runs.iter().any(|r| r.differs) && runs.iter().any(|r| !r.differs);
    let (of_low, of_high) = (at(low), at(high));
    if mixed(&of_low) || mixed(&of_high) {
        return None;
    }
    let seen =
        middle(of_high.iter().map(|r| r.middle.value))? - middle(of_low.iter().map(|r| r.middle.value))? + high - low;
    // No "-0.0" in words.
    let seen = libm::round(seen * 10.0) / 10.0 + 0.0;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Light, ShotLight};

    /// One light in some shots: noted power, and picture minus note with half its interval, in stops.
    fn settled(shots: &[(f64, f64, f64)]) -> SequenceLight {
        let entry = |&(power, value, half): &(f64, f64, f64)| Entry {
            on: Told::Yes,
            share_of_frame: Some(0.3),
            stops: Some(Stops { value, low: value - half, high: value + half }),
            against_note: Some(Stops { value, low: value - half, high: value + half }),
            setting: Setting { on: Told::Yes, noted_power: Some(power), ..Setting::default() },
            ..Entry::default()
        };
        let mut ledger = SequenceLight {
            lights: vec![Light { has_solo: true, ..Light::default() }],
            shots: shots
                .iter()
                .map(|s| ShotLight { entries: vec![entry(s)], misfit: Some(0.02), ..ShotLight::default() })
                .collect(),
            ..SequenceLight::default()
        };
        settle(&mut ledger, &(0..shots.len()).collect::<Vec<_>>(), &vec![0; shots.len()]);
        ledger
    }

    fn differs(shots: &[(f64, f64, f64)]) -> Vec<usize> {
        let ledger = settled(shots);
        let differs = |s: &ShotLight| s.entries[0].agrees == Agreement::Differs;
        ledger.shots.iter().enumerate().filter(|(_, s)| differs(s)).map(|(i, _)| i).collect()
    }

    #[test]
    fn a_wrong_power_holds_for_the_whole_run() {
        // The third shot by itself would pass: 0.8 within 0.7 and 0.2.
        let shots = [(-4.0, -0.9, 0.1), (-4.0, -1.0, 0.1), (-4.0, -0.8, 0.7), (-3.0, 0.0, 0.1)];
        assert_eq!(differs(&shots), [0, 1, 2]);
    }

    #[test]
    fn a_run_within_its_interval_and_half_a_click_agrees() {
        assert_eq!(differs(&[(-4.0, 0.29, 0.1), (-4.0, 0.29, 0.1)]), [0; 0]);
        assert_eq!(differs(&[(-4.0, 0.31, 0.1), (-4.0, 0.31, 0.1)]), [0, 1]);
        // Shots that scatter by half a stop say no more than that, however sure each of them claims to be.
        let wild = [(-4.0, 0.9, 0.05), (-4.0, -0.1, 0.05), (-4.0, 0.4, 0.05), (-4.0, 0.8, 0.05)];
        assert_eq!(differs(&wild), [0; 0]);
    }

    #[test]
    fn two_shots_of_one_run_share_one_answer_near_the_bar() {
        assert_eq!(differs(&[(-4.0, 0.31, 0.1), (-4.0, 0.27, 0.1)]), [0; 0]);
    }

    #[test]
    fn one_odd_shot_in_a_run_differs_only_when_far_short() {
        let run = |odd: f64| [(-4.0, 0.0, 0.1), (-4.0, odd, 0.1), (-4.0, 0.05, 0.1), (-4.0, 0.0, 0.1)];
        assert_eq!(differs(&run(-0.69)), [0; 0]);
        assert_eq!(differs(&run(-0.71)), [1]);
        assert_eq!(differs(&run(0.9)), [0; 0], "no flash is stronger than it was set to");
    }

    #[test]
    fn a_head_forgotten_where_something_else_changed_is_a_run_of_its_own() {
        let mut ledger =
            settled(&[(-4.0, 0.0, 0.1), (-4.0, 0.0, 0.1), (-4.0, 0.0, 0.1), (-4.0, 1.0, 0.1), (-4.0, 1.0, 0.1)]);
        let agreed = |ledger: &SequenceLight| ledger.shots[3].entries[0].agrees;
        assert_eq!(agreed(&ledger), Agreement::AsNoted, "two odd shots of five under one stage");
        settle(&mut ledger, &[0, 1, 2, 3, 4], &[0, 0, 0, 1, 1]);
        assert_eq!(agreed(&ledger), Agreement::Differs);
        assert_eq!(ledger.shots[2].entries[0].agrees, Agreement::AsNoted);
    }

    #[test]
    fn two_powers_one_of_them_wrong_are_named_as_a_pair() {
        let ledger = settled(&[(-4.0, 0.0, 0.1), (-4.0, 0.0, 0.1), (-3.0, -0.8, 0.1), (-3.0, -0.8, 0.1)]);
        let reason = &ledger.shots[2].entries[0].reason;
        assert!(reason.contains("1/16") && reason.contains("1/8") && reason.contains("0.2 stop"), "{reason}");
        let vouched = [(-4.0, 0.0, 0.1), (-3.0, -0.8, 0.1), (-4.0, 0.0, 0.1), (-3.0, 0.0, 0.1)];
        let vouched = settled(&vouched);
        assert_eq!(vouched.shots[1].entries[0].agrees, Agreement::Differs);
        assert_eq!(vouched.shots[1].entries[0].reason, "", "the same power holds elsewhere");
        let three = settled(&[(-4.0, 0.0, 0.1), (-3.0, -0.8, 0.1), (-2.0, 0.0, 0.1)]);
        assert_eq!(three.shots[1].entries[0].agrees, Agreement::Differs);
        assert_eq!(three.shots[1].entries[0].reason, "", "two others vouch for each other");
    }

    #[test]
    fn two_powers_in_a_row_off_by_the_same_are_a_scale_not_two_slips() {
        let ledger = settled(&[(-5.0, 0.7, 0.1), (-4.0, 0.7, 0.1), (-3.0, 0.0, 0.1), (-3.0, 0.0, 0.1)]);
        assert_eq!(ledger.shots[0].entries[0].agrees, Agreement::NotTested);
        assert_eq!(ledger.shots[1].entries[0].agrees, Agreement::NotTested);
        assert_eq!(ledger.shots[2].entries[0].agrees, Agreement::AsNoted);
    }

    #[test]
    fn a_single_shot_of_a_weak_light_is_not_held_against_its_note() {
        for (share, wanted) in [(0.3, Agreement::Differs), (0.08, Agreement::NotTested)] {
            let mut ledger = settled(&[(-4.0, 0.0, 0.1), (-3.0, -1.0, 0.1)]);
            for shot in &mut ledger.shots {
                shot.entries[0].share_of_frame = Some(share);
            }
            settle(&mut ledger, &[0, 1], &[0, 1]);
            assert_eq!(ledger.shots[1].entries[0].agrees, wanted, "{share}");
        }
    }

    #[test]
    fn two_shots_of_a_weak_light_differ_beyond_twice_their_interval() {
        for (off, wanted) in [(-0.79, Agreement::AsNoted), (-0.81, Agreement::Differs)] {
            let mut ledger = settled(&[(-4.0, off, 0.3), (-4.0, off, 0.3)]);
            for shot in &mut ledger.shots {
                shot.entries[0].share_of_frame = Some(0.08);
            }
            settle(&mut ledger, &[0, 1], &[0, 0]);
            assert_eq!(ledger.shots[1].entries[0].agrees, wanted, "{off}");
        }
    }

    #[test]
    fn what_is_not_explained_or_hardly_seen_is_not_held_against_a_note() {
        for (misfit, share) in [(0.2, 0.3), (0.02, 0.01)] {
            let mut ledger = settled(&[(-4.0, -1.0, 0.1), (-4.0, -1.0, 0.1)]);
            for shot in &mut ledger.shots {
                shot.misfit = Some(misfit);
                shot.entries[0].share_of_frame = Some(share);
                shot.entries[0].agrees = Agreement::Differs;
            }
            settle(&mut ledger, &[0, 1], &[0, 0]);
            assert!(ledger.shots.iter().all(|s| s.entries[0].agrees == Agreement::NotTested), "{misfit} {share}");
        }
    }
}
