//! The account of a scene: pictures and gains of all sources, found in turn from each other until they agree.

use rayon::prelude::*;

use super::curve::Curve;
use super::fit::{self, Column, Fit, Pattern};
use super::patterns::{self, Mix};
use super::plan::{Ask, Plan};
use super::pose::Size;
use super::scene::{Frame, Scene};
use super::{course, judge, response, settle};
use crate::light::Told;

/// A gain this many times off its note, either way, is no matter of a curve.
const FAR: f64 = 3.0;
/// Once the curve is about right, so many times are none either: over half a stop.
const OFF: f64 = 1.5;

/// Colours of a source's gels against its first one.
pub type Colours = Vec<[f64; 3]>;

/// All that was found.
#[derive(Clone, Debug)]
pub struct Account {
    /// The scene, its poses refined.
    pub scene: Scene,
    /// Frames under the tone curve found.
    pub frames: Vec<Frame>,
    /// The tone curve.
    pub curve: Curve,
    /// One picture per source, then the ambient's.
    pub patterns: Vec<Pattern>,
    /// Colours of each source's gels.
    pub colours: Vec<Colours>,
    /// Gains as they went into the pictures.
    pub mixes: Vec<Mix>,
    /// The last fit of each frame, with one entry per source and the ambient.
    pub fits: Vec<Fit>,
    /// The ambient's course: expected gain of each frame.
    pub course: Vec<f64>,
}

/// How the account is made; for showing what each part of it is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Method {
    /// Whether frames are laid over each other by what they show; else each is taken to lie as the camera stood.
    pub registration: bool,
    /// Whether the tone curve is estimated.
    pub curve: bool,
    /// Whether pictures and gains are found jointly, in several rounds.
    pub joint: bool,
}

impl Default for Method {
    fn default() -> Self {
        Self { registration: true, curve: true, joint: true }
    }
}

impl Account {
    /// Solves a plan on a scene, starting from the given gains.
    pub fn solve(scene: Scene, plan: &Plan, start: Vec<Mix>, curve: Curve, method: Method) -> Self {
        let frames = scene.frames(&curve);
        let colours = plan.sources.iter().map(|s| vec![[1.0; 3]; s.gels.len()]).collect();
        let course = vec![1.0; frames.len()];
        let mut account =
            Self { scene, frames, curve, patterns: Vec::new(), colours, mixes: start, fits: Vec::new(), course };
        account.share_trust(plan);
        account.first_pictures(plan);
        if method.curve && method.joint && !plan.is_open() {
            // The noted levels are the best ruler there is: the curve comes before any gain is doubted.
            for round in 0..5 {
                account.fit(plan);
                account.doubt(plan, if round < 2 { FAR } else { OFF });
                account.ambient_by_dark(plan);
                account.colours(plan);
                account.settle(method);
                account.bend();
                account.pictures();
            }
        }
        let rounds = if method.joint { 6 } else { 1 };
        for round in 0..rounds {
            account.fit(plan);
            account.rescale(plan);
            account.colours(plan);
            account.course();
            account.mix(plan);
            if round < 4 {
                account.settle(method);
                account.frames = account.scene.frames(&account.curve);
            }
            if method.curve && (round == 1 || round == 3) {
                account.bend();
            }
            if method.joint {
                account.pictures();
            }
        }
        account.fit(plan);
        account
    }

    /// The grid.
    pub fn plane(&self) -> Size {
        self.scene.plane
    }

    /// The fewer lights burn in a frame, the plainer what it says of them: a long series with all lights on, in which
    /// nothing is taken apart, must not outvote the few frames that show a light alone.
    fn share_trust(&mut self, plan: &Plan) {
        for (mix, asks) in self.mixes.iter_mut().zip(&plan.asks) {
            mix.trust = 1.0 / (may_burn(asks).len().max(1) as f64).sqrt();
        }
    }

