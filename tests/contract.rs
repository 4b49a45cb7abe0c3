//! The main job from outside: a folder goes in, the files of the contract come out, with the known answer in them.

mod support;

use std::fs;

use support::shoot::{self, Frame};

fn stops(code: f64) -> f64 {
    // IEC 61966-2-1, evaluated here and not by the library under test.
    let c = code / 255.0;
    let linear = if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
    (linear / 0.18).log2()
}

#[test]
fn an_evening_becomes_an_account() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let out = dir.path().join("report");
    let run = shoot::analyse(&folder, &out, &[]);
    assert_eq!(run.status.code(), Some(1), "the ISO slip needs a look: {run:?}");

    let frames = shoot::rows(&out.join("frames.csv"));
    assert_eq!(frames.len(), 12);
    let number = |row: usize, column: &str| frames[row][column].parse::<f64>().unwrap_or(f64::NAN);
    for (row, code) in [20.0, 24.0, 60.0, 61.0, 90.0, 118.0, 118.0, 162.0].into_iter().enumerate() {
        assert!((number(row, "mean_luminance_stops") - stops(code)).abs() < 0.03, "{row}: a code of rounding at most");
    }
    let stage: Vec<&str> = frames.iter().map(|f| f["stage"].as_str()).collect();
    assert_eq!(stage, ["1", "1", "2", "2", "2", "2", "2", "3", "4", "4", "5", "5"]);
    let setup: Vec<&str> = frames.iter().map(|f| f["setup"].as_str()).collect();
    assert_eq!(setup, ["1", "1", "2", "2", "2", "2", "2", "3", "2", "2", "4", "4"]);

    // 1/60 to 1/200 is 1/64 to 2^(-23/3) s: -5/3 stop on ambient and nothing on flash.
    assert!((number(2, "settings_change_ambient_stops") + 5.0 / 3.0).abs() < 1e-12);
    assert_eq!(number(2, "settings_change_flash_stops"), 0.0);
    assert_eq!(frames[2]["light_change_stops"], "", "it depends on the share of ambient");
    let picture = stops(60.0) - stops(24.0);
    assert!((number(2, "light_change_stops_low") - picture).abs() < 0.05);
    assert!((number(2, "light_change_stops_high") - picture - 5.0 / 3.0).abs() < 0.05);
    // Code 118 to 162 is one stop (references: 18 % grey moved by whole stops), and so is ISO 100 to 200.
    assert!((number(7, "settings_change_flash_stops") - 1.0).abs() < 1e-12);
    assert!(number(7, "light_change_stops").abs() < 0.04);
    assert_eq!(frames[0]["ev100"].parse::<f64>().unwrap(), 5.0 + 6.0, "f/5.6 is Av 5, 1/60 is Tv 6 (Exif 2.2 annex C)");
    assert_eq!(number(3, "seconds_since_previous"), 40.0);

    let stages = shoot::rows(&out.join("stages.csv"));
    assert_eq!(stages.len(), 5);
    assert!(
        stages[2]["changed"].starts_with("ISO 100 to 200 (+1.0): settings +1.0; picture +1.0, so light 0.0"),
        "{}",
        stages[2]["changed"]
    );
    assert_eq!(stages[1]["seconds"], "160.0");
    let findings = shoot::rows(&out.join("findings.csv"));
    assert_eq!(
        findings.iter().map(|f| (f["frame"].as_str(), f["code"].as_str())).collect::<Vec<_>>(),
        [("TS_0008.JPG", "settings-slip")]
    );
}

#[test]
fn everything_of_the_contract_is_written() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let out = dir.path().join("report");
    shoot::analyse(&folder, &out, &[]);
    let files = shoot::contents(&out);
    for name in [
        "frames.csv",
        "stages.csv",
        "keepers.csv",
        "findings.csv",
        "problems.csv",
        "shoot.json",
        "report.html",
        "recap.md",
    ] {
        assert!(files.contains_key(name), "{name}");
    }
    assert!(files.keys().any(|f| f.starts_with("charts/") && f.ends_with(".svg")));
    assert!(files.keys().any(|f| f.starts_with("charts/") && f.ends_with(".png")));
    assert!(files.keys().any(|f| f.starts_with("recap/")));
    let json: serde_json::Value = serde_json::from_slice(&files["shoot.json"]).unwrap();
    assert_eq!((json["schema"].as_u64(), json["frames"].as_array().unwrap().len()), (Some(1), 12));
    for (name, bytes) in &files {
        let text = String::from_utf8_lossy(bytes);
        assert!(!text.contains(&*dir.path().to_string_lossy()), "{name} holds an absolute path");
    }
}

