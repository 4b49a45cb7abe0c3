//! The tone curve from frames that show the same light at other exposures: what aperture, ISO and, for ambient light,
//! the shutter did is known, so what the picture did tells the curve. Nothing needs to be known of the lights.

use super::curve::Curve;
use super::fit::{self, Fit};
use super::patterns::Mix;
use super::response;
use super::scene::{Frame, Scene};

/// Frames at most this far apart are compared: later the ambient is another.
const NEAR: usize = 10;
/// Exposures must differ by this many stops to tell anything.
const APART: f64 = 0.6;
/// Of what the settings did, the usual curve may be off by this share, no more: else something else changed as well.
const OFF: f64 = 0.5;
/// What is not a matter of the curve alone may scatter by so much, in stops.
const SCATTER: f64 = 0.18;
/// Levels at which the curve's error is looked at.
const LEVELS: usize = 8;
/// So many lights at several exposures tell the curve.
const ENOUGH: usize = 8;
/// Rounds of pictures and curve in turn.
const ROUNDS: usize = 4;

/// The curve, starting from `usual`; `usual` itself where no two frames tell.
pub fn curve(scene: &Scene, usual: &Curve) -> Curve {
    let mut curve = usual.clone();
    let frames = scene.frames(usual);
    let groups = groups(scene, &frames);
    if groups.is_empty() {
        return curve;
    }
    let mixes: Vec<Mix> = (0..frames.len())
        .map(|f| {
            let of = |g: &Group| if g.frames.contains(&f) { 1.0 } else { 0.0 };
            let gain: Vec<f64> = groups.iter().map(of).collect();
            let colour = groups.iter().map(|g| [if g.lasting { frames[f].shutter } else { 1.0 }; 3]).collect();
            Mix { trust: if gain.iter().sum::<f64>() > 0.0 { 1.0 } else { 0.0 }, gain, colour }
        })
        .collect();
    let fits = vec![Fit { weight: vec![1.0; scene.plane.len()], ..Fit::default() }; frames.len()];
    for _ in 0..ROUNDS {
        let frames = scene.frames(&curve);
        let pictures = super::patterns::update(&frames, &mixes, &[], scene.plane, groups.len());
        curve = response::estimate(scene, &mixes, &fits, &pictures, &curve);
    }
    curve
}

/// Frames of the same light.
#[derive(Clone, Debug)]
struct Group {
    frames: Vec<usize>,
    /// Whether it is light that lasts (the shutter counts) or flash.
    lasting: bool,
}

fn groups(scene: &Scene, frames: &[Frame]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for f in 0..frames.len() {
        for g in f + 1..frames.len().min(f + NEAR) {
            // Every frame shows one light: it is in one group.
            if groups.len() >= ENOUGH || groups.iter().any(|x| x.frames.contains(&g)) {
                continue;
            }
            let Some(lasting) = same_light(scene, frames, f, g) else { continue };
            let alike = |k: usize| !apart(scene, k, g) || same_light(scene, frames, k, g) == Some(lasting);
            match groups.iter_mut().find(|x| x.frames.contains(&f)) {
                Some(group) if group.lasting == lasting && group.frames.iter().all(|&k| alike(k)) => {
                    group.frames.push(g);
                }
                Some(_) => {}
                None => groups.push(Group { frames: vec![f, g], lasting }),
            }
        }
    }
    groups
}

/// Whether the settings of two frames differ by enough to tell anything.
fn apart(scene: &Scene, f: usize, g: usize) -> bool {
    let (a, b) = (&scene.views[f], &scene.views[g]);
    (a.ambient_stops - b.ambient_stops).abs() >= APART || (a.flash_stops - b.flash_stops).abs() >= APART
}

/// Whether two frames show the same light but for the exposure: their tiles' ratio is a matter of how bright they are,
/// and nearly what the settings say. Tells whether it is light that lasts; None where it is not the same light.
fn same_light(scene: &Scene, frames: &[Frame], f: usize, g: usize) -> Option<bool> {
    let (a, b) = (&scene.views[f], &scene.views[g]);
    let flash = (a.flash_stops - b.flash_stops).abs();
    let lasting = (a.ambient_stops - b.ambient_stops).abs();
    let shutter = (a.shutter_stops - b.shutter_stops).abs() > 0.1;
    let test = |lasts: bool, stops: f64| -> Option<(f64, bool)> {
        let scatter = if stops < APART { None } else { scatter(&frames[f], &frames[g], lasts, stops) };
        scatter.filter(|s| *s < SCATTER).map(|s| (s, lasts))
    };
    let tries = [test(true, lasting), if shutter { test(false, flash) } else { None }];
    tries.into_iter().flatten().min_by(|a, b| a.0.total_cmp(&b.0)).map(|t| t.1)
}

