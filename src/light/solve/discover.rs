//! Finds the lights of a shoot without notes: how many there are, and their first gains in every frame.

use rayon::prelude::*;

use super::excess::{Excess, coherent};
use super::library::Library;
use super::patterns::Mix;
use super::pose::Size;
use super::propose::{self, Beyond};
use super::scene::{Frame, Scene};
use super::small::{self, Small};
use super::{ambient, exposures, fit, tidy};

/// Frames among which lights are sought at most.
pub const SOUGHT: usize = 80;
/// No shoot is taken to have more lights than this.
const MOST: usize = 8;
/// A frame with this much light beyond what is known shows a new light; with less it may, if other frames have it too.
const MUCH: f32 = 0.7;
const LITTLE: f32 = 0.2;
/// Light beyond what is known against light short of it: the sitter's moves make as much of either.
const BEYOND: f32 = 1.7;
/// Where it is as much short of it, a light must take away all but this share of the frame's error.
const CLEARS: f32 = 0.4;
/// A new light may take this much of its light from a known one, unless it looks like it (a cosine).
const REPLACED: f32 = 0.3;
const ALIKE: f32 = 0.85;
/// Light so many expected errors strong tells a ratio, and ratios of one brightness scatter by so many stops at most.
const SURE: f32 = 3.0;
const SCATTER: f64 = 0.5;
/// What a light must be worth to frames other than the one it comes from: the sum of what their errors fall by.
const WORTH: f32 = 2.0;

/// Lights found, and the gains to start from.
pub struct Discovery {
    /// How many lights there are.
    pub lights: usize,
    /// First gains of every frame, one per light in order of first appearance, then the ambient's.
    pub start: Vec<Mix>,
}

/// Discovers the lights, in shooting order: they come in one by one.
pub fn discover(scene: &Scene, frames: &[Frame]) -> Discovery {
    let exposure: Vec<f32> = scene.views.iter().map(|v| libm::exp2(v.flash_stops) as f32).collect();
    let (frames, size) = small::coarser(frames, &exposure, scene.plane);
    let (library, frames) = find(frames, size);
    start(&library, &frames)
}

/// The lights of coarse frames; the frames come back with what their errors were found to be.
fn find(mut frames: Vec<Small>, size: Size) -> (Library, Vec<Small>) {
    let scale = noise(&frames);
    for weight in frames.iter_mut().flat_map(|f| &mut f.weight) {
        *weight /= scale;
    }
    small::unrest(&mut frames);
    let (atom, course) = ambient::ambient(&frames);
    let picked = telling(&frames, size);
    let some: Vec<Small> = picked.iter().map(|&f| frames[f].clone()).collect();
    let mut library = Library::new(&some, size, atom, picked.iter().map(|&f| course[f]).collect());
    library.refine(&some, some.len());
    in_order(&mut library, &some);
    tidy::tidy(&mut library, &some);
    library.measure(&frames, course);
    (library, frames)
}

/// Frames among which lights are sought: all of a short shoot, else the first and those that differ most from the one
/// before, for the search grows with their number and a series of equals tells no more than two of them.
fn telling(frames: &[Small], size: Size) -> Vec<usize> {
    let mut change: Vec<(f32, usize)> = frames
        .iter()
        .zip(frames.iter().skip(1))
        .enumerate()
        .map(|(f, (a, b))| {
            let off = |i: usize| (b.light[i] - a.light[i]) / (1.0 / a.weight[i] + 1.0 / b.weight[i]).sqrt();
            let excess = coherent(&off, |i| a.weight[i] > 0.0 && b.weight[i] > 0.0, size);
            (excess.more + excess.less, f + 1)
        })
        .collect();
    change.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut picked: Vec<usize> = [0].into_iter().chain(change.into_iter().map(|c| c.1)).take(SOUGHT).collect();
    picked.sort_unstable();
    picked.retain(|f| *f < frames.len());
    picked
}

/// Goes through the frames in shooting order: lights come in one by one.
fn in_order(library: &mut Library, frames: &[Small]) {
    for f in 0..frames.len() {
        let mut excess = library.excess(frames, f);
        if excess.more > LITTLE {
            library.reconsider(frames, f);
            // The first frame of a light is often its darkest; the next one shows it better.
            library.refine(frames, f + 1);
            excess = library.excess(frames, f);
        }
        if library.lights() < MOST && excess.more > LITTLE && !ambient_alone(library, frames, f) {
            take_in(library, frames, f, excess);
        }
    }
}

