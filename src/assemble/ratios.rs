//! Key to fill and key to ambient: in stops, and as both conventions write them, always saying which.

use crate::exposure::words;
use crate::light::Light;
use crate::report::light_types::{AmbientState, LightState, Ratio};
use crate::stages::purpose::purpose;

/// Both ratios of a run of shots, known or with the reason why not.
pub fn ratios(lights: &[Light], states: &[LightState], ambient: &AmbientState) -> Vec<Ratio> {
    let burning: Vec<(&Light, &LightState)> = lights.iter().zip(states).filter(|(_, s)| s.on == "yes").collect();
    if burning.is_empty() {
        return Vec::new();
    }
    vec![key_to_fill(&burning), key_to_ambient(&burning, ambient)]
}

type Burning<'a> = (&'a Light, &'a LightState);

/// The light whose role or name says key; else the strongest, but only where every burning light's share is known.
fn key<'a>(burning: &[Burning<'a>]) -> Result<Burning<'a>, &'static str> {
    if let Some(named) = burning.iter().find(|(light, _)| purpose(light) == Some("key")) {
        return Ok(*named);
    }
    let share = |s: &LightState| s.share_of_subject_percent.or(s.share_of_frame_percent);
    let shares: Option<Vec<f64>> = burning.iter().map(|(_, s)| share(s)).collect();
    let shares = shares.ok_or("no light is named the key, and not every light's share is known")?;
    let most = burning.iter().zip(shares).max_by(|a, b| a.1.total_cmp(&b.1));
    most.map(|(one, _)| *one).ok_or("no light burns")
}

fn key_to_fill(burning: &[Burning]) -> Ratio {
    let blank = Ratio { what: "key to fill".to_owned(), ..Ratio::default() };
    let unknown = |why: &str| Ratio { why_unknown: why.to_owned(), words: "not known".to_owned(), ..blank.clone() };
    let (light, key) = match key(burning) {
        Ok(found) => found,
        Err(why) => return unknown(why),
    };
    let Some((_, fill)) = burning.iter().find(|(l, _)| purpose(l) == Some("fill") && l.name != light.name) else {
        return Ratio { of: key.light.clone(), ..unknown("no burning light is named a fill: note its role as fill") };
    };
    let named = Ratio { of: key.light.clone(), to: fill.light.clone(), ..blank.clone() };
    let subject = key.share_of_subject_percent.zip(fill.share_of_subject_percent);
    let (over, shares) = match subject {
        Some(shares) => ("subject", Some(shares)),
        None => ("frame", key.share_of_frame_percent.zip(fill.share_of_frame_percent)),
    };
    let Some(stops) = shares.and_then(|(a, b)| stops_of(a, b)) else {
        let why = "the share of the key or of the fill is not known";
        return Ratio { why_unknown: why.to_owned(), words: "not known".to_owned(), ..named };
    };
    let reach = widths(key).zip(widths(fill)).map(|(key, fill)| spread(key, fill));
    let alone = libm::exp2(stops);
    Ratio {
        stops: Some(stops),
        stops_low: reach.map(|(below, _)| stops - below),
        stops_high: reach.map(|(_, above)| stops + above),
        over: over.to_owned(),
        words: format!(
            "{} {}: {} light against light, {} as both against the fill",
            words::stops_unit(stops),
            if over == "subject" { "on the subject" } else { "over the frame" },
            to_one(alone),
            to_one(alone + 1.0),
        ),
        ..named
    }
}

fn key_to_ambient(burning: &[Burning], ambient: &AmbientState) -> Ratio {
    let blank = Ratio { what: "key to ambient".to_owned(), to: "ambient".to_owned(), ..Ratio::default() };
    let unknown = |why: &str| Ratio { why_unknown: why.to_owned(), words: "not known".to_owned(), ..blank.clone() };
    let key = match key(burning) {
        Ok((_, key)) => key,
        Err(why) => return unknown(why),
    };
    let named = Ratio { of: key.light.clone(), ..blank.clone() };
    // The ambient's share is told over the frame only.
    let shares = key.share_of_frame_percent.zip(ambient.share_percent);
    let Some(stops) = shares.and_then(|(a, b)| stops_of(a, b)) else {
        let why = "the share of the key or of the ambient is not known";
        return Ratio { why_unknown: why.to_owned(), words: "not known".to_owned(), ..named };
    };
    let of_ambient = match (ambient.stops, ambient.stops_low, ambient.stops_high) {
        (Some(value), Some(low), Some(high)) => Some((value - low, high - value)),
        _ => None,
    };
    let reach = widths(key).zip(of_ambient).map(|(key, ambient)| spread(key, ambient));
    let alone = libm::exp2(stops);
    let at_least = if ambient.at_most { "at least " } else { "" };
    Ratio {
        stops: Some(stops),
        stops_low: reach.map(|(below, _)| stops - below),
        // An ambient that is at most so much leaves the ratio open upwards.
        stops_high: reach.filter(|_| !ambient.at_most).map(|(_, above)| stops + above),
        over: "frame".to_owned(),
        words: format!(
            "{at_least}{} over the frame: {} light against light, {} as both against the ambient",
            words::stops_unit(stops),
            to_one(alone),
            to_one(alone + 1.0),
        ),
        ..named
    }
}

/// How many stops one share is over the other; None where one of them is nothing.
fn stops_of(a: f64, b: f64) -> Option<f64> {
    Some(libm::log2(a / b)).filter(|s| s.is_finite())
}

/// How far the interval reaches below and above the figure; None where no interval is known.
fn widths(state: &LightState) -> Option<(f64, f64)> {
    match (state.stops, state.stops_low, state.stops_high) {
        (Some(value), Some(low), Some(high)) => Some((value - low, high - value)),
        _ => None,
    }
}

/// The reach of a difference of figures that err apart: the roots of the sums of squares. A difference falls where
/// its first part falls or its second rises, so the second part's ends change places.
fn spread((below, above): (f64, f64), (low, high): (f64, f64)) -> (f64, f64) {
    (libm::sqrt(below * below + high * high), libm::sqrt(above * above + low * low))
}

/// "4:1", "1.4:1", "1:2".
fn to_one(ratio: f64) -> String {
    let short = |r: f64| {
        let text = if r < 9.95 { format!("{r:.1}") } else { format!("{r:.0}") };
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    };
    if ratio >= 1.0 { format!("{}:1", short(ratio)) } else { format!("1:{}", short(1.0 / ratio)) }
}
