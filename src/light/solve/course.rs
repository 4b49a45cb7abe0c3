//! The slow course of the ambient: dusk moves it, a frame alone does not.

/// Frames that share in a point of the course, on either side.
const REACH: usize = 6;
/// The ambient wanders this much, in stops, between frames that stand close.
const WANDER: f64 = 0.1;

/// The course through gains and their standard deviations, by a weighted straight line through the neighbours of each
/// frame in log2 of light. Frames that say little of the ambient hardly count. 1 where nothing is known.
pub fn smooth(seconds: &[f64], found: &[(f64, f64)]) -> Vec<f64> {
    let logs: Vec<Option<(f64, f64)>> = found
        .iter()
        .map(|&(gain, sd)| {
            let se = sd / gain * std::f64::consts::LOG2_E;
            (gain > 1e-6 && se < 1.5).then(|| (libm::log2(gain), 1.0 / (se * se + WANDER * WANDER)))
        })
        .collect();
    (0..found.len()).map(|f| libm::exp2(at(f, seconds, &logs).unwrap_or(0.0).clamp(-8.0, 8.0))).collect()
}

fn at(f: usize, seconds: &[f64], logs: &[Option<(f64, f64)>]) -> Option<f64> {
    // The nearest frames that know something, on either side.
    let before = logs[..f].iter().enumerate().rev().filter_map(|(i, l)| Some((i, (*l)?))).take(REACH);
    let here = logs[f..].iter().enumerate().filter_map(|(i, l)| Some((f + i, (*l)?))).take(REACH + 1);
    let near: Vec<(usize, (f64, f64))> = before.chain(here).collect();
    let span = near.iter().map(|(i, _)| (seconds[*i] - seconds[f]).abs()).fold(60.0, f64::max);
    let mut level = near.iter().map(|n| n.1.0).collect::<Vec<_>>();
    let start = super::fit::median(&mut level);
    let (mut value, mut slope) = (start, 0.0);
    for _ in 0..3 {
        let (mut s0, mut s1, mut s2, mut t0, mut t1) = (1e-12, 0.0, 0.0, 0.0, 0.0);
        for &(i, (log, weight)) in &near {
            let x = (seconds[i] - seconds[f]) / span;
            let rest = (log - value - slope * x) * weight.sqrt();
            let w = weight * (1.0 - 0.7 * x * x) / (1.0 + rest * rest / 4.0);
            s0 += w;
            s1 += w * x;
            s2 += w * x * x;
            t0 += w * log;
            t1 += w * x * log;
        }
        // A slope must be earned: it is held near level.
        s2 += 0.3 * s0 / near.len().max(1) as f64 + 1e-12;
        let determinant = s0 * s2 - s1 * s1;
        if determinant <= 1e-12 * s0 * s2 {
            value = t0 / s0;
            slope = 0.0;
        } else {
            value = (t0 * s2 - t1 * s1) / determinant;
            slope = (t1 * s0 - t0 * s1) / determinant;
        }
    }
    (!near.is_empty() && value.is_finite()).then_some(value)
}

/// Frames this near in time, in seconds, see one ambient: what differs between them is the camera's.
const TOGETHER_S: f64 = 120.0;

/// Gains of all frames against the first that know theirs, from the logarithms of those few: one for those taken together,
/// between such groups by time, before the first and after the last as these. 1 where none knows.
pub fn between(seconds: &[f64], known: &[Option<f64>]) -> Vec<f64> {
    let mut groups: Vec<(f64, f64, Vec<f64>)> = Vec::new();
    let mut row = false;
    for (&second, known) in seconds.iter().zip(known) {
        let in_a_row = std::mem::replace(&mut row, known.is_some());
        let Some(log) = *known else { continue };
        // A bracket in a row, however long it took, is the ruler of the curve.
        match groups.last_mut().filter(|g| in_a_row || second - g.0 < TOGETHER_S) {
            Some((_, last, logs)) => {
                *last = second;
                logs.push(log);
            }
            None => groups.push((second, second, vec![log])),
        }
    }
    let ends = |(first, last, mut logs): (f64, f64, Vec<f64>)| {
        let middle = super::fit::median(&mut logs);
        [(first, middle), (last, middle)]
    };
    let mut points: Vec<(f64, f64)> = groups.into_iter().flat_map(ends).collect();
    let start = points.first().map_or(0.0, |p| p.1);
    for point in &mut points {
        point.1 -= start;
    }
    let at = |second: f64| -> f64 {
        let before = points.iter().rev().find(|p| p.0 <= second);
        let after = points.iter().find(|p| p.0 >= second);
        match (before, after) {
            (Some(a), Some(b)) if b.0 > a.0 => a.1 + (b.1 - a.1) * (second - a.0) / (b.0 - a.0),
            (Some(one), _) | (None, Some(one)) => one.1,
            (None, None) => 0.0,
        }
    };
    seconds.iter().map(|&s| libm::exp2(at(s))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steady_fall_is_followed_and_one_odd_frame_is_not() {
        let seconds: Vec<f64> = (0..30).map(|i| f64::from(i) * 60.0).collect();
        let truth = |i: usize| libm::exp2(-1.5 * i as f64 / 29.0);
        let found: Vec<(f64, f64)> =
            (0..30).map(|i| (truth(i) * if i == 12 { 1.8 } else { 1.0 }, 0.05 * truth(i))).collect();
        for (i, gain) in smooth(&seconds, &found).into_iter().enumerate() {
            assert!(libm::log2(gain / truth(i)).abs() < 0.08, "frame {i}: {}", libm::log2(gain / truth(i)));
        }
    }

    #[test]
    fn between_known_frames_the_gain_goes_by_time_and_beyond_them_it_stays() {
        let seconds = [0.0, 10.0, 300.0, 610.0, 620.0];
        let found = between(&seconds, &[None, Some(0.4), None, Some(-1.6), None]);
        let wanted = [0.0, 0.0, -2.0 * 290.0 / 600.0, -2.0, -2.0].map(libm::exp2);
        assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-12), "{found:?}");
        assert_eq!(between(&seconds, &[None; 5]), [1.0; 5]);
    }

    #[test]
    fn frames_taken_together_have_one_gain() {
        assert_eq!(between(&[0.0, 10.0, 20.0, 30.0], &[Some(0.5), Some(0.3), None, Some(0.1)]), [1.0; 4]);
        assert_eq!(between(&[0.0, 600.0], &[Some(0.5), Some(0.3)]), [1.0; 2], "in a row");
        let found = between(&[0.0, 0.0, 600.0, 610.0, 620.0], &[Some(0.5), None, Some(0.3), Some(0.2), Some(-1.0)]);
        let wanted = [0.0, 0.0, -0.3, -0.3, -0.3].map(libm::exp2);
        assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-12), "{found:?}");
    }
}
