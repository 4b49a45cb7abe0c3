//! `recap.md`: the write-up of a shoot in CommonMark, stage by stage, with its pictures.
//!
//! Every text that came from a file passes [`words::markdown`], so nothing in it can become markup.

use std::fmt::Write as _;

use std::sync::Arc;

use super::cautions;
use super::{Report, StageAccount, StageRow, recap_light, words};

/// The write-up and the pictures it shows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recap {
    /// CommonMark text.
    pub markdown: String,
    /// Paths relative to the write-up, as it names them (`recap/stage-01.jpg`), with JPEG bytes.
    pub pictures: Vec<(String, Arc<[u8]>)>,
}

/// Writes the recap.
#[must_use]
pub fn render(report: &Report) -> Recap {
    let mut recap = Recap { markdown: opening(report), pictures: Vec::new() };
    for stage in &report.stages {
        recap.markdown.push_str(&heading(report, stage));
        if let Some(picture) = picture(report, stage) {
            let name = format!("recap/stage-{:02}.jpg", stage.stage);
            let frame = frame(report, stage.detail.typical_index);
            recap.markdown.push_str(&format!("![Stage {}, frame {frame}]({name})\n\n", stage.stage));
            recap.pictures.push((name, picture));
        }
        recap.markdown.push_str(&account(stage));
        recap.markdown.push_str(&recap_light::of_stage(stage));
    }
    recap_light::alone(report, &mut recap);
    recap.markdown.push_str(&settings_table(report));
    recap.markdown.push_str(&super::recap_next::section(&report.next_time));
    recap.markdown.push_str(&not_known(report));
    recap.markdown.push_str(&format!("## Cautions\n\n{}", cautions::markdown()));
    recap
}

fn opening(report: &Report) -> String {
    let summary = &report.summary;
    let mut text = format!("# {}\n\n", words::markdown(&report.shoot));
    if summary.shots == 0 {
        text.push_str("No shot was found in this folder.\n\n");
        return text;
    }
    let cameras =
        format!("{} {}", words::spelled(summary.cameras), if summary.cameras == 1 { "camera" } else { "cameras" });
    text.push_str(&format!(
        "{} by {cameras} in {}{}. ",
        words::count(summary.shots, "shot", "shots"),
        words::count(summary.stages, "stage", "stages"),
        span(report),
    ));
    if summary.cameras > 1 {
        text.push_str(
            "The order across cameras is not known: two bodies without a shared moment are not put in one order. ",
        );
    }
    if let Some(count) = &report.keeper_count {
        let sentence = |clause: &str| words::markdown(&words::capital(clause));
        text.push_str(&format!("{}. {}.\n\n", sentence(&count.summary), sentence(&count.comparison)));
        if !count.caution.is_empty() {
            text.push_str(&format!("{}.\n\n", sentence(&count.caution)));
        }
        text.push_str(&format!("{}\n\n", words::markdown(&count.rule)));
    }
    text.push_str(
        "Each stage says what was changed, what the settings did in stops and what the lights or the scene did beyond them. \
         Levels are mean luminance of the whole picture against mid-grey.\n\n",
    );
    text
}

fn span(report: &Report) -> String {
    let moment = |iso: &Option<String>| iso.as_deref().and_then(words::moment);
    match (moment(&report.summary.from), moment(&report.summary.to)) {
        (Some(from), Some(to)) if from.day == to.day => {
            format!(", {}, {} to {}", from.day, from.clock, to.clock)
        }
        (Some(from), Some(to)) => {
            format!(", {}, {} to {}, {}", from.day, from.clock, to.day, to.clock)
        }
        _ => String::new(),
    }
}

fn frame(report: &Report, place: usize) -> String {
    words::markdown(report.frames.get(place).map_or("", |row| words::file_name(&row.frame)))
}

fn picture(report: &Report, stage: &StageRow) -> Option<Arc<[u8]>> {
    Some(report.pictures.get(stage.detail.typical_index)?.as_ref()?.preview.jpeg.clone())
}

fn heading(report: &Report, stage: &StageRow) -> String {
    let changed = words::markdown(&words::true_minus(&words::capital(&stage.detail.headline)));
    let clock = words::moment(&stage.started).map_or_else(String::new, |moment| format!(" ({})", moment.clock));
    let mut text = format!("## {}. {changed}{clock}\n\n", stage.stage);
    let camera = if report.summary.cameras > 1 { format!("{}; ", known(&stage.camera)) } else { String::new() };
    text.push_str(&format!(
        "{camera}{}; {}; {}",
        known(&stage.settings),
        known(&lens(stage)),
        words::count(stage.frames, "shot", "shots"),
    ));
    if let Some(first) = stage.detail.first_met_in_stage {
        text.push_str(&format!("; the same setup as stage {first}"));
    }
    // Of tests of the build no keeper is expected: nothing is said of them.
    if let Some(kept) = words::Kept::of(stage).filter(|kept| !kept.nothing()) {
        text.push_str(&format!("; {}", kept.words()));
    }
    text.push_str(".\n\n");
    text.push_str(&kept_of_lighting(report, stage));
    text
}