    /// Pictures from the first gains; each gel first as a source of its own, then as a colour on its source's picture.
    fn first_pictures(&mut self, plan: &Plan) {
        let gels: Vec<(usize, usize)> = plan
            .sources
            .iter()
            .enumerate()
            .flat_map(|(s, source)| (0..source.gels.len()).map(move |g| (s, g)))
            .collect();
        let mixes: Vec<Mix> = self
            .mixes
            .iter()
            .zip(&plan.asks)
            .map(|(mix, asks)| {
                let gain = |&(s, g): &(usize, usize)| if asks[s].gel == g { mix.gain[s] } else { 0.0 };
                let ambient = plan.sources.len();
                let gain = gels.iter().map(gain).chain([mix.gain[ambient]]).collect();
                let colour = vec![[1.0; 3]; gels.len()].into_iter().chain([mix.colour[ambient]]).collect();
                Mix { gain, colour, trust: mix.trust }
            })
            .collect();
        let parts = patterns::update(&self.frames, &mixes, &[], self.plane(), gels.len() + 1);
        for (k, &(s, g)) in gels.iter().enumerate() {
            if g > 0 {
                let first = gels.iter().position(|&x| x == (s, 0)).map_or(&parts[k], |p| &parts[p]);
                self.colours[s][g] = ratio(&parts[k], first);
            }
        }
        self.set_colours(plan);
        self.pictures();
    }

    fn set_colours(&mut self, plan: &Plan) {
        for (mix, asks) in self.mixes.iter_mut().zip(&plan.asks) {
            for (s, ask) in asks.iter().enumerate() {
                mix.colour[s] = self.colours[s][ask.gel];
            }
        }
    }

    /// Noted levels, but where a picture has nothing of a light or far more of it: a flash that failed must not be held
    /// against the pictures of those that burned.
    fn doubt(&mut self, plan: &Plan, times: f64) {
        for ((mix, fit), asks) in self.mixes.iter_mut().zip(&self.fits).zip(&plan.asks) {
            for (s, ask) in asks.iter().enumerate().filter(|(_, a)| a.on == Told::Yes) {
                let level = ask.level.unwrap_or(1.0);
                let (low, high) = (fit.gain[s] - judge::NINETY * fit.sd[s], fit.gain[s] + judge::NINETY * fit.sd[s]);
                let far = high < level / times || low > level * times;
                mix.gain[s] = if far { fit.gain[s] } else { level };
            }
        }
    }

    fn settle(&mut self, method: Method) {
        if method.registration {
            settle::settle(&mut self.scene, &self.frames, &self.patterns, &self.mixes);
        }
    }

    fn bend(&mut self) {
        self.curve = response::estimate(&self.scene, &self.mixes, &self.fits, &self.patterns, &self.curve);
        self.frames = self.scene.frames(&self.curve);
    }

    fn pictures(&mut self) {
        self.patterns = patterns::update(
            &self.frames,
            &self.mixes,
            &self.fits,
            self.plane(),
            self.mixes.first().map_or(1, |m| m.gain.len()),
        );
    }

    /// Fits every frame with the sources it may hold.
    fn fit(&mut self, plan: &Plan) {
        self.fits = (0..self.frames.len())
            .into_par_iter()
            .map(|f| self.fit_with(f, &may_burn(&plan.asks[f]), &plan.asks[f]))
            .collect();
    }

    /// Fits one frame with the given sources (and ambient); answers carry one entry per source, 0 for those left out.
    pub fn fit_with(&self, f: usize, sources: &[usize], asks: &[Ask]) -> Fit {
        let ambient = self.patterns.len() - 1;
        let list: Vec<usize> = sources.iter().copied().chain([ambient]).collect();
        let columns: Vec<Column> = list
            .iter()
            .map(|&s| Column {
                pattern: &self.patterns[s],
                colour: self.mixes[f].colour[s],
                // The ambient changes slowly; without this it would take what a tone curve or a sitter leaves over.
                prior: (s == ambient).then(|| (self.course[f], 0.25 * self.course[f])),
                likely: asks.get(s).and_then(|a| if a.on == Told::No { Some(0.0) } else { a.level }),
            })
            .collect();
        let found = fit::fit(&self.frames[f], &columns, self.plane());
        let mut full = Fit {
            gain: vec![0.0; ambient + 1],
            sd: vec![0.0; ambient + 1],
            needed: vec![0.0; ambient + 1],
            ..found.clone()
        };
        for (k, &s) in list.iter().enumerate() {
            (full.gain[s], full.sd[s], full.needed[s]) = (found.gain[k], found.sd[k], found.needed[k]);
        }
        full
    }

