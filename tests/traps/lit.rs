//! Findings told from the lights.

use super::Trap;
use super::plain::{BUILT, between, build, chance, evening};
use super::shoot::{Shoot, USUAL};

/// Moves a frame and all after it so that it lies so many seconds after the one before.
fn gap(s: &mut Shoot, frame: usize, seconds: f64) {
    let by = s.shots[frame - 1].second + seconds - s.shots[frame].second;
    s.shots[frame..].iter_mut().for_each(|shot| shot.second += by);
}

pub fn traps(seed: u64) -> Vec<Trap> {
    let at = BUILT + 3 + (chance(seed, 20) * 3.0) as usize;
    let mut all = Vec::new();
    all.extend(failing(seed, at));
    all.extend(recycling(seed));
    all.extend(noted(seed, at));
    all.extend(wandering(seed));
    all.extend(spilling(seed));
    all
}

fn failing(seed: u64, at: usize) -> [Trap; 4] {
    let mut missed = evening(seed, 9);
    let rim = missed.light("rim");
    missed.shots[at].burns[rim].real = None;
    let mut off = evening(seed, 9);
    off.shots[at].burns[rim] = super::shoot::Burn::default();

    let by = between(seed, 21, 0.8, 1.4);
    let key = missed.light("key");
    let mut short = evening(seed, 9);
    gap(&mut short, at, between(seed, 22, 0.6, 1.4));
    short.shots[at].burns[key].real = Some(-3.0 - by);
    let mut in_time = evening(seed, 9);
    gap(&mut in_time, at, 1.0);
    [
        Trap::new("misfire", "rim out in one frame", missed).at(at, "rim"),
        Trap::new("misfire", "rim noted off in one frame", off),
        Trap::new("short-flash", "key weak after a second", short).at(at, "key").beside(&["differs-from-note"]),
        Trap::new("short-flash", "key in full after a second", in_time),
    ]
}

fn recycling(seed: u64) -> [Trap; 2] {
    // Gaps of ten seconds, and three short ones.
    let shots = [BUILT + 2, BUILT + 5, BUILT + 8];
    let make = |follow: bool| {
        let mut s = evening(seed, 12);
        let key = s.light("key");
        for (nth, frame) in shots.into_iter().enumerate() {
            gap(&mut s, frame, between(seed, 30 + nth as u64, 0.7, 1.6));
            let failed = if follow { frame } else { frame + 1 };
            s.shots[failed].burns[key].real = Some(-3.0 - between(seed, 40 + nth as u64, 0.7, 1.2));
        }
        s
    };
    let beside: &[&str] = &["short-flash", "differs-from-note"];
    [
        Trap::new("recycle", "key weak after each short gap", make(true)).at(shots[0], "key").beside(beside),
        Trap::new("recycle", "key weak after long gaps", make(false)).beside(beside),
    ]
}

fn noted(seed: u64, at: usize) -> [Trap; 6] {
    let rim = evening(seed, 0).light("rim");
    // Key at 1/4 from `at` on; the real one maybe a frame earlier, maybe never noted.
    let key = |real: usize, said: usize| {
        let mut s = evening(seed, 9);
        let key = s.light("key");
        for frame in BUILT..s.shots.len() {
            s.shots[frame].burns[key].real = Some(if frame >= real { -2.0 } else { -3.0 });
            s.shots[frame].burns[key].noted = Some(if frame >= said { -2 } else { -3 });
        }
        s
    };
    let mut off = evening(seed, 9);
    (at..at + 3).for_each(|frame| off.shots[frame].burns[rim].real = Some(-4.0));
    let key_light = off.light("key");
    let gelled = |said: bool| {
        let mut s = evening(seed, 9);
        s.gels_noted = said;
        (at..at + 3).for_each(|frame| s.shots[frame].burns[key_light].gel = 1);
        s
    };
    [
        Trap::new("differs-from-note", "rim a stop under its note for three frames", off).at(at, "rim"),
        Trap::new("differs-from-note", "a stop more, as noted", key(at, at)),
        Trap::new("note-late", "the note a frame late", key(at, at + 1)).at(at, "key"),
        Trap::new("note-late", "the note in time", key(at, at)),
        Trap::new("gel-cast", "amber without a note in three frames", gelled(false)).at(at, "key").at(at + 3, "key"),
        Trap::new("gel-cast", "amber noted", gelled(true)),
    ]
}

fn wandering(seed: u64) -> [Trap; 4] {
    let frames = 16;
    let drifting = |by: f64| {
        let mut s = evening(seed, frames);
        let key = s.light("key");
        for nth in 0..frames {
            let shot = &mut s.shots[BUILT + nth];
            shot.second += 110.0 * nth as f64;
            shot.burns[key].real = Some(-3.0 + by * nth as f64 / frames as f64);
        }
        s
    };
    let falling = |by: f64, shutter: bool| {
        let mut s = build(seed);
        let start = s.ambient * 6.0;
        for nth in 0..frames {
            let settings = if shutter && nth % 2 == 1 { USUAL.time(60) } else { USUAL };
            let shot = s.shot(settings, if nth % 3 == 0 { &[] } else { &[("key", -3)] });
            shot.second += 50.0;
            shot.ambient = start * (-by * nth as f64 / frames as f64).exp2();
        }
        s.shots[..BUILT].iter_mut().for_each(|shot| shot.ambient = start);
        s
    };
    let fall = between(seed, 50, 1.6, 2.4);
    [
        Trap::new("light-drift", "key wearing down over half an hour", drifting(-0.9))
            .at(2, "key")
            .beside(&["differs-from-note"]),
        Trap::new("light-drift", "key as it was", drifting(0.0)),
        Trap::new("ambient-drift", "dusk", falling(fall, false)).at(0, ""),
        Trap::new("ambient-drift", "the shutter moved, the daylight not", falling(0.0, true)),
    ]
}

fn spilling(seed: u64) -> [Trap; 2] {
    let spill = |power: i32| {
        let mut s = build(seed);
        for power in [-3, -4] {
            s.shot(USUAL, &[("dust-right", power)]);
        }
        for _ in 0..6 {
            s.shot(USUAL, &[("key", -3), ("dust-right", power)]);
        }
        s
    };
    let sitter = [20.0, 20.0, 40.0, 60.0];
    [
        Trap::new("spill-on-subject", "dust-right as strong as the key", spill(-3))
            .at(BUILT + 2, "dust-right")
            .subject(sitter),
        Trap::new("spill-on-subject", "dust-right far below the key", spill(-7)).subject(sitter).beside(&[]),
    ]
}
