//! What must hold of `report.html` as text, for an ordinary shoot and for every extreme. What only a browser can tell is in `browser`.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod support;

use base64::{Engine as _, engine::general_purpose::STANDARD};
use sha2::{Digest as _, Sha256};
use stoptally::measure::Picture;
use stoptally::report::charts::Chart;
use stoptally::report::{FramePictures, page};
use support::extremes::{self, PLANTED};

/// The text between two marks, first time.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let start = text.find(from).unwrap_or_else(|| panic!("no {from}")) + from.len();
    &text[start..start + text[start..].find(to).unwrap()]
}

/// Every value of an attribute.
fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let opening = format!(" {attribute}=\"");
    page.match_indices(&opening).map(|(at, _)| page[at + opening.len()..].split('"').next().unwrap()).collect()
}

#[test]
fn the_policy_names_the_very_style_and_script_of_the_page() {
    let page = page::render(&extremes::all()[0].1, &[]);
    let policy = between(&page, "http-equiv=\"Content-Security-Policy\" content=\"", "\"").replace("&#39;", "'");
    for (kind, text) in
        [("style", between(&page, "<style>", "</style>")), ("script", between(&page, "<script>", "</script>"))]
    {
        let hash = STANDARD.encode(Sha256::digest(text.as_bytes()));
        assert!(policy.contains(&format!("{kind}-src 'sha256-{hash}'")), "{kind}: {policy}");
    }
    assert!(policy.starts_with("default-src 'none';") && !policy.contains("unsafe"));
    assert_eq!((page.matches("<style").count(), page.matches("<script").count()), (1, 1));
}

#[test]
fn every_page_is_whole_and_asks_for_nothing_outside() {
    for (name, report) in extremes::all() {
        let page = page::render(&report, &[]);
        assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>"), "{name}");
        assert_eq!(page, page::render(&report, &[]), "{name}: two runs differ");
        for attribute in ["src", "href"] {
            for value in values(&page, attribute) {
                assert!(value.starts_with('#') || value.starts_with("data:"), "{name}: {attribute}={value}");
            }
        }
        assert!(!page.contains("@import") && !page.contains("://"), "{name}");
        assert!(values(&page, "style").is_empty() && values(&page, "onclick").is_empty(), "{name}");
        let drawn =
            ["x", "x1", "x2", "y1", "y2", "width", "height", "d"].map(|attribute| values(&page, attribute).join(" "));
        assert!(drawn.iter().all(|value| !value.contains("NaN") && !value.contains("inf")), "{name}: {drawn:?}");
    }
}

#[test]
fn ids_are_unique_and_every_link_has_its_target() {
    for (name, report) in extremes::all() {
        let page = page::render(&report, &[]);
        let mut ids = values(&page, "id");
        let number = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), number, "{name}: an id is there twice");
        let links = values(&page, "href").into_iter().filter_map(|link| link.strip_prefix('#'));
        let described = values(&page, "aria-describedby").into_iter().chain(values(&page, "aria-labelledby"));
        for target in links.chain(described) {
            assert!(ids.binary_search(&target).is_ok(), "{name}: nothing is called {target}");
        }
    }
}

#[test]
fn text_from_files_arrives_as_text() {
    let page = page::render(&extremes::planted(), &[]);
    for active in ["<script>document", "<img src=x", "onerror=\"", "\u{202e}", "\u{2066}"] {
        assert!(!page.contains(active), "{active:?} came through");
    }
    assert!(page.contains("&lt;script&gt;document.title"), "the planted text must be shown, not dropped");
    assert!(page.contains("\\u{202e}"), "direction controls must be shown");
    assert!(PLANTED.contains('\u{202e}'));
}

#[test]
fn figures_have_a_true_minus_and_the_page_raises_no_voice() {
    for (name, report) in extremes::all().into_iter().filter(|(name, _)| *name != "planted") {
        let page = page::render(&report, &[]);
        let body = between(&page, "<body>", "<script>");
        let mut text = String::new();
        let mut inside = false;
        for c in body.chars() {
            match c {
                '<' => inside = true,
                '>' => inside = false,
                c if !inside => text.push(c),
                _ => {}
            }
        }
        assert!(!text.contains('!'), "{name}");
        for (at, _) in text.match_indices('-') {
            let (before, after) = (text[..at].chars().next_back(), text[at + 1..].chars().next());
            let minus = after.is_some_and(|c| c.is_ascii_digit()) && !before.is_some_and(char::is_alphanumeric);
            assert!(!minus, "{name}: a hyphen for a minus at …{}", &text[at.saturating_sub(20)..at + 5]);
        }
    }
}

#[test]
fn one_rung_per_stage_and_one_ladder_per_body() {
    for (name, report) in extremes::all() {
        let page = page::render(&report, &[]);
        assert_eq!(page.matches("<li class=\"rung\"").count(), report.stages.len(), "{name}");
        let ladders = page.matches("<ol class=\"lad").count();
        match name {
            "no-frames" | "all-broken" => assert_eq!(ladders, 0),
            "two-bodies" => {
                assert_eq!(ladders, 2);
                assert!(page.contains("order against each other is not known"));
            }
            "planted" => {}
            _ => assert_eq!(ladders, 1, "{name}"),
        }
    }
}

#[test]
fn what_lies_beyond_the_scale_says_so() {
    let page = page::render(&extremes::off_scale(), &[]);
    assert!(page.contains("#e-left") && page.contains("#e-right"));
    for words in ["−11.2", "+3.4", "off the scale", "no light to measure", "no picture of this stage could be measured"]
    {
        assert!(page.contains(words), "{words}");
    }
}

#[test]
fn six_hundred_shots_with_large_pictures_stay_under_six_megabytes() {
    let mut report = extremes::all().into_iter().find(|(name, _)| *name == "long-night").unwrap().1;
    assert!(report.frames.len() >= 600 && report.stages.len() >= 40);
    for (thumbnail, preview) in [(4_500, 30_000), (4_500, 60_000), (15_000, 120_000)] {
        let picture = |bytes: usize| Picture { width: 128, height: 85, jpeg: vec![0x5a; bytes].into() };
        let pictures = FramePictures { preview: picture(preview), thumbnail: picture(thumbnail) };
        report.pictures.fill(Some(pictures));
        let page = page::render(&report, &[]);
        assert!(page.len() < 6_000_000, "{} bytes with thumbnails of {thumbnail}", page.len());
        let shown = page.matches("<img ").count();
        let left_out = page.matches("left out to keep the page small").count();
        assert_eq!(
            shown + left_out,
            report.frames.len() + report.stages.len(),
            "a picture is neither shown nor said to be left out"
        );
    }
}

#[test]
fn a_chart_is_shown_with_its_words() {
    let chart = Chart {
        name: "levels",
        title: "Levels <over> time".to_owned(),
        detail: "Slowly.".to_owned(),
        alt: "The level rises \"slowly\".".to_owned(),
        svg: "<svg xmlns=\"http://www.w3.org/2000/svg\"/>".to_owned(),
        png: Vec::new(),
    };
    let page = page::render(&extremes::one_frame(), &[chart]);
    assert!(page.contains("data:image/svg+xml;base64,") && page.contains("Levels &lt;over&gt; time"));
    assert!(page.contains("alt=\"The level rises &quot;slowly&quot;.\""));
}
