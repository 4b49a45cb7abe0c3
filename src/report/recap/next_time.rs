//! The write-up's part about the next time: short sentences that stand by themselves, in groups under a heading each.
//!
//! They name lights and lightings, never files, so that they may be published as they are.

use super::document::{Block, Chapter, Text};
use crate::report::next_types::{AperturePrice, Gap, NextLighting, NextTime, PowerLeft, Statement};
use crate::report::words;

/// A heading and its sentences, plain text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Group {
    /// The heading.
    title: String,
    /// Its sentences, each with its full stop.
    sentences: Vec<String>,
}

/// What is said, in order; no group is empty. Less than the page says: what a reader can use.
fn groups(next: &NextTime) -> Vec<Group> {
    let mut groups: Vec<Group> = next.lightings.iter().map(|lighting| of_lighting(next, lighting)).collect();
    groups.push(Group { title: "Time to recycle, as seen".to_owned(), sentences: recycled(&next.gaps) });
    groups.retain(|group| !group.sentences.is_empty());
    groups
}

fn of_lighting(next: &NextTime, lighting: &NextLighting) -> Group {
    let number = lighting.lighting;
    let powers: Vec<&PowerLeft> = next.powers.iter().filter(|row| row.lighting == number).collect();
    let mut sentences = left(&powers);
    let of = |rows: &[Statement]| rows.iter().filter(|row| row.lighting == Some(number)).map(said).collect::<Vec<_>>();
    sentences.extend(of(&next.ambient));
    sentences.extend(of(&next.guide_numbers));
    if lighting.chosen.starts_with("most shot") {
        let near = |row: &&AperturePrice| row.lighting == number && row.light_stops.abs() < 1.05;
        sentences.extend(next.apertures.iter().filter(near).map(price));
    }
    Group { title: format!("Lighting {number}, {}, at {}", lighting.chosen, lighting.settings), sentences }
}

/// "Power left up to 1/1: key 3.0 stops, rim none." and who is not known.
fn left(powers: &[&PowerLeft]) -> Vec<String> {
    let amount = |stops: f64| {
        if stops < 0.05 { "none".to_owned() } else { words::stops_unit(stops).trim_start_matches('+').to_owned() }
    };
    let known: Vec<String> =
        powers.iter().filter_map(|row| Some(format!("{} {}", row.light, amount(row.up.value?)))).collect();
    let not: Vec<&str> = powers.iter().filter(|row| row.up.value.is_none()).map(|row| row.light.as_str()).collect();
    let first = (!known.is_empty()).then(|| sentence(&format!("Power left up to 1/1: {}", known.join(", "))));
    let second = (!not.is_empty())
        .then(|| sentence(&format!("Power left is not known for {}: no power is noted", words::and_list(&not))));
    first.into_iter().chain(second).collect()
}

fn price(row: &AperturePrice) -> String {
    let goes = if row.light_stops < 0.0 { "up" } else { "down" };
    let by = words::stops_unit(row.light_stops.abs());
    let by = by.trim_start_matches('+');
    let apart: Vec<String> = row
        .powers
        .iter()
        .filter(|one| !one.remark.is_empty())
        .map(|one| {
            let runs_out = if one.missing_stops > 0.0 { " runs out" } else { "" };
            format!("{}{runs_out}: {}", one.light, one.remark)
        })
        .collect();
    let who = if apart.is_empty() {
        if goes == "up" { "none runs out" } else { "none lower than it was used" }.to_owned()
    } else {
        apart.join(", ")
    };
    let filter = if row.filter_words.is_empty() { String::new() } else { format!("; or {}", row.filter_words) };
    sentence(&format!(
        "At {} instead of {} every light goes {goes} {by} ({who}), and {}; or {}{filter}",
        row.to, row.from, row.ambient_words, row.iso_words
    ))
}

/// The shortest gaps in full, and those after which a light failed.
fn recycled(rows: &[Gap]) -> Vec<String> {
    let at = |row: &Gap| if row.noted_power.is_empty() { String::new() } else { format!(" at {}", row.noted_power) };
    let full: Vec<String> = rows
        .iter()
        .filter_map(|row| Some(format!("{}{}, {}", row.light, at(row), words::duration(row.shortest_full_s?))))
        .collect();
    let failed: Vec<String> = rows
        .iter()
        .filter(|row| !row.failed_s.is_empty())
        .map(|row| {
            let gaps: Vec<String> = row.failed_s.iter().map(|gap| words::duration(*gap)).collect();
            format!("{}{} after {}", row.light, at(row), words::and_list(&gaps))
        })
        .collect();
    let full = (!full.is_empty())
        .then(|| sentence(&format!("Shortest gap after which each burned in full: {}", full.join("; "))));
    let failed = (!failed.is_empty()).then(|| sentence(&format!("Short or missing: {}", failed.join("; "))));
    full.into_iter().chain(failed).collect()
}

/// The chapter; None where nothing is said.
#[must_use]
pub fn chapter(next: &NextTime) -> Option<Chapter> {
    let groups = groups(next);
    let mut blocks = vec![Block::paragraph("What the figures of this shoot leave room for; no forecast.")];
    for group in &groups {
        blocks.push(Block::Heading(group.title.clone()));
        blocks.push(Block::List(group.sentences.iter().map(Text::plain).collect()));
    }
    (!groups.is_empty()).then(|| Chapter { heading: "Next time".to_owned(), blocks })
}

fn said(row: &Statement) -> String {
    if row.why_unknown.is_empty() {
        // A light's name stays as it was typed.
        let words = if row.about == "ambient" { words::capital(&row.words) } else { row.words.clone() };
        return sentence(&words);
    }
    let of = if row.about == "ambient" {
        "How far the ambient may rise".to_owned()
    } else {
        format!("What the guide number of {} says", row.about)
    };
    sentence(&format!("{of} is not known: {}", row.why_unknown))
}

fn sentence(clause: &str) -> String {
    let text = words::true_minus(clause);
    if text.ends_with('.') { text } else { format!("{text}.") }
}
