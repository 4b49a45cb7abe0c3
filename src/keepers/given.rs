//! What `--keepers` names is opened and read here, before and beside the frames; matching comes after, on plain values

use std::convert::Infallible;
use std::fs;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use super::list::{self, Entry};
use super::names::Names;
use super::{Settled, exports, listed, rating};
use crate::notes::decode;
use crate::problem::{Code, Flaw, Problem};
use crate::ratings::sidecar::{self, Sidecar, SidecarRating};
use crate::read::{self, Stopped, Watch};
use crate::shots::{ReadFile, Sequence};
use crate::walk::{self, Walked};

/// Nobody lists keepers in more bytes.
const LARGEST: u64 = 4 << 20;

/// The rating from which a shot is a keeper when nothing else is said: the middle of five stars (common practice, no
/// source).
pub const KEEPER_RATING: u8 = 3;

/// What `--keepers` says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// The word `rating`: XMP ratings in the pictures and beside them.
    Rating,
    /// A list of names, or a folder of exported pictures.
    Path(PathBuf),
}

impl FromStr for What {
    type Err = Infallible;

    fn from_str(text: &str) -> Result<Self, Infallible> {
        let word = text.eq_ignore_ascii_case("rating") || text.eq_ignore_ascii_case("ratings");
        Ok(if word { Self::Rating } else { Self::Path(text.into()) })
    }
}

/// How the photographer's choice comes back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Where it is.
    pub what: What,
    /// The rating from which a shot is a keeper, 1 to 5.
    pub least: u8,
}

/// What was asked for cannot be used, said before any frame is read.
#[derive(Debug, thiserror::Error)]
pub enum KeepersError {
    /// Nothing is there, or it may not be read.
    #[error("the keepers {} cannot be opened; give a list of names, a folder of exported pictures, or the word rating", .0.display())]
    Closed(PathBuf, #[source] std::io::Error),
    /// It is no list.
    #[error("the keepers {} cannot be read as a list of names: {}", .0.display(), .1)]
    NoList(PathBuf, String),
    /// The folder holds nothing that ends like a picture.
    #[error("the folder of keepers {} holds no picture; give the folder of the exported pictures", .0.display())]
    NoPictures(PathBuf),
    /// The folder is that of the shoot or lies above it.
    #[error("the folder of keepers {} holds the shoot itself; give the folder of the exported pictures", .0.display())]
    TheShoot(PathBuf),
}

/// What was asked for, found: a list is read, a folder looked through.
#[derive(Clone, Debug)]
pub enum Opened {
    /// No choice was given.
    Nothing,
    /// The names of a list; how the file is called.
    List(Vec<Entry>, String, PathBuf),
    /// The pictures of a folder; how it is called.
    Folder(Walked, String, PathBuf),
    /// Ratings from so many stars on.
    Rating(u8),
}

/// What was given, read.
#[derive(Clone, Debug)]
pub enum Given {
    /// No choice was given.
    Nothing,
    /// The names of a list; how the file is called.
    List(Vec<Entry>, String),
    /// The exported pictures; how their folder is called; what in it could not be read.
    Exports(Vec<ReadFile>, String, Vec<Problem>),
    /// What the sidecars say, and the rating from which a shot is a keeper.
    Ratings(Vec<SidecarRating>, u8),
}

/// Opens what `--keepers` names. `shoot` is the folder of the shoot.
pub fn open(asked: Option<&Asked>, shoot: &Path) -> Result<Opened, KeepersError> {
    let Some(asked) = asked else { return Ok(Opened::Nothing) };
    let path = match &asked.what {
        What::Rating => return Ok(Opened::Rating(asked.least)),
        What::Path(path) => path,
    };
    let closed = |error| KeepersError::Closed(path.clone(), error);
    let data = fs::metadata(path).map_err(closed)?;
    let label = label(path, shoot);
    if data.is_dir() {
        if shoot.canonicalize().map_err(closed)?.starts_with(path.canonicalize().map_err(closed)?) {
            return Err(KeepersError::TheShoot(path.clone()));
        }
        fs::read_dir(path).map_err(closed)?;
        let found = walk::walk(path, None);
        if found.seen() == 0 {
            return Err(KeepersError::NoPictures(path.clone()));
        }
        return Ok(Opened::Folder(found, label, path.clone()));
    }
    let no_list = |why: &str| KeepersError::NoList(path.clone(), why.to_owned());
    if data.len() > LARGEST {
        return Err(no_list("it is larger than any list"));
    }
    let entries = list::read(&decode(&fs::read(path).map_err(closed)?)).map_err(|why| no_list(&why))?;
    if entries.is_empty() { Err(no_list("it holds no name")) } else { Ok(Opened::List(entries, label, path.clone())) }
}

/// The name under which a file or folder is spoken of: its path in the shoot where it lies there, else its own name.
fn label(path: &Path, shoot: &Path) -> String {
    let real = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let inside = shoot.canonicalize().ok().and_then(|shoot| real.strip_prefix(shoot).ok().map(Path::to_owned));
    let name = inside.as_deref().or(real.file_name().map(Path::new)).unwrap_or(&real);
    name.to_string_lossy().replace('\\', "/")
}

impl Opened {
    /// The folder of exported pictures: inside the shoot it is no part of it.
    #[must_use]
    pub fn folder(&self) -> Option<&Path> {
        if let Self::Folder(_, _, path) = self { Some(path) } else { None }
    }

