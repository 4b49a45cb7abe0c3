//! The frames of one camera brought onto a common plane, so that tile by tile they show the same piece of the world.

use rayon::prelude::*;

use super::curve::Curve;
use super::pose::{self, Pose, Size};
use super::register::{self, NO_MATCH, Texture};
use super::view::View;

/// Expected error of a tile as a share of its light: what poses, shading and the camera never get quite the same.
const OWN: f32 = 0.02;
/// As a share of the spread of light around it: what a fraction of a tile of misplacement does.
const SPREAD: f32 = 0.08;
/// In code values (0..1): rounding, noise and JPEG, which weigh most in the dark.
const CODE: f32 = 0.35 / 255.0;

/// Another framing is laid over the main one from this correlation on.
const FAR_MATCH: f32 = 0.35;
/// Frames of one framing agree on a place within so many tiles.
const STILL: f32 = 2.5;

/// Views with their place on a plane.
#[derive(Clone, Debug)]
pub struct Scene {
    /// The plane's grid.
    pub plane: Size,
    /// The views, in shooting order.
    pub views: Vec<View>,
    /// Where each lies.
    pub poses: Vec<Pose>,
    /// Whether each could be laid over others by its texture (else it is taken to lie as the camera stood).
    pub laid: Vec<bool>,
}

/// One frame on the plane: linear light with aperture and ISO taken out.
#[derive(Clone, Debug)]
pub struct Frame {
    /// Light of each tile and channel; NaN where not known.
    pub light: Vec<[f32; 3]>,
    /// Variance of its expected error.
    pub variance: Vec<[f32; 3]>,
    /// What the shutter makes of ambient light: 1 for one second.
    pub shutter: f64,
}

/// Lays the views over each other; without `registration` as the camera stood, whatever they show. Those that cannot be
/// laid over the others come back as the second part.
pub fn lay(views: Vec<View>, registration: bool) -> (Option<Scene>, Vec<View>) {
    let Some(main) = main_group(&views) else { return (None, views) };
    let (plane, focal) = (Size { columns: main.0.0, rows: main.0.1 }, main.1);
    if !registration {
        let here = |view: &View| view.size == main.0 && view.focal == focal;
        let (views, rest): (Vec<View>, Vec<View>) = views.into_iter().partition(here);
        let (poses, laid) = (vec![Pose::at(1.0); views.len()], vec![true; views.len()]);
        return (Some(Scene { plane, views, poses, laid }), rest);
    }
    let own = Curve::own();
    let textures: Vec<Texture> = views
        .par_iter()
        .map(|view| {
            let light: Vec<[f32; 3]> = view.code.iter().map(|c| c.map(|z| own.light(z))).collect();
            let light = light
                .iter()
                .zip(&view.code)
                .map(|(l, z)| std::array::from_fn(|c| if z[c].is_nan() { f32::NAN } else { l[c] }));
            Texture::of(&light.collect::<Vec<_>>(), Size { columns: view.size.0, rows: view.size.1 }, 0.002)
        })
        .collect();
    let same = |view: &View| view.size == (plane.columns, plane.rows) && view.focal == focal;
    let strength = |i: usize| textures[i].field.iter().map(|t| f64::from(t * t)).sum::<f64>();
    let anchor = (0..views.len()).filter(|&i| same(&views[i])).max_by(|&a, &b| strength(a).total_cmp(&strength(b)));
    let Some(anchor) = anchor else { return (None, views) };
    // Every frame is laid over the anchor; those that match it poorly are laid over their neighbours that did well.
    let place = |i: usize, on: usize, on_pose: Pose| {
        let scale = match (views[i].focal, focal) {
            (Some(own), Some(main)) => (own / main) as f32,
            _ => 1.0,
        };
        let far = !same(&views[i]);
        let onto = on_plane(&textures[on], plane, &on_pose);
        register::align(&onto, &textures[i], Pose::at(scale), far)
    };
    let first: Vec<(Pose, f32)> = (0..views.len())
        .into_par_iter()
        .map(|i| if i == anchor { (Pose::at(1.0), 1.0) } else { place(i, anchor, Pose::at(1.0)) })
        .collect();
    let mut best = first.clone();
    let retried: Vec<(usize, (Pose, f32))> = (0..views.len())
        .into_par_iter()
        .filter(|&i| first[i].1 < 0.6)
        .filter_map(|i| {
            let near = |j: usize| j.abs_diff(i);
            let mut good: Vec<usize> =
                (0..views.len()).filter(|&j| j != i && first[j].1 >= 0.6 && near(j) <= 8).collect();
            good.sort_by_key(|&j| (near(j), j));
            let tries = good.into_iter().take(2).map(|j| place(i, j, first[j].0));
            tries.max_by(|a, b| a.1.total_cmp(&b.1)).map(|found| (i, found))
        })
        .collect();
    for (i, found) in retried {
        if found.1 > best[i].1 {
            best[i] = found;
        }
    }
    stand_still(&views, &same, &mut best);
    let (mut scene, mut rest) = (Scene { plane, views: Vec::new(), poses: Vec::new(), laid: Vec::new() }, Vec::new());
    for (view, (pose, match_)) in views.into_iter().zip(best) {
        let (here, laid) = (same(&view), match_ >= NO_MATCH);
        if here || match_ >= FAR_MATCH {
            scene.poses.push(if laid { pose } else { Pose::at(1.0) });
            scene.laid.push(laid);
            scene.views.push(view);
        } else {
            rest.push(view);
        }
    }
    (Some(scene), rest)
}

