//! A disk that fills up, a folder that may not be written, a run that is killed: no half report, nothing lost, a
//! message with file, cause and remedy.
#![cfg(unix)]

mod support;

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use support::shoot;

/// Either there is no report or it is whole: every file that `shoot.json`'s run writes, and each of them complete.
fn whole_or_absent(out: &Path, whole: &std::collections::BTreeMap<String, Vec<u8>>) -> bool {
    !out.exists() || shoot::contents(out) == *whole
}

#[test]
fn a_run_killed_at_any_moment_leaves_no_half_report() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let reference = dir.path().join("reference");
    let started = std::time::Instant::now();
    shoot::analyse(&folder, &reference, &[]);
    let whole = shoot::contents(&reference);
    // Moments spread over a run's length on this machine, whatever that is.
    let step = started.elapsed() / 25;
    let out = dir.path().join("report");
    let mut cut_short = 0;
    for moment in 0..30 {
        let mut run = Command::new(env!("CARGO_BIN_EXE_stoptally"))
            .args([folder.as_os_str(), "--out".as_ref(), out.as_os_str()])
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(step * moment);
        run.kill().unwrap();
        cut_short += usize::from(!run.wait().unwrap().success() && !out.exists());
        assert!(whole_or_absent(&out, &whole), "half a report after {moment} of 25 parts of a run");
        // Start from nothing every other time, over a report the rest of the time.
        if moment % 2 == 0 && out.exists() {
            fs::remove_dir_all(&out).unwrap();
        }
    }
    assert!(cut_short > 0, "no run was ever killed in time: the test shows nothing");
    // A last run cleans up after the killed ones.
    shoot::analyse(&folder, &out, &[]);
    assert!(shoot::contents(&out) == whole);
    let beside = fs::read_dir(dir.path()).unwrap().count();
    assert_eq!(beside, 3, "shoot, reference and report, nothing else");
}

/// The moment between two reports is too short to be hit by chance, so it is shown by what it leaves: the old folder's
/// files were not written over (a reader that had one open still reads it whole), and the folder is another one.
#[test]
fn a_new_report_takes_the_place_of_the_old_one_as_a_whole() {
    use std::io::Read;
    use std::os::unix::fs::MetadataExt;
    let dir = tempfile::tempdir().unwrap();
    let frames = shoot::evening();
    let folder = shoot::write(dir.path(), &frames[..6]);
    let out = dir.path().join("report");
    shoot::analyse(&folder, &out, &[]);
    let (before, inode) = (shoot::contents(&out), fs::metadata(&out).unwrap().ino());
    let mut opened = fs::File::open(out.join("frames.csv")).unwrap();
    shoot::write(dir.path(), &frames);
    shoot::analyse(&folder, &out, &[]);
    assert!(shoot::contents(&out)["frames.csv"] != before["frames.csv"], "the second report is another one");
    let mut read = Vec::new();
    opened.read_to_end(&mut read).unwrap();
    assert!(read == before["frames.csv"], "the old report was written over");
    assert_ne!(fs::metadata(&out).unwrap().ino(), inode, "the new report was put together in place");
}

/// An interrupt ends the run with a message, and no file of it stays.
#[test]
fn an_interrupt_leaves_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let many: Vec<_> = (0..400).map(|n| shoot::Frame::new(&format!("TS_{n:04}.JPG"), n, 90)).collect();
    let folder = shoot::write(dir.path(), &many);
    let out = dir.path().join("report");
    let run = Command::new(env!("CARGO_BIN_EXE_stoptally"))
        .args([folder.as_os_str(), "--out".as_ref(), out.as_os_str(), "--threads".as_ref(), "1".as_ref()])
        .stderr(Stdio::piped())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    std::thread::sleep(Duration::from_millis(60));
    Command::new("kill").args(["-INT", &run.id().to_string()]).status().unwrap();
    let end = run.wait_with_output().unwrap();
    let finished = end.status.code().is_some_and(|code| code <= 1);
    if !finished {
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "only the shoot is there: {end:?}");
    }
}

#[test]
fn a_folder_that_may_not_be_written_is_named_with_a_remedy() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..2]);
    let locked = dir.path().join("locked");
    fs::create_dir(&locked).unwrap();
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
    if fs::write(locked.join("probe"), b"").is_ok() {
        println!("skipped: this user may write everywhere");
        return;
    }
    let run = shoot::analyse(&folder, &locked.join("report"), &[]);
    assert_eq!(run.status.code(), Some(2));
    let said = String::from_utf8(run.stderr).unwrap();
    assert!(said.contains("locked") && said.contains("--out"), "{said}");
}

/// A report's folder that is a file: the cause and the remedy, and the file stays.
#[test]
fn a_file_in_the_way_stays() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..2]);
    let file = dir.path().join("taken");
    fs::write(&file, "mine").unwrap();
    for out in [file.clone(), file.join("below")] {
        let run = shoot::analyse(&folder, &out, &[]);
        assert_eq!(run.status.code(), Some(2), "{run:?}");
        assert!(String::from_utf8(run.stderr).unwrap().contains("--out"));
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
}

/// The disk is full after so many kilobytes: a limit on file size makes every write beyond it fail in the same way.
/// The report of an earlier run stays whole.
#[test]
fn a_full_disk_leaves_the_report_as_it_was() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let out = dir.path().join("report");
    shoot::analyse(&folder, &out, &[]);
    let whole = shoot::contents(&out);
    for blocks in [0, 1, 4, 16, 40] {
        for target in [out.clone(), dir.path().join("fresh")] {
            // SIGXFSZ ignored, so that writes fail with an error instead of ending the process.
            let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$1\" --out \"$2\"");
            let run = Command::new("bash")
                .args(["-c", &script, env!("CARGO_BIN_EXE_stoptally")])
                .args([&folder, &target])
                .output()
                .unwrap();
            assert_eq!(run.status.code(), Some(2), "{blocks} blocks: {run:?}");
            let said = String::from_utf8(run.stderr).unwrap();
            assert!(said.contains("could not be written") && said.contains("--out"), "{said}");
            assert!(shoot::contents(&out) == whole && !dir.path().join("fresh").exists());
        }
    }
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2, "nothing is left beside shoot and report");
}

/// Folders that may not be opened and files that may not be read are named, the rest is accounted for.
#[test]
fn what_cannot_be_opened_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..3]);
    fs::create_dir(folder.join("closed")).unwrap();
    fs::set_permissions(folder.join("closed"), fs::Permissions::from_mode(0o000)).unwrap();
    fs::set_permissions(folder.join("TS_0002.JPG"), fs::Permissions::from_mode(0o000)).unwrap();
    let open = fs::read_dir(folder.join("closed")).is_ok();
    let out = dir.path().join("report");
    let run = shoot::analyse(&folder, &out, &[]);
    fs::set_permissions(folder.join("closed"), fs::Permissions::from_mode(0o755)).unwrap();
    if open {
        println!("skipped: this user may read everything");
        return;
    }
    assert_eq!(run.status.code(), Some(1));
    let codes: Vec<_> =
        shoot::rows(&out.join("problems.csv")).into_iter().map(|p| (p["file"].clone(), p["code"].clone())).collect();
    assert!(codes.contains(&("closed".to_owned(), "folder-unreadable".to_owned())), "{codes:?}");
    assert!(codes.contains(&("TS_0002.JPG".to_owned(), "file-unreadable".to_owned())), "{codes:?}");
}
