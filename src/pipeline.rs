//! The main job as a list of named steps.

use std::path::{Path, PathBuf};

use crate::assemble::{self, Counted, Parts};
use crate::audit;
use crate::light;
use crate::notes::LightNotes;
use crate::read::{self, Stopped, Watch};
use crate::report::Report;
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
    /// Corrections of camera clocks.
    pub clocks: Clocks,
    /// The shortest exposure time, in seconds, at which the whole frame is open for a flash.
    pub sync_time_s: f64,
}

/// Sync speed when the user does not say: 1/250 s, the fastest that focal-plane shutters commonly reach.
pub const DEFAULT_SYNC_TIME_S: f64 = 1.0 / 250.0;

/// Reads the folder of a shoot and accounts for it. `watch` hears of files found and done.
pub fn analyse(request: &Request, watch: &dyn Watch) -> Result<Report, Stopped> {
    let found = walk::walk(&request.folder, request.report.as_deref());
    let counted = Counted { seen: found.seen(), not_rows: found.not_rows.len(), others: found.others };
    watch.files_found(found.files.len());
    let files = read::read(found.files, watch)?;
    let (sequences, mut problems) = shots::assemble(files, &request.clocks);
    let notes = LightNotes::default();
    let ledger = light::tell(&sequences, &notes, request.sync_time_s);
    let stages = stages::split(&sequences, &ledger, request.sync_time_s);
    let findings = audit::audit(&sequences, &stages, &ledger);
    problems.extend(found.obstacles.into_iter().chain(found.not_rows));
    let shoot = name_of(&request.folder);
    Ok(assemble::assemble(&Parts {
        shoot,
        counted,
        sequences: &sequences,
        ledger: &ledger,
        stages: &stages,
        findings: &findings,
        problems: &problems,
    }))
}

/// The shoot's name: its folder's own name, also when that was given as `.`.
fn name_of(folder: &Path) -> String {
    let real = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    real.file_name().map_or_else(|| "shoot".to_owned(), |name| name.to_string_lossy().into_owned())
}
