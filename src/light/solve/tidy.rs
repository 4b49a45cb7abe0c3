//! Second thoughts about the lights found: one that no frame needs goes.

use rayon::prelude::*;

use super::library::{Library, sparse};
use super::small::{Atom, Small};

/// A light without which all frames together are explained this little worse is none.
const WORTH: f32 = 0.5;

/// Lets go of lights without which the frames are explained almost as well.
pub fn tidy(library: &mut Library, frames: &[Small]) {
    for _ in 0..2 {
        library.refine(frames);
    }
    while let Some((light, _)) = least(library, frames).filter(|l| l.1 < WORTH) {
        library.remove(frames, light);
        library.refine(frames);
    }
}

fn least(library: &Library, frames: &[Small]) -> Option<(usize, f32)> {
    let rise = |out: usize| -> f32 {
        let refs: Vec<&Atom> = library.atoms.iter().enumerate().filter(|(k, _)| *k != out).map(|(_, a)| a).collect();
        let burns = (0..frames.len()).into_par_iter().filter(|&f| library.fits[f].gain[out] > 0.0);
        burns.map(|f| sparse(&frames[f], &refs, library.course[f]).cost - library.fits[f].cost).sum()
    };
    (0..library.lights()).map(|k| (k, rise(k))).min_by(|a, b| a.1.total_cmp(&b.1))
}
