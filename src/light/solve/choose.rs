//! Chooses the lights: one after the other the candidate that explains most of what is left, until none explains enough.

use rayon::prelude::*;

use super::candidates::{self, Candidate};
use super::linalg::Normal;
use super::small::{Atom, FAR, Small, SmallFit};

/// No shoot is taken to have more lights than this.
const MOST: usize = 5;
/// A light must lower the mean robust error of at least one frame by this, in squared expected errors.
const CLEAR: f32 = 0.7;
/// A light burns in a frame only if its error rises by this without it.
const KEEP: f32 = 0.03;
/// A light makes at least this share of the light of one frame: what changes less may as well be the sitter.
const SHARE: f32 = 0.27;
/// A picture this like a light's (a cosine) is the same light, in another tone or over another pose.
const SAME: f32 = 0.94;
/// The ambient and a light that fills the room look more alike.
const LIKE_AMBIENT: f32 = 0.955;
/// What a light must be worth to all frames together: the sum of what their errors fall by.
const WORTH: f32 = 2.4;
/// Candidates that are tried in full.
const TRIED: usize = 3;

/// Lights chosen so far.
#[derive(Clone, Debug)]
pub struct Choice {
    /// Pictures of the lights, then the ambient's.
    pub atoms: Vec<Atom>,
    /// Gains of every frame.
    pub fits: Vec<SmallFit>,
    /// Expected course of the ambient.
    pub course: Vec<f32>,
}

/// Chooses among the candidates.
pub fn choose(frames: &[Small], ambient: Atom, course: Vec<f32>, pool: Vec<Candidate>) -> Choice {
    let mut pool = simple(pool);
    let mut choice = Choice { atoms: vec![ambient], fits: Vec::new(), course };
    choice.fit(frames);
    choice.refine(frames);
    while choice.atoms.len() <= MOST {
        let losses: Vec<Vec<f32>> =
            frames.par_iter().zip(&choice.fits).map(|(f, fit)| f.losses(&choice.refs(), fit)).collect();
        // Lights come in one by one: the earliest frame that is not explained says which is next.
        let Some(best) = (0..frames.len()).find_map(|f| choice.next(frames, &pool, &losses, f)) else { break };
        let k = best.2;
        let next = pool.swap_remove(k);
        choice.atoms.insert(choice.atoms.len() - 1, next.atom);
        choice.fit(frames);
        for _ in 0..2 {
            choice.refine(frames);
        }
        choice.prune(frames);
    }
    for _ in 0..2 {
        choice.refine(frames);
    }
    choice.prune(frames);
    choice
}

/// Leaves out candidates that are another one plus something else, and takes in that something else.
fn simple(mut pool: Vec<Candidate>) -> Vec<Candidate> {
    for _ in 0..2 {
        let parts: Vec<Option<Candidate>> = pool
            .par_iter()
            .map(|whole| {
                let others = pool.iter().filter(|part| part.from != whole.from);
                let rest = others.filter_map(|part| candidates::without(whole, part));
                rest.filter(|rest| candidates::cosine(&rest.atom, &whole.atom) < 0.985).min_by(|a, b| {
                    let sum = |c: &Candidate| c.atom.iter().filter(|v| !v.is_nan()).sum::<f32>();
                    sum(a).total_cmp(&sum(b))
                })
            })
            .collect();
        let mut next: Vec<Candidate> = Vec::new();
        for (whole, part) in pool.into_iter().zip(parts) {
            let kept = part.unwrap_or(whole);
            if next.iter().all(|c| candidates::cosine(&c.atom, &kept.atom) < 0.99) {
                next.push(kept);
            }
        }
        pool = next;
    }
    pool
}

