//! What the next light may look like: what a frame has beyond its ambient, beyond a frame close to it, or beyond the
//! lights already known.

use super::excess::coherent;
use super::library::Library;
use super::small::{Atom, Small};

/// Frames this near are compared.
const NEAR: usize = 4;
/// What a difference may take away, as a share of what it adds, before it is no added light.
const TAKEN: f32 = 0.12;
/// Two pictures with this cosine are the same light, in another tone or over another pose.
const SAME: f32 = 0.94;
/// The ambient and a light that fills the room look more alike.
const LIKE_AMBIENT: f32 = 0.965;

/// Where a proposal comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// A frame without its ambient.
    Ambient,
    /// A frame without all that a frame close to it has.
    Neighbour,
    /// A frame without the least that is known of it.
    Known,
}

/// Pictures that may be the light that frame `f` has and the library has not.
pub fn propose(library: &Library, frames: &[Small], f: usize) -> Vec<(Beyond, Atom)> {
    let mut found: Vec<(Beyond, Atom)> = Vec::new();
    let ambient = |g: usize, i: usize| library.ambient(frames, g, i);
    let near = (f.saturating_sub(NEAR)..(f + NEAR).min(frames.len())).filter(|&g| g != f);
    let mut offer = |kind: Beyond, base: &dyn Fn(usize) -> (f32, f32)| {
        let (light, sd) = rest(&frames[f], base);
        let field = |i: usize| light[i] / sd[i];
        let excess = coherent(&field, |i| sd[i].is_finite(), library.size);
        let known = sd.iter().filter(|s| s.is_finite()).count() * 10 > sd.len() * 3;
        if !known || excess.less > TAKEN * excess.more {
            return;
        }
        let atom: Atom =
            light.iter().zip(&sd).map(|(v, s)| if s.is_finite() { v.max(0.0) } else { f32::NAN }).collect();
        let new =
            |(k, known): (usize, &Atom)| cosine(known, &atom) < if k == library.lights() { LIKE_AMBIENT } else { SAME };
        if library.atoms.iter().enumerate().all(new) {
            found.push((kind, atom));
        }
    };
    offer(Beyond::Ambient, &|i| (ambient(f, i), 0.0));
    for g in near {
        offer(Beyond::Neighbour, &|i| {
            let light = frames[g].light[i] - ambient(g, i) + ambient(f, i);
            (if frames[g].weight[i] > 0.0 { light } else { f32::NAN }, 1.0 / frames[g].weight[i])
        });
    }
    let (refs, frame) = (library.refs(), &frames[f]);
    let under = frame.under(&refs, library.course[f]);
    offer(Beyond::Known, &|i| (frame.sum(&refs, &under, i), 0.0));
    found
}

/// A frame without `base` (light and its variance), and the expected error; infinite where either is not known.
fn rest(frame: &Small, base: &dyn Fn(usize) -> (f32, f32)) -> (Vec<f32>, Vec<f32>) {
    (0..frame.light.len())
        .map(|i| {
            let (light, variance) = base(i);
            let known = frame.weight[i] > 0.0 && light.is_finite() && variance.is_finite();
            if known {
                (frame.light[i] - light, (1.0 / frame.weight[i] + variance).sqrt())
            } else {
                (0.0, f32::INFINITY)
            }
        })
        .unzip()
}

/// Cosine of two pictures over the places both know, in the square root of light so that highlights do not rule alone.
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
