//! The main job as a list of named steps.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::assemble::{self, Counted, Parts, boards};
use crate::audit::{self, Shoot};
use crate::keepers::count;
use crate::keepers::given::{self, Asked, KeepersError};
use crate::light;
use crate::next_time::Heads;
use crate::notes::{self, NotesError, SubjectBox};
use crate::prints;
use crate::ratings::plan::{self, Wish};
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
    /// The photographer's choice.
    pub keepers: Option<Asked>,
    /// Corrections of camera clocks.
    pub clocks: Clocks,
    /// What is said of the lights beside the notes.
    pub heads: Heads,
    /// The shortest exposure time, in seconds, at which the whole frame is open for a flash.
    pub sync_time_s: f64,
    /// Long side of the large pictures of page and recap, in pixels.
    pub print_side: u16,
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
            keepers: None,
            clocks: Clocks::default(),
            heads: Heads::default(),
            sync_time_s: DEFAULT_SYNC_TIME_S,
            print_side: PRINT_SIDE,
            method: light::Method::default(),
        }
    }
}

/// Sync speed when the user does not say: 1/250 s, the fastest that focal-plane shutters commonly reach.
pub const DEFAULT_SYNC_TIME_S: f64 = 1.0 / 250.0;

/// Long side of the large pictures when the user does not say, in pixels: a column of text on a sharp screen.
pub const PRINT_SIDE: u16 = 1000;

/// Why there is no report.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The user ended the run.
    #[error(transparent)]
    Stopped(#[from] Stopped),
    /// The light notes that were asked for cannot be opened.
    #[error(transparent)]
    Notes(#[from] NotesError),
    /// The keepers that were asked for cannot be used.
    #[error(transparent)]
    Keepers(#[from] KeepersError),
}

/// The report, and what follows from it beyond the report.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The report.
    pub report: Report,
    /// The sidecars of the keepers, for ratings to be written when asked.
    pub wishes: Vec<Wish>,
}

/// Reads the folder of a shoot and accounts for it. `watch` hears of files found and done.
pub fn analyse(request: &Request, watch: &dyn Watch) -> Result<Report, Failure> {
    account(request, watch).map(|outcome| outcome.report)
}

/// The same with what follows beyond the report.
pub fn account(request: &Request, watch: &dyn Watch) -> Result<Outcome, Failure> {
    let opened = given::open(request.keepers.as_ref(), &request.folder)?;
    let left_out: Vec<&Path> = request.report.as_deref().into_iter().chain(opened.folder()).collect();
    let found = walk::walk_beside(&request.folder, &left_out);
    let others = found.others_beside(&request.folder, request.notes.as_deref());
    let others = others.saturating_sub(opened.files_inside(&request.folder, &found));
    let counted = Counted { seen: found.seen(), not_rows: found.not_rows.len(), others };
    let typed = notes::read(found.notes.as_deref(), request.notes.as_deref())?;
    watch.files_found(found.files.len() + opened.pictures());
    let remarks = opened.remarks(&request.folder);
    let photos: BTreeMap<_, _> = found.files.iter().map(|f| (f.name.clone(), f.clone())).collect();
    let files = read::read(found.files, watch)?;
    let given = opened.read(&found.sidecars, watch)?;
    let (sequences, mut problems) = shots::assemble(files, &request.clocks);
    let notes = typed.settle(&sequences, &request.subjects);
    let ledger = light::tell(&sequences, &notes, request.sync_time_s, request.method);
    let stages = stages::split(&sequences, &ledger, request.sync_time_s);
    let cull = series::look(&sequences, &stages, &ledger, &notes.subjects, request.sync_time_s);
    let settled = given.settle(&sequences);
    let choice = settled.as_ref().map(|s| &s.choice);
    let count = count::count(choice, &cull.series, &sequences, &stages, &ledger);
    let findings = audit::audit(&Shoot {
        sequences: &sequences,
        stages: &stages,
        ledger: &ledger,
        cull: &cull,
        subjects: &notes.subjects,
        sync_time_s: request.sync_time_s,
    });
    problems.extend(found.obstacles.into_iter().chain(found.not_rows).chain(notes.problems.clone()).chain(remarks));
    problems.extend(settled.iter().flat_map(|s| s.problems.clone()));
    problems.extend(request.heads.problems(&ledger));
    let shoot = name_of(&request.folder);
    let parts = Parts {
        shoot,
        counted,
        sequences: &sequences,
        notes: &notes,
        ledger: &ledger,
        stages: &stages,
        cull: &cull,
        count: count.as_ref(),
        findings: &findings,
        problems: &problems,
        heads: &request.heads,
        sync_time_s: request.sync_time_s,
    };
    let mut report = assemble::assemble(&parts);
    let large = prints::open(&boards::wanted(&parts, &report, &photos), request.print_side);
    boards::fill(&parts, &large, &mut report);
    if let Some(settled) = &settled {
        let by_rating = matches!(given, given::Given::Ratings(..));
        assemble::keepers::fill(&mut report, &settled.choice, by_rating, &sequences, &stages);
    }
    report.notes_draft = (!notes.used).then(|| notes::draft(&sequences, &ledger));
    let choice = settled.map(|s| s.choice).unwrap_or_default();
    let paths = photos.into_iter().map(|(name, photo)| (name, photo.path)).collect();
    let wishes = plan::wishes(&choice, &sequences, &found.sidecars, &paths);
    Ok(Outcome { report, wishes })
}

/// The shoot's name: its folder's own name, also when that was given as `.`.
fn name_of(folder: &Path) -> String {
    let real = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    real.file_name().map_or_else(|| "shoot".to_owned(), |name| name.to_string_lossy().into_owned())
}
