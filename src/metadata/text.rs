//! Makes the texts of a file safe to read: no NULs, no padding, no characters that steer a terminal.

/// Longest text kept: names of cameras and lenses are far shorter.
const LONGEST_TEXT: usize = 200;

/// A text, cleaned, and whether characters had to be replaced for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Text {
    /// Without NULs, control characters and blanks around it.
    pub(super) text: String,
    /// Whether control characters were replaced.
    pub(super) replaced: bool,
}

/// Text as a person may safely read it: UTF-8, else each byte as Latin-1; characters that steer a terminal or turn the
/// direction of writing become U+FFFD.
pub(super) fn clean(bytes: &[u8]) -> Text {
    let decoded = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|&byte| char::from(byte)).collect(),
    };
    let mut replaced = false;
    let text = decoded.trim_matches(|letter: char| letter.is_whitespace() || letter == '\0').chars().take(LONGEST_TEXT);
    let text = text.map(|letter| {
        let steers = letter.is_control()
            || matches!(letter, '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}');
        replaced |= steers;
        if steers { '\u{FFFD}' } else { letter }
    });
    let text: String = text.collect();
    Text { text: text.trim_end().to_owned(), replaced }
}

#[cfg(test)]
mod tests {
    use super::clean;

    #[test]
    fn texts_are_trimmed_and_made_harmless() {
        for (bytes, expected, replaced) in [
            (&b"  SONY \t"[..], "SONY", false),
            (b"", "", false),
            (b"    ", "", false),
            (b"a\x1b[31mb", "a\u{FFFD}[31mb", true),
            ("Objektiv f\u{fc}r".as_bytes(), "Objektiv für", false),
            (b"f\xfcr", "für", false),
            ("a\u{202E}b".as_bytes(), "a\u{FFFD}b", true),
        ] {
            let cleaned = clean(bytes);
            assert_eq!((cleaned.text.as_str(), cleaned.replaced), (expected, replaced));
        }
        assert_eq!(clean(&[b'x'; 5000]).text.len(), 200);
    }
}
