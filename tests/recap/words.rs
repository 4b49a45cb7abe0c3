//! Words from files stay words: read back by an independent CommonMark parser (pulldown-cmark).

use proptest::prelude::{ProptestConfig, prop_assert_eq, proptest};
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use stoptally::report::{recap, words};

use super::support::extremes;

fn events(markdown: &str) -> Vec<Event<'_>> {
    Parser::new_ext(markdown, Options::all()).collect()
}

#[test]
fn text_from_files_never_becomes_markup() {
    for report in [extremes::planted(), extremes::planted_lights(), extremes::planted_keepers()] {
        let recap = recap::render(&report);
        for event in events(&recap.markdown) {
            match event {
                Event::Html(html) | Event::InlineHtml(html) => panic!("HTML came through: {html}"),
                Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) => {
                    assert!(recap.pictures.iter().any(|(name, _)| *name == *dest_url), "{dest_url}")
                }
                Event::Start(Tag::Emphasis | Tag::Strikethrough | Tag::Superscript | Tag::Subscript)
                | Event::Code(_)
                | Event::InlineMath(_)
                | Event::DisplayMath(_)
                | Event::FootnoteReference(_) => {
                    panic!("{event:?} came through")
                }
                _ => {}
            }
        }
        assert!(!recap.markdown.contains('\u{202e}'));
        assert!(
            !recap.html.contains('\u{202e}') && !recap.html.contains("<script") && !recap.html.contains("onerror=\"")
        );
    }
    assert!(recap::render(&extremes::planted()).markdown.contains("202e"));
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
