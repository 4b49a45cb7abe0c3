//! Rows of the notes as the photographer typed them, each cell read or named as not readable.

use super::cells::unguarded;
use super::numbers::{clock_hours, metres};
use super::power::{self, Power};
use super::table::{Column, Row, Table};
use super::{NotedLight, Stand, subject};
use crate::problem::{Code, Flaw};

/// The light of a row that holds the subject box.
const SUBJECT: &str = "subject";

/// Names that mean every light: such a row cannot be followed, since each light has a gel and a modifier of its own.
const ALL: [&str; 5] = ["all", "all lights", "all flashes", "every light", "*"];

/// A flaw with the line it stands on.
pub(super) type Flawed = (u32, Flaw);

/// One row for one light, not yet brought to the shots.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct TypedRow {
    pub line: u32,
    /// What `from` says, of this row or of the one above it that says something.
    pub from: String,
    pub lights: Vec<usize>,
    pub power: Option<Power>,
    pub power_text: String,
    pub fittings: Option<(String, String)>,
    pub stand: Stand,
}

/// The notes as typed, before the shots are known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Typed {
    /// The file's name; empty where there is none.
    pub(super) file: String,
    /// Whether there is a file of notes that could be read.
    pub(super) used: bool,
    pub(super) lights: Vec<NotedLight>,
    pub(super) rows: Vec<TypedRow>,
    /// Line, `from` and percents of each subject box.
    pub(super) subjects: Vec<(u32, String, [f64; 4])>,
    pub(super) flaws: Vec<Flawed>,
    /// The folder's own notes, when another file was read in their place.
    pub(super) passed_over: Option<String>,
}

