//! Turns what was found into the plain rows and words of the report. The last step that computes anything.

mod ambient;
pub mod boards;
mod culling;
mod develop;
mod frames;
mod keeper_count;
pub mod keepers;
mod ledger;
mod light_account;
mod light_pictures;
mod lightings;
mod lights;
mod next_time;
mod not_known;
mod not_known_light;
pub mod publish;
mod ratios;
mod seen;
mod shows;
mod stages;
mod stands;
mod texts;

use std::collections::{BTreeMap, BTreeSet};

use crate::audit::Finding;
use crate::keepers::count::Count;
use crate::light::LightLedger;
use crate::next_time::Heads;
use crate::notes::LightNotes;
use crate::problem::{Problem, Weight};
use crate::report::board_types::Boards;
use crate::report::next_types::NextTime;
use crate::report::{FindingRow, FramePictures, GENERATOR, ProblemRow, Reference, Report, SCHEMA, Summary};
use crate::series::{AllSeries, Cull};
use crate::shots::Sequence;
use crate::stages::Stages;

/// What the walk counted, for the sentence that accounts for every file.
#[derive(Clone, Copy, Debug, Default)]
pub struct Counted {
    /// Files that end like a picture.
    pub seen: usize,
    /// Of these, files that could not become a row.
    pub not_rows: usize,
    /// Files left alone.
    pub others: usize,
}

/// Everything the steps before found.
#[derive(Debug)]
pub struct Parts<'a> {
    /// Name of the shoot.
    pub shoot: String,
    /// What the walk counted.
    pub counted: Counted,
    /// Shots by camera.
    pub sequences: &'a [Sequence],
    /// What the photographer noted.
    pub notes: &'a LightNotes,
    /// Which light did what.
    pub ledger: &'a LightLedger,
    /// Stages.
    pub stages: &'a Stages,
    /// Series, and how each shot stands in its own.
    pub cull: &'a Cull,
    /// Keepers counted; None where none were asked for.
    pub count: Option<&'a Count>,
    /// Findings.
    pub findings: &'a [Finding],
    /// Problems that belong to no shot.
    pub problems: &'a [Problem],
    /// What the photographer says of the lights beside the notes.
    pub heads: &'a Heads,
    /// The shortest exposure time, in seconds, at which the whole frame is open for a flash.
    pub sync_time_s: f64,
}

/// Makes the report.
#[must_use]
pub fn assemble(parts: &Parts) -> Report {
    let reference = stages::reference(parts.stages);
    let shots = || parts.sequences.iter().flat_map(|s| &s.shots);
    let mut stage_rows = stages::rows(parts.sequences, parts.stages, parts.ledger, reference.as_ref());
    for row in &mut stage_rows {
        row.series_count = series_in(&parts.cull.series, &[row.stage]);
        if let Some(count) = parts.count {
            keeper_count::stage(row, count);
        }
    }
    let mut lightings = lightings::rows(parts, &stage_rows);
    for row in &mut lightings {
        row.series_count = series_in(&parts.cull.series, &row.detail.stage_numbers);
        if let Some(count) = parts.count {
            keeper_count::lighting(row, count);
        }
    }
    stands::fill(parts, &mut lightings);
    shows::fill(parts, &mut lightings);
    let mut report = Report {
        generator: GENERATOR,
        schema: SCHEMA,
        shoot: parts.shoot.clone(),
        summary: summary(parts),
        reference: reference.map(|settings| Reference { marked: crate::exposure::words::settings(&settings) }),
        frames: frames::rows(parts.sequences, parts.stages, parts.ledger, parts.cull),
        culling: culling::rows(parts),
        stages: stage_rows,
        lightings,
        light_ledger: ledger::rows(parts.sequences, parts.stages, parts.ledger),
        lights: lights::details(parts.sequences, parts.ledger),
        light_by_camera: lights::by_camera(parts.sequences, parts.ledger),
        findings: parts.findings.iter().map(finding_row).collect(),
        problems: problem_rows(parts),
        keepers: Vec::new(),
        keeper_count: parts.count.map(keeper_count::report),
        not_known: not_known::list(parts),
        next_time: NextTime::default(),
        notes_draft: None,
        pictures: shots()
            .map(|s| {
                s.measurement
                    .as_ref()
                    .map(|m| FramePictures { preview: m.preview.clone(), thumbnail: m.thumbnail.clone() })
            })
            .collect(),
        light_pictures: Vec::new(),
        prints: BTreeMap::new(),
        boards: Boards::default(),
    };
    report.next_time = next_time::tell(parts, &report);
    light_pictures::fill(parts, &mut report);
    report
}

/// How many series these stages have; None while series are not told apart.
fn series_in(series: &AllSeries, stages: &[u32]) -> Option<u32> {
    let number = series.series.iter().filter(|s| stages.contains(&s.stage)).count();
    (!series.series.is_empty()).then(|| u32::try_from(number).unwrap_or(u32::MAX))
}

fn summary(parts: &Parts) -> Summary {
    let shots: Vec<_> = parts.sequences.iter().flat_map(|s| &s.shots).collect();
    let times = || shots.iter().filter_map(|s| s.taken.as_ref());
    Summary {
        shots: shots.len(),
        cameras: parts.sequences.len(),
        stages: parts.stages.stages.len(),
        files_seen: parts.counted.seen,
        companions: shots.iter().map(|s| s.companions.len()).sum(),
        files_without_row: parts.counted.not_rows,
        other_files: parts.counted.others,
        measured: shots.iter().filter(|s| s.measurement.is_some()).count(),
        from: times().min().map(frames::iso8601),
        to: times().max().map(frames::iso8601),
    }
}

fn finding_row(finding: &Finding) -> FindingRow {
    let entry = finding.code.entry();
    FindingRow {
        frame: finding.frame.clone(),
        stage: finding.stage,
        light: finding.light.clone(),
        code: entry.name.to_owned(),
        finding: finding.finding.clone(),
        evidence: finding.evidence.clone(),
        certainty: finding.certainty.clone(),
        remedy: entry.remedy.to_owned(),
    }
}

/// Problems of shots in shooting order, then of everything else, most pressing first within a file.
fn problem_rows(parts: &Parts) -> Vec<ProblemRow> {
    let in_frames: BTreeSet<&str> = parts
        .sequences
        .iter()
        .flat_map(|s| &s.shots)
        .flat_map(|s| s.companions.iter().chain([&s.frame]))
        .map(String::as_str)
        .collect();
    let of_shots = parts.sequences.iter().flat_map(|s| &s.shots).flat_map(|s| &s.problems);
    let all = of_shots.chain(parts.problems);
    all.map(|problem| {
        let entry = problem.code.entry();
        ProblemRow {
            file: problem.file.clone(),
            code: entry.name.to_owned(),
            problem: problem
                .detail
                .as_ref()
                .map_or_else(|| entry.text.to_owned(), |detail| format!("{} ({detail})", entry.text)),
            remedy: entry.remedy.to_owned(),
            weight: entry.weight.word().to_owned(),
            in_frames: if in_frames.contains(problem.file.as_str()) { "yes" } else { "no" }.to_owned(),
        }
    })
    .collect()
}

/// Whether the report has something that needs a look: decides between exit status 0 and 1.
#[must_use]
pub fn needs_a_look(report: &Report) -> bool {
    !report.findings.is_empty() || report.problems.iter().any(|p| p.weight != Weight::Note.word())
}
