//! What might be a light: frames without their ambient, and what one frame has more than another close to it.

use super::small::{Atom, Small};

/// Frames this near are compared.
const NEAR: usize = 3;
/// Differences within this many expected errors are none.
const DEAD: f32 = 2.0;
/// What a difference may take away, as a share of what it adds, before it is no added light.
const TAKEN: f32 = 0.02;
/// How strong a candidate must be: mean square over the picture in expected errors.
const STRONG: f32 = 0.15;
/// A frame is nothing but ambient if its light against it spreads by no more than this factor.
const PURE: f32 = 1.35;
/// Two candidates with this cosine are one.
const SAME: f32 = 0.993;

/// A candidate with its origin.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Its light.
    pub atom: Atom,
    /// Expected error at each place.
    pub sd: Vec<f32>,
    /// The frames it comes from: the one that has it and, for a difference, the one that has not.
    pub from: (usize, Option<usize>),
}

/// The lower envelope of what lasts: light a second of exposure at gain 1, and its course over the frames.
pub fn ambient(frames: &[Small]) -> (Atom, Vec<f32>) {
    let n = frames.first().map_or(0, |f| f.light.len());
    let mut course = vec![1.0f32; frames.len()];
    let mut atom = vec![0.0; n];
    for _ in 0..3 {
        for (i, value) in atom.iter_mut().enumerate() {
            let says = || {
                let known = frames.iter().zip(&course).filter(|(f, _)| f.weight[i] > 0.0);
                known.map(|(f, a)| (f.light[i] / (f.shutter * a), 1.0 / (f.weight[i].sqrt() * f.shutter * a)))
            };
            // No frame's light can be less than the ambient, but for its own error.
            let bound = says().map(|(light, sd)| light + 2.0 * sd).fold(f32::INFINITY, f32::min);
            let (mut top, mut bottom) = (0.0, 1e-20);
            for (light, sd) in says().filter(|s| s.0 <= bound) {
                let w = 1.0 / (sd * sd);
                top += w * light;
                bottom += w;
            }
            *value = (top / bottom).max(0.0);
        }
        course = self::course(frames, &atom);
    }
    (atom, course)
}

/// The ambient's course: from frames that show nothing else, straight between them; steady where there are none. No
/// frame has less light than its ambient.
fn course(frames: &[Small], atom: &Atom) -> Vec<f32> {
    let tells: Vec<Option<(f32, f32)>> = frames
        .iter()
        .map(|f| {
            let mut ratio: Vec<f32> = (0..atom.len())
                .filter(|&i| f.weight[i] > 0.0 && atom[i] * f.shutter > 4.0 / f.weight[i].sqrt())
                .map(|i| f.light[i] / (f.shutter * atom[i]))
                .collect();
            ratio.sort_by(f32::total_cmp);
            let at = |share: f32| ratio[(ratio.len() as f32 * share) as usize];
            (ratio.len() > atom.len() / 40).then(|| (at(0.3), at(0.8) / at(0.2).max(1e-6)))
        })
        .collect();
    let pure: Vec<(usize, f32)> = tells
        .iter()
        .enumerate()
        .filter_map(|(f, tell)| tell.filter(|t| t.1 < PURE).map(|t| (f, t.0.max(1e-3))))
        .collect();
    let scale = pure.first().map_or(1.0, |p| p.1);
    (0..frames.len())
        .map(|f| {
            let before = pure.iter().rev().find(|p| p.0 <= f).or_else(|| pure.first());
            let after = pure.iter().find(|p| p.0 >= f).or_else(|| pure.last());
            let (Some(a), Some(b)) = (before, after) else { return 1.0 };
            let part = if b.0 > a.0 { (f - a.0) as f32 / (b.0 - a.0) as f32 } else { 0.0 };
            let level = a.1 * libm::exp2f(part * libm::log2f(b.1 / a.1));
            (level.min(tells[f].map_or(f32::INFINITY, |t| t.0)) / scale).clamp(0.02, 50.0)
        })
        .collect()
}