/// One name for a light however it is typed: case, blanks, hyphens and underscores do not matter.
fn folded(name: &str) -> String {
    let plain = name.to_lowercase().replace(['-', '_'], " ");
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A cell's text as typed, without what was put there for a spreadsheet.
fn text(table: &Table, row: &Row, column: Column) -> String {
    unguarded(table.cell(row, column)).trim().to_owned()
}

/// Reads the rows of a table.
pub(super) fn typed(table: &Table, file: &str) -> Typed {
    let mut found = Typed { file: file.to_owned(), used: true, ..Typed::default() };
    found.flaws.extend(table.flaws.iter().map(|flaw| (1, flaw.clone())));
    let mut from = String::new();
    let single: Vec<String> = table.rows.iter().map(|row| folded(&text(table, row, Column::Light))).collect();
    for row in &table.rows {
        let said = text(table, row, Column::From);
        if !said.is_empty() {
            from = said;
        }
        let name = text(table, row, Column::Light);
        match folded(&name).as_str() {
            "" => found.without_light(table, row),
            SUBJECT => found.subject(table, row, &from),
            _ => found.row(table, row, &from, &name, &single),
        }
    }
    // Whom "all" means is known only at the end.
    let every: Vec<usize> = (0..found.lights.len()).collect();
    for row in found.rows.iter_mut().filter(|row| row.lights.is_empty()) {
        row.lights.clone_from(&every);
    }
    found
}

impl Typed {
    fn flag(&mut self, line: u32, code: Code, words: &str) {
        self.flaws.push((line, Flaw::with(code, format!("line {line}: {words}"))));
    }

    /// A row with nothing but `from` and a note says nothing of a light, and needs to be told to nobody.
    fn without_light(&mut self, table: &Table, row: &Row) {
        let speaks =
            [Column::Power, Column::Gel, Column::Modifier, Column::Distance, Column::ClockPosition, Column::Height]
                .into_iter()
                .any(|column| !table.cell(row, column).is_empty());
        if let Some(why) = &row.torn {
            self.flag(row.line, Code::NoteLineUnclear, why);
        } else if speaks {
            self.flag(row.line, Code::NoteLineUnclear, "it names no light");
        }
    }

    fn subject(&mut self, table: &Table, row: &Row, from: &str) {
        let cells = [Column::Note, Column::Power].map(|column| text(table, row, column));
        let typed = cells.iter().find(|cell| !cell.is_empty()).cloned().unwrap_or_default();
        match (&row.torn, subject::percent(&typed)) {
            (Some(why), _) => self.flag(row.line, Code::SubjectUnreadable, why),
            (None, Err(why)) => self.flag(row.line, Code::SubjectUnreadable, &format!("{typed:?}: {why}")),
            (None, Ok(percent)) => self.subjects.push((row.line, from.to_owned(), percent)),
        }
    }

    fn row(&mut self, table: &Table, row: &Row, from: &str, name: &str, single: &[String]) {
        let line = row.line;
        let several = several(name, single);
        let lights = match &several {
            Some(names) => names.iter().map(|name| self.light(name)).collect(),
            None => vec![self.light(name)],
        };
        let mut typed = TypedRow {
            line,
            from: from.to_owned(),
            lights,
            power: None,
            power_text: text(table, row, Column::Power),
            fittings: None,
            stand: Stand::default(),
        };
        if let Some(why) = &row.torn {
            self.flag(line, Code::NoteLineUnclear, why);
        } else if several.is_some() {
            self.flag(
                line,
                Code::NoteLineUnclear,
                &format!("{name:?} names several lights; each needs a row of its own"),
            );
        } else {
            typed.power = self.power(line, name, table.cell(row, Column::Power));
            typed.fittings = Some((text(table, row, Column::Gel), text(table, row, Column::Modifier)));
            typed.stand = self.stand(table, row, name);
            self.role(&typed, &text(table, row, Column::Role));
        }
        self.rows.push(typed);
    }

    /// Index of a light, which is new where its name is.
    fn light(&mut self, name: &str) -> usize {
        let wanted = folded(name);
        self.lights.iter().position(|light| folded(&light.name) == wanted).unwrap_or_else(|| {
            self.lights.push(NotedLight { name: name.trim().to_owned(), role: String::new() });
            self.lights.len() - 1
        })
    }

    fn power(&mut self, line: u32, name: &str, typed: &str) -> Option<Power> {
        match power::read(typed) {
            Ok(reading) => {
                if let Some(fraction) = reading.from_date {
                    let words = format!("power of {name}: {typed:?} is read as {fraction}");
                    self.flag(line, Code::NoteDate, &words);
                }
                Some(reading.power)
            }
            Err(why) => {
                self.flag(line, Code::NoteUnreadable, &format!("power of {name}: {typed:?}: {why}"));
                None
            }
        }
    }

    fn stand(&mut self, table: &Table, row: &Row, name: &str) -> Stand {
        let mut number = |column, what: &str, read: &dyn Fn(&str) -> Option<f64>| {
            let typed = table.cell(row, column);
            let number = read(typed);
            if number.is_none() && !typed.is_empty() {
                self.flag(row.line, Code::NoteNumberUnreadable, &format!("{what} of {name}: {typed:?}"));
            }
            number
        };
        Stand {
            distance_m: number(Column::Distance, "distance", &|t| metres(t, 0.01..=1000.0)),
            clock_hours: number(Column::ClockPosition, "clock position", &clock_hours),
            height_m: number(Column::Height, "height", &|t| metres(t, -100.0..=100.0)),
        }
    }

    /// The role first typed is the light's role.
    fn role(&mut self, row: &TypedRow, role: &str) {
        let light = row.lights.first().and_then(|index| self.lights.get_mut(*index));
        let Some(light) = light.filter(|_| !role.is_empty()) else { return };
        if light.role.is_empty() {
            role.clone_into(&mut light.role);
        } else if folded(&light.role) != folded(role) {
            let words = format!(
                "the role of {} is {:?} further up and {role:?} here; the first is used",
                light.name, light.role
            );
            self.flag(row.line, Code::NoteContradicts, &words);
        }
    }
}

/// The lights of a row that names more than one; empty for all of them; None for an ordinary name.
fn several(name: &str, single: &[String]) -> Option<Vec<String>> {
    let wanted = folded(name);
    if ALL.contains(&wanted.as_str()) {
        return Some(Vec::new());
    }
    let signs = name.replace(" and ", "+");
    let parts: Vec<String> = signs.split(['+', '&', ',', ';', '/']).map(|part| part.trim().to_owned()).collect();
    let known = parts.len() > 1 && parts.iter().all(|part| single.contains(&folded(part)));
    known.then_some(parts)
}