/// "Lighting 14, stages 16 to 18: 4 keepers of 8 series.", at the first of its stages; nothing where it has one stage only,
/// which says it already, or no keeper.
fn kept_of_lighting(report: &Report, stage: &StageRow) -> String {
    let row = report.lightings.iter().find(|row| row.detail.stage_numbers.first() == Some(&stage.stage));
    let Some(row) = row.filter(|row| row.detail.stage_numbers.len() > 1) else { return String::new() };
    let Some(kept) = words::Kept::of_lighting(row).filter(|kept| kept.keepers > 0) else { return String::new() };
    let numbers = &row.detail.stage_numbers;
    let stages = match (numbers.first(), numbers.last()) {
        (Some(first), Some(last)) if numbers.len() > 2 && (*first..=*last).eq(numbers.iter().copied()) => {
            format!("{first} to {last}")
        }
        _ => words::and_list(&numbers.iter().map(u32::to_string).collect::<Vec<_>>()),
    };
    format!("Lighting {}, stages {stages}: {}.\n\n", row.lighting, kept.words())
}

/// Escaped text, or the words that it is not known.
fn known(text: &str) -> String {
    if text.is_empty() { words::NOT_KNOWN.to_owned() } else { words::markdown(text) }
}

fn lens(stage: &StageRow) -> String {
    words::lens(&stage.lens, stage.focal_length_mm)
}

fn account(stage: &StageRow) -> String {
    let Some(account) = &stage.detail.account else {
        let level = stage.mean_luminance_stops.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops_unit);
        return format!("The account begins here, at {level}.\n\n");
    };
    let mut text = String::new();
    for line in &account.lines {
        let effect = match (line.flash_stops, line.ambient_stops) {
            (Some(flash), Some(ambient)) if words::stops(flash) == words::stops(ambient) => words::stops_unit(flash),
            (Some(flash), Some(ambient)) => {
                format!("{} on flash, {} on ambient", words::stops_unit(flash), words::stops_unit(ambient))
            }
            _ => words::NOT_KNOWN.to_owned(),
        };
        let setting = words::markdown(&words::capital(&line.setting));
        text.push_str(&format!(
            "- {setting} {} to {}: {effect}\n",
            words::markdown(&line.from),
            words::markdown(&line.to)
        ));
    }
    if account.lines.is_empty() {
        text.push_str("- Settings unchanged\n");
    }
    text.push_str(&format!("- Beyond the settings: {}\n", beyond(account)));
    let part = |value: Option<f64>| value.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops_unit);
    text.push_str(&format!(
        "- Level as shot: {} before, {} now\n\n",
        part(account.brought_forward_stops),
        part(account.stands_at_stops),
    ));
    text
}

fn beyond(account: &StageAccount) -> String {
    let why = if account.why_unknown.is_empty() {
        String::new()
    } else {
        format!("; {}", words::markdown(&account.why_unknown))
    };
    match (account.light_stops, account.light_stops_low, account.light_stops_high) {
        (Some(stops), _, _) => words::stops_unit(stops),
        (None, Some(low), Some(high)) => format!("{}{why}", words::stops_between(low, high)),
        _ => format!("{}{why}", words::NOT_KNOWN),
    }
}

fn settings_table(report: &Report) -> String {
    if report.stages.is_empty() {
        return String::new();
    }
    let mut text = "## Settings\n\n| Stage | From | Settings as marked | Lens | Shots | Level as shot |\n|---:|---|---|---|---:|---:|\n".to_owned();
    for stage in &report.stages {
        // Writing to a String cannot fail.
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {} |",
            stage.stage,
            words::moment(&stage.started).map_or_else(|| words::NOT_KNOWN.to_owned(), |moment| moment.clock_seconds),
            known(&stage.settings),
            known(&lens(stage)),
            stage.frames,
            stage.mean_luminance_stops.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops_unit),
        );
    }
    text.push('\n');
    text
}

fn not_known(report: &Report) -> String {
    if report.not_known.is_empty() {
        return String::new();
    }
    let mut text = "## Not known, and how to make it known\n\n".to_owned();
    for row in &report.not_known {
        let sentence = |clause: &str| words::markdown(&words::capital(clause.trim_end_matches('.')));
        text.push_str(&format!(
            "- {}. {}. Why: {}.\n",
            sentence(&row.what),
            sentence(&row.remedy),
            words::markdown(row.why.trim_end_matches('.'))
        ));
    }
    text.push('\n');
    text
}