/// All candidates of the given frames, each kind once.
pub fn gather(frames: &[Small], ambient: &Atom, course: &[f32], pick: &[usize]) -> Vec<Candidate> {
    let mut found: Vec<Candidate> = Vec::new();
    let rest = |f: usize, i: usize| frames[f].light[i] - ambient[i] * frames[f].shutter * course[f];
    let mut offer = |candidate: Candidate| {
        if found.iter().all(|c| cosine(&c.atom, &candidate.atom) < SAME) {
            found.push(candidate);
        }
    };
    for (k, &f) in pick.iter().enumerate() {
        let light: Vec<f32> = (0..ambient.len()).map(|i| rest(f, i)).collect();
        let sd: Vec<f32> = frames[f].weight.iter().map(|w| 1.0 / w.sqrt()).collect();
        if let Some(candidate) = candidate(&light, sd, (f, None)) {
            offer(candidate);
        }
        for &g in pick.iter().take(k + NEAR + 1).skip(k.saturating_sub(NEAR)).filter(|g| **g != f) {
            let light: Vec<f32> = (0..ambient.len()).map(|i| rest(f, i) - rest(g, i)).collect();
            let pairs = frames[f].weight.iter().zip(&frames[g].weight);
            let sd: Vec<f32> = pairs.map(|(a, b)| (1.0 / a + 1.0 / b).sqrt()).collect();
            if let Some(candidate) = candidate(&light, sd, (f, Some(g))) {
                offer(candidate);
            }
        }
    }
    found
}

/// The positive part of a difference, if it is strong and takes hardly anything away.
fn candidate(light: &[f32], sd: Vec<f32>, from: (usize, Option<usize>)) -> Option<Candidate> {
    let (mut more, mut less, mut count) = (0.0f32, 0.0f32, 1e-6f32);
    for (v, sd) in light.iter().zip(&sd).filter(|(_, sd)| sd.is_finite()) {
        let beyond = (v.abs() / sd - DEAD).clamp(0.0, 10.0);
        *(if *v > 0.0 { &mut more } else { &mut less }) += beyond * beyond;
        count += 1.0;
    }
    let good = more / count > STRONG && less < TAKEN * more && count > light.len() as f32 * 0.3;
    good.then(|| Candidate {
        atom: light.iter().zip(&sd).map(|(v, sd)| if sd.is_finite() { v.max(0.0) } else { f32::NAN }).collect(),
        sd,
        from,
    })
}

/// Cosine of two atoms over the places both know, in the square root of light so that highlights do not rule alone.
pub fn cosine(a: &Atom, b: &Atom) -> f32 {
    let (mut ab, mut aa, mut bb) = (0.0f32, 1e-30f32, 1e-30f32);
    for (x, y) in a.iter().zip(b) {
        if !x.is_nan() && !y.is_nan() {
            ab += (x * y).sqrt();
            aa += x;
            bb += y;
        }
    }
    ab / (aa * bb).sqrt()
}

/// What is left of `whole` without as much of `part` as is in it everywhere; None unless the part lies bare in a good
/// share of its own picture, so that how much of it there is cannot be mistaken.
pub fn without(whole: &Candidate, part: &Candidate) -> Option<Candidate> {
    let mut ratios: Vec<f32> = (0..whole.atom.len())
        .filter(|&i| part.atom[i] > 4.0 * part.sd[i] && whole.sd[i].is_finite() && !whole.atom[i].is_nan())
        .map(|i| whole.atom[i] / part.atom[i])
        .collect();
    if ratios.len() < whole.atom.len() / 30 {
        return None;
    }
    ratios.sort_by(f32::total_cmp);
    let at = |share: f32| ratios[(ratios.len() as f32 * share) as usize];
    let (low, high) = (at(0.05), at(0.30));
    if low <= 0.05 || high > 1.12 * low {
        return None;
    }
    let factor = at(0.16);
    let sd: Vec<f32> = whole.sd.iter().zip(&part.sd).map(|(a, b)| (a * a + factor * factor * b * b).sqrt()).collect();
    let light: Vec<f32> = whole
        .atom
        .iter()
        .zip(&part.atom)
        .map(|(w, p)| if w.is_nan() || p.is_nan() { f32::NAN } else { w - factor * p })
        .collect();
    let sd: Vec<f32> = sd.iter().zip(&light).map(|(s, l)| if l.is_nan() { f32::INFINITY } else { *s }).collect();
    candidate(&light, sd, (whole.from.0, Some(part.from.0)))
}
