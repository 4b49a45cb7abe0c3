//! The ambient: what is never less, in any frame, and its course over the shoot.

use super::small::{Atom, Small};

/// A frame is nothing but ambient if its light against it spreads by no more than this factor.
const PURE: f32 = 1.35;
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
