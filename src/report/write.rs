//! Puts a finished report in place: whole or not at all, whatever happens on the way.
//!
//! All files are written into a staging folder beside the target and flushed to the disk; then the two folders change
//! places in one step. Files of the user's that lie in the target move along.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::files::Files;
use super::staging::Staging;

/// Why a report could not be written.
#[derive(Debug, thiserror::Error)]
#[error("the report could not be written: {}: {source}; {remedy}", path.display())]
pub struct WriteError {
    path: PathBuf,
    source: io::Error,
    remedy: &'static str,
}

fn at(path: &Path) -> impl FnOnce(io::Error) -> WriteError {
    let path = path.to_owned();
    move |source| {
        let remedy = match source.kind() {
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                "name a folder you may write to with --out"
            }
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                "make room on the disk, or name a folder on another one with --out"
            }
            _ => "check the folder, or name another one with --out",
        };
        WriteError { path, source, remedy }
    }
}

/// Writes `files` as the whole content of `target`. On an error the target is as it was.
pub fn write(target: &Path, files: &Files) -> Result<(), WriteError> {
    let parent = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    fs::create_dir_all(parent).map_err(at(parent))?;
    let staging = Staging::new(parent).map_err(at(parent))?;
    let content = staging.path().join("report");
    fs::create_dir(&content).map_err(at(&content))?;
    for (name, bytes) in files {
        write_one(&content, name, bytes)?;
    }
    keep_foreign_files(target, &content, files)?;
    // What was the target before then lies in the staging folder and goes with it.
    exchange(&content, target).map_err(at(target))
}

fn write_one(folder: &Path, name: &str, bytes: &[u8]) -> Result<(), WriteError> {
    let path = folder.join(name);
    if let Some(parent) = path.parent() {
        fs::create_dir_all(parent).map_err(at(parent))?;
    }
    let mut file = File::create_new(&path).map_err(at(&path))?;
    file.write_all(bytes).and_then(|()| file.sync_all()).map_err(at(&path))
}

/// Files in the target that no report writes are the user's: they are linked into the new folder before the exchange.
fn keep_foreign_files(target: &Path, content: &Path, files: &Files) -> Result<(), WriteError> {
    if !target.exists() {
        return Ok(());
    }
    for entry in walkdir::WalkDir::new(target).min_depth(1).sort_by_file_name() {
        let entry = entry.map_err(|e| at(target)(e.into()))?;
        let Ok(relative) = entry.path().strip_prefix(target) else { continue };
        let ours = is_ours(relative, files);
        if entry.file_type().is_dir() || ours {
            continue;
        }
        let to = content.join(relative);
        if let Some(parent) = to.parent() {
            fs::create_dir_all(parent).map_err(at(parent))?;
        }
        // A second name of the same file where the disk allows it, a copy elsewhere.
        fs::hard_link(entry.path(), &to).or_else(|_| fs::copy(entry.path(), &to).map(|_| ())).map_err(at(&to))?;
    }
    Ok(())
}

/// Written by this run, or one of the kinds an earlier run wrote and this one does not (a stage that is no more).
fn is_ours(relative: &Path, files: &Files) -> bool {
    let name = relative.to_string_lossy().replace('\\', "/");
    // Two tables are written on some runs only: left from an earlier one they would tell old figures.
    let sometimes = ["keeper-count.csv", "light-notes-draft.csv"].contains(&name.as_str());
    sometimes || files.contains_key(&name) || name.strip_prefix("recap/").is_some_and(is_picture_of_recap)
}

/// `stage-01.jpg`, `lighting-01-small.jpg`, `lighting-01-without-02.jpg`, `light-01.jpg`, `plan-01.svg`.
fn is_picture_of_recap(name: &str) -> bool {
    let Some((stem, "jpg" | "svg")) = name.rsplit_once('.') else { return false };
    let kind = stem.split('-').next().unwrap_or_default();
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    ["stage", "lighting", "light", "plan"].contains(&kind)
        && stem.split('-').skip(1).all(|part| digits(part) || part == "small" || part == "without")
        && stem.contains('-')
}

/// The new folder takes the place of the target, in one step where the system can do that.
fn exchange(content: &Path, target: &Path) -> io::Result<()> {
    if !target.exists() {
        return fs::rename(content, target);
    }
    #[cfg(any(target_os = "linux", target_os = "macos"))]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        if renameat_with(CWD, content, CWD, target, RenameFlags::EXCHANGE).is_ok() {
            return Ok(());
        }
    }
    let aside = content.with_file_name("before");
    fs::rename(target, &aside)?;
    fs::rename(content, target).inspect_err(|_| {
        // Put back what was there; the first error is the one worth reporting.
        let _ = fs::rename(&aside, target);
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn report(pairs: &[(&str, &str)]) -> Files {
        pairs.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().into())).collect()
    }

    fn listing(folder: &Path) -> Vec<String> {
        let files = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter().map(Result::unwrap);
        files
            .filter(|e| e.file_type().is_file())
            .map(|e| e.path().strip_prefix(folder).unwrap().display().to_string())
            .collect()
    }

    #[test]
    fn a_report_replaces_the_one_before_and_keeps_the_users_files() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("reports/shed");
        write(&target, &report(&[("a.csv", "1"), ("recap/stage-02.jpg", "x"), ("recap/light-01.jpg", "x")])).unwrap();
        fs::write(target.join("my words.txt"), "mine").unwrap();
        fs::write(target.join("recap/light-mine.jpg"), "mine").unwrap();
        fs::write(target.join("recap/lighting-03-without-02-small.jpg"), "x").unwrap();
        fs::write(target.join("recap/plan-03.svg"), "x").unwrap();
        write(&target, &report(&[("a.csv", "2"), ("recap/stage-01.jpg", "y")])).unwrap();
        assert_eq!(listing(&target), ["a.csv", "my words.txt", "recap/light-mine.jpg", "recap/stage-01.jpg"]);
        assert_eq!(fs::read_to_string(target.join("a.csv")).unwrap(), "2");
        assert_eq!(fs::read_to_string(target.join("my words.txt")).unwrap(), "mine");
        assert_eq!(listing(dir.path()).len(), 4, "nothing is left beside the report");
    }

    #[test]
    fn a_name_that_is_taken_by_a_folder_leaves_everything_as_it_was() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("r");
        write(&target, &report(&[("a", "1")])).unwrap();
        // A file cannot be written below another file: the write fails half way.
        let error = write(&target, &report(&[("a", "2"), ("a/b", "3")])).unwrap_err().to_string();
        assert!(error.contains("--out"), "{error}");
        assert_eq!(fs::read_to_string(target.join("a")).unwrap(), "1");
        assert_eq!(listing(dir.path()), ["r/a"]);
    }
}