impl Choice {
    /// The candidate to take in for a frame that is not explained, and what it is worth to all frames.
    fn next(&self, frames: &[Small], pool: &[Candidate], losses: &[Vec<f32>], f: usize) -> Option<(f32, usize, usize)> {
        if self.fits[f].cost < CLEAR {
            return None;
        }
        let with = |k: usize, f: usize| {
            let mut refs = self.refs();
            refs.insert(refs.len() - 1, &pool[k].atom);
            let fit = frames[f].fit(&refs, self.course[f], Some(&losses[f]));
            let drop = (self.fits[f].cost - fit.cost).max(0.0);
            let own = fit.gain[refs.len() - 2] * pool[k].atom.iter().filter(|v| !v.is_nan()).sum::<f32>();
            (drop, own / frames[f].light.iter().sum::<f32>().max(1e-12))
        };
        let here: Vec<(usize, f32)> = (0..pool.len())
            .into_par_iter()
            .filter(|&k| pool[k].from.0 + 3 >= f && pool[k].from.0 <= f + 9)
            .filter(|&k| {
                let like = |(s, a): (usize, &Atom)| {
                    let most = if s + 1 == self.atoms.len() { LIKE_AMBIENT } else { SAME };
                    candidates::cosine(a, &pool[k].atom) < most
                };
                self.atoms.iter().enumerate().all(like)
            })
            .map(|k| (k, with(k, f)))
            .filter(|(_, (drop, share))| *drop > CLEAR && *drop > SHARE * self.fits[f].cost && *share > SHARE)
            .map(|(k, (drop, _))| (k, drop))
            .collect();
        let most = here.iter().map(|h| h.1).fold(0.0, f32::max);
        let mut good: Vec<(usize, f32)> = here.into_iter().filter(|h| h.1 > 0.85 * most).collect();
        good.sort_by(|a, b| b.1.total_cmp(&a.1));
        good.truncate(TRIED);
        good.into_iter()
            .map(|(k, _)| ((0..frames.len()).into_par_iter().map(|f| with(k, f).0).sum::<f32>(), f, k))
            .filter(|worth| worth.0 > WORTH)
            .max_by(|a, b| a.0.total_cmp(&b.0))
    }

    fn refs(&self) -> Vec<&Atom> {
        self.atoms.iter().collect()
    }

    /// Fits all frames, leaving out lights a frame does not need.
    fn fit(&mut self, frames: &[Small]) {
        let refs = self.refs();
        self.fits = frames.par_iter().zip(&self.course).map(|(frame, course)| sparse(frame, &refs, *course)).collect();
    }

    /// Pictures from gains, then gains from pictures.
    fn refine(&mut self, frames: &[Small]) {
        let n = self.atoms.len();
        let places = self.atoms.first().map_or(0, Vec::len);
        let columns: Vec<Vec<f32>> = (0..places)
            .into_par_iter()
            .map(|i| {
                let mut normal = Normal::new(n);
                let mut told = vec![false; n];
                let mut row = vec![0.0; n];
                for (frame, fit) in frames.iter().zip(&self.fits) {
                    if frame.weight[i] <= 0.0 {
                        continue;
                    }
                    let (mut sum, mut mass) = (0.0, 0.0);
                    for k in 0..n {
                        let g = fit.gain[k] * if k + 1 == n { frame.shutter } else { 1.0 };
                        row[k] = f64::from(g);
                        if g > 0.0 {
                            told[k] = true;
                            sum += g * self.atoms[k][i];
                            mass += g;
                        }
                    }
                    if mass > 0.0 {
                        let square = if sum.is_nan() { 2.0 } else { frame.loss(i, sum).min(FAR) / FAR * 4.0 + 1.0 };
                        normal.add(&row, f64::from(frame.light[i]), f64::from(frame.weight[i] / (square * square)));
                    }
                }
                normal.mirror();
                for k in 0..n {
                    normal.a[k * n + k] = normal.a[k * n + k] * (1.0 + 1e-4) + 1e-12;
                }
                let found = normal.nnls();
                (0..n).map(|k| if told[k] { found[k] as f32 } else { self.atoms[k][i] }).collect()
            })
            .collect();
        for (k, atom) in self.atoms.iter_mut().enumerate() {
            for (value, column) in atom.iter_mut().zip(&columns) {
                *value = column[k];
            }
        }
        self.fit(frames);
    }

