//! What was set, without notes: a light off in one frame alone failed; a run of frames has one level.

use super::scene::Scene;
use crate::light::{SequenceLight, Told};

/// Gains that differ by less, in stops, are one level.
const SAME: f64 = 0.25;
/// A light with less of its neighbours' light than this may be missed in the picture: that is no misfire.
const CLEAR: f64 = 0.08;
/// Settings that differ by less, in stops, are the same.
const SETTINGS: f64 = 0.05;

/// Standard deviation in stops that a tone curve nobody measured adds to a strength, and what each stop of distance from
/// the reference adds (common practice, no source; set on rendered shoots).
const CURVE: (f64, f64) = (0.09, 0.12);

/// Widens the intervals by what the unknown tone curve may do, most to lights that are a small part of the picture.
pub fn widen(ledger: &mut SequenceLight) {
    for (shot, told) in ledger.shots.iter_mut().enumerate() {
        for (light, entry) in ledger.lights.iter().zip(&mut told.entries) {
            let Some(stops) = entry.stops.as_mut().filter(|_| light.reference_shot != Some(shot)) else { continue };
            let small = (1.0 + 0.06 / entry.share_of_frame.unwrap_or(0.05).max(0.01)).min(4.0);
            let sd = small * (CURVE.0 + CURVE.1 * stops.value.abs());
            let half = libm::hypot((stops.high - stops.low) / 2.0, super::judge::NINETY * sd);
            (stops.low, stops.high) = (stops.value - half, stops.value + half);
        }
    }
}

/// Fills the settings and the misfires of a ledger without notes.
pub fn settle(ledger: &mut SequenceLight, scene: &Scene) {
    let shots: Vec<usize> = scene.views.iter().map(|v| v.shot).collect();
    let same = |f: usize, g: usize| {
        let (a, b) = (&scene.views[f], &scene.views[g]);
        (a.flash_stops - b.flash_stops).abs() < SETTINGS && (a.shutter_stops - b.shutter_stops).abs() < SETTINGS
    };
    for light in 0..ledger.lights.len() {
        let on: Vec<Told> = shots.iter().map(|&s| ledger.shots[s].entries[light].on).collect();
        let failed: Vec<bool> = (0..shots.len()).map(|f| failed(ledger, &shots, &on, light, f, &same)).collect();
        for (f, &shot) in shots.iter().enumerate() {
            let entry = &mut ledger.shots[shot].entries[light];
            entry.setting.on = if failed[f] { Told::Yes } else { on[f] };
            entry.misfire = match (failed[f], on[f]) {
                (true, _) => Told::Yes,
                (_, Told::Unknown) => Told::Unknown,
                _ => Told::No,
            };
            entry.setting.colour = u32::from(entry.setting.on == Told::Yes);
        }
        runs(ledger, &shots, light, &same);
    }
}

/// Off here, on before and after at the same settings and strength, with all other lights as there.
fn failed(
    ledger: &SequenceLight,
    shots: &[usize],
    on: &[Told],
    light: usize,
    f: usize,
    same: &dyn Fn(usize, usize) -> bool,
) -> bool {
    if on[f] != Told::No || f == 0 || f + 1 >= on.len() {
        return false;
    }
    let near = [f - 1, f + 1];
    let stops = near.map(|g| ledger.shots[shots[g]].entries[light].stops.map(|s| s.value));
    let steady = matches!(stops, [Some(a), Some(b)] if (a - b).abs() < 2.0 * SAME);
    let others = (0..ledger.lights.len()).filter(|l| *l != light).all(|l| {
        let state = |g: usize| ledger.shots[shots[g]].entries[l].on;
        state(f) == state(f - 1) && state(f) == state(f + 1)
    });
    let clear = near.iter().all(|&g| ledger.shots[shots[g]].entries[light].share_of_frame.is_some_and(|s| s > CLEAR));
    clear && steady && others && near.iter().all(|&g| on[g] == Told::Yes && same(f, g))
}

/// One level for each run of frames: the median of their gains.
fn runs(ledger: &mut SequenceLight, shots: &[usize], light: usize, same: &dyn Fn(usize, usize) -> bool) {
    let mut run: Vec<(usize, f64)> = Vec::new();
    let mut members: Vec<usize> = Vec::new();
    let close = |ledger: &mut SequenceLight, run: &mut Vec<(usize, f64)>, members: &mut Vec<usize>| {
        let mut values: Vec<f64> = run.iter().map(|r| r.1).collect();
        if !values.is_empty() {
            let level = super::fit::median(&mut values);
            for &f in members.iter() {
                ledger.shots[shots[f]].entries[light].setting.level = Some(level);
            }
        }
        run.clear();
        members.clear();
    };
    for (f, &shot) in shots.iter().enumerate() {
        let entry = &ledger.shots[shot].entries[light];
        let value = entry.stops.map(|s| s.value);
        if entry.setting.on != Told::Yes {
            close(ledger, &mut run, &mut members);
            continue;
        }
        let mut values: Vec<f64> = run.iter().map(|r| r.1).collect();
        let middle = (!values.is_empty()).then(|| super::fit::median(&mut values));
        let apart = value.zip(middle).is_some_and(|(v, m)| (v - m).abs() > SAME);
        if apart || members.last().is_some_and(|&g| !same(f, g)) {
            close(ledger, &mut run, &mut members);
        }
        members.push(f);
        run.extend(value.map(|v| (f, v)));
    }
    close(ledger, &mut run, &mut members);
}
