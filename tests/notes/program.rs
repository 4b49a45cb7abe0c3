//! The program itself: the notes in the folder, those asked for, none at all, and the way back from draft to notes.

use std::fs;
use std::path::Path;

use super::support::shoot::{self, analyse, evening, rows};

fn codes(out: &Path) -> Vec<String> {
    rows(&out.join("problems.csv")).into_iter().map(|row| row["code"].clone()).collect()
}

fn other_files(out: &Path) -> u64 {
    let json: serde_json::Value = serde_json::from_slice(&fs::read(out.join("shoot.json")).unwrap()).unwrap();
    json["summary"]["other_files"].as_u64().unwrap()
}

#[test]
fn a_draft_without_notes_and_none_with_them() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &evening());
    let out = dir.path().join("blind");
    analyse(&folder, &out, &[]);
    let draft = fs::read_to_string(out.join("light-notes-draft.csv")).unwrap();
    assert!(draft.starts_with("from,light,power,gel,modifier,distance_m,clock_position,height_m,role,note\n"));
    assert!(draft.lines().count() > 2, "{draft}");
    // Saved beside the frames it is read, says nothing wrong, and is no stray file.
    fs::write(folder.join("light-notes.csv"), &draft).unwrap();
    let out = dir.path().join("noted");
    analyse(&folder, &out, &[]);
    assert_eq!((codes(&out), other_files(&out)), (vec![], 0));
    assert!(!out.join("light-notes-draft.csv").exists());
}

#[test]
fn notes_that_were_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &evening());
    let out = dir.path().join("report");
    let run = analyse(&folder, &out, &["--notes", "no such file.csv"]);
    let said = String::from_utf8(run.stderr).unwrap();
    assert_eq!(run.status.code(), Some(2));
    assert!(said.contains("no such file.csv") && said.contains("--notes") && !out.exists(), "{said}");

    let notes = folder.join("lights.csv");
    fs::write(&notes, "from,light,power\nTS_0001,key,1/8?\n").unwrap();
    fs::write(folder.join("light-notes.csv"), "from,light,power\nTS_0001,key,1/8\n").unwrap();
    let run = analyse(&folder, &out, &["--notes", notes.to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(1));
    assert_eq!(
        (codes(&out), other_files(&out)),
        (vec!["note-unreadable".to_owned(), "notes-passed-over".to_owned()], 1)
    );
    let problems = rows(&out.join("problems.csv"));
    assert_eq!(problems[0]["file"], "lights.csv");
    assert!(problems[0]["problem"].contains("line 2") && problems[0]["problem"].contains("\"1/8?\""), "{problems:?}");
    assert!(
        !fs::read_to_string(out.join("shoot.json")).unwrap().contains(dir.path().to_str().unwrap()),
        "no absolute path"
    );
}

#[test]
fn notes_in_the_folder_that_cannot_be_read_do_not_end_the_run() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &evening());
    fs::write(folder.join("LIGHT-NOTES.CSV"), "my lights tonight\n").unwrap();
    let out = dir.path().join("report");
    let run = analyse(&folder, &out, &[]);
    assert_eq!((run.status.code(), codes(&out)), (Some(1), vec!["notes-unreadable".to_owned()]));
    assert!(out.join("light-notes-draft.csv").exists());
}

#[test]
fn a_subject_box_on_the_command_line() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &evening());
    let out = dir.path().join("report");
    analyse(
        &folder,
        &out,
        &["--subject", "TS_0001=30,10,40,80", "--subject", "TS_0002.JPG=-5,0,50,50", "--subject", "X=1,1,1,1"],
    );
    assert_eq!(codes(&out), ["subject-clipped", "note-frame-unknown"]);
    for wrong in ["TS_0001", "TS_0001=30,10,40", "TS_0001=a,b,c,d", "=1,1,1,1"] {
        let run = analyse(&folder, &out, &["--subject", wrong]);
        assert_eq!(run.status.code(), Some(2), "{wrong}");
        assert!(
            String::from_utf8(run.stderr).unwrap().contains("for example TS_0001=30,10,40,80")
                || wrong.contains("TS_0001=")
        );
    }
}
