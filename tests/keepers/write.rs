//! Ratings written back: only what was asked for changes, and never a picture.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::time::SystemTime;

use stoptally::ratings::plan::{Change, changes};
use stoptally::ratings::{Said, edit};

use super::scene::{rated, xmp};
use super::support::shoot::{self, analyse, contents, evening};

/// Four frames and a list of all but the last.
fn set() -> (tempfile::TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &evening()[..4]);
    fs::write(dir.path().join("picks.txt"), "TS_0001\nTS_0002\nTS_0003\n").unwrap();
    (dir, folder)
}

fn write(folder: &Path, more: &[&str]) -> Output {
    let base = folder.parent().unwrap();
    let list = base.join("picks.txt");
    let args = [&["--keepers", list.to_str().unwrap(), "--write-ratings"], more].concat();
    analyse(folder, &base.join("report"), &args)
}

fn times(folder: &Path) -> BTreeMap<String, SystemTime> {
    let all = fs::read_dir(folder).unwrap().map(Result::unwrap);
    all.map(|e| (e.file_name().to_string_lossy().into_owned(), e.metadata().unwrap().modified().unwrap())).collect()
}

fn said(run: &Output) -> String {
    String::from_utf8_lossy(&run.stdout).into_owned() + &String::from_utf8_lossy(&run.stderr)
}

#[test]
fn only_what_was_asked_for_changes() {
    let (_dir, folder) = set();
    let lazy = xmp("xmp:Label=\"best\"\r\n\tdc='&lt;'").replace("<x:xmpmeta", "<!-- mine -->\r\n<x:xmpmeta");
    fs::write(folder.join("TS_0002.JPG.xmp"), &lazy).unwrap();
    fs::write(folder.join("TS_0003.xmp"), rated("0")).unwrap();
    let before = contents(&folder);
    let run = write(&folder, &[]);
    assert_eq!(run.status.code(), Some(0), "{run:?}");
    assert!(said(&run).contains("Rating 3 for the keepers: 3 sidecars written."), "{}", said(&run));
    let after = contents(&folder);
    assert_eq!(after["TS_0001.xmp"], edit::new(3), "made by the name of the specification");
    let wanted = lazy.replace("<rdf:Description", "<rdf:Description xmp:Rating=\"3\"");
    assert_eq!(after["TS_0002.JPG.xmp"], wanted.as_bytes(), "the one that is there, and every other byte of it");
    assert_eq!(after["TS_0003.xmp"], rated("3").as_bytes());
    let new: Vec<&String> = after.keys().filter(|name| !before.contains_key(*name)).collect();
    assert_eq!(new, ["TS_0001.xmp"]);
    for (name, bytes) in before.iter().filter(|(name, _)| name.ends_with("JPG")) {
        assert_eq!(after[name], *bytes, "{name}: a picture is never written");
    }
    // A second run changes nothing, not even a time.
    let stood = times(&folder);
    let again = write(&folder, &[]);
    assert!(said(&again).contains("3 sidecars say so already."), "{}", said(&again));
    assert_eq!((contents(&folder), times(&folder)), (after, stood));
    // What was written is read.
    let out = folder.parent().unwrap().join("back");
    analyse(&folder, &out, &["--keepers", "rating"]);
    let kept: Vec<String> = shoot::rows(&out.join("keepers.csv")).into_iter().map(|row| row["frame"].clone()).collect();
    assert_eq!(kept, ["TS_0001.JPG", "TS_0002.JPG", "TS_0003.JPG"]);
}

#[test]
fn a_dry_run_prints_and_writes_nothing() {
    let (_dir, folder) = set();
    fs::write(folder.join("TS_0002.xmp"), rated("0")).unwrap();
    fs::write(folder.join("TS_0003.xmp"), rated("5")).unwrap();
    let before = (contents(folder.parent().unwrap()), times(&folder));
    let run = write(&folder, &["--dry-run"]);
    let words = said(&run);
    for line in [
        "TS_0001.xmp: would be made, with rating 3\n",
        "TS_0002.xmp: would change from 0 to rating 3\n",
        "TS_0003.xmp: keeps its rating (5)\n",
        "2 sidecars would be written, 1 sidecar keeps the rating you gave (--replace would change it). Nothing was written.",
    ] {
        assert!(words.contains(line), "{line} in {words}");
    }
    assert_eq!((contents(folder.parent().unwrap()), times(&folder)), before, "not even the report");
    assert_eq!(run.status.code(), Some(0));
    let replaced = write(&folder, &["--dry-run", "--replace", "--keeper-rating", "4"]);
    assert!(said(&replaced).contains("TS_0003.xmp: would change from 5 to rating 4"), "{}", said(&replaced));
}

#[test]
fn ratings_of_a_person_stay_without_replace() {
    let (_dir, folder) = set();
    let all = [("TS_0001.xmp", "5"), ("TS_0002.xmp", "1"), ("TS_0003.xmp", "-1")];
    for (name, rating) in all {
        fs::write(folder.join(name), rated(rating)).unwrap();
    }
    let before = contents(&folder);
    assert!(said(&write(&folder, &[])).contains("3 sidecars keep the ratings you gave"));
    assert_eq!(contents(&folder), before);
    write(&folder, &["--replace"]);
    for (name, _) in all {
        assert_eq!(contents(&folder)[name], rated("3").as_bytes(), "{name}");
    }
}

