//! Text that came from files, made safe to stand among our own words.

/// The last part of a `/` separated path.
#[must_use]
pub fn file_name(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// Text from a file with everything made visible that could turn or hide the text around it:
/// control characters and the bidirectional controls of Unicode (UAX #9) are written as `\u{202e}`.
#[must_use]
pub fn visible(text: &str) -> String {
    let hidden = |c: char| {
        c.is_control()
            || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars().map(|c| if hidden(c) { c.escape_unicode().to_string() } else { c.to_string() }).collect()
}

/// Text made for tables, with the hyphen before a figure in stops (`-0.6`) as the true minus sign of prose.
#[must_use]
pub fn true_minus(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = ' ';
    for (at, c) in text.char_indices() {
        let figure = || {
            let rest = text.get(at + 1..).unwrap_or_default();
            let decimals = rest.trim_start_matches(|d: char| d.is_ascii_digit());
            let after = decimals.strip_prefix('.').and_then(|d| d.chars().next());
            decimals.len() < rest.len() && after.is_some_and(|d| d.is_ascii_digit())
        };
        let opens = before == ' ' || before == '(';
        out.push(if c == '-' && opens && figure() { '\u{2212}' } else { c });
        before = c;
    }
    out
}

/// Text from a file for the middle of a CommonMark line: nothing in it can become markup or a link.
///
/// CommonMark 0.31, section 2.4: a backslash before ASCII punctuation makes it plain text. A `:` as in an address, `@`
/// and `www.` are included because common dialects turn bare addresses into links; the `:` of a sentence and of a clock
/// stays plain. Brackets are, so parentheses need not be.
#[must_use]
pub fn markdown(text: &str) -> String {
    let text = visible(text);
    let mut out = String::with_capacity(text.len() + 8);
    let mut before = ' ';
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        let plain_colon = match letters.peek() {
            Some(next) => next.is_whitespace() || before.is_ascii_digit() && next.is_ascii_digit(),
            None => true,
        };
        let doubled = c == '=' && (before == '=' || letters.peek() == Some(&'='));
        let marks = matches!(
            c,
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '<' | '>' | '#' | '!' | '|' | '~' | '&' | '$' | '^' | '@'
        );
        if marks || doubled || c == ':' && !plain_colon {
            out.push('\\');
        }
        out.push(c);
        before = c;
    }
    out.replace("www.", "www\\.").replace("WWW.", "WWW\\.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_minus_before_a_figure_in_stops_is_a_true_one() {
        for (plain, written) in [
            ("-0.6", "−0.6"),
            ("rim -1.0 (cause not recorded)", "rim −1.0 (cause not recorded)"),
            ("(picture -12.5)", "(picture −12.5)"),
            ("1/8 -0.3", "1/8 −0.3"),
            ("DSC-0.6.JPG dust-left -.5 -3 a - b", "DSC-0.6.JPG dust-left -.5 -3 a - b"),
            ("-", "-"),
        ] {
            assert_eq!(true_minus(plain), written);
        }
    }

    #[test]
    fn text_from_files_cannot_turn_the_line_or_become_markup() {
        assert_eq!(visible("a\u{202e}gpj.b\n"), "a\\u{202e}gpj.b\\u{a}");
        assert_eq!(markdown("![x](http://y) <b>"), "\\!\\[x\\](http\\://y) \\<b\\>");
        assert_eq!(markdown("DSC_0402.JPG"), "DSC\\_0402.JPG");
        assert_eq!(markdown("16:20: rim 14:1 (both)"), "16:20: rim 14:1 (both)");
        assert_eq!(markdown("mailto:a :smile: 1:b"), "mailto\\:a \\:smile: 1\\:b");
    }
}