    /// Lets go of lights without which every frame is explained almost as well.
    fn prune(&mut self, frames: &[Small]) {
        loop {
            let lights = self.atoms.len() - 1;
            let rise = |out: usize| -> f32 {
                let whole = self.atoms[out].iter().filter(|v| !v.is_nan()).sum::<f32>();
                let share = |f: usize| self.fits[f].gain[out] * whole / frames[f].light.iter().sum::<f32>().max(1e-12);
                if (0..frames.len()).map(share).fold(0.0, f32::max) < SHARE {
                    return 0.0;
                }
                let refs: Vec<&Atom> =
                    self.atoms.iter().enumerate().filter(|(k, _)| *k != out).map(|(_, a)| a).collect();
                let burns = (0..frames.len()).into_par_iter().filter(|&f| self.fits[f].gain[out] > 0.0);
                burns
                    .map(|f| frames[f].fit(&refs, self.course[f], None).cost - self.fits[f].cost)
                    .reduce(|| 0.0, f32::max)
            };
            let least = (0..lights).map(|k| (rise(k), k)).min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((_, k)) = least.filter(|l| l.0 < CLEAR) else { return };
            self.atoms.remove(k);
            self.fit(frames);
            self.refine(frames);
        }
    }
}

/// A fit with as few lights as serve.
fn sparse(frame: &Small, atoms: &[&Atom], course: f32) -> SmallFit {
    let n = atoms.len();
    let full = frame.fit(atoms, course, None);
    let mut kept: Vec<usize> = (0..n).filter(|&k| k + 1 == n || full.gain[k] > 0.0).collect();
    let mut best = SmallFit { gain: kept.iter().map(|&k| full.gain[k]).collect(), cost: full.cost };
    loop {
        let tries = (0..kept.len() - 1).map(|out| {
            let left: Vec<usize> = kept.iter().enumerate().filter(|(k, _)| *k != out).map(|(_, s)| *s).collect();
            let refs: Vec<&Atom> = left.iter().map(|&k| atoms[k]).collect();
            let fit = frame.fit(&refs, course, None);
            (fit.cost - best.cost, left, fit)
        });
        let least = tries.min_by(|a, b| a.0.total_cmp(&b.0));
        match least {
            Some((rise, left, fit)) if rise < KEEP => {
                (kept, best) = (left, fit);
            }
            _ => break,
        }
    }
    let mut gain = vec![0.0; n];
    for (g, &k) in best.gain.iter().zip(&kept) {
        gain[k] = *g;
    }
    SmallFit { gain, cost: best.cost }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLACES: usize = 600;

    /// A frame of two patches of light over an even ambient, each place known to 1 %.
    fn frame(first: f32, second: f32, shutter: f32) -> Small {
        let light: Vec<f32> = (0..PLACES)
            .map(|i| {
                let patch =
                    |from: usize| if (from..from + 200).contains(&i) { 1.0 + (i % 7) as f32 * 0.1 } else { 0.0 };
                first * patch(50) + second * patch(350) + 0.1 * (1.0 + (i % 5) as f32 * 0.2) * shutter
            })
            .collect();
        let weight = light.iter().map(|l| 1.0 / (0.02 * l).powi(2)).collect();
        Small { light, weight, shutter }
    }

    fn lights(frames: &[Small]) -> Choice {
        let (ambient, course) = candidates::ambient(frames);
        let pick: Vec<usize> = (0..frames.len()).collect();
        let pool = candidates::gather(frames, &ambient, &course, &pick);
        choose(frames, ambient, course, pool)
    }

    #[test]
    fn two_patches_switched_on_and_off_are_two_lights() {
        let set = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (2.0, 1.0), (0.0, 1.0), (1.0, 0.0), (2.0, 0.0)];
        let choice = lights(&set.map(|(a, b)| frame(a, b, 1.0)));
        assert_eq!(choice.atoms.len(), 3);
        for (fit, (a, b)) in choice.fits.iter().zip(set) {
            assert_eq!((fit.gain[0] > 0.0, fit.gain[1] > 0.0), (a > 0.0, b > 0.0));
        }
        assert!((choice.fits[4].gain[0] / choice.fits[3].gain[0] - 2.0).abs() < 0.05);
    }

    #[test]
    fn constant_ambient_under_another_shutter_is_no_light() {
        let choice = lights(&[1.0, 0.25, 2.0, 4.0, 0.5, 1.0, 8.0].map(|t| frame(0.0, 0.0, t)));
        assert_eq!(choice.atoms.len(), 1);
        assert!(choice.fits.iter().all(|fit| (fit.gain[0] - 1.0).abs() < 0.02));
    }
}