    /// Brings each source back to the scale of its notes: what its gains have in common belongs to its picture.
    fn rescale(&mut self, plan: &Plan) {
        for s in 0..plan.sources.len() {
            let against = |(fit, asks): (&Fit, &Vec<Ask>)| {
                let level = asks[s].level.filter(|_| fit.gain[s] > 3.0 * fit.sd[s])?;
                Some(libm::log2(fit.gain[s] / level))
            };
            let mut offsets: Vec<f64> = self.fits.iter().zip(&plan.asks).filter_map(against).collect();
            if offsets.is_empty() {
                continue;
            }
            let factor = libm::exp2(fit::median(&mut offsets));
            for fit in &mut self.fits {
                fit.gain[s] /= factor;
                fit.sd[s] /= factor;
            }
            for tile in &mut self.patterns[s] {
                *tile = tile.map(|v| v * factor as f32);
            }
        }
    }

    /// Colours of gels, one step from what the fits leave over.
    fn colours(&mut self, plan: &Plan) {
        for s in 0..plan.sources.len() {
            for g in 1..plan.sources[s].gels.len() {
                let frames: Vec<usize> = (0..self.frames.len())
                    .filter(|&f| plan.asks[f][s].gel == g && self.fits[f].gain[s] > 0.0)
                    .collect();
                if let Some(step) = self.colour_step(s, &frames) {
                    for c in 0..3 {
                        self.colours[s][g][c] = (self.colours[s][g][c] * step[c]).clamp(0.003, 4.0);
                    }
                }
            }
        }
        self.set_colours(plan);
    }

    /// Factor per channel by which a source's colour should change in these frames so that least is left over.
    pub fn colour_step(&self, s: usize, frames: &[usize]) -> Option<[f64; 3]> {
        let (mut top, mut bottom) = ([0.0; 3], [1e-300; 3]);
        for &f in frames {
            let (fit, frame, mix) = (&self.fits[f], &self.frames[f], &self.mixes[f]);
            for i in 0..self.plane().len() {
                if fit.weight[i] <= 0.0 {
                    continue;
                }
                let veil = fit::veil_at(&fit.veil, self.plane(), i);
                for c in 0..3 {
                    let variance = frame.variance[i][c];
                    if variance.is_finite() {
                        let own = fit.gain[s] * mix.colour[s][c] * f64::from(self.patterns[s][i][c]);
                        let rest = f64::from(frame.light[i][c] - veil[c]) - self.sum(fit, mix, i, c);
                        let w = f64::from(fit.weight[i] / variance);
                        top[c] += w * own * rest;
                        bottom[c] += w * own * own;
                    }
                }
            }
        }
        let step: [f64; 3] = std::array::from_fn(|c| (1.0 + top[c] / bottom[c]).clamp(0.25, 4.0));
        (bottom[1] > 1e-200).then_some(step)
    }

    /// Light of all sources at a tile and channel.
    pub fn sum(&self, fit: &Fit, mix: &Mix, i: usize, c: usize) -> f64 {
        let parts = fit.gain.iter().zip(&mix.colour).zip(&self.patterns);
        parts.filter(|((g, _), _)| **g > 0.0).map(|((g, colour), p)| g * colour[c] * f64::from(p[i][c])).sum()
    }

    fn course(&mut self) {
        let seconds: Vec<f64> = self.scene.views.iter().map(|v| v.seconds).collect();
        let ambient = self.patterns.len() - 1;
        // Beside strong light the ambient is what that light's picture leaves over.
        let found: Vec<(f64, f64)> = (0..self.fits.len())
            .into_par_iter()
            .map(|f| {
                let (gain, sd) = (self.fits[f].gain[ambient], self.fits[f].sd[ambient]);
                (gain, judge::total(gain, sd, judge::part(self, &self.fits[f], f, ambient, gain), gain))
            })
            .collect();
        self.course = course::smooth(&seconds, &found);
    }

