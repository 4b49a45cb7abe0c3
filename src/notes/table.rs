//! The notes as a table: separator, header row and rows with their line numbers, whatever program wrote them.

use crate::problem::{Code, Flaw};

/// The columns of the notes, in the order of the draft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Column {
    From,
    Light,
    Power,
    Gel,
    Modifier,
    Distance,
    ClockPosition,
    Height,
    Role,
    Note,
}

/// Every column, its name in the header, and the other names by which it is known, without blanks and signs.
pub const COLUMNS: [(Column, &str, &[&str]); 10] = [
    (Column::From, "from", &["since", "start", "frame", "fromframe", "firstframe", "file", "filename", "time", "shot"]),
    (Column::Light, "light", &["lamp", "flash", "strobe", "head", "lightname", "flashname"]),
    (Column::Power, "power", &["pwr", "output", "flashpower", "lightpower"]),
    (Column::Gel, "gel", &["gels", "gelcolour", "gelcolor", "filter"]),
    (Column::Modifier, "modifier", &["modifiers", "mod", "shaper", "lightshaper"]),
    (Column::Distance, "distance_m", &["distance", "dist", "distm", "distanceinm", "distancemetres", "distancemeters"]),
    (Column::ClockPosition, "clock_position", &["clock", "oclock", "clockpos"]),
    (Column::Height, "height_m", &["height", "heightinm", "heightmetres", "heightmeters"]),
    (Column::Role, "role", &["purpose", "job"]),
    (Column::Note, "note", &["notes", "remark", "remarks", "comment", "comments"]),
];

/// A continued cell longer than this many lines is a quotation mark that was never closed.
const MOST_LINES: usize = 40;

/// A row of the notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The line of the file it begins on, from 1.
    pub line: u32,
    /// Its cells, in the order of the header.
    cells: Vec<String>,
    /// Why its cells cannot be told apart for certain; None for an ordinary row.
    pub torn: Option<String>,
}

/// The notes, told apart into cells.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    columns: Vec<Option<Column>>,
    /// Rows that hold something.
    pub rows: Vec<Row>,
    /// What was remarkable about the header.
    pub flaws: Vec<Flaw>,
}

impl Table {
    /// A cell of a row without blanks around it; empty where the row or the table has none.
    #[must_use]
    pub fn cell<'a>(&self, row: &'a Row, column: Column) -> &'a str {
        let at = self.columns.iter().position(|c| *c == Some(column));
        at.and_then(|index| row.cells.get(index)).map_or("", |cell| cell.trim())
    }
}

/// Tells the table apart. The error is a flaw for which no line can be used.
pub fn read(text: &str) -> Result<Table, Flaw> {
    let unreadable = |why: String| Flaw::with(Code::NotesUnreadable, why);
    if text.starts_with("PK\u{3}\u{4}") || text.contains('\0') {
        return Err(unreadable("it is no text file; a spreadsheet must be saved as CSV".to_owned()));
    }
    let mut lines: Vec<&str> = text.split('\n').collect();
    let mut first =
        lines.iter().position(|line| !line.trim().is_empty()).ok_or_else(|| unreadable("it is empty".into()))?;
    let mut told = None;
    // Some spreadsheets write the separator on a line of its own.
    if let Some(sign) = lines.get(first).and_then(|l| l.trim_end_matches([',', ';']).strip_prefix("sep=")) {
        let whole = lines.get(first).copied().unwrap_or_default();
        told = [b';', b'\t', b',']
            .into_iter()
            .find(|s| sign.as_bytes().first() == Some(s) || whole.contains(char::from(*s)));
        first += 1;
    }
    let head = lines.get(first).copied().unwrap_or_default();
    let separator = told.unwrap_or_else(|| separator(head));
    let (columns, flaws) = columns(&split(head, separator, true));
    let lacking: Vec<&str> =
        COLUMNS.iter().take(3).filter(|(c, ..)| !columns.contains(&Some(*c))).map(|(_, n, _)| *n).collect();
    if !lacking.is_empty() {
        let found = format!("line {} reads {:?}", first + 1, head.chars().take(80).collect::<String>());
        return Err(unreadable(format!("no column {} in the header row: {found}", lacking.join(" and no column "))));
    }
    let mut table = Table { columns, rows: Vec::new(), flaws };
    lines.drain(..=first);
    read_rows(&lines, first + 2, separator, &mut table);
    Ok(table)
}

/// The separator under which most headings are known; a comma when nothing decides.
fn separator(head: &str) -> u8 {
    let known = |sign: u8| columns(&split(head, sign, true)).0.iter().flatten().count();
    let mut best = b',';
    for sign in [b';', b'\t'] {
        if known(sign) > known(best) {
            best = sign;
        }
    }
    best
}

