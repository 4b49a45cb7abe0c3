//! A list of keepers as people type or export it: one name to a line, or a table with a column of names

use crate::walk;

/// Headings of a column that names pictures, the surest first; letters and digits only.
const NAMES: [&str; 18] = [
    "frame",
    "file",
    "filename",
    "filenames",
    "files",
    "frames",
    "name",
    "names",
    "image",
    "imagename",
    "images",
    "photo",
    "photos",
    "picture",
    "pictures",
    "path",
    "sourcefile",
    "given",
];
/// Headings of a column that says whether the row's picture is kept.
const CHOICE: [&str; 8] = ["keeper", "keepers", "keep", "kept", "pick", "picked", "selected", "choice"];
/// What a cell of such a column says when it is not kept.
const REFUSED: [&str; 7] = ["", "no", "n", "0", "false", "unknown", "-"];

/// One name of the list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Entry {
    /// The line it stands on, from 1.
    pub line: u32,
    /// The name as typed, without blanks and quotation marks around it.
    pub given: String,
    /// Other cells of its line that may be names too: a line may hold several.
    pub beside: Vec<String>,
    /// The whole line, for a name may hold the sign that parts cells; empty in a table with headings.
    pub whole: String,
}

/// The names in a text. The error says in words why it holds none.
pub fn read(text: &str) -> Result<Vec<Entry>, String> {
    if text.starts_with("PK\u{3}\u{4}") || text.contains('\0') {
        return Err("it is no text file; save a spreadsheet as CSV".to_owned());
    }
    let lines = || (1..).zip(text.split('\n')).filter(|(_, line)| !blank(line.trim()));
    let Some((_, head)) = lines().find(|(_, line)| !line.starts_with("sep=")) else {
        return Ok(Vec::new());
    };
    let heading = [',', ';', '\t'].into_iter().find_map(|sign| Some((sign, Heading::of(&split(head, sign))?)));
    let rows = lines().filter(|(_, line)| !line.starts_with("sep="));
    let entries = match heading {
        Some((sign, heading)) => rows
            .skip(1)
            .filter_map(|(line, text)| {
                Some(Entry { line, given: heading.name(&split(text, sign))?, ..Entry::default() })
            })
            .collect(),
        None => rows.filter_map(|(line, text)| plain(line, text)).collect(),
    };
    Ok(entries)
}

fn blank(line: &str) -> bool {
    line.is_empty() || line.starts_with('#') || line.starts_with("//")
}

/// The columns that count.
struct Heading {
    names: Vec<usize>,
    choice: Option<usize>,
}

impl Heading {
    /// The heading in these cells; None when they are no heading but a row.
    fn of(cells: &[String]) -> Option<Self> {
        let folded: Vec<String> = cells.iter().map(|cell| folded(cell)).collect();
        let place = |wanted: &&str| folded.iter().position(|cell| cell == wanted);
        let names: Vec<usize> = NAMES.iter().filter_map(place).collect();
        (!names.is_empty()).then(|| Self { names, choice: CHOICE.iter().find_map(place) })
    }

    /// The name in a row that is kept: from the surest column that is filled.
    fn name(&self, cells: &[String]) -> Option<String> {
        let kept = self.choice.is_none_or(|at| !REFUSED.contains(&word(cells.get(at)).as_str()));
        let mut filled = self.names.iter().filter_map(|at| cells.get(*at)).map(|cell| bare(cell));
        filled.find(|name| kept && !name.is_empty())
    }
}

fn word(cell: Option<&String>) -> String {
    cell.map(|cell| cell.trim().to_lowercase()).unwrap_or_default()
}

/// A line without a heading above it: the cell that ends like a picture, else the first.
fn plain(line: u32, text: &str) -> Option<Entry> {
    let sign = ['\t', ';', ','].into_iter().find(|sign| text.contains(*sign)).unwrap_or('\t');
    let mut cells: Vec<String> = split(text, sign).iter().map(|c| bare(c)).filter(|c| !c.is_empty()).collect();
    if cells.is_empty() {
        return None;
    }
    let at = cells.iter().position(|cell| ends_like_picture(cell)).unwrap_or(0);
    let given = cells.remove(at);
    Some(Entry { line, given, beside: cells, whole: bare(text) })
}

fn ends_like_picture(name: &str) -> bool {
    walk::ends_like_picture(std::path::Path::new(name))
}

/// Without blanks, list marks and quotation marks around it, and without the apostrophe that keeps a spreadsheet from
/// running a name as a formula.
fn bare(cell: &str) -> String {
    let mut name = cell.trim();
    for mark in ["- ", "* ", "\u{2022} ", "\u{2022}"] {
        name = name.strip_prefix(mark).unwrap_or(name).trim_start();
    }
    for (open, close) in [('"', '"'), ('\'', '\''), ('\u{201c}', '\u{201d}'), ('\u{2018}', '\u{2019}')] {
        let inside = name.strip_prefix(open).and_then(|rest| rest.strip_suffix(close));
        name = inside.unwrap_or(name).trim();
    }
    match name.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@']) => rest.to_owned(),
        _ => name.to_owned(),
    }
}

fn split(line: &str, separator: char) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(u8::try_from(separator).unwrap_or(b','))
        .has_headers(false)
        .flexible(true)
        .buffer_capacity(line.len().max(1))
        .from_reader(line.as_bytes());
    let mut cells = csv::StringRecord::new();
    match reader.read_record(&mut cells) {
        Ok(true) => cells.iter().map(str::to_owned).collect(),
        _ => Vec::new(),
    }
}

fn folded(heading: &str) -> String {
    heading.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}
