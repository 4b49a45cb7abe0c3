//! Slow courses: a light that grows weaker or stronger at one setting, an ambient that falls or rises.

use crate::light::{Entry, SequenceLight, Told};

use super::judge::NINETY;

/// Fewer figures than this show no course.
const FEWEST: usize = 6;
/// A shorter time than this in seconds shows none.
const SHORTEST_S: f64 = 300.0;
/// Less than this in all, in stops, is no drift of a light: half a click of a power dial.
const LEAST_LIGHT: f64 = 0.15;
/// Less than this in all, in stops, is no course of the ambient: a third, for its figures hang on all lights beside it.
const LEAST_AMBIENT: f64 = 0.3;
/// While nothing else changes, at least this part of the slope must be seen.
const WITHIN: f64 = 0.4;
/// Of all pairs of figures this share at least goes the same way: errors of frames that hang on one account go together
/// A step within this share of the whole time is taken at once, and one of this share of the whole change is no drift.
const QUICK: f64 = 0.25;
const AT_ONCE: f64 = 0.6;
/// more than any count of pairs knows.
const ONE_WAY: f64 = 0.85;
/// Errors of frames within so many seconds under the same lights go together: they count as one figure.
const TOGETHER_S: f64 = 60.0;

/// One figure: when, under which condition (errors within one go together), at which setting, how many stops, how sure.
#[derive(Clone, Copy, Debug)]
struct Point {
    seconds: f64,
    condition: usize,
    setting: usize,
    stops: f64,
    half: f64,
}

/// A proven course.
#[derive(Clone, Copy, Debug)]
struct Course {
    per_hour: f64,
    in_all: f64,
}

/// Fills in the drifts of lights and ambient. `seconds` tells the time of each shot.
pub fn fill(ledger: &mut SequenceLight, seconds: &[Option<f64>]) {
    let conditions = conditions(ledger);
    let when = |shot: usize| Some((seconds.get(shot).copied().flatten()?, *conditions.get(shot)?));
    for light in 0..ledger.lights.len() {
        let mut settings: Vec<Entry> = Vec::new();
        let points = ledger.shots.iter().enumerate().filter_map(|(shot, of)| {
            let entry = of.entries.get(light)?;
            let (seconds, condition) = when(shot)?;
            let (stops, half) = above_level(entry)?;
            let same = |s: &Entry| s.setting == entry.setting;
            let setting = settings.iter().position(same).unwrap_or_else(|| {
                settings.push(entry.clone());
                settings.len() - 1
            });
            Some(Point { seconds, condition, setting, stops, half })
        });
        // A light that is weak and never alone takes what others leave over, and drifts with it.
        let sure = !super::runs::hardly_known(ledger, light);
        let found = course(&points.collect::<Vec<_>>(), LEAST_LIGHT).filter(|_| sure);
        if let Some(light) = ledger.lights.get_mut(light) {
            light.drift = found.map(|c| c.per_hour);
        }
    }
    let ambient = ledger.shots.iter().enumerate().filter_map(|(shot, of)| {
        let (seconds, condition) = when(shot)?;
        let stops = of.ambient.stops.filter(|s| s.high - s.low < 2.0 * LEAST_AMBIENT)?;
        Some(Point { seconds, condition, setting: 0, stops: stops.value, half: (stops.high - stops.low) / 2.0 })
    });
    ledger.ambient_drift = course(&ambient.collect::<Vec<_>>(), LEAST_AMBIENT).map(|c| c.in_all);
}

/// Which lights are set on, numbered whenever that changes: what stands beside a light makes the same error in all frames
/// of one number.
pub fn conditions(ledger: &SequenceLight) -> Vec<usize> {
    let mut number = 0;
    let mut before: Option<Vec<(Told, Option<f64>)>> = None;
    let each = ledger.shots.iter().map(|shot| {
        let now: Vec<(Told, Option<f64>)> =
            shot.entries.iter().map(|e| (e.setting.on, e.setting.noted_power.or(e.setting.level))).collect();
        number += usize::from(before.as_ref().is_some_and(|b| *b != now));
        before = Some(now);
        number
    });
    each.collect()
}

/// Strength above the level it was set to, with half its interval; None where there is nothing to hold it against, or
/// where the note or the flash is in doubt.
fn above_level(entry: &Entry) -> Option<(f64, f64)> {
    if entry.on != Told::Yes || entry.setting.on != Told::Yes || entry.late_note {
        return None;
    }
    let half = |s: crate::light::Stops| (s.high - s.low) / 2.0;
    if let Some(against) = entry.against_note {
        return Some((against.value, half(against)));
    }
    let stops = entry.stops?;
    Some((stops.value - entry.setting.level?, half(stops)))
}