    /// The ambient's gains as the frames noted without any light have them, and between those by time: in a lit frame the
    /// ambient could trade with the light's own picture.
    fn ambient_by_dark(&mut self, plan: &Plan) {
        let ambient = self.patterns.len() - 1;
        let dark = |(fit, asks): (&Fit, &Vec<Ask>)| {
            let known = asks.iter().all(|a| a.on == Told::No) && fit.gain[ambient] > 4.0 * fit.sd[ambient];
            known.then(|| libm::log2(fit.gain[ambient]))
        };
        let dark: Vec<Option<f64>> = self.fits.iter().zip(&plan.asks).map(dark).collect();
        let seconds: Vec<f64> = self.scene.views.iter().map(|v| v.seconds).collect();
        self.course = course::between(&seconds, &dark);
        for (mix, gain) in self.mixes.iter_mut().zip(&self.course) {
            mix.gain[ambient] = *gain;
        }
    }

    /// Gains for the next pictures: the fit's, drawn to the note where both nearly agree.
    fn mix(&mut self, plan: &Plan) {
        let ambient = self.patterns.len() - 1;
        for (f, (fit, mix)) in self.fits.iter().zip(&mut self.mixes).enumerate() {
            for (s, ask) in plan.asks[f].iter().enumerate() {
                mix.gain[s] = drawn(fit.gain[s], fit.sd[s], ask);
            }
            mix.gain[ambient] =
                drawn(fit.gain[ambient], fit.sd[ambient], &Ask { on: Told::Yes, level: Some(self.course[f]), gel: 0 });
            if fit.misfit.is_nan() {
                mix.trust = 0.0;
            }
        }
    }
}

/// The sources that may burn by the notes.
pub fn may_burn(asks: &[Ask]) -> Vec<usize> {
    asks.iter().enumerate().filter(|(_, a)| a.on != Told::No).map(|(s, _)| s).collect()
}

/// A noted level is usually exact: a fit near it is drawn to it, so that many frames share one scale; a fit far from it
/// stands, for then the note is wrong or the flash was short.
fn drawn(gain: f64, sd: f64, ask: &Ask) -> f64 {
    let Some(level) = ask.level else { return gain };
    if gain <= 0.0 {
        return 0.0;
    }
    let (off, se) = (libm::log2(gain / level), sd / gain * std::f64::consts::LOG2_E);
    if off.abs() > f64::max(0.2, 2.0 * se).min(0.6) {
        return gain;
    }
    let (of_note, of_fit) = (1.0 / (0.06 * 0.06), 1.0 / (se * se + 0.03 * 0.03));
    level * libm::exp2(off * of_fit / (of_fit + of_note))
}

