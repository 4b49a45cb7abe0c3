//! Where a report goes: never beside the originals unless asked, never over another shoot's report or a user's folder.

use std::path::{Path, PathBuf};

use serde::Deserialize;

use super::{GENERATOR, PUBLISHED_JSON, Report, SHOOT_JSON};

/// Why a report cannot go where it was asked to.
#[derive(Debug, thiserror::Error)]
pub enum PlaceError {
    /// The report's folder is the shoot's folder or lies inside it.
    #[error("{} lies in the folder of the shoot, where nothing is written unasked; name another folder with --out, or add --inside-shoot to allow it", .0.display())]
    InsideShoot(PathBuf),
    /// The folder holds something that is no report.
    #[error("{} holds files that are no report of this tool and would be mixed with it; name an empty or a new folder with --out", .0.display())]
    NotAReport(PathBuf),
    /// The folder holds the report of another shoot.
    #[error("{} holds the report of another shoot; name another folder with --out", .0.display())]
    AnotherShoot(PathBuf),
    /// A published report would lie beside the tables of a full one.
    #[error("{} holds a full report, whose tables name your files; name another folder with --out for what is published", .0.display())]
    Full(PathBuf),
    /// A full report would lie in the folder of a published one.
    #[error("{} holds what was published, and a full report names your files; name another folder with --out", .0.display())]
    Published(PathBuf),
    /// The path is a file.
    #[error("{} is not a folder; name a folder with --out", .0.display())]
    NotAFolder(PathBuf),
}

/// Which report a folder is to hold. The two never share one: a published folder is handed on as it is, and the tables of
/// the other name every file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Everything, for the photographer.
    Full,
    /// What is published.
    Published,
}

impl Kind {
    fn mark(self) -> &'static str {
        match self {
            Self::Full => SHOOT_JSON,
            Self::Published => PUBLISHED_JSON,
        }
    }

    fn other(self) -> Self {
        match self {
            Self::Full => Self::Published,
            Self::Published => Self::Full,
        }
    }
}

/// The folder for this report of the shoot called `name`.
///
/// `asked` is the user's `--out`; without it the report goes to `reports/<name>` below the working folder, or to
/// `<name>-2`, `<name>-3`, … where that holds the report of another shoot.
pub fn place(
    report: &Report,
    (name, kind): (&str, Kind),
    shoot: &Path,
    asked: Option<&Path>,
    inside_shoot: bool,
) -> Result<PathBuf, PlaceError> {
    match asked {
        Some(folder) => {
            allowed(folder, shoot, inside_shoot)?;
            free_for(folder, report, kind)?;
            Ok(folder.to_owned())
        }
        None => {
            let base = Path::new("reports");
            let name = if kind == Kind::Published { format!("{name}-published") } else { name.to_owned() };
            let names = std::iter::once(name.clone()).chain((2..).map(|n| format!("{name}-{n}")));
            for folder in names.map(|name| base.join(name)) {
                allowed(&folder, shoot, inside_shoot)?;
                match free_for(&folder, report, kind) {
                    Err(PlaceError::AnotherShoot(_)) => {}
                    other => return other.map(|()| folder),
                }
            }
            Ok(base.join(name))
        }
    }
}

/// Refuses a folder that is the shoot or lies inside it, unless the user allowed exactly that.
pub fn allowed(folder: &Path, shoot: &Path, inside_shoot: bool) -> Result<(), PlaceError> {
    let inside = resolved(folder).starts_with(resolved(shoot));
    if inside && !inside_shoot { Err(PlaceError::InsideShoot(folder.to_owned())) } else { Ok(()) }
}

/// The path with links followed as far as it exists.
fn resolved(path: &Path) -> PathBuf {
    let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let mut missing = Vec::new();
    let mut here = absolute.as_path();
    loop {
        if let Ok(real) = here.canonicalize() {
            return missing.iter().rev().fold(real, |path, part| path.join(part));
        }
        match (here.parent(), here.file_name()) {
            (Some(parent), Some(name)) => {
                missing.push(name.to_owned());
                here = parent;
            }
            _ => return absolute,
        }
    }
}

#[derive(Deserialize)]
struct Earlier {
    generator: String,
    frames: Vec<EarlierFrame>,
}

#[derive(Deserialize, PartialEq)]
struct EarlierFrame {
    frame: String,
    taken: String,
    mean_luminance: Option<f64>,
}

fn free_for(folder: &Path, report: &Report, kind: Kind) -> Result<(), PlaceError> {
    let Ok(data) = folder.metadata() else { return Ok(()) };
    if !data.is_dir() {
        return Err(PlaceError::NotAFolder(folder.to_owned()));
    }
    let empty = folder.read_dir().is_ok_and(|mut entries| entries.next().is_none());
    if empty {
        return Ok(());
    }
    if folder.join(kind.other().mark()).exists() {
        return Err(match kind {
            Kind::Full => PlaceError::Published(folder.to_owned()),
            Kind::Published => PlaceError::Full(folder.to_owned()),
        });
    }
    let earlier =
        std::fs::read(folder.join(kind.mark())).ok().and_then(|bytes| serde_json::from_slice::<Earlier>(&bytes).ok());
    match earlier {
        Some(earlier) if earlier.generator == GENERATOR => {
            if same_shoot(&earlier, report, kind) {
                Ok(())
            } else {
                Err(PlaceError::AnotherShoot(folder.to_owned()))
            }
        }
        _ => Err(PlaceError::NotAReport(folder.to_owned())),
    }
}

/// Two reports are of one shoot when they share a shot: its name, its time and what was measured of it. Reports know no
/// absolute path, so a shoot that moved, or a copy of it, is still the same.
///
/// A published report numbers its shots, and one more shot moves every number: there time and measure say it.
fn same_shoot(earlier: &Earlier, report: &Report, kind: Kind) -> bool {
    let shared = |e: &EarlierFrame| {
        let named = |frame: &str| kind == Kind::Published || frame == e.frame;
        report.frames.iter().any(|f| named(&f.frame) && f.taken == e.taken && f.mean_luminance == e.mean_luminance)
    };
    earlier.frames.is_empty() || report.frames.is_empty() || earlier.frames.iter().any(shared)
}
