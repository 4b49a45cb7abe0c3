//! What must hold of `recap.md`, read back by an independent CommonMark parser (pulldown-cmark).

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod support;

use proptest::prelude::{ProptestConfig, prop_assert_eq, proptest};
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use stoptally::report::cautions::CAUTIONS;
use stoptally::report::{recap, words};
use support::extremes;

fn events(markdown: &str) -> Vec<Event<'_>> {
    Parser::new_ext(markdown, Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_GFM).collect()
}

#[test]
fn every_picture_named_is_there_and_every_picture_there_is_named() {
    for (name, report) in extremes::all() {
        let recap = recap::render(&report);
        let named: Vec<String> = events(&recap.markdown)
            .into_iter()
            .filter_map(|event| match event {
                Event::Start(Tag::Image { dest_url, .. }) => Some(dest_url.into_string()),
                _ => None,
            })
            .collect();
        let given: Vec<String> = recap.pictures.iter().map(|(name, _)| name.clone()).collect();
        assert_eq!(named, given, "{name}");
        assert!(recap.pictures.iter().all(|(_, jpeg)| jpeg.starts_with(&[0xff, 0xd8])), "{name}");
    }
}

#[test]
fn text_from_files_never_becomes_markup() {
    let markdown = recap::render(&extremes::planted()).markdown;
    for event in events(&markdown) {
        match event {
            Event::Html(html) | Event::InlineHtml(html) => panic!("HTML came through: {html}"),
            Event::Start(Tag::Link { dest_url, .. }) => panic!("a link came through: {dest_url}"),
            Event::Start(Tag::Image { dest_url, .. }) => {
                assert!(dest_url.starts_with("recap/stage-"), "{dest_url}")
            }
            Event::Start(Tag::Emphasis | Tag::CodeBlock(_)) | Event::Code(_) => {
                panic!("{event:?} came through")
            }
            _ => {}
        }
    }
    assert!(!markdown.contains('\u{202e}') && markdown.contains("202e"));
}

#[test]
fn the_settings_table_has_a_row_per_stage_and_six_cells_in_each() {
    for (name, report) in extremes::all() {
        let markdown = recap::render(&report).markdown;
        let (mut rows, mut cells) = (0, 0);
        for event in events(&markdown) {
            match event {
                Event::Start(Tag::TableRow) => rows += 1,
                Event::Start(Tag::TableCell) => cells += 1,
                _ => {}
            }
        }
        assert_eq!(rows, report.stages.len(), "{name}");
        assert_eq!(cells, if rows == 0 { 0 } else { 6 * (rows + 1) }, "{name}");
    }
}

#[test]
fn every_recap_carries_the_cautions_and_no_hyphen_for_a_minus() {
    for (name, report) in extremes::all() {
        let recap = recap::render(&report);
        for caution in CAUTIONS {
            assert!(recap.markdown.contains(caution.text), "{name}: {}", caution.about);
        }
        assert!(!recap.markdown.contains(" -0.") && !recap.markdown.contains("NaN"), "{name}");
        assert_eq!(recap, recap::render(&report), "{name}: two runs differ");
    }
    let evening = recap::render(&extremes::all()[0].1).markdown;
    assert!(evening.contains("−0.1 to +1.9"), "a change that depends on the ambient share is given low to high");
}

/// What a reader sees of a text in the middle of a line, or the first thing that is not text.
fn read_back(text: &str) -> Result<String, String> {
    let line = format!("x {} y", words::markdown(text));
    let mut seen = String::new();
    for event in Parser::new_ext(&line, Options::all() - Options::ENABLE_SMART_PUNCTUATION) {
        match event {
            Event::Text(part) => seen.push_str(&part),
            Event::Start(Tag::Paragraph) | Event::End(TagEnd::Paragraph) => {}
            other => return Err(format!("{other:?}")),
        }
    }
    Ok(seen)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    /// The alphabet is letters and everything CommonMark or its extensions give a meaning to inside a line.
    #[test]
    fn any_text_in_the_middle_of_a_line_is_read_back_as_itself(text in "[a-c1<>&;#:/@!_*`~$^={}|\\\\\\[\\]() .+-]{0,14}") {
        prop_assert_eq!(read_back(&text), Ok(format!("x {text} y")));
    }
}

#[test]
fn each_kind_of_markup_is_read_back_as_itself() {
    for text in [
        "<b>",
        "<!-- c -->",
        "&lt;",
        "&#60;",
        "*a*",
        "_a_",
        "__a__",
        "[a](b)",
        "![a](b)",
        "`a`",
        "~~a~~",
        "~a~",
        "^a^",
        "$a$",
        "<http://a.b>",
        "a|b",
        "[^1]",
        "{#id}",
        "\\",
        "\\*",
        "||a||",
        "[[a]]",
    ] {
        assert_eq!(read_back(text), Ok(format!("x {text} y")), "{text}");
    }
}

#[test]
fn a_lighting_with_keepers_says_so_and_tests_of_the_build_say_nothing() {
    let report = extremes::all().into_iter().find(|(name, _)| *name == "kept-evening").unwrap().1;
    let markdown = recap::render(&report).markdown.replace('\u{a0}', " ");
    let stages: Vec<&str> = markdown.split("\n## ").collect();
    // Lighting 7 is stages 8 to 10: seven series of two (the last of one), three, two.
    assert!(
        stages[8]
            .contains("; 7 keepers in 6 of 7 series.\n\nLighting 7, stages 8 to 10: 8 keepers in 7 of 12 series.\n")
    );
    assert!(!stages[9].contains("Lighting 7") && stages[10].contains("; 1 keeper of 2 series.\n"), "{}", stages[9]);
    // A lighting of one stage is not said twice; one without a keeper says so of its series.
    assert!(stages[6].contains("; 1 keeper of 4 series.\n") && !stages[6].contains("Lighting 5"));
    assert!(stages[5].contains("; no keeper of 3 series.\n"));
    // Stage 11 is a test of the build.
    assert!(!stages[11].to_lowercase().contains("keeper"), "{}", stages[11]);
}
