//! `recap.md` is CommonMark without extensions: two parsers that know nothing of each other (pulldown-cmark and markdown)
//! make the same of it, each with its extensions off and on.

use pulldown_cmark::{Options, Parser};
use stoptally::report::recap;

use super::support::{extremes, lit, prints};

/// Elements with what tells them apart, and words, in order; runs of white space are one blank.
#[derive(Debug, PartialEq)]
enum Seen {
    Opens(String),
    Closes(String),
    Words(String),
}

fn seen(html: &str) -> Vec<Seen> {
    let text = format!("<body>{html}</body>");
    let tree = roxmltree::Document::parse(&text).unwrap_or_else(|e| panic!("{e}\n{html}"));
    let mut found = Vec::new();
    walk(tree.root_element(), &mut found);
    found
}

fn walk(node: roxmltree::Node, found: &mut Vec<Seen>) {
    for child in node.children() {
        if let Some(text) = child.text().filter(|_| child.is_text()) {
            // Only blanks of the source are laid out; the no-break space is a word's.
            let words = text.split([' ', '\n', '\t']).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ");
            match found.last_mut() {
                _ if words.is_empty() => {}
                Some(Seen::Words(before)) => *before = format!("{before} {words}"),
                _ => found.push(Seen::Words(words)),
            }
        } else if child.is_element() {
            let told: Vec<&str> = ["src", "alt", "href"].iter().filter_map(|a| child.attribute(*a)).collect();
            let name = child.tag_name().name().to_owned();
            found.push(Seen::Opens(format!("{name} {}", told.join(" "))));
            walk(child, found);
            found.push(Seen::Closes(name));
        }
    }
}

fn first_way(markdown: &str, options: Options) -> String {
    let mut html = String::new();
    pulldown_cmark::html::push_html(&mut html, Parser::new_ext(markdown, options));
    html
}

/// Smart punctuation changes letters on purpose; it is no reading of structure.
fn all_but_smart() -> Options {
    Options::all() - Options::ENABLE_SMART_PUNCTUATION
}

fn second_way(markdown: &str, options: &markdown::Options) -> String {
    markdown::to_html_with_options(markdown, options).unwrap()
}

#[test]
fn two_renderers_with_and_without_extensions_make_the_same_of_it() {
    let mut all = extremes::all();
    all.push(("prints", prints::with_prints(lit::lit_evening(), 4_000)));
    for (name, report) in all {
        let markdown = recap::render(&report).markdown;
        let plain = seen(&first_way(&markdown, Options::empty()));
        assert!(plain.len() > 20, "{name}");
        for (way, html) in [
            ("pulldown-cmark, all extensions", first_way(&markdown, all_but_smart())),
            ("markdown, CommonMark", second_way(&markdown, &markdown::Options::default())),
            ("markdown, GitHub", second_way(&markdown, &markdown::Options::gfm())),
        ] {
            let other = seen(&html);
            let differs = plain.iter().zip(&other).position(|(a, b)| a != b);
            let around = differs.map(|at| (&plain[at.saturating_sub(1)..=at], &other[at]));
            assert!(plain == other, "{name}, {way}: {around:?}");
        }
    }
}

/// The comparison sees a difference: a table is one with an extension and none without.
#[test]
fn an_extension_would_be_seen() {
    let table = "| a | b |\n|---|---|\n| 1 | 2 |\n";
    assert_ne!(seen(&first_way(table, Options::empty())), seen(&first_way(table, all_but_smart())));
    let plain = second_way(table, &markdown::Options::default());
    assert_ne!(seen(&plain), seen(&second_way(table, &markdown::Options::gfm())));
}