/// The cells of one record.
fn split(record: &str, separator: u8, quoting: bool) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .quoting(quoting)
        .has_headers(false)
        .flexible(true)
        .buffer_capacity(record.len().max(1))
        .from_reader(record.as_bytes());
    let mut cells = csv::StringRecord::new();
    match reader.read_record(&mut cells) {
        Ok(true) => cells.iter().map(str::to_owned).collect(),
        _ => Vec::new(),
    }
}

fn columns(headings: &[String]) -> (Vec<Option<Column>>, Vec<Flaw>) {
    let plain = |heading: &str| -> String {
        heading.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
    };
    let names: Vec<String> = headings.iter().map(|h| plain(h)).collect();
    let mut columns: Vec<Option<Column>> = vec![None; names.len()];
    let mut give = |wanted: &dyn Fn(Column, &str, &[&str], &str) -> bool| {
        for (column, name, others) in COLUMNS {
            let free = names
                .iter()
                .enumerate()
                .find(|(i, n)| columns.get(*i) == Some(&None) && wanted(column, name, others, n));
            let index = free.map(|(index, _)| index);
            if !columns.contains(&Some(column))
                && let Some(slot) = index.and_then(|i| columns.get_mut(i))
            {
                *slot = Some(column);
            }
        }
    };
    // Its own name goes before any other name: `frame` is `from` only where there is no `from`.
    give(&|_, name, _, heading| heading == plain(name));
    give(&|_, _, others, heading| others.contains(&heading));
    let mut flaws = Vec::new();
    for (heading, _) in headings.iter().zip(&columns).filter(|(h, c)| c.is_none() && !h.trim().is_empty()) {
        flaws.push(Flaw::with(Code::NoteColumnUnknown, format!("{heading:?}")));
    }
    (columns, flaws)
}

fn read_rows(lines: &[&str], first_line: usize, separator: u8, table: &mut Table) {
    let width = table.columns.len();
    let mut at = 0;
    while let Some(line) = lines.get(at) {
        let number = u32::try_from(first_line + at).unwrap_or(u32::MAX);
        let (cells, taken, torn) = record(lines, at, separator, width);
        at += taken;
        if line.trim().is_empty() || cells.iter().all(|c| c.trim().is_empty()) || is_remark(&cells) {
            continue;
        }
        table.rows.push(Row { line: number, cells, torn });
    }
    // Programs that end every row with a separator do so in all of them.
    let spare = |row: &Row| row.cells.len().saturating_sub(width);
    let usual = table.rows.iter().map(spare).min().unwrap_or(0);
    for row in &mut table.rows {
        let blank = row.cells.iter().skip(width).all(|c| c.trim().is_empty());
        if spare(row) > if blank { usual } else { 0 } && row.torn.is_none() {
            let many = row.cells.len();
            row.torn = Some(format!(
                "{many} cells under {width} headings; put a cell that holds the separator in quotation marks"
            ));
        }
    }
}

/// A line that begins with # and holds nothing else.
fn is_remark(cells: &[String]) -> bool {
    let mut cells = cells.iter().map(|c| c.trim());
    cells.next().is_some_and(|first| first.starts_with('#')) && cells.all(str::is_empty)
}

/// The record that begins at a line: its cells, how many lines it takes, and why it cannot be trusted.
fn record(lines: &[&str], at: usize, separator: u8, width: usize) -> (Vec<String>, usize, Option<String>) {
    let mut text = String::new();
    for (count, line) in (1..).zip(lines.iter().skip(at).take(MOST_LINES)) {
        if count > 1 {
            // A line that is a whole row by itself is no continued cell: the quotation mark was meant to close before.
            if width > 1 && split(line, separator, true).len() >= width {
                break;
            }
            text.push('\n');
        }
        text.push_str(line);
        match ends(&text, separator) {
            Ends::Closed => return (split(&text, separator, true), count, None),
            Ends::Broken => break,
            Ends::Open => {}
        }
    }
    let line = lines.get(at).copied().unwrap_or_default();
    (split(line, separator, false), 1, Some("a quotation mark opens a cell and does not close it".to_owned()))
}

enum Ends {
    Closed,
    Open,
    /// Something follows a closing quotation mark that is no separator.
    Broken,
}

/// How a record ends, by the rules of RFC 4180, 2.5 to 2.7: a cell in quotation marks ends with one.
fn ends(text: &str, separator: u8) -> Ends {
    let sign = char::from(separator);
    let mut at_start = true;
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        if !(at_start && c == '"') {
            at_start = c == sign;
            continue;
        }
        loop {
            match letters.next() {
                None => return Ends::Open,
                Some('"') if letters.peek() == Some(&'"') => {
                    letters.next();
                }
                Some('"') => break,
                Some(_) => {}
            }
        }
        match letters.next() {
            None => return Ends::Closed,
            Some(c) if c == sign => at_start = true,
            Some(_) => return Ends::Broken,
        }
    }
    Ends::Closed
}
