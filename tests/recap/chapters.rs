//! A chapter to each lighting in order, with everything a tutorial owes its readers.

use std::collections::BTreeSet;

use pulldown_cmark::{Event, HeadingLevel, Parser, Tag, TagEnd};
use stoptally::report::cautions::CAUTIONS;
use stoptally::report::{Report, recap};

use super::support::{extremes, lit};

/// Headings of one level, as read.
fn headings(markdown: &str, level: HeadingLevel) -> Vec<String> {
    let (mut found, mut open) = (Vec::new(), false);
    for event in Parser::new(markdown) {
        match event {
            Event::Start(Tag::Heading { level: l, .. }) if l == level => {
                open = true;
                found.push(String::new());
            }
            Event::End(TagEnd::Heading(_)) => open = false,
            Event::Text(text) if open => found.last_mut().unwrap().push_str(&text),
            _ => {}
        }
    }
    found
}

/// Files that are shown, or led to.
fn files(markdown: &str) -> Vec<String> {
    let named = |event| match event {
        Event::Start(Tag::Image { dest_url, .. } | Tag::Link { dest_url, .. }) => Some(dest_url.into_string()),
        _ => None,
    };
    Parser::new(markdown).filter_map(named).collect()
}

fn chapters(report: &Report) -> Vec<String> {
    let markdown = recap::render(report).markdown.replace('\u{a0}', " ");
    markdown.split("\n## ").skip(1).map(str::to_owned).collect()
}

#[test]
fn every_picture_named_is_there_and_every_picture_there_is_named() {
    for (name, report) in extremes::all() {
        let recap = recap::render(&report);
        let named: BTreeSet<String> = files(&recap.markdown).into_iter().collect();
        let given: BTreeSet<String> = recap.pictures.iter().map(|(name, _)| name.clone()).collect();
        assert_eq!(named, given, "{name}");
        let sound = |(name, bytes): &(String, std::sync::Arc<[u8]>)| match name.ends_with(".svg") {
            true => bytes.starts_with(b"<svg"),
            false => bytes.starts_with(&[0xff, 0xd8]),
        };
        assert!(recap.pictures.iter().all(sound), "{name}");
    }
}

#[test]
fn a_chapter_to_each_lighting_in_order_and_to_each_stage_where_lights_are_not_told() {
    for (name, report) in extremes::all() {
        let found = headings(&recap::render(&report).markdown, HeadingLevel::H2);
        let numbers: Vec<u32> = match report.lightings.is_empty() {
            true => report.stages.iter().map(|s| s.stage).collect(),
            false => report.lightings.iter().map(|l| l.lighting).collect(),
        };
        let said: Vec<u32> = found.iter().filter_map(|h| h.split_once(". ")?.0.parse().ok()).collect();
        assert_eq!(said, numbers, "{name}");
        assert_eq!(found.last().map(String::as_str), Some("Cautions"), "{name}");
    }
}

/// Lighting 5 of the made evening: dust-left comes to key and rim. Its figures follow from the strengths in
/// `tests/support/lit.rs`.
#[test]
fn a_chapter_says_all_that_is_known_of_its_lighting() {
    let chapter = &chapters(&lit::lit_evening())[4];
    for line in [
        "5. Dust-left on at 1/4 (19:24)\n\n![Lighting 5: key on; brightest in the middle of the frame](recap/lighting-05.jpg)\n",
        "**What it did.** The settings stayed as they were. Beyond the settings the picture gained",
        "- **key**: role main light; power 1/8 −0.3; strength 0.0 stop (−0.1 to +0.1) against DSC\\_0405.JPG;",
        "; gel CTO; stands 5.4 m from the sitter at 10\n",
        "; stands 3.9 m from the sitter at 7:30, 2.8 m high\n",
        "- Off: dust-right.\n",
        "- Key to ambient: +2.5 stops over the frame: 5.7:1 light against light, 6.7:1 as both against the ambient.\n",
        "### Before and after\n\n![Before, stage 5 of lighting 4: key on;",
        "](recap/lighting-04.jpg)\n![After, stage 6 of lighting 5: key on;",
        "Before: stage 5 of lighting 4, f/2.8, 1/200, ISO 100; 50 mm f/2 prime. After: stage 6 of lighting 5,",
        "### Light by light, and without it\n\n![key alone](recap/light-01.jpg)\n![Lighting 5 without key: the frame",
        "; most at the right of the frame, 1.3 stops there](recap/lighting-05-without-01.jpg)\n",
        "**key**: ",
        "### Where the lights stood\n\n![Plan of lighting 5, seen from above with the camera at 6: key 3.9 m from the sitter at 7:30, 2.8 m high; rim",
        "- Dust-left was moved during this lighting; it is drawn as in the shot above.\n",
    ] {
        assert!(chapter.contains(line), "{line}\nis not in\n{chapter}");
    }
}

