//! Second thoughts about the lights found: one that hardly any frame needs goes.

use rayon::prelude::*;

use super::excess::excess;
use super::library::{Library, sparse};
use super::small::{Atom, Small};

/// What a light must be worth in a shoot of [`FRAMES`] frames: the light beyond what is known that it explains, summed
/// over the frames (common practice, no source; chosen on made shoots).
const WORTH: f32 = 4.5;
const FRAMES: f32 = 40.0;
/// The same while frames are still to come: the account of later ones is not good yet.
const SO_FAR: f32 = 2.0;
/// What it must be worth beside the frame that needs it most: what is seen in one frame alone may be anything that
/// happened there.
const AGAIN: f32 = 0.5;

/// A light that alone explains this much of a frame counts so many times.
const ALONE: f32 = 0.4;
const SHOWN: f32 = 3.0;

/// Refines the lights over all frames and lets go of those that are not needed.
pub fn tidy(library: &mut Library, frames: &[Small]) {
    for _ in 0..2 {
        library.refine(frames, frames.len());
    }
    prune(library, frames, frames.len());
}

/// Lets go of lights one by one, the least needed first, when the first `until` frames are accounted for.
pub fn prune(library: &mut Library, frames: &[Small], until: usize) {
    let least = if until == frames.len() { WORTH * (frames.len() as f32 / FRAMES).max(1.0).sqrt() } else { SO_FAR };
    while let Some((light, worth)) = least_needed(library, frames, until) {
        if worth >= least {
            return;
        }
        library.remove(frames, light);
        library.refine(frames, until);
    }
}

fn least_needed(library: &Library, frames: &[Small], until: usize) -> Option<(usize, f32)> {
    let worth = |out: usize| -> f32 {
        let refs: Vec<&Atom> = library.atoms.iter().enumerate().filter(|(k, _)| *k != out).map(|(_, a)| a).collect();
        let burns = (0..frames.len()).into_par_iter().filter(|&f| library.fits[f].gain[out] > 0.0);
        let rises: Vec<(f32, bool)> = burns
            .map(|f| {
                let alone = library.fits[f].gain.iter().take(library.lights()).filter(|g| **g > 0.0).count() == 1;
                let fit = sparse(&frames[f], &refs, library.course[f], &[without(&library.fits[f].gain, out)]);
                let rise = excess(&frames[f], &refs, &fit, library.size).more - library.excess(frames, f).more;
                (rise.max(0.0), alone)
            })
            .collect();
        let most = |only_alone: bool| rises.iter().filter(|r| r.1 || !only_alone).map(|r| r.0).fold(0.0, f32::max);
        let all = rises.iter().map(|r| r.0).sum::<f32>();
        let again = until < frames.len() || all - most(false) > AGAIN;
        // Nothing but the light itself can be what it shows alone.
        if !again {
            0.0
        } else if most(true) > ALONE {
            all * SHOWN
        } else {
            all
        }
    };
    (0..library.lights()).map(|k| (k, worth(k))).min_by(|a, b| a.1.total_cmp(&b.1))
}

fn without(gain: &[f32], out: usize) -> Vec<f32> {
    gain.iter().enumerate().filter(|(k, _)| *k != out).map(|(_, g)| *g).collect()
}
