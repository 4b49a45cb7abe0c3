//! The tracing of figures: every figure that was worked out links to a note that says from which frames and by which rule.
//!
//! With the script a status line shows the note on pointing, focus or touch; without it the link leads to the note;
//! on paper the note has a number. A screen reader reads the note as the figure's description.

use maud::{Markup, Render, html};

use crate::report::words;

/// The notes of a page, in order of first mention. The same note is kept once.
#[derive(Default)]
pub struct Notes {
    texts: Vec<String>,
    /// Whether each is first mentioned where only an opened rung shows it: then it is printed only with one.
    folded: Vec<bool>,
    /// Whether what is being written now is shown only by an opened rung.
    pub inside: bool,
}

impl Notes {
    /// A figure, or words that carry one, with the note behind it.
    pub fn cite(&mut self, shown: impl Render, note: impl Into<String>) -> Markup {
        let note = words::visible(&note.into());
        let place = self.texts.iter().rposition(|known| *known == note).unwrap_or_else(|| {
            self.texts.push(note);
            self.folded.push(self.inside);
            self.texts.len() - 1
        });
        let id = format!("note-{}", place + 1);
        html! {
            a.from href={ "#" (id) } aria-describedby=(id) { (shown) }
            sup.po aria-hidden="true" { (place + 1) }
        }
    }

    /// All notes, folded on the screen and printed in full.
    pub fn section(&self) -> Markup {
        html! {
            @if !self.texts.is_empty() {
                section.notes aria-labelledby="h-notes" {
                    h2 #h-notes { "Where the figures come from" }
                    p.lead { "Each figure with a dotted line, in the order of the page." }
                    details { summary { (words::count(self.texts.len(), "note", "notes")) }
                        ol {
                            @for (place, (text, folded)) in self.texts.iter().zip(&self.folded).enumerate() {
                                li.folded[*folded] #{ "note-" (place + 1) } value=(place + 1) { (text) }
                            }
                        }
                    }
                }
            }
        }
    }
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
}