#[test]
fn a_damaged_sidecar_is_left_alone_and_named() {
    let (_dir, folder) = set();
    let broken = rated("0").replace("</rdf:RDF>", "");
    fs::write(folder.join("TS_0001.xmp"), &broken).unwrap();
    fs::write(folder.join("TS_0002.xmp"), b"").unwrap();
    let run = write(&folder, &["--replace"]);
    assert_eq!(run.status.code(), Some(1));
    assert_eq!(
        (contents(&folder)["TS_0001.xmp"].clone(), contents(&folder)["TS_0002.xmp"].len()),
        (broken.into_bytes(), 0)
    );
    let words = String::from_utf8(run.stderr).unwrap();
    assert!(
        words.contains("TS_0001.xmp is left alone: it is no well-formed XML") && words.contains("TS_0002.xmp"),
        "{words}"
    );
    assert!(folder.join("TS_0003.xmp").exists(), "the others are written all the same");
}

/// A pair shares the sidecar of its name; two shots of one name get one each, by their full names.
#[test]
fn pairs_and_namesakes() {
    let (_dir, folder) = set();
    fs::write(folder.join("TS_0001.CR3"), b"not a raw").unwrap();
    fs::write(folder.join("TS_0002.png"), super::support::pictures::rgb(8, 8, |_, _| [9; 3])).unwrap();
    fs::write(folder.parent().unwrap().join("picks.txt"), "TS_0001.CR3\nTS_0002.JPG\n").unwrap();
    write(&folder, &[]);
    let made: Vec<String> = contents(&folder).into_keys().filter(|name| name.ends_with("xmp")).collect();
    assert_eq!(made, ["TS_0001.xmp", "TS_0002.JPG.xmp"]);
}

#[cfg(unix)]
#[test]
fn permissions_stay_and_a_folder_that_may_not_be_written_is_named() {
    use std::os::unix::fs::PermissionsExt;
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let set_mode = |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    let (_dir, folder) = set();
    for (name, bits) in [("TS_0001.xmp", 0o640), ("TS_0002.xmp", 0o444)] {
        fs::write(folder.join(name), rated("0")).unwrap();
        set_mode(&folder.join(name), bits);
    }
    fs::write(folder.join("as usual"), b"").unwrap();
    let run = write(&folder, &[]);
    assert_eq!(mode(&folder.join("TS_0001.xmp")), 0o640);
    assert_eq!(mode(&folder.join("TS_0003.xmp")), mode(&folder.join("as usual")), "a new file is as any new file");
    assert_eq!(fs::read(folder.join("TS_0002.xmp")).unwrap(), rated("0").as_bytes(), "protected from writing");
    assert!(
        said(&run).contains("TS_0002.xmp is left alone: the file is protected from writing; give yourself"),
        "{}",
        said(&run)
    );

    let (_dir, folder) = set();
    set_mode(&folder, 0o555);
    if fs::write(folder.join("probe"), b"").is_err() {
        let run = write(&folder, &[]);
        set_mode(&folder, 0o755);
        assert_eq!(run.status.code(), Some(1));
        assert!(
            said(&run).contains("TS_0001.xmp is left alone: ") && said(&run).contains("give yourself permission"),
            "{}",
            said(&run)
        );
        assert!(!contents(&folder).keys().any(|name| name.ends_with("xmp")));
    } else {
        println!("skipped: this user may write everywhere");
        set_mode(&folder, 0o755);
    }
}

#[test]
fn what_makes_no_sense_is_refused_in_words() {
    let (_dir, folder) = set();
    let out = folder.parent().unwrap().join("report");
    for (args, words) in [
        (&["--keepers", "rating", "--write-ratings"][..], "already a choice by ratings"),
        (&["--write-ratings"], "--keepers"),
        (&["--dry-run"], "--write-ratings"),
        (&["--replace"], "--write-ratings"),
    ] {
        let run = analyse(&folder, &out, args);
        assert_eq!(run.status.code(), Some(2), "{args:?}");
        assert!(said(&run).contains(words), "{}", said(&run));
        assert!(!out.exists());
    }
}

/// The shot counts as a whole: what a person said in one place is not undone by another.
#[test]
fn what_happens_to_the_sidecars_of_one_shot() {
    let ok = |text: String| Ok(text.into_bytes());
    let kinds = |present: &[Result<Vec<u8>, String>], inside, replace| -> String {
        let letter = |change: &Change| match change {
            Change::Same => '=',
            Change::Kept(_) => 'k',
            Change::Cannot(_) => '!',
            Change::Write(_, None) => 'n',
            Change::Write(..) => 'w',
        };
        changes(present, inside, 3, replace).iter().map(letter).collect()
    };
    let none = || ok(xmp(""));
    for (present, inside, plain, replaced) in [
        (vec![], None, "n", "n"),
        (vec![], Some(3.0), "=", "="),
        (vec![], Some(5.0), "k", "n"),
        (vec![none()], Some(5.0), "k", "w"),
        (vec![none()], Some(3.0), "=", "="),
        (vec![none(), none()], None, "ww", "ww"),
        (vec![ok(rated("5")), none()], None, "kk", "ww"),
        (vec![ok(rated("3")), none()], None, "=w", "=w"),
        (vec![ok(rated("0"))], Some(5.0), "w", "w"),
        (vec![ok(rated("9"))], None, "!", "w"),
        (vec![Err("gone".to_owned())], None, "!", "!"),
    ] {
        assert_eq!(
            (kinds(&present, inside, false), kinds(&present, inside, true)),
            (plain.to_owned(), replaced.to_owned()),
            "{present:?} {inside:?}"
        );
    }
    let [Change::Write(_, Some(before))] = &changes(&[ok(rated("0"))], None, 3, false)[..] else { panic!() };
    assert_eq!(*before, Said::Rating(0.0));
}
