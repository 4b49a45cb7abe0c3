//! The layout that DEVELOPERS.md describes is the layout there is, so that the page cannot drift.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// Names at the top level that may stand there besides dot-files; build output and other runs' reports are not committed.
const TOP: [&str; 9] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "reports",
    "sample-images",
    "src",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Rust files below a folder, as written in DEVELOPERS.md: "shots/order.rs".
fn sources(folder: &Path, below: &Path, found: &mut BTreeSet<String>) {
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let path = entry.path();
        if path.is_dir() {
            sources(&path, below, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.insert(path.strip_prefix(below).unwrap().to_string_lossy().replace('\\', "/"));
        }
    }
}

/// The first word in backquotes of each row of the tables under "Where each thing lives".
fn described() -> BTreeSet<String> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let section = text
        .split("\n## ")
        .find(|s| s.starts_with("Where each thing lives"))
        .expect("DEVELOPERS.md says where each thing lives");
    section.lines().filter_map(|line| line.strip_prefix("| `")?.split('`').next()).map(str::to_owned).collect()
}

#[test]
fn every_source_file_is_described_and_every_described_file_exists() {
    let mut found = BTreeSet::new();
    sources(&root().join("src"), &root().join("src"), &mut found);
    let described: BTreeSet<String> =
        described().into_iter().filter(|name| name.ends_with(".rs") && !name.starts_with("tests/")).collect();
    let missing: Vec<_> = found.difference(&described).collect();
    let gone: Vec<_> = described.difference(&found).collect();
    assert!(missing.is_empty() && gone.is_empty(), "not described: {missing:?}; described but gone: {gone:?}");
}

#[test]
fn every_test_is_described_too() {
    let described = described();
    for entry in fs::read_dir(root().join("tests")).unwrap().map(Result::unwrap) {
        let name = format!("tests/{}", entry.file_name().to_string_lossy());
        assert!(
            described.contains(&name) || described.contains(&format!("{name}/")),
            "{name} is not described in DEVELOPERS.md"
        );
    }
}

#[test]
fn the_top_level_holds_what_was_agreed() {
    for entry in fs::read_dir(root()).unwrap().map(Result::unwrap) {
        let name = entry.file_name().to_string_lossy().into_owned();
        let known = name.starts_with('.') || name == "target" || name == "tests" || TOP.contains(&name.as_str());
        assert!(known, "{name} has no place at the top level");
    }
}

#[test]
fn no_source_file_outgrows_its_idea() {
    let mut found = BTreeSet::new();
    sources(&root().join("src"), root(), &mut found);
    for name in found {
        let lines = fs::read_to_string(root().join(&name)).unwrap().lines().count();
        assert!(lines <= 500, "{name} has {lines} lines: give its ideas files of their own");
    }
}

/// Every file that was brought from elsewhere names its source and licence, and the licence's text is there.
#[test]
fn every_fixture_has_a_licence() {
    let folder = root().join("tests/fixtures");
    let manifest = fs::read_to_string(folder.join("MANIFEST.tsv")).unwrap();
    let header: Vec<&str> = manifest.lines().next().unwrap().split('\t').collect();
    let column = |name: &str| header.iter().position(|h| *h == name).unwrap_or_else(|| panic!("no column {name}"));
    let (path, licence) = (column("path"), column("licence"));
    let mut listed = BTreeSet::new();
    for line in manifest.lines().skip(1) {
        let cells: Vec<&str> = line.split('\t').collect();
        assert!(!cells[licence].is_empty(), "{line}");
        assert!(folder.join(cells[path]).is_file(), "{} is listed and not there", cells[path]);
        listed.insert(cells[path].to_owned());
    }
    for kind in ["good", "exif", "raw", "hostile", "found", "bracket"] {
        for entry in fs::read_dir(folder.join(kind)).unwrap().map(Result::unwrap) {
            let name = format!("{kind}/{}", entry.file_name().to_string_lossy());
            assert!(listed.contains(&name), "{name} has no row in MANIFEST.tsv");
        }
    }
}