/// The likeliest new light of a frame: the picture that explains most of all frames and, among near equals, the one with
/// the least light (a sum of two lights explains a frame as well as each of them).
fn take_in(library: &mut Library, frames: &[Small], f: usize, excess: Excess) {
    let worth = |kind: Beyond, atom: &small::Atom| {
        let here = library.with(frames, atom, f);
        let plain = excess.more > BEYOND * excess.less || here.cost < CLEARS * library.fits[f].cost;
        // In a frame with other lights, what no single frame beside it lacks is more likely the sitter than a light.
        let known = here.gain.iter().take(library.lights()).any(|g| *g > 0.0);
        let plain = plain && (kind == Beyond::Neighbour || !known || excess.more > 2.0 * MUCH);
        if !plain || !adds(library, &here, f, atom) {
            return None;
        }
        let drop = |g: usize, fit: &small::SmallFit| (library.fits[g].cost - fit.cost).max(0.0);
        let others: Vec<f32> = (0..frames.len())
            .into_par_iter()
            .filter(|g| *g != f)
            .map(|g| drop(g, &library.with(frames, atom, g)))
            .collect();
        let others: f32 = others.iter().sum();
        (excess.more > MUCH || others > WORTH).then(|| others + drop(f, &here))
    };
    let tried: Vec<(f32, small::Atom)> = propose::propose(library, frames, f)
        .into_iter()
        .filter_map(|(kind, atom)| Some((worth(kind, &atom)?, atom)))
        .collect();
    let most = tried.iter().map(|t| t.0).fold(0.0, f32::max);
    let best = tried.into_iter().filter(|t| t.0 > 0.9 * most).min_by(|a, b| total(&a.1).total_cmp(&total(&b.1)));
    if let Some((_, atom)) = best {
        library.add(frames, atom);
        library.refine(frames, f + 1);
        tidy::prune(library, frames, f + 1);
    }
}

/// Light of a picture where it is known.
fn total(atom: &small::Atom) -> f32 {
    atom.iter().filter(|v| !v.is_nan()).sum()
}

/// Whether a light adds to what was known to burn in a frame: one that takes the place of another and looks much like it
/// is that one over another pose, or in a sum.
fn adds(library: &Library, with: &small::SmallFit, f: usize, atom: &small::Atom) -> bool {
    let new = with.gain[library.lights()] * total(atom);
    let replaces = |k: usize| {
        let lost = (library.fits[f].gain[k] - with.gain[k]) * total(&library.atoms[k]);
        lost > REPLACED * new && propose::cosine(&library.atoms[k], atom) > ALIKE
    };
    new > 0.0 && !(0..library.lights()).any(replaces)
}

/// Whether a frame's light is the ambient's but for a tone curve: its ratio to it is a matter of how bright it is.
fn ambient_alone(library: &Library, frames: &[Small], f: usize) -> bool {
    let frame = &frames[f];
    let sure = |i: &usize| frame.weight[*i] > 0.0 && frame.light[*i] * frame.weight[*i].sqrt() > SURE;
    let ratios: Vec<(f64, f64)> = (0..frame.light.len())
        .filter(sure)
        .map(|i| (library.ambient(frames, f, i), frame.light[i]))
        .filter(|(ambient, _)| *ambient > 0.0)
        .map(|(ambient, light)| (f64::from(ambient), f64::from(libm::log2f(light / ambient))))
        .collect();
    if ratios.len() * 10 < frame.light.len() {
        return false;
    }
    let mut off: Vec<f64> = exposures::levels(ratios).into_iter().flat_map(|level| level.off).collect();
    off.sort_by(f64::total_cmp);
    off[off.len() * 19 / 20] < SCATTER
}

/// Lights in order of first appearance.
fn start(library: &Library, frames: &[Small]) -> Discovery {
    let lights = library.lights();
    let first = |s: usize| library.fits.iter().position(|f| f.gain[s] > 0.0).unwrap_or(usize::MAX);
    let mut order: Vec<usize> = (0..lights).collect();
    order.sort_by_key(|&s| first(s));
    let start = frames
        .iter()
        .zip(&library.fits)
        .map(|(frame, fit)| {
            let gain = order.iter().map(|&s| f64::from(fit.gain[s])).chain([f64::from(fit.gain[lights])]).collect();
            let mut colour = vec![[1.0; 3]; lights];
            colour.push([f64::from(frame.shutter); 3]);
            Mix { gain, colour, trust: 1.0 }
        })
        .collect();
    Discovery { lights, start }
}

