//! The tracing of figures: every figure that was worked out links to a note that says from which frames and by which rule.
//!
//! With the script a status line shows the note on pointing, focus or touch; without it the link leads to the note; on paper
//! the note has a number. A screen reader reads the note as the figure's description. A rule that many figures share is
//! written once and named by its letter.

use std::collections::BTreeMap;

use maud::{Markup, Render, html};

use crate::report::words;

/// Where a figure comes from.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Trace {
    /// From which frames, with the figures behind it.
    pub of: String,
    /// By which rule, in the same words for every figure of its kind; empty where `of` says it.
    pub rule: String,
}

impl Trace {
    /// Frames and figures, and the rule they share with others of their kind.
    pub fn by(of: impl Into<String>, rule: impl Into<String>) -> Self {
        Self { of: of.into(), rule: rule.into() }
    }
}

impl From<&str> for Trace {
    fn from(of: &str) -> Self {
        Self::by(of, "")
    }
}

impl From<String> for Trace {
    fn from(of: String) -> Self {
        Self::by(of, "")
    }
}

impl From<&Self> for Trace {
    fn from(trace: &Self) -> Self {
        trace.clone()
    }
}

/// One numbered text of the notes or of the rules.
struct Text {
    text: String,
    /// Whether it is first mentioned where only an opened rung shows it: then it is printed only with one.
    folded: bool,
    /// Place of its rule.
    rule: Option<usize>,
}

/// The notes of a page, in order of first mention. The same note is kept once.
#[derive(Default)]
pub struct Notes {
    texts: Vec<Text>,
    rules: Vec<Text>,
    known: BTreeMap<Trace, usize>,
    /// Whether what is being written now is shown only by an opened rung.
    pub inside: bool,
}

impl Notes {
    /// A figure, or words that carry one, with the note behind it.
    pub fn cite(&mut self, shown: impl Render, trace: impl Into<Trace>) -> Markup {
        let trace = trace.into();
        let trace = Trace::by(words::visible(&trace.of), words::visible(&trace.rule));
        let rule = (!trace.rule.is_empty()).then(|| self.rule(&trace.rule));
        let place = match self.known.get(&trace) {
            Some(place) => *place,
            None => {
                self.texts.push(Text { text: trace.of.clone(), folded: self.inside, rule });
                self.known.insert(trace, self.texts.len() - 1);
                self.texts.len() - 1
            }
        };
        let id = format!("note-{}", place + 1);
        let described = rule.map_or_else(|| id.clone(), |rule| format!("{id} rule-{}", letter(rule)));
        html! {
            a.from href={ "#" (id) } aria-describedby=(described) { (shown) }
            sup.po aria-hidden="true" { (place + 1) }
        }
    }

    fn rule(&mut self, text: &str) -> usize {
        let place = self.rules.iter().position(|rule| rule.text == text).unwrap_or_else(|| {
            self.rules.push(Text { text: text.to_owned(), folded: true, rule: None });
            self.rules.len() - 1
        });
        if let Some(rule) = self.rules.get_mut(place) {
            rule.folded &= self.inside;
        }
        place
    }

    /// All notes, folded on the screen and printed in full.
    pub fn section(&self) -> Markup {
        html! {
            @if !self.texts.is_empty() {
                section.notes aria-labelledby="h-notes" {
                    h2 #h-notes { "Where the figures come from" }
                    p.lead { "Each figure with a dotted line, in the order of the page" @if !self.rules.is_empty() { "; before them the rules, each said once" } "." }
                    details { summary { (words::count(self.texts.len(), "note", "notes")) @if !self.rules.is_empty() { " and " (words::count(self.rules.len(), "rule", "rules")) } }
                        @if !self.rules.is_empty() {
                            ol.rules { @for (place, rule) in self.rules.iter().enumerate() {
                                li.folded[rule.folded] #{ "rule-" (letter(place)) } value=(place + 1) data-letter=(letter(place)) { (rule.text) }
                            } }
                        }
                        ol.each { @for (place, note) in self.texts.iter().enumerate() {
                            li.folded[note.folded] #{ "note-" (place + 1) } value=(place + 1) data-rule=[note.rule.map(letter)] { (note.text) }
                        } }
                    }
                }
            }
        }
    }
}

/// `a`, `b`, … `z`, `aa`: as a list counts in small letters.
fn letter(place: usize) -> String {
    let last = char::from(b'a' + u8::try_from(place % 26).unwrap_or_default());
    let before = if place < 26 { String::new() } else { letter(place / 26 - 1) };
    format!("{before}{last}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_note_is_kept_once_and_every_link_has_its_note() {
        let mut notes = Notes::default();
        let first = notes.cite("+0.6", "frame 1 against 2").into_string();
        let again = notes.cite("+0.7", "frame 1 against 2").into_string();
        let other = notes.cite("+0.8", "frame <3>").into_string();
        assert!(first.contains("#note-1") && again.contains("#note-1") && other.contains("#note-2"));
        let section = notes.section().into_string();
        assert!(section.contains("id=\"note-2\"") && !section.contains("note-3"));
        assert!(section.contains("frame &lt;3&gt;"));
    }

    #[test]
    fn a_rule_is_written_once_and_printed_where_a_printed_figure_follows_it() {
        let mut notes = Notes { inside: true, ..Notes::default() };
        let first = notes.cite("+0.6", Trace::by("frame 1", "median")).into_string();
        assert!(first.contains("aria-describedby=\"note-1 rule-a\""), "{first}");
        notes.cite("+0.6", Trace::by("frame 2", "mean"));
        let folded = notes.section().into_string();
        assert_eq!(folded.matches("class=\"folded\"").count(), 4);
        notes.inside = false;
        notes.cite("+0.9", Trace::by("frame 3", "median"));
        let section = notes.section().into_string();
        assert_eq!(section.matches("median").count(), 1);
        assert!(
            section.contains("<li id=\"rule-a\"") && section.contains("<li class=\"folded\" id=\"rule-b\""),
            "{section}"
        );
    }

    #[test]
    fn letters_count_as_lists_do() {
        assert_eq!([0, 25, 26, 51, 52, 701, 702].map(letter), ["a", "z", "aa", "az", "ba", "zz", "aaa"]);
    }
}