#[test]
fn a_lighting_of_several_stages_says_what_was_turned_and_one_without_lights_has_none_to_show() {
    let chapters = chapters(&lit::lit_evening());
    let first = &chapters[0];
    assert!(first.contains("The account begins here, at −4.6 stops against mid-grey."), "{first}");
    assert!(first.contains("4 shots in 2 stages, first at f/2.8, 1/200, ISO 100;"), "{first}");
    assert!(
        first.contains("- **Stage 2** (19:03): shutter 1/200 to 1/50; 2 shots at f/2.8, 1/50, ISO 100;"),
        "{first}"
    );
    assert!(!first.contains("Before and after") && !first.contains("Light by light") && !first.contains("stood"));
}

/// Lighting 2 begins with stage 3; the stage before it is the second of lighting 1, whose picture is another.
#[test]
fn before_and_after_are_the_two_stages_that_the_account_compares() {
    let report = lit::lit_evening();
    let second = &chapters(&report)[1];
    assert!(second.contains("![Before, stage 2 of lighting 1: the whole picture stands at "), "{second}");
    assert!(second.contains("against mid-grey](recap/stage-02.jpg)\n![After, stage 3 of lighting 2: "), "{second}");
    let recap = recap::render(&report);
    let (_, bytes) = recap.pictures.iter().find(|(name, _)| name == "recap/stage-02.jpg").unwrap();
    let typical = report.stages[1].detail.typical_index;
    assert_eq!(*bytes, report.pictures[typical].as_ref().unwrap().preview.jpeg);
}

#[test]
fn what_is_not_told_is_said_once_with_its_reason() {
    let sixth = &chapters(&lit::lit_evening())[5];
    assert!(sixth.contains("- **rim**: power 1/8 −0.3, on or off not known; strength not known;"), "{sixth}");
    let seventh = &chapters(&lit::lit_evening())[6];
    assert!(seventh.contains("- Rim was set on and did not burn in 2 shots.\n"), "{seventh}");
    assert!(sixth.contains("- Not fully known of rim: never seen alone since the dancer came in.\n"), "{sixth}");
}

#[test]
fn the_settings_table_has_a_line_per_stage() {
    for (name, report) in extremes::all() {
        let markdown = recap::render(&report).markdown;
        let mut code = None;
        let mut text = String::new();
        for event in Parser::new(&markdown) {
            match event {
                Event::Start(Tag::CodeBlock(_)) => code = Some(()),
                Event::Text(part) if code.is_some() => text.push_str(&part),
                Event::End(TagEnd::CodeBlock) => code = None,
                _ => {}
            }
        }
        let wanted = if report.stages.is_empty() { 0 } else { report.stages.len() + 1 };
        assert_eq!(text.lines().count(), wanted, "{name}");
        // Every line has the level at the same place: figures end at one column.
        let ends: BTreeSet<usize> = text.lines().map(|line| line.chars().count()).collect();
        assert!(ends.len() <= 1, "{name}: {ends:?}\n{text}");
    }
}

#[test]
fn every_recap_carries_the_cautions_and_no_hyphen_for_a_minus() {
    for (name, report) in extremes::all() {
        let recap = recap::render(&report);
        for caution in CAUTIONS {
            assert!(recap.markdown.contains(caution.text) && recap.html.contains(caution.text), "{name}");
        }
        for text in [&recap.markdown, &recap.html] {
            assert!(!text.contains(" -0.") && !text.contains("NaN"), "{name}");
        }
        assert_eq!(recap, recap::render(&report), "{name}: two runs differ");
    }
    let evening = recap::render(&extremes::all()[0].1).markdown;
    assert!(evening.contains("−0.1 to +1.9"), "a change that depends on the ambient share is given low to high");
}

#[test]
fn a_lighting_with_keepers_says_so_and_tests_of_the_build_say_nothing() {
    let report = extremes::all().into_iter().find(|(name, _)| *name == "kept-evening").unwrap().1;
    let chapters = chapters(&report);
    // Lighting 7 is stages 8 to 10: seven series of two (the last of one), three, two.
    assert!(chapters[6].contains(" 8 keepers in 7 of 12 series.\n"), "{}", chapters[6]);
    assert!(chapters[4].contains(" 1 keeper of 4 series.\n"), "{}", chapters[4]);
    assert!(chapters[3].contains(" No keeper of 3 series.\n"), "{}", chapters[3]);
    // The only stage of lighting 8 is a test of the build.
    assert!(!chapters[7].to_lowercase().contains("keeper"), "{}", chapters[7]);
}
