//! `recap.html`: one file, the same content, under its limit, nothing in it that runs or calls out.

use std::collections::BTreeSet;

use base64::{Engine as _, engine::general_purpose::STANDARD};
use stoptally::report::recap::{self, BUDGET};

use super::support::{extremes, lit, prints};

/// What stands between two marks, everywhere.
fn all_between<'a>(text: &'a str, from: &str, to: &str) -> Vec<&'a str> {
    text.split(from).skip(1).map(|rest| rest.split(to).next().unwrap()).collect()
}

#[test]
fn it_says_what_the_markdown_says() {
    for (name, report) in extremes::all() {
        let recap = recap::render(&report);
        let heads = all_between(&recap.html, "<h2>", "</h2>").len() + all_between(&recap.html, "<h3>", "</h3>").len();
        let lines = recap.markdown.lines().filter(|l| l.starts_with("## ") || l.starts_with("### ")).count();
        assert_eq!(heads, lines, "{name}");
        let shown = all_between(&recap.html, "<figure>", "</figure>").len();
        assert_eq!(shown, recap.markdown.matches("![").count(), "{name}");
    }
}

#[test]
fn nothing_is_fetched_and_nothing_runs() {
    for (name, report) in extremes::all() {
        let html = recap::render(&report).html;
        let policy = all_between(&html, "http-equiv=\"Content-Security-Policy\" content=\"", "\"")[0];
        assert!(policy.starts_with("default-src 'none'; img-src data:; style-src 'sha256-"), "{name}: {policy}");
        for address in all_between(&html, "src=\"", "\"").into_iter().chain(all_between(&html, "href=\"", "\"")) {
            assert!(address.starts_with("data:") || address.starts_with("#p"), "{name}: {address}");
        }
        // Tags without what stands in quotation marks; no value holds a sign that ends a tag.
        for tag in html.split('<').skip(1).filter_map(|rest| rest.split('>').next()) {
            let names = tag.split('"').step_by(2).collect::<String>();
            assert!(!tag.starts_with("script") && !names.contains(" on") && !names.contains(" style"), "{name}: {tag}");
        }
        let style = all_between(&html, "<style>", "</style>")[0];
        assert!(!style.contains("url(") && !style.contains("@import"), "{name}");
    }
}

/// Prints of photographs at 1200 pixels: some 200 kB each.
#[test]
fn it_stays_under_its_limit_and_says_what_it_leaves_out() {
    for (report, bytes) in [
        (lit::lit_evening(), 4_000),
        (lit::lit_evening(), 200_000),
        (lit::lit_evening(), 2_500_000),
        (lit::many_lights(), 200_000),
    ] {
        let recap = recap::render(&prints::with_prints(report, bytes));
        assert!(recap.html.len() < BUDGET, "{} bytes", recap.html.len());
        // Every lighting has a picture in it, large or small.
        let chapters = recap.html.matches("<div class=\"main\"><figure>").count();
        let pictures = recap.html.matches("<div class=\"main\"><figure><img").count()
            + recap.html.matches("<div class=\"main\"><figure><svg").count();
        assert!(chapters > 0 && chapters == pictures, "{pictures} of {chapters}");
    }
}

/// Nine lightings of 200 kB fit, so all are large; nine of 2.5 MB do not, so none is.
#[test]
fn all_lightings_are_shown_large_or_none() {
    for (bytes, large) in [(200_000, true), (2_500_000, false)] {
        let report = prints::with_prints(lit::lit_evening(), bytes);
        let recap = recap::render(&report);
        let held: BTreeSet<Vec<u8>> = all_between(&recap.html, "data:image/jpeg;base64,", "\"")
            .iter()
            .map(|b| STANDARD.decode(b).unwrap())
            .collect();
        for row in &report.lightings {
            let print = report.prints[&row.detail.typical_index].jpeg.to_vec();
            assert_eq!(held.contains(&print), large, "lighting {}", row.lighting);
        }
    }
}

#[test]
fn a_picture_that_is_shown_often_is_held_once() {
    let recap = recap::render(&lit::lit_evening());
    let held = all_between(&recap.html, "data:image/jpeg;base64,", "\"");
    let once: BTreeSet<&&str> = held.iter().collect();
    // Drawings of the same light and ground may be the same bytes in two files.
    assert!(held.len() <= recap.pictures.len() && !once.is_empty());
    assert!(recap.html.matches("<use href=\"#p").count() > recap.html.matches("<image id=\"p").count());
}
