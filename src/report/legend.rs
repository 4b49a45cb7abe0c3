//! The legend in Markdown, written from the registries, so that no table of columns or problems is kept by hand.

use super::columns::TABLES;
use crate::problem::REGISTRY;

/// A table for every CSV file: column and meaning.
#[must_use]
pub fn columns() -> String {
    let table = |t: &super::columns::Table| {
        let rows: String = t.columns.iter().map(|c| format!("| `{}` | {} |\n", c.name, c.meaning)).collect();
        format!("**`{}`**: a row is {}.\n\n| column | meaning |\n|---|---|\n{rows}", t.file, t.row)
    };
    TABLES.iter().chain([&super::compare::COMPARE]).map(table).collect::<Vec<_>>().join("\n")
}

/// Every problem code: how much it asks, what it says, why it happens, what to do.
#[must_use]
pub fn problems() -> String {
    let row = |e: &crate::problem::Entry| {
        format!("| `{}` | {} | {} | {} | {} |\n", e.name, e.weight.word(), e.text, e.cause, e.remedy)
    };
    format!(
        "| code | weight | what | cause | remedy |\n|---|---|---|---|---|\n{}",
        REGISTRY.iter().map(row).collect::<String>()
    )
}
