//! What stands after the last lighting: all settings in one table, how to read the figures, what is not known, and the
//! cautions.

use super::document::{Block, Chapter, Table, Text};
use super::{method, next_time};
use crate::report::cautions::CAUTIONS;
use crate::report::{Report, StageRow, words};

/// The closing chapters.
pub fn chapters(report: &Report) -> Vec<Chapter> {
    let mut chapters = Vec::new();
    if !report.stages.is_empty() {
        chapters.push(Chapter { heading: "Settings".to_owned(), blocks: vec![Block::Table(settings(report))] });
    }
    chapters.extend(next_time::chapter(&report.next_time));
    chapters.extend(method::chapter(report));
    if !report.not_known.is_empty() {
        chapters.push(Chapter {
            heading: "Not known, and how to make it known".to_owned(),
            blocks: vec![Block::List(not_known(report))],
        });
    }
    let caution = |c: &crate::report::cautions::Caution| {
        Block::Paragraph(Text::led(format!("{}.", c.about), format!(" {}", c.text)))
    };
    chapters.push(Chapter { heading: "Cautions".to_owned(), blocks: CAUTIONS.iter().map(caution).collect() });
    chapters
}

fn settings(report: &Report) -> Table {
    let head = ["Stage", "Lighting", "From", "Camera", "Settings as marked", "Lens", "Shots", "Level as shot"];
    let figures = [true, true, false, false, false, false, true, true];
    let known = |text: &str| if text.is_empty() { words::NOT_KNOWN.to_owned() } else { text.to_owned() };
    let cells = |stage: &StageRow| {
        vec![
            stage.stage.to_string(),
            stage.lighting.map_or_else(String::new, |number| number.to_string()),
            words::moment(&stage.started).map_or_else(|| words::NOT_KNOWN.to_owned(), |moment| moment.clock_seconds),
            if report.summary.cameras > 1 { known(&stage.camera) } else { String::new() },
            known(&stage.settings),
            known(&words::lens(&stage.lens, stage.focal_length_mm)),
            stage.frames.to_string(),
            stage.mean_luminance_stops.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops_unit),
        ]
    };
    Table {
        caption: "The settings of every stage, as marked".to_owned(),
        head: head.map(str::to_owned).to_vec(),
        figures: figures.to_vec(),
        rows: report.stages.iter().map(cells).collect(),
        wordy: false,
    }
    .without_empty_columns()
}

fn not_known(report: &Report) -> Vec<Text> {
    let sentence = |clause: &str| words::capital(clause.trim_end_matches('.'));
    let point = |row: &crate::report::NotKnown| {
        Text::plain(format!(
            "{}. {}. Why: {}.",
            sentence(&row.what),
            sentence(&row.remedy),
            words::true_minus(row.why.trim_end_matches('.'))
        ))
    };
    report.not_known.iter().map(point).collect()
}
