//! The main job as a list of named steps.

use std::path::{Path, PathBuf};

use crate::assemble::{self, Counted, Parts};
use crate::audit;
use crate::light;
use crate::notes::{self, NotesError, SubjectBox};
use crate::read::{self, Stopped, Watch};
use crate::report::Report;
use crate::series;
use crate::shots::{self, clock::Clocks};
use crate::stages;
use crate::walk;

/// What to analyse and how.
#[derive(Clone, Debug)]
pub struct Request {
    /// The folder of the shoot.
    pub folder: PathBuf,
    /// The report's folder where that lies inside the shoot: it is not walked.
    pub report: Option<PathBuf>,
    /// The light notes, where they are not the file of that name in the shoot's folder.
    pub notes: Option<PathBuf>,
    /// Subject boxes beside those of the notes, before which they go.
    pub subjects: Vec<SubjectBox>,
    /// Corrections of camera clocks.
    pub clocks: Clocks,
    /// The shortest exposure time, in seconds, at which the whole frame is open for a flash.
    pub sync_time_s: f64,
    /// How lights are told apart; anything but the default leaves a part of the computation out.
    pub method: light::Method,
}

impl Request {
    /// A folder as it is, with nothing else said.
    #[must_use]
    pub fn of(folder: PathBuf) -> Self {
        Self {
            folder,
            report: None,
            notes: None,
            subjects: Vec::new(),
            clocks: Clocks::default(),
            sync_time_s: DEFAULT_SYNC_TIME_S,
            method: light::Method::default(),
        }
    }
}

/// Sync speed when the user does not say: 1/250 s, the fastest that focal-plane shutters commonly reach.
pub const DEFAULT_SYNC_TIME_S: f64 = 1.0 / 250.0;

/// Why there is no report.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The user ended the run.
    #[error(transparent)]
    Stopped(#[from] Stopped),
    /// The light notes that were asked for cannot be opened.
    #[error(transparent)]
    Notes(#[from] NotesError),
}

/// Reads the folder of a shoot and accounts for it. `watch` hears of files found and done.
pub fn analyse(request: &Request, watch: &dyn Watch) -> Result<Report, Failure> {
    let found = walk::walk(&request.folder, request.report.as_deref());
    let others = found.others_beside(&request.folder, request.notes.as_deref());
    let counted = Counted { seen: found.seen(), not_rows: found.not_rows.len(), others };
    let typed = notes::read(found.notes.as_deref(), request.notes.as_deref())?;
    watch.files_found(found.files.len());
    let files = read::read(found.files, watch)?;
    let (sequences, mut problems) = shots::assemble(files, &request.clocks);
    let notes = typed.settle(&sequences, &request.subjects);
    let ledger = light::tell(&sequences, &notes, request.sync_time_s, request.method);
    let stages = stages::split(&sequences, &ledger, request.sync_time_s);
    let series = series::split(&sequences, &stages);
    let findings = audit::audit(&sequences, &stages, &ledger);
    problems.extend(found.obstacles.into_iter().chain(found.not_rows).chain(notes.problems));
    let shoot = name_of(&request.folder);
    let mut report = assemble::assemble(&Parts {
        shoot,
        counted,
        sequences: &sequences,
        ledger: &ledger,
        stages: &stages,
        series: &series,
        count: None,
        findings: &findings,
        problems: &problems,
    });
    report.notes_draft = (!notes.used).then(|| notes::draft(&sequences, &ledger));
    Ok(report)
}

/// The shoot's name: its folder's own name, also when that was given as `.`.
fn name_of(folder: &Path) -> String {
    let real = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    real.file_name().map_or_else(|| "shoot".to_owned(), |name| name.to_string_lossy().into_owned())
}
