//! Light that no noted light explains: frames noted without any light that show the same picture beyond the ambient

use super::account::Account;
use super::fit::Pattern;
use super::plan::Plan;
use crate::light::Told;

/// More than this part of a frame's light, 0..1, is beyond the ambient: a curve that is off or dusk leave far less over.
const BEYOND: f64 = 0.75;
/// Two pictures this much alike, as the cosine between them, are of one light.
const ALIKE: f64 = 0.9;
/// A picture is below the ambient's at this part of the tiles: what is left of them is laid to errors.
const BELOW: usize = 10;
/// A tile that holds less than this part of the mean light counts for nothing.
const FAINT: f64 = 0.02;
/// A tile's light is known from so many of its expected errors on.
const PLAIN: f64 = 5.0;

/// Frames of the scene noted without any light that show one light's picture beyond the ambient, a picture that no noted
/// light has; none unless there are two. One frame alone may be a lamp that was passed by, or a note that begins late.
pub fn unexplained(account: &Account, plan: &Plan) -> Vec<usize> {
    let dark: Vec<(usize, Vec<f64>)> = (0..account.frames.len())
        .filter(|&f| plan.asks[f].iter().all(|a| a.on == Told::No))
        .map(|f| (f, per_second(account, f)))
        .collect();
    let mean = |light: &[f64]| {
        let known: Vec<f64> = light.iter().copied().filter(|l| l.is_finite()).collect();
        known.iter().sum::<f64>() / known.len().max(1) as f64
    };
    let Some((_, base)) = dark.iter().min_by(|a, b| mean(&a.1).total_cmp(&mean(&b.1))) else { return Vec::new() };
    let sources = &account.patterns[..plan.sources.len()];
    let strange: Vec<(usize, Vec<f64>)> = dark
        .iter()
        .filter_map(|(f, light)| Some((*f, beyond(light, base)?)))
        .filter(|(_, more)| sources.iter().all(|p| alike(more, &green(p)) < ALIKE))
        .collect();
    let company = |f: usize, more: &[f64]| strange.iter().any(|(g, other)| *g != f && alike(more, other) >= ALIKE);
    strange.iter().filter(|(f, more)| company(*f, more)).map(|(f, _)| *f).collect()
}

/// A frame's light as one second of ambient would make it, in green; NaN where not known.
fn per_second(account: &Account, f: usize) -> Vec<f64> {
    let frame = &account.frames[f];
    // Near black a curve says little of how dark it is: a crushed room is no measure for a brighter picture of it.
    let known = |i: &usize| {
        let variance = f64::from(frame.variance[*i][1]);
        variance.is_finite() && f64::from(frame.light[*i][1]) > PLAIN * variance.sqrt()
    };
    let light = |i: usize| if known(&i) { f64::from(frame.light[i][1]) / frame.shutter } else { f64::NAN };
    (0..frame.light.len()).map(light).collect()
}

fn green(pattern: &Pattern) -> Vec<f64> {
    pattern.iter().map(|p| f64::from(p[1])).collect()
}

/// What a picture holds beyond as much of another as fits under it; None where that is not most of it.
fn beyond(light: &[f64], base: &[f64]) -> Option<Vec<f64>> {
    let both = || light.iter().zip(base).filter(|(a, b)| a.is_finite() && b.is_finite());
    let (count, floor) = (both().count(), FAINT * both().map(|(_, b)| b).sum::<f64>());
    let mut ratios: Vec<f64> = both().filter(|(_, b)| **b * count as f64 > floor).map(|(a, b)| a / b).collect();
    ratios.sort_by(f64::total_cmp);
    let times = ratios.get(ratios.len() / BELOW)?;
    let more: Vec<f64> = light.iter().zip(base).map(|(a, b)| (a - times * b).max(0.0)).collect();
    // Of a number that is not known nothing is left.
    let more: Vec<f64> = more
        .into_iter()
        .zip(light.iter().zip(base))
        .map(|(m, (a, b))| if (a + b).is_nan() { f64::NAN } else { m })
        .collect();
    let sum = |values: &mut dyn Iterator<Item = f64>| values.filter(|v| v.is_finite()).sum::<f64>();
    (sum(&mut more.iter().copied()) > BEYOND * sum(&mut both().map(|(a, _)| *a))).then_some(more)
}

