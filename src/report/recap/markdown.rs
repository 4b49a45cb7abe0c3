//! The recap as CommonMark, without any extension: it reads the same whatever program renders it.
//!
//! Core CommonMark has no tables. A table of marks and figures is aligned text in a code block; a table with words in its
//! cells is a list, a row to a point. Both keep their shape in a plain editor too.

use super::document::{Block, Document, Figure, Part, Span, Table, Text};
use crate::report::words;

/// Blanks between the columns of aligned text.
const GUTTER: &str = "   ";

/// The text.
#[must_use]
pub fn write(document: &Document) -> String {
    let mut text = format!("# {}", words::markdown(&document.title));
    blocks(&mut text, &document.opening);
    for chapter in &document.chapters {
        text.push_str(&format!("\n\n## {}", words::markdown(&chapter.heading)));
        blocks(&mut text, &chapter.blocks);
    }
    text.push('\n');
    text
}

/// A blank line between blocks, but none between the points of two lists: with one they would be spaced apart.
fn blocks(text: &mut String, blocks: &[Block]) {
    let list = |block: &Block| matches!(block, Block::List(_) | Block::Table(Table { wordy: true, .. }));
    let mut after_list = false;
    for one in blocks {
        let written = block(one);
        if !written.is_empty() {
            text.push_str(if after_list && list(one) { "\n" } else { "\n\n" });
            text.push_str(&written);
            after_list = list(one);
        }
    }
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(heading) => format!("### {}", words::markdown(heading)),
        Block::Paragraph(text) => line(text),
        Block::List(points) => points.iter().map(|p| format!("- {}", line(p))).collect::<Vec<_>>().join("\n"),
        Block::Table(table) if table.wordy => as_list(table),
        Block::Table(table) => as_aligned_text(table),
        Block::Pictures(figures) => pictures(figures),
    }
}

/// A line of words; a sign at its beginning that would open a list, a quote or a heading is made plain.
fn line(text: &Text) -> String {
    let spans = text.0.iter().map(|span| match span {
        Span::Plain(plain) => words::markdown(plain),
        Span::Strong(strong) if strong.trim().is_empty() => String::new(),
        Span::Strong(strong) => format!("**{}**", words::markdown(strong.trim())),
    });
    let line = spans.collect::<String>();
    let line = line.trim();
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    match line.get(digits..).and_then(|rest| rest.chars().next()) {
        Some('.' | ')') if digits > 0 => {
            let (number, rest) = line.split_at(digits);
            format!("{number}\\{rest}")
        }
        Some('-' | '+' | '>' | ':') if digits == 0 => format!("\\{line}"),
        _ => line.to_owned(),
    }
}

/// A row to a point: "**key**: power 1/8; modifier octabox". Empty cells are not said.
fn as_list(table: &Table) -> String {
    let point = |row: &Vec<String>| {
        let (name, rest) = row.split_first()?;
        let cells = table.head.iter().skip(1).zip(rest).filter(|(_, cell)| !cell.is_empty());
        let said: Vec<String> = cells.map(|(head, cell)| format!("{head} {cell}")).collect();
        let said = if said.is_empty() { String::new() } else { format!(": {}", said.join("; ")) };
        Some(format!("- {}", line(&Text::led(name.clone(), said))))
    };
    table.rows.iter().filter_map(point).collect::<Vec<_>>().join("\n")
}

/// Columns as wide as their widest cell, in a code block.
fn as_aligned_text(table: &Table) -> String {
    let plain = |cell: &String| words::visible(cell).replace('\u{a0}', " ");
    let rows: Vec<Vec<String>> =
        std::iter::once(&table.head).chain(&table.rows).map(|row| row.iter().map(plain).collect()).collect();
    let width = |column: usize| {
        rows.iter().filter_map(|row: &Vec<String>| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..table.head.len()).map(width).collect();
    let aligned = |row: &Vec<String>| {
        let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, width))| {
            let right = table.figures.get(column).copied().unwrap_or(false);
            if right { format!("{cell:>width$}") } else { format!("{cell:<width$}") }
        });
        cells.collect::<Vec<_>>().join(GUTTER).trim_end().to_owned()
    };
    let lines: Vec<String> = rows.iter().map(aligned).collect();
    // No run of tildes inside can close the block.
    let longest = lines.iter().flat_map(|l| l.split(|c| c != '~')).map(str::len).max().unwrap_or(0);
    let fence = "~".repeat((longest + 1).max(3));
    format!("{fence}\n{}\n{fence}", lines.join("\n"))
}

/// All pictures in one paragraph, so that small ones stand side by side; their words in the next. A lighting without a
/// light is shown small beside the light by itself, and leads to its large picture.
fn pictures(figures: &[Figure]) -> String {
    let image = |f: &Figure| match f.small.as_ref().filter(|_| f.part == Part::Without) {
        Some(small) => format!("[![{}]({small})]({})", words::markdown(&f.alt), f.file),
        None => format!("![{}]({})", words::markdown(&f.alt), f.file),
    };
    let images: Vec<String> = figures.iter().map(image).collect();
    let said: Vec<&str> = figures.iter().map(|f| f.caption.as_str()).filter(|c| !c.is_empty()).collect();
    let captions = line(&Text::plain(said.join(" ")));
    if captions.is_empty() { images.join("\n") } else { format!("{}\n\n{captions}", images.join("\n")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(cells: &[&str]) -> Vec<String> {
        cells.iter().map(|cell| (*cell).to_owned()).collect()
    }

    #[test]
    fn tables_keep_their_shape_as_plain_text() {
        let mut table = Table {
            head: row(&["Stage", "Settings", "Shots"]),
            figures: vec![true, false, true],
            rows: vec![row(&["1", "f/5.6, 1/200", "12"]), row(&["10", "~~~~ f/8", "3"])],
            ..Table::default()
        };
        assert_eq!(
            block(&Block::Table(table.clone())),
            "~~~~~\nStage   Settings       Shots\n    1   f/5.6, 1/200      12\n   10   ~~~~ f/8           3\n~~~~~"
        );
        table.wordy = true;
        assert_eq!(
            block(&Block::Table(table)),
            "- **1**: Settings f/5.6, 1/200; Shots 12\n- **10**: Settings \\~\\~\\~\\~ f/8; Shots 3"
        );
    }

    #[test]
    fn no_line_of_words_opens_a_list_or_a_quote() {
        for (words, written) in [
            ("- a", "\\- a"),
            ("+ a", "\\+ a"),
            ("> a", "\\> a"),
            ("12. a", "12\\. a"),
            ("3) a", "3\\) a"),
            ("1/8", "1/8"),
        ] {
            assert_eq!(line(&Text::plain(words)), written);
        }
    }
}
