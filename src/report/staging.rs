//! The folder in which a report is put together: beside its target, locked while its run lives, and removed by the next
//! run whenever its own was killed, at whatever moment that was.
//!
//! A killed run leaves one of three things: a folder with a lock file nobody holds, or an empty folder (killed between
//! making the folder and its lock, or between removing the two). The lock file is therefore the first thing made and
//! the last thing removed, and a run whose empty folder was taken for a leftover simply makes another one.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// Names of staging folders begin with this.
const PREFIX: &str = ".stoptally-unfinished-";
/// Held by a run for as long as its staging folder exists.
const LOCK: &str = ".lock";

/// A locked folder beside the target; it goes when this value goes.
pub struct Staging {
    path: PathBuf,
    /// Kept open until the folder is gone: closing it gives the lock back.
    lock: File,
}

impl Staging {
    /// A new staging folder in `parent`. Leftovers of killed runs are removed first.
    pub fn new(parent: &Path) -> io::Result<Self> {
        remove_leftovers(parent);
        loop {
            let path = tempfile::Builder::new().prefix(PREFIX).tempdir_in(parent)?.keep();
            match File::create_new(path.join(LOCK)) {
                Ok(lock) => {
                    let staging = Self { path, lock };
                    staging.lock.lock()?;
                    // Another run may have taken the lock for a dead one's before it was locked.
                    if staging.path.join(LOCK).exists() {
                        return Ok(staging);
                    }
                }
                // Another run took the still empty folder for a leftover.
                Err(error) if error.kind() == io::ErrorKind::NotFound => {}
                Err(error) => {
                    let _ = fs::remove_dir(&path);
                    return Err(error);
                }
            }
        }
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        remove(&self.path);
    }
}

/// Removes a staging folder while its lock is held: the lock file last, so that a kill on the way leaves a leftover that
/// the next run knows as one, and a run that waits for the lock finds its file gone. What cannot be removed now is
/// removed then.
fn remove(folder: &Path) {
    for entry in folder.read_dir().into_iter().flatten().flatten() {
        if entry.file_name() != LOCK {
            let path = entry.path();
            let _ = if path.is_dir() { fs::remove_dir_all(&path) } else { fs::remove_file(&path) };
        }
    }
    let _ = fs::remove_file(folder.join(LOCK));
    let _ = fs::remove_dir(folder);
}

/// Removes staging folders whose run is gone.
fn remove_leftovers(parent: &Path) {
    for entry in parent.read_dir().into_iter().flatten().flatten() {
        if !entry.file_name().to_string_lossy().starts_with(PREFIX) {
            continue;
        }
        match File::open(entry.path().join(LOCK)) {
            Ok(lock) => {
                if lock.try_lock().is_ok() {
                    remove(&entry.path());
                }
            }
            // Without a lock file it is empty, or it is none of ours; only an empty folder is removed by this call.
            Err(_) => drop(fs::remove_dir(entry.path())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leftovers_of_killed_runs_go_and_those_of_a_live_one_stay() {
        let dir = tempfile::tempdir().unwrap();
        let folder = |name: &str| dir.path().join(format!("{PREFIX}{name}"));
        for name in ["killed", "killed-while-removing", "live"] {
            fs::create_dir(folder(name)).unwrap();
            File::create(folder(name).join(LOCK)).unwrap();
        }
        fs::create_dir(folder("killed").join("report")).unwrap();
        fs::write(folder("killed").join("report/frames.csv"), "half").unwrap();
        fs::create_dir(folder("killed-before-its-lock")).unwrap();
        fs::create_dir(folder("somebody's")).unwrap();
        fs::write(folder("somebody's").join("letter.txt"), "keep").unwrap();
        let live = File::open(folder("live").join(LOCK)).unwrap();
        live.lock().unwrap();
        let staging = Staging::new(dir.path()).unwrap();
        assert!(staging.path().join(LOCK).exists());
        drop(staging);
        let mut left: Vec<_> = fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().path()).collect();
        left.sort();
        assert_eq!(left, [folder("live"), folder("somebody's")]);
    }

    #[test]
    fn runs_side_by_side_do_not_take_each_others_folders() {
        let dir = tempfile::tempdir().unwrap();
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    for _ in 0..50 {
                        let staging = Staging::new(dir.path()).unwrap();
                        fs::write(staging.path().join("frames.csv"), "whole").unwrap();
                        assert!(staging.path().join("frames.csv").exists());
                    }
                });
            }
        });
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
    }
}