/// How far the ratio of two frames' light wanders, in stops, among tiles of one brightness; None where its size cannot
/// be the curve's doing alone.
fn scatter(a: &Frame, b: &Frame, lasts: bool, stops: f64) -> Option<f64> {
    let by = if lasts { libm::log2(a.shutter / b.shutter) } else { 0.0 };
    let mut tiles: Vec<(f64, f64)> = Vec::new();
    for i in 0..a.light.len() {
        for c in 0..3 {
            let (x, y) = (f64::from(a.light[i][c]), f64::from(b.light[i][c]));
            let (vx, vy) = (f64::from(a.variance[i][c]), f64::from(b.variance[i][c]));
            if x > 0.0 && y > 0.0 && vx < 0.0036 * x * x && vy < 0.0036 * y * y {
                tiles.push((libm::log2(x), libm::log2(x / y) - by));
            }
        }
    }
    if tiles.len() * 8 < a.light.len() * 3 {
        return None;
    }
    let levels = levels(tiles);
    if levels.iter().any(|level| level.middle.abs() > OFF * stops) {
        return None;
    }
    let mut scatter: Vec<f64> = levels.into_iter().flat_map(|level| level.off).collect();
    scatter.sort_by(f64::total_cmp);
    scatter.get(scatter.len() * 3 / 4).copied()
}

/// Ratios of tiles of about one brightness.
pub struct Level {
    /// Their median, in stops.
    middle: f64,
    /// How far each is from it, in stops.
    pub off: Vec<f64>,
}

/// Pairs of brightness and ratio (stops), cut by brightness into levels: a tone curve moves a level as a whole, another
/// light moves its tiles apart.
pub fn levels(mut tiles: Vec<(f64, f64)>) -> Vec<Level> {
    tiles.sort_by(|p, q| p.0.total_cmp(&q.0));
    tiles
        .chunks(tiles.len().div_ceil(LEVELS).max(1))
        .map(|level| {
            let mut ratios: Vec<f64> = level.iter().map(|t| t.1).collect();
            let middle = fit::median(&mut ratios);
            Level { middle, off: level.iter().map(|t| (t.1 - middle).abs()).collect() }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::curve::BENDS;
    use super::super::pose::{Pose, Size};
    use super::super::view::View;
    use super::*;

    /// One wall from dark to bright, shot at these settings through a camera with this curve.
    fn scene(camera: &Curve, stops: &[f64], wall: impl Fn(usize, usize) -> f32) -> Scene {
        let plane = Size { columns: 48, rows: 32 };
        let view = |(shot, stops): (usize, &f64)| View {
            shot,
            size: (plane.columns, plane.rows),
            code: (0..plane.len()).map(|i| [camera.code(wall(shot, i) * libm::exp2(*stops) as f32); 3]).collect(),
            flash_stops: *stops,
            ambient_stops: *stops,
            shutter_stops: 6.0,
            focal: Some(50.0),
            seconds: 20.0 * shot as f64,
        };
        let views: Vec<View> = stops.iter().enumerate().map(view).collect();
        Scene { plane, poses: vec![Pose::at(1.0); views.len()], laid: vec![true; views.len()], views }
    }

    fn even(_: usize, i: usize) -> f32 {
        0.03 * libm::exp2f(4.0 * (i % 48) as f32 / 47.0)
    }

    #[test]
    fn two_exposures_of_one_light_tell_a_curve_that_is_not_the_usual_one() {
        let mut bends = [0.0; BENDS];
        (bends[2], bends[5], bends[6]) = (-0.5, 0.5, 0.9);
        let camera = Curve::bent(bends);
        let scene = scene(&camera, &[0.0, -2.0], even);
        let usual = response::usual();
        let found = curve(&scene, &usual);
        // The picture's change must be the two stops that the settings made.
        let off = |curve: &Curve| {
            let mut off: Vec<f64> = (0..scene.plane.len())
                .map(|i| {
                    let light = |f: usize| f64::from(curve.light(scene.views[f].code[i][1]));
                    (libm::log2(light(0) / light(1)) - 2.0).abs()
                })
                .collect();
            fit::median(&mut off)
        };
        assert!(off(&usual) > 0.1, "{}", off(&usual));
        assert!(off(&found) < 0.03, "{}", off(&found));
    }

    #[test]
    fn another_light_at_another_exposure_tells_nothing() {
        let usual = response::usual();
        let other = |shot: usize, i: usize| if shot == 0 { even(0, i) } else { even(0, 47 - i % 48) };
        assert_eq!(curve(&scene(&usual, &[0.0, -2.0], other), &usual).bends, usual.bends);
        // Upper half and lower half, as much more as less of it at each brightness: the settings' two stops in the middle.
        let patchy = |shot: usize, i: usize| {
            let moved = if i / 48 < 16 { 1.5 } else { 1.0 / 1.5 };
            even(0, i) * if shot == 0 { 1.0 } else { moved }
        };
        assert_eq!(curve(&scene(&usual, &[0.0, -2.0], patchy), &usual).bends, usual.bends);
        // Powers that follow the aperture leave the picture as it was: no ruler either.
        let followed = |shot: usize, i: usize| even(0, i) * if shot == 0 { 1.0 } else { 4.0 };
        assert_eq!(curve(&scene(&usual, &[0.0, -2.0], followed), &usual).bends, usual.bends);
    }
}
