//! The program itself: keepers as a list, as a folder inside and outside the shoot, and as ratings.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use super::scene::rated;
use super::support::shoot::{self, analyse, evening, rows};

fn set() -> (tempfile::TempDir, PathBuf, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &evening()[..4]);
    let out = dir.path().join("report");
    (dir, folder, out)
}

fn column(out: &Path, name: &str) -> Vec<String> {
    rows(&out.join("frames.csv")).into_iter().map(|row| row[name].clone()).collect()
}

fn codes(out: &Path) -> Vec<String> {
    rows(&out.join("problems.csv")).into_iter().map(|row| row["code"].clone()).collect()
}

fn lines(out: &Path) -> Vec<String> {
    let line = |row: BTreeMap<String, String>| {
        ["given", "frame", "stage", "match", "candidates"].map(|column| row[column].clone()).join("|")
    };
    rows(&out.join("keepers.csv")).into_iter().map(line).collect()
}

fn summary(out: &Path, name: &str) -> u64 {
    let json: serde_json::Value = serde_json::from_slice(&fs::read(out.join("shoot.json")).unwrap()).unwrap();
    json["summary"][name].as_u64().unwrap()
}

#[test]
fn without_a_choice_the_cells_are_empty() {
    let (_dir, folder, out) = set();
    analyse(&folder, &out, &[]);
    assert_eq!(
        (column(&out, "keeper"), column(&out, "keeper_match")),
        (vec![String::new(); 4], vec![String::new(); 4])
    );
    assert_eq!(fs::read_to_string(out.join("keepers.csv")).unwrap(), "given,frame,stage,match,candidates\n");
}

#[test]
fn a_list() {
    let (_dir, folder, out) = set();
    let list = folder.join("picks.txt");
    fs::write(&list, "\u{feff}TS_0002\r\n=TS_0009\r\n").unwrap();
    let run = analyse(&folder, &out, &["--keepers", list.to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(1));
    assert_eq!(lines(&out), ["TS_0002|TS_0002.JPG|1|name|", "'=TS_0009|||none|"], "no formula for a spreadsheet");
    assert_eq!(column(&out, "keeper"), ["no", "yes", "no", "no"]);
    assert_eq!(column(&out, "keeper_match"), ["", "name", "", ""]);
    assert_eq!(
        (codes(&out), summary(&out, "other_files")),
        (vec!["keeper-unknown".to_owned()], 0),
        "the list is no stray file"
    );
    assert_eq!(rows(&out.join("problems.csv"))[0]["file"], "picks.txt");
}

#[test]
fn a_wrong_path_is_said_before_any_frame_is_read() {
    let (dir, folder, out) = set();
    fs::write(dir.path().join("empty.txt"), "# nothing yet\n").unwrap();
    fs::create_dir(dir.path().join("no-pictures")).unwrap();
    let base = dir.path();
    for (what, words) in [
        (base.join("nowhere"), "a folder of exported pictures, or the word rating"),
        (base.join("empty.txt"), "it holds no name"),
        (base.join("no-pictures"), "holds no picture"),
        (folder.clone(), "holds the shoot itself"),
        (base.to_owned(), "holds the shoot itself"),
        (folder.join("TS_0001.JPG"), "no text file"),
    ] {
        // A report that may not be made would be said first if the frames had been read.
        let run = analyse(&folder, &out, &["--keepers", what.to_str().unwrap()]);
        let said = String::from_utf8(run.stderr).unwrap();
        assert_eq!(run.status.code(), Some(2), "{what:?}");
        assert!(said.contains(words) && said.contains(what.file_name().unwrap().to_str().unwrap()), "{said}");
        assert!(!out.exists());
    }
    for args in [&["--keepers", "rating", "--keeper-rating", "6"][..], &["--keeper-rating", "2"]] {
        assert_eq!(analyse(&folder, &out, args).status.code(), Some(2), "{args:?}");
    }
}

#[test]
fn a_folder_of_exports_inside_the_shoot_is_no_part_of_it() {
    let (_dir, folder, out) = set();
    let finals = folder.join("finals");
    fs::create_dir(&finals).unwrap();
    fs::copy(folder.join("TS_0001.JPG"), finals.join("TS_0001_edit.jpg")).unwrap();
    fs::copy(folder.join("TS_0003.JPG"), finals.join("the leap.jpg")).unwrap();
    fs::copy(folder.join("TS_0004.JPG"), finals.join("TS_0002.jpg")).unwrap();
    fs::write(finals.join("broken.jpg"), b"").unwrap();
    fs::write(finals.join("layers.psd"), b"8BPS").unwrap();
    let run = analyse(&folder, &out, &["--keepers", finals.to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(1), "{run:?}");
    assert_eq!(
        lines(&out),
        [
            "TS_0001_edit.jpg|TS_0001.JPG|1|name|",
            "TS_0002.jpg|TS_0004.JPG|2|time|",
            "broken.jpg|||none|",
            "the leap.jpg|TS_0003.JPG|2|time|",
            "layers.psd|||none|",
        ]
    );
    assert_eq!(column(&out, "frame"), ["TS_0001.JPG", "TS_0002.JPG", "TS_0003.JPG", "TS_0004.JPG"]);
    assert_eq!(column(&out, "keeper"), ["yes", "no", "yes", "yes"]);
    assert_eq!(summary(&out, "files_seen"), 4);
    let codes = codes(&out);
    for code in ["keepers-inside", "file-empty", "format-not-read", "keeper-contradicts"] {
        assert!(codes.contains(&code.to_owned()), "{code} in {codes:?}");
    }
    let files: Vec<String> = rows(&out.join("problems.csv")).into_iter().map(|row| row["file"].clone()).collect();
    assert!(files.contains(&"finals/broken.jpg".to_owned()) && files.contains(&"finals".to_owned()), "{files:?}");
}

#[test]
fn a_folder_of_exports_elsewhere() {
    let (dir, folder, out) = set();
    let finals = dir.path().join("finals");
    fs::create_dir(&finals).unwrap();
    fs::copy(folder.join("TS_0003.JPG"), finals.join("1.jpg")).unwrap();
    let run = analyse(&folder, &out, &["--keepers", finals.to_str().unwrap()]);
    assert_eq!((run.status.code(), codes(&out)), (Some(0), vec![]));
    assert_eq!(lines(&out), ["1.jpg|TS_0003.JPG|2|time|"]);
    for (name, bytes) in shoot::contents(&out) {
        assert!(!String::from_utf8_lossy(&bytes).contains(&*dir.path().to_string_lossy()), "{name} holds a path");
    }
}

#[test]
fn ratings() {
    let (_dir, folder, out) = set();
    fs::write(folder.join("TS_0001.xmp"), rated("4")).unwrap();
    fs::write(folder.join("TS_0002.JPG.xmp"), rated("1")).unwrap();
    fs::write(folder.join("TS_0003.xmp"), rated("seven")).unwrap();
    fs::write(folder.join("note.txt"), "x").unwrap();
    let run = analyse(&folder, &out, &["--keepers", "rating"]);
    assert_eq!(run.status.code(), Some(1));
    assert_eq!(lines(&out), ["TS_0001.xmp|TS_0001.JPG|1|name|"]);
    assert_eq!(column(&out, "keeper"), ["yes", "no", "unknown", "unknown"], "nobody judged the last two");
    assert_eq!((codes(&out), summary(&out, "other_files")), (vec!["rating-unreadable".to_owned()], 1));
    analyse(&folder, &out, &["--keepers", "rating", "--keeper-rating", "1"]);
    assert_eq!(column(&out, "keeper"), ["yes", "yes", "unknown", "unknown"]);
}