/// The course through figures of several settings: median of the slopes between any two figures of one setting (Theil and
/// Sen), its interval by Kendall's variance summed over the settings (Hirsch, Slack and Smith, Techniques of trend analysis
/// for monthly water quality data, 1982, with settings for months).
fn course(points: &[Point], least: f64) -> Option<Course> {
    if points.len() < FEWEST {
        return None;
    }
    let joined = joined(points);
    let mut slopes: Vec<f64> = Vec::new();
    let (mut variance, mut first, mut last) = (0.0, f64::INFINITY, f64::NEG_INFINITY);
    let settings = joined.iter().map(|p| p.setting).max()? + 1;
    for setting in 0..settings {
        let own: Vec<&Point> = joined.iter().filter(|p| p.setting == setting).collect();
        for (i, a) in own.iter().enumerate() {
            for b in own.iter().skip(i + 1).filter(|b| b.seconds > a.seconds) {
                slopes.push((b.stops - a.stops) / (b.seconds - a.seconds));
                (first, last) = (first.min(a.seconds), last.max(b.seconds));
            }
        }
        let n = own.len() as f64;
        variance += n * (n - 1.0) * (2.0 * n + 5.0) / 18.0;
    }
    let span = last - first;
    if slopes.is_empty() || span < SHORTEST_S {
        return None;
    }
    slopes.sort_by(f64::total_cmp);
    let (count, reach) = (slopes.len() as f64, NINETY * variance.sqrt());
    let (low, high) = ((count - reach) / 2.0, (count + reach) / 2.0);
    if low < 0.0 {
        return None;
    }
    let (low, high) =
        (slopes.get(libm::floor(low) as usize)?, slopes.get((libm::ceil(high) as usize).checked_sub(1)?)?);
    let slope = median(&slopes)?;
    let mut halves: Vec<f64> = joined.iter().map(|p| p.half).collect();
    halves.sort_by(f64::total_cmp);
    let in_all = slope * span;
    let with = slopes.iter().filter(|s| **s * slope > 0.0).count() as f64;
    // Most of it at once, and for good, is somebody's hand and not a drift.
    let at_once = joined.windows(4).any(|four| match four {
        [a, b, c, d] => {
            let step = c.stops.min(d.stops) - a.stops.max(b.stops);
            let fall = a.stops.min(b.stops) - c.stops.max(d.stops);
            a.setting == d.setting && c.seconds - b.seconds < QUICK * span && step.max(fall) > AT_ONCE * in_all.abs()
        }
        _ => false,
    });
    let proven = !at_once && low * high > 0.0 && in_all.abs() > least.max(median(&halves)?) && with > ONE_WAY * count;
    (proven && also_within(points, slope)?).then_some(Course { per_hour: slope * 3600.0, in_all })
}

/// Whether the course goes on while nothing else changes. Where it is made of steps from one lighting to the next, it is
/// the account that errs in each of them; None where no lighting lasts long enough to tell.
fn also_within(points: &[Point], slope: f64) -> Option<bool> {
    let mut slopes: Vec<f64> = Vec::new();
    for (i, a) in points.iter().enumerate() {
        let same = |b: &&Point| b.condition == a.condition && b.setting == a.setting;
        for b in points.iter().skip(i + 1).filter(same).filter(|b| b.seconds - a.seconds >= TOGETHER_S) {
            slopes.push((b.stops - a.stops) / (b.seconds - a.seconds));
        }
    }
    slopes.sort_by(f64::total_cmp);
    Some(median(&slopes)? / slope > WITHIN)
}

/// Figures whose errors go together, taken as one: the median of each group.
fn joined(points: &[Point]) -> Vec<Point> {
    let mut groups: Vec<Vec<Point>> = Vec::new();
    for point in points {
        let with = groups.iter_mut().rev().find(|g| {
            g.first().is_some_and(|p| {
                p.setting == point.setting
                    && p.condition == point.condition
                    && (point.seconds - p.seconds).abs() < TOGETHER_S
            })
        });
        match with {
            Some(group) => group.push(*point),
            None => groups.push(vec![*point]),
        }
    }
    let middle = |group: &Vec<Point>, of: fn(&Point) -> f64| {
        let mut values: Vec<f64> = group.iter().map(of).collect();
        values.sort_by(f64::total_cmp);
        median(&values)
    };
    let one = |group: &Vec<Point>| {
        let point = *group.first()?;
        let (seconds, stops) = (middle(group, |p| p.seconds)?, middle(group, |p| p.stops)?);
        Some(Point { seconds, stops, half: middle(group, |p| p.half)?, ..point })
    };
    groups.iter().filter_map(one).collect()
}

