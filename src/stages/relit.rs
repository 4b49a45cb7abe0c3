//! What the lights did between two stages, in a photographer's words: the lights as set, not what they failed to do.

use super::as_set::{AsSet, as_set, power};
use super::{Stage, Stages};
use crate::exposure::words;
use crate::light::lightings::{SAME_LEVEL_STOPS, SAME_POWER_STOPS};
use crate::light::{LightLedger, Setting, Told};

/// More changes than this are counted by kind instead of named.
const MOST_NAMED: usize = 6;

/// Said where the lighting of a stage, or of the one before, is not known.
const NOT_TOLD: &str = "which lights are on is not told here";

/// Fills every stage's part about its lights.
pub fn fill(stages: &mut Stages, ledger: &LightLedger) {
    let told = |stage: &Stage| ledger.sequences.get(stage.sequence).is_some_and(|s| !s.lights.is_empty());
    let lights: Vec<Vec<AsSet>> = (1..)
        .zip(&stages.stages)
        .map(|(number, stage)| as_set(ledger, stage.sequence, &stages.members(number)))
        .collect();
    let mut before: Option<(&Stage, &[AsSet])> = None;
    let mut all = Vec::new();
    for (stage, now) in stages.stages.iter().zip(&lights) {
        let own = before.filter(|(b, _)| b.sequence == stage.sequence);
        all.push(match own {
            _ if !told(stage) => Vec::new(),
            None if stage.lighting.is_none() => vec![NOT_TOLD.to_owned()],
            None => opening(now),
            Some((b, _)) if b.lighting == stage.lighting => Vec::new(),
            Some(_) if stage.lighting.is_none() => vec![NOT_TOLD.to_owned()],
            Some((_, was)) => match changes(was, now) {
                // Never a stage without a word of what began it.
                none if none.is_empty() => vec![format!("lighting {}", stage.lighting.unwrap_or_default())],
                some => some,
            },
        });
        before = Some((stage, now));
    }
    for (stage, relit) in stages.stages.iter_mut().zip(all) {
        stage.relit = relit;
    }
}

/// The lights of a camera's first stage.
#[must_use]
pub fn opening(now: &[AsSet]) -> Vec<String> {
    let one = |light: &AsSet| match light.setting.on {
        Told::Yes => Some(format!("{} on{}", light.light, noted(&light.setting))),
        Told::Unknown => Some(format!("{} not told", light.light)),
        Told::No => None,
    };
    let on: Vec<String> = now.iter().filter_map(one).collect();
    match on.len() {
        0 => vec!["no light on".to_owned()],
        1..=MOST_NAMED => on,
        many => vec![format!("{many} lights on")],
    }
}

/// What changed between two settings of the same lights, one part per change.
#[must_use]
pub fn changes(was: &[AsSet], now: &[AsSet]) -> Vec<String> {
    let all: Vec<Change> = was.iter().zip(now).flat_map(|(was, now)| of_one(was, now)).collect();
    if all.len() > MOST_NAMED { vec![counted(&all)] } else { all.into_iter().map(|change| change.words).collect() }
}

/// What kind of change, for counting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    On,
    Off,
    Strength,
    Gel,
    Modifier,
    NotTold,
}

struct Change {
    kind: Kind,
    words: String,
}

fn of_one(was: &AsSet, now: &AsSet) -> Vec<Change> {
    let name = &now.light;
    let (a, b) = (&was.setting, &now.setting);
    let one = |kind, words| vec![Change { kind, words }];
    match (a.on, b.on) {
        (Told::Yes, Told::Yes) => {
            let parts = [strength(was, now), gel(was, now), modifier(name, a, b)];
            parts.into_iter().flatten().collect()
        }
        (Told::No, Told::Yes) => one(Kind::On, format!("{name} on{}", noted(b))),
        (Told::Yes, Told::No) => one(Kind::Off, format!("{name} off")),
        (Told::Unknown, Told::Yes | Told::No) => {
            let state = if b.on == Told::Yes { "on" } else { "off" };
            one(Kind::NotTold, format!("{name} {state} (not told before)"))
        }
        (Told::Yes | Told::No, Told::Unknown) => one(Kind::NotTold, format!("{name} not told from here")),
        _ => Vec::new(),
    }
}

