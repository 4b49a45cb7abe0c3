//! Finds the lights of a shoot without notes: how many there are, and their first gains in every frame.

use super::excess::Excess;
use super::library::Library;
use super::patterns::Mix;
use super::propose;
use super::scene::{Frame, Scene};
use super::small::{self, Small};
use super::{ambient, fit, tidy};

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
const SURE: f32 = 5.0;
const SCATTER: f32 = 0.25;
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
    let (mut frames, size) = small::halve(frames, &exposure, scene.plane);
    let scale = noise(&frames);
    for weight in frames.iter_mut().flat_map(|f| &mut f.weight) {
        *weight /= scale;
    }
    small::unrest(&mut frames);
    let (atom, course) = ambient::ambient(&frames);
    let mut library = Library::new(&frames, size, atom, course);
    library.refine(&frames, frames.len());
    for f in 0..frames.len() {
        let mut excess = library.excess(&frames, f);
        let before = library.lights();
        if excess.more > LITTLE {
            library.reconsider(&frames, f);
            // The first frame of a light is often its darkest; the next one shows it better.
            library.refine(&frames, f + 1);
            excess = library.excess(&frames, f);
        }
        if library.lights() < MOST && excess.more > LITTLE && !ambient_alone(&library, &frames, f) {
            take_in(&mut library, &frames, f, excess);
        }
        if std::env::var("TRACE").is_ok() {
            let after = library.excess(&frames, f);
            eprintln!("{f:3} ev {:.1} sh {:.1} more {:.3} less {:.3} lights {before} -> {} now {:.3} {:.3} gains {:.3?} cost {:.3}", scene.views[f].flash_stops, scene.views[f].shutter_stops, excess.more, excess.less, library.lights(), after.more, after.less, library.fits[f].gain, library.fits[f].cost);
        }
    }
    tidy::tidy(&mut library, &frames);
    start(&library, &frames)
}

/// The likeliest new light of a frame: the picture that explains most of all frames and, among near equals, the one with
/// the least light (a sum of two lights explains a frame as well as each of them).
fn take_in(library: &mut Library, frames: &[Small], f: usize, excess: Excess) {
    let all: Vec<usize> = (0..frames.len()).collect();
    let worth = |atom: &small::Atom| {
        let fits = library.with(frames, atom, &all);
        let drop = |g: usize| (library.fits[g].cost - fits[g].cost).max(0.0);
        let others: f32 = all.iter().filter(|g| **g != f).map(|&g| drop(g)).sum();
        let plain = excess.more > BEYOND * excess.less || fits[f].cost < CLEARS * library.fits[f].cost;
        let sure = plain && (excess.more > MUCH || others > WORTH) && adds(library, &fits[f], f, atom);
        sure.then(|| others + drop(f))
    };
    let tried: Vec<(f32, small::Atom)> =
        propose::propose(library, frames, f).into_iter().filter_map(|atom| Some((worth(&atom)?, atom))).collect();
    let most = tried.iter().map(|t| t.0).fold(0.0, f32::max);
    let light = |atom: &small::Atom| atom.iter().filter(|v| !v.is_nan()).sum::<f32>();
    let best = tried.into_iter().filter(|t| t.0 > 0.9 * most).min_by(|a, b| light(&a.1).total_cmp(&light(&b.1)));
    if let Some((_, atom)) = best {
        library.add(frames, atom);
        library.refine(frames, f + 1);
        tidy::prune(library, frames, f + 1);
    }
}

/// Whether a light adds to what was known to burn in a frame: one that takes the place of another and looks much like it
/// is that one over another pose, or in a sum.
fn adds(library: &Library, with: &small::SmallFit, f: usize, atom: &small::Atom) -> bool {
    let total = |atom: &small::Atom| atom.iter().filter(|v| !v.is_nan()).sum::<f32>();
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
    let mut ratios: Vec<(f32, f32)> = (0..frame.light.len())
        .filter(sure)
        .map(|i| (library.ambient(frames, f, i), frame.light[i]))
        .filter(|(ambient, _)| *ambient > 0.0)
        .map(|(ambient, light)| (ambient, libm::log2f(light / ambient)))
        .collect();
    if ratios.len() * 10 < frame.light.len() {
        return false;
    }
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut off: Vec<f32> = Vec::new();
    for level in ratios.chunks(ratios.len().div_ceil(8)) {
        let mut here: Vec<f32> = level.iter().map(|r| r.1).collect();
        here.sort_by(f32::total_cmp);
        let middle = here[here.len() / 2];
        off.extend(here.iter().map(|r| (r - middle).abs()));
    }
    off.sort_by(f32::total_cmp);
    off[off.len() * 3 / 4] < SCATTER
}

/// Lights in order of first/// Lights in order of first appearance.
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
