//! What began a stage, in a photographer's words, with its account in stops.

use super::{InStage, Stage};
use crate::exposure::account::SettingsChange;
use crate::exposure::{Mark, words};

/// One setting that changed between two stages.
#[derive(Clone, Debug, PartialEq)]
pub struct Turned {
    /// "aperture", "shutter" or "ISO".
    pub setting: &'static str,
    /// As marked before, for ISO the number alone; "not known" where it was not.
    pub from: String,
    /// As marked after.
    pub to: String,
    /// Stops on flash light; None when not known or not claimed.
    pub flash: Option<f64>,
    /// Stops on ambient light; None when not known.
    pub ambient: Option<f64>,
}

/// The settings that differ between two stages, in the order aperture, shutter, ISO.
#[must_use]
pub fn turned(before: &Stage, after: &Stage, change: Option<&SettingsChange>) -> Vec<Turned> {
    let stops = |a: Option<Mark>, b: Option<Mark>| a.zip(b).map(|(a, b)| a.stops - b.stops);
    let marked =
        |mark: Option<Mark>, say: fn(f64) -> String| mark.map_or_else(|| "not known".to_owned(), |m| say(m.marked));
    let (a, b) = (&before.settings, &after.settings);
    let above_sync = change.is_some_and(|c| c.above_sync);
    let rows = [
        ("aperture", a.aperture, b.aperture, words::aperture as fn(f64) -> String),
        ("shutter", a.shutter, b.shutter, words::shutter),
        ("ISO", a.iso, b.iso, |iso| format!("{iso:.0}")),
    ];
    rows.into_iter()
        .filter(|(_, from, to, _)| from != to)
        .map(|(setting, from, to, say)| {
            let ambient = stops(from, to).map(|s| if setting == "ISO" { -s } else { s });
            let flash =
                if setting == "shutter" { (!above_sync).then_some(0.0).filter(|_| ambient.is_some()) } else { ambient };
            Turned { setting, from: marked(from, say), to: marked(to, say), flash, ambient }
        })
        .collect()
}

/// What changed, without figures: "lens 35mm F2 to 85mm F1.8, shutter 1/50 to 1/200".
#[must_use]
pub fn headline(before: Option<&Stage>, stage: &Stage) -> String {
    let Some(before) = before else { return first_stage(String::new(), stage) };
    let turns = turned(before, stage, None);
    joined(before, stage, turns.iter().map(|t| format!("{} {} to {}", t.setting, t.from, t.to)))
}

/// "first stage", with settings in the given words and the lights that are on, as far as they are known.
fn first_stage(settings: String, stage: &Stage) -> String {
    let colon = if settings.is_empty() { ":" } else { ";" };
    let lights = if stage.relit.is_empty() { String::new() } else { format!("{colon} {}", stage.relit.join(", ")) };
    format!("first stage{settings}{lights}")
}

/// The lens, then the settings in the given words, then the lights, then whether this setup was met before.
fn joined(before: &Stage, stage: &Stage, settings: impl Iterator<Item = String>) -> String {
    let lens = (before.lens != stage.lens).then(|| format!("lens {} to {}", before.lens, stage.lens));
    let back = stage.first_met.map(|first| format!("back to the setup of stage {first}"));
    lens.into_iter().chain(settings).chain(stage.relit.iter().cloned()).chain(back).collect::<Vec<_>>().join(", ")
}

/// The sentence of a stage: what changed against the stage before of the same camera, and the account.
///
/// "aperture f/2 to f/2.8 (-1.0), ISO 100 to 200 (+1.0): settings 0.0; picture +0.6, so light +0.6".
#[must_use]
pub fn sentence(before: Option<&Stage>, stage: &Stage, first: &InStage) -> String {
    let Some(before) = before else {
        return first_stage(format!(": {}, {}", stage.marked(), stage.lens), stage);
    };
    let turns = turned(before, stage, first.settings_change.as_ref());
    let what = joined(before, stage, turns.iter().map(part));
    format!("{what}: {}", account_words(first, before.lens != stage.lens))
}

fn part(turn: &Turned) -> String {
    let effect = match (turn.flash, turn.ambient) {
        (_, None) => "effect not known".to_owned(),
        (None, Some(a)) => format!("ambient {}, flash not claimed above sync speed", words::stops(a)),
        (Some(f), Some(a)) if f == a => words::stops(a),
        (Some(f), Some(a)) => format!("ambient {}, flash {}", words::stops(a), words::stops(f)),
    };
    format!("{} {} to {} ({effect})", turn.setting, turn.from, turn.to)
}

/// Settings, picture and what is left for the light, in one clause.
fn account_words(first: &InStage, lens_changed: bool) -> String {
    let settings = match &first.settings_change {
        None => "settings change not known".to_owned(),
        Some(change) => match change.flash() {
            None => format!("settings {} on ambient light, not claimed for flash", words::stops(change.ambient())),
            Some(flash) => {
                format!("settings {}", words::stops_between(flash.min(change.ambient()), flash.max(change.ambient())))
            }
        },
    };
    let picture = first
        .picture_change
        .map_or_else(|| "picture change not known".to_owned(), |p| format!("picture {}", words::stops(p)));
    // Another lens shows another part of the scene, which moves the mean as light does.
    let whose = if lens_changed { "light or framing" } else { "light" };
    let light = first.light_change.map(|light| match light.stops {
        Some(stops) => format!(", so {whose} {}", words::stops(stops)),
        None => format!(", so {whose} {}, by how much of it is ambient", words::stops_between(light.low, light.high)),
    });
    format!("{settings}; {picture}{}", light.unwrap_or_default())
}
