//! Every crate that is built in carries a licence that allows it, and none comes from anywhere but the registry.

use std::process::Command;

use serde_json::Value;

/// Licences that a program under MIT or Apache-2.0 may contain without further terms.
const ALLOWED: [&str; 13] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "IJG",
    "ISC",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Whether an SPDX expression can be met: one side of every OR, both sides of every AND. "/" is an old OR.
fn allowed(expression: &str) -> bool {
    let plain = expression.replace(['(', ')'], "").replace('/', " OR ");
    plain.split(" AND ").all(|part| part.split(" OR ").any(|one| ALLOWED.contains(&one.trim())))
}

/// The platform that these tests are built for: the crates of other platforms may not be on this machine.
fn host() -> String {
    let version = Command::new("rustc").arg("-vV").output().unwrap();
    let text = String::from_utf8(version.stdout).unwrap();
    text.lines().find_map(|line| line.strip_prefix("host: ")).unwrap().to_owned()
}

#[test]
fn every_crate_is_allowed() {
    let found = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline", "--filter-platform", &host()])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(found.status.success(), "{}", String::from_utf8_lossy(&found.stderr));
    let metadata: Value = serde_json::from_slice(&found.stdout).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    assert!(packages.len() > 100);
    for package in packages {
        let name = package["name"].as_str().unwrap();
        let licence = package["license"].as_str().unwrap_or_else(|| panic!("{name} names no licence"));
        assert!(allowed(licence), "{name}: {licence}");
        let own = name == "stoptally";
        assert!(
            own || package["source"].as_str().is_some_and(|s| s.starts_with("registry+")),
            "{name} is from elsewhere"
        );
    }
}

#[test]
fn an_expression_is_met_as_spdx_says() {
    assert!(allowed("MIT OR GPL-3.0") && allowed("(MIT OR Apache-2.0) AND Unicode-3.0") && allowed("MIT/Apache-2.0"));
    assert!(!allowed("GPL-3.0") && !allowed("MIT AND LGPL-2.1") && !allowed("LGPL-2.1-or-later"));
}