#[test]
fn files_seen_are_rows_companions_and_problems() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let second_slot = folder.join("slot2");
    fs::create_dir(&second_slot).unwrap();
    fs::copy(folder.join("TS_0003.JPG"), second_slot.join("TS_0003.JPG")).unwrap();
    fs::write(folder.join("TS_0001.CR3"), b"not a raw").unwrap();
    fs::write(folder.join("empty.jpg"), b"").unwrap();
    fs::write(folder.join("poster.psd"), b"8BPS").unwrap();
    fs::write(folder.join("._TS_0001.JPG"), b"shadow").unwrap();
    fs::write(folder.join("words.txt"), b"x").unwrap();
    let out = dir.path().join("report");
    let run = shoot::analyse(&folder, &out, &[]);
    assert_eq!(run.status.code(), Some(1));
    let json: serde_json::Value = serde_json::from_slice(&fs::read(out.join("shoot.json")).unwrap()).unwrap();
    let count = |name: &str| json["summary"][name].as_u64().unwrap();
    assert_eq!(
        (count("files_seen"), count("shots"), count("companions"), count("files_without_row"), count("other_files")),
        (17, 13, 2, 2, 1)
    );
    let in_frames: usize = shoot::rows(&out.join("frames.csv"))
        .iter()
        .map(|f| 1 + f["companion"].split(';').filter(|c| !c.is_empty()).count())
        .sum();
    let apart = shoot::rows(&out.join("problems.csv")).iter().filter(|p| p["in_frames"] == "no").count();
    assert_eq!(in_frames + apart, 17);
}

#[test]
fn what_is_printed_is_a_few_sentences() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let run = shoot::analyse(&folder, &dir.path().join("report"), &[]);
    let said = String::from_utf8(run.stdout).unwrap();
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines[0], "12 shots, one camera, 16:20-16:27, in 5 stages");
    assert!(lines[1].starts_with("look at: ISO 200 instead of 100 in TS_0008.JPG"), "{said}");
    assert!(lines.last().unwrap().ends_with("report/report.html") && lines.len() <= 6, "{said}");
    assert_eq!(String::from_utf8(run.stderr).unwrap(), "", "no progress where nobody looks");

    let quiet = shoot::analyse(&folder, &dir.path().join("report"), &["--quiet"]);
    assert!(quiet.stdout.is_empty() && quiet.stderr.is_empty());
    let json = shoot::analyse(&folder, &dir.path().join("report"), &["--json"]);
    let answer: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(answer["summary"]["shots"], 12);
}

#[test]
fn a_clean_shoot_ends_with_zero() {
    let dir = tempfile::tempdir().unwrap();
    let frames: Vec<Frame> = (1..4).map(|n| Frame::new(&format!("TS_{n:04}.JPG"), n, 100)).collect();
    let folder = shoot::write(dir.path(), &frames);
    assert_eq!(shoot::analyse(&folder, &dir.path().join("report"), &[]).status.code(), Some(0));
}

#[test]
fn wrong_paths_and_words_get_a_sentence_that_helps() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..1]);
    let said = |args: &[&str]| {
        let args: Vec<&std::ffi::OsStr> = args.iter().map(|a| std::ffi::OsStr::new(*a)).collect();
        let run = shoot::run(dir.path(), &args);
        assert_eq!(run.status.code(), Some(2), "{run:?}");
        assert!(run.stdout.is_empty());
        String::from_utf8(run.stderr).unwrap()
    };
    assert!(said(&["nowhere"]).contains("nowhere cannot be opened; check the path"));
    assert!(said(&["shed/TS_0001.JPG"]).contains("is a file; give the folder"));
    assert!(said(&[]).contains("which folder?"));
    assert!(said(&["shed", "--ouT", "x"]).contains("--out"));
    assert!(said(&["shed", "--clock", "5"]).contains("0417=-192s"));
    assert!(said(&["shed", "--sync", "soon"]).contains("1/200"));
    assert!(said(&["shed", "--out", "shed"]).contains("--inside-shoot"));
    assert!(said(&["shed", "--out", "shed/deep/report"]).contains("--inside-shoot"));
    assert_eq!(shoot::contents(&folder).len(), 1, "nothing was written beside the original");
}

