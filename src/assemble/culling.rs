//! The rows of culling.csv: how each shot stands among its own, in words and figures.

use crate::exposure::words;
use crate::report::CullingRow;
use crate::series::Series;
use crate::series::standing::{Place, Standing};
use crate::shots::Shot;

use super::Parts;

/// What is said where nothing is to be said.
const NOTHING: &str = "nothing to remark";

/// A row per shot, cameras one after the other.
pub fn rows(parts: &Parts) -> Vec<CullingRow> {
    let mut rows = Vec::new();
    for (s, (sequence, places)) in parts.sequences.iter().zip(&parts.stages.shots).enumerate() {
        let names: Vec<&str> = parts
            .ledger
            .sequences
            .get(s)
            .map(|l| l.lights.iter().map(|l| l.name.as_str()).collect())
            .unwrap_or_default();
        let standings = parts.cull.standings.get(s).into_iter().flatten();
        for (index, ((shot, place), standing)) in sequence.shots.iter().zip(places).zip(standings).enumerate() {
            let number = parts.cull.series.of(s, index);
            let own = number.and_then(|n| parts.cull.series.series.get((n as usize).checked_sub(1)?));
            let mut row = row(shot, standing, &names, own);
            row.series = number;
            row.shot_in_series = own.and_then(|o| o.shots.iter().position(|shot| *shot == index)).map(|at| at + 1);
            row.shots_in_series = own.map(|o| o.shots.len());
            row.stage = place.stage;
            row.lighting = parts.ledger.lighting(s, index);
            rows.push(row);
        }
    }
    rows
}

fn row(shot: &Shot, standing: &Standing, names: &[&str], series: Option<&Series>) -> CullingRow {
    let (standing_words, reasons): (Vec<String>, Vec<String>) =
        remarks(shot, standing, names, series).into_iter().unzip();
    let listed = |lights: &mut dyn Iterator<Item = usize>| {
        lights.filter_map(|l| names.get(l)).map(|n| n.replace(';', ",")).collect::<Vec<_>>().join(";")
    };
    CullingRow {
        frame: shot.frame.clone(),
        standing: if standing_words.is_empty() { NOTHING.to_owned() } else { standing_words.join(";") },
        reasons: reasons.join(";"),
        sharpness_of_sharpest_percent: standing.focus.map(|f| 100.0 * f.of_sharpest),
        sharpness_measured_on: standing.focus.map(|f| on(f.on_subject).to_owned()).unwrap_or_default(),
        misfires: listed(&mut standing.missed.iter().copied()),
        short_lights: listed(&mut standing.short.iter().map(|(light, ..)| *light)),
        veil_stops: standing.veil.map(|v| v.stops()),
        band_percent: standing.band.map(|b| 100.0 * b.share),
        ..CullingRow::default()
    }
}

fn on(subject: bool) -> &'static str {
    if subject { "subject" } else { "frame" }
}

/// Remarks with their reasons.
fn remarks(shot: &Shot, standing: &Standing, names: &[&str], series: Option<&Series>) -> Vec<(String, String)> {
    let name = |light: usize| names.get(light).map(|n| n.replace(';', ",")).unwrap_or_default();
    let mut all = Vec::new();
    if shot.measurement.is_none() {
        all.push(("not measured".to_owned(), "see problems.csv".to_owned()));
    }
    if standing.none_burned {
        let reason = "all lights that were set on are missing: closed or late shutter, or trigger; cause not recorded";
        all.push(("no flash".to_owned(), reason.to_owned()));
    }
    for light in &standing.missed {
        all.push((format!("misfire of {}", name(*light)), "set on, and the picture shows none of it".to_owned()));
    }
    for (light, stops, gap) in &standing.short {
        let gap = gap.map_or_else(
            || "after a gap that is not known".to_owned(),
            |g| format!("{} after it last burned", seconds(shot, g)),
        );
        all.push((
            format!("{} short", name(*light)),
            format!("weaker by {} {} than usual at this setting, {gap}", size(*stops), words::unit(*stops)),
        ));
    }
    if let Some(focus) = standing.focus.filter(|f| matches!(f.place, Place::Sharpest | Place::Softest)) {
        let place = if focus.place == Place::Sharpest { "sharpest" } else { "softest" };
        let detail = format!(
            "{:.0} % of the detail of its sharpest shot, over the {}",
            100.0 * focus.of_sharpest,
            on(focus.on_subject)
        );
        let among = series.map(|own| format!("of {} shots, ", own.shots.len())).unwrap_or_default();
        all.push((format!("{place} of its series"), format!("{among}{detail}")));
    }
    for (channel, percent) in &standing.clipped {
        let name = ["red", "green", "blue"].get(*channel).copied().unwrap_or_default();
        all.push((format!("{name} clipped"), format!("{percent:.1} % of all pixels")));
    }
    if let Some(veil) = standing.veil {
        let reason = format!(
            "the darkest places stand {} {} above those of the series; breath, flare, rain or dust: cause not recorded",
            size(veil.stops()),
            words::unit(veil.stops())
        );
        all.push(("veil".to_owned(), reason));
    }
    if let Some(band) = standing.band {
        let reason = format!(
            "{:.0} % of the picture, {} {} against slower shots of the scene",
            100.0 * band.share,
            words::stops(band.stops),
            words::unit(band.stops)
        );
        all.push((format!("dark band at the {}", band.edge.word()), reason));
    }
    all
}

/// A figure in stops without its sign.
fn size(stops: f64) -> String {
    format!("{:.1}", stops.abs())
}

/// A gap as exactly as the camera's clock tells it.
fn seconds(shot: &Shot, gap: f64) -> String {
    let exact = shot.taken.as_ref().is_some_and(|t| t.fraction_digits > 0);
    if exact { format!("{gap:.1} s") } else { format!("{gap:.0} s (±1 s)") }
}
