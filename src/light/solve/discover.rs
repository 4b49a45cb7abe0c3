//! Finds the lights of a shoot without notes: how many there are, and their first gains in every frame.

use super::patterns::Mix;
use super::pose::Size;
use super::scene::Frame;
use super::small::{self, Small};
use super::{candidates, choose, fit};

/// Frames among which candidates are sought at most, spread evenly: the search grows with their number.
const SOUGHT: usize = 60;

/// Lights found, and the gains to start from.
pub struct Discovery {
    /// How many lights there are.
    pub lights: usize,
    /// First gains of every frame, one per light in order of first appearance, then the ambient's.
    pub start: Vec<Mix>,
}

/// Discovers the lights.
pub fn discover(frames: &[Frame], plane: Size) -> Discovery {
    let (mut frames, _) = small::halve(frames, plane);
    let scale = noise(&frames);
    for weight in frames.iter_mut().flat_map(|f| &mut f.weight) {
        *weight /= scale;
    }
    let (ambient, course) = candidates::ambient(&frames);
    let pick: Vec<usize> = if frames.len() <= SOUGHT {
        (0..frames.len()).collect()
    } else {
        (0..SOUGHT).map(|k| k * (frames.len() - 1) / (SOUGHT - 1)).collect()
    };
    let pool = candidates::gather(&frames, &ambient, &course, &pick);
    let choice = choose::choose(&frames, ambient, course, pool);
    let lights = choice.atoms.len() - 1;
    let first = |s: usize| choice.fits.iter().position(|f| f.gain[s] > 0.0).unwrap_or(usize::MAX);
    let mut order: Vec<usize> = (0..lights).collect();
    order.sort_by_key(|&s| first(s));
    let start = frames
        .iter()
        .zip(&choice.fits)
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