/// Through another lens the camera may still stand where it stood: where the surest frames of a framing agree on a place,
/// the others of that framing lie there too.
fn stand_still(views: &[View], main: &dyn Fn(&View) -> bool, best: &mut [(Pose, f32)]) {
    for i in 0..views.len() {
        if main(&views[i]) || best[i].1 >= FAR_MATCH {
            continue;
        }
        let alike = |j: &usize| views[*j].size == views[i].size && views[*j].focal == views[i].focal;
        let sure: Vec<Pose> =
            (0..views.len()).filter(alike).filter(|&j| best[j].1 >= FAR_MATCH).map(|j| best[j].0).collect();
        let Some(first) = sure.first() else { continue };
        let middle = |of: &dyn Fn(&Pose) -> f32| {
            let mut values: Vec<f64> = sure.iter().map(|p| f64::from(of(p))).collect();
            super::fit::median(&mut values) as f32
        };
        let shift = (middle(&|p| p.shift.0), middle(&|p| p.shift.1));
        let near = |p: &&Pose| (p.shift.0 - shift.0).abs() < STILL && (p.shift.1 - shift.1).abs() < STILL;
        if sure.len() >= 2 && sure.iter().filter(near).count() * 4 >= sure.len() * 3 {
            best[i] = (Pose { shift, turn: 0.0, scale: first.scale }, FAR_MATCH);
        }
    }
}

/// The framing most views share; the earlier of two equals.
fn main_group(views: &[View]) -> Option<((usize, usize), Option<f64>)> {
    let key = |view: &View| (view.size, view.focal);
    let count = |k| views.iter().filter(|v| key(v) == k).count();
    let most = views.iter().map(|v| count(key(v))).max()?;
    views.iter().map(key).find(|&k| count(k) == most)
}

/// A texture read at the plane's tiles.
fn on_plane(texture: &Texture, plane: Size, at: &Pose) -> Texture {
    let field = (0..plane.len())
        .map(|i| pose::sample(&texture.field, texture.size, at.place(plane.from_middle(i), texture.size)))
        .map(|s| s.map_or(f32::NAN, |s| s.0))
        .collect();
    Texture { size: plane, field }
}

impl Scene {
    /// The first views alone.
    pub fn first(&self, count: usize) -> Self {
        Self {
            plane: self.plane,
            views: self.views.iter().take(count).cloned().collect(),
            poses: self.poses.iter().take(count).copied().collect(),
            laid: self.laid.iter().take(count).copied().collect(),
        }
    }

    /// All frames under a tone curve.
    pub fn frames(&self, curve: &Curve) -> Vec<Frame> {
        (0..self.views.len()).into_par_iter().map(|i| self.frame(i, curve)).collect()
    }

    /// One frame under a tone curve.
    pub fn frame(&self, index: usize, curve: &Curve) -> Frame {
        let view = &self.views[index];
        let size = Size { columns: view.size.0, rows: view.size.1 };
        let linear: Vec<[f32; 3]> =
            view.code.iter().map(|tile| tile.map(|z| if z.is_nan() { f32::NAN } else { curve.light(z) })).collect();
        let noise: Vec<[f32; 3]> = view.code.iter().map(|tile| tile.map(|z| curve.slope(z) * CODE)).collect();
        let light = pose::read(&linear, size, self.plane, &self.poses[index]);
        let noise = pose::read(&noise, size, self.plane, &self.poses[index]);
        let gain = libm::exp2(-view.flash_stops) as f32;
        let variance = (0..self.plane.len())
            .map(|i| {
                let around = spread(&light, self.plane, i);
                std::array::from_fn(|c| {
                    let (own, spread, dark) = (OWN * light[i][c], SPREAD * around[c], noise[i][c]);
                    let variance = (own * own + spread * spread + dark * dark) * gain * gain;
                    if variance.is_nan() { f32::INFINITY } else { variance.max(1e-12) }
                })
            })
            .collect();
        let light = light.into_iter().map(|p| p.map(|v| v * gain)).collect();
        Frame { light, variance, shutter: libm::exp2(view.ambient_stops - view.flash_stops) }
    }

    /// Code values at the plane's tiles, for what is computed on the curve itself.
    pub fn codes(&self, index: usize) -> Vec<[f32; 3]> {
        let view = &self.views[index];
        let size = Size { columns: view.size.0, rows: view.size.1 };
        pose::read(&view.code, size, self.plane, &self.poses[index])
    }
}

/// Half the range of each channel's light among a tile and its neighbours.
fn spread(light: &[[f32; 3]], size: Size, index: usize) -> [f32; 3] {
    let (x, y) = (index % size.columns, index / size.columns);
    let (mut low, mut high) = ([f32::MAX; 3], [f32::MIN; 3]);
    for j in y.saturating_sub(1)..(y + 2).min(size.rows) {
        for i in x.saturating_sub(1)..(x + 2).min(size.columns) {
            let tile = light[j * size.columns + i];
            for c in 0..3 {
                // min and max pass over NaN.
                low[c] = low[c].min(tile[c]);
                high[c] = high[c].max(tile[c]);
            }
        }
    }
    std::array::from_fn(|c| if high[c] >= low[c] { (high[c] - low[c]) / 2.0 } else { 0.0 })
}
