//! Numbers the lightings: the same lights set on, at the same power, behind the same gel, are the same lighting,
//! whenever met. A light that misfired is still set on.

use super::ledger::{SequenceLight, Setting, Told};

/// Levels closer than this are one level: finer than a change made to be seen, coarser than the error of a run's level.
pub const SAME_LEVEL_STOPS: f64 = 0.15;

/// Noted powers closer than this are one power: half the finest step of a flash, a tenth of a stop.
pub const SAME_POWER_STOPS: f64 = 0.05;

/// Numbers a camera's lightings in shooting order, from `first` on, and returns the number that follows the last.
///
/// A shot of which not every setting is told takes the lighting of the told shots before and after it, if those agree.
pub fn number(light: &mut SequenceLight, first: u32) -> u32 {
    let told: Vec<Option<Vec<Set>>> = (0..light.shots.len()).map(|shot| told(light, shot)).collect();
    let mut met: Vec<Vec<Set>> = Vec::new();
    let mut numbers: Vec<Option<usize>> = Vec::new();
    let mut last = None;
    for sets in told {
        let known = sets.as_ref().and_then(|sets| find(&met, sets, last));
        let place = match (known, sets) {
            (None, Some(sets)) => {
                met.push(sets);
                Some(met.len() - 1)
            }
            (known, _) => known,
        };
        last = place.or(last);
        numbers.push(place);
    }
    let before = running(numbers.iter().copied());
    let after: Vec<Option<usize>> = running(numbers.iter().rev().copied()).into_iter().rev().collect();
    for ((shot, own), (before, after)) in light.shots.iter_mut().zip(&numbers).zip(before.into_iter().zip(after)) {
        let lighting = own.or(before.filter(|_| before == after));
        shot.lighting = lighting.map(|place| first.saturating_add(count(place)));
    }
    first.saturating_add(count(met.len()))
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// For every place the last thing known up to it.
fn running(places: impl Iterator<Item = Option<usize>>) -> Vec<Option<usize>> {
    let step = |last: &mut Option<usize>, place: Option<usize>| {
        *last = place.or(*last);
        Some(*last)
    };
    places.scan(None, step).collect()
}

/// One light as set in one shot.
#[derive(Clone, Debug, PartialEq)]
enum Set {
    Off,
    On { power: Power, gel: String, modifier: String, colour: u32 },
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Power {
    Noted(f64),
    Level(f64),
    /// No shot of this light tells any.
    Never,
}

/// What is set in a shot, light by light; None when not all of it is told.
fn told(light: &SequenceLight, shot: usize) -> Option<Vec<Set>> {
    let own = light.shots.get(shot)?;
    let comparable = own.not_comparable.is_empty();
    if light.lights.is_empty() || own.entries.len() < light.lights.len() {
        return None;
    }
    let one = |(index, name): (usize, &super::ledger::Light)| {
        let setting = &own.entries.get(index)?.setting;
        match setting.on {
            Told::Unknown => None,
            // Where the picture cannot be compared, only the notes can say so.
            Told::No => (comparable || name.noted).then_some(Set::Off),
            Told::Yes if !comparable && (setting.noted_power.is_none() || !name.noted) => None,
            Told::Yes => on(light, shot, index, setting),
        }
    };
    light.lights.iter().enumerate().map(one).collect()
}

fn on(light: &SequenceLight, shot: usize, index: usize, setting: &Setting) -> Option<Set> {
    let all = || light.shots.iter().filter_map(|s| s.entries.get(index)).map(|e| &e.setting);
    let power = match (setting.noted_power, setting.level) {
        (Some(noted), _) => Power::Noted(noted),
        (None, Some(level)) => Power::Level(level),
        (None, None) if all().any(|s| s.noted_power.or(s.level).is_some()) => return None,
        (None, None) => Power::Never,
    };
    let colour = if setting.colour == 0 { held_colour(light, shot, index, setting) } else { setting.colour };
    Some(Set::On { power, gel: setting.gel.clone(), modifier: setting.modifier.clone(), colour })
}

/// The colour of the nearest shot before, else after, in which this light is on behind the same noted gel: a shot that
/// shows no colour shows no change of it. 0 where none tells.
fn held_colour(light: &SequenceLight, shot: usize, index: usize, own: &Setting) -> u32 {
    let colours = || {
        let settings = light.shots.iter().map(|s| s.entries.get(index).map(|e| &e.setting));
        settings.map(|s| s.filter(|s| s.on == Told::Yes && s.gel == own.gel && s.colour != 0).map(|s| s.colour))
    };
    let before = colours().take(shot).flatten().last();
    before.or_else(|| colours().skip(shot).flatten().next()).unwrap_or(0)
}

/// The lighting these settings are; of several within the tolerance the one just used, then the nearest.
///
/// Every shot is compared with the first shot of a lighting, never with the shot before: small steps cannot add up.
fn find(met: &[Vec<Set>], sets: &[Set], last: Option<usize>) -> Option<usize> {
    let away = |place: usize| met.get(place).and_then(|known| distance(known, sets));
    let just_used = last.filter(|place| away(*place).is_some());
    just_used.or_else(|| {
        let near = (0..met.len()).filter_map(|place| Some((place, away(place)?)));
        near.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(place, _)| place)
    })
}

/// The largest difference of level in stops; None where they are not the same lighting.
fn distance(known: &[Set], sets: &[Set]) -> Option<f64> {
    let mut largest = 0.0_f64;
    for (a, b) in known.iter().zip(sets) {
        match (a, b) {
            (Set::Off, Set::Off) => {}
            (
                Set::On { power: p, gel: g, modifier: m, colour: c },
                Set::On { power: q, gel: h, modifier: n, colour: d },
            ) if (g, m, c) == (h, n, d) => largest = largest.max(apart(*p, *q)?),
            _ => return None,
        }
    }
    Some(largest)
}

/// Whether a light set on like this is set the same: power, gel and modifier. An untold colour differs from none.
#[must_use]
pub fn same_setting(a: &Setting, b: &Setting) -> bool {
    let power = |s: &Setting| match (s.noted_power, s.level) {
        (Some(noted), _) => Power::Noted(noted),
        (None, Some(level)) => Power::Level(level),
        (None, None) => Power::Never,
    };
    let colours = a.colour == b.colour || a.colour == 0 || b.colour == 0;
    let words = (a.on, &a.gel, &a.modifier) == (b.on, &b.gel, &b.modifier);
    words && colours && apart(power(a), power(b)).is_some()
}

/// How far two powers lie apart in stops; None where they are not the same.
fn apart(a: Power, b: Power) -> Option<f64> {
    let within = |a: f64, b: f64, most: f64| Some((a - b).abs()).filter(|by| *by <= most);
    match (a, b) {
        (Power::Noted(a), Power::Noted(b)) => within(a, b, SAME_POWER_STOPS),
        // A level is worked out, so the last digit of a tolerance decides nothing.
        (Power::Level(a), Power::Level(b)) => within(a, b, SAME_LEVEL_STOPS + 1e-9),
        (Power::Never, Power::Never) => Some(0.0),
        _ => None,
    }
}
