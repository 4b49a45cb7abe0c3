//! Light by light: what each one gives by itself, beside the lighting without it and what that costs in stops.

use super::chapter::frame;
use super::document::{Block, Figure, Part, Text};
use super::pictures::{Gallery, Image};
use crate::report::light_types::{LightDetail, LightState, LitPicture, Without};
use crate::report::{LightingRow, Report, words};

/// The blocks of the lights that burn; nothing where none does.
pub fn blocks(report: &Report, row: &LightingRow, gallery: &mut Gallery) -> Vec<Block> {
    let burning: Vec<&LightState> = row.detail.light_account.each_light.iter().filter(|l| l.on == "yes").collect();
    if burning.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::Heading("Light by light, and without it".to_owned())];
    for state in burning {
        let without = row.detail.without.iter().find(|w| w.light_index == state.light_index);
        let figures: Vec<Figure> = [
            report.lights.get(state.light_index).and_then(|light| alone(report, state, light, gallery)),
            without.and_then(|without| left_out(report, row, without, gallery)),
        ]
        .into_iter()
        .flatten()
        .collect();
        if !figures.is_empty() {
            blocks.push(Block::Pictures(figures));
        }
        blocks.push(Block::Paragraph(sentence(row, state, without)));
    }
    blocks
}

/// A light by itself. Every lighting shows the same file: it is the light as in its reference frame.
fn alone(report: &Report, state: &LightState, light: &LightDetail, gallery: &mut Gallery) -> Option<Figure> {
    let small = || light.picture.and_then(|index| report.light_pictures.get(index));
    let own = light.print.as_ref().or_else(small)?;
    let file = gallery.add(&format!("light-{:02}", state.light_index + 1), Image::from(&own.picture));
    let shows = if light.shows.is_empty() { String::new() } else { format!(": {}", light.shows) };
    let how = if light.has_solo { "alone" } else { "alone, worked out" };
    Some(Figure {
        file,
        small: None,
        alt: format!("{} {how}{shows}{}", light.light, hatched(own.hatched_percent)),
        caption: format!("{}{}{}.", words::capital(&own.caption), brightened(own), hatched(own.hatched_percent)),
        part: Part::Alone,
    })
}

fn left_out(report: &Report, row: &LightingRow, without: &Without, gallery: &mut Gallery) -> Option<Figure> {
    let name = format!("lighting-{:02}-without-{:02}", row.lighting, without.light_index + 1);
    let named = gallery.without(report, without, &name)?;
    let sum = without.picture.and_then(|index| report.light_pictures.get(index));
    let shows = if without.shows.is_empty() { String::new() } else { format!("; {}", without.shows) };
    // A print is as bright as the shot; only the small picture of sums may be shown brighter.
    let remarks = match (&without.print, sum) {
        (Some(_), _) => hatched(without.print_hatched_percent),
        (None, Some(lit)) => format!("{}{}", brightened(lit), hatched(lit.hatched_percent)),
        (None, None) => String::new(),
    };
    let of_shot = row.detail.set_anew_index.filter(|_| without.print.is_some());
    let shown = match of_shot.map(|index| frame(report, index)).filter(|frame| !frame.is_empty()) {
        Some(frame) => words::capital(&frame),
        None => format!("Lighting {}", row.lighting),
    };
    Some(Figure {
        file: named.file,
        small: named.small,
        alt: format!("Lighting {} {}{shows}", row.lighting, words::true_minus(&without.words)),
        caption: format!("{shown} without {}, worked out in linear light{remarks}.", without.light),
        part: Part::Without,
    })
}

/// "**Rim** gives 53 % of the frame's light. Without rim: the frame 1.1 stops darker; most at the right of the frame."
fn sentence(row: &LightingRow, state: &LightState, without: Option<&Without>) -> Text {
    let share = |percent: Option<f64>, of: &str| percent.map(|p| format!("{} of the {of}’s light", words::percent(p)));
    let gives: Vec<String> =
        [share(state.share_of_frame_percent, "frame"), share(state.share_of_subject_percent, "subject")]
            .into_iter()
            .flatten()
            .collect();
    let gives =
        if gives.is_empty() { ": its share is not known.".to_owned() } else { format!(": {}.", gives.join(", ")) };
    let left = without.map_or_else(String::new, |w| {
        let shows = if w.shows.is_empty() { String::new() } else { format!("; {}", w.shows) };
        format!(" {}{shows}.", words::capital(&words::true_minus(&w.words)))
    });
    let only = row.detail.light_account.each_light.iter().filter(|l| l.on != "no").count() == 1;
    let ambient = if only && without.is_some() { " What is left is the ambient." } else { "" };
    Text::led(state.light.clone(), format!("{gives}{left}{ambient}"))
}

fn brightened(lit: &LitPicture) -> String {
    let size = |stops: f64| words::stops_unit(stops.abs()).trim_start_matches('+').to_owned();
    match lit.brightened_stops {
        s if !s.is_finite() || s.abs() < 0.05 => String::new(),
        s if s > 0.0 => format!(", shown {} brighter", size(s)),
        s => format!(", shown {} darker", size(s)),
    }
}

fn hatched(percent: f64) -> String {
    match percent {
        h if h > 0.0 => format!("; hatched where it is not known ({})", words::percent(h)),
        _ => String::new(),
    }
}