/// Middle of sorted values; of an even number the mean of the two.
pub fn median(sorted: &[f64]) -> Option<f64> {
    let (low, high) = (sorted.get(sorted.len().checked_sub(1)? / 2)?, sorted.get(sorted.len() / 2)?);
    Some((low + high) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A figure every `step` seconds under one lighting.
    fn line(count: usize, step: f64, stops: impl Fn(usize) -> f64) -> Vec<Point> {
        (0..count)
            .map(|i| Point { seconds: i as f64 * step, condition: 0, setting: 0, stops: stops(i), half: 0.05 })
            .collect()
    }

    #[test]
    fn a_straight_fall_is_told_per_hour_and_in_all() {
        // Eleven figures a minute apart, 0.05 stop a minute: 3 stops an hour, half a stop in all.
        let found = course(&line(11, 60.0, |i| -0.05 * i as f64), LEAST_LIGHT).unwrap();
        assert!((found.per_hour + 3.0).abs() < 1e-9, "{found:?}");
        assert!((found.in_all + 0.5).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn one_odd_figure_does_not_bend_it() {
        let found = course(&line(16, 60.0, |i| if i == 9 { 2.0 } else { -0.05 * i as f64 }), LEAST_LIGHT).unwrap();
        assert!((found.per_hour + 3.0).abs() < 0.5, "{found:?}");
    }

    #[test]
    fn too_few_too_short_too_small_or_to_and_fro_is_no_drift() {
        assert!(course(&line(5, 120.0, |i| -0.2 * i as f64), LEAST_LIGHT).is_none(), "five figures");
        assert!(course(&line(11, 29.0, |i| -0.2 * i as f64), LEAST_LIGHT).is_none(), "290 seconds");
        assert!(course(&line(11, 60.0, |i| -0.0149 * i as f64), LEAST_LIGHT).is_none(), "0.149 stop");
        assert!(course(&line(11, 60.0, |i| -0.0151 * i as f64), LEAST_LIGHT).is_some(), "0.151 stop");
        assert!(course(&line(12, 60.0, |i| if i % 2 == 0 { 0.4 } else { -0.4 }), LEAST_LIGHT).is_none(), "to and fro");
    }

    #[test]
    fn many_shots_within_a_minute_are_one_figure() {
        // Ten shots in ten seconds, ten minutes later ten more: two figures, and two prove nothing.
        let points: Vec<Point> = (0..20)
            .map(|i| Point {
                seconds: if i < 10 { f64::from(i) } else { 600.0 + f64::from(i) },
                condition: 0,
                setting: 0,
                stops: f64::from(i) * -1e-4 - if i < 10 { 0.0 } else { 0.5 },
                half: 0.05,
            })
            .collect();
        assert!(course(&points, LEAST_LIGHT).is_none());
    }

    #[test]
    fn a_step_of_the_setting_does_not_steepen_the_drift() {
        // 0.02 stop a minute at each of two settings, 0.6 stop apart: 1.2 stops an hour.
        let mut points = line(12, 60.0, |i| -0.02 * i as f64 - if i < 6 { 0.0 } else { 0.6 });
        for (i, point) in points.iter_mut().enumerate() {
            point.setting = i / 6;
        }
        let found = course(&points, LEAST_LIGHT).unwrap();
        assert!((found.per_hour + 1.2).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn steps_from_lighting_to_lighting_are_no_drift() {
        // Six lightings of three shots each, a minute apart, each 0.2 stop below the last one and level in itself.
        let stairs = |within: f64| -> Vec<Point> {
            let mut points = line(18, 60.0, |i| -0.2 * (i / 3) as f64 - within * (i % 3) as f64);
            for (i, point) in points.iter_mut().enumerate() {
                point.condition = i / 3;
            }
            points
        };
        assert!(course(&stairs(0.0), LEAST_LIGHT).is_none());
        assert!(course(&stairs(0.2 / 3.0), LEAST_LIGHT).is_some(), "a slope that goes on within each of them");
    }

    #[test]
    fn a_fall_within_its_own_uncertainty_is_not_proven() {
        let mut points = line(11, 60.0, |i| -0.03 * i as f64);
        assert!(course(&points, LEAST_LIGHT).is_some());
        for point in &mut points {
            point.half = 0.4;
        }
        assert!(course(&points, LEAST_LIGHT).is_none());
    }
}
