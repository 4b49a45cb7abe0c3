//! The lights of a lighting as a table: role, noted power, strength, gel, modifier, where it stands; then what is off, the ambient
//! and the ratios.

use super::document::{Block, Table, Text};
use crate::report::light_types::{LightAccount, LightStand, LightState};
use crate::report::{LightingRow, Report, words};

/// The table and the points below it; nothing while the lights are not told apart.
pub fn blocks(report: &Report, row: &LightingRow) -> Vec<Block> {
    let account = &row.detail.light_account;
    if account.each_light.is_empty() && account.ambient.words.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::Heading("The lights".to_owned())];
    let table = table(report, row);
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
    let points = points(account);
    if !points.is_empty() {
        blocks.push(Block::List(points));
    }
    blocks
}

fn table(report: &Report, row: &LightingRow) -> Table {
    let account = &row.detail.light_account;
    let head = [
        "light",
        "role",
        "power",
        "strength",
        "share of the frame’s light",
        "share of the subject’s light",
        "gel",
        "modifier",
        "stands",
    ];
    let figures = [false, false, false, false, true, true, false, false, false];
    let set = account.each_light.iter().filter(|state| state.on != "no");
    Table {
        caption: format!("The lights of lighting {}", row.lighting),
        head: head.map(str::to_owned).to_vec(),
        figures: figures.to_vec(),
        rows: set
            .map(|state| cells(report, state, row.detail.stands.iter().find(|s| s.light_index == state.light_index)))
            .collect(),
        wordy: true,
    }
    .without_empty_columns()
}

fn cells(report: &Report, state: &LightState, stand: Option<&LightStand>) -> Vec<String> {
    let light = report.lights.get(state.light_index);
    let share = |percent: Option<f64>| percent.map_or_else(String::new, words::percent);
    vec![
        state.light.clone(),
        light.map_or_else(String::new, |light| light.role.clone()),
        power(state),
        strength(state, light.map_or("", |light| light.reference_frame.as_str())),
        share(state.share_of_frame_percent),
        share(state.share_of_subject_percent),
        state.gel.clone(),
        state.modifier.clone(),
        stand.map_or_else(String::new, |stand| stand.words.clone()),
    ]
}

/// "1/8"; "on or off not known"; "not noted".
fn power(state: &LightState) -> String {
    match (state.on.as_str(), state.noted_power.as_str()) {
        ("yes", "") => "not noted".to_owned(),
        ("yes", power) => words::true_minus(power),
        (_, "") => "on or off not known".to_owned(),
        (_, power) => format!("{}, on or off not known", words::true_minus(power)),
    }
}

/// "+0.6 stop (+0.5 to +0.7) against TS_0001.JPG", "its own reference", "not known".
fn strength(state: &LightState, reference: &str) -> String {
    let Some(stops) = state.stops else { return words::NOT_KNOWN.to_owned() };
    if [state.stops_low, state.stops_high].iter().all(|end| *end == Some(stops)) && stops == 0.0 {
        return "its own reference".to_owned();
    }
    let interval = match (state.stops_low, state.stops_high) {
        (Some(low), Some(high)) => format!(" ({} to {})", words::stops(low), words::stops(high)),
        _ => String::new(),
    };
    let against =
        if reference.is_empty() { String::new() } else { format!(" against {}", words::file_name(reference)) };
    format!("{}{interval}{against}", words::stops_unit(stops))
}

/// Off, what is not known, the ambient, the ratios.
fn points(account: &LightAccount) -> Vec<Text> {
    let named = |on: &str| -> Vec<&str> {
        account.each_light.iter().filter(|l| l.on == on).map(|l| l.light.as_str()).collect()
    };
    let off = named("no");
    let mut points = Vec::new();
    if !off.is_empty() {
        points.push(Text::plain(format!("Off: {}.", words::and_list(&off))));
    }
    let differs: Vec<&str> =
        account.each_light.iter().filter(|l| l.agrees == "differs").map(|l| l.light.as_str()).collect();
    if !differs.is_empty() {
        points.push(Text::plain(format!("The picture differs from the note: {}.", words::and_list(&differs))));
    }
    for state in account.each_light.iter().filter(|state| state.misfires > 0) {
        let shots = words::count(state.misfires, "shot", "shots");
        points.push(Text::plain(format!("{} was set on and did not burn in {shots}.", words::capital(&state.light))));
    }
    points.extend(reasons(account));
    if account.ambient.headroom_stops.is_some() {
        points.push(Text::plain(format!("Ambient: {}.", words::true_minus(&account.ambient.words))));
    }
    for ratio in account.ratios.iter().filter(|ratio| ratio.stops.is_some()) {
        let figure = words::true_minus(&ratio.words);
        points.push(Text::plain(format!("{}: {figure}.", words::capital(&ratio.name()))));
    }
    points
}

/// Each reason once, with the lights it holds for.
fn reasons(account: &LightAccount) -> Vec<Text> {
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for state in account.each_light.iter().filter(|l| l.on != "no" && !l.reason.is_empty() && !l.is_known()) {
        match groups.iter_mut().find(|(reason, _)| *reason == state.reason) {
            Some((_, lights)) => lights.push(&state.light),
            None => groups.push((&state.reason, vec![&state.light])),
        }
    }
    let said = |(reason, lights): (&str, Vec<&str>)| {
        Text::plain(format!("Not fully known of {}: {}.", words::and_list(&lights), words::true_minus(reason)))
    };
    groups.into_iter().map(said).collect()
}
