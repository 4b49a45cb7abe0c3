//! What every light and the ambient did over a run of shots of one setup, and how they stand to each other.

use crate::exposure::words;
use crate::light::{Agreement, Entry, Light, LightLedger, SequenceLight, Stops, Told};
use crate::report::light_types::{AmbientState, LightAccount, LightState};
use crate::shots::{Sequence, Shot};
use crate::stages::as_set::{AsSet, as_set, median, median_stops};

use super::ledger::{agreement, percent, reference, told};
use super::{ambient, ratios};

/// The account of these shots (indices in the sequence); None while the camera's lights are not told apart.
/// `lights_before` is how many lights of other cameras stand before this one's in the report.
pub fn account(
    sequences: &[Sequence],
    ledger: &LightLedger,
    sequence: usize,
    shots: &[usize],
    lights_before: usize,
) -> Option<LightAccount> {
    let (own, light) = (sequences.get(sequence)?, ledger.sequences.get(sequence)?);
    if super::lights::nothing(light) {
        return None;
    }
    let set = as_set(ledger, sequence, shots);
    let each_light: Vec<LightState> = light
        .lights
        .iter()
        .zip(&set)
        .enumerate()
        .map(|(index, (one, set))| LightState {
            light_index: lights_before + index,
            ..state(own, one, set, &entries(light, index, shots))
        })
        .collect();
    let ambient = typical_ambient(own, light, shots);
    let ratios = ratios::ratios(&light.lights, &each_light, &ambient);
    Some(LightAccount { each_light, ambient, ratios })
}

/// One light's entries of these shots.
pub fn entries<'a>(light: &'a SequenceLight, index: usize, shots: &[usize]) -> Vec<&'a Entry> {
    shots.iter().filter_map(|s| light.shots.get(*s)?.entries.get(index)).collect()
}

fn state(sequence: &Sequence, light: &Light, set: &AsSet, entries: &[&Entry]) -> LightState {
    let burned = || entries.iter().filter(|e| e.on == Told::Yes);
    let shares = |part: fn(&Entry) -> Option<f64>| median(burned().filter_map(|e| part(e)).map(percent).collect());
    let power = median(burned().filter_map(|e| e.power).collect());
    let agrees = entries.iter().map(|e| e.agrees).max_by_key(|a| match a {
        Agreement::NotTested => 0,
        Agreement::AsNoted => 1,
        Agreement::Differs => 2,
    });
    let reason = entries.iter().map(|e| e.reason.as_str()).find(|r| !r.is_empty()).unwrap_or_default();
    let mut row = LightState {
        light: light.name.clone(),
        on: told(set.setting.on).to_owned(),
        stops: set.stops.map(|s| s.value),
        stops_low: set.stops.map(|s| s.low),
        stops_high: set.stops.map(|s| s.high),
        noted_power: set.setting.noted_power.map(words::power).unwrap_or_default(),
        power: power.map(words::power).unwrap_or_default(),
        gel: set.setting.gel.clone(),
        modifier: set.setting.modifier.clone(),
        gain: set.gain,
        share_of_frame_percent: shares(|e| e.share_of_frame),
        share_of_subject_percent: shares(|e| e.share_of_subject),
        misfires: entries.iter().filter(|e| e.misfire == Told::Yes).count(),
        frames_unknown: entries.iter().filter(|e| e.on == Told::Unknown).count(),
        agrees: agreement(agrees.unwrap_or_default()).to_owned(),
        reason: reason.to_owned(),
        ..LightState::default()
    };
    row.words = in_words(&row, set.stops, &reference(sequence, light));
    row
}

/// "1/8, gel CTO, grid; +0.1 stop ± 0.1 against DSC_0403.JPG; 1 misfire".
fn in_words(row: &LightState, stops: Option<Stops>, reference: &str) -> String {
    if row.on == "no" {
        return "off".to_owned();
    }
    let some = |text: &str, words: String| (!text.is_empty()).then_some(words);
    let noted: Vec<String> = [
        some(&row.noted_power, row.noted_power.clone()),
        some(&row.gel, format!("gel {}", row.gel)),
        some(&row.modifier, row.modifier.clone()),
    ]
    .into_iter()
    .flatten()
    .collect();
    let picture = match stops {
        Some(s) if reference.is_empty() => words::plus_minus(s.value, s.low, s.high) + " " + words::unit(s.value),
        Some(s) => {
            format!("{} {} against {reference}", words::plus_minus(s.value, s.low, s.high), words::unit(s.value))
        }
        None => "strength not known".to_owned(),
    };
    let state = if row.on == "unknown" { Some("on or off not known".to_owned()) } else { None };
    let missed = match row.misfires {
        0 => None,
        1 => Some("1 misfire".to_owned()),
        many => Some(format!("{many} misfires")),
    };
    let parts = [state, some(&noted.join(""), noted.join(", ")), Some(picture), missed];
    parts.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// The ambient of the shot whose ambient is nearest the median of these shots; the first that tells any.
fn typical_ambient(sequence: &Sequence, light: &SequenceLight, shots: &[usize]) -> AmbientState {
    let told: Vec<(&Shot, _)> =
        shots.iter().filter_map(|s| Some((sequence.shots.get(*s)?, light.shots.get(*s)?))).collect();
    let stops: Vec<Stops> = told.iter().filter_map(|(_, l)| l.ambient.stops).collect();
    let middle = median_stops(&stops).map_or(0.0, |s| s.value);
    let known = told.iter().filter(|(_, l)| l.ambient.stops.is_some() || l.ambient.share_of_frame.is_some());
    // Headroom needs the share; a shot that has both comes first.
    let away = |l: &crate::light::ShotLight| {
        let far = l.ambient.stops.map_or(f64::MAX, |s| (s.value - middle).abs());
        if l.ambient.share_of_frame.is_some() { far } else { f64::INFINITY }
    };
    let nearest = known.min_by(|a, b| away(a.1).total_cmp(&away(b.1)));
    nearest.map_or_else(
        || AmbientState { words: "not known".to_owned(), ..AmbientState::default() },
        |(shot, light)| ambient::state(shot, light),
    )
}
