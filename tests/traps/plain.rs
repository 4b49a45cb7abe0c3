//! Findings told from settings and single pictures.

use super::Trap;
use super::fields::Falls;
use super::shoot::{Befell, Shoot, USUAL};

/// A number that looks random, 0..1, the same for the same seed and place.
pub fn chance(seed: u64, place: u64) -> f64 {
    let mut h = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ place.wrapping_mul(0xC2B2_AE3D_27D4_EB4F);
    h = (h ^ (h >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    h = (h ^ (h >> 32)).wrapping_mul(0x94D0_49BB_1331_11EB);
    (h >> 11) as f64 / (1_u64 << 53) as f64
}

/// Between two ends.
pub fn between(seed: u64, place: u64, low: f64, high: f64) -> f64 {
    low + (high - low) * chance(seed, place)
}

/// Where key and rim are set up one by one: frames 0 to 5.
pub const BUILT: usize = 6;

/// The ambient twice, key alone twice, rim alone twice.
pub fn build(seed: u64) -> Shoot {
    let mut s = Shoot::new(
        between(seed, 1, 0.002, 0.004),
        &[
            ("key", Falls::Left, between(seed, 2, 0.45, 0.55)),
            ("rim", Falls::Edges, between(seed, 3, 0.16, 0.2)),
            ("dust-right", Falls::Right, between(seed, 4, 0.3, 0.4)),
        ],
    );
    s.by_hand = true;
    s.may_clip = true;
    s.shot(USUAL, &[]);
    s.shot(USUAL.time(30), &[]);
    for light in ["key", "rim"] {
        for power in [-3, -4] {
            s.shot(USUAL, &[(light, power)]);
        }
    }
    s
}

/// The same, and then so many frames with key and rim at one power.
pub fn evening(seed: u64, frames: usize) -> Shoot {
    let mut s = build(seed);
    for _ in 0..frames {
        s.shot(USUAL, &[("key", -3), ("rim", -3)]);
    }
    s
}

/// Bursts of three frames, two seconds apart, a minute between them.
pub fn bursts(seed: u64, count: usize) -> Shoot {
    let mut s = build(seed);
    for _ in 0..count {
        for frame in 0..3 {
            let second = s.shots.last().unwrap().second;
            s.shot(USUAL, &[("key", -3), ("rim", -3)]).second = second + if frame == 0 { 60.0 } else { 2.0 };
        }
    }
    s
}

fn iso(s: &mut Shoot, frame: usize, iso: u16) {
    s.shots[frame].settings = s.shots[frame].settings.iso(iso);
}

pub fn traps(seed: u64) -> Vec<Trap> {
    let at = BUILT + 2 + (chance(seed, 9) * 3.0) as usize;
    let mut all = Vec::new();

    let mut s = evening(seed, 8);
    iso(&mut s, at, 200);
    all.push(Trap::new("settings-slip", "one frame at ISO 200", s).at(at, ""));
    let mut s = evening(seed, 8);
    (at..s.shots.len()).for_each(|frame| iso(&mut s, frame, 200));
    all.push(Trap::new("settings-slip", "ISO 200 from here on", s));

    let mut s = evening(seed, 8);
    s.shots[at].exposed_by_camera = true;
    all.push(Trap::new("exposure-automatic", "one frame exposed by the camera", s).at(at, ""));
    let mut s = evening(seed, 8);
    s.shots.iter_mut().for_each(|shot| shot.exposed_by_camera = true);
    all.push(Trap::new("exposure-automatic", "no frame exposed by hand", s));

    let mut s = evening(seed, 8);
    for (frame, own) in (BUILT..).zip([140, 100, 220, 180, 110, 280]) {
        iso(&mut s, frame, own);
    }
    all.push(Trap::new("iso-automatic", "a wandering ISO", s).at(BUILT, "").beside(&["settings-slip"]));
    let mut s = evening(seed, 9);
    for (frame, own) in (BUILT..).zip([100, 100, 100, 200, 200, 200, 400, 400, 400]) {
        iso(&mut s, frame, own);
    }
    all.push(Trap::new("iso-automatic", "an ISO turned twice", s));

    let mut s = evening(seed, 8);
    s.automatic_white = true;
    all.push(Trap::new("white-balance-automatic", "white balance automatic", s).at(0, ""));
    all.push(Trap::new("white-balance-automatic", "white balance by hand", evening(seed, 8)));

    all.extend(veils(seed, at));
    all.extend(bands(seed));
    all.extend(soft(seed));
    all.extend(clipped(seed));
    all
}

fn veils(seed: u64, at: usize) -> [Trap; 3] {
    let more = between(seed, 11, 0.02, 0.04);
    let mut veiled = bursts(seed, 3);
    veiled.shots[at].befell = Befell::Veil(more);
    let mut cloud = bursts(seed, 3);
    cloud.shots[at].befell = Befell::Cloud(4.0 * more);
    let mut stronger = bursts(seed, 3);
    let key = stronger.light("key");
    stronger.shots[at].burns[key].real = Some(-2.9);
    [
        Trap::new("veil", "light over all of one frame", veiled).at(at, ""),
        Trap::new("veil", "a cloud of chalk on one side", cloud),
        Trap::new("veil", "a key a tenth of a stop stronger", stronger),
    ]
}

/// Frames at 1/500 among frames at 1/125, the sync speed being 1/250.
fn fast(seed: u64, befell: impl Fn(usize) -> Befell) -> Shoot {
    let mut s = evening(seed, 4);
    for frame in 0..3 {
        s.shot(USUAL.time(500), &[("key", -3), ("rim", -3)]).befell = befell(frame);
    }
    s
}

/// The same with no flash in a part of the height, from below.
pub fn banded(seed: u64, part: f64) -> Shoot {
    fast(seed, |_| Befell::Band(part))
}

fn bands(seed: u64) -> [Trap; 2] {
    let part = between(seed, 12, 0.08, 0.3);
    let banded = banded(seed, part);
    let first = banded.shots.len() - 3;
    [
        Trap::new("banding", "no flash at the bottom at 1/500", banded).at(first, ""),
        Trap::new("banding", "1/500 with a flash as long as the shutter's travel", fast(seed, |_| Befell::Nothing)),
    ]
}

fn soft(seed: u64) -> [Trap; 2] {
    let series = 1 + (chance(seed, 13) * 3.0) as usize;
    let first = BUILT + 3 * series;
    let mut out = bursts(seed, 5);
    out.shots[first..first + 3].iter_mut().for_each(|shot| shot.befell = Befell::Soft(2));
    let mut one = bursts(seed, 5);
    one.shots[first].befell = Befell::Soft(2);
    [
        Trap::new("soft-series", "a series out of focus", out).at(first, ""),
        Trap::new("soft-series", "one frame out of focus", one),
    ]
}

fn clipped(seed: u64) -> Vec<Trap> {
    // The key's side of the wall clips, the other side does not.
    let bright = |gel: usize| {
        let mut s = build(seed);
        for _ in 0..6 {
            let key = s.light("key");
            s.shot(USUAL, &[("key", 0)]).burns[key].gel = gel;
        }
        s
    };
    let beside: &[&str] = &["differs-from-note", "gel-cast"];
    vec![
        Trap::new("clipped-subject", "the sitter too bright", bright(0))
            .at(BUILT, "")
            .subject([0.0, 0.0, 40.0, 70.0])
            .beside(beside),
        Trap::new("clipped-subject", "the wall beside the sitter too bright", bright(0))
            .subject([88.0, 80.0, 11.0, 19.0])
            .beside(beside),
        Trap::new("clipped-skin", "amber too bright", bright(1)).at(BUILT, "").beside(beside),
        Trap::new("clipped-skin", "white too bright", bright(0)).beside(beside),
    ]
}