/// Channel ratios of two pictures of one light, by least squares over the tiles both know.
fn ratio(part: &Pattern, whole: &Pattern) -> [f64; 3] {
    std::array::from_fn(|c| {
        let known = part.iter().zip(whole).filter(|(a, b)| !a[c].is_nan() && !b[c].is_nan());
        let (top, bottom) = known.fold((0.0, 0.0), |(t, b), (p, w)| {
            let (p, w) = (f64::from(p[c]), f64::from(w[c]));
            (t + p * w, b + w * w)
        });
        if bottom > 0.0 { (top / bottom).clamp(0.003, 4.0) } else { 1.0 }
    })
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::plan::Source;
    use super::super::pose::Pose;
    use super::super::view::View;
    use super::*;
    use Told::Yes;

    /// A plan and an account before any answer: two tiles, the notes' asks frame by frame, every pattern 1 at both tiles,
    /// frames 300 s apart with no light in them.
    pub fn unsolved(asks: Vec<Vec<Ask>>) -> (Account, Plan) {
        let (sources, frames) = (asks[0].len(), asks.len());
        let plane = Size { columns: 2, rows: 1 };
        let view = |shot: usize| View {
            shot,
            size: (2, 1),
            code: vec![[0.5; 3]; 2],
            flash_stops: 0.0,
            ambient_stops: 0.0,
            shutter_stops: 0.0,
            focal: None,
            seconds: 300.0 * shot as f64,
        };
        let mix = Mix { gain: vec![0.0; sources + 1], colour: vec![[1.0; 3]; sources + 1], trust: 1.0 };
        let fit = Fit {
            gain: vec![0.0; sources + 1],
            sd: vec![0.01; sources + 1],
            needed: vec![0.0; sources + 1],
            ..Fit::default()
        };
        let frame = Frame { light: vec![[0.0; 3]; 2], variance: vec![[1e-4; 3]; 2], shutter: 1.0 };
        let account = Account {
            scene: Scene {
                plane,
                views: (0..frames).map(view).collect(),
                poses: vec![Pose::at(1.0); frames],
                laid: vec![true; frames],
            },
            frames: vec![frame; frames],
            curve: Curve::own(),
            patterns: vec![vec![[1.0; 3]; 2]; sources + 1],
            colours: vec![vec![[1.0; 3]]; sources],
            mixes: vec![mix; frames],
            fits: vec![fit; frames],
            course: vec![1.0; frames],
        };
        let source = |light| Source { light, modifier: String::new(), gels: vec![String::new()] };
        let plan = Plan { sources: (0..sources).map(source).collect(), asks, top: vec![None; sources] };
        (account, plan)
    }

    /// A light set on at a level.
    pub fn at(level: f64) -> Ask {
        Ask { on: Yes, level: Some(level), gel: 0 }
    }

    #[test]
    fn a_note_stands_in_for_the_picture_unless_the_picture_is_surely_far_from_it() {
        let (mut account, plan) = unsolved(vec![vec![at(0.6), Ask { on: Yes, level: None, gel: 0 }, Ask::OFF]]);
        // Fitted gain, its deviation, how far off is far, and the gain that goes into the pictures.
        let cases = [
            (0.1, 0.01, 3.0, 0.1),
            (0.1, 0.2, 3.0, 0.6),
            (0.3, 0.01, 3.0, 0.6),
            (0.3, 0.01, 1.5, 0.3),
            (1.0, 0.01, 3.0, 0.6),
            (1.0, 0.01, 1.5, 1.0),
            (1.0, 0.1, 1.5, 0.6),
        ];
        for (gain, sd, times, wanted) in cases {
            (account.fits[0].gain[0], account.fits[0].sd[0]) = (gain, sd);
            account.fits[0].gain[1] = 0.9;
            account.fits[0].gain[2] = 0.8;
            account.doubt(&plan, times);
            assert_eq!(account.mixes[0].gain[..3], [wanted, 1.0, 0.0], "{gain} give or take {sd}, {times} times");
        }
    }

    #[test]
    fn the_ambient_goes_between_the_frames_noted_dark_by_time_whatever_lit_frames_give() {
        let (mut account, plan) =
            unsolved(vec![vec![Ask::OFF], vec![at(1.0)], vec![Ask::OFF], vec![Ask::OFF], vec![at(1.0)]]);
        // Two stops less after 900 s; the third frame is dark as well, but shows too little to say anything.
        for (fit, (gain, sd)) in
            account.fits.iter_mut().zip([(0.8, 0.01), (3.0, 0.01), (5.0, 2.0), (0.2, 0.01), (3.0, 0.01)])
        {
            (fit.gain[1], fit.sd[1]) = (gain, sd);
        }
        account.ambient_by_dark(&plan);
        for (f, stops) in [0.0, -2.0 / 3.0, -4.0 / 3.0, -2.0, -2.0].into_iter().enumerate() {
            assert!((libm::log2(account.course[f]) - stops).abs() < 1e-12, "{f}: {:?}", account.course);
            assert_eq!(account.mixes[f].gain[1], account.course[f]);
        }
    }
}