/// How far the expected errors are off, as a factor on the variance: from neighbours between which nothing changed.
fn noise(frames: &[Small]) -> f32 {
    let mut pairs: Vec<f64> = frames
        .iter()
        .zip(frames.iter().skip(1))
        .filter(|(a, b)| (a.shutter / b.shutter - 1.0).abs() < 0.05)
        .filter_map(|(a, b)| {
            let mut squares: Vec<f64> = (0..a.light.len())
                .filter(|&i| a.weight[i] > 0.0 && b.weight[i] > 0.0)
                .map(|i| {
                    let off = a.light[i] - b.light[i];
                    f64::from(off * off / (1.0 / a.weight[i] + 1.0 / b.weight[i]))
                })
                .collect();
            (squares.len() > 100).then(|| fit::median(&mut squares) / 0.455)
        })
        .collect();
    pairs.sort_by(f64::total_cmp);
    pairs.get(pairs.len() / 4).map_or(1.0, |v| v.clamp(1.0, 3.0) as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: Size = Size { columns: 20, rows: 10 };

    /// A frame of two patches of light over an even ambient, each place known to 2 %.
    fn frame(first: f32, second: f32, shutter: f32) -> Small {
        let light: Vec<f32> = (0..3 * SIZE.len())
            .map(|i| {
                let (x, y) = (i / 3 % SIZE.columns, i / 3 / SIZE.columns);
                let patch = |from: usize| {
                    if (from..from + 6).contains(&x) { 1.0 + (y % 7) as f32 * 0.1 } else { 0.0 }
                };
                first * patch(2) + second * patch(11) + 0.1 * (1.0 + (i % 5) as f32 * 0.2) * shutter
            })
            .collect();
        let weight = light.iter().map(|l| 1.0 / (0.02 * l).powi(2)).collect();
        Small { light, weight, shutter }
    }

    #[test]
    fn two_patches_switched_on_and_off_are_two_lights() {
        let set = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (2.0, 1.0), (0.0, 1.0), (1.0, 0.0), (2.0, 0.0)];
        let (library, _) = find(set.map(|(a, b)| frame(a, b, 1.0)).to_vec(), SIZE);
        assert_eq!(library.lights(), 2);
        let first = usize::from(library.fits[1].gain[0] <= 0.0);
        for (fit, (a, b)) in library.fits.iter().zip(set) {
            assert_eq!((fit.gain[first] > 0.0, fit.gain[1 - first] > 0.0), (a > 0.0, b > 0.0));
        }
        assert!((library.fits[4].gain[first] / library.fits[3].gain[first] - 2.0).abs() < 0.05);
    }

    #[test]
    fn lights_added_one_to_the_other_and_never_alone_are_told_apart() {
        let set = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (1.0, 2.0), (0.5, 2.0), (1.0, 0.0), (1.0, 1.0)];
        let (library, _) = find(set.map(|(a, b)| frame(a, b, 1.0)).to_vec(), SIZE);
        assert_eq!(library.lights(), 2);
        let first = usize::from(library.fits[1].gain[0] <= 0.0);
        assert!((library.fits[4].gain[first] / library.fits[3].gain[first] - 0.5).abs() < 0.03);
    }

    #[test]
    fn constant_ambient_under_another_shutter_is_no_light() {
        let shots = [1.0, 0.25, 2.0, 4.0, 0.5, 1.0, 8.0].map(|t| frame(0.0, 0.0, t)).to_vec();
        let (library, _) = find(shots, SIZE);
        assert_eq!(library.lights(), 0);
        assert!(library.fits.iter().all(|fit| (fit.gain[0] - 1.0).abs() < 0.02));
    }

    #[test]
    fn light_seen_in_one_frame_alone_is_not_called_a_light() {
        // Beside the other light, and alone, where it is seen best.
        for beside in [1.0, 0.0] {
            let set = [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (beside, 1.0), (1.0, 0.0), (2.0, 0.0)];
            let (library, _) = find(set.map(|(a, b)| frame(a, b, 1.0)).to_vec(), SIZE);
            assert_eq!(library.lights(), 1, "beside {beside}");
        }
    }

    #[test]
    fn of_a_long_shoot_the_frames_that_differ_are_looked_at() {
        let changes = [150, 400, 401];
        let frames: Vec<Small> =
            (0..500).map(|f| frame(if changes.contains(&f) { 2.0 } else { 1.0 }, 0.0, 1.0)).collect();
        let picked = telling(&frames, SIZE);
        assert_eq!(picked.len(), SOUGHT);
        assert!([0, 150, 151, 400, 402].iter().all(|f| picked.contains(f)));
        assert!(picked.windows(2).all(|p| p[0] < p[1]));
    }
}
