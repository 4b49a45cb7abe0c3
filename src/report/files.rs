//! The report as a set of named bytes, complete in memory before the first of them is written.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::json;

use super::charts::{self, ChartError};
use super::columns::{CULLING, FINDINGS, FRAMES, KEEPER_COUNT, KEEPERS, LIGHT_LEDGER, LIGHTING, PROBLEMS, STAGES};
use super::csv::{self, CsvError};
use super::{FrameRow, Report, page, recap};

/// Every file of a report: path relative to the report's folder, `/` separated, and its bytes.
pub type Files = BTreeMap<String, Arc<[u8]>>;

/// Why the files could not be made. Each is a defect of this program.
#[derive(Debug, thiserror::Error)]
pub enum FilesError {
    /// A table.
    #[error(transparent)]
    Csv(#[from] CsvError),
    /// A chart.
    #[error(transparent)]
    Chart(#[from] ChartError),
    /// The account for programs.
    #[error("writing shoot.json failed: {0}")]
    Json(#[from] serde_json::Error),
}

/// Makes all files of a report. The same report gives the same bytes.
pub fn files(report: &Report) -> Result<Files, FilesError> {
    let mut files = Files::new();
    let mut add = |name: String, bytes: Arc<[u8]>| files.insert(name, bytes);
    add(FRAMES.file.to_owned(), csv::table(&FRAMES, &report.frames)?.into());
    add(CULLING.file.to_owned(), csv::table(&CULLING, &report.culling)?.into());
    add(STAGES.file.to_owned(), csv::table(&STAGES, &report.stages)?.into());
    add(LIGHTING.file.to_owned(), csv::table(&LIGHTING, &report.lightings)?.into());
    add(LIGHT_LEDGER.file.to_owned(), csv::table(&LIGHT_LEDGER, &report.light_ledger)?.into());
    add(KEEPERS.file.to_owned(), csv::table(&KEEPERS, &report.keepers)?.into());
    add(FINDINGS.file.to_owned(), csv::table(&FINDINGS, &report.findings)?.into());
    add(PROBLEMS.file.to_owned(), csv::table(&PROBLEMS, &report.problems)?.into());
    if let Some(count) = &report.keeper_count {
        add(KEEPER_COUNT.file.to_owned(), csv::table(&KEEPER_COUNT, &count.rows)?.into());
    }
    if let Some(draft) = &report.notes_draft {
        add("light-notes-draft.csv".to_owned(), draft.as_bytes().into());
    }
    let mut json = serde_json::to_vec_pretty(report)?;
    json.push(b'\n');
    add(super::SHOOT_JSON.to_owned(), json.into());
    add_reading(report, &mut files)?;
    Ok(files)
}

/// The files of a report that is published: what is read, and the mark by which its folder is known again. Tables and the
/// account for programs are for those who have the files.
pub fn published(report: &Report) -> Result<Files, FilesError> {
    let mut files = Files::new();
    let frame =
        |row: &FrameRow| json!({ "frame": row.frame, "taken": row.taken, "mean_luminance": row.mean_luminance });
    let mark = json!({
        "generator": report.generator,
        "schema": report.schema,
        "frames": report.frames.iter().map(frame).collect::<Vec<_>>(),
    });
    let mut mark = serde_json::to_vec_pretty(&mark)?;
    mark.push(b'\n');
    files.insert(super::PUBLISHED_JSON.to_owned(), mark.into());
    add_reading(report, &mut files)?;
    Ok(files)
}

/// Page, charts and recap.
fn add_reading(report: &Report, files: &mut Files) -> Result<(), FilesError> {
    let mut add = |name: String, bytes: Arc<[u8]>| files.insert(name, bytes);
    let charts = charts::draw(report)?;
    add("report.html".to_owned(), page::render(report, &charts).into_bytes().into());
    for chart in charts {
        add(format!("charts/{}.svg", chart.name), chart.svg.into_bytes().into());
        add(format!("charts/{}.png", chart.name), chart.png.into());
    }
    let recap = recap::render(report);
    add("recap.md".to_owned(), recap.markdown.into_bytes().into());
    add("recap.html".to_owned(), recap.html.into_bytes().into());
    for (name, jpeg) in recap.pictures {
        add(name, jpeg);
    }
    Ok(())
}
