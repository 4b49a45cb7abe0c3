//! The README keeps its promises: its tables are the registries', its cautions the page's, its commands are run.
//! `UPDATE_README=1 cargo test --test readme` writes the generated parts anew.

use std::fs;
use std::path::Path;
use std::process::Command;

use stoptally::report::{cautions, legend};

fn readme() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")
}

/// The text between `<!-- name -->` and `<!-- /name -->`.
fn between(text: &str, name: &str) -> (usize, usize) {
    let (open, close) = (format!("<!-- {name} -->\n"), format!("<!-- /{name} -->"));
    let start = text.find(&open).unwrap_or_else(|| panic!("README has no {open}")) + open.len();
    (start, start + text[start..].find(&close).unwrap_or_else(|| panic!("README has no {close}")))
}

#[test]
fn generated_parts_are_current() {
    let mut text = fs::read_to_string(readme()).unwrap();
    for (name, wanted) in
        [("cautions", cautions::markdown()), ("columns", legend::columns()), ("problems", legend::problems())]
    {
        let (start, end) = between(&text, name);
        let wanted = format!("\n{}\n\n", wanted.trim());
        if std::env::var_os("UPDATE_README").is_some() {
            text.replace_range(start..end, &wanted);
        } else {
            assert_eq!(
                &text[start..end],
                wanted,
                "the part \"{name}\" is stale: UPDATE_README=1 cargo test --test readme"
            );
        }
    }
    if std::env::var_os("UPDATE_README").is_some() {
        fs::write(readme(), text).unwrap();
    }
}

#[test]
fn the_first_paragraph_states_the_job() {
    let text = fs::read_to_string(readme()).unwrap();
    let paragraph = text.split("\n\n").nth(1).unwrap();
    for word in ["shoot", "stops", "change of light", "recap"] {
        assert!(paragraph.contains(word), "{word}");
    }
    assert!(!paragraph.contains('\n') && !paragraph.starts_with(['#', '!', '|']));
}

/// The main job as the README gives it, by the program itself, on the same folder, elsewhere.
#[test]
fn the_main_job_runs_as_written() {
    let text = fs::read_to_string(readme()).unwrap();
    let main_job = "\ncargo run --release -- sample-images --keepers sample-images/keepers.txt\n";
    assert!(text.contains(main_job) && text.contains("\ncargo test\n"));
    let out = tempfile::tempdir().unwrap();
    let run = Command::new(env!("CARGO_BIN_EXE_stoptally"))
        .args(["sample-images", "--keepers", "sample-images/keepers.txt", "--out"])
        .arg(out.path())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(run.status.code().is_some_and(|code| code <= 1), "{run:?}");
    for file in [
        "report.html",
        "recap.md",
        "frames.csv",
        "culling.csv",
        "stages.csv",
        "keepers.csv",
        "keeper-count.csv",
        "findings.csv",
        "problems.csv",
        "shoot.json",
    ] {
        assert!(text.contains(&format!("`{file}`")) && out.path().join(file).is_file(), "{file}");
    }
}

#[test]
fn every_option_the_readme_names_exists() {
    let help = Command::new(env!("CARGO_BIN_EXE_stoptally")).arg("--help").output().unwrap();
    let help = String::from_utf8(help.stdout).unwrap();
    for option in [
        "--out",
        "--notes",
        "--subject",
        "--clock",
        "--same-moment",
        "--keepers",
        "--keeper-rating",
        "--write-ratings",
        "--replace",
        "--dry-run",
        "--sync",
        "--guide-number",
        "--lowest-power",
        "compare",
        "--json",
        "--completions",
        "--man",
        "--threads",
        "--quiet",
        "--inside-shoot",
        "--publish",
        "--title",
        "--width",
    ] {
        assert!(help.contains(option), "{option}");
    }
}

/// The comparison as the README gives it, on the sample's own account under two names.
#[test]
fn the_comparison_runs_as_written() {
    let text = fs::read_to_string(readme()).unwrap();
    let command = "stoptally compare reports/friday reports/sunday";
    assert!(text.contains(&format!("\n{command}\n")));
    let dir = tempfile::tempdir().unwrap();
    for name in ["friday", "sunday"] {
        let folder = dir.path().join("reports").join(name);
        fs::create_dir_all(&folder).unwrap();
        let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("reports/sample-images/shoot.json");
        fs::copy(sample, folder.join("shoot.json")).unwrap();
    }
    let run = Command::new(env!("CARGO_BIN_EXE_stoptally"))
        .args(command.split(' ').skip(1))
        .current_dir(dir.path())
        .output()
        .unwrap();
    assert_eq!(run.status.code(), Some(0), "{run:?}");
    for file in ["compare.html", "compare.csv"] {
        assert!(text.contains(&format!("`{file}`")));
        assert!(dir.path().join("reports/compare-sample-images-sample-images").join(file).is_file(), "{file}");
    }
}
