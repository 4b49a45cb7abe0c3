//! The recap before it is written: chapters of blocks, in words and pictures, of which Markdown and HTML are two spellings.
//!
//! Words are held as they are read; each writer escapes them for its own language, so that no text from a file becomes
//! markup in either.

/// The whole write-up.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Document {
    /// Name of the shoot.
    pub title: String,
    /// What stands before the first chapter.
    pub opening: Vec<Block>,
    /// Chapters in order.
    pub chapters: Vec<Chapter>,
}

/// A chapter.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chapter {
    /// Its heading.
    pub heading: String,
    /// What it holds.
    pub blocks: Vec<Block>,
}

/// A part of a chapter that stands by itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Block {
    /// A heading within a chapter.
    Heading(String),
    /// Sentences.
    Paragraph(Text),
    /// Points.
    List(Vec<Text>),
    /// A table.
    Table(Table),
    /// Pictures beside each other; one alone takes the whole width.
    Pictures(Vec<Figure>),
}

/// A run of words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Text(pub Vec<Span>);

/// A part of a run of words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Span {
    /// As it stands.
    Plain(String),
    /// The word that the eye should find.
    Strong(String),
}

impl Text {
    /// Words without emphasis.
    pub fn plain(words: impl Into<String>) -> Self {
        Self(vec![Span::Plain(words.into())])
    }

    /// One strong word or two, then the rest.
    pub fn led(strong: impl Into<String>, rest: impl Into<String>) -> Self {
        Self(vec![Span::Strong(strong.into()), Span::Plain(rest.into())])
    }
}

impl Block {
    /// Sentences without emphasis.
    pub fn paragraph(words: impl Into<String>) -> Self {
        Self::Paragraph(Text::plain(words))
    }
}

/// Rows and columns.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// Headings of the columns.
    pub head: Vec<String>,
    /// Columns of figures, which end at one line.
    pub figures: Vec<bool>,
    /// Cells, as many in each row as there are headings.
    pub rows: Vec<Vec<String>>,
    /// Whether cells hold words rather than marks and figures: as plain text such a table is a list.
    pub wordy: bool,
}

impl Table {
    /// The same without columns in which nothing stands.
    #[must_use]
    pub fn without_empty_columns(self) -> Self {
        let filled = |column: usize| self.rows.iter().any(|row| row.get(column).is_some_and(|cell| !cell.is_empty()));
        let keep: Vec<bool> = (0..self.head.len()).map(filled).collect();
        Self {
            head: kept(self.head, &keep),
            figures: kept(self.figures, &keep),
            rows: self.rows.into_iter().map(|row| kept(row, &keep)).collect(),
            ..self
        }
    }
}

fn kept<T>(items: Vec<T>, keep: &[bool]) -> Vec<T> {
    items.into_iter().zip(keep).filter(|(_, keep)| **keep).map(|(item, _)| item).collect()
}

/// A picture with its words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Figure {
    /// Its file, relative to the write-up.
    pub file: String,
    /// A smaller file of the same, for where bytes count.
    pub small: Option<String>,
    /// What it shows, for whoever cannot see it.
    pub alt: String,
    /// What stands below it; empty for nothing.
    pub caption: String,
    /// What it is there for.
    pub part: Part,
}

/// What a picture is there for, which decides what a page of limited size leaves out first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// A lighting's own picture.
    #[default]
    Main,
    /// A plan view.
    Plan,
    /// A light by itself.
    Alone,
    /// Before and after.
    Pair,
    /// A lighting with a light left out.
    Without,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_in_which_nothing_stands_go() {
        let row = |cells: [&str; 3]| cells.map(str::to_owned).to_vec();
        let table = Table {
            head: row(["light", "gel", "power"]),
            figures: vec![false, false, true],
            rows: vec![row(["key", "", "1/8"]), row(["rim", "", ""])],
            ..Table::default()
        };
        let less = table.without_empty_columns();
        assert_eq!((less.head.join(" "), less.figures), ("light power".to_owned(), vec![false, true]));
        assert_eq!(less.rows, [["key", "1/8"], ["rim", ""]]);
    }
}
