//! The lights as they stand over a run of shots: one setting per light, and what the pictures say of it.

use crate::exposure::words;
use crate::light::{LightLedger, Setting, Stops, Told};

/// One light over a run of shots.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AsSet {
    /// Its name.
    pub light: String,
    /// As set; `on` is unknown when no shot of the run tells it.
    pub setting: Setting,
    /// Strength against its reference shot over the shots in which it burned, each figure and each end the median.
    pub stops: Option<Stops>,
    /// Channel gains over the same shots, the median of each channel.
    pub gain: Option<[f64; 3]>,
}

/// Every light of a camera over these shots, in the ledger's order. Empty while the lights are not told apart.
#[must_use]
pub fn as_set(ledger: &LightLedger, sequence: usize, shots: &[usize]) -> Vec<AsSet> {
    let Some(light) = ledger.sequences.get(sequence) else { return Vec::new() };
    let one = |(index, name): (usize, &crate::light::Light)| {
        let entries = || shots.iter().filter_map(|s| light.shots.get(*s)?.entries.get(index));
        let told = |s: &&Setting| s.on != Told::Unknown;
        let full = |s: &&Setting| s.on == Told::No || s.noted_power.or(s.level).is_some();
        let settings = || entries().map(|e| &e.setting);
        let setting = settings().filter(told).find(full).or_else(|| settings().find(told));
        let burned = || entries().filter(|e| e.on == Told::Yes);
        let stops: Vec<Stops> = burned().filter_map(|e| e.stops).collect();
        let gains: Vec<[f64; 3]> = burned().filter_map(|e| e.gain).collect();
        AsSet {
            light: name.name.clone(),
            setting: setting.cloned().unwrap_or_default(),
            stops: median_stops(&stops),
            gain: median_gain(&gains),
        }
    };
    light.lights.iter().enumerate().map(one).collect()
}

/// The lights that are set on, in words for a cell: "key 1/8 gel CTO;rim +0.6 stop". "none" where every light is off.
#[must_use]
pub fn cell(lights: &[AsSet]) -> String {
    // A name from the notes may hold the very sign that separates.
    let said: Vec<String> = lights.iter().filter_map(said).map(|s| s.replace(';', ",")).collect();
    if said.is_empty() && !lights.is_empty() { "none".to_owned() } else { said.join(";") }
}

/// One light that is not off: its name, what is known of its power, its gel.
fn said(light: &AsSet) -> Option<String> {
    match light.setting.on {
        Told::No => None,
        Told::Unknown => Some(format!("{} unknown", light.light)),
        Told::Yes => {
            let gel = match (&light.setting.gel, light.setting.colour) {
                (gel, _) if !gel.is_empty() => Some(format!("gel {gel}")),
                (_, colour) if colour > 1 => Some(format!("colour {colour}")),
                _ => None,
            };
            let parts = [Some(light.light.clone()), power(&light.setting), gel];
            Some(parts.into_iter().flatten().collect::<Vec<_>>().join(" "))
        }
    }
}

/// The noted power as a fraction, or the level against the reference; None when neither is known.
#[must_use]
pub fn power(setting: &Setting) -> Option<String> {
    let noted = setting.noted_power.map(words::power).filter(|p| !p.is_empty());
    noted.or_else(|| setting.level.map(words::stops_unit))
}

/// The median of the figures, and of each end: the shots of a run share most of their error, so nothing narrows.
#[must_use]
pub fn median_stops(all: &[Stops]) -> Option<Stops> {
    let of = |part: fn(&Stops) -> f64| median(all.iter().map(part).collect());
    Some(Stops { value: of(|s| s.value)?, low: of(|s| s.low)?, high: of(|s| s.high)? })
}

fn median_gain(all: &[[f64; 3]]) -> Option<[f64; 3]> {
    let of = |part: fn(&[f64; 3]) -> f64| median(all.iter().map(part).collect());
    Some([of(|[r, _, _]| *r)?, of(|[_, g, _]| *g)?, of(|[_, _, b]| *b)?])
}

/// The middle value; of two in the middle their mean. None of nothing, and None where a value is no number.
#[must_use]
pub fn median(mut values: Vec<f64>) -> Option<f64> {
    if values.iter().any(|v| v.is_nan()) {
        return None;
    }
    values.sort_by(f64::total_cmp);
    let middle = |i: usize| values.get(i).copied();
    let half = values.len() / 2;
    if values.len() % 2 == 1 { middle(half) } else { Some((middle(half.checked_sub(1)?)? + middle(half)?) / 2.0) }
}