    /// Pictures that will be read.
    #[must_use]
    pub fn pictures(&self) -> usize {
        if let Self::Folder(found, ..) = self { found.files.len() } else { 0 }
    }

    /// Files of the shoot's folder that are read here and so are no stray files.
    #[must_use]
    pub fn files_inside(&self, shoot: &Path, found: &Walked) -> usize {
        match self {
            Self::List(_, _, path) => usize::from(inside(path, shoot) && !walk::ends_like_picture(path)),
            Self::Rating(_) => found.sidecars.len(),
            Self::Nothing | Self::Folder(..) => 0,
        }
    }

    /// What is to be said of where the choice lies.
    #[must_use]
    pub fn remarks(&self, shoot: &Path) -> Vec<Problem> {
        let Self::Folder(found, label, path) = self else { return Vec::new() };
        let many = if found.seen() == 1 { "one picture".to_owned() } else { format!("{} pictures", found.seen()) };
        let remark = inside(path, shoot).then(|| Flaw::with(Code::KeepersInside, many).of(label));
        remark.into_iter().collect()
    }

    /// Reads the exported pictures, or the sidecars.
    pub fn read(self, sidecars: &[Sidecar], watch: &dyn Watch) -> Result<Given, Stopped> {
        Ok(match self {
            Self::Nothing => Given::Nothing,
            Self::List(entries, label, _) => Given::List(entries, label),
            Self::Rating(least) => Given::Ratings(sidecar::read(sidecars), least),
            Self::Folder(found, label, _) => {
                let not_read = found.not_rows.into_iter().chain(found.obstacles);
                Given::Exports(read::read(found.files, watch)?, label, not_read.collect())
            }
        })
    }
}

fn inside(path: &Path, shoot: &Path) -> bool {
    matches!((path.canonicalize(), shoot.canonicalize()), (Ok(path), Ok(shoot)) if path.starts_with(&shoot))
}

impl Given {
    /// The choice, brought to these shots; None when none was given.
    #[must_use]
    pub fn settle(&self, sequences: &[Sequence]) -> Option<Settled> {
        Some(match self {
            Self::Nothing => return None,
            Self::List(entries, label) => listed::settle(entries, label, sequences, &Names::of(sequences)),
            Self::Ratings(sidecars, least) => rating::settle(sequences, sidecars, *least),
            Self::Exports(files, label, not_read) => {
                let mut settled = exports::settle(files, label, sequences, &Names::of(sequences));
                for problem in not_read {
                    // A shadow file stands for no picture; everything else was meant as a keeper.
                    if problem.code != Code::SystemShadow {
                        settled.keep(super::Keeper { given: problem.file.clone(), ..super::Keeper::default() });
                    }
                    settled.problems.push(Problem { file: format!("{label}/{}", problem.file), ..problem.clone() });
                }
                settled
            }
        })
    }
}
