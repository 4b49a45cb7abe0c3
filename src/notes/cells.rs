//! Text cells that go through a spreadsheet and come back the same: nothing in them is run as a formula.

/// Whether a spreadsheet would run the text, apostrophes before it aside.
fn is_formula(text: &str) -> bool {
    text.trim_start_matches('\'').starts_with(['=', '+', '-', '@', '\t'])
}

/// The cell for a text: an apostrophe before what a spreadsheet would run; control characters become blanks.
#[must_use]
pub fn guarded(text: &str) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    if is_formula(&plain) { format!("'{plain}") } else { plain }
}

/// The text of a cell: the one apostrophe that [`guarded`] put there is taken away.
#[must_use]
pub fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|_| is_formula(cell)).unwrap_or(cell)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_comes_back_as_it_was() {
        for text in ["-amber", "=x", "'=x", "''-x", "'tis amber", "@home", "+1 green", "", "'", "amber"] {
            let cell = guarded(text);
            assert!(!cell.starts_with(['=', '+', '-', '@']), "{cell}");
            assert_eq!(unguarded(&cell), text);
        }
        assert_eq!(guarded("'tis"), "'tis", "an apostrophe of the text's own needs no second");
    }
}
