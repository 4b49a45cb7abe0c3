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
}
