//! The lights known so far with their pictures, and what each frame has of them.

use rayon::prelude::*;

use super::excess::{Excess, excess};
use super::linalg::Normal;
use super::pose::Size;
use super::small::{Atom, Small, SmallFit};

/// A light burns in a frame only if its error rises by this without it.
const KEEP: f32 = 0.06;

/// A frame this many squared errors off at a tile loses half of its say there.
const TOLD: f32 = 32.0;

/// Pictures and gains.
#[derive(Clone, Debug)]
pub struct Library {
    /// Grid of the pictures.
    pub size: Size,
    /// Pictures of the lights, then the ambient's.
    pub atoms: Vec<Atom>,
    /// Expected course of the ambient.
    pub course: Vec<f32>,
    /// Gains of every frame.
    pub fits: Vec<SmallFit>,
}

impl Library {
    /// No light yet.
    pub fn new(frames: &[Small], size: Size, ambient: Atom, course: Vec<f32>) -> Self {
        let mut library = Self { size, atoms: vec![ambient], course, fits: Vec::new() };
        library.fit(frames);
        library
    }

    /// How many lights there are.
    pub fn lights(&self) -> usize {
        self.atoms.len() - 1
    }

    /// All pictures.
    pub fn refs(&self) -> Vec<&Atom> {
        self.atoms.iter().collect()
    }

    /// The ambient's light in a frame, by its course.
    pub fn ambient(&self, frames: &[Small], f: usize, i: usize) -> f32 {
        self.atoms[self.lights()][i] * frames[f].shutter * self.course[f]
    }

    /// What frame `f` has beyond what is known.
    pub fn excess(&self, frames: &[Small], f: usize) -> Excess {
        excess(&frames[f], &self.refs(), &self.fits[f], self.size)
    }

    /// Fits all frames, leaving out lights a frame does not need.
    pub fn fit(&mut self, frames: &[Small]) {
        let refs = self.refs();
        let all = 0..frames.len();
        self.fits = all.into_par_iter().map(|f| sparse(&frames[f], &refs, self.course[f], &self.hints(f))).collect();
    }

    /// Gains of other frames than those the lights were found in, with the ambient's course in them.
    pub fn measure(&mut self, frames: &[Small], course: Vec<f32>) {
        self.course = course;
        self.fits.clear();
        self.fit(frames);
    }

    /// Gains to start from: what the frame itself and those beside it were found to have.
    fn hints(&self, f: usize) -> Vec<Vec<f32>> {
        let near = [Some(f), f.checked_sub(1), Some(f + 1)];
        let found = near.into_iter().flatten().filter_map(|g| self.fits.get(g));
        found.filter(|fit| fit.gain.len() == self.atoms.len()).map(|fit| fit.gain.clone()).collect()
    }

    /// Fits frame `f` afresh from what the frame before it had, with one light switched off, halved or doubled.
    pub fn reconsider(&mut self, frames: &[Small], f: usize) {
        let Some(before) = f.checked_sub(1).map(|g| self.fits[g].gain.clone()) else { return };
        let mut hints = self.hints(f);
        for light in 0..self.lights() {
            for times in [0.0, 0.5, 2.0] {
                let mut gain = before.clone();
                gain[light] *= times;
                hints.push(gain);
            }
        }
        let fit = sparse(&frames[f], &self.refs(), self.course[f], &hints);
        if fit.cost < self.fits[f].cost {
            self.fits[f] = fit;
        }
    }

    /// What frame `f` has with one more light.
    pub fn with(&self, frames: &[Small], atom: &Atom, f: usize) -> SmallFit {
        let mut refs = self.refs();
        refs.insert(self.lights(), atom);
        sparse(&frames[f], &refs, self.course[f], &[])
    }

    /// Takes a light in.
    pub fn add(&mut self, frames: &[Small], atom: Atom) {
        self.atoms.insert(self.atoms.len() - 1, atom);
        self.fit(frames);
    }

    /// Lets a light go.
    pub fn remove(&mut self, frames: &[Small], light: usize) {
        self.atoms.remove(light);
        self.fit(frames);
    }

    /// Sum of the errors of the first frames.
    fn cost(&self, until: usize) -> f32 {
        self.fits.iter().take(until).map(|f| f.cost).sum()
    }

    /// Pictures from gains in the first `until` frames, then gains from pictures: later frames may have lights that are
    /// not known yet, and would lend them to those that are.
    pub fn refine(&mut self, frames: &[Small], until: usize) {
        let (before, cost) = (self.clone(), self.cost(until));
        self.renew(frames, until);
        self.fit(frames);
        if self.cost(until) > cost {
            *self = before;
        }
    }

    fn renew(&mut self, frames: &[Small], until: usize) {
        let n = self.atoms.len();
        let places = self.atoms.first().map_or(0, Vec::len);
        let trust: Vec<f32> = (0..frames.len())
            .map(|f| {
                let excess = self.excess(frames, f);
                1.0 / (1.0 + excess.more + excess.less)
            })
            .collect();
        let columns: Vec<Vec<f32>> = (0..places)
            .into_par_iter()
            .map(|i| {
                let mut normal = Normal::new(n);
                let mut told = vec![false; n];
                let mut row = vec![0.0; n];
                for ((frame, fit), trust) in frames.iter().zip(&self.fits).zip(&trust).take(until) {
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
                        let rest = if sum.is_nan() { 0.0 } else { frame.light[i] - sum };
                        let weight = trust * frame.weight[i] / (1.0 + rest * rest * frame.weight[i] / TOLD);
                        normal.add(&row, f64::from(frame.light[i]), f64::from(weight));
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
    }
}

/// A fit with as few lights as serve; `hints` are gains to start from beside none.
pub fn sparse(frame: &Small, atoms: &[&Atom], course: f32, hints: &[Vec<f32>]) -> SmallFit {
    let n = atoms.len();
    let afresh = frame.fit(atoms, course, None);
    let tries = hints.iter().map(|hint| frame.fit(atoms, course, Some(hint)));
    let full = tries.fold(afresh, |best, fit| if fit.cost < best.cost { fit } else { best });
    let mut kept: Vec<usize> = (0..n).filter(|&k| k + 1 == n || full.gain[k] > 0.0).collect();
    let mut best = SmallFit { gain: kept.iter().map(|&k| full.gain[k]).collect(), cost: full.cost };
    loop {
        let tries = (0..kept.len() - 1).map(|out| {
            let left: Vec<usize> = kept.iter().enumerate().filter(|(k, _)| *k != out).map(|(_, s)| *s).collect();
            let refs: Vec<&Atom> = left.iter().map(|&k| atoms[k]).collect();
            let start: Vec<f32> = left.iter().map(|&k| full.gain[k]).collect();
            let fit = frame.fit(&refs, course, Some(&start));
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
