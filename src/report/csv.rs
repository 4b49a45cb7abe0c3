//! Tidy CSV: UTF-8, LF, a header row, units in the names, full precision, text that no spreadsheet takes for a formula.

use serde::Serialize;
use serde_json::Value;

use super::columns::{Column, Holds, Table};

/// Why a table could not be written. Both are defects of this program, not of the photographer's files.
#[derive(Debug, thiserror::Error)]
pub enum CsvError {
    /// A row could not be turned into named values.
    #[error("a row of {file} is not a set of named values")]
    Row {
        /// The table's file.
        file: &'static str,
    },
    /// The writer refused.
    #[error("writing {file} failed: {source}")]
    Write {
        /// The table's file.
        file: &'static str,
        /// The cause.
        source: csv::Error,
    },
}

/// The file's bytes for these rows. A row's fields are found by the names of the table's columns.
pub fn table<R: Serialize>(table: &Table, rows: &[R]) -> Result<Vec<u8>, CsvError> {
    let file = table.file;
    let failed = |source| CsvError::Write { file, source };
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::Any(b'\n')).from_writer(Vec::new());
    writer.write_record(table.columns.iter().map(|c| c.name)).map_err(failed)?;
    for row in rows {
        let Ok(Value::Object(values)) = serde_json::to_value(row) else { return Err(CsvError::Row { file }) };
        let cells = table.columns.iter().map(|column| cell(column, values.get(column.name)));
        writer.write_record(cells).map_err(failed)?;
    }
    writer.into_inner().map_err(|e| failed(e.into_error().into()))
}

fn cell(column: &Column, value: Option<&Value>) -> String {
    match value {
        Some(Value::String(text)) if column.holds == Holds::Text => harmless(text),
        Some(Value::String(text)) => text.clone(),
        Some(Value::Number(number)) => number.to_string(),
        Some(Value::Bool(flag)) => if *flag { "yes" } else { "no" }.to_owned(),
        _ => String::new(),
    }
}

/// Text that a spreadsheet would run as a formula gets an apostrophe before it; control characters become spaces.
fn harmless(text: &str) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    if plain.starts_with(['=', '+', '-', '@']) { format!("'{plain}") } else { plain }
}

#[cfg(test)]
mod tests {
    use super::super::columns::{FRAMES, PROBLEMS, TABLES};
    use super::super::keeper_types::KeeperCountRow;
    use super::super::{CullingRow, FindingRow, FrameRow, KeeperRow, LedgerRow, LightingRow, ProblemRow, StageRow};
    use super::*;
    use std::collections::BTreeSet;

    fn text<R: Serialize>(which: &Table, rows: &[R]) -> String {
        String::from_utf8(table(which, rows).unwrap()).unwrap()
    }

    #[test]
    fn numbers_keep_their_digits_and_absence_is_empty() {
        let row = FrameRow {
            frame: "a.jpg".into(),
            mean_luminance: Some(0.1 + 0.2),
            iso: Some(100),
            picture_change_stops: Some(-1.0),
            sharpness: Some(f64::NAN),
            ..FrameRow::default()
        };
        let written = text(&FRAMES, &[row]);
        let mut reader = csv::Reader::from_reader(written.as_bytes());
        let header = reader.headers().unwrap().clone();
        let record = reader.records().next().unwrap().unwrap();
        let value = |name: &str| record.get(header.iter().position(|h| h == name).unwrap()).unwrap();
        assert_eq!(value("mean_luminance"), "0.30000000000000004");
        assert_eq!(
            (value("iso"), value("picture_change_stops"), value("ev100"), value("sharpness")),
            ("100", "-1.0", "", "")
        );
        assert!(!written.contains('\r'));
    }

    #[test]
    fn text_from_files_is_never_a_formula() {
        for name in ["=cmd()", "+1.jpg", "-1.jpg", "@a.jpg"] {
            let written = text(&PROBLEMS, &[ProblemRow { file: name.into(), ..ProblemRow::default() }]);
            assert!(written.lines().nth(1).unwrap().starts_with(&format!("'{name}")), "{written}");
        }
        let written = text(&PROBLEMS, &[ProblemRow { file: "a\u{1b}[2J\nb\"c".into(), ..ProblemRow::default() }]);
        assert!(written.contains("\"a [2J b\"\"c\""), "{written}");
    }

    /// Every registered column is a field of its row, so that no header stands over cells that can never be filled.
    #[test]
    fn every_column_is_a_field() {
        let fields = |value: serde_json::Result<Value>| -> BTreeSet<String> {
            value.unwrap().as_object().unwrap().keys().cloned().collect()
        };
        let rows = [
            fields(serde_json::to_value(FrameRow::default())),
            fields(serde_json::to_value(CullingRow::default())),
            fields(serde_json::to_value(StageRow::default())),
            fields(serde_json::to_value(LightingRow::default())),
            fields(serde_json::to_value(LedgerRow::default())),
            fields(serde_json::to_value(KeeperRow::default())),
            fields(serde_json::to_value(KeeperCountRow::default())),
            fields(serde_json::to_value(FindingRow::default())),
            fields(serde_json::to_value(ProblemRow::default())),
        ];
        for (table, fields) in TABLES.iter().zip(rows) {
            for column in table.columns {
                assert!(fields.contains(column.name), "{}: {}", table.file, column.name);
            }
        }
        let files = TABLES.map(|t| t.file);
        assert_eq!(files[..4], ["frames.csv", "culling.csv", "stages.csv", "lighting.csv"]);
        assert_eq!(files[4..7], ["light-ledger.csv", "keepers.csv", "keeper-count.csv"]);
        assert_eq!(files[7..], ["findings.csv", "problems.csv"]);
    }
}
