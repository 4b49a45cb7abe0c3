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

#[cfg(test)]
mod tests {
    use super::super::pose::Size;
    use super::*;

    const SIZE: Size = Size { columns: 12, rows: 6 };

    /// A patch of light in the left or the right half over an even ambient of 0.1.
    fn picture(left: f32, right: f32) -> Atom {
        (0..3 * SIZE.len()).map(|i| if i / 3 % SIZE.columns < 6 { left } else { right }).collect()
    }

    fn frame(left: f32, right: f32, shutter: f32) -> Small {
        let light: Atom = picture(left, right).into_iter().map(|l| l + 0.1 * shutter).collect();
        Small { weight: light.iter().map(|l| 1.0 / (0.02 * l).powi(2)).collect(), light, shutter }
    }

    /// Proposals of one kind for the last frame, by the light they give at a tile of the left and of the right half.
    fn proposed(frames: &[Small], known: &[Atom], kind: Beyond) -> Vec<(f32, f32)> {
        let ambient = vec![0.1; 3 * SIZE.len()];
        let mut library = Library::new(frames, SIZE, ambient, vec![1.0; frames.len()]);
        for atom in known {
            library.add(frames, atom.clone());
        }
        let found = propose(&library, frames, frames.len() - 1);
        found.into_iter().filter(|p| p.0 == kind).map(|(_, atom)| (atom[0], atom[3 * 6])).collect()
    }

    fn near(found: &[(f32, f32)], left: f32, right: f32) -> bool {
        found.iter().any(|f| (f.0 - left).abs() < 0.01 && (f.1 - right).abs() < 0.01)
    }

    #[test]
    fn beyond_the_frame_beside_it_lies_what_was_added() {
        let frames = [frame(0.0, 0.0, 1.0), frame(1.0, 0.0, 1.0), frame(1.0, 0.5, 1.0)];
        assert!(near(&proposed(&frames, &[picture(1.0, 0.0)], Beyond::Neighbour), 0.0, 0.5));
        assert!(near(&proposed(&frames, &[picture(1.0, 0.0)], Beyond::Known), 0.0, 0.5));
    }

    #[test]
    fn beyond_its_ambient_lies_a_frames_flash_whatever_the_shutter() {
        let frames = [frame(0.0, 0.0, 1.0), frame(0.0, 0.5, 4.0)];
        assert!(near(&proposed(&frames, &[], Beyond::Ambient), 0.0, 0.5));
        assert!(near(&proposed(&frames, &[], Beyond::Neighbour), 0.0, 0.5));
    }

    #[test]
    fn what_is_known_already_and_what_takes_light_away_is_not_proposed() {
        let frames = [frame(0.0, 0.0, 1.0), frame(1.0, 0.0, 1.0), frame(0.0, 1.0, 1.0)];
        assert!(proposed(&frames, &[picture(0.0, 1.0)], Beyond::Ambient).is_empty(), "known");
        let swapped = proposed(&frames[1..], &[picture(1.0, 0.0)], Beyond::Neighbour);
        assert!(swapped.is_empty(), "one light went, another came: {swapped:?}");
    }
}