/// Cosine between two pictures over the tiles both know, 0..1.
fn alike(a: &[f64], b: &[f64]) -> f64 {
    let known = a.iter().zip(b).filter(|(a, b)| a.is_finite() && b.is_finite());
    let (ab, aa, bb) = known.fold((0.0, 1e-300, 1e-300), |(ab, aa, bb), (a, b)| (ab + a * b, aa + a * a, bb + b * b));
    ab / (aa * bb).sqrt()
}

/// The sentence about such frames: what is not known, a colon, why; None where there are none.
pub fn sentence(frames: &[&str]) -> Option<String> {
    let (first, last) = (frames.first()?, frames.last()?);
    // The sentence is cut at its first colon.
    let [first, last] = [first, last].map(|f| f.replace(": ", " "));
    let between = match frames.len() {
        2 => format!("{first} and {last}"),
        many => format!("{many} shots from {first} to {last}"),
    };
    Some(format!(
        "which light burns in {between}: light that no noted light explains is there, and the notes have every light off"
    ))
}

#[cfg(test)]
mod tests {
    use super::super::account::tests::{at, unsolved};
    use super::super::plan::Ask;
    use super::*;

    const ROOM: [f32; 4] = [0.01, 0.01, 0.02, 0.02];
    const LAMP: [f32; 4] = [0.0, 0.3, 0.1, 0.0];
    const KEY: [f32; 4] = [0.5, 0.1, 0.0, 0.4];

    /// Frames found among five: one of the room, three of the room with so much of `lamp`, and one noted with the key.
    fn found(lamp: [f32; 4], gains: [f32; 3]) -> Vec<usize> {
        let dark = vec![Ask::OFF];
        let (mut account, plan) = unsolved(vec![dark.clone(), dark.clone(), dark.clone(), dark, vec![at(1.0)]]);
        account.patterns = vec![KEY.map(|k| [k; 3]).to_vec(), ROOM.map(|k| [k; 3]).to_vec()];
        for (frame, gain) in account.frames.iter_mut().zip([0.0, gains[0], gains[1], gains[2], 9.0]) {
            frame.variance = vec![[1e-6; 3]; 4];
            frame.light = ROOM.iter().zip(lamp).map(|(r, l)| [r + gain * l; 3]).collect();
        }
        unexplained(&account, &plan)
    }

    #[test]
    fn a_picture_met_twice_in_frames_noted_dark_is_of_a_light_nobody_noted() {
        assert_eq!(found(LAMP, [1.0, 0.0, 0.5]), [1, 3]);
        assert_eq!(found(LAMP, [1.0, 0.0, 0.0]), [0; 0], "met once");
        assert_eq!(found(LAMP, [0.02, 0.0, 0.02]), [0; 0], "a trace of it");
    }

    #[test]
    fn a_noted_light_and_more_of_the_ambient_are_not_strange() {
        // Nobody noted it: the same light is strange then.
        assert_eq!(found(KEY.map(|k| if k > 0.2 { 0.0 } else { 0.5 - k }), [1.0, 0.0, 0.5]), [1, 3]);
        assert_eq!(found(KEY, [1.0, 0.0, 0.5]), [0; 0], "noted late or off by mistake: told elsewhere");
        assert_eq!(found(ROOM, [3.0, 0.0, 3.0]), [0; 0], "the same room at another time of day");
    }

    #[test]
    fn the_sentence_names_the_frames() {
        assert_eq!(sentence(&[]), None);
        assert!(sentence(&["a: b.JPG", "c.JPG"]).unwrap().starts_with("which light burns in a b.JPG and c.JPG: "));
        assert!(sentence(&["a.JPG", "b.JPG", "c.JPG"]).unwrap().contains("3 shots from a.JPG to c.JPG"));
    }
}