#[test]
fn a_report_inside_the_shoot_only_by_its_very_name() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..3]);
    for _ in 0..2 {
        let run = shoot::run(
            dir.path(),
            &["shed".as_ref(), "--out".as_ref(), "shed/report".as_ref(), "--inside-shoot".as_ref()],
        );
        assert!(run.status.code().unwrap() <= 1, "{run:?}");
        assert_eq!(shoot::rows(&folder.join("report/frames.csv")).len(), 3, "the report's own pictures are no frames");
    }
}

#[test]
fn two_shoots_of_one_name_get_two_reports() {
    let dir = tempfile::tempdir().unwrap();
    for (place, code) in [("monday", 90), ("tuesday", 120)] {
        let mut frame = Frame::new("TS_0001.JPG", 0, code);
        frame.taken = format!("2026:11:0{} 16:20:00", code / 30);
        shoot::write(&dir.path().join(place), &[frame]);
    }
    for place in ["monday/shed", "tuesday/shed", "monday/shed"] {
        assert_eq!(shoot::run(dir.path(), &[place.as_ref()]).status.code(), Some(0));
    }
    let taken =
        |report: &str| shoot::rows(&dir.path().join("reports").join(report).join("frames.csv"))[0]["taken"].clone();
    assert_eq!((taken("shed"), taken("shed-2")), ("2026-11-03T16:20:00".to_owned(), "2026-11-04T16:20:00".to_owned()));
    assert!(!dir.path().join("reports/shed-3").exists(), "the same shoot keeps its report");
    // The same folder by name: refused, with the remedy.
    let run = shoot::run(dir.path(), &["tuesday/shed".as_ref(), "--out".as_ref(), "reports/shed".as_ref()]);
    assert_eq!(run.status.code(), Some(2));
    assert!(String::from_utf8(run.stderr).unwrap().contains("another shoot"));
}

#[test]
fn a_users_folder_is_never_taken_for_a_report() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..1]);
    let mine = dir.path().join("mine");
    fs::create_dir(&mine).unwrap();
    fs::write(mine.join("letter.txt"), "dear").unwrap();
    let run = shoot::analyse(&folder, &mine, &[]);
    assert_eq!(run.status.code(), Some(2));
    assert_eq!(shoot::contents(&mine).len(), 1);
}

#[test]
fn two_bodies_and_a_corrected_clock() {
    let dir = tempfile::tempdir().unwrap();
    let mut frames = shoot::evening()[..4].to_vec();
    frames.extend(shoot::evening()[..2].iter().map(|f| Frame {
        serial: "TS-0500",
        name: format!("B_{}", f.name),
        ..f.clone()
    }));
    let folder = shoot::write(dir.path(), &frames);
    let out = dir.path().join("report");
    let run = shoot::analyse(&folder, &out, &["--clock", "TS-0500=-192s"]);
    assert!(String::from_utf8(run.stdout).unwrap().contains("2 cameras"));
    let rows = shoot::rows(&out.join("frames.csv"));
    let body: Vec<_> = rows.iter().filter(|r| r["body_serial"] == "TS-0500").collect();
    assert_eq!(body.len(), 2);
    assert_eq!((body[0]["taken"].as_str(), body[0]["clock_offset_s"].as_str()), ("2026-11-07T16:16:48", "-192.0"));
    assert_eq!(body[0]["seconds_since_previous"], "", "no account across bodies");
}

#[test]
fn completions_and_man_page() {
    let dir = tempfile::tempdir().unwrap();
    for (args, word) in
        [(["--completions", "bash"], "_stoptally"), (["--completions", "fish"], "complete -c stoptally")]
    {
        let args: Vec<&std::ffi::OsStr> = args.iter().map(|a| std::ffi::OsStr::new(*a)).collect();
        let run = shoot::run(dir.path(), &args);
        assert!(run.status.success() && String::from_utf8(run.stdout).unwrap().contains(word));
    }
    assert!(String::from_utf8(shoot::run(dir.path(), &["--man".as_ref()]).stdout).unwrap().contains(".TH stoptally"));
}
