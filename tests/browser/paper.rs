//! The page on paper: how many sheets, and what is on them.

use std::fs;
use std::path::Path;

use stoptally::report::page;

use crate::driver::{Browser, Paper};
use crate::support::shoot;

/// Sheets of a PDF that Chromium wrote: its page objects stand uncompressed.
fn sheets(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    text.matches("/Type /Page").count() - text.matches("/Type /Pages").count()
}

#[test]
fn the_sample_shoot_is_a_two_page_account() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let out = tempfile::tempdir().unwrap();
    let keepers = root.join("sample-images/keepers.txt").display().to_string();
    shoot::analyse(&root.join("sample-images"), &out.path().join("report"), &["--keepers", &keepers]);
    browser.open(&out.path().join("report/report.html"));
    for paper in [Paper::A4, Paper::Letter] {
        let pdf = browser.print(paper);
        assert!(pdf.starts_with(b"%PDF") && pdf.len() > 50_000, "{} bytes", pdf.len());
        assert_eq!(sheets(&pdf), 2, "{paper:?}");
    }
}

#[test]
fn what_is_opened_is_printed_and_rows_are_not_torn() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.html");
    fs::write(&file, page::render(&crate::support::lit::lit_evening(), &[])).unwrap();
    browser.open(&file);
    let closed = sheets(&browser.print(Paper::A4));
    browser.run("document.querySelectorAll('.rung > details').forEach(d => d.open = true)");
    let opened = sheets(&browser.print(Paper::A4));
    assert!(closed >= 1 && opened > closed + 4, "{closed} sheets, {opened} with every rung open");
    browser.media("print", "prefers-color-scheme", "light");
    let torn = browser.run(
        "return [...document.querySelectorAll('tr, figure, .lk .row, .cau p, .shots li, table.ac')].filter(e => getComputedStyle(e).breakInside !== 'avoid').map(e => e.tagName + '.' + e.className)",
    );
    assert_eq!(torn, serde_json::json!([]));
    let heads = "return [...new Set([...document.querySelectorAll('thead')].map(e => getComputedStyle(e).display))]";
    assert_eq!(browser.run(heads), serde_json::json!(["table-header-group"]), "a table that goes on repeats its head");
}
