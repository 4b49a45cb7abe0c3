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
/// Rounds of pictures and curve in turn.
const ROUNDS: usize = 4;

/// The curve, starting from `usual`; `usual` itself where no two frames tell.
pub fn curve(scene: &Scene, usual: &Curve) -> Curve {
    let mut curve = usual.clone();
    let frames = scene.frames(usual);
    let groups = groups(scene, &frames);
    if std::env::var("TRACE").is_ok() { eprintln!("groups {groups:?}\nlaid {:?}", scene.laid.iter().map(|l| u8::from(*l)).collect::<Vec<_>>()); }
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
            if groups.iter().any(|x| x.frames.contains(&g)) {
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
        let scatter = scatter(&frames[f], &frames[g], lasts, stops)?;
        (stops >= APART && scatter < SCATTER).then_some((scatter, lasts))
    };
    if std::env::var("PAIRS").is_ok() { eprintln!("pair {f} {g} flash {flash:.1} lasting {lasting:.1}"); }
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
    tiles.sort_by(|p, q| p.0.total_cmp(&q.0));
    if std::env::var("PAIRS").is_ok() {
        let t: Vec<String> = tiles.chunks(tiles.len().div_ceil(LEVELS)).map(|l| { let mut r: Vec<f64> = l.iter().map(|t| t.1).collect(); let m = fit::median(&mut r); let mut d: Vec<f64> = r.iter().map(|v| (v-m).abs()).collect(); d.sort_by(f64::total_cmp); format!("{m:+.2}±{:.2}", d[d.len()*3/4]) }).collect();
        eprintln!("  lasts {lasts} stops {stops:.1} n {} {}", tiles.len(), t.join(" "));
    }
    let mut scatter = Vec::new();
    for level in tiles.chunks(tiles.len().div_ceil(LEVELS)) {
        let mut ratios: Vec<f64> = level.iter().map(|t| t.1).collect();
        let middle = fit::median(&mut ratios);
        if middle.abs() > OFF * stops {
            return None;
        }
        scatter.extend(level.iter().map(|t| (t.1 - middle).abs()));
    }
    scatter.sort_by(f64::total_cmp);
    scatter.get(scatter.len() * 3 / 4).copied()
}