/// " at 1/8, gel CTO" for a light that comes on; empty without notes.
fn noted(setting: &Setting) -> String {
    let power = setting.noted_power.and_then(|_| power(setting)).map(|p| format!(" at {p}"));
    let gel = Some(&setting.gel).filter(|g| !g.is_empty()).map(|g| format!(" with gel {g}"));
    [power, gel].into_iter().flatten().collect()
}

fn strength(was: &AsSet, now: &AsSet) -> Option<Change> {
    let name = &now.light;
    let picture = was.stops.zip(now.stops).map(|(a, b)| b.value - a.value);
    let seen = |by: f64| format!("{name} {}", words::stops(by));
    let words = match (was.setting.noted_power, now.setting.noted_power) {
        (Some(a), Some(b)) if (a - b).abs() <= SAME_POWER_STOPS => return None,
        (Some(a), Some(b)) => {
            let picture = picture.map(|p| format!(" (picture {})", words::stops(p))).unwrap_or_default();
            format!("{name} {} to {}{picture}", words::power(a), words::power(b))
        }
        (None, None) => {
            let by = was.setting.level.zip(now.setting.level).map(|(a, b)| b - a)?;
            if by.abs() <= SAME_LEVEL_STOPS {
                return None;
            }
            format!("{} (cause not recorded)", seen(by))
        }
        (a, b) => {
            let side = |p: Option<f64>| p.map_or_else(|| "a power that was not noted".to_owned(), words::power);
            let picture = picture.map(|p| format!(" (picture {})", words::stops(p))).unwrap_or_default();
            format!("{name} from {} to {}{picture}", side(a), side(b))
        }
    };
    Some(Change { kind: Kind::Strength, words })
}

fn gel(was: &AsSet, now: &AsSet) -> Option<Change> {
    let name = &now.light;
    let (a, b) = (&was.setting, &now.setting);
    let words = match (a.gel.as_str(), b.gel.as_str()) {
        (from, to) if from != to => match (from.is_empty(), to.is_empty()) {
            (true, _) => format!("gel {to} on {name}"),
            (_, true) => format!("gel {from} off {name}"),
            _ => format!("gel of {name} {from} to {to}"),
        },
        _ if a.colour != b.colour && a.colour != 0 && b.colour != 0 => {
            format!("gel of {name} changed: {}", hue(was.gain, now.gain))
        }
        _ => return None,
    };
    Some(Change { kind: Kind::Gel, words })
}

fn modifier(name: &str, a: &Setting, b: &Setting) -> Option<Change> {
    (a.modifier != b.modifier).then(|| {
        let part = |m: &str| if m.is_empty() { "none".to_owned() } else { m.to_owned() };
        Change {
            kind: Kind::Modifier,
            words: format!("modifier of {name} {} to {}", part(&a.modifier), part(&b.modifier)),
        }
    })
}

/// A change of red against blue of less than this says nothing of warm or cool.
const SAME_WARMTH_STOPS: f64 = 0.1;

/// "warmer", "cooler" by the ratio of red to blue; "other colour" where that hardly moved or is not known.
#[must_use]
pub fn hue(was: Option<[f64; 3]>, now: Option<[f64; 3]>) -> &'static str {
    match was.and_then(warmth).zip(now.and_then(warmth)).map(|(a, b)| b - a) {
        Some(by) if by > SAME_WARMTH_STOPS => "warmer",
        Some(by) if by < -SAME_WARMTH_STOPS => "cooler",
        _ => "other colour",
    }
}

/// Red against blue in stops; None where either is nothing.
#[must_use]
pub fn warmth([r, _, b]: [f64; 3]) -> Option<f64> {
    (r > 0.0 && b > 0.0).then(|| libm::log2(r / b))
}

/// "9 changes of light: 4 on, 2 off, 3 of strength".
fn counted(all: &[Change]) -> String {
    let kinds = [
        (Kind::On, "on"),
        (Kind::Off, "off"),
        (Kind::Strength, "of strength"),
        (Kind::Gel, "of gel"),
        (Kind::Modifier, "of modifier"),
        (Kind::NotTold, "not told"),
    ];
    let parts: Vec<String> = kinds
        .into_iter()
        .map(|(kind, word)| (all.iter().filter(|c| c.kind == kind).count(), word))
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    format!("{} changes of light: {}", all.len(), parts.join(", "))
}
