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
    let run = shoot::analyse(&root().join("sample-images"), &out.path().join("report"), &[]);
    assert_eq!(run.status.code(), Some(1), "the automatic ISO slip needs a look: {run:?}");
    let (wanted, written) =
        (shoot::contents(&root().join("reports/sample-images")), shoot::contents(&out.path().join("report")));
    assert_eq!(wanted.keys().collect::<Vec<_>>(), written.keys().collect::<Vec<_>>());
    for (name, bytes) in &wanted {
        assert!(
            written[name] == *bytes,
            "{name} differs: cargo run --release -- sample-images, look at it, and commit it"
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
