//! Puts ratings into sidecars, each whole or not at all. Pictures themselves are never opened for writing

use std::fs::{self, File, Permissions};
use std::io::{self, Write};
use std::path::Path;

use super::plan::{Change, Wish, changes};
use super::sidecar::{self, Sidecar};

/// How ratings are to be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Manner {
    /// The rating, 1 to 5.
    pub rating: u8,
    /// Whether ratings that a person gave are replaced.
    pub replace: bool,
    /// Whether nothing is written and all of it only told.
    pub dry_run: bool,
}

/// What happened to one sidecar, or would happen.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The sidecar, relative to the shoot.
    pub sidecar: String,
    /// What was to happen; [`Change::Cannot`] also where writing failed.
    pub change: Change,
}

/// Carries out all wishes, or tells what would happen.
#[must_use]
pub fn carry_out(wishes: &[Wish], manner: Manner) -> Vec<Told> {
    wishes.iter().flat_map(|wish| of_shot(wish, manner)).collect()
}

fn of_shot(wish: &Wish, manner: Manner) -> Vec<Told> {
    let bytes: Vec<_> = wish.present.iter().map(|one| sidecar::bytes(&one.path).map_err(|e| in_words(&e))).collect();
    let changes = changes(&bytes, wish.inside, manner.rating, manner.replace);
    let targets: Vec<&Sidecar> =
        if wish.present.is_empty() { wish.fresh.iter().collect() } else { wish.present.iter().collect() };
    let told = targets.into_iter().zip(changes).map(|(target, change)| {
        let change = match change {
            Change::Write(bytes, before) if !manner.dry_run => match put(&target.path, &bytes, before.is_some()) {
                Ok(()) => Change::Write(bytes, before),
                Err(error) => Change::Cannot(in_words(&error)),
            },
            other => other,
        };
        Told { sidecar: target.name.clone(), change }
    });
    told.collect()
}

/// Writes a file by rename from the same folder; one that is there keeps its permissions, and one that is protected
/// from writing is left.
fn put(path: &Path, bytes: &[u8], present: bool) -> io::Result<()> {
    // A link stays a link: what it leads to is written.
    let path = if present { path.canonicalize()? } else { path.to_owned() };
    let folder = path.parent().ok_or_else(|| io::Error::other("it lies in no folder"))?;
    let mode = if present { Some(fs::metadata(&path)?.permissions()) } else { None };
    if mode.as_ref().is_some_and(Permissions::readonly) {
        return Err(io::Error::new(io::ErrorKind::PermissionDenied, "the file is protected from writing"));
    }
    let mut builder = tempfile::Builder::new();
    builder.prefix(".stoptally-rating-");
    #[cfg(unix)]
    {
        // As any new file: what the user's own settings leave of this.
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    if let Some(mode) = mode {
        file.as_file().set_permissions(mode)?;
    }
    file.as_file().sync_all()?;
    if present { file.persist(&path) } else { file.persist_noclobber(&path) }?;
    // The name itself is on the disk only when its folder is; where folders cannot be opened nothing is lost by it.
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    Ok(())
}

/// The cause and what to do about it.
fn in_words(error: &io::Error) -> String {
    let remedy = match error.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            "give yourself permission to write there, or copy the frames to a folder of your own"
        }
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => "make room on the disk and run again",
        io::ErrorKind::AlreadyExists => "something of this name is there already; look at it and run again",
        _ => "check the folder and run again",
    };
    let cause = error.to_string();
    // The temporary file's name means nothing to anybody.
    format!("{}; {remedy}", cause.split(" at path").next().unwrap_or(&cause))
}
