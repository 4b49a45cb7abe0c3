//! `reports/sample-images` is what the tool writes from `sample-images`, byte for byte, and what the truth of the
//! rendered scene says.

mod support;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use support::shoot;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

#[test]
fn the_committed_report_is_what_the_tool_writes() {
    let out = tempfile::tempdir().unwrap();
    let keepers = root().join("sample-images/keepers.txt").display().to_string();
    let run = shoot::analyse(&root().join("sample-images"), &out.path().join("report"), &["--keepers", &keepers]);
    assert_eq!(run.status.code(), Some(1), "the automatic ISO slip needs a look: {run:?}");
    let (wanted, written) =
        (shoot::contents(&root().join("reports/sample-images")), shoot::contents(&out.path().join("report")));
    assert_eq!(wanted.keys().collect::<Vec<_>>(), written.keys().collect::<Vec<_>>());
    for (name, bytes) in &wanted {
        assert!(
            written[name] == *bytes,
            "{name} differs: run the README's main job, look at what it wrote, and commit it"
        );
    }
}

/// The renderer's own record of the shoot: settings, lens and time of every frame, independent of any EXIF reader.
#[test]
fn the_report_agrees_with_the_renderers_record() {
    let report: BTreeMap<String, BTreeMap<String, String>> =
        shoot::rows(&root().join("reports/sample-images/frames.csv"))
            .into_iter()
            .map(|row| (row["frame"].clone(), row))
            .collect();
    let truth = shoot::rows(&root().join("tests/tram_shed/frames-truth.csv"));
    assert_eq!(truth.len(), report.len());
    let number = |text: &str| text.parse::<f64>().unwrap();
    for frame in &truth {
        let row = &report[&frame["frame"]];
        assert_eq!(row["lens"], frame["lens"]);
        assert_eq!(row["taken"], frame["taken"]);
        for column in ["f_number", "iso", "focal_length_mm"] {
            assert!((number(&row[column]) / number(&frame[column]) - 1.0).abs() < 1e-9, "{}: {column}", frame["frame"]);
        }
        assert!(
            row["settings"].contains(&frame["exposure_time"]),
            "{} against {}",
            row["settings"],
            frame["exposure_time"]
        );
        // ISO 100, 200 and 400 stand on their exact values; the other marks' exact values are in the record.
        let exact = 2.0 * number(&frame["f_number_exact"]).log2()
            - number(&frame["exposure_time_exact_s"]).log2()
            - (number(&frame["iso"]) / 100.0).log2();
        assert!(
            (number(&row["ev100"]) - exact).abs() < 1e-4,
            "{}: ev100 {} against {exact}",
            frame["frame"],
            row["ev100"]
        );
    }
}

/// The renderer's own record says which shots are one move of the dancer, a few seconds long. A shot with another ISO
/// stands in a stage of its own, and a series lies within a stage.
#[test]
fn the_series_are_the_dancers_moves() {
    let report = shoot::rows(&root().join("reports/sample-images/frames.csv"));
    let truth = shoot::rows(&root().join("tests/tram_shed/frames-truth.csv"));
    let (mut same, mut apart) = (0, 0);
    for pair in truth.windows(2) {
        let of = |name: &str| report.iter().find(|row| row["frame"] == name).unwrap();
        let (before, now) = (of(&pair[0]["frame"]), of(&pair[1]["frame"]));
        let together = !pair[1]["series"].is_empty() && pair[0]["series"] == pair[1]["series"];
        let one_stage = before["stage"] == now["stage"];
        assert_eq!(before["series"] == now["series"], together && one_stage, "{}", now["frame"]);
        same += usize::from(together && one_stage);
        apart += usize::from(!together);
    }
    assert!(same >= 15 && apart >= 20, "{same} {apart}");
}

/// The list names nine shots in the spellings people use; each is one shot, and the counts are those of the list.
#[test]
fn the_keepers_of_the_list_are_counted() {
    let rows = |file: &str| shoot::rows(&root().join("reports/sample-images").join(file));
    let keepers = rows("keepers.csv");
    let frames: Vec<&str> = keepers.iter().map(|row| row["frame"].as_str()).collect();
    let listed = ["9999", "0004", "0007", "0008", "0012", "0015", "0018", "0021", "0026"];
    assert_eq!(frames, listed.map(|number| format!("TS4_{number}.JPG")));
    assert!(keepers.iter().all(|row| row["match"] == "name"));
    let lightings = rows("lighting.csv");
    let kept: usize = lightings.iter().map(|row| row["keepers"].parse::<usize>().unwrap()).sum();
    assert_eq!(kept, listed.len());
    // Wilson's interval of 4 of 8 by its closed form with z = 1.959963985: 0.2152, 0.7848.
    let row =
        lightings.iter().find(|row| (row["kept_series"].as_str(), row["candidate_series"].as_str()) == ("4", "8"));
    let cell = |name: &str| row.unwrap()[name].parse::<f64>().unwrap();
    assert!((cell("keeper_rate_low") - 0.2152).abs() < 1e-4 && (cell("keeper_rate_high") - 0.7848).abs() < 1e-4);
}
