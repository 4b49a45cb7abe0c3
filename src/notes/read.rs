//! Opens the notes: the file beside the frames, or the one that was asked for.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::rows::{self, Typed};
use super::{table, text};
use crate::problem::{Code, Flaw};

/// The name by which notes in the shoot's folder are known, in any case.
pub const NOTES_FILE: &str = "light-notes.csv";

/// Nobody types more bytes of notes than this.
const LARGEST: u64 = 4 << 20;

/// The notes that were asked for by name cannot be opened.
#[derive(Debug, thiserror::Error)]
#[error("the light notes {} cannot be opened: {source}; check the path given with --notes", path.display())]
pub struct NotesError {
    path: PathBuf,
    source: io::Error,
}

/// Reads the notes that were asked for, else those found in the shoot's folder, else none.
///
/// A file that was asked for and cannot be opened ends the run. One that was found is named as a problem and the run
/// goes on without notes.
pub fn read(found: Option<&Path>, given: Option<&Path>) -> Result<Typed, NotesError> {
    let Some(path) = given.or(found) else { return Ok(Typed::default()) };
    let name = name_of(path);
    let mut typed = match (bytes(path), given) {
        (Ok(bytes), _) => of_bytes(&bytes, &name),
        (Err(source), Some(path)) => return Err(NotesError { path: path.to_owned(), source }),
        (Err(source), None) => unreadable(Flaw::with(Code::NotesUnreadable, source.to_string()), &name),
    };
    let other = found.filter(|own| given.is_some_and(|given| !same(own, given)));
    typed.passed_over = other.map(name_of);
    Ok(typed)
}

/// The notes in these bytes, which came from a file of this name.
#[must_use]
pub fn of_bytes(bytes: &[u8], name: &str) -> Typed {
    match table::read(&text::decode(bytes)) {
        Ok(table) => rows::typed(&table, name),
        Err(flaw) => unreadable(flaw, name),
    }
}

/// No notes, and a problem that says why.
fn unreadable(flaw: Flaw, name: &str) -> Typed {
    Typed { file: name.to_owned(), flaws: vec![(1, flaw)], ..Typed::default() }
}

fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    let file = File::open(path)?;
    if file.metadata()?.is_dir() {
        return Err(io::Error::other("it is a folder"));
    }
    let mut bytes = Vec::new();
    file.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST { Err(io::Error::other("it is larger than any notes")) } else { Ok(bytes) }
}

fn name_of(path: &Path) -> String {
    path.file_name().map_or_else(|| NOTES_FILE.to_owned(), |name| name.to_string_lossy().into_owned())
}

fn same(a: &Path, b: &Path) -> bool {
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}
